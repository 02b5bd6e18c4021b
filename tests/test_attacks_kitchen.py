"""A second attack, written as chefs write: each way in which a guest was told "nothing on record" of what a careful person
reading the same files would say or doubt. How kitchens work and what words mean is common practice, no source, unless one is named."""

from __future__ import annotations

from pathlib import Path

import pytest

from labeller.serving.guest import options_of
from labeller.serving.pipeline import open_kitchen
from labeller.terms.allergens import CONTAINS, CROSS_CONTACT, GROUPS, NOT_CONFIRMED

DAY = "2026-11-25"
PAPER = "  evidence: {kind: pack, checked: 2026-11-20, by: RM}\n"
FRYER = "  equipment: [deep fryer]\n  method: deep fried\n"
APART = "  equipment: none shared\n"


def house(equipment: str) -> str:
    return f"kitchen: Test\nlaw: uk\nequipment:\n  - {equipment}\n"


def dish(name: str, *lines: str, more: str = APART) -> str:
    return f"- dish: \"{name}\"\n  serves: 1\n{more}  portion:\n" + "".join(f"    - {line}\n" for line in lines)


def recipe(name: str, *lines: str, more: str = "") -> str:
    return f"- recipe: \"{name}\"\n{more}  ingredients:\n" + "".join(f"    - {line}\n" for line in lines)


def product(name: str, pack: str = "", more: str = "", paper: str = PAPER) -> str:
    return f"- product: {name}\n" + (f"  ingredients on pack: {pack}\n" if pack else "") + more + paper


def opened(folder: Path, recipes: str, date: str = DAY, **files: str):
    """A kitchen written and read back. files: of ``house``, ``products``, ``batches``."""
    texts = {"kitchen.yaml": files.get("house", "kitchen: Test\nlaw: uk\n"), "recipes/all.yaml": recipes,
             "products/shelf.yaml": files.get("products", ""), "batches/days.yaml": files.get("batches", "")}  # fmt: skip
    for name, text in texts.items():
        if text:
            path = folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
    return open_kitchen(folder, date)


def told(kitchen, name: str = "plate") -> tuple[dict[str, set[str]], dict]:
    """(kind -> states, code -> finding) of one dish."""
    made = kitchen.kitchen.recipes[name]
    facts: dict[str, set[str]] = {}
    for fact in kitchen.workshop.facts(made):
        facts.setdefault(fact.kind, set()).add(fact.state)
    return facts, {each.code: each for each in kitchen.workshop.findings_of(made)}


def open_for_all(facts: dict[str, set[str]]) -> bool:
    return all(NOT_CONFIRMED in facts.get(group, ()) for group in GROUPS)


# Oil, water and batches ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("change", ["leave off: yes", "instead: courgette"])
def test_what_is_left_off_one_plate_is_still_fried_for_the_others(tmp_path, change: str) -> None:
    lines = f"scallops: {{amount: 50 g, {change}}}", "carrot: 50 g"
    kitchen = opened(tmp_path, dish("plate", *lines, more=FRYER), house=house("deep fryer: {oil changed: 2026-11-23}"))
    options = options_of(kitchen.workshop, kitchen.kitchen.recipes["plate"])
    assert {bool(one.changes): one.states["molluscs"].state for one in options} == {False: CONTAINS, True: CROSS_CONTACT}


RINGS = dish("plate", "carrot: 50 g", more=FRYER) + dish("rings", "onion: 50 g", "batter mix: 20 g", more=FRYER)
WHEATEN = product("batter mix", "wheat flour, salt", "  contains: [wheat]\n")
BATTERS = WHEATEN + product("rice batter", "rice flour", "  contains: none\n")
SWAP = "- batch: swap\n  date: {day}\n  substitutes: {{batter mix: rice batter}}\n"


@pytest.mark.parametrize(("changed", "states"), [("2026-11-23", {CROSS_CONTACT}), ("2026-11-25", set())])
def test_tonights_replacement_does_not_clean_the_oil_of_the_days_before(tmp_path, changed: str, states: set[str]) -> None:
    kitchen = opened(tmp_path, RINGS, house=house(f"deep fryer: {{oil changed: {changed}}}"), products=BATTERS,
                     batches=SWAP.format(day=DAY))  # fmt: skip
    assert told(kitchen)[0].get("wheat", set()) == told(kitchen, "rings")[0].get("wheat", set()) == states


def test_a_replacement_of_yesterday_is_still_in_the_oil(tmp_path) -> None:
    swap = "- batch: swap\n  date: 2026-11-24\n  substitutes: {rice batter: batter mix}\n"
    plain = RINGS.replace("batter mix", "rice batter")
    for changed, states in (("2026-11-23", {CROSS_CONTACT}), ("2026-11-25", set())):
        kitchen = opened(tmp_path, plain, house=house(f"deep fryer: {{oil changed: {changed}}}"), products=BATTERS, batches=swap)
        assert told(kitchen)[0].get("wheat", set()) == states


CREAM = recipe("dill cream", "double cream: 100 g", "dill: 5 g") + dish("plate", "dill cream: 50 g")
NUTS = product("nut cream", "almonds, water", "  contains: [almond]\n")
CREAMS = product("double cream", "cream (milk)", "  contains: [milk]\n") + NUTS
NUTTY = "- batch: yesterday\n  date: {day}\n  makes: dill cream\n  substitutes: {{double cream: nut cream}}\n"
ANEW = "- batch: today\n  date: 2026-11-25\n  makes: dill cream\n"


@pytest.mark.parametrize(("batches", "states"), [
    (NUTTY.format(day="2026-11-24"), {NOT_CONFIRMED}), (NUTTY.format(day="2026-11-20"), set()),
    (NUTTY.format(day="2026-11-24") + ANEW, set()),
])  # fmt: skip
def test_a_tub_of_yesterday_may_hold_yesterdays_replacement(tmp_path, batches: str, states: set[str]) -> None:
    assert told(opened(tmp_path, CREAM, products=CREAMS, batches=batches))[0].get("almond", set()) == states


@pytest.mark.parametrize("own", [APART, "", "  equipment: [grill]\n"])
@pytest.mark.parametrize("said_by", ["plate", "shells"])
def test_what_is_cooked_in_one_batch_meets_whatever_is_said_of_equipment(tmp_path, own: str, said_by: str) -> None:
    mates = {"plate": "", "shells": ""} | {said_by: f"  same batch as: [{'shells' if said_by == 'plate' else 'plate'}]\n"}
    text = dish("plate", "carrot: 50 g", more=own + mates["plate"]) + dish("shells", "scallops: 50 g", more=own + mates["shells"])
    assert CONTAINS in told(opened(tmp_path, text, house=house("grill: {cleaned between: yes}")))[0]["scallop"]


@pytest.mark.parametrize("more", [APART, ""])
def test_water_used_twice_has_been_somewhere(tmp_path, more: str) -> None:
    assert open_for_all(told(opened(tmp_path, dish("plate", "carrot: 50 g", more=more + "  water used twice: yes\n")))[0])


def test_only_one_food_goes_first(tmp_path) -> None:
    first = FRYER + "  equipment order: first after oil change\n"
    text = dish("plate", "carrot: 50 g", more=first) + dish("shells", "scallops: 50 g", more=first)
    facts, findings = told(opened(tmp_path, text, house=house("deep fryer: {oil changed: 2026-11-25}")))
    assert facts["scallop"] == {CROSS_CONTACT} and findings["several-go-first"].severity == "doubt"


@pytest.mark.parametrize(("name", "more"), [
    ("deep-fried carrot", ""), ("carrot fries", ""), ("carrot tempura", ""), ("plate", "  description: finished in the fryer\n"),
    ("plate", "  method: cooked in pasta water\n"), ("plate", "  method: crisped in hot oil\n"),
    ("plate", "  also called: [carrot fritters]\n"),
])  # fmt: skip
def test_words_that_bring_a_dish_into_oil_or_water_ask_for_its_equipment(tmp_path, name: str, more: str) -> None:
    facts, findings = told(opened(tmp_path, dish(name, "carrot: 50 g", more=more)), name)
    assert open_for_all(facts) and findings["equipment-not-recorded"].severity == "doubt"
    facts, findings = told(opened(tmp_path, dish(name, "carrot: 50 g", more=more + APART)), name)
    assert "equipment-not-recorded" not in findings and "milk" not in facts


@pytest.mark.parametrize("name", ["stir-fried carrot", "refried beans with carrot", "carrot crisp"])
def test_words_that_only_sound_like_it_do_not(tmp_path, name: str) -> None:
    assert "equipment-not-recorded" not in told(opened(tmp_path, dish(name, "carrot: 50 g", more="")), name)[1]
