"""What a recipe would count twice: cooking of a row that is cooked, draining of a row that is drained, trim of an edible
weight, a trimmed part that weighs more than was trimmed off; and how much salt of a cooking water stays in the food.

Nothing is corrected here: the figures follow what is written, and the finding says what to look at.
"""

from __future__ import annotations

from labeller.terms.findings import Finding, finding
from labeller.terms.foods import Food
from labeller.terms.kitchen import Line, Recipe
from labeller.terms.mass import Input
from labeller.terms.spans import Span

NOT_COOKING = ("reheat", "alcohol")  # treatments that a cooked row may well go through
UNDRAINED = ("undrained", "not drained", "solids and liquid", "drained or")
# Salt in drained pasta, g per 100 g, over the strength of its brine in %: MEXT 2020 row 01064 (1.5 % brine, 1.2 g: 0.8);
# Food Chemistry 2019;271:479, abstract (0.63 % brine, about 0.44 g: 0.7).
SALT_OVER_BRINE = Span(0.7, 0.75, 0.8)
SALT = ("02047",)  # USDA SR28: salt, table
WATER = ("14411", "14429")  # USDA SR28: water, tap; water, municipal
STARCHY = "Cereal Grains and Pasta"
FAR = 1.5  # told where the salt that stays, as written, is out by more than this factor


def unknown_treatment(recipe: Recipe, line: Line) -> tuple[Finding, ...]:
    """For a line whose ``cooked as`` is neither a method nor a code of the table."""
    return (finding("treatment-not-known", line.place,
                    f"\"{line.name}\": cooked as \"{line.cooked_as}\" is no method or code that is known",
                    "write a method such as boiled, baked or fried, or a code of USDA's retention table",
                    recipe.name),)  # fmt: skip


def line_findings(recipe: Recipe, line: Line, food: Food | None, basis: str, treatment: str) -> tuple[Finding, ...]:
    """basis: ``edible`` or ``as bought`` where a table weighed the line. treatment: words of what the line itself goes
    through."""
    found = []
    if food is not None and food.state == "cooked" and (what := _cooked_again(line, treatment)):
        found.append(finding("treatment-counted-twice", line.place,
                             f"\"{line.name}\": the row \"{food.description}\" is cooked already, "
                             f"and {what} comes on top", f"match the raw row, or drop that from \"{line.name}\"",
                             recipe.name))  # fmt: skip
    if food is not None and any(line.name in off.lines and off.stays.low < 1 for off in recipe.poured_off) and _drained(food):
        found.append(finding("drained-counted-twice", line.place,
                             f"\"{line.name}\": the row \"{food.description}\" is drained already, "
                             "and it is poured off again",
                             f"match the row with its liquid, or take \"{line.name}\" out of `poured off`",
                             recipe.name))  # fmt: skip
    if basis == "edible" and line.trim.high and not line.trimmed_to and line.weight_is != "as bought":
        found.append(finding("edible-weight-trimmed", line.place,
                             f"\"{line.name}: {line.amount.text}\" is weighed by a table without "
                             f"what is thrown away, and {line.trim.mid * 100:.3g} % trim comes on top",
                             "drop `trim`, or write the grams as bought", recipe.name))  # fmt: skip
    return tuple(found)


def _cooked_again(line: Line, treatment: str) -> str:
    if line.cooking_yield is not None and line.cooking_yield != Span.of(1.0):
        return "a cooked weight"
    said = treatment.lower()
    return f"the treatment \"{treatment}\"" if said and not any(word in said for word in NOT_COOKING) else ""


def _drained(food: Food) -> bool:
    said = food.description.lower()
    return "drained" in said and not any(word in said for word in UNDRAINED)


def trimmed_finding(line: Line, grams: float, trimmed: float, parent: str, recipe: str) -> tuple[Finding, ...]:
    """A part that was trimmed off: one batch can't use more of it than one batch of its parent trims off. Weighed once: it has
    left the parent's weight."""
    if grams <= trimmed * 1.005:
        return ()
    return (finding("trimmed-part-exceeds", line.place,
                    f"\"{recipe}\" uses {grams:.4g} g of \"{line.name}\"; one batch of \"{parent}\" "
                    f"trims off {trimmed:.4g} g of it, {grams - trimmed:.4g} g less",
                    "correct `trim` or the amount, or make more batches of the one for each of the other", recipe),)  # fmt: skip


def salt_that_stays(salt_g: float, water_g: float, cooked_g: float) -> Span:
    """Grams of the salt of a cooking water that are in the drained food: 0.7 to 0.8 times the strength of the brine, of the
    cooked weight. Cooks write it as a pour-off of its own, beside that of the water, whose share is what dry pasta takes up::

        poured off:
          - {lines: [water], stays in: 12 %}
          - {lines: [sea salt], stays in: 16-18 %}

    5 l of water with 50 g of salt and 500 g of pasta: brine 0.99 %, cooked 1100 g, so 7.6 to 8.7 g of salt, 15 to 17 % of it.
    """
    brine_percent = salt_g / (salt_g + water_g) * 100 if salt_g + water_g else 0.0
    most = SALT_OVER_BRINE.times(brine_percent / 100 * cooked_g)
    return Span(*(min(salt_g, grams) for grams in most))


def cooking_water_findings(recipe: Recipe, inputs: tuple[Input, ...], groups: dict[str, str]) -> tuple[Finding, ...]:
    """Pasta, rice and the like cooked in salted water that is poured off: is the salt that stays far from what is measured?
    groups: row code -> its food group."""
    off = {name: leaving.stays.mid for leaving in recipe.poured_off for name in leaving.lines}
    weighed = [(item, item.grams.mid) for item in inputs if item.grams is not None and not item.per_piece]
    salt = [(item, grams) for item, grams in weighed if item.ref.key in SALT and item.line.name in off]
    water = [(item, grams) for item, grams in weighed if item.ref.key in WATER and item.line.name in off]
    dry = sum(grams for item, grams in weighed if groups.get(item.ref.key) == STARCHY and item.line.name not in off)
    if not salt or not water or not dry:
        return ()
    salt_g, water_g = sum(grams for _, grams in salt), sum(grams for _, grams in water)
    cooked = dry + sum(grams * off[item.line.name] for item, grams in water)
    expected = salt_that_stays(salt_g, water_g, cooked)
    written = sum(grams * off[item.line.name] for item, grams in salt)
    if expected.low / FAR <= written <= expected.high * FAR:
        return ()
    line = salt[0][0].line
    return (finding("salt-of-cooking-water", line.place,
                    f"\"{recipe.name}\": as written {written:.3g} g of the salt stay in the food; of such "
                    f"a cooking water {expected.low:.3g} to {expected.high:.3g} g do",
                    f"in `poured off`, give the salt an entry of its own: {{lines: [{line.name}], stays in: "
                    f"{expected.low / salt_g * 100:.2g}-{expected.high / salt_g * 100:.2g} %}}", recipe.name),)  # fmt: skip
