"""The store of imported food data: one SQLite file beside the kitchen, several releases side by side.

It is written beside and then renamed, so that a store is either the old or the new one, never half of one. Figures are kept
as (place in BASE, rank, value); where a release gives one quantity in several ways, the lowest rank counts
(``reference/foods/fdc_nutrients.csv``): energy 208, else 958 (Atwater specific), else 957 (general), else kJ / 4.184.
"""

from __future__ import annotations

import hashlib
import os
import sqlite3
import struct
from collections.abc import Iterable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple

from labeller.terms.foods import Food, Measure
from labeller.terms.nutrients import BASE, INDEX

PAIR = struct.Struct("<BBd")  # place in BASE, rank, value per 100 g (or per 100 ml)
SCHEMA = """
CREATE TABLE release (id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE, date TEXT NOT NULL, source TEXT NOT NULL,
                      sha256 TEXT NOT NULL);
CREATE TABLE food (fdc_id INTEGER NOT NULL, release INTEGER NOT NULL REFERENCES release, kind TEXT NOT NULL,
                   ndb TEXT NOT NULL DEFAULT '', description TEXT NOT NULL, food_group TEXT NOT NULL DEFAULT '', refuse REAL,
                   per_ml INTEGER NOT NULL DEFAULT 0, amounts BLOB, PRIMARY KEY (fdc_id, release)) WITHOUT ROWID;
CREATE TABLE portion (fdc_id INTEGER NOT NULL, release INTEGER NOT NULL, seq INTEGER NOT NULL, amount REAL NOT NULL,
                      words TEXT NOT NULL, grams REAL NOT NULL);
CREATE INDEX portion_of_food ON portion (fdc_id, release);
CREATE INDEX food_by_ndb ON food (ndb) WHERE ndb <> '';
"""
VERSION = 1  # of the layout: a store of another layout is made anew
COOKED = frozenset((
    "cooked", "boiled", "braised", "broiled", "fried", "baked", "microwaved", "steamed", "stewed", "simmered", "grilled",
    "poached", "scrambled", "roasted",
))  # fmt: skip
BRANDED = "branded_food"


class Busy(Exception):
    """Another process is writing the store."""


class Amounts(NamedTuple):
    """What is known of a food, as rows of (place in BASE, rank, value)."""

    rows: tuple[tuple[int, int, float], ...]

    def packed(self) -> bytes:
        return b"".join(PAIR.pack(*row) for row in self.rows)

    @classmethod
    def unpacked(cls, blob: bytes | None) -> Amounts:
        return cls(tuple(PAIR.iter_unpack(blob or b"")))

    def values(self) -> list[float | None]:
        """Per 100 g in the order of BASE: of each quantity the row with the lowest rank, None where there is none."""
        best: dict[int, tuple[int, float]] = {}
        for place, rank, value in self.rows:
            if place not in best or rank < best[place][0]:
                best[place] = rank, value
        return [best[place][1] if place in best else None for place in range(len(BASE))]


class Writer:
    """Writes one release into a copy of the store beside it; :meth:`finish` puts the copy in its place.

    Use as a context: whatever ends it before ``finish`` (an error, an interruption) leaves the store as it was. What a
    killed run has left behind is taken away by the next one. Raises Busy, OSError, sqlite3.Error.
    """

    def __init__(self, path: Path) -> None:
        self.path, self.part = path, path.with_name(f".{path.name}.part")
        self.release, self.name, self.done = 0, "", False

    def __enter__(self) -> Writer:
        self.path.parent.mkdir(parents=True, exist_ok=True)
        self.base = self._opened()
        return self

    def _opened(self) -> sqlite3.Connection:
        """The copy, held by us alone. A spoiled one, of a run that was killed, is made anew."""
        for attempt in (1, 2):
            base = sqlite3.connect(self.part, isolation_level=None, timeout=0)
            try:
                base.execute("PRAGMA locking_mode = EXCLUSIVE")
                base.execute("PRAGMA journal_mode = OFF")  # the copy is thrown away when anything goes wrong
                base.execute("PRAGMA synchronous = OFF")  # safe: nobody reads the copy before it is whole and synced
                base.execute("BEGIN EXCLUSIVE")
                base.execute("COMMIT")
                self._fill(base)
                base.execute("BEGIN EXCLUSIVE")
                return base
            except sqlite3.OperationalError as error:
                base.close()
                if "locked" in str(error) or attempt == 2:
                    raise Busy(str(error)) if "locked" in str(error) else error from error
            except sqlite3.DatabaseError:
                base.close()
                if attempt == 2:
                    raise
            self.part.unlink(missing_ok=True)
        raise AssertionError("unreachable")

    def _fill(self, base: sqlite3.Connection) -> None:
        """The copy becomes what the store is now."""
        tables = base.execute("SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'").fetchall()
        for (name,) in tables:
            base.execute(f'DROP TABLE "{name}"')
        if self.path.exists() and _layout_of(self.path) == VERSION:
            with _read_only(self.path) as old:
                old.backup(base)
            old.close()
        else:
            base.executescript(SCHEMA)
        base.execute(f"PRAGMA user_version = {VERSION}")

    def __exit__(self, *_: object) -> None:
        if not self.done:
            self.base.close()
            self.part.unlink(missing_ok=True)

    def begin(self, name: str, date: str, source: str, sha256: str) -> None:
        """Begins a release; one of the same name goes first."""
        for (old,) in self.base.execute("SELECT id FROM release WHERE name = ?", (name,)).fetchall():
            for table in ("food", "portion"):
                self.base.execute(f"DELETE FROM {table} WHERE release = ?", (old,))
            self.base.execute("DELETE FROM release WHERE id = ?", (old,))
        cursor = self.base.execute("INSERT INTO release (name, date, source, sha256) VALUES (?, ?, ?, ?)",
                                   (name, date, source, sha256))  # fmt: skip
        self.release, self.name = cursor.lastrowid or 0, name

    def foods(self, rows: Iterable[tuple[int, str, str, str, str]]) -> None:
        """(fdc id, kind, NDB number or "", description, group)."""
        self.base.executemany(
            "INSERT OR REPLACE INTO food (fdc_id, release, kind, ndb, description, food_group) VALUES (?, ?, ?, ?, ?, ?)",
            ((fdc, self.release, *rest) for fdc, *rest in rows))  # fmt: skip

    def add(self, fdc_id: int, rows: list[tuple[int, int, float]]) -> bool:
        """Figures of a food, added to those it has. False: it is not a food of this release."""
        key = (fdc_id, self.release)
        known = self.base.execute("SELECT amounts FROM food WHERE fdc_id = ? AND release = ?", key).fetchone()
        if known is None:
            return False
        self.base.execute("UPDATE food SET amounts = ? WHERE fdc_id = ? AND release = ?",
                          ((known[0] or b"") + Amounts(tuple(rows)).packed(), *key))  # fmt: skip
        return True

    def amounts(self, fdc_id: int) -> Amounts:
        known = self.base.execute("SELECT amounts FROM food WHERE fdc_id = ? AND release = ?", (fdc_id, self.release)).fetchone()
        return Amounts.unpacked(known[0] if known else None)

    def description(self, fdc_id: int) -> str | None:
        key = (fdc_id, self.release)
        known = self.base.execute("SELECT description FROM food WHERE fdc_id = ? AND release = ?", key).fetchone()
        return known[0] if known else None

    def set(self, fdc_id: int, column: str, value: object) -> None:
        """column: description, food_group, refuse, per_ml or ndb."""
        if column not in ("description", "food_group", "refuse", "per_ml", "ndb"):
            raise ValueError(column)
        self.base.execute(f"UPDATE food SET {column} = ? WHERE fdc_id = ? AND release = ?", (value, fdc_id, self.release))

    def portions(self, rows: Iterable[tuple[int, int, float, str, float]]) -> None:
        """(fdc id, seq, amount, words, grams); those of foods that the release does not have are left out."""
        self.base.executemany(
            "INSERT INTO portion SELECT ?1, ?2, ?3, ?4, ?5, ?6 "
            "WHERE EXISTS (SELECT 1 FROM food WHERE fdc_id = ?1 AND release = ?2)",
            ((fdc, self.release, seq, amount, words, grams) for fdc, seq, amount, words, grams in rows))  # fmt: skip

    def count(self, condition: str = "1") -> int:
        return self.base.execute(f"SELECT count(*) FROM food WHERE release = ? AND {condition}", (self.release,)).fetchone()[0]

    def finish(self) -> None:
        """The release is whole: the copy takes the place of the store."""
        self.base.execute("COMMIT")
        self.base.close()
        with self.part.open("rb") as stream:
            os.fsync(stream.fileno())
        os.replace(self.part, self.path)
        self.done = True


def _read_only(path: Path) -> sqlite3.Connection:
    """Any thread may read: the connection never writes, and SQLite keeps its calls apart."""
    return sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True, check_same_thread=False)


def _layout_of(path: Path) -> int:
    with suppress(sqlite3.Error):
        base = _read_only(path)
        try:
            return base.execute("PRAGMA user_version").fetchone()[0]
        finally:
            base.close()
    return 0


class FoodStore:
    """Fits where the shipped table fits: ``get``, ``descriptions``, ``codes``, ``version``. Codes are "fdc:173410"; an NDB number
    ("01077") finds the food of the newest release that carries it. Branded foods are found by code only, unless asked for."""

    def __init__(self, base: sqlite3.Connection) -> None:
        self._base = base

    def releases(self) -> tuple[tuple[str, str], ...]:
        """(name, date), the newest first."""
        return tuple(self._base.execute("SELECT name, date FROM release ORDER BY date DESC, id DESC").fetchall())

    @property
    def release(self) -> str:
        return ", ".join(name for name, _ in self.releases())

    @property
    def version(self) -> str:
        """First 12 hex digits of a SHA-256 over names and checksums of the releases, for ``data_version``."""
        rows = self._base.execute("SELECT name, sha256 FROM release ORDER BY name").fetchall()
        return hashlib.sha256(repr(rows).encode()).hexdigest()[:12]

    def _row(self, code: str, release: str) -> tuple | None:
        code = code.strip()
        number = code[4:].strip() if code.startswith("fdc:") else code
        if not (number.isascii() and number.isdigit()):
            return None
        where, key = ("fdc_id = ?", int(number)) if code.startswith("fdc:") else ("ndb = ?", number.zfill(5))
        if isinstance(key, int) and key >= 2**63:
            return None
        return self._base.execute(
            "SELECT food.fdc_id, food.release, name, ndb, description, food_group, refuse, per_ml, amounts FROM food "
            f"JOIN release ON release.id = food.release WHERE {where} AND (? = '' OR name = ?) "
            "ORDER BY date DESC, release.id DESC LIMIT 1",
            (key, release, release)).fetchone()  # fmt: skip

    def get(self, code: str, release: str = "") -> Food | None:
        """A food of the newest release (or of the one named) that has the code. A food whose figures are per 100 ml has none
        per 100 g: its values are None (:meth:`per_100_ml` gives them)."""
        row = self._row(code, release)
        if row is None:
            return None
        fdc_id, number, name, ndb, description, group, refuse, per_ml, blob = row
        values = [None] * len(BASE) if per_ml else Amounts.unpacked(blob).values()
        query = "SELECT amount, words, grams FROM portion WHERE fdc_id = ? AND release = ? ORDER BY seq, rowid"
        portions = self._base.execute(query, (fdc_id, number)).fetchall()
        return Food(f"fdc:{fdc_id}", description, name, tuple(values), group, str(fdc_id), refuse,
                    tuple(Measure(*portion) for portion in portions), state_of(description), ndb=ndb)  # fmt: skip

    def first_release(self, code: str) -> str:
        """The release that brought a code first, "" when none has it: what a later import brings under the same code is not taken
        before somebody has accepted it."""
        newest = self._row(code, "")
        if newest is None:
            return ""
        where, key = ("fdc_id = ?", newest[0]) if code.strip().startswith("fdc:") else ("ndb = ?", newest[3])
        return self._base.execute(f"SELECT name FROM food JOIN release ON release.id = food.release WHERE {where} "
                                  "ORDER BY date, release.id LIMIT 1", (key,)).fetchone()[0]  # fmt: skip

    def counterpart(self, fdc_id: str, ndb: str, release: str) -> Food | None:
        """The same food in a release: by its FoodData Central id, else by its NDB number."""
        row = self._base.execute(
            "SELECT fdc_id FROM food JOIN release ON release.id = food.release WHERE name = ? AND per_ml = 0 "
            "AND (fdc_id = ? OR (ndb <> '' AND ndb = ?)) ORDER BY fdc_id = ? DESC LIMIT 1",
            (release, int(fdc_id or -1), ndb, int(fdc_id or -1))).fetchone()  # fmt: skip
        return self.get(f"fdc:{row[0]}", release) if row else None

    def per_100_ml(self, code: str, release: str = "") -> tuple[float | None, ...] | None:
        """Values per 100 ml of a food that is given so; None for any other."""
        row = self._row(code, release)
        return tuple(Amounts.unpacked(row[8]).values()) if row and row[7] else None

    def _codes(self, branded: bool) -> Iterator[tuple[str, str]]:
        query = ("SELECT fdc_id, description FROM food JOIN release ON release.id = food.release "
                 "WHERE ? OR food.kind <> ? ORDER BY fdc_id, date")  # fmt: skip
        for fdc_id, description in self._base.execute(query, (branded, BRANDED)):
            yield f"fdc:{fdc_id}", description

    def descriptions(self, branded: bool = False) -> dict[str, str]:
        """code -> description."""
        return dict(self._codes(branded))

    def codes(self, branded: bool = False) -> tuple[str, ...]:
        return tuple(dict.fromkeys(code for code, _ in self._codes(branded)))

    def close(self) -> None:
        self._base.close()


def state_of(description: str) -> str:
    """``raw`` or ``cooked`` by the words of a description, "" where it says neither."""
    said = description.lower().replace(",", " ").split()
    return "raw" if "raw" in said else "cooked" if COOKED & set(said) else ""


def open_store(path: Path) -> FoodStore | None:
    """The store of a kitchen; None when there is none, or when the file is no store of this layout (import again)."""
    if not path.is_file() or _layout_of(path) != VERSION:
        return None
    return FoodStore(_read_only(path))


def nitrogen_row(amounts: Amounts, factor: float) -> tuple[int, int, float] | None:
    """Nitrogen from protein and USDA's factor, ranked behind nitrogen that was measured."""
    protein = amounts.values()[INDEX["protein_g"]]
    return None if protein is None or factor <= 0 else (INDEX["nitrogen_g"], 1, protein / factor)
