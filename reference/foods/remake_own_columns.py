"""Makes own_columns.csv and at_most.csv anew from sr28.csv as it stands, without the carrier of the release.

    python remake_own_columns.py sr26_trans_fat_alcohol.csv sr_legacy_2018-04_without_food_nutrient.zip \\
        FoodData_Central_foundation_food_csv_2024-10-31.zip OUT_FOLDER

The files are those of convert_sr28.py and are checked as there. Used when a rule of
own_columns_sr28.py or ceilings_sr28.py changes.
"""

from __future__ import annotations

import csv
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE))
from ceilings_sr28 import HEADER as CEILING_HEADER  # noqa: E402
from ceilings_sr28 import ceilings  # noqa: E402
from convert_sr28 import ABBREV_ORDER, OWN_HEADER, checked, newer_trans_fat, nitrogen_factors, own_row, write  # noqa: E402


def tables(sr26: Path, legacy: Path, newer: Path) -> tuple[list[tuple], list[tuple]]:
    """A row of own_columns.csv for each row of sr28.csv, and the rows of at_most.csv."""
    with checked(sr26).open(encoding="utf-8", newline="") as stream:
        older = {row["NDB_No"]: row for row in csv.DictReader(stream)}
    factors, trans_share = nitrogen_factors(checked(legacy)), newer_trans_fat(checked(newer))
    own, most = [], []
    with (HERE / "sr28.csv").open(encoding="utf-8", newline="") as stream:
        for row in csv.DictReader(stream):
            values = {key: float(row[key]) if row[key] else None for key in ABBREV_ORDER}
            code = row["code"]
            made = own_row(code, row["group"], row["description"], values, row, older.get(code), factors.get(code, ""),
                           trans_share.get(code))  # fmt: skip
            own.append(made)
            trans = dict(zip(OWN_HEADER, made, strict=True))["trans_fat_g"]
            most += ceilings(code, row["group"], row["description"], values | {"trans_fat_g": trans or None})
    return own, most


if __name__ == "__main__":
    if len(sys.argv) != 5:
        raise SystemExit(__doc__)
    own_rows, most_rows = tables(*(Path(argument) for argument in sys.argv[1:4]))
    write(Path(sys.argv[4]) / "own_columns.csv", OWN_HEADER, own_rows)
    write(Path(sys.argv[4]) / "at_most.csv", CEILING_HEADER, most_rows)
