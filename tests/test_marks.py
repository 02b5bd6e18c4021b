"""From a short mark to its record: under every law, wherever the print lies, with what was told of each dish."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from signing import DAY, Cook, edit, write_kitchen

from labeller.serving.pipeline import open_kitchen
from labeller.serving.register import label_marks


@pytest.fixture
def cook(tmp_path: Path, capsys) -> Cook:
    return Cook(write_kitchen(tmp_path / "kitchen"), capsys)


def marks(cook: Cook, law: str) -> list[str]:
    opened = open_kitchen(cook.kitchen, DAY)
    return [mark for mark, _ in label_marks(opened, opened.kitchen.recipes["lunch box"], law)]


def test_a_label_has_another_mark_under_each_law(cook: Cook) -> None:
    """The words of an EU and a UK label are the same here; the paper must lead to the law it was printed under."""
    assert not set(marks(cook, "eu")) & set(marks(cook, "uk"))


def test_a_mark_of_a_law_that_the_kitchen_does_not_name_is_found(cook: Cook) -> None:
    said = cook.types("find-mark", marks(cook, "us")[0])
    assert cook.code == 0 and "(US law)" in said and "lunch box" in said


def test_a_print_in_another_folder_is_found_by_its_mark(cook: Cook, tmp_path: Path) -> None:
    away = tmp_path / "stick"
    cook.types("print", "matrix", "--law", "eu", "--out", str(away))
    mark = json.loads((away / ".prints.json").read_bytes())["week-48-matrix.pdf"]["mark"]
    said = cook.types("find-mark", mark)
    assert str(away / "week-48-matrix.pdf") in said and "(EU law" in said


def test_the_record_stands_behind_the_mark(cook: Cook) -> None:
    cook.types("print", "matrix")
    mark = json.loads((cook.kitchen / "out/.prints.json").read_bytes())["week-48-matrix.pdf"]["mark"]
    said = cook.types("find-mark", mark)
    dish = said.split("carrots, dressed (UK law)")[1].split("(UK law)")[0]
    assert "nobody has signed it off" in dish and "contains: milk" in dish and "carrot, dressing (thick cream" in dish
    assert "fat " in dish and "per 100 g" in dish
    cook.types("find-mark", mark, "--format", "json")
    records = {each["dish"]: each for each in json.loads(cook.out)["records"]}
    assert set(records) == {"carrots, dressed", "charred leeks", "lunch box"}
    assert records["carrots, dressed"]["entry"]["record"]["allergens"]["milk"]["state"] == "contains"


def test_a_record_that_has_changed_is_shown_as_it_was_signed(cook: Cook) -> None:
    cook.types("print", "matrix")
    cook.signs()
    mark = json.loads((cook.kitchen / "out/.prints.json").read_bytes())["week-48-matrix.pdf"]["mark"]
    edit(cook.kitchen, "recipes/plates.yaml", "- thick cream: 200 g", "- tahini: 200 g")
    dish = cook.types("find-mark", mark).split("carrots, dressed (UK law)")[1]
    assert "issued no. 1, signed by RM on 2026-11-25" in dish and "contains: milk" in dish and "sesame" not in dish


def test_a_record_that_nobody_signed_and_that_changed_is_told_as_changed(cook: Cook) -> None:
    cook.types("print", "matrix")
    mark = json.loads((cook.kitchen / "out/.prints.json").read_bytes())["week-48-matrix.pdf"]["mark"]
    edit(cook.kitchen, "recipes/plates.yaml", "- thick cream: 200 g", "- tahini: 200 g")
    said = cook.types("find-mark", mark)
    assert "carrots, dressed (UK law) AS IT IS NOW: it has changed since it was printed" in said


def test_a_print_that_was_moved_aside_is_still_found(cook: Cook) -> None:
    cook.types("print", "matrix")
    mark = json.loads((cook.kitchen / "out/.prints.json").read_bytes())["week-48-matrix.pdf"]["mark"]
    edit(cook.kitchen, "recipes/plates.yaml", "- thick cream: 200 g", "- tahini: 200 g")
    cook.types("changes", "--void")
    assert "week-48-matrix.pdf: " in cook.types("find-mark", mark) and "its file was moved aside" in cook.words


def test_changes_sees_prints_in_another_folder(cook: Cook, tmp_path: Path) -> None:
    away = tmp_path / "stick"
    cook.types("print", "matrix", "--out", str(away))
    edit(cook.kitchen, "recipes/plates.yaml", "- thick cream: 200 g", "- tahini: 200 g")
    cook.types("changes", "--format", "json")
    assert [(each["file"], each["folder"]) for each in json.loads(cook.out)["void"] if each["folder"]] == [
        ("week-48-components.pdf", str(away)), ("week-48-matrix.pdf", str(away))]  # fmt: skip
    assert str(away / "week-48-matrix.pdf") in cook.types("changes")
