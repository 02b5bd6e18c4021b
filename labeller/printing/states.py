"""What a declaration records of one allergen, and of all, in the words of the sheets."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from labeller.printing.words import NO_ANSWER, STATES, day_words, kind_word
from labeller.terms.allergens import (
    CONTAINS,
    CROSS_CONTACT,
    MAY_CONTAIN,
    NONE_ON_RECORD,
    NOT_CONFIRMED,
    TO_CONFIRM,
    AllergenFact,
)
from labeller.terms.record import Declaration


class Part(NamedTuple):
    """One state of a cell, its kinds in words ("wheat, barley") and the facts it rests on."""

    state: str
    words: str
    facts: tuple[AllergenFact, ...] = ()


def parts(one: Declaration, key: str, names: Mapping[str, str]) -> tuple[Part, ...]:
    """The states of an allergen, worst first, each with the kinds that no worse one holds: what a plate contains of wheat must
    not hide the barley of an unread jar. words is empty where the column's own name says it all."""
    state, kinds, facts = one.states[key]
    if state == NONE_ON_RECORD:
        return (Part(state, ""),)
    shown: set[str] = set()
    found: list[tuple[str, tuple[str, ...], tuple[AllergenFact, ...]]] = []
    for each in STATES:
        held = tuple(fact for fact in facts if fact.state == each)
        fresh = tuple(dict.fromkeys(fact.kind for fact in held if fact.kind not in shown))
        if each == state and not fresh:
            fresh = kinds or (key,)
        if fresh and each != NONE_ON_RECORD:
            found.append((each, fresh, tuple(fact for fact in held if fact.kind in fresh)))
            shown.update(fresh)
    ready = _ready(one.allergen_words.get(key, ""), len(found))
    return tuple(Part(each, _words(key, each, fresh, ready[place] if ready else "", place, names), held)
                 for place, (each, fresh, held) in enumerate(found))  # fmt: skip


def _ready(cell: str, count: int) -> list[str]:
    """The declaration's own words for each state ("wheat; not confirmed: barley" -> wheat, barley); [] when it has others."""
    pieces = cell.split("; ")
    return [piece.split(": ")[-1] for piece in pieces] if cell and len(pieces) == count else []


def _words(key: str, state: str, fresh: tuple[str, ...], ready: str, place: int, names: Mapping[str, str]) -> str:
    if fresh == (key,) and place:
        return "others"
    if fresh == (key,) and state not in (CONTAINS, TO_CONFIRM):
        return ""
    return ready or ", ".join(kind_word(kind, names) for kind in fresh)


def source(fact: AllergenFact) -> str:
    """Where a fact comes from, in one name: the last of its path, else its route."""
    return fact.path[-1] if fact.path else fact.route


def reason(fact: AllergenFact) -> str:
    """Why, in one line; evidence that begins with its source is not told twice."""
    return fact.evidence if fact.evidence.startswith(f"{source(fact)}") else f"{source(fact)}: {fact.evidence}"


_LEADS = {
    CONTAINS: "Contains",
    TO_CONFIRM: "Contains, to be confirmed",
    MAY_CONTAIN: "May contain, by a supplier’s warning",
    CROSS_CONTACT: "May contain, from shared equipment",
    NOT_CONFIRMED: "Not confirmed",
}


def by_state(one: Declaration, names: Mapping[str, str]) -> dict[str, list[str]]:
    """State -> words of all that stands in it, worst state first."""
    out: dict[str, list[str]] = {state: [] for state in _LEADS}
    for key in one.states:
        for part in parts(one, key, names):
            if part.state != NONE_ON_RECORD:
                out[part.state].append(_in_a_line(part.words, key, names))
    return {state: words for state, words in out.items() if words}


def _in_a_line(words: str, key: str, names: Mapping[str, str]) -> str:
    """Away from its column, an allergen is named: "other nuts"."""
    group = kind_word(key, names)
    return group if not words else f"other {group}" if words == "others" else words


def guest_lines(one: Declaration, names: Mapping[str, str]) -> tuple[str, ...]:
    """The lines under a dish on a card that guests read: every allergen of the record, whether or not the law of the label
    lists it (a "Contains" statement of a pack's law may know fewer)."""
    if one.stopped:
        return (NO_ANSWER,)
    lines = tuple(f"{_LEADS[state]}: {', '.join(words)}" for state, words in by_state(one, names).items())
    return lines or (f"None of the listed allergens on record, checked {day_words(one.law_date)}",)
