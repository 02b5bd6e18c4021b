"""What a guest is told. One rule for the command, the ticket and the floor page; no answer from silence."""

from __future__ import annotations

import json
import random
from pathlib import Path

import pytest
from generated import TABLES, kitchen, with_fryer, workshop

from labeller.serving import guest
from labeller.serving.cli import main
from labeller.serving.pipeline import open_kitchen
from labeller.serving.verbs_guest import seat
from labeller.terms.allergens import NONE_ON_RECORD
from labeller.terms.floor import ASK, NOT_FOR_THIS_GUEST, NOTHING_ON_RECORD, answer
from labeller.terms.kitchen import Course, Menu

DEMO = Path(__file__).resolve().parents[1] / "templates" / "kitchen"
DAY = "2026-11-25"


@pytest.fixture(scope="module")
def demo():
    return open_kitchen(DEMO, DAY)


def told(demo, words: str) -> dict[str, guest.DishAnswer]:
    avoided, problems = seat(demo, words)
    assert problems == []
    return {each.dish: each for each in guest.answers(demo.workshop, demo.kitchen.menus["Late autumn tasting"], avoided)}


def test_plain_answers_of_the_demo(demo) -> None:
    found = told(demo, "celery, sesame")
    assert found["mussels, leek, cider"].answer.verdict == NOT_FOR_THIS_GUEST
    cracker = found["lupin cracker, smoked roe"].answer
    assert cracker.verdict == NOTHING_ON_RECORD and "with buckwheat cracker instead of lupin cracker" in cracker.words
    assert "NO ANSWER" in found["sheep's yoghurt, pear, black sesame"].answer.words


def test_the_floor_page_knows_every_word_that_guest_knows(demo) -> None:
    """Meat, garlic, gelatine: a tick of the page, and the same answer as the command gives."""
    tables, menu = demo.workshop.tables, demo.kitchen.menus["Late autumn tasting"]
    ticks = {each.key: each for each in guest.avoids(tables.kinds, tables.guest_words, tables.guest_ingredients)}
    assert len(tables.guest_ingredients.asked) == sum(key.startswith("food_") for key in ticks)
    data = guest.floor_data(demo.workshop, menu, law="uk", made=DAY, avoids=tuple(ticks.values()), data_version="")
    plates = [dish for course in data.courses for dish in course.dishes]
    for word in ("meat", "pork", "garlic", "gelatine", "wine"):
        page = [answer(plate, ticks[f"food_{word}"].keys).verdict for plate in plates]
        assert page == [each.answer.verdict for each in told(demo, word).values()], word


def test_an_unread_jar_is_asked_not_cleared(demo) -> None:
    found = told(demo, "lupin")["venison, beetroot, bramble"].answer
    assert "pickled walnuts" in str(found.because) and (found.changes or found.verdict == ASK)


def test_shared_equipment_reaches_the_answer_with_its_reason(demo) -> None:
    found = told(demo, "squid")["crumbed oyster, apple and sorrel"].answer
    assert found.verdict == ASK and "deep fryer" in str(found.because)


@pytest.mark.parametrize("words", ["seseme", "dairi", "nuttz", "glutten"])
def test_a_misspelt_word_is_refused_with_what_it_may_be(demo, words: str) -> None:
    avoided, problems = seat(demo, words)
    assert avoided == () and [each.code for each in problems] == ["word-not-known"]


def test_nuts_is_asked_back(demo) -> None:
    _, problems = seat(demo, "nuts")
    assert [each.code for each in problems] == ["word-to-ask"] and "peanuts" in problems[0].mend


@pytest.mark.parametrize(("word", "keys"),
                         [("shellfish", {"crustaceans", "molluscs"}), ("dairy", {"milk"}), ("gluten", {"cereals_gluten"}),
                                             ("coeliac", {"coeliac"}), ("soya", {"soybeans"}),
                                             ("prawns", {"prawn"})])  # fmt: skip
def test_words_that_guests_use(demo, word: str, keys: set[str]) -> None:
    avoided, problems = seat(demo, word)
    assert problems == [] and set(guest.keys_of(avoided)) == keys


def test_an_ingredient_outside_every_list_is_searched_through_the_recipes(demo) -> None:
    found = told(demo, "quince")
    assert found["dressed crab, quince, hazelnut"].answer.verdict == NOT_FOR_THIS_GUEST
    assert found["malted spelt bread, whipped butter"].answer.verdict in (NOTHING_ON_RECORD, ASK)


def test_coeliac_and_wheat_allergy_are_different_questions(tmp_path: Path) -> None:
    """Wheat starch freed from gluten, 5 mg/kg on record: asked about for a coeliac, never for a wheat allergy."""
    for name in ("recipes", "products", "menus"):
        (tmp_path / name).mkdir()
    (tmp_path / "kitchen.yaml").write_text("kitchen: Test\nlaw: uk\n", encoding="utf-8")
    (tmp_path / "products" / "p.yaml").write_text(
        "- product: baking starch\n  ingredients on pack: deglutinised WHEAT starch\n  contains: [wheat]\n  gluten: 5 mg/kg\n"
        "  evidence: {kind: specification, checked: 2026-10-02, by: RM}\n  food: \"20027\"\n", encoding="utf-8")  # fmt: skip
    (tmp_path / "recipes" / "r.yaml").write_text("- dish: wafer\n  portion:\n    - baking starch: 5 g\n", encoding="utf-8")
    (tmp_path / "menus" / "m.yaml").write_text("- menu: M\n  from: 2026-11-25\n  until: 2026-11-25\n  courses:\n    - wafer\n",
                                               encoding="utf-8")  # fmt: skip
    opened = open_kitchen(tmp_path, DAY)
    answers = {}
    for word in ("coeliac", "wheat allergy"):
        avoided, _ = seat(opened, word)
        answers[word] = guest.answers(opened.workshop, opened.kitchen.menus["M"], avoided)[0].answer
    assert answers["coeliac"].verdict == ASK and "gluten 5 mg/kg on record" in str(answers["coeliac"].because)
    assert answers["wheat allergy"].verdict == NOT_FOR_THIS_GUEST


def test_facts_beyond_allergens_are_three_valued(capsys) -> None:
    assert main(["guest", "--ask", "milk", "--kitchen", str(DEMO), "--date", DAY, "--format", "json"]) == 0
    dishes = json.loads(capsys.readouterr().out)["dishes"]
    assert any(each["facts"] for each in dishes) and any(not each["facts"] for each in dishes)
    assert main(["guest", "--ask", "liver", "--kitchen", str(DEMO), "--date", DAY]) == 0
    assert "neither yes nor no" in capsys.readouterr().out


@pytest.mark.parametrize("part", range(4))
def test_nothing_on_record_is_never_said_of_a_dish_that_has_any_state(part: int) -> None:
    """Generated kitchens: the verdict follows the record for every kind of the vocabulary, alone and in pairs."""
    rng = random.Random(part)
    for seed in range(part * 250, part * 250 + 250):
        made = with_fryer(kitchen(seed, recipes=3), rng)
        shop = workshop(made)
        dish = made.recipes[list(made.recipes)[-1]]
        states = guest.dish_states(shop, dish)  # the facts, and what no paper speaks of (buckwheat, pine nut)
        floor = guest.floor_dish(shop, dish, stopped=False)
        keys = list(TABLES.kinds)
        for asked in [(key,) for key in keys] + [tuple(rng.sample(keys, 2)) for _ in range(20)]:
            verdict = answer(floor, asked).verdict
            clear = all(states[key].state == NONE_ON_RECORD for key in asked if key in states)
            assert (verdict == NOTHING_ON_RECORD) is clear, (seed, asked)


def test_two_seats_two_answers(demo) -> None:
    menu = Menu("two", demo.kitchen.menus["Late autumn tasting"].place, DAY, DAY,
                (Course(("mussels, leek, cider",), demo.kitchen.place),))  # fmt: skip
    floor = guest.prepared(demo.workshop, menu)
    milk, peanut = (guest.answers(demo.workshop, menu, seat(demo, word)[0], floor)[0].answer for word in ("milk", "peanuts"))
    assert milk.verdict == NOT_FOR_THIS_GUEST and peanut.verdict == NOTHING_ON_RECORD
