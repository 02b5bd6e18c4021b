"""Checks across the kitchen's files that need no table: rings, names nobody wrote, equipment, overlapping menus."""

from __future__ import annotations

from typing import NamedTuple

from msgspec.structs import replace

from labeller.reading.nodes import Notes
from labeller.reading.recipes import husk
from labeller.terms.findings import Finding, Place
from labeller.terms.kitchen import Kitchen, Menu, Recipe
from labeller.terms.words import normalise

SHARED_METHODS = ("fried", "frying", "boiled", "blanched", "water bath", "water-bath", "sous vide", "sous-vide")


class Link(NamedTuple):
    """One recipe in another: by which name, in which line."""

    name: str
    place: Place


def check_kitchen(kitchen: Kitchen, notes: Notes) -> None:
    by_word = _by_word(kitchen.recipes)
    _rings(kitchen, by_word, notes)
    for recipe in kitchen.recipes.values():
        _equipment(recipe, kitchen, notes)
        _named_recipes(recipe, by_word, notes)
    for menu in kitchen.menus.values():
        _menu(menu, by_word, notes)
    for batch in kitchen.batches.values():
        if batch.makes and normalise(batch.makes) not in by_word:
            notes.add("dish-unknown", batch.place, f'batch "{batch.name}" makes "{batch.makes}", which is not among the recipes',
                      _near(batch.makes, by_word), batch.name)  # fmt: skip
    _overlaps(list(kitchen.menus.values()), notes)


def _by_word(recipes: dict[str, Recipe]) -> dict[str, Recipe]:
    found: dict[str, Recipe] = {}
    for recipe in recipes.values():
        for word in (recipe.name, *recipe.also_called):
            found.setdefault(normalise(word), recipe)
    return found


def _near(name: str, by_word: dict[str, Recipe]) -> str:
    import difflib

    close = difflib.get_close_matches(normalise(name), list(by_word), n=1, cutoff=0.6)
    return f"did you mean {by_word[close[0]].name}?" if close else "write its recipe in recipes/, or correct the name"


def without_rings(kitchen: Kitchen) -> tuple[Kitchen, tuple[Finding, ...]]:
    """The kitchen with each recipe that closes a ring reduced to its name, so that whatever follows what a dish is made of comes
    to an end; and the findings that stop all recipes of the ring. A replacement for tonight can close a ring that no file has."""
    notes = Notes()
    closing = _rings(kitchen, _by_word(kitchen.recipes), notes)
    if not closing:
        return kitchen, ()
    recipes = {name: husk(each.kind, name, each.place) if name in closing else each for name, each in kitchen.recipes.items()}
    return replace(kitchen, recipes=recipes), tuple(notes.findings)


def _links(recipe: Recipe, by_word: dict[str, Recipe]) -> list[tuple[Link, Recipe]]:
    """Lines of a recipe that are recipes themselves, alternatives and the frying oil too."""
    out = []
    for line in recipe.lines:
        for name in (line.name, line.instead):
            inner = by_word.get(normalise(name)) if name else None
            if inner is not None and not (line.food and name == line.name):
                out.append((Link(line.name, line.place), inner))
    oil = recipe.fried_in
    if oil is not None and not oil.food and (inner := by_word.get(normalise(oil.oil))) is not None:
        out.append((Link(oil.oil, oil.place), inner))
    return out


def _rings(kitchen: Kitchen, by_word: dict[str, Recipe], notes: Notes) -> frozenset[str]:
    """Tells every ring; names of the recipes whose line closes one. Depth first, without recursion: a ring of a thousand recipes
    is still a finding and not a traceback."""
    done: set[str] = set()
    closing: set[str] = set()
    for start in kitchen.recipes.values():
        path: list[tuple[Recipe, Link | None]] = [(start, None)]
        todo = [iter(_links(start, by_word))] if start.name not in done else []
        on_path = {start.name}
        while todo:
            step = next(todo[-1], None)
            if step is None:
                todo.pop()
                recipe, _ = path.pop()
                on_path.discard(recipe.name)
                done.add(recipe.name)
                continue
            line, inner = step
            if inner.name in on_path:
                _tell_ring(path, line, inner, notes)
                closing.add(path[-1][0].name)
            elif inner.name not in done:
                path.append((inner, line))
                on_path.add(inner.name)
                todo.append(iter(_links(inner, by_word)))
    return frozenset(closing)


def _tell_ring(path: list[tuple[Recipe, Link | None]], closing: Link, first: Recipe, notes: Notes) -> None:
    at = next(number for number, (recipe, _) in enumerate(path) if recipe.name == first.name)
    ring = path[at:]
    lines = [line for _, line in ring[1:] if line is not None] + [closing]
    links = [f"{recipe.name} uses {line.name} ({line.place})" for (recipe, _), line in zip(ring, lines, strict=True)]
    for recipe, _ in ring:
        notes.add("ring-of-recipes", closing.place, "these recipes go round in a ring: " + "; ".join(links),
                  "take out one of these lines", recipe.name)  # fmt: skip


def _title(recipe: Recipe) -> str:
    return f'{recipe.kind} "{recipe.name}"'


def _equipment(recipe: Recipe, kitchen: Kitchen, notes: Notes) -> None:
    known = {normalise(name) for name in kitchen.equipment}
    for name in recipe.equipment or ():
        if normalise(name) not in known:
            there = f"; there are: {', '.join(kitchen.equipment)}" if kitchen.equipment else ""
            notes.add("equipment-unknown", recipe.place, f'{_title(recipe)}: "{name}" is not among the equipment of kitchen.yaml',
                      f"write it there ({name}: {{oil changed: …}}), or correct the name{there}", recipe.name)  # fmt: skip
    if recipe.equipment is None and (how := _shares(recipe)):
        notes.add("equipment-missing", recipe.place, f"{_title(recipe)} is {how}, and its equipment is not written",
                  "write equipment: [deep fryer], as kitchen.yaml calls it, or equipment: none shared", recipe.name)  # fmt: skip


def _shares(recipe: Recipe) -> str:
    """The treatment that brings a food into oil or water which other foods may have met, "" for none."""
    if recipe.fried_in is not None:
        return f"fried in {recipe.fried_in.oil}"
    for text in (recipe.method, *[line.cooked_as.lower() for line in recipe.lines]):
        if any(word in text for word in SHARED_METHODS):
            return text
    return ""


def _named_recipes(recipe: Recipe, by_word: dict[str, Recipe], notes: Notes) -> None:
    """What a pack holds, and what shares a batch, are recipes of this kitchen."""
    for line in recipe.lines if recipe.kind == "pack" else ():
        if normalise(line.name) not in by_word:
            others = {word: one for word, one in by_word.items() if one is not recipe}
            first = f"make it a recipe of its own first: - recipe: {line.name}, and what is in it"
            mend = f"{_near(line.name, others)}; or {first}"
            text = f'pack "{recipe.name}" holds "{line.name}", which is not among the recipes'
            notes.add("dish-unknown", line.place, text, mend, recipe.name)
    for name in recipe.same_batch_as:
        if normalise(name) not in by_word:
            text = f'{_title(recipe)} shares its batch with "{name}", which is not among the recipes'
            notes.add("dish-unknown", recipe.place, text, _near(name, by_word), recipe.name)


def _menu(menu: Menu, by_word: dict[str, Recipe], notes: Notes) -> None:
    named = [(dish, course.place) for course in menu.courses for dish in course.dishes] + [
        (pack, menu.place) for pack in menu.packs
    ]
    for name, place in named:
        if normalise(name) not in by_word:
            mend = _near(name, by_word)
            if not mend.startswith("did"):
                mend += "; a name with a comma in it needs quotes inside [ ]"
            notes.add("dish-unknown", place, f'menu "{menu.name}" has "{name}", which is not among the recipes', mend, menu.name)


def _overlaps(menus: list[Menu], notes: Notes) -> None:
    dated = sorted((menu for menu in menus if menu.starts), key=lambda menu: menu.starts)
    first = dated[0] if dated else None  # of those that began before, the one that runs longest
    for second in dated[1:]:
        if second.starts <= (first.ends or "9999-12-31"):
            text = f'on {second.starts} there are two menus, "{first.name}" ({first.place}) and "{second.name}"'
            notes.add("menus-overlap", second.place, text, "correct the dates, or name the menu with --menu", second.name)
        first = max(first, second, key=lambda menu: menu.ends or "9999-12-31")
