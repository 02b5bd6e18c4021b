"""Setting type on a sheet: text is wrapped and placed first, as values, and painted afterwards.

A layout is a list of pages, a page a tuple of placed items, so that a test can read what stands where without a PDF.
Lengths are points from the lower left corner of the page.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache
from io import BytesIO
from typing import NamedTuple

from labeller.printing.fonts import Family, FontFault, family
from labeller.printing.qr import placed
from labeller.terms.findings import NOWHERE, Finding, Place, finding
from labeller.terms.looks import Looks

MM = 72 / 25.4
CODE_EDGE_MM, CODE_HEIGHT = 4.5, 0.35  # a printer reaches no further; a code stands in the lower part of the page
_ASCENT, _DESCENT = 0.78, 0.22  # of the type size; what the faces of the house keep to, checked by eye


class Ink(NamedTuple):
    """A style of type. font: name registered for painting; size: points; black: 0-1."""

    font: str
    size: float
    black: float = 1.0


class Text(NamedTuple):
    """One piece of text on its baseline. turned: True when it stands upside down (the far side of a tent card)."""

    x: float
    y: float
    text: str
    ink: Ink
    turned: bool = False

    def box(self) -> tuple[float, float, float, float]:
        """Left, bottom, right, top."""
        width, size = string_width(self.text, self.ink), self.ink.size
        if self.turned:
            return self.x - width, self.y - _ASCENT * size, self.x, self.y + _DESCENT * size
        return self.x, self.y - _DESCENT * size, self.x + width, self.y + _ASCENT * size


class Bar(NamedTuple):
    """A filled rectangle: a rule or a tint. black: 0-1."""

    x: float
    y: float
    width: float
    height: float
    black: float


class Frame(NamedTuple):
    """An outlined rectangle; weight: points; dash: points on and off, () for a full line."""

    x: float
    y: float
    width: float
    height: float
    weight: float
    black: float = 1.0
    dash: tuple[float, ...] = ()


class Faces(NamedTuple):
    """Names of the registered faces."""

    regular: str
    bold: str
    italic: str


Item = Text | Bar | Frame
Page = tuple[Item, ...]
Runs = Sequence[tuple[str, Ink]]


class Row(NamedTuple):
    """One set line: pieces with their offset from the left, its width and its height (points)."""

    pieces: tuple[tuple[float, str, Ink], ...]
    width: float
    height: float
    broken: bool = False


def faces(looks: Looks) -> Faces:
    """Makes the faces of the house ready to measure and to paint. A kitchen's own font that can't be used is left aside for
    the shipped one (:func:`letters_and_fonts` reports it)."""
    return Faces(*(face.name for face in _family(looks)[0].faces))


def _family(looks: Looks) -> tuple[Family, str]:
    try:
        return family(looks.fonts), ""
    except FontFault as fault:
        if looks.spare is None:
            raise
        return family(looks.spare), str(fault)


def letters_and_fonts(pages: Sequence[Page], looks: Looks) -> tuple[Finding, ...]:
    """One finding for a font that can't be used, and for each text that holds a letter its face lacks: an empty box would
    stand in a name."""
    used, fault = _family(looks)
    out = []
    if fault:
        mend = "name a TrueType file under “font:” in the kitchen's templates/style.yaml, or take the line out"
        out.append(finding("style-broken", Place("templates/style.yaml"), fault, mend))
    every = {face.name: face for face in used.faces}
    texts = dict.fromkeys((item.text, item.ink.font) for page in pages for item in page if isinstance(item, Text))
    for text, font in texts:
        letters = every[font].missing(text)
        if letters:
            what = f"the font has no letter for {', '.join(f'“{letter}”' for letter in letters)} in “{text}”"
            mend = "write the word without it, or name a font that has it in the kitchen's templates/style.yaml"
            out.append(finding("sheet-letter-missing", NOWHERE, what, mend))
    return tuple(out)


@lru_cache(maxsize=1 << 15)
def string_width(text: str, ink: Ink) -> float:
    """Width in points. Kept, because the same words are set again and again until a sheet fits."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    return stringWidth(text, ink.font, ink.size)


def set_lines(runs: Runs, width: float, leading: float) -> tuple[Row, ...]:
    """Wraps runs of text into a width. Breaks at spaces, after hyphens and slashes, at "\\n", and inside a word only where
    the word alone is wider than the line (``broken`` is then True). Runs that meet without a space stay together."""
    lines = _Lines(width, leading)
    gap, last = "", None
    for text, ink in runs:
        last = ink
        gap = " " if text.startswith(" ") else gap
        for number, (word, after) in enumerate(_words(text)):
            if word == "\n":
                lines.close(ink)
                gap = ""
                continue
            lines.add(word, ink, gap, number == 0 and gap == "" and bool(lines.line))
            gap = after
    if lines.line and last is not None:
        lines.close(last)
    return tuple(lines.rows)


def balanced(runs: Runs, width: float, leading: float, least: float = 0.0) -> tuple[Row, ...]:
    """As :func:`set_lines`, in as many lines and no more, as even as they come: no single word on the last one. least: width that
    the lines keep, for a lead that is not to be broken."""
    rows = set_lines(runs, width, leading)
    if len(rows) < 2 or any(row.broken for row in rows):
        return rows
    low, high = max(width / 2, min(least, width)), width
    while high - low > 4.0:
        middle = (low + high) / 2
        tried = set_lines(runs, middle, leading)
        if len(tried) > len(rows) or any(row.broken for row in tried):
            low = middle
        else:
            high, rows = middle, tried
    return rows


class _Lines:
    """Lines in the making. line: pieces of the open one with their offset; glued: of each, that it follows the one before without
    a space; x: where the line ends."""

    def __init__(self, width: float, leading: float):
        self.width, self.leading = width, leading
        self.rows: list[Row] = []
        self._open()

    def _open(self) -> None:
        self.line: list[tuple[float, str, Ink]] = []
        self.glued: list[bool] = []
        self.x, self.broken = 0.0, False

    def close(self, ink: Ink) -> None:
        size = max((one.size for _, _, one in self.line), default=ink.size)
        self.rows.append(Row(_joined(self.line), self.x, size * self.leading, self.broken))
        self._open()

    def add(self, word: str, ink: Ink, gap: str, hangs: bool) -> None:
        """A word after a gap; hangs: it belongs to the piece before it."""
        wide = string_width(word, ink)
        space = string_width(gap, ink) if self.line else 0.0
        if self.line and self.x + space + wide > self.width + 0.01:
            self._turn(ink, wide if hangs else None)
            space = 0.0
        while string_width(word, ink) > self.width + 0.01 and len(word) > 1:
            head = _fitting(word, ink, self.width)
            self.line, self.glued = [(0.0, head + "-", ink)], [False]
            self.x, self.broken = string_width(head + "-", ink), True
            self.close(ink)
            word, space = word[len(head) :], 0.0
        self.line.append((self.x + space, word, ink))
        self.glued.append(hangs)
        self.x += space + string_width(word, ink)

    def _turn(self, ink: Ink, hanging: float | None) -> None:
        """Begins a new line; the last pieces go with a word of this width that hangs on them, where all fit one line."""
        first = len(self.line) - 1
        while first > 0 and self.glued[first]:
            first -= 1
        if hanging is None or first <= 0 or self.x - self.line[first][0] + hanging > self.width:
            self.close(ink)
            return
        moved, self.line = self.line[first:], self.line[:first]
        self.x = self._end()
        self.close(ink)
        self.line = [(start - moved[0][0], piece, one) for start, piece, one in moved]
        self.glued, self.x = [False, *[True] * (len(moved) - 1)], self._end()

    def _end(self) -> float:
        start, piece, ink = self.line[-1]
        return start + string_width(piece, ink)


def _words(text: str) -> list[tuple[str, str]]:
    """Pieces that stay together, each with what follows it on the same line: a space, or nothing after a hyphen."""
    out: list[tuple[str, str]] = []
    for number, paragraph in enumerate(text.split("\n")):
        if number:
            out.append(("\n", ""))
        for word in paragraph.split(" "):
            if not word:
                if out and out[-1][0] != "\n":
                    out[-1] = (out[-1][0], " ")
                continue
            parts = _breakable(word)
            out += [(part, "") for part in parts[:-1]] + [(parts[-1], " ")]
        if out and not paragraph.endswith(" ") and out[-1][1] == " ":
            out[-1] = (out[-1][0], "")
    return out


def _breakable(word: str) -> list[str]:
    """Parts between which a line may end: after a hyphen or slash between letters; a date stays whole."""
    parts, start = [], 0
    for place in range(1, len(word) - 1):
        if word[place] in "-/" and not (word[place - 1].isdigit() or word[place + 1].isdigit()):
            parts.append(word[start : place + 1])
            start = place + 1
    return [*parts, word[start:]]


def _fitting(word: str, ink: Ink, width: float) -> str:
    for length in range(len(word) - 1, 1, -1):
        if string_width(word[:length] + "-", ink) <= width:
            return word[:length]
    return word[:1]


def _joined(line: list[tuple[float, str, Ink]]) -> tuple[tuple[float, str, Ink], ...]:
    """Neighbouring pieces of one ink as one piece, so that the text of the PDF reads as words with their spaces."""
    out: list[tuple[float, str, Ink]] = []
    for x, text, ink in line:
        if out and out[-1][2] == ink:
            start, before, _ = out[-1]
            gap = " " if x - start - string_width(before, ink) > 0.01 else ""
            out[-1] = (start, before + gap + text, ink)
        else:
            out.append((x, text, ink))
    return tuple(out)


def height(rows: Iterable[Row]) -> float:
    return sum(row.height for row in rows)


def place(rows: Iterable[Row], x: float, top: float, width: float = 0.0, align: str = "left") -> list[Text]:
    """Puts set lines with their top left corner (``left``), centre (``centre``) or right edge (``right``) of ``width``."""
    out = []
    for row in rows:
        size = max((ink.size for _, _, ink in row.pieces), default=0.0)
        baseline = top - (row.height - size) / 2 - _ASCENT * size
        shift = {"left": 0.0, "centre": (width - row.width) / 2, "right": width - row.width}[align]
        out += [Text(x + shift + offset, baseline, text, ink) for offset, text, ink in row.pieces]
        top -= row.height
    return out


def longest_word(runs: Runs) -> float:
    """Width of the widest piece that can't be broken, in points."""
    return max((string_width(word, ink) for text, ink in runs for word, _ in _words(text) if word != "\n"), default=0.0)


def page_size(looks: Looks, page: str, landscape: bool = False) -> tuple[float, float]:
    """Width and height in points of a paper of the house style. An unknown paper is a fault of the caller: KeyError."""
    short, long = (side * MM for side in looks.pair("paper mm", page))
    return (long, short) if landscape else (short, long)


def with_code(pages: Sequence[Page], size: tuple[float, float], text: str) -> list[Page]:
    """The pages, each with the QR code of a text in a free place at its foot; without it where there is none."""
    if not text:
        return list(pages)
    return [(*page, *(Bar(*bar, 1.0) for bar in placed(text, map(_box, page), _foot(size)))) for page in pages]


def _foot(size: tuple[float, float]) -> tuple[float, float, float, float]:
    edge = CODE_EDGE_MM * MM
    return edge, edge, size[0] - edge, size[1] * CODE_HEIGHT


def _box(item: Item) -> tuple[float, float, float, float]:
    return item.box() if isinstance(item, Text) else (item.x, item.y, item.x + item.width, item.y + item.height)


def paint(pages: Sequence[Page], size: tuple[float, float], *, title: str, author: str, subject: str = "",
          language: str = "en") -> bytes:  # fmt: skip
    """The PDF of placed pages. Equal pages give equal bytes: no clock and no random mark goes in."""
    from reportlab.pdfgen.canvas import Canvas

    out = BytesIO()
    canvas = Canvas(out, pagesize=size, invariant=1, lang=language)
    canvas.setTitle(title)
    canvas.setAuthor(author)
    canvas.setSubject(subject)
    canvas.setCreator("labeller")
    for page in pages:
        for item in page:
            _draw(canvas, item)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def _draw(canvas: object, item: Item) -> None:
    if isinstance(item, Text):
        canvas.setFillGray(1 - item.ink.black)
        canvas.setFont(item.ink.font, item.ink.size)
        if item.turned:
            canvas.saveState()
            canvas.translate(item.x, item.y)
            canvas.rotate(180)
            canvas.drawString(0, 0, item.text)
            canvas.restoreState()
        else:
            canvas.drawString(item.x, item.y, item.text)
    elif isinstance(item, Bar):
        canvas.setFillGray(1 - item.black)
        canvas.rect(item.x, item.y, item.width, item.height, stroke=0, fill=1)
    else:
        canvas.setStrokeGray(1 - item.black)
        canvas.setLineWidth(item.weight)
        canvas.setDash(*([list(item.dash)] if item.dash else []))
        canvas.rect(item.x, item.y, item.width, item.height, stroke=1, fill=0)
