"""A menu's own lines, so that a copy keeps what was written beside the dishes."""

from __future__ import annotations

import textwrap
from pathlib import Path

import yaml

from labeller.reading.library import Loader
from labeller.terms.kitchen import Menu

_HEAD = ("menu", "from", "until")


def body_of(folder: Path, menu: Menu) -> str:
    """The lines of a menu's courses and packs, remarks included, as they stand in its file, moved to the left margin. What can't
    be lifted out of its file so (a menu written on one line) is written anew from what was read."""
    try:
        lifted = _lifted((Path(folder) / menu.place.file).read_text(encoding="utf-8-sig"), menu)
    except (OSError, UnicodeDecodeError, yaml.YAMLError):
        lifted = ""
    return lifted or written(menu)


def _lifted(text: str, menu: Menu) -> str:
    lines = text.splitlines()
    for entry in _entries(yaml.compose(text, Loader=Loader)):
        if entry.start_mark.line + 1 != menu.place.line or entry.flow_style:
            continue
        keys = [left for left, _ in entry.value]
        starts = [key.start_mark.line for key in keys] + [_end(entry, lines)]
        if len(set(starts)) != len(starts):
            return ""
        parts = [
            lines[first:after] for key, first, after in zip(keys, starts, starts[1:], strict=False) if key.value not in _HEAD
        ]
        body = textwrap.dedent("\n".join(line for part in parts for line in part)).rstrip()
        return body + "\n" if body and not body.startswith((" ", "-")) else ""
    return ""


def _entries(root: yaml.Node | None) -> list[yaml.MappingNode]:
    nodes = root.value if isinstance(root, yaml.SequenceNode) else [root]
    return [node for node in nodes if isinstance(node, yaml.MappingNode)]


def _end(entry: yaml.MappingNode, lines: list[str]) -> int:
    """The first line behind an entry: where the next one begins, the end of the file for the last."""
    return min(entry.end_mark.line + (1 if entry.end_mark.column else 0), len(lines))


def written(menu: Menu) -> str:
    """Courses and packs of a menu as YAML."""
    out = ["courses:"] if menu.courses else []
    for course in menu.courses:
        title = [f"course: {quoted(course.title)}"] if course.title else []
        if len(course.dishes) == 1 and not title:
            out.append(f"  - {quoted(course.dishes[0])}")
            continue
        several = ["choice:", *(f"  - {quoted(dish)}" for dish in course.dishes)]
        inner = [*title, *(several if len(course.dishes) > 1 else [f"dish: {quoted(course.dishes[0])}"])]
        out += [f"  - {inner[0]}", *(f"    {line}" for line in inner[1:])]
    out += ["packs:", *(f"  - {quoted(pack)}" for pack in menu.packs)] if menu.packs else []
    return "\n".join(out) + "\n"


def quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'
