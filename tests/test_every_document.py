"""Every document that ``labeller print`` makes, in its properties: title, language, text in reading order, equal bytes for equal
input, and what tells from which records it was made (kitchen version, data version, law date, short mark)."""

from __future__ import annotations

import re
from functools import cache
from io import BytesIO
from pathlib import Path

import pytest
from paper_kitchen import DAY, kitchen, printed
from pypdf import PdfReader

from labeller.serving.pipeline import open_kitchen

# document: words of its command, file, words in the order in which they are read, title
DOCUMENTS = {
    "labels": (
        ("labels", "--batch", "hazelnut boxes"),
        "hazelnut-boxes-labels.pdf",
        ("beetroot tartlets with hazelnut", "Ingredients", "Use by"),
        "Labels: beetroot tartlets with hazelnut",
    ),
    "run sheet": (
        ("run-sheet",),
        f"{DAY}-run-sheet.pdf",
        ("Run sheet", "Label", "beetroot tartlets with hazelnut", "Together"),
        "Run sheet",
    ),
    "tray labels": (
        ("tray-labels",),
        f"{DAY}-tray-labels.pdf",
        ("beetroot tartlets with hazelnut", "Contains", "Lot L1"),
        "Tray labels",
    ),
    "tub labels": (
        ("tub-labels",),
        "beetroot-butter-tub-labels.pdf",
        ("beetroot butter", "Contains", "Use by", "Made"),
        "Tub labels",
    ),
    "box card": (
        ("box-card", "--batch", "hazelnut boxes"),
        "hazelnut-boxes-box-card.pdf",
        ("beetroot tartlets with hazelnut", "6 ×", "2 ×", "The whole box"),
        "beetroot tartlets with hazelnut",
    ),
    "matrix": (
        ("matrix",),
        "winter-matrix.pdf",
        ("Allergen matrix", "Winter", "hazelnut tartlet", "beetroot bite"),
        "Allergen matrix: Winter",
    ),
    "components": (
        ("matrix",),
        "winter-components.pdf",
        ("Component matrix", "Winter", "beetroot butter"),
        "Component matrix: Winter",
    ),
    "menu card": (
        ("cards",),
        "winter-menu-card.pdf",
        ("Winter", "hazelnut tartlet", "Contains", "beetroot bite", "Please tell us"),
        "Winter",
    ),
    "tent cards": (("cards",), "winter-tent-cards.pdf", ("hazelnut tartlet", "Contains"), "Tent cards"),
    "recipe card": (
        ("recipe-cards",),
        "recipe-cards/beetroot-butter.pdf",
        ("beetroot butter", "Line", "beetroot", "butter", "black pepper", "Allergens of the whole"),
        "beetroot butter",
    ),
    "ticket": (
        ("ticket", "--avoid", "milk", "--avoid", "hazelnut", "--table", "4"),
        "winter-ticket-4.pdf",
        ("Allergy ticket", "Seat 1", "Seat 2", "checked by"),
        "Allergy ticket",
    ),
    "ticket on a roll": (
        ("ticket", "--avoid", "milk", "--page", "80 mm"),
        "winter-ticket.pdf",
        ("Allergy ticket", "Seat 1", "checked by"),
        "Allergy ticket",
    ),
}


@pytest.fixture(scope="module")
def house(tmp_path_factory):
    return kitchen(tmp_path_factory.mktemp("documents") / "house")


@cache
def once(house: Path, *words: str) -> dict[str, bytes]:
    """What a command prints, each command run once."""
    return printed(house, *words)[1]


def text_of(pdf: bytes) -> str:
    return "\n".join(re.sub(r"\s+", " ", page.extract_text()) for page in PdfReader(BytesIO(pdf)).pages)


@pytest.mark.parametrize("name", DOCUMENTS)
@pytest.mark.parametrize("law", ["uk", "us"])
def test_properties_order_and_bytes(house, name, law):
    words, file, order, title = DOCUMENTS[name]
    page = () if "--page" in words else ("--page", "Letter" if law == "us" else "A4")
    pdf = once(house, *words, "--law", law, *page)[file]
    reader = PdfReader(BytesIO(pdf))
    assert reader.metadata.title == title
    assert reader.trailer["/Root"]["/Lang"] == "en"
    assert "/CreationDate" not in reader.metadata or "2000" in str(reader.metadata["/CreationDate"]), "no clock goes in"
    text, at = text_of(pdf), 0
    for each in order:
        if law == "us" and each in ("Ingredients", "Use by") and each not in text:
            continue
        assert each in text[at:], f"“{each}” stands after what comes before it"
        at += text[at:].index(each)
    if law == "uk":
        assert printed(house, *words, "--law", law, *page)[1][file] == pdf, "equal input, equal bytes"


@pytest.mark.parametrize("name", DOCUMENTS)
def test_each_print_tells_what_it_was_made_from(house, name):
    words, file, _, _ = DOCUMENTS[name]
    pdf = once(house, *words)[file]
    opened = open_kitchen(house, DAY)
    whole = text_of(pdf) + " " + str(PdfReader(BytesIO(pdf)).metadata.subject)
    assert opened.kitchen.version[:8] in whole and opened.workshop.tables.foods.version[:8] in whole
    assert DAY in whole or "25 November 2026" in whole
    assert re.search(r"\b[2-9A-HJ-NP-Z]{5}\b", text_of(pdf)), "the short mark"


@pytest.mark.parametrize("name", DOCUMENTS)
def test_no_document_promises(house, name):
    words, file, _, _ = DOCUMENTS[name]
    text = text_of(once(house, *words)[file]).lower()
    assert not re.search(r"\bsafe\b|\bserve\b|free from|free of|allergen-free", text)


def test_a_line_without_an_amount_is_not_known_and_never_nought(house):
    text = text_of(once(house, "recipe-cards")["recipe-cards/beetroot-butter.pdf"])
    assert re.search(r"black pepper to taste not known", text) and not re.search(r"\b0 g", text)


def test_a_ticket_for_a_roll_is_as_wide_as_the_roll_and_one_strip(house, capsys):
    (pdf,) = printed(house, "ticket", "--avoid", "milk", "--avoid", "hazelnut", "--page", "80 mm")[1].values()
    (page,) = PdfReader(BytesIO(pdf)).pages
    wide, tall = (float(side) / 72 * 25.4 for side in page.mediabox[2:])
    assert wide == pytest.approx(80, abs=0.1) and 80 < tall < 600
    edges = []

    def note(text, cm, tm, font, size):
        if text.strip():
            edges.append(tm[4] / 72 * 25.4)

    page.extract_text(visitor_text=note)
    assert min(edges) >= 4 - 0.1, "72 of 80 mm can be printed on (reference/stock/rolls.csv)"
    capsys.readouterr()
    code, files = printed(house, "matrix", "--page", "80 mm")
    assert code == 1 and not files and "page-only-for-tickets" in capsys.readouterr().err
