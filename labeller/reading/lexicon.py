"""Reads the lexicon of the label reader: ``lexicon.csv`` (words and what they hold), ``plain_words.csv`` (harmless words).

A cell of ``words`` holds phrases divided by ``|``; ``[a/b/c]`` stands for each of a, b and c. A later row wins over an
earlier one with the same phrase. Built for a fast start: the files are split, not parsed into rows of dictionaries.
"""

from __future__ import annotations

import re
from itertools import product

from labeller.reading import library
from labeller.terms.lexicon import PLAIN, Entry, Lexicon
from labeller.terms.words import fold, singular

_ALTERNATIVES = re.compile(r"\[([^\]]*)\]|([^\[\]]+)")
_KIND_LINE = re.compile(r"^- \{key: (\w+), group: (\w+)", re.MULTILINE)


def load_lexicon() -> Lexicon:
    """The shipped lexicon. Raises OSError when a table is missing, ValueError for a row that can't be read."""
    phrases: dict[str, Entry] = {}
    longest: dict[str, int] = {}
    languages: dict[str, str] = {}
    _add_plain_words(longest, languages)
    for number, line in enumerate(_lines("lexicon.csv"), start=2):
        if line.startswith("#"):
            continue
        cells = line.split(",")
        if len(cells) != 7:
            raise ValueError(f"lexicon.csv, line {number}: 7 cells wanted, {len(cells)} found")
        entry = _entry(*cells[1:6])
        language = entry.language if entry.language not in ("", "en") and not entry.unsure else ""
        for phrase in _phrases(cells[0]):
            words = phrase.split()
            first = words[0]
            phrases[phrase] = entry
            if longest.get(first, 0) < len(words):
                longest[first] = len(words)
            if language:
                for word in words:
                    languages.setdefault(word, language)
            if len(words) > 1:
                for word in words[1:]:
                    longest.setdefault(word, 0)
    return Lexicon(phrases, longest, languages, _groups(), _exemptions())


def _lines(name: str) -> list[str]:
    text = library.reference("allergens", name).read_text(encoding="utf-8")
    return text.splitlines()[1:]


def _entry(contains: str, unsettled: str, exempt: str, role: str, language: str) -> Entry:
    role, _, denies = role.partition(":")
    pairs = tuple(tuple(pair.split(":")) for pair in exempt.split() if not pair.endswith(":"))
    unsure = language.endswith("?")
    return Entry(tuple(contains.split()), tuple(unsettled.split()), role or "plain", pairs, tuple(denies.split()),
                 language.rstrip("?"), unsure)  # fmt: skip


def _phrases(cell: str) -> list[str]:
    """Every phrase of a cell, folded and singular."""
    found = []
    for part in cell.split("|"):
        if "[" not in part:
            found.append(_level(part))
            continue
        choices = [inner.split("/") if inner else [plain] for inner, plain in _ALTERNATIVES.findall(part)]
        levelled = [[_level(choice) for choice in choice_list] for choice_list in choices]
        found.extend(" ".join(" ".join(pick).split()) for pick in product(*levelled))
    return found


def _level(phrase: str) -> str:
    """One spelling: folded, singular word by word."""
    if not phrase.isascii():
        phrase = fold(phrase)
    words = phrase.split()
    for place, word in enumerate(words):
        if word[-1] == "s":
            words[place] = singular(word)
    return " ".join(words)


def _add_plain_words(longest: dict[str, int], languages: dict[str, str]) -> None:
    for line in _lines("plain_words.csv"):
        if line.startswith("#"):
            continue
        language, words = line.split(",")[:2]
        levelled = _level(words).split()
        for word in levelled:
            longest[word] = 0
        if language not in ("", "en"):
            for word in levelled:
                languages.setdefault(word, language)


def _groups() -> dict[str, str]:
    """Kind -> group, read line by line (the file has one kind a line), as parsing it whole would double the start."""
    return dict(_KIND_LINE.findall(library.reference("allergens", "kinds.yaml").read_text(encoding="utf-8")))


def _exemptions() -> dict[str, tuple[tuple[str, str, str], ...]]:
    found: dict[str, list[tuple[str, str, str]]] = {}
    for row in library.csv_rows(library.reference("allergens", "exemptions.csv")):
        if not row["until"]:
            found.setdefault(row["key"], []).append((row["law"], row["section"], row["condition"]))
    return {key: tuple(laws) for key, laws in found.items()}


__all__ = ["PLAIN", "load_lexicon"]
