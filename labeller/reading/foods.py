"""The shipped food table: USDA SR28, its household measures and our own columns. Only rows that are asked for are parsed.

The three files of ``reference/foods/`` are sorted by NDB number, so a row is found by halving the text, without an index.
"""

from __future__ import annotations

from functools import cached_property
from pathlib import Path

from labeller.reading.library import reference
from labeller.terms.foods import Food, Measure
from labeller.terms.nutrients import BASE, INDEX, MOST

HEAD_FIELDS = 7  # code, fdc_id, group, short, description, state, refuse_percent; the nutrients follow
NUTRIENT_FIELDS = 46
OWN_KEYS = ("trans_fat_g", "alcohol_g", "added_sugars_g", "nitrogen_g", "polyols_g", "sugars_g", "fibre_g", "saturates_g")
QUOTE = ord('"')


class SortedText:
    """A CSV file with one header line whose lines are sorted by their first five characters."""

    def __init__(self, path: Path) -> None:
        self.raw = path.read_bytes()
        self.start = self.raw.index(b"\n") + 1

    def lines(self, code: str) -> list[str]:
        """Every line of the code, in the order of the file; [] where there is none."""
        key, raw = code.encode(), self.raw
        low, high = self.start, len(raw)
        while low < high:  # the first line whose code is not less than key starts at low when the loop ends
            middle = raw.rfind(b"\n", low, (low + high) // 2) + 1 or low
            if raw[middle : middle + 5] < key:
                low = raw.index(b"\n", (low + high) // 2) + 1 if middle == low else raw.index(b"\n", middle) + 1
            else:
                high = middle
        found = []
        while raw[low : low + 6] == key + b",":
            end = raw.index(b"\n", low)
            found.append(raw[low:end].decode())
            low = end + 1
        return found


def fields(line: str) -> list[str]:
    import csv

    return next(csv.reader((line,))) if '"' in line else line.split(",")


def _description(line: bytes) -> str:
    """The description of a row, without taking the whole row apart (8,790 rows in a few milliseconds)."""
    last = line.rfind(b'"')
    if last < 0:
        return line.split(b",", 5)[4].decode()
    if line.count(b",", last) != NUTRIENT_FIELDS + 2:  # the last quoted field is another one
        return fields(line.decode())[4]
    first = line.rfind(b',"', 0, last)
    while line[first + 2] == QUOTE:  # a quotation mark in the text is doubled: this is no beginning
        first = line.rfind(b',"', 0, first)
    return line[first + 2 : last].replace(b'""', b'"').decode()


class FoodTable:
    """USDA SR28: 8,790 foods. ``get`` parses one row; nothing is computed but ``nitrogen_g`` = protein / its factor."""

    release = "SR28"

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._foods = SortedText(folder / "sr28.csv")

    @cached_property
    def _measures(self) -> SortedText:
        return SortedText(self._folder / "measures.csv")

    @cached_property
    def _own(self) -> SortedText:
        return SortedText(self._folder / "own_columns.csv")

    @cached_property
    def _at_most(self) -> SortedText:
        return SortedText(self._folder / "at_most.csv")

    @cached_property
    def version(self) -> str:
        """First 12 hex digits of a SHA-256 over the four files, for ``data_version``."""
        import hashlib

        digest = hashlib.sha256(self._foods.raw)
        digest.update(self._measures.raw)
        digest.update(self._own.raw)
        digest.update(self._at_most.raw)
        return digest.hexdigest()[:12]

    def codes(self) -> tuple[str, ...]:
        """All NDB numbers, ascending."""
        return tuple(line[:5].decode() for line in self._foods.raw[self._foods.start :].splitlines())

    def descriptions(self) -> dict[str, str]:
        """NDB number -> description, ascending."""
        lines = self._foods.raw[self._foods.start :].splitlines()
        return {line[:5].decode(): _description(line) for line in lines}

    def code_of(self, fdc_id: str) -> str:
        """NDB number of a FoodData Central id, "" when no row has it."""
        raw, sought = self._foods.raw, b"," + fdc_id.encode() + b","
        at = raw.find(sought)
        while at >= 0:
            if raw[at - 6 : at - 5] == b"\n":  # the id is the second field, after a code of five digits
                return raw[at - 5 : at].decode()
            at = raw.find(sought, at + 1)
        return ""

    def releases(self) -> tuple[tuple[str, str], ...]:
        """(name, year)."""
        return ((self.release, "2016"),)

    def counterpart(self, fdc_id: str, ndb: str, release: str) -> Food | None:
        """The same food in this release, by its NDB number or its FoodData Central id."""
        if release != self.release:
            return None
        return (self.get(ndb) if ndb else None) or (self.get(f"fdc:{fdc_id}") if fdc_id else None)

    def get(self, code: str, release: str = "") -> Food | None:
        """The food of an NDB number ("01077", "1077") or an FDC id ("fdc:171265"); None when the table has no such row, or is not
        of the release asked for."""
        if release not in ("", self.release):
            return None
        code = code.strip()
        if code.startswith("fdc:"):
            number = code[4:].strip()
            code = self.code_of(number) if number.isdigit() else ""
        code = code.zfill(5)
        lines = self._foods.lines(code) if len(code) == 5 and code.isdigit() else []
        return self._food(code, fields(lines[0])) if lines else None

    def _food(self, code: str, row: list[str]) -> Food:
        values: list[float | None] = [float(text) if text else None for text in row[HEAD_FIELDS:]]
        values += [None] * (len(BASE) - len(values))
        sources = self._add_own(code, values) + self._add_ceilings(code, values)
        refuse = float(row[6]) if row[6] else None
        return Food(code, row[4], self.release, tuple(values), row[2], row[1], refuse, self._measures_of(code), row[5], sources)

    def _add_own(self, code: str, values: list[float | None]) -> tuple[tuple[str, str], ...]:
        """Puts our own columns into their places; returns base key -> source key for those that are known."""
        lines = self._own.lines(code)
        if not lines:
            return ()
        row, sources = fields(lines[0]), []
        for place, key in enumerate(OWN_KEYS):
            text, source = row[1 + 2 * place], row[2 + 2 * place]
            if not text or values[INDEX[key]] is not None:
                continue
            value = float(text)
            if key == "nitrogen_g":  # the column holds the factor that protein was made with
                protein = values[INDEX["protein_g"]]
                if protein is None:
                    continue
                value = protein / value
            values[INDEX[key]] = value
            sources.append((key, source))
        return tuple(sources)

    def _add_ceilings(self, code: str, values: list[float | None]) -> tuple[tuple[str, str], ...]:
        """Puts the most that a figure of this kind of food can be into its place, per 100 g; returns key -> source key."""
        sources = []
        for line in self._at_most.lines(code):
            _, key, of, most, source = fields(line)
            whole = values[INDEX[of]] if of else 1.0
            if key in MOST and whole is not None:
                values[INDEX[MOST[key]]] = float(most) * whole
                sources.append((MOST[key], source))
        return tuple(sources)

    def _measures_of(self, code: str) -> tuple[Measure, ...]:
        rows = (fields(line) for line in self._measures.lines(code))
        return tuple(Measure(float(row[2]), row[3], float(row[4]), row[5]) for row in rows)


def load_foods(folder: Path | None = None) -> FoodTable:
    """The shipped table, or one of the same layout in another folder. Raises FileNotFoundError when it is not there."""
    return FoodTable(folder or reference("foods"))
