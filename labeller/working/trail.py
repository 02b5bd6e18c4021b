"""How a figure came about, step by step, for a cook with a pocket calculator."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from labeller.terms.evidence import Step
from labeller.terms.kitchen import Recipe
from labeller.terms.mass import Content, Part, Ref, Retention, Worked
from labeller.terms.nutrients import INDEX


def unit_of(key: str) -> str:
    """The unit at the end of a nutrient key, as printed."""
    unit = key.rsplit("_", 1)[-1]
    return {"ug": "µg", "iu": "IU"}.get(unit, unit)


def figure_trail(key: str, recipe: Recipe, portion: float, family: Mapping[str, Recipe], batches: Mapping[str, Worked],
                 contents: Callable[[Ref], Content | None], retention: Retention, source: Callable[[Part, str], str]) -> Step:  # fmt: skip
    """The tree of one base figure: portion, then each batch with its weighing and what each part brings.

    source: words for where a part's value comes from (table row, label). Rounded for reading; the tool does not round.
    """
    nr, unit = INDEX[key], unit_of(key)

    def batch_step(name: str) -> Step:
        worked, content = batches[name], contents(Ref("recipe", name))
        total = content.values[nr] * worked.weight
        brought = tuple(part_step(part) for part in worked.parts if part.grams)
        extra = _water_step(key, worked)
        weighing = Step(f"weighing \"{name}\"", family[name].place, "", worked.steps)
        known = "" if content.known[nr] > 0.999 else f"; known for {content.known[nr] * 100:.0f} % of the weight"
        return Step(f"\"{name}\": a batch of {_n(worked.weight)} g holds {_n(total)} {unit}{known}", family[name].place, "",
                    (*brought, *extra, weighing))  # fmt: skip

    def part_step(part: Part) -> Step:
        if part.ref.kind == "recipe":
            per_gram = contents(part.ref).values[nr]
            return Step(f"{part.name}: {_n(part.grams)} g x {_n(per_gram * 100)} {unit}/100 g = {_n(part.grams * per_gram)} {unit}",
                        family[part.ref.key].place, "", (batch_step(part.ref.key),))  # fmt: skip
        return _leaf_step(part, nr, key, unit, contents(part.ref), retention, source)

    worked = batches[recipe.name]
    per_gram = contents(Ref("recipe", recipe.name)).values[nr]
    top = f"{key}: portion of {_n(portion)} g x {_n(per_gram * 100)} {unit}/100 g = {_n(portion * per_gram)} {unit}"
    if worked.serves:
        top += f" (batch of {_n(worked.weight)} g, serves {worked.serves:g})"
    return Step(top, recipe.place, "", (batch_step(recipe.name),))


def _leaf_step(part: Part, nr: int, key: str, unit: str, content: Content | None, retention: Retention,
               source: Callable[[Part, str], str]) -> Step:  # fmt: skip
    where = source(part, key)
    if content is None or not content.known[nr]:
        return Step(f"{part.name}: {_n(part.grams)} g, {key} not known", source=where)
    value = content.values[nr]
    words, kept = f"{part.name}: {_n(part.grams)} g x {_n(value * 100)} {unit}/100 g", 1.0
    for code in part.treatments:
        factors, blank = retention(code)
        if key in blank:
            return Step(f"{part.name}: {_n(part.grams)} g, {key} not known after treatment {code}", source=where)
        if key in factors:
            words += f" x {factors[key]:.3g} kept in cooking (retention code {code})"
            kept *= factors[key]
    return Step(f"{words} = {_n(part.grams * value * kept)} {unit}", source=where)


def _water_step(key: str, worked: Worked) -> tuple[Step, ...]:
    steps = []
    if key == "water_g" and worked.water:
        steps.append(Step(f"water gained or driven off: {worked.water:+.4g} g"))
    if key in ("fat_g", "energy_kcal") and worked.fat:
        steps.append(Step(f"fat run off: {worked.fat:+.4g} g"))
    if key in ("alcohol_g", "energy_kcal") and worked.alcohol_stays != 1:
        steps.append(Step(f"alcohol: {worked.alcohol_stays * 100:.4g} % of it stays"))
    return tuple(steps)


def _n(value: float) -> str:
    """A number for reading: four significant digits."""
    return f"{value:.4g}" if abs(value) < 10000 else f"{value:.0f}"
