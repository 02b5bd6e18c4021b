"""A kitchen's own templates, file by file: one of the same name is used, a broken one is a finding with its line and the
shipped one stands in. Nothing that is prescribed, and no allergen line, can be lost by a template."""

from __future__ import annotations

import re
from io import BytesIO
from pathlib import Path

import pytest
from paper_kitchen import kitchen, printed
from pypdf import PdfReader

from labeller.reading.library import root

WEB = "law: uk=>web: https://example.org/tables\nlaw: uk"
SHIPPED = {path.name for path in root("templates").iterdir() if path.is_file()}
# file: command, document it shows in, what the kitchen writes, what is then read; a broken text, its line, what is told
OVERRIDES = {
    "style.yaml": (
        ("matrix",),
        "winter-matrix.pdf",
        "type pt: {title: 21}\n",
        None,
        "type pt:\n  title: large\n",
        2,
        "not a number",
    ),
    "cards.yaml": (
        ("cards",),
        "winter-menu-card.pdf",
        'en:\n  contains: "In it: {}"\n',
        "In it: milk",
        'en:\n  notice: "hi"\n  contains: "x"\n',
        3,
        "needs {}",
    ),
    "sheets.yaml": (
        ("matrix",),
        "winter-matrix.pdf",
        'en:\n  matrix: "What is in what"\n',
        "What is in what",
        'en:\n  dish: "Plate"\n\n  no such line: "x"\n',
        4,
        "not a line",
    ),
    "label.yaml": (
        ("labels", "--batch", "plain boxes"),
        "plain-boxes-labels.pdf",
        'words: {pack mark: "Print {mark}"}\n',
        "Print ",
        "pt:\n  comfort: large\n",
        2,
        "not a number",
    ),
    "menu_card.txt": (
        ("cards",),
        "winter-menu-card.pdf",
        "title | Tonight\n{% for course in courses %}{% for dish in course.dishes %}\ndish | {{ dish.name }}\n"
        "{% for line in dish.allergens %}\nallergens | {{ line }}\n{% endfor %}{% endfor %}{% endfor %}\nnotice | {{ notice }}\n",
        "Tonight",
        "title | {{ menu }}\n\n{% for course in courses %}\n",
        3,
        "can't be read",
    ),
    "tent_card.txt": (
        ("cards",),
        "winter-tent-cards.pdf",
        "dish | {{ dish.name }}\n{% for line in dish.allergens %}\nallergens | {{ line }}\n{% endfor %}\nfoot | Just ask\n",
        "Just ask",
        "dish | {{ dish.name }}\nfoot | {{ nothing.there }}\n",
        2,
        "can't be filled in",
    ),
    "floor_page.yaml": (
        ("floor-page",),
        "winter-floor.html",
        'en:\n  floor search: "What does the guest avoid"\n',
        "What does the guest avoid",
        'en:\n  floor table: "Tafel"\n\n  floor course: "Course"\n',
        4,
        "needs {}",
    ),
    "floor_page.html": (
        ("floor-page",),
        "winter-floor.html",
        None,
        "A line of our own",
        "<html>\n{{ style }}\n{% endif %}\n",
        3,
        "can't be read",
    ),
    "floor_page.css": (
        ("floor-page",),
        "winter-floor.html",
        "body { color: rebeccapurple; }\n",
        "rebeccapurple",
        "body { color: red; }\n</style><script>\n",
        2,
        "has no place",
    ),
    "record_page.html": (
        ("labels", "--batch", "plain boxes"),
        "records/",
        None,
        "A line of our own",
        "<p>{{ mark }}\n{% for %}\n",
        2,
        "can't be read",
    ),
}
NEVER = {"floor_page.js", "floor_rule.js"}  # hold the rule of labeller/terms/floor.py; a kitchen's own is not used


@pytest.fixture
def house(tmp_path):
    folder = kitchen(tmp_path / "house", kitchen=WEB)
    (folder / "templates").mkdir()
    return folder


def read(files: dict[str, bytes], name: str) -> str:
    data = next(content for file, content in files.items() if file.startswith(name))
    if not data.startswith(b"%PDF"):
        return data.decode()
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in PdfReader(BytesIO(data)).pages))


def test_every_template_is_tried_here():
    assert set(OVERRIDES) | NEVER == SHIPPED


def own_text(name: str) -> str:
    """What a kitchen writes: of an HTML page the shipped one with a line more."""
    text = OVERRIDES[name][2]
    return text or (root("templates") / name).read_text(encoding="utf-8").replace("</body>", "<p>A line of our own</p></body>")


@pytest.mark.parametrize("name", OVERRIDES)
def test_a_file_of_the_same_name_is_used(house, name, capsys):
    words, document, _, shown, *_ = OVERRIDES[name]
    before = printed(house, *words)[1]
    (house / "templates" / name).write_text(own_text(name), encoding="utf-8")
    after = printed(house, *words, "--page", "A4")[1]
    assert "broken" not in capsys.readouterr().out
    if shown:
        assert shown not in read(before, document) and shown in read(after, document)
    assert read(before, document) != read(after, document) or before[document] != after[document]


@pytest.mark.parametrize("name", OVERRIDES)
def test_a_broken_one_is_told_with_its_line_and_the_shipped_one_stands(house, name, capsys):
    words, document, _, _, wrong, line, told = OVERRIDES[name]
    before = read(printed(house, *words)[1], document)
    capsys.readouterr()
    (house / "templates" / name).write_text(wrong, encoding="utf-8")
    after = read(printed(house, *words, "--page", "A4")[1], document)
    out = " ".join(capsys.readouterr().out.split())
    assert f"templates/{name}:{line}" in out and told in out
    if name not in ("cards.yaml", "sheets.yaml", "floor_page.yaml"):  # there the good line of the two is used
        assert versionless(after) == versionless(before)


def versionless(text: str) -> str:
    """Without the kitchen's version and the mark, which change with every file of the kitchen."""
    return re.sub(r"\b[0-9a-f]{8,12}\b|\b[2-9A-HJ-NP-Z]{5}\b", "", text)


@pytest.mark.parametrize("name", ["menu_card.txt", "tent_card.txt", "record_page.html"])
def test_a_template_that_leaves_an_allergen_out_is_not_used(house, name, capsys):
    words, document, *_ = OVERRIDES[name]
    empty = "<html><body>{{ mark }}</body></html>" if name.endswith("html") else "dish | plate\nnotice | ask us\n"
    (house / "templates" / name).write_text(empty, encoding="utf-8")
    assert "milk" in read(printed(house, *words)[1], document)
    assert "leaves out the allergen line" in " ".join(capsys.readouterr().out.split())


@pytest.mark.parametrize("name", sorted(NEVER))
def test_a_kitchens_own_script_is_not_used(house, name):
    (house / "templates" / name).write_text("alert('all clear')", encoding="utf-8")
    assert "all clear" not in read(printed(house, "floor-page")[1], "winter-floor.html")


def test_a_file_that_is_no_text_is_told(house, capsys):
    for name in sorted(set(OVERRIDES)):
        (house / "templates" / name).write_bytes(b"\xff\xfe\x00bad")
        words, *_ = OVERRIDES[name]
        printed(house, *words)
        assert f"templates/{name}" in capsys.readouterr().out, name
        Path(house / "templates" / name).unlink()
