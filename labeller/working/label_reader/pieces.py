"""Cuts a printed text into pieces: ingredients, with their brackets, and sentences. No word is understood here.

A piece is the text between two marks (comma, bracket, colon, full stop …). A comma or full stop between two figures is no
mark ("1,5 %"). A bullet, a dash between spaces and a slash are marks; a line break is one only where the text has no
commas, so that it must be a list of one ingredient a line.
"""

from __future__ import annotations

import re
from typing import NamedTuple
from unicodedata import normalize

# Each branch starts with the characters it can start with, which keeps the search fast.
_MARKS = re.compile(
    r"([()\[\]{}:;!?•·|→+]|,(?:(?!\d)|(?<!\d,))"  # brackets and lists
    r"|\.(?:(?!\w)(?<!\bNo\.)(?<!\bincl\.)|(?<=[^\W\d_][^\W\d_]\.)(?=[^\W\d_]{2}))"  # full stops
    r"| [-–—]+\s|\n[ \t]*\n|/(?!\d))"
)
_AND_OR = re.compile(r"\b(and|et|und|e|y|en)/(or|ou|oder|o|of)\b", re.IGNORECASE)
_WRAPPED = re.compile(r"(?<=[^\W\d_])-\n[ \t]*(?=[^\W\d_])")


class Piece(NamedTuple):
    """text: as printed. parent: index of the piece whose bracket this one stands in, -1 outside every bracket. sentence: one
    number for all pieces of a sentence at one depth. before, after: the marks on either side ("" at the ends). left_open: it
    stands in a bracket that is never closed, so that nobody can tell where a warning in it ends."""

    text: str
    parent: int
    sentence: int
    before: str
    after: str
    left_open: bool = False


def cut(text: str) -> list[Piece]:
    """The pieces of a text, in its order."""
    parts = _MARKS.split(_levelled(text))
    pieces: list[Piece] = []
    open_brackets: list[tuple[int, int, int]] = []  # parent, last piece and sentence outside
    opened: list[int] = []  # first piece inside each open bracket
    parent, last, sentence, sentences, before = -1, -1, 0, 0, ""
    for place in range(0, len(parts), 2):
        part = parts[place].strip()
        mark = parts[place + 1] if place + 1 < len(parts) else ""
        if part:
            last = len(pieces)
            pieces.append(Piece(part, parent, sentence, before, mark))
        before = mark
        if mark in _NO_TURN:
            continue
        if mark in "([{":
            open_brackets.append((parent, last, sentence))
            opened.append(len(pieces))
            parent, last = last, -1
            sentences += 1
            sentence = sentences
        elif mark in ")]}":
            if open_brackets:
                parent, last, sentence = open_brackets.pop()
                opened.pop()
        elif mark in ".!?" or mark[0] == "\n":
            sentences += 1
            sentence = sentences
    if opened:
        pieces[opened[0] :] = [piece._replace(left_open=True) for piece in pieces[opened[0] :]]
    return pieces


_NO_TURN = frozenset((",", "", ":", ";", "/"))


def _levelled(text: str) -> str:
    """Composed letters, wrapped lines joined, "and/or" as words; a list without commas gets them from its lines."""
    if not text.isascii():
        text = normalize("NFC", text)
    if "/" in text:
        text = _AND_OR.sub(r"\1 \2", text)
    if "_x000" in text:  # a carriage return as some spreadsheets write it
        text = text.replace("_x000D_", "\n").replace("_x000d_", "\n")
    if "\n" not in text and "\r" not in text:
        return text
    text = text.replace("\r\n", "\n").replace("\r", "\n").strip()
    if "\n" in text and "," not in text and ";" not in text:
        return "\n\n".join(line for line in text.split("\n") if line.strip()) if ":" in text else text.replace("\n", ", ")
    return _WRAPPED.sub("-", text)
