"""The whole kitchen in columns against the walk, recipe by recipe: weights, nutrients, known shares, and what is to be looked
at."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from generated import FOODS, HERE, kitchen, workshop
from msgspec.structs import replace

from labeller.serving.tables import Tables
from labeller.serving.workshop import Workshop
from labeller.terms.kitchen import Amount, Coating, FriedIn, Kitchen, Line, Loss, Makes, PouredOff, Recipe
from labeller.terms.spans import Span
from labeller.working.nutrients import water_findings

TEMPLATE = Path(__file__).resolve().parents[1] / "templates" / "kitchen"


def compared(shop: Workshop) -> int:
    """Holds the two ways together; returns how many batches were compared."""
    bulk, number = shop.all_batches(), 0
    for name, recipe in shop.kitchen.recipes.items():
        row = bulk.place[name]
        if not bulk.done[row]:
            continue
        family = shop.family(recipe)
        shop.ready_oil(family)
        batches = shop.batches(family)
        contents = shop.contents(family, batches)
        worked, content, fast = batches[name], contents[name], bulk.content(name)
        assert bulk.weight[row] == pytest.approx(worked.weight, rel=1e-9, abs=1e-9), name
        assert fast.known == pytest.approx(content.known, rel=1e-9, abs=1e-9), name
        for one, two, known in zip(fast.values, content.values, content.known, strict=True):
            assert not known or one == pytest.approx(two, rel=1e-9, abs=1e-9), name
        found = worked.findings or water_findings(worked, content, recipe.place)
        assert bool(bulk.look[row]) == bool(found), (name, found)
        number += 1
    return number


def test_generated_kitchens() -> None:
    assert sum(compared(workshop(kitchen(seed, recipes=4))) for seed in range(250)) == 1000


def grams(value: float) -> Amount:
    return Amount(f"{value:g} g", Span.of(value), "g")


def everything(rng: random.Random, nr: int, below: list[str]) -> Recipe:
    """A recipe with any of the steps that move mass, right and wrong ones."""
    names = rng.sample(sorted(FOODS), rng.randint(1, 5))
    lines = [Line(name, grams(rng.uniform(1, 500)), HERE, trim=Span.of(rng.choice((0, 0.2))),
                  kept=Span.of(rng.choice((1, 1, 0.5))),
                  food=FOODS[name], cooked_as=rng.choice(("", "", "3005", "864")),
                  cooking_yield=Span.of(rng.uniform(0.5, 2)) if rng.random() < 0.1 else None) for name in names]  # fmt: skip
    for name in rng.sample(below, min(len(below), rng.randint(0, 2))):
        amount = Amount("3 pieces", Span.of(3), "piece") if rng.random() < 0.3 else grams(rng.uniform(1, 300))
        lines.append(Line(name, amount, HERE, cooked_as=rng.choice(("", "", "3005"))))
    if rng.random() < 0.1:
        lines.append(Line("sherry", Amount("to taste", Span.of(0), "g", vague="to taste"), HERE, food="14057"))
    if rng.random() < 0.4:
        lines.append(Line("wine", grams(rng.uniform(10, 200)), HERE, food="14096"))
    more: dict = {}
    if rng.random() < 0.3:
        more["poured_off"] = (PouredOff((lines[0].name,), Span.of(rng.random()), HERE),)
    if rng.random() < 0.3 and len(lines) > 1:
        more["coating"] = Coating((lines[-1].name,), Span.of(rng.uniform(0, 0.3)), HERE)
    if rng.random() < 0.3:
        more["fried_in"] = FriedIn(rng.choice(["rapeseed oil", *below[:1]]), Span.of(rng.uniform(0, 0.2)), HERE, food="")
    if rng.random() < 0.3:
        more["alcohol_stays"] = Span.of(rng.random())
    more |= rng.choice([{}, {}, {"water_change": Span.of(rng.uniform(-0.4, 0.4))},
                        {"fat_change": Span.of(rng.uniform(-0.05, 0.02))},
                        {"reduced_to": (Span.of(rng.uniform(0.4, 1.1)), None)},
                        {"reduced_to": (None, Span.of(rng.uniform(50, 900)))}])  # fmt: skip
    total = sum(line.amount.number.mid for line in lines)
    if rng.random() < 0.5:
        more["makes"] = rng.choice([Makes(HERE, "", Span.of(total * rng.uniform(0.5, 1.05))),
                                    Makes(HERE, "", None, None, Span.of(12)),
                                    Makes(HERE, "", None, None, Span.of(10),
                                          Span.of(total * rng.uniform(0.05, 0.1)))])  # fmt: skip
        split = sorted((rng.random(), rng.random()))
        shares = (("evaporated", split[0]), ("left behind", split[1] - split[0]), ("fat", 1 - split[1]))
        more["loss"] = rng.choice([(), tuple(Loss(kind, share, HERE) for kind, share in shares),
                                   (Loss("evaporated", 1.0, HERE),)])  # fmt: skip
    if rng.random() < 0.3:
        more["serves"] = Span.of(4)
    return Recipe(f"recipe {nr}", "recipe", HERE, tuple(lines), equipment=(), method=rng.choice(("", "", "boiled", "roasted")),
                  **more)  # fmt: skip


def test_every_step_right_and_wrong() -> None:
    for seed in range(150):
        rng, made = random.Random(seed), {}
        for nr in range(6):
            each = everything(rng, nr, list(made))
            made[each.name] = each
        assert compared(workshop(Kitchen("every step", recipes=made))) == 6


def test_rings_unknown_names_and_empty_recipes_are_left_to_the_walk() -> None:
    def of(name: str, *lines: Line) -> Recipe:
        return Recipe(name, "recipe", HERE, lines, equipment=())

    made = {"one": of("one", Line("two", grams(10), HERE)), "two": of("two", Line("one", grams(10), HERE)),
            "above": of("above", Line("one", grams(5), HERE), Line("salt", grams(5), HERE, food="02047")), "empty": of("empty"),
            "plain": of("plain", Line("salt", grams(5), HERE, food="02047"), Line("what is this", grams(3), HERE))}  # fmt: skip
    shop = workshop(Kitchen("ring", recipes=made))
    assert {each.subject for each in shop.reading_findings if each.code == "ring-of-recipes"} == {"one", "two"}
    bulk = shop.all_batches()  # the ring is cut where it closes, and its two recipes are stopped
    assert bulk.look[bulk.place["two"]] and bulk.look[bulk.place["empty"]]
    assert bulk.weight[bulk.place["plain"]] == 8


def test_the_demo_kitchen() -> None:
    from labeller.reading.kitchen import read_kitchen

    made, findings = read_kitchen(TEMPLATE)
    assert compared(Workshop(made, Tables(), findings)) == len(made.recipes)


def test_a_chain_of_any_depth() -> None:
    made = {"level 0": Recipe("level 0", "recipe", HERE, (Line("salt", grams(10), HERE, food="02047"),), equipment=())}
    for depth in range(1, 300):
        made[f"level {depth}"] = Recipe(f"level {depth}", "recipe", HERE, (
            Line(f"level {depth - 1}", grams(10), HERE), Line("water", grams(1), HERE, food="14411")), equipment=())  # fmt: skip
    shop = workshop(replace(kitchen(1), recipes=made))
    bulk = shop.all_batches()
    assert bulk.weight[bulk.place["level 299"]] == 11 and bulk.done.all()
