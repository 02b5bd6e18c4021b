"""All food data a kitchen has: the shipped SR28, then the store of what it has imported (``foods.sqlite`` beside it)."""

from __future__ import annotations

from pathlib import Path

from labeller.reading.fdc_store import FoodStore, open_store
from labeller.reading.foods import FoodTable, load_foods
from labeller.terms.foods import Food

STORE = "foods.sqlite"


class FoodShelf:
    """One table of several: a code is looked up in the shipped table first, then in the release that brought it first, so that
    an import never changes a figure of a recipe that was matched before. Fits wherever
    :class:`labeller.reading.foods.FoodTable` does."""

    def __init__(self, shipped: FoodTable, store: FoodStore) -> None:
        self._shipped, self._store = shipped, store

    @property
    def release(self) -> str:
        return f"{self._shipped.release}, {self._store.release}"

    @property
    def version(self) -> str:
        """Both versions, for ``data_version``."""
        return f"{self._shipped.version}+{self._store.version}"

    def releases(self) -> tuple[tuple[str, str], ...]:
        """(name, date) of every release at hand, the shipped one first."""
        return self._shipped.releases() + self._store.releases()

    def get(self, code: str, release: str = "") -> Food | None:
        """release: the one that a match is pinned to. Without it the shipped row, else that of the release that came first."""
        if release:
            return self._shipped.get(code, release) or self._store.get(code, release)
        return self._shipped.get(code) or self._store.get(code, self._store.first_release(code))

    def counterpart(self, fdc_id: str, ndb: str, release: str) -> Food | None:
        """The same food in a release, by its FoodData Central id or its NDB number."""
        return self._shipped.counterpart(fdc_id, ndb, release) or self._store.counterpart(fdc_id, ndb, release)

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
