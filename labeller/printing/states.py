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
    RANK,
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
    """The declared state of an allergen first, then each lesser state with the kinds that only it holds: what a plate
    contains of wheat must not hide the barley of an unread jar."""
    state, kinds, facts = one.states[key]
    if state == NONE_ON_RECORD:
        return (Part(state, ""),)
    words = one.allergen_words.get(key) or ", ".join(kind_word(kind, names) for kind in kinds or (key,))
    out = [Part(state, words, tuple(fact for fact in facts if fact.state == state))]
    shown = set(kinds) | {fact.kind for fact in facts if fact.state == state}
    for lesser in STATES:
        if RANK[lesser] <= RANK[state] or lesser == NONE_ON_RECORD:
            continue
        more = tuple(fact for fact in facts if fact.state == lesser and fact.kind not in shown)
        if more:
            only = dict.fromkeys(fact.kind for fact in more)
            said = ", ".join("others" if kind == key else kind_word(kind, names) for kind in only)
            out.append(Part(lesser, said, more))
            shown.update(only)
    return tuple(out)


def source(fact: AllergenFact) -> str:
    """Where a fact comes from, in one name: the last of its path, else its route."""
    return fact.path[-1] if fact.path else fact.route


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
                out[part.state].append(part.words)
    return {state: words for state, words in out.items() if words}


def guest_lines(one: Declaration, names: Mapping[str, str]) -> tuple[str, ...]:
    """The lines under a dish on a card that guests read: every allergen of the record, whether or not the law of the label
    lists it (a "Contains" statement of a pack's law may know fewer)."""
    if one.stopped:
        return (NO_ANSWER,)
    lines = tuple(f"{_LEADS[state]}: {', '.join(words)}" for state, words in by_state(one, names).items())
    return lines or (f"None of the listed allergens on record, checked {day_words(one.law_date)}",)
