"""USDA's own recipes through the real doors: written as kitchen files, read, worked out, held against USDA's published values.

Source: USDA Food and Nutrient Database for Dietary Studies (FNDDS) 2017-2018, ingredient and nutrient tables (public domain),
in ``../shared/data/fndds``. Run by hand for the table of the README, or through tests/test_usda_recipes.py:

    python tests/measure_usda_recipes.py ../shared/data/fndds
"""

from __future__ import annotations

import csv
import sys
import tempfile
from collections import defaultdict
from decimal import ROUND_HALF_EVEN, Decimal
from pathlib import Path
from typing import NamedTuple

from labeller.reading.kitchen import read_kitchen
from labeller.serving.tables import Tables
from labeller.serving.workshop import Workshop
from labeller.terms.nutrients import INDEX

# key of ours -> (column of the published table, column of the ingredient table, printed decimals)
COLUMNS = {
    "energy_kcal": ("Energy (kcal)", "Energ_Kcal", 0), "protein_g": ("Protein (g)", "Protein", 2),
    "fat_g": ("Total Fat (g)", "Lipid_Tot", 2), "carbohydrate_g": ("Carbohydrate (g)", "Carbohydrt", 2),
    "sodium_mg": ("Sodium (mg)", "Sodium", 0), "calcium_mg": ("Calcium (mg)", "Calcium", 0),
    "vitamin_c_mg": ("Vitamin C (mg)", "Vit_C", 1), "fibre_g": ("Fiber, total dietary (g)", "Fiber_TD", 1),
    "sugars_g": ("Sugars, total (g)", "Sugar_Tot", 2), "iron_mg": ("Iron (mg)", "Iron", 2),
    "potassium_mg": ("Potassium (mg)", "Potassium", 0),
}  # fmt: skip
LABEL_WORDS = {"energy_kcal": ("energy", "kcal"), "protein_g": ("protein", "g"), "fat_g": ("fat", "g"),
               "carbohydrate_g": ("carbohydrate", "g"), "sodium_mg": ("sodium", "mg"), "calcium_mg": ("calcium", "mg"),
               "vitamin_c_mg": ("vitamin c", "mg"), "fibre_g": ("fibre", "g"), "sugars_g": ("sugars", "g"),
               "iron_mg": ("iron", "mg"), "potassium_mg": ("potassium", "mg")}  # fmt: skip


class Case(NamedTuple):
    code: str
    words: str
    lines: list[tuple[str, float, str]]  # ingredient code, grams, retention code
    moisture: float | None


def rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as stream:
        return [{key.replace("\n", " ").replace("total (g)", "total (g)"): value for key, value in row.items()}
                for row in csv.DictReader(stream)]  # fmt: skip


def cases(folder: Path) -> dict[str, Case]:
    """Every recipe of the file: code -> case."""
    found: dict[str, Case] = {}
    for row in rows(folder / "recipes_2017_2018.csv"):
        moisture = float(row["moisture_change_pct"]) if row["moisture_change_pct"] else None
        case = found.setdefault(row["food_code"], Case(row["food_code"], row["food_description"], [], moisture))
        case.lines.append((row["ingredient_code"], float(row["ingredient_weight_g"]), row["retention_code"]))
    return found


def written(found: dict[str, Case], values: dict[str, dict[str, str]], rows_of_table: frozenset[str], folder: Path) -> None:
    """The recipes as a kitchen's files. values: ingredient code -> figures as USDA used them where they are not SR28's."""
    (folder / "kitchen.yaml").write_text("kitchen: USDA test kitchen\nlaw: none\n", encoding="utf-8")
    recipes, products = folder / "recipes", folder / "products"
    recipes.mkdir()
    products.mkdir()
    used = {line[0] for case in found.values() for line in case.lines if len(line[0]) < 8}
    chunks = [sorted(found)[start : start + 500] for start in range(0, len(found), 500)]
    for nr, codes in enumerate(chunks):
        text = "\n".join(_recipe(found[code], values, rows_of_table) for code in codes)
        (recipes / f"part{nr:02}.yaml").write_text(text, encoding="utf-8")
    text = "\n".join(_product(code, values[code]) for code in sorted(used) if code in values)
    (products / "usda.yaml").write_text(text or "[]", encoding="utf-8")


def _recipe(case: Case, values: dict[str, dict[str, str]], table: frozenset[str]) -> str:
    out = [f"- recipe: food {case.code}", "  ingredients:"]
    for code, grams, retention in case.lines:
        ndb = code.zfill(5)
        name = f"food {code}" if len(code) == 8 else (f"usda {ndb}" if code in values else f"row {ndb}")
        more = f', food: "{ndb}"' if len(code) < 8 and code not in values and ndb in table else ""
        more += f', cooked as: "{retention}"' if retention not in ("0", "") else ""
        out.append(f"    - {name}: {{amount: {_grams(grams)} g{more}}}")
    if case.moisture:
        out.append(f"  water change: {case.moisture:g} %")
    return "\n".join(out)


def _grams(grams: float) -> str:
    """Never three decimals: the reader asks whether "1.234 g" is a thousand."""
    text = f"{grams:.12f}".rstrip("0").rstrip(".")
    return text + "0" if len(text.partition(".")[2]) == 3 else text


def _product(code: str, figures: dict[str, str]) -> str:
    parts = [f"{LABEL_WORDS[key][0]}: {figures[column]} {LABEL_WORDS[key][1]}"
             for key, (_, column, _) in COLUMNS.items() if figures[column]]  # fmt: skip
    ndb = code.zfill(5)
    return f"- product: usda {ndb}\n  nutrition per 100 g: {{basis: us, {', '.join(parts)}}}"


def worked_out(folder: Path, tables: Tables) -> tuple[dict[str, dict[str, float]], list]:
    """Values per 100 g by our engine: food code -> key -> value; and the findings of the reading."""
    kitchen, findings = read_kitchen(folder)
    workshop = Workshop(kitchen, tables, findings)
    found = {}
    for recipe in kitchen.recipes.values():
        family = workshop.family(recipe)
        content = workshop.contents(family, workshop.batches(family), memo=True)[recipe.name]
        found[recipe.name.removeprefix("food ")] = {
            key: content.values[INDEX[key]] * 100 for key in COLUMNS if content.known[INDEX[key]] > 0.999999}  # fmt: skip
    return found, [each for each in findings if each.severity == "stop"]


def printed(value: float, decimals: int) -> Decimal:
    """Rounded as USDA prints, guarded against binary noise. Exact halves go to the even digit: found by recomputing, every
    recipe that comes to an exact half (0.105 -> 0.10, 12.865 -> 12.86, 41.605 -> 41.60) has the even one in USDA's table."""
    return Decimal(f"{value:.9f}").quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_EVEN)


class Tally(NamedTuple):
    compared: int
    equal: int
    near: int  # within one unit of the last printed digit
    worst: float


def tallies(ours: dict[str, dict[str, float]], published: dict[str, dict[str, str]], codes: list[str]) -> dict[str, Tally]:
    """key -> how many of the codes agree with the published value."""
    found = {}
    for key, (column, _, decimals) in COLUMNS.items():
        unit = Decimal(1).scaleb(-decimals)
        gaps = [abs(printed(ours[code][key], decimals) - Decimal(published[code][column]).quantize(unit, ROUND_HALF_EVEN))
                for code in codes if key in ours.get(code, {}) and published[code][column]]  # fmt: skip
        found[key] = Tally(len(gaps), sum(gap == 0 for gap in gaps), sum(gap <= unit for gap in gaps),
                           float(max(gaps, default=0)))  # fmt: skip
    return found


def is_half(value: float, decimals: int) -> bool:
    """An exact half of the last printed digit: USDA's own binary arithmetic may have put it on either side."""
    scaled = value * 10**decimals
    return abs(scaled - int(scaled) - 0.5) < 1e-7


def differing(ours, published, codes, key: str) -> list[tuple[str, Decimal, str]]:
    column, _, decimals = COLUMNS[key]
    return [(code, printed(ours[code][key], decimals), published[code][column]) for code in codes
            if key in ours.get(code, {}) and printed(ours[code][key], decimals)
            != Decimal(published[code][column]).quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_EVEN)]  # fmt: skip


def closure(codes: list[str], found: dict[str, Case]) -> dict[str, Case]:
    """The recipes named and those they are made of."""
    used: dict[str, Case] = {}
    stack = list(codes)
    while stack:
        code = stack.pop()
        if code not in used:
            used[code] = found[code]
            stack += [line[0] for line in found[code].lines if len(line[0]) == 8]
    return used


def run(folder: Path, from_table_only: bool):
    """ours, published, codes compared, stops. from_table_only: the 1,839 recipes from our SR28 table, no other values."""
    tables = Tables()
    published = {row["food_code"]: row for row in rows(folder / "published_values_2017_2018.csv")}
    values = {row["ingredient_code"]: row for row in rows(folder / "ingredient_values.csv")}
    found = cases(folder)
    table = frozenset(tables.foods.codes())
    if from_table_only:
        codes = [row["food_code"] for row in rows(folder / "reproducible_from_sr28.csv")]
        found, special = closure(codes, found), {}
    else:
        special = {code: row for code, row in values.items() if row["cells_not_SR28"] or code.zfill(5) not in table}
        single = {code for code, row in values.items() if "FNDDS food" in row["cells_not_SR28"]}
        circular = {case.code for case in found.values() if len(case.lines) == 1 and case.lines[0][0] in single}
        codes = [code for code in published if code in found and code not in circular]
    return *through_the_doors(found, special, tables), published, codes


def through_the_doors(found: dict[str, Case], special: dict[str, dict[str, str]], tables: Tables):
    """(ours, stop findings): written as kitchen files, read, worked out."""
    with tempfile.TemporaryDirectory() as place:
        written(found, special, frozenset(tables.foods.codes()), Path(place))
        return worked_out(Path(place), tables)


def main(folder: Path) -> None:
    for title, only in (("from our SR28 table alone", True), ("with the ingredient values USDA used", False)):
        ours, stops, published, codes = run(folder, only)
        print(f"\n{title}: {len(codes)} recipes; {len(stops)} stop findings of the reader")
        print(f"{'nutrient':18}{'compared':>9}{'equal':>9}{'% equal':>9}{'% within 1 digit':>18}{'worst':>10}")
        for key, tally in tallies(ours, published, codes).items():
            print(f"{key:18}{tally.compared:9}{tally.equal:9}{tally.equal / tally.compared * 100:9.2f}"
                  f"{tally.near / tally.compared * 100:18.2f}{tally.worst:10.2f}")  # fmt: skip
        outliers = defaultdict(list)
        for key in COLUMNS:
            for code, mine, theirs in differing(ours, published, codes, key):
                outliers[code].append(f"{key} {mine} (USDA {theirs})")
        if only:
            for code, what in outliers.items():
                print(code, published[code]["food_description"], what)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
