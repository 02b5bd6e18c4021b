"""Ingredient statement, allergens by each law, states of the matrix, stops, and the record as JSON."""

from __future__ import annotations

import json

import pytest
from declared_plate import DAY, FACTS, FIVE, KINDS, KITCHEN, LAW, LISTS, TROUT, codes, dish, fact, made, marked
from msgspec.structs import replace

from labeller.declaring.declare import as_json, declare
from labeller.declaring.statement import plain
from labeller.reading.laws import LAWS, list_laws, load_law
from labeller.terms.allergens import (
    CONTAINS,
    CROSS_CONTACT,
    GROUPS,
    MAY_CONTAIN,
    NOT_CONFIRMED,
    OWN_WARNING,
)
from labeller.terms.findings import NOWHERE, finding
from labeller.terms.kitchen import Recipe
from labeller.terms.record import Ingredient

# Statement, allergens


def test_statement_under_eu_law():
    """Descending weight, sub-recipes nested, water by what stays, aids only for their allergens, the law's names set off."""
    assert marked(made(dish(ingredients=TROUT, facts=FACTS, weight=33.5))) == (
        "poached trout (trout fillet (*fish*), sea salt, whole *milk* (used in preparation)), "
        "dill cream (crème fraîche (*milk*), dill), "
        "rye cracker (*rye* flour, spelt (*wheat*), water), "
        "white miso paste (water, *soya* beans, rice, *barley* koji, salt, alcohol)"
    )


def test_statement_and_contains_line_under_us_law():
    """21 USC 343(w)(1)(A): the Contains line names the species; barley and rye are not major allergens, spelt is wheat."""
    declaration = made(dish(ingredients=TROUT, facts=FACTS), "us")
    assert "*" not in marked(declaration)
    assert declaration.contains == "Contains: wheat, trout, soy, milk"
    assert "rye cracker (rye flour, water, spelt)" in marked(declaration)  # water at its weight of use


def test_an_aid_holding_no_listed_allergen_is_not_named():
    assert "bay" not in marked(made(dish(ingredients=TROUT, facts=FACTS)))


def test_canada_and_australia_name_gluten_their_own_way():
    """Canada B.01.010.1, B.01.010.3: gluten sources by name, entries with a capital. S9-3: gluten in the summary."""
    assert made(dish(ingredients=TROUT, facts=FACTS), "ca").contains == "Contains: Rye, Wheat, Barley, Trout, Soy, Milk"
    assert made(dish(ingredients=TROUT, facts=FACTS), "anz").contains == "Contains gluten, wheat, fish, soy, milk"


@pytest.mark.parametrize(
    ("name", "kind", "expected"),
    [
        ("butter", "milk", "butter (*milk*)"),
        ("whole milk", "milk", "whole *milk*"),
        ("Hazelnuts", "hazelnut", "*Hazelnuts*"),
        ("buckwheat and wheat flour", "wheat", "buckwheat and *wheat* flour"),
        ("free-range eggs", "eggs", "free-range *eggs*"),
        ("celeriac", "celery", "*celeriac*"),
        ("anchovies", "anchovy", "anchovies (*fish*)"),
        ("spelt", "spelt", "spelt (*wheat*)"),
        ("triticale", "triticale", "triticale (*wheat*, *rye*)"),
        ("pine nuts", "pine_nut", "pine nuts"),
        ("ground nuts", "tree_nuts", "ground *nuts*"),
    ],
)
def test_where_the_name_of_an_allergen_stands(name, kind, expected):
    """Annex II names set off where they stand, added where they don't; pine nuts are not on the EU's list."""
    record = dish(ingredients=(Ingredient(name, 10, kinds=(kind,)),), facts=(fact(kind),))
    assert marked(made(record)) == expected


def test_an_exempt_derivative_is_not_set_off_but_stays_on_record():
    """Annex II item 6(a): fully refined soya oil. A guest still hears of soya: the state is untouched."""
    oil = Ingredient("refined soya oil", 10, kinds=("soybeans",), exempt=(("eu", "soybeans"),))
    soya = fact("soybeans", exempt=(("eu", "Annex II, item 6(a)"),))
    declaration = made(dish(ingredients=(oil,), facts=(soya,)))
    assert marked(declaration) == "refined soya oil" and declaration.contains == ""
    assert declaration.states["soybeans"][0] == CONTAINS
    assert made(dish(ingredients=(oil,), facts=(soya,)), "ca").contains == "Contains: Soy"


def test_an_allergen_by_contact_alone_is_named():
    record = dish(ingredients=(Ingredient("potato", 10),), facts=(fact("cod", route="shared equipment"),))
    assert marked(made(record)) == "potato, *fish* (by contact)"


def test_a_line_without_an_amount_stands_in_the_list():
    record = dish(ingredients=(Ingredient("sea salt", 0, aid=True), Ingredient("potato", 10)), unknown_amounts=("sea salt",))
    assert marked(made(record)) == "potato, sea salt"


def test_a_printed_list_keeps_what_belongs_to_it():
    jar = Ingredient("sauce", 5, printed="water, contains 2% or less of salt. Contains wheat.", kinds=("wheat",))
    assert (
        marked(made(dish(ingredients=(jar,), facts=(fact("wheat"),)))) == "sauce (water, contains 2% or less of salt) (*wheat*)"
    )


def test_the_law_wants_the_kind_named():
    assert "allergen-kind-needed" in codes(made(dish(facts=(fact("tree_nuts"),))))
    assert "allergen-kind-needed" in codes(made(dish(facts=(fact("fish"),)), "us"))
    assert "allergen-kind-needed" not in codes(made(dish(facts=(fact("fish"),)), "eu"))


def test_the_worst_state_hides_no_other():
    facts = (fact("barley", NOT_CONFIRMED), fact("wheat"), fact("rye"), fact("oats", MAY_CONTAIN), fact("wheat", MAY_CONTAIN))
    declaration = made(dish(facts=facts))
    assert declaration.states["cereals_gluten"][:2] == (CONTAINS, ("wheat", "rye"))
    assert declaration.allergen_words["cereals_gluten"] == "wheat, rye; may contain: oats; not confirmed: barley"
    assert len(declaration.states["cereals_gluten"][2]) == 5
    assert declaration.allergen_words["celery"] == "none on record, checked 2026-11-25"


def test_a_laws_list_never_narrows_the_states():
    declaration = made(dish(facts=(fact("celery"), fact("buckwheat"))), "us")
    assert declaration.contains == "" and declaration.states["celery"][0] == CONTAINS
    assert declaration.allergen_words["buckwheat"] == "buckwheat"
    assert set(GROUPS) < set(declaration.states)


def test_may_contain_on_a_plate_and_on_a_pack():
    facts = (fact("sesame", MAY_CONTAIN), fact("squid", CROSS_CONTACT), fact("milk"), fact("milk", MAY_CONTAIN))
    assert made(dish(facts=facts)).may_contain == "May contain: sesame, molluscs"
    box = dish(facts=facts, kind="pack")
    plain_pack = Recipe("box", "pack", NOWHERE, (), sold="prepacked")
    declaration = made(box, recipe=plain_pack)
    told = "May contain: sesame, molluscs"  # its label is printed only for a person who takes the contact on, and says so then
    assert declaration.may_contain == told and "cross-contact-not-assessed" in codes(declaration)
    assessed = replace(plain_pack, precaution_assessed="2026-11-01, RM")
    declaration = made(box, recipe=assessed)
    assert declaration.may_contain == "May contain: sesame" and "cross-contact-not-assessed" not in codes(declaration)
    warned = replace(fact("squid", CROSS_CONTACT), path=("box", OWN_WARNING))
    assert made(replace(box, facts=(*facts, warned)), recipe=assessed).may_contain == "May contain: sesame, molluscs"


# Stops


def test_a_stopped_dish_gives_no_answer_and_no_figures():
    record = dish({"fat_g": 5.0}, ingredients=TROUT, facts=(fact("milk"),), stopped=True)
    declaration = made(record)
    published = as_json(declaration)
    assert declaration.rows == () and published["nutrients"] == {}
    for key in ("ingredient_statement", "contains_statement", "may_contain_statement"):
        assert published[key] == "NO ANSWER – ASK THE KITCHEN"
    assert set(declaration.allergen_words.values()) == {"NO ANSWER – ASK THE KITCHEN"}
    states = {group: state for group, (state, _, _) in declaration.states.items()}
    assert states["milk"] == CONTAINS and states["celery"] == NOT_CONFIRMED  # nothing is "none on record"


def test_nutrition_stopped_leaves_allergens_and_statement():
    declaration = made(dish({"fat_g": 5.0}, ingredients=TROUT, facts=FACTS, nutrition_stopped=True))
    assert declaration.rows == () and not declaration.nutrition_shown and as_json(declaration)["nutrients"] == {}
    assert "*milk*" in marked(declaration) and declaration.states["milk"][0] == CONTAINS


def test_a_plate_without_weight_stops_nutrition_only():
    declaration = made(dish(facts=FACTS, ingredients=TROUT, middle=None))
    assert "portion-not-known" in codes(declaration) and not declaration.stopped and declaration.record.nutrition_stopped


def test_a_pack_must_say_how_it_is_sold():
    pack = dish({"fat_g": 5.0}, kind="pack")
    assert "sold-missing" in codes(made(pack, recipe=Recipe("box", "pack", NOWHERE, ()))) and made(pack).stopped
    told = replace(pack, findings=(finding("sold-missing", NOWHERE, "", "", "box"),))
    assert codes(made(told, recipe=Recipe("box", "pack", NOWHERE, ()))).count("sold-missing") == 1
    unknown = made(pack, recipe=Recipe("box", "pack", NOWHERE, (), sold="at the door"))
    assert "sold-unknown" in codes(unknown) and unknown.stopped


@pytest.mark.parametrize(
    ("law", "day", "code"),
    [
        ("eu", "2014-12-12", "law-not-in-force"),
        ("eu", "2014-12-13", ""),
        ("uk", "2020-12-31", "law-not-in-force"),
        ("uk", "2021-01-01", ""),
        ("us", "2019-12-31", "law-not-in-force"),
        ("us", "2020-01-01", ""),
        ("ca", "2021-12-31", "law-not-in-force"),
        ("ca", "2022-01-01", ""),
        ("anz", "2021-02-24", "law-not-in-force"),
        ("anz", "2021-02-25", ""),
        ("codex", "2024-11-28", "law-not-in-force"),
        ("codex", "2024-11-29", ""),
        ("elsewhere", DAY, "law-not-there"),
    ],
)
def test_a_law_outside_its_time(law, day, code):
    loaded = load_law(law, day)
    assert [found.code for found in loaded.findings] == ([code] if code else [])
    declaration = declare(dish({"fat_g": 5.0}), loaded, recipe=None, kitchen=KITCHEN, kinds=KINDS, lists=LISTS, date=day)
    assert declaration.stopped is bool(code)
    assert (as_json(declaration)["nutrients"] == {}) is bool(code)


def test_a_language_without_words_is_refused():
    loaded = load_law("eu", DAY, ("en", "xx"))
    assert [found.code for found in loaded.findings] == ["language-not-there"]
    declaration = declare(dish(), LAW["eu"], recipe=None, kitchen=KITCHEN, kinds=KINDS, lists=LISTS, date=DAY, language="xx")
    assert declaration.stopped and "language-not-there" in codes(declaration)


# The record as JSON


def test_published_keys():
    record = dish(FIVE["amounts"] | {"water_g": 110.0}, 180, facts=FACTS, ingredients=TROUT)
    published = as_json(made(record))
    assert list(published) == [
        "dish",
        "law",
        "law_date",
        "kitchen_version",
        "data_version",
        "portion",
        "nutrients",
        "allergens",
        "ingredient_statement",
        "contains_statement",
        "may_contain_statement",
        "findings",
    ]
    assert published["nutrients"]["energy_kj"]["declared"] == {
        "per_100g": "754 kJ",
        "per_portion": "1356 kJ",
        "reference_share": "16 %",
    }
    assert published["nutrients"]["water_g"]["per_100g"]["value"] == pytest.approx(61.11111111)
    assert published["nutrients"]["carbohydrate_g"]["per_portion"]["value"] == 22.5  # the law's own definition
    assert published["allergens"]["milk"] == {
        "state": "contains",
        "kinds": ["milk"],
        "facts": [{"kind": "milk", "route": "recipe", "evidence": "pack, checked 2026-10-02", "path": ["plate", "milk"]}],
    }
    assert "crème fraîche (MILK)" in published["ingredient_statement"]
    json.dumps(published)


@pytest.mark.parametrize("law", LAWS)
def test_no_paper_says_what_must_not_be_said(law):
    record = dish(FIVE["amounts"], 180, facts=FACTS, ingredients=TROUT)
    declaration = made(record, law)
    said = json.dumps(as_json(declaration)).lower() + " ".join(declaration.cautions + declaration.footnotes).lower()
    for word in ("safe", "serve ", "free from"):
        assert word not in said


def test_cautions_and_the_rules_not_read_are_named():
    declaration = made(dish())
    assert any("Cross-contact" in text for text in declaration.cautions) and "rules-from-memory" in codes(declaration)
    assert all(law.unchecked for law in list_laws() if law.checked == "memory" or law.key in ("eu", "us", "ca", "anz"))


@pytest.mark.parametrize(
    ("name", "printed", "kinds", "expected"),
    [
        ("rye flour", "Wholemeal RYE flour.", ("rye",), "wholemeal *rye* flour"),
        ("sherry vinegar", "Sherry vinegar (contains SULPHITES)", ("sulphites",), "sherry vinegar (contains *sulphites*)"),
        ("sea salt", "sea salt", (), "sea salt"),
        ("icing sugar", "sugar, maize starch", (), "icing sugar (sugar, maize starch)"),
        ("curd", "goats' MILK", ("milk",), "curd (goats' *milk*)"),
        ("yellow mustard seeds", "MUSTARD seeds", ("mustard",), "yellow *mustard* seeds"),
    ],
)
def test_a_printed_list_of_one_thing(name, printed, kinds, expected):
    record = dish(ingredients=(Ingredient(name, 5, printed=printed, kinds=kinds), Ingredient("potato", 1)))
    assert marked(made(record)) == f"{expected}, potato"


def test_a_food_that_is_one_sub_recipe_has_no_brackets_around_the_whole():
    inner = Ingredient(
        "roll", 10, under=(Ingredient("plain flour", 6, kinds=("wheat",)), Ingredient("butter", 4, kinds=("milk",)))
    )
    assert marked(made(dish(ingredients=(inner,)))) == "plain flour (*wheat*), butter (*milk*)"


def test_a_suppliers_capitals_come_down_where_the_law_sets_nothing_off():
    jar = Ingredient("pastry", 5, printed="WHEAT flour, RYE flour, butter (MILK), E330", kinds=("wheat", "rye", "milk"))
    record = dish(ingredients=(jar, Ingredient("potato", 1)))
    assert plain(made(record, "us").statement) == "pastry (wheat flour, rye flour, butter (milk), E330), potato"
    assert marked(made(record)) == "pastry (*wheat* flour, *rye* flour, butter (*milk*), E330), potato"


def test_may_contain_does_not_repeat_what_is_contained():
    record = dish(facts=(fact("oats"), fact("barley", MAY_CONTAIN), fact("wheat", MAY_CONTAIN)))
    assert made(record, "anz").may_contain == "May be present: wheat"  # gluten is contained already
