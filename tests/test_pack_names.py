"""What a pack's name and list say of what is in it: shares, foods that it only promises, what was strained out of a stock."""

from __future__ import annotations

import pytest
from declared_plate import DAY, FIVE, HERE_LINE, KINDS, KITCHEN, LAW, LISTS, codes, dish, marked
from msgspec.structs import replace

from labeller.declaring.declare import declare
from labeller.terms.kitchen import Line, NetWeight, Recipe
from labeller.terms.record import Ingredient

CHEEK = Ingredient("beef cheek", 150)
CELERY = Ingredient("celery", 40, kinds=("celery",))
STOCK = Ingredient("veal stock", 100, under=(Ingredient("water", 99, water=True, finished_g=99), Ingredient("carrot", 1)))
STEW = Recipe("stew", "pack", HERE_LINE, (Line("beef cheek", None, HERE_LINE),), sold="prepacked",
              legal_name="Veal and celery stew")  # fmt: skip


def pack(recipe: Recipe, *ingredients: Ingredient, law: str = "eu", kitchen=KITCHEN, amounts=None, **more):
    record = dish(amounts, kind="pack", ingredients=ingredients, **more)
    return declare(record, LAW[law], recipe=recipe, kitchen=kitchen, kinds=KINDS, lists=LISTS, date=DAY)


def told(made, code: str) -> str:
    return " ".join(found.text for found in made.findings if found.code == code)


def test_a_name_that_promises_what_is_not_there_is_told():
    """Regulation (EU) No 1169/2011, Art. 7(1)(a): information shall not mislead as to composition. A kitchen's word "veal stock"
    over water and carrots holds no veal."""
    made = pack(STEW, CHEEK, STOCK, CELERY)
    assert "none of its ingredients is veal (" in told(made, "name-not-held")
    assert "mentions veal stock, celery," in told(made, "share-not-given")
    bones = replace(STOCK, under=(*STOCK.under, Ingredient("veal bones", 0, gave_g=80)))
    assert told(pack(STEW, CHEEK, bones, CELERY), "name-not-held") == ""


def test_names_of_shapes_and_of_groups_are_no_promises():
    """Words for many foods are held by any of them; a box, a pie and a denial promise nothing."""
    for name in ("Twelve canapés", "Box of tartlets", "Celery soup", "Celery pie", "Stew without veal", "Veal-free stew"):
        assert "name-not-held" not in codes(pack(replace(STEW, legal_name=name), CHEEK, CELERY)), name
    cod = Ingredient("hake fillet", 90, kinds=("hake",))
    assert "name-not-held" not in codes(pack(replace(STEW, legal_name="Fish pie"), cod))


def test_the_ingredient_is_named_for_its_share_and_not_the_dish_and_once():
    """Annex VIII: the share is of an ingredient. The dish's own name is told only where nothing in it bears the word."""
    rings = Ingredient("squid, romesco", 30, under=(Ingredient("squid rings", 20), Ingredient("squid rings", 5)))
    made = pack(replace(STEW, legal_name="Squid box"), rings)
    assert "mentions squid rings, and" in told(made, "share-not-given")


def test_the_whole_pack_is_no_share_of_itself():
    """Regulation (EU) No 1169/2011, Art. 22: the quantity of an ingredient among others. 95 % as the whole is our own figure."""
    leaves = (Ingredient("parsley", 60), Ingredient("oil", 40))
    bottle = replace(STEW, legal_name="Green sauce bottle")
    assert told(pack(bottle, Ingredient("green sauce", 100, under=leaves)), "share-not-given") == ""
    assert told(pack(bottle, Ingredient("green sauce", 96, under=leaves), Ingredient("salt", 4)), "share-not-given") == ""
    part = pack(bottle, Ingredient("green sauce", 90, under=leaves), Ingredient("capers", 10))
    assert "mentions green sauce, and" in told(part, "share-not-given")
    parsley = pack(replace(STEW, legal_name="Parsley sauce"), Ingredient("green sauce", 100, under=leaves))
    assert "mentions parsley, and" in told(parsley, "share-not-given"), "what is in it is asked for as before"


def test_a_direct_sale_pack_with_meat_is_asked_for_its_share_in_the_uk():
    """Products Containing Meat etc. (England) Regulations 2014, from memory: the one share that direct sale packs need."""
    direct = replace(STEW, sold="prepacked for direct sale", legal_name="Stew")
    assert "beef cheek" in told(pack(direct, CHEEK, CELERY, law="uk"), "meat-share-perhaps")
    assert told(pack(replace(direct, quid=("beef cheek",)), CHEEK, CELERY, law="uk"), "meat-share-perhaps") == ""
    assert told(pack(direct, CELERY, Ingredient("duck egg", 50), law="uk"), "meat-share-perhaps") == ""


STOCK_FILES = """
- recipe: veal stock
  ingredients:
    - veal bones: {amount: 3 kg, kept: 0 %}
    - water: 5 l
    - carrot: {amount: 300 g, kept: 0 %}
    - parchment: {amount: 1 g, kept: 0 %}
    - tomato puree: 50 g
  method: simmered
- recipe: baked celeriac
  ingredients:
    - celeriac: 500 g
    - plain flour: {amount: 400 g, kept: 0 %}
    - water: {amount: 200 g, kept: 0 %}
  method: baked
"""


def test_what_was_strained_out_of_a_stock_is_an_ingredient_and_a_crust_is_not(tmp_path):
    """Regulation (EU) No 1169/2011, Art. 2(2)(f) and 18(1) (from memory): an ingredient is what is used and still there in
    altered form, in descending order of weight as used. What only touched the food stays an aid."""
    from labeller.serving.pipeline import declared, open_kitchen

    (tmp_path / "recipes").mkdir()
    (tmp_path / "kitchen.yaml").write_text("kitchen: K\nlaw: uk\n", encoding="utf-8")
    (tmp_path / "recipes" / "stock.yaml").write_text(STOCK_FILES, encoding="utf-8")
    opened = open_kitchen(tmp_path, DAY)
    stock = opened.workshop.record(opened.kitchen.recipes["veal stock"])
    listed = {each.name: each for each in stock.ingredients}
    assert not listed["veal bones"].aid and listed["veal bones"].weight_g == 0 and listed["veal bones"].gave_g > 0
    assert listed["parchment"].aid
    made, _ = declared(opened, opened.kitchen.recipes["veal stock"], "uk")
    assert marked(made).startswith("water, veal bones, carrot, tomato puree")
    crust = opened.workshop.record(opened.kitchen.recipes["baked celeriac"])
    assert {each.name for each in crust.ingredients if each.aid} == {"plain flour", "water"}


def test_one_pack_has_one_weight_on_its_label():
    """Annex IX and Art. 33: the column per pack is of the net weight that the label states."""
    recipe = replace(STEW, legal_name="Stew", net_weight=NetWeight(171, True, HERE_LINE))
    made = pack(recipe, CHEEK, weight=180.0, amounts=FIVE["amounts"])
    assert made.net_quantity == "171 g" and made.portion_words == "Per pack (171 g)"
    energy = next(row for row in made.figures if row.key == "energy_kj")
    assert energy.value_portion.mid == pytest.approx(energy.value_100g.mid * 1.71)
    assert "pack-short-of-weight" not in codes(made)
    far = pack(replace(recipe, net_weight=NetWeight(90, True, HERE_LINE)), CHEEK, weight=180.0, amounts=FIVE["amounts"])
    assert "says 90 g net, and its figures are for 180 g" in told(far, "pack-weight-differs")
    short = pack(replace(recipe, net_weight=NetWeight(200, True, HERE_LINE)), CHEEK, weight=180.0)
    assert "says 200 g net, and its recipe makes 180 g" in told(short, "pack-short-of-weight")


def test_sulphites_that_a_canadian_list_names_stand_in_its_contains_line():
    """Food and Drug Regulations B.01.010.3(1)(b): the line is whole, even if the list says it too."""
    vinegar = Ingredient("sherry vinegar", 3, kinds=("sulphites",), printed="Sherry vinegar (contains SULPHITES)")
    below = replace(STEW, legal_name="Stew")
    made = pack(below, CHEEK, vinegar, CELERY, law="ca", sulphites_mg_per_kg=2.0, facts=())
    assert "sulphites" in marked(made) and "ulphites" in made.contains


def test_a_flour_with_its_suppliers_list_stands_once():
    """UK fortified flour (Bread and Flour Regulations 1998): the list of what is added stays, and the allergen set off."""
    printed = "WHEAT flour (WHEAT, calcium carbonate, iron, niacin, thiamin)"
    flour = Ingredient("plain flour", 60, kinds=("wheat",), printed=printed)
    assert marked(pack(STEW, flour, CELERY)).startswith("*wheat* flour (*wheat*, calcium carbonate, iron, niacin, thiamin), ")
    brown = replace(flour, name="wholemeal flour")
    assert marked(pack(STEW, brown, CELERY)).startswith("wholemeal flour (*wheat* flour (")


def test_a_dish_in_a_list_goes_by_its_label_name_and_shows_its_share():
    """Annex VIII: a compound ingredient's share, asked for by the kitchen's own name, at any depth."""
    inner = Ingredient("beef, braised", 50, under=(CHEEK,))
    outer = Ingredient("filling", 100, under=(inner, CELERY))
    dish_of = Recipe("beef, braised", "recipe", HERE_LINE, (), legal_name="braised beef")
    kitchen = replace(KITCHEN, recipes={"beef, braised": dish_of})
    recipe = replace(STEW, quid=("beef, braised",))
    made = pack(recipe, outer, Ingredient("potato", 100), kitchen=kitchen)
    assert "braised beef (50%) (beef cheek" in marked(made).replace(" %", "%") or "braised beef (25" in marked(made)
    assert "name-reads-as-list" not in codes(made)
    bare = replace(KITCHEN, recipes={"beef, braised": replace(dish_of, legal_name="")})
    assert "beef with braised" in " ".join(f.mend for f in pack(recipe, outer, CELERY, kitchen=bare).findings)
