"""The allergen matrix: dishes down, the allergens of the law across, every state in words.

Nothing is computed here: a cell shows the state and the kinds of the declaration, and the lesser facts that its worst state
would otherwise hide ("contains wheat", and of an unread jar "not confirmed: barley").
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from labeller.printing import sheet
from labeller.printing.guest_words import ENGLISH, GuestWords, guest_words
from labeller.printing.matrix_page import pages
from labeller.printing.matrix_rows import Line, Table
from labeller.printing.sheet import Page
from labeller.printing.states import parts, reason, source
from labeller.terms.allergens import (
    CONTAINS,
    GROUPS,
    NONE_ON_RECORD,
    AllergenFact,
)
from labeller.terms.findings import NOWHERE, STOP, Finding, finding
from labeller.terms.floor import both_names
from labeller.terms.kitchen import Menu
from labeller.terms.looks import Looks
from labeller.terms.record import Component, Declaration
from labeller.terms.words import normalise


def matrix_pdf(menu: Menu, declarations: Sequence[Declaration], *, date: str, page: str = "A4", kitchen_name: str = "",
               language: str = "en", looks: Looks, names: Mapping[str, str] | None = None, issue: str = "", code: str = "",
               ) -> tuple[bytes, tuple[Finding, ...]]:  # fmt: skip
    """The matrix of a menu, landscape.

    declarations: one for each dish and pack of the menu, under one law; a dish of the menu that has none keeps a row without
    an answer, and is a finding. date: ISO date of service ("": the menu's own dates). page: ``A4`` or ``Letter``. names:
    kind key -> word, for kinds that the declaration's own words do not name. issue: who signed this state, at
    the foot. Returns the PDF and what a person must see to.
    """
    said, silent = guest_words(looks, language)
    table, lines, found = _menu_table(menu, declarations, date, page, kitchen_name, looks, names or {}, said)
    table = table._replace(issue=issue)
    laid, more, table = _with_code(table, lines, code)
    data = sheet.paint(laid, table.size, title=f"{table.heading}: {menu.name}", author=kitchen_name,
                       subject=table.foot, language=language)  # fmt: skip
    return data, found + more + sheet.letters_and_fonts(laid, looks) + silent + _reasons_stay(table)


def component_matrix_pdf(title: str, declarations: Sequence[Declaration], *, date: str, page: str = "A4",
                         kitchen_name: str = "", language: str = "en", looks: Looks,
                         used_in: Mapping[str, Sequence[str]] | None = None, names: Mapping[str, str] | None = None,
                         issue: str = "", code: str = "",
                         ) -> tuple[bytes, tuple[Finding, ...]]:  # fmt: skip
    """The same table for the chef: a row for each sub-recipe. used_in: name -> dishes that use it."""
    said, silent = guest_words(looks, language)
    notes = _Notes(said)
    lines = [_line(0, "", one, "\n".join((used_in or {}).get(one.dish, ())), notes, names or {}) for one in declarations]
    table = _table(looks, page, said.say("components"), title, said.day(date, weekday=True), kitchen_name, declarations,
                   said.say("component"), said.say("used in"), notes, names or {})._replace(issue=issue)  # fmt: skip
    laid, found, table = _with_code(table, lines, code)
    data = sheet.paint(laid, table.size, title=f"{table.heading}: {title}", author=kitchen_name, subject=table.foot,
                       language=language)  # fmt: skip
    return data, found + sheet.letters_and_fonts(laid, looks) + silent + _reasons_stay(table)


def _with_code(table: Table, lines: Sequence[Line], code: str) -> tuple[list[Page], tuple[Finding, ...], Table]:
    """The pages, with the QR code at their foot where that costs no page and no type size."""
    laid, found = pages(table, lines)
    if not code:
        return laid, found, table
    coded = table._replace(code=code)
    tried, more = pages(coded, lines)
    sized = [_dish_size(each, table.faces.bold, table.looks.pair("matrix pt", "dish")[0]) for each in (tried, laid)]
    same = len(tried) == len(laid) and sized[0] >= sized[1] and len(more) <= len(found)
    return (tried, more, coded) if same else (laid, found, table)


def _dish_size(laid: Sequence[Page], bold: str, most: float) -> float:
    """The size that was chosen for the names of the dishes: the largest bold type below the sheet's own title."""
    sizes = {item.ink.size for page in laid for item in page if isinstance(item, sheet.Text) and item.ink.font == bold}
    return max((size for size in sizes if size <= most), default=0.0)


def _reasons_stay(table: Table) -> tuple[Finding, ...]:
    """Reasons are told as the records have them: in English, whatever the sheet's language."""
    if table.words.language == ENGLISH or not table.words.known or not table.notes:
        return ()
    text = f"the {len(table.notes)} reasons at the foot of “{table.title}” stand as recorded, in English"
    return (finding("sheet-language", NOWHERE, text, "explain them to whoever reads the sheet in another language"),)


def matrix_pages(menu: Menu, declarations: Sequence[Declaration], *, date: str, page: str = "A4", kitchen_name: str = "",
                 looks: Looks, names: Mapping[str, str] | None = None) -> list[Page]:  # fmt: skip
    """The placed pages of :func:`matrix_pdf`, for whoever wants to look at what stands where."""
    said = guest_words(looks, ENGLISH)[0]
    table, lines, _ = _menu_table(menu, declarations, date, page, kitchen_name, looks, names or {}, said)
    return pages(table, lines)[0]


class _Notes:
    """Footnotes in the order they are first needed, each once. Lives for one document only."""

    def __init__(self, said: GuestWords) -> None:
        self.texts: dict[str, int] = {}
        self.said = said

    def number(self, text: str) -> int:
        return self.texts.setdefault(text, len(self.texts) + 1)


def _menu_table(menu: Menu, declarations: Sequence[Declaration], date: str, page: str, kitchen_name: str, looks: Looks,
                names: Mapping[str, str], said: GuestWords) -> tuple[Table, list[Line], tuple[Finding, ...]]:  # fmt: skip
    by_name = {normalise(one.dish): one for one in declarations}
    courses = [(number, course.title, name) for number, course in enumerate(menu.courses) for name in course.dishes]
    courses += [(len(menu.courses), said.say("packs"), name) for name in menu.packs]
    listed = {normalise(name) for *_, name in courses}
    courses += [(len(menu.courses) + 1, said.say("also"), one.dish) for one in declarations if normalise(one.dish) not in listed]
    notes, lines, found = _Notes(said), [], []
    for number, course, name in courses:
        one = by_name.get(normalise(name))
        if one is not None:
            change = _changes(one.record.components, said) or said.say("as written only")
            lines.append(_line(number, course, one, change, notes, names))
            continue
        text = f"“{name}” is on the menu “{menu.name}” and has no declaration; its row gives no answer"
        found.append(finding("dish-without-declaration", menu.place, text, "run labeller check and mend what stops it"))
        lines.append(Line(number, course, name, "", {}, said.say("no declaration")))
    when = said.day(date, weekday=True) if date else said.service(menu.starts, menu.ends)
    table = _table(looks, page, said.say("matrix"), menu.name, when, kitchen_name, declarations, said.say("dish"),
                   said.say("can be changed"), notes, names)  # fmt: skip
    return table, lines, tuple(found)


def _table(looks: Looks, page: str, heading: str, title: str, when: str, kitchen: str, declarations: Sequence[Declaration],
           first: str, second: str, notes: _Notes, names: Mapping[str, str]) -> Table:  # fmt: skip
    one = declarations[0] if declarations else None
    foot, checked = "", ""
    if one is not None:
        checked = notes.said.day(one.law_date)
        foot = notes.said.versions(one.law, one.law_date, one.kitchen_version, one.data_version)
    cautions = tuple(dict.fromkeys(caution for each in declarations for caution in each.cautions))
    size = sheet.page_size(looks, page, landscape=True)
    return Table(looks, sheet.faces(looks), size, heading, title, when, kitchen, foot, cautions, checked, first, second,
                 _columns(declarations), names, tuple(notes.texts), words=notes.said)  # fmt: skip


def _columns(declarations: Sequence[Declaration]) -> tuple[str, ...]:
    """Every allergen of the law in its order; kinds outside the law's list only where one is on record."""
    keys = dict.fromkeys(key for one in declarations for key in one.states) or dict.fromkeys(GROUPS)
    return tuple(key for key in keys
                 if key in GROUPS or any(one.states.get(key, (NONE_ON_RECORD,))[0] != NONE_ON_RECORD
                                         for one in declarations))  # fmt: skip


def _line(number: int, course: str, one: Declaration, change: str, notes: _Notes, names: Mapping[str, str]) -> Line:
    name = both_names(one.dish, one.title if one.record.kind == "pack" else "")  # the label has its legal name
    if one.stopped:
        stops = [item for item in one.findings + one.record.findings if item.severity == STOP]
        why = f"{stops[0].text} ({stops[0].place})" if stops else "a problem on record makes its declaration untrue"
        return Line(number, course, name, "", {}, why)
    cells = {key: _parts(one, key, notes, names) for key in one.states}
    return Line(number, course, name, change, cells)


def _changes(components: Sequence[Component], said: GuestWords) -> str:
    parts = []
    for component in components:
        if component.leave_off and component.instead:
            parts.append(said.say("left off or exchanged", component.name, component.instead))
        elif component.leave_off:
            parts.append(said.say("left off", component.name))
        elif component.instead:
            parts.append(said.say("exchanged", component.name, component.instead))
    return "\n".join(parts)


def _parts(one: Declaration, key: str, notes: _Notes, names: Mapping[str, str]
           ) -> tuple[tuple[str, str, tuple[int, ...]], ...]:  # fmt: skip
    return tuple((part.state, notes.said.say("others") if part.rest else part.words, _reasons(one, part.state, part.facts, notes))
                 for part in parts(one, key, names))  # fmt: skip


def _reasons(one: Declaration, state: str, facts: Sequence[AllergenFact], notes: _Notes) -> tuple[int, ...]:
    if state == CONTAINS:  # only what a law lets off the label needs a word: the guest is told all the same
        exempt = [dict(fact.exempt).get(one.law) for fact in facts]
        if not facts or not all(exempt):
            return ()
        return tuple(dict.fromkeys(notes.number(notes.said.say("exempt", source(fact), notes.said.law(one.law), section))
                                   for fact, section in zip(facts, exempt, strict=True)))  # fmt: skip
    return tuple(dict.fromkeys(notes.number(reason(fact)) for fact in facts))
