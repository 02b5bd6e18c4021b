"""A pack that its label calls otherwise than the kitchen does: who holds the paper finds the line, on every page."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from pypdf import PdfReader
from signing import Cook, edit, write_kitchen

from labeller.serving.exchange import neighbours
from labeller.serving.pipeline import open_kitchen

BOTH = "Six small salads (lunch box)"


@pytest.fixture
def cook(tmp_path: Path, capsys) -> Cook:
    cook = Cook(write_kitchen(tmp_path / "kitchen"), capsys)
    edit(cook.kitchen, "recipes/plates.yaml", "- pack: lunch box\n", "- pack: lunch box\n  label name: Six small salads\n")
    return cook


def text_of(path: Path) -> str:
    return " ".join("\n".join(page.extract_text() for page in PdfReader(path).pages).split())


def test_matrix_ticket_floor_page_and_guest_say_both(cook: Cook) -> None:
    assert BOTH in cook.types("guest", "--avoid", "milk")
    cook.types("print", "matrix")
    assert BOTH in text_of(cook.kitchen / "out/week-48-matrix.pdf")
    cook.types("print", "ticket", "--avoid", "milk")
    assert BOTH in text_of(cook.kitchen / "out/week-48-ticket.pdf")
    cook.types("print", "floor-page")
    assert BOTH in (cook.kitchen / "out/week-48-floor.html").read_text(encoding="utf-8")


def test_json_keeps_the_kitchens_name(cook: Cook) -> None:
    cook.types("guest", "--avoid", "milk", "--format", "json")
    [told] = [each for each in json.loads(cook.out)["seats"][0]["dishes"] if each["dish"] == "lunch box"]
    assert told["shown"] == BOTH


def test_the_name_on_the_label_is_understood(cook: Cook) -> None:
    for words in (("why", "six small salads", "milk"), ("guest", "--avoid", "milk", "--dish", "Six small salads"),
                  ("recall", "Six small salads", "--lot", "B25"), ("declare", "Six small salads"),
                  ("print", "labels", "--pack", "Six small salads")):  # fmt: skip
        assert "not-known" not in cook.types(*words) and cook.code == 0, words


def test_what_a_fryer_also_cooks_is_told_of_its_product(cook: Cook) -> None:
    kitchen = cook.kitchen / "kitchen.yaml"
    more = "equipment:\n  - fryer: {oil changed: 2026-11-20, also cooks: [tahini]}\n"
    kitchen.write_text(kitchen.read_text(encoding="utf-8") + more, encoding="utf-8")
    edit(cook.kitchen, "recipes/plates.yaml", "    - leek: 80 g\n", "    - leek: 80 g\n  equipment: [fryer]\n")
    opened = open_kitchen(cook.kitchen, "2026-11-25")
    assert [each.name for each in neighbours(opened, "tahini")] == ["charred leeks"]
    assert neighbours(opened, "thick cream") == ()
