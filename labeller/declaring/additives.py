"""Additives that a supplier's printed list names without the category that the law asks for (Annex VII part C)."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from labeller.terms.laws import Law
from labeller.terms.record import Ingredient

# what a category holds for goes on over these
_BETWEEN = frozenset(["and", "or", "from", "plant", "soy", "soya", "sunflower", "rapeseed", "fruit", "contains"])
_LETTERS = frozenset("abcdefghij")  # behind a number: E160a


def without_category(ingredients: tuple[Ingredient, ...], law: Law) -> tuple[tuple[str, str], ...]:
    """(product, additive as printed) of each additive before which no category stands. A supplier's words stay as they are."""
    if not law.additive_categories:
        return ()
    categories, names = _by_first_word(law.additive_categories), _by_first_word(law.additive_names)
    found: dict[tuple[str, str], None] = {}
    waiting = list(ingredients)
    while waiting:
        each = waiting.pop(0)
        waiting += each.under
        if each.printed:
            found.update(dict.fromkeys((each.name, name) for name in _bare(each.printed, categories, names)))
    return tuple(found)


def names_additive(text: str, law: Law) -> bool:
    """Whether a text names an additive or a category of additives."""
    words = [spot.group().lower() for spot in re.finditer(r"[^\W_]+", text)]
    phrases = _by_first_word((*law.additive_categories, *law.additive_names))
    return any(_number(words, at) or _phrase(words, at, phrases) for at in range(len(words)))


def own_without_category(ingredients: tuple[Ingredient, ...], law: Law) -> tuple[str, ...]:
    """Names of ingredients that are an additive and nothing else, as the kitchen calls them, without a category before."""
    if not law.additive_categories:
        return ()
    found: dict[str, None] = {}
    waiting = list(ingredients)
    while waiting:
        each = waiting.pop(0)
        waiting += each.under
        if not each.printed and not each.under and bare_additives(each.name, law) == (each.name,):
            found[each.name] = None
    return tuple(found)


def bare_additives(text: str, law: Law) -> tuple[str, ...]:
    """A category holds for all additives that follow it with nothing between them but their names and signs."""
    return tuple(dict.fromkeys(_bare(text, _by_first_word(law.additive_categories), _by_first_word(law.additive_names))))


def _by_first_word(phrases: Iterable[str]) -> dict[str, list[tuple[str, ...]]]:
    """First word -> phrases that begin with it, longest first, in words of letters."""
    found: dict[str, list[tuple[str, ...]]] = {}
    for phrase in phrases:
        words = tuple(phrase.lower().replace("-", " ").split())
        found.setdefault(words[0], []).append(words)
    return {word: sorted(group, key=len, reverse=True) for word, group in found.items()}


def _bare(text: str, categories: dict[str, list[tuple[str, ...]]], names: dict[str, list[tuple[str, ...]]]) -> list[str]:
    spots = list(re.finditer(r"[^\W_]+", text))
    words = [spot.group().lower() for spot in spots]
    out, at, held = [], 0, False
    while at < len(words):
        additive = _number(words, at) or _phrase(words, at, names)
        category = 0 if additive else _phrase(words, at, categories)
        if additive and not held:
            out.append(text[spots[at].start() : spots[at + additive - 1].end()])
        held = bool(category) or (held and (bool(additive) or words[at] in _BETWEEN))
        at += additive or category or 1
    return out


def _phrase(words: Sequence[str], at: int, phrases: dict[str, list[tuple[str, ...]]]) -> int:
    """Number of words of the longest phrase that stands here, its last word in the singular or plural; 0 for none."""
    for stem in dict.fromkeys((words[at], words[at].removesuffix("s"))):
        for phrase in phrases.get(stem, ()):
            here = words[at : at + len(phrase)]
            if len(here) == len(phrase) and all(one in (two, f"{two}s") for one, two in zip(here, phrase, strict=True)):
                return len(phrase)
    return 0


def _number(words: Sequence[str], at: int) -> int:
    """1 for "e330" or "e160a", 2 for "e 330", 0 for what is no number of an additive."""
    word = words[at]
    if word == "e" and at + 1 < len(words) and _is_number(words[at + 1]):
        return 2
    return 1 if word[:1] == "e" and _is_number(word[1:]) else 0


def _is_number(text: str) -> bool:
    digits = text[:-1] if text[-1:] in _LETTERS else text
    return digits.isdigit() and 3 <= len(digits) <= 4
