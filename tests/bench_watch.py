"""How long ``labeller check --watch`` takes from a save to its findings, for a kitchen of 500 recipes made by a seeded generator.

    python tests/bench_watch.py [RECIPES]

Prints seconds of the first check and of re-checks after several kinds of edits (asked: less than one second each).
"""

from __future__ import annotations

import random
import sys
import tempfile
import time
from pathlib import Path

FOODS = (
    "plain flour",
    "whole milk",
    "egg",
    "cod",
    "celery",
    "Dijon mustard",
    "sesame seeds",
    "almonds",
    "soy sauce",
    "sea salt",
    "water",
    "carrot",
    "unsalted butter",
    "beef",
    "caster sugar",
    "mussels",
    "peanuts",
    "rapeseed oil",
    "shallot",
    "garlic",
)
METHODS = ("simmered", "baked", "boiled", "roasted", "")


def line(rng: random.Random, name: str, ranges: float = 0.0) -> str:
    low, high = rng.randint(5, 20), rng.randint(21, 40)
    grams = f"{low}-{high} g" if rng.random() < ranges else f"{rng.randint(2, 900)} g"
    if rng.random() < 0.2:
        return f"    - {name}: {{amount: {grams}, trim: {rng.randint(1, 40)} %}}"
    return f"    - {name}: {grams}"


def recipe(rng: random.Random, nr: int, below: list[str]) -> str:
    """A batch of foods, a third of them with one batch of an earlier kind in it."""
    names = rng.sample(FOODS, rng.randint(4, 10)) + (rng.sample(below, 1) if below and rng.random() < 0.35 else [])
    out = [f"- recipe: recipe {nr}", "  ingredients:", *(line(rng, name) for name in names)]
    method = rng.choice(METHODS)
    if method:
        out.append(f"  method: {method}")
        out.append("  equipment: [deep fryer]" if rng.random() < 0.05 else f"  water change: -{rng.randint(2, 30)} %")
    return "\n".join(out)


def dish(rng: random.Random, nr: int, below: list[str]) -> str:
    """A plate of a few batches, some of them given as a range."""
    names = rng.sample(below, min(len(below), rng.randint(3, 6))) + rng.sample(FOODS, 2)
    return "\n".join([f"- dish: dish {nr}", "  portion:", *(line(rng, name, ranges=0.2) for name in names)])


def write_kitchen(folder: Path, recipes: int = 500, seed: int = 1) -> None:
    """A kitchen of so many recipes, a fifth of them dishes; ten to a file, as a kitchen keeps them. At most four batches deep."""
    rng = random.Random(seed)
    (folder / "recipes").mkdir(parents=True)
    (folder / "menus").mkdir()
    (folder / "kitchen.yaml").write_text(
        "kitchen: Generated\nlaw: uk\nequipment:\n  - deep fryer: {oil changed: 2026-11-24}\n", encoding="utf-8"
    )
    levels: list[list[str]] = [[], [], []]
    entries: list[str] = []
    batches = recipes * 4 // 5
    for nr in range(batches):
        level = 0 if nr < batches // 3 else rng.randint(0, 2)
        entries.append(recipe(rng, nr, [name for lower in levels[:level] for name in lower]))
        levels[level].append(f"recipe {nr}")
    below = [name for level in levels for name in level]
    entries += [dish(rng, nr, below) for nr in range(batches, recipes)]
    for start in range(0, recipes, 10):
        (folder / "recipes" / f"page-{start:04}.yaml").write_text(
            "\n\n".join(entries[start : start + 10]) + "\n", encoding="utf-8"
        )
    courses = "\n".join(f"  - dish {nr}" for nr in range(batches, min(recipes, batches + 12)))
    (folder / "menus" / "generated.yaml").write_text(
        f"menu: Generated\nfrom: 2026-11-01\nuntil: 2026-12-31\ncourses:\n{courses}\n", encoding="utf-8"
    )


EDITS = {
    "an amount in the last recipe": ("recipes/page-0490.yaml", " g", "0 g"),
    "an amount deep down": ("recipes/page-0000.yaml", " g", "0 g"),
    "a name that is not known": ("recipes/page-0250.yaml", "- celery: ", "- zzzberry: "),
    "a broken line": ("recipes/page-0120.yaml", "  ingredients:\n", "  ingredients:\n    - x: [\n"),
    "the oil of the fryer": ("kitchen.yaml", "2026-11-24", "2026-11-23"),
}


def edit(folder: Path, file: str, old: str, new: str) -> None:
    path = folder / file
    text = path.read_text(encoding="utf-8")
    assert old in text, f"{file} lacks {old!r}"
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def main() -> None:
    from labeller.serving.watching import Watch

    recipes = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "kitchen"
        write_kitchen(folder, recipes)
        start = time.perf_counter()
        watch = Watch(folder, "2026-11-25")
        first = watch.check()
        print(f"{recipes} recipes, {len(first.findings)} findings; first check {time.perf_counter() - start:.2f} s")
        for what, (file, old, new) in EDITS.items():
            if (folder / file).exists() and old in (folder / file).read_text(encoding="utf-8"):
                edit(folder, file, old, new)
                start = time.perf_counter()
                seen = watch.check()
                print(
                    f"{what}: {time.perf_counter() - start:.2f} s, {len(seen.new)} new, {len(seen.gone)} gone (asked: under 1 s)"
                )


if __name__ == "__main__":
    main()
