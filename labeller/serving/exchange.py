"""What changes when one product stands in for another: allergens gained, lost and left unknown, dish by dish."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from labeller.serving.guest import states_of
from labeller.serving.pipeline import Opened, dishes
from labeller.serving.substitutes import names_in, with_substitutes, words_of
from labeller.serving.workshop import Workshop
from labeller.terms.allergens import CONTAINS, CROSS_CONTACT, GROUPS, MAY_CONTAIN, NONE_ON_RECORD, RANK, TO_CONFIRM, AllergenFact
from labeller.terms.floor import OptionState
from labeller.terms.kitchen import Recipe
from labeller.terms.words import normalise


class Difference(Struct, frozen=True):
    """One dish before and after. gains, loses: (kind key, state after / state before). unknown: kinds not confirmed after that
    were settled before. Warnings that come or go (a supplier's "may contain", shared equipment) are among
    both, also of a kind that the dish holds. menus: where it stands. figures: key -> (before, after) per portion, of those
    that moved."""

    dish: str
    gains: tuple[tuple[str, str], ...]
    loses: tuple[tuple[str, str], ...]
    unknown: tuple[str, ...]
    menus: tuple[str, ...]
    figures: tuple[tuple[str, float, float], ...]
    stopped: bool

    @property
    def same(self) -> bool:
        return not (self.gains or self.loses or self.unknown or self.stopped)


def users(opened: Opened, name: str) -> tuple[Recipe, ...]:
    """Dishes and packs that use an ingredient, however deep."""
    words = words_of(opened.kitchen, name)

    def holds(recipe: Recipe) -> bool:
        return any(normalise(each) in words for each in names_in(recipe))

    family = opened.workshop.family
    return tuple(dish for dish in dishes(opened.kitchen) if any(holds(each) for each in family(dish).values()))


def neighbours(opened: Opened, name: str) -> tuple[Recipe, ...]:
    """Dishes and packs that don't use an ingredient and share a fryer, bath or pan with it."""
    held = {each.name for each in users(opened, name)}
    near = _by_equipment(opened, name) - held
    return tuple(dish for dish in dishes(opened.kitchen) if dish.name in near)


def compared(opened: Opened, old: str, new: str) -> tuple[Difference, ...]:
    """Every dish that uses ``old``, worked out again with ``new`` in its place. Nothing is written."""
    after = Workshop(
        with_substitutes(opened.kitchen, {old: new}),
        opened.workshop.tables,
        opened.workshop.reading_findings,
        opened.date,
        opened.workshop.days,
    )
    touched = {recipe.name for recipe in users(opened, old)} | _by_equipment(opened, old)
    return tuple(_difference(opened, after, name) for name in opened.kitchen.recipes if name in touched)


def _by_equipment(opened: Opened, old: str) -> set[str]:
    """Dishes that share a fryer or bath with something that uses it, or with the thing itself."""
    words = words_of(opened.kitchen, old)
    through = {
        name
        for recipe in opened.kitchen.recipes.values()
        for name in recipe.equipment or ()
        if any(normalise(used) in words for each in opened.workshop.family(recipe).values() for used in names_in(each))
    }
    through |= {
        name for name, one in opened.kitchen.equipment.items() if any(_uses(opened, each, words) for each in one.also_cooks)
    }
    return {
        dish.name
        for dish in dishes(opened.kitchen)
        if any(through & set(each.equipment or ()) for each in opened.workshop.family(dish).values())
    }


def _uses(opened: Opened, name: str, words: frozenset[str]) -> bool:
    """Whether a name, or the recipe it names, holds something."""
    recipe = opened.workshop.names.recipe(name)
    family = opened.workshop.family(recipe).values() if recipe is not None else ()
    return normalise(name) in words or any(normalise(used) in words for each in family for used in names_in(each))


def _difference(opened: Opened, after: Workshop, name: str) -> Difference:
    kinds = opened.workshop.tables.kinds
    facts, fresh = opened.workshop.facts(opened.kitchen.recipes[name]), after.facts(after.kitchen.recipes[name])
    was, now = states_of(facts, kinds), states_of(fresh, kinds)
    keys = [key for key in kinds if key in was or key in now]
    none = OptionState(NONE_ON_RECORD)
    pairs = [(key, was.get(key, none).state, now.get(key, none).state) for key in keys]
    before, record = opened.workshop.record(opened.kitchen.recipes[name]), after.record(after.kitchen.recipes[name])
    gains = _shown(opened, ((key, new) for key, old, new in pairs if RANK[new] < RANK[old] and RANK[new] < RANK["not_confirmed"]))
    loses = _shown(
        opened, ((key, old) for key, old, new in pairs if old in (CONTAINS, TO_CONFIRM) and RANK[new] > RANK[TO_CONFIRM])
    )
    return Difference(
        dish=name,
        gains=tuple(dict.fromkeys([*gains, *_warnings(opened, fresh, facts)])),
        loses=tuple(dict.fromkeys([*loses, *_warnings(opened, facts, fresh)])),
        unknown=tuple(key for key, old, new in pairs if new == "not_confirmed" and old != "not_confirmed" and key in GROUPS),
        menus=tuple(menu.name for menu in opened.kitchen.menus.values() if name in menu.dishes()),
        figures=_figures(before, record),
        stopped=record.stopped and not before.stopped,
    )


def _warnings(opened: Opened, here: Iterable[AllergenFact], there: Iterable[AllergenFact]) -> tuple[tuple[str, str], ...]:
    """(kind, state) of each warning that stands on one side and not on the other, in the order of the kinds; a warning of another
    thing in the dish may go on standing, and one of a kind that the dish holds counts too."""
    known = {(fact.kind, fact.state) for fact in there}
    found = {(fact.kind, fact.state) for fact in here if fact.state in (MAY_CONTAIN, CROSS_CONTACT)} - known
    return tuple(
        pair
        for kind in opened.workshop.tables.kinds
        for state in (MAY_CONTAIN, CROSS_CONTACT)
        if (pair := (kind, state)) in found
    )


def _shown(opened: Opened, pairs: Iterable[tuple[str, str]]) -> tuple[tuple[str, str], ...]:
    """Kinds rather than their groups, where a kind says more."""
    found = dict(pairs)
    kinds = opened.workshop.tables.kinds
    covered = {kinds[key].group for key in found if key not in GROUPS}
    return tuple((key, state) for key, state in found.items() if not (key in GROUPS and key in covered))


def _figures(before, record) -> tuple[tuple[str, float, float], ...]:
    if before.middle is None or record.middle is None:
        return ()
    keys = ("energy_kcal", "fat_g", "saturates_g", "carbohydrate_g", "sugars_g", "protein_g", "sodium_mg")
    pairs = [(key, before.middle.totals.get(key), record.middle.totals.get(key)) for key in keys]
    return tuple(
        (key, was, now)
        for key, was, now in pairs
        if was is not None and now is not None and abs(was - now) > 0.05 * max(abs(was), 0.1)
    )
