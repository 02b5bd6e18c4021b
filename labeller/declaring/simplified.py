"""Whether a law lets a shorter nutrition table stand, because most of it would be nothing."""

from __future__ import annotations

from labeller.declaring.rounding import rounded
from labeller.terms.laws import Law, NutrientLine
from labeller.terms.record import NutritionRow


def simplified_allowed(law: Law, figures: tuple[NutritionRow, ...]) -> bool:
    """True where enough of the law's nutrients are insignificant. A figure that is not known is never insignificant."""
    if law.simplified is None:
        return False
    return len(insignificant(law, figures)) >= law.simplified.count


def insignificant(law: Law, figures: tuple[NutritionRow, ...]) -> tuple[str, ...]:
    """Keys among the law's list that may be declared as zero, or are below the amount that it names for them."""
    by_key = {row.key: row for row in figures}
    lines = {line.key: line for line in law.lines}
    return tuple(key for key in law.simplified.keys if key in by_key and _is_nothing(law, lines[key], by_key[key]))


def _is_nothing(law: Law, line: NutrientLine, row: NutritionRow) -> bool:
    span = row.value_portion if "portion" in law.basis else row.value_100g
    if span is None or row.at_least or row.known < law.house.known_share:
        return False
    rule = law.simplified
    if line.key in rule.below:
        return span.mid < rule.below[line.key]
    if line.key in rule.percent_below and line.reference:
        return span.mid / line.reference * 100 < rule.percent_below[line.key]
    return rounded(span.mid, law.roundings[line.rounding]).number == 0


def must_show(law: Law, figures: tuple[NutritionRow, ...]) -> tuple[str, ...]:
    """Keys of a shorter table: those that always stand and those that are not insignificant, in the law's order."""
    nothing = set(insignificant(law, figures))
    return tuple(key for key in law.simplified.keys if key in law.simplified.always or key not in nothing)
