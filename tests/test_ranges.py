"""Bounds over the kitchen's ranges: against a Monte Carlo run of kitchens with drawn numbers, and climbing against every
corner."""

from __future__ import annotations

import random

import pytest
from generated import FOODS, HERE, TABLES, workshop
from msgspec.structs import replace

from labeller.serving.bounds import figures as all_figures
from labeller.serving.workshop import Workshop, portion_of
from labeller.terms.kitchen import Amount, Coating, FriedIn, Kitchen, Line, Loss, Makes, PouredOff, Recipe
from labeller.terms.nutrients import INDEX
from labeller.terms.record import Corner
from labeller.terms.spans import Span
from labeller.working import ranges
from labeller.working.batches import ranges_of
from labeller.working.nutrients import corner_of
from labeller.working.ranges import corners

KEYS = ("energy_kcal", "protein_g", "fat_g", "carbohydrate_g", "sodium_mg", "water_g", "calcium_mg")


class Making:
    """A kitchen of three levels with some numbers given as ranges."""

    def __init__(self, seed: int, share: float):
        self.rng, self.share = random.Random(seed), share

    def span(self, low: float, high: float) -> Span:
        if self.rng.random() < self.share:
            a, b = sorted((self.rng.uniform(low, high), self.rng.uniform(low, high)))
            return Span.between(a, b)
        return Span.of(self.rng.uniform(low, high))

    def line(self, name: str, most: float = 500) -> Line:
        trim = self.span(0.05, 0.3) if self.rng.random() < 0.3 else Span.of(0)
        kept = self.span(0.4, 0.9) if self.rng.random() < 0.2 else Span.of(1)
        return Line(name, Amount("", self.span(most / 5, most), "g"), HERE, trim=trim, kept=kept, food=FOODS.get(name, ""))

    def recipe(self, name: str, below: list[str]) -> Recipe:
        rng = self.rng
        names = rng.sample(sorted(FOODS), rng.randint(2, 3))
        lines = [self.line(each) for each in names] + [self.line(each, 200) for each in below]
        more: dict = {}
        how = rng.choice(("nothing", "change", "reduce", "makes", "pour", "fry"))
        if how == "change":
            more["water_change"] = self.span(-0.3, 0.0)
        elif how == "reduce":
            more["reduced_to"] = (self.span(0.6, 0.9), None)
        elif how == "pour":
            more["poured_off"] = (PouredOff((names[0],), self.span(0.1, 0.6), HERE),)
        elif how == "fry":
            more |= {"fried_in": FriedIn("rapeseed oil", self.span(0.03, 0.12), HERE, food=FOODS["rapeseed oil"]),
                     "water_change": self.span(-0.3, -0.1)}  # fmt: skip
        elif how == "makes":
            least = sum(line.amount.number.low * (1 - line.trim.high) * line.kept.low for line in lines)
            a = rng.choice((0.0, 0.5, 1.0))
            more |= {"makes": Makes(HERE, "", self.span(least * 0.7, least * 0.95)),
                     "loss": (Loss("evaporated", a, HERE), Loss("left behind", 1 - a, HERE))}  # fmt: skip
        return Recipe(name, "recipe", HERE, tuple(lines), equipment=(), **more)

    def kitchen(self) -> Kitchen:
        one = self.recipe("one", [])
        two = self.recipe("two", ["one"])
        dish = replace(self.recipe("dish", ["two", "one"]), kind="dish", serves=Span.of(4))
        return Kitchen("ranged", recipes={each.name: each for each in (one, two, dish)})


def ids_of(shop: Workshop) -> set[str]:
    family = shop.family(shop.kitchen.recipes["dish"])
    return {key for each in family.values() for key in ranges_of(*shop.inputs(each)[:2])}


def drawn(made: Kitchen, rng: random.Random) -> Kitchen:
    """The same kitchen with one number drawn from each range: near its ends as often as inside."""

    def one(span: Span | None) -> Span | None:
        return span if span is None or not span.is_range else Span.of(span.at(rng.choice((0.02, 0.98, rng.random()))))

    def of(recipe: Recipe) -> Recipe:
        lines = tuple(replace(line, amount=replace(line.amount, number=one(line.amount.number)), trim=one(line.trim),
                              kept=one(line.kept))
                      for line in recipe.lines)  # fmt: skip
        fried = recipe.fried_in and replace(recipe.fried_in, taken_up=one(recipe.fried_in.taken_up))
        makes = recipe.makes and replace(recipe.makes, grams=one(recipe.makes.grams), piece_grams=one(recipe.makes.piece_grams))
        off = tuple(replace(each, stays=one(each.stays)) for each in recipe.poured_off)
        reduced = recipe.reduced_to and tuple(one(each) for each in recipe.reduced_to)
        coating = recipe.coating and replace(recipe.coating, picked_up=one(recipe.coating.picked_up))
        return replace(recipe, lines=lines, fried_in=fried, makes=makes, poured_off=off, reduced_to=reduced, coating=coating,
                       water_change=one(recipe.water_change), serves=one(recipe.serves))  # fmt: skip

    return replace(made, recipes={name: of(each) for name, each in made.recipes.items()})


def plate(made: Kitchen) -> Corner:
    """The dish at the middle of a kitchen without ranges."""
    shop = workshop(made)
    dish = made.recipes["dish"]
    family = shop.family(dish)
    shop.ready_oil(family)
    batches = shop.batches(family)
    return corner_of(shop.contents(family, batches)["dish"], portion_of(dish, batches["dish"]))


def figures(corner: Corner) -> dict[str, float]:
    found = {key: corner.totals[key] for key in KEYS}
    found |= {f"{key} per 100 g": corner.totals[key] / corner.weight_g * 100 for key in KEYS}
    return found | {"weight": corner.weight_g}


def bounds(shop: Workshop) -> dict[str, tuple[float, float]]:
    dish = shop.kitchen.recipes["dish"]
    middle, ends = shop._figures(dish, shop.family(dish))
    all_of = [figures(each) for each in (middle, *ends)]
    return {key: (min(each[key] for each in all_of), max(each[key] for each in all_of)) for key in all_of[0]}


@pytest.mark.parametrize("seed", range(24))
def test_a_monte_carlo_run_lies_inside_the_bounds_and_comes_near_them(seed: int) -> None:
    made = Making(seed, 0.25).kitchen()
    shop = workshop(made)
    number = len(ids_of(shop))
    limits, rng = bounds(shop), random.Random(seed)
    runs = [figures(plate(drawn(made, rng))) for _ in range(250)]
    for key, (low, high) in limits.items():
        values = [run[key] for run in runs]
        noise = 1e-9 * max(abs(low), abs(high), 1e-9)
        assert low - noise <= min(values) and max(values) <= high + noise, key
        if 0 < number <= 4:
            assert max(values) - min(values) >= 0.85 * (high - low), key


@pytest.mark.parametrize("seed", range(30))
def test_climbing_finds_what_every_corner_shows(seed: int, monkeypatch) -> None:
    """Seven to ten ranges, so that every corner can still be worked out beside the climb."""
    made = next(each for each in (Making(seed * 1000 + more, 0.45).kitchen() for more in range(200))
                if 7 <= len(ids_of(workshop(each))) <= 9)  # fmt: skip
    climbed = bounds(workshop(made))
    monkeypatch.setattr(ranges, "ALL_CORNERS", 10)
    every = bounds(workshop(made))
    for key in every:
        assert climbed[key] == pytest.approx(every[key], rel=1e-9, abs=1e-12), key


def test_climbing_works_out_fewer_corners() -> None:
    """Twelve ranges have 4096 corners; a weighted sum needs a few dozen."""
    calls = []

    def evaluate(setting):
        calls.append(1)
        value = sum((nr + 1) * where * (-1) ** nr for nr, where in enumerate(setting.values()))
        return Corner(1.0, {"fat_g": value}, {"fat_g": 1.0})

    found = corners([f"r/{nr}" for nr in range(12)], evaluate, lambda corner: (corner.totals["fat_g"], corner.weight_g))
    values = [corner.totals["fat_g"] for corner in found]
    places = sorted(f"r/{nr}" for nr in range(12))
    weights = [(nr + 1) * (-1) ** nr for nr in range(len(places))]
    assert max(values) == sum(weight for weight in weights if weight > 0)
    assert min(values) == sum(weight for weight in weights if weight < 0)
    assert len(calls) < 120


def test_no_range_no_corner() -> None:
    assert corners((), lambda setting: Corner(1, {}, {}), all_figures) == ()


def grams(low: float, high: float | None = None) -> Amount:
    return Amount("", Span.of(low) if high is None else Span.between(low, high), "g")


def test_an_input_shared_by_two_ways_moves_once() -> None:
    """Stock of 900-1100 g water and 10 g salt, in a sauce and in a soup, both on one plate. Were the stock's range counted once
    for each way, the salt could be high in the one and low in the other. By hand: salt per g of stock is 10/(10+w); the plate
    holds 100 g + 200 g of stock: 300 x 10/(10+w), w from 900 to 1100: 3.2967 g down to 2.7027 g."""
    stock = Recipe("stock", "recipe", HERE, (Line("water", grams(900, 1100), HERE, food="14411"),
                                             Line("salt", grams(10), HERE, food="02047")), equipment=())  # fmt: skip
    sauce = Recipe("sauce", "recipe", HERE, (Line("stock", grams(500), HERE),), equipment=())
    soup = Recipe("soup", "recipe", HERE, (Line("stock", grams(700), HERE),), equipment=())
    dish = Recipe("dish", "dish", HERE, (Line("sauce", grams(100), HERE), Line("soup", grams(200), HERE)), equipment=(),
                  serves=Span.of(1))  # fmt: skip
    record = workshop(Kitchen("shared", recipes={each.name: each for each in (stock, sauce, soup, dish)})).record(dish)
    salt, water = (TABLES.foods.get(code).values[INDEX["sodium_mg"]] / 100 for code in ("02047", "14411"))
    expected = [300 * (10 * salt + w * water) / (10 + w) for w in (1100, 900)]
    assert sorted(each.totals["sodium_mg"] for each in record.corners) == pytest.approx(expected)


def test_under_a_weighed_batch_a_range_moves_water_only() -> None:
    """Cream 400-500 g reduced to a weighed 300 g by boiling: the portion weighs the same, its water makes up for the cream."""
    cream = Recipe("reduced cream", "recipe", HERE, (Line("cream", grams(400, 500), HERE, food="01053"),),
                   makes=Makes(HERE, "300 g", Span.of(300)), loss=(Loss("evaporated", 1.0, HERE),), equipment=())  # fmt: skip
    dish = Recipe("dish", "dish", HERE, (Line("reduced cream", grams(30), HERE),), equipment=(), serves=Span.of(1))
    record = workshop(Kitchen("weighed", recipes={"reduced cream": cream, "dish": dish})).record(dish)
    low, high = record.corners
    assert low.weight_g == high.weight_g == 30
    fat, water = (TABLES.foods.get("01053").values[INDEX[key]] / 100 for key in ("fat_g", "water_g"))
    assert [each.totals["fat_g"] for each in (low, high)] == pytest.approx([400 * fat / 10, 500 * fat / 10])
    assert [each.totals["water_g"] for each in (low, high)] == pytest.approx([(400 * water - 100) / 10, (500 * water - 200) / 10])


def test_counted_pieces_share_the_batch() -> None:
    """60 crackers of 7-8 g from 500 g of flour: a cracker holds a sixtieth of the flour's protein whatever it weighs."""
    cracker = Recipe("cracker", "recipe", HERE,
                     (Line("plain flour", grams(500), HERE, food="20481"), Line("water", grams(200), HERE, food="14411")),
                     makes=Makes(HERE, "", None, None, Span.of(60), Span.between(7, 8)), loss=(Loss("evaporated", 1.0, HERE),),
                     equipment=())  # fmt: skip
    dish = Recipe("dish", "dish", HERE, (Line("cracker", Amount("2 pieces", Span.of(2), "piece"), HERE),), equipment=(),
                  serves=Span.of(1))  # fmt: skip
    record = workshop(Kitchen("pieces", recipes={"cracker": cracker, "dish": dish})).record(dish)
    protein = TABLES.foods.get("20481").values[INDEX["protein_g"]] * 5 / 60 * 2
    assert [each.totals["protein_g"] for each in record.corners] == pytest.approx([protein, protein])
    assert record.weight_g == pytest.approx((14, 15, 16))


def test_coating_picked_up_is_bounded() -> None:
    crumb = Recipe("dish", "dish", HERE,
                   (Line("cod", grams(400), HERE, food="15015"), Line("plain flour", grams(200), HERE, food="20481")),
                   coating=Coating(("plain flour",), Span.between(0.05, 0.15), HERE), equipment=(),
                   serves=Span.of(4))  # fmt: skip
    record = workshop(Kitchen("coated", recipes={"dish": crumb})).record(crumb)
    assert record.weight_g == pytest.approx((105, 110, 115))
