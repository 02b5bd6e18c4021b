"""From allergen facts to one worst state per group, without losing the others, in words for a cell of the matrix."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from labeller.terms.allergens import (
    CONTAINS,
    CROSS_CONTACT,
    GROUPS,
    MAY_CONTAIN,
    NONE_ON_RECORD,
    NOT_CONFIRMED,
    RANK,
    STATES,
    TO_CONFIRM,
    AllergenFact,
    Kind,
)  # fmt: skip
from labeller.terms.laws import Words

_PHRASE = {TO_CONFIRM: "to confirm", MAY_CONTAIN: "may contain", CROSS_CONTACT: "cross contact", NOT_CONFIRMED: "not confirmed"}


class State(NamedTuple):
    """state: the worst of the group. kinds: in that state, finest first as recorded. facts: all of the group, worst first."""

    state: str
    kinds: tuple[str, ...]
    facts: tuple[AllergenFact, ...]


def group_of(kind: str, kinds: Mapping[str, Kind]) -> str:
    """Group of a kind; a kind outside every list, or one that the vocabulary doesn't know, stands for itself."""
    known = kinds.get(kind)
    return known.group if known and known.group != "other" else kind


def states_of(facts: tuple[AllergenFact, ...], kinds: Mapping[str, Kind], stopped: bool) -> dict[str, State]:
    """A state for each of GROUPS, and for each other kind on record. A dish without an answer has no "none on record"."""
    by_group: dict[str, list[AllergenFact]] = {group: [] for group in GROUPS}
    for fact in facts:
        by_group.setdefault(group_of(fact.kind, kinds), []).append(fact)
    return {group: _worst(group_facts, stopped) for group, group_facts in by_group.items()}


def _worst(facts: list[AllergenFact], stopped: bool) -> State:
    if not facts:
        return State(NOT_CONFIRMED if stopped else NONE_ON_RECORD, (), ())
    ordered = sorted(facts, key=lambda fact: RANK[fact.state])
    return State(ordered[0].state, _kinds_in(ordered[0].state, ordered), tuple(ordered))


def _kinds_in(state: str, facts: list[AllergenFact] | tuple[AllergenFact, ...]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(fact.kind for fact in facts if fact.state == state))


def cell_words(group: str, state: State, words: Words, kinds: Mapping[str, Kind], none_on_record: str) -> str:
    """Words of one cell: what it contains by name ("wheat, barley"), then each other state with the kinds that are in it
    and in no worse one ("wheat; not confirmed: barley"). Never a dash, never blank."""
    if state.state == NONE_ON_RECORD:
        return none_on_record
    told: set[str] = set()
    parts = []
    for each in STATES:
        names = _names(_kinds_in(each, state.facts), told, words, kinds)
        if names:
            parts.append(_part(each, names, words))
    return "; ".join(parts) or words.phrases["not confirmed"]


def _names(found: tuple[str, ...], told: set[str], words: Words, kinds: Mapping[str, Kind]) -> str:
    """Names of the kinds not told yet in a worse state."""
    fresh = [kind for kind in found if kind not in told]
    told.update(fresh)
    return ", ".join(_with_parent(kind, words, kinds) for kind in fresh)


def _with_parent(kind: str, words: Words, kinds: Mapping[str, Kind]) -> str:
    """"spelt (wheat)"."""
    name, parent = name_of(kind, words, kinds), kinds[kind].parent if kind in kinds else ""
    return f"{name} ({name_of(parent, words, kinds)})" if parent else name


def _part(state: str, names: str, words: Words) -> str:
    return names if state == CONTAINS else f"{words.phrases[_PHRASE[state]]}: {names}"


def name_of(kind: str, words: Words, kinds: Mapping[str, Kind]) -> str:
    """Name of a kind in a language; in English the vocabulary's own. Where the language has no word for it: its group's
    ("trout" is a fish), else its key in brackets."""
    if kind in words.kinds:
        return words.kinds[kind]
    if words.language == "en" and kind in kinds:
        return kinds[kind].name
    return words.kinds.get(group_of(kind, kinds), f"[{kind}]")
