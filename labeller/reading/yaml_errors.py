"""What a YAML parser calls an error, told as a cook would tell it: which line, what is the matter, what to type."""

from __future__ import annotations

import re

from msgspec import Struct

from labeller.reading.keys import KNOWN
from labeller.terms.findings import Place

SIGNS = "*&!%@`>|{}[],?"  # begin something else than a word in YAML
ONE_A_LINE = "write one ingredient a line: - name: amount"


class Told(Struct, frozen=True):
    """A finding in the making: code of the catalogue, place, text, mend."""

    code: str
    place: Place
    text: str
    mend: str


def in_words(problem: Exception, lines: tuple[str, ...], start: int, end: int, file: str) -> Told:
    """The parser's error about lines[start:end]. Never raises."""
    message = f"{getattr(problem, 'context', '')} {getattr(problem, 'problem', '')} {problem}".lower()
    if isinstance(problem, RecursionError) or "nesting depth" in message:
        return Told("nested-too-deep", Place(file, start + 1), "brackets or lists stand too deep inside one another", ONE_A_LINE)
    if "control characters" in message or "special characters" in message:
        return _control_character(lines, start, end, file)
    marked = _marked(problem, start, end)
    for number in marked:
        for look in (_tab, _quote, _bracket, _sign, _colon):
            told = look(lines[number], Place(file, number + 1))
            if told:
                return told
    for number in range(start, end):
        told = _tab(lines[number], Place(file, number + 1)) or _quote(lines[number], Place(file, number + 1))
        if told:
            return told
    no_colon = _no_colon(lines, marked, file) if "expected ':'" in message else None
    number = marked[0]
    return no_colon or Told(
        "layout-not-read", Place(file, number + 1),
        f'line {number + 1} does not fit the lines beside it: "{lines[number].strip()[:60]}"',
        "begin it in the same column as its like, and write: key: value")  # fmt: skip


def alias_in_words(place: Place, lines: tuple[str, ...]) -> Told:
    """``&name`` and ``*name`` would copy one entry into another out of sight: they are refused before anything is copied."""
    typed = lines[place.line - 1][place.column - 1 :].strip()
    name, colon, value = typed.partition(": ")
    tail = f": {value}" if colon else ""
    return Told("begins-with-a-sign", place, f"{typed[:60]} begins with {typed[:1]}, which has a meaning of its own here",
                f'put it in quotes: "{_unquoted(name)}"{tail}')  # fmt: skip


def _marked(problem: Exception, start: int, end: int) -> list[int]:
    """Numbers of the lines that the parser points at, and of those before them, the likeliest first."""
    marks = [getattr(problem, name, None) for name in ("problem_mark", "context_mark")]
    found = [mark.line for mark in marks if mark is not None and start <= mark.line < end]
    near = [number for line in found for number in (line, line - 1) if start <= number < end]
    return list(dict.fromkeys(near)) or [start]


def _control_character(lines: tuple[str, ...], start: int, end: int, file: str) -> Told:
    for number in range(start, end):
        for column, char in enumerate(lines[number]):
            if (ord(char) < 32 and char != "\t") or 0x7F <= ord(char) < 0xA0 or ord(char) in (0xFFFE, 0xFFFF):
                return Told("layout-not-read", Place(file, number + 1, column + 1),
                            f"line {number + 1} holds a sign that cannot be seen (character {ord(char)})",
                            "type the line again")  # fmt: skip
    return Told("layout-not-read", Place(file, start + 1), "there is a sign that cannot be seen", "type the entry again")


def _body(line: str) -> str:
    """What stands behind the dashes of a line, without its remark."""
    body = line.strip()
    while body.startswith("- "):
        body = body[2:].lstrip()
    return body.partition(" #")[0].rstrip()


def _parts(line: str) -> list[str]:
    """Where quotes and signs matter: what stands behind the dash, and behind the first colon."""
    body = _body(line)
    _, colon, value = body.partition(": ")
    return [body] + ([value.strip()] if colon else [])


def _tab(line: str, place: Place) -> Told | None:
    """A tab in the margin, or behind the dash."""
    margin = re.match(r"[\s-]*", line)
    if margin is None or "\t" not in margin[0]:
        return None
    mended = " ".join(line.split())
    return Told("tab-in-the-margin", place, f"line {place.line} is set in with a tab", f"use spaces before: {mended}")


def _quote(line: str, place: Place) -> Told | None:
    for part in _parts(line):
        sign = part[:1]
        if sign not in ("'", '"'):
            continue
        close = part.find(sign, 1)
        behind = part[close + 1 :].lstrip() if close > 0 else ""
        if close > 0 and (not behind or behind[0] in ":,}]"):
            continue
        name, colon, value = part.partition(": ")
        tail = f": {value}" if colon else ""
        quoted = f'"{_unquoted(name)}"' if sign == "'" else f"'{name}'"
        return Told("quote-not-closed", place, f"{name[:60]} begins with a quotation mark that is not closed",
                    f"put the name in quotes: {quoted}{tail}")  # fmt: skip
    return None


def _bracket(line: str, place: Place) -> Told | None:
    """A value that opens a bracket and does not close it on its line."""
    value = _parts(line)[-1]
    if value[:1] not in ("{", "[") or len(_parts(line)) == 1 or _closes(value):
        return None
    close = "}" if value[0] == "{" else "]"
    return Told("bracket-not-closed", place, f"{value[:60]} has no {close} at its end", f"write {value}{close}")


def _sign(line: str, place: Place) -> Told | None:
    for part in _parts(line):
        if not part or part[0] not in SIGNS:
            continue
        if part[0] in "|>" and re.fullmatch(r"[|>][-+]?[0-9]?", part) or part[0] in "[{" and _closes(part):
            continue
        name, colon, value = part.partition(": ")
        tail = f": {value}" if colon else ""
        return Told("begins-with-a-sign", place, f"{part[:60]} begins with {part[0]}, which has a meaning of its own here",
                    f'put it in quotes: "{_unquoted(name)}"{tail}')  # fmt: skip
    return None


def _colon(line: str, place: Place) -> Told | None:
    key, first, value = _body(line).partition(": ")
    if first and not value.startswith(("'", '"', "[", "{")) and (": " in value or value.endswith(":")):
        return Told("colon-in-text", place, f'"{value[:60]}" has a colon in it', f'put it in quotes: {key}: "{_unquoted(value)}"')
    return None


def _no_colon(lines: tuple[str, ...], marked: list[int], file: str) -> Told | None:
    """ "makes 300 g": the key is there, its colon is not."""
    known = sorted({key for keys in KNOWN.values() for key in keys}, key=len, reverse=True)
    for number in marked:
        body = _body(lines[number])
        key = next((word for word in known if body.lower().startswith(word + " ")), "")
        if ":" not in body and body:
            mend = f"write {key}: {body[len(key):].strip()}" if key else "write key: value, or - name: amount"
            return Told("layout-not-read", Place(file, number + 1), f'line {number + 1} has no colon: "{body[:60]}"', mend)
    return None


def _closes(part: str) -> bool:
    return part.count("[") == part.count("]") and part.count("{") == part.count("}") and part[-1:] in "]}"


def _unquoted(text: str) -> str:
    return text.rstrip().rstrip('"').replace('"', "'")
