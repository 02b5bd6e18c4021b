"""Where a food is from: asked for where a law wants it and nobody wrote it; never worked out.

Meat, fish, honey and olive oil sold by themselves; the main ingredient where the name or the label claims an origin (Regulation
(EU) No 1169/2011, Art. 26; Implementing Regulation (EU) 2018/775).
"""

from __future__ import annotations

from collections.abc import Mapping

from labeller.declaring.statement import leaves
from labeller.declaring.states import group_of
from labeller.terms.allergens import Kind
from labeller.terms.findings import Finding, finding
from labeller.terms.kitchen import Kitchen, Recipe
from labeller.terms.laws import Law, Origin, Way
from labeller.terms.record import DishRecord, Ingredient
from labeller.terms.words import fold, normalise, words

NONE_CLAIMED = "none claimed"
_WAYS = ("prepacked", "distance")
_MAIN = 0.5  # more than half of the food: Art. 2(2)(q) of Regulation (EU) No 1169/2011


def printed_origin(recipe: Recipe | None) -> str:
    """As the kitchen wrote it; "" where it says that none is claimed."""
    return recipe.origin if recipe and fold(recipe.origin) != NONE_CLAIMED else ""


def origin_findings(record: DishRecord, recipe: Recipe | None, law: Law, way: Way | None, kitchen: Kitchen,
                    kinds: Mapping[str, Kind]) -> tuple[Finding, ...]:  # fmt: skip
    if recipe is None or record.kind != "pack" or way is None or way.key not in _WAYS:
        return ()
    if not recipe.origin:
        return (*_of_food(record, recipe, law, way, kitchen, kinds), *_of_name(record, recipe, law))
    return _of_main(record, recipe, law) if printed_origin(recipe) and law.places else ()


def _of_food(record: DishRecord, recipe: Recipe, law: Law, way: Way, kitchen: Kitchen,
             kinds: Mapping[str, Kind]) -> tuple[Finding, ...]:  # fmt: skip
    """A pack that is one food of those whose origin a law asks for."""
    held = _held(record)
    if len(held) != 1 or "," in held[0].printed:
        return ()
    raw = not recipe.method and not any(_cooked(line.name, kitchen) for line in recipe.lines)
    rule = next((one for one in law.origins if (raw or not one.raw) and _is(held[0], one, kinds)), None)
    if rule is None:
        return ()
    return (finding("origin-not-stated", recipe.place,
                    f"\"{record.name}\", {way.key} under {law.key}: where it is from is not written; for {rule.what} the law "
                    f"asks {rule.asks} ({rule.rule}).",
                    "write `origin:` as it is to be printed", record.name),)  # fmt: skip


def _is(food: Ingredient, rule: Origin, kinds: Mapping[str, Kind]) -> bool:
    if rule.groups & {group_of(kind, kinds) for kind in food.kinds}:
        return True
    said = set(words(food.name))
    return any(set(words(phrase)) <= said for phrase in rule.words)


def _cooked(name: str, kitchen: Kitchen, above: tuple[str, ...] = ()) -> bool:
    """Whether a line is a recipe of the kitchen's that cooks, or is made of one that does."""
    word = normalise(name)
    if word in above:  # a ring, which the reader tells
        return False
    found = next((one for one in kitchen.recipes.values()
                  if word in {normalise(called) for called in (one.name, *one.also_called)}), None)  # fmt: skip
    if found is None:
        return False
    return bool(found.method) or any(_cooked(line.name, kitchen, (*above, word)) for line in found.lines)


def _held(record: DishRecord) -> list[Ingredient]:
    """What the food is made of, added water and what only touched it left out; the heaviest first, each name once."""
    grams: dict[str, float] = {}
    first: dict[str, Ingredient] = {}
    for leaf in (leaf for top in record.ingredients for leaf in leaves(top)):
        if leaf.weight_g <= 0 or leaf.water or leaf.aid:
            continue
        grams[leaf.name] = grams.get(leaf.name, 0.0) + leaf.weight_g
        first.setdefault(leaf.name, leaf)
    return [first[name] for name in sorted(grams, key=lambda name: -grams[name])]


def _of_name(record: DishRecord, recipe: Recipe, law: Law) -> tuple[Finding, ...]:
    """A name that may claim where the food is from."""
    said = f" {fold(recipe.legal_name or recipe.name)} "
    for name in law.customary:
        said = said.replace(f" {name} ", " ")
    claims = [word for word in said.split() if word in law.places]
    if not claims:
        return ()
    return (finding("origin-claimed", recipe.place,
                    f"\"{record.name}\" is called \"{claims[0]}\", and nothing is written of where its main ingredient is from "
                    "(Implementing Regulation (EU) 2018/775).",
                    "write `origin:` with the food's and its main ingredient's, or `origin: none claimed` where the name tells a "
                    "kind of food (French dressing)", record.name),)  # fmt: skip


def _of_main(record: DishRecord, recipe: Recipe, law: Law) -> tuple[Finding, ...]:
    """The origin of a food is written, and its main ingredient is not named in it."""
    held = _held(record)
    used = sum(each.weight_g for each in record.ingredients)
    total = sum(leaf.weight_g for top in record.ingredients for leaf in leaves(top) if held and leaf.name == held[0].name)
    if not held or len(held) == 1 or total <= _MAIN * used or set(words(held[0].name)) & set(words(recipe.origin)):
        return ()
    return (finding("main-ingredient-origin", recipe.place,
                    f"\"{record.name}\" says where it is from (\"{recipe.origin}\") and not where its main ingredient, "
                    f"{held[0].name}, is from (Implementing Regulation (EU) 2018/775, Art. 2).",
                    f"name it in `origin:` where it is from elsewhere: \"{recipe.origin}. {held[0].name.capitalize()} from …\"",
                    record.name),)  # fmt: skip
