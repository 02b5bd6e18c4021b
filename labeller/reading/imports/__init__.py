"""Recipes from elsewhere, turned into the kitchen's own files: spreadsheets, recipe JSON-LD, pasted text.

What is sure is written as a line of the kitchen's files. What is not is written as it stood, with a remark that asks, and is a
finding; nothing is guessed and nothing is dropped without a word.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from labeller.reading.imports.columns import Remembered
from labeller.reading.imports.found import FoundRecipe
from labeller.reading.imports.json_ld import read_json_ld, texts_of_page
from labeller.reading.imports.pasted import Known, read_text
from labeller.reading.imports.spreadsheet import read_spreadsheet
from labeller.terms.findings import Finding, Place, finding

FORMS = ("spreadsheet", "json-ld", "text", "food-data")
TABLES = (".csv", ".tsv", ".xlsx", ".xlsm", ".xls")
FDC_TABLES = ("FoundationFoods", "SRLegacyFoods", "SurveyFoods", "BrandedFoods")
MOST_BYTES = 20_000_000


class Arrived(NamedTuple):
    """recipes as found. findings: of what could not be read. remember: columns that were said now, to be kept."""

    recipes: tuple[FoundRecipe, ...]
    findings: tuple[Finding, ...] = ()
    remember: Remembered | None = None


@dataclass(frozen=True, slots=True)
class Source:
    """What is read: a file, or a text from standard input. path: None for a text. name: of the file, for places."""

    name: str
    path: Path | None = None
    text: str = ""


def form_of(source: Source) -> str:
    """One of FORMS, by the file's ending and its first bytes."""
    if source.path is None:
        return _form_of_text(source.text)
    ending = source.path.suffix.lower()
    if ending in TABLES:
        return "spreadsheet"
    if ending == ".zip":
        return "food-data"
    try:
        with source.path.open("rb") as stream:
            head = stream.read(4000)
    except OSError:
        return "text"
    if ending == ".json" and any(f'"{name}"'.encode() in head for name in FDC_TABLES):
        return "food-data"
    return _form_of_text(head.decode("utf-8", errors="replace"))


def _form_of_text(text: str) -> str:
    head = text.lstrip("\ufeff \t\r\n")[:4000]
    if head.startswith(("{", "[{", "[ {", "[\n")) and not head.startswith("[ ]"):
        return "json-ld"
    if head[:1] == "<" or "application/ld+json" in head:
        return "json-ld"
    lines = [line for line in head.splitlines()[:20] if line.strip()]
    return "spreadsheet" if len(lines) > 1 and sum("\t" in line for line in lines) > len(lines) / 2 else "text"


def read_import(
    source: Source,
    form: str,
    known: Known,
    *,
    name: str = "",
    kind: str = "recipe",
    said: Mapping[str, str] | None = None,
    memory: Sequence[Remembered] = (),
) -> Arrived:
    """Every recipe of a source. form: of FORMS, food data aside. name: for the one recipe found. said, memory: columns of a
    spreadsheet. Never raises: what can't be read is a finding of weight stop."""
    if form == "spreadsheet":
        arrived = _spreadsheet(source, known, name, kind, said, memory)
    else:
        text, wrong = _text_of(source)
        if text is None:
            return Arrived((), wrong)
        if form == "json-ld":
            arrived = _json(text, source.name, known, kind)
        else:
            arrived = Arrived(tuple(each for each in read_text(text, source.name, known, name, kind) if each.lines))
        arrived = arrived._replace(findings=(*wrong, *arrived.findings))
    if name and len(arrived.recipes) == 1:
        arrived = arrived._replace(recipes=(_named(arrived.recipes[0], name),))
    if not arrived.recipes and not any(each.severity == "stop" for each in arrived.findings):
        nothing = finding(
            "import-nothing-found",
            Place(source.name),
            f"no recipe was found in {source.name}",
            "look whether it is the right file; say --as text, --as spreadsheet or --as json-ld",
        )
        arrived = arrived._replace(findings=(*arrived.findings, nothing))
    return arrived


def _named(recipe: FoundRecipe, name: str) -> FoundRecipe:
    from dataclasses import replace

    return replace(recipe, name=name)


def _spreadsheet(
    source: Source, known: Known, name: str, kind: str, said: Mapping[str, str] | None, memory: Sequence[Remembered]
) -> Arrived:
    from labeller.reading.sheets import read_sheets, sheets_of_text

    sheets, wrong = read_sheets(source.path) if source.path else sheets_of_text(source.text)
    if not sheets:
        return Arrived((), wrong)
    read = read_spreadsheet(sheets, source.name, known, name=name, kind=kind, said=said, memory=memory)
    return Arrived(read.recipes, (*wrong, *read.findings), read.used if said else None)


def _text_of(source: Source) -> tuple[str | None, tuple[Finding, ...]]:
    from labeller.reading.sheets import decoded

    if source.path is None:
        return source.text, ()
    place = Place(source.name)
    try:
        if source.path.stat().st_size > MOST_BYTES:
            return None, (finding("import-not-readable", place, f"{source.name} has more than 20 MB", "name a file of recipes"),)
        data = source.path.read_bytes()
    except OSError as problem:
        return None, (
            finding(
                "import-not-readable", place, f"{source.name} can't be opened: {problem.strerror}", "look at its name and rights"
            ),
        )
    text, asked = decoded(data, place)
    if "\x00" in text:
        return None, (
            finding("import-not-readable", place, f"{source.name} is no text", "save it as XLSX, CSV, JSON, HTML or plain text"),
        )
    return text, asked


def _json(text: str, file: str, known: Known, kind: str) -> Arrived:
    bare = text.lstrip("\ufeff \t\r\n")
    if bare[:1] == "<" or "application/ld+json" in bare[:200_000]:
        return Arrived(*read_json_ld(texts_of_page(text, file), known, kind))
    own = _own_json(bare, file)
    return Arrived(own) if own else Arrived(*read_json_ld(((text, Place(file, 1)),), known, kind))


def _own_json(text: str, file: str) -> tuple[FoundRecipe, ...]:
    """Recipes as this tool writes them (``labeller export recipes --as json``); () for anything else."""
    if '"labeller recipes"' not in text[:300]:
        return ()
    from labeller.reading.imports.typed import found_of

    try:
        entries = json.loads(text)["recipes"]
        return tuple(found_of(entry, file) for entry in entries)
    except (ValueError, KeyError, TypeError, AttributeError):
        return ()  # then read as JSON-LD, whose findings say what is wrong
