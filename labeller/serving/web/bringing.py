"""Recipes brought in: a pasted list, a spreadsheet or the page of a recipe; shown line by line before anything is written.

Reading is the command's (``labeller import``), so that both read the same. What is written are new files only.
"""

from __future__ import annotations

import tempfile
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

from msgspec.structs import replace as replace_struct

from labeller.reading import kitchen_edit
from labeller.reading.imports import TABLES, Arrived, Source, form_of, read_import
from labeller.reading.imports import columns as column_words
from labeller.reading.imports.found import FoundLine, FoundRecipe
from labeller.reading.imports.kitchen_text import known_fields
from labeller.reading.sheets import Sheet, read_sheets, sheets_of_text
from labeller.serving.importing import Planned, planned, taken_names
from labeller.serving.resolving import Names
from labeller.serving.web.asking import Reply, go
from labeller.serving.web.editing import now, used_by
from labeller.serving.web.looking import Told
from labeller.serving.web.uploads import MOST_UPLOAD, Upload
from labeller.serving.web.visits import Visit
from labeller.serving.writing import write
from labeller.terms.findings import STOP, Finding, Place, finding
from labeller.terms.words import normalise

KINDS = {"recipe": "sub-recipes", "dish": "dishes", "pack": "packs"}
ROLES = {
    "": "not taken",
    "recipe": "the recipe's name",
    "name": "the ingredient",
    "amount": "the amount",
    "unit": "the unit",
    "line": "amount and ingredient in one cell",
    "note": "a note",
    "serves": "how many it serves",
    "makes": "how much it makes",
    "description": "a description",
}
MOST_TEXT = 200_000  # characters of a pasted list
MOST_LINES = 3_000  # of a preview; a workbook with more is brought in with the command
ENDINGS = (*TABLES, ".json", ".jsonld", ".html", ".htm", ".txt", ".zip")
OWN_TEXT = "the pasted list"


class Line(NamedTuple):
    """One line of a preview. means: what the name is to this kitchen, "" where nothing is known of it yet."""

    found: FoundLine
    amount: str
    more: str
    means: str


class Shown(NamedTuple):
    """One recipe of a preview. number: in the order found. plan: what would be written, None where nothing would be. calls:
    recipes that call its name already."""

    number: int
    recipe: FoundRecipe
    plan: Planned | None
    take: bool
    lines: tuple[Line, ...]
    calls: tuple[str, ...]


class Column(NamedTuple):
    """letter, heading, samples of one column of a table whose columns are to be said. role: said, or told by the heading."""

    letter: str
    heading: str
    samples: tuple[str, ...]
    role: str


def bring_in(visit: Visit) -> Reply:
    """The empty page."""
    return _page(visit, None, "")


def brought(visit: Visit) -> Reply:
    """What was sent, as it would be written; or, with ``do=write``, the files."""
    asked = visit.asked
    file, key, wrong = _sent(visit)
    if wrong:
        return _page(visit, None, "", status=422, findings=(wrong,))
    text = "" if file else asked.form.get("text", [""])[0][:MOST_TEXT]
    if file is None and not text.strip():
        nothing = finding(
            "import-nothing-found",
            Place("the list"),
            "nothing was pasted and no file was chosen",
            "paste a list, or choose a file",
        )
        return _page(visit, None, "", status=422, findings=(nothing,))
    arrived, sheets, more = _read(visit, file, text)
    shown, asks = _preview(visit, arrived, file.name if file else OWN_TEXT)
    findings = (*more, *arrived.findings, *asks)
    if asked.one("do") == "write":
        return _write(visit, file, key, arrived, shown, sheets, findings)
    return _page(visit, file, key, shown=shown, sheets=sheets, findings=findings)


def _sent(visit: Visit) -> tuple[Upload | None, str, Finding | None]:
    """(the file, its number in the tray, what is wrong with it)."""
    file, key = visit.asked.files.get("file"), visit.asked.one("tray")
    if file is not None:
        ending = Path(file.name).suffix.lower()
        if ending not in ENDINGS:
            return None, "", _unreadable(file.name, f"{file.name} is neither a spreadsheet nor a saved page or text")
        if ending == ".zip" or form_of(Source(file.name, None, file.data[:4000].decode("utf-8", "replace"))) == "food-data":
            return None, "", _unreadable(file.name, f"{file.name} looks like a download of food data", "labeller import FILE")
        return file, visit.tray.put(file), None
    if not key:
        return None, "", None
    there = visit.tray.get(key)
    if there is None:
        return None, "", _unreadable("upload", "the file that was sent is not at hand any more", "choose it once more")
    return there, key, None


def _unreadable(file: str, text: str, mend: str = "send XLSX, CSV, a saved recipe page (HTML), JSON-LD or plain text") -> Finding:
    return finding("import-not-readable", Place(file), text, mend)


# Reading ----------------------------------------------------------------------------------------------------------------


def _read(visit: Visit, file: Upload | None, text: str) -> tuple[Arrived, tuple[Sheet, ...], tuple[Finding, ...]]:
    """What an import reads in it, and its sheets where it is a table."""
    kind = visit.asked.one("kind") if visit.asked.one("kind") in KINDS else "recipe"
    memory, spoilt = column_words.remembered(visit.house.folder)
    with tempfile.TemporaryDirectory(prefix="labeller-") as aside:
        path = None
        if file is not None:
            path = Path(aside) / file.name.replace("/", "_")
            path.write_bytes(file.data)
        source = Source(file.name if file else OWN_TEXT, path, text)
        form = form_of(source)
        sheets: tuple[Sheet, ...] = ()
        if form == "spreadsheet":
            sheets, _ = read_sheets(path) if path else sheets_of_text(text, Place(OWN_TEXT))
        said = _said(visit, sheets)
        name = visit.asked.one("name")
        arrived = read_import(source, form, _known(visit), name=name, kind=kind, said=said or None, memory=memory)
    return arrived, sheets, (spoilt,) if spoilt and form == "spreadsheet" else ()


def _known(visit: Visit):
    """Whether a name is one of the kitchen's, or one whose meaning the tables know."""
    own, tables = taken_names(visit.opened.kitchen), visit.opened.workshop.tables.names
    return lambda name: bool(word := normalise(name)) and (word in own or word in tables)


def _table(sheets: tuple[Sheet, ...]) -> tuple[Sheet, int] | None:
    """The first sheet with more than one filled column, and the row that would be its headings."""
    for sheet in sheets:
        for number, row in enumerate(sheet.rows):
            if sum(1 for cell in row if cell) > 1:
                return sheet, number
    return None


def _said(visit: Visit, sheets: tuple[Sheet, ...]) -> dict[str, str]:
    """Columns as chosen in the boxes: role -> heading, or letter where the row over them holds no headings."""
    chosen = {
        key.removeprefix("column/"): role
        for key in visit.asked.form
        if key.startswith("column/") and (role := visit.asked.one(key))
    }
    there = _table(sheets)
    if not chosen or there is None:
        return {}
    roles: dict[str, str] = {}
    for letter, role in chosen.items():
        if role in ROLES:
            roles.setdefault(role, letter)
    head = there[0].rows[there[1]]
    told = {column_words.letter(place): role for place, cell in enumerate(head) if (role := column_words.role_of(cell)[0])}
    if chosen == told and isinstance(column_words.by_headings(head), column_words.Columns):
        return {}  # the headings say so themselves: nothing to be remembered
    words = {role: _cell(head, column_words.number_of(letter)) for role, letter in roles.items()}
    lower = [cell.lower() for cell in head]
    headed = all(word and not any(char.isdigit() for char in word) and lower.count(word.lower()) == 1 for word in words.values())
    return words if headed else roles


def _cell(row: tuple[str, ...], place: int | None) -> str:
    return row[place] if place is not None and place < len(row) else ""


def columns(visit: Visit, sheets: tuple[Sheet, ...]) -> list[Column]:
    """The columns of the first table, with what each would be taken for."""
    there = _table(sheets)
    if there is None:
        return []
    sheet, at = there
    head, below = sheet.rows[at], [row for row in sheet.rows[at + 1 :] if any(row)][:40]
    width = max((len(row) for row in (head, *below)), default=0)
    found, taken = [], set()
    for place in range(min(width, 60)):
        letter, heading = column_words.letter(place), _cell(head, place)
        samples = tuple(dict.fromkeys(cell for row in below if (cell := _cell(row, place))))[:3]
        if not heading and not samples:
            continue
        sent = f"column/{letter}" in visit.asked.form
        role = visit.asked.one(f"column/{letter}") if sent else column_words.role_of(heading)[0]
        role = role if role in ROLES and role not in taken else ""
        taken |= {role} - {""}
        found.append(Column(letter, heading, samples, role))
    return found


# The preview ------------------------------------------------------------------------------------------------------------


def _preview(visit: Visit, arrived: Arrived, file: str) -> tuple[list[Shown], tuple[Finding, ...]]:
    """Each recipe with what would be written of it. Names and kinds typed on the page count."""
    form, again = visit.asked.form, visit.asked.one("do") in ("again", "write")
    recipes = [_as_typed(visit, number, recipe) for number, recipe in enumerate(arrived.recipes)]
    take = [
        not again or f"name/{number}" not in form or visit.asked.one(f"take/{number}") == "yes" for number in range(len(recipes))
    ]
    wanted = [recipe for number, recipe in enumerate(recipes) if take[number]]
    head = f"From {file}, brought in {visit.today}. Look at each line that is asked."
    plans, findings = planned(wanted, visit.opened.kitchen, visit.house.folder, head)
    names, waiting, shown = Names(visit.opened.kitchen, visit.opened.workshop.tables), list(plans), []
    for number, recipe in enumerate(recipes):
        mine = take[number] and bool(waiting) and waiting[0].name == recipe.name
        calls = tuple(used_by(visit.opened.kitchen, recipe.name)) if mine else ()
        plan = waiting.pop(0) if mine else None
        shown.append(Shown(number, recipe, plan, take[number], tuple(_line(names, each) for each in recipe.lines), calls))
    told = tuple(
        each for each in findings if each.code not in ("import-line-unsure", "import-heading")
    )  # those stand at their lines
    return shown, told


def _as_typed(visit: Visit, number: int, recipe: FoundRecipe) -> FoundRecipe:
    typed, kind = visit.asked.one(f"name/{number}"), visit.asked.one(f"kind/{number}")
    kind = kind if kind in KINDS else recipe.kind
    known = known_fields(kind)
    lost = [f"{key}: {value}" for key, value in recipe.fields if key not in known]
    return replace(
        recipe,
        name=" ".join(typed.split()) or recipe.name,
        kind=kind,
        fields=tuple(pair for pair in recipe.fields if pair[0] in known),
        remarks=(*lost, *recipe.remarks),
    )


def _line(names: Names, found: FoundLine) -> Line:
    keys = dict(found.keys)
    amount = keys.pop("amount", "")
    more = ", ".join(f"{key} {value}" for key, value in keys.items())
    return Line(found, amount, more, _means(names, found.name) if found.name else "")


def _means(names: Names, name: str) -> str:
    """What a name is to the kitchen, in words; "" where it has to be asked."""
    meaning = names.meaning(name, "", Place("recipes"))
    if meaning.ref.kind == "recipe":
        return "your recipe"
    if meaning.product is not None:
        return "your product"
    return meaning.food.description if meaning.food is not None else ""


def _page(
    visit: Visit,
    file: Upload | None,
    key: str,
    *,
    shown: list[Shown] = [],  # noqa: B006 - never changed
    sheets: tuple[Sheet, ...] = (),
    status: int = 200,
    findings: tuple[Finding, ...] = (),
) -> Reply:
    text = visit.asked.form.get("text", [""])[0].replace("\r\n", "\n") if file is None else ""
    stops = any(each.severity == STOP for each in findings)
    table = columns(visit, sheets)
    asks_columns = bool(table) and (not shown or stops)
    findings = tuple(_on_page(each) for each in findings if not (asks_columns and each.code == "import-columns-not-known"))
    lines = sum(len(one.lines) for one in shown)
    return visit.page(
        "bring_in.html",
        "Bring recipes in",
        status,
        here="/bring-in",
        file=file,
        tray=key,
        text=text,
        name=visit.asked.one("name"),
        kind=visit.asked.one("kind") or "recipe",
        kinds=KINDS,
        roles=ROLES,
        shown=shown if lines <= MOST_LINES else [],
        too_many=lines > MOST_LINES,
        columns=table,
        columns_asked=asks_columns,
        findings=[Told(each, None) for each in findings],
        asked=sum(one.plan.asked for one in shown if one.plan),
        ready=sum(1 for one in shown if one.plan),
        most=MOST_UPLOAD,
        accept=",".join(ending for ending in ENDINGS if ending != ".zip"),
    )


def _on_page(each: Finding) -> Finding:
    """What is to be done about it on a page, where the finding says what to type at the command line."""
    mend = {
        "import-columns-wrong": "choose below what each column holds, each once",
        "import-columns-not-known": "choose what each column holds under Columns",
        "import-name-taken": "give it another name here, or untick it",
        "import-name-missing": "write its name",
    }.get(each.code)
    if each.code == "import-left-out" and "--columns" in each.mend:
        mend = "look whether one of them matters, and choose it under Columns"
    return replace_struct(each, mend=mend) if mend else each


# Writing ----------------------------------------------------------------------------------------------------------------


def _write(
    visit: Visit,
    file: Upload | None,
    key: str,
    arrived: Arrived,
    shown: list[Shown],
    sheets: tuple[Sheet, ...],
    findings: tuple[Finding, ...],
) -> Reply:
    """The files of the recipes that are ticked; none while one of them can't be written."""
    plans = [one.plan for one in shown if one.plan]
    refused = [each for each in findings if each.severity == STOP]
    if not plans and not refused:
        refused = [finding("import-nothing-found", Place("the list"), "no recipe is ticked", "tick what shall be written")]
    if refused:
        return _page(visit, file, key, shown=shown, sheets=sheets, status=422, findings=(*refused, *_others(findings)))
    what = f'bring in "{plans[0].name}"' if len(plans) == 1 else f"bring in {len(plans)} recipes"
    files = {plan.path: plan.text.encode("utf-8") for plan in plans}
    saved = kitchen_edit.add_files(visit.house.folder, files, what, when=now())
    if not saved.written:
        return _page(visit, file, key, shown=shown, sheets=sheets, status=422, findings=(*saved.findings, *findings))
    _remember(visit, arrived)
    visit.tray.drop(key)
    if len(plans) == 1:
        return go("/dish", name=plans[0].name, done="brought")
    return go("/settle", done="brought")


def _others(findings: tuple[Finding, ...]) -> list[Finding]:
    return [each for each in findings if each.severity != STOP]


def _remember(visit: Visit, arrived: Arrived) -> None:
    """The columns that were chosen, for the next table with these headings. Without them the files are whole all the same."""
    memory, spoilt = column_words.remembered(visit.house.folder)
    if arrived.remember is None or spoilt:
        return
    text = column_words.memory_text(column_words.with_memory(memory, arrived.remember))
    try:
        write(visit.house.folder / column_words.MEMORY, text)
    except OSError:
        return
