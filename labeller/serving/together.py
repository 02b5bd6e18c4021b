"""What comes to a recipe by other ways than its lines: one batch with another, a fryer that only words name, a pinned name."""

from __future__ import annotations

from typing import TYPE_CHECKING

from labeller.terms.allergens import AllergenFact
from labeller.terms.kitchen import Recipe
from labeller.working import allergens as contact

if TYPE_CHECKING:
    from labeller.serving.workshop import Workshop


def cooked_together(workshop: Workshop, recipe: Recipe) -> list[AllergenFact]:
    """What is cooked in one batch with a recipe is in it, whatever is said of equipment."""
    eaten, found = workshop.eaten(recipe), []
    for name in workshop.mates(recipe):
        if name not in eaten:
            found += contact.mate_facts(recipe, name, workshop.food_facts(workshop.kitchen.recipes[name]))
    return found


def fried_by_words(workshop: Workshop, recipe: Recipe) -> str:
    """Words of a recipe that bring it into oil or water of which none of what it is made of says a thing, "" for none."""
    family = workshop.family(recipe).values()
    if any(each.equipment is not None or contact.is_wet(each) for each in family):
        return ""
    return contact.wet_words_of(recipe)


def behind_a_pin(workshop: Workshop, recipe: Recipe, name: str, pin: str) -> tuple[AllergenFact, ...]:
    """A pinned row gives a line its figures; where the line bears the name of one of the kitchen's own recipes, what that recipe
    is made of counts all the same."""
    own = workshop.names.recipe(name) if pin else None
    if own is None or own.name == recipe.name:
        return ()
    found: list[AllergenFact] = []
    for each in workshop.family(own).values():
        for line in each.lines:
            if workshop.meaning(line).ref.kind != "recipe":
                found += contact.under(name, workshop.names.facts(line.name, line.food, line.place)[0])
    return tuple(dict.fromkeys(found))
