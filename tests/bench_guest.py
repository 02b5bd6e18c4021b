"""``guest`` over 500 dishes, once loaded: how long one guest's answer takes.

    python tests/bench_guest.py
"""

from __future__ import annotations

import time

from generated import HERE, kitchen, workshop
from msgspec.structs import replace

from labeller.serving import guest
from labeller.terms.kitchen import Course, Kitchen, Menu


def main(dishes: int = 500) -> None:
    recipes = {}
    for seed in range(dishes):
        for name, recipe in kitchen(seed, recipes=3).recipes.items():
            own = f"{seed} {name}"
            lines = tuple(replace(line, name=f"{seed} {line.name}") if line.name.startswith("recipe ") else
                          replace(line, leave_off=recipe.kind == "dish" and nr == 0)
                          for nr, line in enumerate(recipe.lines))  # fmt: skip
            recipes[own] = replace(recipe, name=own, lines=lines)
    made = Kitchen("bench", recipes=recipes)
    shop = workshop(made)
    names = [name for name, recipe in recipes.items() if recipe.kind == "dish"]
    menu = Menu("all", HERE, courses=tuple(Course((name,), HERE) for name in names))
    start = time.perf_counter()
    floor = guest.prepared(shop, menu)
    loaded = time.perf_counter()
    avoided = (guest.Avoided("celery", ("celery",)), guest.Avoided("sesame", ("sesame",)), guest.Avoided("milk", ("milk",)))
    times = []
    for _ in range(20):
        began = time.perf_counter()
        found = guest.answers(shop, menu, avoided, floor)
        times.append(time.perf_counter() - began)
    print(f"{len(found)} dishes prepared in {loaded - start:.2f} s; "
          f"one guest answered in {min(times) * 1000:.1f} ms (asked: 50 ms or less)")  # fmt: skip


if __name__ == "__main__":
    main()
