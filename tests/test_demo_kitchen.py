"""The demo kitchen: it reads without a fault but the one planted in it, and between its dishes it uses the whole grammar."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from labeller.reading.kitchen import read_kitchen
from labeller.reading.library import template
from labeller.reading.new_kitchen import write_kitchen
from labeller.serving.pipeline import dishes, everything_found, open_kitchen
from labeller.terms.allergens import CONTAINS, CROSS_CONTACT, GROUPS, MAY_CONTAIN, NOT_CONFIRMED
from labeller.terms.findings import STOP
from labeller.terms.kitchen import Kitchen, Line, Recipe
from labeller.terms.words import normalise

STOPPED = "sheep's yoghurt, pear, black sesame"


@pytest.fixture(scope="module")
def demo() -> tuple[Kitchen, tuple]:
    return read_kitchen(template("kitchen"))


@pytest.fixture(scope="module")
def opened():
    return open_kitchen(template("kitchen"), "2026-11-25")


def recipes(kitchen: Kitchen, kind: str) -> list[Recipe]:
    return [one for one in kitchen.recipes.values() if one.kind == kind]


def lines(kitchen: Kitchen) -> list[Line]:
    return [line for one in kitchen.recipes.values() for line in one.lines]


def test_it_reads_without_a_question(demo) -> None:
    assert demo[1] == ()


def test_one_dish_is_stopped_and_it_is_the_planted_one(opened) -> None:
    """A recalled product stops the pre-dessert; nothing else is stopped, not even its nutrition."""
    stops = [one for one in everything_found(opened) if one.severity == STOP]
    assert [(one.code, one.dishes) for one in stops] == [("product-recalled", (STOPPED,))], stops


def test_the_mend_of_the_comment_mends_it(tmp_path) -> None:
    """With tonight's substitute that products/larder.yaml teaches, the pre-dessert is answered again."""
    write_kitchen("kitchen", tmp_path)
    tonight = "- batch: tonight\n  date: 2026-11-25\n  substitutes: {black sesame paste: tahini}\n"
    (tmp_path / "batches" / "tonight.yaml").write_text(tonight, encoding="utf-8")
    assert not [one for one in everything_found(open_kitchen(tmp_path, "2026-11-25")) if one.severity == STOP]


def test_all_fourteen_allergens_are_in_it(opened) -> None:
    kinds = {kind.key: kind.group for kind in opened.workshop.tables.kinds.values()}
    found = {kinds[fact.kind] for one in dishes(opened.kitchen) for fact in opened.workshop.facts(one) if fact.state == CONTAINS}
    assert set(GROUPS) <= found, set(GROUPS) - found


def test_every_state_of_an_allergen_is_in_it(opened) -> None:
    states = {fact.state for one in dishes(opened.kitchen) for fact in opened.workshop.facts(one)}
    assert {CONTAINS, MAY_CONTAIN, CROSS_CONTACT, NOT_CONFIRMED} <= states


def test_portions_are_of_this_world(opened) -> None:
    """A canapé from 14 g, a plate up to 165 g; every figure known, energy between lettuce and butter (kcal in 100 g)."""
    for one in dishes(opened.kitchen):
        if one.name != STOPPED and one.kind == "dish":
            record = opened.workshop.record(one)
            assert 14 <= record.weight_g.mid <= 165, (one.name, record.weight_g)
            energy = record.middle.totals["energy_kcal"] / record.middle.weight_g * 100
            assert 60 <= energy <= 550, (one.name, energy)


def test_the_box_weighs_what_its_label_says(opened) -> None:
    box = next(one for one in opened.kitchen.recipes.values() if one.kind == "pack")
    weight = opened.workshop.record(box).weight_g
    assert box.net_weight.grams <= weight.low and weight.high < 1.15 * box.net_weight.grams


def test_every_line_is_known(opened) -> None:
    """Each line is a recipe, a product or a food of the tables."""
    for one in opened.kitchen.recipes.values():
        for line in one.lines:
            assert opened.workshop.meaning(line).ref.kind != "unknown", (one.name, line.name)


def test_size(demo) -> None:
    kitchen, _ = demo
    assert len(recipes(kitchen, "dish")) >= 12 and len(recipes(kitchen, "recipe")) >= 30 and len(recipes(kitchen, "pack")) == 1
    assert len(kitchen.products) >= 20


def test_nothing_is_written_that_no_dish_uses(demo) -> None:
    """A sub-recipe or product that nothing uses would be a slip; spares for a replacement are named here."""
    kitchen, _ = demo
    used = {normalise(name) for line in lines(kitchen) for name in (line.name, line.instead) if name}
    used |= {normalise(one.fried_in.oil) for one in kitchen.recipes.values() if one.fried_in}
    menu = {normalise(name) for one in kitchen.menus.values() for name in one.dishes()}
    spare = {"tahini", "squid"}
    for name, one in (*kitchen.recipes.items(), *kitchen.products.items()):
        words = {normalise(word) for word in (name, *one.also_called)}
        assert words & (used | menu) or name in spare, name


def test_every_weight_mechanism_is_used(demo) -> None:
    """Each step that moves weight, and each way of writing an amount, stands in some recipe."""
    kitchen, _ = demo
    all_recipes, all_lines = list(kitchen.recipes.values()), lines(kitchen)
    becomes = {normalise(line.trimmed_to) for line in all_lines if line.trimmed_to}
    amounts = [line.amount for line in all_lines if line.amount]
    units = {amount.unit for amount in amounts}
    piece_grams = [one.makes.piece_grams for one in all_recipes if one.makes]
    used = {
        "trim": any(line.trim.high for line in all_lines),
        "trimmed part used elsewhere": len(becomes & {normalise(line.name) for line in all_lines}) == 3,
        "poured off": any(one.poured_off for one in all_recipes),
        "a range of what is soaked up": any(each.stays.is_range for one in all_recipes for each in one.poured_off),
        "coated": any(one.coating for one in all_recipes),
        "fried in": any(one.fried_in for one in all_recipes),
        "reduced to a share": any(one.reduced_to and one.reduced_to[0] for one in all_recipes),
        "reduced to a weight": any(one.reduced_to and one.reduced_to[1] for one in all_recipes),
        "makes as weight": any(one.makes and one.makes.grams for one in all_recipes),
        "makes as pieces of a range": any(each and each.is_range for each in piece_grams),
        "every kind of loss": {each.kind for one in all_recipes for each in one.loss} == {"evaporated", "left behind", "fat"},
        "shares of a loss": any(len(one.loss) == 2 for one in all_recipes),
        "water change": any(one.water_change for one in all_recipes),
        "fat change": any(one.fat_change for one in all_recipes),
        "a line's own yield": any(line.cooking_yield for line in all_lines),
        "a line's own treatment": any(line.cooked_as for line in all_lines),
        "methods": len({one.method for one in all_recipes if one.method}) >= 6,
        "kept share": any(line.kept.high == 0 for line in all_lines) and any(0 < line.kept.high < 1 for line in all_lines),
        "alcohol": any(one.alcohol_stays for one in all_recipes),
        "volumes and spoons": {"ml", "l", "tbsp", "tsp", "pinch"} <= units,
        "pieces": "piece" in units and {"large", "cloves", "sheets"} <= {amount.piece_word for amount in amounts},
        "ranges": any(amount.number.is_range for amount in amounts),
        "vague, with and without about": {bool(amount.about) for amount in amounts if amount.vague} == {True, False},
    }  # fmt: skip
    assert all(used.values()), [name for name, there in used.items() if not there]


def test_what_a_waiter_needs_is_there(demo) -> None:
    kitchen, _ = demo
    portions = [line for one in recipes(kitchen, "dish") for line in one.lines]
    assert any(line.leave_off for line in portions) and any(line.instead for line in portions)
    menu = next(iter(kitchen.menus.values()))
    assert any(len(course.dishes) > 1 for course in menu.courses) and menu.packs
    assert (menu.starts, menu.ends) == ("2026-11-24", "2026-12-05")
    assert any(one.evidence is None and one.contains is None for one in kitchen.products.values())  # the jar nobody has read
    fryer = kitchen.equipment["deep fryer"]
    assert (
        fryer.changed and fryer.also_cooks and sum("deep fryer" in (one.equipment or ()) for one in kitchen.recipes.values()) == 2
    )


def test_the_box_can_be_labelled(demo) -> None:
    kitchen, _ = demo
    box, batch = recipes(kitchen, "pack")[0], next(iter(kitchen.batches.values()))
    assert box.sold and box.shelf_life and box.store and box.net_weight and kitchen.address and kitchen.stocks
    assert (batch.makes, batch.date, batch.count) == (box.name, "2026-11-25", 24)
    assert {normalise(name) for name, _ in batch.lots} <= {normalise(name) for name in kitchen.products}


def test_evidence_is_dated_before_the_menu(demo) -> None:
    kitchen, _ = demo
    dates = [one.evidence.checked for one in kitchen.products.values() if one.evidence]
    assert len(dates) > 40 and all("2026-10-01" <= date <= "2026-11-24" for date in dates)


def test_it_reads_in_time(demo) -> None:
    """Design target: 60 ms; the bound leaves room for a slow machine."""
    start = time.process_time()
    read_kitchen(template("kitchen"))
    assert time.process_time() - start < 0.4


def test_files_are_plain_text_of_this_kitchen_only() -> None:
    for path in Path(template("kitchen")).rglob("*"):
        if path.is_file():
            text = path.read_text(encoding="utf-8")
            assert path.suffix == ".yaml" and "\t" not in text and max(map(len, text.splitlines())) <= 130, path
