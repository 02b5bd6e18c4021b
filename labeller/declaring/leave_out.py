"""What a short list of ingredients may leave out where the kitchen asks for it: a little added water, and what is in a mixture of
spices or herbs (Regulation (EU) No 1169/2011, Annex VII part A item 1, part E item 2). Never an allergen, never an additive."""

from __future__ import annotations

from labeller.declaring.additives import names_additive
from labeller.declaring.naming import Names
from labeller.declaring.rounding import exact
from labeller.declaring.states import group_of
from labeller.terms.laws import Law
from labeller.terms.record import DishRecord, Ingredient
from labeller.terms.words import normalise, words


def leaves(each: Ingredient) -> tuple[Ingredient, ...]:
    """The ingredient itself, or the bottom ones of a sub-recipe."""
    return tuple(leaf for one in each.under for leaf in leaves(one)) if each.under else (each,)


def little_water(record: DishRecord, names: Names) -> bool:
    """Whether all added water together stays within the law's share of the finished food. Not where there is meat or fish:
    whether it is a preparation, where each drop is told, the record does not say."""
    limit, weight = names.law.figure("water left out up to"), record.weight_g.mid
    if limit is None or not weight:
        return False
    held = [leaf for top in record.ingredients for leaf in leaves(top)]
    if any(_is_flesh(leaf, names) for leaf in held):
        return False
    water = [leaf for leaf in held if leaf.water and not leaf.aid]
    if any(leaf.finished_g is None for leaf in water):
        return False
    return exact(sum(leaf.finished_g for leaf in water) / weight * 100) <= exact(limit)


def _is_flesh(each: Ingredient, names: Names) -> bool:
    said, groups = set(words(each.name)), {group_of(kind, names.kinds) for kind in each.kinds}
    return any(rule.groups & groups or any(set(words(one)) <= said for one in rule.words)
               for rule in names.law.origins if rule.raw)  # fmt: skip


def stays_closed(each: Ingredient, record: DishRecord, law: Law) -> bool:
    """Whether a mixture of spices or herbs is below the law's share of the finished food and holds no additive."""
    limit, weight = law.figure("mixture unopened below"), record.weight_g.mid
    if limit is None or not weight or normalise(each.name) not in law.mixtures or not (each.under or each.printed):
        return False
    if any(names_additive(f"{leaf.name}, {leaf.printed}", law) for leaf in leaves(each)):
        return False
    return exact(each.weight_g / weight * 100) < exact(limit)
