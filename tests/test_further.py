"""What a European pack says beside its list: further particulars (Regulation (EU) No 1169/2011, Annexes III and VI), origin
(Art. 26 and the instruments named), names that say too little (Annex VII), drinks with alcohol (Art. 16(4), Annex X). The law's
words are from memory, as reference/rules/eu.yaml says row by row; expected values follow from those rows."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from declared_plate import DAY, FIVE, KINDS, LAW, LISTS, PACK, codes, dish, made, marked
from msgspec.structs import replace

from labeller.declaring.declare import declare
from labeller.declaring.list_findings import too_general
from labeller.reading.kitchen import read_kitchen
from labeller.reading.laws import load_law
from labeller.reading.library import reference
from labeller.reading.recipes import STATED
from labeller.terms.findings import NOWHERE
from labeller.terms.kitchen import Batch, Kitchen, Line, Recipe
from labeller.terms.record import Ingredient

HOME = Kitchen("Larch House", address="1 High Street, Norwich")
LAMB = Ingredient("lamb shoulder", 500.0)


def packed(law: str = "eu", *, ingredients=(LAMB,), kitchen: Kitchen = HOME, language: str = "en", batch=None, loaded=None,
           amounts=None, record=None, **more):  # fmt: skip
    """A pack of these ingredients; more: of the recipe."""
    weight = sum(each.weight_g for each in ingredients)
    held = record or dish(FIVE["amounts"] if amounts is None else amounts, weight, kind="pack", ingredients=tuple(ingredients))
    recipe = replace(PACK, **{"name": "pack of the day", "legal_name": "", **more})
    return declare(held, loaded or LAW[law], recipe=recipe, kitchen=kitchen, kinds=KINDS, lists=LISTS, date=DAY,
                   language=language, batch=batch)  # fmt: skip


def told(declaration, code: str) -> str:
    return " ".join(f"{one.text} {one.mend}" for one in declaration.findings if one.code == code)


# Further particulars


@pytest.mark.parametrize("law", ["eu", "uk"])
def test_what_goes_with_the_name_and_what_on_a_line(law):
    made_ = packed(law, legal_name="cured ham", stated=("protective atmosphere", "added water", "defrosted"))
    assert made_.title == "cured ham, defrosted, with added water"
    assert dict(made_.particulars)["further particulars"] == "Packaged in a protective atmosphere"


def test_every_key_of_the_reader_is_worded_by_some_law_and_in_each_language():
    """A key that no law words would be taken and never printed."""
    worded = {one.key for law in ("eu", "anz") for one in LAW[law].further}
    assert set(STATED) == worded
    for language in ("de", "fr", "es", "it", "nl"):
        phrases = load_law("eu", DAY, (language,)).words[language].phrases
        assert all(phrases.get(f"eu also {one.key}") for one in LAW["eu"].further), language


def test_in_another_language():
    law = load_law("eu", DAY, ("en", "fr"))
    made_ = packed(loaded=law, language="fr", stated=("defrosted", "aspartame"))
    assert made_.title == "plate, décongelé"
    assert "Contient une source de phénylalanine" in dict(made_.particulars)["further particulars"]


def test_a_key_that_a_law_does_not_word_is_told():
    made_ = packed("us", stated=("defrosted",), sold="prepacked for direct sale")
    assert "us has no words here for defrosted" in told(made_, "particular-not-worded") and made_.title == "plate"
    assert "particular-not-worded" not in codes(packed("anz", stated=("raw egg",)))


@pytest.mark.parametrize(
    ("printed", "asks"),
    [
        ("water, apples, sweeteners (sucralose)", "with sweetener(s)"),
        ("water, isomalt", "with sweetener(s)"),
        ("sugar, aspartame", "contains a source of phenylalanine"),
        ("sugar, sweetener (E951)", "contains aspartame"),
        ("sugar, liquorice root extract", "contains liquorice"),
        ("sugar, apples", ""),
    ],
)
def test_a_suppliers_list_calls_for_a_particular(printed, asks):
    """Annex III 2.1, 2.3, 3.1."""
    text = told(packed(ingredients=(Ingredient("jelly mix", 100.0, printed=printed), LAMB)), "particular-perhaps")
    assert asks in text and bool(text) is bool(asks)


def test_what_is_stated_is_not_asked_for():
    jelly = (Ingredient("jelly mix", 100.0, printed="sugar, sweetener (sucralose)"), LAMB)
    assert told(packed(ingredients=jelly, stated=("sugars and sweeteners",)), "particular-perhaps") == ""
    assert "also state: [defrosted, sweeteners]" in told(packed(ingredients=jelly, stated=("defrosted",)), "particular-perhaps")
    loose = packed(ingredients=jelly, sold="loose")
    assert told(loose, "particular-perhaps") == ""  # no list is asked for there


@pytest.mark.parametrize(("polyols", "asked"), [(10.0, False), (10.1, True)])
def test_more_than_ten_per_cent_polyols(polyols, asked):
    """Annex III 2.4: more than 10 %; Schedule 9-2 of Australia and New Zealand, from memory."""
    for law in ("eu", "anz"):
        isomalt = packed(law, amounts={"polyols_g": polyols}, ingredients=(Ingredient("isomalt", 100.0),))
        text = told(isomalt, "particular-perhaps")
        assert ("laxative" in text) is asked


def test_raw_milk_is_told_from_what_is_recorded_for_guests():
    """Regulation (EC) No 853/2004: "made with raw milk"."""
    for text, asked in (("raw", True), ("unpasteurised", True), ("pasteurised", False)):
        record = dish(FIVE["amounts"], 100, kind="pack", ingredients=(LAMB,), recorded=(("milk", text, "curd"),))
        assert ("made with raw milk" in told(packed(record=record), "particular-perhaps")) is asked
    assert "Made with raw milk" in dict(packed(stated=("raw milk",)).particulars)["further particulars"]


def test_frozen_on_the_day_of_the_batch():
    """Annex III 6.1, Annex X 3: day, month and year."""
    batch = Batch("b", NOWHERE, "box", "2026-11-25", frozen_on="2026-11-24")
    assert dict(packed(batch=batch).particulars)["frozen on"] == "Frozen on 24 November 2026"
    assert "frozen on" not in dict(packed(batch=replace(batch, frozen_on="")).particulars)


# Drinks with alcohol


@pytest.mark.parametrize(("strength", "table"), [(1.2, True), (1.3, False)])
def test_a_drink_over_1_2_per_cent_needs_no_table(strength, table):
    """Art. 16(4)."""
    assert packed(alcohol_vol=strength).nutrition_shown is table
    assert packed(alcohol_vol=strength, nutrition_asked=True).nutrition_shown


@pytest.mark.parametrize(("strength", "asked"), [(9.9, True), (10.0, False)])
def test_a_drink_of_ten_per_cent_needs_no_date(strength, asked):
    """Annex X 1(d)."""
    text = told(packed(alcohol_vol=strength, shelf_life=None), "particular-missing")
    assert ("no durability" in text) is asked


# Origin


@pytest.mark.parametrize(
    ("food", "instrument"),
    [
        (LAMB, "1337/2013"), (Ingredient("veal escalope", 100.0), "1760/2000"), (Ingredient("heather honey", 100.0), "2001/110"),
        (Ingredient("extra virgin olive oil", 100.0), "2022/2104"), (Ingredient("hake", 100.0, kinds=("fish",)), "1379/2013"),
        (Ingredient("leek", 100.0), ""),
    ],
)  # fmt: skip
def test_a_food_sold_by_itself_says_where_it_is_from(food, instrument):
    text = told(packed(ingredients=(food,)), "origin-not-stated")
    assert instrument in text and bool(text) is bool(instrument)
    assert told(packed(ingredients=(food,), origin="Ireland"), "origin-not-stated") == ""
    assert told(packed(ingredients=(food,), origin="none claimed"), "origin-not-stated") == ""
    assert told(packed(ingredients=(food,), sold="prepacked for direct sale"), "origin-not-stated") == ""


def test_salted_or_cooked_meat_is_no_fresh_meat():
    """Implementing Regulation (EU) No 1337/2013, Art. 1: meat, not preparations of meat."""
    assert told(packed(ingredients=(LAMB, Ingredient("sea salt", 5.0))), "origin-not-stated") == ""
    assert told(packed(method="roasted"), "origin-not-stated") == ""
    roast = Recipe("roast lamb", "recipe", NOWHERE, (), method="roasted")
    held = (Line("roast lamb", None, NOWHERE),)
    assert told(packed(lines=held, kitchen=replace(HOME, recipes={"roast lamb": roast})), "origin-not-stated") == ""
    assert told(packed(lines=held, kitchen=replace(HOME, recipes={"roast lamb": replace(roast, method="")})), "origin-not-stated")
    oil = (Ingredient("olive oil", 100.0),)
    assert told(packed(ingredients=oil, method="steeped"), "origin-not-stated")  # oil and honey always


def test_origin_is_printed_as_written():
    assert dict(packed(origin="Reared and slaughtered in: Ireland").particulars)["origin"] == "Reared and slaughtered in: Ireland"
    assert "origin" not in dict(packed(origin="none claimed").particulars)


def test_a_name_that_may_claim_an_origin():
    """Implementing Regulation (EU) 2018/775."""
    two = (Ingredient("venison", 60.0), Ingredient("pork fat", 40.0))
    assert "called \"scottish\"" in told(packed(ingredients=two, legal_name="Scottish venison salami"), "origin-claimed")
    assert told(packed(ingredients=two, legal_name="Scottish venison salami", origin="none claimed"), "origin-claimed") == ""
    assert told(packed(ingredients=two, legal_name="venison salami"), "origin-claimed") == ""
    for customary in ("Welsh rarebit", "rabbit with French beans", "Swiss chard gratin"):
        assert told(packed(ingredients=two, legal_name=customary), "origin-claimed") == ""
    assert told(packed(ingredients=two, legal_name="French rabbit, French beans"), "origin-claimed")


@pytest.mark.parametrize(("venison", "asked"), [(51.0, True), (50.0, False)])
def test_the_main_ingredient_is_named_where_an_origin_is(venison, asked):
    """Art. 2(2)(q) of the Regulation: more than half of the food."""
    two = (Ingredient("venison", venison), Ingredient("pork fat", 100.0 - venison))
    text = told(packed(ingredients=two, origin="Made in Scotland"), "main-ingredient-origin")
    assert bool(text) is asked
    assert told(packed(ingredients=two, origin="Made in Scotland with venison from New Zealand"), "main-ingredient-origin") == ""


def test_australia_asks_every_pack_for_its_origin():
    """Country of Origin Food Labelling Information Standard 2016, from memory."""
    assert "no origin on record" in told(packed("anz"), "particular-missing")
    assert "origin" not in told(packed("anz", origin="Grown in Australia"), "particular-missing")
    assert "origin" not in told(packed("anz", origin="none claimed"), "particular-missing")


# Names in the list of ingredients


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("water, vegetable oil, salt", ["vegetable oil"]),
        ("water, vegetable oils (rapeseed, sunflower), salt", []),
        ("Ingredients: Vegetable Oil 60 %, egg", ["vegetable oil"]),
        ("rapeseed oil, hydrogenated vegetable fat", ["hydrogenated vegetable fat"]),
        ("meat (pork), spice", []),
        ("minced meat, pork fat", ["minced meat"]),
        ("wheat flour, flour", ["flour"]),
        ("natural flavours", ["natural flavours"]),
        ("natural flavouring", []),
        ("sugar, glucose syrup, starch, cheese, fish", []),  # lawful categories of part B
    ],
)
def test_names_that_say_too_little(text, found):
    """Annex VII part A items 8-9, part B, part D."""
    each = Ingredient("product", 100.0, printed=text)
    assert [name for name, _ in too_general(each, LAW["eu"], 1.0)] == found


def test_a_name_that_says_too_little_is_told_with_its_product():
    pie = (Ingredient("filling", 60.0, printed="meat, onions"), Ingredient("mixed spice", 3.0), LAMB)
    text = told(packed(ingredients=pie), "name-too-general")
    assert "\"meat\" in filling" in text and "item 17" in text and "mixed spice" not in text  # 3 g in 563 g
    assert told(packed(ingredients=pie, sold="loose"), "name-too-general") == ""
    assert told(packed("us", ingredients=pie, sold="prepacked for direct sale"), "name-too-general") == ""


@pytest.mark.parametrize(("percent", "found"), [(2.0, False), (2.01, True)])
def test_spices_up_to_two_per_cent(percent, found):
    """Annex VII part B item 9."""
    assert bool(too_general(Ingredient("mixed spice", 1.0), LAW["eu"], percent)) is found


def test_a_category_never_hides_an_allergen():
    """Art. 21(1)(a): starch of wheat, cheese, fish and flavouring keep the allergen's name, set off."""
    four = (
        Ingredient("starch", 4.0, kinds=("wheat",)), Ingredient("cheese", 3.0, kinds=("milk",)),
        Ingredient("white fish", 2.0, kinds=("cod",)), Ingredient("flavouring", 1.0, kinds=("celery",)),
    )  # fmt: skip
    assert marked(made(dish(ingredients=four))) == "starch (*wheat*), cheese (*milk*), white *fish*, flavouring (*celery*)"


def test_below_two_per_cent_nothing_is_left_out():
    """Annex VII part E item 2 lets the parts of a compound below 2 % be left out, never its allergens: here all stand."""
    mix = Ingredient("spice mix", 1.0, under=(Ingredient("cumin", 0.6), Ingredient("mustard seed", 0.4, kinds=("mustard",))))
    assert marked(made(dish(ingredients=(Ingredient("beans", 99.0), mix)))) == "beans, spice mix (cumin, *mustard* seed)"


def test_an_additive_on_a_line_of_the_kitchens_own():
    """Annex VII part C: the category, then the name."""
    bare = packed(ingredients=(LAMB, Ingredient("xanthan gum", 1.0)))
    assert 'label name: "thickener: xanthan gum"' in told(bare, "additive-without-category")
    agar = packed(ingredients=(LAMB, Ingredient("agar-agar", 1.0)))
    assert 'label name: "gelling agent: agar-agar"' in told(agar, "additive-without-category")
    named = packed(ingredients=(LAMB, Ingredient("thickener: xanthan gum", 1.0)))
    assert "additive-without-category" not in codes(named)


def test_the_usual_categories_are_categories_of_known_additives():
    additives = yaml.safe_load(reference("rules", "eu.yaml").read_text(encoding="utf-8"))["additives"]
    assert set(additives["usual"].values()) <= set(additives["categories"])
    assert set(additives["usual"]) <= set(additives["names"])


# From the kitchen's files


FILE = """- pack: plum sauce
  sold: prepacked
  holds:
    - plums: 250 g
  net volume: {at least: 24 cl}
  density: 1.12 g/ml
  origin: Plums from Kent
  also state: [Protective atmosphere, raw_milk, unheated]
"""


def test_the_keys_are_read(tmp_path: Path):
    (tmp_path / "recipes").mkdir()
    (tmp_path / "batches").mkdir()
    (tmp_path / "kitchen.yaml").write_text("kitchen: T\nlaw: eu\n", encoding="utf-8")
    (tmp_path / "recipes" / "r.yaml").write_text(FILE, encoding="utf-8")
    (tmp_path / "batches" / "b.yaml").write_text(
        "- batch: one\n  makes: plum sauce\n  date: 2026-11-25\n  frozen on: 2026-11-24\n", encoding="utf-8")  # fmt: skip
    kitchen, found = read_kitchen(tmp_path)
    pack = kitchen.recipes["plum sauce"]
    assert (pack.net_volume.ml, pack.net_volume.at_least, pack.density_g_per_ml) == (240.0, True, 1.12)
    assert pack.origin == "Plums from Kent" and pack.stated == ("protective atmosphere", "raw milk")
    assert kitchen.batches["one"].frozen_on == "2026-11-24"
    assert [one.code for one in found if one.code != "dish-unknown"] == ["choice-unknown"], found
