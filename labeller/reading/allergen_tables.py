"""The tables of allergens: kinds, what each food row holds, what a bare name may hide, the words guests use.

All stand in ``reference/allergens/``. They are read quickly, as no command should wait for them: a food row is parsed
when it is asked for, and kinds are read line by line.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping

from msgspec import Struct

from labeller.reading.library import reference, yaml_text
from labeller.terms.allergens import HiddenTable, Kind

FOLDER = "allergens"
_ENTRY = re.compile(r'^- \{key: (\w+), group: (\w+), name: (.+?), parent: (?:""|(\w+)), also: \[(.*)\]\}$')


def load_kinds() -> dict[str, Kind]:
    """Every kind by its key, in the order of ``kinds.yaml``.

    The file keeps one kind a line in one form, so that it is read without a YAML parser, ten times as fast; a line of
    another form is a fault of ours: ValueError. A test holds this reading against the parser's.
    """
    kinds: dict[str, Kind] = {}
    with reference(FOLDER, "kinds.yaml").open(encoding="utf-8") as stream:
        for number, line in enumerate(stream, 1):
            if line.startswith("#") or not line.strip():
                continue
            found = _ENTRY.match(line.rstrip())
            if found is None:
                raise ValueError(f"kinds.yaml:{number}: not of the form that is read")
            key, group, name, parent, also = found.groups()
            kinds[key] = Kind(key, group, name, parent or "", tuple(word.strip() for word in also.split(",") if word.strip()))
    return kinds


class FoodRowKinds(Struct, frozen=True):
    """What one food row holds. contains: by identity or by its own description. usual: in most commercial versions, counts
    as contained and unresolved. possible: in some versions, not confirmed. Each the finest keys known, in the order of
    ``kinds.yaml``. basis: ``identity``, ``description``, ``class`` or ``brand recipe``."""

    contains: tuple[str, ...]
    usual: tuple[str, ...]
    possible: tuple[str, ...]
    basis: str


class FoodKinds:
    """``food_rows.csv`` as bytes; a row is looked for and parsed when it is asked for."""

    def __init__(self, data: bytes):
        self._data = data

    def of(self, code: str) -> FoodRowKinds | None:
        """Kinds of the row with this five-digit NDB number; None for any other code (nothing is known of such a row)."""
        if len(code) != 5 or not code.isdecimal():
            return None
        start = self._data.find(b"\n" + code.encode("ascii") + b",")
        if start < 0:
            return None
        end = self._data.find(b"\n", start + 1)
        fields = self._data[start + 1 : end if end >= 0 else None].decode("utf-8").rstrip("\r").split(",")
        contains, usual, possible = (tuple(field.split(";")) if field else () for field in fields[1:4])
        return FoodRowKinds(contains, usual, possible, fields[4])

    def codes(self) -> tuple[str, ...]:
        """All codes, in the order of the file."""
        return tuple(line[:5].decode("ascii") for line in self._data.splitlines()[1:])


def load_food_kinds() -> FoodKinds:
    return FoodKinds(reference(FOLDER, "food_rows.csv").read_bytes())


def load_hidden() -> HiddenTable:
    """``hidden.csv`` and its exceptions, for ``working.hidden.hidden_for``. Names stand there in the spelling of
    ``terms.words.normalise`` (a test holds them to it), so that none has to be normalised here."""
    with reference(FOLDER, "hidden.csv").open(encoding="utf-8", newline="") as stream:
        lines = tuple(map(tuple, csv.reader(stream)))[1:]
    places: dict[str, list[int]] = {}
    for place, line in enumerate(lines):
        places.setdefault(line[0], []).append(place)
    by_name: dict[str, tuple[int, ...]] = {}
    for names, numbers in places.items():
        for name in names.split("; "):
            by_name[name] = (*by_name.get(name, ()), *numbers)
    with reference(FOLDER, "hidden_exceptions.csv").open(encoding="utf-8", newline="") as stream:
        exceptions = frozenset(line[0] for line in list(csv.reader(stream))[1:])
    return HiddenTable(lines, by_name, exceptions)


def load_guest_words() -> tuple[Mapping, ...]:
    """Rows of ``guest_words.yaml``: word, also (tuple), keys (kind keys it covers), ask (True: it means different things to
    different guests), choices (what to ask), note (what a waiter has to know, "" for nothing)."""
    return tuple(
        {"word": row["word"], "also": tuple(row.get("also", ())), "keys": tuple(row.get("keys", ())),
         "ask": row.get("ask") == "true", "choices": tuple(row.get("choices", ())), "note": row.get("note", "")}
        for row in yaml_text(reference(FOLDER, "guest_words.yaml"))
    )  # fmt: skip


def load_dish_words() -> Mapping[str, tuple[tuple[str, tuple[str, ...]], ...]]:
    """``dish_words.csv``: normalised phrase -> (kind, words of lines that account for the phrase without it); () for a phrase
    that is another thing of a like name."""
    found: dict[str, list[tuple[str, tuple[str, ...]]]] = {}
    with reference(FOLDER, "dish_words.csv").open(encoding="utf-8", newline="") as stream:
        for words, kind, unless, _, _ in list(csv.reader(stream))[1:]:
            for word in words.split("; "):
                found.setdefault(word, []).extend([(kind, tuple(unless.split("; ")) if unless else ())] if kind else [])
    return {word: tuple(rows) for word, rows in found.items()}
