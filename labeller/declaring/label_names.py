"""Dishes and recipes in a list of ingredients: by their `label name:` where the kitchen writes one, and what reads as a list."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec.structs import replace

from labeller.terms.findings import Finding, finding
from labeller.terms.kitchen import Recipe
from labeller.terms.record import DishRecord, Ingredient
from labeller.terms.words import normalise


def by_label_name(record: DishRecord, recipe: Recipe | None, recipes: Mapping[str, Recipe]) -> DishRecord:
    """The record with each sub-recipe under the name of its label, and the percentages asked for marked by the kitchen's own
    names, at any depth. A name of an unknown amount stays: the record knows it by that."""
    marked = frozenset(normalise(name) for name in (recipe.quid if recipe else ()))
    kept = frozenset(record.unknown_amounts)
    return replace(record, ingredients=tuple(_named(each, recipes, marked, kept) for each in record.ingredients))


def _named(each: Ingredient, recipes: Mapping[str, Recipe], marked: frozenset[str], kept: frozenset[str]) -> Ingredient:
    quid = each.quid or normalise(each.name) in marked
    if not each.under:
        return replace(each, quid=quid) if quid != each.quid else each
    made = recipes.get(each.name)
    name = made.legal_name if made and made.legal_name and each.name not in kept else each.name
    return replace(each, name=name, quid=quid, under=tuple(_named(one, recipes, marked, kept) for one in each.under))


def list_name_findings(record: DishRecord, recipes: Mapping[str, Recipe]) -> tuple[Finding, ...]:
    """Names with a comma, which a reader of the list takes for two ingredients; after :func:`by_label_name`."""
    named: dict[str, None] = {}
    stack = list(record.ingredients)
    while stack:
        each = stack.pop(0)
        if each.under and "," in each.name:
            named[each.name] = None
        stack += each.under
    return tuple(finding("name-reads-as-list", recipes[name].place,
                         f"\"{name}\" stands in the list of ingredients of \"{record.name}\", where its comma reads as two "
                         "ingredients.", f"write `label name:` in \"{name}\", such as \"{name.replace(', ', ' with ')}\"",
                         record.name) for name in named if name in recipes)  # fmt: skip
