"""How fast a whole kitchen is worked out once it is read, beside a floor and a plain loop in the same run; and its memory.

    python tests/bench_engine.py [RECIPES ...]

Floor: one sparse product a level of nesting with its assembly (SciPy where there is one), mass and plain sums only. Loop: a
recursive Python loop over recipes and nutrients. Ours: the engine's columns from lines that are ready for weighing, every step of
the mass, 51 nutrients and the share of weight that each is known for. Ready: from the kitchen as read to those lines (names
looked up, amounts turned to grams, treatments chosen). Walk: the same recipes one by one, as a single dish is worked out. Times
are those of the processor (all of it runs in one thread), the best of several runs; floor and loop stand in the same run because
machines differ.
"""

from __future__ import annotations

import random
import sys
import time
import tracemalloc
from collections.abc import Callable

import numpy as np
from generated import FOODS, HERE, TABLES, amount

from labeller.serving.workshop import Workshop
from labeller.terms.kitchen import Kitchen, Line, Loss, Makes, PouredOff, Recipe
from labeller.terms.nutrients import BASE
from labeller.terms.spans import Span

ASKED = 50_000  # recipes a second
TIERS = ((0.5, 0), (0.85, 1), (1.0, 2))  # half components, then preparations made of them, then dishes


def recipe(rng: random.Random, nr: int, below: range) -> Recipe:
    """Two to nine lines, up to three of them sub-recipes; a third of the batches lose water or are weighed or poured off,
    half of them are cooked by a method."""
    names = rng.sample(sorted(FOODS), rng.randint(2, 6))
    lines = [Line(name, amount(round(rng.uniform(5, 500), 1)), HERE, food=FOODS[name]) for name in names]
    if below:
        lines += [Line(f"recipe {each}", amount(round(rng.uniform(5, 200), 1)), HERE)
                  for each in rng.sample(below, rng.randint(1, 3))]  # fmt: skip
    more: dict = {}
    kind = rng.random()
    if kind < 0.2:
        more["water_change"] = Span.of(round(rng.uniform(-0.3, 0), 3))
    elif kind < 0.3:
        total = sum(line.amount.number.mid for line in lines)
        more |= {"makes": Makes(HERE, "", Span.of(round(total * 0.9))),
                 "loss": (Loss("evaporated", 0.5, HERE), Loss("left behind", 0.5, HERE))}  # fmt: skip
    elif kind < 0.35:
        more["poured_off"] = (PouredOff((lines[0].name,), Span.of(0.2), HERE),)
    method = rng.choice(("", "", "boiled", "baked"))
    return Recipe(f"recipe {nr}", "recipe", HERE, tuple(lines), equipment=(), method=method, **more)


def kitchen(number: int) -> Kitchen:
    rng, made = random.Random(7), {}
    ends = [0, *(int(number * share) for share, _ in TIERS)]
    for tier, (start, end) in enumerate(zip(ends, ends[1:], strict=False)):
        below = range(ends[tier]) if tier else range(0)
        for nr in range(start, end):
            each = recipe(rng, nr, below)
            made[each.name] = each
    return Kitchen("large", recipes=made)


def best(work: Callable[[], object], runs: int = 5) -> float:
    times = []
    for _ in range(runs):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return min(times)


def plain(shop: Workshop) -> list[tuple[str, list[tuple[str, float]], float]]:
    """What floor and loop start from: (name, [(code or recipe, grams)], water change as a share)."""
    out = []
    for each in shop.kitchen.recipes.values():
        lines = [(item.ref.key, item.grams.mid) for item in shop.inputs(each)[1]]
        out.append((each.name, lines, each.water_change.mid if each.water_change else 0.0))
    return out


def floor(recipes, table: dict[str, int], values) -> Callable[[], object]:
    try:
        from scipy.sparse import csr_matrix
    except ImportError:
        csr_matrix = None

    def run():
        place = {name: nr for nr, (name, _, _) in enumerate(recipes)}
        foods = len(table)
        pointers, columns, grams = [0], [], []
        for _, lines, _ in recipes:
            for key, g in lines:
                columns.append(table[key] if key in table else foods + place[key])
                grams.append(g)
            pointers.append(len(columns))
        columns, grams, pointers = np.array(columns), np.array(grams), np.array(pointers)
        change = np.array([change for _, _, change in recipes])
        weight = np.add.reduceat(grams, pointers[:-1]) * (1 + change)
        known = np.zeros((foods + len(recipes), values.shape[1]))
        known[:foods] = values
        ends = [0, *(int(len(recipes) * share) for share, _ in TIERS)]
        for start, end in zip(ends, ends[1:], strict=False):
            a, b = pointers[start], pointers[end]
            if csr_matrix is None:
                sums = np.add.reduceat(known[columns[a:b]] * grams[a:b, None], pointers[start:end] - a)
            else:
                sums = csr_matrix((grams[a:b], columns[a:b], pointers[start : end + 1] - a),
                                  shape=(end - start, len(known))) @ known  # fmt: skip
            known[foods + start : foods + end] = sums / weight[start:end, None]
        return known

    return run


def loop(recipes, table: dict[str, int], values) -> Callable[[], object]:
    rows = {key: tuple(values[nr].tolist()) for key, nr in table.items()}
    by_name = {name: (lines, change) for name, lines, change in recipes}

    def run():
        done: dict[str, list[float]] = {}

        def of(name: str) -> list[float]:
            if name not in done:
                lines, change = by_name[name]
                totals, weight = [0.0] * len(BASE), 0.0
                for key, grams in lines:
                    row = rows[key] if key in rows else of(key)
                    weight += grams
                    for nr, value in enumerate(row):
                        totals[nr] += value * grams
                weight *= 1 + change
                done[name] = [total / weight for total in totals]
            return done[name]

        for name in by_name:
            of(name)
        return done

    return run


def measured(number: int) -> None:
    made = kitchen(number)
    lines = sum(len(each.lines) for each in made.recipes.values())
    shop = Workshop(made, TABLES)
    start = time.process_time()
    ready = shop.ready_lines()
    readied = time.process_time() - start
    recipes = plain(shop)
    codes = sorted({key for _, each, _ in recipes for key, _ in each if key not in made.recipes})
    table = {code: nr for nr, code in enumerate(codes)}
    values = np.array([[value or 0.0 for value in TABLES.foods.get(code).values] for code in codes]) / 100
    floored, ours = best(floor(recipes, table, values)), best(lambda: shop.all_batches(ready))
    looped = best(loop(recipes, table, values), 2) if number <= 20_000 else None
    tracemalloc.start()
    kept = shop.all_batches(ready)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert kept.done.all()
    print(f"{number:8} recipes, {lines / number:.1f} lines each: floor {number / floored:9,.0f}/s   "
          f"loop {'' if looped is None else format(number / looped, '9,.0f') + '/s'}   ours {number / ours:9,.0f}/s "
          f"({ours / number * 1e6:.2f} us a recipe)   ready {number / readied:9,.0f}/s   "
          f"memory {peak / lines:5.0f} bytes a line")  # fmt: skip
    if number == 10_000:
        walk = Workshop(made, TABLES)
        start = time.process_time()
        walk.contents(made.recipes, walk.batches(made.recipes), memo=True)
        took = time.process_time() - start
        print(f"{'':8} walk, lines made ready too: {number / took:,.0f}/s; "
              f"ours {'reaches' if number / ours >= ASKED else 'falls short of'} the {ASKED:,}/s asked")  # fmt: skip


if __name__ == "__main__":
    for each in [int(word) for word in sys.argv[1:]] or [100, 1_000, 10_000, 100_000]:
        measured(each)
