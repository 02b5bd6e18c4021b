"""Reads the looks of labels: ``templates/label.yaml`` (with a kitchen's own lines) and the type floors of the laws."""

from __future__ import annotations

from pathlib import Path

import yaml

from labeller.reading.library import csv_rows, reference, root
from labeller.terms.findings import Finding, Place, finding
from labeller.terms.label_looks import SMALL, STANDARD, TINY, FontFiles, LabelLooks, TypeFloor

FILE = "label.yaml"
NO_BOUND = float("inf")
LEAST = {"padding": 1.0, "printer edge": 0.0, "step": 0.05, "leading": 1.0, "name least": 1.0}  # below it, labels break


def label_looks(own_templates: Path | None = None) -> tuple[LabelLooks, tuple[Finding, ...]]:
    """The looks of labels; own_templates: the ``templates/`` folder of a kitchen, or None for the looks as shipped.

    A line of the kitchen's file that can't be used is a finding with its line; the shipped value stands in its place.
    """
    shipped_path = root("templates") / FILE
    values, faults = _read(shipped_path)
    if faults:
        raise ValueError(f"the shipped {FILE} is broken: {faults[0]}")
    shipped = {key: text for key, (text, _) in values.items()}
    fonts = {key[1]: str(shipped_path.parent / text) for key, text in shipped.items() if key[0] == "font"}
    found: list[Finding] = []
    own = own_templates / FILE if own_templates else None
    if own is not None and own.is_file():
        changed, faults = _read(own)
        found += [_broken(line, text) for line, text in faults]
        for key, (text, line) in changed.items():
            fault = _fault(key, text, shipped, own.parent)
            if fault:
                found.append(_broken(line, fault))
                continue
            shipped[key] = text
            if key[0] == "font":
                fonts[key[1]] = str(own.parent / text)
    return _looks(shipped, fonts), tuple(found)


def _looks(texts: dict[tuple[str, str], str], fonts: dict[str, str]) -> LabelLooks:
    sizes = {key: float(text) for (section, key), text in texts.items() if section in ("mm", "pt", "ratio")}
    sizes["underline"] = 1.0 if texts["emphasis", "underline"] in ("yes", "true") else 0.0
    words = {key: text for (section, key), text in texts.items() if section == "words"}
    files = FontFiles(fonts["regular"], fonts["bold"], fonts["italic"])
    return LabelLooks(files, type_floors(), {**us_panel(), **ca_panel()}, sizes, words)


def type_floors() -> tuple[TypeFloor, ...]:
    """The least heights of type of every law, from ``reference/stock/legibility.csv``."""
    return tuple(
        TypeFloor(law=row["law"], what=row["what"], mm=float(row["mm"]),
                  source=", ".join(part for part in (row["instrument"], row["section"]) if part), since=row["since"],
                  face_from=_bound(row["face_from_cm2"], 0.0), face_below=_bound(row["face_below_cm2"], NO_BOUND),
                  grams_above=_bound(row["grams_above"], 0.0), grams_to=_bound(row["grams_to"], NO_BOUND),
                  not_sold=row["not_sold"], checked=row["checked"] == "yes")
        for row in csv_rows(reference("stock", "legibility.csv"))
    )  # fmt: skip


def us_panel() -> dict[tuple[str, str], float]:
    """Points of the US panel's elements in each of its forms, from ``reference/stock/us_panel.csv``."""
    return {(row["element"], form): float(row[f"{form}_pt"])
            for row in csv_rows(reference("stock", "us_panel.csv")) for form in (STANDARD, SMALL, TINY)}  # fmt: skip


def ca_panel() -> dict[tuple[str, str], float]:
    """Points of the Canadian table's elements, from ``reference/stock/ca_panel.csv``."""
    return {(row["element"], STANDARD): float(row["standard_pt"]) for row in csv_rows(reference("stock", "ca_panel.csv"))}


def _bound(text: str, default: float) -> float:
    return float(text) if text else default


def _broken(line: int, text: str) -> Finding:
    mend = f"correct that line of templates/{FILE}, or take it out: the shipped looks then stand"
    return finding("label-looks-broken", Place(f"templates/{FILE}", line), text, mend)


def _fault(key: tuple[str, str], text: str, shipped: dict[tuple[str, str], str], folder: Path) -> str:
    """What is wrong with a kitchen's line; "" when it can be used."""
    section, name = key
    if key not in shipped:
        return f"“{section}: {name}” is not a line of label.yaml"
    if section == "font":
        return "" if (folder / text).is_file() else f"the font file “{text}” is not in the kitchen's templates folder"
    if section == "emphasis":
        return "" if text in ("yes", "no", "true", "false") else f"“{name}: {text}” must be yes or no"
    if section == "words":
        return _fields(name, text, shipped[key])
    try:
        number = float(text)
    except ValueError:
        return f"“{name}: {text}” is not a number"
    least = LEAST.get(name, 0.0)
    return "" if least <= number < 1000 else f"“{name}: {text}” must be at least {least:g}"


def _fields(name: str, text: str, shipped: str) -> str:
    known = {word: "x" for word in ("kitchen", "data", "law", "law_date", "mark", "number", "count", "part", "parts")}
    allowed = {word: "x" for word in known if "{" + word + "}" in shipped}
    try:
        text.format(**allowed)
    except (KeyError, ValueError, IndexError):
        return f"“{name}” may only use these fields: {', '.join('{' + word + '}' for word in allowed)}"
    return ""


def _read(path: Path) -> tuple[dict[tuple[str, str], tuple[str, int]], list[tuple[int, str]]]:
    """(section, key) -> (text, line), and the faults with their lines."""
    try:
        node = yaml.compose(path.read_text(encoding="utf-8"))
    except (yaml.YAMLError, UnicodeDecodeError) as fault:
        mark = getattr(fault, "problem_mark", None)
        return {}, [(mark.line + 1 if mark else 0, f"the file can't be read: {getattr(fault, 'problem', fault)}")]
    if node is None:
        return {}, []
    if not isinstance(node, yaml.MappingNode):
        return {}, [(1, "the file is not a list of “key: value” lines")]
    values: dict[tuple[str, str], tuple[str, int]] = {}
    faults: list[tuple[int, str]] = []
    for section, inner in node.value:
        if not isinstance(inner, yaml.MappingNode):
            faults.append((inner.start_mark.line + 1, f"“{section.value}” must hold “key: value” lines"))
            continue
        for key, leaf in inner.value:
            line = leaf.start_mark.line + 1
            if not isinstance(leaf, yaml.ScalarNode):
                faults.append((line, f"“{key.value}” must be one value"))
            elif (section.value, key.value) in values:
                faults.append((line, f"“{section.value}: {key.value}” stands twice"))
            else:
                values[section.value, key.value] = (leaf.value.strip(), line)
    return values, faults
