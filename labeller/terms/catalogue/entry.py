"""One entry of the catalogue of findings."""

from __future__ import annotations

from msgspec import Struct


class Entry(Struct, frozen=True):
    """code: lower-case words joined by hyphens. severity: stop, doubt or note. blocks: all, nutrition or none.

    title: what it is, in one line. why: what could go wrong at the table or on the pack. remedy: what mends it.
    """

    code: str
    severity: str
    blocks: str
    title: str
    why: str
    remedy: str
