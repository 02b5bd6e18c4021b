"""Front-of-pack bands (low, medium, high) where a law's guide has them. Voluntary; words, never colour alone."""

from __future__ import annotations

from labeller.declaring.rounding import exact
from labeller.terms.laws import Colour, Law
from labeller.terms.record import DishRecord, NutritionRow

LOW, MEDIUM, HIGH = "low", "medium", "high"


def band(law: Law, key: str, per_100: float, portion: float = 0.0, per_portion: float = 0.0, drink: bool = False) -> str:
    """low, medium or high; "" where the guide has no row. A large portion can make it high whatever 100 g say.

    per_100: per 100 g (a drink: 100 ml). portion: its weight in g (ml). per_portion: amount in it.
    """
    hundred, whole = ("100 ml", "portion ml") if drink else ("100 g", "portion")
    row = _row(law, key, hundred)
    if row is None:
        return ""
    large = _row(law, key, whole)
    if large and portion > large.portion_over and exact(per_portion) > exact(large.high):
        return HIGH
    if exact(per_100) <= exact(row.low or 0.0):
        return LOW
    return HIGH if exact(per_100) > exact(row.high) else MEDIUM


def _row(law: Law, key: str, per: str) -> Colour | None:
    return next((row for row in law.colours if row.key == key and row.per == per), None)


def colours(law: Law, figures: tuple[NutritionRow, ...], record: DishRecord, drink: bool = False,
            density: float | None = None) -> tuple[tuple[str, str], ...]:  # fmt: skip
    """(key, band) of each nutrient that the guide has, in its order. Empty where a figure is not whole. Food is judged by 100 g
    also where it is sold by volume; a drink by 100 ml, so it needs its density."""
    keys = [row.key for row in law.colours if row.per == ("100 ml" if drink else "100 g")]
    found = {row.key: row for row in figures if row.key in keys and row.value_100g and not row.at_least}
    if not keys or len(found) < len(keys) or any(row.known < law.house.known_share for row in found.values()):
        return ()
    if drink and not density:
        return ()
    size = record.weight_g.mid / (density if drink else 1.0)
    per = {key: found[key].value_portion.mid / size * 100 for key in keys}
    return tuple((key, band(law, key, per[key], size, found[key].value_portion.mid, drink)) for key in keys)
