"""The kitchen's recipes as they were typed, for export: every key with its text, nothing worked out and nothing left out."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import yaml

from labeller.reading.entries import clean_name, is_nothing
from labeller.reading.imports.found import FoundLine, FoundRecipe
from labeller.reading.imports.kitchen_text import flow
from labeller.reading.keys import KNOWN, keys_of
from labeller.reading.nodes import Notes, place_of, read_page
from labeller.reading.recipes import LINES_KEY
from labeller.terms.findings import Finding, Place, finding

LINE_KEYS = tuple(key.key for key in keys_of("line"))


def typed_recipes(folder: Path) -> tuple[tuple[FoundRecipe, ...], tuple[Finding, ...]]:
    """Every entry of ``recipes/`` in the order of the files, keys and values as typed; remarks of the files are not data and stay
    behind. Findings: entries that can't be read, which an export would lack."""
    notes = Notes()
    found: list[FoundRecipe] = []
    for path in sorted((folder / "recipes").rglob("*.y*ml")):
        file = path.relative_to(folder).as_posix()
        if any(part.startswith((".", "_", "~")) for part in path.relative_to(folder).parts):
            continue
        page = read_page(path, file, notes)
        for root in page.roots:
            for node in root.value if isinstance(root, yaml.SequenceNode) else [root]:
                one = _entry(node, file) if isinstance(node, yaml.MappingNode) else None
                found += [one] if one else []
                if one is None:
                    notes.add("file-empty", place_of(file, node), "", "")
    wrong = [
        finding(
            "export-entry-broken",
            each.place,
            f"{each.place} can't be written out: {each.text or 'it is no recipe'}",
            "mend it first; labeller check says how",
        )
        for each in notes.findings
    ]
    return tuple(found), tuple(wrong)


def _entry(node: yaml.MappingNode, file: str) -> FoundRecipe | None:
    values = {" ".join(left.value.lower().split()): right for left, right in node.value if isinstance(left, yaml.ScalarNode)}
    kind = next((kind for kind in LINES_KEY if kind in values), "")
    if not kind or not isinstance(values[kind], yaml.ScalarNode):
        return None
    lines = values.get(LINES_KEY[kind])
    items = lines.value if isinstance(lines, yaml.SequenceNode) else []
    fields = tuple(
        (key, _plain(value)) for key, value in values.items() if key not in (kind, LINES_KEY[kind]) and not is_nothing(value)
    )
    found = tuple(line for item in items for line in _line(item, file))
    return FoundRecipe(clean_name(values[kind].value), found, place_of(file, node), kind, fields)


def _line(item: yaml.Node, file: str) -> Iterator[FoundLine]:
    place = place_of(file, item)
    if isinstance(item, yaml.ScalarNode):
        yield FoundLine(item.value, clean_name(item.value), place=place)
        return
    for left, right in item.value if isinstance(item, yaml.MappingNode) else ():
        name = clean_name(left.value) if isinstance(left, yaml.ScalarNode) else ""
        if isinstance(right, yaml.MappingNode):
            keys = tuple((" ".join(key.value.lower().split()), _text(value)) for key, value in right.value)
        else:
            keys = () if is_nothing(right) else (("amount", _text(right)),)
        yield FoundLine(name, name, keys, place=place)


def _text(node: yaml.Node) -> str:
    value = _plain(node)
    return value if isinstance(value, str) else flow(value)


def _plain(node: yaml.Node) -> object:
    if isinstance(node, yaml.SequenceNode):
        return [_plain(each) for each in node.value]
    if isinstance(node, yaml.MappingNode):
        return {str(_plain(left)): _plain(right) for left, right in node.value}
    return node.value


# -- as a table and as JSON ------------------------------------------------------------------------------------------------


def table_of(recipes: tuple[FoundRecipe, ...]) -> list[list[str]]:
    """One row a line, the entry's own keys on its first row; only columns that are used. Lists and mappings stand as YAML writes
    them on one line."""
    used_lines = [key for key in LINE_KEYS if any(key in dict(line.keys) for recipe in recipes for line in recipe.lines)]
    order = list(dict.fromkeys(key for kind in ("recipe", "dish", "pack") for key in _ordered(kind)))
    used = [key for key in order if any(key in dict(recipe.fields) for recipe in recipes)]
    out = [["kind", "name", "ingredient", *used_lines, *used]]
    for recipe in recipes:
        fields = [_cell(dict(recipe.fields).get(key, "")) for key in used]
        for nr, line in enumerate(recipe.lines or (FoundLine("", ""),)):
            keys = dict(line.keys)
            out.append(
                [
                    recipe.kind,
                    recipe.name,
                    line.name,
                    *(keys.get(key, "") for key in used_lines),
                    *(fields if nr == 0 else [""] * len(used)),
                ]
            )
    return out


def _ordered(kind: str) -> list[str]:
    return [key.key for key in keys_of(kind) if key.key not in (kind, LINES_KEY[kind])]


def _cell(value: object) -> str:
    """Text as it is, unless it could be taken for a list, a mapping or a quoted text: those stand as YAML on one line."""
    if not isinstance(value, str):
        return flow(value)
    return _quoted(value) if value.startswith(("[", "{", '"')) else value


def _quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n") + '"'


def json_of(recipes: tuple[FoundRecipe, ...], version: str) -> dict:
    """{"form": "labeller recipes", "kitchen_version", "recipes": [{"kind", "name", "lines": [{"name", "amount", …}], …}]}."""
    return {
        "form": "labeller recipes",
        "kitchen_version": version,
        "recipes": [
            {
                "kind": recipe.kind,
                "name": recipe.name,
                **dict(recipe.fields),
                "lines": [{"name": line.name, **dict(line.keys)} for line in recipe.lines],
            }
            for recipe in recipes
        ],
    }


def found_of(entry: dict, file: str) -> FoundRecipe:
    """One recipe of :func:`json_of`. KeyError, AttributeError or TypeError for anything else."""
    kind = entry["kind"]
    known = KNOWN[kind]
    lines = tuple(
        FoundLine(
            line["name"], line["name"], tuple((key, str(text)) for key, text in line.items() if key != "name"), place=Place(file)
        )
        for line in entry["lines"]
    )
    fields = tuple((key, value) for key, value in entry.items() if key in known)
    left = tuple(key for key in entry if key not in known and key not in ("kind", "name", "lines"))
    return FoundRecipe(entry["name"], lines, Place(file), kind, fields, left_out=left)
