"""The guest card: what is on record of each dish of a menu, for a guest with an allergy to read at the table.

Facts only. It says of no dish that a guest may have it: what a dish holds, what a supplier warns of, what shared equipment
brings, what is not confirmed, and what a change that the kitchen offers does to that.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from labeller.printing import sheet
from labeller.printing.cards import Tongue
from labeller.printing.guest_words import LEADS, GuestWords, guest_words
from labeller.printing.kitchen_cards import Block, Desk, change_words, largest
from labeller.printing.sheet import MM, Bar, Ink, Page, Row, Runs
from labeller.printing.states import Told, told
from labeller.terms.allergens import AllergenFact
from labeller.terms.findings import Finding, finding
from labeller.terms.floor import Effect
from labeller.terms.kitchen import Menu
from labeller.terms.looks import Looks
from labeller.terms.record import Declaration
from labeller.terms.words import normalise

LEAST_PT = 10.0  # no type of the card goes below: it is read by candlelight (our own choice; no law asks for a size here)
_SCALES = (1.3, 1.25, 1.2, 1.15, 1.11)  # of the type sizes of the style; the least makes its body text that size
_NAME, _TELLS = 0.36, 0.64  # columns: the dish, what is on record of it
EQUIPMENT = "shared equipment"  # the route of a fact that a fryer brings


class _Listed(NamedTuple):
    """A dish where the menu has it. course: title, where one starts with it. made: None where it has no declaration."""

    course: str
    name: str
    made: Declaration | None
    effects: Sequence[Effect]


def guest_card_pdf(menu: Menu, declarations: Sequence[Declaration], effects: Mapping[str, Sequence[Effect]], *, date: str,
                   page: str = "A4", kitchen_name: str = "", language: str = "en", looks: Looks,
                   names: Mapping[str, str] | None = None, issue: str = "", also: Sequence[Tongue] = (), code: str = "",
                   ) -> tuple[bytes, tuple[Finding, ...]]:  # fmt: skip
    """The card, on both sides of one sheet where the menu needs two pages. effects: name of a dish -> what its changes do.
    also: further languages; each has a card of its own in the same PDF, because a guest reads one of them. Other arguments as for
    :func:`labeller.printing.cards.menu_card_pdf`."""
    pages: list[Page] = []
    found: tuple[Finding, ...] = ()
    size = sheet.page_size(looks, page)
    for tongue in (Tongue(language, declarations, names or {}), *also):
        said, silent = guest_words(looks, tongue.language)
        desk = Desk(looks, sheet.faces(looks), size, said=said, inset=looks.number("margin mm", "card") * MM, least=LEAST_PT)
        dishes = _listed(menu, tongue.declarations, effects, said)
        day = said.day(date, weekday=True) if date else said.service(menu.starts, menu.ends)
        blocks = _Card(menu.name, day, kitchen_name, dishes, tongue.names)
        foot = _foot(desk, tongue.declarations, issue)
        pages += [_ruled(desk, each, foot) for each in largest(desk, blocks.of, foot, _SCALES)]
        found += silent
    pages = sheet.with_code(pages, size, code)
    one = declarations[0] if declarations else None
    subject = f"law {one.law} of {one.law_date} · kitchen {one.kitchen_version} · data {one.data_version}" if one else ""
    title = f"{guest_words(looks, language)[0].say('guest card')}: {menu.name}"
    data = sheet.paint(pages, size, title=title, author=kitchen_name, subject=subject, language=language)
    return data, _gone(menu, declarations) + sheet.letters_and_fonts(pages, looks) + tuple(dict.fromkeys(found))


def _gone(menu: Menu, declarations: Sequence[Declaration]) -> tuple[Finding, ...]:
    known = {normalise(one.dish) for one in declarations}
    return tuple(finding("dish-without-declaration", menu.place, f"“{name}” of the menu “{menu.name}” has no declaration",
                         "run labeller check and mend what stops it")
                 for name in menu.dishes() if normalise(name) not in known)  # fmt: skip


def _listed(menu: Menu, declarations: Sequence[Declaration], effects: Mapping[str, Sequence[Effect]],
            said: GuestWords) -> list[_Listed]:  # fmt: skip
    by_name = {normalise(one.dish): one for one in declarations}
    ways = {normalise(name): found for name, found in effects.items()}
    courses = [(course.title, course.dishes) for course in menu.courses]
    courses += [(said.say("packs"), menu.packs)] if menu.packs else []
    out, before = [], ""
    for title, inside in courses:
        for name in inside:
            key = normalise(name)
            out.append(_Listed(title if title != before else "", name, by_name.get(key), ways.get(key, ())))
            before = title
    return out


def _foot(desk: Desk, declarations: Sequence[Declaration], issue: str) -> tuple[Row, ...]:
    """Whom to speak to first, then where it comes from, then who signed it."""
    said, bold, plain = desk.words, desk.ink("bold", "foot"), desk.ink("regular", "foot")
    day = declarations[0].law_date if declarations else ""
    energy = dict.fromkeys(note for one in declarations if one.menu_energy for note in one.menu_sentences)
    lines = [(said.say("notice"), bold), (f"{said.say('whom to ask')} {said.say('changes')}", plain),
             (said.say("records", said.day(day) if day else ""), plain), *((note, plain) for note in energy)]  # fmt: skip
    rows = [row for text, ink in lines for row in desk.set([(text, ink)])]
    quiet = desk.ink("regular", "foot", "quiet")
    return (*rows, *desk.set([(issue, quiet)], 0.8)) if issue else tuple(rows)


def _ruled(desk: Desk, page: Page, foot: Sequence[Row]) -> Page:
    """The page with a line above its foot."""
    return (*page, Bar(desk.margin, desk.margin + sheet.height(foot) + desk.gap / 2, desk.width, desk.rule("thin"), 1.0))


class _Card(NamedTuple):
    """What stands on the card of one language."""

    menu: str
    day: str
    kitchen: str
    dishes: Sequence[_Listed]
    names: Mapping[str, str]

    def of(self, desk: Desk) -> list[Block]:
        return [self._head(desk), *(self._dish(desk, one, not place) for place, one in enumerate(self.dishes))]

    def _head(self, desk: Desk) -> Block:
        quiet, bold = desk.ink("regular", "body", "quiet"), desk.ink("bold", "title")
        left = desk.set([(f"{desk.words.say('guest card')}\n", quiet), (self.menu, bold)], 0.55)
        right = desk.set([(f"{self.kitchen}\n", quiet), (self.day, desk.ink("bold", "heading"))], 0.45)
        shift = desk.width - max((row.width for row in right), default=0.0)
        return Block(((0.0, left), (shift, right)))

    def _dish(self, desk: Desk, one: _Listed, first: bool) -> Block:
        made, quiet = one.made, desk.ink("italic", "body", "quiet")
        name = [(f"{one.course}\n", quiet)] if one.course else []
        name.append((made.title or made.dish if made else one.name, desk.ink("bold", "heading")))
        if made and made.record.description:
            name.append((f"\n{made.record.description}", desk.ink("regular", "body", "quiet")))
        if made and made.menu_energy and not made.stopped:
            name.append((f"\n{made.menu_energy}", desk.ink("regular", "body", "quiet")))
        columns = ((0.0, desk.set(name, _NAME)), (_NAME * desk.width, self._tells(desk, one)))
        return Block(columns, 0.0 if first else desk.rule("hair"), desk.gap * (0.6 if first else 1.3))

    def _tells(self, desk: Desk, one: _Listed) -> tuple[Row, ...]:
        """Each state on a line of its own, then each change: what they are about in bold, so that it is found at a glance."""
        said, bold, plain = desk.words, desk.ink("bold", "body"), desk.ink("regular", "body")
        made = one.made
        if made is None or made.stopped:
            return _set(desk, [(said.say("no answer"), desk.ink("bold", "heading"))])
        every = told(made, self.names, said.say("other"))
        lines = [_line(said.say(LEADS[state], "{}"), found, plain, bold) for state, found in every.items()]
        if not lines:
            lines = [[(said.say("none", said.day(made.law_date)), plain)]]
        called = _called(every)
        italic = desk.ink("italic", "body")
        lines += [[(_effect_words(effect, said, lambda kind: called.get(kind) or said.kind(kind, self.names)), italic)]
                  for effect in one.effects if effect.gone or effect.left or effect.brought]  # fmt: skip
        return tuple(row for line in lines for row in _set(desk, line))


def _set(desk: Desk, runs: Runs) -> tuple[Row, ...]:
    """The last column goes to the edge."""
    return sheet.set_lines(runs, _TELLS * desk.width, desk.looks.number("leading"))


def _line(line: str, found: Sequence[Told], plain: Ink, bold: Ink) -> list[tuple[str, Ink]]:
    """A line of the words file, filled with kinds in bold; what the same equipment brings stands together: "squid, oats (deep
    fryer)"."""
    by_equipment: dict[tuple[str, ...], list[str]] = {}
    for words, facts in found:
        by_equipment.setdefault(_equipment(facts), []).append(words)
    before, _, after = line.partition("{}")
    runs = [(before, plain)]
    for place, (equipment, words) in enumerate(by_equipment.items()):
        runs += [("; ", plain)] if place else []
        runs += [(", ".join(words), bold), (f" ({', '.join(equipment)})" if equipment else "", plain)]
    return [run for run in (*runs, (after, plain)) if run[0]]


def _called(every: Mapping[str, Sequence[Told]]) -> dict[str, str]:
    """Kind -> how the lines of the dish call it, so that a change speaks of the same "egg"."""
    out: dict[str, str] = {}
    for words, facts in (each for found in every.values() for each in found):
        kinds, pieces = list(dict.fromkeys(fact.kind for fact in facts)), words.split(", ")
        if len(kinds) == len(pieces):
            out |= {kind: piece for kind, piece in zip(kinds, pieces, strict=True) if kind not in out}
    return out


def _equipment(facts: Sequence[AllergenFact]) -> tuple[str, ...]:
    """Names of the shared equipment, where nothing else brings it."""
    if any(fact.route != EQUIPMENT for fact in facts):
        return ()
    return tuple(dict.fromkeys(fact.path[-1] for fact in facts if fact.path))


def _effect_words(effect: Effect, said: GuestWords, called: Callable[[str], str]) -> str:
    """"On request: without hazelnut crumb; takes away: hazelnut; leaves: almond (supplier’s warning)"."""
    def stated(found: Sequence[tuple[str, str]]) -> str:
        return ", ".join(f"{called(kind)} ({said.state(state)})" for kind, state in found)

    parts = [change_words(effect.changes, said)]
    parts += [said.say("takes away", ", ".join(map(called, effect.gone)))] if effect.gone else []
    parts += [said.say("leaves", stated(effect.left))] if effect.left else []
    parts += [] if effect.gone or effect.left else [said.say("takes away none")]
    parts += [said.say("brings", stated(effect.brought))] if effect.brought else []
    return said.say("on request", "; ".join(parts))
