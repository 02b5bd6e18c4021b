"""Setting and paging of a matrix: the largest type that needs no more pages than the smallest would."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from labeller.printing import sheet
from labeller.printing.sheet import MM, Bar, Frame, Ink, Item, Page, Row, Text
from labeller.printing.words import COLUMNS, MEANINGS, NO_ANSWER, STATES, kind_word
from labeller.terms.allergens import CONTAINS, NONE_ON_RECORD, NOT_CONFIRMED, TO_CONFIRM
from labeller.terms.findings import NOWHERE, Finding, finding
from labeller.terms.looks import Looks

_STEPS = 8  # type sizes tried between the largest and the smallest of the style
_NOTE_COLUMNS = 3


class Line(NamedTuple):
    """One row of the matrix, before setting. cells: column -> parts (state, words, footnote numbers)."""

    course: str
    name: str
    under: str
    change: str
    cells: dict[str, tuple[tuple[str, str, tuple[int, ...]], ...]]
    stopped: str = ""


class Set(NamedTuple):
    """One row, set: cells as lines of type, its height, the footnotes it needs and whether a course starts with it."""

    dish: tuple[Row, ...]
    change: tuple[Row, ...]
    cells: dict[str, tuple[tuple[Row, ...], str]]
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


def _inks(looks: Looks, faces: sheet.Faces, step: float) -> Inks:
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


def _runs(parts: Sequence[tuple[str, str, tuple[int, ...]]], inks: Inks) -> list[tuple[str, Ink]]:
    """A cell as runs: the state in small type, what it is in large type below, footnote numbers after the state."""
    runs: list[tuple[str, Ink]] = []
    for number, (state, words, marks) in enumerate(parts):
        if number:
            runs.append(("\n", inks.state))
        if state == NONE_ON_RECORD:
            return [(STATES[state], inks.none)]
        strong = state in (CONTAINS, TO_CONFIRM)
        runs.append((STATES[state], inks.state if state in (CONTAINS, TO_CONFIRM, NOT_CONFIRMED) else inks.state_light))
        if marks:
            runs.append((_marks(marks), inks.mark))
        if words:
            runs += [("\n", inks.state), (words, inks.kind if strong else inks.kind_light)]
    return runs


def _marks(numbers: Sequence[int]) -> str:
    return f" [{', '.join(str(number) for number in numbers)}]"


def _widths(table: Table, lines: Sequence[Line], inks: Inks) -> tuple[float, float, dict[str, float]]:
    """Widths of the dish column, the change column and each allergen: the widest word first, the rest by what is to be said."""
    pad = 2 * table.looks.number("gap mm", "cell") * MM
    room = table.size[0] - 2 * table.looks.number("margin mm", "sheet") * MM
    least, wish = {}, {}
    for key in table.columns:
        every = [[(_head(table, key), inks.head)]] + [_runs(line.cells[key], inks) for line in lines if key in line.cells]
        least[key] = max(sheet.longest_word(runs) for runs in every) + pad
        wish[key] = sum(sum(sheet.string_width(text.strip(), ink) for text, ink in runs) for runs in every)
    longest = max((sheet.longest_word([(line.name, inks.dish)]) for line in lines), default=0.0)
    dish = min(max(0.155 * room, longest + pad), 0.24 * room)
    change = min(max(0.12 * room, sheet.longest_word([(line.change, inks.small) for line in lines]) + pad), 0.2 * room)
    spare = room - dish - change - sum(least.values())
    if spare < 0:  # words wider than their column are then broken, and that is a finding
        shrink = (room - dish - change) / sum(least.values())
        return dish, change, {key: width * shrink for key, width in least.items()}
    total = sum(wish.values()) or 1.0
    even = spare * 0.6 / max(len(table.columns), 1)
    return dish, change, {key: least[key] + even + spare * 0.4 * wish[key] / total for key in table.columns}


def _head(table: Table, key: str) -> str:
    return COLUMNS.get(key) or kind_word(key, table.names).capitalize()


def _set(table: Table, lines: Sequence[Line], inks: Inks, widths: tuple[float, float, dict[str, float]]) -> list[Set]:
    lead = table.looks.number("leading")
    pad = table.looks.number("gap mm", "cell") * MM
    dish, change, columns = widths
    out, course = [], None
    for line in lines:
        runs = [(f"{line.course}\n", inks.course)] if line.course and line.course != course else []
        starts, course = line.course != course, line.course
        name = sheet.set_lines([*runs, (line.name, inks.dish)], dish - 2 * pad, lead)
        cells = {key: (sheet.set_lines(_runs(parts, inks), columns[key] - 2 * pad, lead), parts[0][0])
                 for key, parts in line.cells.items() if key in columns}  # fmt: skip
        ways = sheet.set_lines([(line.change, inks.small)], change - 2 * pad, lead)
        stopped = ()
        if line.stopped:
            room = change + sum(columns.values()) - 4 * pad
            stopped = sheet.set_lines([(f"{NO_ANSWER}\n", inks.stop), (line.stopped, inks.small)], room, lead)
        tall = max(sheet.height(rows) for rows in [name, ways, stopped, *(rows for rows, _ in cells.values())])
        notes = tuple(dict.fromkeys(mark for parts in line.cells.values() for _, _, marks in parts for mark in marks))
        out.append(Set(name, ways, cells, stopped, tall + 2 * pad, notes, starts))
    return out


def pages(table: Table, lines: Sequence[Line]) -> tuple[list[Page], tuple[Finding, ...]]:
    """The pages, and a finding for each word that had to be divided."""
    best: list[Page] = []
    broken: set[str] = set()
    for step in range(_STEPS, -1, -1):
        inks = _inks(table.looks, table.faces, step / _STEPS)
        widths = _widths(table, lines, inks)
        rows = _set(table, lines, inks, widths)
        tried, torn = _lay_out(table, rows, inks, widths), _torn(rows)
        if best and (len(tried) > len(best) or len(torn) > len(broken)):
            break
        best, broken = tried, torn
    mend = "shorten the name, or print on larger paper"
    return best, tuple(finding("sheet-too-full", NOWHERE, f"“{word}” is wider than its column and was divided", mend)
                       for word in sorted(broken))  # fmt: skip


def _torn(rows: Sequence[Set]) -> set[str]:
    every = [row for one in rows for block in [one.dish, one.change, *(cell for cell, _ in one.cells.values())] for row in block]
    return {" ".join(text for _, text, _ in row.pieces) for row in every if row.broken}


def _lay_out(table: Table, rows: Sequence[Set], inks: Inks, widths: tuple[float, float, dict[str, float]]) -> list[Page]:
    """Rows on pages; the footnotes of a page stand on it, unless even one row's notes leave no room: then all at the end."""
    for notes_at_end in (False, True):
        taken = _deal(table, rows, inks, widths, notes_at_end)
        if taken is not None:
            break
    else:  # a row taller than a page: it is given a page of its own and runs as far as it must
        taken = [[row] for row in rows]
    groups = taken or [[]]
    extra = _note_pages(table, inks) if notes_at_end and table.notes else []
    count = len(groups) + len(extra)
    out = []
    for number, group in enumerate(groups, 1):
        used = () if notes_at_end else _used(group)
        group = _loosened(table, group, used, inks, widths)
        out.append(tuple(_draw_page(table, group, used, inks, widths, number, count)))
    for number, blocks in enumerate(extra, len(groups) + 1):
        items = _header(table, inks) + _foot(table, inks, (), number, count)[0]
        out.append(tuple(items + _columned(table, blocks, table.size[1] - _header_height(table))))
    return out


def _loosened(table: Table, rows: list[Set], used: Sequence[int], inks: Inks,
              widths: tuple[float, float, dict[str, float]]) -> list[Set]:  # fmt: skip
    """Spare room of a page shared out among its rows, up to what the style allows."""
    room = table.size[1] - _header_height(table) - sheet.height(_heads(table, inks, widths)[1])
    spare = room - _foot(table, inks, used, 1, 1)[1] - sum(row.height for row in rows)
    each = min(max(spare, 0.0) / max(len(rows), 1), table.looks.number("gap mm", "row slack") * MM)
    return [row._replace(height=row.height + each) for row in rows]


def _used(rows: Sequence[Set]) -> tuple[int, ...]:
    return tuple(sorted({note for row in rows for note in row.notes}))


def _deal(table: Table, rows: Sequence[Set], inks: Inks, widths: tuple[float, float, dict[str, float]],
          notes_at_end: bool) -> list[list[Set]] | None:  # fmt: skip
    top = table.size[1] - _header_height(table) - sheet.height(_heads(table, inks, widths)[1])
    out: list[list[Set]] = []
    group: list[Set] = []
    for row in rows:
        for tried in ([*group, row], [row]):
            foot = _foot(table, inks, () if notes_at_end else _used(tried), 1, 1)[1]
            if sum(one.height for one in tried) <= top - foot:
                break
        else:
            return None
        if len(tried) == 1 and group:
            out.append(group)
        group = tried
    return [*out, group] if group else out


# --- drawing -----------------------------------------------------------------------------------------------------------


def _frame(table: Table) -> tuple[float, float, float]:
    """Left edge, width and bottom edge of the printed area."""
    margin = table.looks.number("margin mm", "sheet") * MM
    return margin, table.size[0] - 2 * margin, margin


def _ink(table: Table, font: str, size: str, grey: str = "text") -> Ink:
    return Ink(font, table.looks.number("type pt", size), table.looks.number("grey percent", grey) / 100)


def _header_rows(table: Table) -> tuple[tuple[Row, ...], tuple[Row, ...]]:
    lead = table.looks.number("leading")
    _, width, _ = _frame(table)
    quiet = _ink(table, table.faces.regular, "body", "quiet")
    left = [(f"{table.heading}\n", quiet), (table.title, _ink(table, table.faces.bold, "title"))]
    right = [(f"{table.kitchen}\n", quiet), (table.date, _ink(table, table.faces.bold, "date"))]
    return sheet.set_lines(left, width * 0.52, lead), sheet.set_lines(right, width * 0.46, lead)


def _header_height(table: Table) -> float:
    """From the top edge of the paper to the top of the column heads."""
    margin = table.looks.number("margin mm", "sheet") * MM
    gap = table.looks.number("gap mm", "block") * MM
    return margin + max(sheet.height(rows) for rows in _header_rows(table)) + gap / 2


def _header(table: Table, inks: Inks) -> list[Item]:
    left, width, _ = _frame(table)
    top = table.size[1] - table.looks.number("margin mm", "sheet") * MM
    names, dates = _header_rows(table)
    return [*sheet.place(names, left, top), *sheet.place(dates, left, top, width, "right")]


def _heads(table: Table, inks: Inks, widths: tuple[float, float, dict[str, float]]
           ) -> tuple[list[tuple[float, tuple[Row, ...]]], tuple[Row, ...]]:  # fmt: skip
    """Column heads with their left edges, and the tallest of them."""
    lead, pad = table.looks.number("leading"), table.looks.number("gap mm", "cell") * MM
    left, _, _ = _frame(table)
    dish, change, columns = widths
    out, x = [], left
    for name, width in [(table.first, dish), *((_head(table, key), columns[key]) for key in table.columns),
                        (table.second, change)]:  # fmt: skip
        out.append((x + pad, sheet.set_lines([(name, inks.head)], width - 2 * pad, lead)))
        x += width
    return out, max((rows for _, rows in out), key=sheet.height)


def _foot(table: Table, inks: Inks, notes: Sequence[int], number: int, count: int) -> tuple[list[Item], float]:
    """Legend, reasons, cautions and versions, set from the bottom edge up. Returns items and the height they need."""
    lead, gap = table.looks.number("leading"), table.looks.number("gap mm", "block") * MM
    left, width, bottom = _frame(table)
    foot, quiet = _ink(table, table.faces.regular, "foot"), _ink(table, table.faces.regular, "foot", "quiet")
    page = sheet.set_lines([(f"page {number} of {count}", quiet)], width, lead)
    versions = sheet.set_lines([(table.foot, quiet)], width * 0.85, lead)
    cautions = sheet.set_lines([(" ".join(table.cautions), foot)], width, lead)
    y = bottom + sheet.height(versions)
    items: list[Item] = [*sheet.place(versions, left, y), *sheet.place(page, left, y, width, "right")]
    y += gap / 4 + sheet.height(cautions)
    items += sheet.place(cautions, left, y)
    blocks = [_note(table, note, inks) for note in notes]
    if blocks:
        tall = _columned_height(table, blocks)
        y += gap / 2 + tall
        items += _columned(table, blocks, y)
    legend = _legend(table, inks)
    y += gap / 2 + _columned_height(table, legend)
    items += _columned(table, legend, y)
    return items, y + gap / 2


def _legend(table: Table, inks: Inks) -> list[tuple[Row, ...]]:
    foot = _ink(table, table.faces.regular, "foot")
    meanings = {**MEANINGS, NONE_ON_RECORD: f"nothing of it in the kitchen’s records, checked {table.checked}"}
    out = []
    for state, word in STATES.items():
        name = inks.none if state == NONE_ON_RECORD else _runs([(state, "", ())], inks)[0][1]
        out.append(_column_rows(table, [(f"{word} ", name._replace(size=foot.size)), (meanings[state], foot)]))
    return out


def _note(table: Table, number: int, inks: Inks) -> tuple[Row, ...]:
    foot = _ink(table, table.faces.regular, "foot")
    return _column_rows(table, [(f"[{number}] ", _ink(table, table.faces.bold, "foot")), (table.notes[number - 1], foot)])


def _column_rows(table: Table, runs: Sequence[tuple[str, Ink]]) -> tuple[Row, ...]:
    _, width, _ = _frame(table)
    gap = table.looks.number("gap mm", "block") * MM
    return sheet.set_lines(runs, (width - gap * (_NOTE_COLUMNS - 1)) / _NOTE_COLUMNS, table.looks.number("leading"))


def _split(blocks: Sequence[tuple[Row, ...]]) -> list[list[tuple[Row, ...]]]:
    """Blocks in columns read downwards, in their order, as even as they come."""
    if not blocks:
        return []
    heights = [sheet.height(block) for block in blocks]
    limit = max(max(heights), sum(heights) / _NOTE_COLUMNS)
    while True:
        columns: list[list[tuple[Row, ...]]] = [[]]
        used = 0.0
        for block, tall in zip(blocks, heights, strict=True):
            if columns[-1] and used + tall > limit + 0.01:
                columns.append([])
                used = 0.0
            columns[-1].append(block)
            used += tall
        if len(columns) <= _NOTE_COLUMNS:
            return columns
        limit += min(heights)


def _columned_height(table: Table, blocks: Sequence[tuple[Row, ...]]) -> float:
    return max((sum(sheet.height(block) for block in column) for column in _split(blocks)), default=0.0)


def _columned(table: Table, blocks: Sequence[tuple[Row, ...]], top: float) -> list[Text]:
    left, width, _ = _frame(table)
    gap = table.looks.number("gap mm", "block") * MM
    step = (width - gap * (_NOTE_COLUMNS - 1)) / _NOTE_COLUMNS + gap
    out: list[Text] = []
    for number, column in enumerate(_split(blocks)):
        y = top
        for block in column:
            out += sheet.place(block, left + number * step, y)
            y -= sheet.height(block)
    return out


def _note_pages(table: Table, inks: Inks) -> list[list[tuple[Row, ...]]]:
    """Reasons that have no room on the pages of their rows, dealt to pages of their own."""
    room = table.size[1] - _header_height(table) - _foot(table, inks, (), 1, 1)[1]
    out: list[list[tuple[Row, ...]]] = [[]]
    for number in range(1, len(table.notes) + 1):
        block = _note(table, number, inks)
        if out[-1] and _columned_height(table, [*out[-1], block]) > room:
            out.append([])
        out[-1].append(block)
    return out


def _draw_page(table: Table, rows: Sequence[Set], used: Sequence[int], inks: Inks,
               widths: tuple[float, float, dict[str, float]], number: int, count: int) -> list[Item]:  # fmt: skip
    looks, pad = table.looks, table.looks.number("gap mm", "cell") * MM
    left, width, _ = _frame(table)
    dish, change, columns = widths
    hair, thin, thick = (looks.number("rule mm", key) * MM for key in ("hair", "thin", "thick"))
    rule, tint = looks.number("grey percent", "rule") / 100, looks.number("grey percent", "tint") / 100
    heads, tallest = _heads(table, inks, widths)
    top = table.size[1] - _header_height(table)
    tints: list[Item] = []
    items: list[Item] = _header(table, inks)
    for x, one in heads:
        items += sheet.place(one, x, top - sheet.height(tallest) + sheet.height(one))
    y = top - sheet.height(tallest)
    items.append(Bar(left, y - thick / 2, width, thick, 1.0))
    for row in rows:
        if row.starts_course and row is not rows[0]:
            items.append(Bar(left, y - thin / 2, width, thin, 1.0))
        elif row is not rows[0]:
            items.append(Bar(left, y - hair / 2, width, hair, rule))
        items += sheet.place(row.dish, left + pad, y - pad)
        x = left + dish
        items += sheet.place(row.stopped, x + pad, y - pad)
        for key in table.columns:
            if key in row.cells:
                block, state = row.cells[key]
                if state in (CONTAINS, TO_CONFIRM):
                    tints.append(Bar(x + thin, y - row.height + thin, columns[key] - 2 * thin, row.height - 2 * thin, tint))
                elif state != NONE_ON_RECORD:
                    dash = () if state == NOT_CONFIRMED else (1.2, 1.2)
                    items.append(Frame(x + 2 * thin, y - row.height + 2 * thin, columns[key] - 4 * thin,
                                       row.height - 4 * thin, thin * (1.6 if not dash else 1.0), 1.0, dash))  # fmt: skip
                items += sheet.place(block, x + pad, y - pad)
            x += columns[key]
        items += sheet.place(row.change, x + pad, y - pad)
        if row.stopped:
            items.append(Frame(left + dish + thin, y - row.height + thin, width - dish - 2 * thin, row.height - 2 * thin,
                               thin * 2))  # fmt: skip
        y -= row.height
    items.append(Bar(left, y - thick / 2, width, thick, 1.0))
    return [*tints, *items, *_foot(table, inks, used, number, count)[0]]
