"""Fitting text: words measured once in shares of the type size, broken into lines for any size, set in columns.

A column is a list of items, each of which can be run at any size and width: with a :class:`Drawing` it is placed, without
one only measured. An item that is wider than its column gives None: text is never cut, shrunk below its least size or
laid over other text.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Callable, Iterable, Sequence
from unicodedata import combining, normalize

from msgspec import Struct, field

from labeller.printing.fonts import BOLD, REGULAR, Family

EPS = 1e-6
Chunk = tuple[tuple[int, str], ...]  # (face, letters), drawn without a space between them
Segment = tuple[int, tuple[str, ...]]  # face, words; joined by spaces they are drawn in one go
SHORT, MOST_KEPT = 80, 20_000
MARK = "\u00ad"  # soft hyphen: drawn as a hyphen where a single word had to be broken, and no letter of the text


class Paragraph(Struct, frozen=True, eq=False):
    """Chunks that no line may break inside, with their left and right edges on one endless line, in shares of the size.
    joined: numbers of chunks that follow the one before without a space (parts of a word that had to be broken)."""

    chunks: tuple[Chunk, ...]
    starts: tuple[float, ...]
    ends: tuple[float, ...]
    widest: float
    joined: frozenset[int] = frozenset()

    @property
    def length(self) -> float:
        return self.ends[-1] if self.ends else 0.0

    def breaks(self, limit: float) -> list[int] | None:
        """For each line the number of the chunk after its last; None when a chunk is wider than the line."""
        if self.widest > limit + EPS:
            return None
        starts, ends, found, at, count = self.starts, self.ends, [], 0, len(self.chunks)
        while at < count:
            at = bisect_right(ends, starts[at] + limit + EPS, at)
            found.append(at)
        return found

    def segments(self, first: int, after: int) -> tuple[Segment, ...]:
        """The words of one line by face. A segment that goes on from another without a space has no empty first word;
        one that begins with a space has one."""
        out: list[Segment] = []
        face, words = -1, []
        for number in range(first, after):
            space = number > first and number not in self.joined
            for one, word in self.chunks[number]:
                if one == face:
                    if space:
                        words.append(word)
                    else:
                        words[-1] += word
                else:
                    if space and face not in (-1, REGULAR):
                        # A space between two faces is the regular one, as it was measured.
                        out.append((face, tuple(words)))
                        if one == REGULAR:
                            face, words = one, ["", word]
                        else:
                            out.append((REGULAR, ("", "")))
                            face, words = one, [word]
                    else:
                        if space and words:
                            words.append("")
                        if words:
                            out.append((face, tuple(words)))
                        face, words = one, [word]
                space = False
        if words:
            out.append((face, tuple(words)))
        return tuple(out)


UNITS = frozenset({"g", "kg", "mg", "µg", "mcg", "ml", "cl", "l", "mm", "cm", "%", "°C", "°F", "kJ", "kcal", "oz", "lb"})


def _composed(text: str) -> str:
    """Letters with their marks as one character each (Unicode form C), as the font has them."""
    return text if text.isascii() else normalize("NFC", text)


def _kept_together(pieces: list[str]) -> list[str]:
    """Words of a text, a number and its unit as one ("24 g)", "5 °C,"): a line never breaks between them."""
    out = pieces[:1]
    for piece in pieces[1:]:
        if out[-1][-1:].isdigit() and piece.rstrip(").,;:]") in UNITS:
            out[-1] += f"\u00a0{piece}"
        else:
            out.append(piece)
    return out


class Setter:
    """Measures words of one family and remembers them for a run."""

    __slots__ = ("family", "_widths", "_known", "_texts")

    def __init__(self, family: Family):
        self.family = family
        self._widths: tuple[dict[str, float], ...] = ({}, {}, {})
        self._texts: dict[tuple[str, int], Paragraph] = {}  # short texts come again on label after label
        letters = set.intersection(*({chr(code) for code in face.widths} for face in family.faces))
        self._known = {letter for letter in letters if not combining(letter)} | set("\n\t")

    def missing(self, texts: Iterable[str]) -> str:
        """Letters of the texts for which a face has no glyph, in the order of the code. A mark that makes no letter of its
        own with the one before it counts as missing: it would stand beside that letter."""
        return "".join(sorted(set(_composed("".join(texts))) - self._known))

    def width(self, face: int, word: str) -> float:
        widths = self._widths[face]
        found = widths.get(word)
        if found is None:
            found = widths[word] = self.family.faces[face].width(word)
        return found

    def text(self, text: str, face: int = REGULAR) -> Paragraph:
        found = self._texts.get((text, face))
        if found is None:
            found = self.paragraph(((text, face),))
            if len(text) < SHORT and len(self._texts) < MOST_KEPT:
                self._texts[text, face] = found
        return found

    def paragraph(self, runs: Iterable[tuple[str, int]]) -> Paragraph:
        """Runs of text in one face each; runs that meet without a space stay together."""
        chunks: list[Chunk] = []
        current: list[tuple[int, str]] = []
        for text, face in runs:
            pieces = _kept_together(_composed(text).replace("\n", " ").replace("\t", " ").split(" "))
            if pieces[0]:
                current.append((face, pieces[0]))
            for piece in pieces[1:]:
                if current:
                    chunks.append(tuple(current))
                    current = []
                if piece:
                    current.append((face, piece))
        if current:
            chunks.append(tuple(current))
        return self._measured(chunks)

    def joined(self, paragraphs: Sequence[Paragraph], sign: str) -> Paragraph:
        """Paragraphs run into one, with a sign after each but the last; a line never begins with the sign."""
        chunks: list[Chunk] = []
        for number, par in enumerate(paragraphs, 1):
            chunks += par.chunks
            if number < len(paragraphs) and par.chunks:
                chunks[-1] = (*chunks[-1], (REGULAR, f"\u00a0{sign}"))
        return self._measured(chunks)

    def _measured(self, chunks: Sequence[Chunk], joined: frozenset[int] = frozenset()) -> Paragraph:
        starts, ends, at, last, widest = [], [], 0.0, -1, 0.0
        width = self.width
        for number, chunk in enumerate(chunks):
            if last >= 0 and number not in joined:
                at += width(last if last == chunk[0][0] else REGULAR, " ")
            start = at
            starts.append(at)
            for face, word in chunk:
                at += width(face, word)
            ends.append(at)
            last = chunk[-1][0]
            widest = max(widest, at - start)
        return Paragraph(tuple(chunks), tuple(starts), tuple(ends), widest, joined)

    def softened(self, par: Paragraph, limit: float) -> Paragraph:
        """The paragraph with every chunk wider than the limit broken: after a hyphen or slash of its own, else with a
        soft hyphen. The text read back is the same."""
        out: list[Chunk] = []
        joined: set[int] = set()
        for number, chunk in enumerate(par.chunks):
            parts = [chunk] if par.ends[number] - par.starts[number] <= limit + EPS else self._broken(chunk, limit)
            joined.update(range(len(out) + 1, len(out) + len(parts)))
            out += parts
        return self._measured(out, frozenset(joined))

    def _broken(self, chunk: Chunk, limit: float) -> list[Chunk]:
        """Parts of a chunk that each fit the limit: cut after its own hyphens and slashes, and where that is not enough
        between letters, with a soft hyphen."""
        parts: list[list[tuple[int, str]]] = [[]]
        for face, word in chunk:
            pieces = re.split(r"(?<=[-/\u2011])(?=[^\W\d_])", word)
            for number, piece in enumerate(pieces):
                if number:
                    parts.append([])
                parts[-1].append((face, piece))
        out: list[Chunk] = []
        for part in parts:
            wide = sum(self.width(face, piece) for face, piece in part)
            out += [tuple(part)] if wide <= limit + EPS else self._between_letters(tuple(part), limit)
        return out

    def _between_letters(self, chunk: Chunk, limit: float) -> list[Chunk]:
        parts: list[Chunk] = []
        line: list[tuple[int, str]] = []
        used = 0.0
        for face, word in chunk:
            mark, piece = self.width(face, MARK), ""
            for letter in word:
                wide = self.width(face, letter)
                if used + wide + mark > limit and (piece or line):
                    parts.append((*line, (face, piece + MARK)))
                    line, piece, used = [], "", 0.0
                piece += letter
                used += wide
            if piece:
                line.append((face, piece))
        if line:
            parts.append(tuple(line))
        return parts


class Line(Struct):
    """One line as placed, in points. x, y: left end and baseline. top, bottom: edges of its box."""

    x: float
    y: float
    size: float
    segments: tuple[Segment, ...]
    width: float


class Drawing(Struct):
    """What a label draws, origin at its lower left corner, in points. rules: x, y, width, height of a black box.
    number: right end, baseline and size of the running number, when there is a place for it."""

    lines: list[Line] = field(default_factory=list)
    rules: list[tuple[float, float, float, float]] = field(default_factory=list)
    number: tuple[float, float, float] | None = None


class Measure(Struct, frozen=True):
    """What every item needs to know. leading: line height over size, and the least line height in points (least_lead)."""

    setter: Setter
    leading: float
    least_lead: float = 0.0

    def line(self, size: float) -> float:
        return max(size * self.leading, self.least_lead)

    def baseline(self, size: float) -> float:
        """From the top of a line to its baseline."""
        face = self.setter.family.regular
        return (self.line(size) - (face.ascent - face.descent) * size) / 2 + face.ascent * size


class Text(Struct, frozen=True):
    """A paragraph. ratio: of the column's size. least: never below so many points. gap: before it, as a share of the
    column's size; space: before and after it, in points. soft: a word may be broken when it is wider than the column."""

    par: Paragraph
    ratio: float = 1.0
    least: float = 0.0
    gap: float = 0.0
    before: float = 0.0
    right: bool = False
    soft: bool = False
    underline: float = 0.0

    def size(self, size: float) -> float:
        return max(size * self.ratio, self.least)

    def run(self, measure: Measure, size: float, width: float, x: float, y: float, out: Drawing | None) -> float | None:
        own = max(size * self.ratio, self.least)
        par, limit = self.par, width / own
        found = par.breaks(limit)
        if found is None:
            if not self.soft:
                return None
            par = measure.setter.softened(par, limit)
            found = par.breaks(limit)
            if found is None:
                return None
        lead = measure.line(own)
        if out is not None:
            base, first = y - measure.baseline(own), 0
            for after in found:
                long = (par.ends[after - 1] - par.starts[first]) * own
                left = x + width - long if self.right else x
                line = Line(left, base, own, par.segments(first, after), long)
                out.lines.append(line)
                if self.underline:
                    _underline(measure.setter, line, self.underline, out)
                base -= lead
                first = after
        return y - lead * len(found)


def _underline(setter: Setter, line: Line, thick: float, out: Drawing) -> None:
    """A fine line under each stretch of bold words."""
    at = line.x
    for face, words in line.segments:
        wide = setter.family.faces[face].width(" ".join(words)) * line.size
        if face == BOLD:
            out.rules.append((at, line.y - 0.16 * line.size, wide, thick))
        at += wide


class Pair(Struct, frozen=True):
    """Two texts on one line, left and right, when both fit with a gap between them; else the right one under the left.
    number: a place of this width (share of the size) at the right end for the running number."""

    left: Text
    right: Text
    gap: float = 0.0
    before: float = 0.0

    def run(self, measure: Measure, size: float, width: float, x: float, y: float, out: Drawing | None) -> float | None:
        big, small = self.left.size(size), self.right.size(size)
        long, short = self.left.par.length * big, self.right.par.length * small
        if long + short + 1.2 * size > width:
            under = self.left.run(measure, size, width, x, y, out)
            if under is None:
                return None
            return self.right.run(measure, size, width, x, under - self.right.gap * size, out)
        lead = max(measure.line(big), measure.line(small))
        if out is not None:
            base = y - max(measure.baseline(big), measure.baseline(small))
            for text, own, left, wide in ((self.left, big, x, long), (self.right, small, x + width - short, short)):
                if text.par.chunks:
                    out.lines.append(Line(left, base, own, text.par.segments(0, len(text.par.chunks)), wide))
        return y - lead


class Numbered(Struct, frozen=True):
    """A text with a place for the running number at the right end of its last line. wide: width of the widest number over
    the size."""

    text: Text
    wide: float
    gap: float = 0.0
    before: float = 0.0

    def run(self, measure: Measure, size: float, width: float, x: float, y: float, out: Drawing | None) -> float | None:
        own = self.text.size(size)
        room = width - (self.wide + 1.0) * own
        if room < self.text.par.widest * own:
            return None
        under = self.text.run(measure, size, room, x, y, out)
        if out is not None and under is not None:
            out.number = (x + width, under + measure.line(own) - measure.baseline(own), own)
        return under


class Rule(Struct, frozen=True):
    """A line across the column, thick points; gap: before and after it, as a share of the column's size."""

    thick: float
    gap: float = 0.3
    before: float = 0.0

    def run(self, measure: Measure, size: float, width: float, x: float, y: float, out: Drawing | None) -> float | None:
        if out is not None:
            out.rules.append((x, y - self.thick, width, self.thick))
        return y - self.thick - self.gap * size


class Space(Struct, frozen=True):
    """Room left free, points high."""

    points: float
    gap: float = 0.0
    before: float = 0.0

    def run(self, measure: Measure, size: float, width: float, x: float, y: float, out: Drawing | None) -> float | None:
        return y - self.points


def run_column(items: Sequence, measure: Measure, size: float, width: float, x: float, y: float,
               out: Drawing | None, floor: float | None = None) -> float | None:  # fmt: skip
    """Sets items from the top y downwards; the y under the last, None when one is too wide or floor is passed."""
    first = True
    for item in items:
        if not first:
            y -= item.gap * size + item.before
        first = False
        y = item.run(measure, size, width, x, y, out)
        if y is None or (floor is not None and y < floor - EPS):
            return None
    return y


def largest(sizes: Sequence[float], fits: Callable[[float], bool]) -> float | None:
    """The largest of ascending sizes at which a layout fits; None when it does not fit at the first."""
    if fits(sizes[-1]):
        return sizes[-1]
    if not fits(sizes[0]):
        return None
    low, high = 0, len(sizes) - 1
    while high - low > 1:
        middle = (low + high) // 2
        if fits(sizes[middle]):
            low = middle
        else:
            high = middle
    return sizes[low]


def ladder(least: float, most: float, step: float) -> tuple[float, ...]:
    """Sizes from the law's floor, rounded up to a hundredth of a point, to comfort."""
    first = -(-round(least * 1e4) // 100) / 100
    sizes = [first]
    while sizes[-1] + step < most - EPS:
        sizes.append(round(sizes[-1] + step, 2))
    return (*sizes, most) if sizes[-1] < most else tuple(sizes)
