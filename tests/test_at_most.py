"""The most that a missing figure can be: ceilings by kind of food, and what follows from the row itself.

Sources: USDA Standard Reference 28 (shipped) with the trans fat of Release 26 and Foundation Foods 2024 in it.
"""

from __future__ import annotations

import csv
import sys
from pathlib import Path

import pytest

from labeller.reading.foods import load_foods
from labeller.terms.findings import NOWHERE
from labeller.terms.kitchen import Product
from labeller.terms.nutrients import BASE, INDEX, MOST
from labeller.working.nutrients import completed, of_product

FOODS = Path(__file__).resolve().parents[1] / "reference" / "foods"
MEASURED = {"usda-sr26", "usda-sr26-energy-equal", "usda-foundation-2024"}
TABLE = load_foods()
KEYS = ("trans_fat_g", "vitamin_d_ug", "cholesterol_mg", "potassium_mg", "calcium_mg", "iron_mg", "sodium_mg")


@pytest.fixture(scope="module")
def kinds():
    sys.path.insert(0, str(FOODS))
    try:
        import ceilings_sr28
    finally:
        sys.path.remove(str(FOODS))
    return ceilings_sr28


def measured(key: str):
    """Foods whose value USDA gives itself (of trans fat: not our own estimates), with the value."""
    for code in TABLE.codes():
        food = TABLE.get(code)
        value = food.values[INDEX[key]]
        if value is not None and (key != "trans_fat_g" or dict(food.sources).get(key) in MEASURED):
            yield food, value


@pytest.mark.parametrize("key", KEYS)
def test_no_known_food_of_a_kind_is_over_its_ceiling(kinds, key) -> None:
    held = 0
    for food, value in measured(key):
        kind = kinds.kind_of(key, food.group, food.description)
        if kind is None:
            continue
        of, most = kind.most[key]
        whole = food.values[INDEX[of]] if of else 1.0
        if of and whole < 0.4:  # a share of hardly anything is all rounding
            continue
        held += 1
        assert value <= most * whole + 1e-9, (food.code, food.description, kind.source)
    assert held >= 4


def test_fat_less_its_three_classes_is_no_ceiling_of_trans_fat() -> None:
    """USDA counts the trans isomers among the monounsaturates and polyunsaturates (18:1 is cis and trans): in one row in ten the
    trans fat is more than what the three classes leave of the fat. Never is it more than fat less saturates."""
    keys = ("fat_g", "saturates_g", "monounsaturates_g", "polyunsaturates_g")
    whole = [(value, [food.values[INDEX[key]] for key in keys]) for food, value in measured("trans_fat_g")]
    rows = [(value, parts) for value, parts in whole if None not in parts]
    assert sum(value > fat - sat - mono - poly + 0.01 for value, (fat, sat, mono, poly) in rows) > 200
    assert all(value <= fat - sat + 0.02 for value, (fat, sat, _, _) in rows)


def test_rows_of_the_file() -> None:
    """Sorted, each for a figure that the tables leave blank, each with a source."""
    sources = (FOODS / "SOURCES.yaml").read_text("utf-8")
    with (FOODS / "at_most.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert [row["code"] for row in rows] == sorted(row["code"] for row in rows)
    for row in rows:
        assert TABLE.get(row["code"]).values[INDEX[row["key"]]] is None, row
        assert f"\n{row['source']}: " in sources, row


def test_a_brand_and_a_hydrogenated_fat_have_no_ceiling(kinds) -> None:
    for group, words in (
        ("Fats and Oils", "Oil, industrial, soy (partially hydrogenated), all purpose"),
        ("Baked Products", "Puff pastry, frozen, ready-to-bake"),
        ("Dairy and Egg Products", "Cheese, imitation, cheddar"),
        ("Finfish and Shellfish Products", "Fish, catfish, channel, cooked, breaded and fried"),
    ):
        assert kinds.kind_of("trans_fat_g", group, words) is None, words


def values(**known: float) -> tuple[float | None, ...]:
    """Figures per 100 g; those of MOST as ``trans_fat_g_most``."""
    found: list[float | None] = [None] * len(BASE)
    for key, value in known.items():
        found[INDEX[MOST[key.removesuffix("_most")] if key.endswith("_most") else key]] = value
    return tuple(found)


def most(key: str, row) -> float | None:
    return completed(row)[INDEX[MOST[key]]]


def test_what_follows_from_the_row_itself() -> None:
    """A part is never more than its whole; added sugars are never more than total sugars (21 CFR 101.9(c)(6)(iii))."""
    assert most("trans_fat_g", values(fat_g=10, saturates_g=3)) == 7
    assert most("trans_fat_g", values(fat_g=10)) == 10
    assert most("trans_fat_g", values(fat_g=10, saturates_g=3, trans_fat_g_most=0.3)) == 0.3
    assert most("trans_fat_g", values(fat_g=10, saturates_g=9.9, trans_fat_g_most=0.3)) == pytest.approx(0.1)
    assert most("trans_fat_g", values(fat_g=10, trans_fat_g=0.2, trans_fat_g_most=0.3)) == 0.2  # known: itself
    assert most("trans_fat_g", values(protein_g=3)) is None  # nothing holds it
    assert most("sugars_g", values(carbohydrate_g=20, fibre_g=5)) == 15
    assert most("added_sugars_g", values(carbohydrate_g=20, fibre_g=5)) == 15
    assert most("added_sugars_g", values(carbohydrate_g=20, sugars_g=4)) == 4
    assert most("vitamin_d_ug", values(fat_g=10)) is None


def test_a_missing_figure_stays_missing() -> None:
    assert completed(values(fat_g=10, saturates_g=3))[INDEX["trans_fat_g"]] is None


def test_olive_oil_and_salmon() -> None:
    """USDA has no trans fat for either; oils reach 0.03 g per g fat, fish 0.04 (SOURCES.yaml: at-most-oil, at-most-fish)."""
    assert TABLE.get("04053").values[INDEX["trans_fat_g"]] is None
    assert most("trans_fat_g", TABLE.get("04053").values) == pytest.approx(3.0)
    salmon = TABLE.get("15236")
    assert most("trans_fat_g", salmon.values) == pytest.approx(0.04 * salmon.values[INDEX["fat_g"]])


def test_a_products_label_moves_or_undoes_the_ceiling_of_its_row() -> None:
    row = TABLE.get("04053").values
    light = Product("light oil", NOWHERE, nutrition_basis="us", nutrition=(("fat_g", 50.0), ("saturates_g", 5.0)))
    assert completed(of_product(light, row))[INDEX[MOST["trans_fat_g"]]] == pytest.approx(1.5)
    hard = Product("frying oil", NOWHERE, label_text="partially hydrogenated soybean oil")
    assert completed(of_product(hard, row))[INDEX[MOST["trans_fat_g"]]] > 80  # only the fat itself holds it
