"""What is known of the names that shared equipment "also cooks": often no more than a word such as nuts or shellfish."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from itertools import combinations

from labeller.serving.resolving import Names
from labeller.terms.allergens import CONTAINS, ROUTES, AllergenFact, Kind
from labeller.terms.findings import Finding, Place
from labeller.terms.words import normalise

PARTS = re.compile(r"\s*(?:,|;|/|\+|&|\band\b|\bor\b|\bwith\b)\s*", re.IGNORECASE)


def also_cooked(names: Names, tables, name: str, place: Place) -> tuple[tuple[AllergenFact, ...], tuple[Finding, ...]]:
    """Facts of something that is no recipe, and what is wrong with its evidence. A product counts as its papers say, a plain
    ingredient as what it is; of any other name each part and each word for an allergen counts, and nothing is confirmed."""
    meaning = names.meaning(name, "", place)
    facts, findings = names.facts(name, "", place)
    if meaning.product is not None:
        return facts, findings
    said = kinds_said(name, tables.kinds, tables.guest_words, whole=meaning.single)
    more = [AllergenFact(kind, CONTAINS, ROUTES[0], f"the name says \"{word}\"", (name,), place) for kind, word in said]
    parts = [part for part in PARTS.split(name) if part and not meaning.single and normalise(part) != normalise(name)]
    for part in parts:
        for fact in also_cooked(names, tables, part, place)[0]:
            more.append(fact)
    return tuple(dict.fromkeys([*facts, *more])), findings


def kinds_said(text: str, kinds: Mapping[str, Kind], guest_words: Iterable[Mapping],
               whole: bool = False) -> list[tuple[str, str]]:  # fmt: skip
    """(kind or group, word) of each allergen that a text names, in the words that guests use too; of a word that can mean several
    things all of them. whole: only where the text is nothing but that word."""
    vocabulary = _vocabulary(kinds, guest_words)
    tokens = normalise(text).split()
    spans = [(0, len(tokens))] if whole else combinations(range(len(tokens) + 1), 2)
    found: dict[str, str] = {}
    for first, last in spans:
        word = " ".join(tokens[first:last])
        for kind in vocabulary.get(word, ()):
            found.setdefault(kind, word)
    return list(found.items())


def _vocabulary(kinds: Mapping[str, Kind], guest_words: Iterable[Mapping]) -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for kind in kinds.values():
        for word in (kind.key.replace("_", " "), kind.name, *kind.also):
            found.setdefault(normalise(word), (kind.key,))
    asked = []
    for row in guest_words:
        words = [normalise(word) for word in (row["word"], *row["also"])]
        if row["ask"]:
            asked.append((words, row["choices"]))
        for word in () if row["ask"] else words:
            found[word] = tuple(key for key in row["keys"] if key in kinds)
    for words, choices in asked:
        keys = tuple(key for choice in choices for key in found.get(normalise(choice), ()))
        found.update(dict.fromkeys(words, keys))
    return found
