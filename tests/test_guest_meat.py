"""Meat, pork and what is made of them, as guests ask for it: whole phrases before single words, and where nobody can tell, the
kitchen is asked. Which food is what is common practice, no source; groups and rows are of USDA SR28."""

from __future__ import annotations

from pathlib import Path

import pytest

from labeller.serving import guest
from labeller.serving.pipeline import open_kitchen
from labeller.serving.seats import seat

CONTAINS, ASK, NOTHING = "contains", "not_confirmed", "none_on_record"


def state(folder: Path, word: str, name: str, label: str = "", single: bool = False) -> str:
    """The state of a plate of one thing, for a guest who avoids a word. single: a paper says that it is one ingredient."""
    for each in ("recipes", "products", "menus"):
        (folder / each).mkdir(exist_ok=True)
    evidence = f"  evidence: {{kind: {'single ingredient' if single else 'pack'}, checked: 2026-11-20, by: RM}}\n"
    product = f'- product: "{name}"\n' + (f'  ingredients on pack: "{label}"\n' if label else "") + evidence
    (folder / "kitchen.yaml").write_text("kitchen: Test House\naddress: 1 Quay\nlaw: uk\n", encoding="utf-8")
    (folder / "products/a.yaml").write_text(product if label or single else "", encoding="utf-8")
    (folder / "recipes/a.yaml").write_text(f'- dish: the plate\n  portion:\n    - "{name}": 20 g\n', encoding="utf-8")
    (folder / "menus/a.yaml").write_text(
        "menu: M\nfrom: 2026-11-20\nuntil: 2026-11-30\ncourses: [the plate]\n", encoding="utf-8"
    )
    opened = open_kitchen(folder, "2026-11-25")
    avoided, problems = seat(opened, word)
    assert problems == []
    [told] = guest.answers(opened.workshop, opened.kitchen.menus["M"], avoided)
    return told.answer.because[0][1] if told.answer.because else NOTHING


@pytest.mark.parametrize(
    "name",
    [
        "lardons",
        "saucisson sec",
        "glace de viande",
        "pig's cheek",
        "goose fat",
        "pepperoni",
        "boudin noir",
        "caul fat",
        "kangaroo loin",
        "cotechino",
        "veal jus",
        "'nduja",
        "rillettes",
    ],
)
def test_what_is_meat_is_found_by_its_name(tmp_path: Path, name: str) -> None:
    assert state(tmp_path, "meat", name, label="salt, pepper") == CONTAINS


@pytest.mark.parametrize(
    "name", ["lardons", "saucisson sec", "pig's cheek", "boudin noir", "cotechino", "pork scratchings", "pancetta"]
)
def test_what_is_pork_is_found_by_its_name(tmp_path: Path, name: str) -> None:
    assert state(tmp_path, "pork", name, label="salt, pepper") == CONTAINS


@pytest.mark.parametrize(
    "name",
    [
        "white crab meat",
        "coconut meat",
        "beef tomatoes",
        "lamb's lettuce",
        "kidney beans",
        "duck egg",
        "quail eggs",
        "cauliflower steak",
        "tuna steak",
        "pâte sucrée",
        "horse mushrooms",
        "vegan sausages",
        "meat-free mince",
        "plant-based burger",
        "vegetable suet",
        "fish stock",
        "chicken of the woods",
        "smoked mackerel pâté",
        "monkfish liver",
        "sweetmeats",
    ],
)
@pytest.mark.parametrize("word", ["meat", "pork", "beef", "poultry"])
def test_whole_phrases_go_before_single_words(tmp_path: Path, name: str, word: str) -> None:
    assert state(tmp_path, word, name, label="salt, pepper") == NOTHING
    assert state(tmp_path, word, name) != CONTAINS


@pytest.mark.parametrize(
    "name",
    [
        "demi-glace",
        "jus",
        "brown stock",
        "gelatine",
        "leaf gelatine",
        "marshmallows",
        "mincemeat",
        "gravy",
        "terrine",
        "bouillon",
        "jelly cubes",
        "rennet",
    ],
)
def test_what_may_be_of_an_animal_is_asked(tmp_path: Path, name: str) -> None:
    assert state(tmp_path, "meat", name, label="salt, pepper") == ASK


@pytest.mark.parametrize(
    ("word", "label"),
    [
        ("pork", "sugar, gelatine"),
        ("beef", "sugar, beef gelatine"),
        ("pork", "sugar, beef gelatine"),
        ("pork", "meat (origin EU), salt"),
        ("rennet", "milk, rennet, salt"),
        ("rennet", "milk, vegetarian rennet, salt"),
        ("animal fat", "flour, lard, water"),
        ("animal fat", "flour, vegetable suet"),
        ("animal fat", "flour, shortening"),
    ],
)
def test_words_of_a_printed_list(tmp_path: Path, word: str, label: str) -> None:
    expected = {
        ("beef", "sugar, beef gelatine"): CONTAINS,
        ("rennet", "milk, rennet, salt"): CONTAINS,
        ("animal fat", "flour, lard, water"): CONTAINS,
        ("rennet", "milk, vegetarian rennet, salt"): NOTHING,
    }
    assert state(tmp_path, word, "a thing in a bag", label=label) == expected.get((word, label), ASK)


@pytest.mark.parametrize(
    ("name", "word"), [("venison", "meat"), ("ox tongue", "meat"), ("squab", "poultry"), ("knackwurst", "pork")]
)
def test_the_group_of_the_food_table_is_the_floor(tmp_path: Path, name: str, word: str) -> None:
    """Beef, Pork, Lamb-Veal-Game, Poultry and Sausages are groups of USDA SR28; a row may be of a near food, so it asks."""
    assert state(tmp_path, word, name) in (CONTAINS, ASK)


def test_one_ingredient_that_no_table_knows_is_asked(tmp_path: Path) -> None:
    assert state(tmp_path, "meat", "hogwash", single=True) == ASK
    assert state(tmp_path, "meat", "carrot", single=True) == NOTHING


def test_diet_words_are_still_never_worked_out(tmp_path: Path) -> None:
    state(tmp_path, "meat", "carrot")
    avoided, [problem] = seat(open_kitchen(tmp_path, "2026-11-25"), "vegetarian")
    assert avoided == () and "rennet" in problem.mend and "gelatine" in problem.mend


@pytest.mark.parametrize("name", ["venison loin", "cod loin", "lamb belly", "monkfish loin", "chicken skin", "beef bones"])
def test_a_cut_of_another_animal_is_no_doubt_about_pork(tmp_path: Path, name: str) -> None:
    assert state(tmp_path, "pork", name, single=True) == NOTHING


@pytest.mark.parametrize(("name", "label"), [
    ("loin", ""), ("venison sausage meat", "venison, sausage"), ("venison terrine", "venison, gelatine"), ("chicken stock", ""),
    ("chicken in jelly", "chicken, loin, skin, salt, water"), ("minced lamb and mince", ""), ("icing", "sugar, starch, gelatine"),
])  # fmt: skip
def test_a_real_doubt_about_pork_stays(tmp_path: Path, name: str, label: str) -> None:
    assert state(tmp_path, "pork", name, label, single=not label) != NOTHING


def test_starch_is_a_doubt_about_garlic_and_none_about_pork(tmp_path: Path) -> None:
    assert state(tmp_path, "pork", "icing sugar", "sugar, starch") == NOTHING
    assert state(tmp_path, "garlic", "icing sugar", "sugar, starch") == ASK
    assert state(tmp_path, "pork", "seasoning", "salt, stock, starch") == ASK
