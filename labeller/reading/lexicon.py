"""Reads the lexicon of the label reader: which words hold which allergens (``reference/allergens/lexicon.csv``).

What is read is its index, built by :mod:`labeller.reading.lexicon_source`. :func:`load_lexicon` reads it whole, for whoever reads
thousands of labels; :func:`open_lexicon` parses a word when a text first has it, for a command that reads a plate's worth.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cached_property
from pathlib import Path

from labeller.reading import library
from labeller.terms.lexicon import Entry, Lexicon

_KIND_LINE = re.compile(r"^- \{key: (\w+), group: (\w+)", re.MULTILINE)


def load_lexicon() -> Lexicon:
    """The shipped lexicon. Raises OSError when a table is missing."""
    phrases: dict[str, Entry] = {}
    longest: dict[str, int] = {}
    languages: dict[str, str] = {}
    for line in _index().read_text(encoding="utf-8").splitlines():
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


def open_lexicon() -> Lexicon:
    """The same lexicon, each word of it parsed when it is first looked up. Raises OSError when a table is missing."""
    cells, blocks = library.kept("lexicon", (_index(), Path(__file__)), _in_blocks)
    words = _Words(cells, blocks)
    return Lexicon(_Column(words, 0), _Column(words, 1), _Column(words, 2), _groups(), _exemptions())


def _index() -> Path:
    return library.reference("allergens", "lexicon_index.txt")


def _in_blocks() -> tuple[list[str], dict[str, str]]:
    """The index by words. (cells of the entries; first two letters of a word -> a line for each such word: the word, its phrases
    with the places of their cell and of their variant's, its longest phrase, its language)."""
    cells: list[str] = []
    phrases: dict[str, dict[str, str]] = {}  # first word -> phrase -> places
    longest: dict[str, str] = {}
    languages: dict[str, str] = {}
    for line in _index().read_text(encoding="utf-8").splitlines():
        mark, cell, words = line.split("\t")
        for phrase in words.split("|"):
            if mark in ("e", "v"):
                own = phrases.setdefault(phrase.partition(" ")[0], {})
                own[phrase] = f"{own[phrase]} {len(cells)}" if mark == "v" else str(len(cells))
            else:
                (longest if mark == "n" else languages)[phrase] = cell
        cells += [cell] if mark in ("e", "v") else []
    blocks: dict[str, str] = {}
    for word in {**phrases, **longest, **languages}:
        own = "|".join(f"{phrase}={places}" for phrase, places in phrases.get(word, {}).items())
        line = f"\n{word}\t{own}\t{longest.get(word, '')}\t{languages.get(word, '')}\t"
        blocks[word[:2]] = blocks.get(word[:2], "") + line
    return cells, blocks


class _Words:
    """The words met so far, each with the phrases that start with it, with its longest phrase and with its language."""

    def __init__(self, cells: list[str], blocks: dict[str, str]) -> None:
        self._cells, self._blocks = cells, blocks
        self._met: dict[str, tuple[dict, dict, dict]] = {}
        self._entries: dict[str, Entry] = {}  # by their places, as many phrases share one

    @cached_property
    def whole(self) -> Lexicon:
        return load_lexicon()

    def of(self, word: str) -> tuple[dict[str, Entry], dict[str, int], dict[str, str]]:
        """(phrases, longest, languages) as in :class:`Lexicon`, of this word alone; three empty ones of an unknown word."""
        found = self._met.get(word)
        if found is None:
            line = self._line(word)
            if line is None:
                return {}, {}, {}
            self._met[word] = found = self._parsed(word, *line)
        return found

    def _line(self, word: str) -> list[str] | None:
        block = self._blocks.get(word[:2], "")
        at = block.find(f"\n{word}\t")
        cells = block[at + 1 : block.find("\n", at + 1) + 1 or None].split("\t") if at >= 0 else [""]
        return cells[1:4] if cells[0] == word else None

    def _parsed(self, word: str, phrases: str, size: str, language: str) -> tuple[dict, dict, dict]:
        pairs = [each.split("=") for each in phrases.split("|")] if phrases else []
        entries = {phrase: self._entries.get(places) or self._entry_at(places) for phrase, places in pairs}
        return entries, {word: int(size)} if size else {}, {word: language} if language else {}

    def _entry_at(self, places: str) -> Entry:
        """places: of its cell and of its variant's."""
        entry, *variant = (_entry(self._cells[int(place)]) for place in places.split(" "))
        self._entries[places] = entry._replace(variant=variant[0]) if variant else entry
        return self._entries[places]


class _Column(Mapping):
    """One of the three mappings of a lexicon, over the words met so far; whoever goes through it reads the index whole."""

    def __init__(self, words: _Words, nr: int) -> None:
        self._words, self._nr = words, nr

    def get(self, key: str, default: object = None) -> object:
        return self._words.of(key.partition(" ")[0])[self._nr].get(key, default)

    def __getitem__(self, key: str) -> object:
        return self._words.of(key.partition(" ")[0])[self._nr][key]

    def __contains__(self, key: object) -> bool:
        return self.get(key) is not None

    def _all(self) -> Mapping:
        whole = self._words.whole
        return (whole.phrases, whole.longest, whole.languages)[self._nr]

    def items(self):
        return self._all().items()

    def __iter__(self) -> Iterator[str]:
        return iter(self._all())

    def __len__(self) -> int:
        return len(self._all())


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
