"""Whether a law lets a shorter nutrition table stand, because most of it would be nothing."""

from __future__ import annotations

from msgspec.structs import replace

from labeller.declaring.rounding import exact, rounded
from labeller.declaring.volume import hundred
from labeller.terms.laws import Law, LeftOut, NutrientLine
from labeller.terms.record import NutritionRow


def simplified_allowed(law: Law, figures: tuple[NutritionRow, ...]) -> bool:
    """True where enough of the law's nutrients are insignificant. A figure that is not known is never insignificant."""
    if law.simplified is None:
        return False
    return len(insignificant(law, figures)) >= law.simplified.count


def insignificant(law: Law, figures: tuple[NutritionRow, ...]) -> tuple[str, ...]:
    """Keys among the law's list that may be declared as zero, or are below the amount that it names for them."""
    by_key = {row.key: row for row in figures}
    lines = {line.key: line for line in law.lines}
    return tuple(key for key in law.simplified.keys if key in by_key and _is_nothing(law, lines[key], by_key[key]))


def _is_nothing(law: Law, line: NutrientLine, row: NutritionRow) -> bool:
    span = row.value_portion if "portion" in law.basis else row.value_100g
    if span is None or row.at_least or row.known < law.house.known_share:
        return False
    rule = law.simplified
    if line.key in rule.below:
        return span.mid < rule.below[line.key]
    if line.key in rule.percent_below and line.reference:
        return span.mid / line.reference * 100 < rule.percent_below[line.key]
    return rounded(span.mid, law.roundings[line.rounding]).number == 0


def must_show(law: Law, figures: tuple[NutritionRow, ...]) -> tuple[str, ...]:
    """Keys of a shorter table: those that always stand and those that are not insignificant, in the law's order."""
    nothing = set(insignificant(law, figures))
    return tuple(key for key in law.simplified.keys if key in law.simplified.always or key not in nothing)


Rows = tuple[NutritionRow, ...]


def shortened(law: Law, figures: Rows, rows: Rows) -> tuple[Rows, str]:
    """The rows that stay when the law's leave to shorten is used, and the sentence that names those left out; the rows as they
    were and "" where nothing may go. The simplified format where it is allowed, else line by line."""
    if not law.left_out_words:
        return rows, ""
    if simplified_allowed(law, figures):
        stay = set(must_show(law, figures))
        gone = [row for row in rows if row.key in law.simplified.keys and row.key not in stay]
    else:
        may_go = {key for one in law.left_out for key in one.keys if _small(law, figures, one, key)}
        gone = [row for row in rows if row.key in may_go]
    if not gone:
        return rows, ""
    lines = {line.key: line for line in law.lines}
    names = [_in_sentence(lines[row.key].name) for row in gone]
    listed = ", ".join(names[:-1]) + (" and " if len(names) > 1 else "") + names[-1]
    return tuple(row for row in rows if row not in gone), law.left_out_words.replace("{names}", listed)


def _small(law: Law, figures: tuple[NutritionRow, ...], one: LeftOut, key: str) -> bool:
    """Below the amount on every basis of the table; a figure that is not known whole is never small."""
    row = next((row for row in figures if row.key == (one.when or key)), None)
    own = next((row for row in figures if row.key == key), None)
    if any(each is None or each.value_100g is None or each.at_least or each.known < law.house.known_share for each in (row, own)):
        return False
    values = [(row.value_portion if basis == "portion" else hundred(row, law.basis)).mid for basis in law.basis]
    if one.percent_below is not None:
        reference = next(line.reference for line in law.lines if line.key == row.key)
        return all(exact(value) / exact(reference) * 100 < exact(one.percent_below) for value in values)
    limit = exact(one.below)
    return all(exact(value) < limit or (one.inclusive and exact(value) == limit) for value in values)


def _in_sentence(name: str) -> str:
    """"Saturated Fat" -> "saturated fat", "of which sugars" -> "sugars", "Vitamin D" -> "vitamin D"."""
    words = name.removeprefix("of which ").split()
    return " ".join(word if len(word) == 1 or word[-1].isdigit() else word.lower() for word in words)


def with_second_column(rows: tuple[NutritionRow, ...], second: tuple[NutritionRow, ...]) -> tuple[NutritionRow, ...]:
    """Rows of a serving with amounts and percentages of the whole pack beside them."""
    whole = {row.key: row for row in second}
    return tuple(_beside(row, whole[row.key]) if row.key in whole else row for row in rows)  # fmt: skip


def _beside(row: NutritionRow, whole: NutritionRow) -> NutritionRow:
    """A figure is whole where it is so in both columns."""
    return replace(row, per_pack=whole.per_portion, share_pack=whole.share, settled=row.settled and whole.settled,
                   at_least=row.at_least or whole.at_least)  # fmt: skip
