"""Allergens that the cook's own words name: name, description, method and notes of a recipe, read as a printed list is read."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping

from labeller.serving.resolving import Names
from labeller.terms.allergens import Kind
from labeller.terms.kitchen import Recipe
from labeller.terms.lexicon import Lexicon
from labeller.terms.words import normalise
from labeller.working.label_reader import read_label

# Tools and colours that have a food's name. Common practice, no source.
_NO_FOOD = (
    "egg poacher", "egg ring", "egg timer", "egg slicer", "fish kettle", "fish slice", "fish knife", "fish pliers",
    "milk pan", "cream siphon", "cream charger", "ice cream maker", "ice cream machine", "nut brown", "nut milk bag",
    "butter paper", "bread knife", "oyster knife", "crab pick", "pasta machine", "pasta roller", "fish bone tweezers",
    "fish tweezers",
)  # fmt: skip
_BY_RECIPE = "dish"  # a cracker or a crumb holds wheat by its usual recipe; this kitchen's own recipe says better


Named = tuple[tuple[str, str, str], ...]


def named_in_words(recipe: Recipe, lexicon: Lexicon, names: Names) -> Named:
    """(where, words, kind) of every allergen that the words of a recipe name, and the other names of its products; what its lines
    hold is not looked at. names: what each name is; the words of a recipe are read when its own turn comes."""
    found: dict[tuple[str, str, str], None] = {}
    for where, text in _texts(recipe, names):
        reading = read_label(_without_tools(text), lexicon)
        for kind, words in reading.contains:
            entry = lexicon.phrases.get(normalise(words))
            if entry is None or entry.role != _BY_RECIPE:
                found[where, words, kind] = None
    return tuple(found)


def _texts(recipe: Recipe, names: Names) -> Iterator[tuple[str, str]]:
    bought = [made for line in recipe.lines if not names.recipe(line.name) and (made := names.product(line.name))]
    texts = [*_titles(recipe), ("the instructions", recipe.instructions),
             *((f"the note on {line.name}", line.note) for line in recipe.lines),
             *(("an ingredient's name", line.name) for line in recipe.lines if not names.recipe(line.name)),
             *((f"another name of {made.name}", each) for made in bought
               for each in (*made.also_called, made.label_name))]  # fmt: skip
    return ((where, text) for where, text in texts if text)


def _titles(recipe: Recipe) -> tuple[tuple[str, str], ...]:
    return (("the name", recipe.name), *(("another name", each) for each in recipe.also_called),
            ("the description", recipe.description), ("the label name", recipe.legal_name),
            ("the method", recipe.method))  # fmt: skip


def _without_tools(text: str) -> str:
    low = text.lower()
    for tool in _NO_FOOD:
        if tool in low:
            text = low = low.replace(tool, ",")
    return text


DishWords = Mapping[str, tuple[tuple[str, tuple[str, ...]], ...]]


def implied_by_words(recipe: Recipe, family: Iterable[Recipe], table: DishWords, held: Container[str],
                     kinds: Mapping[str, Kind]) -> Named:  # fmt: skip
    """(where, words, kind) of what a thing of a recipe's name is made with ("crab on toast": wheat) where nothing on the plate is
    of that group. Left alone is a word that a line takes up (it is judged there), or that a line accounts for (buckwheat flour
    for a cracker). family: the recipe and all it is made of. held: groups of its kinds."""
    lines = [f" {normalise(line.name)} " for each in family for line in each.lines]
    lines += [f" {normalise(each.name)} " for each in family if each.name != recipe.name]
    found: dict[tuple[str, str, str], None] = {}
    for where, text in _titles(recipe):
        for phrase in _dish_phrases(normalise(text or "").split(), table):
            if any(f" {phrase} " in line for line in lines):
                continue
            for kind, unless in table[phrase]:
                if kinds[kind].group not in held and not any(f" {word} " in line for word in unless for line in lines):
                    found[where, phrase, kind] = None
    return tuple(found)


def _dish_phrases(words: list[str], table: DishWords) -> Iterator[str]:
    """Phrases of a text that the table knows, longest first; a word serves one phrase only."""
    taken = [False] * len(words)
    for length in (3, 2, 1):
        for start in range(len(words) - length + 1):
            phrase = " ".join(words[start : start + length])
            if phrase in table and not any(taken[start : start + length]):
                taken[start : start + length] = [True] * length
                yield phrase
