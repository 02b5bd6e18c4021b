"""Bounds of a dish over the kitchen's ranges: which there are, a portion at any setting of them, and the corners."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from msgspec import Struct

from labeller.serving.workshop import Workshop, portion_of, with_pieces
from labeller.terms.findings import Place
from labeller.terms.kitchen import Line, Recipe
from labeller.terms.nutrients import BASE, MOST
from labeller.terms.record import Corner
from labeller.terms.spans import Span
from labeller.working.batches import MIDDLE, ranges_of, work
from labeller.working.nutrients import content_of, corner_of
from labeller.working.ranges import corners

# Energy as laws add it up, in kcal: Regulation (EU) No 1169/2011, Annex XIV (carbohydrate without fibre, fibre 2; protein as
# nitrogen x 6.25) and 21 CFR 101.9(c)(1)(i)(B). Only to look for the corners that bound it; the laws' own files make the figure.
ENERGIES = ((("carbohydrate_g", 4.0), ("fibre_g", -2.0), ("fat_g", 9.0), ("nitrogen_g", 25.0), ("alcohol_g", 7.0)),
            (("carbohydrate_g", 4.0), ("fat_g", 9.0), ("protein_g", 4.0), ("alcohol_g", 7.0)),
            (("carbohydrate_g", 1.0), ("fibre_g", -1.0)))  # fmt: skip

MOST_OF = frozenset(MOST.values())  # they move with their figures


class RangeInPlay(Struct, frozen=True):
    """A range of the kitchen that a dish rests on. key: its id in a setting."""

    key: str
    span: Span
    words: str
    place: Place


def bounded(shop: Workshop, recipe: Recipe, family: Mapping[str, Recipe]) -> tuple[Corner, tuple[Corner, ...]]:
    """A portion at the middle, and at the corners that bound every figure of it."""
    evaluate = evaluator(shop, recipe, family)
    ids = {key for each in family.values() for key in ranges_of(*shop.inputs(each)[:2])}
    return evaluate(MIDDLE), corners(ids, evaluate, figures)


def evaluator(shop: Workshop, recipe: Recipe, family: Mapping[str, Recipe]) -> Callable[[Mapping[str, float]], Corner]:
    """Works a portion out at any setting of some ranges (0 low, 1 high; the others at their middle). What no range reaches is
    worked out once."""
    shop.ready_oil(family)
    batches = shop.batches(family)
    contents = shop.contents(family, batches, memo=True)
    moving: dict[str, Recipe] = {}
    for name, each in family.items():
        if ranges_of(*shop.inputs(each)[:2]) or any(child.name in moving for child in shop.children(each)):
            moving[name] = each

    def evaluate(setting: Mapping[str, float]) -> Corner:
        at, inside = dict(batches), dict(contents)
        for name, each in moving.items() if setting else ():
            measured, inputs, _ = shop.inputs(each)
            at[name] = with_pieces(work(measured, inputs, at, setting, shop.oil(each)))
            inside[name] = content_of(
                at[name], lambda ref: inside.get(ref.key) if ref.kind == "recipe" else shop.leaf_content(ref),
                shop.tables_retention)  # fmt: skip
        return corner_of(inside[recipe.name], portion_of(recipe, at[recipe.name]))

    return evaluate


def ranges_in_play(shop: Workshop, recipe: Recipe) -> tuple[RangeInPlay, ...]:
    """The kitchen's ranges that a dish rests on, with words for each."""
    found = []
    for each in shop.family(recipe).values():
        measured, inputs, _ = shop.inputs(each)
        lines = {item.key: item.line for item in inputs}
        for key, span in ranges_of(measured, inputs).items():
            line = lines.get(key.rsplit("/", 1)[0])
            found.append(RangeInPlay(key, span, _range_words(key, span, each, line), line.place if line else each.place))
    return tuple(found)


def _range_words(key: str, span: Span, recipe: Recipe, line: Line | None) -> str:
    """ "cider sauce 25 to 30 g", "water change of \"pie\" -12 to -8 %" """
    field = key.rsplit("/", 1)[-1]
    if line is not None and field == "grams":
        counted = line.amount is not None and line.amount.unit == "piece"
        return f"{line.name} {line.amount.text}" if counted else f"{line.name} {span.low:.4g} to {span.high:.4g} g"
    what = field if line is not None else key.removeprefix(f"{recipe.name}/").partition("/")[0]
    share = what in ("trim", "kept", "cooked", "poured off", "taken up", "picked up", "water change", "fat change", "alcohol",
                     "reduced share")  # fmt: skip
    number = f"{span.low * 100:.4g} to {span.high * 100:.4g} %" if share else f"{span.low:.4g} to {span.high:.4g}"
    number += " g" if what in ("makes", "piece", "reduced grams") else ""
    words = {"cooked": "cooked weight", "alcohol": "alcohol stays", "piece": "one piece", "reduced share": "reduced to",
             "reduced grams": "reduced to", "poured off": "stays in of what is poured off"}.get(what, what)  # fmt: skip
    return f"{line.name if line is not None else recipe.name}, {words}: {number}"


def figures(corner: Corner) -> tuple[float, ...]:
    """The figures whose bounds are looked for: every quantity and the energy of the laws, per portion and per gram; the
    weight."""
    totals = [corner.totals.get(key, 0.0) for key in BASE if key not in MOST_OF]
    totals += [sum(factor * corner.totals.get(key, 0.0) for key, factor in law) for law in ENERGIES]
    weight = corner.weight_g
    return (*totals, *((total / weight if weight else 0.0) for total in totals), weight)
