"""What a short list of ingredients may leave out: Regulation (EU) No 1169/2011, Annex VII part A item 1 (read) and part E item 2
(from memory). Never an allergen, never an additive, and only where the kitchen asks."""

from __future__ import annotations

import pytest
from declared_plate import KINDS, LAW, LISTS, dish

from labeller.declaring.naming import Names
from labeller.declaring.statement import statement
from labeller.terms.record import Ingredient

BEANS = Ingredient("beans", 90.0)
MIX = (Ingredient("cumin", 0.6), Ingredient("coriander seed", 0.4))


def listed(*ingredients: Ingredient, short: bool = True, law: str = "eu", weight: float = 100.0) -> str:
    names = Names(LAW[law], LAW[law].words["en"], KINDS, LISTS)
    runs = statement(dish(weight=weight, ingredients=ingredients), names, short=short)
    return "".join(f"*{run.text}*" if run.emphasis else run.text for run in runs)


def water(grams: float, finished: float | None = None) -> Ingredient:
    return Ingredient("water", grams, water=True, finished_g=grams if finished is None else finished)


@pytest.mark.parametrize(("finished", "told"), [(5.0, False), (5.01, True)])
def test_a_little_water(finished, told):
    """Not over 5 % of the finished food, whatever went in."""
    for law in ("eu", "uk"):
        assert ("water" in listed(BEANS, water(30.0, finished), law=law)) is told
        assert "water" in listed(BEANS, water(30.0, finished), law=law, short=False)


def test_all_the_water_counts_together():
    dough = Ingredient("cracker", 20.0, under=(Ingredient("rye flour", 17.0, kinds=("rye",)), water(3.0)))
    assert listed(BEANS, dough, water(2.0)) == "beans, cracker (*rye* flour)"
    assert listed(BEANS, dough, water(2.1)) == "beans, cracker (*rye* flour, water), water"


@pytest.mark.parametrize("flesh", [Ingredient("minced beef", 50.0), Ingredient("turbot fillet", 50.0, kinds=("turbot",))])
def test_water_beside_meat_or_fish_is_told(flesh):
    assert "water" in listed(flesh, water(1.0))


def test_water_whose_rest_is_not_known_is_told():
    assert "water" in listed(BEANS, Ingredient("water", 1.0, water=True))


@pytest.mark.parametrize(("grams", "opened"), [(1.99, False), (2.0, True)])
def test_a_mixture_of_spices(grams, opened):
    """Below 2 % of the finished food."""
    assert ("cumin" in listed(BEANS, Ingredient("spice mix", grams, under=MIX))) is opened
    assert "cumin" in listed(BEANS, Ingredient("spice mix", grams, under=MIX), short=False)
    assert ("cumin" in listed(BEANS, Ingredient("Garam Masala", grams, printed="cumin, coriander"))) is opened


def test_another_compound_is_opened():
    assert "cumin" in listed(BEANS, Ingredient("seasoning", 1.0, under=MIX))


def test_its_allergens_stay():
    dukkah = Ingredient("dukkah", 1.0, under=(*MIX, Ingredient("hazelnut", 0.3, kinds=("hazelnut",)),
                                              Ingredient("sesame seed", 0.2, kinds=("sesame",))))  # fmt: skip
    assert listed(BEANS, dukkah) == "beans, dukkah (*hazelnut*, *sesame*)"
    curry = Ingredient("curry powder", 1.0, kinds=("mustard", "celery"), printed="turmeric, MUSTARD, CELERY seed")
    assert listed(BEANS, curry) == "beans, curry powder (*mustard*, *celery*)"


def test_its_additives_stay():
    """The leave does not reach additives."""
    assert "silicon" in listed(BEANS, Ingredient("curry powder", 1.0, printed="turmeric, anti-caking agent (silicon dioxide)"))
    assert "citric" in listed(BEANS, Ingredient("spice mix", 1.0, under=(*MIX, Ingredient("citric acid", 0.1))))
    assert "E551" in listed(BEANS, Ingredient("curry powder", 1.0, printed="turmeric, E551"))


def test_other_laws_have_no_such_leave():
    for law in ("us", "ca", "anz", "none"):
        told = listed(BEANS, water(1.0), Ingredient("spice mix", 1.0, under=MIX), law=law)
        assert "water" in told.lower() and ("cumin" in told.lower()) is (law != "us"), law
    assert "water, spices" in told_in_us()  # 21 CFR 101.22(a)(2): spices may stand by that word (see test_ingredient_names.py)


def told_in_us() -> str:
    return listed(BEANS, water(1.5), Ingredient("spice mix", 1.0, under=MIX), law="us")
