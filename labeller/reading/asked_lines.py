"""What an import has asked and nobody has settled yet: the remarks ``# asked: …`` above the lines of ``recipes/``.

A remark counts for the line under it. It goes when that line is changed, or when a person says that the line is right as it is.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

import yaml
from msgspec import Struct

from labeller.reading.recipes import LINES_KEY
from labeller.terms.findings import Finding, Place, finding

SIGN = b"# asked: "
_REMARK = r"\s*# asked: (.*?)(?:; it stood: (.*))?\s*\Z"


class Asked(Struct, frozen=True):
    """question, stood: as the remark has them. remark, line: numbers of the remark and of the line it is about, from 1."""

    question: str
    stood: str
    remark: int
    line: int


def asked_in(data: bytes) -> tuple[Asked, ...]:
    """Every remark that asks, with the line that stands under it; one at the very end of a file is about nothing."""
    if SIGN not in data:
        return ()
    lines = data.decode("utf-8-sig", errors="replace").split("\n")
    found, waiting = [], []
    for number, line in enumerate(lines, 1):
        hit = re.match(_REMARK, line)
        if hit:
            waiting.append((hit[1].strip(), (hit[2] or "").strip(), number))
        elif line.strip() and not line.lstrip().startswith("#"):
            found += [Asked(question, stood, remark, number) for question, stood, remark in waiting]
            waiting = []
    return tuple(found)


def asked_findings(file: str, data: bytes, nodes: Iterable[yaml.Node]) -> Iterator[Finding]:
    """A doubt for each, at the line it is about. nodes: the entries of the file."""
    asked = asked_in(data)
    if not asked:
        return
    starts = [(node.start_mark.line + 1, _name(node)) for node in nodes if isinstance(node, yaml.MappingNode)]
    for each in asked:
        name = next((name for start, name in reversed(starts) if start <= each.line), "")
        stood = f' (it stood: "{each.stood}")' if each.stood else ""
        yield finding(
            "import-line-unsure",
            Place(file, each.line),
            f"{name or file}: {each.question}{stood}",
            "change the line, or say that it is right as it stands (take the remark above it out)",
            name,
        )


def _name(node: yaml.MappingNode) -> str:
    return next((" ".join(str(right.value).split()) for left, right in node.value if left.value in LINES_KEY), "")


def at_keys(data: bytes, node: yaml.MappingNode) -> dict[str, tuple[Asked, ...]]:
    """What is asked of an entry: ``key:number`` of a line (from 0) -> its remarks; "" -> those about the entry as a whole."""
    last = max((item.end_mark.line for pair in node.value for item in pair), default=0) + 1
    mine = [each for each in asked_in(data) if node.start_mark.line < each.line <= last]
    lines = {
        item.start_mark.line + 1: f"{str(left.value).lower()}:{number}"
        for left, right in node.value
        if isinstance(right, yaml.SequenceNode)
        for number, item in enumerate(right.value)
    }
    found: dict[str, list[Asked]] = {}
    for each in mine:
        found.setdefault(lines.get(each.line, ""), []).append(each)
    return {key: tuple(many) for key, many in found.items()}


def without(data: bytes, asked: Iterable[Asked]) -> bytes:
    """The text of a file without these remarks; every other byte stays."""
    gone = {each.remark for each in asked}
    return b"\n".join(line for number, line in enumerate(data.split(b"\n"), 1) if number not in gone)
