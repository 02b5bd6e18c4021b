"""Mass on its way through a recipe: what goes in, what stays, what leaves by which account."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import NamedTuple

from msgspec import Struct, field

from labeller.terms.evidence import Step
from labeller.terms.findings import Finding
from labeller.terms.kitchen import Line
from labeller.terms.spans import Span


class Ref(NamedTuple):
    """What a line names. kind: ``food`` (a composition row), ``product``, ``recipe`` or ``unknown``; key: code or name."""

    kind: str
    key: str


class Input(Struct, frozen=True, gc=False):
    """A line that is ready for weighing.

    grams: per batch, edible, before trim (None: the amount is not known). per_piece: the line counts pieces of a sub-recipe;
    ``grams`` then holds the count. treatments: retention codes that the line goes through, in order. cooked: cooked over raw
    weight from the line or a table, None = none. alcohol: grams of alcohol in one gram of the line. step: how the amount
    became grams. grams_id, trim_id …: ids of the ranges in play are made from ``key``.
    """

    key: str
    line: Line
    ref: Ref
    grams: Span | None
    per_piece: bool = False
    treatments: tuple[str, ...] = ()
    cooked: Span | None = None
    cooked_source: str = ""
    alcohol: float = 0.0
    refuse: float = 0.0
    step: Step = Step("")
    cooked_fat: float = 0.0  # share of the raw weight that runs off as fat (<= 0) by the yield's table; within ``cooked``
    plain: bool = False  # True: grams of what it names and nothing else (no trim, all kept, no refuse, alcohol, pieces or yield)


class Part(Struct, frozen=True):
    """What stays in the batch of one line: grams as used (edible, before cooking), through the treatments named."""

    ref: Ref
    grams: float
    treatments: tuple[str, ...]
    name: str
    line: int
    gave: float = 0.0  # grams that gave their extractives to a liquid that stays, where all of the line was strained out


class Worked(Struct, frozen=True):
    """A batch at one setting of the ranges, in grams.

    weight_in: all lines after trim. weight: the batch when ready. parts: what stays of each line. water: water gained (+) or
    driven off (-) after the lines went in, volatile alcohol included. fat: fat that ran off (<= 0). alcohol_stays: share.
    alcohol_in_water: True when a weighed batch's difference includes the alcohol that went off. pieces: number the batch
    makes, None when not counted. accounts: where the grams went that are not in the batch (``trimmed``, ``poured off``,
    ``left behind``, ``driven off``, ``fat run off``) and came from (``taken up``, ``water taken in``).
    """

    name: str
    weight_in: float
    weight: float
    parts: tuple[Part, ...]
    water: float = 0.0
    fat: float = 0.0
    alcohol_stays: float = 1.0
    pieces: float | None = None
    serves: float | None = None
    accounts: dict[str, float] = field(default_factory=dict)
    steps: tuple[Step, ...] = ()
    findings: tuple[Finding, ...] = ()


class Content(Struct, frozen=True):
    """Nutrients per gram of something, in the order of BASE. values: amount per gram of the part that is known for.
    known: share (0-1) of its weight for which each value is known; where it is 0 the value means nothing."""

    values: tuple[float, ...]
    known: tuple[float, ...]


Factors = Mapping[str, float]
Retention = Callable[[str], tuple[Factors, frozenset[str]]]  # code -> (key -> factor, keys that the code's table leaves blank)
