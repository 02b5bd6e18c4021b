"""Kitchens made by a seeded generator, for tests that must hold for any kitchen. Foods are rows of USDA SR28."""

from __future__ import annotations

import random

from msgspec.structs import replace

from labeller.serving.tables import Tables
from labeller.serving.workshop import Workshop
from labeller.terms.findings import Place
from labeller.terms.kitchen import Amount, Equipment, Kitchen, Line, Loss, Makes, PouredOff, Recipe
from labeller.terms.spans import Span

HERE = Place("recipes/generated.yaml", 1)
# name -> row: kinds by identity are known for each of them (wheat, milk, egg, cod, celery, mustard, sesame, almond, soya, prawn
# …)
FOODS = {
    "plain flour": "20481", "whole milk": "01077", "egg": "01123", "cod": "15015", "celery": "11143", "mustard": "02046",
    "sesame": "12023", "almonds": "12061", "soy sauce": "16123", "salt": "02047", "water": "14411", "carrot": "11124",
    "butter": "01145", "beef": "13047", "sugar": "19335", "mussel": "15164", "peanuts": "16087", "rapeseed oil": "04582",
}  # fmt: skip
TABLES = Tables()


def amount(grams: float) -> Amount:
    return Amount(f"{grams:g} g", Span.of(grams), "g")


def line(rng: random.Random, name: str, food: str = "") -> Line:
    trim = Span.of(rng.choice((0, 0, 0, round(rng.uniform(0, 0.5), 2))))
    kept = Span.of(rng.choice((1, 1, 1, round(rng.uniform(0, 1), 2))))
    return Line(name, amount(round(rng.uniform(1, 800), 1)), HERE, trim=trim, kept=kept, food=food)


def recipe(rng: random.Random, nr: int, below: list[str]) -> Recipe:
    foods = rng.sample(sorted(FOODS), rng.randint(1, 5))
    lines = [line(rng, name, FOODS[name]) for name in foods] + [line(rng, name)
                                                                for name in rng.sample(below, min(len(below), rng.randint(0, 2)))]
    rng.shuffle(lines)
    lines[-1] = replace(lines[-1], kept=Span.of(1.0))  # something is left to weigh
    more: dict = {}
    if len(lines) > 1 and rng.random() < 0.3:
        more["poured_off"] = (PouredOff((lines[0].name,), Span.of(round(rng.uniform(0, 1), 2)), HERE),)
    if rng.random() < 0.4:
        more["water_change"] = Span.of(round(rng.uniform(-0.3, 0.3), 3))
    return Recipe(f"recipe {nr}", "recipe", HERE, tuple(lines), equipment=(), **more)


def kitchen(seed: int, recipes: int = 4) -> Kitchen:
    """A kitchen of some recipes, each made of foods and of earlier recipes; the last is a dish for four."""
    rng = random.Random(seed)
    made: dict[str, Recipe] = {}
    for nr in range(recipes):
        each = recipe(rng, nr, list(made))
        made[each.name] = each
    if rng.random() < 0.5:
        made = weighed(rng, made)
    last = list(made.values())[-1]
    made[last.name] = replace(last, kind="dish", serves=Span.of(4))
    return Kitchen("generated", recipes=made)


def weighed(rng: random.Random, made: dict[str, Recipe]) -> dict[str, Recipe]:
    """One recipe gets a weighed batch, lighter than what went in, with the shares of its loss named."""
    name = rng.choice(list(made))
    workshop = Workshop(Kitchen("before", recipes=made), TABLES)
    plain = replace(made[name], water_change=None)
    now = workshop.batches({**workshop.family(made[name]), name: plain})[name].weight
    share = round(rng.uniform(0, 1), 2)
    makes = Makes(HERE, "", Span.of(now * rng.uniform(0.9, 0.99)))
    return {**made,
            name: replace(plain, makes=makes, loss=(Loss("evaporated", share, HERE), Loss("left behind", 1 - share, HERE)))}


def workshop(made: Kitchen) -> Workshop:
    return Workshop(made, TABLES)


def with_fryer(made: Kitchen, rng: random.Random) -> Kitchen:
    """Two recipes of the kitchen share a fryer whose oil change is on record."""
    names = rng.sample(list(made.recipes), min(2, len(made.recipes)))
    recipes = {name: replace(each, equipment=("fryer",)) if name in names else each for name, each in made.recipes.items()}
    return replace(made, recipes=recipes, equipment={"fryer": Equipment("fryer", HERE, "2026-11-24")})
