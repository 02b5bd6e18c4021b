"""The card that lies in a mixed box: what each piece is made of and holds, then the whole box. Guests read it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from labeller.printing import sheet
from labeller.printing.guest_words import GuestWords, guest_words
from labeller.printing.kitchen_cards import Block, Desk, heading, issue_runs, largest
from labeller.printing.sheet import Ink, Row
from labeller.printing.states import guest_lines
from labeller.terms.findings import Finding
from labeller.terms.looks import Looks
from labeller.terms.record import Declaration

HALF = {"A4": "A5", "Letter": "Half Letter"}  # the card is half a sheet


class Piece(NamedTuple):
    """count: how many are in the box. name: as the kitchen calls it. made: its declaration, None: it has none."""

    count: float
    name: str
    made: Declaration | None


def box_card_pdf(pack: Declaration, pieces: Sequence[Piece], *, date: str, page: str = "A4", kitchen_name: str = "",
                 language: str = "en", looks: Looks, names: Mapping[str, str] | None = None, issue: str = "", code: str = "",
                 ) -> tuple[bytes, tuple[Finding, ...]]:  # fmt: skip
    """The card of a box, on half of the paper asked for. date: of packing. Each piece that holds an allergen says so under its
    own name; one without a declaration says NO ANSWER."""
    said, silent = guest_words(looks, language)
    desk = Desk(looks, sheet.faces(looks), sheet.page_size(looks, HALF.get(page, page)), said=said)
    versions = said.versions(pack.law, pack.law_date, pack.kitchen_version, pack.data_version)
    small, quiet = desk.ink("regular", "foot"), desk.ink("regular", "foot", "quiet")
    records = said.say("records", said.day(pack.law_date))
    foot = desk.set([(f"{records}\n", small), *issue_runs(desk, issue), (versions, quiet)], 0.8)
    pages = largest(desk, lambda each: _blocks(each, pack, pieces, date, kitchen_name, names or {}, said), foot)
    pages = sheet.with_code(pages, desk.size, code)
    data = sheet.paint(pages, desk.size, title=pack.title or pack.dish, author=kitchen_name, subject=versions, language=language)
    return data, sheet.letters_and_fonts(pages, looks) + silent


def _blocks(desk: Desk, pack: Declaration, pieces: Sequence[Piece], date: str, kitchen: str, names: Mapping[str, str],
            said: GuestWords) -> list[Block]:  # fmt: skip
    bold, body = desk.ink("bold", "body"), desk.ink("regular", "body")
    blocks = [heading(desk, said.say("in this box"), pack.title or pack.dish, said.day(date), kitchen)]
    for place, piece in enumerate(pieces):
        runs = [(piece.made.title or piece.name if piece.made else piece.name, desk.ink("bold", "heading"))]
        runs += _of_one(desk, piece.made, names, said)
        count = desk.set([(f"{piece.count:g} ×", desk.ink("bold", "heading"))], 0.12)
        columns: tuple[tuple[float, tuple[Row, ...]], ...] = ((0.0, count), (0.12 * desk.width, desk.set(runs, 0.88)))
        blocks.append(Block(columns, desk.rule("hair") if place else 0.0, desk.gap * (0.8 if place else 1.0)))
    whole = [(said.say("the whole box"), desk.ink("bold", "heading"))]
    for line in guest_lines(pack, names, said):
        whole += _line(line, bold, body)
    blocks.append(Block(((0.0, desk.set(whole)),), desk.rule("thick"), 1.5 * desk.gap))
    if not pack.stopped:
        told = [text for text in (pack.durability, pack.storage, pack.lot, pack.business) if text]
        blocks.append(Block(((0.0, desk.set([("\n".join(told), body)])),), 0.0, desk.gap))
    return blocks


def _of_one(desk: Desk, made: Declaration | None, names: Mapping[str, str], said: GuestWords) -> list[tuple[str, Ink]]:
    bold, body = desk.ink("bold", "body"), desk.ink("regular", "body")
    small, loud = desk.ink("regular", "small"), desk.ink("bold", "small")
    if made is None:
        return [(f"\n{said.say('no answer')}", bold)]
    runs: list[tuple[str, Ink]] = []
    for line in guest_lines(made, names, said):
        runs += _line(line, bold, body)
    if made.statement and not made.stopped:
        runs.append(("\n", small))
        runs += [(run.text, loud if run.emphasis else small) for run in made.statement]
    return runs


def _line(line: str, bold: Ink, body: Ink) -> list[tuple[str, Ink]]:
    """An allergen line below what stands already, what kind of line it is in bold."""
    lead, colon, rest = line.partition(": ")
    return [(f"\n{lead}: ", bold), (rest, body)] if colon else [(f"\n{line}", bold if line.isupper() else body)]
