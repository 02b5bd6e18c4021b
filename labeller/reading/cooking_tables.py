"""Cooking tables of ``reference/cooking/``: what heat leaves of vitamins and minerals, yields, trim, and alcohol.

Rows of ``retention.csv`` are parsed one by one; the other files are read when they are first asked for.
"""

from __future__ import annotations

from functools import cached_property
from pathlib import Path

from msgspec import Struct

from labeller.reading.library import csv_rows, reference
from labeller.terms.spans import Span
from labeller.terms.words import normalise, words

RETENTION = "usda-retention-6"
# The table's factor for one nutrient also serves another of ours: vitamin A (392) serves retinol, folate (417) its equivalents.
ALSO_SERVES = {"vitamin_a_rae_ug": ("retinol_ug",), "folate_ug": ("folate_dfe_ug",)}
OILY_FROM_G = 5.0
LONGEST_PHRASE = 4
# Minutes of simmering or baking, stirred in -> retention code (USDA Release 6). 0: stirred into hot liquid, taken off the heat.
ALCOHOL_CODES = ((0, "5002"), (15, "5004"), (30, "5005"), (60, "5006"), (90, "5007"), (120, "5008"), (150, "5009"))
# Code 5009 has no alcohol factor in the machine-readable table; its printed edition gives 5 %.
ALCOHOL_2_5_HOURS = 0.05


class Treatment(Struct, frozen=True):
    """Which retention code stands for a method. code: "" when none does (factors 1). method: as the table calls it, "" when the
    word is not known. kind: kind of food. note: "nearest" when the code is of another treatment, else a remark or ""."""

    code: str
    method: str
    kind: str
    note: str = ""


class Kind(Struct, frozen=True):
    """A kind of food. words: phrases of which one must be in the description (() : any food of the groups); unless: phrases of
    which none may. oily: fish of over 5 % fat. codes: method -> (retention code, "nearest" or "")."""

    name: str
    groups: tuple[str, ...]
    words: tuple[frozenset[str], ...]
    unless: tuple[frozenset[str], ...]
    oily: bool
    codes: dict[str, tuple[str, str]]
    note: str

    def means(self, said: frozenset[str]) -> bool:
        """Whether a description of these words is of this kind."""
        if any(said >= phrase for phrase in self.unless):
            return False
        return not self.words or any(said >= phrase for phrase in self.words)


class Trim(Struct, frozen=True):
    """share: of the weight as bought that is thrown away, 0-1. removed: what that is. source: key of SOURCES.yaml and row."""

    item: str
    share: float
    removed: str
    source: str


class CookingTables:
    """Everything is looked up by name or code; unknown names give None."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    # Retention ----------------------------------------------------------------------------------------------------------

    @cached_property
    def _retention(self) -> tuple[list[str], dict[str, str]]:
        """(column names, code -> its line as text)."""
        header, *lines = (self._folder / "retention.csv").read_text("utf-8").splitlines()
        return header.split(","), {line[: line.index(",")]: line for line in lines}

    def _row(self, code: str) -> dict[str, str] | None:
        import csv

        columns, lines = self._retention
        line = lines.get(code.strip().lstrip("0"))
        return dict(zip(columns, next(csv.reader((line,))), strict=True)) if line is not None else None

    def retention(self, code: str) -> dict[str, float] | None:
        """Base key -> factor (0-1) of a USDA retention code; a nutrient that is absent has none: take 1, unless ``missing``
        names it. Code 0 is "no loss": {}. None: there is no such code."""
        if code.strip() and not code.strip().strip("0"):
            return {}
        row = self._row(code)
        if row is None:
            return None
        found = {key: float(text) / 100 for key, text in list(row.items())[5:] if text}
        for key, others in ALSO_SERVES.items():
            found.update({other: found[key] for other in others if key in found})
        return found

    def missing(self, code: str) -> tuple[str, ...]:
        """Base keys that the table covers but for which this code has no factor (24 of code 5005): not known, not 1."""
        row = self._row(code)
        if row is None:
            return ()
        blank = [key for key, text in list(row.items())[5:] if not text]
        return tuple(blank + [other for key in blank for other in ALSO_SERVES.get(key, ())])

    def treatment_words(self, code: str) -> str:
        """A retention code in words ("vegetables, greens, boiled, water cover drained"), "" when there is none."""
        row = self._row(code)
        return row["description"] if row else ""

    # Methods ------------------------------------------------------------------------------------------------------------

    @cached_property
    def _methods(self) -> dict[str, str]:
        """Normalised method words -> canonical method."""
        rows = csv_rows(self._folder / "methods.csv")
        return {word: row["method"] for row in rows for word in row["words"].split("|")}

    @cached_property
    def _kinds(self) -> tuple[Kind, ...]:
        """Kinds of food in the order in which they are tried."""
        codes: dict[str, dict[str, tuple[str, str]]] = {}
        for row in csv_rows(self._folder / "treatments.csv"):
            codes.setdefault(row["kind"], {})[row["method"]] = row["code"], "nearest" if row["nearest"] else ""
        return tuple(
            Kind(row["kind"], tuple(row["groups"].split("|")), _phrases(row["words"]), _phrases(row["unless"]),
                 bool(row["over_5_percent_fat"]), codes.get(row["kind"], {}), row["note"])
            for row in csv_rows(self._folder / "kinds.csv"))  # fmt: skip

    def methods_in(self, text: str) -> tuple[str, ...]:
        """Canonical methods that a text names, in its order ("seared, then braised" -> seared, braised)."""
        said, found, at = words(text), [], 0
        while at < len(said):
            for length in range(min(LONGEST_PHRASE, len(said) - at), 0, -1):
                method = self._methods.get(" ".join(said[at : at + length]))
                if method:
                    found.append(method)
                    break
            else:
                length = 1
            at += length
        return tuple(found)

    def kind_of(self, group: str, description: str, fat_g: float | None = None) -> Kind | None:
        """Which kind of food it is, by its SR28 group and the words of its description; fish by its fat where that is given."""
        said = frozenset(words(description))
        for kind in self._kinds:
            if group not in kind.groups:
                continue
            if kind.oily and fat_g is not None:
                if fat_g > OILY_FROM_G:
                    return kind
            elif kind.means(said):
                return kind
        return None

    def treatment(self, method: str, group: str, description: str, fat_g: float | None = None) -> Treatment:
        """The retention code for a method (as a cook writes it) on a food of an SR28 group. The last method named for which
        there is a code counts."""
        methods = self.methods_in(method)
        kind = self.kind_of(group, description, fat_g)
        last = methods[-1] if methods else ""
        if kind is None:
            return Treatment("", last, "")
        for each in reversed(methods):
            if each in kind.codes:
                code, note = kind.codes[each]
                return Treatment(code, each, kind.name, note)
        return Treatment("", last, kind.name, kind.note)

    def code_for(self, method: str, food_group: str, description: str, fat_g: float | None = None) -> str | None:
        """Code of :meth:`treatment`, or None: the factors are then 1."""
        return self.treatment(method, food_group, description, fat_g).code or None

    # Yields and trim ----------------------------------------------------------------------------------------------------

    @cached_property
    def _yields(self) -> dict[tuple[str, str], dict[str, str]]:
        """(name as the file has it, method) -> row; the first row counts. Rows weighed with bone have no name."""
        found: dict[tuple[str, str], dict[str, str]] = {}
        for row in csv_rows(self._folder / "yields.csv"):
            for name in filter(None, row["names"].split("|")):
                for method in row["methods"].split("|"):
                    found.setdefault((name, method), row)
        return found

    def cooking_yield(self, name: str, method: str) -> tuple[float, str] | None:
        """Cooked over raw weight (edible) of a food by its name or description and the method, and where that comes from.
        Names must be equal after levelling the spelling: a yield of something similar is not taken."""
        row = self._yield_row(name, method)
        return (float(row["cooked_over_raw"]), f"{row['source']}: {row['item']}, {row['method'].lower()}") if row else None

    def cooked_fat(self, name: str, method: str) -> float:
        """Share of the raw weight that runs off as fat (<= 0) with the yield of the same name and method; 0 where the table gives
        none, or a gain (that fat was added, and is a line of its own)."""
        row = self._yield_row(name, method)
        return min(0.0, float(row["fat_change_percent"]) / 100) if row and row["fat_change_percent"] else 0.0

    def _yield_row(self, name: str, method: str) -> dict[str, str] | None:
        return next((row for each in reversed(self.methods_in(method)) if (row := self._yields.get((normalise(name), each)))),
                    None)  # fmt: skip

    @cached_property
    def _trims(self) -> dict[str, Trim]:
        found: dict[str, Trim] = {}
        for row in csv_rows(self._folder / "trim.csv"):
            if row["use"]:
                source = f"{row['source']}: {row['source_row']}"
                trim = Trim(row["item"], float(row["refuse_percent"]) / 100, row["what_is_removed"], source)
                for name in row["names"].split("|"):
                    found.setdefault(name, trim)
        return found

    def trim(self, name: str) -> Trim | None:
        """What is usually thrown away of a food as bought, by name or description."""
        return self._trims.get(normalise(name))

    # Alcohol ------------------------------------------------------------------------------------------------------------

    def alcohol_stays(self, minutes: float | None = None, *, flamed: bool = False, stirred: bool = True,
                      overnight: bool = False) -> tuple[Span, str]:  # fmt: skip
        """Share of the alcohol that stays (0-1). minutes: simmered or baked after it was stirred in; between two times of the
        table the two factors are the bounds. Without minutes: stirred into hot liquid. flamed; overnight: no heat, stored
        overnight; not stirred: baked 25 minutes with the drink on top (the table's only case)."""
        if flamed or overnight or not stirred:
            code = "5003" if flamed else "5001" if overnight else "5010"
            return Span.of(self._alcohol(code)), f"{RETENTION}: {code}"
        time = max(0.0, minutes or 0.0)
        below = max(pair for pair in ALCOHOL_CODES if pair[0] <= time)
        above = min((pair for pair in ALCOHOL_CODES if pair[0] >= time), default=below)
        most, least = self._alcohol(below[1]), self._alcohol(above[1])
        if above[0] == below[0]:
            return Span.of(most), f"{RETENTION}: {below[1]}"
        share = (time - below[0]) / (above[0] - below[0])
        return Span(least, most + (least - most) * share, most), f"{RETENTION}: {below[1]}, {above[1]}"

    def _alcohol(self, code: str) -> float:
        return (self.retention(code) or {}).get("alcohol_g", ALCOHOL_2_5_HOURS)


def _phrases(text: str) -> tuple[frozenset[str], ...]:
    return tuple(frozenset(phrase.split()) for phrase in text.split("|")) if text else ()


def load_cooking(folder: Path | None = None) -> CookingTables:
    """The shipped tables, or tables of the same layout in another folder."""
    return CookingTables(folder or reference("cooking"))
