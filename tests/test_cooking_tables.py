"""Cooking tables against USDA's retention factors, USDA's cooking yields and MEXT's."""

from __future__ import annotations

import csv
import hashlib
from pathlib import Path

import pytest
import yaml

from labeller.reading.cooking_tables import load_cooking
from labeller.reading.foods import load_foods
from labeller.terms.nutrients import INDEX
from labeller.terms.spans import Span
from labeller.terms.words import normalise

HERE = Path(__file__).resolve().parent
FOLDER = HERE.parent / "reference" / "cooking"
SHARED = HERE.parents[1] / "shared" / "data" / "usda"
TABLES, FOODS = load_cooking(), load_foods()

# USDA Table of Nutrient Retention Factors, Release 6 (2007), % of code, vitamin C, thiamin, folate, potassium
PUBLISHED = {"3005": (55, 80, 60, 85), "601": (80, 55, 95, 80), "1": (65, 75, 80, 100), "3316": (75, 80, 75, 90)}
KEYS = ("vitamin_c_mg", "thiamin_mg", "folate_ug", "potassium_mg")


def test_every_factor_equals_usda() -> None:
    path = SHARED / "retention_factors_release_6_2007.csv"
    if not path.exists():
        pytest.skip("../shared/data/usda/retention_factors_release_6_2007.csv is not beside this checkout")
    numbers = {"401": "vitamin_c_mg", "404": "thiamin_mg", "417": "folate_ug", "306": "potassium_mg", "392": "retinol_ug",
               "221": "alcohol_g", "301": "calcium_mg", "303": "iron_mg", "304": "magnesium_mg", "305": "phosphorus_mg",
               "307": "sodium_mg", "309": "zinc_mg", "312": "copper_mg", "405": "riboflavin_mg", "406": "niacin_mg",
               "415": "vitamin_b6_mg", "431": "folic_acid_ug", "432": "food_folate_ug", "421": "choline_mg",
               "418": "vitamin_b12_ug", "318": "vitamin_a_iu", "321": "beta_carotene_ug", "322": "alpha_carotene_ug",
               "334": "beta_cryptoxanthin_ug", "337": "lycopene_ug", "338": "lutein_zeaxanthin_ug"}  # fmt: skip
    seen: dict[str, set[str]] = {}
    with path.open(encoding="utf-8", newline="") as stream:
        for row in csv.DictReader(stream):
            key = numbers[row["nutrient_no"]]
            factor = TABLES.retention(row["code"]).get(key)
            if row["factor_pct"]:
                assert factor == pytest.approx(float(row["factor_pct"]) / 100), (row["code"], key)
                seen.setdefault(row["code"], set()).add(key)
            else:
                assert factor is None and key in TABLES.missing(row["code"]), (row["code"], key)
    assert len(seen) == 270
    for code, keys in seen.items():  # nothing but what is published, and its two companions
        assert set(TABLES.retention(code)) - {"vitamin_a_rae_ug", "folate_dfe_ug"} == keys, code


@pytest.mark.parametrize("code", list(PUBLISHED))
def test_named_factors(code: str) -> None:
    found = TABLES.retention(code)
    assert tuple(round(found[key] * 100) for key in KEYS) == PUBLISHED[code]


def test_one_factor_serves_two_keys() -> None:
    """Vitamin A (392) serves retinol and RAE, folate (417) serves folate and its equivalents."""
    for code in ("1", "805", "3005", "2153"):
        found = TABLES.retention(code)
        assert found["retinol_ug"] == found["vitamin_a_rae_ug"] and found["folate_dfe_ug"] == found["folate_ug"]


def test_what_is_missing_is_named_and_unknown_codes_are_none() -> None:
    """Code 5005 lacks 24 of the 26 factors, 5009 the alcohol, 1154 choline."""
    assert set(TABLES.retention("5005")) == {"choline_mg", "alcohol_g"} and len(TABLES.missing("5005")) == 26
    assert TABLES.missing("5009") == ("alcohol_g",) and TABLES.missing("1154") == ("choline_mg",)
    assert TABLES.missing("3005") == () and TABLES.retention("9999") is None
    assert TABLES.retention("0") == {} and TABLES.retention("0601") == TABLES.retention("601")


# Words of cooks; the codes are those whose description in USDA's table names the same food and treatment
@pytest.mark.parametrize(("method", "code", "means"), [
    ("boiled", "11457", "vegetables, greens, boiled, water cover drained"),
    ("steamed", "11124", "vegetables, roots, etc, steamed"), ("pan-fried", "11352", "potatoes, fried"),
    ("roasted", "13047", ""), ("braised", "23572", ""), ("poached", "01123", "eggs, poached"),
    ("hard boiled", "01123", "eggs, hard cooked"), ("grilled", "15236", "finfish, >5%fat, broiled, without drippings"),
    ("baked", "15015", "finfish, <5%fat, baked, without drippings"), ("boiled", "20120", "pasta, boiled, drained"),
    ("boiled, then stir-fried", "11124", "vegetables, roots, etc, stir fry"), ("baked", "20081", "flour/meal, baked"),
    ("boiled", "16057", "legumes, cooked 2/2.5hours, boiled, drained"), ("roasted", "05062", "chicken, roasted"),
    ("stewed", "09003", "fruits, fresh (not citrus), stewed"), ("simmered", "09150", "fruits, citrus, cooked"),
])  # fmt: skip
def test_methods_of_cooks(method: str, code: str, means: str) -> None:
    food = FOODS.get(code)
    chosen = TABLES.code_for(method, food.group, food.description)
    assert chosen and TABLES.retention(chosen) is not None
    if means:
        assert TABLES.treatment_words(chosen).replace("stir-fried", "stir fry") == means


def test_where_no_code_stands_for_it() -> None:
    for method, code in (("sous vide", "05062"), ("smoked", "15236"), ("cured", "15236"), ("raw", "11124"), ("chopped", "11124"),
                         ("boiled", "02047"), ("boiled", "19335"), ("fried", "04053"), ("simmered", "14106")):  # fmt: skip
        food = FOODS.get(code)
        assert TABLES.code_for(method, food.group, food.description) is None, (method, code)
    assert TABLES.treatment("sous vide", "Poultry Products", "Chicken, raw").method == "sous vide"


def test_fish_is_told_by_its_fat() -> None:
    """USDA parts finfish at 5 % fat; without a figure the name decides, and agrees with SR28 but for two just under 5 %."""
    wrong = []
    for code in FOODS.codes():
        food = FOODS.get(code)
        if food.group == "Finfish and Shellfish Products" and food.state == "raw":
            fat = food.values[INDEX["fat_g"]]
            if TABLES.kind_of(food.group, food.description) is not TABLES.kind_of(food.group, food.description, fat):
                wrong.append((food.description, fat))
    assert len(wrong) <= 2 and all(4.8 < fat <= 5 for _, fat in wrong), wrong


def rows(name: str) -> list[dict[str, str]]:
    with (FOLDER / name).open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def test_every_treatment_names_a_kind_a_method_and_a_code_that_exist() -> None:
    kinds, methods = {row["kind"] for row in rows("kinds.csv")}, {row["method"] for row in rows("methods.csv")}
    treatments = rows("treatments.csv")
    assert len({(row["kind"], row["method"]) for row in treatments}) == len(treatments)
    for row in treatments:
        assert row["kind"] in kinds and row["method"] in methods and TABLES.retention(row["code"]) is not None, row
    groups = {FOODS.get(code).group for code in FOODS.codes()}
    assert all(set(row["groups"].split("|")) <= groups for row in rows("kinds.csv"))


def test_names_are_normalised_as_they_are_looked_up() -> None:
    columns = {"yields.csv": ("names",), "trim.csv": ("names",), "methods.csv": ("words",), "kinds.csv": ("words", "unless")}
    for name, column in ((name, column) for name, own in columns.items() for column in own):
        for row in rows(name):
            for text in filter(None, row[column].split("|")):
                assert text == normalise(text), (name, text)


def test_yields_as_published() -> None:
    """USDA Table of Cooking Yields, Release 2: brisket flat braised 69 %, baked bacon 32 %; MEXT 2020 pairs."""
    brisket = "Beef, brisket, flat half, separable lean and fat, trimmed to 1/8\" fat, all grades, raw"
    assert TABLES.cooking_yield(brisket, "braised") == (0.69, f"usda-yields-2: {brisket.removesuffix(', raw')}, braised")
    assert TABLES.cooking_yield("Pork, cured, bacon, unprepared", "baked")[0] == 0.32
    assert TABLES.cooking_yield("Carrots, raw", "boiled")[0] == TABLES.cooking_yield("carrot", "boiled")[0] == 0.86
    assert TABLES.cooking_yield("dried pasta", "boiled")[0] == 2.22
    assert TABLES.cooking_yield("onions", "caramelised")[0] == 0.25


def test_no_yield_of_something_similar() -> None:
    for name, method in (("baby carrots", "boiled"), ("carrots", "raw"), ("carrots", "smoked"), ("Onions, spring, raw", "boiled"),
                         ("lamb leg", "roasted"), ("pork spareribs", "braised")):  # fmt: skip
        assert TABLES.cooking_yield(name, method) is None, name


def test_trim_as_published() -> None:
    """USDA SR26 refuse: carrots 11 %, leeks 56 %, whole mackerel 50 % (MEXT); chicken thigh counts bone twice: not used."""
    assert (TABLES.trim("carrots").share, TABLES.trim("Leeks, (bulb and lower leaf-portion), raw").share) == (0.11, 0.56)
    assert TABLES.trim("whole mackerel").share == 0.5 and "11124" in TABLES.trim("carrot").source
    assert TABLES.trim("chicken thigh, bone-in, meat and skin") is None and TABLES.trim("dragon fruit") is None


# USDA Retention Factors, Release 6: stirred in and baked or simmered 15 min 40, 30 min 35, 1 h 25, 1.5 h 20, 2 h 10, 2.5 h 5 %
@pytest.mark.parametrize(("minutes", "share"), [(15, 0.40), (30, 0.35), (60, 0.25), (90, 0.20), (120, 0.10), (150, 0.05)])
def test_alcohol_that_stays(minutes: int, share: float) -> None:
    assert TABLES.alcohol_stays(minutes)[0] == Span(share, share, share)


def test_alcohol_between_the_times_of_the_table() -> None:
    found, source = TABLES.alcohol_stays(45)
    assert (found.low, found.mid, found.high) == (0.25, pytest.approx(0.30), 0.35) and "5005" in source
    assert TABLES.alcohol_stays()[0].mid == 0.85 and TABLES.alcohol_stays(flamed=True)[0].mid == 0.75
    assert TABLES.alcohol_stays(overnight=True)[0].mid == 0.70 and TABLES.alcohol_stays(stirred=False)[0].mid == 0.45
    assert TABLES.alcohol_stays(600)[0].mid == 0.05  # never none


def test_every_row_has_a_source() -> None:
    keys = set(yaml.safe_load((FOLDER / "SOURCES.yaml").read_text("utf-8")))
    for name in ("yields.csv", "yields_other.csv", "trim.csv"):
        with (FOLDER / name).open(encoding="utf-8", newline="") as stream:
            assert {row["source"] for row in csv.DictReader(stream)} <= keys, name


def test_checksums_of_the_manifest() -> None:
    for entry in yaml.safe_load((FOLDER / "MANIFEST.yaml").read_text("utf-8")):
        assert hashlib.sha256((FOLDER / entry["file"]).read_bytes()).hexdigest() == entry["sha256"], entry["file"]
