"""A kitchen's ``us reference amount:`` found in the table of 21 CFR 101.12(b), by a name of the row. Nothing is guessed: a
name that is no row's gives the rows that come near, for a person to choose from."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from labeller.terms.reference_amounts import ReferenceAmount
from labeller.terms.words import normalise

_GRAMS = r"(\d+(?:\.\d+)?)\s*g\b"
_MEASURE = r"\s*([\d/ ]+\s*(?:cups?|tbsp|tsp))\b"
TO_MAKE = "amount to make"  # state of a row whose weight is that of the food it makes
_NEAR = 0.62  # letters alike, of two names: below it nothing is offered


class Amount(NamedTuple):
    """grams: of the reference amount, None where they can't be told. measure: household measure, "". row: of the table, None
    where the kitchen wrote a weight alone. near: rows offered where the name is none. why: what is wrong, "" where nothing is."""

    grams: float | None
    measure: str = ""
    row: ReferenceAmount | None = None
    near: tuple[ReferenceAmount, ...] = ()
    why: str = ""


def found(text: str, table: Sequence[ReferenceAmount], density: float | None = None) -> Amount:
    """What a kitchen's words mean: "85 g", "85 g + 35 g", "2 tbsp (30 g)", "soup", "dips (32 g)".

    A row that is given by volume needs the weight of that volume: beside the name, or from the density (g/ml) of the food.
    """
    weights = [float(weight) for weight in re.findall(_GRAMS, text)]
    grams = sum(weights) if weights else None
    name = normalise(re.sub(r"\(.*?\)", " ", re.sub(_GRAMS, " ", text)).replace("+", " "))
    measure = re.match(_MEASURE, text)
    if measure or not re.search(r"[a-z]", name):
        return Amount(grams, measure.group(1).strip() if measure else "", why="" if grams else "holds no weight")
    row = _named(name, table)
    if row is None and grams is not None:
        return Amount(grams)
    if row is None:
        return Amount(None, near=nearest(name, table), why="is no food of the table")
    if row.state.startswith(TO_MAKE):
        return Amount(grams, "", row, why="" if grams else f"is the {row.state}, and what of it that takes is not on record")
    if row.unit == "g" and grams not in (None, row.amount):
        return Amount(None, row.measure, row, why=f"is {row.amount:g} g in the table, and {grams:g} g is written")
    if grams is None and row.unit == "g":
        grams = row.amount
    if grams is None and density:
        grams = row.amount * density
    return Amount(grams, row.measure, row, why="" if grams is not None else f"is {row.words}, and its weight is not on record")


def _named(name: str, table: Sequence[ReferenceAmount]) -> ReferenceAmount | None:
    """The one row that a name is written in."""
    rows = [row for row in table if name in _names(row)]
    return rows[0] if len(rows) == 1 else None


def _names(row: ReferenceAmount) -> set[str]:
    return {normalise(each) for each in (row.name, *row.also)}


def nearest(words: str, table: Sequence[ReferenceAmount], limit: int = 5) -> tuple[ReferenceAmount, ...]:
    """Rows that share a word or most letters with a name, the nearest first."""
    from difflib import SequenceMatcher

    said = normalise(words)
    ranked = []
    for nr, row in enumerate(table):
        score = max(_likeness(said, other, SequenceMatcher) for other in (*_names(row), normalise(row.category)))
        ranked.append((-score, nr, row))
    return tuple(row for score, _, row in sorted(ranked, key=lambda each: each[:2])[:limit] if -score >= _NEAR)


def _likeness(said: str, other: str, matcher) -> float:
    """1 for the same name, over 0.7 where one holds a whole word of the other, else how many letters are alike."""
    mine, theirs = set(said.split()), set(other.split())
    shared = len(mine & theirs) / max(len(mine), 1)
    letters = matcher(None, said, other).ratio()
    if said == other:
        return 1.0
    return max(0.7 + 0.2 * shared + 0.05 * letters if shared else 0.0, letters if letters >= 0.75 else 0.0)
