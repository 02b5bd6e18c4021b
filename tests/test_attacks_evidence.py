"""What a newcomer wrote to get a false "nothing on record": each must end in a doubt, never in silence.

The rule under test is the client's own ("a jar whose label nobody has read is never shown as free of anything"); which words
name which foods is common practice, no source.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from labeller.reading.products import whole_words
from labeller.serving.cli import main
from labeller.serving.guest import answers
from labeller.serving.pipeline import open_kitchen
from labeller.serving.tables import Tables
from labeller.serving.verbs_guest import seat
from labeller.terms.allergens import CONTAINS, GROUPS, NOT_CONFIRMED
from labeller.terms.floor import ASK, NOT_FOR_THIS_GUEST, NOTHING_ON_RECORD
from labeller.working.allergens import kinds_named

DAY = "2026-11-25"
TABLES = Tables()
DEMO = Path(__file__).resolve().parents[1] / "templates" / "kitchen"
PAPER = "  evidence: {kind: pack, checked: 2026-11-20, by: RM}\n"


def made(folder: Path, product: str,
         dish: str = "- dish: plate\n  serves: 1\n  equipment: none shared\n  portion:\n    - paste: 50 g\n",
         kitchen: str = "kitchen: Test\nlaw: uk\n"):  # fmt: skip
    """A kitchen of one product and one dish, written and read back."""
    for name, text in (("kitchen.yaml", kitchen), ("products/shelf.yaml", product), ("recipes/plates.yaml", dish),
                       ("menus/menu.yaml",
                        "menu: Test\nfrom: 2026-11-01\nuntil: 2026-12-31\ncourses:\n  - plate\n")):  # fmt: skip
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return open_kitchen(folder, DAY)


def told(kitchen, dish: str = "plate"):
    recipe = kitchen.kitchen.recipes[dish]
    facts: dict[str, set[str]] = {}
    for fact in kitchen.workshop.facts(recipe):
        facts.setdefault(fact.kind, set()).add(fact.state)
    return facts, {each.code: each for each in kitchen.workshop.findings_of(recipe)}


def jar(pack: str = "", more: str = "", name: str = "paste") -> str:
    return f"- product: {name}\n" + (f"  ingredients on pack: {pack}\n" if pack else "") + more + PAPER


def test_words_of_a_pack_that_nobody_can_read_confirm_nothing(tmp_path) -> None:
    facts, findings = told(made(tmp_path, jar("water, skimmed mlik powder, baharat, sesme seeds")))
    assert all(NOT_CONFIRMED in facts[group] for group in GROUPS)
    found = findings["pack-words-unknown"]
    assert found.severity == "doubt"
    assert all(words in found.text for words in ('"baharat"', '"sesme" (sesame?)', '"mlik" (milk?)'))


def test_letters_of_another_script_are_words_that_nobody_can_read(tmp_path) -> None:
    facts, findings = told(made(tmp_path, jar("water, s\u0435same, salt")))  # a Cyrillic letter in the middle
    assert facts["sesame"] == {NOT_CONFIRMED} and "(sesame?)" in findings["pack-words-unknown"].text


def test_a_declared_product_keeps_its_word_unless_a_near_miss_contradicts_it(tmp_path) -> None:
    facts, findings = told(made(tmp_path, jar("water, baharat, salt", "  contains: none\n")))
    assert not facts and findings["pack-words-noted"].severity == "note"
    facts, findings = told(made(tmp_path, jar("water, sesme seeds", "  contains: none\n")))
    assert facts == {"sesame": {NOT_CONFIRMED}} and findings["pack-words-unknown"].severity == "doubt"
    facts, findings = told(made(tmp_path, jar("water, sesme seeds", "  contains: [sesame]\n")))
    assert facts == {"sesame": {CONTAINS}} and "pack-words-unknown" not in findings


def test_every_word_of_the_demo_kitchen_is_known() -> None:
    kitchen = open_kitchen(DEMO, DAY)
    codes = {each.code for recipe in kitchen.kitchen.recipes.values() for each in kitchen.workshop.findings_of(recipe)}
    assert not codes & {"pack-words-unknown", "pack-words-noted", "row-says-otherwise", "words-name-an-allergen"}


@pytest.mark.parametrize("pack",
                         ["water, cel-\n    ery, salt", "|\n    water, cel-\n    ery, salt", "water, CEL-\n    ERY, salt"])
def test_a_word_divided_at_the_end_of_a_line_is_whole(tmp_path, pack: str) -> None:
    assert CONTAINS in told(made(tmp_path, jar(pack)))[0]["celery"]


def test_a_hyphen_that_belongs_to_the_word_stays() -> None:
    assert whole_words("full-\nfat milk, milk- and egg-free pea-\nnuts") == "full-fat milk, milk- and egg-free peanuts"


def test_a_row_that_contradicts_the_papers_is_a_doubt(tmp_path) -> None:
    facts, findings = told(made(tmp_path,
                                jar("", "  contains: none\n  food: \"12023\"\n")))  # SR28 12023: sesame seeds, whole, dried
    assert facts["sesame"] == {NOT_CONFIRMED} and findings["row-says-otherwise"].severity == "doubt"
    facts, findings = told(made(tmp_path, jar("sesame seeds", "  contains: [sesame]\n  food: \"12023\"\n")))
    assert "row-says-otherwise" not in findings


def test_praline_may_be_hazelnut_almond_or_pecan(tmp_path) -> None:
    facts, _ = told(made(tmp_path, jar("sugar, praline")))  # pecan in the United States, hazelnut or almond in Europe
    assert all(NOT_CONFIRMED in facts[kind] for kind in ("hazelnut", "almond", "pecan"))


@pytest.mark.parametrize(("word", "kinds"), [
    ("tree nuts", {"tree_nuts"}), ("shellfish", {"crustaceans", "molluscs"}), ("soya", {"soybeans"}), ("egg", {"eggs"}),
    ("sulfites", {"sulphites"}), ("brazil nut", {"brazil"}), ("Prawns", {"prawn"}), ("almonds", {"almond"}), ("dairy", {"milk"}),
    ("seseme", set()), ("sun", set()),
])  # fmt: skip
def test_words_of_contains_are_taken_as_cooks_write_them(word: str, kinds: set[str]) -> None:
    assert set(kinds_named(word, TABLES.kinds)) == kinds


PLAIN = "- dish: {name}\n  serves: 1\n  equipment: none shared\n{more}  portion:\n    - carrot: 50 g\n"


@pytest.mark.parametrize(("name", "more", "kind"), [
    ("sesame prawn carrots", "", "prawn"), ("sesame prawn carrots", "", "sesame"),
    ("plate", "  description: with toasted sesame and prawns\n", "sesame"),
    ("plate", "  method: fried in peanut oil\n", "peanuts"),
    ("plate", "  method: tossed in sesame oil\n", "sesame"), ("plate", "  also called: [carrot and walnut]\n", "walnut"),
])  # fmt: skip
def test_words_that_name_an_allergen_no_line_holds(tmp_path, name: str, more: str, kind: str) -> None:
    kitchen = made(tmp_path, "[]\n", PLAIN.format(name=name, more=more))
    facts, findings = told(kitchen, name)
    assert NOT_CONFIRMED in facts[kind] and findings["words-name-an-allergen"].severity == "doubt"


@pytest.mark.parametrize("name", ["carrot and buckwheat", "butter bean carrot", "butternut squash", "oyster mushroom", "coconut"])
def test_words_that_only_look_like_an_allergen_are_left_alone(tmp_path, name: str) -> None:
    facts, _ = told(made(tmp_path, "[]\n", PLAIN.format(name=name, more="  method: use the fish slice\n")), name)
    assert not set(facts) & {"wheat", "milk", "butternut", "molluscs", "oyster", "fish"}


def verdict(kitchen, words: str):
    avoided, problems = seat(kitchen, words)
    assert problems == []
    return answers(kitchen.workshop, kitchen.kitchen.menus["Test"], avoided)[0].answer


@pytest.mark.parametrize(("pack", "word"), [
    ("chicken, salt", "meat"), ("venison, salt", "game"), ("bacon, salt", "pork"), ("shiitake, salt", "mushroom"),
    ("cep, salt", "mushrooms"),
    ("shallots, salt", "onion"), ("leek, salt", "allium"), ("chives, salt", "onions"), ("aioli, salt", "garlic"),
    ("cayenne, salt", "chilli"),
    ("gram flour, salt", "chickpeas"), ("poussin, salt", "chicken"), ("cilantro, salt", "coriander"), ("crisps, salt", "potato"),
    ("passata, salt", "tomatoes"), ("polenta, salt", "maize"), ("cornflour, salt", "corn"), ("yuzu, salt", "citrus"),
    ("brambles, salt", "berries"),
])  # fmt: skip
def test_a_food_is_found_under_its_other_names(tmp_path, pack: str, word: str) -> None:
    assert verdict(made(tmp_path, jar(pack, "  contains: none\n")), word).verdict == NOT_FOR_THIS_GUEST


@pytest.mark.parametrize("word", ["kiwi", "pine nut", "garlic", "buckwheat", "coconut", "mushroom"])
def test_a_known_food_that_no_recipe_holds_is_answered(tmp_path, word: str) -> None:
    plain = made(tmp_path, jar("carrots, salt", "  contains: none\n"))
    assert verdict(plain, word).verdict == NOTHING_ON_RECORD


@pytest.mark.parametrize("word", ["kiwi", "pine nut", "garlic", "buckwheat", "coconut", "mushroom"])
@pytest.mark.parametrize("pack", ["", "carrots, spices", "carrots, natural flavouring", "carrots, baharat"])
def test_papers_that_do_not_speak_of_a_food_do_not_clear_it(tmp_path, word: str, pack: str) -> None:
    assert verdict(made(tmp_path, jar(pack, "  contains: none\n")), word).verdict == ASK


def test_a_food_met_in_shared_equipment_is_asked(tmp_path) -> None:
    house = "kitchen: Test\nlaw: uk\nequipment:\n  - deep fryer: {oil changed: 2026-11-25, also cooks: [mushroom]}\n"
    dish = "- dish: plate\n  serves: 1\n  method: deep fried\n  equipment: [deep fryer]\n  portion:\n    - carrot: 50 g\n"
    found = verdict(made(tmp_path, "[]\n", dish, house), "mushroom")
    assert found.verdict == ASK and "also cooks mushroom" in str(found.because)


def test_words_that_are_no_allergen_are_sent_to_the_right_place(tmp_path) -> None:
    kitchen = made(tmp_path, jar("carrots, salt", "  contains: none\n"))
    for word, where in (("alcohol", "--ask alcohol"), ("vegan", "ask the kitchen"), ("vegetarian", "ask the kitchen")):
        avoided, problems = seat(kitchen, word)
        assert not avoided and where in problems[0].mend
    assert "porgy" not in str(seat(kitchen, "porck")[1])


@pytest.mark.parametrize("empty", ["", ",", " ; "])
def test_a_seat_without_a_word_is_refused(empty: str, capsys) -> None:
    assert main(["guest", "--kitchen", str(DEMO), "--date", DAY, "--avoid", empty]) != 0
    assert "nothing on record" not in capsys.readouterr().out


def test_a_dish_that_is_not_on_the_menu_is_refused_with_the_names_near_it(capsys) -> None:
    assert main(["guest", "--kitchen", str(DEMO), "--date", DAY, "--avoid", "celery", "--dish", "mussels leek and cidre"]) != 0
    told_ = capsys.readouterr()
    assert "dish-not-known" in told_.out + told_.err and "mussels, leek, cider" in told_.out + told_.err


def test_under_a_refusal_lesser_states_are_only_named(capsys) -> None:
    main(["guest", "--kitchen", str(DEMO), "--date", DAY, "--avoid", "wheat allergy"])
    out = capsys.readouterr().out
    assert "also not confirmed: spelt" in out
    for dish in out.split("not for this guest")[1:]:
        assert "not_confirmed spelt" not in dish.split("\n\n")[0]


@pytest.mark.parametrize(("pack", "word"), [
    ("carrots, black pepper", "capsicum"), ("kidney beans, salt", "meat"), ("chocolate chips", "potato"),
    ("vanilla beans", "beans"),
    ("bone marrow", "courgette"), ("hen of the woods", "chicken"),
])  # fmt: skip
def test_another_food_of_a_like_name_is_not_taken_for_it(tmp_path, pack: str, word: str) -> None:
    assert verdict(made(tmp_path, jar(pack, "  contains: none\n")), word).verdict == NOTHING_ON_RECORD
