"""The US Nutrition Facts panel, as 21 CFR 101.9(d) and (j)(13) prescribe its forms: upright, tabular, linear.

Sizes come from ``reference/stock/us_panel.csv``; order, names and figures from the declaration. A panel is set in points
and does not grow with the label's other text.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from labeller.printing.fitting import Drawing, Line, Measure, Segment, Setter
from labeller.printing.fonts import BOLD, ITALIC, REGULAR
from labeller.terms.label_looks import SMALL, STANDARD, TINY, LabelLooks
from labeller.terms.record import Declaration, NutritionRow

AMOUNT = "Amount per serving"  # 101.9(d)(4)
DAILY_VALUE = "% Daily Value*"  # 101.9(d)(6)
SERVING_SIZE = "Serving size"  # 101.9(d)(3)(ii): set in bold
PAD, PT_PER_MM = 3.0, 72 / 25.4
GAP = 6.0  # between an amount and its share, points
LAST_ABOVE_BAR = "protein_g"  # 101.9(d)(8): a bar stands between it and the vitamins and minerals


class Panel(Struct, frozen=True):
    """A finished panel: lines and rules around its upper left corner, in points. An item of a column."""

    form: str
    width: float
    height: float
    lines: tuple[Line, ...]
    rules: tuple[tuple[float, float, float, float], ...]
    gap: float = 0.6
    before: float = 0.0

    def run(self, measure: Measure, size: float, width: float, x: float, y: float, out: Drawing | None) -> float | None:
        if width + 1e-6 < self.width:
            return None
        if out is not None:
            out.lines += [Line(line.x + x, line.y + y, line.size, line.segments, line.width) for line in self.lines]
            out.rules += [(left + x, low + y, wide, high) for left, low, wide, high in self.rules]
        return y - self.height


class Sheet:
    """Collects what a panel draws; y goes down from 0."""

    def __init__(self, setter: Setter, looks: LabelLooks, form: str):
        self.setter, self.looks, self.form = setter, looks, form
        self.lines: list[Line] = []
        self.rules: list[tuple[float, float, float, float]] = []
        self.y = 0.0

    def pt(self, element: str) -> float:
        return self.looks.panel[element, self.form]

    def wide(self, segments: Sequence[Segment], size: float) -> float:
        return sum(self.setter.width(face, word) for face, words in segments for word in words) * size + sum(
            (len(words) - 1) * self.setter.width(face, " ") for face, words in segments) * size  # fmt: skip

    def text(self, segments: Sequence[Segment], size: float, x: float, y: float, right: bool = False) -> None:
        long = self.wide(segments, size)
        self.lines.append(Line(x - long if right else x, y, size, tuple(segments), long))

    def bar(self, x: float, width: float, thick: float) -> None:
        self.y -= thick
        self.rules.append((x, self.y, width, thick))

    def paragraph(self, text: str, size: float, x: float, width: float, lead: float) -> None:
        par = self.setter.text(text)
        first = 0
        for after in par.breaks(width / size) or ():
            self.y -= lead
            self.text(par.segments(first, after), size, x, self.y + 0.25 * size)
            first = after

    def boxed(self, form: str, width: float) -> Panel:
        """Closed with a hairline box, 101.9(d)(1)(i)."""
        hair = self.looks.sizes["rule thin"] * PT_PER_MM
        high = -self.y
        box = [(0.0, -hair, width, hair), (0.0, -high, width, hair), (0.0, -high, hair, high), (width - hair, -high, hair, high)]
        return Panel(form, width, high, tuple(self.lines), tuple(self.rules + box))


def word_run(text: str, face: int = REGULAR) -> Segment:
    return face, tuple(text.split())


def _name(row: NutritionRow) -> list[Segment]:
    """Name and amount: the name bold where the law has it bold, "Trans" in italics, the amount regular."""
    amount = "" if row.per_portion in row.name else row.per_portion
    if row.bold:
        return [word_run(row.name, BOLD)] + ([(REGULAR, ("", *amount.split()))] if amount else [])
    head, _, rest = row.name.partition(" ")
    if head == "Trans":
        return [(ITALIC, (head,)), (REGULAR, ("", *f"{rest} {amount}".split()))]
    return [word_run(f"{row.name} {amount}")]


def parts(declaration: Declaration) -> tuple[NutritionRow | None, list[NutritionRow], list[NutritionRow]]:
    """The row of calories, the rows down to protein, and the vitamins and minerals."""
    energy = next((row for row in declaration.rows if row.key == "energy_kcal"), None)
    rows = [row for row in declaration.rows if row is not energy]
    cut = next((number for number, row in enumerate(rows, 1) if row.key == LAST_ABOVE_BAR), len(rows))
    return energy, rows[:cut], rows[cut:]


def _servings(declaration: Declaration) -> list[str]:
    return [line for line in declaration.portion_words.split("\n") if line.strip()]


def _serving_line(sheet: Sheet, text: str, x: float, width: float, size: float) -> None:
    """"Serving size" in bold at the left with its amount at the right, or below it when both don't fit on a line."""
    size = max(size, sheet.pt("serving size" if text.startswith(SERVING_SIZE) else "servings"))
    sheet.y -= size + 1.5
    if not text.startswith(SERVING_SIZE):
        sheet.text([word_run(text)], size, x, sheet.y)
        return
    amount = [word_run(text.removeprefix(SERVING_SIZE), BOLD)]
    sheet.text([word_run(SERVING_SIZE, BOLD)], size, x, sheet.y)
    if sheet.wide([word_run(SERVING_SIZE, BOLD)], size) + 4 + sheet.wide(amount, size) > width:
        sheet.y -= size + 1.5
        sheet.text(amount, size, x, sheet.y)
        return
    sheet.text(amount, size, x + width, sheet.y, right=True)


def head(sheet: Sheet, declaration: Declaration, inner: float, hair: float, bar: float) -> None:
    """The heading over the full width, the servings and the bar below them, 101.9(d)(2)-(3)."""
    heading = [word_run(declaration.table_heading, BOLD)]
    big = inner / sheet.wide(heading, 1.0)
    sheet.y = -PAD - big * 0.78
    sheet.text(heading, big, PAD, sheet.y)
    sheet.y -= 0.26 * big
    sheet.bar(PAD, inner, hair)
    for line in _servings(declaration):
        _serving_line(sheet, line, PAD, inner, 10.0)
    sheet.y -= 3.5
    sheet.bar(PAD, inner, bar)


def servings_width(sheet: Sheet, declaration: Declaration) -> float:
    """Least width in which each serving line keeps its size and the heading is as large as the word for calories."""
    widths = [sheet.wide([word_run(line, BOLD)], sheet.pt("serving size")) + 4 for line in _servings(declaration)]
    return max([*widths, sheet.wide([word_run(declaration.table_heading, BOLD)], sheet.pt("calories word"))])


def upright(declaration: Declaration, looks: LabelLooks, setter: Setter, least: float = 0.0) -> Panel:
    """The standard form, 101.9(d)(12), at least ``least`` points wide."""
    sheet = Sheet(setter, looks, STANDARD)
    energy, rows, vitamins = parts(declaration)
    width = max(least, _upright_width(sheet, declaration, energy, rows + vitamins))
    inner = width - 2 * PAD
    bar, middle = looks.sizes["rule bar"] * 2 * PT_PER_MM, looks.sizes["rule middle"] * 2 * PT_PER_MM
    hair = looks.sizes["rule hair"] * PT_PER_MM
    head(sheet, declaration, inner, hair, bar)
    sheet.y -= sheet.pt("amount") + 2
    sheet.text([word_run(AMOUNT, BOLD)], sheet.pt("amount"), PAD, sheet.y)
    if energy:
        sheet.y -= sheet.pt("calories number") * 0.82
        sheet.text([word_run(energy.name, BOLD)], sheet.pt("calories word"), PAD, sheet.y)
        sheet.text([word_run(energy.per_portion, BOLD)], sheet.pt("calories number"), PAD + inner, sheet.y, right=True)
    sheet.y -= 4
    sheet.bar(PAD, inner, middle)
    sheet.y -= sheet.pt("daily value") + 2
    sheet.text([word_run(DAILY_VALUE, BOLD)], sheet.pt("daily value"), PAD + inner, sheet.y, right=True)
    sheet.y -= 2.5
    _row_lines(sheet, rows, PAD, inner, hair, BOLD)
    sheet.bar(PAD, inner, bar)
    if vitamins:
        _row_lines(sheet, vitamins, PAD, inner, hair, REGULAR, first=False)
        sheet.bar(PAD, inner, middle)
    footnotes(sheet, declaration, PAD, inner)
    sheet.y -= 3.5
    return sheet.boxed("upright", width)


def _upright_width(sheet: Sheet, declaration: Declaration, energy: NutritionRow | None, rows: list[NutritionRow]) -> float:
    size = sheet.pt("nutrient")
    widths = [_row_width(sheet, row, size) for row in rows]
    if energy:
        widths.append(sheet.wide([word_run(energy.name, BOLD)], sheet.pt("calories word")) + 12
                      + sheet.wide([word_run(energy.per_portion, BOLD)], sheet.pt("calories number")))  # fmt: skip
    # The heading spans the panel and may not be smaller than any type but the number of calories, 101.9(d)(2).
    return max([*widths, servings_width(sheet, declaration)]) + 2 * PAD


def _row_width(sheet: Sheet, row: NutritionRow, size: float) -> float:
    share = sheet.wide([word_run(row.share, BOLD)], size) + GAP if row.share else 0.0
    return row.indent * 8.0 + sheet.wide(_name(row), size) + share


def _row_lines(sheet: Sheet, rows: list[NutritionRow], x: float, width: float, hair: float, share_face: int,
               first: bool = True) -> None:  # fmt: skip
    """Nutrients one under the other, a hairline over each, at least the law's leading between them."""
    size = sheet.pt("nutrient")
    pitch = size + sheet.pt("nutrient leading")
    for number, row in enumerate(rows):
        if number or first:
            sheet.rules.append((x, sheet.y - hair, width, hair))
        base = sheet.y - pitch / 2 - 0.34 * size
        sheet.text(_name(row), size, x + row.indent * 8.0, base)
        if row.share:
            sheet.text([word_run(row.share, share_face)], size, x + width, base, right=True)
        sheet.y -= pitch


def footnotes(sheet: Sheet, declaration: Declaration, x: float, width: float) -> None:
    size = sheet.pt("footnote")
    sheet.y -= 1.0
    for text in declaration.footnotes:
        sheet.paragraph(text, size, x, width, size + sheet.pt("other leading"))


def tabular(declaration: Declaration, looks: LabelLooks, setter: Setter, form: str, beside: bool) -> Panel:
    """The tabular form, 101.9(d)(11)(iii): servings at the left, nutrients in two columns, vitamins on one line under them.

    form: SMALL or TINY, which sets the type sizes. beside: the footnote stands at the right, else below.
    """
    sheet = Sheet(setter, looks, form)
    energy, rows, vitamins = parts(declaration)
    hair = looks.sizes["rule hair"] * PT_PER_MM
    middle = looks.sizes["rule middle"] * 2 * PT_PER_MM
    left = _tabular_left(sheet, declaration, energy)
    low_left, sheet.y = sheet.y, -PAD
    size = sheet.pt("nutrient")
    half = -(-len(rows) // 2)
    x, columns = left + 2 * PAD, []
    for part in (rows[:half], rows[half:]):
        wide = max([_row_width(sheet, row, size) for row in part] + [_heads_width(sheet)])
        columns.append((x, wide, part))
        x += wide + 2 * PAD
    lows = [_tabular_column(sheet, at, wide, part, hair, middle) for at, wide, part in columns]
    inner = x - 2 * PAD - columns[0][0]
    sheet.y = min(lows)
    sheet.bar(columns[0][0], inner, middle)
    if vitamins:
        _vitamin_line(sheet, vitamins, columns[0][0], inner, size)
    note = 86.0 if beside and declaration.footnotes else 0.0
    if not beside:
        sheet.bar(columns[0][0], inner, hair)
        footnotes(sheet, declaration, columns[0][0], inner)
    low, sheet.y = min(sheet.y, low_left), -PAD
    if note:
        footnotes(sheet, declaration, x, note)
        low, x = min(low, sheet.y), x + note + 2 * PAD
    sheet.y = low - PAD
    for at in [columns[0][0] - PAD] + ([x - note - 3 * PAD] if note else []):
        sheet.rules.append((at, sheet.y, hair, -sheet.y))
    return sheet.boxed("tabular", x - PAD)


def _heads_width(sheet: Sheet) -> float:
    return sheet.wide([word_run(AMOUNT, BOLD), word_run(DAILY_VALUE, BOLD)], sheet.pt("daily value")) + GAP


def _tabular_left(sheet: Sheet, declaration: Declaration, energy: NutritionRow | None) -> float:
    """Heading on two lines, servings, calories; the width used, without the padding at its right."""
    serving = sheet.pt("serving size")
    lines = _servings(declaration)
    words = declaration.table_heading.split()
    widest = [sheet.wide([word_run(SERVING_SIZE, BOLD)], serving)]
    for line in lines:
        tail = line.removeprefix(SERVING_SIZE)
        widest.append(sheet.wide([word_run(tail, BOLD if tail != line else REGULAR)], serving))
    inner = max(widest + [72.0])
    big = max(12.0, min(20.0, inner / max(sheet.wide([word_run(word, BOLD)], 1.0) for word in words)))
    sheet.y = -PAD
    for word in words:
        sheet.y -= big * 1.0
        sheet.text([word_run(word, BOLD)], big, PAD, sheet.y + big * 0.22)
    for line in lines:
        _serving_line(sheet, line, PAD, inner, serving)
    if energy:
        sheet.y -= sheet.pt("calories number") + 2
        sheet.text([word_run(energy.name, BOLD)], sheet.pt("calories word"), PAD, sheet.y)
        sheet.text([word_run(energy.per_portion, BOLD)], sheet.pt("calories number"), PAD + inner, sheet.y, right=True)
        sheet.y -= sheet.pt("amount") + 1
        sheet.text([word_run("per serving", BOLD)], sheet.pt("amount"), PAD, sheet.y)
    sheet.y -= 2.0
    return PAD + inner


def _tabular_column(sheet: Sheet, x: float, width: float, rows: list[NutritionRow], hair: float, middle: float) -> float:
    """One of the two columns of nutrients under its head; the y below it."""
    head = sheet.pt("daily value")
    sheet.y = -PAD - head
    sheet.text([word_run(AMOUNT, BOLD)], head, x, sheet.y)
    sheet.text([word_run(DAILY_VALUE, BOLD)], head, x + width, sheet.y, right=True)
    sheet.y -= 2.5
    sheet.bar(x, width, middle)
    _row_lines(sheet, rows, x, width, hair, BOLD, first=False)
    return sheet.y


def _vitamin_line(sheet: Sheet, vitamins: list[NutritionRow], x: float, width: float, size: float) -> None:
    parts = [f"{row.name} {row.per_portion} {row.share}".strip() for row in vitamins]
    par = sheet.setter.paragraph([(" \u2022 ".join(part.replace(" ", "\u00a0") for part in parts), REGULAR)])
    first = 0
    for after in par.breaks(width / size) or ():
        sheet.y -= size + 2
        sheet.text(par.segments(first, after), size, x, sheet.y)
        first = after
    sheet.y -= 2.5


def linear(declaration: Declaration, looks: LabelLooks, setter: Setter, form: str, width: float) -> Panel | None:
    """The linear form, 101.9(j)(13)(ii)(A)(2), for small packs on which a table can't stand; None when too narrow."""
    sheet = Sheet(setter, looks, form)
    energy, rows, vitamins = parts(declaration)
    inner, size = width - 2 * PAD, sheet.pt("nutrient")
    sheet.y = -PAD
    _flow(sheet, _linear_heads(sheet, declaration, energy), PAD, inner)
    runs: list[tuple[str, int]] = []
    for number, row in enumerate(rows + vitamins):
        amount = "" if row.per_portion in row.name else f" {row.per_portion}"
        share = f" ({row.share} DV)" if row.share else ""
        end = "," if number < len(rows + vitamins) - 1 else "."
        runs += [((" " if number else "") + row.name, BOLD if row.bold else REGULAR), (f"{amount}{share}{end}", REGULAR)]
    par, first = setter.paragraph(runs), 0
    breaks = par.breaks(inner / size)
    if breaks is None or max(line.x + line.width for line in sheet.lines) > width - PAD + 0.01:
        return None
    sheet.y -= 2
    for after in breaks:
        sheet.y -= size + 2
        sheet.text(par.segments(first, after), size, PAD, sheet.y)
        first = after
    sheet.y -= 3
    footnotes(sheet, declaration, PAD, inner)
    sheet.y -= PAD
    return sheet.boxed("linear", width)


def _linear_heads(sheet: Sheet, declaration: Declaration, energy: NutritionRow | None) -> list[list[tuple[Segment, float]]]:
    """Heading, servings and calories of the linear form as pieces that stay together: (words, size) side by side."""
    pieces = [[(word_run(declaration.table_heading, BOLD), max(sheet.pt("calories word"), 11.0))]]
    for line in _servings(declaration):
        bold = line.startswith(SERVING_SIZE)
        size = sheet.pt("serving size" if bold else "servings")
        pieces.append([(word_run(line, BOLD if bold else REGULAR), size)])
    if energy:
        pieces.append([(word_run(AMOUNT, BOLD), sheet.pt("amount")), (word_run(energy.name, BOLD), sheet.pt("calories word")),
                       (word_run(energy.per_portion, BOLD), sheet.pt("calories number"))])  # fmt: skip
    return pieces


def _flow(sheet: Sheet, pieces: list[list[tuple[Segment, float]]], x: float, width: float) -> None:
    """Pieces one after the other, on a new line when one no longer fits."""
    lines: list[list[list[tuple[Segment, float]]]] = []
    at = width
    for piece in pieces:
        wide = sum(sheet.wide([words], size) for words, size in piece) + 4.0 * (len(piece) - 1)
        if at + 9.0 + wide > width or not lines:
            lines.append([])
            at = -9.0
        lines[-1].append(piece)
        at += 9.0 + wide
    for line in lines:
        sheet.y -= max(size for piece in line for _, size in piece) * 0.8
        at = x
        for piece in line:
            for words, size in piece:
                sheet.text([words], size, at, sheet.y)
                at += sheet.wide([words], size) + 4.0
            at += 5.0
        sheet.y -= 2.5


def forms(declaration: Declaration, looks: LabelLooks, setter: Setter, height_mm: float, bearing_cm2: float | None,
          widths: Sequence[float]) -> list[Panel]:  # fmt: skip
    """The panels that the law allows on this label, the preferred first.

    Upright wherever it fits; tabular where there is less than about 3 inches of height (101.9(d)(11)(iii)) or on packs of
    at most 40 square inches; linear on such packs only. height_mm: of the label; bearing_cm2: surface of the pack that can
    bear labels, None when it is not stated; widths: points at hand for a linear panel.
    """
    small = bearing_cm2 is not None and bearing_cm2 <= 40 * 6.4516
    form = TINY if bearing_cm2 is not None and bearing_cm2 < 12 * 6.4516 else SMALL
    if declaration.pack_words and not small:
        from labeller.printing.us_dual import dual  # only the packs that need it: it builds on this module

        return [dual(declaration, looks, setter)]
    natural = upright(declaration, looks, setter)
    out = [upright(declaration, looks, setter, 166.0)] if natural.width < 160 else []
    out.append(natural)
    if small or height_mm < 3 * 25.4:
        out += [tabular(declaration, looks, setter, form, beside) for beside in (True, False)]
    if small:
        out += [panel for width in widths if (panel := linear(declaration, looks, setter, form, width))]
    return out
