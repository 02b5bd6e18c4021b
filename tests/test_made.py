"""Packs that were on record when something was replaced keep what went into them, and where nobody says, nothing is printed.

The kitchen is of our own invention; that a label tells what is in the box is Regulation (EU) No 1169/2011, Article 7(1)(a) (from
memory)."""

from __future__ import annotations

from pathlib import Path

import pytest
from pypdf import PdfReader
from signing import Cook, edit, write_kitchen

SAYS = "  lots: {dressing: D24}\n"


@pytest.fixture
def cook(tmp_path: Path, capsys) -> Cook:
    """Boxes of Wednesday are on record and labelled; then the cream is replaced by tahini for tonight."""
    cook = Cook(write_kitchen(tmp_path / "kitchen"), capsys)
    cook.types("print", "labels")
    cook.types("replace", "thick cream", "tahini", "--by", "RM")
    return cook


def says(cook: Cook, more: str) -> None:
    edit(cook.kitchen, "batches/wednesday.yaml", "  lots: {dressing: D24}\n", more)


def label(cook: Cook, name: str = "boxes-of-wednesday") -> str:
    path = cook.kitchen / "out" / f"{name}-labels.pdf"
    return " ".join("".join(page.extract_text() for page in PdfReader(path).pages).split()).lower() if path.exists() else ""


def test_replace_says_which_batches_have_to_be_settled(tmp_path: Path, capsys) -> None:
    cook = Cook(write_kitchen(tmp_path / "kitchen"), capsys)
    said = cook.types("replace", "thick cream", "tahini", "--by", "RM")
    assert "boxes of Wednesday: 12 x lunch box was on record already (batches/wednesday.yaml:6)" in said
    assert "boxes of Thursday" not in said


def test_no_label_is_printed_until_the_kitchen_says_which(cook: Cook) -> None:
    said = cook.types("print", "labels")
    assert cook.code == 1 and "[batch-before-or-after]" in said and label(cook) == ""
    assert "thick cream: thick cream if it was made with thick cream, or thick cream: tahini if with tahini" in said
    assert "NO ANSWER" in cook.types("guest", "--avoid", "milk", "--dish", "lunch box")
    assert "[batch-before-or-after]" in cook.types("check")


def test_a_batch_that_names_the_old_keeps_it(cook: Cook) -> None:
    for more in (SAYS + "  substitutes: {thick cream: thick cream}\n", "  lots: {thick cream: C 7}\n"):
        says(cook, more)
        cook.types("print", "labels")
        assert "milk" in label(cook) and "sesame" not in label(cook), cook.words
        assert "contains milk" in cook.types("guest", "--avoid", "milk", "--dish", "lunch box")
        edit(cook.kitchen, "batches/wednesday.yaml", more, SAYS)
    assert "contains sesame" in cook.types("guest", "--avoid", "sesame", "--dish", "carrots, dressed")  # tonight's plate


def test_a_batch_that_names_the_new_has_it(cook: Cook) -> None:
    for more in (SAYS + "  substitutes: {thick cream: tahini}\n", "  lots: {tahini: T 1}\n"):
        says(cook, more)
        cook.types("print", "labels")
        assert "sesame" in label(cook) and "milk" not in label(cook), cook.words
        edit(cook.kitchen, "batches/wednesday.yaml", more, SAYS)


def test_a_label_that_is_true_of_its_batch_is_not_void(cook: Cook) -> None:
    says(cook, SAYS + "  substitutes: {thick cream: thick cream}\n")
    cook.types("print", "labels")
    assert "boxes-of-wednesday-labels.pdf" not in cook.types("changes")


def test_two_batches_of_one_day_each_bear_their_own(cook: Cook) -> None:
    """Morning and evening: each label is of its batch; a plate card can be of neither, so the pack has no answer there."""
    says(cook, SAYS + "  substitutes: {thick cream: thick cream}\n")
    file = cook.kitchen / "batches/late.yaml"
    text = "- batch: late boxes\n  makes: lunch box\n  date: 2026-11-25\n  lot: B25b\n  substitutes: {thick cream: tahini}\n"
    file.write_text(text, encoding="utf-8")
    cook.types("print", "labels", "--batch", "late boxes")
    assert "sesame" in label(cook, "late-boxes") and "milk" not in label(cook, "late-boxes")
    cook.types("print", "labels", "--batch", "boxes of Wednesday")
    assert "milk" in label(cook) and "sesame" not in label(cook)
    assert "NO ANSWER" in cook.types("guest", "--avoid", "milk", "--dish", "lunch box")


def test_boxes_of_another_day_are_of_their_own_day(cook: Cook) -> None:
    cook.types("print", "labels", "--batch", "boxes of Thursday")
    assert "milk" in label(cook, "boxes-of-thursday") and "sesame" not in label(cook, "boxes-of-thursday")


def test_what_is_not_touched_is_not_asked(tmp_path: Path, capsys) -> None:
    cook = Cook(write_kitchen(tmp_path / "kitchen"), capsys)
    cook.types("replace", "leek", "carrot", "--by", "RM")
    cook.types("print", "labels")
    assert cook.code == 0 and "milk" in label(cook)


def test_a_tub_of_the_morning_is_not_emptied(cook: Cook) -> None:
    edit(cook.kitchen, "batches/wednesday.yaml", "  date: 2026-11-24\n", "  date: 2026-11-25\n")
    said = cook.types("guest", "--avoid", "milk", "--dish", "carrots, dressed")
    assert "not confirmed milk" in said and "made on 2026-11-25 with thick cream; some of it may be left" in said
    edit(cook.kitchen, "batches/wednesday.yaml", '  lots: {thick cream: "C 7, C 8"}\n', "  lots: {tahini: T 1}\n")
    assert "nothing on record" in cook.types("guest", "--avoid", "milk", "--dish", "carrots, dressed")
