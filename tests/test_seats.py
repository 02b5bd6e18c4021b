"""Seats as they are called, and words as guests say them. How guests speak is common practice, no source; the kitchen is ours."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from pypdf import PdfReader
from signing import Cook, edit, write_kitchen

from labeller.serving import guest
from labeller.serving.pipeline import open_kitchen
from labeller.serving.seats import seat, seats
from labeller.terms.floor import Heading

DEMO = Path(__file__).resolve().parents[1] / "templates" / "kitchen"


def text_of(path: Path) -> str:
    return " ".join("\n".join(page.extract_text() for page in PdfReader(path).pages).split())


@pytest.fixture(scope="module")
def demo():
    return open_kitchen(DEMO, "2026-11-25")


@pytest.fixture
def cook(tmp_path: Path, capsys) -> Cook:
    return Cook(write_kitchen(tmp_path / "kitchen"), capsys)


@pytest.mark.parametrize(("typed", "named"), [
    (["celery", "milk"], [("1", "celery"), ("2", "milk")]),
    (["3: celery", "seat 5: milk", "Seat no. 6: eggs"], [("3", "celery"), ("5", "milk"), ("6", "eggs")]),
    (["3: celery", "gluten"], [("3", "celery"), ("4", "gluten")]),
    (["celery", "2: milk", "eggs"], [("1", "celery"), ("2", "milk"), ("3", "eggs")]),
    (["celery", "1: milk"], [("2", "celery"), ("1", "milk")]),
    (["B: milk", "eggs", "window: celery"], [("B", "milk"), ("1", "eggs"), ("window", "celery")]),
    (["3: celery", "5: milk", "seat 3: eggs"], [("3", "celery, eggs"), ("5", "milk")]),
    (["b: milk", "B: eggs"], [("b", "milk, eggs")]),
    (["12a: milk"], [("12a", "milk")]),
])  # fmt: skip
def test_seats_are_called_as_the_floor_calls_them(demo, typed: list[str], named: list[tuple[str, str]]) -> None:
    called, problems = seats(demo, typed)
    assert problems == [] and [(one.name, one.text) for one in called] == named


@pytest.mark.parametrize("typed", ["celery: sesame", "nuts: milk", "vegan: milk", "3:", "seat 3: seseme"])
def test_nothing_is_lost_before_or_behind_a_colon(demo, typed: str) -> None:
    _, problems = seats(demo, [typed])
    assert problems and {each.code for each in problems} <= {"word-not-known", "word-to-ask"}


def test_guest_and_its_json_carry_the_seat(cook: Cook) -> None:
    said = cook.types("guest", "--avoid", "3: celery", "--avoid", "6: milk")
    assert "Seat 3: avoids celery" in said and "Seat 6: avoids milk" in said
    cook.types("guest", "--avoid", "3: celery", "--avoid", "milk", "--format", "json")
    assert [(each["seat"], each["avoid"]) for each in json.loads(cook.out)["seats"]] == [("3", "celery"), ("4", "milk")]


def test_the_ticket_names_the_seat(cook: Cook) -> None:
    cook.types("print", "ticket", "--avoid", "3: celery", "--avoid", "5: milk", "--table", "7")
    text = text_of(cook.kitchen / "out" / "week-48-ticket-7.pdf")
    assert "Seat 3" in text and "Seat 5" in text and "Seat 1" not in text and "Seat 2" not in text


@pytest.mark.parametrize(("said", "plain"), [
    ("no shellfish", "shellfish"), ("without celery", "celery"), ("allergic to sesame", "sesame"), ("celery allergy", "celery"),
    ("can't eat milk", "milk"), ("milk-free", "milk"), ("sesame intolerance", "sesame"),
    ("is severely allergic to lupin", "lupin"),
    ("does not eat pork", "pork"), ("no celery and no milk", "celery, milk"), ("celery & milk", "celery, milk"),
])  # fmt: skip
def test_words_about_the_word_are_understood(demo, said: str, plain: str) -> None:
    assert seat(demo, said) == seat(demo, plain) and seat(demo, said)[1] == []


@pytest.mark.parametrize("said", ["not allergic to milk", "no allergy to unicorn", "free", "no", "no problem with milk"])
def test_what_is_not_understood_is_refused(demo, said: str) -> None:
    avoided, problems = seat(demo, said)
    assert avoided == () and problems


def test_wheat_allergy_is_still_its_own_question(demo) -> None:
    assert set(guest.keys_of(seat(demo, "wheat allergy")[0])) == {"wheat", "spelt", "khorasan", "triticale"}


def test_nuts_are_asked_back_and_both_may_be_given(demo) -> None:
    for said in ("nuts", "no nuts", "nut-free"):
        [problem] = seat(demo, said)[1]
        assert problem.code == "word-to-ask" and '--avoid "tree nuts, peanuts"' in problem.mend and "several" in problem.mend
    assert seat(demo, "tree nuts, peanuts")[1] == []


def test_a_kitchens_own_course_is_named_as_it_is(cook: Cook) -> None:
    """A course called "Packs", or "Course of the day", is the kitchen's own word in every language."""
    edit(cook.kitchen, "menus/week48.yaml", "course: Side", "course: Course of the day")
    edit(cook.kitchen, "menus/week48.yaml", "  - carrots, dressed        # the small carrots",
         "  - {course: Packs, dish: \"carrots, dressed\"}")  # fmt: skip
    cook.types("print", "ticket", "--avoid", "celery", "--language", "de")
    text = text_of(cook.kitchen / "out" / "week-48-ticket.pdf")
    assert "Course of the day" in text and "Packs" in text
    opened = open_kitchen(cook.kitchen, "2026-11-25")
    made = [heading.made for heading, _ in guest.menu_headings(opened.kitchen.menus["Week 48"])]
    assert made == ["", "", "packs"] and str(Heading("", 4)) == "Course 4"


def test_a_coeliac_is_told_of_gluten(cook: Cook) -> None:
    edit(cook.kitchen, "recipes/plates.yaml", "    - leek: 80 g", "    - leek: 80 g\n    - rye flour: 5 g")
    said = cook.types("guest", "--avoid", "coeliac")
    assert "contains gluten: rye flour" in said and "contains coeliac" not in said
    cook.types("print", "ticket", "--avoid", "coeliac")
    assert "coeliac:" not in text_of(cook.kitchen / "out" / "week-48-ticket.pdf").replace("AVOIDS coeliac", "")
    cook.types("print", "floor-page")
    page = (cook.kitchen / "out" / "week-48-floor.html").read_text(encoding="utf-8")
    assert '"coeliac":"gluten"' in page.replace(" ", "")
