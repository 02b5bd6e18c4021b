"""The words of the label reader as frozen types; made by :mod:`labeller.reading.lexicon` from ``reference/allergens/``."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from msgspec import Struct


class Entry(NamedTuple):
    """What a phrase of the lexicon says.

    contains: kinds it holds. unsettled: kinds it may hold, which only the maker can tell. role: one of
    ``whole`` (the allergen's own word), ``name`` (a derivative that names its source), ``group`` (only the group is told),
    ``product`` (holds it by definition, but a denial beside it counts), ``dish`` (holds it by recipe; a list in brackets
    settles it), ``grain`` (of this cereal unless a bracket names another), ``keep`` (a dish whose doubts a list in brackets
    doesn't settle), ``oil``, ``source`` and ``oilsource`` (class words whose source stands beside them), ``plain`` (harmless),
    ``origin`` (harmless and names a source), or a word that steers the reading: ``may``, ``traces``, ``place``, ``may_after``,
    ``contains``, ``heading``, ``no``, ``non``, ``free``, ``deny``, ``but``, ``pointer``, ``pointer_end``, ``category``. exempt:
    (kind, key of an exemption). denies: kinds a claim denies. language: ISO code, "" = any; unsure: counts only in a text of
    that language (several divided by "/"). variant: what the phrase says in another one.
    """

    contains: tuple[str, ...] = ()
    unsettled: tuple[str, ...] = ()
    role: str = "plain"
    exempt: tuple[tuple[str, str], ...] = ()
    denies: tuple[str, ...] = ()
    language: str = ""
    unsure: bool = False
    variant: Entry | None = None


class Lexicon(Struct, frozen=True, eq=False):
    """phrases: words joined by single spaces, folded and singular -> entry. longest: first word -> most words of a phrase
    that starts with it; 0 for a harmless word. languages: word -> ISO code, for words that tell the language. groups:
    kind -> group. exemptions: key -> (law, section, condition) of each law that has it."""

    phrases: Mapping[str, Entry]
    longest: Mapping[str, int]
    languages: Mapping[str, str]
    groups: Mapping[str, str]
    exemptions: Mapping[str, tuple[tuple[str, str, str], ...]]
