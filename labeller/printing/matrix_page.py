"""Paging of a matrix: the largest type that needs no more pages than the smallest would."""

from __future__ import annotations

from collections.abc import Sequence

from labeller.printing import sheet
from labeller.printing.matrix_draw import columned, draw_page, foot_of, header, header_height, heads, note_pages
from labeller.printing.matrix_rows import Inks, Line, Set, Table, Widths, inks_of, set_rows
from labeller.printing.sheet import MM, Page
from labeller.terms.findings import NOWHERE, Finding, finding

_STEPS = 6  # type sizes tried between the largest and the smallest of the style


def pages(table: Table, lines: Sequence[Line]) -> tuple[list[Page], tuple[Finding, ...]]:
    """The pages, and a finding for each word that had to be divided."""
    best: list[Page] = []
    broken: set[str] = set()
    for step in range(_STEPS, -1, -1):
        inks = inks_of(table.looks, table.faces, step / _STEPS)
        widths, rows = set_rows(table, lines, inks)
        tried, torn = _lay_out(table, rows, inks, widths), _torn(rows)
        if best and (len(tried) > len(best) or len(torn) > len(broken)):
            break
        best, broken = tried, torn
    mend = "shorten the name, or print on larger paper"
    return best, tuple(finding("sheet-too-full", NOWHERE, f"“{word}” is wider than its column and was divided", mend)
                       for word in sorted(broken))  # fmt: skip


def _torn(rows: Sequence[Set]) -> set[str]:
    every = [row for one in rows for block in one.cells.values() for row in block]
    return {" ".join(text for _, text, _ in row.pieces) for row in every if row.broken}


def _lay_out(table: Table, rows: Sequence[Set], inks: Inks, widths: Widths) -> list[Page]:
    """Rows on pages; the footnotes of a page stand on it, unless even one row's notes leave no room: then all at the end."""
    for notes_at_end in (False, True):
        taken = _deal(table, rows, inks, widths, notes_at_end)
        if taken is not None:
            break
    else:  # a row taller than a page: it is given a page of its own and runs as far as it must
        taken = [[row] for row in rows]
    groups = taken or [[]]
    extra = note_pages(table, inks) if notes_at_end and table.notes else []
    count = len(groups) + len(extra)
    out = []
    for number, group in enumerate(groups, 1):
        used = () if notes_at_end else _used(group)
        group = _loosened(table, group, used, inks, widths)
        out.append(tuple(draw_page(table, group, used, inks, widths, number, count)))
    for number, blocks in enumerate(extra, len(groups) + 1):
        items = header(table, inks) + foot_of(table, inks, (), number, count)[0]
        out.append(tuple(items + columned(table, blocks, table.size[1] - header_height(table))))
    return out


def _loosened(table: Table, rows: list[Set], used: Sequence[int], inks: Inks,
              widths: Widths) -> list[Set]:  # fmt: skip
    """Spare room of a page shared out among its rows, up to what the style allows."""
    room = table.size[1] - header_height(table) - sheet.height(heads(table, inks, widths)[1])
    spare = room - foot_of(table, inks, used, 1, 1)[1] - sum(row.height for row in rows)
    each = min(max(spare, 0.0) / max(len(rows), 1), table.looks.number("gap mm", "row slack") * MM)
    return [row._replace(height=row.height + each) for row in rows]


def _used(rows: Sequence[Set]) -> tuple[int, ...]:
    return tuple(sorted({note for row in rows for note in row.notes}))


def _deal(table: Table, rows: Sequence[Set], inks: Inks, widths: Widths,
          notes_at_end: bool) -> list[list[Set]] | None:  # fmt: skip
    top = table.size[1] - header_height(table) - sheet.height(heads(table, inks, widths)[1])
    out: list[list[Set]] = []
    group: list[Set] = []
    for row in rows:
        for tried in ([*group, row], [row]):
            foot = foot_of(table, inks, () if notes_at_end else _used(tried), 1, 1)[1]
            if sum(one.height for one in tried) <= top - foot:
                break
        else:
            return None
        if len(tried) == 1 and group:
            out.append(group)
        group = tried
    return [*out, group] if group else out
