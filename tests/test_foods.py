"""The shipped food table against USDA's own publications of SR28."""

from __future__ import annotations

import csv
import hashlib
from pathlib import Path

import pytest
import yaml

from labeller.reading.foods import load_foods
from labeller.terms.nutrients import ABBREV_ORDER, BASE, INDEX

HERE = Path(__file__).resolve().parent
FOLDER = HERE.parent / "reference" / "foods"
SHARED = HERE.parents[1] / "shared" / "data" / "usda"
TABLE = load_foods()

# USDA National Nutrient Database for Standard Reference, Release 28 (2016), per 100 g:
# NDB no., water g, energy kcal, protein g, fat g, carbohydrate g, sodium mg, vitamin C mg (None: no value published)
PUBLISHED = """
01001 15.87 717 0.85 81.11 0.06 643 0
01009 37.02 404 22.87 33.31 3.09 653 0
01053 57.81 340 2.84 36.08 2.74 27 0.6
01056 73.07 198 2.44 19.35 4.63 31 0.9
01077 88.13 61 3.15 3.25 4.80 43 0
01123 76.15 143 12.56 9.51 0.72 142 0
01124 87.57 52 10.90 0.17 0.73 166 0
01125 52.31 322 15.86 26.54 3.59 48 0
02047 0.20 0 0 0 0 38758 0
04053 0 884 0 100 0 2 0
04047 0.03 892 0 99.06 0 0 0
05062 73.90 120 22.50 2.62 0 45 0
09003 85.56 52 0.26 0.17 13.81 1 4.6
09040 74.91 89 1.09 0.33 22.84 1 8.7
09150 88.98 29 1.10 0.30 9.32 2 53
09200 86.75 47 0.94 0.12 11.75 0 53.2
09316 90.95 32 0.67 0.30 7.68 1 58.8
10219 61.06 263 16.88 21.19 0 56 0.7
11090 89.30 34 2.82 0.37 6.64 33 89.2
11124 88.29 41 0.93 0.24 9.58 69 5.9
11143 95.43 16 0.69 0.17 2.97 80 3.1
11215 58.58 149 6.36 0.50 33.06 17 31.2
11282 89.11 40 1.10 0.10 9.34 4 7.4
11352 79.25 77 2.05 0.09 17.49 6 19.7
11457 91.40 23 2.86 0.39 3.63 79 28.1
11529 94.52 18 0.88 0.20 3.89 5 13.7
12061 4.41 579 21.15 49.93 21.55 1 0
12155 4.07 654 15.23 65.21 13.71 2 1.3
13498 54.30 332 14.35 30 0 66 0
15076 68.50 142 19.84 6.34 0 44 0
15236 64.89 208 20.42 13.42 0 59 3.9
15270 78.45 85 20.10 0.51 0 119 None
16057 60.21 164 8.86 2.59 27.42 7 1.3
16087 6.50 567 25.80 49.24 16.13 18 0
16108 8.54 446 36.49 19.94 30.16 2 6
16124 66 60 10.51 0.10 5.57 5586 0
19296 17.10 304 0.30 0 82.40 4 0.5
19335 0.02 387 0 0 99.98 1 0
20081 11.92 364 10.33 0.98 76.31 2 0
20444 11.62 365 7.13 0.66 79.95 5 0
14106 86.86 82 0.07 0 2.60 5 0
19165 3 228 19.60 13.70 57.90 21 0
18375 5.08 325 40.44 7.61 41.22 51 0.3
""".splitlines()
KEYS = ("water_g", "energy_kcal", "protein_g", "fat_g", "carbohydrate_g", "sodium_mg", "vitamin_c_mg")


def needs(name: str) -> Path:
    path = SHARED / name
    if not path.exists():
        pytest.skip(f"../shared/data/usda/{name} is not beside this checkout")
    return path


def rows(name: str) -> list[dict[str, str]]:
    with (FOLDER / name).open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


@pytest.mark.parametrize("line", [line for line in PUBLISHED if line])
def test_named_rows_as_published(line: str) -> None:
    code, *figures = line.split()
    food = TABLE.get(code)
    for key, figure in zip(KEYS, figures, strict=True):
        assert food.values[INDEX[key]] == (None if figure == "None" else float(figure)), key


def test_every_field_of_every_row_equals_usda_abbrev() -> None:
    """USDA's own ABBREV file: all nutrients equal; refuse differs in 50 rows (0 there, blank here) and nowhere else."""
    text = needs("sr28_abbrev_check.txt").read_text("latin-1")
    published = [[part.strip("~") for part in line.split("^")] for line in text.splitlines() if line.strip()]
    ours = {row["code"]: row for row in rows("sr28.csv")}
    assert len(published) == len(ours) == 8790
    refuse_differs = []
    for row in published:
        mine = ours[row[0]]
        for key, text in zip(ABBREV_ORDER, row[2:48], strict=True):
            assert (text == "") == (mine[key] == ""), (row[0], key)
            assert text == "" or float(text) == float(mine[key]), (row[0], key)
        if row[52] != mine["refuse_percent"]:
            assert mine["refuse_percent"] in ("", str(float(row[52] or 0)).removesuffix(".0"))
            refuse_differs += [row[0]] if not mine["refuse_percent"] else []
    assert len(refuse_differs) == 50


def test_descriptions_and_groups_equal_food_data_central() -> None:
    with needs("ndb_to_fdc.csv").open(encoding="utf-8", newline="") as stream:
        fdc = {row["NDB_No"]: row for row in csv.DictReader(stream) if row["in_sr28_abbrev"] == "1"}
    ours = {row["code"]: row for row in rows("sr28.csv")}
    for code, row in fdc.items():
        mine = ours[code]
        description = row["description"].replace(" (Includes foods for USDA's Food Distribution Program)", "")
        assert (mine["fdc_id"], mine["group"], mine["description"]) == (row["fdc_id"], row["food_category"], description)
    assert len(fdc) == 7754 == sum(1 for row in ours.values() if row["fdc_id"])


def test_household_weights_equal_usda_weight_file() -> None:
    text = needs("sr28_household_weights.txt").read_text("latin-1")
    published = [[part.strip("~") for part in line.split("^")] for line in text.splitlines() if line.strip()]
    ours = [(row["code"], row["seq"], row["amount"], row["grams"]) for row in rows("measures.csv")]
    assert ours == [(row[0], row[1], row[2], row[4]) for row in published]


def test_no_blank_became_zero() -> None:
    """Spot rows with blanks that USDA prints as blanks: cheese, caraway (fibre 0, sugars blank). What our own columns add to a
    blank is a part of something that is 0, and names its source."""
    caraway = TABLE.get("01008")
    assert caraway.values[INDEX["sugars_g"]] is None and caraway.values[INDEX["fibre_g"]] == 0
    blank = sum(row[key] == "" for row in rows("sr28.csv") for key in ABBREV_ORDER)
    foods = [TABLE.get(code) for code in TABLE.codes()]
    missing = sum(value is None for food in foods for value in food.values[:46])
    added = [(food, key) for food in foods for key, _ in food.sources if key in ABBREV_ORDER]
    assert blank == missing + len(added) > missing > 0
    for food, key in added:
        whole = "fat_g" if key == "saturates_g" else "carbohydrate_g"
        assert food.values[INDEX[key]] == food.values[INDEX[whole]] == 0, (food.code, key)
    turbot = TABLE.get("15129")  # USDA prints carbohydrate 0 and leaves sugars blank
    assert dict(turbot.sources)["sugars_g"] == "part-of-carbohydrate"


def test_measures_of_known_foods() -> None:
    """SR28 gram weights: 1 cup whole milk 244 g, 1 large egg 50 g, 1 tbsp butter 14.2 g, 1 cup all-purpose flour 125 g."""
    for code, words, grams in (("01077", "cup", 244), ("01123", "large", 50), ("01001", "tbsp", 14.2), ("20081", "cup", 125)):
        assert [m.grams for m in TABLE.get(code).measures if m.words == words and m.amount == 1] == [grams]


def test_lookup_by_any_spelling_of_the_code() -> None:
    assert TABLE.get("01077") == TABLE.get("1077") == TABLE.get("fdc:171265")
    assert TABLE.get("01077").fdc_id == "171265"
    for unknown in ("99999", "00000", "abc", "", "fdc:", "fdc:1", "010770"):
        assert TABLE.get(unknown) is None
    codes = TABLE.codes()
    assert len(codes) == 8790 and list(codes) == sorted(codes) and TABLE.get(codes[0]) and TABLE.get(codes[-1])


def test_descriptions_are_those_of_the_rows() -> None:
    assert TABLE.descriptions() == {row["code"]: row["description"] for row in rows("sr28.csv")}


def test_state() -> None:
    assert [TABLE.get(code).state for code in ("11124", "11125", "05062", "05064", "20445", "02047")] == [
        "raw", "cooked", "raw", "cooked", "cooked", ""]  # fmt: skip


def test_own_columns_never_contradict_the_release() -> None:
    """Part never larger than the whole; every known value has a source that SOURCES.yaml resolves."""
    keys = set(yaml.safe_load((FOLDER / "SOURCES.yaml").read_text("utf-8")))
    for code in TABLE.codes():
        food = TABLE.get(code)
        value = dict(zip(BASE, food.values, strict=True))
        if value["trans_fat_g"] is not None:
            assert value["trans_fat_g"] <= value["fat_g"] + 0.02, code
        if value["added_sugars_g"]:
            assert value["added_sugars_g"] <= value["sugars_g"], code
        if value["polyols_g"] is not None:
            assert value["polyols_g"] == value["carbohydrate_g"] == 0, code
        if value["alcohol_g"] and None not in (value["water_g"], value["carbohydrate_g"]):
            assert value["alcohol_g"] + value["water_g"] + value["carbohydrate_g"] <= 101, code
        assert {source for _, source in food.sources} <= keys, code
        known = {key for key in BASE[46:] if value[key] is not None}
        assert known == {key for key, _ in food.sources if key in BASE[46:]}, code


def test_own_columns_of_known_foods() -> None:
    """Trans fat of butter 3.278 g and alcohol of white table wine 10.3 g: USDA SR26. Nitrogen of milk: 3.15 / 6.38."""

    def of(code: str, key: str) -> float | None:
        return TABLE.get(code).values[INDEX[key]]

    assert of("01001", "trans_fat_g") == 3.278 and of("14106", "alcohol_g") == 10.3
    assert of("01077", "trans_fat_g") == pytest.approx(0.112 / 3.2 * 3.25, abs=0.001)  # Foundation Foods 2024, by fat
    assert of("01053", "trans_fat_g") == pytest.approx(0.112 / 3.2 * 36.08, abs=0.001)  # cream: as milk fat
    assert of("01077", "nitrogen_g") == pytest.approx(3.15 / 6.38)
    assert of("20081", "nitrogen_g") == pytest.approx(10.33 / 5.70)
    assert of("12061", "nitrogen_g") == pytest.approx(21.15 / 5.18)
    assert of("19335", "added_sugars_g") == 99.8 and of("19296", "added_sugars_g") == 82.12  # sugar, honey
    assert of("09003", "added_sugars_g") == of("01077", "added_sugars_g") == 0  # apple, milk
    assert of("11935", "added_sugars_g") is None  # ketchup: the table does not tell


def test_checksums_of_the_manifest() -> None:
    for entry in yaml.safe_load((FOLDER / "MANIFEST.yaml").read_text("utf-8")):
        assert hashlib.sha256((FOLDER / entry["file"]).read_bytes()).hexdigest() == entry["sha256"], entry["file"]
    assert len(TABLE.version) == 12
