"""Reads one piece of text: which phrases of the lexicon stand in it, where, and which words are not known.

Every phrase that is not wholly inside a longer one counts: in "rice milk chocolate" both "rice milk" and "milk chocolate"
do, so a harmless phrase never swallows an allergen's word that belongs to another phrase as well.
"""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

from labeller.terms.lexicon import Entry, Lexicon
from labeller.working.label_reader import denials
from labeller.working.label_reader.tokens import resembled, tokens_of

QUIET = frozenset(("plain", "origin", "category"))
NEVER, OUTSIDE, ALWAYS = 0, 1, 2
_CLEAR_ROLES = frozenset(("name", "product", "group", "keep", "plain", "origin", "category"))
_CLEAR_OUTSIDE = _CLEAR_ROLES | {"whole", "dish", "grain", "source", "oilsource"}
_OF_OILS = frozenset(("soybeans", "peanuts", "tree_nuts"))


class Match(NamedTuple):
    """first, after: token numbers. entry: what the lexicon says. words: the words as printed."""

    first: int
    after: int
    entry: Entry
    words: str


class Reading(NamedTuple):
    """One piece as read. tokens: folded, singular. matches: every phrase found, in order. unknown: words as printed.
    known: tokens that the lexicon has. loud: something in it counts or steers. roles: roles of its matches. denied: numbers of
    the matches that are denied within the piece. off: kinds that those denials take off the products beside them. numbers: bare
    numbers that would be additives of the lexicon ("322"). said (kind, words, role) and doubted (kind, words): all that the piece
    says, where its neighbours have nothing to add; clear: whether that is so ALWAYS, only OUTSIDE every bracket, or NEVER."""

    tokens: tuple[str, ...] = ()
    matches: tuple[Match, ...] = ()
    unknown: tuple[str, ...] = ()
    known: int = 0
    loud: bool = False
    roles: frozenset[str] = frozenset()
    denied: frozenset[int] = frozenset()
    off: frozenset[str] = frozenset()
    numbers: tuple[str, ...] = ()
    said: tuple[tuple[str, str, str], ...] = ()
    doubted: tuple[tuple[str, str], ...] = ()
    clear: int = NEVER


NOTHING = Reading()


@lru_cache(maxsize=16384)
def read_words(text: str, lexicon: Lexicon) -> Reading:
    """The phrases in one piece. Depends on its arguments only; kept, because labels repeat their ingredients."""
    words, spans, odd = tokens_of(text, lexicon)
    if not words:
        return NOTHING
    longest, phrases = lexicon.longest, lexicon.phrases
    matches: list[Match] = []
    unknown: list[str] = []
    covered = known = 0
    for place, word in enumerate(words):
        size = longest.get(word)
        if size is None:
            if place in odd:
                unknown.append(text[spans[place][0] : spans[place][1]])
                entry = resembled(word, lexicon)
                if entry:
                    matches.append(Match(place, place + 1, entry, unknown[-1]))
                    covered = place + 1
            continue
        known += 1
        for after in range(min(place + size, len(words)), max(place, covered), -1):
            entry = phrases.get(word if after == place + 1 else " ".join(words[place:after]))
            if entry is not None:
                matches.append(Match(place, after, entry, text[spans[place][0] : spans[after - 1][1]]))
                covered = after
                break
    numbers = tuple([token for token in words if token.isdigit() and f"e{token}" in phrases])
    roles = frozenset([match.entry.role for match in matches])
    loud = bool(numbers) or (not roles <= QUIET and any(_counts(match.entry) for match in matches))
    reading = Reading(tuple(words), tuple(matches), tuple(unknown), known, loud, roles, numbers=numbers)
    if not loud:
        return reading
    if not roles.isdisjoint(denials.DENYING):
        denied = denials.denied_in(reading)
        off = denials.denied_kinds(reading.matches, denied, lexicon.groups)
        return reading._replace(denied=frozenset(denied), off=off)
    return _with_plain_speech(reading, lexicon) if roles <= _CLEAR_OUTSIDE and not numbers else reading


def _counts(entry: Entry) -> bool:
    return entry.role not in QUIET and bool(entry.contains or entry.unsettled or entry.role not in _CLEAR_OUTSIDE)


def _with_plain_speech(reading: Reading, lexicon: Lexicon) -> Reading:
    for match in reading.matches:
        entry = match.entry
        if entry.exempt and (entry.contains or entry.unsettled) or entry.unsure or entry.variant or "fish" in entry.contains:
            return reading
        if entry.role == "whole" and ("source" in reading.roles or lexicon.groups[entry.contains[0]] in _OF_OILS):
            return reading
    return reading._replace(
        said=tuple([(kind, m.words, m.entry.role) for m in reading.matches for kind in m.entry.contains]),
        doubted=tuple([(kind, m.words) for m in reading.matches for kind in m.entry.unsettled]),
        clear=ALWAYS if reading.roles <= _CLEAR_ROLES else OUTSIDE,
    )
