"""Food rows against a second reader, who judged a drawn sample of 300 by description alone, before seeing the table.

What the second reader is certain of must be held by the table: in ``contains`` or ``usual``, as both count as held. What the
second reader finds usual must stand there in some degree. The group suffices: a finer kind is a refinement, a missed group is a
missed allergen. Only a verdict that begins with ``reader wrong`` excuses a row. The judgement before any verdict is the commit
"Second reader's blind judgement of 300 food rows".
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from labeller.reading.allergen_tables import load_kinds
from labeller.reading.library import reference
from labeller.terms.allergens import Kind

SAMPLE = Path(__file__).parent / "published" / "food_rows_sample.csv"
WRONG = "reader wrong"
VERDICTS = (WRONG, "table mended", "left")


def table(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def keys(row: dict[str, str], *columns: str) -> list[str]:
    return [key for column in columns for key in row[column].split(";") if key]


@pytest.fixture(scope="module")
def kinds() -> dict[str, Kind]:
    return load_kinds()


@pytest.fixture(scope="module")
def sample() -> list[dict[str, str]]:
    return table(SAMPLE)


@pytest.fixture(scope="module")
def rows() -> dict[str, dict[str, str]]:
    return {row["code"]: row for row in table(reference("allergens", "food_rows.csv"))}


def groups(found: list[str], kinds: dict[str, Kind]) -> set[str]:
    return {kinds[key].group for key in found}


def missed(read: dict[str, str], column: str, row: dict[str, str], held: tuple[str, ...], kinds: dict[str, Kind]) -> list[str]:
    there = groups(keys(row, *held), kinds)
    return [key for key in keys(read, column) if kinds[key].group not in there]


def test_the_sample_is_judged(sample, rows, kinds):
    assert len(sample) == 300 and len({read["code"] for read in sample}) == 300
    assert {read["code"] for read in sample} <= set(rows)
    for read in sample:
        found = keys(read, "reader2_contains", "reader2_usual")
        assert set(found) <= set(kinds) and len(found) == len(set(found)), read["code"]
        assert not read["verdict"] or read["verdict"].startswith(VERDICTS), read["code"]
    judged = sum(bool(keys(read, "reader2_contains", "reader2_usual")) for read in sample)
    assert judged >= 120, "a sample of blanks would test nothing"


def test_what_the_second_reader_is_certain_of_is_held(sample, rows, kinds):
    asked = misses = 0
    for read in sample:
        lost = missed(read, "reader2_contains", rows[read["code"]], ("contains", "usual"), kinds)
        asked += len(keys(read, "reader2_contains"))
        misses += len(lost)
        assert not lost or read["verdict"].startswith(WRONG), f"{read['code']} {read['description']}: {lost} missed"
    print(f"{len(sample)} rows, {asked} kinds certain, {misses} missed and excused")
    assert asked >= 150  # an emptied file would pass otherwise


def test_what_the_second_reader_finds_usual_stands_in_some_degree(sample, rows, kinds):
    asked = lower = 0
    for read in sample:
        row = rows[read["code"]]
        lost = missed(read, "reader2_usual", row, ("contains", "usual", "possible"), kinds)
        asked += len(keys(read, "reader2_usual"))
        below = missed(read, "reader2_usual", row, ("contains", "usual"), kinds)
        lower += len(below)
        assert not lost or read["verdict"].startswith(WRONG), f"{read['code']} {read['description']}: {lost} missed"
        assert not below or read["verdict"], f"{read['code']} {read['description']}: {below} only possible, no verdict"
    print(f"{asked} kinds usual, {lower} of them possible in the table, each with a verdict")
    assert asked >= 150  # an emptied file would pass otherwise


def test_a_missed_allergen_would_be_seen(sample, rows, kinds):
    """Blank each judged row in turn: every kind that the second reader is certain of must come out as missed."""
    for read in sample:
        blank = dict(rows[read["code"]], contains="", usual="")
        assert missed(read, "reader2_contains", blank, ("contains", "usual"), kinds) == keys(read, "reader2_contains")
