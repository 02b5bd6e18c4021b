"""YAML files as nodes with positions. What a parser calls an error is told in the cook's words, with what to type.

A file that cannot be parsed as a whole is parsed entry by entry, so that one slip loses one entry and not the page; the
names of the entries that are lost are kept, because each dish that uses one has to be stopped.
"""

from __future__ import annotations

import re
from pathlib import Path

import yaml
from msgspec import Struct

from labeller.reading.library import Loader
from labeller.reading.yaml_errors import Told, alias_in_words, in_words
from labeller.terms.findings import Finding, Place, finding

MOST_BYTES = 2_000_000  # a page of recipes has some 10 kB; more is a spreadsheet or a mistake
OTHER_BREAKS = ("\x85", "\u2028", "\u2029")  # YAML counts them as lines, editors don't: our line numbers are the editor's
ENTRY_KINDS = ("recipe", "dish", "pack", "product", "menu", "batch", "kitchen")


_TAGS = {yaml.ScalarNode: Loader.DEFAULT_SCALAR_TAG, yaml.SequenceNode: Loader.DEFAULT_SEQUENCE_TAG,
         yaml.MappingNode: Loader.DEFAULT_MAPPING_TAG}  # fmt: skip
_MAY_BE_ALIAS = re.compile(r"[&*](?=\S)|!")  # "Larder & Quay" needs no second look


class _Nodes(Loader):  # type: ignore[misc, valid-type]
    """Every scalar is text: ``no`` stays no, 01077 keeps its zero."""

    def resolve(self, kind: type, value: str | None, implicit: object) -> str:
        return _TAGS[kind]


class Broken(Struct, frozen=True):
    """An entry whose name is known although it could not be read. kind: one of ENTRY_KINDS."""

    kind: str
    name: str
    place: Place


class Page(Struct, frozen=True):
    """One file. file: path relative to the kitchen. data: its bytes. lines: its text. roots: top nodes (one, unless read in
    pieces). broken: entries lost."""

    file: str
    data: bytes
    lines: tuple[str, ...]
    roots: tuple[yaml.Node, ...]
    broken: tuple[Broken, ...] = ()


def subject_of(file: str) -> str:
    """Whose trouble a file is of which nothing is known: a lost menu touches no dish's figures; anything else may touch any dish,
    so its finding has no subject and stops them all."""
    return file if file.startswith("menus/") else ""


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
                      "split it into several files, a few recipes in each", subject_of(file))  # fmt: skip
            return Page(file, file.encode(), (), ())
        data = path.read_bytes()
    except OSError as problem:
        notes.add("file-not-readable", top, f"{file} could not be opened: {problem.strerror}",
                  "look at the file's permissions and its name", subject_of(file))  # fmt: skip
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
    if not text.strip():
        notes.add("file-empty", Place(file), f"{file} is empty", "write an entry, or delete the file", file)
        return Page(file, data, lines, ())
    if _MAY_BE_ALIAS.search(text) and _has_alias(text):
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
        # Names in plain letters can be trusted, so that only they are stopped; others are a guess, and stop everything.
        names = [one.name for one in _fished(data.decode("latin-1").splitlines(), file)]
        subject = file if names and all(name.isascii() for name in names) else subject_of(file)
        notes.add("file-not-utf8", Place(file, line), f"{file} is not UTF-8 text (byte {problem.start + 1}, line {line})",
                  'save it again with the encoding "UTF-8"', subject)  # fmt: skip
        return None
    if "\x00" in text:
        notes.add("file-not-utf8", Place(file), f"{file} holds zero bytes: it is not a text file",
                  'save it again as plain text with the encoding "UTF-8"', subject_of(file))  # fmt: skip
        return None
    if "\r" in text:
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    for mark in OTHER_BREAKS:
        if mark in text:
            text = text.replace(mark, " ")
    return text


def _compose(text: str) -> yaml.Node | None:
    loader = _Nodes(text.encode())
    try:
        return loader.get_single_node()
    finally:
        loader.dispose()


def _has_alias(text: str) -> bool:
    """Anchors, aliases and tags are found on the events, before anything is copied."""
    try:
        return _first_alias(text, "") is not None
    except (yaml.YAMLError, RecursionError, ValueError):
        return False  # told by the pass that builds the nodes


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
            if any(sign in text for sign in "&*!") and (place := _first_alias(text, file)):
                _tell(alias_in_words(place, lines), notes, names, file)
                lost += names
                continue
            node = _compose(text)
        except (yaml.YAMLError, RecursionError, ValueError) as problem:
            _tell(in_words(problem, lines, start, end, file), notes, names, file)
            lost += names
            continue
        if isinstance(node, yaml.MappingNode):
            mapping += node.value
        elif node is not None:
            roots.append(node)
    if mapping:
        first, last = mapping[0][0], mapping[-1][1]
        roots.append(yaml.MappingNode("tag:yaml.org,2002:map", mapping, first.start_mark, last.end_mark, False))
        if lost and lost[0].kind != "kitchen":
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
        hit = re.match(rf"(?:- )?\s*({'|'.join(ENTRY_KINDS)})\s*:\s*(\S.*)", line)
        if hit and (line.startswith("-") or not line[0].isspace()):
            name = " ".join(hit[2].partition(" #")[0].strip("'\" ").split())
            found.append(Broken(hit[1], name, Place(file, offset + number + 1, line.index(hit[2]) + 1)))
    return tuple(found)


def _tell(told: Told, notes: Notes, names: tuple[Broken, ...], file: str) -> None:
    subject = subject_of(file) if not names or names[0].kind in ("batch", "kitchen") else names[0].name
    notes.add(told.code, told.place, told.text, told.mend, subject)
    _name_lost(names[1:], notes)


def _name_lost(names: tuple[Broken, ...], notes: Notes) -> None:
    for one in names:
        notes.add("entry-lost", one.place, f'{one.kind} "{one.name}" could not be read', "mend the file first", one.name)


def _first_alias(text: str, file: str) -> Place | None:
    for event in yaml.parse(text.encode(), Loader=_Nodes):
        if getattr(event, "anchor", None) or (getattr(event, "tag", None) or "").startswith("!"):
            return Place(file, event.start_mark.line + 1, event.start_mark.column + 1)
    return None
