"""Lot codes as people write them: "HB0931", "hb-0931" and "lot HB 0931" are one code; "HB O931" reads like it.

Common practice, no source: packs print a code with spaces, a notice without, and a cook copies it with "lot" before it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from labeller.terms.words import fold

SAME, ALIKE = "same", "alike"
_LEAD = re.compile(r"\A\s*(?:(?:lot|batch|charge|lote|lotto|los|chargen)(?:\s*(?:no|nr|number|code)\b)?[\s.:#]+)+", re.IGNORECASE)
_BETWEEN = re.compile(r"[,;+&/|]|\band\b|\bor\b", re.IGNORECASE)
_MISREAD = str.maketrans("oqilzsbg", "00112586")  # letters that are read as figures; common practice, no source
_SHORTEST = 4  # a code of fewer letters and figures is told from another by each of them


def code_of(text: str) -> str:
    """The letters and figures of a lot code, small, without "lot" before them."""
    return "".join(letter for letter in fold(bare(text)) if letter.isalnum())


def bare(text: str) -> str:
    """A lot code as typed, without "lot" before it."""
    return _LEAD.sub("", text, count=1).strip()


def codes_in(text: str) -> frozenset[str]:
    """The codes of what was written behind a product ("BS 2207, BS 2209"), and the whole of it."""
    return frozenset(code for part in (text, *_BETWEEN.split(text)) if (code := code_of(part)))


def compared(asked: str, written: Iterable[str]) -> str:
    """SAME where one of the texts has the code asked for, ALIKE where one reads like it, "" where none does. asked: a code as of
    :func:`code_of`."""
    codes = frozenset().union(*(codes_in(text) for text in written))
    if asked in codes:
        return SAME
    return ALIKE if any(_alike(asked, each) for each in codes) else ""


def misread(asked: str, written: Iterable[str]) -> bool:
    """Whether a code differs by nothing but letters read as figures: O and 0, I and 1."""
    plain = asked.translate(_MISREAD)
    return any(each.translate(_MISREAD) == plain for text in written for each in codes_in(text))


def _alike(one: str, other: str) -> bool:
    """Misread, cut short, or one letter or figure too many, too few, another, or two of them exchanged."""
    one, other = one.translate(_MISREAD), other.translate(_MISREAD)
    if one == other:
        return True
    if min(len(one), len(other)) < _SHORTEST:
        return False
    return one in other or other in one or _one_slip(one, other)


def _one_slip(one: str, other: str) -> bool:
    short, long = sorted((one, other), key=len)
    if len(long) - len(short) > 1:
        return False
    at = next((nr for nr, letter in enumerate(short) if letter != long[nr]), len(short))
    if len(long) > len(short):
        return short[at:] == long[at + 1 :]
    exchanged = short[at : at + 2] == long[at : at + 2][::-1] and short[at + 2 :] == long[at + 2 :]
    return short[at + 1 :] == long[at + 1 :] or exchanged
