"""The floor page in the kitchen's languages: the same verdicts in each, no word missing, no promise, names in the kitchen's own
words.

The words are from memory (heads of templates/floor_page.yaml and reference/rules/words/; manifest of reference/allergens/). Names
of allergens: Annex II of Regulation (EU) No 1169/2011 in its language versions, from memory. That a change of the language is
marked and announced: Web Content Accessibility Guidelines 2.2, criteria 3.1.1, 3.1.2 and 4.1.3."""

from __future__ import annotations

import inspect
import json
import random
import re
from pathlib import Path

import pytest
from browser import Browser, chromium
from floor_menu import KEYS, data, generated, shown, tick
from msgspec.structs import replace
from paper_kitchen import kitchen, printed
from sheets_kitchen import LOOKS

from labeller.printing.floor_page import SHARED, floor_page
from labeller.printing.floor_reasons import FIGURE, GROUNDS, HOW_OFTEN, NOTE, PAPERS, PLACES, reason_pieces
from labeller.printing.guest_words import FLOOR, guest_words
from labeller.printing.kitchen_cards import answer_words
from labeller.reading.guest_tables import load_guest_words_of
from labeller.reading.library import root
from labeller.serving import guest, guest_ingredients
from labeller.serving.asked_back import asked_back
from labeller.serving.documents import Press, Wanted
from labeller.serving.floor_tongues import Asked, floor_tongues, languages_of, names_of
from labeller.serving.pipeline import open_kitchen
from labeller.serving.tables import Tables
from labeller.terms.floor import FloorCourse, FloorDish, FloorTongue, Option, OptionState, answer
from labeller.working import allergens as working_allergens

needs_browser = pytest.mark.skipif(chromium() is None, reason="no Chromium on this machine")
OTHERS = ("de", "fr", "es", "it", "nl")
LANGUAGES = ("en", *OTHERS)
DAY = "2026-11-25"
DURING, AFTER = "2026-12-03T19:42:00", "2026-12-08T10:00:00"
SIZES = ((360, 740), (820, 1180), (1366, 900))
TABLES = Tables()
AVOIDS = guest.avoids(TABLES.kinds, TABLES.guest_words, TABLES.guest_ingredients)
ASKED = Asked("eu", DAY, AVOIDS, lambda language: f"issue in {language}")
# Promises that no language may make. "without" alone is no promise: it says what the kitchen leaves off.
PROMISES = (
    r"\bsafe|\bserve\b|free from|\ballergen.free|\bsicher|unbedenklich|\bfrei von|\w+frei\b|ungefährlich|geeignet|sans danger|"
    r"sans risque|\bsûre?s?\b|exempt|garanti|convient|segur[oa]|sin riesgo|sin peligro|libre de|\bapto|sicur[oa]|senza risch|"
    r"senza pericol|\bpriv[oa] di|\badatt[oa]|veilig|vrij van|\w+vrij\b|gegarandeerd|geschikt")


def law_words(language: str):
    return TABLES.law("eu", DAY, ("en", language)).words[language]


def tongues(*languages: str) -> tuple[FloorTongue, ...]:
    class Shop:
        tables = TABLES

    return floor_tongues(Shop, languages, ASKED)[0]


def page_of(*languages: str, **other: object) -> str:
    page, found = floor_page(data(tongues=tongues(*languages), avoids=AVOIDS, **other), LOOKS)
    assert found == ()
    return page


@pytest.fixture(scope="module")
def browser():
    with Browser() as one:
        yield one


def speak(browser: Browser, language: str) -> None:
    """What a waiter's finger does."""
    browser.run(f"document.querySelector('#tongues button[value={language}]').click()")


# --- the words ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_language_has_every_word_and_as_many_places_to_fill(language):
    own, english = LOOKS.words[language], LOOKS.words["en"]
    needed = [*SHARED, *(key for key in english if key.startswith(FLOOR))]
    assert len(needed) > 100
    for key in needed:
        assert own.get(key), key
        assert own[key].count("{}") == english[key].count("{}"), key


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_language_makes_a_promise(language):
    said = [*LOOKS.words[language].values(), *names_of(AVOIDS, law_words(language), load_guest_words_of(language)).values()]
    words = law_words(language)
    said += [text for key, text in words.phrases.items() if key.startswith("caution")]
    assert [text for text in said if re.search(PROMISES, text, re.IGNORECASE)] == []


def test_the_promises_are_found_where_they_stand():
    for text in ("safe to eat", "Das ist sicher.", "glutenfrei", "sans danger", "sin riesgo", "sicuro", "vrij van noten",
                 "notenvrij"):  # fmt: skip
        assert re.search(PROMISES, text, re.IGNORECASE), text


@pytest.mark.parametrize("language", OTHERS)
def test_each_tick_has_a_name_of_its_own_and_words_of_guests(language):
    names, said = names_of(AVOIDS, law_words(language), load_guest_words_of(language)), load_guest_words_of(language)
    assert [each.key for each in AVOIDS if not names.get(each.key)] == []
    back = {f"back_{each.key}" for each in asked_back(TABLES.guest_words, AVOIDS)}
    assert set(said) == {each.key for each in AVOIDS} | back, "every tick and every word asked back has a row, nothing else has"
    shown_names = [names[each.key].lower() for each in AVOIDS]
    assert len(set(shown_names)) == len(shown_names), "two ticks that read alike"
    assert names["coeliac"] == names["word_coeliac"], "the state of a tick has its name"


@pytest.mark.parametrize("language", OTHERS)
def test_the_groups_are_named_as_the_law_names_them(language):
    names = names_of(AVOIDS, law_words(language), load_guest_words_of(language))
    assert {key: names[key] for key in ("milk", "celery", "tree_nuts")} == {
        "de": {"milk": "Milch", "celery": "Sellerie", "tree_nuts": "Schalenfrüchte"},
        "fr": {"milk": "lait", "celery": "céleri", "tree_nuts": "fruits à coque"},
        "es": {"milk": "leche", "celery": "apio", "tree_nuts": "frutos de cáscara"},
        "it": {"milk": "latte", "celery": "sedano", "tree_nuts": "frutta a guscio"},
        "nl": {"milk": "melk", "celery": "selderij", "tree_nuts": "noten"},
    }[language]


def test_which_languages_a_page_holds():
    assert languages_of(("de",), ("en", "fr")) == ("de", "en", "fr")
    assert languages_of(("it", "en"), ("it", "en")) == ("it", "en")
    assert languages_of(("nl",), ("nl",)) == ("nl", "en"), "English is always there"


# --- what is missing ---------------------------------------------------------------------------------------------------


def test_a_language_without_words_stands_in_english_and_is_told():
    page, found = floor_page(data(tongues=(FloorTongue("pl"),)), LOOKS)
    assert [each.code for each in found] == ["sheet-language"] and "“pl”" in found[0].text
    assert '<html lang="pl">' in page and "Search what a guest avoids" in page


def test_a_line_that_a_language_lacks_is_told_by_its_key():
    short = {**LOOKS.words, "de": {key: text for key, text in LOOKS.words["de"].items() if key != "floor out of date"}}
    page, found = floor_page(data(tongues=tongues("de")), replace(LOOKS, words=short))
    assert [each.code for each in found] == ["sheet-language"] and "“floor out of date”" in found[0].text
    assert "OUT OF DATE" in page, "never a blank"


def test_a_tick_without_a_word_is_told_and_stands_in_english():
    class Shop:
        tables = TABLES

    more = ASKED._replace(avoids=(*AVOIDS, guest.Avoid("zorb", "zorb fruit", (), ("zorb",))))
    made, found = floor_tongues(Shop, ("de",), more)
    assert [each.code for each in found] == ["sheet-term-missing"] and "zorb fruit" in found[0].text
    assert "zorb" not in made[0].names


@needs_browser
def test_an_allergen_without_a_word_is_not_lost(browser):
    page, _ = floor_page(data(tongues=(FloorTongue("de", {"celery": "Sellerie"}),)), LOOKS)
    browser.open(page, now=DURING)
    tick_by_place(browser, 0)  # milk, whose name is not there
    assert "nicht für diesen Gast" not in shown(browser)[1]
    assert "enthält: milk" in shown(browser)[0]
    assert browser.run("[...document.querySelectorAll('#avoids [lang=en]')].map(e => e.textContent)")[:1] == ["milk"]


def tick_by_place(browser: Browser, place: int) -> None:
    browser.run(f"document.querySelectorAll('#avoids label')[{place}].click()")


def test_grounds_that_no_form_fits_are_told_and_stand_as_they_are():
    odd = FloorDish("plate", (), False, (Option((), {"milk": OptionState("contains", ("a > b (because the moon is full)",))}),))
    page, found = floor_page(data(tongues=tongues("fr"), courses=(FloorCourse("All", (odd,)),)), LOOKS)
    assert [each.code for each in found] == ["sheet-language"] and "the moon is full" in found[0].text
    assert "because the moon is full" in page


# --- reasons -----------------------------------------------------------------------------------------------------------

HOUSE = """
kitchen: The Test Room
address: 1 Quay Street
law: eu
equipment:
  - deep fryer: {oil changed: 2026-11-24}
  - old fryer: {also cooks: [squid]}
"""
LARDER = """
- product: butter
  ingredients on pack: cream (MILK), salt. May contain FISH.
  evidence: {kind: pack, checked: 2026-11-01, by: RM}
- product: stock cube
  ingredients on pack: salt, lecithin, zorblax powder, starch
  evidence: {kind: specification, checked: 2026-11-01}
- product: rye crisp
  contains: [rye]
  may contain: [lupin]
- product: seed mix
  ingredients on pack: sunflower seeds, sesme
  contains: [mustard]
  may contain: [celery]
  evidence: {kind: supplier, checked: 2026-11-01}
- product: dressing
  contains: none
  may contain: [eggs]
  food: "12120"
  evidence: {kind: supplier, checked: 2026-11-01, by: AL}
- product: oat flour
  contains: [oats]
  may contain: none
  gluten: 12 mg/kg
  evidence: {kind: specification, checked: 2026-11-01}
"""
RECIPES = """
- recipe: fritter
  ingredients:
    - seed mix: 100 g
    - butter: 20 g
  makes: 110 g
  method: fried
  equipment: [deep fryer]
- recipe: doughnut
  ingredients:
    - stock cube: 100 g
    - rye crisp: 20 g
  makes: 110 g
  equipment: [deep fryer, old fryer]
- recipe: crisp
  ingredients:
    - dressing: 100 g
  makes: 90 g
  equipment: [old fryer]
- recipe: boiled beet
  ingredients:
    - beetroot: 100 g
  method: boiled
  makes: 90 g
- dish: fritter, almond
  description: with hazelnut cream
  portion:
    - fritter: 20 g
    - doughnut: 20 g
    - crisp: 5 g
    - boiled beet: 20 g
    - oat flour: 3 g
    - chorizo: {amount: 5 g, note: tossed in tahini}
    - pickled walnut: 5 g
    - lecithin: 1 g
"""


@pytest.fixture(scope="module")
def grounds(tmp_path_factory) -> dict[str, set[str]]:
    """Every reason of a kitchen in which all sorts of doubts stand, by the form that fits it."""
    folder = tmp_path_factory.mktemp("grounds")
    files = {
        "kitchen.yaml": HOUSE,
        "products/larder.yaml": LARDER,
        "recipes/all.yaml": RECIPES,
        "menus/dinner.yaml": "- menu: dinner\n  from: 2026-11-20\n  until: 2026-11-30\n  courses:\n    - fritter, almond\n",
    }
    for name, text in files.items():
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")
    opened = open_kitchen(folder, DAY)
    plates = guest.prepared(opened.workshop, opened.kitchen.menus["dinner"])
    return {text for _, plate in plates for option in plate.options for state in option.states.values() for text in state.because}


def test_every_ground_that_the_rooms_word_is_known(grounds):
    said = guest_words(LOOKS, "de")[0]
    assert [reason for reason in grounds if not reason_pieces(reason, said)[1]] == []
    assert len([reason for reason in grounds if "(" in reason]) > 25
    own = [text for reason in grounds for text, own in reason_pieces(reason, said)[0] if own]
    assert [text for text in own if "; " in text] == [], "one ground hidden in another"


@pytest.mark.parametrize("key", GROUNDS)
def test_no_form_is_of_something_that_nobody_words(key):
    rooms = (working_allergens, guest_ingredients)
    source = "".join(inspect.getsource(room) for room in rooms).replace('\\"', '"')
    fixed = max(GROUNDS[key].replace('"', "{}").split("{}"), key=len)
    often = re.sub(r"^(usual|always|possible) in ", " in ", fixed)
    assert fixed in source or often in source, fixed


def test_the_english_of_the_grounds_is_that_of_the_rooms():
    english = LOOKS.words["en"]
    assert {key: english[key] for key in GROUNDS} == GROUNDS
    assert english["why gluten figure"] == FIGURE and english["where note"] == NOTE
    assert {text: english[key] for text, key in PLACES.items()} == {text: text for text in PLACES}
    assert [english[f"paper {kind}"] for kind in PAPERS] == list(PAPERS)
    assert [english[f"where {word}"] for word in HOW_OFTEN] == list(HOW_OFTEN)


def test_english_says_each_reason_as_the_records_do(grounds):
    said = guest_words(LOOKS, "en")[0]
    for reason in grounds:
        assert "".join(text for text, _ in reason_pieces(reason, said)[0]) == reason


@pytest.mark.parametrize("language", OTHERS)
def test_a_reason_keeps_the_kitchens_own_words_and_says_the_rest_anew(grounds, language):
    said = guest_words(LOOKS, language)[0]
    for reason in grounds:
        pieces, known = reason_pieces(reason, said)
        path = reason.split(" (")[0]
        assert known and pieces[0] == (path, True), reason
        foreign = "".join(text for text, own in pieces if not own)
        english = r"\b(checked|also cooks|nothing on record|usual|its pack|papers are|does not|says)\b"
        assert not re.search(english, foreign), foreign


def test_a_reason_in_german():
    said = guest_words(LOOKS, "de")[0]
    reason = "fritter > deep fryer (deep fryer also cooks squid, oil or water changed 2026-11-24)"
    pieces, _ = reason_pieces(reason, said)
    assert "".join(text for text, _ in pieces) == (
        "fritter > deep fryer (deep fryer: darin auch squid, Öl oder Wasser gewechselt 2026-11-24)")  # fmt: skip
    assert [text for text, own in pieces if own] == ["fritter > deep fryer", "deep fryer", "squid", "2026-11-24"]


# --- the page ----------------------------------------------------------------------------------------------------------


@needs_browser
@pytest.mark.parametrize("seed", range(5))
def test_every_language_gives_the_verdicts_of_the_command(browser, seed):
    """3,660 pairs of dish and question a seed; the words are those of the ticket."""
    dishes, pick = generated(100 + seed), random.Random(seed)
    asked = [pick.sample((*KEYS, "unknown"), pick.randint(0, 5)) for _ in range(61)]
    courses = (FloorCourse("All", tuple(dishes)),)
    browser.open(floor_page(data(tongues=tongues(*LANGUAGES), courses=courses), LOOKS)[0], now=DURING)
    mine = [[answer(one, keys) for one in dishes] for keys in asked]
    ask = f"JSON.stringify({json.dumps(asked)}.map(keys => DATA.courses[0].dishes.map(d => answerDish(d, keys))))"
    for language in ("en", OTHERS[seed]):
        speak(browser, language)
        said = guest_words(LOOKS, language)[0]
        told = json.loads(browser.run(ask))
        for row, answers in zip(told, mine, strict=True):
            assert [(each["verdict"], each["words"]) for each in row] == [
                (each.verdict, answer_words(each, said)) for each in answers]  # fmt: skip
            assert [[(f["key"], f["state"]) for f in each["because"]] for each in row] == [
                [(key, state) for key, state, _ in each.because] for each in answers]  # fmt: skip


@needs_browser
@pytest.mark.parametrize("language", LANGUAGES)
def test_a_page_switched_to_a_language_says_nothing_in_another(browser, language):
    page = page_of(*reversed(LANGUAGES), ask="the kitchen")
    browser.open(page, now=DURING)
    browser.requests.clear()
    browser.messages.clear()
    speak(browser, language)
    said = guest_words(LOOKS, language)[0]
    assert browser.run("document.documentElement.lang") == language
    assert browser.run("document.title").endswith(said.say("floor title"))
    assert browser.run("node('spoken').textContent") == said.say("floor speaks"), "a screen reader hears it"
    assert browser.run("node('spoken').getAttribute('role')") == "status"
    assert browser.run("[...document.querySelectorAll('#tongues [aria-pressed=true]')].map(e => e.value)") == [language]
    names = names_of(AVOIDS, law_words(language), load_guest_words_of(language)) if language != "en" else {}
    tick(browser, names.get("milk", "milk"))
    browser.run("node('more').click(); node('all').click()")
    text = browser.run("document.body.innerText + [...document.querySelectorAll('[aria-label],[placeholder]')]"
                       ".map(e => e.getAttribute('aria-label') || e.placeholder).join(' ')")  # fmt: skip
    if language == "en":
        assert "make fresh without dill cream, confirm with the kitchen" in text
    else:
        english = (r"(?i)\b(seat|avoids|search|ticked|the kitchen|nothing on record|make fresh|contains|print|show|thursday|"
                   r"made|language of|choose|walnut|peanut|celery|mackerel)\b")  # fmt: skip
        assert re.findall(english, text) == []
        assert answer_words(answer(data().courses[0].dishes[0], ["milk"]), said) in text
    assert browser.requests == [] and browser.messages == []


@needs_browser
@pytest.mark.parametrize("language", OTHERS)
def test_names_and_paths_are_marked_as_the_kitchens_language(browser, language):
    browser.open(page_of(language, "en"), now=DURING)
    names = names_of(AVOIDS, law_words(language), load_guest_words_of(language))
    tick(browser, names["milk"])
    assert browser.run("document.documentElement.lang") == language, "the first language is the page's own"
    assert browser.run("[...document.querySelectorAll('h4 > span')].every(e => e.lang === 'en')")
    assert browser.run("[...document.querySelectorAll('#menu .says.fresh [lang=en]')].map(e => e.textContent)") == ["dill cream"]
    paths = browser.run("[...document.querySelectorAll('#menu .why [lang=en]')].map(e => e.textContent)")
    assert paths == ["milk from somewhere"]
    assert browser.run("document.querySelector('h1').lang") == "en"
    speak(browser, "en")
    assert browser.run("document.querySelectorAll('#menu [lang]').length") == 0, "in its own language nothing needs a mark"


@needs_browser
@pytest.mark.parametrize("language", LANGUAGES)
def test_past_its_date_every_answer_is_out_of_date_in_that_language(browser, language):
    browser.open(page_of(*LANGUAGES), now=AFTER)
    speak(browser, language)
    said = guest_words(LOOKS, language)[0]
    tick_by_place(browser, 6)
    closed = said.say("floor out of date")
    assert browser.run("node('alarm').textContent") == closed and browser.run("node('alarm').hidden") is False
    for view in ("one", "all"):
        browser.run(f"node('{view}').click()")
        says = browser.run("[...document.querySelectorAll('.says')].filter(e => e.offsetParent).map(e => e.textContent)")
        assert says == [closed] * 4
    text = browser.run("document.body.innerText")
    assert said.say("nothing on record") not in text and said.say("not for this guest") not in text
    browser.open(page_of(*LANGUAGES), now="2026-11-30T10:00:00")
    speak(browser, language)
    assert browser.run("node('alarm').textContent") == said.say("floor not yet", said.day("2026-12-01"))


FINDS = (("de", "Erdnuss", "peanuts"), ("de", "erdnuesse", "peanuts"), ("de", "Nuss", "tree_nuts"), ("de", "Laktose", "milk"),
         ("de", "ei", "eggs"), ("de", "walnut", "walnut"), ("fr", "noix", "tree_nuts"), ("fr", "oeuf", "eggs"),
         ("fr", "cacahuetes", "peanuts"), ("fr", "crevette", "prawn"), ("es", "cacahuete", "peanuts"),
         ("es", "marisco", "word_shellfish"), ("it", "noce", "walnut"), ("it", "celiaco", "word_coeliac"),
         ("nl", "pinda's", "peanuts"), ("nl", "zuivel", "milk"), ("en", "lactose", "milk"), ("en", "e220", "sulphites"),
         ("en", "prawns", "prawn"), ("en", "pork", "food_pork"),
         ("de", "schweinefleisch", "food_pork"), ("fr", "viande", "food_meat"))  # fmt: skip


@needs_browser
def test_a_waiter_finds_a_group_by_the_word_of_the_guest(browser):
    browser.open(page_of(*LANGUAGES), now=DURING)
    for language, typed, key in FINDS:
        speak(browser, language)
        got = browser.run(f"matching({json.dumps(typed)}).map(avoid => avoid.key)")
        assert key in got, (language, typed, got)
    both = browser.run("matching('Nüsse').map(a => a.key)")[:2]
    assert both == ["peanuts", "tree_nuts"], "the word that must be asked back leads to both"
    assert not {"wheat", "molluscs"} & set(browser.run("matching('ei').map(a => a.key)")), "not inside another word"
    assert browser.run("matching('zorb')") == []


# Words of tick names that stand on more than one line.
TORN = """[...document.querySelectorAll('#avoids span')].flatMap(span => {
  const text = span.firstChild.nodeType === 3 ? span.firstChild : span.firstChild.firstChild, range = document.createRange();
  return [...text.data.matchAll(/[^ -]+/g)].filter(word => {
    range.setStart(text, word.index);
    range.setEnd(text, word.index + word[0].length);
    return new Set([...range.getClientRects()].map(box => box.top)).size > 1;
  }).map(word => word[0]);
})"""


@needs_browser
@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("size", SIZES)
def test_long_words_stay_on_the_screen(browser, language, size):
    browser.open(page_of(*LANGUAGES), now=DURING, size=size)
    speak(browser, language)
    for place in (0, 6, 7):
        tick_by_place(browser, place)
    assert browser.run(TORN) == [], "a word torn in two"
    browser.run("node('more').click()")
    for view in ("one", "all"):
        browser.run(f"node('{view}').click()")
        assert browser.run("document.documentElement.scrollWidth <= window.innerWidth")
        out = browser.run("[...document.querySelectorAll('button, label, h2, h4, .says, li, p')].filter(e => e.offsetParent && "
                          "!e.classList.contains('unseen') && e.scrollWidth > e.clientWidth + 1)"
                          ".filter(e => getComputedStyle(e).display !== 'inline').map(e => e.textContent)")  # fmt: skip
        assert out == []
    low = browser.run("[...document.querySelectorAll('button, .avoids label')].filter(e => e.offsetParent)"
                      ".map(e => e.getBoundingClientRect()).filter(box => box.height < 44 || box.width < 44).length")  # fmt: skip
    assert low == 0


@needs_browser
def test_the_language_is_chosen_by_keyboard_and_the_focus_stays(browser):
    browser.open(page_of("de", "en"), now=DURING)
    browser.run("document.querySelector('#tongues button[value=en]').focus()")
    for kind, text in (("keyDown", "\r"), ("keyUp", "")):
        browser.send("Input.dispatchKeyEvent", type=kind, key="Enter", code="Enter", windowsVirtualKeyCode=13, text=text)
    assert browser.run("document.documentElement.lang") == "en"
    assert browser.run("document.activeElement.value") == "en"


@needs_browser
def test_a_page_of_one_language_offers_no_choice_and_ticks_survive_a_switch(browser):
    browser.open(page_of("en"), now=DURING)
    assert browser.run("node('tongues').hidden") is True
    browser.open(page_of("de", "fr"), now=DURING)
    tick(browser, "Milch")
    speak(browser, "fr")
    assert browser.run("node('ticked').textContent") == "lait"
    assert browser.run("localStorage.length + sessionStorage.length") == 0 and browser.run("document.cookie") == ""


@needs_browser
def test_the_printed_table_speaks_the_chosen_language(browser):
    import io

    from pypdf import PdfReader

    browser.open(page_of("en", "fr"), now=DURING)
    speak(browser, "fr")
    tick(browser, "lait")
    text = " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(browser.pdf())).pages).split())
    for words in ("Place 1 évite : lait.", "refaire sans dill cream, à confirmer avec la cuisine", "Vérifié avec la cuisine par",
                  "jeudi 3 décembre 2026, 19:42"):  # fmt: skip
        assert words in text
    assert "Chercher" not in text and "Deutsch" not in text


@needs_browser
def test_table_and_time_stand_with_the_answers_of_a_seat(browser):
    browser.open(page_of("en", "de"), now=DURING)
    browser.run("node('table-name').value = '12'; node('table-name').dispatchEvent(new Event('input'))")
    assert browser.run("node('since').textContent") == ""
    tick(browser, "milk")
    assert browser.run("node('since').textContent") == "ticked since 19:42"
    assert browser.run("node('answers-h').textContent") == "Table 12. Seat 1 avoids milk"
    speak(browser, "de")
    assert browser.run("node('answers-h').textContent") == "Tisch 12. Platz 1 meidet: Milch"
    assert browser.run("node('since').textContent") == "angekreuzt seit 19:42"
    browser.run("node('clear').click()")
    assert browser.run("node('since').textContent") == ""


# --- from the command --------------------------------------------------------------------------------------------------


def test_print_puts_the_kitchens_languages_and_english_in_one_file(tmp_path: Path, capsys):
    house = kitchen(tmp_path / "house", kitchen="languages: [en]=>languages: [de, nl]")
    page = printed(house, "floor-page")[1]["winter-floor.html"].decode()
    held = json.loads(re.search(r'id="data">(.*?)</script>', page, re.S).group(1))
    assert held["languages"] == ["de", "nl", "en"] and held["own"] == "de" and '<html lang="de">' in page
    assert "sheet-" not in capsys.readouterr().out
    assert held["tongues"]["de"]["lines"]["issue"].startswith("NICHT FREIGEGEBEN · Zeichen ")
    assert held["tongues"]["nl"]["cautions"][1] == "Kruiscontact is in een gedeelde keuken niet uit te sluiten."
    page = printed(house, "floor-page", "--language", "fr")[1]["winter-floor.html"].decode()
    held = json.loads(re.search(r'id="data">(.*?)</script>', page, re.S).group(1))
    assert held["languages"] == ["fr", "de", "nl", "en"] and held["own"] == "de" and '<html lang="fr">' in page
    assert len(page) < 400_000, "still a file that opens at once"


@needs_browser
def test_the_demo_kitchens_page_answers_as_the_command_in_all_its_languages(browser):
    """Every dish of the demo's menu against everything that can be ticked: over 1,500 pairs in each of six languages."""
    opened = open_kitchen(root("templates") / "kitchen", DAY)
    menu = opened.kitchen.menus["Late autumn tasting"]
    page = Press(opened, Wanted("uk", language="en", also=OTHERS, named=True)).floor_page(menu)
    assert [each.code for each in page.findings] == []
    data = guest.floor_data(opened.workshop, menu, law="uk", made=DAY, avoids=AVOIDS, data_version="")
    plates = [plate for course in data.courses for plate in course.dishes]
    mine = [[answer(plate, tick.keys).verdict for tick in AVOIDS] for plate in plates]
    assert len(plates) * len(AVOIDS) > 1_500 and len({verdict for row in mine for verdict in row}) == 4
    browser.open(page.content.decode(), now=f"{DAY}T19:42:00")
    for language in LANGUAGES:
        speak(browser, language)
        told = browser.run("DATA.courses.flatMap(c => c.dishes).map(d => DATA.avoids.map(a => answerDish(d, a.keys).verdict))")
        assert told == mine, language


def test_a_page_made_without_naming_a_language_begins_in_the_kitchens_first(tmp_path: Path):
    opened = open_kitchen(kitchen(tmp_path / "house", kitchen="languages: [en]=>languages: [nl]"), DAY)
    menu = next(iter(opened.kitchen.menus.values()))
    for wanted, first in ((Wanted("uk"), "nl"), (Wanted("uk", language="en", named=True), "en")):
        assert f'<html lang="{first}">'.encode() in Press(opened, wanted).floor_page(menu).content
