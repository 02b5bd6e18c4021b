"""Names as cooks write them and the food row a cook means: ``reference/foods/kitchen_names.csv``."""

from __future__ import annotations

import csv

from labeller.reading.library import reference
from labeller.terms.foods import KitchenName
from labeller.terms.words import normalise


def load_names() -> dict[str, KitchenName]:
    """Normalised name (:func:`labeller.terms.words.normalise`) -> :class:`KitchenName`. Raises OSError if the file is gone."""
    with reference("foods", "kitchen_names.csv").open(encoding="utf-8", newline="") as stream:
        rows = csv.reader(stream)
        next(rows)
        return {normalise(name): KitchenName(name, code, single == "yes", region, why)
                for name, code, single, region, why in rows}  # fmt: skip
