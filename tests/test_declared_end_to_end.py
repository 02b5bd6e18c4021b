"""From the kitchen's files to the declaration: ranges wider than a law's tolerance, and values that are missing."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from labeller.serving.cli import main

DAY = ("--date", "2026-11-25")


@pytest.fixture
def declared(tmp_path: Path, capsys):
    """Writes a kitchen and returns its declarations as published JSON, by the name of the dish."""

    def of(recipes: str, law: str, products: str = "") -> dict[str, dict]:
        for folder in ("recipes", "products"):
            (tmp_path / folder).mkdir(exist_ok=True)
        (tmp_path / "kitchen.yaml").write_text("kitchen: Test\nlaw: eu\nshow nutrition: yes\n", encoding="utf-8")
        (tmp_path / "recipes" / "all.yaml").write_text(recipes, encoding="utf-8")
        (tmp_path / "products" / "all.yaml").write_text(products or "[]\n", encoding="utf-8")
        main(["declare", "--all", "--law", law, "--format", "json", "--kitchen", str(tmp_path), *DAY])
        return {each["dish"]: each for each in json.loads(capsys.readouterr().out)}

    return of


def over(record: dict) -> str:
    return " ".join(each["text"] for each in record["findings"] if each["code"] == "range-over-tolerance")


OILED = """
- dish: oiled flour
  serves: 1
  portion:
    - plain flour: 100 g
    - rapeseed oil: %s
"""


def test_eu_a_range_wider_than_the_tolerance_is_said(declared) -> None:
    """Commission guidance of December 2012: fat of 10 to 40 g per 100 g may be 20 % off. Oil has 100 g of fat per 100 g (SR28
    04582), flour 0.98 g (20481). 10-40 g of oil: 9.98 to 29.3 g, declared 20.8 g (16.6 to 25 g allowed): too wide. 24-26 g:
    20.1 to 21.4 g."""
    wide = declared(OILED % "10-40 g", "eu")["oiled flour"]
    assert "fat_g runs from 9.98 to 29.3, declared 20.8" in over(wide)
    assert over(declared(OILED % "24-26 g", "eu")["oiled flour"]) == ""


SWEET = """
- dish: sweet flour
  serves: 1
  portion:
    - plain flour: 100 g
    - caster sugar: %s
"""


def test_us_class_two_and_third_group(declared) -> None:
    """21 CFR 101.9(g)(4)-(5): protein and fibre at least 80 %, sugars, fat and calories at most 120 % of the declared value.
    5-15 g of sugar around 10 g: sugars 5.27 to 15.3 g a portion, declared 10.3 g, at most 12.3 g. 10-11 g stay within."""
    wide = declared(SWEET % "5-15 g", "us")["sweet flour"]
    assert "sugars_g runs from" in over(wide) and "protein_g" not in over(wide)
    assert over(declared(SWEET % "10-11 g", "us")["sweet flour"]) == ""


HALF = """
- dish: half known
  serves: 1
  portion:
    - caster sugar: %s
    - mystery paste: 50 g
"""
PASTE = """
- product: mystery paste
  nutrition per 100 g: {basis: eu, energy: 400 kJ, fat: 2 g, protein: 3 g, salt: 1 g, carbohydrate: 15 g, sugars: 5 g}
"""


def test_a_figure_known_for_half_of_the_weight_is_not_printed_as_if_it_were_whole(declared) -> None:
    """Saturates of the paste are not on its label; sugar has none (SR28 19335: fat 0, so saturates 0). 50 g + 50 g: known for
    half."""
    found = declared(HALF % "50 g", "eu", PASTE)["half known"]
    saturates = found["nutrients"]["saturates_g"]
    assert saturates["per_100g"]["known_share"] == pytest.approx(0.5)
    assert saturates["declared"]["per_100g"].startswith(("not known", "at least"))
    fat = found["nutrients"]["fat_g"]
    assert fat["per_100g"]["known_share"] == pytest.approx(1.0) and fat["per_100g"]["value"] == pytest.approx(
        1.0)  # 2 g of 100 g of paste  # fmt: skip


def test_known_for_nearly_all_of_the_weight_is_printed_as_it_is(declared) -> None:
    """The kitchen's least share is 95 % (reference/rules/house.yaml): 1950 g of sugar and 50 g of paste, known for 97.5 %."""
    found = declared(HALF % "1950 g", "eu", PASTE)["half known"]["nutrients"]["saturates_g"]
    assert found["per_100g"]["known_share"] == pytest.approx(0.975)
    assert found["declared"]["per_100g"] == "0 g"


def test_a_nutrient_that_a_treatment_leaves_blank_is_not_known(declared) -> None:
    """USDA Retention Factors, Release 6: code 5005 (alcohol, 2 h) lacks all factors but that of alcohol: not known, not 1."""
    record = declared("""
- dish: leek
  serves: 1
  portion:
    - leek: {amount: 100 g, food: "11246", cooked as: "5005"}
""", "none")["leek"]["nutrients"]
    assert "vitamin_c_mg" not in record or record["vitamin_c_mg"]["per_100g"]["known_share"] == 0
    assert record["fat_g"]["per_100g"]["known_share"] == 1
