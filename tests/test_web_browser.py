"""The local page clicked through in a real browser, as a cook, a waiter and a caterer would, on phone, tablet and desktop.

The size of what is touched: at least 24 x 24 CSS pixels (WCAG 2.2, 2.5.8), ours are 40 high where they are buttons or fields.
Focus that can be seen: WCAG 2.2, 2.4.7. A page that does not scroll sideways at 320 to 390 px: WCAG 2.2, 1.4.10 (reflow).
"""

from __future__ import annotations

import json
import os
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote

import pytest
from browser import Browser, chromium

from labeller.reading.kitchen import read_kitchen
from labeller.reading.new_kitchen import write_kitchen
from labeller.serving.verbs_open import listening
from labeller.serving.web.house import House
from labeller.serving.web.site import FOR_WRITERS, Site

pytestmark = pytest.mark.skipif(chromium() is None, reason="no Chromium on this machine")
DAY = "2026-11-25"
SEA = "recipes/from_the_sea.yaml"
SIZES = {"phone": (390, 844), "tablet": (820, 1180), "desktop": (1280, 900)}
PAGES = (
    "/",
    "/pages",
    "/text?file=kitchen.yaml&line=15",
    "/settle",
    "/dishes",
    "/products",
    "/menus",
    "/house",
    "/label",
    "/guests?seat=celery,%20sesame&seat=milk",
    "/print",
    "/sign-off",
    "/dish?name=" + quote("venison, beetroot, bramble"),
    "/why?figure=fat_g&name=" + quote("venison, beetroot, bramble"),
    "/entry?kind=recipe&line=16&name=" + quote("dressed crab"),
    "/entry?kind=pack&name=" + quote("Kelpstone canapé box"),
    "/entry?kind=menu&name=Late%20autumn%20tasting",
    "/jar?name=pickled%20walnuts",
    "/match?name=" + quote("crème fraîche"),
    "/compare?new=soured%20cream&old=" + quote("crème fraîche"),
    "/preview?what=matrix",
    "/preview?what=floor-page",
    "/bring-in",
    "/foods?search=crab&name=" + quote("white crab meat"),
    "/laws",
    "/laws?law=us",
    "/releases",
    "/recall?product=rye%20flour",
    "/find-mark?mark=ABCDE",
    "/changes",
    "/copy-menu",
    "/export",
)


class Desk:
    """A browser in front of a kitchen. What is done is done by mouse and keyboard, as by a hand."""

    def __init__(self, browser: Browser, base: str, folder: Path) -> None:
        self.browser, self.base, self.folder = browser, base, folder

    def size(self, name: str) -> None:
        width, height = SIZES[name]
        self.browser.send(
            "Emulation.setDeviceMetricsOverride",
            width=width,
            height=height,
            deviceScaleFactor=1,
            mobile=name == "phone",
        )

    def go(self, address: str) -> None:
        self._turning(lambda: self.browser.send("Page.navigate", url=self.base + address))

    def _turning(self, act) -> None:
        """Do what brings another page, and wait for it."""
        self.browser.run("window.seen = true")
        act()
        until = time.monotonic() + 20
        while time.monotonic() < until:
            try:
                if self.browser.run("!window.seen && document.readyState === 'complete'"):
                    return
            except RuntimeError:  # between two pages there is none
                pass
            time.sleep(0.02)
        raise AssertionError(f"no other page came; still at {self.address}")

    @property
    def address(self) -> str:
        return str(self.browser.run("location.pathname + location.search"))

    @property
    def text(self) -> str:
        return str(self.browser.run("document.body.innerText"))

    def _point(self, find: str) -> tuple[float, float]:
        place = self.browser.run(
            f"(() => {{ const one = {find}; if (!one) return null; one.scrollIntoView({{block: 'center'}});"
            "const box = one.getBoundingClientRect(); return [box.x + box.width / 2, box.y + box.height / 2]; })()"
        )
        assert place, f"not on the page {self.address}: {find}"
        return tuple(place)

    def _press(self, find: str) -> None:
        x, y = self._point(find)
        for kind in ("mousePressed", "mouseReleased"):
            self.browser.send("Input.dispatchMouseEvent", type=kind, x=x, y=y, button="left", clickCount=1)

    def click(self, words: str, within: str = "main") -> None:
        """A link or button by its words, which brings another page."""
        self._turning(lambda: self._press(_by_words(words, within)))

    def open(self, words: str) -> None:
        self._press(_begins("summary", words))

    def type(self, label: str, text: str) -> None:
        """Into the field of a label, in the place of what is in it."""
        self._press(f"document.getElementById(({_begins('label', label)} || {{}}).htmlFor)")
        self.browser.run("document.activeElement.select && document.activeElement.select()")
        if text:
            self.browser.send("Input.insertText", text=text)
        else:
            self.key("Delete")

    def key(self, name: str, **more: object) -> None:
        codes = {"Tab": 9, "Enter": 13, "Delete": 46}
        extra = {"text": "\r"} if name == "Enter" else {}
        self.browser.send(
            "Input.dispatchKeyEvent",
            type="keyDown",
            key=name,
            code=name,
            windowsVirtualKeyCode=codes[name],
            **extra,
            **more,
        )
        self.browser.send("Input.dispatchKeyEvent", type="keyUp", key=name, code=name, windowsVirtualKeyCode=codes[name], **more)


def _begins(tag: str, words: str) -> str:
    return f"[...document.querySelectorAll('{tag}')].find(one => one.textContent.trim().startsWith({json.dumps(words)}))"


def _by_words(words: str, within: str) -> str:
    return (
        f"[...document.querySelectorAll('{within} a, {within} button')].find(one => one.innerText.trim() === {json.dumps(words)}"
        " && one.getClientRects().length)"
    )


FOCUS = """(() => {
    const one = document.activeElement, look = getComputedStyle(one);
    const name = one.id || one.innerText || one.href;
    return [one.tagName, name, parseFloat(look.outlineWidth), look.outlineStyle, one.getBoundingClientRect().bottom > 0];
})()"""
SMALL = """[...document.querySelectorAll('button, .button, input, select, textarea, nav a')]
    .filter(one => one.getClientRects().length && !one.classList.contains('vh') && !['checkbox', 'radio'].includes(one.type))
    .filter(one => one.getBoundingClientRect().height < 40).map(one => one.outerHTML.slice(0, 120))"""
LEAVING = """(() => {
    const event = new Event('beforeunload', {cancelable: true});
    window.dispatchEvent(event);
    return event.defaultPrevented;
})()"""


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with Browser() as one:
        yield one


@contextmanager
def opened(browser: Browser, folder: Path, **how: bool) -> Iterator[Desk]:
    """The page of a kitchen, let in; nothing may be asked for elsewhere and nothing may go wrong in the browser."""
    site = Site(House(folder), lambda: DAY, **how)
    server = listening(site, 0)
    threading.Thread(target=server.run, daemon=True).start()
    browser.requests.clear()
    browser.messages.clear()
    one = Desk(browser, f"http://127.0.0.1:{site.door.port}", folder)
    one.size("desktop")
    browser.send("Emulation.setScriptExecutionDisabled", value=False)
    browser.send("Page.navigate", url=f"{one.base}/?key={site.keys.way_in}")
    until = time.monotonic() + 20
    while (
        time.monotonic() < until
        and browser.run("document.readyState === 'complete' && location.pathname + location.search") != "/"
    ):
        time.sleep(0.02)
    yield one
    server.close()
    away = [
        url for url in browser.requests if not url.startswith((one.base + "/", "data:image/svg+xml"))
    ]  # data: the browser's own signs
    assert [url for url in away if not url.startswith("chrome-extension://")] == []  # its own viewer of PDF files
    assert [said for said in browser.messages if "status of 422" not in said] == []  # a form refused on purpose


@pytest.fixture
def desk(browser: Browser, tmp_path: Path) -> Iterator[Desk]:
    write_kitchen("kitchen", tmp_path / "k")
    with opened(browser, tmp_path / "k") as one:
        yield one


@pytest.mark.parametrize("size", SIZES)
def test_a_cook_reads_a_jar_changes_a_recipe_and_takes_it_back(desk: Desk, size: str) -> None:
    desk.size(size)
    desk.click("Not settled", "nav")
    desk.click("Read the pack of pickled walnuts")
    desk.type("1. Ingredients", "Walnuts, vinegar, barley malt extract. May contain almonds.")
    desk.click("See what it holds")
    assert "read in" in desk.text and "walnut" in desk.text and "almond" in desk.text
    desk.type("Read by", "RM")
    desk.click("Save")
    assert "Saved." in desk.text and desk.address.startswith("/product")
    product = read_kitchen(desk.folder)[0].products["pickled walnuts"]
    assert (product.contains, product.may_contain, product.evidence.by) == (("barley", "walnut"), ("almond",), "RM")
    before = (desk.folder / SEA).read_bytes()
    desk.click("Dishes", "nav")
    desk.click("dressed crab")
    desk.click("Change it")
    desk.type("Amount 1", "1,5 kg")
    desk.click("Save", "form.entry .save")
    assert "Not saved" in desk.text and "1.5 kg" in desk.text and (desk.folder / SEA).read_bytes() == before
    desk.type("Amount 1", "500 g")
    desk.click("Save", "form.entry .save")
    assert "Saved." in desk.text and b"- white crab meat: 500 g" in (desk.folder / SEA).read_bytes()
    desk.click("Take it back", "footer")
    assert "taken back" in desk.text and (desk.folder / SEA).read_bytes() == before


@pytest.mark.parametrize("size", SIZES)
def test_a_waiter_asks_for_two_seats(desk: Desk, size: str) -> None:
    desk.size(size)
    desk.click("Guest questions", "nav")
    desk.type("Seat 1 avoids", "celery, sesame")
    desk.type("Seat 2 avoids", "nuts")
    desk.click("Answer")
    assert "Nothing is answered" in desk.text and "tree nuts, peanuts" in desk.text and "not for this guest" not in desk.text
    desk.type("Seat 2 avoids", "tree nuts")
    desk.click("Answer")
    assert "not for this guest" in desk.text and "NO ANSWER" in desk.text and "make fresh without" in desk.text
    desk.click("Ticket for the kitchen")
    assert desk.browser.run("decodeURIComponent(document.querySelector('object.paper').data).includes('seat=seat 1: celery')")


@pytest.mark.parametrize("size", SIZES)
def test_a_caterer_writes_a_batch_looks_at_labels_and_prints(desk: Desk, size: str) -> None:
    desk.size(size)
    desk.click("Write a batch")
    desk.type("Name", "boxes, evening")
    desk.type("Makes", "Kelpstone canapé box")
    desk.type("Count", "12")
    desk.type("Lots", "prune: LQ 9000\nrye flour: OM 7001")
    desk.click("Save", "form.entry .save")
    assert dict(read_kitchen(desk.folder)[0].batches["boxes, evening"].lots) == {
        "prune": "LQ 9000",
        "rye flour": "OM 7001",
    }
    desk.click("Print", "nav")
    desk.type("How many", "3")
    desk.click("Look at them")
    assert "Download" in desk.text and desk.browser.run("document.querySelector('object.paper').data.includes('copies=3')")
    desk.click("Today", "nav")
    desk.click("Print all documents")
    assert "Printed" in desk.text and (desk.folder / "out/late-autumn-tasting-matrix.pdf").stat().st_size > 10_000


@pytest.mark.parametrize("size", SIZES)
def test_a_chef_brings_a_recipe_in_and_settles_what_is_asked(desk: Desk, size: str) -> None:
    desk.size(size)
    desk.click("Dishes", "nav")
    desk.click("Bring recipes in")
    desk.type("Name of the recipe", "walnut loaf")
    desk.type("Ingredients, one a line", "250 g plain flour, sifted\na splash of whole milk\n100 g walnuts")
    desk.click("See what it becomes")
    assert "1 line is asked" in desk.text and not (desk.folder / "recipes/walnut-loaf.yaml").exists()
    desk.click("Write it")
    file = desk.folder / "recipes/walnut-loaf.yaml"
    assert "Written." in desk.text and b"# asked:" in file.read_bytes()
    desk.click("Not settled", "nav")
    desk.click("Open recipe walnut loaf")
    assert "It stood: “a splash of whole milk”" in desk.text
    desk.type("Amount 2", "30 ml")
    desk.click("Save", "form.entry .save")
    assert "Saved." in desk.text and b"# asked:" not in file.read_bytes()
    assert read_kitchen(desk.folder)[0].recipes["walnut loaf"].lines[1].amount.text == "30 ml"


def test_a_spreadsheet_is_chosen_its_columns_said_and_written(desk: Desk, tmp_path: Path) -> None:
    book = tmp_path / "unser buch.csv"
    book.write_text("Was;Wieviel hiervon;Einheiten\nwalnuts;120;g\nwhole milk;50;ml\n", encoding="utf-8")
    desk.go("/bring-in")
    field = desk.browser.send("Runtime.evaluate", expression="document.getElementById('file')")["result"]["objectId"]
    desk.browser.send("DOM.setFileInputFiles", files=[str(book)], objectId=field)
    desk._turning(lambda: desk._press("document.querySelector('form[enctype] button')"))
    for column, role in (("A", "name"), ("B", "amount"), ("C", "unit")):
        desk.browser.run(f"document.getElementById('column-{column}').value = '{role}'")
    desk.click("Read it with these columns")
    assert "120 g" in desk.text and "unser buch" in desk.text
    desk.type("Name of recipe 1", "walnut milk")
    desk.click("Write it")
    assert "Written." in desk.text and len(read_kitchen(desk.folder)[0].recipes["walnut milk"].lines) == 2


def test_a_chef_goes_from_a_jar_to_a_signed_menu(desk: Desk) -> None:
    desk.click("Products", "nav")
    desk.type("A new product", "smoked tofu")
    desk.click("Read its pack")
    desk.type("1. Ingredients", "Soya beans, water, salt, nigari. Made in a site that handles sesame.")
    desk.click("See what it holds")
    desk.type("Read by", "RM")
    desk.click("Save")
    assert "soy" in desk.text.lower() and "No dish uses it." in desk.text
    desk.click("Dishes", "nav")
    desk.click("New dish")
    for label, text in (("Name", "tofu on rye"), ("Component 1", "smoked tofu"), ("Amount 1", "40 g")):
        desk.type(label, text)
    desk.click("Save", "form.entry .save")
    assert "soy" in desk.text.lower() and "On record" in desk.text
    desk.click("Menus", "nav")
    desk.click("New menu")
    for label, text in (("Name", "Bar"), ("Course 1", "tofu on rye")):
        desk.type(label, text)
    desk.browser.run(
        "document.getElementById('f-from').value = '2026-11-25'; document.getElementById('f-until').value = '2026-11-30'"
    )
    desk.click("Save", "form.entry .save")
    assert "Bar" in desk.text and read_kitchen(desk.folder)[0].menus["Bar"].dishes() == ("tofu on rye",)
    desk.go("/guests?menu=Bar")
    desk.type("Seat 1 avoids", "soya")
    desk.click("Answer")
    assert "not for this guest" in desk.text
    desk.go("/print?menu=Bar")
    desk.click("Look at it")
    assert "Download bar-matrix.pdf" in desk.text
    desk.go("/sign-off?menu=Bar")
    desk.browser.run("document.querySelectorAll('[name^=\"reason/\"]').forEach(one => { one.value = 'looked at'; })")
    desk.type("Name", "RM")
    desk.type("Role", "head chef")
    desk.click("Sign off")
    assert "Signed off." in desk.text and "no. 1 of 25 November 2026 by RM" in desk.text
    desk.go("/copy-menu?old=Bar")
    desk.type("Name of the new menu", "Bar, December")
    desk.browser.run(
        "document.getElementById('from').value = '2026-12-01'; document.getElementById('until').value = '2026-12-06'"
    )
    desk.click("Copy it")
    assert (
        desk.address.startswith("/changes?menu=Bar")
        and read_kitchen(desk.folder)[0].menus["Bar, December"].starts == "2026-12-01"
    )


def test_a_page_that_only_reads_shows_nothing_to_change(browser: Browser, tmp_path: Path) -> None:
    write_kitchen("kitchen", tmp_path / "k")
    with opened(browser, tmp_path / "k", read_only=True) as desk:
        for address in ("/", "/dishes", "/menus", "/print", "/products", "/settle", "/compare", "/recall?product=rye%20flour"):
            desk.go(address)
            seen = desk.browser.run(
                "[...document.querySelectorAll('main form[method=post], main a')].filter(one => one.getClientRects().length)"
                ".map(one => one.getAttribute('action') || one.getAttribute('href'))"
            )
            writing = [each for each in seen if each.split("?")[0] in FOR_WRITERS | {"/print-all", "/undo", "/replace"}]
            assert writing == [], address
        desk.go("/guests?seat=milk")
        assert "not for this guest" in desk.text


def test_everything_works_without_script(desk: Desk) -> None:
    desk.browser.send("Emulation.setScriptExecutionDisabled", value=True)
    try:
        desk.go("/entry?kind=recipe&name=" + quote("brown butter"))
        desk.type("Makes", "410 g")
        desk.click("Save", "form.entry .save")
        assert "Saved." in desk.text and b"makes: 410 g" in (desk.folder / SEA).read_bytes()
        desk.open("Another day")
        desk.click("Show", "header")
    finally:
        desk.browser.send("Emulation.setScriptExecutionDisabled", value=False)


def test_by_keyboard_alone_with_the_focus_in_sight(desk: Desk) -> None:
    desk.go("/guests")
    seen = []
    for _ in range(40):
        desk.key("Tab")
        seen.append(desk.browser.run(FOCUS))
        if seen[-1][1] == "seat-1":
            break
    assert seen[0][1] == "To the page itself" and seen[-1][1] == "seat-1"
    assert all(width >= 2 and style != "none" and there for _, _, width, style, there in seen)
    desk.browser.send("Input.insertText", text="milk")
    desk._turning(lambda: desk.key("Enter"))
    assert "seat=milk" in desk.address and "not for this guest" in desk.text


@pytest.mark.parametrize("size", SIZES)
def test_no_page_scrolls_sideways_and_what_is_touched_is_large(desk: Desk, size: str) -> None:
    desk.size(size)
    for address in PAGES:
        desk.go(address)
        desk.browser.run("document.querySelectorAll('details').forEach(one => { one.open = true; })")
        assert desk.browser.run("document.documentElement.scrollWidth") <= SIZES[size][0], address
        small = desk.browser.run(SMALL)
        assert small == [], address
        assert desk.browser.run("document.fonts.check('16px \"Fira Sans\"')") is True


@pytest.mark.skipif("LABELLER_AXE" not in os.environ, reason="LABELLER_AXE names no axe.min.js (axe-core, from npm)")
@pytest.mark.parametrize("size", ("phone", "desktop"))
def test_no_page_breaks_a_rule_of_accessibility(desk: Desk, size: str) -> None:
    """The rules of axe-core, which are those of WCAG 2 and good practice; none that is serious or critical may be broken."""
    rules = Path(os.environ["LABELLER_AXE"]).read_text(encoding="utf-8")
    desk.size(size)
    for address in PAGES:
        desk.go(address)
        desk.browser.run("document.querySelectorAll('details').forEach(one => { one.open = true; })")
        desk.browser.run(f"{rules};0")
        found = desk.browser.run(
            "axe.run().then(all => [all.passes.length, all.violations.map(one => [one.id, one.impact, one.nodes[0].html])])"
        )
        assert found[0] > 5 and [one for one in found[1] if one[1] in ("serious", "critical")] == [], address


def test_a_form_left_half_filled_asks_before_it_is_lost(desk: Desk) -> None:
    desk.go("/entry?kind=recipe&name=" + quote("brown butter"))
    assert desk.browser.run(LEAVING) is False
    desk.type("Makes", "411 g")
    assert desk.browser.run(LEAVING) is True
    desk.click("Save", "form.entry .save")
