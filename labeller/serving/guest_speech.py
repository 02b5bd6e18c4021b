"""What a guest says, read: "no celery and no nuts", "coeliac", "lardons" … into what is looked for, or asked back.

A word that is not known is never guessed: it is refused with what it may have meant.
"""

from __future__ import annotations

import re
from collections.abc import Container, Iterable, Mapping

from msgspec import Struct

from labeller.reading.guest_tables import GuestIngredients
from labeller.serving.asked_back import mend_of, refused, words_of
from labeller.serving.workshop import Workshop
from labeller.terms.allergens import Kind
from labeller.terms.words import normalise


class Avoided(Struct, frozen=True):
    """One thing a guest avoids. keys: state keys; ingredient: a word to look for in the recipes themselves, "" when it is a kind.
    covers: further words by which that ingredient is found. note: what to say with it (coeliac disease and wheat allergy are
    different questions)."""

    word: str
    keys: tuple[str, ...]
    ingredient: str = ""
    note: str = ""
    covers: tuple[str, ...] = ()


# What stands about a word when a guest says it. "not allergic to" is none of it: that would be turned round. Common practice.
_BEFORE = re.compile(
    r"(?:strictly |absolutely |definitely )?"
    r"(?:no|without|w/o|avoids?|avoiding|(?:is |am )?(?:severely |very )?allergic to|(?:severe )?allergy (?:to|:)|"
    r"(?:is |am )?intolerant (?:to|of)|intolerance (?:to|of)|"
    r"(?:can ?not|can['’]?t|does ?n['’]?t|do ?n['’]?t|does not|do not) (?:eat|have|take)|must not (?:eat|have)|never eats?)"
    r"\s+(?:any |anything with )?",
    re.IGNORECASE,
)
_BEHIND = re.compile(r"[\s-]+(?:allergy|allergies|allergic|intolerance|intolerant|sensitivity|free)\s*\Z", re.IGNORECASE)
_BETWEEN = re.compile(r"\s+and\s+|\s*[&+/]\s*|\s+or\s+", re.IGNORECASE)


_NEAR = 0.75  # "sellery" is near to celery (0.77); "pregnant" is not near to peanut (0.71)


class Unclear(Struct, frozen=True):
    """A word that can't be taken: not known, or one that must be asked back (``asks``). choices: what could be meant.
    mend: what to do instead, "" where the choices say it."""

    word: str
    why: str
    choices: tuple[str, ...] = ()
    asks: bool = False
    mend: str = ""


class Vocabulary:
    """The words guests use. kinds: all kinds; guest_words: rows of ``reference/allergens/guest_words.yaml``. foods: of
    ``reference/foods/guest_ingredients.csv``; names: names of foods that are known, whether a recipe holds them or not."""

    def __init__(self, kinds: Mapping[str, Kind], guest_words: Iterable[Mapping], foods: GuestIngredients | None = None,
                 names: Container[str] = ()):  # fmt: skip
        self.kinds, self.foods, self.names = kinds, foods, names
        self._words: dict[str, tuple[str, ...]] = {}
        for kind in kinds.values():
            for word in (kind.key.replace("_", " "), kind.name, *(kind.also if kind.key != kind.group else ())):
                self._words.setdefault(normalise(word), (kind.key,))
        self._special = {normalise(word): row for row in guest_words for word in words_of(row)}

    def read(self, text: str, ingredients: Mapping[str, str]) -> tuple[Avoided | Unclear, ...]:
        """Each word of a list such as "celery, sesame" or "no celery and no sesame". ingredients: normalised name -> name as the
        kitchen writes it."""
        words = [word.strip() for word in text.replace(";", ",").split(",") if word.strip()]
        return tuple(dict.fromkeys(each for word in words for each in self._several(word, ingredients)))

    def _several(self, word: str, ingredients: Mapping[str, str]) -> tuple[Avoided | Unclear, ...]:
        """One thing, or several with "and" between where the whole is not known and each of them is."""
        whole = self._said(word, ingredients)
        parts = [part.strip() for part in _BETWEEN.split(word) if part.strip()]
        if isinstance(whole, Avoided) or whole.asks or whole.mend or len(parts) < 2:
            return (whole,)
        each = tuple(self._said(part, ingredients) for part in parts)
        known = all(isinstance(one, Avoided) or one.asks or one.mend for one in each)
        return each if known else (whole,)

    def _said(self, word: str, ingredients: Mapping[str, str]) -> Avoided | Unclear:
        """A word, else what is left of it without "no" before it or "allergy" behind it. What guests call by such words ("wheat
        allergy") comes first."""
        bare = _BEHIND.sub("", _BEFORE.sub("", word, count=1), count=1).strip()
        if not bare or bare == word or normalise(word) in self._special or normalise(word) in self._words:
            return self._one(word, ingredients)
        for each in dict.fromkeys((_BEFORE.sub("", word, count=1).strip(), bare)):
            found = self._one(each, ingredients) if each != word else None
            if isinstance(found, Avoided) or (found is not None and (found.asks or found.mend)):
                return found
        return self._one(word, ingredients)

    def _one(self, word: str, ingredients: Mapping[str, str]) -> Avoided | Unclear:
        key = normalise(word)
        row = self._special.get(key)
        if row is not None:
            if row["ask"]:
                return Unclear(word, row["note"] or "this can mean different things; ask the guest", row["choices"], True)
            return Avoided(word, row["keys"], note=row["note"])
        if key in self._words:
            return Avoided(word, self._words[key])
        row = refused(key)
        if row is not None:
            return Unclear(word, row.why, mend=mend_of(row))
        if self.foods is not None and key in self.foods.words:
            covers, note = self.foods.words[key]
            return Avoided(word, (), key, note, covers)
        named = next((name for each, name in ingredients.items() if each == key or f" {key} " in f" {each} "), None)
        if named is not None or key in self.names or (self.foods is not None and key in self.foods.known):
            return Avoided(word, (), ingredient=key)
        return Unclear(word, "this word is not known; it is neither an allergen nor an ingredient of these recipes",
                       self._near(key, ingredients))  # fmt: skip

    def _near(self, key: str, ingredients: Mapping[str, str]) -> tuple[str, ...]:
        from difflib import get_close_matches

        foods = self.foods.words if self.foods is not None else ()
        known = dict.fromkeys([*self._words, *self._special, *foods, *ingredients])
        return tuple(get_close_matches(key, known, n=4, cutoff=_NEAR))


def ingredient_words(workshop: Workshop) -> dict[str, str]:
    """Every ingredient name of the kitchen's recipes and products, and the words their packs print, normalised."""
    names: dict[str, str] = {}
    for recipe in workshop.kitchen.recipes.values():
        for line in recipe.lines:
            names[normalise(line.name)] = line.name
        if recipe.fried_in:
            names[normalise(recipe.fried_in.oil)] = recipe.fried_in.oil
    for each in workshop.kitchen.products.values():
        names[normalise(each.name)] = each.name
        if each.label_text:
            names[normalise(each.label_text)] = each.name
    return names
