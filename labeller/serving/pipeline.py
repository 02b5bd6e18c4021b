"""The running order, readable as a recipe: read the kitchen, work it out, declare it, gather what was found."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from labeller.serving.made import agree, made_in, served
from labeller.serving.other_days import OtherDays
from labeller.serving.substitutes import in_force, with_substitutes
from labeller.serving.tables import Tables
from labeller.serving.workshop import Workshop
from labeller.terms.findings import SEVERITIES, STOP, Finding
from labeller.terms.kitchen import Batch, Kitchen, Menu, Recipe
from labeller.terms.record import Declaration
from labeller.terms.words import normalise
from labeller.working.papers import evidence_findings


class Opened(Struct, frozen=True):
    """A kitchen ready to be asked. workshop: None when the folder could not be read at all (findings say why)."""

    folder: Path
    date: str
    workshop: Workshop | None
    findings: tuple[Finding, ...]

    @property
    def kitchen(self) -> Kitchen:
        return self.workshop.kitchen


def open_kitchen(folder: Path, date: str, tables: Tables | None = None) -> Opened:
    """Read a kitchen folder for an ISO date; substitutes of that day's batches are in force."""
    from labeller.reading.kitchen import read_kitchen

    kitchen, findings = read_kitchen(folder)
    if kitchen is None:
        return Opened(folder, date, None, findings)
    tonight, more = in_force(kitchen, date)
    findings = (*findings, *more)
    tables = tables or Tables(folder)
    days = OtherDays(kitchen, tonight, date, lambda other: Workshop(other, tables))
    workshop = Workshop(_by_full_names(with_substitutes(kitchen, tonight)), tables, findings, date, days)
    return Opened(folder, date, workshop, workshop.reading_findings)


def _by_full_names(kitchen: Kitchen) -> Kitchen:
    """Menus name dishes by their own names, even where the kitchen wrote an "also called"."""
    full = {normalise(word): recipe.name for recipe in kitchen.recipes.values() for word in (*recipe.also_called, recipe.name)}

    def named(names: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(full.get(normalise(name), name) for name in names)

    def menu_named(menu: Menu) -> Menu:
        courses = tuple(replace(course, dishes=named(course.dishes)) for course in menu.courses)
        return replace(menu, courses=courses, packs=named(menu.packs))

    menus = {key: menu_named(menu) for key, menu in kitchen.menus.items()}
    return replace(kitchen, menus=menus)


def declared(opened: Opened, recipe: Recipe, law_key: str, language: str = "en",
             batch: Batch | None = None) -> tuple[Declaration | None, tuple[Finding, ...]]:  # fmt: skip
    """One dish under one law on the opened date. None when the law is not in force or not known (findings say so)."""
    from labeller.declaring.declare import declare

    workshop = made_in(opened.workshop, batch) if batch is not None else served(opened.workshop, recipe)
    recipe = workshop.kitchen.recipes.get(recipe.name, recipe) if workshop is not opened.workshop else recipe
    law = workshop.tables.law(law_key, opened.date, tuple(dict.fromkeys(("en", language))))
    if any_stop(law.findings):
        return None, law.findings
    record = workshop.record(recipe)
    tables = workshop.tables
    made = declare(record, law, recipe=recipe, kitchen=workshop.kitchen, kinds=tables.kinds, date=opened.date,
                   lists=tables.lists(opened.date, law_key), language=language, batch=batch,
                   data_version=tables.foods.version)  # fmt: skip
    return made, law.findings


def dishes(kitchen: Kitchen) -> tuple[Recipe, ...]:
    """Dishes and packs, in the order of the files."""
    return tuple(recipe for recipe in kitchen.recipes.values() if recipe.kind in ("dish", "pack"))


def recipe_named(opened: Opened, name: str) -> Recipe | None:
    """The recipe, dish or pack of a name of the kitchen's, else of the name that its label or card has."""
    word = normalise(name)
    labels = (each for each in opened.kitchen.recipes.values() if word and normalise(each.legal_name) == word)
    return opened.workshop.names.recipe(name) or next(labels, None)


def batch_of(opened: Opened, recipe: Recipe) -> Batch | None:
    """The batch of a pack or dish made on the opened date, else the latest before it; None where those of that date were not made
    of the same things."""
    named = opened.workshop.names.recipe
    mine = [each for each in opened.kitchen.batches.values() if named(each.makes) is recipe and each.date <= opened.date]
    last = max(mine, key=lambda batch: batch.date, default=None)
    return last if last is None or agree(opened.workshop, [batch for batch in mine if batch.date == last.date]) else None


def everything_found(opened: Opened, law_key: str | None = None, found_in: FoundIn | None = None) -> tuple[Finding, ...]:
    """All findings of one run, each once, with the dishes it touches; worst first, then by place. found_in: where the findings
    of one recipe come from, for whoever keeps those that can't have changed (default: worked out here)."""
    if opened.workshop is None:
        return opened.findings
    touched: dict[Finding, dict[str, None]] = {_alone(each): {} for each in opened.findings}
    for recipe in opened.kitchen.recipes.values():
        for each in (found_in or found_of)(opened, recipe, law_key or opened.kitchen.law):
            names = touched.setdefault(_alone(each), {})
            if recipe.kind != "recipe":
                names[recipe.name] = None
    for each in evidence_findings(opened.kitchen, opened.date):
        touched.setdefault(_alone(each), {})
    return ordered(each.touching(tuple(names)) for each, names in touched.items())


def found_of(opened: Opened, recipe: Recipe, law_key: str) -> tuple[Finding, ...]:
    """What is found in one recipe; of a dish or pack, in its declaration under a law too."""
    found = opened.workshop.findings_of(recipe)
    return found if recipe.kind == "recipe" else (*found, *_declared_findings(opened, recipe, law_key))


FoundIn = Callable[[Opened, Recipe, str], tuple[Finding, ...]]


def _alone(each: Finding) -> Finding:
    """A finding without the dishes it touches; what has no place belongs to no single dish either."""
    return replace(each, dishes=(), subject=each.subject if each.place.file else "")


def _declared_findings(opened: Opened, recipe: Recipe, law_key: str) -> list[Finding]:
    made, findings = declared(opened, recipe, law_key, batch=batch_of(opened, recipe))
    return [*findings, *(made.findings if made else ())]


def ordered(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    return tuple(sorted(findings, key=lambda each: (SEVERITIES.index(each.severity), each.place, each.code, each.text)))


def any_stop(findings: Iterable[Finding]) -> bool:
    return any(each.severity == STOP for each in findings)
