"""Drawing of a matrix page: heading, column heads, rows, and at the foot the legend, reasons, cautions and versions."""

from __future__ import annotations

import re
from collections.abc import Sequence

from labeller.printing import sheet
from labeller.printing.guest_words import LEADS
from labeller.printing.matrix_rows import DISH, Inks, Set, Table, Widths, cell_runs, head_words
from labeller.printing.qr import MODULES_MM, bars, side
from labeller.printing.sheet import MM, Bar, Frame, Ink, Item, Row, Text
from labeller.terms.allergens import CONTAINS, NONE_ON_RECORD, NOT_CONFIRMED, TO_CONFIRM

_COLUMNS = 3  # of the legend and of the reasons
_REASON = re.compile(r"(.+?)( ?: .+)", re.DOTALL)  # a reason: the thing, a colon, why


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


def header_height(table: Table) -> float:
    """From the top edge of the paper to the top of the column heads."""
    margin = table.looks.number("margin mm", "sheet") * MM
    gap = table.looks.number("gap mm", "block") * MM
    return margin + max(sheet.height(rows) for rows in _header_rows(table)) + gap / 2


def header(table: Table, inks: Inks) -> list[Item]:
    left, width, _ = _frame(table)
    top = table.size[1] - table.looks.number("margin mm", "sheet") * MM
    names, dates = _header_rows(table)
    return [*sheet.place(names, left, top), *sheet.place(dates, left, top, width, "right")]


def heads(table: Table, inks: Inks, widths: Widths) -> tuple[list[tuple[float, tuple[Row, ...]]], tuple[Row, ...]]:
    """Column heads with their left edges, and the tallest of them."""
    lead, pad = table.looks.number("leading"), table.looks.number("gap mm", "cell") * MM
    out, x = [], _frame(table)[0]
    for key, width in widths.items():
        out.append((x + pad, sheet.set_lines([(head_words(table, key), inks.head)], width - 2 * pad, lead)))
        x += width
    return out, max((rows for _, rows in out), key=sheet.height)


def foot_of(table: Table, inks: Inks, notes: Sequence[int], number: int, count: int) -> tuple[list[Item], float]:
    """Legend, reasons, cautions and versions, set from the bottom edge up. Returns items and the height they need."""
    lead, gap = table.looks.number("leading"), table.looks.number("gap mm", "block") * MM
    left, across, bottom = _frame(table)
    width = _foot_width(table)
    foot, quiet = _ink(table, table.faces.regular, "foot"), _ink(table, table.faces.regular, "foot", "quiet")
    page = sheet.set_lines([(table.words.say("page", number, count), quiet)], width, lead)
    issue = [(f"{table.issue} · ", _ink(table, table.faces.bold, "foot"))] if table.issue else []
    versions = sheet.set_lines([*issue, (table.foot, quiet)], width * 0.85, lead)
    cautions = sheet.set_lines([(" ".join(table.cautions), foot)], width, lead)
    y = bottom + sheet.height(versions)
    items: list[Item] = [*sheet.place(versions, left, y), *sheet.place(page, left, y, width, "right")]
    y += gap / 4 + sheet.height(cautions)
    items += sheet.place(cautions, left, y)
    for blocks in (_notes(table, notes), _legend(table, inks)):
        if blocks:
            y += gap / 2 + _columned_height(blocks)
            items += columned(table, blocks, y)
    if table.code:
        wide = across - width
        items += [Bar(*bar, 1.0) for bar in bars(table.code, left + width, bottom, wide)]
        y = max(y, bottom + wide)
    return items, y + gap / 2


def _foot_width(table: Table) -> float:
    """Width of the foot: that of the page, less the place of a QR code at its right."""
    _, width, _ = _frame(table)
    return width - side(table.code, MODULES_MM[-1]) if table.code else width


def _legend(table: Table, inks: Inks) -> list[tuple[Row, ...]]:
    foot, said = _ink(table, table.faces.regular, "foot"), table.words
    out = []
    for state, key in LEADS.items():
        meaning = said.say(f"meaning {key}", *([table.checked] if state == NONE_ON_RECORD else []))
        name = inks.none if state == NONE_ON_RECORD else cell_runs([(state, "", ())], inks, said)[1][1]
        out.append(_column_rows(table, [(f"{said.state(state)} ", name._replace(size=foot.size)), (meaning, foot)]))
    return out


def _notes(table: Table, numbers: Sequence[int]) -> list[tuple[Row, ...]]:
    """Reasons as running text, line by line: it takes half the room of a list. Those that say the same of several things stand
    together, at the place of the first."""
    foot, bold = _ink(table, table.faces.regular, "foot"), _ink(table, table.faces.bold, "foot")
    runs: list[tuple[str, Ink]] = []
    for alike in _alike([(number, *_parted(table.notes[number - 1])) for number in numbers]):
        for place, (number, what, why) in enumerate(alike, 1):
            runs += [(f"[{number}] ", bold), (f"{what}{', ' if place < len(alike) else f'{why}.  '}", foot)]
    return [(row,) for row in _column_rows(table, runs)]


def _parted(note: str) -> tuple[str, str]:
    """("rye flour", ": specification, checked 2026-10-06 by AL"); where no thing is named first, all is in the second part."""
    found = _REASON.fullmatch(note)
    return (found[1], found[2]) if found else ("", note)


def _alike(notes: Sequence[tuple[int, str, str]]) -> list[list[tuple[int, str, str]]]:
    """Notes by what they say, in the order of their first numbers. What names no thing stays alone."""
    by_why: dict[object, list[tuple[int, str, str]]] = {}
    for number, what, why in notes:
        by_why.setdefault(why if what else number, []).append((number, what, why))
    return list(by_why.values())


def _column_rows(table: Table, runs: Sequence[tuple[str, Ink]]) -> tuple[Row, ...]:
    width = _foot_width(table)
    gap = table.looks.number("gap mm", "block") * MM
    return sheet.set_lines(runs, (width - gap * (_COLUMNS - 1)) / _COLUMNS, table.looks.number("leading"))


def _split(blocks: Sequence[tuple[Row, ...]]) -> list[list[tuple[Row, ...]]]:
    """Blocks in columns read downwards, in their order, as even as they come."""
    if not blocks:
        return []
    heights = [sheet.height(block) for block in blocks]
    limit = max(max(heights), sum(heights) / _COLUMNS)
    while True:
        columns: list[list[tuple[Row, ...]]] = [[]]
        used = 0.0
        for block, tall in zip(blocks, heights, strict=True):
            if columns[-1] and used + tall > limit + 0.01:
                columns.append([])
                used = 0.0
            columns[-1].append(block)
            used += tall
        if len(columns) <= _COLUMNS:
            return columns
        limit += min(heights)


def _columned_height(blocks: Sequence[tuple[Row, ...]]) -> float:
    return max((sum(sheet.height(block) for block in column) for column in _split(blocks)), default=0.0)


def columned(table: Table, blocks: Sequence[tuple[Row, ...]], top: float) -> list[Text]:
    left, width = _frame(table)[0], _foot_width(table)
    gap = table.looks.number("gap mm", "block") * MM
    step = (width - gap * (_COLUMNS - 1)) / _COLUMNS + gap
    out: list[Text] = []
    for number, column in enumerate(_split(blocks)):
        y = top
        for block in column:
            out += sheet.place(block, left + number * step, y)
            y -= sheet.height(block)
    return out


def note_pages(table: Table, inks: Inks) -> list[list[tuple[Row, ...]]]:
    """Reasons that have no room on the pages of their rows, dealt to pages of their own."""
    room = table.size[1] - header_height(table) - foot_of(table, inks, (), 1, 1)[1]
    lines = _notes(table, range(1, len(table.notes) + 1))
    each = max(int(room / max(sheet.height(line) for line in lines)), 1) * _COLUMNS
    return [lines[start : start + each] for start in range(0, len(lines), each)]


def draw_page(table: Table, rows: Sequence[Set], used: Sequence[int], inks: Inks,
               widths: Widths, number: int, count: int) -> list[Item]:  # fmt: skip
    looks, pad = table.looks, table.looks.number("gap mm", "cell") * MM
    above = looks.number("gap mm", "cell above") * MM
    left, across, _ = _frame(table)
    hair, thin, thick = (looks.number("rule mm", key) * MM for key in ("hair", "thin", "thick"))
    rule, tint = looks.number("grey percent", "rule") / 100, looks.number("grey percent", "tint") / 100
    named, tallest = heads(table, inks, widths)
    top = table.size[1] - header_height(table)
    tints: list[Item] = []
    items: list[Item] = header(table, inks)
    for x, one in named:
        items += sheet.place(one, x, top - sheet.height(tallest) + sheet.height(one))
    y = top - sheet.height(tallest)
    items.append(Bar(left, y - thick / 2, across, thick, 1.0))
    for row in rows:
        if row.starts_course and row is not rows[0]:
            items.append(Bar(left, y - thin / 2, across, thin, 1.0))
        elif row is not rows[0]:
            items.append(Bar(left, y - hair / 2, across, hair, rule))
        x = left
        for key, width in widths.items():
            state = row.states.get(key, NONE_ON_RECORD)
            if state in (CONTAINS, TO_CONFIRM):
                tints.append(Bar(x + thin, y - row.height + thin, width - 2 * thin, row.height - 2 * thin, tint))
            elif state != NONE_ON_RECORD:
                dash = () if state == NOT_CONFIRMED else (1.2, 1.2)
                items.append(Frame(x + thin, y - row.height + thin, width - 2 * thin, row.height - 2 * thin,
                                   thin * (1.0 if dash else 1.6), 1.0, dash))  # fmt: skip
            items += sheet.place(row.cells.get(key, ()), x + pad, y - above)
            x += width
            if key == DISH:
                items += sheet.place(row.stopped, x + 2 * pad, y - above)
        if row.stopped:
            x = left + widths[DISH] + thin
            items.append(Frame(x, y - row.height + thin, left + across - thin - x, row.height - 2 * thin, thin * 2))
        y -= row.height
    items.append(Bar(left, y - thick / 2, across, thick, 1.0))
    return [*tints, *items, *foot_of(table, inks, used, number, count)[0]]
