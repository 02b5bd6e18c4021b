"""Words of a printed list that say less than they seem to: things that don't say what is in them, texts without a food."""

from __future__ import annotations

from collections.abc import Container

from labeller.terms.allergens import HiddenAllergen, LabelReading
from labeller.terms.lexicon import Lexicon
from labeller.terms.words import fold, normalise
from labeller.working.hidden import hidden_for
from labeller.working.label_reader.pieces import cut

# Words that stand in the place of a list, or praise, or point elsewhere. Common practice, no source.
_NO_FOOD = frozenset((
    "a", "advice", "all", "allergen", "allergy", "an", "and", "any", "artisan", "as", "authentic", "available", "back",
    "based", "before", "best", "bold", "bottle", "box", "certified", "contain", "dairy", "delicious", "diet", "egg",
    "europe", "for", "free", "fresh", "from", "gluten", "gm", "gmo", "good", "halal", "handmade", "homemade", "in",
    "information", "ingredient", "is", "it", "jar", "keto", "kosher", "label", "lactose", "list", "listed", "local", "made",
    "major", "milk", "n", "na", "natural", "naturally", "no", "non", "none", "not", "nothing", "nut", "of", "on", "organic",
    "other", "our", "pack", "packet", "plant", "premium", "product", "pure", "quality", "real", "request", "same", "see",
    "site", "soy", "soya", "suitable", "supplier", "the", "this", "tin", "to", "traditional", "uk", "usual", "various",
    "vegan", "vegetarian", "veggie", "website", "wheat", "with", "without", "x",
))  # fmt: skip
GENERAL = frozenset(("base", "blend", "compound", "house", "improver", "mix", "paste", "powder", "rx", "sauce", "special"))
_CLASS_WORDS = ("source", "oilsource", "name")  # roles of the lexicon


def compounds(text: str, tables) -> tuple[tuple[str, HiddenAllergen], ...]:
    """(words, what a thing of that name always or usually holds) of the printed things that no bracket takes apart, in English: a
    foreign word can look like an English name ("crème de marrons"). Sulphites are left out: a list has to name them from 10 mg/kg
    on, whatever they came in with (Regulation (EU) No 1169/2011, Annex II)."""
    pieces = cut(text)
    taken_apart = set(pieces.parent)
    foreign = tables.lexicon.languages
    found = []
    for number, words in enumerate(pieces.text):
        if number not in taken_apart and not any(fold(word) in foreign for word in words.split()):
            rows = hidden_for(words, tables.hidden)
            found += [(words, each) for each in rows if each.likelihood != "possible" and each.group != "sulphites"]
    return tuple(found)


def left_open(text: str, reading: LabelReading, lexicon: Lexicon, listed: Container[str]) -> tuple[tuple[str, str], ...]:
    """(kind, words) that stay open though someone wrote from the pack what it contains. A class word (spices, lecithin, gelatine)
    is settled where the law makes the pack name the kind (``listed``); a thing that is mixed somewhere else (a cocktail sauce)
    and a cereal are not. Sulphites are settled, as they must be named from 10 mg/kg on, unless the list begins with what holds
    them."""
    first = normalise(next(iter(cut(text).text), ""))
    found = []
    for kind, words in reading.unsettled:
        entry = lexicon.phrases.get(normalise(words))
        by_class = entry is not None and entry.role in _CLASS_WORDS and lexicon.groups.get(kind) != "cereals_gluten"
        settled = normalise(words) not in first if kind == "sulphites" else by_class and kind in listed
        if not settled:
            found.append((kind, words))
    return tuple(found)


def names_no_food(text: str, reading: LabelReading, more: Container[str] = ()) -> bool:
    """"n/a", "100 % natural", "vegan, gluten free": a text in the place of a list. more: further words that name no food."""
    if reading.contains or reading.may_contain or reading.unsettled or reading.unknown:
        return False
    words = [word for word in normalise(text).split() if word.isalpha() and len(word) > 1]
    return all(word in _NO_FOOD or word in more for word in words)
