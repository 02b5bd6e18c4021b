"""The allergen matrix, read back from its PDF and from its placed pages.

That cereals and nuts are named in the cell: Food Standards Agency, technical guidance on food allergen labelling, paragraphs
28-30 (as noted in a secondary page). That states are words and not colours, and the page sizes tried: common practice.
"""

from __future__ import annotations

import io
import random
import re
from collections import Counter

import pytest
from msgspec.structs import replace
from pypdf import PdfReader
from sheets_kitchen import CAUTIONS, FRYER, GROUP, LOOKS, declare, fact, tasting

from labeller.printing.matrix import component_matrix_pdf, matrix_pages, matrix_pdf
from labeller.printing.sheet import MM, Frame, Text, page_size
from labeller.printing.words import NO_ANSWER, STATES
from labeller.terms.allergens import CONTAINS, CROSS_CONTACT, GROUPS, MAY_CONTAIN, NONE_ON_RECORD, NOT_CONFIRMED
from labeller.terms.allergens import STATES as STATE_LIST
from labeller.terms.findings import NOWHERE
from labeller.terms.kitchen import Course, Menu
from labeller.terms.record import Component

COUNTS = (1, 5, 12, 14, 28)
PAPERS = ("A4", "Letter")


def texts(data: bytes) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(data)).pages]


def made(count: int = 12, page: str = "A4", **other: object) -> tuple[bytes, tuple]:
    menu, declarations = tasting(count)
    return matrix_pdf(menu, declarations, date="2026-12-03", page=page, kitchen_name="Fennel House", looks=LOOKS, **other)


def overlaps(page: tuple) -> list[tuple[str, str]]:
    """Pairs of texts whose boxes meet by more than a hair's breadth (half a point)."""
    boxes = [(item.box(), item.text) for item in page if isinstance(item, Text)]
    return [(one, two) for place, (a, one) in enumerate(boxes) for b, two in boxes[place + 1 :]
            if min(a[2], b[2]) - max(a[0], b[0]) > 0.5 and min(a[3], b[3]) - max(a[1], b[1]) > 0.5]  # fmt: skip


def outside(page: tuple, size: tuple[float, float], margin: float) -> list[str]:
    return [item.text for item in page if isinstance(item, Text)
            and not (item.box()[0] >= margin - 0.5 and item.box()[1] >= margin - 2.5
                     and item.box()[2] <= size[0] - margin + 0.5 and item.box()[3] <= size[1] - margin + 0.5)]  # fmt: skip


@pytest.mark.parametrize("page", PAPERS)
@pytest.mark.parametrize("count", COUNTS)
def test_every_dish_and_every_allergen_of_the_record_stands_in_the_text(count, page):
    data, found = made(count, page)
    text = " ".join(texts(data))
    assert found == ()
    for one in tasting(count)[1]:
        assert one.dish in text
        for _, kinds, facts in one.states.values():
            for kind in {*kinds, *(each.kind for each in facts)}:
                if not one.stopped:
                    word = {"eggs": "egg", "soybeans": "soya", "peanuts": "peanut"}.get(kind, kind)
                    assert word in text.lower(), (one.dish, kind)


@pytest.mark.parametrize("page", PAPERS)
def test_a_tasting_menu_stands_on_one_page(page):
    assert len(texts(made(12, page)[0])) == 1
    assert len(texts(made(14, page)[0])) == 1


def test_a_shorter_menu_takes_the_larger_type():
    def kinds(count: int) -> float:
        menu, declarations = tasting(count)
        page = matrix_pages(menu, declarations, date="2026-12-03", looks=LOOKS)[0]
        return max(item.ink.size for item in page if isinstance(item, Text) and item.text == "milk")

    assert kinds(5) == 9.5 > kinds(14) >= 7.5


def test_further_pages_repeat_heads_legend_date_and_number():
    pages = texts(made(28)[0])
    assert len(pages) == 2
    for number, text in enumerate(pages, 1):
        for words in ("Cereals", "Molluscs", "Thursday 3 December 2026", "December tasting", f"page {number} of 2",
                      "none on record nothing of it", CAUTIONS[0], "kitchen version 4f1c09ab77d2",
                      "data version 0.1.0/9e31d07c55aa"):  # fmt: skip
            assert words in text


@pytest.mark.parametrize("page", PAPERS)
@pytest.mark.parametrize("count", COUNTS)
def test_nothing_is_cut_and_nothing_overlaps(count, page):
    menu, declarations = tasting(count)
    size = page_size(LOOKS, page, landscape=True)
    for placed in matrix_pages(menu, declarations, date="2026-12-03", page=page, kitchen_name="Fennel House", looks=LOOKS):
        assert overlaps(placed) == []
        assert outside(placed, size, 9 * MM) == []


def test_equal_input_gives_equal_bytes():
    assert made(28)[0] == made(28)[0]


def test_the_number_of_cells_without_a_record_is_that_of_the_declarations():
    menu, declarations = tasting(12)
    cells = sum(state == NONE_ON_RECORD for one in declarations if not one.stopped for state, *_ in one.states.values())
    text = " ".join(texts(made(12)[0]))
    assert len(re.findall(r"none on record(?! nothing)", text)) == cells


def test_each_state_of_a_cell_is_a_word_and_its_reason_a_footnote():
    menu = Menu("One", NOWHERE, courses=(Course(("plate",), NOWHERE),))
    one = declare("plate", fact("wheat", CONTAINS), fact("barley", NOT_CONFIRMED, "no label read", "brown miso"),
                  fact("sesame", MAY_CONTAIN, "pack: may contain sesame", "tahini oil"),
                  fact("squid", CROSS_CONTACT, FRYER, "cracker"))  # fmt: skip
    text = texts(matrix_pdf(menu, [one], date="2026-12-01", looks=LOOKS)[0])[0]
    assert "contains wheat not confirmed [1] barley" in text  # contains of wheat doesn't hide an unread barley
    assert "supplier’s warning [2] none on record" in text  # of the column sesame: no word more is needed
    assert "shared equipment [3] squid" in text
    for reason in ("[1] brown miso: no label read", "[2] tahini oil: pack: may contain sesame", f"[3] cracker: {FRYER}"):
        assert reason in text


def test_the_words_of_the_declaring_room_are_taken_apart_by_state():
    """Held against that room itself: its cell is one text, the matrix sets each state of it in its own type."""
    from labeller.declaring.states import State, cell_words
    from labeller.printing.states import parts
    from labeller.reading.allergen_tables import load_kinds
    from labeller.reading.laws import load_law

    facts = (fact("wheat", CONTAINS), fact("spelt", CONTAINS), fact("oats", MAY_CONTAIN), fact("barley", NOT_CONFIRMED),
             fact("wheat", NOT_CONFIRMED))  # fmt: skip
    told = {"en": ("wheat, spelt (wheat)", "oats", "barley"), "de": ("Weizen, Dinkel (Weizen)", "Hafer", "Gerste")}
    for language, wanted in told.items():
        words = load_law("eu", "2026-11-25", (language,)).words[language]
        cell = cell_words("cereals_gluten", State(CONTAINS, ("wheat", "spelt"), facts), words, load_kinds(), "none")
        one = declare("plate", *facts)
        one.allergen_words["cereals_gluten"] = cell
        one.states["cereals_gluten"] = (CONTAINS, ("wheat", "spelt"), facts)
        assert [part[:2] for part in parts(one, "cereals_gluten", {})] == list(
            zip((CONTAINS, MAY_CONTAIN, NOT_CONFIRMED), wanted, strict=True))  # fmt: skip


def test_one_reason_for_many_cells_stands_once():
    every = [fact(kind, NOT_CONFIRMED, "no label read", "brown miso") for kind in ("milk", "eggs", "fish", "celery")]
    menu = Menu("One", NOWHERE, courses=(Course(("plate",), NOWHERE),))
    text = texts(matrix_pdf(menu, [declare("plate", *every)], date="2026-12-01", looks=LOOKS)[0])[0]
    assert Counter(re.findall(r"\[(\d+)\]", text)) == {"1": 5}  # four cells and the footnote


def test_what_is_said_of_several_things_is_said_once_with_all_their_numbers():
    papers = "specification, checked 2026-10-06 by AL"
    plate = declare("plate", fact("sesame", MAY_CONTAIN, papers, "rye flour"), fact("milk", MAY_CONTAIN, "pack", "roe"),
                    fact("lupin", MAY_CONTAIN, papers, "spelt flour"), fact("fish", NOT_CONFIRMED, "unread: box of crab", "crab"),
                    fact("celery", NOT_CONFIRMED, "nothing on record says what is in it", ""))  # fmt: skip
    menu = Menu("One", NOWHERE, courses=(Course(("plate",), NOWHERE),))
    text = texts(matrix_pdf(menu, [plate], date="2026-12-01", looks=LOOKS)[0])[0]
    numbers = {name: re.search(rf"\[(\d)\] {name}", text)[1] for name in ("rye flour", "spelt flour", "roe", "crab")}
    assert len(set(numbers.values())) == 4
    assert re.search(rf"\[\d\] (rye|spelt) flour, \[\d\] (rye|spelt) flour: {papers}\.", text)
    assert f"[{numbers['roe']}] roe: pack." in text and f"[{numbers['crab']}] crab: unread: box of crab." in text


def test_a_stopped_dish_keeps_its_row_and_shows_no_state():
    menu = Menu("One", NOWHERE, courses=(Course(("plate",), NOWHERE),))
    one = declare("plate", fact("milk", CONTAINS), stopped="“smetana” is in no product file")
    text = texts(matrix_pdf(menu, [one], date="2026-12-01", looks=LOOKS)[0])[0]
    assert f"plate {NO_ANSWER} “smetana” is in no product file (recipes/x.yaml:12)" in text
    assert text.count("none on record") == 1  # the legend's


def test_a_dish_of_the_menu_without_a_declaration_is_a_finding_and_a_row_without_an_answer():
    menu, declarations = tasting(3)
    data, found = matrix_pdf(menu, declarations[:2], date="2026-12-01", looks=LOOKS)
    assert [one.code for one in found] == ["dish-without-declaration"]
    assert f"Hazelnut gougère {NO_ANSWER}" in texts(data)[0]


def test_a_declaration_that_is_not_on_the_menu_is_not_lost():
    menu, declarations = tasting(2)
    assert "Staff tea" in texts(matrix_pdf(menu, [*declarations, declare("Staff tea")], date="", looks=LOOKS)[0])[0]


def test_what_a_law_lets_off_the_label_is_said_to_be_told_all_the_same():
    oil = replace(fact("soybeans", CONTAINS, "recipe", "refined soya oil"), exempt=(("eu", "Annex II item 6(a)"),))
    menu = Menu("One", NOWHERE, courses=(Course(("plate",), NOWHERE),))
    text = texts(matrix_pdf(menu, [declare("plate", oil)], date="2026-12-01", looks=LOOKS)[0])[0]
    assert "contains [1] soya" in text
    assert "[1] refined soya oil: need not stand on a label by EU law, Annex II item 6(a); told to guests all the same" in text


def test_what_can_be_changed_is_named():
    text = texts(made(2)[0])[0]
    assert "sourdough: buckwheat cracker instead" in text
    assert "cultured butter: can be left off" in text


def test_more_reasons_than_a_page_holds_go_to_pages_of_their_own():
    names = [f"plate {number}" for number in range(10)]
    menu = Menu("Many", NOWHERE, courses=(Course(tuple(names), NOWHERE),))
    kinds = ("milk", "eggs", "fish", "celery", "mustard", "sesame", "lupin")
    why = "specification {} of the supplier, {}, a long reason " * 2
    plates = [declare(name, *(fact(kind, MAY_CONTAIN, why.format(name, kind, name, kind), f"{name} {kind}") for kind in kinds))
              for name in names]  # fmt: skip
    data, _ = matrix_pdf(menu, plates, date="2026-12-01", looks=LOOKS)
    pages = texts(data)
    assert all(f"[{number}]" in " ".join(pages) for number in range(1, 71))
    for placed in matrix_pages(menu, plates, date="2026-12-01", looks=LOOKS):
        assert overlaps(placed) == []
        assert outside(placed, page_size(LOOKS, "A4", landscape=True), 9 * MM) == []


def test_a_word_wider_than_its_column_is_divided_and_reported():
    menu = Menu("Long", NOWHERE, courses=(Course(("x" * 60,), NOWHERE),))
    plates = [declare("x" * 60, *(fact(kind, CONTAINS) for kind in ("milk", "eggs")))]
    placed = matrix_pages(menu, plates, date="2026-12-01", looks=LOOKS)
    assert overlaps(placed[0]) == []
    assert outside(placed[0], page_size(LOOKS, "A4", landscape=True), 9 * MM) == []
    data, found = matrix_pdf(menu, plates, date="2026-12-01", looks=LOOKS)
    assert {one.code for one in found} == {"sheet-too-full"}
    assert texts(data)[0].replace("- ", "").count("x" * 60) == 1  # divided, and whole


def test_a_letter_the_font_lacks_is_a_finding():
    menu = Menu("One", NOWHERE, courses=(Course(("味噌",), NOWHERE),))
    _, found = matrix_pdf(menu, [declare("味噌")], date="2026-12-01", looks=LOOKS)
    assert [one.code for one in found] == ["sheet-letter-missing"]
    assert "味" in found[0].text


def test_another_language_is_a_finding_not_a_guess():
    assert [one.code for one in made(2, language="el")[1]] == ["sheet-language"]


def test_states_differ_without_colour_or_shade():
    """On a copier greys go; what is left are the words of the state, and frames around the doubtful ones."""
    menu, declarations = tasting(12)
    page = matrix_pages(menu, declarations, date="2026-12-03", looks=LOOKS)[0]
    doubtful = sum(state in (MAY_CONTAIN, CROSS_CONTACT, NOT_CONFIRMED) for one in declarations if not one.stopped
                   for state, *_ in one.states.values())  # fmt: skip
    assert sum(isinstance(item, Frame) for item in page) == doubtful + sum(one.stopped for one in declarations)
    assert len(set(STATES.values())) == len(STATES)


def test_the_smallest_type_is_seven_points_for_kinds_and_six_for_states():
    menu, declarations = tasting(14)
    sizes = {item.ink.size for page in matrix_pages(menu, declarations, date="2026-12-03", looks=LOOKS)
             for item in page if isinstance(item, Text)}  # fmt: skip
    assert min(sizes) >= 6


def test_no_sheet_makes_a_promise():
    text = " ".join(texts(made(14)[0])).lower()
    for word in ("safe", "serve", "free from"):
        assert word not in text


@pytest.mark.parametrize("page", PAPERS)
def test_component_matrix_names_where_a_recipe_is_used(page):
    _, declarations = tasting(6)
    data, found = component_matrix_pdf("December tasting", declarations, date="2026-11-25", page=page, looks=LOOKS,
                                       used_in={"Hazelnut gougère": ("Canapé box", "Welcome")})  # fmt: skip
    text = texts(data)[0]
    assert found == ()
    assert "Component matrix" in text and "Used in" in text
    assert "Canapé box" in text and "Welcome" in text
    assert "contains hazelnut" in text


def test_a_menu_may_write_a_dish_in_another_case():
    menu = Menu("One", NOWHERE, courses=(Course(("The Plate",), NOWHERE),))
    data, found = matrix_pdf(menu, [declare("the plate", fact("milk", CONTAINS))], date="2026-12-01", looks=LOOKS)
    assert found == () and NO_ANSWER not in texts(data)[0]


def test_a_kind_outside_every_list_gets_a_column_only_where_it_is_on_record():
    menu = Menu("One", NOWHERE, courses=(Course(("plate",), NOWHERE),))
    plain = declare("plate", fact("milk", CONTAINS))
    wild = replace(plain, states={**plain.states, "buckwheat": (CONTAINS, ("buckwheat",), (fact("buckwheat", CONTAINS),)),
                                  "kiwi": (NONE_ON_RECORD, (), ())})  # fmt: skip
    text = texts(matrix_pdf(menu, [wild], date="", looks=LOOKS)[0])[0]
    assert "Molluscs Buckwheat Can be changed" in text and "contains buckwheat" in text and "iwi" not in text
    assert "Molluscs Can be changed" in texts(matrix_pdf(menu, [plain], date="", looks=LOOKS)[0])[0]


def test_an_empty_menu_is_an_empty_sheet_not_a_crash():
    data, found = matrix_pdf(Menu("Nothing", NOWHERE), [], date="2026-12-01", looks=LOOKS)
    assert found == () and "Nothing" in texts(data)[0]


@pytest.mark.parametrize("seed", range(12))
def test_whatever_stands_in_it_nothing_is_cut_and_nothing_overlaps(seed):
    """Random menus: names of one to seventy letters, any states, many reasons, changes and stopped dishes."""
    pick = random.Random(seed)

    def words(most: int) -> str:
        text = "".join(pick.choice("abcdefghij lmnop rstuvwż ηθ-") for _ in range(pick.randint(1, most)))
        return " ".join(text.split()) or "x"

    plates = []
    for number in range(pick.randint(1, 25)):
        facts = [fact(pick.choice(list(GROUPS) + list(GROUP)), pick.choice(STATE_LIST), words(60), words(20))
                 for _ in range(pick.randint(0, 14))]  # fmt: skip
        parts = tuple(Component(words(30), (), pick.random() < 0.5, words(20) if pick.random() < 0.5 else "") for _ in range(3))
        plates.append(declare(f"{words(70)} {number}", *facts, parts=parts, stopped=words(90) if pick.random() < 0.1 else ""))
    courses = tuple(Course((one.dish,), NOWHERE, pick.choice(("", words(20)))) for one in plates)
    page = pick.choice(PAPERS)
    size = page_size(LOOKS, page, landscape=True)
    menu = Menu(words(60), NOWHERE, "2026-12-01", "2026-12-07", courses)
    for placed in matrix_pages(menu, plates, date="", page=page, kitchen_name=words(40), looks=LOOKS):
        assert overlaps(placed) == []
        assert outside(placed, size, 9 * MM) == []
