"""The run sheet of a print run: what was printed, and room to write down what was used, spoiled and left.

A label that turns up on the wrong box was printed in some run; the sheet tells in which, and whether every label is
accounted for: printed = used + spoiled + left.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from labeller.printing.fitting import Drawing, Line, Paragraph, Setter
from labeller.printing.fonts import BOLD, PT_PER_MM, REGULAR
from labeller.printing.guest_words import GuestWords
from labeller.printing.labels import LabelJob, Maker
from labeller.printing.pen import Pen
from labeller.printing.stock import ready
from labeller.terms.findings import Finding
from labeller.terms.label_looks import LabelLooks
from labeller.terms.stock import Stock

PAGES = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}  # mm
MARGIN, LEAD, SIZE, BIG = 15.0, 1.25, 9.0, 15.0
# Head, width in mm; the first column takes what is left. Empty columns are written by hand.
COLUMNS = (("label", 0.0), ("lot", 25.0), ("packs", 14.0), ("printed", 17.0), ("sheets", 18.0), ("used", 16.0),
           ("spoiled", 18.0), ("left", 12.0), ("initials", 15.0))  # fmt: skip
RIGHT = {2, 3}
Row = tuple[str, ...]


def run_sheet_pdf(jobs: Iterable[LabelJob], stock: Stock, looks: LabelLooks, said: GuestWords, *, start: int = 1,
                  date: str = "", kitchen_name: str = "", page: str = "A4", versions: str = "",
                  ) -> tuple[bytes, tuple[Finding, ...]]:  # fmt: skip
    """The run sheet of the labels that :func:`labeller.printing.labels.labels_pdf` prints for the same jobs and stock.

    said: its words. Findings are those of the labels; a job that is not printed has no row. date: of the run, printed as given.
    versions: which records, data and law, at the foot.
    """
    setter = ready(stock, looks, start)
    if isinstance(setter, Finding):
        return b"", (setter,)
    maker = Maker(stock, looks, setter, ())
    rows = _rows(jobs, maker, stock, start, said)
    width, height = (side * PT_PER_MM for side in PAGES.get(page, PAGES["A4"]))
    pen = Pen(setter.family, (width, height), title=said.say("run sheet"), language=said.language,
              subject=f"{stock.name}, {date}".strip(", "))  # fmt: skip
    under = ", ".join(part for part in (kitchen_name, date, stock.name) if part)
    sheet = _Sheet(setter, pen, (width, height), versions, under, said)
    sheet.table(rows)
    sheet.close()
    return pen.bytes(), tuple(dict.fromkeys(maker.findings))


def _rows(jobs: Iterable[LabelJob], maker: Maker, stock: Stock, start: int, said: GuestWords) -> list[Row]:
    """A row for each job that is printed, and the sums."""
    rows: list[Row] = []
    at, packs, printed = start - 1, 0, 0
    for job in jobs:
        made = maker.ready(job) if job.copies > 0 else None
        if made is None:
            continue
        count = job.copies * len(made.labels)
        first, last = at // stock.per_page + 1, (at + count - 1) // stock.per_page + 1
        at, packs, printed = at + count, packs + job.copies, printed + count
        sheets = f"{first}" if first == last else said.say("run from to", first, last)
        rows.append((f"{job.name}\n{job.mark}", job.lot_words, f"{job.copies}", f"{count}", sheets, "", "", "", ""))
    rows.append((said.say("run together"), "", f"{packs}", f"{printed}", f"{-(-at // stock.per_page)}", "", "", "", ""))
    return rows


class _Sheet:
    """Sets the rows on as many pages as they need."""

    def __init__(self, setter: Setter, pen: Pen, size: tuple[float, float], versions: str, under: str, said: GuestWords):
        self.setter, self.pen, self.versions, self.under, self.said = setter, pen, versions, under, said
        width, self.height = size
        self.left, self.right = MARGIN * PT_PER_MM, width - MARGIN * PT_PER_MM
        fixed = sum(wide for _, wide in COLUMNS) * PT_PER_MM
        self.edges = [self.left]
        for number, (_, wide) in enumerate(COLUMNS):
            own = self.right - self.left - fixed if number == 0 else wide * PT_PER_MM
            self.edges.append(self.edges[-1] + own)
        self.out, self.y = Drawing(), 0.0
        self._open()

    def _open(self) -> None:
        self.out, self.y = Drawing(), self.height - MARGIN * PT_PER_MM - BIG
        self._text(self.setter.text(self.said.say("run sheet"), BOLD), BIG, self.left, self.y)
        self.y -= 1.6 * SIZE
        self._text(self.setter.text(self.under), SIZE, self.left, self.y)
        self.y -= 2.6 * SIZE
        for number, (head, _) in enumerate(COLUMNS):
            self._cell(number, self.setter.text(self.said.say(f"run {head}"), BOLD), self.y)
        self.y -= 0.5 * SIZE
        self._rule(0.8)

    def _text(self, par: Paragraph, size: float, x: float, y: float, right: bool = False) -> None:
        if par.chunks:
            wide = par.length * size
            self.out.lines.append(Line(x - wide if right else x, y, size, par.segments(0, len(par.chunks)), wide))

    def _cell(self, number: int, par: Paragraph, y: float) -> None:
        right = number in RIGHT
        self._text(par, SIZE, self.edges[number + 1] - 6 if right else self.edges[number] + 2, y, right)

    def _rule(self, thick: float) -> None:
        self.out.rules.append((self.left, self.y, self.right - self.left, thick))

    def table(self, rows: Sequence[Row]) -> None:
        for number, row in enumerate(rows):
            last = number == len(rows) - 1
            cells = [self._lines(text, column, BOLD if last else REGULAR) for column, text in enumerate(row)]
            tall = max(len(lines) for lines in cells) * LEAD * SIZE + 9.0  # room for a pen
            if self.y - tall < (MARGIN + 45) * PT_PER_MM:
                self.close()
                self._open()
            self._row(cells, tall)
            self._rule(0.8 if last or number == len(rows) - 2 else 0.3)

    def _row(self, cells: list[list[Paragraph]], tall: float) -> None:
        for number, lines in enumerate(cells):
            base = self.y - LEAD * SIZE - 1.5
            for par in lines:
                self._cell(number, par, base)
                base -= LEAD * SIZE
        self.y -= tall
        for edge in self.edges[5:9]:  # boxes to write in
            self.out.rules.append((edge, self.y, 0.3, tall))

    def _lines(self, text: str, column: int, face: int) -> list[Paragraph]:
        """A cell's text in lines of its own; a word wider than the column is broken."""
        if "\n" in text:
            return [line for part in text.split("\n") for line in self._lines(part, column, face)]
        limit = (self.edges[column + 1] - self.edges[column] - 5) / SIZE
        return self._broken(self.setter.softened(self.setter.text(text, face), limit), limit, face)

    def _broken(self, par: Paragraph, limit: float, face: int) -> list[Paragraph]:
        first, out = 0, []
        for after in par.breaks(limit) or []:
            words = [" ".join(words) for _, words in par.segments(first, after)]
            out.append(self.setter.text("".join(words), face))
            first = after
        return out

    def close(self) -> None:
        """The foot: how to fill it in, and who signs."""
        y = (MARGIN + 30) * PT_PER_MM
        limit = (self.right - self.left) / SIZE
        for text in (self.said.say("run sum"), self.said.say("run compare")):
            for line in self._broken(self.setter.text(text), limit, REGULAR):
                self._text(line, SIZE, self.left, y)
                y -= LEAD * SIZE
        y -= 2.2 * SIZE
        third = (self.right - self.left) / 3
        for number, key in enumerate(("run printed by", "run checked by", "run date and time")):
            self.out.rules.append((self.left + number * third, y, third - 12, 0.3))
            self._text(self.setter.text(self.said.say(key)), 7.5, self.left + number * third, y - 9)
        if self.versions:
            self._text(self.setter.text(self.versions), 7.0, self.left, (MARGIN - 5) * PT_PER_MM)
        self.pen.draw(self.out)
        self.pen.page()
