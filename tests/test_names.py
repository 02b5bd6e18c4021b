"""Kitchen names and the levelling of words.

Codes and descriptions: USDA National Nutrient Database for Standard Reference, Release 28. Which row a cook means: common
practice, no source; looked at name by name.
"""

from __future__ import annotations

import csv
import time

import pytest

from labeller.reading.foods import load_foods
from labeller.reading.library import reference
from labeller.reading.names import load_names, load_synonyms
from labeller.terms.words import fold, normalise, normalise_all, singular

FOODS = load_foods()
DESCRIPTIONS = FOODS.descriptions()
NAMES = load_names()
with reference("foods", "kitchen_names.csv").open(encoding="utf-8", newline="") as stream:
    ROWS = list(csv.DictReader(stream))


# ---- words ---------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("typed", "also"), [
    ("Brussels sprouts", "brussel sprout"), ("tomatoes", "Tomato"), ("anchovies", "anchovy"), ("bay leaves", "bay leaf"),
    ("crème fraîche", "creme fraiche"), ("goat's cheese", "goats’ cheese"), ("half & half", "half-and-half"),
    ("dark chocolate 70 %", "Dark chocolate, 70%"), ("70 per cent chocolate", "70% chocolate"), ("chillies", "chilli"),
    ("'nduja", "Nduja"), ("œufs", "oeuf"), ("sugar-snap peas", "sugar snap pea"), ("milk 3,5 %", "milk 3.5%"),
    ("potatoes (new)", "potato new"), ("cherries", "cherry"), ("radishes", "radish"), ("peaches", "peach"),
    ("mangoes", "mango"), ("calves' liver", "calf's liver"), ("cookies", "cookie"), ("quiches", "quiche"),
])  # fmt: skip
def test_two_spellings_of_one_name_are_one(typed: str, also: str) -> None:
    assert normalise(typed) == normalise(also) != ""


@pytest.mark.parametrize("word", [
    "asparagus", "couscous", "molasses", "hummus", "swiss", "bass", "watercress", "brussels", "octopus", "physalis",
    "cassis", "haggis", "pois", "gras", "cos", "coulis", "calvados",
])  # fmt: skip
def test_words_that_are_no_plurals_stay(word: str) -> None:
    assert singular(word) == word


@pytest.mark.parametrize(("plural", "one"), [("leaves", "leaf"), ("halves", "half"), ("olives", "olive"), ("chives", "chive"),
                                             ("peas", "pea"), ("pies", "pie"), ("berries", "berry"), ("quinces", "quince"),
                                             ("cheeses", "cheese"), ("sauces", "sauce"), ("loaves", "loaf"), ("geese", "goose"),
                                             ("zucchinis", "zucchini"), ("avocados", "avocado"), ("boxes", "box")])  # fmt: skip
def test_plurals(plural: str, one: str) -> None:
    assert singular(plural) == one


def test_different_things_stay_different() -> None:
    for one, other in [("cornflour", "corn flour"), ("coriander", "cilantro"), ("chilli powder", "chili powder"),
                       ("egg", "eggplant"), ("sweetcorn", "sweet corn"), ("rose", "roe")]:  # fmt: skip
        assert normalise(one) != normalise(other)


def test_levelling_twice_changes_nothing_and_a_list_is_levelled_alike() -> None:
    texts = [*DESCRIPTIONS.values(), *(row["name"] for row in ROWS), "percent", "70 per cent", "œ&æ", "", "...", "1.5 % x"]
    levelled = [normalise(text) for text in texts]
    assert normalise_all(texts) == levelled
    assert [normalise(text) for text in levelled] == levelled
    assert normalise_all(["two\nlines", "one"]) == ["two line", "one"]
    assert fold("Tomatoes, ripe") == "tomatoes ripe"
    assert normalise("(–)") == ""


# ---- names ---------------------------------------------------------------------------------------------------------------


def test_there_are_enough_names_and_each_is_there_once() -> None:
    assert len(ROWS) >= 900
    assert len(NAMES) == len(ROWS), "two names are one after levelling"
    assert all(NAMES[normalise(row["name"])].code == row["code"] for row in ROWS)
    assert [row for row in ROWS if row["key"] != normalise(row["name"])] == [], "the key column is levelled by an older rule"
    assert {key: NAMES[key] for key in NAMES} == dict(NAMES) and "no such name" not in NAMES and NAMES.get("x") is None
    assert [(each.name, each.single, each.region, each.why) for each in NAMES.values()] == [
        (row["name"], row["single"] == "yes", row["region"], row["why"]) for row in ROWS]


def test_every_code_is_a_row_of_the_food_table() -> None:
    assert [row["name"] for row in ROWS if row["code"] not in DESCRIPTIONS] == []


def test_columns_hold_what_they_may() -> None:
    for row in ROWS:
        assert len(row["code"]) == 5 and row["code"].isdigit(), row
        assert row["single"] in ("yes", "no") and row["region"] in ("uk", "us", "both"), row
        assert row["name"] == row["name"].strip() != "", row


# A plain ingredient needs no paper: none of these may be one. Sulphites in wine, vinegar and dried fruit, wheat in stock cubes
# and spice blends, milk in chocolate: common practice, no source.
PROCESSED = {
    "flour", "powder", "sauce", "stock", "broth", "vinegar", "wine", "chocolate", "canned", "tinned", "dried",
    "smoked", "cured", "pickled", "ground", "minced", "mince", "oil", "bread", "pastry", "paste", "purée", "jam",
    "syrup", "bacon", "sausage", "frozen", "cooked", "cheese", "yoghurt", "cream", "spice", "mustard seeds",
    "ketchup", "mayonnaise", "seasoning", "noodle", "pasta", "biscuit", "jelly", "extract", "beer", "prawn",
    "shrimp", "nut", "almond", "seeds",
}  # fmt: skip
FRESH_ALL_THE_SAME = {"full cream milk", "mustard leaves", "pomegranate seeds"}
SINGLE_FAMILIES = ("01", "02", "05", "09", "10", "11", "12104", "13", "14411", "15", "17", "19335", "23", "35", "80200")


def test_a_plain_ingredient_is_none_of_the_processed_groups() -> None:
    processed = {normalise(word) for word in PROCESSED}
    wrong = [row["name"] for row in ROWS if row["single"] == "yes" and row["name"] not in FRESH_ALL_THE_SAME
             and processed & set(normalise(row["name"]).split())]  # fmt: skip
    assert wrong == []


def test_a_plain_ingredient_has_the_row_of_a_plain_food() -> None:
    for row in ROWS:
        if row["single"] == "yes":
            text = DESCRIPTIONS[row["code"]].lower()
            assert row["code"].startswith(SINGLE_FAMILIES), row
            states = ("cooked", "canned", "cured", "smoked", "pickled", "sweetened", "with salt", "breaded")
            assert not any(word in text for word in states), row
    for name in ("lemon juice", "salted butter", "grapes", "king prawns", "minced beef", "olive oil", "icing sugar"):
        assert not NAMES[normalise(name)].single, name
    for name in ("carrots", "sea salt", "water", "cod fillet", "eggs", "unsalted butter", "dill", "caster sugar"):
        assert NAMES[normalise(name)].single, name


def test_a_cooked_row_stands_only_for_a_name_that_says_so() -> None:
    said = {
        "cooked", "boiled", "baked", "poached", "fried", "sautéed", "roasted", "toasted", "steamed", "brewed", "coffee",
        "espresso", "crab", "blanched", "pan", "bread", "croissant", "taco",
    }  # fmt: skip
    wrong = [(row["name"], DESCRIPTIONS[row["code"]]) for row in ROWS if FOODS.get(row["code"]).state == "cooked"
             and not any(word in f"{row['name']} {row['why']}".lower() for word in said)]  # fmt: skip
    assert wrong == []


@pytest.mark.parametrize(("uk", "us"), [
    ("aubergine", "eggplant"), ("courgette", "zucchini"), ("rocket", "arugula"), ("spring onion", "scallion"),
    ("swede", "rutabaga"), ("bicarbonate of soda", "baking soda"), ("rapeseed oil", "canola oil"),
    ("groundnut oil", "peanut oil"), ("prawns", "shrimp"), ("caster sugar", "superfine sugar"),
    ("icing sugar", "confectioners' sugar"), ("coriander", "cilantro"), ("cornflour", "cornstarch"),
    ("black treacle", "molasses"), ("beetroot", "beets"), ("fillet of beef", "beef tenderloin"),
    ("rump steak", "top sirloin"), ("tomato purée", "tomato paste"), ("soured cream", "sour cream"),
    ("leaf gelatine", "sheet gelatin"), ("single cream", "light cream"), ("wholemeal flour", "whole wheat flour"),
    ("sultanas", "golden raisins"), ("chicory", "Belgian endive"),
])  # fmt: skip
def test_both_kitchens_mean_the_same_row(uk: str, us: str) -> None:
    assert NAMES[normalise(uk)].code == NAMES[normalise(us)].code


@pytest.mark.parametrize(("name", "begins"), [
    ("plain flour", "Wheat flour, white, all-purpose, unenriched"),
    ("all-purpose flour", "Wheat flour, white, all-purpose, enriched"),
    ("strong white flour", "Wheat flours, bread, unenriched"),
    ("bread flour", "Wheat flour, white, bread, enriched"),
    ("heavy cream", "Cream, fluid, heavy whipping"),
    ("egg yolk", "Egg, yolk, raw"),
    ("cod fillet", "Fish, cod, Atlantic, raw"),
    ("white miso", "Miso"),
    ("soy sauce", "Soy sauce made from soy and wheat"),
    ("dark chocolate 70 %", "Chocolate, dark, 70-85%"),
    ("celeriac", "Celeriac, raw"),
    ("unsalted butter", "Butter, without salt"),
    ("tahini", "Seeds, sesame butter, tahini"),
    ("ground almonds", "Nuts, almonds, blanched"),
    ("sea salt", "Salt, table"),
    ("whole milk", "Milk, whole, 3.25% milkfat"),
    ("anchovies", "Fish, anchovy, european, canned in oil"),
    ("trout fillet", "Fish, trout, rainbow, farmed, raw"),
])  # fmt: skip
def test_names_mean_what_usda_calls(name: str, begins: str) -> None:
    """USDA SR28 descriptions."""
    assert DESCRIPTIONS[NAMES[normalise(name)].code].startswith(begins)


def test_the_deliberate_choices_say_why() -> None:
    told = ("plain flour", "whole milk", "crème fraîche", "coriander", "white miso", "cornflour", "Champagne", "langoustine")
    for name in (*told, "lemon juice"):
        assert NAMES[normalise(name)].why, name


@pytest.mark.parametrize("name", [
    "cream", "pepper", "stock", "broth", "nuts", "milk", "flour", "oil", "butter", "cheese", "vinegar", "wine",
    "corn flour", "sirloin", "double cream", "self-raising flour", "smoked salmon", "cider", "ham", "duck breast",
    "sausages", "black pudding", "tuna", "beans", "chicken", "mustard",
])  # fmt: skip
def test_a_word_of_several_meanings_is_no_name(name: str) -> None:
    """Two rows far apart, or none that is honest: asked, never guessed. Common practice, no source."""
    assert normalise(name) not in NAMES


def test_names_load_quickly() -> None:
    times = []
    for _ in range(7):
        start = time.perf_counter()
        load_names()
        times.append(time.perf_counter() - start)
    assert min(times) < 0.02, "some 2 ms on the machine it was written on"


# ---- synonyms ------------------------------------------------------------------------------------------------------------


def test_synonyms_are_levelled_and_use_words_of_the_food_table() -> None:
    vocabulary = {word for text in normalise_all(list(DESCRIPTIONS.values())) for word in text.split()}
    for words, means in load_synonyms().items():
        assert normalise(words) == words and means, words
        assert [word for word in normalise(means).split() if word not in vocabulary] == [], words
