"""A figure that some of is missing is printed only where it prints the same whatever the missing part is.

Rounding: 21 CFR 101.9(c)(2)(ii) for trans fat (below 0.5 g a serving: 0 g; below 5 g: nearest 0.5 g), 101.9(c)(8)(iii) for
vitamins.
"""

from __future__ import annotations

import pytest
from declared_plate import FIVE, PACK, codes, dish, made
from msgspec.structs import replace

from labeller.terms.findings import NOWHERE
from labeller.terms.kitchen import Amount, Line
from labeller.terms.nutrients import MOST
from labeller.terms.record import Missing
from labeller.terms.spans import Span

MEAL = replace(PACK, racc="whole pack")
OIL = Missing("trans_fat_g", "olive oil", 12.0, 0.36)


def with_missing(key: str, low: float | None, high: float, share: float = 1.0, known: float = 0.8, **more):
    """The pack of FIVE in which a figure is known for 80 % of the weight, and lies between two ends."""
    amounts = {name: value for name, value in FIVE["amounts"].items() if name != key} | {MOST[key]: high}
    shares = {MOST[key]: share}
    if low is not None:
        amounts[key], shares[key] = low, known
    return dish(amounts, 100, shares, kind="pack", missing=(OIL,), **more)


def printed(declaration) -> dict[str, str]:
    return {row.key: row.per_portion for row in declaration.rows}


@pytest.mark.parametrize(
    ("low", "high", "text"),
    [
        (0.0, 0.499, "0g"),  # 101.9(c)(2)(ii): below 0.5 g is 0 g at both ends
        (0.2, 0.45, "0g"),
        (None, 0.45, "0g"),  # not known for any part
        (0.51, 0.74, "0.5g"),
        (0.75, 1.2, "1g"),
    ],
)
def test_trans_fat_between_two_ends_that_print_the_same(low, high, text):
    declaration = made(with_missing("trans_fat_g", low, high), "us", MEAL)
    assert printed(declaration)["trans_fat_g"] == text and "pack-figure-not-whole" not in codes(declaration)
    row = next(row for row in declaration.rows if row.key == "trans_fat_g")
    assert row.settled and row.ends == (low or 0.0, high) and row.known == (0.8 if low is not None else 0.0)


@pytest.mark.parametrize(
    ("low", "high", "share"),
    [
        (0.2, 0.5, 1.0),  # 0.5 g prints 0.5 g
        (0.7, 0.76, 1.0),  # 0.5 g or 1 g
        (0.0, 0.3, 0.94),  # the most is not known for all of it: house.yaml, known share 0.95
    ],
)
def test_where_the_ends_print_differently_there_is_no_table(low, high, share):
    declaration = made(with_missing("trans_fat_g", low, high, share), "us", MEAL)
    assert declaration.rows == () or "pack-figure-not-whole" in codes(declaration)
    told = next(each for each in declaration.findings if each.code == "pack-figure-not-whole")
    assert "12 g olive oil (up to 0.36 g)" in told.text and "`trans fat:`" in told.mend and "olive oil" in told.mend


def test_the_percentage_must_be_the_same_too():
    """Saturated fat: 20 g is 100 % (101.9(c)(9)); percentages are of the declared amount (101.9(d)(7)(ii)). Cholesterol 0 to
    1.9 mg is 0 mg and 0 % (101.9(c)(3)); 1.9 to 2.1 mg is 0 mg or "less than 5 mg"."""
    amounts = FIVE["amounts"] | {"cholesterol_mg": 0.0}
    assert "cholesterol_mg" in amounts
    whole = made(with_missing("cholesterol_mg", 0.0, 1.9), "us", MEAL)
    assert printed(whole)["cholesterol_mg"] == "0mg"
    assert "pack-figure-not-whole" in codes(made(with_missing("cholesterol_mg", 0.0, 2.1), "us", MEAL))


def test_vitamin_d_in_the_places_of_the_rdi_table_where_tenths_differ():
    """20 mcg has no decimals (101.9(c)(8)(iii)-(iv)): between 0.1 and 0.3 mcg it is 0 mcg, 0 % at both ends; up to 0.5 mcg it
    may be 1 mcg, so that nothing is printed; a figure that is known keeps its tenths."""
    assert printed(made(with_missing("vitamin_d_ug", 0.1, 0.3), "us", MEAL))["vitamin_d_ug"] == "0mcg"
    assert printed(made(with_missing("vitamin_d_ug", 0.12, 0.14), "us", MEAL))["vitamin_d_ug"] == "0.1mcg"
    assert "pack-figure-not-whole" in codes(made(with_missing("vitamin_d_ug", 0.1, 0.5), "us", MEAL))
    assert "pack-figure-not-whole" in codes(made(with_missing("vitamin_d_ug", 0.38, 0.42), "us", MEAL))  # 0 % or 2 %


def test_a_line_without_an_amount_is_still_at_least():
    record = with_missing("trans_fat_g", 0.0, 0.3, unknown_amounts=("salt",))
    assert "pack-figure-not-whole" in codes(made(record, "us", MEAL))


def test_sugars_and_added_sugars_by_what_holds_them():
    """Below 0.5 g is 0 g, below 1 g "less than 1g" (101.9(c)(6)(ii)-(iii))."""
    assert printed(made(with_missing("added_sugars_g", 0.0, 0.4), "us", MEAL))["added_sugars_g"] == "0g"
    assert "pack-figure-not-whole" in codes(made(with_missing("added_sugars_g", 0.4, 0.6), "us", MEAL))


@pytest.mark.parametrize(("high", "whole"), [(0.49, True), (0.6, False)])
def test_both_columns_of_a_panel_must_be_settled(high, whole):
    """101.9(b)(12)(i): a pack of 100 g with servings of 40 g has a column per container: 0.6 g there is 0.5 g or nothing,
    though a serving of it is 0 g at both ends."""
    line = Line("canapé", Amount("5", Span.of(5), "piece"), NOWHERE)
    declaration = made(with_missing("trans_fat_g", 0.0, high), "us", replace(PACK, racc="40 g", lines=(line,)))
    assert ("pack-figure-not-whole" not in codes(declaration)) is whole
