"""Words of a piece in the spelling of the lexicon: folded, singular, E numbers, words written together or misprinted."""

from __future__ import annotations

import re
from functools import lru_cache
from string import ascii_lowercase
from unicodedata import combining
from unicodedata import normalize as unicode_form

from msgspec import Struct

from labeller.terms.lexicon import Entry, Lexicon
from labeller.terms.words import singular

_WORD = re.compile(r"[^\W_]+")
_LIGATURES = str.maketrans({"œ": "oe", "æ": "ae", "ß": "ss", "ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "ı": "i"})
_ENUMBER = re.compile(r"e(\d{3,4})(?:[a-z]|i|ii|iii|iv|v|vi)?")
_ELISIONS = frozenset(("l", "d", "dell", "un", "all", "dall", "nell", "sull", "qu", "s"))
_FREE_ENDINGS = ("free", "frei", "freie", "freies", "freier", "freien", "vrij", "vrije", "fri", "fritt", "fria")
_JOINTS = ("s", "n", "en", "e", "er", "es")
_COMPOUNDING = frozenset(("", "en", "de", "nl", "sv"))  # languages that write words together
_NAMING = frozenset(("whole", "name", "product", "group", "source"))
Span = tuple[int, int]


class Tokens(Struct, frozen=True):
    """words: folded, singular. spans: place of each in the text, empty where each word is one of the text's words in turn
    (see :func:`spans_of`). odd: numbers of those the lexicon doesn't know."""

    words: list[str]
    spans: list[Span]
    odd: set[int]


def tokens_of(text: str, lexicon: Lexicon) -> Tokens:
    """The words of a piece of text."""
    if text.isascii():
        words = _WORD.findall(text.lower())
        longest = lexicon.longest
        for word in words:
            if word not in longest:
                break
        else:
            return Tokens(words, [], set())
    found = Tokens([], [], set())
    for match in _WORD.finditer(text):
        span = match.span()
        word = match.group().lower()
        if not word.isascii():
            word = fold_word(word)
        if word in lexicon.longest:
            found.words.append(word)
            found.spans.append(span)
        elif not _joins_the_last(word, span, text, found):
            _add_form(word, span, found, lexicon)
    if "-" in text:
        _join_hyphens(text, found, lexicon)
    return found


def spans_of(text: str) -> list[Span]:
    """Places of the words of a text that is tokenised word by word."""
    return [match.span() for match in _WORD.finditer(text)]


def _joins_the_last(word: str, span: Span, text: str, found: Tokens) -> bool:
    """True for what is no word of its own: the s of "goat's", the number of "E 322", an article before an apostrophe."""
    if word == "s" and span[0] and text[span[0] - 1] in "'’":
        if found.spans:
            found.spans[-1] = (found.spans[-1][0], span[1])
        return True
    if word[0].isdigit() and found.words and found.words[-1] in ("e", "ins", "sin") and span[0] - found.spans[-1][1] <= 2:
        number = _ENUMBER.fullmatch("e" + word)
        found.words[-1] = f"e{number[1]}" if number else word
        found.spans[-1] = (found.spans[-1][0], span[1])
        return True
    return word in _ELISIONS


def _add_form(word: str, span: Span, found: Tokens, lexicon: Lexicon) -> None:
    one = singular(word)
    parts: tuple[str, ...] = (word,)
    if one in lexicon.longest:
        parts = (one,)
    elif word[-1].isdigit() or word[0].isdigit() or len(word) < 3 or _ENUMBER.fullmatch(word):
        number = _ENUMBER.fullmatch(word)
        if number and f"e{number[1]}" in lexicon.longest:
            parts = (f"e{number[1]}",)
    else:
        parts = compound(word, lexicon)
        if not parts:
            parts = (word,)
            found.odd.add(len(found.words))
    found.words.extend(parts)
    found.spans.extend([span] * len(parts))


def _join_hyphens(text: str, found: Tokens, lexicon: Lexicon) -> None:
    """ "But-ter" as one word where one of the two is not known."""
    words, spans, odd = found.words, found.spans, found.odd
    place = 0
    while place < len(words) - 1:
        left, right = spans[place], spans[place + 1]
        joined = singular(words[place] + words[place + 1])
        if text[left[1] : right[0]] == "-" and odd & {place, place + 1} and joined in lexicon.longest:
            words[place : place + 2] = [joined]
            spans[place : place + 2] = [(left[0], right[1])]
            shifted = {number - (number > place) for number in odd - {place, place + 1}}
            odd.clear()
            odd.update(shifted)
        else:
            place += 1


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
    for form in (part, singular(part)):
        if form in lexicon.longest:
            return (form,)
    for joint in _JOINTS:
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


@lru_cache(maxsize=4096)
def resembled(word: str, lexicon: Lexicon) -> Entry | None:
    """The allergen's entry that an unknown word must come from: one that it begins or ends with ("mandelkrokantstücke"), or,
    for seven letters and more, an English one that it is a misprint of ("casienate"). Better a false alarm than a miss."""
    for size in range(len(word) - 1, 4, -1):
        for part, languages in ((word[:size], _COMPOUNDING), (word[-size:], _COMPOUNDING - {"", "en"})):
            entry = lexicon.phrases.get(part)
            if entry and entry.contains and entry.role in _NAMING and entry.language in languages:
                return entry._replace(role="name", unsettled=(), exempt=(), unsure=False, variant=None)
    if not 7 <= len(word) <= 14 or not word.isascii():
        return None
    for near in _misprints(word):
        entry = lexicon.phrases.get(near)
        if entry and entry.role in _NAMING and entry.language in ("", "en") and (entry.contains or entry.unsettled):
            return entry
    return None


def _misprints(word: str) -> set[str]:
    """Every word one letter away: left out, doubled, swapped or another."""
    halves = [(word[:place], word[place:]) for place in range(len(word) + 1)]
    found = {left + right[1:] for left, right in halves if right}
    found |= {left + right[1] + right[0] + right[2:] for left, right in halves if len(right) > 1}
    found |= {left + letter + right[1:] for left, right in halves if right for letter in ascii_lowercase}
    found |= {left + letter + right for left, right in halves for letter in ascii_lowercase}
    return found - {word}
