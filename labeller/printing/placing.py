"""Places finished labels on their stock: equal ones as a form that is drawn once, with their running numbers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from msgspec import Struct

from labeller.printing.fitting import Drawing, Setter
from labeller.printing.fonts import PT_PER_MM, REGULAR
from labeller.printing.label_layout import Laid
from labeller.printing.pen import Pen
from labeller.printing.stock import positions
from labeller.terms.label_looks import LabelLooks
from labeller.terms.stock import CONTINUOUS, Stock


class Ready(Struct, frozen=True):
    """Labels that fit: those of one pack (one, or front and back), how many packs, whether they carry a running number."""

    labels: tuple[Laid, ...]
    copies: int = 1
    numbered: bool = False


def write_labels(ready: Iterable[Ready], stock: Stock, pen: Pen, setter: Setter, looks: LabelLooks, start: int,
                 offset: tuple[float, float], sheet: int = 0) -> int:  # fmt: skip
    """Places label after label from position ``start`` of the first page; offset: mm to the right and down. sheet: only this page
    of the run, from 1; 0: all. Returns how many pages the whole run has."""
    spots, height, at = positions(stock, start), stock.page_h, -1
    page = sheet - 1 if sheet else 0
    placed = False
    for laid, form, words in _stream(ready, pen, looks):
        at, left, top = next(spots)
        if sheet and at != sheet - 1:
            continue
        if at != page:
            pen.page()
            page = at
        label_h = stock.label_h
        if stock.kind == CONTINUOUS:
            label_h = height = laid.height / PT_PER_MM
            pen.size(stock.page_w * PT_PER_MM, laid.height)
        x, y = (left + offset[0]) * PT_PER_MM, (height - top - label_h - offset[1]) * PT_PER_MM
        if form:
            pen.place(form, x, y)
        else:
            pen.draw(laid.drawing, x, y)
        if words and laid.drawing.number:
            right, base, size = laid.drawing.number
            segments = ((REGULAR, tuple(words.split(" "))),)
            pen.text(segments, size, x + right - setter.text(words).length * size, y + base)
        placed = True
    if placed:
        pen.page()
    return at + 1


def taken(drawing: Drawing) -> list[tuple[float, float, float, float]]:
    """Boxes (left, bottom, right, top) of all that a drawing draws, the place of its running number included."""
    boxes = [(line.x, line.y - 0.25 * line.size, line.x + line.width, line.y + 0.8 * line.size) for line in drawing.lines]
    boxes += [(x, y, x + wide, y + high) for x, y, wide, high in drawing.rules]
    if drawing.number:
        right, base, size = drawing.number
        boxes.append((right - 8 * size, base - 0.25 * size, right, base + 0.8 * size))
    return boxes


def _stream(ready: Iterable[Ready], pen: Pen, looks: LabelLooks) -> Iterator[tuple[Laid, str, str]]:
    """Label after label: its layout, its form ("" when it is drawn only once), its running number."""
    for number, made in enumerate(ready, 1):
        forms = [""] * len(made.labels)
        if made.copies > 1:
            forms = [f"label{number}.{turn}" for turn in range(1, len(made.labels) + 1)]
            for name, laid in zip(forms, made.labels, strict=True):
                pen.form(name, laid.drawing, *_extent(laid))
        for copy in range(1, made.copies + 1):
            words = looks.words["number"].format(number=copy, count=made.copies) if made.numbered else ""
            for name, laid in zip(forms, made.labels, strict=True):
                yield laid, name, words


def _extent(laid: Laid) -> tuple[float, float]:
    """Width and height that hold all that a label draws."""
    right = max([line.x + line.width for line in laid.drawing.lines] + [x + wide for x, _, wide, _ in laid.drawing.rules])
    return right + 1.0, laid.height
