"""Records, matrix and menus as tables: what the declarations say, row by row. Nothing is computed and nothing reworded here."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from labeller.printing.states import parts
from labeller.printing.words import NO_ANSWER, STATES
from labeller.terms.allergens import GROUPS, NONE_ON_RECORD
from labeller.terms.kitchen import Menu, Recipe
from labeller.terms.record import Declaration, NutritionRow
from labeller.terms.spans import Span

Cell = str | float | None
Rows = list[list[Cell]]
OTHER = "other"


def allergen_cell(made: Declaration, group: str, names: dict[str, str]) -> str:
    """All states of a group in words, the worst first: "contains: wheat; not confirmed: barley"."""
    if made.stopped:
        return NO_ANSWER
    if group not in made.states:
        return STATES[NONE_ON_RECORD]
    return "; ".join(
        f"{STATES[part.state]}: {part.words}" if part.words else STATES[part.state] for part in parts(made, group, names)
    )


def allergen_sentence(made: Declaration, names: dict[str, str]) -> str:
    """All that is on record, in one line: "cereals gluten: contains: wheat. milk: contains."; never that something is absent."""
    if made.stopped:
        return NO_ANSWER
    cells = [(group.replace("_", " "), allergen_cell(made, group, names)) for group in groups_of([made])]
    told = [f"{group}: {cell}." for group, cell in cells if cell != STATES[NONE_ON_RECORD]]
    return " ".join(told) or f"None of the listed allergens on record, checked {made.law_date}; ask the kitchen."


def groups_of(made: Iterable[Declaration]) -> list[str]:
    """The fourteen groups, and what stands outside them on any of these dishes."""
    more = dict.fromkeys(key for each in made for key in each.states if key not in GROUPS)
    return [*GROUPS, *more]


def records_rows(made: Sequence[Declaration], names: dict[str, str]) -> Rows:
    """One row a dish. Figures: as declared (text), and exact with their bounds and the share of weight they are known for."""
    groups = groups_of(made)
    keys = list(dict.fromkeys(row.key for each in made for row in each.figures))
    head = [
        "dish",
        "kind",
        "law",
        "law date",
        "kitchen version",
        "data version",
        "answer",
        "portion g",
        "portion g, low",
        "portion g, high",
    ]
    head += [f"allergen: {group.replace('_', ' ')}" for group in groups]
    head += ["ingredients", "contains statement", "may contain statement", "net quantity", "figures"]
    for key in keys:
        head += [f"{key}, declared per 100 g", f"{key}, declared per portion", f"{key}, declared share"]
        head += [f"{key}, exact per 100 g", f"{key}, exact per 100 g, low", f"{key}, exact per 100 g, high"]
        head += [
            f"{key}, exact per portion",
            f"{key}, exact per portion, low",
            f"{key}, exact per portion, high",
            f"{key}, known share",
        ]
    return [head, *(_record(each, groups, keys, names) for each in made)]


def _record(made: Declaration, groups: list[str], keys: list[str], names: dict[str, str]) -> list[Cell]:
    record = made.record
    weight = [None] * 3 if made.stopped else _span(record.weight_g)
    answer = NO_ANSWER if made.stopped else "given"
    figures = {row.key: row for row in made.figures} if _has_figures(made) else {}
    told = (
        "given" if figures else NO_ANSWER if made.stopped else "not given; see labeller check" if record.nutrition_stopped else ""
    )
    statement = "" if made.stopped else "".join(run.text.upper() if run.emphasis else run.text for run in made.statement)
    row: list[Cell] = [made.dish, record.kind, made.law, made.law_date, made.kitchen_version, made.data_version, answer, *weight]
    row += [allergen_cell(made, group, names) for group in groups]
    row += [statement, *([""] * 3 if made.stopped else [made.contains, made.may_contain, made.net_quantity]), told]
    for key in keys:
        row += _figure(figures.get(key))
    return row


def _has_figures(made: Declaration) -> bool:
    return not (made.stopped or made.record.nutrition_stopped)


def _figure(row: NutritionRow | None) -> list[Cell]:
    if row is None:
        return [None] * 10
    hundred = row.per_100g or (row.per_100ml and f"{row.per_100ml} per 100 ml")
    return [hundred, row.per_portion, row.share, *_span(row.value_100g), *_span(row.value_portion), row.known]


def _span(span: Span | None) -> list[Cell]:
    return [None] * 3 if span is None else [span.mid, span.low, span.high]


def nutrition_rows(made: Sequence[Declaration]) -> Rows:
    """One row a figure of a dish."""
    out: Rows = [
        [
            "dish",
            "law",
            "figure",
            "name",
            "declared per 100 g",
            "declared per portion",
            "declared share",
            "exact per 100 g",
            "low",
            "high",
            "exact per portion",
            "low",
            "high",
            "known share",
            "rule",
        ]
    ]
    for each in made:
        if not _has_figures(each):
            out.append([each.dish, each.law, NO_ANSWER if each.stopped else "no figures; see labeller check"])
            continue
        out += [[each.dish, each.law, row.key, row.name, *_figure(row), row.rule] for row in each.figures]
    return out


def matrix_rows(menu: Menu | None, made: Sequence[Declaration], names: dict[str, str]) -> Rows:
    """Dishes down, allergens across, every state in words."""
    groups = groups_of(made)
    course = {dish: one.title or f"course {nr}" for nr, one in enumerate(menu.courses, 1) for dish in one.dishes} if menu else {}
    out: Rows = [["course", "dish", *(group.replace("_", " ") for group in groups), "can be changed", "shared equipment"]]
    for each in made:
        cells = [allergen_cell(each, group, names) for group in groups]
        out.append([course.get(each.dish, ""), each.dish, *cells, _changes(each), ", ".join(each.record.equipment)])
    return out


def _changes(made: Declaration) -> str:
    """What may be left off or exchanged; of a dish without an answer, nothing is said."""
    if made.stopped:
        return NO_ANSWER
    found = [f"leave off {part.name}" for part in made.record.components if part.leave_off]
    return "; ".join(found + [f"{part.instead} instead of {part.name}" for part in made.record.components if part.instead])


def menu_rows(menus: Sequence[Menu], dishes: dict[str, Recipe]) -> Rows:
    """The menus as they are written: one row a dish."""
    out: Rows = [["menu", "from", "until", "course", "dish", "description", "choice"]]
    for menu in menus:
        for nr, course in enumerate(menu.courses, 1):
            for dish in course.dishes:
                words = dishes[dish].description if dish in dishes else ""
                out.append(
                    [
                        menu.name,
                        menu.starts,
                        menu.ends,
                        course.title or f"course {nr}",
                        dish,
                        words,
                        "choice" if len(course.dishes) > 1 else "",
                    ]
                )
        out += [
            [menu.name, menu.starts, menu.ends, "packs", pack, dishes[pack].description if pack in dishes else "", ""]
            for pack in menu.packs
        ]
    return out


def as_objects(rows: Rows) -> list[dict[str, Cell]]:
    """A table as a list of objects by its first row; blank cells are left out."""
    head, *body = rows
    return [{str(key): value for key, value in zip(head, row, strict=False) if value not in (None, "")} for row in body]
