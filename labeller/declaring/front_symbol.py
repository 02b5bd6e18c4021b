"""Whether the front of a Canadian pack must bear the nutrition symbol, and for what (B.01.350 and following, from memory).

The symbol itself is artwork that the regulations prescribe: it is named, never drawn.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal

from labeller.declaring.rounding import exact
from labeller.terms.findings import NOWHERE, Finding, finding
from labeller.terms.kitchen import Recipe
from labeller.terms.laws import Law
from labeller.terms.record import DishRecord, NutritionRow

KEYS = ("saturates_g", "sugars_g", "sodium_mg")


def least_percent(law: Law, serving_g: float) -> float | None:
    """Share of the daily value from which the symbol is needed for a serving of this weight; None under a law or on a date
    without one. A main dish has a higher one, which a weight alone does not tell."""
    least = law.figure("front symbol from")
    small = law.figure("front symbol, small serving up to")
    if least is None or small is None or serving_g > small:
        return least
    return law.figure("front symbol from, small serving")


def high_in(law: Law, figures: Sequence[NutritionRow], serving_g: float) -> tuple[tuple[str, int], ...]:
    """(key, % of its daily value) of each that is at the limit or over it, in whole percent as the table prints it. A figure
    that is not whole is none."""
    least = least_percent(law, serving_g)
    rows = {row.key: row for row in figures if row.value_portion and (row.settled or row.known >= law.house.known_share - 1e-6)}
    lines = {line.key: line for line in law.lines}
    found = []
    for key in KEYS if least is not None else ():
        if key not in rows or lines[key].reference is None:
            continue
        share = exact(rows[key].value_portion.mid) / exact(lines[key].reference) * 100
        percent = int(share.quantize(Decimal(1), rounding=ROUND_HALF_UP))
        found += [(key, percent)] if percent >= least else []
    return tuple(found)


def symbol_finding(record: DishRecord, law: Law, figures: Sequence[NutritionRow], serving_g: float, shown: bool,
                   recipe: Recipe | None) -> tuple[Finding, ...]:  # fmt: skip
    """shown: the law asks for the nutrition table on this pack; one that is exempt from it is exempt from the symbol."""
    found = high_in(law, figures, serving_g) if record.kind == "pack" and shown else ()
    if not found:
        return ()
    words = law.statement["front symbol"].replace("{names}", ", ".join(law.statement[f"front symbol {key}"] for key, _ in found))
    shares = ", ".join(f"{percent} % of {law.statement[f'front symbol {key}'].split(' / ')[0]}" for key, percent in found)
    main, heavy = law.figure("front symbol from, main dish"), law.figure("front symbol, main dish from")
    perhaps = ""
    if heavy is not None and serving_g >= heavy and all(percent < main for _, percent in found):
        perhaps = f" If it is a main dish of {heavy:g} g or more, it needs none below {main:g} %."
    return (finding("front-symbol-needed", recipe.place if recipe else NOWHERE,
                    f"\"{record.name}\" under {law.key}: a serving of {serving_g:.0f} g has of the daily value {shares}; from "
                    f"{least_percent(law, serving_g):g} % the front of the pack bears the nutrition symbol \"{words}\" "
                    f"({law.figures['front symbol from'].rule.section}, from memory). It is not drawn here.{perhaps}",
                    "have Health Canada's own artwork of that symbol set on the front, or let a qualified person say which "
                    "exemption holds", record.name),)  # fmt: skip
