"""Reads the lexicon of the label reader: which words hold which allergens (``reference/allergens/lexicon.csv``).

What is read is its index, built by :mod:`labeller.reading.lexicon_source`, which loads in a few milliseconds.
"""

from __future__ import annotations

import re

from labeller.reading import library
from labeller.terms.lexicon import Entry, Lexicon

_KIND_LINE = re.compile(r"^- \{key: (\w+), group: (\w+)", re.MULTILINE)


def load_lexicon() -> Lexicon:
    """The shipped lexicon. Raises OSError when a table is missing."""
    phrases: dict[str, Entry] = {}
    longest: dict[str, int] = {}
    languages: dict[str, str] = {}
    text = library.reference("allergens", "lexicon_index.txt").read_text(encoding="utf-8")
    for line in text.splitlines():
        mark, cell, words = line.split("\t")
        if mark == "e":
            phrases.update(dict.fromkeys(words.split("|"), _entry(cell)))
        elif mark == "v":
            variant = _entry(cell)
            phrases.update((phrase, phrases[phrase]._replace(variant=variant)) for phrase in words.split("|"))
        elif mark == "n":
            longest.update(dict.fromkeys(words.split("|"), int(cell)))
        else:
            languages.update(dict.fromkeys(words.split("|"), cell))
    return Lexicon(phrases, longest, languages, _groups(), _exemptions())


def _entry(cell: str) -> Entry:
    contains, unsettled, exempt, role, language = cell.split(";")
    role, _, denies = role.partition(":")
    pairs = tuple(tuple(pair.split(":")) for pair in exempt.split())
    return Entry(tuple(contains.split()), tuple(unsettled.split()), role, pairs, tuple(denies.split()),
                 language.rstrip("?"), language.endswith("?"))  # fmt: skip


def _groups() -> dict[str, str]:
    """Kind -> group, read line by line (the file has one kind a line), as parsing it whole would double the start."""
    return dict(_KIND_LINE.findall(library.reference("allergens", "kinds.yaml").read_text(encoding="utf-8")))


def _exemptions() -> dict[str, tuple[tuple[str, str, str], ...]]:
    found: dict[str, list[tuple[str, str, str]]] = {}
    for row in library.csv_rows(library.reference("allergens", "exemptions.csv")):
        if not row["until"]:
            found.setdefault(row["key"], []).append((row["law"], row["section"], row["condition"]))
    return {key: tuple(laws) for key, laws in found.items()}
