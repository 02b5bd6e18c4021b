"""What guests mean by a food that is in no list of allergens (``reference/foods/guest_ingredients.csv``), and what they call
allergens in other languages (``reference/allergens/guest_words_by_language.csv``)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from labeller.reading.library import csv_rows, reference
from labeller.terms.words import normalise


class GuestIngredients:
    """words: what a guest says, normalised -> (every word by which it is found, note). A word behind "-" is another food ("-black
    pepper" of the pepper that is a fruit); behind "?" it may be of it, and only the kitchen knows ("?gelatine"); behind "@" is
    a group of the food table whose rows may be of it. known: every word that is a food. asked: what is said of each food, as
    it is written, its first word first."""

    def __init__(self, rows: Mapping[str, tuple[tuple[str, ...], str]], asked: Iterable[tuple[str, ...]] = ()):
        self.words, self.asked = rows, tuple(asked)
        self.known = frozenset(word.lstrip("?") for covers, _ in rows.values() for word in covers if word[:1] not in "-@")


def load_guest_ingredients() -> GuestIngredients:
    """``guest_ingredients.csv``. OSError if the file is gone."""
    found, asked = {}, []
    for row in csv_rows(reference("foods", "guest_ingredients.csv")):
        asked.append(tuple(row["words"].split(";")))
        said = [normalise(word) for word in row["words"].split(";")]
        covers = [normalise(word) for word in row["covers"].split(";") if word and word[:1] != "-"]
        asks = [f"@{word[1:]}" if word[:1] == "@" else f"?{normalise(word)}" for word in row["ask"].split(";") if word]
        every = (*said, *covers, *(word[1:] for word in asks if word[:1] == "?"))
        others = [word for each in row["covers"].split(";") if each[:1] == "-" for word in _others(each[1:], every)]
        for word in said:
            # the longest first, so that a whole phrase is another food before any part of it is this one
            more = sorted(dict.fromkeys(others), key=len, reverse=True)
            found[word] = (tuple(dict.fromkeys([word, *said, *covers, *(f"-{each}" for each in more), *asks])), row["note"])
    return GuestIngredients(found, asked)


def _others(phrase: str, words: Iterable[str]) -> list[str]:
    """Another food, normalised; "vegan *" is every word of the food with that before it."""
    lead = normalise(phrase.removesuffix("*"))
    return [f"{lead} {word}" for word in words] if phrase.endswith(" *") else [lead]


def load_guest_words_of(language: str) -> dict[str, tuple[str, ...]]:
    """Key of a tick of the floor page (a group, a kind, or ``word_`` and an English word of guests) -> what guests call it in a
    language; the first of them names it where ``reference/rules/words/`` does not. {} for a language without a column."""
    rows = csv_rows(reference("allergens", "guest_words_by_language.csv"))
    if language == "key" or language not in rows[0]:
        return {}
    return {row["key"]: tuple(word for word in row[language].split(";") if word) for row in rows}
