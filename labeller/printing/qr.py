"""QR codes as black boxes, and a place for them that no text has to give up.

The encoder is ReportLab's own. Four light modules stand around the code (the quiet zone of ISO/IEC 18004); how large a module
must be for a telephone at arm's length is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache

from labeller.printing.fonts import PT_PER_MM

QUIET = 4  # light modules on each side
MODULES_MM = (0.5, 0.42, 0.35)  # sizes of a module tried, the best first
Box = tuple[float, float, float, float]  # left, bottom, right, top


@lru_cache(maxsize=64)
def modules(text: str) -> tuple[tuple[bool, ...], ...]:
    """The dark modules of a text, row by row from the top, without the quiet zone: the smallest version, level M."""
    from reportlab.graphics.barcode.qrencoder import QR8bitByte, QRCode, QRErrorCorrectLevel

    code = QRCode(None, QRErrorCorrectLevel.M)
    code.addData(QR8bitByte(text))
    code.make()
    count = code.getModuleCount()
    return tuple(tuple(bool(code.isDark(row, column)) for column in range(count)) for row in range(count))


def side(text: str, module_mm: float) -> float:
    """Points across, the quiet zone included."""
    return (len(modules(text)) + 2 * QUIET) * module_mm * PT_PER_MM


def bars(text: str, x: float, y: float, wide: float) -> list[tuple[float, float, float, float]]:
    """Black boxes (x, y, width, height) of a code whose quiet zone has its lower left corner at x, y and is ``wide`` across."""
    rows = modules(text)
    step = wide / (len(rows) + 2 * QUIET)
    out = []
    for number, row in enumerate(rows):
        low, at = y + wide - (QUIET + number + 1) * step, 0
        while at < len(row):
            first = at
            while at < len(row) and row[at]:
                at += 1
            if at > first:
                out.append((x + (QUIET + first) * step, low, (at - first) * step, step))
            at += 1
    return out


def free_place(taken: Sequence[Box], area: Box, wide: float) -> tuple[float, float] | None:
    """Lower left corner of a square that lies in the area and touches no box: at its right edge as low as can be, else at its
    left edge; None when there is none."""
    left, bottom, right, top = area
    for x in (right - wide, left):
        if x < left - 1e-6:
            continue
        beside = [box for box in taken if box[0] < x + wide and box[2] > x]
        for y in sorted({bottom, *(box[3] for box in beside if box[3] > bottom)}):
            if y + wide > top + 1e-6:
                break
            if not any(box[1] < y + wide and box[3] > y + 1e-6 for box in beside):
                return x, y
    return None


def placed(text: str, taken: Iterable[Box], area: Box) -> list[tuple[float, float, float, float]]:
    """The boxes of a code in the largest free place of an area; none when there is no room."""
    boxes = list(taken)
    for module in MODULES_MM:
        wide = side(text, module)
        spot = free_place(boxes, area, wide)
        if spot is not None:
            return bars(text, *spot, wide)
    return []
