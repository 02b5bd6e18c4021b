"""The catalogue of finding codes, one module for each room that raises them.

Each module holds ``ENTRIES``: a tuple of :class:`Entry`. A code stands in one module only.
"""

from __future__ import annotations

from labeller.terms.catalogue import (
    allergens,
    batches,
    declaring,
    exchange,
    foods,
    kitchen,
    matching,
    measures,
    nutrients,
    printing,
    register,
    serving,
    web,
)
from labeller.terms.catalogue.entry import Entry

CATALOGUE: dict[str, Entry] = {
    entry.code: entry
    for room in (kitchen, foods, matching, measures, batches, nutrients, allergens, declaring, printing, serving, web, exchange,
                 register)
    for entry in room.ENTRIES
}  # fmt: skip
