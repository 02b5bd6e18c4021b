"""The record behind a short mark, in words for a terminal: what it holds, its list, its figures, and who signed it."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping

from labeller.serving.marks import Behind, Found
from labeller.serving.show import WIDTH
from labeller.serving.told import PER
from labeller.terms.allergens import NONE_ON_RECORD, Kind

MOST = 4  # dishes named in the line of a sheet; their records follow in full


def found_words(each: Found) -> str:
    """Where a mark stands, on one line."""
    where = {"print": f"out/: printed for {each.date}", "kitchen": f"the kitchen as it is on {each.date}"}
    batch = f", batch {each.batch}" + (f", lot {each.lot}" if each.lot else "") if each.batch else ""
    dishes = f": {' · '.join(each.dishes[:MOST])}{' and more' if len(each.dishes) > MOST else ''}" if each.dishes else ""
    said = f", under no. {each.number}" if each.where == "print" and each.number else ""
    note = f"; its file was {each.note}" if each.note else ""
    start = where.get(each.where, f"{each.where} of {each.date}")
    return f"{start}: {each.what}{batch}{dishes} ({each.law.upper()} law{said}{note})"


def record_lines(each: Behind, kinds: Mapping[str, Kind]) -> list[str]:
    """Allergens by state, the list of ingredients and the figures of one dish."""
    head = f"{each.dish} ({each.law.upper()} law)"
    if each.entry is None:
        return [head, "    its record can't be shown: the kitchen has no such dish now; look with the kitchen's files of its day"]
    since = each.since or "AS IT IS NOW: it has changed since it was printed; look with the kitchen's files of that day"
    record, out = each.entry["record"], [head, f"    {since}"]
    if each.entry["answer"]:
        return [*out, f"    {each.entry['answer']}"]
    return [*out, *_allergens(record, kinds), *_statements(record), *_figures(record)]


def _allergens(record: Mapping, kinds: Mapping[str, Kind]) -> list[str]:
    by_state: dict[str, list[str]] = {}
    for group, told in record["allergens"].items():
        if told["state"] != NONE_ON_RECORD:
            names = [kinds[kind].name for kind in told["kinds"] if kind in kinds and kind != group]
            name = kinds[group].name if group in kinds else group
            by_state.setdefault(told["state"], []).append(f"{name} ({', '.join(names)})" if names else name)
    out = []
    for state, names in by_state.items():
        out += _wrapped(f"{state.replace('_', ' ')}: {' · '.join(names)}")
    return out or ["    no allergen of the law's list is on record; that is no clearance"]


def _statements(record: Mapping) -> list[str]:
    keys = ("ingredient_statement", "contains_statement", "may_contain_statement")
    return [line for key in keys if record[key] for line in _wrapped(record[key])]


def _figures(record: Mapping) -> list[str]:
    out = []
    for key, figure in record["nutrients"].items():
        declared = figure["declared"]
        if declared:
            name = key.rpartition("_")[0].replace("_", " ") or key
            out.append(f"{name} " + ", ".join(f"{text} {PER.get(per, per)}" for per, text in declared.items()))
    return _wrapped("; ".join(out)) if out else []


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent="    ", subsequent_indent="      ")
