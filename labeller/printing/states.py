"""What a declaration records of one allergen, and of all, in the words of the sheets."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from labeller.printing.guest_words import LEADS, GuestWords
from labeller.printing.words import STATES, kind_word
from labeller.terms.allergens import (
    CONTAINS,
    NONE_ON_RECORD,
    TO_CONFIRM,
    AllergenFact,
)
from labeller.terms.record import Declaration


class Part(NamedTuple):
    """One state of a cell: its kinds in words as a cell has them ("wheat, barley"; "others"; "" where the column's own name
    says it all), the facts it rests on, and the kinds named in full, for a line without a column. rest: it is what else the
    group holds."""

    state: str
    words: str
    facts: tuple[AllergenFact, ...] = ()
    full: str = ""
    rest: bool = False


Told = tuple[str, tuple[AllergenFact, ...]]  # words, and the facts behind them


def parts(one: Declaration, key: str, names: Mapping[str, str]) -> tuple[Part, ...]:
    """The states of an allergen, worst first, each with the kinds that no worse one holds: what a plate contains of wheat must
    not hide the barley of an unread jar."""
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
    out = []
    for place, (each, fresh, held) in enumerate(found):
        full = ready[place] if ready else ", ".join(kind_word(kind, names) for kind in fresh)
        whole = fresh == (key,)  # the group itself, which of it is not known
        plain = whole and each not in (CONTAINS, TO_CONFIRM)
        out.append(Part(each, "others" if whole and place else "" if plain else full, held, full, bool(whole and place)))
    return tuple(out)


def _ready(cell: str, count: int) -> list[str]:
    """The declaration's own words for each state ("wheat; not confirmed: barley" -> wheat, barley); [] when it has others."""
    pieces = cell.split("; ")
    return [piece.split(": ")[-1] for piece in pieces] if cell and len(pieces) == count else []


def source(fact: AllergenFact) -> str:
    """Where a fact comes from, in one name: the last of its path, else its route."""
    return fact.path[-1] if fact.path else fact.route


def reason(fact: AllergenFact) -> str:
    """Why, in one line; evidence that begins with its source is not told twice."""
    return fact.evidence if fact.evidence.startswith(f"{source(fact)}") else f"{source(fact)}: {fact.evidence}"


def told(one: Declaration, names: Mapping[str, str], other: str = "other {}") -> dict[str, list[Told]]:
    """State -> words of all that stands in it, with their facts, worst state first. other: how the rest of a group is told
    ("other nuts")."""
    out: dict[str, list[Told]] = {state: [] for state in LEADS}
    for key in one.states:
        for part in parts(one, key, names):
            if part.state != NONE_ON_RECORD:
                out[part.state].append((other.replace("{}", part.full) if part.rest else part.full, part.facts))
    return {state: found for state, found in out.items() if found}


def by_state(one: Declaration, names: Mapping[str, str], other: str = "other {}") -> dict[str, list[str]]:
    """As :func:`told`, the words alone."""
    return {state: [words for words, _ in found] for state, found in told(one, names, other).items()}


def guest_lines(one: Declaration, names: Mapping[str, str], words: GuestWords) -> tuple[str, ...]:
    """The lines under a dish on a card that guests read: every allergen of the record, whether or not the law of the label
    lists it (a "Contains" statement of a pack's law may know fewer)."""
    if one.stopped:
        return (words.say("no answer"),)
    found = by_state(one, names, words.say("other"))
    lines = tuple(words.say(LEADS[state], ", ".join(kinds)) for state, kinds in found.items())
    return lines or (words.say("none", words.day(one.law_date)),)
