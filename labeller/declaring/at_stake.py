"""Words for a figure that can't be printed: where it lies, what is missing, and how it is settled."""

from __future__ import annotations

from collections.abc import Sequence

from labeller.terms.record import DishRecord, Missing, NutritionRow

FEW = 3  # ingredients named for each figure
LABEL_KEYS = {"saturates_g": "saturates", "trans_fat_g": "trans fat", "cholesterol_mg": "cholesterol", "fibre_g": "fibre",
              "sugars_g": "sugars", "added_sugars_g": "added sugars", "vitamin_d_ug": "vitamin d",
              "potassium_mg": "potassium"}  # fmt: skip


def stake_of(rows: Sequence[NutritionRow], record: DishRecord, share: float) -> tuple[str, str]:
    """(what is known and at stake in each figure, how to settle them); "" where nothing is to be said. share: of the record's
    weight that the rows are of."""
    said, keys, names = [], {}, {}
    for row in rows:
        lacking = [each for each in record.missing if each.key == row.key]
        if not lacking:
            continue
        said.append(f"{row.key} {_ends(row)}not known for {_named(lacking, row.key, share)}")
        keys[LABEL_KEYS[row.key]] = None
        names.update(dict.fromkeys(each.name for each in lacking[:FEW]))
    if not said:
        return "", ""
    figures = ", ".join(f"`{key}:`" for key in keys)
    mend = f"write {figures} under `nutrition per 100 g:` of {', '.join(names)} from the label or the specification"
    return "; ".join(said), f"{mend}, or match another row that has it"


def _ends(row: NutritionRow) -> str:
    unit = _unit(row.key)
    return "" if row.ends is None else f"lies between {row.ends[0]:.2g} and {row.ends[1]:.2g} {unit}, "


def _named(lacking: Sequence[Missing], key: str, share: float) -> str:
    """"11 g olive oil (up to 0.33 g), 40 g feta (no limit known) and 2 more"."""
    out = []
    for each in lacking[:FEW]:
        most = "no limit known" if each.most is None else f"up to {each.most * share:.2g} {_unit(key)}"
        out.append(f"{each.grams * share:.3g} g {each.name} ({most})")
    more = f" and {len(lacking) - FEW} more" if len(lacking) > FEW else ""
    return ", ".join(out) + more


def _unit(key: str) -> str:
    return key.rpartition("_")[2].replace("ug", "µg")
