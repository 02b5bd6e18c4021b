"""Is a food that is in no list of allergens in a dish? Searched through recipes, products, printed lists and shared equipment.

A paper that answers for the fourteen allergens says nothing of garlic or pine nuts: only a list of ingredients that was read
whole does, and a list that says "spices" doesn't either.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import NamedTuple

from labeller.serving.workshop import Workshop
from labeller.terms.allergens import CONTAINS, CROSS_CONTACT, NONE_ON_RECORD, NOT_CONFIRMED, RANK, ROUTES, Kind
from labeller.terms.floor import OptionState
from labeller.terms.kitchen import Product, Recipe
from labeller.terms.words import normalise
from labeller.working.allergens import is_clean, is_fresh, unrecorded_facts

UNREAD = ROUTES[3]
# Words of a printed list that may stand for many foods. Common practice, no source.
VAGUE = frozenset((
    "spice", "flavouring", "flavoring", "flavour", "flavor", "herb", "vegetable", "stock", "seasoning", "bouillon", "broth",
    "aroma", "fruit", "condiment", "marinade", "starch", "masala",
))  # fmt: skip
# Of these the ones that are of plants, whatever the pack says of them: no doubt about meat. Common practice, no source.
OF_PLANTS = frozenset(("spice", "herb", "vegetable", "fruit", "starch", "masala"))
# Groups of the food table that are of animals: a food with one of them is a meat.
OF_ANIMALS = frozenset(("Beef Products", "Pork Products", "Lamb, Veal, and Game Products", "Poultry Products",
                        "Sausages and Luncheon Meats"))  # fmt: skip
# Cuts that any animal has, and the land animals: "venison loin" says whose loin it is. The fish are those of the kinds. A
# sausage, a mince or a stock of venison may hold pork too, so they are none of these. Common practice, no source.
CUTS = frozenset(("loin", "belly", "cheek", "hock", "skin", "bone"))
ANIMALS = frozenset((
    "beef", "veal", "ox", "calf", "lamb", "mutton", "hogget", "goat", "kid", "venison", "deer", "rabbit", "hare", "chicken",
    "turkey", "duck", "goose", "guinea fowl", "pheasant", "partridge", "grouse", "pigeon", "squab", "quail", "pork", "boar",
))  # fmt: skip
# Tree nuts that Annex II of Regulation (EU) No 1169/2011 lists; papers answer for these.
LISTED_NUTS = frozenset(("tree_nuts", "almond", "hazelnut", "walnut", "cashew", "pecan", "brazil", "pistachio", "macadamia"))


def outside_the_lists(kind: Kind) -> bool:
    """A kind that no paper about the fourteen allergens answers for: buckwheat, pine nut, coconut …"""
    return kind.group == "other" or (kind.group == "tree_nuts" and kind.key not in LISTED_NUTS and kind.parent not in LISTED_NUTS)


class Sought(NamedTuple):
    """The words of a food, normalised. has: any of which is the food; others: phrases that are another food; may: words that may
    be of it; groups: of the food table, whose rows may be of it."""

    has: tuple[str, ...]
    others: tuple[str, ...] = ()
    may: tuple[str, ...] = ()
    groups: tuple[str, ...] = ()

    def bare(self, text: str) -> str:
        """A text, normalised, with a space on either side and without the phrases that are another food."""
        text = f" {text} "
        for other in self.others:
            if other in text:
                text = text.replace(f" {other} ", " | ")
        return text

    def in_(self, text: str, words: Iterable[str]) -> str:
        """The first of the words in a text as of :meth:`bare`, "" where none is."""
        return next((word for word in words if f" {word} " in text), "")


@lru_cache(maxsize=256)
def sought(words: tuple[str, ...]) -> Sought:
    """words: as of :class:`labeller.reading.guest_tables.GuestIngredients`."""
    others, may, groups = (tuple(word[1:] for word in words if word[:1] == sign) for sign in "-?@")
    return Sought(tuple(word for word in words if word[:1] not in "-?@"), others, may, groups)


def ingredient_state(workshop: Workshop, recipe: Recipe, words: Iterable[str]) -> OptionState:
    """words: as of :func:`sought`. The worst that is found, with where."""
    words = sought(tuple(words))
    family = workshop.family(recipe)
    found: dict[str, list[str]] = {}
    told = {each.name: {name: _of_name(workshop, each, name, words) for name in _names(each)} for each in family.values()}
    inside = {name: min((RANK[state] for state, _ in states.values()), default=RANK[NONE_ON_RECORD])
              for name, states in told.items()}  # fmt: skip
    for each in family.values():
        for name, state in told[each.name].items():
            own = workshop.names.recipe(name)
            if own is None or inside.get(own.name, RANK[NONE_ON_RECORD]) > RANK[state[0]]:  # else what is in it tells it
                _add(found, state, f"{each.name} > {name}")
        _equipment(workshop, each, set(workshop.eaten(recipe)), words, found)
    if not found:
        return OptionState(NONE_ON_RECORD)
    worst = min(found, key=RANK.__getitem__)
    return OptionState(worst, tuple(dict.fromkeys(found[worst])))


def unlisted_states(workshop: Workshop, recipe: Recipe, kinds: Iterable[Kind]) -> dict[str, OptionState]:
    """Kinds outside the lists that a dish's papers leave open: key -> not confirmed, with where."""
    outside = [kind for kind in kinds if outside_the_lists(kind)]
    open_ = [f"{each.name} > {name} ({why})" for each in workshop.family(recipe).values() for name in _names(each)
             if (why := not_told(workshop, each, name))]  # fmt: skip
    return {kind.key: OptionState(NOT_CONFIRMED, tuple(dict.fromkeys(open_))) for kind in outside} if open_ else {}


def not_told(workshop: Workshop, recipe: Recipe, name: str, told: Iterable[str] = ()) -> str:
    """Why the records of an ingredient don't answer for a food outside the lists, "" where they do. told: words that are vague
    otherwise and leave no doubt about this food."""
    if workshop.names.recipe(name) is not None:
        return ""
    made = workshop.names.product(name)
    pin, place = _pin(recipe, name)
    if made is None or not made.label_text:
        if made is not None and made.evidence is not None and made.evidence.kind != "single ingredient":
            return "its papers are about the listed allergens only"
        if made is not None and workshop.names.meaning(name, pin, place).food is None:
            return "nothing on record says what it holds"  # one ingredient, and no table knows which
        unread = any(fact.route == UNREAD for fact in workshop.names.facts(name, pin, place)[0])
        return "nothing on record says what it holds" if unread else ""
    vague = sorted(VAGUE.difference(told).intersection(normalise(made.label_text).split()))
    if vague:
        return f"its pack only says \"{vague[0]}\""
    unknown = workshop.names.unread_words(made)
    return f"its pack has words that are not known: {', '.join(unknown)}" if unknown else ""


def _names(recipe: Recipe) -> list[str]:
    return list(dict.fromkeys([line.name for line in recipe.lines] + ([recipe.fried_in.oil] if recipe.fried_in else [])))


def _pin(recipe: Recipe, name: str):
    """(pinned row, place) of an ingredient's line."""
    line = next((line for line in recipe.lines if line.name == name), None)
    return (line.food, line.place) if line else ("", recipe.place)


def _of_name(workshop: Workshop, recipe: Recipe, name: str, words: Sought) -> tuple[str, str]:
    """(state, why) of one ingredient; a recipe is searched when its own turn comes, its name here."""
    made = workshop.names.product(name)
    said = [name, *((made.name, *made.also_called, made.label_text) if made else ())]
    text = words.bare(" | ".join(normalise(each) for each in said))
    if words.in_(text, words.has):
        return CONTAINS, ""
    own = workshop.names.recipe(name) is not None
    meat = not OF_ANIMALS.isdisjoint(words.groups)
    settled = "|".join(_without_cuts(workshop, part) for part in text.split("|")) if meat else text
    may = words.in_(settled, words.may) if not own else ""  # a recipe of the kitchen's own is looked into
    if may:
        return NOT_CONFIRMED, f'"{may}" does not settle it'
    row = "" if own else _by_row(workshop, recipe, name, words)
    if settled != text and not row and not (made and made.label_text) and _is_one_thing(made):
        return NONE_ON_RECORD, ""
    why = f"its food row is {row}" if row else not_told(workshop, recipe, name, OF_PLANTS if meat else ())
    return (NOT_CONFIRMED, why) if why else (NONE_ON_RECORD, "")


def _is_one_thing(made: Product | None) -> bool:
    """A line without a product, or one whose paper says that it is a single ingredient: its name says it all."""
    return made is None or (made.evidence is not None and made.evidence.kind == "single ingredient")


def _without_cuts(workshop: Workshop, part: str) -> str:
    """A name, normalised, without its cut where it says of which animal that is. A printed list of several things says it of
    none: its parts are not told apart here."""
    fish = (kind for kind in workshop.tables.kinds.values() if kind.group == "fish")
    animals = {*ANIMALS, *(normalise(kind.name) for kind in fish)}
    plain = part.split()
    if len(plain) > 4 or not any(f" {animal} " in f" {' '.join(plain)} " for animal in animals):
        return part
    return f" {' '.join(word for word in plain if word not in CUTS)} "


def _by_row(workshop: Workshop, recipe: Recipe, name: str, words: Sought) -> str:
    """The row of the food table that puts an ingredient under the food, "" where it doesn't. A row may stand in for a near food,
    so it asks and never says that the food is there. Of an ingredient with a printed list the list says it."""
    made = workshop.names.product(name)
    if made is not None and made.label_text:
        return ""
    food = workshop.names.meaning(name, *_pin(recipe, name)).food
    if food is None:
        return ""
    text = words.bare(normalise(food.description))
    return food.description if food.group in words.groups or words.in_(text, words.has) else ""


def _add(found: dict[str, list[str]], state: tuple[str, str], where: str) -> None:
    if state[0] != NONE_ON_RECORD:
        found.setdefault(state[0], []).append(f"{where} ({state[1]})" if state[1] else where)


def _equipment(workshop: Workshop, recipe: Recipe, family: set[str], words: Sought,
               found: dict[str, list[str]]) -> None:  # fmt: skip
    """What else goes through the equipment that a recipe names."""
    for fact in unrecorded_facts(recipe)[:1]:
        _add(found, (NOT_CONFIRMED, fact.evidence), recipe.name)
    for name in recipe.equipment or ():
        equipment = workshop.kitchen.equipment.get(name)
        if equipment is None or is_clean(recipe, equipment) or is_fresh(recipe, equipment, workshop.date):
            continue
        for user, state, why in _users(workshop, recipe, name, family, words):
            direct = state == CROSS_CONTACT and (recipe.water_used_twice or user in recipe.same_batch_as)
            also = f"{name} also cooks {user}" + (f": {why}" if why else "")
            _add(found, (CONTAINS if direct else state, also), f"{recipe.name} > {name}")
        if not equipment.changed:
            _add(found, (NOT_CONFIRMED, "no date of its last change of oil or water on record"), f"{recipe.name} > {name}")


def _users(workshop: Workshop, recipe: Recipe, equipment: str, family: set[str], words: Sought) -> list[tuple[str, str, str]]:
    """(user, state, why) of each other food that the equipment has met."""
    users = [each.name for each in workshop.kitchen.recipes.values() if equipment in (each.equipment or ())]
    found = []
    for user in dict.fromkeys([*users, *workshop.kitchen.equipment[equipment].also_cooks]):
        other = workshop.names.recipe(user)
        if user in family or (other is not None and other.name in family):
            continue
        states = [_of_name(workshop, recipe, user, words)]
        if other is not None:
            states += [_of_name(workshop, each, name, words) for each in workshop.family(other).values() for name in _names(each)]
        state, why = min(states, key=lambda each: RANK[each[0]])
        if state != NONE_ON_RECORD:
            found.append((user, CROSS_CONTACT if state == CONTAINS else state, why))
    return found
