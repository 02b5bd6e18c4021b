"""All food data a kitchen has: the shipped SR28, then the store of what it has imported (``foods.sqlite`` beside it)."""

from __future__ import annotations

from pathlib import Path

from labeller.reading.fdc_store import FoodStore, open_store
from labeller.reading.foods import FoodTable, load_foods
from labeller.terms.foods import Food

STORE = "foods.sqlite"


class FoodShelf:
    """One table of several: a code is looked up in the shipped table first, so that an import never changes a figure of a
    recipe that was matched before. Fits wherever :class:`labeller.reading.foods.FoodTable` does."""

    def __init__(self, shipped: FoodTable, store: FoodStore) -> None:
        self._shipped, self._store = shipped, store

    @property
    def release(self) -> str:
        return f"{self._shipped.release}, {self._store.release}"

    @property
    def version(self) -> str:
        """Both versions, for ``data_version``."""
        return f"{self._shipped.version}+{self._store.version}"

    def get(self, code: str) -> Food | None:
        return self._shipped.get(code) or self._store.get(code)

    def codes(self) -> tuple[str, ...]:
        return self._shipped.codes() + self._store.codes()

    def descriptions(self) -> dict[str, str]:
        """code -> description, the shipped rows first; branded foods are found by code only."""
        return self._shipped.descriptions() | self._store.descriptions()


def load_foods_of(kitchen: Path) -> FoodTable | FoodShelf:
    """The shipped table alone, or with the kitchen's store where there is one that can be opened."""
    shipped = load_foods()
    store = open_store(kitchen / STORE) if (kitchen / STORE).is_file() else None
    return shipped if store is None else FoodShelf(shipped, store)
