"""How a figure came about, step by step, for a cook with a pocket calculator.

First what the batches weigh (once for all figures), then what each part brings of the quantity. A recipe that is used twice is
worked out where it comes first; parts that bring nothing stand in one line. Numbers are rounded for reading to four digits; the
tool does not round.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from labeller.terms.evidence import Step
from labeller.terms.kitchen import Recipe
from labeller.terms.mass import Content, Part, Ref, Retention, Worked
from labeller.terms.nutrients import INDEX, MOST

LIPIDS = ("saturates_g", "monounsaturates_g", "polyunsaturates_g", "trans_fat_g", MOST["saturates_g"], MOST["trans_fat_g"])
KCAL_PER_G = {"alcohol": 7.0, "fat": 9.0}  # as in nutrients
Contents = Callable[[Ref], Content | None]
Source = Callable[[Part, str], str]


def unit_of(key: str) -> str:
    """The unit at the end of a nutrient key, as printed."""
    unit = key.rsplit("_", 1)[-1]
    return {"ug": "µg", "iu": "IU"}.get(unit, unit)


def words_of(key: str) -> str:
    """A nutrient key as words: ``vitamin_c_mg`` -> vitamin c; ``trans_fat_most_g`` -> trans fat at most."""
    return key.rsplit("_", 1)[0].replace("_most", "_at_most").replace("_", " ")


def weight_trail(recipe: Recipe, family: Mapping[str, Recipe], batches: Mapping[str, Worked]) -> Step:
    """What each batch weighs when ready, sub-recipes first. Lines that are weighed as written stand in one line."""
    steps = tuple(_weighing(family[name], batches[name]) for name in family if name in batches)
    return Step(f"weights: {len(steps)} {'batch' if len(steps) == 1 else 'batches'}", recipe.place, "", steps)


def _weighing(recipe: Recipe, worked: Worked) -> Step:
    plain = [step.what for step in worked.steps if not step.under and " = " not in step.what and step.what.count(": ") == 1
             and not step.source and not step.what.startswith(('"', "weighed batch", "reduced"))]  # fmt: skip
    told = [step for step in worked.steps[:-1] if step.what not in plain]
    as_written = (Step(f"as written: {', '.join(plain)}"),) if plain else ()
    end = f'"{worked.name}" weighs {_n(worked.weight)} g when ready'
    if worked.pieces and recipe.kind == "recipe":
        end += f", {worked.pieces:g} pieces of {_n(worked.weight / worked.pieces)} g"
    elif worked.serves:
        end += f", {_n(worked.weight / worked.serves)} g a portion (serves {worked.serves:g})"
    return Step(end, recipe.place, "", (*as_written, *told, *_sum(worked)))


def _sum(worked: Worked) -> tuple[Step, ...]:
    """What is in the batch, added up: parts, water and fat that moved."""
    grams = [part.grams for part in worked.parts if part.grams] + [each for each in (worked.water, worked.fat) if each]
    if len(grams) < 2:
        return ()
    said = " ".join(f"{'-' if each < 0 else '+'} {_n(abs(each))}" for each in grams).removeprefix("+ ")
    moved = [words for words, each in (("water", worked.water), ("fat", worked.fat)) if each]
    return (Step(f"{said} = {_n(worked.weight)} g" + (f" (last: {' and '.join(moved)})" if moved else "")),)


def figure_trail(key: str, recipe: Recipe, portion: float, family: Mapping[str, Recipe], batches: Mapping[str, Worked],
                 contents: Contents, retention: Retention, source: Source) -> Step:  # fmt: skip
    """The tree of one base figure: the portion, then each batch with what each part brings.

    source: words for where a part's value comes from (table row, label).
    """
    return _Figure(key, family, batches, contents, retention, source).of_portion(recipe, portion)


class _Figure:
    """One quantity on its way up; remembers which recipes were shown already."""

    def __init__(self, key: str, family: Mapping[str, Recipe], batches: Mapping[str, Worked], contents: Contents,
                 retention: Retention,
                 source: Source):  # fmt: skip
        self.key, self.nr, self.unit = key, INDEX[key], unit_of(key)
        self.family, self.batches, self.contents, self.retention, self.source = family, batches, contents, retention, source
        self.shown: set[str] = set()

    def of_portion(self, recipe: Recipe, portion: float) -> Step:
        per_gram = self.contents(Ref("recipe", recipe.name)).values[self.nr]
        sum_of = f"{_n(portion)} g x {_n(per_gram * 100)} {self.unit}/100 g = {_n(portion * per_gram)} {self.unit}"
        words = f"{words_of(self.key)}: portion of {sum_of}"
        return Step(words, recipe.place, "", (self.of_batch(recipe.name),))

    def of_batch(self, name: str) -> Step:
        worked, content, unit = self.batches[name], self.contents(Ref("recipe", name)), self.unit
        per_gram = content.values[self.nr]
        words = f"\"{name}\": {_n(per_gram * worked.weight)} {unit} in {_n(worked.weight)} g = {_n(per_gram * 100)} {unit}/100 g"
        if content.known[self.nr] <= 0.999:
            words += f" (known for {content.known[self.nr] * 100:.0f} % of the weight)"
        if name in self.shown:
            return Step(f"{words}, as above")
        self.shown.add(name)
        parts = [part for part in worked.parts if part.grams]
        brings = [part for part in parts if self._brings(part) != 0]
        nothing = [part.name for part in parts if self._brings(part) == 0]
        steps = [self.of_part(part) for part in brings] + list(self._moved(worked))
        if nothing:
            steps.append(Step(f"no {words_of(self.key)} in: {', '.join(dict.fromkeys(nothing))}"))
        return Step(words, self.family[name].place, "", tuple(steps))

    def _brings(self, part: Part) -> float | None:
        """Amount that a part brings, None where it is not known."""
        content = self.contents(part.ref)
        if content is None or not content.known[self.nr]:
            return None
        kept = self._kept(part, self.key)
        return None if kept is None else part.grams * content.values[self.nr] * kept

    def _kept(self, part: Part, key: str) -> float | None:
        """Share that the treatments of a part leave of a quantity, None where their table leaves it blank."""
        kept = 1.0
        for code in part.treatments:
            factors, blank = self.retention(code)
            if key in blank:
                return None
            kept *= factors.get(key, 1.0)
        return kept

    def of_part(self, part: Part) -> Step:
        grams, unit, content, brings = _n(part.grams), self.unit, self.contents(part.ref), self._brings(part)
        nested = part.ref.kind == "recipe" and part.ref.key in self.batches
        where = "" if nested else self.source(part, self.key)
        under = (self.of_batch(part.ref.key),) if nested else ()
        if brings is None:
            after = f" after treatment {', '.join(part.treatments)}" if content is not None and content.known[self.nr] else ""
            return Step(f"{part.name}: {grams} g, {words_of(self.key)} not known{after}", source=where, under=under)
        words = f"{part.name}: {grams} g x {_n(content.values[self.nr] * 100)} {unit}/100 g"
        for code in part.treatments:
            factor = self.retention(code)[0].get(self.key, 1.0)
            words += f" x {factor:.3g} kept in cooking (retention code {code})" if factor != 1 else ""
        return Step(f"{words} = {_n(brings)} {unit}", source=where, under=under)

    def _moved(self, worked: Worked) -> tuple[Step, ...]:
        """What leaves or comes at the batch: water, alcohol, fat, and the energy that goes with them."""
        steps, key, unit = [], self.key, self.unit
        gone = self._total(worked, "alcohol_g") * (1 - worked.alcohol_stays)
        if gone and key in ("alcohol_g", "energy_kcal", "water_g"):
            share = f"alcohol: {worked.alcohol_stays * 100:.4g} % of it stays, {_n(gone)} g go off"
            per_gram = KCAL_PER_G["alcohol"]
            moved = {"alcohol_g": f" = {_n(-gone)} {unit}", "water_g": f"; its weight is not water: {gone:+.4g} g",
                     "energy_kcal": f" x {per_gram:g} kcal/g = {_n(-gone * per_gram)} kcal"}[key]  # fmt: skip
            steps.append(Step(share + moved))
        if worked.water and key == "water_g":
            steps.append(Step(f"water gained or driven off: {worked.water:+.4g} g"))
        fat = self._total(worked, "fat_g")
        if worked.fat and fat:
            left = max(0.0, 1 + worked.fat / fat)
            if key == "fat_g":
                steps.append(Step(f"fat run off: {worked.fat:+.4g} g"))
            elif key == "energy_kcal":
                per_gram = KCAL_PER_G["fat"]
                steps.append(Step(f"fat run off: {worked.fat:+.4g} g x {per_gram:g} kcal/g = {_n(worked.fat * per_gram)} kcal"))
            elif key in LIPIDS:
                steps.append(
                    Step(f"fat run off: {_n(-worked.fat)} g of {_n(fat)} g, so {left * 100:.4g} % of it stays: x {left:.4g}"))
        return tuple(steps)

    def _total(self, worked: Worked, key: str) -> float:
        nr, total = INDEX[key], 0.0
        for part in worked.parts:
            content = self.contents(part.ref)
            kept = self._kept(part, key)
            if content is not None and content.known[nr] and kept is not None:
                total += part.grams * content.values[nr] * kept
        return total


def _n(value: float) -> str:
    """A number for reading: four significant digits."""
    return f"{value:.4g}" if abs(value) < 10000 else f"{value:.0f}"
