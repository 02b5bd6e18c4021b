"""Which column of a table is which: by the words of its heading, by what was said with ``--columns``, or as remembered."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from labeller.reading.amounts import UNIT_WORDS
from labeller.reading.imports.kitchen_text import flow, known_fields
from labeller.reading.keys import KNOWN
from labeller.reading.library import yaml_text
from labeller.terms.findings import Finding, Place, finding
from labeller.terms.words import fold

MEMORY = "imports.yaml"
SAYABLE = ("recipe", "name", "amount", "unit", "note", "line", "serves", "makes", "description")


def _each(role: str, headings: str) -> dict[str, str]:
    return dict.fromkeys(headings.split(), role)


# heading, folded -> what the column is; the first row of words is sure, the second gives way to it. Common practice, no source.
_SURE: dict[str, str] = {
    **_each("recipe", 
        "recipe recipe_name name_of_recipe dish dish_name recipe_title title menu_item preparation_name sub_recipe component "
        "recette nom_de_la_recette plat rezept rezeptname gericht ricetta piatto receta plato"),
    **_each("name", 
        "ingredient ingredients ingredient_name raw_material ingredient_description ingredient_nom zutat zutaten lebensmittel "
        "matiere_premiere denree ingrediente ingredienti ingredientes"),
    **_each("amount", 
        "amount quantity qty qnty quant menge quantite qte quantita cantidad cant amount_needed quantity_needed"),
    **_each("unit", "unit units uom unit_of_measure measure_unit einheit me unite unita unidad u_m um"),
    **_each("note", 
        "note notes comment comments remark remarks prep prep_note preparation bemerkung bemerkungen notiz hinweis vorbereitung "
        "remarque remarques commentaire observaciones nota notas osservazioni"),
    **_each("line", 
        "ingredient_line ingredient_lines ingredient_list ingredients_list ingredient_text zutatenliste liste_des_ingredients"),
    **_each("serves", 
        "serves portions servings covers number_of_portions portionen personen couverts nombre_de_portions porzioni raciones"),
    **_each("makes", 
        "makes yield batch_size batch_yield total_yield ergibt ausbeute rendement resa rendimiento"),
    **_each("description", "description beschreibung descrizione descripcion"),
}  # fmt: skip
_PERHAPS: dict[str, str] = {
    **_each("name", 
        "item product article commodity artikel produkt bezeichnung produit designation prodotto producto articolo"),
    **_each("amount", "weight gewicht poids peso measure mass"),
    **_each("recipe", "name nom nome nombre"),
}  # fmt: skip
_WITH_UNIT = re.compile(r"(?:\b(?:in|en)\s+|[(\[]\s*)?\b([a-z]+)\s*[)\]]?\s*$")
_UNIT_ALONE = {"grams": "g", "gramm": "g", "grammes": "g", "g": "g", "kg": "kg", "ml": "ml", "gr": "g",
               "grammi": "g", "gramos": "g"}  # fmt: skip


class Columns(NamedTuple):
    """places: role -> column from 0. unit: of every amount, where the heading says it. own: the table is an export of this tool,
    whose keys are taken as they are. left: (column, heading) of columns that are none of these."""

    places: dict[str, int]
    unit: str = ""
    own: bool = False
    left: tuple[tuple[int, str], ...] = ()


def by_headings(headings: Sequence[str]) -> Columns | str | None:
    """The columns by their words; a text where two columns claim one place; None where there is neither a name nor a line."""
    own = _own(headings)
    if own is not None:
        return own
    sure: dict[str, list[int]] = {}
    perhaps: dict[str, list[int]] = {}
    units: dict[int, str] = {}
    for place, heading in enumerate(headings):
        role, certain, unit = role_of(heading)
        if role:
            (sure if certain else perhaps).setdefault(role, []).append(place)
            units[place] = unit
    places: dict[str, int] = {}
    for role in dict.fromkeys((*sure, *perhaps)):
        claims = sure.get(role) or perhaps[role]
        if role == "recipe" and role not in sure and "name" not in sure and "name" not in perhaps:
            role = "name"  # a lone "Name" heads the ingredients
        if len(claims) > 1 or role in places:
            names = " and ".join(f'"{headings[place]}" ({letter(place)})' for place in claims)
            return f"{names} could each be the {role}"
        places[role] = claims[0]
    if "name" not in places and "line" not in places:
        return None
    left = tuple((place, heading) for place, heading in enumerate(headings) if heading and place not in places.values())
    return Columns(places, units.get(places.get("amount", -1), ""), left=left)


def role_of(heading: str) -> tuple[str, bool, str]:
    """(role, whether it is sure, unit) of a heading; ("", False, "") where it is not known."""
    words = fold(heading).replace(" ", "_")
    if words in _SURE:
        return _SURE[words], True, ""
    if words in _PERHAPS:
        return _PERHAPS[words], False, ""
    if words in _UNIT_ALONE:
        return "amount", True, _UNIT_ALONE[words]
    with_unit = _WITH_UNIT.search(heading.lower())
    if with_unit and with_unit[1] in UNIT_WORDS and with_unit.start() > 0:
        role, sure, _ = role_of(heading[: with_unit.start()])
        if role == "amount":
            return role, sure, UNIT_WORDS[with_unit[1]]
    return "", False, ""


def _own(headings: Sequence[str]) -> Columns | None:
    """An export of this tool: kind, name, ingredient, and then keys of the kitchen's files, as they are."""
    if not {"kind", "name", "ingredient"} <= set(headings):
        return None
    keys = KNOWN["line"] | known_fields("recipe") | known_fields("dish") | known_fields("pack")
    places = {"kind": headings.index("kind"), "recipe": headings.index("name"), "name": headings.index("ingredient")}
    places |= {key: place for place, key in enumerate(headings) if key in keys}
    left = tuple((place, heading) for place, heading in enumerate(headings) if heading and place not in places.values())
    return Columns(places, own=True, left=left)


# -- said and remembered ---------------------------------------------------------------------------------------------------


def said(text: str) -> tuple[dict[str, str], Finding | None]:
    """ "name=B,amount=C,unit=D" -> role -> letter or heading."""
    found: dict[str, str] = {}
    for part in re.split(r",(?=\s*[a-z]+\s*=)", text):
        role, sign, column = (each.strip() for each in part.partition("="))
        if not sign or role not in SAYABLE or not column or role in found:
            what = f'"{part.strip()}" is not understood' if role not in found else f'"{role}" is said twice'
            return {}, finding(
                "import-columns-wrong",
                Place("--columns"),
                what,
                f"write --columns recipe=A,name=B,amount=C,unit=D; known: {', '.join(SAYABLE)}",
            )
        found[role] = column
    if "name" not in found and "line" not in found:
        return {}, finding(
            "import-columns-wrong",
            Place("--columns"),
            "which column holds the ingredient is not said",
            "write --columns name=B,amount=C,unit=D, or line=B where amount and name stand in one cell",
        )
    return found, None


def placed(columns: Mapping[str, str], headings: Sequence[str]) -> Columns | str:
    """What was said, found in these headings: by heading first, then by letter. A text where it can't be."""
    lower = [heading.lower() for heading in headings]
    places: dict[str, int] = {}
    for role, column in columns.items():
        place = lower.index(column.lower()) if column.lower() in lower else number_of(column)
        if place is None:
            return f'no column is called "{column}"'
        if place in places.values():
            return f'column "{column}" is said twice'
        places[role] = place
    unit = role_of(headings[places["amount"]])[2] if "amount" in places and places["amount"] < len(headings) else ""
    left = tuple((place, heading) for place, heading in enumerate(headings) if heading and place not in places.values())
    return Columns(places, unit, left=left)


def number_of(letters: str) -> int | None:
    """ "A" -> 0, "AB" -> 27; None where it is no column's letter."""
    if not re.fullmatch(r"[A-Za-z]{1,2}", letters):
        return None
    place = 0
    for char in letters.upper():
        place = place * 26 + ord(char) - 64
    return place - 1


def letter(place: int) -> str:
    return (chr(64 + place // 26) if place >= 26 else "") + chr(65 + place % 26)


class Remembered(NamedTuple):
    """What a person has said once. headings: of the table, () for a table without. columns: role -> heading or letter."""

    headings: tuple[str, ...]
    columns: dict[str, str]


def remembered(folder: Path) -> tuple[tuple[Remembered, ...], Finding | None]:
    """What ``imports.yaml`` of the kitchen holds."""
    path = folder / MEMORY
    if not path.exists():
        return (), None
    try:
        entries = yaml_text(path) or []
        found = tuple(Remembered(tuple(entry["headings"] or ()), dict(entry["columns"])) for entry in entries)  # type: ignore[attr-defined]
    except Exception as problem:  # a file that was edited by hand: whatever is wrong with it, it can't be used
        return (), finding(
            "import-mapping-not-read",
            Place(MEMORY),
            f"{MEMORY} can't be read: {type(problem).__name__}",
            "delete it and say the columns once more with --columns",
        )
    return found, None


def memory_text(entries: Sequence[Remembered]) -> str:
    """The text of ``imports.yaml``."""
    out = ["# Columns of spreadsheets, as they were said once. Written by: labeller import --columns"]
    for entry in entries:
        out += [f"- headings: {flow(list(entry.headings))}", f"  columns: {flow(entry.columns)}"]
    return "\n".join(out) + "\n"


def with_memory(entries: Sequence[Remembered], new: Remembered) -> tuple[Remembered, ...]:
    return (*(entry for entry in entries if entry.headings != new.headings), new)
