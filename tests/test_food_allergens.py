"""What every food row holds: coverage, cases with reasons, and USDA's own figures held against the table.

The cases of ``published/food_rows_cases.csv`` carry their ground row by row. Cholesterol occurs in foods of animal origin only
(common knowledge of the field; USDA's figures are 0 for plants), butterfat carries under 3 mg of it a gram (butter: 215 mg in
81 g fat, SR28 01001), so a plant or baked food with more than its fat can bring has egg, meat or seafood in it.
"""

from __future__ import annotations

import csv
import random
import re
from hashlib import sha256
from pathlib import Path

import pytest
import yaml

from labeller.reading.allergen_tables import load_food_kinds, load_guest_words, load_kinds
from labeller.reading.library import reference
from labeller.terms.allergens import GROUPS
from labeller.terms.words import normalise

FOLDER = reference("allergens")
PUBLISHED = Path(__file__).parent / "published"
SEED = 20261125
DEGREES = ("contains", "usual", "possible")


def table(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


@pytest.fixture(scope="module")
def foods() -> dict[str, dict[str, str]]:
    return {row["code"]: row for row in table(reference("foods", "sr28.csv"))}


@pytest.fixture(scope="module")
def rows() -> dict[str, dict[str, str]]:
    return {row["code"]: row for row in table(FOLDER / "food_rows.csv")}


@pytest.fixture(scope="module")
def kinds():
    return load_kinds()


def held(row: dict[str, str], *degrees: str) -> set[str]:
    return {kind for degree in degrees or DEGREES for kind in row[degree].split(";") if kind}


def groups(row: dict[str, str], kinds, *degrees: str) -> set[str]:
    return {kinds[kind].group for kind in held(row, *degrees)}


def test_every_food_has_a_row(foods, rows):
    assert len(foods) == 8790  # the size of SR28
    assert list(rows) == sorted(foods)


def test_rows_are_well_formed(rows, kinds):
    order = {key: nr for nr, key in enumerate(kinds)}
    for code, row in rows.items():
        seen: list[str] = []
        for degree in DEGREES:
            words = [kind for kind in row[degree].split(";") if kind]
            assert words == sorted(words, key=order.__getitem__), code  # KeyError: an unknown kind
            seen += words
        assert len(seen) == len(set(seen)), f"{code}: a kind stands in two degrees"
        assert row["basis"] in ("identity", "description", "class", "brand recipe"), code
        assert row["reviewed"] == "yes", code
        if row["usual"] or row["possible"]:
            assert row["basis"] != "identity", f"{code}: usual and possible never follow from identity"


@pytest.mark.parametrize("case", table(PUBLISHED / "food_rows_cases.csv"), ids=lambda case: case["code"])
def test_case(case, foods, rows):
    row = rows[case["code"]]
    assert foods[case["code"]]["description"].startswith(case["description_starts"]), "the case speaks of another food"
    wanted = {key: set(case[key].split(";")) - {""} for key in ("holds", "at_least_usual", "never", "not_contained")}
    assert wanted["holds"] <= held(row, "contains"), case["why"]
    assert wanted["at_least_usual"] <= held(row, "contains", "usual"), case["why"]
    assert not wanted["never"] & held(row), case["why"]
    assert not wanted["not_contained"] & held(row, "contains"), case["why"]
    if not wanted["holds"]:
        assert not row["contains"], case["why"]


def test_there_are_cases_enough():
    assert len(table(PUBLISHED / "food_rows_cases.csv")) >= 150


# A word of the description -> the kind or group that the row must name, in whatever degree.
WORDS = {
    "peanut": "peanuts", "almond": "almond", "pecan": "pecan", "cashew": "cashew", "hazelnut": "hazelnut", "walnut": "tree_nuts",
    "pistachio": "pistachio", "macadamia": "macadamia", "coconut": "coconut", "sesame": "sesame", "tahini": "sesame",
    "wheat": "cereals_gluten", "bread": "cereals_gluten", "noodle": "cereals_gluten", "pasta": "cereals_gluten",
    "macaroni": "cereals_gluten", "spaghetti": "cereals_gluten", "cracker": "cereals_gluten", "cookie": "cereals_gluten",
    "cake": "cereals_gluten", "pie": "cereals_gluten", "rye": "rye", "barley": "barley", "malt": "barley", "beer": "barley",
    "oat": "oats", "oatmeal": "oats", "egg": "eggs", "mayonnaise": "eggs", "milk": "milk", "cheese": "milk", "butter": "milk",
    "cream": "milk", "yogurt": "milk", "whey": "milk", "chocolate": "milk", "soy": "soybeans", "soybean": "soybeans",
    "tofu": "soybeans", "mustard": "mustard", "celery": "celery", "shrimp": "crustaceans", "crab": "crustaceans",
    "lobster": "crustaceans", "clam": "molluscs", "oyster": "molluscs", "squid": "molluscs", "scallop": "molluscs",
    "fish": "fish", "salmon": "fish", "tuna": "fish", "anchovy": "fish", "lupin": "lupin", "sulfured": "sulphites",
    "wine": "sulphites",
}  # fmt: skip

# What the word is in these descriptions instead. The list of exceptions: nothing else may lack the kind that its word names.
NOT_MEANT = {
    "bread": {"shortening bread": "a fat for bread", "bread, kneel down": "of maize", "piki bread": "of blue maize"},
    "spaghetti": {"squash, winter, spaghetti": "a squash"},
    "cracker": {"cracker barrel": "a restaurant"},
    "cake": {"shortening cake mix": "a fat for cakes", "for cakes": "a fat for cakes", "popcorn, cakes": "puffed maize"},
    "pie": {"pie spice": "a spice for pies", "pie mix": "sweetened pumpkin", "pie fillings": "the filling without its crust"},
    "beer": {"root beer": "a soft drink", "beerwurst": "a sausage named for being eaten with beer"},
    "oat": {"quaker oats, gatorade": "a firm"},
    "egg": {"dinosaur eggs": "sugar sweets", "herring eggs": "roe is fish", "whitefish, eggs": "roe is fish"},
    "milk": {"coconut milk": "of coconut", "almond milk": "of almond", "rice milk": "of rice"},
    "cheese": {"soybean, curd cheese": "of soya"},
    "butter": {
        "cocoa butter": "fat of cocoa", "nutmeg butter": "fat of nutmeg", "ucuhuba butter": "fat of a nut",
        "hard butter": "a hardness of fat", "bread and butter pickles": "pickles", "seed butter": "ground seeds",
        "sesame butter": "ground sesame", "cashew butter": "ground cashew", "almond butter": "ground almond",
        "peanut butter": "ground peanut", "fruit butters": "boiled fruit",
    },
    "cream": {
        "ice cream coatings": "a fat for coatings", "cream of rice": "a cereal", "cream of wheat": "a cereal",
        "coconut cream": "of coconut", "cream soda": "a soft drink", "cream of tartar": "a salt",
    },
    "oyster": {
        "emu, oyster": "a cut", "ostrich, oyster": "a cut", "vegetable oyster": "salsify", "mushrooms, oyster": "a mushroom",
        "oyster blade": "a cut", "includes oyster, soda": "oyster crackers", "oyster crackers": "for soup",
    },
    "scallop": {"squash, summer, scallop": "a squash"},
    "fish": {"fish-shaped": "a shape"},
}  # fmt: skip


@pytest.mark.parametrize("word", WORDS)
def test_a_word_of_the_description_names_its_kind(word, foods, rows, kinds):
    wanted, seen = WORDS[word], re.compile(rf"\b{word}(?:s|es)?\b", re.IGNORECASE)
    exceptions = NOT_MEANT.get(word, {})
    used = set()
    for code, food in foods.items():
        text = food["description"].lower()
        if not seen.search(text) or wanted in held(rows[code]) or (wanted in GROUPS and wanted in groups(rows[code], kinds)):
            continue
        if kinds[wanted].group in held(rows[code]):
            continue  # the group's own key: one of this group
        phrase = next((phrase for phrase in exceptions if phrase in text), None)
        assert phrase, f"{code} {food['description']}: {word}"
        used.add(phrase)
    assert used == set(exceptions), "an exception that no row needs"


def test_fish_and_shellfish_rows_hold_their_kind(foods, rows, kinds):
    for code, food in foods.items():
        first = food["description"].split(",")[0].lower()
        wanted = {"fish": {"fish"}, "crustaceans": {"crustaceans", "fish"}, "mollusks": {"molluscs", "fish"}}.get(first)
        if wanted:  # imitation crab, shrimp and scallop are made of fish
            assert groups(rows[code], kinds, "contains") & wanted, f"{code} {food['description']}"
            if "imitation" not in food["description"]:
                assert (first if first != "mollusks" else "molluscs") in groups(rows[code], kinds, "contains")


# Plain raw commodities hold nothing; these are the ones that are an allergen themselves or have one on them.
RAW_EXCEPT = {
    "Celeriac": "celery", "Celery": "celery", "Mustard greens": "mustard", "Mustard spinach": "mustard", "Cress": "mustard",
    "Soybeans": "soybeans", "Soy flour": "soybeans", "Soy meal": "soybeans", "Seaweed": "crustaceans", "Lupins": "lupin",
    "Peanuts": "peanuts",
}  # fmt: skip


def test_raw_commodities_hold_nothing(foods, rows, kinds):
    plain = ("Vegetables and Vegetable Products", "Fruits and Fruit Juices", "Beef Products", "Pork Products", "Poultry Products",
             "Lamb, Veal, and Game Products", "Legumes and Legume Products")  # fmt: skip
    treated = ("added solution", "enhanced", "cured", "formed", "canned", "frozen", "seasoned")
    looked_at = 0
    for code, food in foods.items():
        text = food["description"]
        if food["group"] not in plain or not text.endswith(", raw") or any(word in text for word in treated):
            continue
        looked_at += 1
        name = text.split(",")[0].split(" (")[0]
        if name in RAW_EXCEPT:
            assert RAW_EXCEPT[name] in groups(rows[code], kinds), f"{code} {text}"
        else:
            assert not held(rows[code]), f"{code} {text}: {held(rows[code])}"
    assert looked_at > 900


MEAT = re.compile(
    r"meat|beef|chick|turkey|ham\b|pork|bacon|sausage|frank|steak|liver|lard|tallow|duck|goose|mutton|lamb|veal|quail|pheasant|dove"
    r"|squab|jerky|pepperoni|caribou|moose|seal|whale|walrus|deer|elk|buffalo|bear|frog|turtle|pate|bologna|poultry|salami|dumpling"
    r"|burger|whopper|mcdonald|wendy|cold cut|club|roast|gumbo|tripe|chili|agutuk|sea lion|stew|submarine|b\.l\.t",
    re.IGNORECASE,
)
PLANT_GROUPS = (
    "Baked Products", "Sweets", "Breakfast Cereals", "Snacks", "Cereal Grains and Pasta", "Nut and Seed Products", "Beverages",
    "Fruits and Fruit Juices", "Vegetables and Vegetable Products", "Legumes and Legume Products", "Baby Foods",
)  # fmt: skip
ANIMAL = {"milk", "eggs", "fish", "crustaceans", "molluscs"}
# Traces of meat fat or of the analysis, each looked at.
CHOLESTEROL_EXCEPT = {
    "03022": "Gerber apple, carrot and squash: 2 mg by the label, no animal part on record",
    "03859": "soy formula, 2 mg by the label",
    "43125": "liquid of stewed beans: the fat of the pot", "42200": "papad: fried",
}  # fmt: skip


def test_cholesterol_has_an_animal_behind_it(foods, rows, kinds):
    looked_at = 0
    for code, food in foods.items():
        amount = float(food["cholesterol_mg"] or 0)
        if amount < 2 or food["group"] not in PLANT_GROUPS or MEAT.search(food["description"]) or code in CHOLESTEROL_EXCEPT:
            continue
        looked_at += 1
        assert groups(rows[code], kinds) & ANIMAL, f"{code} {food['description']}: {amount} mg cholesterol, no animal kind"
    assert looked_at > 500


# More cholesterol than butterfat brings, and yet no egg: mostly concentrates of milk with the fat taken out.
NO_EGG = {
    "14033": "whey powder", "14058": "whey powder", "14066": "whey powder", "14415": "cream liqueur", "14422": "dairy drink mix",
    "19383": "toffee: butter", "43205": "instant breakfast: milk powder", "43260": "instant breakfast: milk powder",
    "43078": "milkshake mix: milk powder", "31019": "dried seaweed: small animals on it, named as possible",
}  # fmt: skip


def test_more_cholesterol_than_butterfat_brings_is_egg(foods, rows, kinds):
    looked_at = 0
    for code, food in foods.items():
        amount, fat = float(food["cholesterol_mg"] or 0), float(food["fat_g"] or 0)
        if amount <= 6 + 2.9 * fat or food["group"] not in PLANT_GROUPS or MEAT.search(food["description"]) or code in NO_EGG:
            continue
        looked_at += 1
        found = groups(rows[code], kinds, "contains", "usual")
        assert found & {"eggs", "fish", "crustaceans", "molluscs"}, f"{code} {food['description']}: {amount} mg in {fat} g fat"
    assert looked_at > 100


def test_the_sample_for_the_second_reader_is_the_drawn_one(foods):
    sample = table(PUBLISHED / "food_rows_sample.csv")
    drawn = random.Random(SEED).sample(sorted(foods), 300)
    assert [row["code"] for row in sample] == drawn
    assert all(row["description"] == foods[row["code"]]["description"] for row in sample)


def test_rows_are_found_one_by_one(rows):
    found = load_food_kinds()
    for code in ("01001", "20081", "93600"):
        row = rows[code]
        assert ";".join(found.of(code).contains) == row["contains"]
        assert ";".join(found.of(code).usual) == row["usual"]
        assert ";".join(found.of(code).possible) == row["possible"]
        assert found.of(code).basis == row["basis"]
    assert found.codes() == tuple(rows)
    assert found.of("fdc:173410") is None and found.of("99999") is None and found.of("") is None


def test_kinds_are_read_as_a_parser_reads_them(kinds):
    parsed = yaml.safe_load((FOLDER / "kinds.yaml").read_text("utf-8"))
    assert [(each.key, each.group, each.name, each.parent, list(each.also)) for each in kinds.values()] == [
        (row["key"], row["group"], row["name"], row["parent"] or "", row["also"]) for row in parsed]  # fmt: skip


def test_kinds_hang_together(kinds):
    for each in kinds.values():
        assert each.group in (*GROUPS, "other")
        assert not each.parent or kinds[each.parent].group == each.group
    assert set(GROUPS) <= set(kinds)


def test_guest_words(kinds):
    taken: dict[str, tuple[str, ...]] = {}
    for row in load_guest_words():
        assert bool(row["keys"]) != row["ask"], row["word"]
        assert set(row["keys"]) <= set(kinds) | {
            "coeliac"}  # a question of its own: cereals containing gluten, with a recorded gluten figure  # fmt: skip
        assert row["choices"] if row["ask"] else not row["choices"]
        for word in (row["word"], *row["also"]):
            key = normalise(word)
            assert taken.setdefault(key, row["keys"]) == row["keys"], f"{word} means two things"
    assert taken["shellfish"] == ("crustaceans", "molluscs")
    assert taken["seafood"] == ("fish", "crustaceans", "molluscs")
    assert taken[normalise("groundnuts")] == ("peanuts",)
    assert taken["nut"] == ()  # asked back, never guessed
    assert taken["coeliac"] == ("coeliac",) and "rye" not in taken["wheat allergy"]
    known = set(taken) | {normalise(word) for each in kinds.values() for word in (each.key, each.name, *each.also)}
    for misspelt in ("shelfish", "celary", "sesamy", "mustrad", "penut", "glutten"):
        assert normalise(misspelt) not in known
    choices = {normalise(choice) for row in load_guest_words() for choice in row["choices"]}
    assert choices <= known, "a choice that would be refused"


def test_manifest_and_sources():
    sources = yaml.safe_load((FOLDER / "SOURCES.yaml").read_text("utf-8"))
    manifest = {entry["file"]: entry for entry in yaml.safe_load((FOLDER / "MANIFEST.yaml").read_text("utf-8"))}
    for name in ("kinds.yaml", "food_rows.csv", "hidden.csv", "hidden_exceptions.csv", "guest_words.yaml"):
        digest = sha256((FOLDER / name).read_bytes()).hexdigest()
        assert manifest[name]["sha256"] == digest, f"{name} has changed since the manifest"
    for name in ("food_rows.csv", "hidden.csv", "hidden_exceptions.csv"):
        lines = table(FOLDER / name)
        assert len(lines) == int(manifest[name]["rows"])
        assert {row["source"] for row in lines} <= set(sources), name
        assert set(lines[0]) == set(manifest[name]["columns"])
