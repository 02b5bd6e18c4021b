"""A row of a food-composition table, its household measures, and names."""

from __future__ import annotations

from msgspec import Struct


class Measure(Struct, frozen=True):
    """A household measure of a food: ``amount`` of ``words`` weighs ``grams`` ("1", "tbsp", 14.2).

    basis: ``edible`` or ``as bought`` (with bone, peel or shell in the weight)."""

    amount: float
    words: str
    grams: float
    basis: str = "edible"


class Food(Struct, frozen=True):
    """One row. code: "01077" (NDB number, five digits, text) or "fdc:173410". values: per 100 g edible, in the order of
    :data:`labeller.terms.nutrients.BASE`, None = not known. state: ``raw``, ``cooked`` or "" where it makes no difference.
    release: "SR28" and the like. refuse_percent: inedible share of the weight as bought, None = not known. group: food group.
    sources: base key -> source key for values that do not come from the release itself.
    """

    code: str
    description: str
    release: str
    values: tuple[float | None, ...]
    group: str = ""
    fdc_id: str = ""
    refuse_percent: float | None = None
    measures: tuple[Measure, ...] = ()
    state: str = ""
    sources: tuple[tuple[str, str], ...] = ()
    ndb: str = ""  # NDB number of an imported food, which links it to its like in other releases


class KitchenName(Struct, frozen=True):
    """A name as cooks write it and the row a cook means. single: one plain ingredient that needs no paper (a carrot, salt,
    water, a fresh fish fillet). region: ``uk``, ``us`` or ``both``. why: the choice where two rows are equally right."""

    name: str
    code: str
    single: bool
    region: str = "both"
    why: str = ""


class Candidate(Struct, frozen=True):
    """A food row offered for a name that is not settled. score: 0-1, higher is nearer."""

    code: str
    description: str
    score: float
