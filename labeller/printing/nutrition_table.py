"""The nutrition table of a label in one style for every law but the US one (for that: :mod:`labeller.printing.us_panel`).

Order, names and figures are those of the declaration. A row without a name goes on from the row above (energy in kJ and in
kcal, Annex XV of Regulation (EU) No 1169/2011). Figures stand right-aligned under each other (Art. 34(2) there).
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from labeller.printing.fitting import Drawing, Line, Measure, Paragraph, Setter
from labeller.printing.fonts import BOLD, REGULAR
from labeller.terms.record import Declaration, NutritionRow

INDENT = 0.8  # of the type size, for each step
WIDEST = 1.3  # times its natural width: the eye loses the row in a wider table
GUTTER = 1.0  # of the type size, between columns


class _Row(Struct, frozen=True):
    name: Paragraph
    indent: float
    cells: tuple[tuple[str, float, int], ...]  # text, width over size, face
    rule_under: bool


class Table(Struct, frozen=True):
    """A table as an item of a column. heads: heads of the columns of figures."""

    heading: Paragraph
    heads: tuple[Paragraph, ...]
    rows: tuple[_Row, ...]
    columns: tuple[float, ...]  # least width of each column of figures, over the size
    name_width: float
    hair: float
    gap: float = 0.6
    before: float = 0.0

    def natural(self) -> float:
        """Width over size in which no head needs more lines than its words and no name breaks."""
        return self.name_width + sum(self.columns) + GUTTER * len(self.columns)

    def run(self, measure: Measure, size: float, width: float, x: float, y: float, out: Drawing | None) -> float | None:
        width = min(width, self.natural() * WIDEST * size)
        names = width / size - sum(self.columns) - GUTTER * len(self.columns)
        if names < min(self.name_width, 9.0) or any(row.name.widest + row.indent > names for row in self.rows):
            return None
        y = self._head(measure, size, width, names, x, y, out)
        if y is None:
            return None
        lead = measure.line(size)
        for row in self.rows:
            found = row.name.breaks(names - row.indent)
            if found is None:
                return None
            lines = max(len(found), 1)
            if out is not None:
                self._row(measure, row, found, size, width, x, y, out)
            y -= lead * lines
            if row.rule_under:
                y -= 0.14 * size
                if out is not None:
                    out.rules.append((x, y, width, self.hair))
                y -= 0.06 * size
        return y

    def _edges(self, width: float, size: float, x: float) -> list[float]:
        """Right ends of the columns of figures."""
        edges, at = [], x + width
        for column in reversed(self.columns):
            edges.append(at)
            at -= (column + GUTTER) * size
        return edges[::-1]

    def _head(self, measure, size, width, names, x, y, out) -> float | None:
        lead = measure.line(size)
        blocks = [(self.heading, self.heading.breaks(max(names, self.heading.widest)), x, False)]
        for head, edge, column in zip(self.heads, self._edges(width, size, x), self.columns, strict=True):
            blocks.append((head, head.breaks(column + 1e-6), edge, True))
        if any(found is None for _, found, _, _ in blocks):
            return None
        tall = max(len(found) for _, found, _, _ in blocks)
        if out is not None:
            for par, found, edge, right in blocks:
                base, first = y - measure.baseline(size) - (tall - len(found)) * lead, 0
                for after in found:
                    long = (par.ends[after - 1] - par.starts[first]) * size
                    out.lines.append(Line(edge - long if right else edge, base, size, par.segments(first, after), long))
                    base -= lead
                    first = after
        y -= tall * lead + 0.14 * size
        if out is not None:
            out.rules.append((x, y, width, self.hair * 2))
        return y - 0.06 * size

    def _row(self, measure, row: _Row, found, size, width, x, y, out: Drawing) -> None:
        lead, first = measure.line(size), 0
        base = y - measure.baseline(size)
        for after in found:
            long = (row.name.ends[after - 1] - row.name.starts[first]) * size
            out.lines.append(Line(x + row.indent * size, base, size, row.name.segments(first, after), long))
            first, base = after, base - lead
        last = base + lead if found else base
        for (text, wide, face), edge in zip(row.cells, self._edges(width, size, x), strict=True):
            if text:
                out.lines.append(Line(edge - wide * size, last, size, ((face, tuple(text.split(" "))),), wide * size))


def table(declaration: Declaration, hundred_words: str, hair: float, setter: Setter) -> Table | None:
    """The table of a declaration; None when it has no rows."""
    rows = declaration.rows
    if not rows:
        return None
    heads, pick = _columns(declaration, hundred_words)
    texts = [[pick_one(row) for pick_one in pick] for row in rows]
    columns = []
    for number, head in enumerate(heads):
        par = setter.text(head)
        widest = max(_wide(setter, cells[number], row.bold) for cells, row in zip(texts, rows, strict=True))
        columns.append(max(widest, _on_two_lines(par)))
    made = tuple(_made(setter, row, cells, next_row) for row, cells, next_row
                 in zip(rows, texts, [*rows[1:], None], strict=True))  # fmt: skip
    return Table(setter.text(declaration.table_heading, BOLD), tuple(setter.text(head) for head in heads), made,
                 tuple(columns), max(row.name.length + row.indent for row in made), hair)  # fmt: skip


def _columns(declaration: Declaration, hundred_words: str):
    """Heads of the columns of figures that have any, and how to take a row's text for each."""
    heads, pick = [], []
    if any(row.hundred for row in declaration.rows):
        heads.append(declaration.hundred_words or hundred_words)
        pick.append(lambda row: row.hundred)
    if any(row.per_portion for row in declaration.rows):
        heads.append(declaration.portion_words)
        pick.append(lambda row: row.per_portion)
    if any(row.share for row in declaration.rows):
        heads.append("")
        pick.append(lambda row: row.share)
    return heads, pick


def _on_two_lines(par: Paragraph) -> float:
    """The least width on which a head stands on two lines (short heads: on one)."""
    if par.length <= 4.2 or len(par.chunks) < 2:
        return par.length
    return min(max(par.ends[cut - 1], par.length - par.starts[cut]) for cut in range(1, len(par.chunks)))


def _wide(setter: Setter, text: str, bold: bool) -> float:
    return setter.text(text, BOLD if bold else REGULAR).length


def _made(setter: Setter, row: NutritionRow, cells: Sequence[str], after: NutritionRow | None) -> _Row:
    face = BOLD if row.bold else REGULAR
    made = tuple((" ".join(text.split()), _wide(setter, text, row.bold), face) for text in cells)
    goes_on = after is not None and not after.name
    part = after is not None and after.indent > 0  # no line between a figure and what is a part of it
    return _Row(setter.text(row.name, face), row.indent * INDENT, made, not goes_on and not part)


def linear(declaration: Declaration, hundred_words: str, setter: Setter) -> tuple[Paragraph, ...]:
    """The same figures one after the other (Art. 34(3): where space does not permit a table), a paragraph a column."""
    columns = [(head, pick) for head, pick in zip(*_columns(declaration, hundred_words), strict=True) if head]
    out = []
    for number, (head, pick) in enumerate(columns, 1):
        parts: list[str] = []
        for row in declaration.rows:
            text = pick(row)
            if not text:
                continue
            if row.share and number == len(columns):  # the share belongs to the amount beside it in the table
                text = f"{text} ({row.share})"
            if row.name or not parts:
                parts.append(f"{row.name} {text}".strip())
            else:
                parts[-1] += f" / {text}"
        heading = [] if out else [(f"{declaration.table_heading} ", BOLD)]
        out.append(setter.paragraph([*heading, (f"{head}: {', '.join(parts)}", REGULAR)]))
    return tuple(out)
