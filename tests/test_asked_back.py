"""Words that no tick and no allergen record answers alone: on the floor page and at the terminal they are asked back, with words.

Which words these are is common practice at the table, no source. What a guest is never told: that a diet or a faith is met."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pytest
from browser import Browser, chromium
from floor_menu import data
from msgspec.structs import replace
from pypdf import PdfReader
from sheets_kitchen import LOOKS

from labeller.printing.floor_page import floor_page
from labeller.reading.guest_tables import load_guest_words_of
from labeller.serving import guest
from labeller.serving.asked_back import REFUSED, asked_back, mend_of
from labeller.serving.documents import Press, Wanted
from labeller.serving.guest_speech import Avoided, Unclear, Vocabulary
from labeller.serving.pipeline import open_kitchen
from labeller.serving.seats import seat, seats
from labeller.serving.tables import Tables
from labeller.terms.floor import FloorTongue

needs_browser = pytest.mark.skipif(chromium() is None, reason="no Chromium on this machine")
LANGUAGES = ("en", "de", "fr", "es", "it", "nl")
TABLES = Tables()
AVOIDS = guest.avoids(TABLES.kinds, TABLES.guest_words, TABLES.guest_ingredients)
BACK = asked_back(TABLES.guest_words, AVOIDS)
WORDS = Vocabulary(TABLES.kinds, TABLES.guest_words, TABLES.guest_ingredients)
TYPE = ("node('find').value = {!r}; node('find').dispatchEvent(new Event('input')); "
        "[...document.querySelectorAll('#avoids label span')].map(s => s.firstChild.textContent)")  # fmt: skip
NUTS = ("nuts", "Nut", "nut allergy", "allergic to nuts", "Nüsse", "Nuss", "noix", "frutos secos", "frutta secca", "noci",
        "noten", "nootjes")  # fmt: skip
KITCHEN = {"alcohol": ["wine", "beer", "spirit"], "alcool": ["wine", "beer", "spirit"], "vegetarian": None, "strict vegan": None,
           "halal": None, "kosher": None, "casher": None, "pregnant": [], "enceinte": [], "raw egg": ["egg"],
           "rohes Ei": ["egg"], "raw milk": ["milk"], "low fat": []}  # fmt: skip


@pytest.fixture(scope="module")
def browser():
    with Browser() as one:
        yield one


def _page() -> str:
    tongues = tuple(FloorTongue(each, {}, load_guest_words_of(each)) for each in LANGUAGES)
    return floor_page(replace(data(), avoids=AVOIDS, asked_back=BACK, tongues=tongues), LOOKS)[0]


@needs_browser
@pytest.mark.parametrize("typed", NUTS)
def test_nuts_lead_to_both_ticks_with_the_words_to_ask_the_guest(browser, typed):
    """A guest who says nuts may mean tree nuts, peanuts or both: one tick alone could hide the other."""
    browser.open(_page(), now="2026-12-03T19:42:00")
    assert set(browser.run(TYPE.format(typed))[:2]) == {"tree nuts", "peanut"}
    told = browser.run("node('found').textContent")
    assert "tree nuts, peanuts or both" in told and "Ask the guest" in told and typed in told


@needs_browser
@pytest.mark.parametrize("typed, ticks", KITCHEN.items())
def test_what_no_record_answers_says_ask_the_kitchen_and_why(browser, typed, ticks):
    browser.open(_page(), now="2026-12-03T19:42:00")
    shown = browser.run(TYPE.format(typed))
    assert "ASK THE KITCHEN: " in browser.run("node('found').textContent")
    assert ticks is None or shown[: len(ticks)] == ticks


@needs_browser
def test_it_is_said_in_the_language_of_the_page_and_only_of_such_words(browser):
    browser.open(_page(), now="2026-12-03T19:42:00")
    browser.run("speak('fr')")
    browser.run(TYPE.format("noix"))
    assert "Demandez au client" in browser.run("node('found').textContent")
    for plain in ("noisette", "walnut", "egg", "vin", "gluten"):
        browser.run(TYPE.format(plain))
        assert browser.run("node('found').classList.contains('asked-back')") is False, plain


def test_each_word_that_is_asked_back_is_said_in_each_language():
    for language in LANGUAGES:
        assert [each.key for each in BACK if f"floor back {each.key}" not in LOOKS.words[language]] == []
        assert language == "en" or all(load_guest_words_of(language)[f"back_{each.key}"] for each in BACK)


@pytest.mark.parametrize("row", BACK, ids=lambda row: row.key)
def test_its_ticks_are_all_that_it_can_mean(row):
    expected = {"nut": ("tree_nuts", "peanuts"), "seed": ("sesame", "mustard", "celery"), "raw_egg": ("eggs",)}
    assert set(row.ticks) <= {each.key for each in AVOIDS}
    assert row.ticks == expected.get(row.key, row.ticks)


@pytest.mark.parametrize("key", REFUSED)
def test_a_refused_word_offers_only_words_that_can_be_asked(key):
    row = REFUSED[key]
    for word in row.words:
        found = WORDS.read(word, {"raw egg mayonnaise": "raw egg mayonnaise"})
        assert len(found) == 1 and isinstance(found[0], Unclear) and found[0].mend == mend_of(row), word
    assert all(isinstance(one, Avoided) for word in row.choices for one in WORDS.read(word, {})), row.choices
    assert all(word in mend_of(row) for word in row.choices)


def test_no_word_that_is_only_half_like_it_is_offered():
    """"pregnant" was once answered with rennet and peanut."""
    for word in ("pregnent", "breakfast in bed"):
        assert WORDS.read(word, {})[0].choices == (), word
    assert "celery" in WORDS.read("sellery", {})[0].choices


@pytest.fixture(scope="module")
def demo():
    return open_kitchen(Path(__file__).resolve().parents[1] / "templates" / "kitchen", "2026-11-25")


def test_a_ticket_names_what_a_seat_avoids_in_its_language_and_says_each_course_in_words(demo):
    """The typed word stays behind, so that nothing is lost; a food beyond the allergens is named, not its state key."""
    press = Press(demo, Wanted("uk", language="fr", named=True))
    called, problems = seats(demo, ["1: pork, celery, shellfish"])
    made = press.ticket(demo.kitchen.menus["Late autumn tasting"], called, "")
    text = " ".join("\n".join(page.extract_text() for page in PdfReader(BytesIO(made.content)).pages).split())
    assert problems == [] and "porc (pork), céleri (celery), crustacés et coquillages (shellfish)" in text
    assert "Service 4" in text and "contient : porc (pork)" in text and "ingredient:" not in text


def test_a_dish_with_another_name_on_cards_is_named_once(demo):
    menu = demo.kitchen.menus["Late autumn tasting"]
    found = guest.floor_data(demo.workshop, menu, law="uk", made="", avoids=AVOIDS, data_version="")
    box = next(dish for course in found.courses for dish in course.dishes if "Twelve" in dish.name)
    assert "Kelpstone canapé box" in box.name and "Kelpstone canapé box" not in box.also_called


def test_what_is_pork_in_a_crumb_is_told_once(demo):
    avoided, _ = seat(demo, "pork")
    told = {each.dish: each.answer for each in guest.answers(demo.workshop, demo.kitchen.menus["Late autumn tasting"], avoided)}
    assert [why for *_, why in told["mussels, leek, cider"].because] == [("bacon crumb > streaky bacon",)]
