"""The developers' check data, where it stands beside the project: every rounding vector printed, every worked example of a law
found in a test or explained. Skipped elsewhere; the same values stand in published/, so that nothing depends on it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import yaml

from labeller.declaring.nutrition import with_unit
from labeller.declaring.rounding import rounded
from labeller.reading.laws import load_law

CHECKS = Path(__file__).resolve().parents[2] / "shared" / "facts" / "checks"
pytestmark = pytest.mark.skipif(not CHECKS.is_dir(), reason="the developers' check data is not beside this project")
DAY = "2026-11-25"
HERE = Path(__file__).parent

# Table of the check data -> law, its table here, unit.
TABLES = {
    ("us", "calories"): ("us", "calories", ""),
    ("us", "fat family"): ("us", "fats", "g"),
    ("us", "cholesterol"): ("us", "cholesterol", "mg"),
    ("us", "sodium"): ("us", "sodium", "mg"),
    ("us", "carbohydrate"): ("us", "carbohydrate and protein", "g"),
    ("us", "percent DV"): ("us", "percent of vitamins and minerals", "%"),
    ("us", "metric serving"): ("us", "serving weight", "g"),
    ("us", "servings per"): ("us", "servings in a pack", ""),
    ("eu_uk", "fat"): ("eu", "grams", "g"),
    ("eu_uk", "saturates"): ("eu", "fatty acids", "g"),
    ("eu_uk", "salt"): ("eu", "salt", "g"),
    ("eu_uk", "three"): ("eu", "three figures", ""),
    ("eu_uk", "two"): ("eu", "two figures", ""),
    ("eu_uk", "energy"): ("eu", "energy", ""),
    ("canada", "calories"): ("ca", "calories", ""),
    ("canada", "fat"): ("ca", "fats", "g"),
    ("canada", "sodium"): ("ca", "sodium", "mg"),
    ("canada", "carbohydrate"): ("ca", "carbohydrate", "g"),
    ("canada", "protein"): ("ca", "protein", "g"),
    ("canada", "potassium"): ("ca", "potassium and calcium", "mg"),
    ("canada", "iron"): ("ca", "iron and zinc", "mg"),
    ("canada", "vitamin C"): ("ca", "vitamin c", "mg"),
    ("canada", "serving size"): ("ca", "serving weight", "g"),
}


def vectors() -> list[tuple[str, str, str, str]]:
    if not CHECKS.is_dir():
        return []
    data = yaml.safe_load((CHECKS / "rounding_vectors.yaml").read_text(encoding="utf-8"))
    return [
        (where, name, str(amount), str(printed))
        for where, tables in data.items()
        if where != "meta"
        for name, rows in tables.items()
        for amount, printed in rows
    ]


def table_of(where: str, name: str) -> tuple[str, str, str]:
    found = [key for key in TABLES if key[0] == where and name.startswith(key[1])]
    assert len(found) == 1, (where, name)
    return TABLES[found[0]]


def allowed(printed: str) -> set[str]:
    """The forms of a vector: "0 (or less than 1 g)", "0 or <0.5"; spaces and units apart."""
    parts = re.split(r"\(or nearest \d+: |\(or |\bor\b|, asterisk|\(nearest 2 is |\)", printed)
    return {bare(part) for part in parts if part.strip() and "omit" not in part}


def bare(text: str) -> str:
    return re.sub(r"\s|%|mcg|mg|g$|about", "", text.strip()).strip("()")


@pytest.mark.parametrize(("where", "name", "amount", "printed"), vectors())
def test_a_rounding_vector_prints_as_it_says(where, name, amount, printed):
    law_key, table, unit = table_of(where, name)
    law = load_law(law_key, DAY)
    text = with_unit(rounded(float(amount), law.roundings[table]), unit, law)
    assert bare(text) in allowed(printed), (printed, text)


def test_every_vector_of_the_check_data_is_among_them():
    assert len(vectors()) > 180 and {where for where, *_ in vectors()} == {"us", "eu_uk", "canada"}


# Worked example -> where it stands here: a file and words in it.
EXAMPLES = {
    "us-dv-vitamins": ("published/declaring.yaml", "235"),
    "us-sample-label": ("published/declaring.yaml", "101.9(d)(12)"),
    "us-dv-whole-percent-old-drv": ("published/declaring.yaml", "familyeducation"),
    "us-menu-pizza": ("published/law_examples.yaml", "us-menu-pizza"),
    "us-menu-slash-and-range": ("published/law_examples.yaml", "us-menu-slash-and-range"),
    "us-serving-halfway": ("published/law_examples.yaml", "us-serving-halfway"),
    "us-ounce-gram": ("published/law_examples.yaml", "us-ounce-gram"),
    "us-servings-about": ("published/law_examples.yaml", "us-servings-about"),
    "us-unrounded-first": ("published/law_examples.yaml", "us-unrounded-first"),
    "us-dual-column": ("test_packs.py", "1.125 g in the pack"),
    "us-dv-two-answers": ("published/law_examples.yaml", "us-dv-two-answers"),
    "us-dv-two-answers-2": ("published/law_examples.yaml", "us-dv-two-answers-2"),
    "us-class-limits": ("published/law_examples.yaml", "us-class-limits"),
    "us-simplified": ("test_declaring.py", "11 of 15 are nothing"),
    "eu-quid-salami": ("published/declaring.yaml", "115 g of meat"),
    "eu-quid-biscuit": ("published/declaring.yaml", "50/169"),
    "salt-sodium-pair": ("test_declaring.py", "0.3 g salt is 0.1 g"),
    "eu-tolerance-wine-sugar": ("published/declaring.yaml", "vinjournalen"),
    "eu-energy-two-units": ("published/law_examples.yaml", "eu-energy-two-units"),
    "eu-energy-polyol-alcohol": ("published/law_examples.yaml", "eu-energy-polyol-alcohol"),
    "eu-part-exceeds-whole": ("published/law_examples.yaml", "eu-part-exceeds-whole"),
    "eu-salt-from-all-sodium": ("published/law_examples.yaml", "eu-salt-from-all-sodium"),
    "eu-sulphite-strict": ("test_laws.py", '("eu", 10.1, True)'),
    "eu-significant-amount": ("published/declaring.yaml", "15 % of 800 mg"),
    "eu-protein-restated": ("test_declaring.py", "11.33"),
    "uk-colour-edges": ("published/declaring.yaml", "17.51"),
    "uk-portion-override": ("published/declaring.yaml", "24 g in the portion"),
    "ca-dv-from-rounded": ("published/law_examples.yaml", "ca-dv-from-rounded"),
    "ca-fat-below-half": ("published/law_examples.yaml", "ca-fat-below-half"),
    # not of a law: cooking and scaling, under test with the batches
    "bake-loss": ("test_published_recipes.py", "2514"),
    "scale-portions": ("test_published_recipes.py", "scal"),
}


def test_every_worked_example_of_a_law_stands_in_a_test_or_is_explained():
    data = yaml.safe_load((CHECKS / "worked_examples.yaml").read_text(encoding="utf-8"))
    named = [case["id"] for block in data.values() if isinstance(block, list) for case in block if "id" in case]
    assert set(named) == set(EXAMPLES)
    for key, (name, words) in EXAMPLES.items():
        place = HERE / name
        assert words in place.read_text(encoding="utf-8"), key


def test_every_food_of_the_energy_table_stands_in_published():
    data = yaml.safe_load((CHECKS / "worked_examples.yaml").read_text(encoding="utf-8"))
    here = (HERE / "published" / "declaring.yaml").read_text(encoding="utf-8")
    for row in data["energy_specific_factors_sr"]["rows"]:
        assert row["ndb"] in here and f"eu_kcal: {row['eu_kcal']:g}" in here.replace(".0,", ","), row["ndb"]
