"""From a jar to the packs: which batches, dishes, menus, sign-offs and prints a product, or one lot of it, has touched.

It starts from a product, from a recipe or pack of the kitchen's own, or from a lot code alone; recipes are looked at as they
are written and with the replacements of each day.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import NamedTuple

from labeller.serving.lots import SAME, code_of, codes_in, compared, misread
from labeller.serving.pipeline import Opened, open_kitchen, recipe_named
from labeller.serving.printed import ASIDE, THERE, Print, packs_of, prints
from labeller.serving.register import named_in
from labeller.serving.standing import Void
from labeller.serving.substitutes import replaced_on, with_substitutes
from labeller.serving.workshop import Workshop
from labeller.terms.issued import Register
from labeller.terms.kitchen import Batch, Recipe
from labeller.terms.words import normalise

HAS, NOT_WRITTEN, OTHER = "has it", "lot not written: treat as having it", "another lot"
ALIKE = "a lot that reads like it: treat as having it"
IN_QUESTION = "nobody wrote the lot asked for: in question"
VERDICTS = (HAS, ALIKE, NOT_WRITTEN, IN_QUESTION, OTHER)  # the worst first
AS_WRITTEN = ""


class Wanted(NamedTuple):
    """What is asked for. words: its name and all it is called, on one spelling. lot: letters and figures, "" for every lot.
    written: whether any batch names that lot of it, or its own."""

    name: str
    words: frozenset[str]
    lot: str = ""
    written: bool = False


class DishTouch(NamedTuple):
    """path: names from the dish down to the product. contact: only by equipment that it shares with such food. when: the days on
    which that is so, in words, where it is not so on all."""

    dish: str
    kind: str
    path: tuple[str, ...]
    contact: bool = False
    when: str = ""


class BatchTouch(NamedTuple):
    """verdict: one of VERDICTS. lots: the product's lots that the batch names, as written. substitute: the product came in as a
    replacement on that day."""

    batch: str
    makes: str
    date: str
    count: int
    lot: str
    verdict: str
    lots: tuple[str, ...]
    path: tuple[str, ...]
    place: str
    substitute: bool = False


class IssueTouch(NamedTuple):
    number: int
    menu: str
    date: str
    starts: str
    ends: str
    dishes: tuple[str, ...]


class Recall(NamedTuple):
    """Everything that a product touches. menus: (name, first day, last day, dishes). prints: to be destroyed or moved aside.
    paper: prints whose file was moved aside or is gone; what was printed may still hang somewhere. lot_written: a batch names the
    lot asked for."""

    product: str
    lot: str
    dishes: tuple[DishTouch, ...]
    batches: tuple[BatchTouch, ...]
    menus: tuple[tuple[str, str, str, tuple[str, ...]], ...]
    issues: tuple[IssueTouch, ...]
    prints: tuple[Void, ...]
    paper: tuple[Void, ...] = ()
    lot_written: bool = True


def wanted(opened: Opened, name: str, lot: str = "") -> Wanted | None:
    """The product of this name, the kitchen's own recipe or pack, the bare ingredient, or whatever bears it as a lot; None when
    no file knows it."""
    code = code_of(lot)
    found = _named(opened, name, code)
    if found is None and not lot:
        found = _by_lot(opened, name)
    if found is None or not found.lot:
        return found
    names = opened.workshop.names
    return found._replace(written=any(found.lot in codes_in(text) for batch in opened.kitchen.batches.values()
                                      for text in _lots_named(batch, names, found.words)))  # fmt: skip


def _named(opened: Opened, name: str, code: str) -> Wanted | None:
    names = opened.workshop.names
    entry = names.product(name) or recipe_named(opened, name)
    words = frozenset(normalise(each) for each in ((entry.name, *entry.also_called) if entry else (name,)))
    if entry is not None:
        return Wanted(entry.name, words, code)
    lines = (line for recipe in opened.kitchen.recipes.values() for line, *_ in named_in(recipe))
    return Wanted(name, words, code) if words & {normalise(each) for each in (*lines, *_in_batches(opened))} else None


def _in_batches(opened: Opened) -> Iterator[str]:
    """Names that batches and replacements have, of things which no recipe may name any more."""
    for batch in opened.kitchen.batches.values():
        yield from (name for name, _ in batch.lots)
        yield from (name for pair in batch.substitutes for name in pair)


def _by_lot(opened: Opened, code: str) -> Wanted | None:
    """All that bears a lot code: products whose lot went into a batch, and what a batch of that lot makes."""
    asked, names = code_of(code), opened.workshop.names
    found: dict[str, frozenset[str]] = {}
    for batch in opened.kitchen.batches.values():
        bearers = [name for name, lot in batch.lots if asked in codes_in(lot)]
        bearers += [batch.makes] if batch.makes and asked in codes_in(batch.lot) else []
        for name in bearers if asked else ():
            entry = names.product(name) or names.recipe(name)
            full = entry.name if entry else name
            found[full] = frozenset(normalise(each) for each in ((full, *entry.also_called) if entry else (full,)))
    return Wanted(" and ".join(found), frozenset().union(*found.values()), asked) if found else None


def recall(opened: Opened, register: Register, asked: Wanted, out: Path) -> Recall:
    """What a product, or a lot of it, has touched. ``opened`` is the kitchen of the date; batches are judged by their own day."""
    days = _days(opened)
    paths = {day: _paths(workshop, asked) for day, workshop in days.items()}
    held = set().union(*paths.values())
    batches = _batches(days, paths, asked)
    menus = []
    for menu in opened.kitchen.menus.values():
        mine = [day for day in days if not day or menu.starts <= day <= (menu.ends or "9999")]
        on = [recipe.name for name in menu.dishes() if (recipe := opened.workshop.names.recipe(name))]
        on_it = [name for name in on if any(name in paths[day] for day in mine)]
        menus += [(menu.name, menu.starts, menu.ends, tuple(on_it))] if on_it else []
    touched = {batch.makes for batch in batches if batch.verdict != OTHER}
    clear = {batch.batch for batch in batches if batch.verdict == OTHER}
    known = [(each, why) for each in prints(opened.folder / "out", out) if (why := _shown(each, asked, paths, touched, clear))]
    there = [Void(each.file, why, folder=each.words(out)[: -len(each.file)].rstrip("/\\"))
             for each, why in known if each.state == THERE]  # fmt: skip
    return Recall(asked.name, asked.lot, tuple(_dishes(opened, days, paths, held, asked)), tuple(batches), tuple(menus),
                  tuple(_issues(register, asked)), tuple(there), tuple(_paper(known, out)),
                  asked.written or not asked.lot)  # fmt: skip


def _days(opened: Opened) -> dict[str, Workshop]:
    """The kitchen as its files are written, and of each day that replaces something, as of that day."""
    plain = open_kitchen(opened.folder, "", opened.workshop.tables).workshop
    days = {batch.date for batch in plain.kitchen.batches.values() if batch.date}
    swaps = {day: told for day in days if (told := replaced_on(plain.kitchen, day))}
    return {
        AS_WRITTEN: plain,
        **{day: Workshop(with_substitutes(plain.kitchen, swaps[day]), plain.tables) for day in sorted(swaps)},
    }


def _paths(workshop: Workshop, asked: Wanted) -> dict[str, tuple[str, ...]]:
    """Recipe -> the way down to the product, of each that holds it."""
    return {recipe.name: path for recipe in workshop.kitchen.recipes.values() if (path := path_to(workshop, recipe, asked))}


def path_to(workshop: Workshop, recipe: Recipe, asked: Wanted) -> tuple[str, ...]:
    """Names from a recipe down to the product, () when it is not in it. Nearest first."""
    if asked.words & {normalise(word) for word in (recipe.name, *recipe.also_called)}:
        return (recipe.name,)
    paths: list[tuple[Recipe, tuple[str, ...]]] = [(recipe, (recipe.name,))]
    seen = {recipe.name}
    while paths:
        each, path = paths.pop(0)
        for name, pin, place in named_in(each):
            meaning = workshop.names.meaning(name, pin, place)
            if normalise(name) in asked.words or (meaning.product and normalise(meaning.product.name) in asked.words):
                return (*path, name)
            inner = workshop.kitchen.recipes.get(meaning.ref.key) if meaning.ref.kind == "recipe" else None
            if inner is not None and inner.name not in seen:
                seen.add(inner.name)
                paths.append((inner, (*path, inner.name)))
    return ()


def _dishes(opened: Opened, days: Mapping[str, Workshop], paths: Mapping[str, Mapping[str, tuple[str, ...]]], held: set[str],
            asked: Wanted) -> Iterator[DishTouch]:  # fmt: skip
    near = set().union(*(_near(workshop, paths[day], asked) for day, workshop in days.items()))
    for recipe in opened.kitchen.recipes.values():
        if recipe.kind == "recipe":
            continue
        if recipe.name in held:
            has = [day for day in days if recipe.name in paths[day]]
            yield DishTouch(recipe.name, recipe.kind, paths[has[0]][recipe.name], False, _when(has, days))
        elif recipe.name in near:
            yield DishTouch(recipe.name, recipe.kind, (), True)


def _when(has: list[str], days: Iterable[str]) -> str:
    if AS_WRITTEN in has:
        gone = [day for day in days if day not in has]
        return f"not on {', '.join(gone)}, when it was replaced" if gone else ""
    return f"by a replacement, on {', '.join(has)} only"


def _near(workshop: Workshop, paths: Mapping[str, tuple[str, ...]], asked: Wanted) -> set[str]:
    """Recipes that hold none of it and share equipment with one that does, or with the thing itself."""
    kitchen = workshop.kitchen
    holds = asked.words | {normalise(word) for name in paths for word in (name, *kitchen.recipes[name].also_called)}
    through = {name for recipe in kitchen.recipes.values() if recipe.name in paths for name in recipe.equipment or ()}
    through |= {name for name, one in kitchen.equipment.items() if holds & {normalise(each) for each in one.also_cooks}}
    return {recipe.name for recipe in kitchen.recipes.values() if recipe.name not in paths
            and any(through & set(each.equipment or ()) for each in workshop.family(recipe).values())}  # fmt: skip


# Batches ------------------------------------------------------------------------------------------------------------------


def _batches(days: Mapping[str, Workshop], paths: Mapping[str, Mapping[str, tuple[str, ...]]], asked: Wanted) -> list[BatchTouch]:
    batches = list(days[AS_WRITTEN].kitchen.batches.values())
    out: list[BatchTouch] = []
    for batch in batches:
        out += _touches(batch, days, paths, batches, asked)
    return sorted(out, key=lambda each: (each.date, each.batch))


def _touches(batch: Batch, days: Mapping[str, Workshop], paths: Mapping[str, Mapping[str, tuple[str, ...]]], batches: list[Batch],
             asked: Wanted) -> list[BatchTouch]:  # fmt: skip
    """A batch of a day with replacements may have been made before or after them: it counts as holding both."""
    day = batch.date if batch.date in days else AS_WRITTEN
    workshop = days[day]
    made = workshop.names.recipe(batch.makes) if batch.makes else None
    came = any(normalise(new) in asked.words and normalise(old) not in asked.words for old, new in batch.substitutes)
    if made is None and came:  # a replacement for one day: every dish that used the old one
        verdict = NOT_WRITTEN if asked.lot else HAS
        served = [recipe.name for recipe in workshop.kitchen.recipes.values() if recipe.kind != "recipe"]
        return [BatchTouch(batch.name, name, batch.date, 0, "", verdict, (), paths[day][name], str(batch.place), True)
                for name in served if name in paths[day]]  # fmt: skip
    path = (paths[AS_WRITTEN].get(made.name) or paths[day].get(made.name, ())) if made is not None else ()
    lots = tuple(dict.fromkeys(_lots(batch, workshop, batches, asked, ())))
    if not path and not lots:
        return []
    return [BatchTouch(batch.name, made.name if made else batch.makes, batch.date, batch.count, batch.lot,
                       _verdict(asked, lots), lots, path, str(batch.place), came)]  # fmt: skip


def _verdict(asked: Wanted, lots: tuple[str, ...]) -> str:
    if not asked.lot:
        return HAS
    if not lots:
        return NOT_WRITTEN
    near = compared(asked.lot, lots)
    if near == SAME:
        return HAS
    if near and (not asked.written or misread(asked.lot, lots)):
        return ALIKE
    return OTHER if asked.written else IN_QUESTION


def _lots(batch: Batch, workshop: Workshop, batches: list[Batch], asked: Wanted, through: tuple[str, ...]) -> list[str]:
    """The lots that went into a batch: named there, or in the batch of a part of it that is named by its lot; and its own."""
    found = _lots_named(batch, workshop.names, asked.words)
    for name, lot in batch.lots:
        part = workshop.names.recipe(name)
        made = [each for each in batches if part is not None and each is not batch and workshop.names.recipe(each.makes) is part]
        for each in made:
            if each.name not in through and each.lot and code_of(each.lot) in codes_in(lot):
                found += _lots(each, workshop, batches, asked, (*through, batch.name))
    return found


def _lots_named(batch: Batch, names, words: frozenset[str]) -> list[str]:
    """The lots of a thing that a batch itself names, its own lot where it makes the thing."""
    found = []
    for name, lot in (*batch.lots, *([(batch.makes, batch.lot)] if batch.makes and batch.lot else [])):
        entry = names.product(name) or names.recipe(name)
        if normalise(name) in words or (entry and normalise(entry.name) in words):
            found.append(lot)
    return found


# Sign-offs and prints -----------------------------------------------------------------------------------------------------


def _issues(register: Register, asked: Wanted) -> Iterable[IssueTouch]:
    for issue in register.issues:
        content = issue.content
        entries: list[Mapping] = list(content["declarations"])
        dishes = dict.fromkeys(
            entry["dish"] for entry in entries if asked.words & {normalise(name) for name in (entry["dish"], *entry["products"])}
        )
        if dishes:
            yield IssueTouch(
                issue.number, issue.menu, issue.date, str(content["menu_from"]), str(content["menu_until"]), tuple(dishes)
            )


def _shown(
    each: Print, asked: Wanted, paths: Mapping[str, Mapping[str, tuple[str, ...]]], touched: set[str], clear: set[str]
) -> str:
    """Which dishes on a print hold it, in words, as on the day it was printed; "" for none, and for labels of another lot."""
    held = set(paths.get(str(each.entry.get("date", "")), paths[AS_WRITTEN])) | touched
    packs = packs_of(each.entry).values()
    mine = {pack.get("dish") for pack in packs if pack.get("batch", "") not in clear}
    on_it = [dish for dish in each.entry.get("dishes", {}) if dish in held and (not packs or dish in mine)]
    return f"{' · '.join(on_it[:3])}{' and more' if len(on_it) > 3 else ''} with {asked.name}" if on_it else ""


def _paper(known: Iterable[tuple[Print, str]], out: Path) -> Iterator[Void]:
    seen = set()
    for each, why in known:
        if each.state == THERE:
            continue
        state = f"moved aside to {each.path.parent.name}/{each.path.name}" if each.state == ASIDE and each.path else each.state
        told = Void(each.words(out), f"printed for {each.entry.get('date', '')}, {state}: {why}", False)
        if told not in seen:
            seen.add(told)
            yield told
