"""A kitchen's own warning on a dish or a pack: "may contain" written by the kitchen, not by a supplier."""

from __future__ import annotations

from collections.abc import Iterable

from labeller.terms.allergens import CROSS_CONTACT, OWN_WARNING, ROUTES, AllergenFact
from labeller.terms.findings import Finding, finding
from labeller.terms.kitchen import Recipe

_EQUIPMENT = ROUTES[2]


def warned(recipe: Recipe, meant: Iterable[tuple[str, tuple[str, ...]]]) -> tuple[tuple[AllergenFact, ...], tuple[Finding, ...]]:
    """Facts of the warning, assessed or not: whoever wrote it knew of a contact. meant: word of the warning -> kinds it names."""
    facts, found = [], []
    assessed = recipe.precaution_assessed
    by = f"the kitchen's own warning, {f'assessed by {assessed}' if assessed else 'not assessed'}"
    for word, kinds in meant:
        facts += [AllergenFact(kind, CROSS_CONTACT, _EQUIPMENT, by, (recipe.name, OWN_WARNING), recipe.place) for kind in kinds]
        if not kinds:
            text = f"\"{recipe.name}\" may contain \"{word}\": that is not an allergen kind"
            found.append(finding("unknown-kind", recipe.place, text, "use words such as wheat, cod, hazelnut, milk", recipe.name))
    return tuple(facts), tuple(found)
