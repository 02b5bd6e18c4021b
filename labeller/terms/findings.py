"""Findings: what is wrong, doubtful or worth knowing, with its place and its remedy.

A finding is data, never an exception. Codes are stable and catalogued in
:mod:`labeller.terms.catalogue`; a room may only raise codes that stand there.
"""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace

STOP, DOUBT, NOTE = "stop", "doubt", "note"
SEVERITIES = (STOP, DOUBT, NOTE)


class Place(Struct, frozen=True, order=True):
    """Where something was written: path relative to the kitchen folder, line and column from 1 (0: whole file)."""

    file: str
    line: int = 0
    column: int = 0

    def __str__(self) -> str:
        return f"{self.file}:{self.line}" if self.line else self.file


NOWHERE = Place("")


class Finding(Struct, frozen=True):
    """One finding.

    code: key of the catalogue. severity: ``stop`` (makes a declaration untrue: the dish and each dish that uses it get
    no answer), ``doubt`` (a person must look) or ``note``. text: what is the case, with the words as typed.
    mend: what to type or do. dishes: names of the dishes it touches (filled in by the pipeline).
    blocks: which part cannot be declared: ``all``, ``nutrition`` (allergens go on) or ``none``.
    subject: name of the recipe, product, menu or other entry it belongs to; empty: the whole kitchen.
    """

    code: str
    place: Place
    severity: str
    text: str
    mend: str
    subject: str = ""
    blocks: str = "none"
    dishes: tuple[str, ...] = ()

    def touching(self, dishes: tuple[str, ...]) -> Finding:
        return replace(self, dishes=dishes)

    def as_json(self) -> dict:
        """Keys as published: code, place, severity, text, mend, dishes, blocks."""
        return {
            "code": self.code,
            "place": str(self.place),
            "severity": self.severity,
            "text": self.text,
            "mend": self.mend,
            "dishes": list(self.dishes),
            "blocks": self.blocks,
        }


def finding(code: str, place: Place, text: str, mend: str, subject: str = "") -> Finding:
    """A finding whose severity and block are those of its catalogue entry. An unknown code is a fault of ours: KeyError."""
    from labeller.terms.catalogue import CATALOGUE

    entry = CATALOGUE[code]
    return Finding(code, place, entry.severity, text, mend, subject, entry.blocks)
