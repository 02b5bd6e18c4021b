"""Official FoodData Central downloads (CSV zips, JSON, zipped or not) into the kitchen's store of food data.

SR Legacy, Foundation, FNDDS (survey) and Branded foods. Tables are read row by row; memory does not grow with the download.
Which USDA nutrient is which of ours, and which counts where USDA gives several, stands in ``reference/foods/fdc_nutrients.csv``.
"""

from __future__ import annotations

import csv
import hashlib
import io
import math
import re
import sqlite3
import zipfile
import zlib
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from itertools import groupby
from operator import itemgetter
from pathlib import Path
from typing import IO, NamedTuple

from labeller.reading.fdc_json import foods as foods_of_json
from labeller.reading.fdc_store import Busy, Writer, nitrogen_row
from labeller.reading.library import csv_rows, reference
from labeller.terms.findings import Finding, Place, finding
from labeller.terms.nutrients import INDEX

Progress = Callable[[str, float], None]
KINDS = {"foundation_food": "Foundation", "sr_legacy_food": "SR Legacy", "survey_fndds_food": "FNDDS", "branded_food": "Branded"}
NEEDED = ("food.csv", "food_nutrient.csv", "nutrient.csv")
IN_GRAMS = {"G": 1.0, "MG": 1e-3, "UG": 1e-6}
BRAND_COLUMNS = ("brand_owner", "branded_food_category", "serving_size_unit", "serving_size", "household_serving_fulltext")
BRAND_KEYS = ("brandOwner", "brandedFoodCategory", "servingSizeUnit", "servingSize", "householdServingFullText")
NO_UNIT = "9999"  # USDA's measure unit "undetermined": the words stand in the modifier
NO_QUANTITY = "quantity not specified"
UNREADABLE = (zipfile.BadZipFile, zlib.error, EOFError, ValueError, csv.Error, NotImplementedError, RuntimeError)
EVERY = 20_000  # rows between two reports of progress
_DATE = re.compile(r"\d{4}-\d{2}(?:-\d{2})?")
_LEADING = re.compile(r"(\d+(?:\.\d+)?(?:/\d+)?)\s+(.+)")


class Imported(NamedTuple):
    """release: name under which it stands in the store. foods: how many. per_100_ml: how many of them are given per 100 ml."""

    release: str
    foods: int
    per_100_ml: int


class _Wrong(Exception):
    """A download that can't be imported: code of the finding and what is wrong."""

    def __init__(self, code: str, what: str) -> None:
        super().__init__(what)
        self.code, self.what = code, what


def import_fdc(source: Path, store: Path, release: str = "",
               progress: Progress | None = None) -> tuple[Imported | None, tuple[Finding, ...]]:  # fmt: skip
    """Imports one download into a store, which is made when there is none.

    release: name of the release, by default made of its kinds and date. A release of the same name is replaced; others stay.
    progress: called now and then with what is being read and the share done (0-1). An import that fails or is interrupted
    leaves the store as it was; it can simply be started again.
    """
    place = Place(source.name)
    report = progress or (lambda what, share: None)
    try:
        with Writer(store) as writer:
            left_out = _read(source, writer, release, report)
            foods, per_ml = writer.count(), writer.count("per_ml")
            if not foods:
                raise _Wrong("download-empty", f"{source.name} holds no food of a kind that is known")
            writer.finish()
    except _Wrong as wrong:
        return None, (finding(wrong.code, place, wrong.what, _mend(wrong.code)),)
    except Busy:
        what = f"{store.name} is being written by another import"
        return None, (finding("store-busy", Place(store.name), what, _mend("store-busy")),)
    except (OSError, sqlite3.Error) as error:
        what = f"{store.name}: {getattr(error, 'strerror', None) or error}"
        return None, (finding("store-not-writable", Place(store.name), what, _mend("store-not-writable")),)
    report("done", 1.0)
    return Imported(writer.name, foods, per_ml), _remarks(place, left_out, per_ml)


def _mend(code: str) -> str:
    from labeller.terms.catalogue import CATALOGUE

    return CATALOGUE[code].remedy


def _remarks(place: Place, left_out: Counter[str], per_ml: int) -> tuple[Finding, ...]:
    found = []
    if left_out:
        told = ", ".join(f"{what}: {number}" for what, number in sorted(left_out.items()))
        found.append(finding("download-rows-left-out", place, f"left out ({told})", _mend("download-rows-left-out")))
    if per_ml:
        found.append(finding("foods-per-100-ml", place, f"{per_ml} foods are given per 100 ml", _mend("foods-per-100-ml")))
    return tuple(found)


def _read(source: Path, writer: Writer, release: str, report: Progress) -> Counter[str]:
    """Reads a download of any form into the writer; returns how many rows were left out, by reason."""
    try:
        with source.open("rb") as stream:
            sha256 = hashlib.file_digest(stream, "sha256").hexdigest()
    except OSError as error:
        raise _Wrong("download-not-readable", f"{source.name}: {error.strerror or error}") from error
    begin = _Beginning(source, sha256, release, writer)
    try:
        if not zipfile.is_zipfile(source):
            with source.open(encoding="utf-8-sig") as text:
                return _Json(writer, begin, report).read(text, source.stat().st_size)
        with zipfile.ZipFile(source) as archive:
            members = {Path(info.filename).name: info for info in archive.infolist() if not info.is_dir()}
            inner = [info for name, info in members.items() if name.endswith(".json")]
            if inner:
                with archive.open(inner[0]) as stream:
                    return _Json(writer, begin, report).read(io.TextIOWrapper(stream, "utf-8-sig"), inner[0].file_size)
            return _Csv(archive, members, writer, begin, report).read()
    except KeyError as error:
        raise _Wrong("download-not-readable", f"{source.name}: a table lacks the column {error}") from error
    except UNREADABLE as error:
        raise _Wrong("download-not-readable", f"{source.name}: {error}") from error


class _Beginning:
    """Begins the release in the store once its kinds and its date are known."""

    def __init__(self, source: Path, sha256: str, name: str, writer: Writer) -> None:
        self.source, self.sha256, self.name, self.writer = source, sha256, name, writer
        self.begun = False

    def __call__(self, kinds: tuple[str, ...], published: str = "") -> None:
        dated = _DATE.search(self.source.name)
        date = dated.group() if dated else published
        name = self.name or f"FDC {', '.join(KINDS[kind] for kind in kinds)} {date}".strip()
        self.writer.begin(name, date, self.source.name, self.sha256)
        self.begun = True


class _Nutrients:
    """USDA's nutrients -> (place in BASE, rank, factor to our unit)."""

    def __init__(self) -> None:
        self.by_number: dict[str, list[tuple[int, int, float, str]]] = {}
        self._known: dict[tuple[str, str], list[tuple[int, int, float]]] = {}
        for row in csv_rows(reference("foods", "fdc_nutrients.csv")):
            entry = INDEX[row["key"]], int(row["rank"]), float(row["factor"]), row["unit"]
            self.by_number.setdefault(row["number"], []).append(entry)

    def rows(self, number: str, unit: str, amount: float | None) -> list[tuple[int, int, float]]:
        """Rows for the store; [] without an amount, or where nutrient or unit is none of ours."""
        if amount is None:
            return []
        return [(place, rank, round(amount * factor, 10)) for place, rank, factor in self._ours(number, unit.upper())]

    def _ours(self, number: str, unit: str) -> list[tuple[int, int, float]]:
        """(place, rank, factor) for a nutrient in a unit; kept, since a download asks the same few millions of times."""
        if (number, unit) not in self._known:
            pairs = ((entry, _between(unit, entry[3].upper())) for entry in self.by_number.get(_number(number), ()))
            self._known[number, unit] = [(place, rank, factor * scale) for (place, rank, factor, _), scale in pairs if scale]
        return self._known[number, unit]


def _figure(text: str, left_out: Counter[str]) -> float | None:
    """A figure as published; None where it is no number. Carbohydrate by difference below 0 is 0 (USDA prints what is left)."""
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        left_out["figures that are no numbers"] += 1
        return None
    if value < 0:
        left_out["figures below 0, taken as 0"] += 1
    return max(0.0, value)


def _number(text: str) -> str:
    return text[:-2] if text.endswith(".0") else text


def _between(given: str, ours: str) -> float | None:
    """Factor from one unit to another, None where there is none."""
    if given == ours:
        return 1.0
    return IN_GRAMS[given] / IN_GRAMS[ours] if given in IN_GRAMS and ours in IN_GRAMS else None


class _Csv:
    """A zip of CSV tables."""

    def __init__(self, archive: zipfile.ZipFile, members: dict[str, zipfile.ZipInfo], writer: Writer, begin: _Beginning,
                 report: Progress) -> None:  # fmt: skip
        self.archive, self.members, self.writer, self.begin, self.report = archive, members, writer, begin, report
        self.left_out: Counter[str] = Counter()

    def read(self) -> Counter[str]:
        missing = [name for name in NEEDED if name not in self.members]
        if missing:
            raise _Wrong("download-incomplete", f"the download has no {' and no '.join(missing)}")
        kinds = tuple(kind for kind in KINDS if f"{kind}.csv" in self.members)
        if not kinds:
            raise _Wrong("download-empty", "the download has none of the tables Foundation, SR Legacy, FNDDS and Branded")
        self.begin(kinds)
        self._foods(kinds)
        self._figures()
        self._portions()
        self._refuse()
        self._nitrogen()
        self._branded()
        return self.left_out

    @contextmanager
    def _table(self, name: str, plain: bool = False) -> Iterator[Iterator]:
        """Rows of a table, none where the download lacks it: dicts, or (plain) lists with the header first."""
        if name not in self.members:
            yield iter(())
            return
        with self.archive.open(self.members[name]) as stream:
            yield self._rows(stream, name, plain)

    def _rows(self, stream: IO[bytes], name: str, plain: bool) -> Iterator:
        """Rows one by one; progress is reported by bytes read."""
        size = self.members[name].file_size or 1
        text = io.TextIOWrapper(stream, "utf-8-sig", newline="")
        for number, row in enumerate(csv.reader(text) if plain else csv.DictReader(text, restval=""), 1):
            if number % EVERY == 0:
                self.report(name, min(1.0, stream.tell() / size))
            yield row

    def _lookup(self, name: str, key: str, value: str) -> dict[str, str]:
        """A small table as a dict."""
        with self._table(name) as rows:
            return {row[key]: row[value] for row in rows}

    def _foods(self, kinds: tuple[str, ...]) -> None:
        groups = self._lookup("food_category.csv", "id", "description")
        ndb: dict[str, str] = {}
        for name in ("foundation_food.csv", "sr_legacy_food.csv"):
            ndb.update(self._lookup(name, "fdc_id", "NDB_number"))
        foundation = {fdc for fdc in ndb if "foundation_food" in kinds}

        def wanted(row: dict[str, str]) -> bool:
            # a Foundation download also holds earlier states of a food, which its own table no longer lists
            kind = row["data_type"]
            return kind in kinds and (kind != "foundation_food" or row["fdc_id"] in foundation)

        def entry(row: dict[str, str]) -> tuple[int, str, str, str, str]:
            group = groups.get(row["food_category_id"], row["food_category_id"])
            return int(row["fdc_id"]), row["data_type"], _ndb(ndb.get(row["fdc_id"], "")), row["description"].strip(), group

        with self._table("food.csv") as rows:
            self.writer.foods(entry(row) for row in rows if wanted(row))

    def _figures(self) -> None:
        with self._table("nutrient.csv") as rows:
            known = {row["id"]: (row["nutrient_nbr"], row["unit_name"]) for row in rows}
        # FNDDS downloads name nutrients by number (208) where others name them by id (1008); numbers lie below 1000, ids above
        known.update({number: (number, unit) for number, unit in known.values() if _number(number) not in known})
        nutrients = _Nutrients()
        with self._table("food_nutrient.csv", plain=True) as rows:
            header = next(rows, [])
            fdc, nutrient, amount = (header.index(column) for column in ("fdc_id", "nutrient_id", "amount"))
            whole = (row for row in rows if len(row) == len(header))
            for fdc_id, lines in groupby(whole, key=itemgetter(fdc)):
                found: list[tuple[int, int, float]] = []
                for line in lines:
                    if line[amount] and line[nutrient] in known:
                        found += nutrients.rows(*known[line[nutrient]], _figure(line[amount], self.left_out))
                if found and fdc_id.isdigit():
                    self.writer.add(int(fdc_id), found)

    def _portions(self) -> None:
        units = self._lookup("measure_unit.csv", "id", "name")
        with self._table("food_portion.csv") as rows:
            self.writer.portions(filter(None, (self._portion(row, units) for row in rows)))

    def _portion(self, row: dict[str, str], units: dict[str, str]) -> tuple[int, int, float, str, float] | None:
        unit = "" if row["measure_unit_id"] in ("", NO_UNIT) else units.get(row["measure_unit_id"], "")
        measure = _measure(row["amount"], unit, row.get("portion_description", ""), row.get("modifier", ""), row["gram_weight"])
        return None if measure is None else (int(row["fdc_id"]), int(row["seq_num"] or 0), *measure)

    def _refuse(self) -> None:
        shares: Counter[str] = Counter()
        with self._table("food_component.csv") as rows:
            for row in rows:
                if row["is_refuse"] == "Y" and row["fdc_id"] and row["pct_weight"]:
                    shares[row["fdc_id"]] += float(row["pct_weight"])
        for fdc_id, share in shares.items():
            if 0 <= share <= 100:
                self.writer.set(int(fdc_id), "refuse", round(share, 4))

    def _nitrogen(self) -> None:
        foods = self._lookup("food_nutrient_conversion_factor.csv", "id", "fdc_id")
        with self._table("food_protein_conversion_factor.csv") as rows:
            for row in rows:
                fdc_id = foods.get(row["food_nutrient_conversion_factor_id"], "")
                if fdc_id:
                    _add_nitrogen(self.writer, int(fdc_id), row["value"])

    def _branded(self) -> None:
        with self._table("branded_food.csv") as rows:
            for row in rows:
                _brand(self.writer, int(row["fdc_id"]), *(row.get(column, "") for column in BRAND_COLUMNS))


class _Json:
    """A JSON download."""

    def __init__(self, writer: Writer, begin: _Beginning, report: Progress) -> None:
        self.writer, self.begin, self.report = writer, begin, report
        self.left_out: Counter[str] = Counter()
        self.nutrients = _Nutrients()

    def read(self, text: io.TextIOBase, size: int) -> Counter[str]:
        for number, (kind, food) in enumerate(foods_of_json(text), 1):
            if not self.begin.begun:
                self.begin((kind,), _iso(str(food.get("publicationDate", ""))))
            if number % 500 == 0:
                self.report(KINDS[kind], 0.5)
            self._food(kind, food)
        return self.left_out

    def _food(self, kind: str, food: dict) -> None:
        fdc_id, description = food.get("fdcId"), str(food.get("description", "")).strip()
        if not isinstance(fdc_id, int) or not description:
            self.left_out["foods without id or description"] += 1
            return
        group = food.get("foodCategory") or food.get("wweiaFoodCategory") or ""
        if isinstance(group, dict):
            group = group.get("description") or group.get("wweiaFoodCategoryDescription") or ""
        self.writer.foods([(fdc_id, kind, _ndb(str(food.get("ndbNumber") or "")), description, str(group))])
        self._figures(fdc_id, food.get("foodNutrients") or [])
        portions = (self._portion(fdc_id, portion) for portion in food.get("foodPortions") or [])
        self.writer.portions(filter(None, portions))
        for factor in food.get("nutrientConversionFactors") or []:
            if "Protein" in str(factor.get("type", "")):
                _add_nitrogen(self.writer, fdc_id, str(factor.get("value") or ""))
        if kind == "branded_food":
            _brand(self.writer, fdc_id, *(str(food.get(key) or "") for key in BRAND_KEYS))

    def _figures(self, fdc_id: int, lines: list[dict]) -> None:
        found: list[tuple[int, int, float]] = []
        for line in lines:
            nutrient, amount = line.get("nutrient") or {}, line.get("amount")
            if amount is None:
                continue
            unit = str(nutrient.get("unitName", "")).replace("µ", "u")
            found += self.nutrients.rows(str(nutrient.get("number", "")), unit, _figure(str(amount), self.left_out))
        if found:
            self.writer.add(fdc_id, found)

    def _portion(self, fdc_id: int, row: dict) -> tuple[int, int, float, str, float] | None:
        unit = str((row.get("measureUnit") or {}).get("name") or "")
        keys = ("amount", "portionDescription", "modifier", "gramWeight")
        amount, portion, modifier, grams = (str(row.get(key) or "") for key in keys)
        measure = _measure(amount, "" if unit == "undetermined" else unit, portion, modifier, grams)
        return None if measure is None else (fdc_id, int(row.get("sequenceNumber") or 0), *measure)


def _ndb(text: str) -> str:
    """SR numbers with five digits, as text."""
    return text.zfill(5) if text.isdigit() and int(text) else ""


def _iso(text: str) -> str:
    """USDA's month/day/year -> year-month-day."""
    parts = text.split("/")
    return f"{parts[2]}-{parts[0]:0>2}-{parts[1]:0>2}" if len(parts) == 3 else text


def _measure(amount: str, unit: str, portion: str, modifier: str, grams: str) -> tuple[float, str, float] | None:
    """(amount, words, grams) of a portion in any of USDA's ways to write one; None where there is no quantity."""
    try:
        weight = float(grams)
    except ValueError:
        return None
    words = ", ".join(part for part in (unit, portion.strip(), "" if modifier.isdigit() else modifier.strip()) if part)
    if weight <= 0 or not words or words.lower() == NO_QUANTITY:
        return None
    if amount:
        return float(amount), words, weight
    leading = _LEADING.fullmatch(words)  # FNDDS: "1 cup, NFS"
    if leading is None:
        return 1.0, words, weight
    over, _, under = leading.group(1).partition("/")
    number = float(over) / float(under or 1)
    return (number, leading.group(2), weight) if number else None


def _add_nitrogen(writer: Writer, fdc_id: int, factor: str) -> None:
    try:
        row = nitrogen_row(writer.amounts(fdc_id), float(factor))
    except ValueError:
        return
    if row is not None:
        writer.add(fdc_id, [row])


def _brand(writer: Writer, fdc_id: int, owner: str, category: str, unit: str, size: str, household: str) -> None:
    """Brand, category, basis and serving of a branded food; its figures are per 100 ml where its serving is in millilitres."""
    description = writer.description(fdc_id)
    if description is None:
        return
    if owner and owner.lower() not in description.lower():
        writer.set(fdc_id, "description", f"{description} ({owner.strip()})")
    if category:
        writer.set(fdc_id, "food_group", category)
    if unit.lower() in ("ml", "mlt"):
        writer.set(fdc_id, "per_ml", 1)
    elif unit.lower() in ("g", "grm") and household:
        measure = _measure("", "", household, "", size)
        if measure:
            writer.portions([(fdc_id, 1, *measure)])
