"""Makes retention.csv and the meat and poultry rows of yields.csv from USDA's tables. Run once; the results are committed.

    python convert_cooking.py retention_factors_release_6_2007.csv cooking_yields_meat_poultry_release_2.csv OUT_FOLDER

Both files are USDA's tables as CSV, numbers unchanged (one row per code and nutrient; one row per cut and method). The rows
of yields.csv that come from elsewhere stand in yields_other.csv and are put behind USDA's. Figures are written as printed.
"""

from __future__ import annotations

import csv
import hashlib
import re
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parents[1]))
from labeller.terms.words import normalise  # noqa: E402

SHA256 = {
    "retention_factors_release_6_2007.csv": "1163ecd14969d1f14ed88ca9e3164aca04874805e2b755c2c41d4336d8c979d4",
    "cooking_yields_meat_poultry_release_2.csv": "7db949ec85cfabf8347191d9c02070e793a048e5c82a358ab4e2e90ec37cacf0",
}
# USDA nutrient number -> our key. 392 (vitamin A) also serves retinol, 417 (folate) also dietary folate equivalents: the
# loader sees to that.
KEY_OF = {
    "301": "calcium_mg", "303": "iron_mg", "304": "magnesium_mg", "305": "phosphorus_mg", "306": "potassium_mg",
    "307": "sodium_mg", "309": "zinc_mg", "312": "copper_mg", "401": "vitamin_c_mg", "404": "thiamin_mg",
    "405": "riboflavin_mg", "406": "niacin_mg", "415": "vitamin_b6_mg", "417": "folate_ug", "431": "folic_acid_ug",
    "432": "food_folate_ug", "421": "choline_mg", "418": "vitamin_b12_ug", "318": "vitamin_a_iu", "392": "vitamin_a_rae_ug",
    "221": "alcohol_g", "321": "beta_carotene_ug", "322": "alpha_carotene_ug", "334": "beta_cryptoxanthin_ug",
    "337": "lycopene_ug", "338": "lutein_zeaxanthin_ug",
}  # fmt: skip
WORDS = {
    "W/DRIPPINGS": "with drippings", "WO/DRIPPINGS": "without drippings", "W/DRIPPNGS": "with drippings",
    "WO/DRIPPING": "without drippings", "WO/DRIPPNG": "without drippings", "W/DRIPPNG": "with drippings",
    "WO/DRIPPNGS": "without drippings", "W/DRIP": "with drippings", "WO/DRIP": "without drippings", "W/COATING": "with coating",
    "WO/COATING": "without coating", "W/O COATING": "without coating", "W/COAT": "with coating", "WO/COAT": "without coating",
    "W/SHELL": "with shell", "WO/SHELL": "without shell", "W/LIQUID": "with liquid", "BLD": "boiled", "BOILD": "boiled",
    "DRAIND": "drained", "DRND": "drained", "DRAIN": "drained", "CKD": "cooked", "FRZN": "frozen", "FRN": "frozen",
    "WTR": "water", "BRWN": "browned", "BROWN": "browned", "SIMMER": "simmered", "SIMMR": "simmered", "SIMR": "simmered",
    "SIMMRD": "simmered", "SIMRD": "simmered", "SIMM": "simmered", "BRLD": "broiled", "BKD": "baked", "BRAIS": "braised",
    "BRSD": "braised", "FRYD": "fried", "FRSH": "fresh", "VEG": "vegetables", "REG": "regular", "INST": "instant",
    "ALC": "alcoholic", "BEV": "beverage", "LIQ": "liquid", "STUFFD": "stuffed", "SWEETPOTAOTES": "sweetpotatoes",
    "RTE": "ready-to-eat", "HRS": "hours", "APPROX": "about", "FRENCH FRY": "French fries", "STIR FRY": "stir-fried",
    "BKD/SIMMRD": "baked or simmered",
}  # fmt: skip
METHOD_OF = {
    "baked or roasted, unspecified": "baked|roasted", "braised": "braised", "roasted": "roasted|baked", "grilled": "grilled",
    "broiled": "grilled", "broiled or grilled": "grilled", "pan-broiled": "grilled|fried", "pan-fried": "fried",
    "poached, simmered or stewed": "poached|simmered|stewed|boiled", "baked": "baked|roasted", "rotisserie": "roasted",
    "pan-fried or sauteed": "fried|sauteed", "pan-browned": "fried|seared", "pan broiled": "grilled|fried",
    "baked or roasted, specified time": "baked|roasted", "fried in deep fat": "deep fried", "microwaved": "microwaved",
}  # fmt: skip


def checked(path: Path) -> Path:
    found = hashlib.sha256(path.read_bytes()).hexdigest()
    if found != SHA256[path.name]:
        raise SystemExit(f"{path.name}: not the edition this was made from (SHA-256 {found}, expected {SHA256[path.name]})")
    return path


def rows_of(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def as_printed(text: str) -> str:
    return text[:-2] if text.endswith(".0") else text


def readable(text: str) -> str:
    """VEG,GREENS,BOILED,WATER COVER DRAIN -> vegetables, greens, boiled, water cover drained"""
    out = text.replace(".", ",", 1) if text.startswith("VEAL.") else text
    for short in sorted(WORDS, key=len, reverse=True):
        out = re.sub(rf"(?<![A-Z/]){re.escape(short)}(?![A-Z/])", WORDS[short], out)
    out = re.sub(r",\s*", ", ", out)
    return out.lower().replace("(", " (").replace(")", ") ").replace("  ", " ").replace(" ,", ",").strip()


def write(path: Path, header: tuple[str, ...], rows: list[tuple[str, ...]]) -> None:
    with path.open("w", encoding="utf-8", newline="") as stream:
        out = csv.writer(stream, lineterminator="\n")
        out.writerow(header)
        out.writerows(rows)
    print(f"{path.name}: {len(rows)} rows, sha256 {hashlib.sha256(path.read_bytes()).hexdigest()}")


def retention(path: Path, out: Path) -> None:
    codes: dict[str, dict[str, str]] = {}
    for row in rows_of(path):
        entry = codes.setdefault(row["code"], {"group": row["food_group"], "text": row["description"], "date": row["date"]})
        entry[KEY_OF[row["nutrient_no"]]] = as_printed(row["factor_pct"])
    keys = tuple(KEY_OF.values())
    ordered = sorted(codes.items(), key=lambda pair: int(pair[0]))
    write(out / "retention.csv", ("code", "food_group", "as_printed", "description", "date", *keys),
          [(code, entry["group"], entry["text"], readable(entry["text"]), entry["date"], *(entry.get(key, "") for key in keys))
           for code, entry in ordered])  # fmt: skip


def raw_rows(ndb: str, foods: dict[str, str]) -> list[str]:
    """Description of the raw SR28 row that belongs to the row of an NDB number, when there is one."""
    cooked = foods.get(ndb.split(".")[0].zfill(5), "")
    if not re.search(r", cooked\b", cooked) or "bone-in" in cooked:
        return []
    known = set(foods.values())
    raw = (re.sub(r", cooked\b.*$", f", {state}", cooked) for state in ("raw", "unprepared", "unheated"))
    return [description for description in raw if description in known]


def yields(path: Path, out: Path) -> None:
    foods = {row["code"]: row["description"] for row in rows_of(HERE.parent / "foods" / "sr28.csv")}
    found = []
    for row in rows_of(path):
        method = " ".join(row["method"].split())
        item = " ".join(row["description"].split())
        share = f"{float(row['cooking_yield_pct']) / 100:.4g}"
        low, high = (f"{float(row[key]) / 100:.4g}" if row[key] else "" for key in ("yield_min_pct", "yield_max_pct"))
        changes = [f"{float(row[key]):.4g}" if row[key] else "" for key in ("moisture_change_pct", "fat_change_pct")]
        raw = item if item.endswith(", raw") else f"{item}, raw"
        names = dict.fromkeys((item, raw, *raw_rows(row["ndb"], foods)))
        bone_in = "bone-in" in item.lower()
        looked_up = "" if bone_in else "|".join(map(normalise, names))
        found.append((item, looked_up, method, METHOD_OF[method.lower()], share, low, high, *changes,
                      "as bought" if bone_in else "edible", "usda-yields-2"))  # fmt: skip
    for row in rows_of(HERE / "yields_other.csv"):
        own = (row[key] for key in ("item", "names", "method", "methods", "cooked_over_raw"))
        found.append((*own, "", "", "", "", row["basis"], row["source"]))
    write(out / "yields.csv", ("item", "names", "method", "methods", "cooked_over_raw", "low", "high", "moisture_change_percent",
                               "fat_change_percent", "basis", "source"), found)  # fmt: skip


if __name__ == "__main__":
    if len(sys.argv) != 4:
        raise SystemExit(__doc__)
    retention(checked(Path(sys.argv[1])), Path(sys.argv[3]))
    yields(checked(Path(sys.argv[2])), Path(sys.argv[3]))
