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
_TAGS = re.compile(r"</?(b|strong|em|i|u|span|p|br|li|ul|ol|div|font|mark)\b[^<>]*>", re.IGNORECASE)
_INVISIBLE = {0xAD: None, 0x200B: None, 0x200C: None, 0x200D: None, 0xFEFF: None, 0xA0: " ", 0x202F: " ", 0x2009: " "}
_WRAPPED = re.compile(r"(?<=[^\W\d_])-\n[ \t]*(?=[^\W\d_])")


class Pieces(NamedTuple):
    """The pieces of a text in its order, one column a property. text: as printed. parent: number of the piece whose bracket
    this one stands in, -1 outside every bracket. sentence: one number for all pieces of a sentence at one depth. before, after:
    the marks on either side ("" at the ends). open_from: from this piece on a bracket is never closed, so that nobody can tell
    where a warning in it ends."""

    text: list[str]
    parent: list[int]
    sentence: list[int]
    before: list[str]
    after: list[str]
    open_from: int


def cut(text: str) -> Pieces:
    """The pieces of a text. Any text can be cut."""
    parts = _MARKS.split(_levelled(text))
    parts.append("")
    found = Pieces([], [], [], [], [], 0)
    texts, parents, sentences_of, befores, afters, _ = found
    outside: list[tuple[int, int, int, int]] = []  # of each open bracket: parent, last piece, sentence, first piece in it
    parent, last, sentence, sentences, before = -1, -1, 0, 0, ""
    for place in range(0, len(parts), 2):
        part = parts[place].strip()
        mark = parts[place + 1]
        if part:
            last = len(texts)
            texts.append(part)
            parents.append(parent)
            sentences_of.append(sentence)
            befores.append(before)
            afters.append(mark)
        before = mark
        if mark in _NO_TURN:
            continue
        if mark in "([{":
            outside.append((parent, last, sentence, len(texts)))
            parent, last = last, -1
            sentences += 1
            sentence = sentences
        elif mark in ")]}":
            if outside:
                parent, last, sentence, _ = outside.pop()
        elif mark in ".!?" or mark[0] == "\n":
            sentences += 1
            sentence = sentences
    return found._replace(open_from=outside[0][3] if outside else len(texts))


_NO_TURN = frozenset((",", "", ":", ";", "/"))


def _without_markup(text: str) -> str:
    """Text copied from a web page: bold and the like go, a line's end and an item of a list divide."""
    from html import unescape  # seldom needed, and its table of names is long

    text = _TAGS.sub(lambda tag: ", " if tag[1].lower() in ("br", "li", "p", "div") else " ", text)
    return unescape(text)


def _levelled(text: str) -> str:
    """Composed letters, wrapped lines joined, "and/or" as words; a list without commas gets them from its lines."""
    if not text.isascii():
        text = normalize("NFC", text).translate(_INVISIBLE)
    if "<" in text or ("&" in text and ";" in text):
        text = _without_markup(text)
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
