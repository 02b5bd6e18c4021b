"""The rule that answers a guest, and the floor page that repeats it in a browser.

Patterns of answers (nothing on record, made fresh without, not for this guest, ask): common practice, no source. That a plate
is made again and never picked clean, and that nobody guesses: council and Food Standards Agency pages on answering guests.
"""

from __future__ import annotations

import json
import random
import re
from pathlib import Path

import pytest
from browser import Browser, chromium
from floor_menu import KEYS, NASTY, WITH, WITHOUT, data, dish, generated, shown, states, tick
from sheets_kitchen import CAUTIONS, LOOKS

from labeller.printing.floor_page import floor_page
from labeller.reading.library import template
from labeller.reading.looks import looks as read_looks
from labeller.terms.allergens import CONTAINS, CROSS_CONTACT, MAY_CONTAIN, NONE_ON_RECORD, NOT_CONFIRMED, TO_CONFIRM
from labeller.terms.floor import (
    ASK,
    LEAVE_OFF,
    NO_ANSWER,
    NOT_FOR_THIS_GUEST,
    NOTHING_ASKED,
    NOTHING_ON_RECORD,
    Change,
    FloorCourse,
    Option,
    answer,
    verdict_of,
)

OUT_OF_DATE = "OUT OF DATE \N{EN DASH} ASK THE KITCHEN"
NOT_DATED = "NOT DATED \N{EN DASH} ASK THE KITCHEN"
needs_browser = pytest.mark.skipif(chromium() is None, reason="no Chromium on this machine")


# --- the rule ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("state", "verdict"), [
    (CONTAINS, NOT_FOR_THIS_GUEST), (TO_CONFIRM, NOT_FOR_THIS_GUEST), (MAY_CONTAIN, ASK), (CROSS_CONTACT, ASK),
    (NOT_CONFIRMED, ASK), (NONE_ON_RECORD, NOTHING_ON_RECORD), ("a state of tomorrow", ASK),
])  # fmt: skip
def test_each_state_has_its_verdict(state, verdict):
    assert verdict_of([state]) == verdict
    assert verdict_of([NONE_ON_RECORD, state]) == verdict
    assert verdict_of([]) == NOTHING_ON_RECORD


def test_the_worst_of_several_ticked_decides():
    plate = dish(Option((), states(milk=MAY_CONTAIN, celery=CONTAINS)))
    assert answer(plate, ["milk"]).verdict == ASK
    assert answer(plate, ["milk", "celery"]).verdict == NOT_FOR_THIS_GUEST
    assert answer(plate, ["sesame"]).words == NOTHING_ON_RECORD


def test_the_least_change_with_the_best_verdict_is_taken():
    plate = dish(Option((), states(milk=CONTAINS)), Option((WITHOUT,), states(milk=MAY_CONTAIN)), Option((WITH,), {}),
                 Option((WITHOUT, WITH), {}))  # fmt: skip
    got = answer(plate, ["milk"])
    assert got.words == "make fresh with buckwheat cracker instead of rye cracker, confirm with the kitchen"
    assert got.changes == (WITH,) and got.verdict == NOTHING_ON_RECORD
    assert got.because == (("milk", CONTAINS, ("milk from somewhere",)),)


def test_several_changes_are_said_in_one_breath():
    plate = dish(Option((), states(milk=CONTAINS)), Option((WITHOUT, Change("butter", LEAVE_OFF), WITH), {}))
    assert answer(plate, ["milk"]).words == ("make fresh without dill cream and butter, with buckwheat cracker instead of rye "
                                             "cracker, confirm with the kitchen")  # fmt: skip


def test_a_change_that_leaves_a_doubt_is_not_offered():
    """It would be neither an instruction nor an answer; the plate as written is what is told."""
    for state in (CROSS_CONTACT, MAY_CONTAIN, NOT_CONFIRMED):
        plate = dish(Option((), states(milk=CONTAINS)), Option((WITHOUT,), states(milk=state)))
        got = answer(plate, ["milk"])
        assert got.words == NOT_FOR_THIS_GUEST and got.changes == ()
        assert got.because == (("milk", CONTAINS, ("milk from somewhere",)),)


def test_no_change_is_offered_when_none_helps_or_none_is_needed():
    plate = dish(Option((), states(milk=CONTAINS)), Option((WITHOUT,), states(milk=CONTAINS)))
    assert answer(plate, ["milk"]).words == NOT_FOR_THIS_GUEST and answer(plate, ["milk"]).changes == ()
    assert answer(plate, ["celery"]).changes == ()


def test_a_stopped_dish_has_no_answer_whatever_is_ticked():
    for plate in (dish(Option((), {}), stopped=True), dish()):
        assert answer(plate, ["milk"]).words == NO_ANSWER
        assert answer(plate, []).verdict == NO_ANSWER
    assert answer(dish(Option((), {})), []).verdict == NOTHING_ASKED


# --- the page as text --------------------------------------------------------------------------------------------------


def test_nothing_of_the_data_can_leave_its_place_in_the_page():
    nasty = data(kitchen=NASTY, menu=NASTY, cautions=(NASTY,), ask=NASTY,
                 courses=(FloorCourse(NASTY, (dish(Option((Change(NASTY, LEAVE_OFF),), {}), name=NASTY),)),))  # fmt: skip
    page, found = floor_page(nasty, LOOKS)
    assert found == ()
    assert page.count("<script") == 2 and page.count("</script>") == 2
    body = re.search(r'<script type="application/json" id="data">(.*?)</script>', page, re.S).group(1)
    assert "<" not in body and "\u2028" not in body
    held = json.loads(body)
    course = held["courses"][0]
    assert [held["ask"], course["title"], course["dishes"][0]["name"], held["tongues"]["en"]["cautions"][0],
            course["dishes"][0]["options"][0]["changes"][0]["component"]] == [NASTY] * 5  # fmt: skip
    assert "&lt;/script&gt;&lt;script&gt;document.title=" in page


def test_the_page_has_no_way_out_and_no_way_in():
    page, _ = floor_page(data(), LOOKS)
    policy = re.search(r'http-equiv="Content-Security-Policy" content="([^"]*)"', page).group(1)
    assert "default-src 'none'" in policy and "unsafe" not in policy
    assert not re.search(r"https?:|//[a-z]|\b(src|srcset|href|action)=|@import|url\(|\bon[a-z]+=", page)
    for word in ("innerHTML", "outerHTML", "insertAdjacentHTML", "document.write", "eval(", "fetch(", "XMLHttpRequest",
                 "localStorage", "sessionStorage", "indexedDB", "document.cookie"):  # fmt: skip
        assert word not in page


def test_equal_data_give_an_equal_page():
    assert floor_page(data(), LOOKS) == floor_page(data(), LOOKS)


def test_the_page_makes_no_promise():
    page = floor_page(data(), LOOKS)[0].lower()
    assert not re.search(r"\bsafe\b|\bserve|free from", page)


def test_a_broken_page_template_of_the_kitchen_is_a_finding_with_its_line(tmp_path: Path):
    (tmp_path / "floor_page.html").write_text("<html>\n{{ data.nothing_of_the_kind }}\n", encoding="utf-8")
    looks, _ = read_looks(tmp_path)
    page, found = floor_page(data(), looks)
    assert [(one.code, str(one.place)) for one in found] == [("template-broken", "templates/floor_page.html:2")]
    assert page == floor_page(data(), LOOKS)[0]


@pytest.mark.parametrize(("name", "text", "place"), [
    ("floor_page.css", b"body { color: black }\n</style><script>", "templates/floor_page.css:2"),
    ("floor_page.css", "κείμενο".encode("iso-8859-7"), "templates/floor_page.css"),
    ("floor_page.html", b"<html><body>{{ data.menu }}</body></html>", "templates/floor_page.html"),
])  # fmt: skip
def test_a_template_that_would_break_the_page_is_a_finding_and_not_used(tmp_path: Path, name, text, place):
    (tmp_path / name).write_bytes(text)
    page, found = floor_page(data(), read_looks(tmp_path)[0])
    assert [(one.code, str(one.place)) for one in found] == [("template-broken", place)]
    assert page == floor_page(data(), LOOKS)[0]


def test_a_template_without_a_place_that_the_script_fills_is_not_used(tmp_path: Path):
    text = template("floor_page.html").read_text(encoding="utf-8")
    text = text.replace('<p id="summary" class="summary" role="status"></p>', "")
    (tmp_path / "floor_page.html").write_text(text, encoding="utf-8")
    page, found = floor_page(data(), read_looks(tmp_path)[0])
    assert [one.code for one in found] == ["template-broken"] and 'the place id="summary"' in found[0].text
    assert page == floor_page(data(), LOOKS)[0]


def test_a_kitchens_own_style_sheet_is_used_but_never_its_own_rule(tmp_path: Path):
    (tmp_path / "floor_page.css").write_text("body { color: black }", encoding="utf-8")
    (tmp_path / "floor_page.js").write_text("document.title = 'another rule'", encoding="utf-8")
    page, found = floor_page(data(), read_looks(tmp_path)[0])
    assert found == ()
    assert "<style>body { color: black }</style>" in page and "another rule" not in page


def test_a_template_cannot_reach_the_machine(tmp_path: Path):
    (tmp_path / "floor_page.html").write_text("\n{{ ''.__class__.__mro__[1].__subclasses__() }}", encoding="utf-8")
    _, found = floor_page(data(), read_looks(tmp_path)[0])
    assert [str(one.place) for one in found] == ["templates/floor_page.html:2"]


# --- the page in a browser ---------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def browser():
    with Browser() as one:
        yield one


@needs_browser
@pytest.mark.parametrize("seed", range(5))
def test_page_and_command_give_the_same_answer(browser, seed):
    dishes = generated(seed)
    pick = random.Random(seed)
    asked = [pick.sample((*KEYS, "unknown"), pick.randint(0, 5)) for _ in range(60)] + [["milk", "milk"]]
    browser.open(floor_page(data(courses=(FloorCourse("All", tuple(dishes)),)), LOOKS)[0], now="2026-12-03T19:42:00")
    told = browser.run(f"JSON.stringify({json.dumps(asked)}.map(keys => DATA.courses[0].dishes.map(d => answerDish(d, keys))))")
    reasons = browser.run("DATA.reasons")
    for keys, row in zip(asked, json.loads(told), strict=True):
        for one, said in zip(dishes, row, strict=True):
            mine = answer(one, keys)
            assert (said["verdict"], said["words"]) == (mine.verdict, mine.words)
            assert [(c["component"], c["action"], c["with"]) for c in said["changes"]] == [
                (c.component, c.action, c.with_) for c in mine.changes]  # fmt: skip
            facts = [(f["key"], f["state"], tuple(reasons[n] for n in f["because"])) for f in said["because"]]
            assert facts == list(mine.because)


@needs_browser
def test_the_page_runs_without_a_word_of_complaint_and_asks_the_network_for_nothing(browser):
    browser.messages.clear()
    browser.requests.clear()
    browser.open(floor_page(data(menu=NASTY), LOOKS)[0], now="2026-12-03T19:42:00")
    tick(browser, "milk")
    assert browser.messages == []
    assert all(one.startswith("file:") and one.endswith("/page.html") for one in browser.requests)
    assert browser.run("document.title") != "owned"
    assert browser.run("document.querySelector('h1').textContent") == NASTY


@needs_browser
def test_a_waiter_ticks_for_two_seats_and_reads_each(browser):
    browser.open(floor_page(data(), LOOKS)[0], now="2026-12-03T19:42:00")
    assert shown(browser) == ["Trout, rye, dill", "Celeriac", f"Żurek | {NO_ANSWER} | Ask the chef.", "Φουντούκι"]
    tick(browser, "milk")
    assert shown(browser)[0] == ("Trout, rye, dill | make fresh without dill cream, confirm with the kitchen | as written, "
                                 "contains: milk (milk from somewhere) | Ask the chef.")  # fmt: skip
    assert shown(browser)[1] == f"Celeriac | {NOTHING_ON_RECORD} | Ask the chef."
    browser.run("node('seats').children[1].click()")
    tick(browser, "celery")
    browser.run("node('more').click()")
    tick(browser, "any nut")
    assert shown(browser)[1].startswith(f"Celeriac | {ASK} | supplier’s warning: celery")
    assert shown(browser)[3].startswith(f"Φουντούκι | {NOT_FOR_THIS_GUEST} | contains: tree nuts")
    browser.run("node('seats').children[0].click()")
    assert shown(browser)[3] == f"Φουντούκι | {NOTHING_ON_RECORD} | Ask the chef."
    browser.run("node('all').click()")
    table = browser.run("node('table').innerText")
    assert "Seat 1 avoids milk. Seat 2 avoids celery, any nut. Ask the chef." in table
    assert browser.run("node('menu').hidden") is True
    browser.run("node('clear').click()")
    assert browser.run("seats.length") == 8 and browser.run("seats.every(seat => seat.ticks.size === 0)")


@needs_browser
@pytest.mark.parametrize(("now", "words"), [
    ("2026-12-08T00:00:10", OUT_OF_DATE), ("2027-12-03T12:00:00", OUT_OF_DATE),
    ("2026-11-30T23:59:00", "NOT YET – dated 1 December 2026 – ASK THE KITCHEN"),
])  # fmt: skip
def test_outside_its_service_the_page_gives_no_answer(browser, now, words):
    browser.open(floor_page(data(), LOOKS)[0], now=now)
    tick(browser, "celery")
    assert [line.split(" | ")[1] for line in shown(browser)] == [words] * 4
    browser.run("node('all').click()")
    assert browser.run("node('table').innerText").count(words) == 4
    assert browser.run("node('alarm').textContent") == words and browser.run("node('alarm').hidden") is False
    assert NOTHING_ON_RECORD not in browser.run("document.body.innerText")


@needs_browser
@pytest.mark.parametrize("now", ["2026-12-01T00:00:00", "2026-12-07T23:59:00"])
def test_on_its_first_and_last_day_the_page_answers(browser, now):
    browser.open(floor_page(data(), LOOKS)[0], now=now)
    tick(browser, "celery")
    assert shown(browser)[0].startswith(f"Trout, rye, dill | {NOTHING_ON_RECORD}")
    assert browser.run("node('alarm').hidden") is True


@needs_browser
def test_a_page_left_open_over_midnight_goes_out_of_date(browser):
    browser.open(floor_page(data(), LOOKS)[0], now="2026-12-07T23:59:50")
    tick(browser, "celery")
    assert OUT_OF_DATE not in "".join(shown(browser))
    browser.run("Date = class extends Date { constructor(...given) { if (given.length) super(...given);"
                "else super('2026-12-08T00:00:01'); } }; tick()")  # fmt: skip
    assert [line.split(" | ")[1] for line in shown(browser)] == [OUT_OF_DATE] * 4


@needs_browser
def test_a_menu_without_an_end_date_gets_no_answers(browser):
    browser.open(floor_page(data(starts="", ends=""), LOOKS)[0], now="2026-12-03T19:42:00")
    tick(browser, "milk")
    assert [line.split(" | ")[1] for line in shown(browser)] == [NOT_DATED] * 4


@needs_browser
def test_search_finds_by_the_words_guests_use_and_says_when_it_knows_nothing(browser):
    browser.open(floor_page(data(), LOOKS)[0], now="2026-12-03T19:42:00")
    find = "node('find').value = {}; node('find').dispatchEvent(new Event('input')); " \
           "[...document.querySelectorAll('#avoids label span')].map(s => s.firstChild.textContent)"  # fmt: skip
    assert browser.run(find.format("'WORD of Milk'")) == ["milk"]
    assert browser.run(find.format("'nuts'")) == ["tree nuts", "any nut"]
    assert browser.run(find.format("'kiwi'")) == []
    assert "“kiwi” is not on this page. ASK THE KITCHEN." in browser.run("node('found').textContent")


@needs_browser
def test_what_was_cleared_by_a_slip_is_brought_back(browser):
    browser.open(floor_page(data(), LOOKS)[0], now="2026-12-03T19:42:00")
    tick(browser, "milk")
    browser.run("node('seats').children[4].click()")
    tick(browser, "celery")
    for button in ("clear", "remove"):
        browser.run(f"node('{button}').click()")
        assert browser.run("seats[4].ticks.size") == 0
        assert browser.run("document.activeElement.id") == "back"
        browser.run("node('back').click()")
        ticked = browser.run("seats.flatMap((seat, n) => [...seat.ticks].map(key => n + key))")
        assert ticked == ["0milk", "4celery"] and browser.run("current") == 4
    browser.run("node('clear').click()")
    tick(browser, "milk")
    assert browser.run("node('back').hidden") is True, "the next table has begun"


@needs_browser
def test_choosing_another_seat_ends_the_search(browser):
    browser.open(floor_page(data(), LOOKS)[0], now="2026-12-03T19:42:00")
    browser.run("node('find').value = 'celery'; node('find').dispatchEvent(new Event('input'))")
    browser.run("node('seats').children[2].click()")
    assert browser.run("node('find').value") == "" and browser.run("document.querySelectorAll('#avoids input').length") > 1


@needs_browser
def test_ticks_survive_a_search_and_are_always_named(browser):
    browser.open(floor_page(data(), LOOKS)[0], now="2026-12-03T19:42:00")
    tick(browser, "milk")
    browser.run("node('find').value = 'celery'; node('find').dispatchEvent(new Event('input'))")
    tick(browser, "celery")
    assert browser.run("node('ticked').textContent") == "milk, celery"
    browser.run("node('find').value = ''; node('find').dispatchEvent(new Event('input'))")
    assert browser.run("document.querySelectorAll('#avoids input:checked').length") == 2


@needs_browser
@pytest.mark.parametrize("size", [(360, 640), (390, 844), (820, 1180), (1280, 800)])
def test_nothing_runs_off_the_screen_and_fingers_can_hit_it(browser, size):
    long = data(menu="W" * 60, courses=(FloorCourse("Main", (dish(Option((), {}), name="x" * 60),)),))
    browser.open(floor_page(long, LOOKS)[0], now="2026-12-03T19:42:00", size=size)
    tick(browser, "milk")
    assert browser.run("document.documentElement.scrollWidth <= window.innerWidth")
    small = browser.run("[...document.querySelectorAll('button, .avoids label, input[type=search]')].filter(e => e.offsetParent)"
                        ".filter(e => e.getBoundingClientRect().height < 44).length")  # fmt: skip
    assert small == 0
    least = browser.run("Math.min(...[...document.querySelectorAll('main *')].filter(e => e.offsetParent && e.textContent.trim())"
                        ".map(e => parseFloat(getComputedStyle(e).fontSize)))")  # fmt: skip
    assert least >= 15


@needs_browser
def test_each_control_has_a_name_and_the_keyboard_reaches_it(browser):
    browser.open(floor_page(data(), LOOKS)[0], now="2026-12-03T19:42:00")
    nameless = browser.run("[...document.querySelectorAll('button, input')].filter(e => !(e.textContent.trim() || "
                           "e.labels && e.labels.length)).map(e => e.outerHTML)")  # fmt: skip
    assert nameless == []
    assert browser.run("[...document.querySelectorAll('[tabindex]')].every(e => e.tabIndex <= 0)")
    browser.run("node('find').focus()")
    browser.send("Input.dispatchKeyEvent", type="keyDown", key="Tab", code="Tab", windowsVirtualKeyCode=9)
    assert browser.run("document.activeElement.type") == "checkbox"
    browser.send("Input.dispatchKeyEvent", type="keyDown", key=" ", code="Space", windowsVirtualKeyCode=32, text=" ")
    browser.send("Input.dispatchKeyEvent", type="keyUp", key=" ", code="Space", windowsVirtualKeyCode=32)
    assert browser.run("seats[0].ticks.size") == 1
    assert browser.run("document.activeElement.type") == "checkbox"  # ticking does not lose the place


@needs_browser
@pytest.mark.parametrize("size", [(390, 844), (820, 1180), (1280, 800)])
def test_every_answer_can_be_seen(browser, size):
    browser.open(floor_page(data(), LOOKS)[0], now="2026-12-03T19:42:00", size=size)
    tick(browser, "celery")
    for view in ("one", "all"):
        browser.run(f"node('{view}').click()")
        boxes = browser.run("[...document.querySelectorAll('#menu .says, #table .says')].filter(e => e.offsetParent)"
                            ".map(e => [e.textContent, e.offsetHeight, getComputedStyle(e).position])")  # fmt: skip
        assert [words for words, *_ in boxes] == [NOTHING_ON_RECORD, ASK, NO_ANSWER, NOTHING_ON_RECORD]
        assert all(20 < height < 200 and position == "static" for _, height, position in boxes)


@needs_browser
def test_the_printed_table_has_every_seat_the_cautions_and_room_for_initials(browser):
    import io

    from pypdf import PdfReader

    browser.open(floor_page(data(), LOOKS)[0], now="2026-12-03T19:42:00")
    tick(browser, "milk")
    browser.run("node('seats').children[1].click()")
    tick(browser, "celery")
    text = " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(browser.pdf())).pages).split())
    for words in ("Seat 1 avoids milk. Seat 2 avoids celery.", "Seat 2 ask the kitchen supplier’s warning: celery",
                  "Thursday 3 December 2026, 19:42", "Checked with the kitchen by", CAUTIONS[0][:40],
                  "December tasting", "1 to 7 December 2026"):  # fmt: skip
        assert words in text
    assert "Search what a guest avoids" not in text
