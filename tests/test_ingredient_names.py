"""Names in a US list of ingredients: class names of 21 CFR 101.4(b) as read, common names from memory, spices together
(101.22)."""

from __future__ import annotations

import pytest
from declared_plate import KINDS, LAW, LISTS, PACK, dish, fact, made

from labeller.declaring.ingredient_names import named_by_law
from labeller.declaring.naming import Names
from labeller.declaring.statement import plain, statement
from labeller.terms.record import Ingredient

BEANS = Ingredient("beans", 900.0)


def listed(*ingredients: Ingredient, law: str = "us", **more) -> str:
    names = Names(LAW[law], LAW[law].words["en"], KINDS, LISTS)
    return plain(statement(dish(weight=1000.0, ingredients=ingredients), names, **more))


@pytest.mark.parametrize(
    ("typed", "printed"),
    [
        ("caster sugar", "sugar"),  # 101.4(b)(20)
        ("whole milk", "milk"),  # 101.4(b)(4)
        ("skimmed milk", "nonfat milk"),  # 101.4(b)(3)
        ("double cream", "cream"),
        ("Egg", "eggs"),
        ("aubergine", "eggplant"),  # common practice, from memory
        ("cornflour", "cornstarch"),
        ("honey", "honey"),  # no other name
        ("sour cream", "sour cream"),  # never a part of a name
    ],
)
def test_a_bare_ingredient_has_the_laws_name(typed, printed):
    assert listed(BEANS, Ingredient(typed, 300.0)) == f"beans, {printed}"
    assert typed in listed(BEANS, Ingredient(typed, 300.0), law="eu")  # no rule of that law


def test_the_same_name_stands_once_at_the_weight_of_both():
    """101.4(a)(1): descending order of predominance."""
    parts = (Ingredient("oats", 50.0), Ingredient("caster sugar", 30.0), Ingredient("granulated sugar", 30.0))
    assert listed(*parts) == "sugar, oats"
    held = Ingredient("whole milk", 30.0, kinds=("milk",)), Ingredient("full-fat milk", 30.0, kinds=("milk",))
    assert listed(Ingredient("oats", 50.0), *held) == "milk, oats"
    apart = (
        Ingredient("sea salt", 30.0),
        Ingredient("rock salt", 30.0, kinds=("sulphites",)),
    )  # other contents: each by itself
    assert [each.name for each in named_by_law(apart, LAW["us"])] == ["salt", "salt"]


def test_a_sub_recipe_and_a_suppliers_list_keep_their_words():
    cream = Ingredient("double cream", 300.0, printed="cream (milk), carrageenan")
    inside = Ingredient("whole milk", 400.0, under=(Ingredient("caster sugar", 300.0), Ingredient("vanilla", 100.0)))
    assert listed(cream, inside) == "whole milk (sugar, vanilla), double cream (cream (milk), carrageenan)"


def test_a_percentage_follows_its_ingredient():
    """101.4(e): to the nearest 1 %; of the ingredient that the kitchen names by its own word."""
    assert listed(BEANS, Ingredient("caster sugar", 100.0), quid=("caster sugar",)) == "beans, sugar (10%)"


SPICES = (Ingredient("cumin", 30.0), Ingredient("ground coriander", 40.0))


def test_spices_stand_together_where_the_kitchen_asks():
    assert listed(BEANS, *SPICES, short=True) == "beans, spices"
    assert "cumin" in listed(BEANS, *SPICES)
    assert listed(BEANS, SPICES[0], short=True) == "beans, cumin"  # one alone keeps its name
    mix = Ingredient("house spice", 60.0, under=SPICES)
    assert listed(BEANS, mix, short=True) == "beans, spices"
    assert listed(BEANS, mix) == "beans, house spice (ground coriander, cumin)"


@pytest.mark.parametrize(
    ("name", "kind"),
    [("celery seeds", "celery"), ("yellow mustard seeds", "mustard"), ("sesame seeds", "sesame"), ("cumin", "peanuts")],
)
def test_no_allergen_stands_behind_the_word_spices(name, kind):
    """Sesame is a major allergen (21 USC 321(qq)); mustard and celery are not, and stand by name all the same."""
    text = listed(BEANS, *SPICES, Ingredient(name, 25.0, kinds=(kind,)), short=True)
    assert name in text and "spices" in text


def test_spices_that_color_stand_by_name():
    """101.22(a)(2): paprika, turmeric and saffron are "spice and coloring" or stand by their names."""
    text = listed(BEANS, *SPICES, Ingredient("turmeric", 25.0), Ingredient("paprika", 24.0), short=True)
    assert "turmeric" in text and "paprika" in text and "spices" in text


def test_the_contains_line_holds_what_a_renamed_ingredient_holds():
    parts = Ingredient("double cream", 60.0, kinds=("milk",)), Ingredient("oats", 30.0)
    record = dish(weight=100, kind="pack", ingredients=parts, facts=(fact("milk"),))
    declaration = made(record, "us", PACK)
    assert plain(declaration.statement) == "cream, oats" and declaration.contains == "Contains: milk"


def test_no_word_has_two_names():
    rows = LAW["us"].ingredient_names
    words = [word for row in rows for word in row.of]
    assert len(words) == len(set(words))
    assert any(row.rule.checked == "yes" for row in rows) and any("101.22" in row.rule.section for row in rows)
