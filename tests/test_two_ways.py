"""The engine against an independent linear solve, and what must hold for any kitchen.

The solve is the matrix way of nested inventories: batches X = D X + B, one solve for all nutrients (NumPy, here only).
"""

from __future__ import annotations

import random

import numpy as np
import pytest
from generated import FOODS, HERE, TABLES, amount, kitchen, with_fryer, workshop
from msgspec.structs import replace

from labeller.serving.guest import states_of
from labeller.terms.allergens import CONTAINS, NONE_ON_RECORD, RANK, TO_CONFIRM
from labeller.terms.kitchen import Kitchen, Line, Recipe
from labeller.terms.nutrients import INDEX
from labeller.terms.spans import Span

KEYS = ("protein_g", "fat_g", "carbohydrate_g", "sodium_mg", "water_g", "energy_kcal", "calcium_mg")


def staying(recipe: Recipe) -> list[float]:
    """Grams of each line that stay, by a formula of the test's own."""
    off = {name: leaving.stays.mid for leaving in recipe.poured_off for name in leaving.lines}
    return [line.amount.number.mid * (1 - line.trim.mid) * line.kept.mid * off.get(line.name, 1.0) for line in recipe.lines]


def solved(made: Kitchen) -> dict[str, tuple[float, dict[str, float]]]:
    """name -> (weight of the batch, nutrient totals), every recipe at once."""
    names = list(made.recipes)
    rows = {name: np.array([value or 0.0 for value in TABLES.foods.get(code).values]) for name, code in FOODS.items()}
    shares, base, weights = np.zeros((len(names), len(names))), np.zeros((len(names), len(INDEX))), np.zeros(len(names))
    for nr, name in enumerate(names):
        recipe = made.recipes[name]
        grams = staying(recipe)
        inside = sum(grams)
        change = inside * (recipe.water_change.mid if recipe.water_change else 0.0)
        scale = 1.0
        if recipe.makes:
            missing = inside - recipe.makes.grams.mid
            off = missing * next(loss.share for loss in recipe.loss if loss.kind == "evaporated")
            scale = recipe.makes.grams.mid / (inside - off)
            change = -off
        weights[nr] = (inside + change) * scale
        for line, g in zip(recipe.lines, grams, strict=True):
            if line.name in made.recipes:
                shares[nr, names.index(line.name)] += g * scale / weights[nr]
            else:
                base[nr] += rows[line.name] / 100 * g * scale / weights[nr]
        base[nr, INDEX["water_g"]] += change * scale / weights[nr]
    density = np.linalg.solve(np.eye(len(names)) - shares, base)
    return {name: (weights[nr], {key: density[nr, INDEX[key]] * weights[nr] for key in KEYS}) for nr, name in enumerate(names)}


def walked(made: Kitchen) -> dict[str, tuple[float, dict[str, float]]]:
    shop = workshop(made)
    found = {}
    for name, recipe in made.recipes.items():
        family = shop.family(recipe)
        batches = shop.batches(family)
        content = shop.contents(family, batches, memo=True)[name]
        found[name] = batches[name].weight, {key: content.values[INDEX[key]] * batches[name].weight for key in KEYS}
    return found


@pytest.mark.parametrize("part", range(10))
def test_the_walk_and_the_solve_agree_over_10000_kitchens(part: int) -> None:
    """And so no gram of salt, water or protein appears or vanishes: what is in a batch is what its lines brought and kept."""
    for seed in range(part * 1000, part * 1000 + 1000):
        made = kitchen(seed, recipes=3)
        one, two = walked(made), solved(made)
        for name in made.recipes:
            assert one[name][0] == pytest.approx(two[name][0], rel=1e-9, abs=1e-9), (seed, name)
            for key in KEYS:
                assert one[name][1][key] == pytest.approx(two[name][1][key], rel=1e-9, abs=1e-7), (seed, name, key)


def recorded(made: Kitchen, name: str) -> dict[str, int]:
    """key -> rank of its worst state (smaller is worse)."""
    shop = workshop(made)
    return {key: RANK[state.state] for key, state in states_of(shop.facts(made.recipes[name]), TABLES.kinds).items()}


def not_worse(before: dict[str, int], after: dict[str, int]) -> bool:
    return all(after.get(key, RANK[NONE_ON_RECORD]) <= rank for key, rank in before.items())


@pytest.mark.parametrize("part", range(10))
def test_nothing_removes_an_allergen_from_the_record(part: int) -> None:
    """10,000 kitchens: an ingredient added anywhere, another order, another loss, less kept: no state gets milder."""
    for seed in range(part * 1000, part * 1000 + 1000):
        rng = random.Random(seed)
        made = kitchen(seed, recipes=3)
        made = with_fryer(made, rng) if seed % 3 == 0 else made
        dish = list(made.recipes)[-1]
        before = recorded(made, dish)
        where = rng.choice(list(made.recipes))
        recipe, food = made.recipes[where], rng.choice(sorted(FOODS))
        changes = (replace(recipe, lines=(*recipe.lines, Line(food, amount(5), HERE, food=FOODS[food]))),
                   replace(recipe, lines=tuple(reversed(recipe.lines))),
                   replace(recipe, lines=tuple(replace(line, kept=Span.of(0.0), trim=Span.of(0.9)) for line in recipe.lines)),
                   replace(recipe, water_change=Span.of(-0.2), makes=None, loss=()))  # fmt: skip
        changed = changes[seed % len(changes)]
        after = recorded(replace(made, recipes={**made.recipes, where: changed}), dish)
        assert not_worse(before, after), (seed, where)


def test_splitting_plain_lines_off_into_a_sub_recipe_changes_nothing() -> None:
    for seed in range(400):
        made = kitchen(seed, recipes=2)
        dish = made.recipes[list(made.recipes)[-1]]
        plain = [line for line in dish.lines if line.name in FOODS and not any(line.name in off.lines for off in dish.poured_off)]
        plain = [replace(line, trim=Span.of(0.0), kept=Span.of(1.0)) for line in plain]
        rest = [line for line in dish.lines if line.name not in {each.name for each in plain}]
        if not plain:
            continue
        whole = replace(dish, lines=(*rest, *plain))
        together = sum(line.amount.number.mid for line in plain)
        sub = Recipe("split off", "recipe", HERE, tuple(plain), equipment=())
        split = replace(dish, lines=(*rest, Line("split off", amount(together), HERE)))
        one = replace(made, recipes={**made.recipes, dish.name: whole})
        two = replace(made, recipes={**made.recipes, "split off": sub, dish.name: split})
        a, b = walked(one)[dish.name], walked(two)[dish.name]
        assert a[0] == pytest.approx(b[0], rel=1e-9)
        assert a[1] == pytest.approx(b[1], rel=1e-9, abs=1e-9)
        assert recorded(one, dish.name) == recorded(two, dish.name)


def test_doubling_a_batch_doubles_its_grams_and_leaves_the_portion_alone() -> None:
    for seed in range(100):
        made = kitchen(seed, recipes=1)
        dish = next(iter(made.recipes.values()))
        if dish.makes:
            continue
        lines = tuple(replace(line, amount=amount(line.amount.number.mid * 2)) for line in dish.lines)
        double = replace(made, recipes={dish.name: replace(dish, lines=lines, serves=Span.of(8))})
        one, two = workshop(made).record(dish), workshop(double).record(double.recipes[dish.name])
        assert one.weight_g.mid == pytest.approx(two.weight_g.mid)
        assert one.middle.totals == pytest.approx(two.middle.totals, rel=1e-9, abs=1e-9)


def test_every_contact_reaches_the_dish() -> None:
    """A path of any depth: what the deepest line holds stands in the dish's facts with the whole path."""
    chain = {"level 0": Recipe("level 0", "recipe", HERE,
                               (Line("sesame", amount(1), HERE, food=FOODS["sesame"], kept=Span.of(0.0)),), equipment=())}
    for depth in range(1, 9):
        line = Line(f"level {depth - 1}", amount(10), HERE, kept=Span.of(0.01))
        chain[f"level {depth}"] = Recipe(f"level {depth}", "recipe", HERE, (line, Line("water", amount(10), HERE, food="14411")),
                                         equipment=())  # fmt: skip
    made = Kitchen("deep", recipes=chain)
    facts = [fact for fact in workshop(made).facts(made.recipes["level 8"]) if fact.kind == "sesame"
             and fact.state in (CONTAINS, TO_CONFIRM)]  # fmt: skip
    assert facts and facts[0].path == tuple([f"level {depth}" for depth in range(8, -1, -1)] + ["sesame"])
