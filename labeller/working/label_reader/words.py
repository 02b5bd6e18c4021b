"""Reads one piece of text: which phrases of the lexicon stand in it, where, and which words are not known.

Every phrase that is not wholly inside a longer one counts: in "rice milk chocolate" both "rice milk" and "milk chocolate"
do, so a harmless phrase never swallows an allergen's word that belongs to another phrase as well.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import NamedTuple
from unicodedata import combining
from unicodedata import normalize as unicode_form

from labeller.terms.lexicon import Entry, Lexicon
from labeller.terms.words import singular
from labeller.working.label_reader import denials

_WORD = re.compile(r"[^\W_]+")
_LIGATURES = str.maketrans({"œ": "oe", "æ": "ae", "ß": "ss", "ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "ı": "i"})
_NUMBER = re.compile(r"e?\d+[a-z]{0,3}")
_ENUMBER = re.compile(r"e?(\d{3,4})([a-z]?)(?:i|ii|iii|iv|v|vi)?")
_ELISIONS = frozenset(("l", "d", "dell", "un", "all", "dall", "nell", "sull", "qu", "s"))
_FREE_ENDINGS = ("free", "frei", "freie", "freies", "freier", "freien", "vrij", "vrije", "fri", "fritt", "fria")


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
    tokens, spans, odd = _tokens(text, lexicon)
    if not tokens:
        return NOTHING
    longest, phrases = lexicon.longest, lexicon.phrases
    matches: list[Match] = []
    covered = known = 0
    unknown: list[str] = []
    count = len(tokens)
    for place in range(count):
        word = tokens[place]
        size = longest.get(word)
        if size is None:
            if place >= covered and place in odd:
                unknown.append(text[spans[place][0] : spans[place][1]])
            continue
        known += 1
        for after in range(min(place + size, count), place, -1):
            entry = phrases.get(word if after == place + 1 else " ".join(tokens[place:after]))
            if entry is not None:
                if after > covered:
                    covered = after
                    matches.append(Match(place, after, entry, text[spans[place][0] : spans[after - 1][1]]))
                break
    return _with_denials(Reading(tuple(tokens), tuple(matches), tuple(unknown), known), lexicon)


def _with_denials(reading: Reading, lexicon: Lexicon) -> Reading:
    roles = frozenset([match.entry.role for match in reading.matches])
    numbers = tuple([token for token in reading.tokens if token.isdigit() and f"e{token}" in lexicon.phrases])
    reading = reading._replace(loud=bool(numbers) or not roles <= QUIET, roles=roles, numbers=numbers)
    if roles.isdisjoint(denials.DENYING):
        return reading
    denied = denials.denied_in(reading)
    off = denials.denied_kinds(reading.matches, denied, lexicon.groups)
    return reading._replace(denied=frozenset(denied), off=off)


def _tokens(text: str, lexicon: Lexicon) -> tuple[list[str], list[tuple[int, int]], set[int]]:
    """Folded singular words with their place in the text, and the numbers of those the lexicon doesn't know."""
    longest = lexicon.longest
    tokens: list[str] = []
    spans: list[tuple[int, int]] = []
    odd: set[int] = set()
    for found in _WORD.finditer(text):
        start, end = span = found.span()
        word = found.group().lower()
        if not word.isascii():
            word = fold_word(word)
        if len(word) == 1 and start and text[start - 1] in "'’" and word == "s":
            if spans:
                spans[-1] = (spans[-1][0], end)
            continue
        if word in longest:
            tokens.append(word)
        elif word.isdigit():
            if tokens and tokens[-1] in ("e", "ins", "sin") and start - spans[-1][1] <= 2:
                tokens[-1] = "e" + word
                spans[-1] = (spans[-1][0], end)
                continue
            tokens.append(word)
        elif (one := singular(word)) in longest:
            tokens.append(one)
        elif _NUMBER.fullmatch(word):
            number = _ENUMBER.fullmatch(word)
            bare = f"e{number[1]}" if number else word
            tokens.append(bare if bare in longest and word[0] == "e" else word)
        elif word in _ELISIONS:
            continue
        else:
            parts = compound(word, lexicon)
            if parts:
                tokens.extend(parts)
                spans.extend([span] * len(parts))
                continue
            if len(word) > 2:
                odd.add(len(tokens))
            tokens.append(word)
        spans.append(span)
    if "-" in text:
        tokens, spans = _hyphens_joined(text, tokens, spans, lexicon, odd)
    return tokens, spans, odd


def _hyphens_joined(text, tokens, spans, lexicon: Lexicon, odd: set[int]):
    """"but-ter" and "hazel-nuts" as one word where neither the two words nor their phrase is known."""
    place = 0
    while place < len(tokens) - 1:
        left, right = spans[place], spans[place + 1]
        if right[0] - left[1] == 1 and text[left[1]] == "-" and (place in odd or place + 1 in odd):
            joined = singular(tokens[place] + tokens[place + 1])
            if joined in lexicon.longest:
                tokens[place : place + 2] = [joined]
                spans[place : place + 2] = [(left[0], right[1])]
                shifted = {n - 1 if n > place + 1 else n for n in odd if n not in (place, place + 1)}
                odd.clear()
                odd.update(shifted)
                continue
        place += 1
    return tokens, spans


def fold_word(word: str) -> str:
    """A lower-case word without diacritics and ligatures."""
    word = word.translate(_LIGATURES)
    if word.isascii():
        return word
    return "".join(char for char in unicode_form("NFKD", word) if not combining(char))


@lru_cache(maxsize=4096)
def compound(word: str, lexicon: Lexicon) -> tuple[str, ...]:
    """A word written together as the words it is made of ("magermilchpulver"), or () where that doesn't work out whole."""
    for ending in _FREE_ENDINGS:
        if word.endswith(ending) and len(word) > len(ending) + 1:
            stem = _known(word[: -len(ending)], lexicon)
            if stem:
                return (*stem, "free")
    return _split(word, lexicon, 4) if len(word) >= 6 else ()


def _known(part: str, lexicon: Lexicon) -> tuple[str, ...]:
    if part in lexicon.longest:
        return (part,)
    one = singular(part)
    if one in lexicon.longest:
        return (one,)
    for joint in ("s", "n", "en", "e", "er", "es"):
        if part.endswith(joint) and len(part) - len(joint) >= 3 and part[: -len(joint)] in lexicon.longest:
            return (part[: -len(joint)],)
    return ()


def _split(word: str, lexicon: Lexicon, most: int) -> tuple[str, ...]:
    """The split with the longest first part wins; each part has three letters or more."""
    whole = _known(word, lexicon)
    if whole or most == 1:
        return whole
    for size in range(len(word) - 3, 2, -1):
        head = _known(word[:size], lexicon)
        if head:
            tail = _split(word[size:], lexicon, most - 1)
            if tail:
                return (*head, *tail)
    return ()
