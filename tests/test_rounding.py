"""Rounding tables against cases at their edges (published/rounding.yaml, source beside each table) and as a whole."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from labeller.declaring.nutrition import with_unit
from labeller.declaring.rounding import exact, rounded, to_multiple, to_significant
from labeller.reading.laws import load_law

DAY = "2026-11-25"
CASES = [table for name in ("rounding.yaml", "rounding_edges.yaml")
         for table in yaml.safe_load((Path(__file__).parent / "published" / name).read_text(encoding="utf-8"))]  # fmt: skip
LAWS = {key: load_law(key, DAY) for key in ("eu", "uk", "us", "ca", "anz", "none")}
EACH = [(table, amount, printed) for table in CASES for amount, printed in table["cases"]]


@pytest.mark.parametrize(("table", "amount", "printed"), EACH,
                         ids=[f"{t['law']}-{t['table']}-{a}" for t, a, _ in EACH])  # fmt: skip
def test_an_amount_prints_as_its_table_says(table, amount, printed):
    law = LAWS[table["law"]]
    assert with_unit(rounded(float(amount), law.roundings[table["table"]]), table["unit"], law) == printed, table["source"]


def test_every_rounding_table_of_a_law_that_prints_has_cases():
    held = {(table["law"], table["table"]) for table in CASES}
    own = {"quid", "percent", "serving weight"}  # the same whole steps as elsewhere, no edge of a law's own
    lacking = [(key, name) for key in ("eu", "us", "ca", "anz") for name in LAWS[key].roundings
               if (key, name) not in held and not (name in own and key in ("ca", "anz"))]  # fmt: skip
    assert lacking == []


NEAR = Decimal("0.002")  # of the edge: an amount nearer than that to it is just beside it


def edges_not_tried(key: str, name: str) -> list[str]:
    """Limits and halves of a table that the cases don't try just under, on and just over."""
    tried = {Decimal(a) for t in CASES if (t["law"], t["table"]) == (key, name) for a, _ in t["cases"]}
    lacking, low = [], Decimal(0)
    for band in LAWS[key].roundings[name].bands:
        limit = band.limit
        if limit is not None and limit > 0:
            beside = limit * NEAR
            if not (limit in tried and any(0 < limit - a <= beside for a in tried)
                    and any(0 < a - limit <= beside for a in tried)):  # fmt: skip
                lacking.append(f"limit {limit}")
        if band.nearest is not None:
            step, inside = band.nearest, [a for a in tried if low <= a and (limit is None or a <= limit)]
            parts = [a % step / step for a in inside]
            has_half = low // step * step + step / 2 > low or limit is None or low + step * 3 / 2 < limit
            if has_half and not any(part == Decimal("0.5") for part in parts):
                lacking.append(f"half of {step} above {low}")
            if has_half and not any(Decimal("0.49") < part < Decimal("0.5") for part in parts):
                lacking.append(f"just under half of {step} above {low}")
        low = limit
    return lacking


@pytest.mark.parametrize("key", ["us", "ca", "eu", "anz"])
def test_every_edge_of_every_rounding_table_is_tried_on_both_sides_and_on_it(key):
    held = {table["table"] for table in CASES if table["law"] == key}
    assert {name: found for name in LAWS[key].roundings if name in held and (found := edges_not_tried(key, name))} == {}


@pytest.mark.parametrize("key", LAWS)
def test_the_kinds_of_step_are_settled(key):
    for table in LAWS[key].roundings.values():
        assert table.bands[-1].limit is None and not table.bands[-1].text, f"{table.key}: the last step has no end and rounds"
        limits = [band.limit for band in table.bands[:-1]]
        assert limits == sorted(limits), table.key
        for band in table.bands:
            assert [bool(band.text), band.nearest is not None, bool(band.significant)].count(True) == 1


def test_binary_noise_turns_no_half():
    """0.1 + 0.2 and the like lie a hair beside the decimal they stand for; 2.675 lies below it, 1.005 too."""
    assert exact(0.1 + 0.2) == Decimal("0.3")
    fats = LAWS["us"].roundings["fats"]
    assert rounded(sum([0.05] * 25), fats).text == "1.5"  # 1.25, in floats 1.2500000000000002 or less
    assert rounded(5.5 - 1e-15, fats).text == "6"
    grams = LAWS["eu"].roundings["grams"]
    assert rounded(0.15 * 3 + 0.1, grams).text == "0.6"  # 0.55 from above and from below
    assert rounded(1.15, grams).text == "1.2"  # the float 1.15 is 1.149999…


@pytest.mark.parametrize("bad", [float("nan"), float("inf")])
def test_what_is_no_amount_is_refused(bad):
    with pytest.raises(ValueError):
        exact(bad)


@given(
    st.floats(min_value=0, max_value=1e6, allow_nan=False),
    st.sampled_from(["0.01", "0.1", "0.25", "0.5", "1", "2", "5", "10", "50"]),
)
def test_nearest_is_nearest_and_halves_go_up(value, step):
    """The definition of rounding to a multiple, independent of how it is done."""
    amount, size = exact(value), Decimal(step)
    result = to_multiple(amount, size)
    assert result % size == 0
    assert -size / 2 <= amount - result < size / 2


@given(st.floats(min_value=1e-6, max_value=1e6, allow_nan=False), st.integers(1, 4))
def test_significant_digits_are_that_many(value, digits):
    amount = exact(value)
    result = to_significant(amount, digits)
    assert len(result.normalize().as_tuple().digits) <= digits
    assert abs(result - amount) <= Decimal(1).scaleb(amount.adjusted() - digits + 1) / 2


@given(st.floats(min_value=0, max_value=2000, allow_nan=False), st.floats(min_value=0, max_value=2000, allow_nan=False))
def test_a_greater_amount_never_prints_as_a_smaller_number(one, two):
    low, high = sorted((one, two))
    for law in LAWS.values():
        for table in law.roundings.values():
            small, great = rounded(low, table).number, rounded(high, table).number
            if small is not None and great is not None:
                assert small <= great, (law.key, table.key)
