"""Worked examples of laws (published/law_examples.yaml, each with its source), through the tables and the whole declaration."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from declared_plate import FIVE, LAW, boxed, dish, made
from test_packs import holding

from labeller.declaring.menu import choice_words
from labeller.declaring.rounding import rounded
from labeller.declaring.tolerance import allowed

EXAMPLES = yaml.safe_load((Path(__file__).parent / "published" / "law_examples.yaml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("name", [name for name, case in EXAMPLES.items() if "amounts" in case])
def test_printed_amounts_and_shares(name):
    case = EXAMPLES[name]
    rows = {
        row.key: row
        for row in made(dish({key: float(value) for key, value in case["amounts"].items()}), case["law"]).figures
    }
    column = "per_100g" if case["law"] == "eu" else "per_portion"
    assert {key: getattr(rows[key], column) for key in case["printed"]} == case["printed"], case["source"]
    assert {key: rows[key].share for key in case.get("share", {})} == case.get("share", {}), case["source"]


@pytest.mark.parametrize("case", EXAMPLES["us-menu-slash-and-range"]["choices"], ids=lambda case: case["printed"])
def test_a_choice_on_a_us_menu(case):
    assert choice_words(case["of"], LAW["us"]) == case["printed"]


def test_a_whole_and_its_slice_on_a_us_menu():
    case = EXAMPLES["us-menu-pizza"]
    calories = LAW["us"].roundings["calories"]
    assert [LAW["us"].menu["one"].replace("{energy}", rounded(each, calories).text) for each in case["energies"]] == case[
        "printed"
    ]


@pytest.mark.parametrize("case", EXAMPLES["us-ounce-gram"]["ounces"], ids=lambda case: case["printed"])
def test_an_ounce_in_a_serving_is_28_grams(case):
    pack = case["reference_g"] * 4
    declaration = boxed("us", holding(pack, "g", racc=f"{case['reference_g']} g"), weight=pack)
    assert declaration.portion_words.endswith(f"Serving size {case['printed']}")


@pytest.mark.parametrize("case", EXAMPLES["us-servings-about"]["servings"], ids=lambda case: case["printed"])
def test_servings_in_a_container(case):
    weight = case["of"] * 30
    declaration = boxed("us", holding(weight, "g", racc="2 tbsp (30 g)"), weight=weight)
    assert declaration.portion_words.startswith(f"{case['printed']} servings per container")


@pytest.mark.parametrize(("key", "case"), EXAMPLES["us-class-limits"]["limits"].items())
def test_limits_of_the_us_classes(key, case):
    declared, low, high = case
    assert allowed(LAW["us"], key, declared) == (low, high)


def test_what_is_not_as_in_its_example_is_explained():
    """An example without a value to check says why."""
    checked = {"amounts", "choices", "energies", "ounces", "servings", "limits"}
    assert all(checked & set(case) or case.get("explained") for case in EXAMPLES.values())
    assert all(case["source"] and case["status"] in ("published", "derived") for case in EXAMPLES.values()) and FIVE
