"""Reads a PDF back for tests, from its own operators, fonts and widths: what is drawn, in which face and size, and where."""

from __future__ import annotations

import re
import struct
from io import BytesIO

from msgspec import Struct
from pypdf import PdfReader
from pypdf.generic import ContentStream

MM = 72 / 25.4
PAIR = re.compile(rb"(?m)^<([0-9A-Fa-f]{2})> <([0-9A-Fa-f]{4})>$")  # a line of a ToUnicode map
# Reach of the letters above and below the baseline, over the type size: the tallest and deepest common letters of the
# face (measured in the font file: l, d and b reach 0.76; p, g, ( reach -0.23), accents left out.
RISE, DROP = 0.76, 0.23


class Run(Struct, frozen=True):
    """One shown string. x, y: start on the baseline, points; order: as drawn; spot: number of the label or form it is in."""

    text: str
    font: str
    size: float
    x: float
    y: float
    width: float
    spot: int

    @property
    def bold(self) -> bool:
        return "Bold" in self.font

    @property
    def box(self) -> tuple[float, float, float, float]:
        return self.x, self.y - DROP * self.size, self.x + self.width, self.y + RISE * self.size


class Page(Struct, frozen=True):
    width: float
    height: float
    runs: tuple[Run, ...]
    boxes: tuple[tuple[float, float, float, float], ...]  # x, y, width, height of filled rectangles

    def text(self) -> str:
        return "".join(run.text for run in self.runs)


def squash(text: str) -> str:
    """Letters only: without white space and the hyphens of broken words."""
    return re.sub(r"\s+", "", text.replace("\u00ad", ""))


def pages(pdf: bytes) -> list[Page]:
    reader = PdfReader(BytesIO(pdf))
    return [_page(page, reader) for page in reader.pages]


def _page(page, reader) -> Page:
    runs: list[Run] = []
    boxes: list[tuple[float, float, float, float]] = []
    _walk(ContentStream(page["/Contents"].get_object(), reader), page["/Resources"], (0.0, 0.0), reader, runs, boxes, [0], {})
    box = page.mediabox
    return Page(float(box.width), float(box.height), tuple(runs), tuple(boxes))


def _walk(stream, resources, origin, reader, runs, boxes, spots, known) -> None:
    """Only the operators that this house writes: a shift, one text matrix a line, fonts, strings, rectangles, forms."""
    shift, stack, font, size, at = origin, [], None, 0.0, (0.0, 0.0)
    for operands, operator in stream.operations:
        if operator == b"q":
            stack.append(shift)
        elif operator == b"Q":
            shift = stack.pop()
        elif operator == b"cm":
            a, b, c, d, e, f = map(float, operands)
            assert (a, b, c, d) == (1, 0, 0, 1), "a label is neither scaled nor turned"
            shift = (shift[0] + e, shift[1] + f)
            spots[0] += 1
        elif operator == b"Tm":
            assert [float(number) for number in operands[:4]] == [1, 0, 0, 1]
            at = (float(operands[4]), float(operands[5]))
        elif operator == b"Tf":
            font, size = _font(resources["/Font"][operands[0]].get_object(), known), float(operands[1])
        elif operator == b"Tj":
            raw = operands[0].original_bytes
            name, letters, widths = font
            long = sum(widths[byte] for byte in raw) * size / 1000
            text = "".join(letters[byte] for byte in raw)
            runs.append(Run(text, name, size, at[0] + shift[0], at[1] + shift[1], long, spots[0]))
            at = (at[0] + long, at[1])
        elif operator == b"re":
            x, y, w, h = map(float, operands)
            boxes.append((x + shift[0], y + shift[1], w, h))
        elif operator == b"Do":
            form = resources["/XObject"][operands[0]].get_object()
            inner = form.get("/Resources", resources)
            _walk(ContentStream(form, reader), inner, shift, reader, runs, boxes, spots, known)


def _font(font, known) -> tuple[str, dict[int, str], dict[int, float]]:
    """Base name, letters by code, widths by code in thousandths of the size."""
    key = font.indirect_reference.idnum if font.indirect_reference else str(font["/BaseFont"]) + str(font["/Name"])
    if key not in known:
        pairs = PAIR.findall(font["/ToUnicode"].get_object().get_data())
        letters = {int(code, 16): chr(int(letter, 16)) for code, letter in pairs}
        first = int(font["/FirstChar"])
        widths = {first + number: float(width) for number, width in enumerate(font["/Widths"])}
        known[key] = (str(font["/BaseFont"]), letters, widths)
    return known[key]


def embedded(pdf: bytes) -> dict[str, bytes]:
    """Base name of each font -> its embedded TrueType file. A font that isn't embedded has no bytes."""
    out: dict[str, bytes] = {}
    reader = PdfReader(BytesIO(pdf))
    for page in reader.pages:
        for font in page["/Resources"]["/Font"].get_object().values():
            font = font.get_object()
            descriptor = font.get("/FontDescriptor")
            file = descriptor.get_object().get("/FontFile2") if descriptor else None
            out[str(font["/BaseFont"])] = file.get_object().get_data() if file else b""
    return out


def x_height_ratio(file: bytes, code: int) -> float:
    """Height of the drawing of a character over the em, from the tables cmap, loca, glyf and head of an embedded font."""
    tables = {}
    for number in range(struct.unpack(">H", file[4:6])[0]):
        tag, _, start, length = struct.unpack(">4sLLL", file[12 + 16 * number : 28 + 16 * number])
        tables[tag] = file[start : start + length]
    unit, long_loca = struct.unpack(">H", tables[b"head"][18:20])[0], struct.unpack(">h", tables[b"head"][50:52])[0]
    glyph = _glyph_of(tables[b"cmap"], code)
    if long_loca:
        start = struct.unpack(">L", tables[b"loca"][4 * glyph : 4 * glyph + 4])[0]
    else:
        start = 2 * struct.unpack(">H", tables[b"loca"][2 * glyph : 2 * glyph + 2])[0]
    _, _, _, _, top = struct.unpack(">hhhhh", tables[b"glyf"][start : start + 10])
    return top / unit


def _glyph_of(cmap: bytes, code: int) -> int:
    count = struct.unpack(">H", cmap[2:4])[0]
    for number in range(count):
        start = struct.unpack(">L", cmap[8 + 8 * number : 12 + 8 * number])[0]
        form = struct.unpack(">H", cmap[start : start + 2])[0]
        if form == 0:
            return cmap[start + 6 + code]
        if form == 6:
            first, many = struct.unpack(">HH", cmap[start + 6 : start + 10])
            if first <= code < first + many:
                return struct.unpack(">H", cmap[start + 10 + 2 * (code - first) : start + 12 + 2 * (code - first)])[0]
    raise AssertionError("no character map that this reader knows")


def overlaps(runs: tuple[Run, ...], slack: float = 0.05) -> list[tuple[str, str]]:
    """Pairs of strings whose letters reach into each other; strings that follow each other on one line may touch."""
    found = []
    order = sorted(runs, key=lambda run: run.box[1])
    for number, one in enumerate(order):
        for two in order[number + 1 :]:
            if two.box[1] >= one.box[3] - slack:
                break
            wide = min(one.box[2], two.box[2]) - max(one.box[0], two.box[0])
            if wide > slack and one.text.strip() and two.text.strip():
                found.append((one.text, two.text))
    return found
