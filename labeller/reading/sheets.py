"""Tables of other programs: CSV and XLSX in as rows of text, and out so that no cell can be taken for a formula.

A spreadsheet program runs a cell that begins with ``=``, ``+``, ``-`` or ``@``, and skips a leading tab, carriage return or line
feed to find one; the wide forms of those signs count too (CWE-1236, Improper Neutralization of Formula Elements in a CSV File).
Such a text gets an apostrophe in front on the way out, and loses it on the way in; a text that begins with apostrophes and then
such a sign gets one more, so that nothing is lost either way.
"""

from __future__ import annotations

import csv
import io
import re
import zipfile
from collections.abc import Iterable, Sequence
from datetime import date, datetime, time
from pathlib import Path
from typing import NamedTuple

from labeller.terms.findings import Finding, Place, finding

SIGNS = "=+\\-@\t\r\n＝＋－＠"
_RISKY = re.compile(rf"'*[{SIGNS}]")
_WAS_RISKY = re.compile(rf"'+[{SIGNS}]")
MOST_BYTES = 20_000_000
MOST_UNPACKED = 300_000_000
MOST_ROWS, MOST_COLUMNS = 50_000, 400
LONGEST_CELL = 32_767  # characters a cell of a workbook holds
DELIMITERS = ",;\t|"
_UNIT_IN_FORMAT = re.compile(r'"\s*([^"]*[^\W\d_]\.?)\s*"')
Table = Sequence[Sequence["str | float | int | None"]]


class Sheet(NamedTuple):
    """name: of the sheet ("" in a CSV). rows: text of the cells, no blank cells at the end of a row. odd: (row, column), both
    from 0, -> what is odd about the cell ("a date", "a formula that was never worked out", "an error")."""

    name: str
    rows: tuple[tuple[str, ...], ...]
    odd: dict[tuple[int, int], str]


def neutral(text: str) -> str:
    """A text that no spreadsheet program runs."""
    return f"'{text}" if _RISKY.match(text) else text


def restored(text: str) -> str:
    """The text that :func:`neutral` was given."""
    return text[1:] if _WAS_RISKY.match(text) else text


def read_sheets(path: Path) -> tuple[tuple[Sheet, ...], tuple[Finding, ...]]:
    """All sheets of an XLSX, or the one table of a CSV or TSV. Never raises: what can't be read is a finding."""
    place = Place(path.name)
    try:
        if path.stat().st_size > MOST_BYTES:
            return (), (_unreadable(place, f"{path.name} has more than 20 MB"),)
        data = path.read_bytes()
    except OSError as problem:
        return (), (_unreadable(place, f"{path.name} can't be opened: {problem.strerror}"),)
    if zipfile.is_zipfile(io.BytesIO(data)):
        return _read_xlsx(data, place)
    if data[:8] == b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1":
        return (), (_unreadable(place, f"{path.name} is a workbook of the old binary form (XLS)"),)
    return _read_csv(data, place)


def _unreadable(place: Place, text: str) -> Finding:
    return finding("import-not-readable", place, text, "save it as XLSX or as CSV (UTF-8)")


# -- CSV -------------------------------------------------------------------------------------------------------------------


def decoded(data: bytes, place: Place) -> tuple[str, tuple[Finding, ...]]:
    """Text of a file: UTF-8, UTF-16 with its mark, else Windows-1252, which is asked about where it matters."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data.decode("utf-16", errors="replace"), ()
    try:
        return data.decode("utf-8-sig"), ()
    except UnicodeDecodeError:
        text = data.decode("cp1252", errors="replace")
        odd = next((line for line in text.splitlines() if not line.isascii()), "")
        return text, (
            finding(
                "import-line-unsure",
                place,
                f'{place.file} is not UTF-8; it was read as Windows-1252, "{odd.strip()[:60]}"',
                "look at the letters with accents; else save it as CSV (UTF-8) and import it again",
            ),
        )


def _read_csv(data: bytes, place: Place) -> tuple[tuple[Sheet, ...], tuple[Finding, ...]]:
    text, found = decoded(data, place)
    if "\x00" in text:
        return (), (_unreadable(place, f"{place.file} holds zero bytes: it is no text"),)
    sheets, wrong = sheets_of_text(text, place)
    return sheets, (*found, *wrong)


def sheets_of_text(text: str, place: Place = Place("standard input")) -> tuple[tuple[Sheet, ...], tuple[Finding, ...]]:  # noqa: B008
    """A table as text, its cells divided by commas, semicolons, tabs or bars."""
    rows = _rows(text, _delimiter(text))
    if len(rows) > MOST_ROWS:
        return (), (_unreadable(place, f"{place.file} has more than {MOST_ROWS} rows"),)
    return (Sheet("", tuple(_trimmed(row) for row in rows), {}),), ()


def _rows(text: str, delimiter: str) -> list[list[str]]:
    if not delimiter:
        return [[line] for line in text.splitlines()]
    csv.field_size_limit(MOST_BYTES)
    try:
        return list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter))
    except csv.Error:  # a stray carriage return within a line
        return [line.split(delimiter) for line in text.splitlines()]


def _delimiter(text: str) -> str:
    """The sign that cuts most of the first lines into the same number of cells, more than one."""
    head = "\n".join(text.splitlines()[:40])

    def score(delimiter: str) -> tuple[int, int]:
        widths = [len(row) for row in _rows(head, delimiter) if len(row) > 1]
        common = max(widths, key=widths.count, default=1)
        return widths.count(common), common

    best = max(DELIMITERS, key=score)
    return "" if _one_column(head, best) else best


def _one_column(head: str, delimiter: str) -> bool:
    """Lines of text under one heading, where a comma is only a comma: the heading has none, and not every line has as many."""
    widths = [len(line.split(delimiter)) for line in head.splitlines() if line.strip()]
    cut = next((nr for nr, width in enumerate(widths) if width > 1), 0)
    return widths[:1] == [1] and '"' not in head and len(set(widths[cut:])) > 1


def _trimmed(row: Iterable[str]) -> tuple[str, ...]:
    cells = [restored(cell).strip() for cell in row][:MOST_COLUMNS]
    while cells and not cells[-1]:
        cells.pop()
    return tuple(cells)


def csv_bytes(rows: Table) -> bytes:
    """UTF-8 with a mark (spreadsheet programs then read accents), comma, CRLF; numbers plain, texts neutralised."""
    out = io.StringIO(newline="")
    csv.writer(out, lineterminator="\r\n").writerows([_out(cell) for cell in row] for row in rows)
    return out.getvalue().encode("utf-8-sig")


def _out(cell: str | float | int | None) -> str:
    if cell is None:
        return ""
    return neutral(cell) if isinstance(cell, str) else f"{cell:.10g}"


# -- XLSX ------------------------------------------------------------------------------------------------------------------


def _read_xlsx(data: bytes, place: Place) -> tuple[tuple[Sheet, ...], tuple[Finding, ...]]:
    from openpyxl import load_workbook

    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            if sum(info.file_size for info in archive.infolist()) > MOST_UNPACKED:
                return (), (_unreadable(place, f"{place.file} unpacks to more than 300 MB"),)
        values = load_workbook(io.BytesIO(data), data_only=True)
        formulas = load_workbook(io.BytesIO(data)) if b"<f" in _all_sheets(data) else None
        sheets = [_sheet(sheet, formulas[sheet.title] if formulas else None) for sheet in values.worksheets]
    except Exception as problem:  # a foreign file: whatever its reader stumbles over, the cook is told, not shown a traceback
        return (), (_unreadable(place, f"{place.file} is no workbook that can be read: {type(problem).__name__}"),)
    return tuple(sheets), ()


def _all_sheets(data: bytes) -> bytes:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return b"".join(archive.read(name) for name in archive.namelist() if name.startswith("xl/worksheets/"))


def _sheet(sheet, formulas) -> Sheet:
    rows, odd = [], {}
    for nr, row in enumerate(sheet.iter_rows(max_row=min(sheet.max_row, MOST_ROWS), max_col=min(sheet.max_column, MOST_COLUMNS))):
        cells = []
        for column, cell in enumerate(row):
            text, what = _cell(cell)
            if not text and formulas is not None and formulas.cell(nr + 1, column + 1).data_type == "f":
                text, what = str(formulas.cell(nr + 1, column + 1).value), "a formula that was never worked out"
            if what:
                odd[nr, column] = what
            cells.append(text)
        while cells and not cells[-1]:
            cells.pop()
        rows.append(tuple(cells))
    return Sheet(sheet.title, tuple(rows), odd)


def _cell(cell) -> tuple[str, str]:
    """(text as the sheet shows it, what is odd about it)."""
    value, form = cell.value, cell.number_format or ""
    if value is None:
        return "", ""
    if isinstance(value, bool):
        return "yes" if value else "no", ""
    if isinstance(value, (int, float)):
        if "%" in form:
            return f"{value * 100:.8g} %", ""
        unit = _UNIT_IN_FORMAT.search(form)
        return f"{value:.10g}" + (f" {unit[1].strip()}" if unit else ""), ""
    if isinstance(value, (datetime, date, time)):
        day = value.date() if isinstance(value, datetime) and value.time() == time() else value
        return day.isoformat(), "a date"
    text = restored(str(value)).replace("\xa0", " ").strip()
    return text, "an error" if cell.data_type == "e" else ""


def xlsx_bytes(sheets: Sequence[tuple[str, Table]]) -> bytes:
    """A workbook of (name, rows); the first row of each stands still. Every text is a text: no formula, no code that loses its
    zero. The same rows give the same bytes."""
    from openpyxl import Workbook
    from openpyxl.styles import Font

    book = Workbook()
    book.remove(book.active)
    book.properties.created = book.properties.modified = datetime(2000, 1, 1)
    book.properties.creator = "labeller"
    taken: set[str] = set()
    for name, rows in sheets:
        sheet = book.create_sheet(_title(name, taken))
        for nr, row in enumerate(rows, 1):
            for column, value in enumerate(row, 1):
                if value is None or value == "":
                    continue
                cell = sheet.cell(nr, column)
                if isinstance(value, str):
                    cell.value = _printable(neutral(value))
                    cell.data_type, cell.number_format = "s", "@"
                else:
                    cell.value = value
                if nr == 1:
                    cell.font = Font(bold=True)
        sheet.freeze_panes = "A2"
    out = io.BytesIO()
    book.save(out)
    return _same_every_time(out.getvalue())


def _title(name: str, taken: set[str]) -> str:
    """A sheet's name: 31 characters, without the signs that a workbook refuses, each once."""
    plain = re.sub(r"[\[\]:*?/\\]", " ", name).strip(" '")[:31] or "sheet"
    title, nr = plain, 1
    while title.lower() in taken:
        nr += 1
        title = f"{plain[: 31 - len(str(nr)) - 1]} {nr}"
    taken.add(title.lower())
    return title


def _printable(text: str) -> str:
    return "".join(char if char in "\t\n\r" or ord(char) >= 0x20 else "\ufffd" for char in text)[:LONGEST_CELL]


def _same_every_time(data: bytes) -> bytes:
    """The archive packed again without the hour of its making."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for info in old.infolist():
            content = old.read(info.filename)
            if info.filename == "docProps/core.xml":
                content = re.sub(rb"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}Z", b"2000-01-01T00:00:00Z", content)
            new.writestr(zipfile.ZipInfo(info.filename, (2000, 1, 1, 0, 0, 0)), content, zipfile.ZIP_DEFLATED)
    return out.getvalue()
