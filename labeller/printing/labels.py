"""Labels for packs as a PDF: laid out once each, placed on their stock, equal labels as one form placed many times.

The labels carry what the declaration says and nothing else; what doesn't fit lawfully is not printed but told.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from msgspec import Struct
from msgspec.structs import replace

from labeller.printing.fitting import Setter
from labeller.printing.fonts import PT_PER_MM, FontFault, family
from labeller.printing.label_layout import BACK, FRONT, LIST, TABLE, WHOLE, Content, Laid, Layouter, content, floors, strings
from labeller.printing.pen import Pen
from labeller.printing.placing import Ready, taken, write_labels
from labeller.printing.qr import MODULES_MM, QUIET, bars, free_place, side
from labeller.printing.stock import font_finding, inner_areas, refused
from labeller.terms.allergens import CONTAINS, TO_CONFIRM
from labeller.terms.findings import NOWHERE, Finding, Place, finding
from labeller.terms.label_looks import LabelLooks
from labeller.terms.record import Declaration
from labeller.terms.stock import CONTINUOUS, SHEET, Stock

BEGIN_ALIKE = 8  # letters; two names that share so many, or the whole of the shorter, are taken for each other at a glance
CODE_KEEPS = 0.9  # share of the type size that a label must keep for a QR code to come beside its text; never below the law's
HOUSE_RULE = "our own choice"
SMALL_FACE_CM2 = 79.9  # under 80 cm2: Art. 13(3) of Regulation (EU) No 1169/2011
SMALL_PACK_G = 60.0  # a pack that weighs more is hardly so small; our own figure
SMALL_BEARING_CM2 = 258.0  # 40 square inches: 21 CFR 101.9(j)(13)(ii)


class LabelJob(Struct, frozen=True):
    """Labels of one pack in a run.

    copies: how many packs. lot: words to print where they name another lot than the declaration's own. numbered: "17/240"
    on each. face_cm2: area of the pack's largest side, which decides the least type size; None: not stated, the strictest
    holds. bearing_cm2: all of the pack's surface that can bear labels (21 CFR 101.9(j)(13): small packs); None: six times
    the largest side. split: name, date and quantity on one label, the list and the table on a second (and third).
    code: address of its record, as a QR code where there is room.
    """

    declaration: Declaration
    copies: int = 1
    lot: str = ""
    numbered: bool = False
    face_cm2: float | None = None
    split: bool = False
    bearing_cm2: float | None = None
    place: Place = NOWHERE
    code: str = ""

    @property
    def name(self) -> str:
        return self.declaration.title or self.declaration.dish

    @property
    def lot_words(self) -> str:
        """The declaration's own words for the lot ("Lot 251124-A") unless the job names another lot."""
        own = self.declaration.lot
        return own if not self.lot or self.lot in own else self.lot

    @property
    def mark(self) -> str:
        """The short mark that its labels bear."""
        return short_mark([self.declaration.law, *strings(self.declaration, self.lot_words, "")])

    @property
    def bearing(self) -> float | None:
        if self.bearing_cm2 is not None or self.face_cm2 is None:
            return self.bearing_cm2
        return 6 * self.face_cm2  # no box has more than six sides as large as its largest


class Labels(NamedTuple):
    """A run: the PDF (b"" when nothing could be printed), what is wrong or worth knowing, the jobs that are on it."""

    pdf: bytes
    findings: tuple[Finding, ...]
    printed: tuple[LabelJob, ...] = ()


def labels_pdf(jobs: Iterable[LabelJob], stock: Stock, looks: LabelLooks, **more) -> tuple[bytes, tuple[Finding, ...]]:
    """The labels of a run as a PDF, and what is wrong or worth knowing: :func:`label_run` with the same arguments."""
    return label_run(jobs, stock, looks, **more)[:2]


def label_run(jobs: Iterable[LabelJob], stock: Stock, looks: LabelLooks, *, start: int = 1,
              offset: tuple[float, float] = (0.0, 0.0), date: str = "", title: str = "Labels", language: str = "en",
              stocks: Sequence[Stock] = (), sheet: int = 0, versions: str = "") -> Labels:  # fmt: skip
    """The labels of a run.

    start: first free position of the first sheet, from 1. offset: mm to the right and down. date: ISO date of the run, kept
    in the file's properties with ``versions``. stocks: other stock to name where a label does not fit. sheet: only this sheet of
    the run, from 1 (of a roll: this label), to print again what was spoiled; 0: all. A job that can't be printed truly and
    lawfully is left out with its finding; when none is left the PDF is empty (b"").
    """
    jobs = list(jobs)
    fault = refused(stock, start)
    if fault:
        return Labels(b"", (fault,))
    try:
        setter = Setter(family(looks.fonts))
    except FontFault as wrong:
        return Labels(b"", (font_finding(str(wrong)),))
    maker = Maker(stock, looks, setter, stocks)
    pen = Pen(setter.family, (stock.page_w * PT_PER_MM, stock.page_h * PT_PER_MM), title=title, language=language,
              subject=" · ".join(part for part in (stock.name, date, versions) if part))  # fmt: skip
    printed: list[LabelJob] = []
    sheets = write_labels(_readied(jobs, maker, printed), stock, pen, setter, looks, start, offset, sheet)
    found = maker.findings + look_alikes(printed)
    if not printed:
        return Labels(b"", tuple(dict.fromkeys(found)) if _says_why(found) else (*dict.fromkeys(found), _nothing(jobs)))
    if sheet > sheets:
        return Labels(b"", tuple(dict.fromkeys([*found, no_such_sheet(sheet, sheets, stock)])))
    return Labels(pen.bytes(), tuple(dict.fromkeys(found)), tuple(printed))


def no_such_sheet(sheet: int, sheets: int, stock: Stock) -> Finding:
    word = "sheet" if stock.kind == SHEET else "label"
    text = f"the run has {sheets} {word}{'s' if sheets != 1 else ''}, there is no {word} {sheet}"
    return finding("label-sheet-outside", NOWHERE, text,
                   f"write --sheet with a number from 1 to {sheets}, and the same --start and --copies as before")  # fmt: skip


def _readied(jobs: Iterable[LabelJob], maker: Maker, printed: list[LabelJob]) -> Iterator[Ready]:
    """Job after job that fits, so that a long run never holds more than one layout; notes them in ``printed``."""
    for job in jobs:
        made = maker.ready(job) if job.copies > 0 else None
        if made is not None:
            printed.append(job)
            yield made


def _with_boxes(laid: Laid, boxes: list[tuple[float, float, float, float]]) -> Laid:
    drawing = replace(laid.drawing, rules=[*laid.drawing.rules, *boxes])
    return replace(laid, drawing=drawing)


def short_mark(texts: Iterable[str]) -> str:
    """Five letters and figures that change with any word of the label: tells two prints apart without reading them."""
    digest = hashlib.sha256("\x1f".join(texts).encode()).digest()
    number, letters = int.from_bytes(digest[:5], "big"), "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"
    return "".join(letters[number >> shift & 31] for shift in (0, 5, 10, 15, 20))


class Maker:
    """Makes labels ready for one stock and gathers what stands against it."""

    def __init__(self, stock: Stock, looks: LabelLooks, setter: Setter, stocks: Sequence[Stock]):
        self.stock, self.looks, self.setter = stock, looks, setter
        self.others = sorted((other for other in stocks if other.adds_up), key=lambda other: (other.area_cm2, other.name))
        self.findings: list[Finding] = []
        self.layouter = self._layouter(stock)
        self._told: set[str] = set()

    def _layouter(self, stock: Stock) -> Layouter:
        return Layouter(self.looks, self.setter, inner_areas(stock, self.looks), stock.kind == CONTINUOUS)

    def ready(self, job: LabelJob) -> Ready | None:
        declaration = job.declaration
        if declaration.stopped:
            self.findings.append(finding("label-no-answer", job.place, f"“{job.name}” has no answer: no label is printed",
                                         "mend what stops it, then print again", job.name))  # fmt: skip
            return None
        missing = self.setter.missing(strings(declaration, job.lot_words, self._mark(job)))
        if missing:
            letters = ", ".join(f"“{letter}” (U+{ord(letter):04X})" for letter in missing)
            self.findings.append(finding("label-glyph-missing", job.place, f"the label font has no {letters} for “{job.name}”",
                                         "write it with letters the font has, or name another font in label.yaml",
                                         job.name))  # fmt: skip
            return None
        labels = self.laid(job, self.layouter, self.stock)
        if labels is None:
            self.findings.append(self._too_large(job))
            return None
        self._notes(job)
        return Ready(labels, job.copies, job.numbered)

    def laid(self, job: LabelJob, layouter: Layouter, stock: Stock) -> tuple[Laid, ...] | None:
        """The labels of one pack; None when one of them does not fit."""
        if not job.split:
            return self._parts(job, (WHOLE,), layouter, stock)
        both = self._parts(job, (FRONT, BACK), layouter, stock)
        if both is None and job.declaration.rows and job.declaration.nutrition_shown:
            return self._parts(job, (FRONT, LIST, TABLE), layouter, stock)
        return both

    def _parts(self, job: LabelJob, parts: tuple[str, ...], layouter: Layouter, stock: Stock) -> tuple[Laid, ...] | None:
        declaration, mark = job.declaration, self._mark(job)
        number = self.looks.words["number"].format(number=job.copies, count=job.copies) if job.numbered else ""
        area = layouter.inner[0]
        out: list[Laid] = []
        coded = False
        for turn, part in enumerate(parts, 1):
            told = mark + ("\u00a0· " + self.looks.words["part"].format(part=turn, parts=len(parts)) if job.split else "")
            texts = content(declaration, self.looks, self.setter, lot=job.lot_words, mark=told, number=number,
                            part=part, face_cm2=job.face_cm2, bearing_cm2=job.bearing, inner=(area[2], area[3]),
                            label_cm2=0.0 if stock.kind == CONTINUOUS else stock.area_cm2)  # fmt: skip
            laid = layouter.lay(texts)
            if laid is None:
                return None
            out.append(laid)
            if job.code and not coded:
                out[-1], coded = self._coded(job.code, laid, texts, layouter, stock)
        return tuple(out)

    @staticmethod
    def _coded(code: str, laid: Laid, texts: Content, layouter: Layouter, stock: Stock) -> tuple[Laid, bool]:
        """The label with its QR code, where there is room: beside the text as it stands, else beside text that gets hardly
        smaller. A round label and a continuous roll have no corner to give."""
        if stock.shape == "round" or layouter.grows:
            return laid, False
        x, y, width, height = layouter.inner[0]
        for module in MODULES_MM:
            wide = side(code, module)
            quiet = min(QUIET * module * PT_PER_MM, x, y)  # the light border may lie on the padding
            area = (x - quiet, y - quiet, x + width + quiet, y + height)
            spot = free_place(taken(laid.drawing), area, wide)
            if spot is not None:
                return _with_boxes(laid, bars(code, *spot, wide)), True
        room = width - wide + quiet
        if wide > height or room < wide:
            return laid, False
        narrow = Layouter(layouter.looks, layouter.setter, ((x, y, room, height),), False).lay(texts)
        if narrow is None or narrow.size < CODE_KEEPS * laid.size:
            return laid, False
        return _with_boxes(narrow, bars(code, x + room, y - quiet, wide)), True

    def _mark(self, job: LabelJob) -> str:
        d = job.declaration
        words = self.looks.words["pack mark"].format(kitchen=d.kitchen_version[:8], data=d.data_version[:8], law=d.law.upper(),
                                                law_date=d.law_date, mark=job.mark)  # fmt: skip
        return "\u00a0· ".join(part.replace(" ", "\u00a0") for part in words.split(" · ") if part.strip())

    def _too_large(self, job: LabelJob) -> Finding:
        least = floors(job.declaration, self.looks, self.setter, job.face_cm2, self.stock.area_cm2)
        rule = least.rules[0]
        text = f"“{job.name}” does not fit {self.stock.name}: its text needs {rule.mm:g} mm for a small x ({rule.source})."
        larger = self._smallest(job)
        mend = f"print it on “{larger.name}” (--stock)" if larger else self._in_parts(job)
        return finding("label-does-not-fit", job.place, text, "; or ".join([mend, *self._if_small(job)]), job.name)

    def _in_parts(self, job: LabelJob) -> str:
        parts = None if job.split else self.laid(replace(job, split=True), self.layouter, self.stock)
        if parts:
            return f"put {len(parts)} labels on each pack (--split), the list on the second"
        return "take a larger stock, or give list and name labels of their own"

    def _if_small(self, job: LabelJob) -> list[str]:
        """What may be printed when the pack is small and the kitchen says so; for a pack that may be, by its weight."""
        us, grams = job.declaration.law == "us", job.declaration.record.net_weight_g or job.declaration.record.weight_g.mid
        if grams > SMALL_PACK_G or (job.bearing if us else job.face_cm2) is not None:
            return []
        small = replace(job, bearing_cm2=SMALL_BEARING_CM2) if us else replace(job, face_cm2=SMALL_FACE_CM2)
        splits = [split for split in dict.fromkeys((job.split, True))
                  if self.laid(replace(small, split=split), self.layouter, self.stock)]  # fmt: skip
        if not splits:
            return []
        so = ", on labels of their own for name and list (--split)" if splits[0] and not job.split else ""
        if not us:
            return [f"if its largest side is under 80 cm2, state that (--face), and it fits{so}"]
        return [f"if its largest side is at most 43 cm2, state that (--face), and it fits{so}"]

    def _smallest(self, job: LabelJob) -> Stock | None:
        """The smallest other stock of this page on which the job fits, else of any page."""
        same = [other for other in self.others if other.kind == self.stock.kind and other.page_w == self.stock.page_w]
        rest = [other for other in self.others if other not in same and other.kind == SHEET]
        for group in (same, rest):
            for other in group:
                if other.area_cm2 > self.stock.area_cm2 and self.laid(job, self._layouter(other), other):
                    return other
        return None

    def _notes(self, job: LabelJob) -> None:
        """What the operator is told once a run before printing."""
        d = job.declaration
        least = floors(d, self.looks, self.setter, job.face_cm2, self.stock.area_cm2)
        for rule in least.rules:
            asked = rule.what not in ("net quantity", "net quantity figures") or d.net_quantity
            if not rule.checked and asked and rule.law == d.law and rule.source != HOUSE_RULE and rule.source not in self._told:
                self._told.add(rule.source)
                self.findings.append(finding(
                    "label-type-rule-from-memory", NOWHERE,
                    f"the height of the {rule.what} ({rule.mm:g} mm, {rule.source}) was not checked against its text",
                    "check that rule before the packs are sold"))  # fmt: skip
        if d.law == "ca" and d.rows and d.nutrition_shown and "ca" not in self._told:
            self._told.add("ca")
            self.findings.append(finding(
                "label-panel-from-memory", NOWHERE,
                "the Canadian nutrition facts table is drawn in the bilingual standard form; its type sizes are from memory",
                "compare it with the Directory of Nutrition Facts Table Formats before the packs are sold"))  # fmt: skip


def _says_why(found: Iterable[Finding]) -> bool:
    """Whether a finding of a pack says why it has no label: nothing more is then to be told of the run."""
    return any(each.code in ("label-does-not-fit", "label-no-answer", "label-glyph-missing") for each in found)


def _nothing(jobs: Sequence[LabelJob]) -> Finding:
    text = "no label of this run can be printed" if jobs else "the run holds no labels"
    return finding("label-nothing-to-print", NOWHERE, text, "mend the findings above, or check batch and count")


def look_alikes(jobs: Sequence[LabelJob]) -> list[Finding]:
    """Pairs of a run whose names begin alike and whose allergens differ."""
    known: list[tuple[str, frozenset[str], str]] = []
    out = []
    seen: set[str] = set()
    for job in jobs:
        if job.name in seen:
            continue
        seen.add(job.name)
        known.append((" ".join(job.name.casefold().split()), _allergens(job.declaration), job.name))
    known.sort()
    for (one, has, first), (two, also, second) in zip(known, known[1:], strict=False):
        alike = _shared(one, two) >= min(BEGIN_ALIKE, len(one), len(two))
        if alike and has != also:
            apart = ", ".join(sorted(has ^ also)).replace("_", " ")
            out.append(finding("label-look-alike", NOWHERE,
                               f"“{first}” and “{second}” begin alike and differ in allergens ({apart})",
                               "print them in two runs and box them apart, or begin their names differently"))  # fmt: skip
    return out


def _shared(one: str, two: str) -> int:
    count = 0
    for left, right in zip(one, two, strict=False):
        if left != right:
            break
        count += 1
    return count


def _allergens(declaration: Declaration) -> frozenset[str]:
    return frozenset(key for key, (state, *_) in declaration.states.items() if state in (CONTAINS, TO_CONFIRM))
