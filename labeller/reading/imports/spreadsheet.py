"""Recipes of a spreadsheet that a kitchen already has: one long table, one sheet for each recipe, or several tables on a sheet.

Columns are known by their headings, by what was said, or as remembered; what is not known is asked and nothing is taken.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

import yaml

from labeller.reading.amounts import UNIT_WORDS
from labeller.reading.entries import is_placeholder
from labeller.reading.imports import words
from labeller.reading.imports.columns import Columns, Remembered, by_headings, letter, placed
from labeller.reading.imports.found import FoundLine, FoundRecipe, Settled, settle_amount, yield_fields
from labeller.reading.imports.kitchen_text import known_fields
from labeller.reading.imports.pasted import Known, name_and_notes, read_line
from labeller.reading.keys import KNOWN
from labeller.reading.library import Loader
from labeller.reading.sheets import Sheet
from labeller.terms.findings import Finding, Place, finding

HEAD_ROWS = 40  # a heading further down is another table's
DULL_SHEETS = r"(?i)(sheet|tabelle|feuil|foglio|hoja|table|blad)\s?\d*"
TOTALS = frozenset(("total", "totals", "sum", "summe", "gesamt", "somme", "totale", "subtotal", "sous-total"))
_LABEL = r"(recipe|dish|name|title|recette|plat|rezept|gericht|ricetta|piatto|receta|plato)\s*:?"
_NUMBER = r"[\d.,/ ½¼¾⅓⅔-]*[\d½¼¾⅓⅔]"


class Read(NamedTuple):
    """recipes found. findings: of tables that could not be taken. used: what was said, as it is to be remembered; None where
    nothing was said."""

    recipes: tuple[FoundRecipe, ...]
    findings: tuple[Finding, ...]
    used: Remembered | None = None


class _Block(NamedTuple):
    """One table on a sheet. above: rows over its headings. rows: (row number from 0, cells)."""

    columns: Columns
    above: tuple[tuple[int, tuple[str, ...]], ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...]


def read_spreadsheet(
    sheets: Sequence[Sheet],
    file: str,
    known: Known,
    *,
    name: str = "",
    kind: str = "recipe",
    said: Mapping[str, str] | None = None,
    memory: Sequence[Remembered] = (),
) -> Read:
    """Everything that the sheets hold. name: of the one recipe, where a single table has none. Never raises."""
    found: list[FoundRecipe] = []
    findings: list[Finding] = []
    used: Remembered | None = None
    for sheet in sheets:
        if not any(sheet.rows):
            continue
        where = _Where(sheet, file, known, kind)
        blocks, wrong, mapping = _blocks(where, said, memory)
        used = used or mapping
        findings += [wrong] if wrong else []
        for block in blocks:
            made, more = _Table(where, block).recipes(name, single=len(blocks) == 1, stem=file.rpartition(".")[0])
            found += made
            findings += more
    if found:  # a sheet of another kind beside those that were understood is told, and no reason to refuse
        findings = [_beside(each) for each in findings]
    return Read(tuple(found), tuple(findings), used)


def _beside(each: Finding) -> Finding:
    if each.code != "import-columns-not-known":
        return each
    return finding("import-left-out", each.place, f"{each.text}; this sheet was left out", each.mend)


class _Where(NamedTuple):
    sheet: Sheet
    file: str
    known: Known
    kind: str

    def place(self, row: int) -> Place:
        return Place(f"{self.file}, {self.sheet.name}" if self.sheet.name else self.file, row + 1)


# -- finding the tables ----------------------------------------------------------------------------------------------------


def _blocks(
    where: _Where, said: Mapping[str, str] | None, memory: Sequence[Remembered]
) -> tuple[list[_Block], Finding | None, Remembered | None]:
    rows = where.sheet.rows
    heads: list[tuple[int, Columns]] = []
    trouble = ""
    used: Remembered | None = None
    for nr, row in enumerate(rows):
        if heads and row == rows[heads[0][0]]:
            heads.append((nr, heads[0][1]))
        elif not heads and nr < HEAD_ROWS and sum(1 for cell in row if cell) > 0:
            columns, what, mapping = _columns(row, said, memory)
            trouble = trouble or what
            if columns is not None:
                heads.append((nr, columns))
                used = mapping
    if not heads:
        columns, mapping = _without_headings(rows, said, memory)
        if columns is None:
            return [], _not_known(where, trouble, said), None
        return [_Block(columns, (), tuple(enumerate(rows)))], None, mapping
    return _cut(rows, heads), None, used


def _columns(
    row: tuple[str, ...], said: Mapping[str, str] | None, memory: Sequence[Remembered]
) -> tuple[Columns | None, str, Remembered | None]:
    """The columns if this row holds the headings; a text where it may, and something is not sure."""
    if said:
        by_word = [column for column in said.values() if column.lower() in {cell.lower() for cell in row}]
        lettered = all(re.fullmatch("[A-Za-z]{1,2}", column) for column in said.values())
        if not by_word and not (lettered and _is_head(row, said)):
            return None, "", None
        made = placed(said, row)
        return (None, made, None) if isinstance(made, str) else (made, "", Remembered(tuple(row), dict(said)))
    own = next((entry for entry in memory if entry.headings and entry.headings == row), None)
    made = placed(own.columns, row) if own else by_headings(row)
    if isinstance(made, str):
        return None, made, None
    if made is None or not _tells(made, row):
        return None, "", None
    return made, "", None


def _tells(columns: Columns, row: tuple[str, ...]) -> bool:
    """A heading is not a line: no cell of it is a number, and it names amounts, or it stands alone over ingredient lines."""
    if any(re.fullmatch(_NUMBER, cell) for cell in row):
        return False
    told = {"amount", "line", "recipe"} & set(columns.places)
    return bool(told) or columns.own or len([cell for cell in row if cell]) <= 2


def _is_head(row: tuple[str, ...], said: Mapping[str, str]) -> bool:
    """Columns said by letters: is this the row of headings?"""
    made = placed(said, row)
    if isinstance(made, str):
        return False
    cells = [row[place] if place < len(row) else "" for place in made.places.values()]
    return all(cells) and not any(char.isdigit() for cell in cells for char in cell)


def _without_headings(
    rows: Sequence[tuple[str, ...]], said: Mapping[str, str] | None, memory: Sequence[Remembered]
) -> tuple[Columns | None, Remembered | None]:
    own = said or next((entry.columns for entry in memory if not entry.headings), None)
    if own is None or not all(re.fullmatch("[A-Za-z]{1,2}", column) for column in own.values()):
        return None, None
    width = max((len(row) for row in rows), default=0)
    made = placed(own, [""] * width)
    if isinstance(made, str):
        return None, None
    taken = made.places.values()
    left = tuple(
        (place, f"column {letter(place)}")
        for place in range(width)
        if place not in taken and any(place < len(row) and row[place] for row in rows)
    )
    return made._replace(left=left), Remembered((), dict(said)) if said else None


def _not_known(where: _Where, trouble: str, said: Mapping[str, str] | None) -> Finding:
    row = next(
        (row for row in where.sheet.rows if sum(1 for cell in row if cell) > 1), where.sheet.rows[0] if where.sheet.rows else ()
    )
    seen = ", ".join(f'{letter(place)} "{cell[:30]}"' for place, cell in enumerate(row[:12]) if cell)
    sheet = f'sheet "{where.sheet.name}": ' if where.sheet.name else ""
    if said:
        return finding(
            "import-columns-wrong",
            where.place(0),
            f"{sheet}{trouble or 'no row holds the headings that were said'}; first row: {seen}",
            "write --columns recipe=A,name=B,amount=C,unit=D, with letters or headings of the sheet",
        )
    return finding(
        "import-columns-not-known",
        where.place(0),
        f"{sheet}{trouble or 'it is not clear which column is which'}; first row: {seen}",
        f'say it once, the kitchen remembers it: labeller import "{where.file}" --columns name=A,amount=B,unit=C',
    )


def _cut(rows: Sequence[tuple[str, ...]], heads: Sequence[tuple[int, Columns]]) -> list[_Block]:
    """A sheet at its rows of headings; short rows right above one belong to the table that follows."""
    starts = []
    for nr, _ in heads:
        top = nr
        while (
            top > 0
            and sum(1 for cell in rows[top - 1] if cell) in (1, 2)
            and nr - top < 6
            and not any(re.fullmatch(_NUMBER, cell) for cell in rows[top - 1][1:2])
        ):
            top -= 1
        starts.append(top)
    starts[0] = 0
    ends = [*starts[1:], len(rows)]
    return [
        _Block(
            columns, tuple((row, rows[row]) for row in range(start, nr)), tuple((row, rows[row]) for row in range(nr + 1, end))
        )
        for (nr, columns), start, end in zip(heads, starts, ends, strict=True)
    ]


# -- reading a table -------------------------------------------------------------------------------------------------------


class _Table:
    """One table: its rows become lines, its groups become recipes."""

    def __init__(self, where: _Where, block: _Block) -> None:
        self.where, self.block, self.columns = where, block, block.columns

    def recipes(self, name: str, single: bool, stem: str) -> tuple[list[FoundRecipe], list[Finding]]:
        if "recipe" in self.columns.places:
            return self._grouped(), self._left()
        title, fields, remarks, asked = self._above(single)
        sheet = self.where.sheet.name
        if not title and (name or not sheet or re.fullmatch(DULL_SHEETS, sheet)):
            title = name or stem
            asked = asked if name else (*asked, f'no name stands in it; "{title}" is the file\'s')
        lines, more = self._lines(self.block.rows)
        return [
            FoundRecipe(
                title or sheet,
                lines,
                self.where.place(self.block.rows[0][0] if self.block.rows else 0),
                self.where.kind,
                fields,
                (*remarks, *more),
                asked,
                ("the method",) if more else (),
            )
        ], self._left()

    def _left(self) -> list[Finding]:
        headings = dict(self.columns.left)
        filled = {place for _, row in self.block.rows for place, cell in enumerate(row) if cell}
        filled -= set(self.columns.places.values())
        if not filled:
            return []
        names = ", ".join(f'"{headings[place]}"' if place in headings else f"column {letter(place)}" for place in sorted(filled))
        return [
            finding(
                "import-left-out",
                self.where.place(0),
                f"columns not taken: {names}",
                "look whether one of them matters; --columns can name it",
            )
        ]

    def _cell(self, row: tuple[str, ...], role: str) -> str:
        place = self.columns.places.get(role, -1)
        return row[place] if 0 <= place < len(row) else ""

    def _odd(self, nr: int, role: str) -> str:
        return self.where.sheet.odd.get((nr, self.columns.places.get(role, -1)), "")

    def _grouped(self) -> list[FoundRecipe]:
        """A long table: one row a line, the recipe's name in a column of its own, perhaps only on its first row."""
        groups: dict[tuple[str, str], list[tuple[int, tuple[str, ...]]]] = {}
        name, kind = "", self.where.kind
        for nr, row in self.block.rows:
            if not any(row):
                continue
            if self._cell(row, "recipe"):
                name, kind = self._cell(row, "recipe"), self._cell(row, "kind") or self.where.kind
            groups.setdefault((name, kind), []).append((nr, row))
        made = []
        for (title, sort), rows in groups.items():
            fields, asked = self._fields(rows, sort)
            lines, remarks = self._lines(rows)
            if sort not in ("recipe", "dish", "pack"):
                asked = (*asked, f'its kind is "{sort}"; it was taken as a {self.where.kind}')
                sort = self.where.kind
            made.append(
                FoundRecipe(
                    title, lines, self.where.place(rows[0][0]), sort, fields, remarks, asked, ("the method",) if remarks else ()
                )
            )
        return made

    def _fields(
        self, rows: Sequence[tuple[int, tuple[str, ...]]], kind: str
    ) -> tuple[tuple[tuple[str, object], ...], tuple[str, ...]]:
        """Keys of the entry: in an export of this tool as they are, else what it serves, makes and is described as."""
        found: dict[str, object] = {}
        asked: list[str] = []
        own = known_fields(kind) if self.columns.own and kind in ("recipe", "dish", "pack") else frozenset()
        for key in [key for key in self.columns.places if key in (own or ("serves", "makes", "description"))]:
            texts = list(dict.fromkeys(self._cell(row, key) for _, row in rows if self._cell(row, key)))
            if self.columns.own and texts:
                found[key], question = typed_value(texts[0])
                asked += [f"{key}: {question}"] if question else []
            elif texts and key == "description":
                found[key] = texts[0]
            elif texts:
                pairs, question = yield_fields(texts[0] if key == "makes" else f"serves {texts[0]}")
                found.update(pairs)
                asked += [question] if question else []
            asked += [f"{key} is given as {' and as '.join(texts)}"] if len(texts) > 1 else []
        return tuple(found.items()), tuple(asked)

    def _above(self, single: bool) -> tuple[str, tuple[tuple[str, object], ...], tuple[str, ...], tuple[str, ...]]:
        """Name, fields, remarks and questions of the rows over the headings."""
        title, fields, remarks, asked = "", {}, [], []
        for _, row in self.block.above:
            cells = [cell for cell in row if cell]
            if not cells:
                continue
            text = " ".join(cells)
            if re.fullmatch(_LABEL, cells[0], re.I) and len(cells) > 1 and not title:
                title = cells[1]
            elif text.lower().startswith((*words.MAKES_WORDS, *words.SERVES_WORDS)) and any(char.isdigit() for char in text):
                pairs, question = yield_fields(text)
                fields.update(pairs)
                asked += [question] if question else []
            elif len(cells) == 1 and not title:
                title = re.sub(rf"^{_LABEL}\s*:\s*", "", cells[0], flags=re.I)
            else:
                remarks.append(text)
        return title, tuple(fields.items()), tuple(remarks), tuple(asked)

    # -- lines -------------------------------------------------------------------------------------------------------------

    def _lines(self, rows: Sequence[tuple[int, tuple[str, ...]]]) -> tuple[tuple[FoundLine, ...], tuple[str, ...]]:
        found: list[FoundLine] = []
        for at, (nr, row) in enumerate(rows):
            if not any(row):
                continue
            first = self._cell(row, "name") or self._cell(row, "line") or next(cell for cell in row if cell)
            if (
                first.strip(" :").lower() in words.METHOD_HEADS
                and len([cell for cell in row if cell]) <= 2
                and not self.columns.own
            ):
                return tuple(found), tuple(" ".join(cell for cell in each if cell) for _, each in rows[at:] if any(each))
            found += self._of_row(nr, row)
        return tuple(found), ()

    def _of_row(self, nr: int, row: tuple[str, ...]) -> Iterator[FoundLine]:
        if self.columns.own:
            yield from self._own_line(nr, row)
            return
        name = self._cell(row, "name")
        text = self._cell(row, "line") or (name if "amount" not in self.columns.places else "")
        place, stood = (
            self.where.place(nr),
            " | ".join(cell for place, cell in enumerate(row) if cell and place in self.columns.places.values()),
        )
        if text:
            for part in re.split(r"[\n;]+", text):
                one = read_line(part, self.where.known, place)
                if one is not None:
                    yield one
        elif name.strip(" :").lower() in TOTALS:
            yield FoundLine(stood, asked=("a total, not a line",), place=place)
        elif name:
            yield self._line(nr, row, name, stood)
        elif stood and not self._only_of_recipe(row):
            yield FoundLine(stood, stood, asked=("no ingredient's name is written",), place=place)

    def _only_of_recipe(self, row: tuple[str, ...]) -> bool:
        """A row that holds what belongs to the whole recipe, and no line."""
        return not any(self._cell(row, role) for role in ("name", "line", "amount", "unit", "note"))

    def _line(self, nr: int, row: tuple[str, ...], name: str, stood: str) -> FoundLine:
        place, note = self.where.place(nr), self._cell(row, "note")
        settled = self._amount(nr, self._cell(row, "amount"), self._cell(row, "unit") or self.columns.unit)
        if not settled.typed:
            one = read_line(f"{name}, {note}" if note else name, self.where.known, place)
            if one is not None and one.name:
                return FoundLine(stood, one.name, one.keys, one.asked, place)
            return FoundLine(stood, "", asked=("a heading",), place=place)
        counted = not re.search(r"\d\s*(g|kg|ml|cl|dl|l|oz|lb)\b", settled.typed)
        called, notes, asked = name_and_notes(name, counted, self.where.known)
        notes += [note] if note else []
        if is_placeholder(called):
            return FoundLine(stood, stood, asked=("no ingredient's name is written",), place=place)
        keys = [("amount", settled.typed)] + [("note", ", ".join(notes))] * bool(notes)
        return FoundLine(stood, called, tuple(keys), tuple(([settled.asked] if settled.asked else []) + asked), place)

    def _amount(self, nr: int, amount: str, unit: str) -> Settled:
        odd = self._odd(nr, "amount")
        if odd:
            hint = f"; was it {_fraction(amount)}?" if odd == "a date" and _fraction(amount) else ""
            return Settled(amount, f'the cell holds {odd}, "{amount}"{hint}')
        if not amount:
            return Settled(unit.lower() if unit.lower() in words.TO_TASTE else "")
        if not re.fullmatch(_NUMBER, amount):
            again = unit and amount.lower().rstrip(".").endswith(unit.lower().rstrip("."))
            return settle_amount(amount if not unit or unit == self.columns.unit or again else f"{amount} {unit}")
        if "/" in amount and unit == self.columns.unit and unit in ("g", "kg", "ml"):
            return Settled(f"{amount} ?", f"a fraction in a column of {unit}: {amount} {unit}, or {amount} of a piece?")
        if not unit:
            return Settled(f"{amount} ?", f"no unit is written: {amount} g, or {amount} pieces?")
        return settle_amount(f"{amount} {unit_word(unit)}")

    def _own_line(self, nr: int, row: tuple[str, ...]) -> Iterator[FoundLine]:
        """A line of an export: every key as it was typed."""
        name = self._cell(row, "name")
        keys = [(key, self._cell(row, key)) for key in self.columns.places if key in KNOWN["line"] and self._cell(row, key)]
        if not name:
            if keys:
                yield FoundLine(
                    " | ".join(text for _, text in keys), asked=("no ingredient's name is written",), place=self.where.place(nr)
                )
            return
        yield FoundLine(" | ".join((name, *(text for _, text in keys))), name, tuple(keys), place=self.where.place(nr))


def unit_word(unit: str) -> str:
    """A unit as its column has it, as the kitchen's files write it; what is not known stays, and is then asked about."""
    low = unit.lower().strip(" .")
    return (
        unit
        if unit.strip(".") in ("T", "t", "c", "C") or low in UNIT_WORDS
        else words.FOREIGN_UNITS.get(low) or words.PIECE_UNITS.get(low) or unit.strip(". ")
    )


def _fraction(day: str) -> str:
    """ "2026-02-01" -> "1/2": what a spreadsheet program makes of a fraction. "" for other days."""
    hit = re.fullmatch(r"\d{4}-(\d\d)-(\d\d)", day)
    if not hit:
        return ""
    low, high = sorted((int(hit[1]), int(hit[2])))
    return f"{low}/{high}" if low < high else ""


def typed_value(text: str) -> tuple[object, str]:
    """A cell of an export as the value it was written from: text, list or mapping; and a question where it is none of them."""
    if not text.startswith(("[", "{", '"')):
        return text, ""
    try:
        value = yaml.load(text, Loader=_Texts)
    except yaml.YAMLError:
        return text, f'"{text}" can\'t be read; it was taken as plain text'
    return value, ""


class _Texts(Loader):  # type: ignore[misc, valid-type]
    """Every scalar is text."""


_Texts.yaml_implicit_resolvers = {}
