"""A made-up menu as the floor page gets it, dishes by the dozen, and what a waiter's finger does on the page."""

from __future__ import annotations

import json
import random

from browser import Browser
from msgspec.structs import replace
from sheets_kitchen import CAUTIONS

from labeller.terms.allergens import CONTAINS, MAY_CONTAIN, STATES
from labeller.terms.floor import INSTEAD, LEAVE_OFF, Avoid, Change, FloorCourse, FloorData, FloorDish, Option, OptionState

KEYS = ("milk", "celery", "sesame", "tree_nuts", "hazelnut", "fish", "wheat", "constructor", "__proto__")
NASTY = "</script><script>document.title='owned'</script><!-- & \u2028 “quoted” 'x' \\"


def states(**given: str) -> dict[str, OptionState]:
    return {key: OptionState(state, (f"{key} from somewhere",)) for key, state in given.items()}


def dish(*options: Option, name: str = "plate", stopped: bool = False) -> FloorDish:
    return FloorDish(name, (), stopped, options)


WITHOUT = Change("dill cream", LEAVE_OFF)
WITH = Change("rye cracker", INSTEAD, "buckwheat cracker")


def data(**other: object) -> FloorData:
    avoids = tuple(Avoid(key, key.replace("_", " "), (f"word of {key}",), (key,)) for key in KEYS[:7])
    avoids += (Avoid("nuts", "any nut", ("nuts",), ("tree_nuts", "hazelnut")),)
    plates = (dish(Option((), states(milk=CONTAINS)), Option((WITHOUT,), {}), name="Trout, rye, dill"),
              dish(Option((), states(celery=MAY_CONTAIN)), name="Celeriac"), dish(name="Żurek", stopped=True),
              dish(Option((), states(hazelnut=CONTAINS, tree_nuts=CONTAINS)), name="Φουντούκι"))  # fmt: skip
    made = "25 November 2026, 15:10"
    one = FloorData("Fennel House", "December tasting", "2026-12-01", "2026-12-07", made, "eu", "v1", "d1", avoids,
                    (FloorCourse("Snacks", plates[:2]), FloorCourse("Main", plates[2:])), CAUTIONS, "the chef")  # fmt: skip
    return replace(one, **other)


def generated(seed: int) -> list[FloorDish]:
    """Dishes with many options and states, the same for the same seed."""
    pick = random.Random(seed)
    out = []
    for number in range(60):
        options = []
        for place in range(pick.randint(0, 5)):
            parts = pick.sample(("cream", "crumb", "oil", "jus"), pick.randint(1, 3)) if place else []
            changes = tuple(Change(part, *pick.choice(((LEAVE_OFF, ""), (INSTEAD, f"other {part}")))) for part in parts)
            held = {key: OptionState(pick.choice((*STATES, "a state of tomorrow")),
                                     tuple(f"reason {n}" for n in range(pick.randint(0, 2))))
                    for key in KEYS if pick.random() < 0.5}  # fmt: skip
            options.append(Option(changes, held))
        out.append(FloorDish(f"dish {number}", (), pick.random() < 0.1, tuple(options)))
    return out


def tick(browser: Browser, name: str) -> None:
    browser.run(f"[...document.querySelectorAll('#avoids label')].find(l => l.querySelector('span').firstChild.textContent"
                f" === {json.dumps(name)}).click()")  # fmt: skip


def shown(browser: Browser) -> list[str]:
    """What the page says, dish by dish, of the seat that is chosen."""
    return browser.run("[...document.querySelectorAll('#menu .dish')]"
                       ".map(d => d.innerText.split('\\n').filter(Boolean).join(' | '))")  # fmt: skip


