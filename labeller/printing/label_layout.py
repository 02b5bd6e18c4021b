"""Lays out one label: which blocks stand where, and the largest type at which they all fit.

A frame is a top band, columns and a foot band. The frames that suit the label are tried; the one with the largest type
wins, the simpler one on a tie. Words are the declaration's own; nothing is left out to make room.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from msgspec import Struct

from labeller.printing.fitting import (
    Drawing,
    Measure,
    Numbered,
    Pair,
    Paragraph,
    Rule,
    Setter,
    Space,
    Text,
    ladder,
    largest,
    run_column,
)
from labeller.printing.fonts import BOLD, PT_PER_MM, REGULAR
from labeller.printing.nutrition_table import Table, linear, table
from labeller.printing.us_panel import Panel, forms
from labeller.terms.label_looks import LabelLooks, TypeFloor
from labeller.terms.record import Declaration

# Parts of a pack's text: all on one label · name, date and quantity · list and table · list alone · table alone.
WHOLE, FRONT, BACK, LIST, TABLE = "whole", "front", "back", "list", "table"
HAVE_A_PLACE = frozenset({"name", "net quantity", "durability", "storage", "business", "lot"})  # particulars set elsewhere
UNKNOWN_FACE = 1e6  # a pack whose size is not stated is taken for a large one: the strictest type size
LONG_LINE_MM = 130.0  # on a wider label text stands in two columns first: the eye loses a longer line
HOUSE = "none"  # law key under which the house's own least sizes stand


class Floors(Struct, frozen=True):
    """Least sizes of one label in points. text: of all that a law asks for; mark: of our own small line; net: of the net
    quantity; lead: least distance of lines. rules: the floors used."""

    text: float
    mark: float
    net: float
    lead: float
    rules: tuple[TypeFloor, ...]


class Content(Struct, frozen=True):
    """The texts of one label, measured. Empty paragraphs are left out of every frame. follows: a second or third label of a
    pack, which carries its name small."""

    law: str
    follows: bool
    name: Paragraph
    net: Paragraph
    body: tuple[Paragraph, ...]
    date: Paragraph
    lot: Paragraph
    notes: tuple[Paragraph, ...]
    business: tuple[Paragraph, ...]
    mark: Paragraph
    number_wide: float
    table: Table | None
    linear: tuple[Paragraph, ...]
    footnotes: tuple[Paragraph, ...]
    panels: tuple[Panel, ...]
    floors: Floors


class Column(Struct, frozen=True):
    x: float
    width: float
    items: tuple
    foot: tuple = ()


class Frame(Struct, frozen=True):
    top: tuple
    columns: tuple[Column, ...]
    foot: tuple


class Laid(Struct, frozen=True):
    """A label that fits: its drawing, its height in points (a continuous roll is cut to it), its size of text."""

    drawing: Drawing
    height: float
    size: float
    frame: str


class NameText(Struct, frozen=True):
    """The name of the food: large, somewhat smaller when that keeps it on one line or on two. net: the net quantity, at the
    right of a name that leaves room for it on its line, else under it."""

    par: Paragraph
    large: float
    small: float
    net: Text | None = None
    gap: float = 0.0
    before: float = 0.0

    def run(self, measure: Measure, size: float, width: float, x: float, y: float, out: Drawing | None) -> float | None:
        if self.net is not None:
            long = self.par.length * self.large * size + self.net.par.length * self.net.size(size)
            if long + 2 * size <= width:
                return Pair(Text(self.par, self.large), self.net).run(measure, size, width, x, y, out)
            under = NameText(self.par, self.large, self.small).run(measure, size, width, x, y, out)
            return under if under is None else self.net.run(measure, size, width, x, under - 0.15 * size, out)
        ratio = min(self.large, width / (max(self.par.length, 0.1) * size))
        if ratio < self.small:  # no room on one line
            found = self.par.breaks(width / (size * self.large))
            ratio = self.large if found is not None and len(found) <= 2 else self.small
        return Text(self.par, ratio, soft=True).run(measure, size, width, x, y, out)


def floors(declaration: Declaration, looks: LabelLooks, setter: Setter, face_cm2: float | None, label_cm2: float) -> Floors:
    """Least type sizes in points for a declaration on a pack with this largest face (None: not stated)."""
    law, family = declaration.law, setter.family
    face = max(face_cm2, label_cm2) if face_cm2 is not None else UNKNOWN_FACE
    panel = face_cm2 if face_cm2 is not None else label_cm2
    grams = declaration.net_volume_ml or declaration.record.net_weight_g or 0.5  # the same steps hold for g and ml
    text = looks.floor("text", law, face) or looks.floor("text", HOUSE, face)
    house = looks.floor("text", HOUSE, face)
    figures = looks.floor("net quantity figures", law, face, grams, declaration.sold)
    letters = looks.floor("net quantity", law, panel, grams, declaration.sold)
    lead = looks.floor("leading", law, face)
    net = max(family.regular.points_for_figures(figures.mm) if figures else 0.0,
              family.regular.points_for_x_height(letters.mm) if letters else 0.0)  # fmt: skip
    least = text.mm * PT_PER_MM / family.x_ratio
    used = tuple(floor for floor in (text, figures, letters, lead) if floor is not None)
    return Floors(least, min(least, house.mm * PT_PER_MM / family.x_ratio), net if declaration.net_quantity else 0.0,
                  lead.mm * PT_PER_MM if lead else 0.0, used)  # fmt: skip


def strings(declaration: Declaration, lot: str, mark: str) -> list[str]:
    """Every text that a label prints, for a look at its letters."""
    d = declaration
    shown = d.rows if d.nutrition_shown else ()
    rows = [text for row in shown for text in (row.name, row.hundred, row.per_portion, row.share, row.per_pack)]
    return [d.title or d.dish, d.net_quantity, d.statement_title, *(run.text for run in d.statement), d.contains,
            d.may_contain, d.durability, d.storage, lot, *further(d), d.business, mark, d.table_heading, d.portion_words,
            d.pack_words, d.hundred_words, *d.footnotes, *d.percentage_notes, *rows, *_second(d)]  # fmt: skip


def _second(declaration: Declaration) -> list[str]:
    """Texts of the other language."""
    two = declaration.second
    if two is None:
        return []
    return [two.table_heading, two.portion_words, *(name for _, name in two.names), *two.footnotes, two.contains, two.may_contain]


def further(declaration: Declaration) -> list[str]:
    """Particulars without a place of their own, such as instructions for use."""
    return [text for key, text in declaration.particulars if key not in HAVE_A_PLACE]


def _list(declaration: Declaration, setter: Setter) -> Paragraph:
    """The list of ingredients with its title; empty where the way of sale asks for none and a Contains line stands instead."""
    d = declaration
    if not d.statement or (d.contains and not d.list_required):
        return setter.text("")
    # Beside set-off allergens the title stays plain, so that bold means allergen and nothing else.
    plain = any(run.emphasis for run in d.statement) or d.law in ("eu", "uk")
    title = [(f"{d.statement_title}: ", REGULAR if plain else BOLD)] if d.statement_title else []
    return setter.paragraph([*title, *((run.text, BOLD if run.emphasis else REGULAR) for run in d.statement)])


def content(declaration: Declaration, looks: LabelLooks, setter: Setter, *, lot: str, mark: str, number: str, part: str,
            face_cm2: float | None, bearing_cm2: float | None, inner: tuple[float, float],
            label_cm2: float) -> Content:  # fmt: skip
    """The texts of a label. part: which of them (WHOLE …). face_cm2: the pack's largest side; bearing_cm2: all of its
    surface that can bear labels; None: not stated. inner: width and height at hand, in points."""
    d, front, listed = declaration, part in (WHOLE, FRONT), part in (WHOLE, BACK, LIST)
    text, none = setter.text, setter.text("")
    us, boxed = d.law == "us", d.law in ("us", "ca")
    hundred = looks.words["per 100 g"]
    hair = looks.sizes["rule hair"] * PT_PER_MM
    drawn = part in (WHOLE, BACK, TABLE) and d.rows and d.nutrition_shown
    notes = [*d.footnotes, *(d.percentage_notes if any(row.share for row in d.rows) else ())]
    panels = ()
    if us and drawn:
        gap = looks.sizes["column gap"] * PT_PER_MM
        halves = (inner[0], (inner[0] - gap) * 0.5)
        panels = tuple(forms(d, looks, setter, inner[1] / PT_PER_MM, bearing_cm2, halves))
    elif boxed and drawn:
        from labeller.printing import ca_panel

        panels = tuple(ca_panel.forms(d, looks, setter))
    body = [_list(d, setter)] if listed else []
    body += [text(d.contains, BOLD), text(d.may_contain)] if listed else []
    body += [text(d.second.contains, BOLD), text(d.second.may_contain)] if listed and d.second else []
    return Content(
        law=d.law,
        follows=not front,
        name=text(d.title or d.dish, BOLD),
        net=text(d.net_quantity) if front else none,
        body=tuple(par for par in body if par.chunks),
        date=text(d.durability, BOLD) if front else none,
        lot=text(lot) if front else none,
        notes=_lines(setter, [d.storage, *further(d)]) if front else (),
        business=_lines(setter, [d.business]) if front else (),
        mark=text(mark),
        number_wide=text(number).length,
        table=table(d, hundred, hair, setter) if drawn and not boxed else None,
        linear=linear(d, hundred, setter) if drawn and not boxed else (),
        footnotes=_lines(setter, notes) if drawn and not boxed else (),
        panels=panels,
        floors=floors(d, looks, setter, face_cm2, label_cm2),
    )


def _lines(setter: Setter, texts: Sequence[str]) -> tuple[Paragraph, ...]:
    pars = (setter.text(line) for text in texts for line in text.split("\n"))
    return tuple(par for par in pars if par.chunks)


class Layouter:
    """Tries frames for labels of one stock. inner: rectangles at hand (x, y, width, height in points), best first; grows:
    the label is cut to its text (continuous roll)."""

    def __init__(self, looks: LabelLooks, setter: Setter, inner: Sequence[tuple[float, float, float, float]], grows: bool):
        self.looks, self.setter, self.inner, self.grows = looks, setter, tuple(inner), grows
        sizes = looks.sizes
        self.gap = sizes["block gap"]
        self.between = sizes["column gap"] * PT_PER_MM
        self.thin = sizes["rule thin"] * PT_PER_MM
        self.underline = sizes["rule hair"] * PT_PER_MM if sizes["underline"] else 0.0

    def lay(self, content: Content) -> Laid | None:
        """The best layout; None when the texts fit in none of the frames at the least lawful size."""
        measure = Measure(self.setter, self.looks.sizes["leading"], content.floors.lead)
        comfort = self.looks.sizes["comfort"] * (1.0 if content.body else self.looks.sizes["name label"])
        steps = ladder(content.floors.text, comfort, self.looks.sizes["step"])
        return self.fit(self._tiers(content), content, measure, steps)

    def fit(self, tiers: Sequence[Sequence[tuple[str, Callable]]], content: object, measure: Measure,
            steps: Sequence[float]) -> Laid | None:  # fmt: skip
        """The first tier of frames of which one fits at one of the ascending sizes; of that tier the frame with the largest."""
        for tier in tiers:
            best: tuple[float, str, Callable, tuple] | None = None
            for name, build in tier:
                for area in self.inner:
                    size = largest(steps, lambda s, b=build, a=area: self._fits(b, content, measure, s, a))
                    if size is not None and (best is None or size > best[0]):
                        best = (size, name, build, area)
                    if size == steps[-1]:
                        break
                if best is not None and best[0] == steps[-1]:
                    break
            if best is not None:
                return self._placed(best, content, measure)
        return None

    def _placed(self, best: tuple[float, str, Callable, tuple], content: object, measure: Measure) -> Laid:
        size, name, build, (x, y, width, height) = best
        frame = build(content, size, width)
        if self.grows:
            height = self._height(frame, measure, size, width)
        drawing = Drawing()
        self._draw(frame, measure, size, x, y, width, height, drawing)
        return Laid(drawing, height + 2 * y, size, name)

    def _fits(self, build: Callable, content: object, measure: Measure, size: float, area: tuple) -> bool:
        frame = build(content, size, area[2])
        if frame is None:
            return False
        tall = self._height(frame, measure, size, area[2])
        return tall is not None and tall <= area[3] + 1e-6

    def _height(self, frame: Frame, measure: Measure, size: float, width: float) -> float | None:
        """Height that a frame needs; None when something is wider than its place."""
        total, gap = 0.0, 2 * self.gap * size
        tallest = 0.0
        for column in frame.columns:
            parts = [run_column(part, measure, size, column.width, 0.0, 0.0, None) for part in (column.items, column.foot)]
            if None in parts:
                return None
            between = gap if column.items and column.foot else 0.0
            tallest = max(tallest, -sum(parts) + between)
        for band in (frame.top, frame.foot):
            under = run_column(band, measure, size, width, 0.0, 0.0, None)
            if under is None:
                return None
            total -= under
        gaps = (bool(frame.top) + bool(frame.foot)) if tallest else 0
        return total + tallest + gaps * self.gap * size

    def _draw(self, frame: Frame, measure: Measure, size: float, x: float, y: float, width: float, height: float,
              out: Drawing) -> None:  # fmt: skip
        top = run_column(frame.top, measure, size, width, x, y + height, out)
        if frame.top:
            top -= self.gap * size
        foot = -run_column(frame.foot, measure, size, width, x, 0.0, None)
        low = y + foot + (self.gap * size if frame.foot else 0.0)
        for column in frame.columns:
            run_column(column.items, measure, size, column.width, x + column.x, top, out)
            tall = -run_column(column.foot, measure, size, column.width, 0.0, 0.0, None)
            run_column(column.foot, measure, size, column.width, x + column.x, low + tall, out)
        run_column(frame.foot, measure, size, width, x, y + foot, out)

    # The blocks.

    def _name(self, c: Content) -> NameText:
        """Name and net quantity, in one field of vision (Art. 13(5) of Regulation (EU) No 1169/2011)."""
        net = None if c.law == "us" or not c.net.chunks else self._net(c)
        return NameText(c.name, self.looks.sizes["name"], self.looks.sizes["name least"], net)

    def _net(self, c: Content) -> Text:
        return Text(c.net, self.looks.sizes["net quantity"], c.floors.net)

    def _head(self, c: Content) -> tuple:
        if c.follows:
            mark = Text(c.mark, 0.0, c.floors.mark, gap=0.1)
            return (Pair(Text(c.name, 1.0, soft=True), mark), Rule(self.thin, 0.1, before=1.0))
        return (self._name(c), *([Rule(self.thin, 0.1, before=1.0)] if c.body else []))

    def _body(self, c: Content) -> list:
        return [Text(par, gap=self.gap, underline=self.underline) for par in c.body]

    def _dates(self, c: Content) -> list:
        date = Text(c.date, self.looks.sizes["date"])
        if c.date.chunks and c.lot.chunks:
            dates = [Pair(date, Text(c.lot, gap=0.1))]
        else:
            dates = [Text(par, ratio) for par, ratio in ((c.date, date.ratio), (c.lot, 1.0)) if par.chunks]
        return dates + [Text(par, gap=0.15) for par in c.notes]

    def _tail(self, c: Content) -> list:
        """Business and our own small line."""
        out = [Text(par, gap=self.gap if not number else 0.0) for number, par in enumerate(c.business)]
        mark = Text(c.mark, 0.0, c.floors.mark, gap=0.15)
        return [*out, Numbered(mark, c.number_wide, gap=0.15) if c.number_wide else mark]

    def _us_net(self, c: Content) -> list:
        """Under US law the net quantity comes last, in the bottom 30 per cent of the panel and clear of other text by its
        own height (21 CFR 101.7(e), (f), from memory)."""
        if c.law != "us" or not c.net.chunks:
            return []
        net = self._net(c)
        return [Space(max(net.least, 9.0) * 0.5), net]

    def _foot(self, c: Content) -> tuple:
        if c.follows:
            return ()
        return (Rule(self.thin, 0.3), *self._dates(c), *self._tail(c), *self._us_net(c))

    def _run_in(self, c: Content) -> tuple:
        """Date, lot, storage and business in one paragraph, for a label with no room for lines of their own."""
        parts = [par for par in (c.date, c.lot, *c.notes, *c.business) if par.chunks]
        mark = Text(c.mark, 0.0, c.floors.mark, gap=0.1)
        items = [Text(self.setter.joined(parts, "·"))] if parts else []
        return (*items, Numbered(mark, c.number_wide, gap=0.1) if c.number_wide else mark, *self._us_net(c))

    # The frames. Each builds itself for a size and a width.

    def _tiers(self, c: Content) -> list[list[tuple[str, Callable]]]:
        """Frames in tiers: one that needs the law's leave (a table in lines) is tried only when no other fits."""
        if c.follows and not c.panels:
            lined = [[("stack, in lines", self._lined)]] if c.table else []
            whole = [("table beside", self._beside), ("table below", self._below)] if c.table else [("stack", self._stack)]
            return [whole, *lined]
        if c.panels:
            return [[(f"{panel.form}, {name}", lambda c, s, w, p=panel, b=build: b(c, s, w, p))
                     for name, build in (("beside", self._panel_beside), ("below", self._panel_below),
                                         ("beside, run in", self._panel_beside_tight), ("below, run in", self._panel_tight))]
                    for panel in c.panels]  # fmt: skip
        if c.table is None:
            plain = [("stack", self._stack), ("columns", self._columns)]
            if self.inner[0][2] > LONG_LINE_MM * PT_PER_MM:
                plain.reverse()
            return [plain, [("run in", self._tight)]]
        with_table = [("table beside", self._beside), ("table below", self._below), ("three columns", self._three)]
        tight = [("table beside, run in", self._tight_beside), ("table below, run in", self._tight_below)]
        in_lines = [("stack, in lines", self._lined), ("columns, in lines", self._columns_lined)]
        return [with_table, tight, in_lines, [("run in, in lines", self._tight_lined)]]

    def _stack(self, c: Content, size: float, width: float, extra: tuple = ()) -> Frame:
        return Frame(self._head(c), (Column(0.0, width, (*self._body(c), *extra)),), self._foot(c))

    def _tight(self, c: Content, size: float, width: float, extra: tuple = ()) -> Frame:
        return Frame((self._name(c),), (Column(0.0, width, (*self._body(c), *extra)),), self._run_in(c))

    def _identity(self, c: Content, width: float) -> Column:
        dates = self._dates(c)
        return Column(0.0, width, (self._name(c),), (*dates, *self._tail(c), *self._us_net(c)))

    def _columns(self, c: Content, size: float, width: float, extra: tuple = ()) -> Frame | None:
        sizes = self.looks.sizes
        if width < sizes["two columns from"] * 20 * PT_PER_MM or not (c.body or extra):
            return None
        left = width * sizes["identity column"]
        rest = width - left - self.between
        return Frame((), (self._identity(c, left), Column(left + self.between, rest, (*self._body(c), *extra))), ())

    def _table_items(self, c: Content) -> tuple:
        return (c.table, *(Text(par, 0.0, c.floors.text, gap=0.2) for par in c.footnotes))

    def _line_items(self, c: Content) -> tuple:
        return (*(Text(par, gap=self.gap) for par in c.linear), *(Text(par, gap=0.2) for par in c.footnotes))

    def _beside(self, c: Content, size: float, width: float) -> Frame | None:
        table_width = min(c.table.natural() + 1.5, 24.0) * size
        rest = width - table_width - self.between
        if rest < 12 * size:
            return None
        body = Column(0.0, rest, tuple(self._body(c)))
        return Frame(self._head(c), (body, Column(rest + self.between, table_width, self._table_items(c))), self._foot(c))

    def _tight_beside(self, c: Content, size: float, width: float) -> Frame | None:
        frame = self._beside(c, size, width)
        return frame and Frame((self._name(c),), frame.columns, self._run_in(c))

    def _tight_below(self, c: Content, size: float, width: float) -> Frame:
        return self._tight(c, size, width, self._table_items(c))

    def _tight_lined(self, c: Content, size: float, width: float) -> Frame:
        return self._tight(c, size, width, self._line_items(c))

    def _below(self, c: Content, size: float, width: float) -> Frame:
        return self._stack(c, size, width, self._table_items(c))

    def _three(self, c: Content, size: float, width: float) -> Frame | None:
        table_width = min(c.table.natural() + 1.0, 24.0) * size
        left = width * 0.28
        rest = width - left - table_width - 2 * self.between
        if rest < 14 * size:
            return None
        middle = Column(left + self.between, rest, tuple(self._body(c)))
        right = Column(width - table_width, table_width, self._table_items(c))
        return Frame((), (self._identity(c, left), middle, right), ())

    def _lined(self, c: Content, size: float, width: float) -> Frame:
        return self._stack(c, size, width, self._line_items(c))

    def _columns_lined(self, c: Content, size: float, width: float) -> Frame | None:
        return self._columns(c, size, width, self._line_items(c))

    def _panel_beside(self, c: Content, size: float, width: float, panel: Panel) -> Frame | None:
        rest = width - panel.width - self.between
        if rest < 11 * size:
            return None
        foot = () if c.follows else (Rule(self.thin, 0.3), *self._dates(c), *self._tail(c))
        text = Column(0.0, rest, (*self._head(c), *self._body(c)), foot)
        return Frame((), (text, Column(rest + self.between, panel.width, (panel,))), tuple(self._us_net(c)))

    def _panel_below(self, c: Content, size: float, width: float, panel: Panel) -> Frame:
        return self._stack(c, size, width, (panel,))

    def _panel_beside_tight(self, c: Content, size: float, width: float, panel: Panel) -> Frame | None:
        frame = self._panel_beside(c, size, width, panel)
        if frame is None or c.follows:
            return None
        text, beside = frame.columns
        net = self._us_net(c)
        one_line = net and c.net.length * net[-1].size(size) <= text.width
        foot = self._run_in(c) if one_line else self._run_in(c)[: -len(net) or None]
        column = Column(0.0, text.width, (self._name(c), *self._body(c)), foot)
        return Frame((), (column, beside), () if one_line else tuple(net))

    def _panel_tight(self, c: Content, size: float, width: float, panel: Panel) -> Frame | None:
        return None if c.follows else self._tight(c, size, width, (panel,))
