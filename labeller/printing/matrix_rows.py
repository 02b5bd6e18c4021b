"""The rows of a matrix, set in type: which words stand in a cell, how wide the columns are, how tall a row comes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from labeller.printing import sheet
from labeller.printing.guest_words import GuestWords
from labeller.printing.sheet import MM, Ink, Row, Runs
from labeller.terms.allergens import CONTAINS, NONE_ON_RECORD, NOT_CONFIRMED, TO_CONFIRM
from labeller.terms.looks import Looks

DISH, CHANGE = "(dish)", "(change)"  # the first and the last column; between them stand the keys of the allergens
Widths = dict[str, float]
_UNIT = 5.0  # points by which a column is widened at a time
_REACH = 8  # units looked ahead: a wider column helps only once a word moves up a line


class Line(NamedTuple):
    """One row of the matrix, before setting. number, course: of the course, and its title ("": none). cells: column -> parts
    (state, words, footnote numbers)."""

    number: int
    course: str
    name: str
    change: str
    cells: dict[str, tuple[tuple[str, str, tuple[int, ...]], ...]]
    stopped: str = ""


class Set(NamedTuple):
    """One row, set: column -> lines of type, allergen -> state, its height, the footnotes it needs and whether a course starts
    with it."""

    cells: dict[str, tuple[Row, ...]]
    states: dict[str, str]
    stopped: tuple[Row, ...]
    height: float
    notes: tuple[int, ...]
    starts_course: bool


class Table(NamedTuple):
    """Everything that stays the same from page to page."""

    looks: Looks
    faces: sheet.Faces
    size: tuple[float, float]
    heading: str
    title: str
    date: str
    kitchen: str
    foot: str
    cautions: tuple[str, ...]
    checked: str
    first: str
    second: str
    columns: tuple[str, ...]
    names: Mapping[str, str]
    notes: tuple[str, ...]
    issue: str = ""  # stands before the versions at the foot
    words: GuestWords = GuestWords("en", {}, {})
    code: str = ""  # address of the record, as a QR code at the foot


class Inks(NamedTuple):
    kind: Ink
    kind_light: Ink
    state: Ink
    state_light: Ink
    none: Ink
    mark: Ink
    dish: Ink
    small: Ink
    course: Ink
    head: Ink
    stop: Ink


def inks_of(looks: Looks, faces: sheet.Faces, step: float) -> Inks:
    def sized(key: str) -> float:
        large, small = looks.pair("matrix pt", key)
        return round(large + (small - large) * step, 2)

    quiet = looks.number("grey percent", "quiet") / 100
    kind, state, dish = sized("kind"), sized("state"), sized("dish")
    return Inks(kind=Ink(faces.bold, kind), kind_light=Ink(faces.regular, kind), state=Ink(faces.bold, state),
                state_light=Ink(faces.italic, state), none=Ink(faces.regular, state, quiet), mark=Ink(faces.bold, state),
                dish=Ink(faces.bold, dish), small=Ink(faces.regular, max(state, 6.5)),
                course=Ink(faces.italic, state + 0.5, quiet), head=Ink(faces.bold, max(kind - 1.5, 7)),
                stop=Ink(faces.bold, dish + 1))  # fmt: skip


def cell_runs(parts: Sequence[tuple[str, str, tuple[int, ...]]], inks: Inks, said: GuestWords) -> list[tuple[str, Ink]]:
    """A cell as runs: the state in small type, what it is in large type below, footnote numbers after the state."""
    runs: list[tuple[str, Ink]] = []
    for number, (state, words, marks) in enumerate(parts):
        if state == NONE_ON_RECORD:
            return [(said.state(state), inks.none)]
        loud = inks.state if state in (CONTAINS, TO_CONFIRM, NOT_CONFIRMED) else inks.state_light
        runs += [("\n" if number else "", inks.state), (said.state(state), loud)]
        if marks:
            runs.append((_marks(marks), inks.mark))
        if words:  # below its state; a lesser state, in one go with it
            gap = " " if number else "\n"
            runs += [(gap, loud), (words, inks.kind if state in (CONTAINS, TO_CONFIRM) else inks.kind_light)]
    return runs


def _marks(numbers: Sequence[int]) -> str:
    return f" [{', '.join(str(number) for number in numbers)}]"


def head_words(table: Table, key: str) -> str:
    names = {DISH: table.first, CHANGE: table.second}
    return names.get(key) or table.words.column(key, table.names)


def _texts(lines: Sequence[Line], inks: Inks, said: GuestWords) -> list[dict[str, Runs]]:
    """What stands in each column of each row, as runs of type."""
    out: list[dict[str, Runs]] = []
    before = Line(-1, "", "", "", {})
    for line in lines:
        title = [(f"{line.course}\n", inks.course)] if line.course and line.course != before.course else []
        cells = {key: cell_runs(parts, inks, said) for key, parts in line.cells.items()}
        out.append({DISH: [*title, (line.name, inks.dish)], **cells, CHANGE: [(line.change, inks.small)]})
        before = line
    return out


def set_rows(table: Table, lines: Sequence[Line], inks: Inks) -> tuple[Widths, list[Set]]:
    """Widths of the columns, and every row set in them."""
    lead, pad = table.looks.number("matrix leading"), table.looks.number("gap mm", "cell") * MM
    above = table.looks.number("gap mm", "cell above") * MM
    texts = _texts(lines, inks, table.words)
    widths = _widths(table, texts, inks)
    out: list[Set] = []
    for place, (line, row) in enumerate(zip(lines, texts, strict=True)):
        blocks = {key: sheet.set_lines(runs, widths[key] - 2 * pad, lead) for key, runs in row.items() if key in widths}
        stopped = ()
        if line.stopped:
            room = sum(widths.values()) - widths[DISH] - 4 * pad
            stopped = sheet.set_lines([(f"{table.words.say('no answer')}\n", inks.stop), (line.stopped, inks.small)], room, lead)
        tall = max(sheet.height(rows) for rows in [stopped, *blocks.values()])
        states = {key: parts[0][0] for key, parts in line.cells.items()}
        notes = tuple(dict.fromkeys(mark for parts in line.cells.values() for _, _, marks in parts for mark in marks))
        starts = not place or line.number != lines[place - 1].number
        out.append(Set(blocks, states, stopped, tall + 2 * above, notes, starts))
    return widths, out


def _widths(table: Table, texts: Sequence[Mapping[str, Runs]], inks: Inks) -> Widths:
    """Each column as wide as its widest word; the rest of the page goes where it saves the most height."""
    pad = table.looks.number("gap mm", "cell") * MM
    room = table.size[0] - 2 * table.looks.number("margin mm", "sheet") * MM
    keys = (DISH, *table.columns, CHANGE)
    least = {key: max([sheet.longest_word([(head_words(table, key), inks.head)])]
                      + [sheet.longest_word(row[key]) for row in texts if key in row]) + 2 * pad for key in keys}  # fmt: skip
    least[DISH] = min(max(least[DISH], 0.1 * room), 0.24 * room)
    least[CHANGE] = min(max(least[CHANGE], 0.08 * room), 0.2 * room)
    spare = room - sum(least.values())
    if spare < 0:  # words wider than their column are then divided, and that is a finding
        fixed = least[DISH] + least[CHANGE]
        shrink = (room - fixed) / (sum(least.values()) - fixed)
        return {key: width if key in (DISH, CHANGE) else width * shrink for key, width in least.items()}
    units = _shared_out(table, texts, least, int(spare / _UNIT))
    rest = (spare - _UNIT * sum(units.values())) / len(keys)
    return {key: least[key] + _UNIT * units[key] + rest for key in keys}


def _shared_out(table: Table, texts: Sequence[Mapping[str, Runs]], least: Widths, spare: int) -> dict[str, int]:
    """Units of width for each column: again and again to the column where a unit takes the most off the rows' height."""
    lead, pad = table.looks.number("matrix leading"), table.looks.number("gap mm", "cell") * MM
    kept: dict[tuple[str, int], list[float]] = {}

    def heights(key: str, units: int) -> list[float]:
        if (key, units) not in kept:
            width = least[key] + units * _UNIT - 2 * pad
            kept[key, units] = [sheet.height(sheet.set_lines(row.get(key, ()), width, lead)) for row in texts]
        return kept[key, units]

    units = dict.fromkeys(least, 0)
    while spare > 0:
        now = {key: heights(key, units[key]) for key in units}
        tallest = [max(column) for column in zip(*now.values(), strict=True)]
        second = [sorted(column)[-2] for column in zip(*now.values(), strict=True)]
        best, gain, cost = "", 0.0, 1
        for key, mine in now.items():
            if not any(tall == top for tall, top in zip(mine, tallest, strict=True)):
                continue
            for more in range(1, min(_REACH, spare) + 1):
                then = heights(key, units[key] + more)
                # What the row loses counts in full; what only this column loses, beside another as tall, a little.
                rows = zip(mine, then, tallest, second, strict=True)
                saved = sum((top - max(after, other)) + 0.15 * (tall - after) for tall, after, top, other in rows if tall == top)
                if saved / more > gain + 1e-9:
                    best, gain, cost = key, saved / more, more
        if not best:
            break
        units[best] += cost
        spare -= cost
    return units
