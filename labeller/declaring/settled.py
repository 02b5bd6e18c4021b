"""Figures that are missing for some of the food, and print the same whatever the missing part is.

Between what is known and the most that the missing part can be (:data:`labeller.terms.nutrients.MOST`) lies the true figure.
Where both ends round to one printed text, in every column and in the percentage, that text is printed; else nothing is.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from labeller.declaring.rounding import rounded
from labeller.terms.laws import Law, NutrientLine, Sum
from labeller.terms.nutrients import MOST
from labeller.terms.record import Corner

FINE, COARSE = "fine", "coarse"  # rounding by which both ends are one: the line's own, or the coarser one that its law allows too
Share = Callable[[NutrientLine, float, Law], str]  # a line's printed percentage of an amount


class Reach(NamedTuple):
    """low, high: ends of a figure per portion. share: of the weight for which it, or the most it can be, is known."""

    low: float
    high: float
    share: float


def reach(key: str, corner: Corner, law: Law) -> Reach | None:
    """The ends of a quantity at one corner; None where it is not a plain sum of figures of the food data that all have a most."""
    choices = law.quantities[key].choices
    terms = _terms(choices[0]) if len(choices) == 1 else ()
    if not terms or any(key not in MOST or MOST[key] not in corner.totals for key, _ in terms):
        return None
    low = sum(factor * corner.totals.get(key, 0.0) for key, factor in terms)
    high = sum(factor * corner.totals[MOST[key]] for key, factor in terms)
    return Reach(low, max(low, high), min(corner.known.get(MOST[key], 0.0) for key, _ in terms))


def _terms(choice: Sum) -> tuple[tuple[str, float], ...]:
    plain = not choice.own and not choice.perhaps and choice.least is None and all(factor > 0 for _, factor in choice.terms)
    return choice.terms if plain else ()


def settled(key: str, ends: Reach, columns: dict[str, float], law: Law, share: Share) -> str:
    """FINE or COARSE where both ends print the same by that rounding, "" where they don't. columns: basis of the table -> what an
    amount per portion is multiplied by there."""
    lines = [line for line in law.lines if line.key == key]
    parts = [line for line in law.lines if line.percent_of == key and line.reference is not None]
    if not lines and not parts:
        return ""
    if any(share(line, ends.low, law) != share(line, ends.high, law) for line in parts):
        return ""
    for way, roundings in ((FINE, [line.rounding for line in lines]), (COARSE, [line.coarse or line.rounding for line in lines])):
        if all(_one_text(ends, columns[basis], law, name) for name in roundings for basis in law.basis):
            return way
    return ""


def _one_text(ends: Reach, size: float, law: Law, name: str) -> bool:
    low, high = (rounded(end * size, law.roundings[name]) for end in (ends.low, ends.high))
    return low.text == high.text
