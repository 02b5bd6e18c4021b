"""The US panel with two columns of figures, per serving and per container (or unit), 21 CFR 101.9(b)(12) and (e)(6)(i).

Upright only: packs that may use the tabular or the linear form need no second column (101.9(b)(12)(i)). Sizes, bars and hairlines
are those of the standard form; names, figures and percentages those of the declaration.
"""

from __future__ import annotations

from collections.abc import Sequence

from labeller.printing.fitting import Segment, Setter
from labeller.printing.fonts import BOLD, ITALIC, REGULAR
from labeller.printing.us_panel import GAP, PAD, PT_PER_MM, Panel, Sheet, footnotes, head, parts, servings_width, word_run
from labeller.terms.label_looks import STANDARD, LabelLooks
from labeller.terms.record import Declaration, NutritionRow

PER_SERVING = "Per serving"  # 101.9(e)(2)
DAILY_VALUE = "% DV*"  # 101.9(e)(3): the heading may be shortened
INDENT = 8.0


def dual(declaration: Declaration, looks: LabelLooks, setter: Setter) -> Panel:
    """The standard form with its second column."""
    sheet = Sheet(setter, looks, STANDARD)
    energy, rows, vitamins = parts(declaration)
    names, columns = _widths(sheet, declaration, energy, rows + vitamins)
    inner = max(names + sum(columns), servings_width(sheet, declaration))
    names = inner - sum(columns)
    edges = [PAD + names, PAD + names + columns[0]]
    bar, middle = looks.sizes["rule bar"] * 2 * PT_PER_MM, looks.sizes["rule middle"] * 2 * PT_PER_MM
    hair = looks.sizes["rule hair"] * PT_PER_MM
    head(sheet, declaration, inner, hair, bar)
    top = sheet.y
    small = sheet.pt("daily value")
    sheet.y -= small + 3
    for words, edge, wide in zip((PER_SERVING, declaration.pack_words), edges, columns, strict=True):
        sheet.text([word_run(words, BOLD)], small, edge + wide, sheet.y, right=True)
    if energy:
        sheet.y -= sheet.pt("calories number") * 0.9
        sheet.text([word_run(energy.name, BOLD)], sheet.pt("calories word"), PAD, sheet.y)
        for number, edge, wide in zip((energy.per_portion, energy.per_pack), edges, columns, strict=True):
            sheet.text([word_run(number, BOLD)], sheet.pt("calories number"), edge + wide, sheet.y, right=True)
    sheet.y -= 4
    sheet.bar(PAD, inner, middle)
    sheet.y -= small + 2
    for edge, wide in zip(edges, columns, strict=True):
        sheet.text([word_run(DAILY_VALUE, BOLD)], small, edge + wide, sheet.y, right=True)
    sheet.y -= 2.5
    _lines(sheet, rows, inner, edges, columns, hair, BOLD, True)
    sheet.bar(PAD, inner, bar)
    _lines(sheet, vitamins, inner, edges, columns, hair, REGULAR, False)
    foot = sheet.y
    sheet.rules += [(edge + GAP / 2, foot, hair, top - foot) for edge in edges]
    if vitamins:
        sheet.bar(PAD, inner, middle)
    footnotes(sheet, declaration, PAD, inner)
    sheet.y -= 3.5
    return sheet.boxed("upright, two columns", inner + 2 * PAD)


def _name(row: NutritionRow) -> list[Segment]:
    """The name without an amount, which stands in the columns."""
    name = row.name.replace(f"{row.per_portion} ", "", 1) if row.per_portion else row.name
    first, _, rest = name.partition(" ")
    if first == "Trans":
        return [(ITALIC, (first,)), (REGULAR, ("", *rest.split()))]
    return [word_run(name, BOLD if row.bold else REGULAR)]


def _cells(row: NutritionRow) -> tuple[tuple[str, str], tuple[str, str]]:
    return (row.per_portion, row.share), (row.per_pack, row.share_pack)


def _widths(sheet: Sheet, declaration: Declaration, energy: NutritionRow | None, rows: Sequence[NutritionRow]
            ) -> tuple[float, list[float]]:  # fmt: skip
    """Width of the names, and of each column of figures with the gap at its left."""
    size = sheet.pt("nutrient")
    names = [row.indent * INDENT + sheet.wide(_name(row), size) for row in rows]
    names += [sheet.wide([word_run(energy.name, BOLD)], sheet.pt("calories word"))] if energy else []
    columns = []
    for place, head_words in enumerate((PER_SERVING, declaration.pack_words)):
        wide = [sheet.wide([word_run(head_words, BOLD)], sheet.pt("daily value"))]
        amounts = [sheet.wide([word_run(_cells(row)[place][0])], size) for row in rows]
        shares = [sheet.wide([word_run(_cells(row)[place][1], BOLD)], size) for row in rows]
        wide.append(max(amounts) + GAP + max(shares))
        if energy:
            wide.append(sheet.wide([word_run(_cells(energy)[place][0], BOLD)], sheet.pt("calories number")))
        columns.append(max(wide) + 2 * GAP)
    return max(names), columns


def _lines(sheet: Sheet, rows: Sequence[NutritionRow], inner: float, edges: Sequence[float], columns: Sequence[float],
           hair: float, share_face: int, first: bool) -> None:  # fmt: skip
    """Nutrients one under the other, a hairline over each: the name, then amount and percentage in each column."""
    size = sheet.pt("nutrient")
    pitch = size + sheet.pt("nutrient leading")
    for number, row in enumerate(rows):
        if number or first:
            sheet.rules.append((PAD, sheet.y - hair, inner, hair))
        base = sheet.y - pitch / 2 - 0.34 * size
        sheet.text(_name(row), size, PAD + row.indent * INDENT, base)
        for (amount, share), edge, wide in zip(_cells(row), edges, columns, strict=True):
            sheet.text([word_run(amount)], size, edge + GAP, base)
            if share:
                sheet.text([word_run(share, share_face)], size, edge + wide, base, right=True)
        sheet.y -= pitch
