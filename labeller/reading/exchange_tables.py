"""Codes and property names of other programs: ``reference/exchange/``."""

from __future__ import annotations

from typing import NamedTuple

from labeller.reading.library import csv_rows, reference


class Codes(NamedTuple):
    """GS1 codes. allergens: kind or group -> code. levels: state -> code; a state that has none is not sent. nutrients:
    (key, basis) -> code, basis ``available``, ``total`` or "" (either). units: unit as printed -> code of UNECE Rec. 20."""

    allergens: dict[str, str]
    levels: dict[str, str]
    nutrients: dict[tuple[str, str], str]
    units: dict[str, str]
    remark: str

    def nutrient(self, key: str, basis: str) -> str:
        """The code of a nutrient under a law's definition of carbohydrate; "" where there is none."""
        return self.nutrients.get((key, basis)) or self.nutrients.get((key, ""), "")


def load_codes() -> Codes:
    """``gs1_codes.csv``. OSError if the file is gone."""
    rows = csv_rows(reference("exchange", "gs1_codes.csv"))

    def of(name: str) -> dict[str, str]:
        return {row["key"]: row["code"] for row in rows if row["list"] == name}

    nutrients = {(row["key"], row["basis"]): row["code"] for row in rows if row["list"] == "nutrient"}
    unchecked = any(row["checked"] != "yes" for row in rows)
    remark = "Codes from memory: compare them with the current GS1 lists before they are sent." if unchecked else ""
    return Codes(of("allergen"), of("level"), nutrients, of("unit"), remark)


class Property(NamedTuple):
    """property: of schema.org's NutritionInformation. key: our nutrient. unit: word behind the figure."""

    property: str
    key: str
    unit: str


def load_properties() -> tuple[Property, ...]:
    """``nutrition_properties.csv``. OSError if the file is gone."""
    return tuple(
        Property(row["property"], row["key"], row["unit"]) for row in csv_rows(reference("exchange", "nutrition_properties.csv"))
    )
