"""The allergen matrix: dishes down, the allergens of the law across, every state in words.

Nothing is computed here: a cell shows the state and the kinds of the declaration, and the lesser facts that its worst state
would otherwise hide ("contains wheat", and of an unread jar "not confirmed: barley").
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from labeller.printing import sheet
from labeller.printing.matrix_page import pages
from labeller.printing.matrix_rows import Line, Table
from labeller.printing.sheet import Page
from labeller.printing.states import parts, reason, source
from labeller.printing.words import (
    LAWS,
    day_words,
    language_finding,
    service_words,
)
from labeller.terms.allergens import (
    CONTAINS,
    GROUPS,
    NONE_ON_RECORD,
    AllergenFact,
)
from labeller.terms.findings import STOP, Finding, finding
from labeller.terms.kitchen import Menu
from labeller.terms.looks import Looks
from labeller.terms.record import Component, Declaration
from labeller.terms.words import normalise


def matrix_pdf(menu: Menu, declarations: Sequence[Declaration], *, date: str, page: str = "A4", kitchen_name: str = "",
               language: str = "en", looks: Looks, names: Mapping[str, str] | None = None, issue: str = "",
               ) -> tuple[bytes, tuple[Finding, ...]]:  # fmt: skip
    """The matrix of a menu, landscape.

    declarations: one for each dish and pack of the menu, under one law; a dish of the menu that has none keeps a row without
    an answer, and is a finding. date: ISO date of service ("": the menu's own dates). page: ``A4`` or ``Letter``. names:
    kind key -> word, for kinds that the declaration's own words do not name. issue: who signed this state, at
    the foot. Returns the PDF and what a person must see to.
    """
    table, lines, found = _menu_table(menu, declarations, date, page, kitchen_name, looks, names or {})
    table = table._replace(issue=issue)
    laid, more = pages(table, lines)
    data = sheet.paint(laid, table.size, title=f"Allergen matrix: {menu.name}", author=kitchen_name,
                       subject=table.foot, language=language)  # fmt: skip
    return data, found + more + sheet.letters_and_fonts(laid, looks) + language_finding(language)


def component_matrix_pdf(title: str, declarations: Sequence[Declaration], *, date: str, page: str = "A4",
                         kitchen_name: str = "", language: str = "en", looks: Looks,
                         used_in: Mapping[str, Sequence[str]] | None = None, names: Mapping[str, str] | None = None,
                         issue: str = "",
                         ) -> tuple[bytes, tuple[Finding, ...]]:  # fmt: skip
    """The same table for the chef: a row for each sub-recipe. used_in: name -> dishes that use it."""
    notes = _Notes()
    lines = [_line(0, "", one, "\n".join((used_in or {}).get(one.dish, ())), notes, names or {}) for one in declarations]
    table = _table(looks, page, "Component matrix", title, day_words(date, weekday=True), kitchen_name, declarations,
                   "Component", "Used in", notes, names or {})._replace(issue=issue)  # fmt: skip
    laid, found = pages(table, lines)
    data = sheet.paint(laid, table.size, title=f"Component matrix: {title}", author=kitchen_name, subject=table.foot,
                       language=language)  # fmt: skip
    return data, found + sheet.letters_and_fonts(laid, looks) + language_finding(language)


def matrix_pages(menu: Menu, declarations: Sequence[Declaration], *, date: str, page: str = "A4", kitchen_name: str = "",
                 looks: Looks, names: Mapping[str, str] | None = None) -> list[Page]:  # fmt: skip
    """The placed pages of :func:`matrix_pdf`, for whoever wants to look at what stands where."""
    table, lines, _ = _menu_table(menu, declarations, date, page, kitchen_name, looks, names or {})
    return pages(table, lines)[0]


class _Notes:
    """Footnotes in the order they are first needed, each once. Lives for one document only."""

    def __init__(self) -> None:
        self.texts: dict[str, int] = {}

    def number(self, text: str) -> int:
        return self.texts.setdefault(text, len(self.texts) + 1)


def _menu_table(menu: Menu, declarations: Sequence[Declaration], date: str, page: str, kitchen_name: str, looks: Looks,
                names: Mapping[str, str]) -> tuple[Table, list[Line], tuple[Finding, ...]]:  # fmt: skip
    by_name = {normalise(one.dish): one for one in declarations}
    courses = [(number, course.title, name) for number, course in enumerate(menu.courses) for name in course.dishes]
    courses += [(len(menu.courses), "Packs", name) for name in menu.packs]
    listed = {normalise(name) for *_, name in courses}
    courses += [(len(menu.courses) + 1, "Also", one.dish) for one in declarations if normalise(one.dish) not in listed]
    notes, lines, found = _Notes(), [], []
    for number, course, name in courses:
        one = by_name.get(normalise(name))
        if one is not None:
            lines.append(_line(number, course, one, _changes(one.record.components) or "as written only", notes, names))
            continue
        text = f"“{name}” is on the menu “{menu.name}” and has no declaration; its row gives no answer"
        found.append(finding("dish-without-declaration", menu.place, text, "run labeller check and mend what stops it"))
        lines.append(Line(number, course, name, "", {}, "no declaration was made"))
    when = day_words(date, weekday=True) if date else service_words(menu.starts, menu.ends)
    table = _table(looks, page, "Allergen matrix", menu.name, when, kitchen_name, declarations, "Dish", "Can be changed",
                   notes, names)  # fmt: skip
    return table, lines, tuple(found)


def _table(looks: Looks, page: str, heading: str, title: str, when: str, kitchen: str, declarations: Sequence[Declaration],
           first: str, second: str, notes: _Notes, names: Mapping[str, str]) -> Table:  # fmt: skip
    one = declarations[0] if declarations else None
    foot, checked = "", ""
    if one is not None:
        law = f"law: {LAWS.get(one.law, one.law)}, as of {day_words(one.law_date)}"
        foot = " · ".join((law, f"kitchen version {one.kitchen_version}", f"data version {one.data_version}"))
        checked = day_words(one.law_date)
    cautions = tuple(dict.fromkeys(caution for each in declarations for caution in each.cautions))
    size = sheet.page_size(looks, page, landscape=True)
    return Table(looks, sheet.faces(looks), size, heading, title, when, kitchen, foot, cautions, checked, first, second,
                 _columns(declarations), names, tuple(notes.texts))  # fmt: skip


def _columns(declarations: Sequence[Declaration]) -> tuple[str, ...]:
    """Every allergen of the law in its order; kinds outside the law's list only where one is on record."""
    keys = dict.fromkeys(key for one in declarations for key in one.states) or dict.fromkeys(GROUPS)
    return tuple(key for key in keys
                 if key in GROUPS or any(one.states.get(key, (NONE_ON_RECORD,))[0] != NONE_ON_RECORD
                                         for one in declarations))  # fmt: skip


def _line(number: int, course: str, one: Declaration, change: str, notes: _Notes, names: Mapping[str, str]) -> Line:
    name = one.dish  # the kitchen's name for it; the legal name is the label's
    if one.stopped:
        stops = [item for item in one.findings + one.record.findings if item.severity == STOP]
        why = f"{stops[0].text} ({stops[0].place})" if stops else "a problem on record makes its declaration untrue"
        return Line(number, course, name, "", {}, why)
    cells = {key: _parts(one, key, notes, names) for key in one.states}
    return Line(number, course, name, change, cells)


def _changes(components: Sequence[Component]) -> str:
    parts = []
    for component in components:
        ways = (["can be left off"] if component.leave_off else [])
        ways += [f"or {component.instead} instead" if ways else f"{component.instead} instead"] if component.instead else []
        if ways:
            parts.append(f"{component.name}: {' '.join(ways)}")
    return "\n".join(parts)


def _parts(one: Declaration, key: str, notes: _Notes, names: Mapping[str, str]
           ) -> tuple[tuple[str, str, tuple[int, ...]], ...]:  # fmt: skip
    return tuple((part.state, part.words, _reasons(one, part.state, part.facts, notes)) for part in parts(one, key, names))


def _reasons(one: Declaration, state: str, facts: Sequence[AllergenFact], notes: _Notes) -> tuple[int, ...]:
    if state == CONTAINS:  # only what a law lets off the label needs a word: the guest is told all the same
        exempt = [dict(fact.exempt).get(one.law) for fact in facts]
        if not facts or not all(exempt):
            return ()
        return tuple(dict.fromkeys(notes.number(f"{source(fact)}: on no label by {LAWS.get(one.law, one.law)} law, {section}; "
                                                "told to guests all the same")
                                   for fact, section in zip(facts, exempt, strict=True)))  # fmt: skip
    return tuple(dict.fromkeys(notes.number(reason(fact)) for fact in facts))
