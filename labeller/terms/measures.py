"""Household measures: units, densities and piece weights as rows of tables, and what an amount comes to in grams."""

from __future__ import annotations

from typing import Protocol

from msgspec import Struct

from labeller.terms.evidence import Step
from labeller.terms.spans import Span


class Unit(Struct, frozen=True):
    """size: grams of a weight unit, millilitres of a volume unit. exact: by definition of the unit, else a usual size."""

    unit: str
    system: str
    kind: str
    size: float
    exact: bool
    source: str


class Density(Struct, frozen=True):
    """item: name in the table. g_per_ml: as spooned or poured. use: False for a figure that is printed but can't be true.
    differs: True where two sources give figures over 10 % apart."""

    item: str
    g_per_ml: float
    source: str
    use: bool = True
    differs: bool = False
    caution: str = ""


class PieceWeight(Struct, frozen=True):
    """One piece of an item. word: which piece ("clove", "large", "" for one without a word). grams: low, middle, high.
    basis: ``edible`` or ``as bought``. system: "" everywhere, else the measures it belongs to. first: goes before the food
    row's own household measure (European egg sizes). asks: the range is so wide that the kitchen should say."""

    item: str
    word: str
    grams: Span
    basis: str
    system: str
    first: bool
    asks: bool
    source: str


class MeasureTables(Protocol):
    """What the room ``measures`` looks things up in; names are normalised by :func:`labeller.terms.words.normalise`."""

    @property
    def units(self) -> dict[tuple[str, str], Unit]: ...

    @property
    def densities(self) -> dict[str, tuple[Density, ...]]: ...

    @property
    def pieces(self) -> dict[str, tuple[PieceWeight, ...]]: ...


class Conversion(Struct, frozen=True):
    """grams: low, middle, high. basis: ``edible``, ``as bought`` or "" (as weighed by the kitchen). step: the figure used."""

    grams: Span
    basis: str
    step: Step
