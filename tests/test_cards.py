"""Menu card, tent card, recipe card and allergy ticket, read back from their PDF.

That loose food is declared in words with cereals and nuts named, with a notice to ask: Food Standards Agency, best practice
on allergen information in writing, paragraphs 28-31 (as noted in a secondary page). The fields of a ticket at the pass (seat,
what is avoided, what is left out, initials, time): common practice, no source.
"""

from __future__ import annotations

from itertools import product
from pathlib import Path

import pytest
from msgspec.structs import replace
from sheets_kitchen import CAUTIONS, LOOKS, declare, fact, tasting
from test_matrix import overlaps, texts

from labeller.printing import cards, kitchen_cards, sheet
from labeller.printing.cards import menu_card_pdf, tent_card_pdf
from labeller.printing.guest_words import guest_words
from labeller.printing.kitchen_cards import Desk, ticket_pdf
from labeller.printing.recipe_card import recipe_card_pdf
from labeller.printing.sheet import Ink, Row, Text, page_size, paint
from labeller.printing.words import NO_ANSWER, service_words
from labeller.reading.looks import looks as read_looks
from labeller.terms.allergens import CONTAINS, CROSS_CONTACT, MAY_CONTAIN, NONE_ON_RECORD
from labeller.terms.findings import NOWHERE
from labeller.terms.floor import Answer, Change, FloorDish, Option, OptionState, Ticket, TicketSeat, answer
from labeller.terms.kitchen import Amount, FriedIn, Line, Loss, Makes, Menu, Recipe
from labeller.terms.record import Component, Ingredient
from labeller.terms.spans import Span

PAPERS = ("A4", "Letter")
FORBIDDEN = ("safe", "serve", "free from")


@pytest.fixture
def placed(monkeypatch):
    """The placed pages of every document painted in a test."""
    kept: list[tuple[list, tuple[float, float]]] = []

    def keep(pages, size, **other):
        kept.append((pages, size))
        return paint(pages, size, **other)

    monkeypatch.setattr(cards.sheet, "paint", keep)
    return kept


def sound(kept: list) -> None:
    """Nothing overlaps, nothing leaves the paper."""
    assert kept
    for pages, size in kept:
        for page in pages:
            assert overlaps(page) == []
            for item in page:
                if isinstance(item, Text):
                    left, bottom, right, top = item.box()
                    assert left >= 0 and bottom >= 0 and right <= size[0] and top <= size[1], item


# --- menu card ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("page", PAPERS)
@pytest.mark.parametrize("count", (1, 5, 9, 14))
def test_the_menu_card_names_every_allergen_under_its_dish(count, page, placed):
    menu, declarations = tasting(count)
    data, found = menu_card_pdf(menu, declarations, date="2026-12-03", page=page, kitchen_name="Fennel House", looks=LOOKS)
    text = " ".join(texts(data))
    assert found == ()
    places = [text.index(one.dish) for one in declarations] + [len(text)]
    for one, start, end in zip(declarations, places, places[1:], strict=False):
        under = text[start:end]
        if one.stopped:
            assert NO_ANSWER in under
            continue
        for state, words in ((each[0], one.allergen_words[key]) for key, each in one.states.items() if each[0] != NONE_ON_RECORD):
            assert words in under, (one.dish, state)
    sound(placed)


def test_the_menu_card_tells_guests_to_ask_and_is_dated():
    menu, declarations = tasting(5)
    text = texts(menu_card_pdf(menu, declarations, date="2026-12-03", looks=LOOKS)[0])[0]
    assert "Thursday 3 December 2026" in text
    assert "tell us about any allergy" in text
    assert "1 to 7 December 2026" in texts(menu_card_pdf(menu, declarations, date="", looks=LOOKS)[0])[0]


def test_a_dish_without_any_says_none_on_record_and_when_it_was_checked():
    menu, declarations = tasting(12)
    text = " ".join(texts(menu_card_pdf(menu, declarations, date="2026-12-03", looks=LOOKS)[0]))
    assert "Blackcurrant leaf granita None of the listed allergens on record, checked 25 November 2026" in text


def test_figures_stand_on_the_menu_card_only_when_asked():
    menu, declarations = tasting(2)
    plain = texts(menu_card_pdf(menu, declarations, date="2026-12-03", looks=LOOKS)[0])[0]
    asked = texts(menu_card_pdf(menu, declarations, date="2026-12-03", looks=LOOKS, nutrition=True)[0])[0]
    assert "251 kJ" not in plain
    assert asked.count("Per portion (24 g): Energy 251 kJ, Fat 2.9 g") == 2
    assert "Adults need around 2000 kcal a day." in asked and "2000 kcal" not in plain
    asked_by_law = [declarations[0], replace(declarations[1], nutrition_shown=True)]
    by_law = texts(menu_card_pdf(menu, asked_by_law, date="", looks=LOOKS)[0])[0]
    assert by_law.count("251 kJ") == 1 and "2000 kcal" in by_law  # where the law asks, the kitchen need not
    stopped = replace(declarations[0], record=replace(declarations[0].record, nutrition_stopped=True))
    again = texts(menu_card_pdf(menu, [stopped, declarations[1]], date="", looks=LOOKS, nutrition=True)[0])[0]
    assert again.count("251 kJ") == 1


def test_states_are_told_apart_on_the_menu_card():
    menu, declarations = tasting(5)
    text = texts(menu_card_pdf(menu, declarations, date="2026-12-03", looks=LOOKS)[0])[0]
    for line in ("Contains: wheat, rye, milk", "May contain, by a supplier’s warning: sesame",
                 "May contain, from shared equipment: squid", "Contains, to be confirmed: sulphites",
                 "Not confirmed: barley, lupin"):  # fmt: skip
        assert line in text


def test_a_dish_of_the_menu_without_a_declaration_is_named_and_has_no_answer():
    menu, declarations = tasting(2)
    data, found = menu_card_pdf(menu, declarations[:1], date="", looks=LOOKS)
    assert [one.code for one in found] == ["dish-without-declaration"]
    assert f"Smoked trout, rye, dill {NO_ANSWER}" in texts(data)[0]


# --- a kitchen's own template and style --------------------------------------------------------------------------------


def own(folder: Path, name: str, text: str) -> Path:
    (folder / name).write_text(text, encoding="utf-8")
    return folder


@pytest.mark.parametrize(("text", "line", "words"), [
    ("title | {{ menu }}\n{% for course in courses %}\n", 2, "can't be read"),
    ("title | {{ menu }}\ndate | {{ nonsense }}\n", 2, "nonsense"),
    ("title | {{ menu }}\n\nheadline | Welcome\n", 3, "headline"),
    ("title | {{ menu }}\n{% for course in courses %}{% for dish in course.dishes %}\ndish | {{ dish.name }}\n"
     "{% endfor %}{% endfor %}", 0, "leaves out the allergen line"),
])  # fmt: skip
def test_a_broken_template_of_the_kitchen_is_a_finding_with_its_line(tmp_path, text, line, words):
    menu, declarations = tasting(3)
    looks, none = read_looks(own(tmp_path, "menu_card.txt", text))
    data, found = menu_card_pdf(menu, declarations, date="2026-12-03", looks=looks)
    assert none == ()
    assert [(one.code, str(one.place).rstrip(":0")) for one in found] == [
        ("template-broken", f"templates/menu_card.txt:{line}" if line else "templates/menu_card.txt")]  # fmt: skip
    assert words in found[0].text
    assert data == menu_card_pdf(menu, declarations, date="2026-12-03", looks=LOOKS)[0]  # the shipped one stands in


def test_a_template_of_the_kitchen_is_used(tmp_path):
    shipped = (Path(LOOKS.folders[0]) / "menu_card.txt").read_text(encoding="utf-8")
    menu, declarations = tasting(3)
    looks, _ = read_looks(own(tmp_path, "menu_card.txt", shipped.replace("notice | ", "notice | Dear guests: ")))
    data, found = menu_card_pdf(menu, declarations, date="2026-12-03", looks=looks)
    assert found == ()
    assert "Dear guests: Please tell us" in texts(data)[0]


def test_a_name_cannot_start_a_line_of_its_own(tmp_path):
    menu, declarations = tasting(1)
    one = replace(declarations[0], title="Bread\nallergens | none")
    text = texts(menu_card_pdf(menu, [one], date="", looks=LOOKS)[0])[0]
    assert "Bread allergens | none" in text


@pytest.mark.parametrize(("text", "line", "words"), [
    ("margin mm:\n  card: wide\n", 2, "not a number"),
    ("margin mm:\n  card: -3\n", 2, "not a number"),
    ("margin mm:\n  crad: 20\n", 2, "not a line of the house style"),
    ("matrix pt:\n  kind: 9\n", 2, "needs 2"),
    ("font:\n  bold: fonts/Nowhere.ttf\n", 2, "is not there"),
    ("margin mm:\n  card: [1, 2]\n", 2, "not one value"),
    ("margin mm:\n\tcard: 20\n", 2, "can't be read"),
    ("- margin\n", 1, "not a list of"),
])  # fmt: skip
def test_a_broken_line_of_the_kitchens_style_is_a_finding_and_the_house_style_stands(tmp_path, text, line, words):
    looks, found = read_looks(own(tmp_path, "style.yaml", text))
    assert [(one.code, str(one.place)) for one in found] == [("style-broken", f"templates/style.yaml:{line}")]
    assert words in found[0].text
    assert looks.style == LOOKS.style and looks.fonts == LOOKS.fonts


def test_the_kitchens_style_is_used(tmp_path):
    looks, found = read_looks(own(tmp_path, "style.yaml", "margin mm:\n  card: 30\n"))
    assert found == () and looks.number("margin mm", "card") == 30
    assert looks.number("margin mm", "sheet") == LOOKS.number("margin mm", "sheet")


def test_a_font_of_the_kitchen_that_is_none_is_a_finding_and_the_shipped_one_stands_in(tmp_path):
    (tmp_path / "own.ttf").write_bytes(b"no font")
    looks, none = read_looks(own(tmp_path, "style.yaml", "font:\n  bold: own.ttf\n"))
    menu, declarations = tasting(2)
    data, found = menu_card_pdf(menu, declarations, date="2026-12-03", looks=looks)
    assert none == ()
    assert [(one.code, str(one.place)) for one in found] == [("style-broken", "templates/style.yaml")]
    assert data == menu_card_pdf(menu, declarations, date="2026-12-03", looks=LOOKS)[0]


# --- languages ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("language", sorted(LOOKS.words))
def test_every_language_of_the_cards_has_every_word_and_the_same_holes(language):
    english, words = LOOKS.words["en"], LOOKS.words[language]
    assert set(words) == set(english)
    assert len(words["months"].split()) == 12
    for key, text in words.items():
        assert text.count("{}") == english[key].count("{}"), key


@pytest.mark.parametrize(("language", "lines"), [
    ("de", ("Enthält: wheat, rye, milk", "3. Dezember 2026", "Nicht bestätigt: barley, lupin", "vom 25. November 2026")),
    ("fr", ("Contient : wheat, rye, milk", "3 décembre 2026", "Non confirmé : barley, lupin")),
    ("es", ("Contiene: wheat, rye, milk", "3 de diciembre de 2026")), ("it", ("Contiene: wheat", "3 dicembre 2026")),
    ("nl", ("Bevat: wheat, rye, milk", "3 december 2026")),
])  # fmt: skip
def test_the_menu_card_speaks_the_language_asked_for(language, lines):
    menu, declarations = tasting(9)
    data, found = menu_card_pdf(menu, declarations, date="2026-12-03", looks=LOOKS, language=language)
    text = texts(data)[0]
    assert found == ()
    for words in (*lines, LOOKS.words[language]["no answer"], LOOKS.words[language]["notice"][:30]):
        assert words in text, words
    assert "Contains" not in text and "December 2026" not in text and "NO ANSWER" not in text


def test_a_language_without_words_is_a_finding_and_english_stands_in():
    menu, declarations = tasting(3)
    data, found = menu_card_pdf(menu, declarations, date="2026-12-03", looks=LOOKS, language="el")
    assert [one.code for one in found] == ["sheet-language"] and "cards.yaml" in found[0].mend
    assert "Contains: wheat, rye, milk" in texts(data)[0]


def test_a_kitchen_may_teach_the_cards_a_language_or_say_it_otherwise(tmp_path):
    text = "el:\n  contains: \"Περιέχει: {}\"\nen:\n  notice: \"Do ask.\"\n"
    looks, found = read_looks(own(tmp_path, "cards.yaml", text))
    menu, declarations = tasting(3)
    assert found == ()
    assert "Περιέχει: wheat, rye, milk" in texts(menu_card_pdf(menu, declarations, date="", looks=looks, language="el")[0])[0]
    assert "Do ask." in texts(menu_card_pdf(menu, declarations, date="", looks=looks)[0])[0]


@pytest.mark.parametrize(("text", "line", "words"), [
    ("en:\n  contains: \"Contains something\"\n", 2, "needs {}"), ("en:\n  contians: \"{}\"\n", 2, "not a line"),
    ("de:\n  months: \"Januar\"\n", 2, "12"), ("en:\n  date: \"{day} {month}\"\n", 2, "{year}"),
    ("en: nothing\n", 1, "not a line"), ("en:\n  notice: \"Ask {name}\"\n", 2, "no {}"),
])  # fmt: skip
def test_a_word_that_would_lose_what_it_tells_is_a_finding(tmp_path, text, line, words):
    looks, found = read_looks(own(tmp_path, "cards.yaml", text))
    assert [(one.code, str(one.place)) for one in found] == [("style-broken", f"templates/cards.yaml:{line}")]
    assert words in found[0].text and looks.words == LOOKS.words


# --- tent card ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("page", "per_page"), [("A4", 1), ("A4", 2), ("Letter", 1), ("Letter", 2), ("A5", 1)])
def test_a_tent_card_reads_the_same_from_both_sides(page, per_page, placed):
    _, declarations = tasting(14)
    data, found = tent_card_pdf(declarations, date="2026-12-03", page=page, per_page=per_page, kitchen_name="Fennel House",
                                looks=LOOKS)  # fmt: skip
    assert found == ()
    pages, size = placed[0]
    assert len(pages) == -(-len(declarations) // per_page)
    for each in pages:
        words = [item for item in each if isinstance(item, Text)]
        assert sorted(item.text for item in words if item.turned) == sorted(item.text for item in words if not item.turned)
        for item in words:
            assert item.box()[1] >= size[1] / 2 if item.turned else item.box()[3] <= size[1] / 2  # nothing on the fold
    text = " ".join(texts(data))
    for one in declarations:
        for words in one.allergen_words.values():
            assert words in text or one.stopped
    sound(placed)


def test_two_tent_cards_do_not_cross_the_cut(placed):
    _, declarations = tasting(2)
    tent_card_pdf(declarations, date="2026-12-03", per_page=2, looks=LOOKS)
    pages, size = placed[0]
    for item in (item for item in pages[0] if isinstance(item, Text)):
        left, _, right, _ = item.box()
        assert right <= size[0] / 2 or left >= size[0] / 2


def test_a_tent_card_that_is_too_full_is_a_finding(placed):
    one = declare("plate", fact("milk", CONTAINS), description="a long story " * 400)
    _, found = tent_card_pdf([one], date="2026-12-03", looks=LOOKS)
    assert [each.code for each in found] == ["sheet-too-full"]


# --- recipe card -------------------------------------------------------------------------------------------------------


def trout() -> tuple:
    parts = (Component("rye cracker", ("rye",), False, "buckwheat cracker"), Component("dill cream", ("milk",), False, ""),
             Component("pickled mustard seed", ("mustard",), True, ""))  # fmt: skip
    one = declare("smoked trout", fact("rye", CONTAINS, "recipe", "smoked trout", "rye cracker", "rye flour"),
                  fact("squid", CROSS_CONTACT, "deep fryer also cooks squid rings", "smoked trout", "rye cracker"),
                  fact("milk", CONTAINS, "recipe", "smoked trout", "dill cream", "crème fraîche"),
                  fact("sesame", MAY_CONTAIN, "specification", "smoked trout", "dill cream", "crème fraîche"),
                  fact("mustard", CONTAINS, "recipe", "smoked trout", "pickled mustard seed"), parts=parts)  # fmt: skip
    weights = (Ingredient("rye cracker", 7.5), Ingredient("dill cream", 11.0), Ingredient("pickled mustard seed", 4.0))
    one = replace(one, record=replace(one.record, ingredients=weights))
    line = lambda name, text, **more: Line(name, Amount(text, Span.of(1), "g"), NOWHERE, **more)  # noqa: E731
    recipe = Recipe("smoked trout", "dish", NOWHERE, (
        line("rye cracker", "1 piece", instead="buckwheat cracker"), line("dill cream", "10-12 g", trim=Span.of(0.35)),
        line("pickled mustard seed", "4 g", leave_off=True), Line("dill oil", None, NOWHERE)),
        makes=Makes(NOWHERE, "60 pieces of 7-8 g"), loss=(Loss("evaporated", 0.8, NOWHERE), Loss("left behind", 0.2, NOWHERE)),
        fried_in=FriedIn("sunflower oil", Span.of(0.06), NOWHERE), equipment=("deep fryer",), serves=Span.of(4),
        instructions="Lay the trout on the cracker.")  # fmt: skip
    return one, recipe


@pytest.mark.parametrize("page", PAPERS)
def test_the_recipe_card_has_amounts_grams_and_allergens_line_by_line(page, placed):
    one, recipe = trout()
    data, found = recipe_card_pdf(one, recipe, date="2026-11-25", page=page, kitchen_name="Fennel House", looks=LOOKS)
    text = " ".join(texts(data))
    assert found == ()
    for words in ("rye cracker 1 piece 7.5 g contains: rye shared equipment: squid buckwheat cracker instead",
                  "dill cream 10-12 g, 35% trimmed 11 g contains: milk supplier’s warning: sesame",
                  "pickled mustard seed 4 g 4 g contains: mustard leave off", "dill oil no amount none on record",
                  "60 pieces of 7-8 g (loss: 80% evaporated, 20% left behind)", "sunflower oil, 6% taken up", "deep fryer",
                  "Lay the trout on the cracker.", "contains rye, milk, mustard", "none on record, checked 25 November 2026",
                  CAUTIONS[1]):  # fmt: skip
        assert words in text, words
    sound(placed)


def test_a_line_is_not_said_to_hold_nothing_when_a_fact_belongs_to_no_line():
    one, recipe = trout()
    stray = fact("eggs", CONTAINS, "recipe", "smoked trout")
    one = replace(one, record=replace(one.record, facts=(*one.record.facts, stray)))
    text = " ".join(texts(recipe_card_pdf(one, recipe, date="2026-11-25", looks=LOOKS)[0]))
    assert "dill oil no amount see the whole, below" in text


def test_the_recipe_card_tells_reduction_alcohol_and_what_only_touched_the_food():
    one, recipe = trout()
    aids = (*one.record.ingredients, Ingredient("dill oil", 0.0, aid=True))
    one = replace(one, record=replace(one.record, ingredients=aids))
    recipe = replace(recipe, reduced_to=(Span.of(0.5), None), alcohol_stays=Span(0.05, 0.1, 0.15))
    text = texts(recipe_card_pdf(one, recipe, date="2026-11-25", looks=LOOKS)[0])[0]
    assert "Reduced to 50% of the weight in" in text and "Alcohol 5%–15% stays in" in text
    assert "dill oil no amount contact only" in text


def test_a_recipe_in_which_nothing_can_be_changed_has_no_column_for_it():
    one, recipe = trout()
    plain = replace(recipe, lines=tuple(replace(line, instead="", leave_off=False) for line in recipe.lines))
    assert "Can be changed" in texts(recipe_card_pdf(one, recipe, date="2026-11-25", looks=LOOKS)[0])[0]
    assert "Can be changed" not in texts(recipe_card_pdf(one, plain, date="2026-11-25", looks=LOOKS)[0])[0]


def test_a_recipe_without_equipment_on_record_says_so_when_it_is_fried():
    one, recipe = trout()
    text = texts(recipe_card_pdf(one, replace(recipe, equipment=None), date="2026-11-25", looks=LOOKS)[0])[0]
    assert "nothing recorded: not confirmed" in text


def test_a_stopped_recipe_has_no_answer_and_no_state():
    one = declare("broth", fact("milk", CONTAINS), stopped="a ring of recipes", parts=(Component("stock", ("milk",), False, ""),))
    text = texts(recipe_card_pdf(one, date="2026-11-25", looks=LOOKS)[0])[0]
    assert NO_ANSWER in text and "a ring of recipes" in text
    assert "none on record" not in text and "contains" not in text


# --- ticket ------------------------------------------------------------------------------------------------------------


def ticket(dishes: int, seats: int = 2) -> Ticket:
    cream = OptionState("contains", ("dill cream: crème fraîche",))
    plates = [FloorDish(f"Plate number {number} with a long name of some fifty letters", options=(
        Option((), {"milk": cream}), Option((Change("dill cream", "leave off"),), {}))) for number in range(dishes)]  # fmt: skip
    plates[0] = FloorDish("Żurek", stopped=True)
    rows = tuple(("Main", plate.name, answer(plate, ("milk",))) for plate in plates)
    return Ticket("Fennel House", "December tasting", "2026-12-03", "7",
                  tuple(TicketSeat(str(number), ("milk", "Λούπινο"), rows) for number in range(1, seats + 1)), "eu", "v1", "d1",
                  CAUTIONS, {"milk": "milk"})  # fmt: skip


@pytest.mark.parametrize("page", PAPERS)
@pytest.mark.parametrize("dishes", (2, 14, 40))
def test_the_ticket_names_its_seat_on_every_page_and_asks_for_initials(dishes, page, placed):
    data, found = ticket_pdf(ticket(dishes), page=page, looks=LOOKS)
    pages = texts(data)
    assert found == ()
    for text in pages:
        assert "AVOIDS milk, Λούπινο" in text and "table 7" in text and "Thursday 3 December 2026" in text
    whole = " ".join(pages)
    for seat in ("1", "2"):
        assert f"Seat {seat} checked by (initials)" in whole
    assert whole.count("make fresh without dill cream, confirm with the kitchen") == 2 * (dishes - 1)
    assert whole.count(NO_ANSWER) == 2
    assert "as written, contains: milk (dill cream: crème fraîche)" in whole
    sound(placed)


def test_a_seat_that_fits_one_page_is_not_torn():
    pages = texts(ticket_pdf(ticket(10, seats=3), looks=LOOKS)[0])
    for seat in ("1", "2", "3"):
        assert sum(f"Seat {seat} AVOIDS" in text for text in pages) == 1


# --- all ---------------------------------------------------------------------------------------------------------------


def every_sheet() -> list[bytes]:
    menu, declarations = tasting(14)
    one, recipe = trout()
    return [menu_card_pdf(menu, declarations, date="2026-12-03", looks=LOOKS, nutrition=True)[0],
            tent_card_pdf(declarations, date="2026-12-03", looks=LOOKS)[0],
            tent_card_pdf(declarations, date="2026-12-03", per_page=2, looks=LOOKS)[0],
            recipe_card_pdf(one, recipe, date="2026-11-25", looks=LOOKS)[0],
            recipe_card_pdf(one, date="2026-11-25", looks=LOOKS)[0], ticket_pdf(ticket(14), looks=LOOKS)[0]]  # fmt: skip


def test_equal_input_gives_equal_bytes():
    assert every_sheet() == every_sheet()


def test_no_sheet_makes_a_promise():
    for data in every_sheet():
        text = " ".join(texts(data)).lower()
        for word in FORBIDDEN:
            assert word not in text


def test_pages_have_the_paper_asked_for():
    from io import BytesIO

    from pypdf import PdfReader

    menu, declarations = tasting(2)
    for page in PAPERS:
        box = PdfReader(BytesIO(menu_card_pdf(menu, declarations, date="", page=page, looks=LOOKS)[0])).pages[0].mediabox
        assert (float(box.width), float(box.height)) == pytest.approx(page_size(LOOKS, page), abs=0.01)


def test_a_reason_is_told_once_and_without_brackets_in_brackets():
    left = Answer("ask the kitchen", "ask the kitchen", (),
                  (("milk", "not_confirmed", ("oil (no list)",)), ("egg", "not_confirmed", ("oil (no list)",)),
                   ("fish", "may_contain", ("roe",))))  # fmt: skip
    runs = kitchen_cards._answer_runs(kitchen_cards.Desk(LOOKS, cards.sheet.faces(LOOKS), (600, 800)), left, {})
    assert [text.strip() for text, _ in runs] == ["ask the kitchen", "not confirmed: milk, egg \N{EN DASH} oil (no list)",
                                                  "supplier’s warning: fish (roe)"]  # fmt: skip


@pytest.mark.parametrize(("starts", "ends", "words"), [
    ("2026-12-01", "2026-12-07", "1 to 7 December 2026"), ("2026-11-24", "2026-12-05", "24 November to 5 December 2026"),
    ("2026-12-28", "2027-01-02", "28 December 2026 to 2 January 2027"), ("2026-12-01", "2026-12-01", "Tuesday 1 December 2026"),
    ("2026-12-01", "", "Tuesday 1 December 2026"), ("", "", ""), ("soon", "2026-12-07", "soon to 7 December 2026"),
])  # fmt: skip
def test_dates_of_service_are_said_once_and_with_the_month_in_letters(starts, ends, words):
    assert service_words(starts, ends) == words


def test_nothing_to_print_is_no_crash():
    assert menu_card_pdf(Menu("Nothing", NOWHERE), [], date="", looks=LOOKS)[1] == ()
    assert texts(ticket_pdf(replace(ticket(2), seats=()), looks=LOOKS)[0])
    assert texts(recipe_card_pdf(declare("air"), date="", looks=LOOKS)[0])
    assert tent_card_pdf([], date="", looks=LOOKS)[1] == ()


# --- pages and lines ---------------------------------------------------------------------------------------------------


def test_who_checked_a_seat_signs_below_its_last_dish_never_alone_on_a_page():
    desk = Desk(LOOKS, sheet.faces(LOOKS), page_size(LOOKS, "A4"), said=guest_words(LOOKS, "en")[0])
    for dishes, spare in product(range(20, 28), range(0, 40, 4)):  # one more dish, a taller foot: the page turns elsewhere
        foot = [Row((), 0.0, float(spare))]
        for page in kitchen_cards._pages(desk, kitchen_cards._ticket_blocks(desk, ticket(dishes, 1)), foot):
            lines = [item.text for item in page if isinstance(item, Text)]
            for place in [place for place, text in enumerate(lines) if "checked by" in text]:
                above = lines[max(index for index, text in enumerate(lines[:place]) if text.startswith("AVOIDS")) : place]
                assert any(text.startswith("Plate") for text in above), (spare, above)


def test_centred_lines_are_even_and_break_no_lead():
    ink = Ink(sheet.faces(LOOKS).bold, 30.0)
    (first, last) = sheet.balanced([("lupin cracker, smoked roe", ink)], 330.0, 1.2)
    assert [row.pieces[0][1] for row in (first, last)] == ["lupin cracker,", "smoked roe"]
    assert len(sheet.set_lines([("lupin cracker, smoked roe", ink)], 330.0, 1.2)) == 2, "in no more lines than it takes"
    lead = ("May contain, by a supplier’s warning: ", ink._replace(size=17.0))
    wide = sheet.string_width(*lead)
    rows = sheet.balanced([lead, ("almond, hazelnut", lead[1])], wide + 20, 1.2, wide)
    assert rows[0].pieces[0][1].endswith("warning:") and len(rows) == 2
