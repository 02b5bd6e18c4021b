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
    numbers that would be additives of the lexicon ("322")."""

    tokens: tuple[str, ...] = ()
    matches: tuple[Match, ...] = ()
    unknown: tuple[str, ...] = ()
    known: int = 0
    loud: bool = False
    roles: frozenset[str] = frozenset()
    denied: frozenset[int] = frozenset()
    off: frozenset[str] = frozenset()
    numbers: tuple[str, ...] = ()


NOTHING = Reading()
QUIET = frozenset(("plain", "origin", "category"))


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
    return _with_denials(Reading(tuple(words), tuple(matches), tuple(unknown), known), lexicon)


def _with_denials(reading: Reading, lexicon: Lexicon) -> Reading:
    roles = frozenset([match.entry.role for match in reading.matches])
    numbers = tuple([token for token in reading.tokens if token.isdigit() and f"e{token}" in lexicon.phrases])
    reading = reading._replace(loud=bool(numbers) or not roles <= QUIET, roles=roles, numbers=numbers)
    if roles.isdisjoint(denials.DENYING):
        return reading
    denied = denials.denied_in(reading)
    off = denials.denied_kinds(reading.matches, denied, lexicon.groups)
    return reading._replace(denied=frozenset(denied), off=off)
