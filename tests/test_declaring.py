"""A law applied to exact figures: against published examples, by hand for five laws, and where values are missing."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from declared_plate import FIVE, LAW, codes, corner, dish, line_of, made
from msgspec.structs import replace

from labeller.declaring.declare import as_json
from labeller.declaring.front_of_pack import band
from labeller.declaring.nutrition import amount, percent, rounded, significant, with_unit
from labeller.declaring.simplified import insignificant, must_show, simplified_allowed
from labeller.declaring.statement import plain
from labeller.declaring.tolerance import allowed
from labeller.reading.foods import load_foods
from labeller.terms.nutrients import INDEX
from labeller.terms.record import Ingredient
from labeller.terms.spans import Span

PUBLISHED = yaml.safe_load((Path(__file__).parent / "published" / "declaring.yaml").read_text(encoding="utf-8"))

# Published and derived cases


@pytest.mark.parametrize("case", PUBLISHED["percent"], ids=lambda case: f"{case['law']}-{case['key']}-{case['amount']}")
def test_share_of_the_daily_amount(case):
    line = line_of(case["law"], case["key"])
    line = replace(line, reference=float(case.get("reference", line.reference)))
    assert percent(line, float(case["amount"]), LAW[case["law"]]) == case["printed"], case["source"]


@pytest.mark.parametrize("case", PUBLISHED["printed"], ids=lambda case: f"{case['law']}-{case['key']}-{case['amount']}")
def test_printed_amount(case):
    law, line = LAW[case["law"]], line_of(case["law"], case["key"])
    assert with_unit(rounded(float(case["amount"]), law.roundings[line.rounding]), line.unit, law) == case["printed"], case[
        "source"
    ]


@pytest.mark.parametrize("case", PUBLISHED["energy"], ids=lambda case: case["name"])
def test_energy_by_the_laws_factors(case):
    data = corner(100, {key: float(value) for key, value in case.items() if key.endswith("_g")})
    if "eu_kcal" in case:
        # to the places of the case: the sums themselves are exact
        assert amount("energy_kcal", data, LAW["eu"]).value == pytest.approx(case["eu_kcal"], abs=0.0051), case["source"]
        assert amount("energy_kj", data, LAW["eu"]).value == pytest.approx(case["eu_kj"], abs=0.0051), case["source"]
    if "general" in case:
        assert amount("energy_kcal", data, LAW["us"]).value == pytest.approx(case["general"], abs=0.0051), case["source"]


def test_protein_is_restated_from_nitrogen():
    """Annex I(10): wheat flour, 10.33 g by the factor 5.70, is 11.3 g under EU law; the US table keeps 10.33 g (derived)."""
    flour = corner(100, {"protein_g": 10.33, "nitrogen_g": 10.33 / 5.70})
    assert amount("protein_g", flour, LAW["eu"]).value == pytest.approx(11.33, abs=0.005)
    assert amount("protein_g", flour, LAW["us"]).value == 10.33


def test_salt_and_sodium():
    """nhs.uk, food labels: 1.5 g salt is 0.6 g sodium; 0.3 g salt is 0.1 g (0.12)."""
    assert amount("salt_g", corner(100, {"sodium_mg": 600}), LAW["uk"]).value == pytest.approx(1.5)
    assert amount("salt_g", corner(100, {"sodium_mg": 120}), LAW["uk"]).value == pytest.approx(0.3)


@pytest.mark.parametrize("case", PUBLISHED["quid"], ids=lambda case: case["name"])
def test_quantity_of_an_ingredient(case):
    parts = tuple(Ingredient(name, float(grams), quid=name == case["of"]) for name, grams in case["used"].items())
    record = dish(weight=float(case["finished"]), ingredients=parts)
    assert case["printed"] in plain(made(record).statement), case["source"]


@pytest.mark.parametrize("case", PUBLISHED["colours"], ids=lambda case: f"{case['key']}-{case['per_100g']}")
def test_front_of_pack_band(case):
    portion = float(case.get("portion", 0))
    found = band(LAW["uk"], case["key"], case["per_100g"], portion, case["per_100g"] * portion / 100, case.get("drink", False))
    assert found == case["band"], case["source"]


@pytest.mark.parametrize("case", PUBLISHED["tolerances"], ids=lambda case: f"{case['law']}-{case['key']}-{case['declared']}")
def test_tolerance(case):
    low, high = allowed(LAW[case["law"]], case["key"], float(case["declared"]))
    assert (low, high) == (pytest.approx(case["low"]), pytest.approx(case["high"])), case["source"]


@pytest.mark.parametrize("case", PUBLISHED["significant"], ids=lambda case: f"{case['key']}-{case['per_100']}")
def test_significant_amount(case):
    assert significant(line_of("eu", case["key"]), float(case["per_100"]), LAW["eu"], case["drink"]) is case["may"], case[
        "source"
    ]


def test_simplified_format():
    """21 CFR 101.9(f), a sweet of 15 calories with 4 g of sugars (derived): 11 of 15 are nothing, a shorter table may stand."""
    keys = LAW["us"].simplified.keys
    amounts = dict.fromkeys([key for key in keys if key != "energy_kcal"], 0.0) | {
        "carbohydrate_g": 4.0,
        "sugars_g": 4.0,
        "added_sugars_g": 4.0,
    }
    figures = made(dish(amounts, 10), "us").figures
    assert simplified_allowed(LAW["us"], figures)
    assert len(insignificant(LAW["us"], figures)) == 11
    assert set(must_show(LAW["us"], figures)) == {
        "energy_kcal",
        "fat_g",
        "carbohydrate_g",
        "protein_g",
        "sodium_mg",
        "sugars_g",
        "added_sugars_g",
    }


def test_what_is_not_known_is_never_insignificant():
    assert not simplified_allowed(LAW["us"], made(dish({"fat_g": 0.0}, 10), "us").figures)


# Five laws side by side


@pytest.mark.parametrize("law", [*FIVE["laws"], "uk"])
def test_one_dish_under_each_law(law):
    """Every row that the law's table shows, with the rule that rounds it; uk rests on eu."""
    record = dish(FIVE["amounts"], FIVE["portion_g"])
    expected = FIVE["laws"]["eu" if law == "uk" else law]
    rows = {row.key: (row.per_100g, row.per_portion, row.rule) for row in made(record, law).rows}
    assert list(rows) == list(expected)
    for key, (hundred, portion, section) in expected.items():
        assert rows[key][:2] == (hundred, portion), key
        assert section in rows[key][2], key


def test_added_sugars_are_worded_as_one():
    """21 CFR 101.9(c)(6)(iii): "Includes X g Added Sugars"."""
    rows = {row.key: row.name for row in made(dish({"added_sugars_g": 10.0}), "us").rows}
    assert rows["added_sugars_g"] == "Includes 10g Added Sugars" and rows["sugars_g"] == "Total Sugars"


def test_plain_sums_are_the_data_as_they_are():
    record = dish({"energy_kcal": 61.0, "protein_g": 3.15, "carbohydrate_g": 4.8, "fibre_g": 0.0}, 200)
    rows = {row.key: row.per_portion for row in made(record, "none").rows}
    assert rows["energy_kcal"] == "61 kcal" and rows["protein_g"] == "3.15 g" and rows["carbohydrate_g"] == "4.80 g"


# What is not known


def test_a_figure_known_for_a_part_is_at_least_or_not_known():
    whole = {
        "protein_g": 10.0,
        "nitrogen_g": 1.6,
        "fat_g": 5.0,
        "saturates_g": 2.0,
        "carbohydrate_g": 20.0,
        "fibre_g": 2.0,
        "sugars_g": 3.0,
        "sodium_mg": 400.0,
        "alcohol_g": 0.0,
    }
    declaration = made(dish(whole, known={"sugars_g": 0.94, "fibre_g": 0.6}))
    rows = {row.key: row for row in declaration.rows}
    assert rows["sugars_g"].per_100g == "at least 3.0 g" and rows["sugars_g"].at_least
    assert rows["carbohydrate_g"].per_100g == "not known"  # fibre is taken off and known for less: no bound
    assert rows["energy_kj"].per_100g == "not known"
    assert "fibre_g" not in rows  # voluntary: stands only when whole
    assert rows["fat_g"].per_100g == "5.0 g"
    assert "figure-not-whole" in codes(declaration)


def test_the_share_that_counts_as_whole_is_the_houses():
    at = made(dish({"fat_g": 5.0}, known={"fat_g": 0.95}))
    under = made(dish({"fat_g": 5.0}, known={"fat_g": 0.949}))
    assert {row.key: row.per_100g for row in at.rows}["fat_g"] == "5.0 g"
    assert {row.key: row.per_100g for row in under.rows}["fat_g"] == "at least 5.0 g"


def test_a_missing_value_is_not_zero():
    declaration = made(dish({"fat_g": 5.0}))
    rows = {row.key: row for row in declaration.rows}
    assert rows["saturates_g"].per_100g == "not known" and rows["saturates_g"].value_100g is None
    assert as_json(declaration)["nutrients"]["saturates_g"]["per_100g"] == {
        "value": None,
        "low": None,
        "high": None,
        "known_share": 0.0,
    }


def test_a_line_without_an_amount_makes_a_lower_bound():
    declaration = made(dish({"fat_g": 5.0, "sodium_mg": 400.0}, unknown_amounts=("sea salt",)))
    assert {row.key: row.per_portion for row in declaration.rows}["salt_g"] == "at least 1.0 g"
    assert "figure-at-least" in codes(declaration)


def test_at_least_nothing_is_not_known():
    rows = {
        row.key: row
        for row in made(dish({"sugars_g": 0.3, "saturates_g": 0.0}, known={"sugars_g": 0.5, "saturates_g": 0.5})).rows
    }
    assert rows["sugars_g"].per_100g == "not known" and rows["saturates_g"].per_100g == "not known"
    row = next(row for row in made(dish({"fat_g": 0.2}, known={"fat_g": 0.5}), "us").rows if row.key == "fat_g")
    assert (row.per_portion, row.share) == ("not known", "")


def test_nitrogen_known_for_less_than_protein_is_not_used():
    declaration = made(dish({"protein_g": 10.0, "nitrogen_g": 1.0}, known={"nitrogen_g": 0.6}))
    assert {row.key: row.per_100g for row in declaration.rows}["protein_g"] == "10 g"
    assert "protein-not-restated" in codes(declaration)


def test_energy_tells_when_it_counts_no_alcohol():
    amounts = {"protein_g": 1.0, "nitrogen_g": 0.16, "fat_g": 1.0, "carbohydrate_g": 1.0, "fibre_g": 0.0}
    assert "energy-without-alcohol" in codes(made(dish(amounts)))
    assert "energy-without-alcohol" not in codes(made(dish(amounts | {"alcohol_g": 0.0})))


def test_a_whole_never_prints_less_than_its_part():
    """2012 guidance (derived): fat 0.48 g may print as 0 g, <0.5 g or 0.5 g; saturates 0.46 g prints 0.5 g."""
    rows = {row.key: row.per_100g for row in made(dish({"fat_g": 0.48, "saturates_g": 0.46})).rows}
    assert (rows["fat_g"], rows["saturates_g"]) == ("0.5 g", "0.5 g")
    rows = {row.key: row.per_100g for row in made(dish({"fat_g": 0.48, "saturates_g": 0.30})).rows}
    assert (rows["fat_g"], rows["saturates_g"]) == ("<0.5 g", "0.3 g")


def test_bounds_and_the_tolerance_of_the_law():
    """EU guidance: fat under 10 g may be 1.5 g off. 4-8 g around 6 g is wider, 5-7 g is not."""

    def with_range(low: float, high: float):
        corners = (corner(100, {"fat_g": low}), corner(100, {"fat_g": high}))
        return made(dish({"fat_g": 6.0}, corners=corners))

    wide, narrow = with_range(4.0, 8.0), with_range(5.0, 7.0)
    assert next(row for row in wide.rows if row.key == "fat_g").value_100g == Span(4.0, 6.0, 8.0)
    assert "range-over-tolerance" in codes(wide) and "range-over-tolerance" not in codes(narrow)


def test_alcohol_is_no_part_of_carbohydrate_by_difference():
    """USDA SR28: water, protein, fat, ash, carbohydrate and alcohol of every row with alcohol add up to 100 g, so no law's
    carbohydrate needs alcohol taken off it (21 CFR 101.9(c)(6) doesn't name it)."""
    foods = load_foods()
    parts = [INDEX[key] for key in ("water_g", "protein_g", "fat_g", "ash_g", "carbohydrate_g", "alcohol_g")]
    rows = [foods.get(code).values for code in foods.codes() if code.startswith(("14", "43"))]
    drinks = [values for values in rows if values[INDEX["alcohol_g"]]]
    assert len(drinks) > 30
    for values in drinks:
        assert sum(values[part] or 0.0 for part in parts) == pytest.approx(100, abs=0.2)
