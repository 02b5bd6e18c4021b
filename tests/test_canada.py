"""Canada: the nutrition facts table in two languages, read back from paper; the Contains line in both; the front-of-package
symbol.

Order of the lines, daily values and the symbol's thresholds: from memory (Directory of Nutrition Facts Table Formats, Table of
Daily Values, B.01.350 and following), as reference/rules/ca.yaml marks them. Contains line and the two languages:
B.01.010.3(1), B.01.012.
"""

from __future__ import annotations

import pytest
from declared_plate import FIVE, PACK, codes, corner, dish, fact, made
from label_cases import looks
from msgspec.structs import replace
from paper import pages

from labeller.declaring.front_symbol import high_in, least_percent
from labeller.printing.labels import LabelJob, labels_pdf
from labeller.reading.laws import load_law
from labeller.reading.stock_tables import find_stock
from labeller.terms.spans import Span

DAY = "2026-11-25"
ORDER = ("Calories", "Fat / Lipides", "Saturated / saturés", "+ Trans / trans", "Carbohydrate / Glucides", "Fibre / Fibres",
         "Sugars / Sucres", "Protein / Protéines", "Cholesterol / Cholestérol", "Sodium", "Potassium", "Calcium",
         "Iron / Fer")  # fmt: skip


def pack(**amounts: float):
    figures = FIVE["amounts"] | {"trans_fat_g": 0.2, "potassium_mg": 300.0, "calcium_mg": 60.0, "iron_mg": 1.0,
                                 "cholesterol_mg": 5.0} | amounts  # fmt: skip
    return dish(figures, 100, kind="pack", name="soup", net_weight_g=100.0, facts=(fact("milk"), fact("wheat")))


def printed(declaration):
    pdf, found = labels_pdf([LabelJob(declaration)], find_stock("A4 99.1 x 139"), looks())
    return (pages(pdf)[0] if pdf else None), [each.code for each in found]


def texts(page) -> list[str]:
    return [run.text.strip() for run in page.runs]


def test_the_table_stands_in_both_languages():
    page, found = printed(made(pack(), "ca", PACK))
    said = " ".join(texts(page))
    for words in ("Nutrition Facts", "Valeur nutritive", "Per 1 pack (100 g)", "Pour 1 emballage (100 g)", "% Daily Value*",
                  "% valeur quotidienne*", "5% or less is a little, 15% or more is a lot",
                  "5% ou moins c'est peu"):  # fmt: skip
        assert words in said, words
    assert "label-panel-from-memory" in found


def test_its_lines_in_their_order_with_both_names():
    page, _ = printed(made(pack(), "ca", PACK))
    heights = []
    for name in ORDER:
        run = next(run for run in page.runs if run.text.strip().startswith(name) and run.size >= 8)
        heights.append(run.y)
    assert heights == sorted(heights, reverse=True)


def test_saturated_and_trans_share_one_percentage_between_their_lines():
    """Table to B.01.401: the percentage is that of saturated and trans fat together, of 20 g."""
    declaration = made(pack(saturates_g=3.0, trans_fat_g=1.0), "ca", PACK)
    page, _ = printed(declaration)
    share = next(row for row in declaration.rows if row.key == "saturates_g").share
    assert share == "20 %" and next(row for row in declaration.rows if row.key == "trans_fat_g").share == ""
    above = next(run.y for run in page.runs if run.text.strip().startswith("Saturated"))
    below = next(run.y for run in page.runs if run.text.strip().startswith("+ Trans"))
    assert any(below < run.y < above and run.text.strip() == share for run in page.runs)


def test_contains_in_both_languages_right_after_the_list():
    declaration = made(pack(), "ca", PACK)
    assert declaration.contains == "Contains: Wheat, Milk" and declaration.second.contains == "Contient : Blé, Lait"
    page, _ = printed(declaration)
    assert {"Contains: Wheat, Milk", "Contient : Blé, Lait"} <= set(texts(page))


def test_in_french_first_the_other_language_is_english():
    french = made(pack(), "ca", PACK, language="fr")
    assert french.table_heading == "Valeur nutritive" and french.second.language == "en"
    assert french.second.contains == "Contains: Wheat, Milk"
    assert made(dish(FIVE["amounts"]), "ca").second is None  # a plate has no label
    assert made(pack(), "us", replace(PACK, racc="whole pack")).second is None


def test_a_table_in_one_language_is_the_standard_form():
    page, _ = printed(replace(made(pack(), "ca", PACK), second=None))
    said = " ".join(texts(page))
    assert "Nutrition Facts" in said and "Valeur" not in said and "Fat 3" not in said.replace("Fat / Lipides", "")


# The symbol on the front


@pytest.mark.parametrize(
    ("serving", "sodium", "needed"),
    [
        (100, 333, False),  # 14.48 %: prints 14 %
        (100, 334, True),  # 14.52 %: prints 15 %
        (100, 345, True),  # 15 %
        (30, 218, False),  # a serving of at most 30 g: from 10 %; 9.48 %
        (30, 230, True),
        (31, 230, False),
    ],
)
def test_the_symbol_is_needed_from_its_share_of_the_daily_value(serving, sodium, needed):
    """15 % of 2300 mg; 10 % where the reference amount is at most 30 g (from memory)."""
    record = pack(sodium_mg=sodium, saturates_g=0.1, sugars_g=0.5)
    small = replace(record, weight_g=Span.of(serving), middle=corner(serving, record.middle.totals))
    assert ("front-symbol-needed" in codes(made(small, "ca", PACK))) is needed


def test_which_symbol_in_both_languages():
    declaration = made(pack(sodium_mg=100, saturates_g=3.0, sugars_g=20.0), "ca", PACK)
    told = next(each for each in declaration.findings if each.code == "front-symbol-needed")
    assert "High in / Élevé en: saturated fat / gras saturés, sugars / sucres" in told.text and "sodium /" not in told.text
    assert "not drawn" in told.text


def test_a_main_dish_may_have_more_and_that_is_told():
    """30 % for a main dish of 200 g or more (from memory): below it the finding says so, from it on it does not."""

    def of(sodium: float) -> str:
        record = pack(sodium_mg=sodium, saturates_g=0.1, sugars_g=0.5)
        heavy = replace(record, weight_g=Span.of(200), middle=corner(200, record.middle.totals))
        return next(each.text for each in made(heavy, "ca", PACK).findings if each.code == "front-symbol-needed")

    assert "main dish" in of(600) and "main dish" not in of(690)


def test_no_symbol_before_2026_nor_on_a_pack_exempt_from_the_table():
    assert (
        least_percent(load_law("ca", "2025-12-31"), 100) is None and least_percent(load_law("ca", "2026-01-01"), 100) == 15
    )
    exempt = replace(PACK, sold="prepacked for direct sale")  # B.01.401(2)
    assert "front-symbol-needed" not in codes(made(pack(sodium_mg=900), "ca", exempt))
    assert "front-symbol-needed" not in codes(made(pack(sodium_mg=900), "us", replace(PACK, racc="whole pack")))


def test_a_figure_that_is_not_whole_is_no_figure():
    law = load_law("ca", DAY)
    declaration = made(dish(FIVE["amounts"] | {"sodium_mg": 900.0}, 100, {"sodium_mg": 0.5}, kind="pack"), "ca", PACK)
    assert "sodium_mg" not in dict(high_in(law, declaration.figures, 100))
