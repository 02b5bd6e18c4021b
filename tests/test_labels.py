"""Labels as paper: the text read back is the record's, allergens stand in bold, nothing is cut, laid over or too small.

Read from the PDF itself (tests/paper.py): its strings, fonts, widths and places, not the program's own drawing. Heights of
type: Regulation (EU) No 1169/2011 Art. 13(2), (3) and Annex IV; 21 CFR 101.2(c) and 101.9(d), (j)(13). Heights of the net
quantity: Directive 76/211/EEC Annex I 3.1 and 21 CFR 101.7(i), both from memory.
"""

from __future__ import annotations

import os
import random
import re
from io import BytesIO

import pytest
from label_cases import (
    DAILY_VALUE,
    LIST,
    SHORT_LIST,
    US_ROWS,
    contains,
    eu_declaration,
    looks,
    random_dish,
    record,
    us_declaration,
)  # fmt: skip
from msgspec.structs import replace
from paper import MM, Page, Run, embedded, overlaps, pages, squash, x_height_ratio
from pypdf import PdfReader

from labeller.printing.labels import LabelJob, labels_pdf
from labeller.reading.label_looks import label_looks
from labeller.reading.stock_tables import find_stock, load_stock
from labeller.terms.catalogue.printing import LABELS
from labeller.terms.record import Declaration, NutritionRow
from labeller.terms.record import Run as Words
from labeller.terms.stock import Stock

EU_MM, EU_SMALL_MM, US_MM = 1.2, 0.9, 25.4 / 16
LONG_NAME = "Räucherforellen-Sauerteigroggenknäckebrot-Dillcremehäppchenkiste"
POLISH = "śliwki, mąka *pszenna*, *masło* (*mleko*), κρόκος, чорниця, *żyto*"
SIX = ("A4 99.1 x 67.7", "A4 63.5 x 38.1", "A4 99.1 x 139", "A4 round 60", "roll 62", "Letter 4 x 2 in")


def printed(*jobs: LabelJob, stock: str = "A4 99.1 x 67.7", **more) -> tuple[list[Page], list[str], bytes]:
    pdf, found = labels_pdf(jobs, find_stock(stock), looks(), **more)
    return (pages(pdf) if pdf else []), [each.code for each in found], pdf


def of_law(declaration: Declaration) -> list[str]:
    """Every text that the label must carry."""
    d = declaration
    rows = [text for row in d.rows for text in (row.name, row.per_100g, row.per_portion, row.share) if text]
    title = f"{d.statement_title}: " if d.statement_title else ""
    statement = title + "".join(run.text for run in d.statement)
    texts = (d.title or d.dish, statement, d.contains, d.may_contain, d.net_quantity, d.durability, d.storage, d.business,
             d.lot, *rows, *d.footnotes)  # fmt: skip
    return [text for text in texts if text]


def check_text(page: Page, declaration: Declaration) -> None:
    whole = squash(page.text())
    for text in of_law(declaration):
        for line in text.split("\n"):
            assert squash(line) in whole, line
    bold = squash("|".join(run.text for run in page.runs if run.bold))
    for run in declaration.statement:
        if run.emphasis:
            assert squash(run.text) in bold.replace("|", ""), f"{run.text} is not in bold"


def check_floor(runs: tuple[Run, ...] | list[Run], pdf: bytes, mm: float) -> None:
    """Height of a small x from the embedded font and the size it is set in."""
    ratio = {name: x_height_ratio(file, ord("x")) for name, file in embedded(pdf).items()}
    for run in runs:
        assert run.size * ratio[run.font] >= mm * MM - 1e-3, (run.text, run.size * ratio[run.font] / MM)


def check_place(page: Page, stock: Stock, edge: float = 0.9) -> None:
    """Every letter lies in a label, clear of its cut; letters don't reach into each other."""
    for run in page.runs:
        left, low, right, high = run.box
        assert any(x + edge * MM <= left and right <= x + (stock.label_w - edge) * MM and y <= low and high <= y + h
                   for x, y, h in _label_boxes(page, stock)), run  # fmt: skip
    assert overlaps(page.runs) == []


def _label_boxes(page: Page, stock: Stock):
    if stock.kind != "sheet":
        return [(stock.left * MM, 0.0, page.height)]
    return [((stock.left + column * (stock.label_w + stock.gutter_x)) * MM,
             (stock.page_h - stock.top - row * (stock.label_h + stock.gutter_y) - stock.label_h) * MM, stock.label_h * MM)
            for row in range(stock.rows) for column in range(stock.columns)]  # fmt: skip


@pytest.mark.parametrize("declaration, stock", [
    (eu_declaration(), "A4 99.1 x 67.7"),
    (eu_declaration(), "A4 99.1 x 139"),
    (eu_declaration(), "roll 62"),
    (eu_declaration(portion=False), "A4 105 x 74.2"),
    (eu_declaration("Beetroot tartlet", SHORT_LIST, table=False), "A4 63.5 x 38.1"),
    (eu_declaration("Pierogi ze śliwką, żurawiną i grzybami", POLISH, table=False), "A4 99.1 x 57"),
    (eu_declaration(LONG_NAME), "A4 99.1 x 139"),
    (eu_declaration(LONG_NAME, SHORT_LIST, table=False), "A4 63.5 x 72"),
    (eu_declaration("Beetroot tartlet", SHORT_LIST, table=False), "A4 round 95"),
    (eu_declaration(text=", ".join([LIST] * 6), table=False), "A4 105 x 148.5"),
    (eu_declaration(law="uk"), "A4 99.1 x 67.7"),
])  # fmt: skip
def test_the_text_read_back_is_the_records(declaration, stock):
    (page,), codes, pdf = printed(LabelJob(declaration), stock=stock)
    check_text(page, declaration)
    check_floor(page.runs, pdf, EU_MM)
    check_place(page, find_stock(stock))
    assert set(codes) <= {"label-type-rule-from-memory"}


def test_texts_come_in_reading_order():
    declaration = eu_declaration()
    (page,), _, _ = printed(LabelJob(declaration))
    whole = squash(page.text())
    order = [declaration.dish, declaration.net_quantity, "Ingredients:", declaration.may_contain, "Nutrition",
             declaration.durability, declaration.business]  # fmt: skip
    places = [whole.index(squash(text)) for text in order]
    assert places == sorted(places)
    reader = PdfReader(BytesIO(labels_pdf([LabelJob(declaration)], find_stock("A4 99.1 x 67.7"), looks())[0]))
    assert squash(declaration.dish) in squash(reader.pages[0].extract_text()), "and a plain reader finds them too"


def test_bold_in_the_list_means_allergen_and_nothing_else():
    declaration = eu_declaration(text="*milk*, water, *wheat* flour, salt")
    (page,), _, _ = printed(LabelJob(declaration))
    bold = [run.text.strip() for run in page.runs if run.bold]
    assert bold == [declaration.dish, "milk", "wheat", "Nutrition", declaration.durability]


def test_a_contains_line_stands_in_bold():
    page, _ = us_page()
    line = [run for run in page.runs if run.text.startswith("Contains:")]
    assert line and all(run.bold for run in line)


def test_small_packs_may_have_smaller_type():
    """0.9 mm where the largest surface is under 80 cm2 (Art. 13(3)); at 80 cm2 and where it is not stated, 1.2 mm."""
    job = LabelJob(eu_declaration(table=False), face_cm2=79.0)
    (page,), _, pdf = printed(job, stock="A4 70 x 41")
    check_floor(page.runs, pdf, EU_SMALL_MM)
    assert min(run.size for run in page.runs) * 0.527 < EU_MM * MM
    for face in (80.0, None):
        nothing, codes, _ = printed(replace(job, face_cm2=face), stock="A4 70 x 41")
        assert not nothing and "label-does-not-fit" in codes


def test_a_label_larger_than_the_stated_face_is_held_to_the_strict_height():
    (page,), _, pdf = printed(LabelJob(eu_declaration(), face_cm2=50.0), stock="A4 99.1 x 139")
    check_floor(page.runs, pdf, EU_MM)


@pytest.mark.parametrize("grams, mm", [(48.0, 2), (90.0, 3), (288.0, 4), (1200.0, 6)])
def test_figures_of_the_net_quantity(grams, mm):
    """Directive 76/211/EEC, Annex I, 3.1 (from memory): 2, 3, 4 and 6 mm. Height of a figure of the face: 0.689 of the size
    (read from its OS/2 table)."""
    declaration = eu_declaration(record=record("box", grams), net_quantity=f"{grams:g} g")
    (page,), codes, _ = printed(LabelJob(declaration), stock="A4 99.1 x 139")
    net = next(run for run in page.runs if run.text == f"{grams:g} g")
    assert net.size * 0.689 >= mm * MM - 1e-3
    assert "label-type-rule-from-memory" in codes


def test_no_such_height_for_direct_sale():
    declaration = eu_declaration(sold="prepacked for direct sale")
    (page,), codes, _ = printed(LabelJob(declaration), stock="A4 99.1 x 139")
    net = next(run for run in page.runs if run.text == "288 g")
    assert net.size == pytest.approx(9 * 1.2) and "label-type-rule-from-memory" not in codes


def test_name_and_net_quantity_stand_together():
    """One field of vision, Art. 13(5); with two labels a pack, both on the first."""
    (first,), _, _ = printed(LabelJob(eu_declaration(), split=True))
    spots = {run.text: run.spot for run in first.runs}
    assert spots["288 g"] == next(run.spot for run in first.runs if run.text.startswith("Smoked"))


def test_table_figures_stand_under_each_other():
    (page,), _, _ = printed(LabelJob(eu_declaration()), stock="A4 99.1 x 139")
    hundred = [run for run in page.runs if run.text in {"1046 kJ", "251 kcal", "16 g", "6.1 g", "14 g", "2.4 g", "11 g", "1.2 g"}]
    assert len(hundred) == 8
    assert len({round(run.box[2], 1) for run in hundred}) == 1
    names = [run for run in page.runs if run.text in {"Energy", "Fat", "Carbohydrate", "Protein", "Salt"}]
    assert [run.text for run in sorted(names, key=lambda run: -run.y)] == ["Energy", "Fat", "Carbohydrate", "Protein", "Salt"]


def test_the_table_goes_into_lines_only_when_it_must():
    roomy, tight = (printed(LabelJob(eu_declaration(text=text)))[0] for text in (SHORT_LIST, LIST + ", " + LIST[:330]))
    assert any(run.text == "Protein" for run in roomy[0].runs)
    lines = squash(tight[0].text())
    assert "Nutritionper100g:Energy1046kJ/251kcal,Fat16g,ofwhichsaturates6.1g" in lines


# The US panel.


def us_page(stock: str = "Letter 4 x 5 in", **more) -> tuple[Page, bytes]:
    (page,), _, pdf = printed(LabelJob(us_declaration(), **more), stock=stock)
    return page, pdf


def in_panel(page: Page) -> list[Run]:
    start = next(n for n, run in enumerate(page.runs) if "Nutrition" in run.text)
    end = max(n for n, run in enumerate(page.runs) if "advice." in run.text)
    return list(page.runs[start : end + 1])


def test_us_panel_upright():
    """Order, sizes and bold of 21 CFR 101.9(d)(1)-(9)."""
    page, pdf = us_page()
    check_text(page, us_declaration())
    check_place(page, find_stock("Letter 4 x 5 in"))
    panel = in_panel(page)
    size = {run.text.strip(): run.size for run in panel}
    bold = {run.text.strip(): run.bold for run in panel}
    place = {run.text.strip(): run.y for run in panel}
    assert size["Serving size"] >= 10 and bold["Serving size"] and size["1 piece (24g)"] >= 10 and bold["1 piece (24g)"]
    assert size["12 servings per container"] >= 10
    assert size["Calories"] >= 16 and size["230"] >= 22 and bold["Calories"] and bold["230"]
    assert size["Amount per serving"] >= 6 and size["% Daily Value*"] >= 6 and bold["% Daily Value*"]
    heading = next(run for run in panel if "Nutrition Facts" in run.text)
    others = [run.size for run in panel if run is not heading and run.text != "230"]
    assert heading.size >= max(others), "not smaller than any type but the number of calories"
    for _, name, amount, share, _, law_bold in US_ROWS[1:]:
        told = name if law_bold or amount in name else "Trans" if name == "Trans Fat" else f"{name} {amount}"
        assert size[told] >= 8
        if share:
            beside = next(run for run in panel if run.text == share and abs(run.y - place[told]) < 0.1)
            assert beside.bold == (name not in ("Vitamin D", "Calcium", "Iron", "Potassium")), name
    assert all(run.size >= 6 for run in panel)
    assert not any(bold[text] for text in ("Vitamin D 2mcg", "Calcium 260mg", "Saturated Fat 1g"))


def test_us_panel_rows_have_their_leading_and_lines():
    """At least 4 points between lines of nutrients (101.9(d)(1)(ii)(C)), a hairline between them (101.9(d)(1)(v))."""
    page, _ = us_page()
    rows = sorted({round(run.y, 1) for run in in_panel(page) if run.size == 8}, reverse=True)
    gaps = [above - below for above, below in zip(rows, rows[1:], strict=False)]
    assert len(rows) == 14 and min(gaps) >= 12 - 0.05
    for above, below in zip(rows, rows[1:], strict=False):
        assert any(below < y < above and h <= 7 and w > 100 for _, y, w, h in page.boxes), (above, below)


def test_us_text_is_a_sixteenth_of_an_inch():
    """21 CFR 101.2(c), on the small letters; the panel has its own sizes, our own small line is no text of the law."""
    page, pdf = us_page()
    panel = in_panel(page)
    small = [run.y for run in page.runs if re.fullmatch("[2-9A-HJ-NP-Z]{5}", run.text)]
    assert small
    small += [y - 1.2 * 6.4546 for y in small]  # the line may go on
    ours = [run for run in page.runs if run not in panel and any(abs(run.y - y) < 0.1 for y in small)]
    check_floor([run for run in page.runs if run not in panel and run not in ours], pdf, US_MM)
    assert len(ours) <= 2
    check_floor(ours, pdf, EU_MM)


def test_us_net_quantity_stands_at_the_bottom():
    """In the bottom 30 per cent of the panel, 21 CFR 101.7(f); letters of 1/8 inch on a panel of 5 to 25 square inches,
    101.7(i) (both from memory)."""
    page, pdf = us_page()
    net = next(run for run in page.runs if run.text.startswith("Net"))
    low = (279.4 - 12.7 - 127.0) * MM
    assert low < net.y < low + 0.3 * 127.0 * MM
    assert net.size * 0.527 >= 25.4 / 8 * MM - 1e-3
    above = min(run.box[1] for run in page.runs if run is not net and run.box[1] > net.y)
    assert above - (net.y + 0.689 * net.size) >= 0.689 * net.size - 1.0, "clear of other text by its own height"


def test_us_small_packs_in_lines():
    """Linear only where the pack has at most 40 square inches, 21 CFR 101.9(j)(13)(ii)."""
    job = LabelJob(us_declaration(), split=True)
    nothing, codes, _ = printed(job, stock="Letter 4 x 2 in")
    assert not nothing and "label-does-not-fit" in codes
    (page,), codes, _ = printed(replace(job, bearing_cm2=250.0), stock="Letter 4 x 2 in")
    check_text(page, us_declaration())
    check_place(page, find_stock("Letter 4 x 2 in"))
    size = {run.text.strip(): run.size for run in page.runs}
    assert size["Calories"] >= 10 and size["230"] >= 14 and size["Serving size 1 piece (24g)"] >= 9
    assert "TotalFat8g(10%DV),SaturatedFat1g(5%DV)" in squash(page.text())


def test_us_tabular_on_low_labels():
    """Tabular where there is less than about 3 inches of height, 21 CFR 101.9(d)(11)(iii)."""
    job = LabelJob(us_declaration(text="beets, wheat flour, butter (milk), eggs, salt"))
    (page,), _, _ = printed(job, stock="Letter 177.8 x 76.2")
    assert [run.text for run in page.runs].count("% Daily Value*") == 2
    check_place(page, find_stock("Letter 177.8 x 76.2"))
    assert squash(DAILY_VALUE) in squash(page.text())
    heights = [run.size for run in page.runs if run.text.startswith(("Total", "Sodium", "Protein", "Cholesterol"))]
    assert min(heights) >= 8


# What must not be printed, and what is told instead.


def test_a_text_that_does_not_fit_names_the_smallest_stock_and_the_split():
    job = LabelJob(eu_declaration(table=False))
    pdf, found = labels_pdf([job], find_stock("A4 63.5 x 38.1"), looks(), stocks=load_stock())
    told = next(each for each in found if each.code == "label-does-not-fit")
    assert pdf == b"" and "1.2 mm" in told.text and "Art. 13(2)" in told.text
    name = told.mend.split("“")[1].split("”")[0]
    stock = find_stock(name)
    least = find_stock("A4 63.5 x 38.1").area_cm2
    between = [each for each in load_stock() if each.page_w == 210.0 and least < each.area_cm2 < stock.area_cm2 - 1e-9]
    assert labels_pdf([job], stock, looks())[0]
    assert between and not any(labels_pdf([job], each, looks())[0] for each in between)
    assert "80 cm2" not in told.mend and "; or" not in told.mend, "288 g are no small pack: one way out is named"
    assert [each.code for each in found] == ["label-does-not-fit"], "told once"


def test_a_light_pack_that_does_not_fit_is_told_of_the_smaller_type():
    """Art. 13(3): 0.9 mm where the largest side is under 80 cm2. That 60 g may be so small is our own figure."""
    for grams, may_be in ((60.0, True), (61.0, False)):
        job = LabelJob(eu_declaration(table=False, record=record("box", grams)))
        found = labels_pdf([job], find_stock("A4 70 x 41"), looks(), stocks=load_stock())[1]
        (told,) = [each for each in found if each.code == "label-does-not-fit"]
        assert ("under 80 cm2" in told.mend) is may_be and told.text.count(".") <= 4


def test_a_stopped_pack_gets_no_label():
    job = LabelJob(eu_declaration(record=record("box", stopped=True)))
    one, codes, _ = printed(job, LabelJob(eu_declaration("Other box", SHORT_LIST)))
    assert len(one) == 1 and codes.count("label-no-answer") == 1
    _, codes, pdf = printed(job)
    assert pdf == b"" and codes == ["label-no-answer"], "told once"


def test_a_letter_the_font_lacks_is_told_not_boxed():
    nothing, codes, _ = printed(LabelJob(eu_declaration(text="*fish* (魚), salt")))
    assert not nothing and "label-glyph-missing" in codes


def test_look_alikes_that_differ_in_allergens_are_told():
    one = eu_declaration("Canapé box", SHORT_LIST, states=contains("milk", "eggs"))
    two = eu_declaration("Canapé box vegetarian", SHORT_LIST, states=contains("milk", "eggs", "celery"))
    _, codes, _ = printed(LabelJob(one), LabelJob(two))
    assert codes.count("label-look-alike") == 1
    _, codes, _ = printed(LabelJob(one), LabelJob(replace(two, states=one.states)))
    assert "label-look-alike" not in codes
    _, codes, _ = printed(LabelJob(one), LabelJob(replace(two, dish="Vegetarian box")))
    assert "label-look-alike" not in codes


def test_no_list_where_the_way_of_sale_asks_for_none():
    declaration = eu_declaration(text=SHORT_LIST, list_required=False, contains="Contains: milk, egg, wheat")
    (page,), _, _ = printed(LabelJob(declaration))
    whole = squash(page.text())
    assert "Contains:milk,egg,wheat" in whole and "beetroot" not in whole


def test_no_table_where_none_is_shown():
    (page,), _, _ = printed(LabelJob(eu_declaration(nutrition_shown=False)))
    assert "Carbohydrate" not in page.text()


def test_particulars_without_a_place_of_their_own():
    declaration = eu_declaration(particulars=(("name", "not this one"), ("instructions", "Warm gently before eating")))
    (page,), _, _ = printed(LabelJob(declaration), stock="A4 99.1 x 139")
    assert "Warm gently before eating" in page.text() and "not this one" not in page.text()


# Runs.


def test_equal_labels_are_laid_out_once_and_placed():
    few, many = (printed(LabelJob(eu_declaration(), copies))[2] for copies in (8, 240))
    sheets = pages(many)
    assert len(sheets) == 30
    assert all(sum(run.text == "288 g" for run in page.runs) == 8 for page in sheets)
    assert len(many) < len(few) + 240 * 200, "a label more is a placing more, not a drawing more"
    forms = [name for name in PdfReader(BytesIO(many)).pages[0]["/Resources"]["/XObject"]]
    assert len(forms) == 1


def test_numbers_run_through_the_run():
    (first, second), _, _ = printed(LabelJob(eu_declaration(), 10, numbered=True))
    assert [run.text for run in first.runs if run.text.endswith("/10")] == [f"{n}/10" for n in range(1, 9)]
    assert [run.text for run in second.runs if run.text.endswith("/10")] == ["9/10", "10/10"]
    check_place(first, find_stock("A4 99.1 x 67.7"))


def test_start_and_offset():
    (plain,), _, _ = printed(LabelJob(eu_declaration(), 2))
    (moved,), _, _ = printed(LabelJob(eu_declaration(), 2), start=4, offset=(1.0, 2.0))
    one, two = plain.runs[0], moved.runs[0]
    assert two.x - one.x == pytest.approx((99.1 + 2.54 + 1.0) * MM, abs=0.02)
    assert one.y - two.y == pytest.approx((67.7 + 2.0) * MM, abs=0.02)
    _, codes, pdf = printed(LabelJob(eu_declaration()), start=9)
    assert pdf == b"" and codes == ["stock-start-outside"]


def test_two_labels_a_pack():
    (page,), _, _ = printed(LabelJob(eu_declaration(), 2, split=True))
    check_text(page, eu_declaration())
    check_place(page, find_stock("A4 99.1 x 67.7"))
    assert sum(run.text == "288 g" for run in page.runs) == 2
    assert sum(run.text.startswith("Smoked trout") for run in page.runs) == 4
    assert {"1/2", "2/2"} <= {run.text[-3:] for run in page.runs}


def test_the_lot_of_the_job_wins_only_when_it_names_another_lot():
    same, other = (printed(LabelJob(eu_declaration(), lot=lot))[0][0].text() for lot in ("251124-A", "Lot 7"))
    assert "Lot 251124-A" in same
    assert "Lot 7" in other and "251124" not in other


def test_a_continuous_roll_is_cut_to_its_text():
    (short, long), _, _ = printed(LabelJob(eu_declaration("Tartlet", SHORT_LIST, table=False)), LabelJob(eu_declaration()),
                                  stock="roll 62")  # fmt: skip
    assert short.width == long.width == pytest.approx(62 * MM, abs=0.01)
    assert short.height < long.height < 300 * MM
    lowest = min(run.box[1] for run in short.runs)
    assert 0 < lowest < 4 * MM


def test_properties_and_bytes():
    declaration = eu_declaration()
    jobs = [LabelJob(declaration, 3, numbered=True), LabelJob(us_declaration())]
    one, two = (labels_pdf(jobs, find_stock("A4 105 x 148.5"), looks(), date="2026-11-25", title="Labels: canapés",
                           language="en-GB")[0] for _ in range(2))  # fmt: skip
    assert one == two, "equal inputs give equal bytes"
    reader = PdfReader(BytesIO(one))
    assert reader.metadata.title == "Labels: canapés" and "2026-11-25" in reader.metadata.subject
    assert reader.trailer["/Root"]["/Lang"] == "en-GB"
    assert reader.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"
    fonts = embedded(one)
    assert fonts and all(fonts.values()) and all(name[7] == "+" for name in fonts), "embedded, as subsets, nothing else"
    assert all(len(file) < 60_000 for file in fonts.values())


def test_the_mark_changes_with_every_word():
    jobs = [LabelJob(eu_declaration(text=text)) for text in (LIST, LIST.replace("dill", "chive"))]
    texts = [printed(job)[0][0].text() for job in jobs]
    assert jobs[0].mark != jobs[1].mark and all(job.mark in text for job, text in zip(jobs, texts, strict=True))
    assert not any("3f9a2c1b" in text for text in texts), "versions stand in the file's properties, not on a guest's pack"


# Looks of a kitchen's own.


def test_own_looks_change_what_they_name(tmp_path):
    (tmp_path / "label.yaml").write_text("pt: {comfort: 7}\nemphasis:\n  underline: yes\n", encoding="utf-8")
    own, found = label_looks(tmp_path)
    assert not found
    pdf, _ = labels_pdf([LabelJob(eu_declaration("Tartlet", SHORT_LIST, table=False))], find_stock("A4 99.1 x 67.7"), own)
    (page,) = pages(pdf)
    assert next(run.size for run in page.runs if "beetroot" in run.text) <= 7
    milk = next(run for run in page.runs if run.text == "milk")
    assert any(abs(x - milk.x) < 0.1 and abs(w - milk.width) < 0.1 and y < milk.y for x, y, w, h in page.boxes)


def test_own_looks_can_not_go_below_the_law(tmp_path):
    (tmp_path / "label.yaml").write_text("pt: {comfort: 3}\n", encoding="utf-8")
    own, _ = label_looks(tmp_path)
    pdf, _ = labels_pdf([LabelJob(eu_declaration("Tartlet", SHORT_LIST, table=False))], find_stock("A4 99.1 x 67.7"), own)
    check_floor(pages(pdf)[0].runs, pdf, EU_MM)


@pytest.mark.parametrize("text, line", [
    ("pt:\n  comfort: large\n", 2), ("pt:\n  step: 0.25\n  comfrot: 8\n", 3), ("mm: 3\n", 1), ("mm:\n  padding: 0.1\n", 2),
    ("font:\n  regular: none.ttf\n", 2), ("words:\n  mark: '{secret}'\n", 2), ("mm:\n\tpadding: 3\n", 2),
])  # fmt: skip
def test_a_broken_line_is_told_with_its_line(tmp_path, text, line):
    (tmp_path / "label.yaml").write_text(text, encoding="utf-8")
    own, found = label_looks(tmp_path)
    assert [(each.code, each.place.line) for each in found] == [("label-looks-broken", line)]
    assert own.sizes == looks().sizes, "the shipped looks stand"


def test_a_font_that_is_none_is_told(tmp_path):
    (tmp_path / "mine.ttf").write_bytes(b"no font")
    (tmp_path / "label.yaml").write_text("font:\n  bold: mine.ttf\n", encoding="utf-8")
    own, _ = label_looks(tmp_path)
    pdf, found = labels_pdf([LabelJob(eu_declaration())], find_stock("A4 99.1 x 67.7"), own)
    assert pdf == b"" and [each.code for each in found] == ["label-looks-broken"]


# Many.


@pytest.mark.parametrize("name", SIX)
def test_generated_dishes_fit_lawfully_or_are_told(name):
    """Each generated dish is on the paper whole and lawful, or it is told why not; never both, never neither. 150 dishes a stock;
    1,000 with LABELLER_ALL_LABELS=1 in the environment."""
    count = 1000 if os.environ.get("LABELLER_ALL_LABELS") else 150
    chance, stock = random.Random(11), find_stock(name)
    jobs = [LabelJob(random_dish(chance, number), face_cm2=chance.choice((None, 60.0))) for number in range(count)]
    pdf, found = labels_pdf(jobs, stock, looks())
    told = {each.subject for each in found if each.code == "label-does-not-fit"}
    whole = squash("".join(page.text() for page in pages(pdf)))
    fits = {job.name: squash(job.name) in whole for job in jobs}
    assert len(fits) == count and any(fits.values())
    assert all(fits[job.name] != (job.name in told) for job in jobs)
    held = [job for job in jobs if fits[job.name]]
    small = min(job.face_cm2 or 1e9 for job in held)
    sheets = pages(pdf)
    check_floor([run for page in sheets for run in page.runs], pdf, EU_SMALL_MM if small < 80 else EU_MM)
    for page in sheets:
        check_place(page, stock)
    for job in held:
        for text in of_law(job.declaration):
            assert squash(text) in whole
    strict = [job for job in held if job.face_cm2 is None]
    if strict:
        pdf, _ = labels_pdf(strict, stock, looks())
        check_floor([run for page in pages(pdf) for run in page.runs], pdf, EU_MM)


def test_a_row_without_a_figure_in_one_column():
    rows = (NutritionRow("fat_g", "Fat", "16 g", "", ""), NutritionRow("salt_g", "Salt", "", "0.3 g", "5 %"))
    (page,), _, _ = printed(LabelJob(eu_declaration(rows=rows, statement=(Words("milk", True),))))
    assert {"16 g", "0.3 g", "5 %"} <= {run.text for run in page.runs}


def every_label_finding(folder) -> set[str]:
    """Codes that this room's own cases raise, each by something a kitchen can get wrong."""
    declaration = eu_declaration()
    (folder / "label.yaml").write_text("pt: {comfort: large}\n", encoding="utf-8")
    found = list(label_looks(folder)[1])
    found += [find_stock(words) for words in ("the usual", "A4 85 x 54", "A4 label 120 x 40 grid 2 x 6 left 25 top 28.5")]
    alike = replace(declaration, dish=f"{declaration.dish} II", states=contains("celery"))
    jobs = [LabelJob(declaration), LabelJob(alike), LabelJob(eu_declaration(text="魚")),
            LabelJob(eu_declaration(record=record("x", stopped=True))), LabelJob(eu_declaration(law="ca"))]  # fmt: skip
    found += labels_pdf(jobs, find_stock("A4 99.1 x 139"), looks())[1]
    found += labels_pdf(jobs[:1], find_stock("A4 38.1 x 21.2"), looks())[1]
    found += labels_pdf(jobs[:1], find_stock("A4 99.1 x 139"), looks(), start=40)[1]
    found += labels_pdf([replace(jobs[0], copies=3)], find_stock("A4 99.1 x 139"), looks(), sheet=9)[1]
    found += labels_pdf([replace(jobs[0], copies=0)], find_stock("A4 99.1 x 139"), looks())[1]
    assert all(each.text and each.mend for each in found)
    return {each.code for each in found}


def test_every_code_of_labels_is_raised_by_a_case(tmp_path):
    assert every_label_finding(tmp_path) == {entry.code for entry in LABELS}
