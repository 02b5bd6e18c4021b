"""Where labels stand on their stock, and a test print that shows it: outlines, numbers and a 50 mm square for the scale."""

from __future__ import annotations

from collections.abc import Iterator

from labeller.printing.fitting import Drawing, Line, Setter
from labeller.printing.fonts import BOLD, PT_PER_MM, REGULAR, FontFault, family
from labeller.printing.pen import Pen
from labeller.terms.findings import NOWHERE, Finding, Place, finding
from labeller.terms.label_looks import LabelLooks
from labeller.terms.stock import CONTINUOUS, Stock

SQUARE_MM = 50.0


def positions(stock: Stock, start: int = 1) -> Iterator[tuple[int, float, float]]:
    """Page (from 0), left and top edge in mm of label after label, row by row, from position ``start`` of the first page."""
    number = start - 1
    while True:
        page, place = divmod(number, stock.per_page)
        row, column = divmod(place, stock.columns)
        yield (page, stock.left + column * (stock.label_w + stock.gutter_x), stock.top + row * (stock.label_h + stock.gutter_y))
        number += 1


def inner_areas(stock: Stock, looks: LabelLooks) -> list[tuple[float, float, float, float]]:
    """Rectangles for text inside a label: x, y, width, height in points, the best first.

    Text keeps the padding from the cut, and what a printer doesn't reach from the page's edge. In a round label the
    rectangles stand in the circle.
    """
    padding, edge = looks.sizes["padding"], looks.sizes["printer edge"]
    if stock.kind == "sheet":
        pad_x = max(padding, edge - min(stock.left, stock.right))
        pad_y = max(padding, edge - min(stock.top, stock.bottom))
    else:
        pad_x = pad_y = padding if stock.kind != CONTINUOUS else max(padding - stock.left, 1.0)
    width, height = stock.label_w - 2 * pad_x, stock.label_h - 2 * pad_y
    if stock.shape != "round":
        return [(pad_x * PT_PER_MM, pad_y * PT_PER_MM, width * PT_PER_MM, height * PT_PER_MM)]
    out = []
    across = min(width, height)
    for share in (0.707, 0.64, 0.77, 0.56):
        high, wide = across * share, across * (1 - share * share) ** 0.5
        x, y = (stock.label_w - wide) / 2, (stock.label_h - high) / 2
        out.append((x * PT_PER_MM, y * PT_PER_MM, wide * PT_PER_MM, high * PT_PER_MM))
    return out


def refused(stock: Stock, start: int, place: Place = NOWHERE) -> Finding | None:
    """Why nothing can be printed on this stock; None when it can."""
    if not stock.adds_up:
        return finding("stock-does-not-add-up", place,
                       f"“{stock.name}” misses its page by {stock.miss_x:+.2f} mm across and {stock.miss_y:+.2f} mm down",
                       f"measure margins and gaps again; they may miss the page by {stock.tolerance:g} mm at most")  # fmt: skip
    if not 1 <= start <= stock.per_page:
        return finding("stock-start-outside", place, f"position {start} is not on “{stock.name}”",
                       f"start at a position from 1 to {stock.per_page}, counted row by row")  # fmt: skip
    return None


def ready(stock: Stock, looks: LabelLooks, start: int) -> Setter | Finding:
    """What sets the type of a print run on this stock, or why nothing can be printed."""
    fault = refused(stock, start)
    if fault:
        return fault
    try:
        return Setter(family(looks.fonts))
    except FontFault as wrong:
        return font_finding(str(wrong))


def test_print_pdf(stock: Stock, looks: LabelLooks, *, offset: tuple[float, float] = (0.0, 0.0), start: int = 1,
                   language: str = "en") -> tuple[bytes, tuple[Finding, ...]]:  # fmt: skip
    """One page of outlines to lay over a sheet of labels. offset: mm to the right and down, as given to the labels."""
    setter = ready(stock, looks, start)
    if isinstance(setter, Finding):
        return b"", (setter,)
    page = (stock.page_w * PT_PER_MM, stock.page_h * PT_PER_MM)
    pen = Pen(setter.family, page, title=f"Test print, {stock.name}", language=language)
    pen.draw(_outlines(stock, offset, setter, start))
    square = _square(stock, setter, offset)
    x, y, side, _ = square.rules[0]
    pen.blank(x - 6, y - 6, side + 12, side + 12)
    pen.draw(square)
    pen.page()
    return pen.bytes(), ()


def font_finding(text: str) -> Finding:
    return finding("label-looks-broken", Place("templates/label.yaml"), text,
                   "name a TrueType font that is not a collection, or take the line out")  # fmt: skip


def _box(out: Drawing, x: float, y: float, width: float, height: float, thick: float) -> None:
    out.rules += [(x, y, width, thick), (x, y + height - thick, width, thick), (x, y, thick, height),
                  (x + width - thick, y, thick, height)]  # fmt: skip


def _outlines(stock: Stock, offset: tuple[float, float], setter: Setter, start: int) -> Drawing:
    out = Drawing()
    for number, (page, left, top) in enumerate(positions(stock), 1):
        if page:
            break
        x = (left + offset[0]) * PT_PER_MM
        y = (stock.page_h - top - stock.label_h - offset[1]) * PT_PER_MM
        width, height = stock.label_w * PT_PER_MM, stock.label_h * PT_PER_MM
        _box(out, x, y, width, height, 0.3)
        face = BOLD if number == start else REGULAR
        _line(out, setter, str(number), face, 8.0, x + 5.0, y + height - 12.0)
    return out


def _line(out: Drawing, setter: Setter, text: str, face: int, size: float, x: float, y: float) -> None:
    words = tuple(text.split())
    out.lines.append(Line(x, y, size, ((face, words),), setter.text(text, face).length * size))


def _square(stock: Stock, setter: Setter, offset: tuple[float, float]) -> Drawing:
    """The square for the scale in the middle of the page, with what it is for, as large as the page lets it be."""
    out = Drawing()
    side = SQUARE_MM if min(stock.page_w, stock.page_h) >= SQUARE_MM + 4 else 10.0
    x, y = (stock.page_w - side) / 2 * PT_PER_MM, (stock.page_h - side) / 2 * PT_PER_MM
    _box(out, x, y, side * PT_PER_MM, side * PT_PER_MM, 0.6)
    if side < SQUARE_MM:
        return out
    lines = [f"{side:g} x {side:g} mm", "If this square measures otherwise,", "the printer scales the page:", "print at 100 %.",
             f"{stock.name[:34]}", f"moved {offset[0]:g} mm right, {offset[1]:g} mm down"]  # fmt: skip
    base = y + side * PT_PER_MM - 18
    for number, text in enumerate(lines):
        _line(out, setter, text, BOLD if number == 0 else REGULAR, 8.0, x + 7, base)
        base -= 12 if number not in (0, 3) else 17
    return out
