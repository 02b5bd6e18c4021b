"""From a jar to the packs: which batches, dishes, menus, sign-offs and prints a product, or one lot of it, has touched."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import NamedTuple

from labeller.reading.issued import read_prints
from labeller.serving.pipeline import Opened, open_kitchen
from labeller.serving.register import named_in
from labeller.serving.standing import LIST, Void, packs_of
from labeller.serving.substitutes import with_substitutes
from labeller.serving.workshop import Workshop
from labeller.terms.issued import Register
from labeller.terms.kitchen import Batch, Recipe
from labeller.terms.words import normalise

HAS, NOT_WRITTEN, OTHER = "has it", "lot not written: treat as having it", "another lot"


class Wanted(NamedTuple):
    """The product asked for. words: its name and all it is called, on one spelling. lot: on one spelling, "" for every lot."""

    name: str
    words: frozenset[str]
    lot: str = ""


class DishTouch(NamedTuple):
    """path: names from the dish down to the product. contact: only by equipment that it shares with such food."""

    dish: str
    kind: str
    path: tuple[str, ...]
    contact: bool = False


class BatchTouch(NamedTuple):
    """verdict: HAS, NOT_WRITTEN or OTHER. lots: the product's lots that the batch names, as written. substitute: the product came
    in as a replacement on that day."""

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
    """Everything that a product touches. menus: (name, first day, last day, dishes). prints: to be destroyed or moved aside."""

    product: str
    lot: str
    dishes: tuple[DishTouch, ...]
    batches: tuple[BatchTouch, ...]
    menus: tuple[tuple[str, str, str, tuple[str, ...]], ...]
    issues: tuple[IssueTouch, ...]
    prints: tuple[Void, ...]


def wanted(opened: Opened, name: str, lot: str = "") -> Wanted | None:
    """The product of this name, or the bare ingredient; None when no file knows it."""
    product = opened.workshop.names.product(name)
    words = {normalise(each) for each in ((product.name, *product.also_called) if product else (name,))}
    known = product is not None or any(
        words & {normalise(line) for line, *_ in named_in(recipe)} for recipe in opened.kitchen.recipes.values()
    )
    known = known or any(
        normalise(one) in words for batch in opened.kitchen.batches.values() for one, _ in (*batch.lots, *_turned(batch))
    )
    return Wanted(product.name if product else name, frozenset(words), normalise(lot)) if known else None


def _turned(batch: Batch) -> list[tuple[str, str]]:
    return [(new, old) for old, new in batch.substitutes]


def recall(opened: Opened, register: Register, asked: Wanted, out: Path) -> Recall:
    """What a product, or a lot of it, has touched. ``opened`` is the kitchen of the date; batches are judged by their own day."""
    names = opened.workshop.names
    paths = {
        recipe.name: path for recipe in opened.kitchen.recipes.values() if (path := path_to(opened.workshop, recipe, asked))
    }
    near = _near(opened, paths)
    batches = _batches(opened, asked)
    served = [recipe for recipe in opened.kitchen.recipes.values() if recipe.kind != "recipe" and recipe.name in {*paths, *near}]
    dishes = [DishTouch(recipe.name, recipe.kind, paths.get(recipe.name, ()), recipe.name not in paths) for recipe in served]
    menus = []
    for menu in opened.kitchen.menus.values():
        on_it = [recipe.name for name in menu.dishes() if (recipe := names.recipe(name)) and recipe.name in paths]
        menus += [(menu.name, menu.starts, menu.ends, tuple(on_it))] if on_it else []
    touched = set(paths) | {batch.makes for batch in batches if batch.verdict != OTHER}
    clear = {batch.batch for batch in batches if batch.verdict == OTHER}
    return Recall(asked.name, asked.lot, tuple(dishes), tuple(batches), tuple(menus), tuple(_issues(register, asked)),
                  tuple(_prints(out, asked, touched, clear)))  # fmt: skip


def path_to(workshop: Workshop, recipe: Recipe, asked: Wanted) -> tuple[str, ...]:
    """Names from a recipe down to the product, () when it is not in it. Nearest first."""
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


def _near(opened: Opened, paths: Mapping[str, tuple[str, ...]]) -> set[str]:
    """Recipes that hold none of it and share equipment with one that does."""
    kitchen, family = opened.kitchen, opened.workshop.family
    through = {name for recipe in kitchen.recipes.values() if recipe.name in paths for name in recipe.equipment or ()}
    return {recipe.name for recipe in kitchen.recipes.values() if recipe.name not in paths
            and any(through & set(each.equipment or ()) for each in family(recipe).values())}  # fmt: skip


# Batches ------------------------------------------------------------------------------------------------------------------


def _batches(opened: Opened, asked: Wanted) -> list[BatchTouch]:
    plain = open_kitchen(opened.folder, "", opened.workshop.tables)  # as written, without the replacements of any day
    batches = list(plain.kitchen.batches.values())
    days: dict[str, Workshop] = {}
    out = []
    for batch in batches:
        if batch.date not in days:
            swaps = {old: new for each in batches if each.date == batch.date for old, new in each.substitutes}
            days[batch.date] = (
                Workshop(with_substitutes(plain.kitchen, swaps), plain.workshop.tables) if swaps else plain.workshop
            )
        out += _touches(batch, days[batch.date], batches, asked)
    return sorted(out, key=lambda each: (each.date, each.batch))


def _touches(batch: Batch, workshop: Workshop, batches: Iterable[Batch], asked: Wanted) -> list[BatchTouch]:
    made = workshop.names.recipe(batch.makes) if batch.makes else None
    lots = tuple(dict.fromkeys(_lots(batch, workshop, list(batches), asked, ())))
    came = any(normalise(new) in asked.words for _, new in batch.substitutes)
    if made is None and came:  # a replacement for one day: every dish that used the old one
        verdict = NOT_WRITTEN if asked.lot else HAS
        served = [recipe for recipe in workshop.kitchen.recipes.values() if recipe.kind != "recipe"]
        used = [(recipe, path_to(workshop, recipe, asked)) for recipe in served]
        return [BatchTouch(batch.name, recipe.name, batch.date, 0, "", verdict, (), path, str(batch.place), True)
                for recipe, path in used if path]  # fmt: skip
    path = path_to(workshop, made, asked) if made is not None else ()
    if not path and not lots:
        return []
    verdict = HAS
    if asked.lot:
        verdict = NOT_WRITTEN if not lots else HAS if any(asked.lot in _codes(lot) for lot in lots) else OTHER
    return [BatchTouch(batch.name, made.name if made else batch.makes, batch.date, batch.count, batch.lot, verdict, lots, path,
                       str(batch.place), came)]  # fmt: skip


def _lots(batch: Batch, workshop: Workshop, batches: list[Batch], asked: Wanted, through: tuple[str, ...]) -> list[str]:
    """The product's lots that went into a batch: named there, or in the batch of a part of it that is named by its lot."""
    found = []
    for name, lot in batch.lots:
        product = workshop.names.product(name)
        if normalise(name) in asked.words or (product and normalise(product.name) in asked.words):
            found.append(lot)
        part = workshop.names.recipe(name)
        made = [each for each in batches if part is not None and each is not batch and workshop.names.recipe(each.makes) is part]
        for each in made:
            if each.name not in through and each.lot and normalise(each.lot) in _codes(lot):
                found += _lots(each, workshop, batches, asked, (*through, batch.name))
    return found


def _codes(text: str) -> set[str]:
    """The lot codes of a text ("BS 2207, BS 2209"), and the whole."""
    parts = text.replace(";", ",").replace(" and ", ",").replace("+", ",").split(",")
    return {normalise(part) for part in (text, *parts) if part.strip()}


# Sign-offs and prints -----------------------------------------------------------------------------------------------------


def _issues(register: Register, asked: Wanted) -> Iterable[IssueTouch]:
    for issue in register.issues:
        content = issue.content
        entries: list[Mapping] = list(content["declarations"])
        dishes = dict.fromkeys(
            entry["dish"] for entry in entries if asked.words & {normalise(name) for name in entry["products"]}
        )
        if dishes:
            yield IssueTouch(
                issue.number, issue.menu, issue.date, str(content["menu_from"]), str(content["menu_until"]), tuple(dishes)
            )


def _prints(out: Path, asked: Wanted, touched: set[str], clear: set[str]) -> Iterable[Void]:
    """Prints on the list that show a dish or recipe that holds it; labels of a batch with another lot stay."""
    for file, entry in sorted(read_prints(out / LIST).items()):
        packs = packs_of(entry).values()
        held = {pack.get("dish") for pack in packs if pack.get("batch", "") not in clear}
        on_it = [dish for dish in entry.get("dishes", {}) if dish in touched and (not packs or dish in held)]
        if on_it and (out / file).is_file():
            yield Void(file, f"{', '.join(on_it[:3])}{' and more' if len(on_it) > 3 else ''} with {asked.name}")
