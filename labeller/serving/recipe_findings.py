"""What is wrong with a recipe and all that it is made of: its reading, its weights, its evidence, its shared equipment."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from labeller.serving.shared_names import also_cooked
from labeller.serving.slips import unknown_words, without_follow_ons
from labeller.serving.together import fried_by_words
from labeller.terms.findings import STOP, Finding, Place
from labeller.terms.kitchen import Recipe
from labeller.terms.mass import Input, Worked
from labeller.working import allergens as contact
from labeller.working import twice
from labeller.working.batches import ranges_of, work
from labeller.working.nutrients import fibre_finding, label_findings, water_findings

if TYPE_CHECKING:
    from labeller.serving.workshop import Workshop

READY_WEIGHT = ("makes", "piece", "pieces", "reduced grams", "picked up")  # ranges of what a batch weighs or takes when ready


class Faults:
    """The findings of a workshop's recipes; of shared equipment they are looked for once."""

    def __init__(self, shop: Workshop):
        self.shop = shop
        self._shared: dict[str, tuple[Finding, ...]] = {}

    def of(self, recipe: Recipe) -> tuple[Finding, ...]:
        """Everything found in a recipe and in what it is made of, its reading included."""
        family = self.shop.family(recipe)
        self.shop.ready_oil(family)
        batches = self.shop.batches(family)
        found: list[Finding] = []
        words = set(family)
        for each in family.values():
            _, inputs, problems = self.shop.inputs(each)
            found += [*problems, *batches[each.name].findings, *self._far_ends(each, batches)]
            found += contact.equipment_findings(self.shop.kitchen, each, self.shop.date)
            found += [*self._trimmed(each, inputs), *self._cooking_water(each, inputs), *self._unsaid(each)]
            words |= self._words(each)
            found += [*self._ingredient_findings(each), *self.shop.worded(each)[1]]
        for equipment in dict.fromkeys(name for each in family.values() for name in each.equipment or ()):
            found += self._shared_findings(equipment)
        contents = self.shop.contents(family, batches, memo=True)
        for name in family:
            found += water_findings(batches[name], contents[name], family[name].place)
        found += [each for each in self.shop.reading_findings if each.subject in words]
        found += [each for each in self.shop.reading_findings if not each.subject and _stops(each)]
        return tuple(dict.fromkeys(without_follow_ons(found, self.shop.reading_findings)))

    def _unsaid(self, recipe: Recipe) -> tuple[Finding, ...]:
        words = fried_by_words(self.shop, recipe)
        if not words and recipe.equipment is None and contact.is_wet(recipe):
            told = any(each.code == "equipment-missing" and each.subject == recipe.name for each in self.shop.reading_findings)
            words = "" if told else recipe.method or "cooked in oil or water"  # not confirmed by it, so its cook is told
        return contact.unsaid_findings(recipe, words) if words else ()

    def _trimmed(self, recipe: Recipe, inputs: tuple[Input, ...]) -> list[Finding]:
        """Trimmed parts of other recipes: one purchase, two recipes; what the second uses the first has trimmed off."""
        found: list[Finding] = []
        for item in inputs:
            parents = self.shop.names.trimmed_from(item.line.name)
            if parents and item.grams is not None and item.ref.kind != "recipe":
                off = sum(self._trim_of(parent, nr) for parent, nr in parents)
                found += twice.trimmed_finding(item.line, item.grams.low, off, parents[0][0].name, recipe.name)
        return found

    def _trim_of(self, parent: Recipe, nr: int) -> float:
        """Most grams that a batch of a recipe trims off one of its lines."""
        item = self.shop.inputs(parent)[1][nr]
        return item.grams.high * (1 - item.refuse) * item.line.trim.high if item.grams is not None else 0.0

    def _cooking_water(self, recipe: Recipe, inputs: tuple[Input, ...]) -> tuple[Finding, ...]:
        if not recipe.poured_off:
            return ()
        foods = {item.ref.key: self.shop.meaning(item.line).food for item in inputs if item.ref.kind == "food"}
        return twice.cooking_water_findings(recipe, inputs, {key: food.group for key, food in foods.items() if food})

    def _far_ends(self, recipe: Recipe, batches: Mapping[str, Worked]) -> list[Finding]:
        """What is wrong only where the ranges of a recipe are at their ends: the ready weight high and the lines low, or the
        reverse."""
        measured, inputs, _ = self.shop.inputs(recipe)
        ids = ranges_of(measured, inputs)
        if not ids:
            return []
        known = {each.code for each in batches[recipe.name].findings}
        found: dict[str, Finding] = {}
        for high in (1.0, 0.0):
            setting = {key: high if key.rsplit("/", 1)[-1] in READY_WEIGHT else 1.0 - high for key in ids}
            for each in work(measured, inputs, batches, setting, self.shop.oil(recipe)).findings:
                if each.code not in known:
                    found.setdefault(each.code, each)
        return list(found.values())

    def _words(self, recipe: Recipe) -> set[str]:
        """Subjects under which the reading may have told something of a recipe's own lines and equipment."""
        words = {line.name for line in recipe.lines} | {self.shop.meaning(line).ref.key for line in recipe.lines}
        if recipe.fried_in:
            words.add(recipe.fried_in.oil)
        return words | set(recipe.equipment or ())

    def _ingredient_findings(self, recipe: Recipe) -> list[Finding]:
        found: list[Finding] = []
        for name, pin, place in _named_in(recipe):
            meaning = self.shop.names.meaning(name, pin, place)
            if meaning.ref.kind != "recipe":
                found += self.shop.names.facts(name, pin, place)[1]
                found += label_findings(meaning.product) if meaning.product else ()
                found += fibre_finding(meaning.product, meaning.food.values if meaning.food else None) if meaning.product else ()
        known = not recipe.method or bool(self.shop.tables.cooking.methods_in(recipe.method))
        return [*found, *unknown_words(self.shop.names, recipe, known)]

    # Shared equipment --------------------------------------------------------------------------------------------------

    def _shared_findings(self, equipment: str) -> tuple[Finding, ...]:
        """What is wrong with the evidence of all that goes into a piece of shared equipment: what has met it is not known. Of
        what it also cooks all doubts count, of the recipes that name it what stops them."""
        if equipment not in self._shared:
            one, found = self.shop.kitchen.equipment.get(equipment), []
            for name in one.also_cooks if one else ():
                recipe = self.shop.names.recipe(name)
                found += self._evidence_of(recipe) if recipe else self._evidence_by_name(name, one.place)
            mates = [recipe for recipe in self.shop.kitchen.recipes.values() if equipment in (recipe.equipment or ())]
            found += [each for mate in mates for each in self._evidence_of(mate) if each.severity == STOP]
            self._shared[equipment] = tuple(dict.fromkeys(found))
        return self._shared[equipment]

    def _evidence_of(self, recipe: Recipe) -> list[Finding]:
        """What is wrong with the evidence of all that a recipe is made of."""
        family = self.shop.family(recipe)
        words = set(family).union(*(self._words(each) - set(each.equipment or ()) for each in family.values()))
        found = [each for one in family.values() for each in self._leaf_findings(one)]
        return found + self._read_badly(words)

    def _evidence_by_name(self, name: str, place: Place) -> list[Finding]:
        meaning = self.shop.names.meaning(name, "", place)
        words = {name, meaning.ref.key, *([meaning.product.name] if meaning.product else [])}
        return [*also_cooked(self.shop.names, self.shop.tables, name, place)[1], *self._read_badly(words)]

    def _read_badly(self, words: set[str]) -> list[Finding]:
        """What the reading of entries lost of them."""
        return [each for each in self.shop.reading_findings if each.subject in words and _stops(each)]

    def _leaf_findings(self, recipe: Recipe) -> list[Finding]:
        """What is wrong with the allergen evidence of a recipe's own ingredients."""
        named = [line for line in _named_in(recipe) if self.shop.names.meaning(*line).ref.kind != "recipe"]
        return [each for line in named for each in self.shop.names.facts(*line)[1]]


def _named_in(recipe: Recipe) -> list[tuple[str, str, Place]]:
    """(name, pinned food, place) of a recipe's lines and of the fat that it is fried in."""
    named = [(line.name, line.food, line.place) for line in recipe.lines]
    return [*named, (recipe.fried_in.oil, recipe.fried_in.food, recipe.fried_in.place)] if recipe.fried_in else named


def _stops(each: Finding) -> bool:
    return each.severity == STOP and each.blocks == "all"
