"""From a jar, a pack or a lot code to everything it has touched: however the code is written, whatever was replaced that day,
wherever the paper lies. How codes are copied wrong is common practice, no source; the kitchen is of our own invention."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from signing import Cook, edit, write_kitchen

from labeller.serving.lots import ALIKE, SAME, code_of, codes_in, compared


@pytest.fixture
def cook(tmp_path: Path, capsys) -> Cook:
    return Cook(write_kitchen(tmp_path / "kitchen"), capsys)


def verdicts(cook: Cook, *words: str) -> dict[str, str]:
    cook.types("recall", *words, "--format", "json")
    return {each["batch"]: each["verdict"] for each in json.loads(cook.out)["batches"]}


@pytest.mark.parametrize(
    "text", ["HB0931", "HB 0931", "hb-0931", "lot HB 0931", "Lot: HB/0931", "LOT NO. hb.0931", "batch HB0931"]
)
def test_a_code_is_its_letters_and_figures(text: str) -> None:
    assert code_of(text) == "hb0931"


def test_a_code_that_begins_like_the_word_keeps_its_letters() -> None:
    assert code_of("LOTUS 4") == "lotus4" and code_of("Batchelor 2") == "batchelor2"


def test_several_codes_in_one_text() -> None:
    assert {"bs2207", "bs2209"} <= codes_in("BS 2207, lot BS-2209") and {"c7", "c8"} <= codes_in("C 7 and C 8")


@pytest.mark.parametrize(("asked", "written", "told"), [
    ("HB 0931", "hb0931", SAME), ("HBO931", "HB 0931", ALIKE), ("HB0913", "HB 0931", ALIKE), ("HB093", "HB 0931", ALIKE),
    ("HB00931", "HB 0931", ALIKE), ("HB0932", "HB 0931", ALIKE), ("HB9999", "HB 0931", ""), ("C 8", "C 7", ""),
    ("C 0", "C O", ALIKE),
])  # fmt: skip
def test_codes_that_read_alike(asked: str, written: str, told: str) -> None:
    assert compared(code_of(asked), [written]) == told


@pytest.mark.parametrize("lot", ["C9", "lot C 9", "c-9"])
def test_however_a_lot_is_written_it_is_found(cook: Cook, lot: str) -> None:
    found = verdicts(cook, "thick cream", "--lot", lot)
    assert found["boxes of Thursday"] == "has it" and found["boxes of Wednesday"] == "another lot"


def test_a_lot_that_nobody_wrote_puts_every_batch_in_question(cook: Cook) -> None:
    found = verdicts(cook, "thick cream", "--lot", "X 41")
    assert set(found.values()) == {"nobody wrote the lot asked for: in question", "lot not written: treat as having it"}
    assert "Nobody wrote this lot in any batch" in cook.types("recall", "thick cream", "--lot", "X 41")
    cook.types("print", "labels", "--batch", "boxes of Thursday")
    cook.types("recall", "thick cream", "--lot", "X 41", "--format", "json")
    assert "boxes-of-thursday-labels.pdf" in {each["file"] for each in json.loads(cook.out)["prints"]}


def test_a_lot_that_reads_like_one_on_record_is_treated_as_it(cook: Cook) -> None:
    """CO and C0: a letter read as a figure."""
    text = (cook.kitchen / "batches/wednesday.yaml").read_text(encoding="utf-8")
    (cook.kitchen / "batches/wednesday.yaml").write_text(text.replace("C 9", "C 9 O1"), encoding="utf-8")
    found = verdicts(cook, "thick cream", "--lot", "C901")
    assert found["boxes of Thursday"] == "a lot that reads like it: treat as having it"
    assert "C 9 O1 reads like it" in cook.types("recall", "thick cream", "--lot", "C901")


def test_it_starts_from_the_kitchens_own_pack_and_its_lot(cook: Cook) -> None:
    assert verdicts(cook, "lunch box", "--lot", "b-25") == {"boxes of Wednesday": "has it", "boxes of Thursday": "another lot",
                                                           "boxes of Friday": "another lot"}  # fmt: skip
    assert verdicts(cook, "B25")["boxes of Wednesday"] == "has it"


def test_it_starts_from_a_sub_recipe_and_its_lot(cook: Cook) -> None:
    """Dressing D24 went into Wednesday's boxes; the lot code alone leads there too."""
    for words in (("dressing", "--lot", "D 24"), ("lot D24",)):
        found = verdicts(cook, *words)
        assert found["dressing of Tuesday"] == "has it" and found["boxes of Wednesday"] == "has it", words


def test_it_sees_recipes_as_written_on_a_day_that_replaces_the_thing(cook: Cook) -> None:
    """The cream was replaced tonight: Tuesday's dressing holds it all the same, and the dishes of every other day."""
    cook.types("print", "matrix")
    cook.types("replace", "thick cream", "tahini", "--for", "tonight", "--by", "RM")
    cook.types("recall", "thick cream", "--format", "json")
    found = json.loads(cook.out)
    told = {each["dish"]: each["when"] for each in found["dishes"]}
    assert told == {"carrots, dressed": "not on 2026-11-25, when it was replaced",
                    "lunch box": "not on 2026-11-25, when it was replaced"}  # fmt: skip
    assert {each["batch"] for each in found["batches"]} >= {"dressing of Tuesday", "boxes of Wednesday"}
    assert [each["file"] for each in found["prints"]] == []  # moved aside by the replacement
    aside = [each for each in found["paper"] if each["file"] == "week-48-matrix.pdf"]
    assert aside and "moved aside to void/week-48-matrix.1.pdf" in aside[0]["why"]
    assert "the paper may still be out" in cook.types("recall", "thick cream")


def test_what_came_in_for_one_day_is_told_with_its_day(cook: Cook) -> None:
    cook.types("replace", "thick cream", "tahini", "--for", "tonight", "--by", "RM")
    cook.types("recall", "tahini", "--format", "json", day="2026-12-01")
    assert {each["when"] for each in json.loads(cook.out)["dishes"]} == {"by a replacement, on 2026-11-25 only"}


def test_prints_in_another_folder_are_found_and_moved(cook: Cook, tmp_path: Path) -> None:
    away = tmp_path / "stick"
    cook.types("print", "matrix", "--out", str(away))
    said = cook.types("recall", "thick cream")
    assert str(away / "week-48-matrix.pdf") in said.replace(" ", "") or str(away) in cook.out
    cook.types("recall", "thick cream", "--void", "--format", "json")
    assert any(each.endswith("void/week-48-matrix.1.pdf") for each in json.loads(cook.out)["moved_aside"])
    assert not (away / "week-48-matrix.pdf").exists()


def test_the_book_of_prints_follows_a_kitchen_that_is_moved(cook: Cook) -> None:
    cook.types("print", "matrix")
    assert str(cook.kitchen) not in (cook.kitchen / "out/.printed.json").read_text(encoding="utf-8")
    cook.kitchen = cook.kitchen.rename(cook.kitchen.with_name("moved"))
    cook.types("recall", "thick cream", "--format", "json")
    found = json.loads(cook.out)
    assert [each["file"] for each in found["prints"]] == ["week-48-components.pdf", "week-48-matrix.pdf"]
    assert found["paper"] == []


def test_a_print_that_was_printed_over_is_still_told(cook: Cook) -> None:
    """The noon sheet hangs on the wall though the file of that name is a later one that no longer holds the cream."""
    cook.types("print", "matrix")
    recipe = cook.kitchen / "recipes/plates.yaml"
    recipe.write_text(recipe.read_text(encoding="utf-8").replace("- thick cream: 200 g", "- water: 200 g"), encoding="utf-8")
    cook.types("print", "matrix")
    cook.types("recall", "thick cream", "--lot", "C 9", "--format", "json")
    # the recipe as it is holds none; Wednesday's boxes do, and with them every sheet that shows that pack
    found = json.loads(cook.out)
    assert any("printed again or removed since" in each["why"] for each in found["paper"])


def test_equipment_that_also_cooks_the_thing_is_near(cook: Cook) -> None:
    kitchen = cook.kitchen / "kitchen.yaml"
    more = "equipment:\n  - fryer: {oil changed: 2026-11-20, also cooks: [tahini]}\n"
    kitchen.write_text(kitchen.read_text(encoding="utf-8") + more, encoding="utf-8")
    edit(cook.kitchen, "recipes/plates.yaml", "    - leek: 80 g\n", "    - leek: 80 g\n  equipment: [fryer]\n")
    cook.types("recall", "tahini", "--format", "json")
    assert [each["dish"] for each in json.loads(cook.out)["dishes"] if each["contact"]] == ["charred leeks"], cook.words
