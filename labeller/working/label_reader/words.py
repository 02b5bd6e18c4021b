"""Reads one piece of text: which phrases of the lexicon stand in it, where, and which words are not known.

Every phrase that is not wholly inside a longer one counts: in "rice milk chocolate" both "rice milk" and "milk chocolate"
do, so a harmless phrase never swallows an allergen's word that belongs to another phrase as well.
"""

from __future__ import annotations

from collections.abc import Collection
from functools import lru_cache

from msgspec import Struct
from msgspec.structs import replace

from labeller.terms.lexicon import Entry, Lexicon
from labeller.working.label_reader import denials
from labeller.working.label_reader.tokens import resembled, spans_of, tokens_of

QUIET = frozenset(("plain", "origin", "category"))
NEVER, OUTSIDE, ALWAYS = 0, 1, 2
_CLEAR_ROLES = frozenset(("name", "product", "group", "keep", "plain", "origin", "category"))
_CLEAR_OUTSIDE = _CLEAR_ROLES | {"whole", "dish", "grain", "source", "oilsource"}
_OF_OILS = frozenset(("soybeans", "peanuts", "tree_nuts"))


class Match(Struct, frozen=True):
    """first, after: token numbers. entry: what the lexicon says. words: the words as printed."""

    first: int
    after: int
    entry: Entry
    words: str


class Reading(Struct, frozen=True):
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
    tokens = tokens_of(text, lexicon)
    words, spans, odd = tokens.words, tokens.spans, tokens.odd
    if not words:
        return NOTHING
    found = _phrases_in(words, odd, lexicon)
    known = sum([word in lexicon.longest for word in words])
    roles = frozenset([entry.role for _, _, entry in found])
    numbers = tuple([word for word in words if word[0].isdigit() and f"e{word}" in lexicon.phrases])
    if roles <= QUIET and not odd and not numbers:
        return Reading(tuple(words), tuple([Match(*one, "") for one in found]), (), known, False, roles)
    spans = spans or spans_of(text)
    unknown = tuple([text[spans[place][0] : spans[place][1]] for place in sorted(odd)])
    matches = tuple([Match(first, after, entry, text[spans[first][0] : spans[after - 1][1]]) for first, after, entry in found])
    loud = bool(numbers) or any(_counts(entry) for _, _, entry in found)
    reading = Reading(tuple(words), matches, unknown, known, loud, roles, numbers=numbers)
    if not roles.isdisjoint(denials.DENYING):
        denied = denials.denied_in(reading)
        return replace(reading, denied=frozenset(denied), off=denials.denied_kinds(matches, denied, lexicon.groups))
    return _with_plain_speech(reading, lexicon) if loud and roles <= _CLEAR_OUTSIDE and not numbers else reading


def _phrases_in(words: list[str], odd: Collection[int], lexicon: Lexicon) -> list[tuple[int, int, Entry]]:
    """(first, after, entry) of every phrase that is not wholly inside one before it."""
    longest, phrases = lexicon.longest, lexicon.phrases
    found: list[tuple[int, int, Entry]] = []
    covered, count = 0, len(words)
    for place, word in enumerate(words):
        size = longest.get(word)
        if size is None:
            entry = resembled(word, lexicon) if place in odd else None
            if entry:
                covered = place + 1
                found.append((place, covered, entry))
            continue
        for after in range(min(place + size, count), max(place, covered), -1):
            entry = phrases.get(word if after == place + 1 else " ".join(words[place:after]))
            if entry is not None:
                covered = after
                found.append((place, after, entry))
                break
    return found


def _counts(entry: Entry) -> bool:
    return entry.role not in QUIET and bool(entry.contains or entry.unsettled or entry.role not in _CLEAR_OUTSIDE)


def _with_plain_speech(reading: Reading, lexicon: Lexicon) -> Reading:
    for match in reading.matches:
        entry = match.entry
        if entry.exempt and (entry.contains or entry.unsettled) or entry.unsure or entry.variant or "fish" in entry.contains:
            return reading
        if entry.role == "whole" and ("source" in reading.roles or lexicon.groups[entry.contains[0]] in _OF_OILS):
            return reading
    return replace(
        reading,
        said=tuple([(kind, m.words, m.entry.role) for m in reading.matches for kind in m.entry.contains]),
        doubted=tuple([(kind, m.words) for m in reading.matches for kind in m.entry.unsettled]),
        clear=ALWAYS if reading.roles <= _CLEAR_ROLES else OUTSIDE,
    )
