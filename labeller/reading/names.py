"""Names as cooks write them: the food row a cook means, and the words the food table uses for a cook's words."""

from __future__ import annotations

import csv

from labeller.reading.library import reference
from labeller.terms.foods import KitchenName
from labeller.terms.words import normalise_all


def load_names() -> dict[str, KitchenName]:
    """Normalised name (:func:`labeller.terms.words.normalise`) -> :class:`KitchenName`. OSError if the file is gone."""
    with reference("foods", "kitchen_names.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.reader(stream))[1:]
    keys = normalise_all([row[0] for row in rows])
    return {key: KitchenName(name, code, single == "yes", region, why)
            for key, (name, code, single, region, why) in zip(keys, rows, strict=True)}  # fmt: skip


def load_synonyms() -> dict[str, str]:
    """Words of a cook, normalised ("courgette") -> words of USDA's descriptions ("squash summer zucchini"), for ranking."""
    with reference("foods", "synonyms.csv").open(encoding="utf-8", newline="") as stream:
        return dict(list(csv.reader(stream))[1:])
