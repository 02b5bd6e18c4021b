"""What other days have left behind: in oil that was not changed since, in the tub of a sub-recipe made with a replacement.

A replacement changes what goes in tonight. It changes nothing of the oil that has fried the other thing since its last change,
nor of what was cooked on the day of another replacement and still stands in the fridge.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import date as calendar_day
from functools import cached_property

from msgspec.structs import replace

from labeller.serving.substitutes import LATELY, replaced_on, with_substitutes
from labeller.terms.allergens import NOT_CONFIRMED, ROUTES, AllergenFact
from labeller.terms.kitchen import Batch, Equipment, Kitchen, Recipe
from labeller.terms.words import normalise
from labeller.working.allergens import is_first

UNSETTLED = ROUTES[4]
AS_WRITTEN = ""  # the days on which nothing was replaced
Users = list[tuple[str, tuple[AllergenFact, ...]]]


class OtherDays:
    """written: the kitchen as its files have it, no replacement in force. date: ISO date of service. shop: makes the workshop of
    a kitchen."""

    def __init__(self, written: Kitchen, tonight: Mapping[str, str], date: str, shop: Callable[[Kitchen], object]):
        self.written, self.tonight = written, dict(tonight)
        self._written, self._tonight, self._date, self._shop = written, tonight, date, shop
        self._made: dict[str, object] = {}

    @cached_property
    def plain(self):
        """The workshop of the kitchen as its files have it."""
        return self._shop(self.written)

    @cached_property
    def _replaced(self) -> dict[str, dict[str, str]]:
        """Day before the service -> old -> new; of tonight's replacements the files as written stand for all other days."""
        found: dict[str, dict[str, str]] = {AS_WRITTEN: {}} if self._tonight else {}
        for batch in self._written.batches.values():
            if batch.substitutes and batch.date and batch.date < self._date:
                found.setdefault(batch.date, {}).update(replaced_on(self._written, batch.date))
        return found

    def any(self) -> bool:
        """Whether anything was or is replaced at all."""
        return bool(self._replaced)

    def _of(self, day: str):
        if day not in self._made:
            self._made[day] = self._shop(with_substitutes(self._written, self._replaced[day]))
        return self._made[day]

    def users_since(self, equipment: Equipment, now: Users) -> Users:
        """What went through oil or water of an earlier day and does not tonight: (user, facts that tonight's do not have)."""
        if not equipment.changed or equipment.changed >= self._date:
            return []
        today = {name: _kinds(facts) for name, facts in now}
        found = []
        for day in self._replaced:
            if day != AS_WRITTEN and day < equipment.changed:
                continue
            for name, facts in self._of(day).users_of(equipment.name):
                more = tuple(fact for fact in facts if (fact.kind, fact.state) not in today.get(name, ()))
                if more:
                    found.append((f"{name} ({day or 'without the replacement of ' + self._date})", more))
        return found

    def left_over(self, recipe: Recipe, facts: Iterable[AllergenFact], remade: Callable[[str], str]) -> list[AllergenFact]:
        """Kinds that a sub-recipe held on one of the last days, by way of a replacement, and doesn't hold as made today: some of
        that batch may be left. remade: name of a batch's `makes` -> the recipe's own name."""
        if recipe.kind != "recipe":
            return []
        held = {fact.kind for fact in facts}
        keeps = max(LATELY, recipe.shelf_life.days if recipe.shelf_life else 0)
        mine = [batch for batch in self._written.batches.values() if batch.makes and remade(batch.makes) == recipe.name]
        days = {day: day for day in sorted(self._replaced) if day != AS_WRITTEN and 0 < _days(day, self._date) <= keeps}
        if self._tonight and any(batch.date == self._date and not self._says_new(batch) for batch in mine):
            days[self._date] = AS_WRITTEN  # a tub of today that was on record before the replacement
        found = {}
        for day, key in days.items():
            other = self._of(key).kitchen.recipes.get(recipe.name)
            if other is None or any(day < each.date <= self._date for each in mine):
                continue
            for fact in self._of(key).food_facts(other):
                if fact.kind not in held:
                    words = f"made on {day} with {' > '.join(fact.path[1:])}; some of it may be left"
                    found.setdefault(fact.kind, replace(fact, state=NOT_CONFIRMED, route=UNSETTLED, evidence=words,
                                                        path=(recipe.name,), exempt=()))  # fmt: skip
        return list(found.values())


    def _says_new(self, batch: Batch) -> bool:
        """Whether a batch of today names what replaces the old, for each thing that is replaced tonight."""
        own = {normalise(old): normalise(new) for old, new in batch.substitutes}
        lots = {normalise(name) for name, _ in batch.lots}
        return all(own.get(normalise(old)) == normalise(new) or (normalise(new) in lots and normalise(old) not in lots)
                   for old, new in self._tonight.items())  # fmt: skip


def _kinds(facts: Iterable[AllergenFact]) -> set[tuple[str, str]]:
    return {(fact.kind, fact.state) for fact in facts}


def _days(day: str, today: str) -> int:
    try:
        return (calendar_day.fromisoformat(today) - calendar_day.fromisoformat(day)).days
    except ValueError:
        return 0


def batch_mates(recipes: Mapping[str, Recipe]) -> dict[str, tuple[str, ...]]:
    """Recipe -> those cooked together with it, whichever of them says so, and those cooked together with them in turn."""
    own = {normalise(word): one.name for one in recipes.values() for word in (*one.also_called, one.name)}
    together: dict[str, set[str]] = {}
    for one in recipes.values():
        for mate in one.same_batch_as:
            named = own.get(normalise(mate), "")
            if named and named != one.name:
                together.setdefault(one.name, set()).add(named)
                together.setdefault(named, set()).add(one.name)
    found = {}
    for name in together:
        reached, ahead = {name}, [name]
        while ahead:
            more = together[ahead.pop()] - reached
            reached |= more
            ahead += sorted(more)
        found[name] = tuple(sorted(reached - {name}))
    return found


def with_firsts(kitchen: Kitchen) -> Kitchen:
    """The kitchen with, at each piece of equipment, the recipes that say they go first after its change."""
    first = [recipe for recipe in kitchen.recipes.values() if recipe.equipment and is_first(recipe)]
    if len(first) < 2:
        return kitchen
    named = {each: tuple(one.name for one in first if each in one.equipment) for each in kitchen.equipment}
    return replace(kitchen, equipment={key: replace(one, firsts=named[key]) for key, one in kitchen.equipment.items()})
