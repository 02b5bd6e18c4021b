"""Ingredients by the names that a law gives them: class names such as "milk" and "sugar", common names where the kitchen's word
is of another country, and spices together under one word where the kitchen asks for a short list.

Only a bare ingredient is renamed: a sub-recipe keeps its name, a supplier's printed list its words. What it holds goes with it,
so that no allergen is lost behind a name; an ingredient that holds one is never put under a word for many.
"""

from __future__ import annotations

from msgspec.structs import replace

from labeller.terms.laws import IngredientName, Law
from labeller.terms.record import Ingredient
from labeller.terms.words import normalise

Ingredients = tuple[Ingredient, ...]


def named_by_law(ingredients: Ingredients, law: Law, marked: frozenset[str] = frozenset(), short: bool = False) -> Ingredients:
    """The ingredients with their law's names at every depth, those of one name put together. marked: normalised names whose
    percentage is printed. short: spices and the like may stand under one word."""
    if not law.ingredient_names:
        return ingredients
    plain = {word: one for one in law.ingredient_names if not one.together for word in one.of}
    together = {word: one for one in law.ingredient_names if one.together for word in one.of} if short else {}
    return _level(ingredients, plain, together, marked)


def _level(ingredients: Ingredients, plain: dict[str, IngredientName], together: dict[str, IngredientName],
           marked: frozenset[str]) -> Ingredients:  # fmt: skip
    out: list[Ingredient] = []
    for each in ingredients:
        if each.under:
            out.append(_opened(replace(each, under=_level(each.under, plain, together, marked)), together))
        else:
            out.append(_leaf(each, plain, marked))
    return _joined(_together(out, together))


def _opened(each: Ingredient, together: dict[str, IngredientName]) -> Ingredient:
    """A mixture of nothing but what one word stands for, as that word."""
    only = each.under[0] if len(each.under) == 1 else None
    if only is None or each.aid or each.quid or only.name not in {one.name for one in together.values()}:
        return each
    return replace(only, weight_g=each.weight_g, finished_g=each.finished_g)


def _leaf(each: Ingredient, plain: dict[str, IngredientName], marked: frozenset[str]) -> Ingredient:
    word = normalise(each.name)
    if each.printed or word not in plain:
        return each
    return replace(each, name=plain[word].name, quid=each.quid or word in marked)


def _together(ingredients: list[Ingredient], together: dict[str, IngredientName]) -> list[Ingredient]:
    """Two or more that one word may stand for, none of which holds an allergen or has its percentage printed."""
    rows = [together.get(normalise(each.name)) if _is_bare(each) and not each.kinds else None for each in ingredients]
    many = {one.name for one in rows if one is not None and sum(other is one for other in rows) > 1}
    return [replace(each, name=one.name) if one is not None and one.name in many else each
            for each, one in zip(ingredients, rows, strict=True)]  # fmt: skip


def _is_bare(each: Ingredient) -> bool:
    return not (each.printed or each.under or each.aid or each.quid or each.water)


def _joined(ingredients: list[Ingredient]) -> Ingredients:
    """Bare ingredients of one name and of the same contents as one, at their weight together (descending predominance)."""
    out: list[Ingredient] = []
    for each in ingredients:
        nr = next((nr for nr, other in enumerate(out) if _same(other, each)), None)
        if nr is None:
            out.append(each)
        else:
            ends = (out[nr].finished_g, each.finished_g)
            out[nr] = replace(out[nr], weight_g=out[nr].weight_g + each.weight_g,
                              finished_g=None if None in ends else sum(ends))  # fmt: skip
    return tuple(out)


def _same(one: Ingredient, two: Ingredient) -> bool:
    alike = (one.name, set(one.kinds), one.exempt) == (two.name, set(two.kinds), two.exempt)
    return alike and _is_bare(one) and _is_bare(two)
