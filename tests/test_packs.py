"""What a pack carries by law and size: servings, second columns, short tables, voluntary nutrients, small packs, brackets,
additives, a drink's strength, nations; and the energy of menus. Expected values by hand from the rules named."""

from __future__ import annotations

import pytest
from declared_plate import DAY, FIVE, KINDS, KITCHEN, LAW, LISTS, PACK, boxed, codes, dish, fact, made, marked
from msgspec.structs import replace

from labeller.declaring.additives import bare_additives
from labeller.declaring.declare import declare
from labeller.declaring.menu import choice_energy, choice_words
from labeller.declaring.statement import plain
from labeller.reading.laws import load_law
from labeller.terms.findings import NOWHERE
from labeller.terms.kitchen import Amount, Kitchen, Line, Recipe
from labeller.terms.record import Ingredient
from labeller.terms.spans import Span


def holding(count: float, unit: str = "piece", **more) -> Recipe:
    line = Line("canapé", Amount(f"{count}", Span.of(count), unit), NOWHERE)
    return replace(PACK, lines=(line,), **more)


def at_home(kitchen: Kitchen, law: str = "us", recipe: Recipe = PACK, record=None, **more):
    record = record or dish(FIVE["amounts"], 100, kind="pack", name="canapé box", **more)
    return declare(record, LAW[law], recipe=recipe, kitchen=kitchen, kinds=KINDS, lists=LISTS, date=DAY)


def printed(declaration, column: str = "per_portion") -> dict[str, str]:
    return {row.key: getattr(row, column) for row in declaration.rows}


# US servings: 21 CFR 101.9(b)


@pytest.mark.parametrize(
    ("pack_g", "held", "racc", "words", "second"),
    [
        (100, 0, "51 g", "Serving size 1 package (100g)", ""),  # (b)(6): under 200 %
        (100, 0, "50.01 g", "Serving size 1 package (100g)", ""),
        (100, 4, "50 g", "2 servings per container\nServing size 2 pieces (50g)", "Per container"),  # (b)(12)(i): 200 %
        (
            150,
            4,
            "50 g",
            "4 servings per container\nServing size 1 piece (38g)",
            "Per container",
        ),  # 300 %; 37.5 g is 75 %: 1 unit
        (151, 4, "50 g", "4 servings per container\nServing size 1 piece (38g)", ""),  # over 300 %
        (216, 12, "85 g", "about 2.5 servings per container\nServing size 5 pieces (90g)", "Per container"),  # 85/18 = 4.72
        (240, 12, "20 g", "12 servings per container\nServing size 1 piece (20g)", ""),  # (b)(2)(i)(C)
        (120, 4, "55 g", "2 servings per container\nServing size 2 pieces (60g)", "Per container"),  # (B): 30/55 = 54.5 %
        (300, 6, "75 g", "3 servings per container\nServing size 2 pieces (100g)", ""),  # 66.6 %: 2 units nearer than 1
        (300, 6, "74 g", "6 servings per container\nServing size 1 piece (50g)", ""),  # 67.6 %
        (
            500,
            4,
            "50 g",
            "12 servings per container\nServing size 1/3 piece (42g)",
            "Per unit",
        ),  # (D): 250 %; 1/3 nearer than 1/2
        (600, 1, "125 g", "5 servings per container\nServing size 1/5 package (120g)", ""),  # (b)(2)(ii)
        (
            900,
            1,
            "125 g",
            "8 servings per container\nServing size 1/8 package (113g)",
            "",
        ),  # 0.139: sevenths are no fraction of the law
        (300, 0, "2 tbsp (30 g)", "10 servings per container\nServing size 2 tbsp (30g)", ""),
        (560, 0, "30 g", "20 servings per container\nServing size 1 oz (28g)", ""),
        (250, 1, "whole pack", "Serving size 1 package (250g)", ""),  # (b)(3): a meal for one
    ],
)
def test_us_serving(pack_g, held, racc, words, second):
    recipe = holding(held, racc=racc) if held else holding(pack_g, "g", racc=racc)
    declaration = boxed("us", recipe, weight=pack_g)
    assert (declaration.portion_words, declaration.pack_words) == (words, second)


def test_a_second_column_is_rounded_on_its_own():
    """101.9(b)(12)(i), (c): 0.45 g of fat in a serving prints 0 g, 1.125 g in the pack 1 g, not 2.5 times nothing (derived)."""
    amounts = FIVE["amounts"] | {"fat_g": 1.125, "saturates_g": 0.0, "trans_fat_g": 0.0}
    record = dish(amounts, 100, kind="pack")
    declaration = made(record, "us", holding(5, racc="40 g"))
    assert declaration.pack_words == "Per container" and declaration.portion_words.startswith("2.5 servings")
    assert printed(declaration)["fat_g"] == "0g" and printed(declaration, "per_pack")["fat_g"] == "1g"
    assert printed(declaration, "share_pack")["fat_g"] == "1%"


def test_a_serving_is_what_the_record_gives_as_its_portion():
    declaration = boxed("us", holding(12, racc="25 g"), weight=240)  # a piece of 20 g is 80 %: one unit
    assert declaration.portion_g == Span.of(20.0)
    sodium = next(row for row in declaration.figures if row.key == "sodium_mg")
    assert sodium.value_portion.mid == pytest.approx(139.5 / 12) and declaration.record.weight_g.mid == 240


def test_without_a_reference_amount_there_is_no_us_table():
    declaration = boxed("us")
    assert "reference-amount-missing" in codes(declaration) and declaration.rows == () and not declaration.stopped
    assert "reference-amount-missing" not in codes(boxed("us", replace(PACK, sold="prepacked for direct sale")))  # (j)(3)
    assert "reference-amount-missing" in codes(boxed("us", replace(PACK, racc="1 cup")))  # no weight in it
    assert "serving-in-ounces" in codes(boxed("us", holding(560, "g", racc="30 g"), weight=560))


# Portions as the kitchen writes them


def test_portion_of_a_piece():
    """Art. 33(1)-(2): the portion is quantified on the label and the number of portions stated."""
    declaration = boxed("eu", holding(12, serving="1 piece"), weight=240)
    assert declaration.portion_words == "Per portion (20 g)" and "This pack holds 12 portions" in declaration.footnotes
    assert printed(declaration)["energy_kj"] == "113 kJ" and printed(declaration, "per_100g")["energy_kj"] == "565 kJ"
    by_weight = boxed("anz", replace(PACK, serving="30 g"), weight=300)
    assert by_weight.portion_words == "Quantity per serving (30 g)" and "Servings per package: 10" in by_weight.footnotes
    assert boxed("anz").footnotes == ("Servings per package: 1",)  # Standard 1.2.8, Schedule 12 (from memory): always stated
    assert "serving-not-read" in codes(boxed("eu", replace(PACK, serving="a bite")))
    assert "serving-not-read" in codes(boxed("eu", replace(PACK, serving="1 piece")))  # it holds none by the piece


# "At least" has no place on a pack


@pytest.mark.parametrize("law", ["eu", "uk", "us", "ca", "anz"])
def test_a_lower_bound_stops_the_table_of_a_pack_and_not_the_card(law):
    recipe = replace(PACK, racc="whole pack")
    bound = dish(FIVE["amounts"], 100, {"sodium_mg": 0.9}, kind="pack")
    declaration = made(bound, law, recipe)
    assert "pack-figure-not-whole" in codes(declaration) and declaration.rows == () and not declaration.nutrition_shown
    assert declaration.particulars and not declaration.stopped  # name, list and date go on
    vague = made(dish(FIVE["amounts"], 100, kind="pack", unknown_amounts=("sea salt",)), law, recipe)
    assert "pack-figure-not-whole" in codes(vague)
    plate = made(dish(FIVE["amounts"], 100, {"sodium_mg": 0.9}), law)
    assert any("at least" in row.per_portion for row in plate.rows) and "pack-figure-not-whole" not in codes(plate)


def test_a_pack_that_shows_no_table_may_have_bounds():
    declaration = made(dish({"fat_g": 5.0}, kind="pack"), "uk", replace(PACK, sold="prepacked for direct sale"))
    assert "pack-figure-not-whole" not in codes(declaration)


# Short tables


NOTHING_MUCH = dict.fromkeys(
    (
        "protein_g",
        "nitrogen_g",
        "fat_g",
        "saturates_g",
        "trans_fat_g",
        "fibre_g",
        "cholesterol_mg",
        "sodium_mg",
        "alcohol_g",
        "vitamin_d_ug",
        "calcium_mg",
        "iron_mg",
        "potassium_mg",
    ),
    0.0,
) | {"carbohydrate_g": 4.0, "sugars_g": 4.0, "added_sugars_g": 4.0}


def test_us_simplified_format():
    """101.9(f): 11 of 15 insignificant; the core nutrients, the sugars and the sentence of (f)(4) stand."""
    declaration = made(dish(NOTHING_MUCH, 10, kind="pack"), "us", replace(PACK, racc="whole pack", short_table=True))
    assert declaration.simplified
    assert list(printed(declaration)) == [
        "energy_kcal",
        "fat_g",
        "sodium_mg",
        "carbohydrate_g",
        "sugars_g",
        "added_sugars_g",
        "protein_g",
    ]
    assert declaration.footnotes[0] == (
        "Not a significant source of saturated fat, trans fat, cholesterol, dietary fiber, vitamin D, "
        "calcium, iron and potassium."
    )
    whole = made(dish(NOTHING_MUCH, 10, kind="pack"), "us", replace(PACK, racc="whole pack"))
    assert len(whole.rows) == 15 and whole.simplified


@pytest.mark.parametrize(
    ("key", "amount", "stays"),
    [
        ("cholesterol_mg", 1.99, False),
        ("cholesterol_mg", 2, True),
        ("fibre_g", 0.99, False),
        ("fibre_g", 1, True),
        ("added_sugars_g", 0.99, False),
        ("added_sugars_g", 1, True),
        ("calcium_mg", 25.9, False),
        ("calcium_mg", 26, True),
        ("saturates_g", 0.1, False),
    ],
)
def test_us_lines_left_out(key, amount, stays):
    """101.9(c): below 2 mg cholesterol, 1 g fibre or sugars, 2 % of the daily value; fatty acids where fat is below 0.5 g."""
    amounts = FIVE["amounts"] | {"fat_g": 0.49, "saturates_g": 0.1, "sugars_g": 5.0, "carbohydrate_g": 27.0, key: amount}
    declaration = made(dish(amounts, 100, kind="pack"), "us", replace(PACK, racc="whole pack", short_table=True))
    assert (key in printed(declaration)) is stays
    assert any(note.startswith("Not a significant source of ") for note in declaration.footnotes)


def test_a_figure_not_known_is_never_left_out():
    amounts = {key: value for key, value in FIVE["amounts"].items() if key != "vitamin_d_ug"}
    declaration = made(dish(amounts, 100), "us", Recipe("plate", "dish", NOWHERE, (), short_table=True))
    assert printed(declaration)["vitamin_d_ug"] == "not known"


def test_negligible_amounts_in_the_eu():
    """Art. 34(5)."""
    declaration = made(
        dish(NOTHING_MUCH | {"carbohydrate_g": 80.0, "sugars_g": 80.0}, 100),
        "eu",
        Recipe("p", "dish", NOWHERE, (), short_table=True),
    )
    assert declaration.footnotes == ("Contains negligible amounts of fat, saturates, protein and salt.",)
    assert list(printed(declaration)) == ["energy_kj", "energy_kcal", "carbohydrate_g", "sugars_g", "fibre_g"]


# Voluntary nutrients


@pytest.mark.parametrize(("mg", "shown"), [(119.9, False), (120, True)])
def test_a_mineral_stands_from_15_percent_on(mg, shown):
    """Annex XIII part A point 2: 15 % of 800 mg calcium per 100 g; its share stands beside it (Art. 32(3))."""
    record = dish(FIVE["amounts"] | {"calcium_mg": mg}, 100)
    declaration = made(record, "eu", Recipe("plate", "dish", NOWHERE, (), also_declared=("calcium",)))
    assert printed(declaration, "per_100g").get("calcium_mg") == ("120 mg (15 % NRV)" if shown else None)
    assert ("nutrient-not-added" in codes(declaration)) is not shown


def test_a_single_portion_pack_counts_by_its_portion():
    """The same point: 15 % of the reference value per portion where the package holds a single portion."""
    record = dish(FIVE["amounts"] | {"calcium_mg": 200.0}, 200, kind="pack")  # 12.5 % per 100 g, 25 % in the pack
    asked = replace(PACK, also_declared=("calcium",))
    assert "calcium_mg" in printed(made(record, "eu", asked))
    assert "calcium_mg" not in printed(made(record, "eu", replace(asked, lines=holding(4).lines, serving="1 piece")))


def test_one_fatty_acid_brings_the_other_under_us_law():
    """101.9(c)(2)(iii)-(iv): polyunsaturated fat must stand when monounsaturated does, and the reverse."""
    record = dish(FIVE["amounts"] | {"monounsaturates_g": 3.0, "polyunsaturates_g": 2.0}, 100)
    asked = Recipe("plate", "dish", NOWHERE, (), also_declared=("monounsaturates",))
    assert {"monounsaturates_g", "polyunsaturates_g"} <= set(printed(made(record, "us", asked)))
    assert "polyunsaturates_g" not in printed(made(record, "eu", asked))


def test_voluntary_lines_stand_only_when_asked_for():
    record = dish(FIVE["amounts"] | {"monounsaturates_g": 3.0, "polyunsaturates_g": 2.0, "vitamin_c_mg": 45.0}, 100)
    assert not {"monounsaturates_g", "vitamin_c_mg"} & set(printed(made(record, "us")))
    asked = Recipe(
        "plate", "dish", NOWHERE, (), also_declared=("monounsaturates", "polyunsaturates", "vitamin c", "caffeine")
    )
    rows = {row.key: row for row in made(record, "us", asked).rows}
    assert rows["vitamin_c_mg"].per_portion == "45mg" and rows["vitamin_c_mg"].share == "50%"
    assert "nutrient-not-added" in codes(made(record, "us", asked))  # caffeine is no line of the law
    by_house = at_home(
        replace(KITCHEN, also_declared=("vitamin c",)), recipe=Recipe("plate", "dish", NOWHERE, ()), record=record
    )
    assert "vitamin_c_mg" in printed(by_house)


# Small packs


@pytest.mark.parametrize(
    ("side", "table", "listed"), [(25, True, True), (24.9, False, True), (10, False, True), (9.9, False, False)]
)
def test_small_packs_in_the_eu(side, table, listed):
    """Annex V item 18: no table below 25 cm2; Art. 16(2): no list below 10 cm2, its allergens stay."""
    declaration = made(dish(FIVE["amounts"], kind="pack", facts=(fact("milk"),)), "eu", replace(PACK, largest_side_cm2=side))
    assert (declaration.nutrition_shown, declaration.list_required) == (table, listed)
    assert declaration.contains == ("" if listed else "Contains: milk")


@pytest.mark.parametrize(("side", "table"), [(12.9, False), (12.91, True)])
def test_small_packs_in_the_us(side, table):
    """101.9(j)(13)(i): less than 12 square inches (77.4 cm2) in all; held against six times the largest side."""
    assert boxed("us", replace(PACK, largest_side_cm2=side, racc="whole pack")).nutrition_shown is table


# Lists


def test_us_allergens_in_brackets_instead_of_the_line():
    """21 USC 343(w)(1)(B)."""
    box = (
        Ingredient("butter", 8, kinds=("milk",)),
        Ingredient("spelt", 6, kinds=("spelt",)),
        Ingredient("smoked trout", 5, kinds=("trout",)),
        Ingredient("praline", 4, kinds=("hazelnut",)),
    )
    facts = tuple(fact(kind) for kind in ("milk", "spelt", "trout", "hazelnut"))
    record = dish(FIVE["amounts"], kind="pack", ingredients=box, facts=facts)
    line = at_home(KITCHEN, record=record)
    assert (plain(line.statement), line.contains) == (
        "butter, spelt, smoked trout, praline",
        "Contains: wheat, trout, milk, hazelnut",
    )
    brackets = at_home(replace(KITCHEN, allergens_in_list=True), record=record)
    assert (
        plain(brackets.statement) == "butter (milk), spelt (wheat), smoked trout, praline (hazelnut)"
        and brackets.contains == ""
    )
    eu = at_home(replace(KITCHEN, allergens_in_list=True), "eu", record=record)
    assert marked(eu) == "butter (*milk*), spelt (*wheat*), smoked trout (*fish*), praline (*hazelnut*)"


def test_us_minor_ingredients_behind_their_phrase():
    """101.4(a)(2): at 2 % and below; one alone, or one without a known weight, keeps its place."""

    def listed(*parts: tuple[str, float], unknown: tuple[str, ...] = ()) -> str:
        return plain(
            made(dish(ingredients=tuple(Ingredient(*part) for part in parts), unknown_amounts=unknown), "us").statement
        )

    assert (
        listed(("flour", 60), ("butter", 36), ("salt", 2), ("pepper", 2))
        == "flour, butter, contains 2% or less of: salt, pepper"
    )
    assert listed(("flour", 60), ("butter", 35.8), ("salt", 2.2), ("pepper", 2)) == "flour, butter, salt, pepper"
    assert listed(("flour", 60), ("salt", 0), ("pepper", 0.5), unknown=("salt",)) == "flour, pepper, salt"


def test_us_sulfites_stand_in_the_list_and_not_in_the_line():
    """101.100(a)(4): from 10 mg/kg an ingredient to be declared, no major allergen."""
    record = dish(
        ingredients=(Ingredient("wine vinegar", 5, kinds=("sulphites",)), Ingredient("potato", 9)),
        facts=(fact("sulphites"),),
    )
    declaration = made(record, "us")
    assert plain(declaration.statement) == "potato, wine vinegar (sulfites)" and declaration.contains == ""


def test_canadian_ingredients_begin_with_a_capital():
    """B.01.008.1-.2: small letters, the first letter of each ingredient a capital."""
    inner = Ingredient("dill cream", 6, under=(Ingredient("crème fraîche", 5, kinds=("milk",)), Ingredient("dill", 1)))
    record = dish(ingredients=(inner, Ingredient("rye cracker", 9)))
    assert plain(made(record, "ca").statement) == "Rye cracker, Dill cream (crème fraîche, dill)"


def test_a_compound_inside_its_own_name_stands_once():
    roll = Ingredient("venison roll", 10, under=(Ingredient("pastry", 6), Ingredient("venison", 4)))
    box = dish(ingredients=(Ingredient("venison roll, warm or cold", 10, under=(roll,)), Ingredient("quince", 2)))
    assert plain(made(box).statement) == "venison roll, warm or cold (pastry, venison), quince"
    other = replace(roll, name="game pie")
    box = dish(ingredients=(Ingredient("venison platter", 10, under=(other,)), Ingredient("quince", 2)))
    assert plain(made(box).statement) == "venison platter (game pie (pastry, venison)), quince"


@pytest.mark.parametrize(
    ("name", "printed_list", "expected"),
    [
        ("stock", "Water, Salt, Onion", "stock (water, salt, onion)"),
        ("hard cheese", "Parmigiano Reggiano (milk, salt)", "hard cheese (Parmigiano Reggiano (milk, salt))"),
        ("mustard", "Water, Dijon mustard seed, salt", "mustard (water, Dijon mustard seed, salt)"),
        ("Cheddar", "Cheddar (milk, salt)", "Cheddar (milk, salt)"),
    ],
)
def test_suppliers_capitals_come_down(name, printed_list, expected):
    record = dish(ingredients=(Ingredient(name, 5, printed=printed_list), Ingredient("potato", 1)))
    assert plain(made(record).statement) == f"{expected}, potato"


@pytest.mark.parametrize(("law", "expected"), [("us", "wholemeal spelt, potato"), ("eu", "wholemeal spelt (*wheat*), potato")])
def test_capitals_of_a_kind_that_the_law_calls_otherwise_come_down(law, expected):
    flour = Ingredient("wholemeal spelt", 5, printed="wholemeal SPELT", kinds=("spelt",))
    assert marked(made(dish(ingredients=(flour, Ingredient("potato", 1))), law)) == expected


def test_capitals_stay_in_a_language_that_writes_nouns_with_one():
    record = dish(ingredients=(Ingredient("Teig", 5, printed="Weizenmehl, Zucker, Salz"), Ingredient("Apfel", 1)))
    found = declare(record, load_law("eu", DAY, ("de",)), recipe=None, kitchen=KITCHEN, kinds=KINDS, lists=LISTS, date=DAY,
                    language="de")  # fmt: skip
    assert plain(found.statement) == "Teig (Weizenmehl, Zucker, Salz), Apfel"


@pytest.mark.parametrize(
    ("text", "bare"),
    [
        ("prunes, preservative: potassium sorbate", ()),
        ("prunes, potassium sorbate", ("potassium sorbate",)),
        ("flour, raising agents (E450, E500), salt", ()),
        ("flour, raising agents: E450 and E500; salt", ()),
        ("flour, E450, salt", ("E450",)),
        ("emulsifier: lecithins (soya), sugar, citric acid", ("citric acid",)),
        ("water, thickener: xanthan gum, acidity regulator: citric acid", ()),
        ("wheat flour (wheat, calcium carbonate, iron, niacin, thiamin)", ()),
    ],
)
def test_additives_without_their_category(text, bare):
    """Annex VII part C (from memory): category, then name or number."""
    assert bare_additives(text, LAW["eu"]) == bare


def test_an_additive_without_category_is_told_and_nothing_is_invented():
    jar = Ingredient("glaze", 5, printed="sugar, water, E330")
    declaration = made(dish(FIVE["amounts"], kind="pack", ingredients=(jar,)), "eu", PACK)
    assert "additive-without-category" in codes(declaration) and "E330" in plain(declaration.statement)
    assert "additive-without-category" not in codes(made(dish(FIVE["amounts"], kind="pack", ingredients=(jar,)), "us", PACK))


# The rest of a label


@pytest.mark.parametrize(("strength", "text"), [(1.2, None), (1.21, "1.2 % vol"), (5.55, "5.6 % vol")])
def test_strength_of_a_drink(strength, text):
    """Art. 9(1)(k): over 1.2 % vol."""
    assert dict(boxed(recipe=replace(PACK, alcohol_vol=strength)).particulars).get("alcohol") == text


def test_a_strength_that_nobody_wrote_is_told():
    """12 g of alcohol in 100 g is about 15 % vol (ethanol 0.789 g/ml)."""
    strong = dish(FIVE["amounts"] | {"alcohol_g": 12.0}, kind="pack")
    assert "strength-not-stated" in codes(made(strong, "eu", PACK)) and "strength-not-stated" not in codes(
        made(dish(FIVE["amounts"] | {"alcohol_g": 0.9}, kind="pack"), "eu", PACK)
    )


def test_who_set_the_date_is_kept():
    assert boxed().durability_set_by == "RM" and boxed(recipe=replace(PACK, shelf_life=None)).durability_set_by == ""


def test_nations_of_the_united_kingdom():
    """The EU's regulation itself holds in Northern Ireland; the statement on daily needs is England's."""

    def told(nation: str) -> list[str]:
        return codes(at_home(replace(KITCHEN, nation=nation), "uk"))

    assert "nation-of-another-law" in told("northern ireland") and "nation-of-another-law" not in told("wales")
    assert "nation-not-stated" in told("") and "nation-not-stated" not in told("scotland")
    assert "nation-of-another-law" not in codes(at_home(replace(KITCHEN, nation="northern ireland"), "eu"))


@pytest.mark.parametrize("language", ["de", "es", "fr", "it", "nl"])
def test_words_from_memory_are_told(language):
    law = load_law("eu", DAY, (language,))
    found = declare(dish(), law, recipe=None, kitchen=KITCHEN, kinds=KINDS, lists=LISTS, date=DAY, language=language)
    told = next(each for each in found.findings if each.code == "rules-from-memory")
    assert f'the words of the language "{language}"' in told.text


# Energy on menus


@pytest.mark.parametrize(
    ("values", "text"),
    [
        ((150, 250), "150/250 Cal"),
        ((100, 180, 250), "100-250 Cal"),
        ((450, 500), "450/500 Cal"),
        ((500, 350, 420), "350-500 Cal"),
        ((47.4, 4.9), "45/0 Cal"),
        ((250,) * 3, "250-250 Cal"),
    ],
)
def test_us_choice_of_plates(values, text):
    """101.11(b)(2)(i)(A)(4), (6): published pairs and ranges; each number rounded first."""
    assert choice_words(values, LAW["us"]) == text
    assert choice_words(values, LAW["uk"]) == ""


def of_size(law: str, **size):
    plate = dish(FIVE["amounts"], 180)
    return at_home(replace(KITCHEN, **size), law, Recipe("plate", "dish", NOWHERE, ()), plate)


def test_energy_stands_on_the_menus_of_large_businesses_only():
    """21 CFR 101.11(a): 20 places; SI 2021/909: 250 employees, in England."""
    assert (
        of_size("us", places_of_business=19).menu_energy == ""
        and of_size("us", places_of_business=20).menu_energy == "330 Cal"
    )
    assert of_size("uk", nation="england", employees=249).menu_energy == ""
    large = of_size("uk", nation="england", employees=250)
    assert large.menu_energy == "325 kcal, per portion (180 g)" and large.menu_sentences == (
        "Adults need around 2000 kcal a day.",
    )
    assert of_size("uk", nation="wales", employees=900).menu_energy == "" and of_size("eu", employees=900).menu_energy == ""
    assert of_size("us", nutrition_asked=True).menu_energy == "330 Cal"


def test_energy_of_a_course_with_a_choice():
    light, rich = (of_size("us", places_of_business=20), of_size("us", places_of_business=20))
    assert choice_energy((light, rich), LAW["us"]) == "330/330 Cal"
    unknown = at_home(KITCHEN, record=dish({"fat_g": 1.0}), recipe=Recipe("plate", "dish", NOWHERE, ()))
    assert choice_energy((light, unknown), LAW["us"]) == "" and choice_energy((light,), LAW["us"]) == ""
