"""One name standing in for another on one day: where it reaches, and what can't be trusted of it.

A name is matched as the lines of recipes are: whatever its case, its plural or which of its "also called" was written.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import date as calendar_day

from msgspec.structs import replace

from labeller.terms.findings import Finding, finding
from labeller.terms.kitchen import Batch, Kitchen, Recipe
from labeller.terms.words import normalise

LATELY = 2  # days in which a replacement that has ended is still told: it may have been meant to go on


def words_of(kitchen: Kitchen, name: str) -> frozenset[str]:
    """All words, normalised, that mean what a name means: its own and those of the product or recipe that bears it."""
    own = normalise(name)
    found = {own}
    for entry in (*kitchen.products.values(), *kitchen.recipes.values()):
        words = {normalise(word) for word in (entry.name, *entry.also_called)}
        if own in words:
            found |= words
    return frozenset(found)


def names_in(recipe: Recipe) -> Iterator[str]:
    """Every ingredient that a recipe names: lines, what the kitchen makes instead, the fat it is fried in."""
    for line in recipe.lines:
        yield line.name
        if line.instead:
            yield line.instead
    if recipe.fried_in:
        yield recipe.fried_in.oil


def matches(kitchen: Kitchen, name: str) -> bool:
    """Whether anything in the kitchen uses a name: a line, an alternative, a frying fat, what equipment also cooks."""
    words = words_of(kitchen, name)
    used = (each for recipe in kitchen.recipes.values() for each in names_in(recipe))
    shared = (each for one in kitchen.equipment.values() for each in one.also_cooks)
    return any(normalise(each) in words for each in (*used, *shared))


def with_substitutes(kitchen: Kitchen, substitutes: Mapping[str, str]) -> Kitchen:
    """The kitchen with one name taken for another wherever it stands: lines and their alternatives, frying fat, coating, what is
    poured off, ``quid``, batch mates and what shared equipment also cooks. Lines keep their places; a pinned row is let go."""
    if not substitutes:
        return kitchen
    news: dict[str, str] = {}
    for old, new in substitutes.items():
        news.update(dict.fromkeys(words_of(kitchen, old), new))
    for old, new in substitutes.items():  # what a batch says of a name goes before what follows from another
        news[normalise(old)] = new

    def named(name: str) -> str:
        return news.get(normalise(name), name) if name else name

    equipment = {
        name: replace(one, also_cooks=tuple(map(named, one.also_cooks))) for name, one in kitchen.equipment.items()
    }
    recipes = {name: _swapped(recipe, named) for name, recipe in kitchen.recipes.items()}
    return replace(kitchen, recipes=recipes, equipment=equipment)


def _swapped(recipe: Recipe, named: Callable[[str], str]) -> Recipe:
    def all_named(names: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(map(named, names))

    lines = []
    for line in recipe.lines:
        new = named(line.name)
        lines.append(replace(line, name=new, food=line.food if new == line.name else "", instead=named(line.instead)))
    fried = recipe.fried_in
    if fried and named(fried.oil) != fried.oil:
        fried = replace(fried, oil=named(fried.oil), food="")
    off = tuple(replace(each, lines=all_named(each.lines)) for each in recipe.poured_off)
    coating = replace(recipe.coating, lines=all_named(recipe.coating.lines)) if recipe.coating else None
    return replace(recipe, lines=tuple(lines), fried_in=fried, poured_off=off, coating=coating, quid=all_named(recipe.quid),
                   same_batch_as=all_named(recipe.same_batch_as))  # fmt: skip


def in_force(kitchen: Kitchen, date: str) -> tuple[dict[str, str], tuple[Finding, ...]]:
    """(old -> new of an ISO date, what is wrong with the kitchen's replacements). What can't be placed stops every dish: nobody
    knows which of them it was meant for, so the findings have no subject."""
    told: dict[str, str] = {}
    said: dict[str, str] = {}
    found: list[Finding] = []
    for batch in kitchen.batches.values():
        if not batch.substitutes:
            continue
        if not batch.date:
            found.append(finding("substitute-without-date", batch.place,
                                 f"batch \"{batch.name}\" has substitutes and no day: nobody knows when they are in force",
                                 "write date: year-month-day in that batch"))  # fmt: skip
        elif batch.date == date:
            found += _of_today(kitchen, batch, told, said)
        elif _lately(batch.date, date):
            pairs = ", ".join(f"{new} for {old}" for old, new in batch.substitutes if not is_kept(kitchen, old, new))
            if not pairs:
                continue
            found.append(finding("substitute-fell-back", batch.place,
                                 f"batch \"{batch.name}\" of {batch.date} is no longer in force: {pairs} has fallen back",
                                 f"nothing; if it goes on, write a batch of {date}"))  # fmt: skip
    return told, tuple(found)


def replaced_on(kitchen: Kitchen, date: str) -> dict[str, str]:
    """old -> new of an ISO date. A pair of one name with itself says of its batch that it was made with the old."""
    pairs = (pair for batch in kitchen.batches.values() if batch.date == date for pair in batch.substitutes)
    return {old: new for old, new in pairs if not is_kept(kitchen, old, new)}


def is_kept(kitchen: Kitchen, old: str, new: str) -> bool:
    """Whether a pair says that the old was kept."""
    return normalise(new) in words_of(kitchen, old)


def _of_today(kitchen: Kitchen, batch: Batch, told: dict[str, str], said: dict[str, str]) -> list[Finding]:
    found = []
    for old, new in batch.substitutes:
        if is_kept(kitchen, old, new):
            continue
        if not matches(kitchen, old):
            found.append(finding("substitute-matches-nothing", batch.place,
                                 f"batch \"{batch.name}\": \"{old}\" is replaced by \"{new}\", and no recipe uses \"{old}\"",
                                 _near(kitchen, old)))  # fmt: skip
            continue
        for word in words_of(kitchen, old):
            if said.setdefault(word, new) != new and normalise(said[word]) != normalise(new):
                found.append(finding("substitutes-disagree", batch.place,
                                     f"\"{old}\" is replaced by \"{new}\" and by \"{said[word]}\" on {batch.date}",
                                     "keep the one that is used"))  # fmt: skip
                break
        told[old] = new
    return found


def _near(kitchen: Kitchen, old: str) -> str:
    from difflib import get_close_matches

    used: Iterable[str] = (each for recipe in kitchen.recipes.values() for each in names_in(recipe))
    by_word = {normalise(each): each for each in used}
    close = get_close_matches(normalise(old), list(by_word), n=1, cutoff=0.6)
    return f"did you mean {by_word[close[0]]}? Correct the name" if close else "use the name as the recipes have it"


def _lately(day: str, today: str) -> bool:
    try:
        return 0 < (calendar_day.fromisoformat(today) - calendar_day.fromisoformat(day)).days <= LATELY
    except ValueError:
        return False
