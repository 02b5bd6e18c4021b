"""The reference tables, each read when it is first asked for: a command that needs no law reads no law."""

from __future__ import annotations

from functools import cached_property
from pathlib import Path


class Tables:
    """Doors to ``reference/`` and to a kitchen's own imported food data. They only read; nothing is computed or guessed here.

    kitchen: its folder, whose imported releases stand behind the shipped table; None for the shipped table alone.
    """

    def __init__(self, kitchen: Path | None = None):
        self._kitchen = kitchen

    @cached_property
    def foods(self):
        if self._kitchen is not None and (self._kitchen / "foods.sqlite").is_file():
            from labeller.reading.foods_of_kitchen import load_foods_of

            return load_foods_of(self._kitchen)
        from labeller.reading.foods import load_foods

        return load_foods()

    @cached_property
    def names(self):
        from labeller.reading.names import load_names

        return load_names()

    @cached_property
    def shelf(self):
        """The food rows laid out for ranking, with the words that cooks use for USDA's."""
        from labeller.reading.foods import FoodTable
        from labeller.reading.names import load_synonyms
        from labeller.working.matching_shelf import Shelf

        if not isinstance(self.foods, FoodTable):
            return Shelf(self.foods.descriptions(), load_synonyms())
        descriptions, levelled = _kept_rows(self.foods)
        return Shelf(descriptions, load_synonyms(), levelled)

    @cached_property
    def kinds(self):
        from labeller.reading.allergen_tables import load_kinds

        return load_kinds()

    @cached_property
    def food_kinds(self):
        from labeller.reading.allergen_tables import load_food_kinds

        return load_food_kinds()

    @cached_property
    def hidden(self):
        from labeller.reading.allergen_tables import load_hidden

        return load_hidden()

    @cached_property
    def dish_words(self):
        from labeller.reading.allergen_tables import load_dish_words

        return load_dish_words()

    @cached_property
    def guest_words(self):
        from labeller.reading.allergen_tables import load_guest_words

        return load_guest_words()

    @cached_property
    def guest_ingredients(self):
        from labeller.reading.guest_tables import load_guest_ingredients

        return load_guest_ingredients()

    @cached_property
    def lexicon(self):
        from labeller.reading.lexicon import open_lexicon

        return open_lexicon()

    @cached_property
    def _lists(self) -> dict:
        return {}

    def lists(self, date: str, law: str = ""):
        """Which kinds each law lists, on an ISO date. law: only this one is needed (nothing is listed for plain sums)."""
        key = date, law
        if key not in self._lists:
            from labeller.reading.law_lists import LAWS, load_law_lists

            self._lists[key] = load_law_lists(date, [each for each in LAWS if law in ("", each)])
        return self._lists[key]

    @cached_property
    def measures(self):
        from labeller.reading.measure_tables import load_measures

        return load_measures()

    @cached_property
    def cooking(self):
        from labeller.reading.cooking_tables import load_cooking

        return load_cooking()

    @cached_property
    def _laws(self) -> dict:
        return {}

    def law(self, key: str, date: str, languages: tuple[str, ...] = ("en",)):
        """A law as in force on an ISO date, each read once."""
        asked = key, date, languages
        if asked not in self._laws:
            from labeller.reading.laws import load_law

            self._laws[asked] = load_law(key, date, languages)
        return self._laws[asked]


def _kept_rows(foods) -> tuple[dict[str, str], list[str]]:
    """Descriptions of the shipped rows, as they stand and levelled, from the last start where nothing has changed since."""
    from labeller.reading.library import kept, reference
    from labeller.terms import words
    from labeller.working import matching_shelf

    def make() -> tuple[dict[str, str], list[str]]:
        descriptions = foods.descriptions()
        return descriptions, matching_shelf.level(descriptions.values())

    sources = (reference("foods", "sr28.csv"), Path(words.__file__), Path(matching_shelf.__file__))
    return kept("shelf", sources, make)
