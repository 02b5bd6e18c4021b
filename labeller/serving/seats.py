"""Seats of a table as they are called over: "3: celery, sesame", "seat B: milk", or a list without a number, which counts on."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from msgspec import Struct

from labeller.serving.guest_speech import Avoided, Unclear, Vocabulary, ingredient_words
from labeller.serving.pipeline import Opened
from labeller.terms.findings import Finding, Place, finding

_NAMED = re.compile(r"\s*([^:,;]{1,24}?)\s*:(.*)", re.DOTALL)
_SEAT = re.compile(r"(?:seat|place|cover|guest|chair|position)\b[\s#]*(?:(?:no|nr|number)\b[.\s]*)?|[#\s]+", re.IGNORECASE)
_PLAIN = re.compile(r"\d{1,3}[A-Za-z]?|[A-Za-z]\d{0,3}")  # what nobody takes for a food


class Seat(Struct, frozen=True):
    """name: as the floor calls it ("3", "B"). text: what it avoids, as typed. given: the name was written, not counted."""

    name: str
    text: str
    avoided: tuple[Avoided, ...]
    given: bool = False


class _Typed(NamedTuple):
    name: str
    text: str
    said: bool  # a word such as "seat" stood before the name


def vocabulary(kitchen: Opened) -> Vocabulary:
    tables = kitchen.workshop.tables
    return Vocabulary(tables.kinds, tables.guest_words, tables.guest_ingredients, tables.names)


def seat(kitchen: Opened, text: str) -> tuple[tuple[Avoided, ...], list[Finding]]:
    """What one seat avoids; every word that can't be taken is a finding, and then nothing is answered."""
    words = vocabulary(kitchen).read(text, ingredient_words(kitchen.workshop))
    findings = [_unclear(each) for each in words if isinstance(each, Unclear)]
    if not words:
        findings.append(finding("word-not-known", Place("--avoid"), "a seat avoids nothing: no word was written",
                                'write --avoid "celery, sesame", or leave the seat out'))  # fmt: skip
    return tuple(each for each in words if isinstance(each, Avoided)), findings


def _unclear(each: Unclear) -> Finding:
    choices = ", ".join(each.choices)
    if each.choices and each.asks:
        mend = f'ask the guest, then write the one that is meant, or several: --avoid "{choices}"'
        return finding("word-to-ask", Place("--avoid"), f"\"{each.word}\": {each.why}", each.mend or mend)
    mend = f"use one of: {choices}" if choices else "ask the guest which allergen or food it is, and ask the kitchen"
    return finding("word-not-known", Place("--avoid"), f"\"{each.word}\": {each.why}", each.mend or mend)


def seats(kitchen: Opened, texts: Sequence[str]) -> tuple[tuple[Seat, ...], list[Finding]]:
    """The seats of a table in the order they were called, and what can't be taken. A seat that is named twice avoids all that was
    said of it; one without a name takes the next number that nobody named."""
    typed = [_split(text) for text in texts]
    taken = {each.name.casefold() for each in typed if each.name}
    found: dict[str, Seat] = {}
    problems: list[Finding] = []
    last = 0
    for each in typed:
        wrong = _is_a_word(kitchen, each)
        if wrong:
            problems.append(wrong)
            continue
        name, last = _name(each.name, last, taken)
        avoided, more = seat(kitchen, each.text)
        problems += more
        before = found.get(name.casefold(), Seat(name, "", ()))
        text = ", ".join(part for part in (before.text, each.text) if part)
        found[name.casefold()] = Seat(before.name, text, tuple(dict.fromkeys((*before.avoided, *avoided))), bool(each.name))
    return tuple(found.values()), problems


def _split(text: str) -> _Typed:
    hit = _NAMED.fullmatch(text)
    if hit is None:
        return _Typed("", text.strip(), False)
    lead = _SEAT.match(hit[1])
    name = hit[1][lead.end() :].strip() if lead else hit[1]
    return _Typed(name or hit[1], hit[2].strip(), bool(lead and name))


def _name(name: str, last: int, taken: set[str]) -> tuple[str, int]:
    """The seat's name, and the last number."""
    if name:
        return name, int(name) if name.isdecimal() else last
    last += 1
    while str(last) in taken:
        last += 1
    return str(last), last


def _is_a_word(kitchen: Opened, each: _Typed) -> Finding | None:
    """A finding where what stands before a colon is something that guests avoid: then it would be lost."""
    if not each.name or each.said or _PLAIN.fullmatch(each.name):
        return None
    read = vocabulary(kitchen).read(each.name, ingredient_words(kitchen.workshop))
    if all(isinstance(one, Unclear) and not one.asks and not one.mend for one in read):
        return None
    return finding("word-not-known", Place("--avoid"), f"\"{each.name}\" before the colon: a seat, or something that is avoided?",
                   f"for a seat write \"seat {each.name}: …\"; between things avoided write commas")  # fmt: skip
