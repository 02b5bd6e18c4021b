"""Releases of the food data side by side: what a newer one would change in each dish, before anybody accepts it.

A row's like in another release has the same FoodData Central id or the same NDB number. Nothing is taken over by itself: a
person accepts an ingredient, and the match is then pinned to that release.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from labeller.serving.pipeline import Opened, batch_of, declared, dishes
from labeller.serving.workshop import Workshop
from labeller.terms.findings import STOP, Place
from labeller.terms.foods import Food
from labeller.terms.kitchen import Recipe
from labeller.terms.nutrients import BASE, DERIVED
from labeller.working.matching import PINNED, PRODUCT

Row = tuple[str, str, str]  # (figure, before, after), as printed or as the data have it


class Offer(Struct, frozen=True):
    """One ingredient whose row has its like in the release. moves: of the row, per 100 g ("" where not known). dishes: name ->
    printed figures that change. pinned: where another than matches.yaml settles the row ("" = a match would count)."""

    ingredient: str
    place: Place
    before: Food
    after: Food
    moves: tuple[Row, ...]
    dishes: tuple[tuple[str, tuple[Row, ...]], ...]
    pinned: str = ""


class _Instead:
    """The food data with one row in the place of another."""

    def __init__(self, foods, before: Food, after: Food):
        self._foods, self._before, self._after = foods, before, after

    def __getattr__(self, name: str):
        return getattr(self._foods, name)

    def get(self, code: str, release: str = "") -> Food | None:
        found = self._foods.get(code, release)
        same = found is not None and (found.code, found.release) == (self._before.code, self._before.release)
        return self._after if same else found


class _Tables:
    """The tables of a kitchen with other food data."""

    def __init__(self, tables, foods):
        self._tables, self.foods = tables, foods

    def __getattr__(self, name: str):
        return getattr(self._tables, name)


def at_hand(opened: Opened) -> list[tuple[str, str, int]]:
    """(release, date, ingredients of the kitchen that rest on it)."""
    rests: dict[str, set[str]] = {}
    for name, _, food, _ in _rows(opened):
        rests.setdefault(food.release, set()).add(name)
    return [(name, date, len(rests.get(name, ()))) for name, date in opened.workshop.tables.foods.releases()]


def offers(opened: Opened, release: str) -> list[Offer]:
    """What the release has for the ingredients of the kitchen; those whose figures are the same are left out."""
    foods, found = opened.workshop.tables.foods, []
    printed = _printed(opened, opened.workshop)
    for name, place, food, pinned in _rows(opened):
        if food.release == release:
            continue
        after = foods.counterpart(food.fdc_id, food.ndb or (food.code if food.code.isdigit() else ""), release)
        moves = _moves(food, after) if after else ()
        if after and moves:
            found.append(Offer(name, place, food, after, moves, _touched(opened, food, after, printed), pinned))
    return found


def _rows(opened: Opened) -> Iterator[tuple[str, Place, Food, str]]:
    """(ingredient, place, its row, where it is pinned) of each line that rests on a food row, each row and name once."""
    seen = set()
    for recipe in opened.kitchen.recipes.values():
        for line in recipe.lines:
            meaning = opened.workshop.meaning(line)
            food = meaning.food
            if food is None or (line.name, food.code, food.release) in seen:
                continue
            seen.add((line.name, food.code, food.release))
            where = ""
            if meaning.how == PINNED:
                where = str(line.place)
            elif meaning.how == PRODUCT and meaning.product:
                where = str(meaning.product.place)
            yield line.name, line.place, food, where


def _moves(before: Food, after: Food) -> tuple[Row, ...]:
    """Figures per 100 g that differ. One that the other release lacks is "" there."""
    def text(value: float | None) -> str:
        return "" if value is None else f"{value:.4g}"

    pairs = zip(BASE, before.values, after.values, strict=True)
    return tuple((key, text(old), text(new)) for key, old, new in pairs
                 if key not in DERIVED and text(old) != text(new))


def _printed(opened: Opened, workshop: Workshop) -> dict[str, dict[str, str]]:
    """dish -> figure -> its printed text, by the kitchen's law."""
    return {recipe.name: _figures(opened, workshop, recipe) for recipe in dishes(opened.kitchen)}


def _figures(opened: Opened, workshop: Workshop, recipe: Recipe) -> dict[str, str]:
    view = Opened(opened.folder, opened.date, workshop, opened.findings)
    made, _ = declared(view, recipe, opened.kitchen.law, batch=batch_of(view, recipe))
    if made is None:
        return {}
    if made.record.nutrition_stopped:
        stop = next((each for each in made.record.findings if each.severity == STOP), None)
        return {"figures": f"none: {stop.text}" if stop else "none"}
    return {row.name.strip() or row.key: " / ".join(part for part in (row.hundred, row.per_portion) if part) for row in made.rows}


def _touched(opened: Opened, before: Food, after: Food,
             printed: dict[str, dict[str, str]]) -> tuple[tuple[str, tuple[Row, ...]], ...]:  # fmt: skip
    """Dishes whose printed figures change when the one row stands in for the other."""
    workshop = opened.workshop
    changed = Workshop(workshop.kitchen, _Tables(workshop.tables, _Instead(workshop.tables.foods, before, after)),
                       workshop.reading_findings,
                       workshop.date, workshop.days)
    found = []
    for recipe in dishes(opened.kitchen):
        rows = [workshop.meaning(line).food for each in workshop.family(recipe).values() for line in each.lines]
        if not any(food is not None and (food.code, food.release) == (before.code, before.release) for food in rows):
            continue
        old, new = printed[recipe.name], _figures(opened, changed, recipe)
        if "figures" in new and "figures" not in old:
            old = {"figures": "given"}
        moved = tuple((key, old.get(key, ""), new.get(key, "")) for key in dict.fromkeys((*old, *new))
                      if old.get(key) != new.get(key))  # fmt: skip
        if moved:
            found.append((recipe.name, moved))
    return tuple(found)
