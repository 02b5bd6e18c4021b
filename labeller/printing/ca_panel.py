"""The Canadian Nutrition Facts table in its own form: upright, in one language or in English and French (B.01.401, B.01.012; the
forms stand in the Directory of Nutrition Facts Table Formats, from memory).

Order, names and figures come from the declaration, the other language's words from its ``second``. Sizes:
``reference/stock/ca_panel.csv``. The percentage of saturated and trans fat together stands between their two lines.
"""

from __future__ import annotations

from collections.abc import Sequence

from labeller.printing.fitting import Segment, Setter
from labeller.printing.fonts import BOLD, REGULAR
from labeller.printing.us_panel import GAP, PAD, PT_PER_MM, Panel, Sheet, word_run
from labeller.terms.label_looks import STANDARD, LabelLooks
from labeller.terms.record import Declaration, NutritionRow

INDENT = 8.0
THICK = 1.5  # points, below calories and above the minerals
LAST_ABOVE_BAR = "sodium_mg"
DAILY_VALUE = {"en": "% Daily Value*", "fr": "% valeur quotidienne*"}  # table to B.01.401; wording from memory


def upright(declaration: Declaration, looks: LabelLooks, setter: Setter) -> Panel:
    """The standard form; with a second language, the bilingual standard form."""
    sheet = Sheet(setter, looks, STANDARD)
    energy = next((row for row in declaration.rows if row.key == "energy_kcal"), None)
    rows = [row for row in declaration.rows if row is not energy]
    cut = next((nr for nr, row in enumerate(rows, 1) if row.key == LAST_ABOVE_BAR), len(rows))
    inner = _width(sheet, declaration, energy, rows)
    hair = looks.sizes["rule hair"] * PT_PER_MM
    sheet.y = -PAD
    _lines(sheet, _both(declaration, "table_heading"), sheet.pt("ca heading"), BOLD, inner)
    _lines(sheet, _both(declaration, "portion_words"), sheet.pt("ca serving"), REGULAR, inner)
    sheet.y -= 2.5
    sheet.bar(PAD, inner, hair)
    _calories(sheet, declaration, energy, inner)
    _rows(sheet, declaration, rows[:cut], inner, hair, first=False)
    sheet.bar(PAD, inner, THICK)
    _rows(sheet, declaration, rows[cut:], inner, hair, first=False)
    sheet.bar(PAD, inner, THICK)
    size = sheet.pt("ca footnote")
    sheet.y -= 1.0
    for text in (*declaration.footnotes, *(declaration.second.footnotes if declaration.second else ())):
        sheet.paragraph(text, size, PAD, inner, size + 1.0)
    sheet.y -= 3.0
    return sheet.boxed("bilingual" if declaration.second else "standard", inner + 2 * PAD)


def _both(declaration: Declaration, field: str) -> list[str]:
    """A text of the declaration, and of its second language where it differs."""
    own = getattr(declaration, field)
    other = getattr(declaration.second, field) if declaration.second else ""
    return [text for text in dict.fromkeys((own, other)) if text]


def _lines(sheet: Sheet, texts: Sequence[str], size: float, face: int, inner: float) -> None:
    for text in texts:
        lead = size * 1.08
        for line in text.split("\n"):
            sheet.y -= lead
            sheet.text([word_run(line, face)], size, PAD, sheet.y + 0.2 * size)


def _calories(sheet: Sheet, declaration: Declaration, energy: NutritionRow | None, inner: float) -> None:
    """Calories with a bar of their own below, and the heads of the percentages at the right."""
    big, small = sheet.pt("ca calories"), sheet.pt("ca daily value")
    heads = _heads(declaration)
    top = sheet.y
    sheet.y = top - big - 1.5
    if energy:
        words = [word_run(f"{_joined(declaration, energy)} {energy.per_portion}", BOLD)]
        sheet.text(words, big, PAD, sheet.y)
        sheet.rules.append((PAD, sheet.y - 2.5 - THICK, sheet.wide(words, big), THICK))
    at = top - big - 1.5
    for head in heads:
        sheet.text([word_run(head, BOLD)], small, PAD + inner, at, right=True)
        at -= small + 1.0
    sheet.y = min(sheet.y - 2.5 - THICK, at + small - 1.5)


def _heads(declaration: Declaration) -> list[str]:
    languages = [declaration.language, *([declaration.second.language] if declaration.second else [])]
    return [DAILY_VALUE[language] for language in languages if language in DAILY_VALUE]


def _joined(declaration: Declaration, row: NutritionRow) -> str:
    """"Fat / Lipides", "+ Trans / trans", "Calories"."""
    other = dict(declaration.second.names).get(row.key, "") if declaration.second else ""
    other = other.removeprefix("+ ")
    return row.name if not other or other == row.name.removeprefix("+ ") else f"{row.name} / {other}"


def _name(declaration: Declaration, row: NutritionRow) -> list[Segment]:
    name, amount = _joined(declaration, row), row.per_portion
    return [word_run(name, BOLD), (REGULAR, ("", *amount.split()))] if row.bold else [word_run(f"{name} {amount}")]


def _width(sheet: Sheet, declaration: Declaration, energy: NutritionRow | None, rows: Sequence[NutritionRow]) -> float:
    """Width inside the padding in which nothing breaks but the footnotes."""
    size, small = sheet.pt("ca nutrient"), sheet.pt("ca daily value")
    widths = [row.indent * INDENT + sheet.wide(_name(declaration, row), size)
              + (sheet.wide([word_run(row.share)], size) + GAP if row.share else 0.0) for row in rows]  # fmt: skip
    widths += [sheet.wide([word_run(text, BOLD)], sheet.pt("ca heading")) for text in _both(declaration, "table_heading")]
    widths += [sheet.wide([word_run(line)], sheet.pt("ca serving"))
               for text in _both(declaration, "portion_words") for line in text.split("\n")]  # fmt: skip
    if energy:
        words = [word_run(f"{_joined(declaration, energy)} {energy.per_portion}", BOLD)]
        heads = max((sheet.wide([word_run(head, BOLD)], small) for head in _heads(declaration)), default=0.0)
        widths.append(sheet.wide(words, sheet.pt("ca calories")) + GAP + heads)
    return max(widths)


def _rows(sheet: Sheet, declaration: Declaration, rows: Sequence[NutritionRow], inner: float, hair: float, first: bool) -> None:
    """Nutrients one under the other; a hairline over each that is no part of the one above."""
    size, lead = sheet.pt("ca nutrient"), sheet.pt("ca leading")
    for number, row in enumerate(rows):
        if (number or first) and not row.indent:
            sheet.rules.append((PAD, sheet.y - hair, inner, hair))
        base = sheet.y - lead / 2 - 0.34 * size
        sheet.text(_name(declaration, row), size, PAD + row.indent * INDENT, base)
        if row.share:
            below = number + 1 < len(rows) and rows[number + 1].name.startswith("+ ")
            sheet.text([word_run(row.share)], size, PAD + inner, base - (lead / 2 if below else 0.0), right=True)
        sheet.y -= lead


def forms(declaration: Declaration, looks: LabelLooks, setter: Setter) -> list[Panel]:
    """The tables that are drawn, the preferred first: one in both languages, or one in the language of the declaration."""
    return [upright(declaration, looks, setter)]
