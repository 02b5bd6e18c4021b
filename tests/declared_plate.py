"""A made-up plate for the tests of `declaring`, and the laws it is declared under."""

from __future__ import annotations

from pathlib import Path

import yaml
from msgspec.structs import replace

from labeller.declaring.declare import declare
from labeller.reading.law_lists import load_law_lists
from labeller.reading.laws import LAWS, load_law
from labeller.reading.library import reference, yaml_text
from labeller.terms.allergens import (
    CONTAINS,
    AllergenFact,
    Kind,
)
from labeller.terms.findings import NOWHERE, Place
from labeller.terms.kitchen import Batch, Kitchen, NetWeight, Recipe, ShelfLife
from labeller.terms.record import Corner, DishRecord, Ingredient
from labeller.terms.spans import Span

DAY = "2026-11-25"
FIVE = yaml.safe_load((Path(__file__).parent / "published" / "five_laws.yaml").read_text(encoding="utf-8"))
LAW = {key: load_law(key, DAY) for key in LAWS}
LISTS = load_law_lists(DAY)
KINDS = {
    row["key"]: Kind(row["key"], row["group"], row["name"], row["parent"], tuple(row["also"]))
    for row in yaml_text(reference("allergens", "kinds.yaml"))
}
KITCHEN = Kitchen("Larch House", address="1 High Street, Norwich")
HERE_LINE = Place("recipes/x.yaml", 3)


def corner(weight: float, amounts: dict[str, float], known: dict[str, float] | None = None) -> Corner:
    return Corner(weight, dict(amounts), {key: 1.0 for key in amounts} | (known or {}))


def dish(
    amounts: dict[str, float] | None = None, weight: float = 100.0, known: dict[str, float] | None = None, **more
) -> DishRecord:
    base = DishRecord("plate", "dish", Span.of(weight), 1, corner(weight, amounts or {}, known))
    return replace(base, **more)


def made(record: DishRecord, law: str = "eu", recipe: Recipe | None = None, **more):
    return declare(record, LAW[law], recipe=recipe, kitchen=KITCHEN, kinds=KINDS, lists=LISTS, date=DAY, **more)


def fact(kind: str, state: str = CONTAINS, **more) -> AllergenFact:
    return AllergenFact(kind, state, more.pop("route", "recipe"), "pack, checked 2026-10-02", ("plate", kind), HERE_LINE, **more)


def codes(declaration) -> list[str]:
    return [found.code for found in declaration.findings]


def marked(declaration) -> str:
    return "".join(f"*{run.text}*" if run.emphasis else run.text for run in declaration.statement)


def line_of(law: str, key: str):
    return next(line for line in LAW[law].lines if line.key == key)


TROUT = (
    Ingredient("dill cream", 11, under=(Ingredient("crème fraîche", 8, kinds=("milk",)), Ingredient("dill", 1))),
    Ingredient(
        "poached trout",
        12,
        under=(
            Ingredient("sea salt", 0.1),
            Ingredient("trout fillet", 11, kinds=("trout",)),
            Ingredient("whole milk", 0, kinds=("milk",), aid=True),
            Ingredient("bay leaf", 0, aid=True),
        ),
    ),
    Ingredient(
        "rye cracker",
        7.5,
        under=(
            Ingredient("rye flour", 5, kinds=("rye",)),
            Ingredient("water", 3, water=True, finished_g=0.3),
            Ingredient("spelt", 1, kinds=("spelt",)),
        ),
    ),
    Ingredient(
        "white miso paste",
        3,
        kinds=("soybeans", "barley"),
        printed="Ingredients: water, SOYA beans, rice, BARLEY koji, salt, alcohol. May contain sesame.",
    ),
)
FACTS = tuple(fact(kind) for kind in ("trout", "milk", "rye", "spelt", "soybeans", "barley"))

PACK = Recipe(
    "canapé box",
    "pack",
    Place("recipes/box.yaml", 1),
    (),
    sold="prepacked",
    legal_name="trout canapés",
    shelf_life=ShelfLife("use by", 2, "packing", "RM", NOWHERE),
    net_weight=NetWeight(288.4, True, NOWHERE),
    store="Keep below 5 °C",
)


def boxed(law: str = "eu", recipe: Recipe = PACK, batch: Batch | None = None, weight: float = 100.0, **more):
    """A pack of which every figure is known."""
    return made(dish(FIVE["amounts"], weight, kind="pack", name="canapé box", ingredients=TROUT), law, recipe, batch=batch,
                **more)  # fmt: skip
