"""What a batch on record was made of, where something was replaced on its day.

A replacement is for what is cooked from then on. Boxes that were packed in the morning keep what went into them; only the
kitchen knows whether a batch of that day was made before or after. Its entry says so by what it names: a lot of the old
product or of the new, or the pair under ``substitutes:`` (``walnut oil: walnut oil`` for one made with the old). Where it says
nothing, the batch has no answer.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date as calendar_day
from typing import NamedTuple

from labeller.serving.substitutes import names_in, replaced_on, with_substitutes, words_of
from labeller.serving.workshop import Workshop
from labeller.terms.findings import Finding, finding
from labeller.terms.kitchen import Batch, Kitchen, Recipe
from labeller.terms.words import normalise

Pairs = tuple[tuple[str, str], ...]


class MadeOf(NamedTuple):
    """swaps: (old, new) that a batch was made with. open: (old, new) of which nobody says whether it was."""

    swaps: Pairs = ()
    open: Pairs = ()


def made_of(kitchen: Kitchen, batch: Batch, touched: frozenset[str]) -> MadeOf:
    """kitchen: as written. touched: every name in what the batch makes, normalised. What does not touch it goes in as it is."""
    swaps, still_open = [], []
    own = {word: new for old, new in batch.substitutes for word in words_of(kitchen, old)}
    named = {normalise(name) for name, _ in batch.lots}
    for old, new in replaced_on(kitchen, batch.date).items():
        olds, news = words_of(kitchen, old), words_of(kitchen, new)
        said = own.get(normalise(old))
        has_old, has_new = bool(olds & named), bool(news & named)
        if not olds & touched or (said is not None and normalise(said) not in olds) or (said is None and has_new and not has_old):
            swaps.append((old, new))
        elif said is None and has_old == has_new:
            still_open.append((old, new))
    return MadeOf(tuple(swaps), tuple(still_open))


def made_in(workshop: Workshop, batch: Batch | None) -> Workshop:
    """The workshop in which a batch was made; the one of the day where nothing was replaced that touches it, or where the batch
    is so old that what is served is none of it."""
    recipe = workshop.names.recipe(batch.makes) if batch is not None and batch.makes else None
    if recipe is None or workshop.days is None or not _is_served(batch, recipe, workshop.date):
        return workshop
    return _shop(workshop, recipe, (batch,))


def served(workshop: Workshop, recipe: Recipe) -> Workshop:
    """The workshop in which what is served of a recipe today was made: that of its batches of the day, where there are any."""
    batches = _of_today(workshop, recipe)
    return _shop(workshop, recipe, batches) if batches and workshop.days is not None else workshop


def agree(workshop: Workshop, batches: Iterable[Batch]) -> bool:
    """Whether batches of one recipe were all made of the same."""
    return workshop.days is None or len({_made(workshop, batch) for batch in batches}) < 2


def _of_today(workshop: Workshop, recipe: Recipe) -> tuple[Batch, ...]:
    return tuple(batch for batch in workshop.kitchen.batches.values()
                 if batch.makes and batch.date == workshop.date and workshop.names.recipe(batch.makes) is recipe)  # fmt: skip


def _is_served(batch: Batch, recipe: Recipe, date: str) -> bool:
    if not (batch.date and date) or batch.date >= date:
        return bool(batch.date)
    keeps = recipe.shelf_life.days if recipe.shelf_life else 0
    try:
        return (calendar_day.fromisoformat(date) - calendar_day.fromisoformat(batch.date)).days <= keeps
    except ValueError:
        return False


def _made(workshop: Workshop, batch: Batch) -> MadeOf:
    written = workshop.days.written
    recipe = written.recipes.get(workshop.names.recipe(batch.makes).name)
    return made_of(written, batch, _names_of(workshop, recipe)) if recipe is not None else MadeOf()


def _names_of(workshop: Workshop, recipe: Recipe) -> frozenset[str]:
    family = workshop.days.plain.family(recipe).values()
    return frozenset(normalise(name) for each in family for name in names_in(each))


def _shop(workshop: Workshop, recipe: Recipe, batches: tuple[Batch, ...]) -> Workshop:
    """Of several batches that were made of different things none speaks for the others: that is open too."""
    every = list(dict.fromkeys(_made(workshop, batch) for batch in batches))
    swaps = tuple(pair for pair in every[0].swaps if all(pair in each.swaps for each in every))
    differ = dict.fromkeys(pair for each in every for pair in each.swaps if pair not in swaps)
    still_open = tuple(dict.fromkeys((*(pair for each in every for pair in each.open), *differ)))
    if dict(swaps) == dict(workshop.days.tonight) and not still_open:
        return workshop
    key = recipe.name, swaps, still_open
    if key not in workshop.made:
        found = [_which(recipe, batches, old, new) for old, new in still_open]
        kitchen = with_substitutes(workshop.days.written, dict(swaps))
        every_finding = (*workshop.reading_findings, *found)
        workshop.made[key] = Workshop(kitchen, workshop.tables, every_finding, workshop.date, workshop.days)
    return workshop.made[key]


def _which(recipe: Recipe, batches: tuple[Batch, ...], old: str, new: str) -> Finding:
    named = " and ".join(f"\"{batch.name}\" of {batch.date}" for batch in batches)
    text = (f"\"{recipe.name}\": {new} stood in for {old} that day, and nobody says with which of the two {named} was made. "
            "Until then it has no answer and no label is printed.")  # fmt: skip
    mend = f"write in that batch under substitutes:  {old}: {old}  if it was made with {old}, or  {old}: {new}  if with {new}"
    return finding("batch-before-or-after", batches[0].place, text, mend, recipe.name)


def on_record(workshop: Workshop, touched: Mapping[str, object] | Iterable[str]) -> list[tuple[Batch, Recipe]]:
    """Batches of the day, of recipes named, that a replacement leaves open: they were on record before it, or say nothing."""
    names = set(touched)
    found = []
    for batch in workshop.kitchen.batches.values():
        recipe = workshop.names.recipe(batch.makes) if batch.makes and batch.date == workshop.date else None
        if recipe is not None and recipe.name in names and workshop.days is not None and _made(workshop, batch).open:
            found.append((batch, recipe))
    return found
