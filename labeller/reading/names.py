"""Names as cooks write them: the food row a cook means, and the words the food table uses for a cook's words."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping

from labeller.reading.library import reference
from labeller.terms.foods import KitchenName


class KitchenNames(Mapping[str, KitchenName]):
    """Normalised name (:func:`labeller.terms.words.normalise`) -> :class:`KitchenName`; a line is parsed when asked for."""

    def __init__(self, text: str) -> None:
        lines = text.splitlines()[1:]
        self._lines = {line[: line.index(",")]: line for line in lines}  # the key is the first column and holds no comma
        self._parsed: dict[str, KitchenName] = {}

    def __getitem__(self, key: str) -> KitchenName:
        found = self._parsed.get(key)
        if found is None:
            _, name, code, single, region, why = next(csv.reader((self._lines[key],)))
            self._parsed[key] = found = KitchenName(name, code, single == "yes", region, why)
        return found

    def __iter__(self) -> Iterator[str]:
        return iter(self._lines)

    def __len__(self) -> int:
        return len(self._lines)

    def __contains__(self, key: object) -> bool:
        return key in self._lines


def load_names() -> KitchenNames:
    """``kitchen_names.csv``. OSError if the file is gone."""
    return KitchenNames(reference("foods", "kitchen_names.csv").read_text(encoding="utf-8"))


def load_synonyms() -> dict[str, str]:
    """Words of a cook, normalised ("courgette") -> words of USDA's descriptions ("squash summer zucchini"), for ranking."""
    with reference("foods", "synonyms.csv").open(encoding="utf-8", newline="") as stream:
        return dict(list(csv.reader(stream))[1:])
