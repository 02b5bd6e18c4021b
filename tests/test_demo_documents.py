"""The demo's documents, read back: nothing of a record is lost on its way to paper."""

from __future__ import annotations

import io
import json
import re
from pathlib import Path

import pytest
from pypdf import PdfReader

from labeller.serving.cli import main
from labeller.serving.pipeline import declared, open_kitchen
from labeller.serving.printed import BOOK
from labeller.terms.allergens import CONTAINS, NONE_ON_RECORD, TO_CONFIRM

DAY = "2026-11-25"


@pytest.fixture(scope="module")
def demo(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("demo") / "kitchen"
    assert main(["demo", str(folder)]) == 0
    return folder


@pytest.fixture(scope="module")
def opened(demo: Path):
    return open_kitchen(demo, DAY)


def text_of(path: Path) -> str:
    pages = PdfReader(io.BytesIO(path.read_bytes())).pages
    return " ".join(re.sub(r"-\n", "-", page.extract_text()).replace("\n", " ") for page in pages)


def document(demo: Path, ending: str) -> Path:
    found = [path for path in (demo / "out").iterdir() if path.name.endswith(ending)]
    assert len(found) == 1, ending
    return found[0]


def test_every_document_of_the_main_job_is_there(demo: Path) -> None:
    for ending in ("-matrix.pdf", "-components.pdf", "-menu-card.pdf", "-guest-card.pdf", "-tent-cards.pdf", "-labels.pdf",
                   "-floor.html", "-records.json"):  # fmt: skip
        assert document(demo, ending).stat().st_size > 5000, ending
    assert len(list((demo / "out" / "recipe-cards").glob("*.pdf"))) > 40


def words_of(opened, made) -> set[str]:
    """The names of all kinds that a dish holds or has met."""
    kinds = opened.workshop.tables.kinds
    held = {kind for state, found, _ in made.states.values() if state in (CONTAINS, TO_CONFIRM) for kind in found}
    return {kinds[kind].name.split(" (")[0].lower() for kind in held}


@pytest.mark.parametrize("ending", ["-matrix.pdf", "-menu-card.pdf"])
def test_every_allergen_of_the_records_stands_on_the_sheet(demo: Path, opened, ending: str) -> None:
    text = re.sub(r"\s+", " ", text_of(document(demo, ending))).lower()
    for name in opened.kitchen.menus["Late autumn tasting"].dishes():
        recipe = opened.workshop.names.recipe(name)
        made, _ = declared(opened, recipe, "uk")
        if made.stopped:
            continue
        for word in words_of(opened, made):
            short = {"sulphur dioxide and sulphites": "sulphites", "soya": "soya", "hen": "egg"}.get(word, word)
            assert short in text, (name, word)


def test_the_matrix_is_one_page_and_the_stopped_dish_keeps_its_row(demo: Path) -> None:
    reader = PdfReader(document(demo, "-matrix.pdf"))
    assert len(reader.pages) == 1
    text = re.sub(r"\s+", " ", reader.pages[0].extract_text())
    assert "NO ANSWER" in text and "ASK THE KITCHEN" in text and "none on record" in text
    box = reader.pages[0].mediabox
    assert box.width > box.height  # landscape


@pytest.mark.parametrize(("law", "page"), [("uk", "A4"), ("us", "Letter")])
def test_the_matrix_is_one_page_in_every_language_and_keeps_its_reasons(demo: Path, tmp_path: Path, law: str, page: str) -> None:
    """As many reasons as in English, each number once at the foot, the names of what they are about beside them; no type below
    7 pt for what a dish contains and 6 pt for the states (the smallest of templates/style.yaml, our own choice)."""
    counted = {}
    for language in ("en", "de", "fr", "es", "it", "nl"):
        words = ["--kitchen", str(demo), "--date", DAY, "--law", law, "--page", page, "--language", language]
        assert main(["print", "matrix", *words, "--out", str(tmp_path / language)]) == 0
        reader = PdfReader(tmp_path / language / "late-autumn-tasting-matrix.pdf")
        assert len(reader.pages) == 1, language
        sizes: set[float] = set()
        text = reader.pages[0].extract_text(visitor_text=lambda text, cm, tm, font, size, into=sizes: into.add(size))
        foot = re.sub(r"\s+", " ", text[text.rindex("[1]") :])
        numbers = [int(each) for each in re.findall(r"\[(\d+)\]", foot)]
        assert sorted(numbers) == list(range(1, len(numbers) + 1)), language
        for thing in ("rye flour", "lupin flour", "pickled walnuts", "deep fryer also cooks squid", "puff pastry"):
            assert thing in foot, (language, thing)
        counted[language] = len(numbers)
        assert min(size for size in sizes if size) >= 6
    assert set(counted.values()) == {counted["en"]} and counted["en"] > 20


def test_the_labels_carry_list_date_lot_and_business(demo: Path, opened) -> None:
    text = re.sub(r"\s+", " ", text_of(document(demo, "-labels.pdf")))
    made, _ = declared(opened, opened.workshop.names.recipe("Kelpstone canapé box"), "uk")
    for run in made.statement:
        if run.emphasis:
            assert run.text.lower() in text.lower()
    for words in ("Use by 27 November 2026", "Keep below 5 °C", "Orrin Staithe"):
        assert words in text
    assert "Contains:" not in text  # no Contains line beside an EU/UK list (Commission Notice 2017/C 428/01, from memory)


def test_records_are_the_same_as_declared(demo: Path, opened) -> None:
    records = {each["dish"]: each for each in json.loads(document(demo, "-records.json").read_text(encoding="utf-8"))}
    made, _ = declared(opened, opened.workshop.names.recipe("mussels, leek, cider"), "uk")
    assert {group: each["state"] for group, each in records["mussels, leek, cider"]["allergens"].items()} == {
        group: state for group, (state, _, _) in made.states.items()}  # fmt: skip
    assert any(state != NONE_ON_RECORD for state, _, _ in made.states.values())


def test_no_sheet_promises_what_nobody_can(demo: Path) -> None:
    for path in sorted((demo / "out").rglob("*.pdf")):
        text = text_of(path).lower()
        assert not re.search(r"\bsafe\b|\bfree from\b|\ballergen[- ]free\b", text), path.name
    page = document(demo, "-floor.html").read_text(encoding="utf-8").lower()
    assert not re.search(r"\bsafe\b|\bfree from\b", re.sub(r"<script.*?</script>|<style.*?</style>", "", page, flags=re.S))


def test_equal_inputs_give_equal_bytes(demo: Path, tmp_path: Path) -> None:
    again = tmp_path / "again"
    assert main(["demo", str(again)]) == 0
    one, two = ({path.name: path.read_bytes() for path in (folder / "out").rglob("*") if path.is_file()}
                for folder in (demo, again))  # fmt: skip
    assert set(one) == set(two)
    books = [[each for each in json.loads(files.pop(BOOK)) if not each["folder"]] for files in (one, two)]
    assert books[0] == books[1]  # beside these, the book has what other tests printed to other folders
    assert [name for name in one if one[name] != two[name]] == []
