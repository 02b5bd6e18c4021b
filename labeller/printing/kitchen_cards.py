"""The allergy ticket, and what sheets in columns are set with: blocks that stay together, in the largest type that fits."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from labeller.printing import sheet
from labeller.printing.guest_words import ENGLISH, GuestWords, guest_words
from labeller.printing.sheet import MM, Bar, Frame, Ink, Item, Page, Row
from labeller.terms.findings import NOWHERE, Finding, finding
from labeller.terms.floor import (
    ASK,
    INSTEAD,
    LEAVE_OFF,
    NO_ANSWER,
    NOT_FOR_THIS_GUEST,
    NOTHING_ASKED,
    NOTHING_ON_RECORD,
    Answer,
    Change,
    Ticket,
    TicketSeat,
    bracketed,
    together,
)
from labeller.terms.looks import Looks
from labeller.terms.stock import Stock

_SCALES = (1.35, 1.25, 1.15, 1.0)  # these sheets hang at a station: the largest type that needs no further page
_GROWING = ("title", "heading", "body", "small")
ROLL_LONGEST = 20  # a ticket may be so many times longer than the longest label of its roll


class Block(NamedTuple):
    """Lines that stay together, set in one or more columns: (offset from the left, rows). rule: weight of the line above it
    (points, 0: none); above: room before it; frame: True for an outline around it. group: what it belongs to ("seat 3"): a
    group stays on one page where it can, and its first block is said again on each further page. held: it stays on the page of
    the block before it."""

    columns: tuple[tuple[float, tuple[Row, ...]], ...]
    rule: float = 0.0
    above: float = 0.0
    frame: bool = False
    group: str = ""
    held: bool = False

    @property
    def height(self) -> float:
        return max((sheet.height(rows) for _, rows in self.columns), default=0.0)


class Desk(NamedTuple):
    """What setting needs: looks, faces, paper, margins. scale: of the type sizes of the style. said: the words of a language,
    None: English.
    edge: margin of a roll, where a page has that of the style. inset: margin of a page that wants another (points). least: size
    that no type goes below (points)."""

    looks: Looks
    faces: sheet.Faces
    size: tuple[float, float]
    scale: float = 1.0
    said: GuestWords | None = None
    edge: float = 0.0
    inset: float = 0.0
    least: float = 0.0

    @property
    def words(self) -> GuestWords:
        return self.said or guest_words(self.looks, ENGLISH)[0]

    @property
    def narrow(self) -> bool:
        """On a roll everything stands in one column."""
        return self.edge > 0

    @property
    def margin(self) -> float:
        return self.edge or self.inset or 1.5 * self.looks.number("margin mm", "sheet") * MM

    @property
    def width(self) -> float:
        return self.size[0] - 2 * self.margin

    @property
    def gap(self) -> float:
        return self.looks.number("gap mm", "block") * MM

    def rule(self, key: str) -> float:
        return self.looks.number("rule mm", key) * MM

    def ink(self, face: str, size: str, grey: str = "text") -> Ink:
        scale = self.scale if size in _GROWING else 1.0
        points = max(self.looks.number("type pt", size) * scale, self.least)
        return Ink(getattr(self.faces, face), points, self.looks.number("grey percent", grey) / 100)

    def set(self, runs: sheet.Runs, share: float = 1.0) -> tuple[Row, ...]:
        return sheet.set_lines(runs, self.width * share - (0 if share == 1 else self.gap), self.looks.number("leading"))


def ticket_pdf(ticket: Ticket, *, page: str = "A4", language: str = "en", looks: Looks, issue: str = "", code: str = "",
               roll: Stock | None = None) -> tuple[bytes, tuple[Finding, ...]]:  # fmt: skip
    """The allergy ticket for the pass: a block for each seat, with room for the initials of who checked it and the time. roll: a
    continuous roll to print it on, cut where it ends, instead of a page."""
    said, silent = guest_words(looks, language)
    faces = sheet.faces(looks)
    long = roll.label_h * MM * ROLL_LONGEST if roll else 0.0
    size = (roll.page_w * MM, long) if roll else sheet.page_size(looks, page)
    desk = Desk(looks, faces, size, said=said, edge=roll.left * MM if roll else 0.0)
    versions = said.versions(ticket.law, ticket.date, ticket.kitchen_version, ticket.data_version)
    runs = [(" ".join(ticket.cautions), desk.ink("regular", "foot")), ("\n", desk.ink("regular", "foot")),
            *issue_runs(desk, issue), (versions, desk.ink("regular", "foot", "quiet"))]  # fmt: skip
    foot = desk.set(runs, 1.0 if roll else 0.85)
    if roll:
        laid, tall = _strip(desk, _ticket_blocks(desk, ticket), foot)
        pages, size = [laid], (desk.size[0], tall)
    else:
        pages, size = largest(desk, lambda each: _ticket_blocks(each, ticket), foot), desk.size
    pages = sheet.with_code(pages, size, code)
    data = sheet.paint(pages, size, title=said.say("ticket"), author=ticket.kitchen, subject=f"{ticket.menu} · {versions}",
                       language=language)  # fmt: skip
    return data, sheet.letters_and_fonts(pages, looks) + silent + _reasons_stay(ticket, said)


def _reasons_stay(ticket: Ticket, said: GuestWords) -> tuple[Finding, ...]:
    """Reasons are told as the records have them: in English, whatever the ticket's language."""
    reasons = any(why for seat in ticket.seats for *_, answer in seat.dishes for *_, why in answer.because)
    if said.language == ENGLISH or not said.known or not reasons:
        return ()
    text = "the reasons behind the names stand as recorded, and what a seat avoids as typed where the language has no word"
    return (finding("sheet-language", NOWHERE, text, "explain them to whoever reads the ticket in another language"),)


def issue_runs(desk: Desk, issue: str) -> list[tuple[str, Ink]]:
    return [(f"{issue} · ", desk.ink("bold", "foot"))] if issue else []


def heading(desk: Desk, small: str, title: str, date: str, kitchen: str) -> Block:
    quiet = desk.ink("regular", "body", "quiet")
    right = desk.set([(f"{kitchen}\n", quiet), (date, desk.ink("bold", "date"))], 0.52)
    shift = desk.width - max((row.width for row in right), default=0.0)
    left = desk.set([(f"{small}\n", quiet), (title, desk.ink("bold", "title"))], (shift - 2 * desk.gap) / desk.width)
    return Block(((0.0, left), (shift, right)))


# --- ticket ------------------------------------------------------------------------------------------------------------


def _ticket_blocks(desk: Desk, ticket: Ticket) -> list[Block]:
    title = desk.words.say("ticket table", ticket.table) if ticket.table else desk.words.say("ticket")
    when = desk.words.day(ticket.date, weekday=True)
    if desk.narrow:
        quiet = desk.ink("regular", "body", "quiet")
        head = Block(((0.0, desk.set([(f"{ticket.kitchen} · {title}\n", quiet), (f"{ticket.menu}\n", desk.ink("bold", "heading")),
                                       (when, desk.ink("bold", "date"))])),))  # fmt: skip
    else:
        head = heading(desk, title, ticket.menu, when, ticket.kitchen)
    return [head] + [block._replace(group=f"{place} {seat.seat}") for place, seat in enumerate(ticket.seats)
                     for block in _seat_blocks(desk, seat, ticket.names)]  # fmt: skip


def _seat_blocks(desk: Desk, seat: TicketSeat, names: Mapping[str, str]) -> list[Block]:
    big, body, bold = desk.ink("bold", "date"), desk.ink("regular", "body"), desk.ink("bold", "body")
    quiet = desk.ink("italic", "body", "quiet")
    said = desk.words
    avoids = [(f"{said.say('avoids')}  ", desk.ink("regular", "heading")), (", ".join(seat.avoids), big)]
    number = [(said.say("seat", seat.seat), big)]
    if desk.narrow:
        columns: tuple[tuple[float, tuple[Row, ...]], ...] = ((desk.gap / 2, desk.set([*number, ("\n", big), *avoids], 0.95)),)
    else:
        columns = ((desk.gap, desk.set(number, 0.2)), (0.2 * desk.width, desk.set(avoids, 0.8)))
    blocks = [Block(columns, above=(2 if desk.narrow else 3) * desk.gap, frame=True)]
    for place, (course, dish, answer) in enumerate(seat.dishes):
        answered = _answer_runs(desk, answer, names)
        if desk.narrow:
            title = [(f"{course}\n", quiet)] if course else []
            columns = ((0.0, desk.set([*title, (f"{dish}\n", bold), *answered])),)
        else:
            columns = ((0.0, desk.set([(course, quiet)], 0.14)), (0.14 * desk.width, desk.set([(dish, bold)], 0.34)),
                       (0.48 * desk.width, desk.set(answered, 0.52)))  # fmt: skip
        blocks.append(Block(columns, desk.rule("hair") if place else 0.0, desk.gap * (0.7 if place else 1)))
    sign = said.say("checked by", seat.seat, "______________", "______________")
    return [*blocks, Block(((0.0, desk.set([(sign, body)])),), desk.rule("thin"), desk.gap, held=True)]


def answer_words(answer: Answer, said: GuestWords) -> str:
    """An answer as it is read out, in the words of a language; in English :func:`labeller.terms.floor.answer` has them."""
    verdict = {NOTHING_ON_RECORD: "nothing on record", ASK: "ask", NOT_FOR_THIS_GUEST: "not for this guest",
               NO_ANSWER: "no answer", NOTHING_ASKED: "nothing asked"}.get(answer.verdict)  # fmt: skip
    if verdict is None or said.language == ENGLISH:
        return answer.words
    if not answer.changes:
        return said.say(verdict)
    return f"{said.say('make fresh', change_words(answer.changes, said))}, {said.say('confirm')}"


def change_words(changes: Sequence[Change], said: GuestWords) -> str:
    """"without dill cream, with oat cream instead of cream", in the words of a language."""
    without = [change.component for change in changes if change.action == LEAVE_OFF]
    instead = [said.say("with instead", change.with_, change.component) for change in changes if change.action == INSTEAD]
    parts = ([said.say("without", said.listed(without))] if without else []) + ([said.listed(instead)] if instead else [])
    return ", ".join(parts)


def _answer_runs(desk: Desk, answer: Answer, names: Mapping[str, str]) -> list[tuple[str, Ink]]:
    loud = desk.ink("regular" if answer.verdict == NOTHING_ON_RECORD and not answer.changes else "bold", "body")
    small = desk.ink("regular", "small")
    said = desk.words
    runs = [(answer_words(answer, said), loud)]
    for keys, state, because in together(answer.because):
        why = bracketed("; ".join(because)) if because else ""
        text = f"{said.state(state)}{said.say('colon')}{', '.join(said.kind(key, names) for key in keys)}{why}"
        runs.append(("\n" + (said.say("as written", text) if answer.changes else text), small))
    return runs


# --- pages -------------------------------------------------------------------------------------------------------------


def largest(desk: Desk, blocks: Callable[[Desk], list[Block]], foot: Sequence[Row],
            scales: Sequence[float] = _SCALES) -> list[Page]:  # fmt: skip
    """The largest type that needs no further page and divides no word. scales: of the type sizes of the style, largest first."""
    tried = []
    for scale in scales:
        each = desk._replace(scale=scale)
        made = blocks(each)
        torn = sum(row.broken for block in made for _, rows in block.columns for row in rows)
        tried.append((_pages(each, made, foot), torn))
    return min(tried, key=lambda one: (len(one[0]), one[1]))[0]


def _pages(desk: Desk, blocks: Sequence[Block], foot: Sequence[Row]) -> list[Page]:
    """Blocks down the page; the first (the heading) stands on every page."""
    head, rest = blocks[0], blocks[1:]
    room = desk.size[1] - 2 * desk.margin - head.height - 1.5 * desk.gap - sheet.height(foot)
    rest = [part for block in rest for part in _divided(block, room)]
    dealt: list[list[Block]] = [[]]
    used = 0.0
    for number, block in enumerate(rest):
        starts = bool(block.group) and (number == 0 or rest[number - 1].group != block.group)
        whole = sum(each.above + each.height for each in rest if each.group == block.group) if starts else 0.0
        needs = whole if starts and whole <= room else _with_held(rest, number, room)
        if dealt[-1] and used + needs > room:
            again = [] if starts or not block.group else [next(each for each in rest if each.group == block.group)]
            dealt.append(again)
            used = sum(each.above + each.height for each in again)
        used += block.above + block.height
        dealt[-1].append(block)
    return [_page(desk, head, _topped(desk, group, number), foot, number, len(dealt)) for number, group in enumerate(dealt, 1)]


def _with_held(blocks: Sequence[Block], number: int, room: float) -> float:
    """Height of a block and of those that are held by it, where one page has room for them."""
    own = whole = blocks[number].above + blocks[number].height
    for each in blocks[number + 1 :]:
        if not each.held:
            break
        whole += each.above + each.height
    return whole if whole <= room else own


def _topped(desk: Desk, blocks: Sequence[Block], number: int) -> list[Block]:
    """The blocks of a page; on a further one the line below its heading is line enough. A frame keeps its distance."""
    first = [block if block.frame else block._replace(rule=0.0, above=min(block.above, 0.7 * desk.gap))
             for block in blocks[:1] if number > 1]  # fmt: skip
    return [*first, *blocks[len(first) :]]


def _divided(block: Block, room: float) -> list[Block]:
    """The block, in parts that each fit a page where it is taller than one."""
    if block.above + block.height <= room:
        return [block]
    parts: list[list[tuple[float, tuple[Row, ...]]]] = []
    for offset, rows in block.columns:
        part, used = 0, block.above
        for row in rows:
            if used + row.height > room:
                part, used = part + 1, 0.0
            while len(parts) <= part:
                parts.append([(each, ()) for each, _ in block.columns])
            parts[part] = [(each, (*held, row) if each == offset else held) for each, held in parts[part]]
            used += row.height
    first, *others = [block._replace(columns=tuple(part)) for part in parts]
    return [first, *(other._replace(rule=0.0, above=0.0, frame=False) for other in others)]


def _strip(desk: Desk, blocks: Sequence[Block], foot: Sequence[Row]) -> tuple[Page, float]:
    """Everything under one another on a strip, and its length."""
    tall = 2 * desk.gap + sum(block.above + block.height for block in blocks) + 2 * desk.gap + sheet.height(foot) + 2 * desk.gap
    own = desk._replace(size=(desk.size[0], tall))
    return _page(own, blocks[0], blocks[1:], foot, 0, 0), tall


def _page(desk: Desk, head: Block, blocks: Sequence[Block], foot: Sequence[Row], number: int, count: int) -> Page:
    left, y = desk.margin, desk.size[1] - (2 * desk.gap if desk.narrow else desk.margin)
    items: list[Item] = []
    for offset, rows in head.columns:
        items += sheet.place(rows, left + offset, y)
    y -= head.height + desk.gap / 2
    items.append(Bar(left, y, desk.width, desk.rule("thick"), 1.0))
    for block in blocks:
        y -= block.above
        if block.rule:
            items.append(Bar(left, y + block.above / 2, desk.width, block.rule, 1.0))
        if block.frame:
            pad = desk.gap / 2
            items.append(Frame(left, y - block.height - pad, desk.width, block.height + 2 * pad, 3 * desk.rule("thin")))
        for offset, rows in block.columns:
            items += sheet.place(rows, left + offset, y)
        y -= block.height
    quiet = desk.ink("regular", "foot", "quiet")
    if not number:
        return tuple(items + sheet.place(foot, left, y - 2 * desk.gap))
    page = sheet.set_lines([(desk.words.say("page", number, count), quiet)], desk.width, desk.looks.number("leading"))
    items += sheet.place(foot, left, desk.margin + sheet.height(foot))
    return tuple(items + sheet.place(page, left, desk.margin + sheet.height(page), desk.width, "right"))
