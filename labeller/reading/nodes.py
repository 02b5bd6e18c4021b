"""YAML files as nodes with positions. What a parser calls an error is told in the cook's words, with what to type.

A file that cannot be parsed as a whole is parsed entry by entry, so that one slip loses one entry and not the page; the
names of the entries that are lost are kept, because each dish that uses one has to be stopped.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import NamedTuple

import yaml

from labeller.reading.library import Loader
from labeller.terms.findings import Finding, Place, finding

MOST_BYTES = 2_000_000  # a page of recipes has some 10 kB; more is a spreadsheet or a mistake
ENTRY_KINDS = ("recipe", "dish", "pack", "product", "menu", "batch", "ingredient", "kitchen")
SIGNS = "*&!%@`>|{}[],?'\"#"


class _Nodes(Loader):  # type: ignore[misc, valid-type]
    """Every scalar is text: ``no`` stays no, 01077 keeps its zero."""


_Nodes.yaml_implicit_resolvers = {}


class Broken(NamedTuple):
    """An entry whose name is known although it could not be read. kind: one of ENTRY_KINDS."""

    kind: str
    name: str
    place: Place


class Page(NamedTuple):
    """One file. file: path relative to the kitchen. data: its bytes. lines: its text. roots: top nodes (one, unless read in pieces).
    broken: entries lost."""

    file: str
    data: bytes
    lines: tuple[str, ...]
    roots: tuple[yaml.Node, ...]
    broken: tuple[Broken, ...] = ()


class Notes:
    """The findings of one run, in the order they were come upon."""

    def __init__(self) -> None:
        self.findings: list[Finding] = []

    def add(self, code: str, place: Place, text: str, mend: str, subject: str = "") -> None:
        self.findings.append(finding(code, place, text, mend, subject))


def place_of(file: str, node: yaml.Node) -> Place:
    mark = node.start_mark
    return Place(file, mark.line + 1, mark.column + 1)


def read_page(path: Path, file: str, notes: Notes) -> Page:
    """Read one file. Whatever is wrong with it becomes findings; the page holds what could be read. Never raises."""
    top = Place(file)
    try:
        if path.stat().st_size > MOST_BYTES:
            notes.add("file-too-big", top, f"{file} has more than 2 MB and was not read",
                      "split it into several files, a few recipes in each", file)  # fmt: skip
            return Page(file, file.encode(), (), ())
        data = path.read_bytes()
    except OSError as problem:
        notes.add("file-not-readable", top, f"{file} could not be opened: {problem.strerror}",
                  "look at the file's permissions and its name", file)  # fmt: skip
        return Page(file, b"", (), ())
    return parse(data, file, notes)


def parse(data: bytes, file: str, notes: Notes) -> Page:
    """The nodes of a file's bytes."""
    text = _decoded(data, file, notes)
    if text is None:
        lost = _fished(data.decode("latin-1").splitlines(), file)
        _name_lost(lost, notes)
        return Page(file, data, (), (), lost)
    lines = tuple(text.split("\n"))
    if not any(line.strip() and not line.lstrip().startswith("#") for line in lines):
        notes.add("file-empty", Place(file), f"{file} is empty", "write an entry, or delete the file", file)
        return Page(file, data, lines, ())
    if ("&" in text or "*" in text) and _has_alias(text, file, lines, notes):
        return Page(file, data, lines, *_by_entries(lines, file, notes))
    try:
        node = _compose(text)
    except (yaml.YAMLError, RecursionError, ValueError):
        return Page(file, data, lines, *_by_entries(lines, file, notes))
    return Page(file, data, lines, (node,) if node is not None else ())


def _decoded(data: bytes, file: str, notes: Notes) -> str | None:
    """UTF-8 text with one kind of line end and without a byte-order mark, or None and a finding."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        line = data[: problem.start].count(b"\n") + 1
        notes.add("file-not-utf8", Place(file, line), f"{file} is not UTF-8 text (byte {problem.start + 1}, line {line})",
                  'save it again with the encoding "UTF-8"', file)  # fmt: skip
        return None
    if "\x00" in text:
        notes.add("file-not-utf8", Place(file), f"{file} holds zero bytes: it is not a text file",
                  'save it again as plain text with the encoding "UTF-8"', file)  # fmt: skip
        return None
    return text.replace("\r\n", "\n").replace("\r", "\n") if "\r" in text else text


def _compose(text: str) -> yaml.Node | None:
    loader = _Nodes(text.encode())
    try:
        return loader.get_single_node()
    finally:
        loader.dispose()


def _has_alias(text: str, file: str, lines: tuple[str, ...], notes: Notes) -> bool:
    """Anchors and aliases are found on the events, before anything is expanded."""
    try:
        for event in yaml.parse(text.encode(), Loader=_Nodes):
            if getattr(event, "anchor", None):
                return True
    except (yaml.YAMLError, RecursionError, ValueError):
        return False  # told by the pass that builds the nodes
    return False


def _by_entries(lines: tuple[str, ...], file: str, notes: Notes) -> tuple[tuple[yaml.Node, ...], tuple[Broken, ...]]:
    """Parse piece by piece, a piece beginning at each line that is not indented; tell what is wrong in each."""
    roots: list[yaml.Node] = []
    lost: list[Broken] = []
    mapping: list[tuple[yaml.Node, yaml.Node]] = []
    for start, end in _pieces(lines, file, notes):
        text = "\n" * start + "\n".join(lines[start:end])
        piece = lines[start:end]
        names = _fished(piece, file, start)
        try:
            if ("&" in text or "*" in text) and (place := _first_anchor(text, file)):
                _tell(_ANCHOR(place, lines), notes, names, file)
                lost += names
                continue
            node = _compose(text)
        except (yaml.YAMLError, RecursionError, ValueError) as problem:
            _tell(_in_words(problem, lines, start, end, file), notes, names, file)
            lost += names
            continue
        if isinstance(node, yaml.MappingNode):
            mapping += node.value
        elif node is not None:
            roots.append(node)
    if mapping:
        first, last = mapping[0][0], mapping[-1][1]
        roots.append(yaml.MappingNode("tag:yaml.org,2002:map", mapping, first.start_mark, last.end_mark, False))
        if lost and lost[0].kind not in ("kitchen",):
            roots.pop()  # half an entry is no entry
    return tuple(roots), tuple(lost)


def _pieces(lines: tuple[str, ...], file: str, notes: Notes) -> list[tuple[int, int]]:
    """(first line, line after the last) of each top entry; a line ``---`` begins a second document and is told once."""
    starts: list[int] = []
    documents: list[int] = []
    for number, line in enumerate(lines):
        if line.startswith(("---", "...")):
            documents.append(number)
        elif line and not line[0].isspace() and line[0] != "#":
            starts.append(number)
    if not starts:
        return [(0, len(lines))]
    inner = [number for number in documents if number > starts[0]]
    if inner:
        notes.add("several-documents", Place(file, inner[0] + 1), f'a line "{lines[inner[0]].strip()}" divides {file} in two',
                  "delete that line", file)  # fmt: skip
    ends = sorted(starts[1:] + documents + [len(lines)])
    return [(start, next(end for end in ends if end > start)) for start in starts]


def _fished(lines: tuple[str, ...] | list[str], file: str, offset: int = 0) -> tuple[Broken, ...]:
    """Names of the entries that begin in these lines, as far as they can be seen from outside."""
    found = []
    for number, line in enumerate(lines):
        hit = re.match(r"(?:- )?\s*(recipe|dish|pack|product|menu|batch|kitchen)\s*:\s*(\S.*)", line)
        if hit and (line.startswith("-") or not line[0].isspace()):
            name = " ".join(hit[2].partition(" #")[0].strip("'\" ").split())
            found.append(Broken(hit[1], name, Place(file, offset + number + 1, line.index(hit[2]) + 1)))
    return tuple(found)


class _Told(NamedTuple):
    code: str
    place: Place
    text: str
    mend: str


def _tell(told: _Told, notes: Notes, names: tuple[Broken, ...], file: str) -> None:
    subject = names[0].name if names else file
    notes.add(told.code, told.place, told.text, told.mend, subject)
    _name_lost(names[1:], notes)


def _name_lost(names: tuple[Broken, ...], notes: Notes) -> None:
    for one in names:
        notes.add("entry-lost", one.place, f'{one.kind} "{one.name}" could not be read', "mend the file first", one.name)


def _first_anchor(text: str, file: str) -> Place | None:
    for event in yaml.parse(text.encode(), Loader=_Nodes):
        if getattr(event, "anchor", None):
            return Place(file, event.start_mark.line + 1, event.start_mark.column + 1)
    return None


def _ANCHOR(place: Place, lines: tuple[str, ...]) -> _Told:  # noqa: N802
    typed = lines[place.line - 1][place.column - 1 :].strip()
    return _Told("begins-with-a-sign", place, f"{typed[:60]} begins with {typed[:1]}, which has a meaning of its own here",
                 f'put it in quotes: "{_unquoted(typed)}"')  # fmt: skip


def _in_words(problem: Exception, lines: tuple[str, ...], start: int, end: int, file: str) -> _Told:
    """The parser's error as a cook would tell it: which line, what is the matter, what to type."""
    message = f"{getattr(problem, 'context', '')} {getattr(problem, 'problem', '')} {problem}".lower()
    if isinstance(problem, RecursionError) or "nesting depth" in message:
        return _Told("nested-too-deep", Place(file, start + 1), "brackets or lists stand too deep inside one another",
                     "write one ingredient a line: - name: amount")  # fmt: skip
    if "not allowed" in message and "character" in message and "control" in message or "special characters" in message:
        return _control_character(lines, start, end, file)
    numbers = _suspects(problem, start, end)
    for number in numbers:
        for look in (_tab, _quote, _sign, _colon):
            told = look(lines[number], Place(file, number + 1), message)
            if told:
                return told
    number = numbers[0]
    return _Told("layout-not-read", Place(file, number + 1), f'line {number + 1} does not fit: "{lines[number].strip()[:60]}"',
                 "begin it in the same column as the lines beside it, and write: key: value")  # fmt: skip


def _suspects(problem: Exception, start: int, end: int) -> list[int]:
    """Line numbers worth a look, the likeliest first."""
    marks = [getattr(problem, name, None) for name in ("problem_mark", "context_mark")]
    found = [mark.line for mark in marks if mark is not None and start <= mark.line < end]
    if found:
        near = [number for mark in found for number in (mark, mark - 1) if start <= number < end]
        return list(dict.fromkeys(near + list(range(start, end))))[: end - start]
    return list(range(start, end)) or [start]


def _control_character(lines: tuple[str, ...], start: int, end: int, file: str) -> _Told:
    for number in range(start, end):
        for column, char in enumerate(lines[number]):
            if (ord(char) < 32 and char != "\t") or 0x7F <= ord(char) < 0xA0 or ord(char) in (0xFFFE, 0xFFFF):
                return _Told("layout-not-read", Place(file, number + 1, column + 1),
                             f"line {number + 1} holds a sign that cannot be seen (character {ord(char)})",
                             "type the line again")  # fmt: skip
    return _Told("layout-not-read", Place(file, start + 1), "there is a sign that cannot be seen", "type the entry again")


def _tab(line: str, place: Place, message: str) -> _Told | None:
    indent = line[: len(line) - len(line.lstrip())]
    if "\t" not in indent and "\t" not in line.replace("\t- ", "\t", 1).partition("#")[0][: len(indent) + 3]:
        return None
    mended = line.replace("\t", "  ").rstrip()
    return _Told("tab-in-the-margin", place, f"line {place.line} is set in with a tab", f"use spaces: {mended.strip()}")


def _parts(line: str) -> list[str]:
    """What stands behind "- " and behind the first ": " of a line: where quotes and signs matter."""
    body = line.strip()
    while body.startswith("- "):
        body = body[2:].lstrip()
    key, colon, value = body.partition(": ")
    return [body] + ([value.strip()] if colon else [])


def _quote(line: str, place: Place, message: str) -> _Told | None:
    for part in _parts(line):
        sign = part[:1]
        if sign not in ("'", '"'):
            continue
        close = part.find(sign, 1)
        behind = part[close + 1 :].lstrip() if close > 0 else ""
        if close > 0 and (not behind or behind[0] in ":#,}]"):
            continue
        name, colon, value = part.partition(": ")
        tail = f": {value}" if colon else ""
        return _Told("quote-not-closed", place, f"{name[:60]} begins with a quotation mark that is not closed",
                     f'put the name in quotes: "{_unquoted(name)}"{tail}' if sign == "'" else f"put the name in quotes: '{name}'{tail}")  # fmt: skip
    return None


def _sign(line: str, place: Place, message: str) -> _Told | None:
    for part in _parts(line):
        if not part or part[0] not in SIGNS or part[0] in "'\"#":
            continue
        if part[0] in "|>" and re.fullmatch(r"[|>][-+]?[0-9]?(\s+#.*)?", part):
            continue
        if part[0] in "[{" and _closes(part):
            continue
        name, colon, value = part.partition(": ") if part[0] not in "[{" else (part, "", "")
        tail = f": {value}" if colon else ""
        return _Told("begins-with-a-sign", place, f"{part[:60]} begins with {part[0]}, which has a meaning of its own here",
                     f'put it in quotes: "{_unquoted(name)}"{tail}')  # fmt: skip
    return None


def _colon(line: str, place: Place, message: str) -> _Told | None:
    body = _parts(line)[0]
    key, first, value = body.partition(": ")
    if first and not value.startswith(("'", '"', "[", "{")) and (": " in value or value.endswith(":")):
        return _Told(
            "colon-in-text", place, f'"{value[:60]}" has a colon in it', f'put it in quotes: {key}: "{_unquoted(value)}"'
        )
    return None


def _closes(part: str) -> bool:
    body = part.partition(" #")[0].rstrip()
    return body.count("[") == body.count("]") and body.count("{") == body.count("}") and body[-1:] in "]}"


def _unquoted(text: str) -> str:
    return text.rstrip().rstrip('"').replace('"', "'")
