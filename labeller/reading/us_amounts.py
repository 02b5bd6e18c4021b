"""Reads ``reference/rules/us_reference_amounts.csv``: the reference amounts of US servings."""

from __future__ import annotations

from labeller.reading.library import csv_rows, reference
from labeller.terms.reference_amounts import ReferenceAmount

CUP_ML = 240.0  # 21 CFR 101.9(b)(5)(viii)


def load_reference_amounts() -> tuple[ReferenceAmount, ...]:
    """Every row, in the order of the table; a cup in millilitres."""
    return tuple([_amount(row) for row in csv_rows(reference("rules", "us_reference_amounts.csv"))])


def _amount(row: dict[str, str]) -> ReferenceAmount:
    cups = row["unit"] == "cup"
    amount, unit = float(row["amount"]) * (CUP_ML if cups else 1.0), "ml" if cups else row["unit"]
    also = tuple(name for name in row["also"].split(";") if name)
    return ReferenceAmount(row["category"], row["name"], also, amount, unit, row["measure"], row["state"], row["section"],
                           row["checked"], row["note"])  # fmt: skip
