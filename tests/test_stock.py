"""Label stock: geometry that adds up, words that find it, places on the page, the test print.

Sheet sizes: public label-geometry templates (reference/stock/SOURCES.yaml); page sizes: ISO 216 (A4, 210 x 297 mm) and
ANSI Y14.1 (Letter, 8.5 x 11 in). Rolls: common practice, no source.
"""

from __future__ import annotations

import csv
from itertools import islice

import pytest
import yaml
from label_cases import looks
from msgspec.structs import replace
from paper import MM, pages

from labeller.printing.stock import inner_areas, positions, refused, test_print_pdf
from labeller.reading.library import reference
from labeller.reading.stock_tables import find_stock, load_stock, misfit
from labeller.terms.findings import Finding, Place
from labeller.terms.stock import CONTINUOUS, Stock

PAPER = {"A4": (210.0, 297.0), "Letter": (8.5 * 25.4, 11 * 25.4)}


def rows() -> list[dict[str, str]]:
    with reference("stock", "sheets.csv").open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


@pytest.mark.parametrize("row", rows(), ids=lambda row: row["name"])
def test_margins_labels_and_gaps_add_up_to_the_page(row):
    """Worked out here from the table's own cells, not by the type that is tested."""
    width, height = PAPER[row["page"]]
    number = {key: float(row[key]) for key in row if key.endswith("_mm")}
    across = (number["left_mm"] + number["right_mm"] + int(row["columns"]) * number["label_w_mm"]
              + (int(row["columns"]) - 1) * number["gutter_x_mm"])  # fmt: skip
    down = (number["top_mm"] + number["bottom_mm"] + int(row["rows"]) * number["label_h_mm"]
            + (int(row["rows"]) - 1) * number["gutter_y_mm"])  # fmt: skip
    assert abs(across - width) <= number["tolerance_mm"] + 1e-6
    assert abs(down - height) <= number["tolerance_mm"] + 1e-6
    assert number["tolerance_mm"] == 0.11 or row["page"] == "Letter"


def test_every_stock_has_a_source_and_a_name_of_its_own():
    sources = yaml.safe_load(reference("stock", "SOURCES.yaml").read_text(encoding="utf-8"))
    names = [stock.name for stock in load_stock()]
    assert len(set(names)) == len(names) >= 140
    assert {stock.source for stock in load_stock()} <= set(sources)
    assert all(stock.adds_up for stock in load_stock() if stock.kind == "sheet")


@pytest.mark.parametrize("words, width, height, per_page", [
    ("A4 99.1 x 67.7", 99.1, 67.7, 8), ("a4  99.1 X 67.7 mm", 99.1, 67.7, 8), ("A4 9.91 x 6.77 cm", 99.1, 67.7, 8),
    ("Letter 4 x 2 in", 101.6, 50.8, 10), ("US Letter 4 x 3.33 inch", 101.6, 84.7, 6), ("A4 round 60", 60.0, 60.0, 12),
    ("Letter 2 5/8 x 1 in", 66.7, 25.4, 30),
    ("A4 63.5 x 38.1 (3 x 7)", 63.5, 38.1, 21), ("A4 85 x 54, 10 per sheet", 85.0, 54.0, 10),
])  # fmt: skip
def test_words_find_their_sheet(words, width, height, per_page):
    stock = find_stock(words)
    assert isinstance(stock, Stock), stock
    assert (stock.label_w, stock.label_h, stock.per_page) == (width, height, per_page)


def test_rolls():
    continuous, cut = find_stock("roll 62"), find_stock("roll 62 x 100")
    assert continuous.kind == CONTINUOUS and continuous.page_w == 62
    assert (cut.page_w, cut.page_h, cut.per_page) == (62, 100, 1)
    ticket = find_stock("roll 80 mm")
    assert ticket.label_w == 72, "80 mm paper prints 72 mm wide (common practice, no source)"


@pytest.mark.parametrize("words, code", [
    ("A4 85 x 54", "stock-ambiguous"), ("A4 100 x 70", "stock-unknown"), ("the usual ones", "stock-unknown"),
    ("roll 500", "stock-unknown"),
    ("A4 label 80 x 40 left 25 top 20", "stock-unknown"),
    ("A4 label 120 x 40 grid 2 x 6 left 25 top 28.5", "stock-does-not-add-up"),
    ("A4 label 80 x 40 grid 2 x 6 left 25 top 28.5 right 24 gap 0 x 1", "stock-does-not-add-up"),
])  # fmt: skip
def test_words_that_mean_no_sheet_give_a_finding(words, code):
    found = find_stock(words, Place("kitchen.yaml", 14))
    assert isinstance(found, Finding)
    assert (found.code, found.place) == (code, Place("kitchen.yaml", 14))
    assert found.mend


@pytest.mark.parametrize("words, mend", [("Letter 2 x 4 in", "width comes first: write “Letter 101.6 x 50.8 (2 x 5)”"),
                                         ("A4 99,1 x 67,7", "write “A4 99.1 x 67.7”")])  # fmt: skip
def test_the_remedy_is_what_was_meant(words, mend):
    assert find_stock(words).mend == mend


def test_own_sheet_by_its_measures():
    stock = find_stock("A4 label 80 x 40 grid 2 x 6 left 25 top 28.5 gap 0 x 1")
    assert (stock.label_w, stock.label_h, stock.columns, stock.rows, stock.gutter_y) == (80, 40, 2, 6, 1)
    assert stock.right == pytest.approx(210 - 25 - 160)
    assert stock.bottom == pytest.approx(297 - 28.5 - 6 * 40 - 5)


def test_a_sheet_that_does_not_add_up_is_refused_with_the_millimetres():
    stock = replace(find_stock("A4 99.1 x 67.7"), left=5.63)  # one mm more than there is
    told = misfit(stock)
    assert told.code == "stock-does-not-add-up" and "1.00 mm too long" in told.text
    assert refused(stock, 1).code == "stock-does-not-add-up" and "-1.00 mm across" in refused(stock, 1).text


def test_places_row_by_row_from_a_start():
    stock = find_stock("A4 99.1 x 67.7")
    spots = list(islice(positions(stock, 3), 8))
    assert spots[0] == (0, pytest.approx(4.63), pytest.approx(13.1 + 67.7))
    assert spots[1] == (0, pytest.approx(4.63 + 99.1 + 2.54), pytest.approx(13.1 + 67.7))
    assert spots[5][0] == 0 and spots[6] == (1, pytest.approx(4.63), pytest.approx(13.1))


@pytest.mark.parametrize("start", [0, 9, -1])
def test_a_start_that_is_not_on_the_sheet(start):
    assert refused(find_stock("A4 99.1 x 67.7"), start).code == "stock-start-outside"


@pytest.mark.parametrize("stock", load_stock(), ids=lambda stock: stock.name)
def test_the_place_for_text_lies_in_the_label(stock):
    """Inside the cut with its padding, in a round label inside the circle; where a label ends at the page's edge the text
    keeps what a printer doesn't reach (4.3 mm, common practice, no source)."""
    for x, y, width, height in inner_areas(stock, looks()):
        assert x >= 1 * MM - 1e-6 and y >= 1 * MM - 1e-6
        assert x + width <= stock.label_w * MM - 1 * MM + 1e-6 and width > 0 and height > 0
        if stock.kind == "sheet" and stock.shape == "rectangle":
            assert stock.left * MM + x >= 4.3 * MM - 1e-6 and stock.top * MM + y >= 4.3 * MM - 1e-6
        if stock.shape == "round":
            centre, reach = stock.label_w * MM / 2, stock.label_w * MM / 2
            corners = [(x, y), (x + width, y), (x, y + height), (x + width, y + height)]
            assert all((left - centre) ** 2 + (low - centre) ** 2 <= reach**2 + 1e-6 for left, low in corners)


def test_the_test_print_shows_a_square_of_50_mm_and_every_label():
    stock = find_stock("A4 99.1 x 67.7")
    pdf, found = test_print_pdf(stock, looks(), offset=(1.5, -0.5), start=3)
    page = pages(pdf)[0]
    assert not found and (round(page.width / MM), round(page.height / MM)) == (210, 297)
    wide = [box for box in page.boxes if box[2] == pytest.approx(50 * MM, abs=0.01) and box[3] < 1]
    assert len(wide) == 2 and abs(wide[0][1] - wide[1][1]) + 0.6 == pytest.approx(50 * MM, abs=0.02)
    edges = {round((box[0] / MM) - 1.5, 1) for box in page.boxes if box[2] == pytest.approx(99.1 * MM, abs=0.01)}
    assert edges == {4.6, 106.3}
    numbers = {run.text: run for run in page.runs if run.text.isdigit()}
    assert set(numbers) == set("12345678") and numbers["3"].bold and not numbers["4"].bold


test_print_pdf.__test__ = False  # a name of the house, not a test
