"""Tray and by-date labels and the run sheet: what they say, that it is whole and in its place, that sums add up."""

from __future__ import annotations

import pytest
from label_cases import LIST, SHORT_LIST, eu_declaration, looks, record
from paper import MM, overlaps, pages, squash

from labeller.printing.guest_words import guest_words
from labeller.printing.kitchen_labels import allergen_lines, day_label, kitchen_labels_pdf, tray_label
from labeller.printing.labels import LabelJob, labels_pdf
from labeller.printing.run_sheet import run_sheet_pdf
from labeller.reading.looks import looks as house_looks
from labeller.reading.stock_tables import find_stock
from labeller.terms.allergens import CONTAINS, CROSS_CONTACT, MAY_CONTAIN, NONE_ON_RECORD, NOT_CONFIRMED

CAUTIONS = ("Worked out from this kitchen's records of 2026-11-25; not measured.",
            "Cross-contact can't be ruled out in a shared kitchen.",
            "Confirm with the kitchen before you answer a guest.")  # fmt: skip
EN = guest_words(house_looks()[0], "en")[0]
NONE = "none on record, checked 2026-11-25"
STATES = {"eggs": (NONE_ON_RECORD, (), ()), "molluscs": (CROSS_CONTACT, ("squid",), ()),
          "fish": (CONTAINS, ("trout",), ()),
          "celery": (NOT_CONFIRMED, (), ()),
          "sesame": (MAY_CONTAIN, ("sesame",), ()), "milk": (CONTAINS, ("milk",), ())}  # fmt: skip
WORDS = {"eggs": NONE, "molluscs": "squid", "fish": "trout", "celery": "celery", "sesame": "sesame", "milk": "milk"}


def dish(name: str = "Smoked trout, rye, dill", **more):
    return eu_declaration(name, **({"states": STATES, "allergen_words": WORDS, "cautions": CAUTIONS} | more))


def test_states_stand_worst_first_with_their_words():
    assert allergen_lines(dish(), EN) == (("contains: ", "trout, milk"), ("supplier’s warning: ", "sesame"),
                                          ("shared equipment: ", "squid"), ("not confirmed: ", "celery"))  # fmt: skip


def test_nothing_on_record_is_spelled_out_with_its_date():
    lines = allergen_lines(dish(states={"eggs": STATES["eggs"]}, allergen_words={"eggs": NONE}), EN)
    assert lines == ((NONE, ""),)


def test_a_stopped_dish_has_no_answer():
    lines = allergen_lines(dish(record=record("x", stopped=True)), EN)
    assert lines == (("NO ANSWER \N{EN DASH} ASK THE KITCHEN", ""),)
    label = tray_label(dish(record=record("x", stopped=True)), "6 pots", EN)
    pdf, _ = kitchen_labels_pdf([label], find_stock("A4 99.1 x 67.7"), looks())
    text = pages(pdf)[0].text()
    assert "ASK THE KITCHEN" in text and "trout, milk" not in text and "Use by" not in text


@pytest.mark.parametrize("stock", ["A4 99.1 x 67.7", "A4 63.5 x 38.1", "roll 62", "A4 round 60"])
def test_labels_are_whole_and_in_their_place(stock):
    labels = [tray_label(dish(), "24 pieces", EN, copies=2),
              day_label(dish("Dillcreme"), EN, made="Made Wednesday 25 November", use_by="Use by Friday 27 November",
                        by="RM")]  # fmt: skip
    pdf, found = kitchen_labels_pdf(labels, find_stock(stock), looks())
    sheets = pages(pdf)
    assert not found and all(overlaps(page.runs) == [] for page in sheets)
    text = squash("".join(page.text() for page in sheets))
    for words in ("24 pieces", "Contains: trout, milk", "Shared equipment: squid", "Not confirmed: celery",
                  "Made Wednesday 25 November", "Use by Friday 27 November", "RM", "Keep below 5 °C",
                  "Confirm with the kitchen"):  # fmt: skip
        assert squash(words) in text, words
    assert text.count("24pieces") == 2
    runs = [run for page in sheets for run in page.runs]
    assert all(run.bold for run in runs if run.text in ("trout, milk", "squid", "Use by Friday 27 November"))
    assert min(run.size * 0.527 for run in runs) >= 1.2 * MM - 1e-3, "read at arm's length: a small x of 1.2 mm"


def test_a_label_that_does_not_fit_is_told():
    pdf, found = kitchen_labels_pdf([tray_label(dish(), "24 pieces", EN)], find_stock("A4 38.1 x 21.2"), looks())
    assert pdf == b"" and [each.code for each in found] == ["label-does-not-fit"], "told once"


def run_sheet(*jobs: LabelJob, **more):
    stock, day = find_stock("A4 99.1 x 67.7"), "25 November 2026"
    pdf, found = run_sheet_pdf(jobs, stock, looks(), EN, date=day, kitchen_name="Kelp", **more)
    return pages(pdf), found, pdf


def test_the_run_sheet_counts_what_is_printed():
    jobs = [LabelJob(dish(text=LIST), 20, split=True), LabelJob(dish("Tartlet", text=SHORT_LIST, table=False), 12),
            LabelJob(dish("Stopped", record=record("x", stopped=True)), 5)]  # fmt: skip
    (page,), found, _ = run_sheet(*jobs, start=3)
    assert [each.code for each in found if each.code == "label-no-answer"]
    lines: dict[float, list[str]] = {}
    for run in page.runs:
        lines.setdefault(round(run.y, 1), []).append(run.text)
    rows = list(lines.values())
    assert ["Smoked trout, rye, dill", "Lot 251124-A", "20", "40", "1 to 6"] in rows
    assert ["Tartlet", "Lot 251124-A", "12", "12", "6 to 7"] in rows
    assert ["Together", "32", "52", "7"] in rows, "two free places are passed, 52 labels end on the seventh sheet"
    assert "Stopped" not in page.text()
    printed = pages(labels_pdf(jobs, find_stock("A4 99.1 x 67.7"), looks(), start=3)[0])
    assert len(printed) == 7
    for words in ("Kelp, 25 November 2026, A4 99.1 x 67.7 (2 x 4)", "Used", "Spoiled", "Left", "Initials", "Checked by"):
        assert words in page.text()


def test_a_long_run_goes_on_to_another_page():
    jobs = [LabelJob(dish(f"Dish {number:02d} with rather a long name to be broken", text=SHORT_LIST, table=False))
            for number in range(60)]  # fmt: skip
    sheets, _, pdf = run_sheet(*jobs, page="Letter")
    assert len(sheets) > 1 and round(sheets[0].width) == 612
    assert all("Spoiled" in page.text() and overlaps(page.runs) == [] for page in sheets)
    text = squash("".join(page.text() for page in sheets))
    assert all(f"Dish{number:02d}" in text for number in range(60))
    assert run_sheet(*jobs, page="Letter")[2] == pdf
