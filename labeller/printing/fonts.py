"""The label's fonts: loaded once, measured in thousandths of the type size, embedded as subsets.

Heights come from the font file itself (OS/2 ``sxHeight`` and ``sCapHeight`` over ``head`` ``unitsPerEm``), so that a law's
millimetres become points of this very face.
"""

from __future__ import annotations

import struct
import zlib
from functools import cache

from msgspec import Struct

from labeller.terms.label_looks import FontFiles

PT_PER_MM = 72.0 / 25.4
HYPHEN, NO_BREAK_HYPHEN, NO_BREAK_SPACE = 0x2D, 0x2011, 0xA0
REGULAR, BOLD, ITALIC = 0, 1, 2


class FontFault(ValueError):
    """A font file that can't be used; the text says why."""


class Face(Struct, frozen=True, eq=False):
    """One face. x_ratio, cap_ratio, ascent, descent (negative): shares of the type size. widths: code point -> width, as a
    share of the type size. font: the ReportLab font that embeds it."""

    name: str
    x_ratio: float
    cap_ratio: float
    ascent: float
    descent: float
    widths: dict[int, float]
    font: object

    def width(self, text: str) -> float:
        """Width over type size. A missing glyph has no width: ask :meth:`missing` first."""
        get = self.widths.get
        return sum([get(ord(letter), 0.0) for letter in text])

    def missing(self, text: str) -> str:
        """Letters of a text for which the face has no glyph, each once, in order."""
        return "".join(dict.fromkeys(letter for letter in text if ord(letter) not in self.widths and letter != "\n"))

    def points_for_x_height(self, mm: float) -> float:
        """Type size in points whose small x is ``mm`` high."""
        return mm * PT_PER_MM / self.x_ratio

    def points_for_figures(self, mm: float) -> float:
        """Type size in points whose figures and capitals are ``mm`` high."""
        return mm * PT_PER_MM / self.cap_ratio


class Family(Struct, frozen=True, eq=False):
    regular: Face
    bold: Face
    italic: Face

    @property
    def faces(self) -> tuple[Face, Face, Face]:
        return self.regular, self.bold, self.italic

    @property
    def x_ratio(self) -> float:
        """The lowest of the faces: a floor that holds for it holds for all."""
        return min(self.regular.x_ratio, self.bold.x_ratio)


def family(files: FontFiles) -> Family:
    """The faces of a family. Raises FontFault when a file is no TrueType font or has no measure of its small x."""
    return Family(_face(files.regular), _face(files.bold), _face(files.italic))


@cache
def _face(path: str) -> Face:
    # Parsed once a process: a font is read only, and ReportLab keeps what it embeds by document.
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFError, TTFont

    try:
        with open(path, "rb") as stream:
            data = stream.read()
        x_height, cap_height, unit = _heights(data)
        name = f"L{zlib.crc32(data):08x}"  # by content: two files of one name must not stand for each other
        font = TTFont(name, path, shapable=False)
    except (OSError, TTFError, struct.error) as fault:
        raise FontFault(f"{path} can't be used as a font: {fault}") from fault
    face = font.face
    if HYPHEN in face.charToGlyph and NO_BREAK_HYPHEN not in face.charToGlyph:
        # Same drawing, other line breaking: a face that lacks it may borrow the plain hyphen.
        face.charToGlyph[NO_BREAK_HYPHEN] = face.charToGlyph[HYPHEN]
        face.charWidths[NO_BREAK_HYPHEN] = face.charWidths[HYPHEN]
    pdfmetrics.registerFont(font)
    widths = {code: face.charWidths.get(code, face.defaultWidth) / 1000.0 for code in face.charToGlyph}
    widths[NO_BREAK_SPACE] = widths[0x20]  # ReportLab writes it as a space
    return Face(name, x_height / unit, cap_height / unit, face.ascent / 1000.0, face.descent / 1000.0, widths, font)


def _heights(data: bytes) -> tuple[int, int, int]:
    """Height of a small x, of a capital, and units of the em, from the tables OS/2 and head."""
    tables = {}
    for number in range(struct.unpack(">H", data[4:6])[0]):
        tag, _, start, length = struct.unpack(">4sLLL", data[12 + 16 * number : 28 + 16 * number])
        tables[tag] = (start, length)
    if b"OS/2" not in tables or b"head" not in tables or b"glyf" not in tables:
        raise FontFault("it lacks the tables of a TrueType font")
    start, _ = tables[b"OS/2"]
    if struct.unpack(">H", data[start : start + 2])[0] < 2:
        raise FontFault("it does not tell the height of its small x")
    x_height, cap_height = struct.unpack(">hh", data[start + 86 : start + 90])
    if x_height <= 0 or cap_height <= 0:
        raise FontFault("it does not tell the height of its small x")
    unit = struct.unpack(">H", data[tables[b"head"][0] + 18 : tables[b"head"][0] + 20])[0]
    return x_height, cap_height, unit
