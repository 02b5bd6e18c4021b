"""The US panel with two columns, read back from paper: 21 CFR 101.9(b)(12), (d)(1)-(9) and (e)."""

from __future__ import annotations

from label_cases import US_ROWS, looks, us_declaration
from msgspec.structs import replace
from paper import pages

from labeller.printing.labels import LabelJob, labels_pdf
from labeller.reading.stock_tables import find_stock
from labeller.terms.record import Declaration


def two_columns() -> Declaration:
    """The sample label's serving with a container of 2.5 servings beside it (amounts of the container invented)."""
    one = us_declaration(text="beets, wheat flour, butter (milk), eggs, salt", pack_words="Per container",
                         portion_words="2.5 servings per container\nServing size 1 piece (24g)")  # fmt: skip
    rows = tuple(replace(row, per_pack=f"{nr}9g", share_pack="77%" if row.share else "") for nr, row in enumerate(one.rows))
    return replace(one, rows=rows)


def page_of(declaration: Declaration, stock: str = "Letter 4 x 5 in", **more):
    pdf, found = labels_pdf([LabelJob(declaration, split=True, **more)], find_stock(stock), looks())
    return (pages(pdf) if pdf else []), [each.code for each in found]


def test_both_columns_stand_with_their_sizes():
    (page, *_), _ = page_of(two_columns())
    size = {run.text.strip(): run.size for run in page.runs}
    bold = {run.text.strip(): run.bold for run in page.runs}
    assert size["2.5 servings per container"] >= 10 and size["Serving size"] >= 10 and bold["Serving size"]
    assert size["Per serving"] >= 6 and size["Per container"] >= 6 and size["% DV*"] >= 6
    assert size["Calories"] >= 16 and size["230"] >= 22 and size["09g"] >= 22 and bold["230"] and bold["09g"]
    heading = next(run for run in page.runs if "Nutrition Facts" in run.text)
    assert heading.size >= max(run.size for run in page.runs if run.text.strip() not in ("230", "09g", heading.text.strip()) and
                               heading.y > run.y > heading.y - 300 and run.x < heading.x + 250)  # fmt: skip
    assert "Includes Added Sugars" in size and not any("Includes 10g" in run.text for run in page.runs)


def test_each_row_has_its_two_amounts_and_percentages_on_one_line():
    (page, *_), _ = page_of(two_columns())
    for nr, (key, name, amount, share, _, law_bold) in enumerate(US_ROWS):
        if key in ("energy_kcal", "added_sugars_g", "trans_fat_g"):
            continue
        at = next(run for run in page.runs if run.text.strip() == name)
        beside = sorted((run for run in page.runs if abs(run.y - at.y) < 0.1 and run.x > at.x), key=lambda run: run.x)
        wanted = [amount, *([share] if share else []), f"{nr}9g", *(["77%"] if share else [])]
        assert [run.text.strip() for run in beside][: len(wanted)] == wanted, name
        assert at.bold is law_bold and at.size >= 8


def test_order_of_nutrients_is_the_laws():
    (page, *_), _ = page_of(two_columns())
    heights = [next(run.y for run in page.runs if run.text.strip() == name) for key, name, *_ in US_ROWS
               if key not in ("added_sugars_g", "trans_fat_g")]  # fmt: skip
    assert heights == sorted(heights, reverse=True)


def test_small_packs_need_no_second_column():
    """101.9(b)(12)(i): packs that may use the tabular or linear form (j)(13)(ii)."""
    found, codes = page_of(two_columns(), "Letter 4 x 2 in", bearing_cm2=250.0)
    assert found and "label-does-not-fit" not in codes
    assert not any("Per container" in page.text() for page in found)
