"""What ``changes``, ``replace`` and findings say: the right cause, dishes told apart, sheets of the pass before recipe cards."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from signing import Cook, edit, write_kitchen

from labeller.serving.changes import Move, Way
from labeller.serving.show import findings_text
from labeller.serving.standing import Void
from labeller.serving.told import move_words
from labeller.serving.void_words import void_lines
from labeller.terms.allergens import Kind
from labeller.terms.findings import Place, finding

KINDS = {"milk": Kind("milk", "milk", "milk")}
CREAM, BUTTER = Way(("leeks", "cream"), "a.yaml:1", "", "contains"), Way(("leeks", "butter"), "a.yaml:2", "", "contains")
WARNED = Way(("leeks", "crisps"), "a.yaml:3", "", "may_contain")


@pytest.fixture
def cook(tmp_path: Path, capsys) -> Cook:
    return Cook(write_kitchen(tmp_path / "kitchen"), capsys)


def test_a_further_cause_is_told_as_further() -> None:
    assert move_words(Move(("milk",), "contains", "contains", (BUTTER,), (), True), KINDS) == (
        "milk (contains) as before, but also through butter (a.yaml:2)"
    )


def test_another_cause_in_place_of_the_old_is_told_as_that() -> None:
    words = move_words(Move(("milk",), "contains", "contains", (BUTTER,), (CREAM,), False), KINDS)
    assert words == "milk (contains) as before, but now through butter (a.yaml:2), no longer through cream (a.yaml:1)"


def test_a_warning_beside_what_is_there_anyway_is_told_as_a_warning() -> None:
    words = move_words(Move(("milk",), "contains", "contains", (WARNED,), (CREAM,), True), KINDS)
    assert "also through crisps (may contain, a.yaml:3), no longer through cream (a.yaml:1)" in words


def test_changes_tells_a_further_cause_beside_the_one_that_stays(cook: Cook) -> None:
    """The leeks get butter; the box held milk by its dressing and still does."""
    cook.signs()
    edit(cook.kitchen, "recipes/plates.yaml", "    - carrot: 100 g", "    - carrot: 100 g\n    - butter: 5 g")
    said = cook.types("changes")
    assert "milk (contains) as before, but also through butter" in said and "now through" not in said


def test_dishes_whose_names_hold_commas_are_told_apart() -> None:
    told = findings_text([finding("menu-dates", Place("a.yaml", 1), "x", "y").touching(("squid, romesco", "beef cheek, mash"))])
    assert "touches: squid, romesco · beef cheek, mash" in told


def test_sheets_of_the_pass_stand_first_and_cards_are_counted(cook: Cook) -> None:
    cards = {f"recipe-cards/{nr}.pdf": {} for nr in range(60)}
    void = [*(Void(file, "changed") for file in cards), Void("w-records.json", "changed"), Void("w-floor.html", "changed"),
            Void("w-matrix.pdf", "changed")]  # fmt: skip
    assert void_lines(void, cards) == ["  changed: w-matrix.pdf · w-floor.html · w-records.json", "  recipe cards: 60, all"]
    assert void_lines(void[1:], cards)[-1] == "  recipe cards: 59 of 60"


def test_what_to_type_next_names_the_kitchen_and_the_day(cook: Cook) -> None:
    day = "2026-11-24"
    cook.types("print", "matrix", day=day)
    edit(cook.kitchen, "recipes/plates.yaml", "    - carrot: 100 g", "    - carrot: 100 g\n    - butter: 5 g")
    said = cook.types("changes", day=day)
    assert f"labeller changes --void --kitchen {cook.kitchen} --date {day}" in said
    said = cook.types("replace", "thick cream", "tahini", day=day)
    assert f"Print again: labeller print all --kitchen {cook.kitchen} --date {day}" in said
    assert "take the paper down: moved aside: week-48-matrix.pdf" in said


def test_json_keeps_every_file(cook: Cook) -> None:
    cook.types("print", "recipe-cards")
    edit(cook.kitchen, "recipes/plates.yaml", "    - carrot: 100 g", "    - carrot: 100 g\n    - butter: 5 g")
    cook.types("changes", "--format", "json")
    files = {each["file"] for each in json.loads(cook.out)["void"]}
    assert files == {"recipe-cards/carrots-dressed.pdf", "recipe-cards/lunch-box.pdf"}
