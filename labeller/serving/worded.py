"""Allergens that the cook's own words name: name, description, method and notes of a recipe, read as a printed list is read."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from labeller.terms.kitchen import Recipe
from labeller.terms.lexicon import Lexicon
from labeller.terms.words import normalise
from labeller.working.label_reader import read_label

# Tools and colours that have a food's name. Common practice, no source.
_NO_FOOD = ("egg poacher", "egg ring", "egg timer", "egg slicer", "fish kettle", "fish slice", "fish knife", "fish pliers", "milk pan",
            "cream siphon", "cream charger", "ice cream maker", "ice cream machine", "nut brown", "nut milk bag", "butter paper",
            "bread knife", "oyster knife", "crab pick", "pasta machine", "pasta roller", "fish bone tweezers", "fish tweezers")  # fmt: skip
_BY_RECIPE = "dish"  # a cracker or a crumb holds wheat by its usual recipe; this kitchen's own recipe says better


def named_in_words(recipe: Recipe, lexicon: Lexicon, made_here: Callable[[str], Recipe | None]) -> tuple[tuple[str, str, str], ...]:
    """(where, words, kind) of every allergen that the words of a recipe name; what its lines hold is not looked at.
    made_here: the recipe of a name, whose words are read when its own turn comes."""
    found: dict[tuple[str, str, str], None] = {}
    for where, text in _texts(recipe, made_here):
        reading = read_label(_without_tools(text), lexicon)
        for kind, words in reading.contains:
            entry = lexicon.phrases.get(normalise(words))
            if entry is None or entry.role != _BY_RECIPE:
                found[where, words, kind] = None
    return tuple(found)


def _texts(recipe: Recipe, made_here: Callable[[str], Recipe | None]) -> Iterator[tuple[str, str]]:
    texts = [("the name", recipe.name), *(("another name", each) for each in recipe.also_called), ("the description", recipe.description),
             ("the label name", recipe.legal_name), ("the method", recipe.method), ("the instructions", recipe.instructions),
             *((f"the note on {line.name}", line.note) for line in recipe.lines), *(("an ingredient's name", line.name) for line in recipe.lines if not made_here(line.name))]  # fmt: skip
    return ((where, text) for where, text in texts if text)


def _without_tools(text: str) -> str:
    low = text.lower()
    for tool in _NO_FOOD:
        if tool in low:
            text = low = low.replace(tool, ",")
    return text
