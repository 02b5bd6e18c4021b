"""Sheets that stay in the kitchen: the recipe card and the allergy ticket."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import NamedTuple

from labeller.printing import sheet
from labeller.printing.guest_words import ENGLISH, GuestWords, guest_words
from labeller.printing.sheet import MM, Bar, Frame, Ink, Item, Page, Row
from labeller.printing.states import by_state
from labeller.printing.words import LAWS, NO_ANSWER, STATES, day_words, kind_word, language_finding
from labeller.terms.allergens import CONTAINS, NONE_ON_RECORD, RANK, AllergenFact
from labeller.terms.findings import NOWHERE, STOP, Finding, finding
from labeller.terms.floor import (
    ASK,
    INSTEAD,
    LEAVE_OFF,
    NOT_FOR_THIS_GUEST,
    NOTHING_ASKED,
    NOTHING_ON_RECORD,
    Answer,
    Change,
    Ticket,
    TicketSeat,
)
from labeller.terms.kitchen import Line, Recipe
from labeller.terms.looks import Looks
from labeller.terms.record import Declaration, Ingredient
from labeller.terms.spans import Span
from labeller.terms.stock import Stock
from labeller.terms.words import normalise

_SCALES = (1.35, 1.25, 1.15, 1.0)  # these sheets hang at a station: the largest type that needs no further page
_GROWING = ("heading", "body", "small")
ROLL_LONGEST = 20  # a ticket may be so many times longer than the longest label of its roll


class Block(NamedTuple):
    """Lines that stay together, set in one or more columns: (offset from the left, rows). rule: weight of the line above it
    (points, 0: none); above: room before it; frame: True for an outline around it. group: what it belongs to ("seat 3"): a
    group stays on one page where it can, and its first block is said again on each further page."""

    columns: tuple[tuple[float, tuple[Row, ...]], ...]
    rule: float = 0.0
    above: float = 0.0
    frame: bool = False
    group: str = ""

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


def recipe_card_pdf(declaration: Declaration, recipe: Recipe | None = None, *, date: str, page: str = "A4",
                    kitchen_name: str = "", language: str = "en", looks: Looks, names: Mapping[str, str] | None = None,
                    issue: str = "", code: str = "") -> tuple[bytes, tuple[Finding, ...]]:  # fmt: skip
    """The kitchen's own card of a recipe or dish: what it makes, each line with amount and grams, allergens of each line,
    equipment, what can be changed. recipe: as the kitchen wrote it; without it the lines are those of the record. issue: who
    signed this state, at the foot."""
    desk = Desk(looks, sheet.faces(looks), sheet.page_size(looks, page))
    foot = desk.set([(" ".join(declaration.cautions), desk.ink("regular", "foot")), ("\n", desk.ink("regular", "foot")),
                     *issue_runs(desk, issue),
                     (_versions(declaration.law, declaration.law_date, declaration.kitchen_version, declaration.data_version),
                      desk.ink("regular", "foot", "quiet"))], 0.85)  # fmt: skip
    pages = largest(desk, lambda each: _recipe_blocks(each, declaration, recipe, date, kitchen_name, names or {}), foot)
    pages = sheet.with_code(pages, desk.size, code)
    made = _versions(declaration.law, declaration.law_date, declaration.kitchen_version, declaration.data_version)
    data = sheet.paint(pages, desk.size, title=declaration.dish, author=kitchen_name, subject=f"Recipe card · {made}",
                       language=language)  # fmt: skip
    return data, sheet.letters_and_fonts(pages, looks) + language_finding(language)


def ticket_pdf(ticket: Ticket, *, page: str = "A4", language: str = "en", looks: Looks, issue: str = "", code: str = "",
               roll: Stock | None = None) -> tuple[bytes, tuple[Finding, ...]]:  # fmt: skip
    """The allergy ticket for the pass: a block for each seat, with room for the initials of who checked it and the time. roll: a
    continuous roll to print it on, cut where it ends, instead of a page."""
    said, silent = guest_words(looks, language)
    faces = sheet.faces(looks)
    long = roll.label_h * MM * ROLL_LONGEST if roll else 0.0
    size = (roll.page_w * MM, long) if roll else sheet.page_size(looks, page)
    desk = Desk(looks, faces, size, said=said, edge=roll.left * MM if roll else 0.0)
    law = said.say(f"law {ticket.law}") if f"law {ticket.law}" in said.english else ticket.law
    versions = said.say("versions", law, said.day(ticket.date), ticket.kitchen_version, ticket.data_version)
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
    text = "what each seat avoids, and the reasons in brackets, stand as typed and recorded"
    return (finding("sheet-language", NOWHERE, text, "explain them to whoever reads the ticket in another language"),)


def issue_runs(desk: Desk, issue: str) -> list[tuple[str, Ink]]:
    return [(f"{issue} · ", desk.ink("bold", "foot"))] if issue else []


def _versions(law: str, law_date: str, kitchen: str, data: str) -> str:
    as_of = f", as of {day_words(law_date)}" if law_date else ""
    return f"law: {LAWS.get(law, law)}{as_of} · kitchen version {kitchen} · data version {data}"


def heading(desk: Desk, small: str, title: str, date: str, kitchen: str) -> Block:
    quiet = desk.ink("regular", "body", "quiet")
    left = desk.set([(f"{small}\n", quiet), (title, desk.ink("bold", "title"))], 0.48)
    right = desk.set([(f"{kitchen}\n", quiet), (date, desk.ink("bold", "date"))], 0.52)
    shift = desk.width - max((row.width for row in right), default=0.0)
    return Block(((0.0, left), (shift, right)))


# --- recipe card -------------------------------------------------------------------------------------------------------


def _recipe_blocks(desk: Desk, one: Declaration, recipe: Recipe | None, date: str, kitchen: str, names: Mapping[str, str]
                   ) -> list[Block]:  # fmt: skip
    body, bold, small = desk.ink("regular", "body"), desk.ink("bold", "body"), desk.ink("regular", "small")
    blocks = [heading(desk, "Recipe card", one.dish, day_words(date), kitchen)]
    if one.record.description:
        blocks.append(Block(((0.0, desk.set([(one.record.description, desk.ink("italic", "body"))])),), above=desk.gap / 2))
    if one.stopped:
        stops = [item for item in (*one.findings, *one.record.findings) if item.severity == STOP]
        why = f"\n{stops[0].text} ({stops[0].place})" if stops else ""
        blocks.append(Block(((desk.gap, desk.set([(NO_ANSWER, desk.ink("bold", "heading")), (why, small)], 0.95)),),
                             above=2 * desk.gap, frame=True))  # fmt: skip
    facts = [(name, text) for name, text in _facts(one, recipe) if text]
    for place, (name, text) in enumerate(facts):
        blocks.append(Block(((0.0, desk.set([(name, bold)], 0.2)), (0.2 * desk.width, desk.set([(text, body)], 0.8))),
                             above=0.0 if place else desk.gap))  # fmt: skip
    blocks += _line_blocks(desk, one, recipe, names)
    if recipe is not None and recipe.instructions:
        blocks.append(Block(((0.0, desk.set([(recipe.instructions, body)])),), desk.rule("thin"), desk.gap))
    return blocks if one.stopped else blocks + _allergen_blocks(desk, one, names)


def _facts(one: Declaration, recipe: Recipe | None) -> list[tuple[str, str]]:
    record = one.record
    weight = f"{_grams(record.weight_g)}{' each' if record.kind != 'recipe' else ''}"
    facts = [("Weight", weight if record.weight_g.high > 0 else "")]
    if recipe is None:
        return facts + [("Equipment", ", ".join(record.equipment))]
    loss = ", ".join(part.kind if part.share >= 1 else f"{part.share:.0%} {part.kind}" for part in recipe.loss)
    makes = recipe.makes.text if recipe.makes else ""
    poured = "; ".join(f"{', '.join(each.lines)}; {_share(each.stays)} stays in" for each in recipe.poured_off)
    fried = f"{recipe.fried_in.oil}, {_share(recipe.fried_in.taken_up)} taken up" if recipe.fried_in else ""
    coated = f"{', '.join(recipe.coating.lines)}; {_share(recipe.coating.picked_up)} picked up" if recipe.coating else ""
    share, grams = recipe.reduced_to or (None, None)
    reduced = _grams(grams) if grams else f"{_share(share)} of the weight in" if share else ""
    equipment = "nothing recorded: not confirmed" if recipe.equipment is None else ", ".join(recipe.equipment) or "none shared"
    legal = one.title if one.title != one.dish else ""
    return facts + [("On the label", legal), ("Makes", f"{makes}{f' (loss: {loss})' if loss else ''}" if makes else ""),
                    ("Portions", f"{recipe.serves.mid:g}" if recipe.serves else ""), ("Method", recipe.method),
                    ("Reduced to", reduced),
                    ("Alcohol", f"{_share(recipe.alcohol_stays)} stays in" if recipe.alcohol_stays else ""),
                    ("Poured off", poured), ("Fried in", fried), ("Coating", coated),
                    ("Equipment", equipment if recipe.equipment is not None or fried else ""),
                    ("Also called", ", ".join(recipe.also_called))]  # fmt: skip


def _grams(span: Span) -> str:
    """Grams as a kitchen weighs them; bounds where the kitchen's own range leaves them open."""
    def one(value: float) -> str:
        return f"{value:.0f}" if value >= 10 or value == round(value) else f"{value:.1f}"

    return f"{one(span.low)}\N{EN DASH}{one(span.high)} g" if one(span.low) != one(span.high) else f"{one(span.mid)} g"


def _share(span: Span) -> str:
    return f"{span.mid:.0%}" if not span.is_range else f"{span.low:.0%}\N{EN DASH}{span.high:.0%}"


_SHARES = (0.26, 0.15, 0.11, 0.29, 0.19)  # columns of the lines: name, as written, grams, allergens, change
_UNCHANGED = (0.26, 0.15, 0.11, 0.48)  # the same where nothing can be changed


def _line_blocks(desk: Desk, one: Declaration, recipe: Recipe | None, names: Mapping[str, str]) -> list[Block]:
    body, bold, small = desk.ink("regular", "body"), desk.ink("bold", "body"), desk.ink("regular", "small")
    heads = ("Line", "As written", "Grams", "Allergens of the line", "Can be changed")
    lines = _lines(one, recipe)
    if not any(change for *_, change in lines):
        heads = heads[:-1]
    blocks = [Block(_columns(desk, [[(head, desk.ink("bold", "small"))] for head in heads]), 0.0, desk.gap)]
    told = all(any(_runs_through(fact, name) for name, *_ in lines) for fact in one.record.facts)
    for place, (name, written, grams, change) in enumerate(lines):
        allergens = _line_allergens(desk, one, name, told, names)
        runs = [[(name, bold)], [(written, body)], [(grams, body)], allergens, [(change, small)]][: len(heads)]
        blocks.append(Block(_columns(desk, runs), desk.rule("hair" if place else "thick"), desk.gap * 0.7))
    return blocks


def _columns(desk: Desk, columns: Sequence[sheet.Runs]) -> tuple[tuple[float, tuple[Row, ...]], ...]:
    out, x = [], 0.0
    for share, runs in zip(_SHARES if len(columns) == len(_SHARES) else _UNCHANGED, columns, strict=True):
        out.append((x, desk.set(runs, share)))
        x += share * desk.width
    return tuple(out)


def _lines(one: Declaration, recipe: Recipe | None) -> list[tuple[str, str, str, str]]:
    """(name, as written, grams, what can be changed) of each line."""
    weights: dict[str, float] = {}
    unknown = {normalise(name) for name in one.record.unknown_amounts}
    for each in one.record.ingredients:
        weights[each.name] = weights.get(each.name, 0.0) + each.weight_g
    aids = {each.name for each in one.record.ingredients if each.aid}
    if recipe is not None:
        return [(line.name, _written(line), _weight(weights.get(line.name), line.name in aids, normalise(line.name) in unknown),
                 _way(line.leave_off, line.instead)) for line in recipe.lines]  # fmt: skip
    ways = {each.name: _way(each.leave_off, each.instead) for each in one.record.components}
    every = dict.fromkeys([each.name for each in one.record.components] + [each.name for each in one.record.ingredients])
    return [(name, "", _weight(weights.get(name), name in aids, normalise(name) in unknown), ways.get(name, ""))
            for name in every]  # fmt: skip


def _written(line: Line) -> str:
    if line.amount is None:
        return "no amount"
    about = f", about {line.amount.about.text}" if line.amount.about else ""
    trim = f", {_share(line.trim)} trimmed" if line.trim.high > 0 else ""
    return f"{line.amount.text}{about}{trim}"


def _weight(grams: float | None, aid: bool, unknown: bool) -> str:
    """Grams of a line; what only touched the food has none, and its allergens all the same. A line without a known amount is
    never nought: it is not known."""
    if unknown:
        return "not known" if not grams else f"{_grams(Span.of(grams))} and more"
    return "" if grams is None else "contact only" if aid and grams <= 0 else _grams(Span.of(grams))


def _way(leave_off: bool, instead: str) -> str:
    return ", or ".join(filter(None, ["leave off" if leave_off else "", f"{instead} instead" if instead else ""]))


def _line_allergens(desk: Desk, one: Declaration, name: str, told: bool, names: Mapping[str, str]) -> list[tuple[str, Ink]]:
    """What one line brings: facts whose path runs through it, and the kinds of the record's component. told: every fact of the
    record runs through some line, so that a line without any has none."""
    small, bold = desk.ink("regular", "small"), desk.ink("bold", "small")
    if one.stopped:
        return [("no answer, see above", bold)]
    by_kind: dict[str, str] = {}
    for fact in one.record.facts:
        if _runs_through(fact, name) and RANK[fact.state] < RANK[by_kind.get(fact.kind, NONE_ON_RECORD)]:
            by_kind[fact.kind] = fact.state
    held = [kind for each in one.record.components if each.name == name for kind in each.kinds]
    held += [kind for each in one.record.ingredients if each.name == name for kind in _kinds(each)]
    for kind in held:
        by_kind.setdefault(kind, CONTAINS)
    runs: list[tuple[str, Ink]] = []
    for state, word in STATES.items():
        kinds = [kind_word(kind, names) for kind, of in by_kind.items() if of == state]
        if kinds and state != NONE_ON_RECORD:
            what = (", ".join(kinds), bold if state == CONTAINS else small)
            runs += [("\n" if runs else "", small), (f"{word}: ", small), what]
    if runs:
        return runs
    return [(STATES[NONE_ON_RECORD], desk.ink("regular", "small", "quiet")) if told else ("see the whole, below", small)]


def _runs_through(fact: AllergenFact, name: str) -> bool:
    return normalise(name) in (normalise(step) for step in fact.path)


def _kinds(one: Ingredient) -> Iterable[str]:
    yield from one.kinds
    for each in one.under:
        yield from _kinds(each)


def _allergen_blocks(desk: Desk, one: Declaration, names: Mapping[str, str]) -> list[Block]:
    body, bold = desk.ink("regular", "body"), desk.ink("bold", "body")
    title = desk.set([("Allergens of the whole", desk.ink("bold", "heading"))])
    blocks = [Block(((0.0, title),), desk.rule("thick"), 2 * desk.gap)]
    for state, words in by_state(one, names).items():
        blocks.append(_pair(desk, STATES[state], ", ".join(words), bold, bold if state == CONTAINS else body))
    none = [kind_word(key, names) for key, (state, *_) in one.states.items()
            if state == NONE_ON_RECORD and key != "other"]  # fmt: skip
    if none:
        quiet = desk.ink("regular", "body", "quiet")
        blocks.append(_pair(desk, f"none on record, checked {day_words(one.law_date)}", ", ".join(none), quiet, quiet))
    return blocks


def _pair(desk: Desk, name: str, text: str, left: Ink, right: Ink) -> Block:
    columns = ((0.0, desk.set([(name, left)], 0.27)), (0.27 * desk.width, desk.set([(text, right)], 0.73)))
    return Block(columns, 0.0, desk.gap / 4)


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
    return [*blocks, Block(((0.0, desk.set([(sign, body)])),), desk.rule("thin"), desk.gap)]


def answer_words(answer: Answer, said: GuestWords) -> str:
    """An answer as it is read out, in the words of a language; in English :func:`labeller.terms.floor.answer` has them."""
    verdict = {NOTHING_ON_RECORD: "nothing on record", ASK: "ask", NOT_FOR_THIS_GUEST: "not for this guest",
               NO_ANSWER: "no answer", NOTHING_ASKED: "nothing asked"}.get(answer.verdict)  # fmt: skip
    if verdict is None or said.language == ENGLISH:
        return answer.words
    if not answer.changes or verdict in ("not for this guest", "no answer", "nothing asked"):
        return said.say(verdict)
    change = said.say("make fresh", change_words(answer.changes, said))
    return f"{said.say('ask')}: {change}?" if verdict == "ask" else f"{change}, {said.say('confirm')}"


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
    for intro, facts in (("as written" if answer.changes else "", answer.because), ("after the change", answer.remaining)):
        for key, state, because in facts:
            why = f" ({'; '.join(because)})" if because else ""
            text = f"{said.state(state)}: {said.kind(key, names)}{why}"
            runs.append(("\n" + (said.say(intro, text) if intro else text), small))
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
        needs = whole if starts and whole <= room else block.above + block.height
        if dealt[-1] and used + needs > room:
            again = [] if starts or not block.group else [next(each for each in rest if each.group == block.group)]
            dealt.append(again)
            used = sum(each.above + each.height for each in again)
        used += block.above + block.height
        dealt[-1].append(block)
    return [_page(desk, head, _topped(desk, group, number), foot, number, len(dealt)) for number, group in enumerate(dealt, 1)]


def _topped(desk: Desk, blocks: Sequence[Block], number: int) -> list[Block]:
    """The blocks of a page; on a further one the line below its heading is line enough."""
    first = [block._replace(rule=0.0, above=min(block.above, 0.7 * desk.gap)) for block in blocks[:1] if number > 1]
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
