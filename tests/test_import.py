"""Recipes come in from spreadsheets, recipe JSON-LD and pasted text: what is sure as it is, what is not as it stood, and asked.

The ways of writing an ingredient line in ``pasted_lines.csv`` and the layouts of the sheets are common practice, no source. The
properties of a recipe are those of https://schema.org/Recipe (from memory).
"""

from __future__ import annotations

import csv
import json
import re
import zipfile
from datetime import date
from itertools import dropwhile
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from json_ld_recipes import CASES, Case
from openpyxl import Workbook

from labeller.reading.amounts import NUMBER_WORDS
from labeller.reading.imports import Source, form_of, read_import
from labeller.reading.imports.kitchen_text import flow, line_text, recipe_text, scalar
from labeller.reading.imports.pasted import read_line
from labeller.reading.imports.spreadsheet import typed_value
from labeller.reading.kitchen import read_kitchen
from labeller.reading.names import load_names
from labeller.serving.cli import main
from labeller.terms.findings import Place
from labeller.terms.words import normalise

NAMES = load_names()
LINES = list(csv.DictReader((Path(__file__).parent / "pasted_lines.csv").open(encoding="utf-8")))
HOUSE = "kitchen: Test\nlaw: uk\n"
HERE = Place("pasted", 1)


def known(name: str) -> bool:
    return normalise(name) in NAMES


@pytest.fixture
def kitchen(tmp_path: Path) -> Path:
    folder = tmp_path / "kitchen"
    folder.mkdir()
    (folder / "kitchen.yaml").write_text(HOUSE, encoding="utf-8")
    return folder


def imported(capsys, kitchen: Path, *words: str) -> tuple[int, dict]:
    code = main(["import", *words, "--kitchen", str(kitchen), "--format", "json"])
    return code, json.loads(capsys.readouterr().out)


def typed(kitchen: Path, name: str) -> dict[str, str]:
    """Ingredient -> amount as the reader finds it."""
    recipe = read_kitchen(kitchen)[0].recipes[name]
    return {line.name: line.amount.text if line.amount else "" for line in recipe.lines}


def asked(told: dict, code: str = "import-line-unsure") -> str:
    return "\n".join(each["text"] for each in told["findings"] if each["code"] == code)


# -- pasted text -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("row", LINES, ids=[row["line"][:40] for row in LINES])
def test_a_pasted_line_comes_apart_as_a_cook_means_it(row: dict[str, str]) -> None:
    line = read_line(row["line"], known, HERE)
    keys = dict(line.keys)
    assert (line.name, keys.get("amount", ""), keys.get("note", "")) == (row["name"], row["amount"], row["note"])
    assert bool(line.asked) == (row["asked"] == "yes"), line.asked


def test_there_are_a_hundred_lines_and_a_good_part_of_them_is_asked() -> None:
    assert len(LINES) >= 100
    assert 20 <= sum(row["asked"] == "yes" for row in LINES) <= len(LINES) / 2


def test_what_may_be_another_ingredient_never_hides_in_a_note() -> None:
    for text in ("100 g butter, plus 10 g lard", "200 g flour (or ground almonds)", "1 tin tuna, with mayonnaise"):
        line = read_line(text, known, HERE)
        assert line.asked and not any(key == "note" for key, _ in line.keys), text
        assert text.split(" ")[-1].strip(")") in line.name


@settings(max_examples=400, deadline=None)
@example("THREE :")  # an amount and no name
@example("THREE A")
@given(st.text(max_size=60))
def test_no_text_breaks_the_parser_and_no_word_is_dropped(text: str) -> None:
    line = read_line(text, known, HERE)
    if line is None:
        assert not any(char.isalnum() for char in text)
        return
    shown = "".join(char if char.isprintable() else " " for char in text)
    assert line.stood == " ".join(shown.split())
    if not line.asked:  # what is sure is written in full: name, amount and note hold all the letters that stood there
        kept = "".join((line.name, *(value for _, value in line.keys)))
        words = dropwhile(NUMBER_WORDS.__contains__, re.split(r"[\W\d_]+", line.stood.lower()))  # "three" in front is kept as 3
        lost = {char for char in "".join(words) if char.isalpha()} - {char for char in kept.lower()}
        assert lost <= set("ofdueainlxs'’"), (text, line)  # "of", "de", "di", "du", "x"


@settings(max_examples=300, deadline=None)
@given(st.text(max_size=40))
def test_a_written_line_is_read_back_as_the_same_words(text: str) -> None:
    from labeller.reading.nodes import Notes, parse

    line = read_line(text, known, HERE)
    if line is None or not line.name:
        return
    notes = Notes()
    page = parse(("\n".join(line_text(line)) + "\n").encode(), "recipes/x.yaml", notes)
    item = page.roots[0].value[0]
    left, right = item.value[0]
    assert " ".join(left.value.split()) == " ".join(line.name.split())
    found = {key.value: value.value for key, value in right.value} if right.id == "mapping" else {"amount": right.value}
    assert {key: value for key, value in found.items() if value} == dict(line.keys) and not notes.findings


@settings(max_examples=400, deadline=None)
@given(
    st.recursive(
        st.text(max_size=12),
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
        max_leaves=6,
    )
)
def test_a_value_written_on_one_line_is_the_same_value(value: object) -> None:
    assert scalar("0123").startswith('"') and scalar("a: b").startswith('"') and scalar("'nduja").startswith('"')
    if not isinstance(value, str):
        assert typed_value(flow(value)) == (value, "")


def test_a_pasted_recipe_has_its_name_its_yield_and_its_method(kitchen: Path, tmp_path: Path, capsys) -> None:
    path = tmp_path / "pots.txt"
    path.write_text(
        "Chocolate pots\n\nMakes 12 pots\n200 g dark chocolate, chopped\nFor the top:\nbutter for greasing\n\n"
        "Method\nMelt it # slowly.\n",
        encoding="utf-8",
    )
    code, told = imported(capsys, kitchen, str(path))
    text = (kitchen / "recipes" / "chocolate-pots.yaml").read_text(encoding="utf-8")
    assert code == 0 and typed(kitchen, "Chocolate pots") == {"dark chocolate": "200 g", "butter": "as needed"}
    assert "makes: 12 pots" in text and "#   Melt it # slowly." in text and "# For the top:" in text
    assert "no amount is written" in asked(told) and "For the top:" in asked(told, "import-heading")
    assert "the method" in asked(told, "import-left-out")
    recipe = read_kitchen(kitchen)[0].recipes["Chocolate pots"]
    assert recipe.makes.pieces.mid == 12


def test_a_text_without_a_name_wants_one(kitchen: Path, monkeypatch, capsys) -> None:
    import io

    monkeypatch.setattr("sys.stdin", io.StringIO("100 g flour\n2 eggs\n"))
    code, told = imported(capsys, kitchen, "-")
    assert code == 1 and told["findings"][0]["code"] == "import-name-missing" and not (kitchen / "recipes").exists()
    monkeypatch.setattr("sys.stdin", io.StringIO("100 g flour\n2 eggs\n"))
    code, told = imported(capsys, kitchen, "-", "--name", "Paste: plain")
    assert code == 0 and typed(kitchen, "Paste: plain") == {"flour": "100 g", "eggs": "2"}


def test_a_name_that_is_there_is_never_overwritten(kitchen: Path, tmp_path: Path, capsys) -> None:
    (tmp_path / "a.txt").write_text("100 g flour\n", encoding="utf-8")
    (kitchen / "products").mkdir()
    (kitchen / "products" / "p.yaml").write_text("- product: miso\n  also called: [White Miso]\n", encoding="utf-8")
    assert imported(capsys, kitchen, str(tmp_path / "a.txt"), "--name", "dough")[0] == 0
    before = (kitchen / "recipes" / "dough.yaml").read_bytes()
    for name in ("Dough", "white miso"):
        code, told = imported(capsys, kitchen, str(tmp_path / "a.txt"), "--name", name)
        assert code == 1 and told["findings"][0]["code"] == "import-name-taken" and told["written"] == []
    assert (kitchen / "recipes" / "dough.yaml").read_bytes() == before
    assert (
        imported(capsys, kitchen, str(tmp_path / "a.txt"), "--name", "dough!?")[1]["findings"][0]["code"] == "import-name-taken"
    )
    assert imported(capsys, kitchen, str(tmp_path / "a.txt"), "--name", "dough 2", "--dry-run")[1]["recipes"][0][
        "text"
    ].startswith("# From a.txt")
    assert not (kitchen / "recipes" / "dough-2.yaml").exists()


# -- spreadsheets ----------------------------------------------------------------------------------------------------------


def long_table(path: Path) -> Path:
    """One long table as a German kitchen keeps it: Windows letters, semicolons, decimal commas, the name on the first row."""
    rows = (
        "Rezept;Zutat;Menge;ME;Bemerkung;Lieferant",
        "Kartoffelsuppe;Kartoffeln;1,5;kg;mehlig;Hof A",
        ";Zwiebel;2;Stk;;Hof A",
        ";Sahne;200;ml;;",
        ";Salz;;;nach Geschmack;",
        "Semmelknödel;Semmeln;300;g;vom Vortag;",
        ";Ei;3;Stk;;",
        ";Butter oder Margarine;30;g;;",
        ";Mehl;1,500;g;;",
        ";Petersilie;1;Bund;;",
        ";Muskat;5;;;",
        ";Summe;580;g;;",
    )
    path.write_bytes("\r\n".join(rows).encode("cp1252"))
    return path


def book_of_recipes(path: Path) -> Path:
    """A workbook with a cover, one sheet for each recipe, headings at different heights, numbers as numbers."""
    book = Workbook()
    book.active.title = "Cover"
    book.active.append(["Our recipes, spring"])
    sheets = {
        "Beurre blanc": [
            ["Beurre blanc"],
            ["Yield", "640 g"],
            [],
            ["Ingredient", "Qty (g)", "Prep"],
            ["Shallots", 60, "finely chopped"],
            ["White wine", 200],
            ["Butter", 400.5, "cold, diced"],
            ["Salt", None],
            ["Lemon", "1/2"],
            [],
            ["Method"],
            ["Reduce."],
        ],
        "Sheet3": [
            ["Recipe:", "Lemon curd"],
            ["Portions", 12],
            ["Item", "Quantity", "Unit", "Cost"],
            ["Eggs", 4, "ea", 1.2],
            ["Caster sugar", 0.25, "kg", 0.3],
            ["Lemons", date(2026, 2, 1), "pcs"],
            ["Butter", 4, "T"],
            ["Cornflour", 12],
            ["Total", None, None, 1.5],
        ],
        "Tuile": [["Ingredients", "Amount"], ["Egg white", "2 large"], ["Icing sugar", 100], ["Flour", 0.1]],
    }
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    book["Tuile"]["B3"].number_format = '0 "g"'
    book["Tuile"]["B4"].number_format = '0.0 "kg"'
    book.save(path)
    return path


def lines_in_cells(path: Path) -> Path:
    """One row for each dish, its ingredients as lines within a cell."""
    path.write_text(
        'Dish,Serves,Ingredients\nCarrot soup,4,"500 g carrots, diced\n1 l chicken stock\n2 tbsp olive oil"\n'
        'Salad,2,"1 cos lettuce\n30 g parmesan\nolive oil"\n',
        encoding="utf-8",
    )
    return path


def test_a_long_table_comes_in_and_each_doubtful_line_is_asked(kitchen: Path, tmp_path: Path, capsys) -> None:
    code, told = imported(capsys, kitchen, str(long_table(tmp_path / "rezepte.csv")))
    assert code == 0 and [each["name"] for each in told["recipes"]] == ["Kartoffelsuppe", "Semmelknödel"]
    assert typed(kitchen, "Kartoffelsuppe") == {
        "Kartoffeln": "1.5 kg",
        "Zwiebel": "2 pieces",
        "Sahne": "200 ml",
        "Salz": "to taste",
    }
    lines = {line.name: line for line in read_kitchen(kitchen)[0].recipes["Semmelknödel"].lines}
    assert list(lines) == ["Semmeln", "Ei", "Butter oder Margarine", "Mehl", "Petersilie", "Muskat"]
    assert lines["Semmeln"].note == "vom Vortag" and lines["Petersilie"].amount.text == "1 bunch"
    text = asked(told)
    for doubt in ("Butter oder Margarine", "1,500", "Muskat", "Summe", "Windows-1252"):
        assert doubt in text, doubt
    for sure in ("Kartoffeln", "Zwiebel", "Sahne", "Salz", "Semmeln |", "Petersilie"):
        assert sure not in text, sure
    assert "Lieferant" in asked(told, "import-left-out")
    found = {each.code for each in read_kitchen(kitchen)[1]}
    assert "amount-comma" in found, "a thousand or one and a half: the kitchen's own check goes on asking"
    assert lines["Mehl"].amount is None and lines["Muskat"].amount is None


def test_a_sheet_for_each_recipe(kitchen: Path, tmp_path: Path, capsys) -> None:
    code, told = imported(capsys, kitchen, str(book_of_recipes(tmp_path / "book.xlsx")))
    assert code == 0 and [each["name"] for each in told["recipes"]] == ["Beurre blanc", "Lemon curd", "Tuile"]
    assert typed(kitchen, "Beurre blanc") == {
        "Shallots": "60 g",
        "White wine": "200 g",
        "Butter": "400.5 g",
        "Salt": "",
        "Lemon": "",
    }
    assert typed(kitchen, "Lemon curd") == {
        "Eggs": "4 pieces",
        "Caster sugar": "0.25 kg",
        "Lemons": "",
        "Butter": "",
        "Cornflour": "",
    }
    assert typed(kitchen, "Tuile") == {"Egg white": "2 large", "Icing sugar": "100 g", "Flour": "0.1 kg"}
    recipes = read_kitchen(kitchen)[0].recipes
    assert recipes["Beurre blanc"].makes.grams.mid == 640 and recipes["Lemon curd"].serves.mid == 12
    assert {line.name: line.note for line in recipes["Beurre blanc"].lines}["Butter"] == "cold, diced"
    text = asked(told)
    for doubt in ('"Salt"', "Lemon | 1/2", "was it 1/2?", "4 tbsp or 4 tsp", "12 g, or 12 pieces?", "Total"):
        assert doubt in text, doubt
    left = asked(told, "import-left-out")
    assert "Cover" in left and '"Cost"' in left and "the method" in left
    assert "#   Reduce." in (kitchen / "recipes" / "beurre-blanc.yaml").read_text(encoding="utf-8")


def test_lines_within_cells(kitchen: Path, tmp_path: Path, capsys) -> None:
    code, told = imported(capsys, kitchen, str(lines_in_cells(tmp_path / "wide.csv")), "--kind", "dish")
    recipes = read_kitchen(kitchen)[0].recipes
    assert code == 0 and typed(kitchen, "Carrot soup") == {"carrots": "500 g", "chicken stock": "1 l", "olive oil": "2 tbsp"}
    assert typed(kitchen, "Salad") == {"cos lettuce": "1", "parmesan": "30 g", "olive oil": ""}
    assert (recipes["Salad"].kind, recipes["Salad"].serves.mid) == ("dish", 2)
    assert asked(told).count("no amount is written") == 1


def test_columns_that_are_not_known_are_asked_once_and_remembered(kitchen: Path, tmp_path: Path, capsys) -> None:
    path = tmp_path / "odd.csv"
    path.write_text("was,wieviel,womit,egal\nflour,200,g,x\nmilk,1/2,l,y\n", encoding="utf-8")
    code, told = imported(capsys, kitchen, str(path))
    assert code == 1 and told["findings"][0]["code"] == "import-columns-not-known" and told["written"] == []
    assert 'A "was"' in told["findings"][0]["text"] and "--columns" in told["findings"][0]["mend"]
    code, told = imported(capsys, kitchen, str(path), "--columns", "name=was,amount=B,unit=womit", "--name", "first")
    assert code == 0 and typed(kitchen, "first") == {"flour": "200 g", "milk": "1/2 l"}
    assert "egal" in asked(told, "import-left-out")
    code, told = imported(capsys, kitchen, str(path), "--name", "second")
    assert code == 0 and typed(kitchen, "second") == typed(kitchen, "first")
    assert "imports.yaml" not in str(read_kitchen(kitchen)[1]), "the memory is no stray file"


def test_a_table_without_headings_is_told_by_letters_and_remembered(kitchen: Path, tmp_path: Path, capsys) -> None:
    path = tmp_path / "plain.csv"
    path.write_text("flour,200,g\nmilk,300,ml\n", encoding="utf-8")
    assert imported(capsys, kitchen, str(path), "--name", "a")[0] == 1
    assert imported(capsys, kitchen, str(path), "--name", "a", "--columns", "name=A,amount=B,unit=C")[0] == 0
    assert imported(capsys, kitchen, str(path), "--name", "b")[0] == 0
    assert typed(kitchen, "a") == typed(kitchen, "b") == {"flour": "200 g", "milk": "300 ml"}


@pytest.mark.parametrize("columns", ["name", "name=A,name=B", "nam=A", "amount=B", "name=A,amount=A", "name=ZZZZ,amount=B"])
def test_columns_that_cannot_be_are_told(kitchen: Path, tmp_path: Path, capsys, columns: str) -> None:
    path = tmp_path / "plain.csv"
    path.write_text("was,wieviel\nflour,200 g\n", encoding="utf-8")
    code, told = imported(capsys, kitchen, str(path), "--columns", columns)
    assert code == 1 and told["findings"][0]["code"].startswith("import-columns")
    assert not (kitchen / "imports.yaml").exists() and not (kitchen / "recipes").exists()


def test_two_columns_that_claim_one_place_are_asked(kitchen: Path, tmp_path: Path, capsys) -> None:
    path = tmp_path / "two.csv"
    path.write_text("Ingredient,Gross qty,Quantity,Menge\nflour,210,200,200\n", encoding="utf-8")
    code, told = imported(capsys, kitchen, str(path))
    assert code == 1 and "could each be the amount" in told["findings"][0]["text"]


def test_a_comma_within_a_line_of_text_divides_nothing(kitchen: Path, tmp_path: Path, capsys) -> None:
    path = tmp_path / "list.csv"
    path.write_text("Ingredients\n200 g flour, sifted\n2 eggs\n1 onion, peeled, chopped\n", encoding="utf-8")
    assert imported(capsys, kitchen, str(path))[0] == 0
    assert typed(kitchen, "list") == {"flour": "200 g", "eggs": "2", "onion": "1"}


def test_cells_beside_the_headings_are_told(kitchen: Path, tmp_path: Path, capsys) -> None:
    path = tmp_path / "beside.csv"
    path.write_text("Ingredient,Amount,\nflour,200 g,only on Sundays\n", encoding="utf-8")
    assert "column C" in asked(imported(capsys, kitchen, str(path))[1], "import-left-out")


def test_a_formula_without_a_value_and_an_error_are_asked(kitchen: Path, tmp_path: Path, capsys) -> None:
    book = Workbook()
    for row in (["Ingredient", "Amount", "Unit"], ["flour", "=B3*2", "g"], ["milk", "300", "ml"]):
        book.active.append(row)
    book.save(tmp_path / "f.xlsx")
    _, told = imported(capsys, kitchen, str(tmp_path / "f.xlsx"))
    assert "a formula that was never worked out" in asked(told) and typed(kitchen, "f")["flour"] == ""


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("broken.xlsx", b"PK\x03\x04 nothing"),
        ("old.xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600),
        ("zero.csv", b"a,b\0c\n"),
        ("empty.csv", b""),
        ("empty.txt", b""),
        ("broken.json", b'{"@type": "Recipe", '),
        ("other.json", b'{"a": 1}'),
        ("page.html", b"<html>no recipe</html>"),
        ("nest.json", b"[" * 100_000),
    ],
)
def test_files_that_hold_no_recipe_are_findings(kitchen: Path, tmp_path: Path, capsys, name: str, data: bytes) -> None:
    (tmp_path / name).write_bytes(data)
    code, told = imported(capsys, kitchen, str(tmp_path / name))
    assert code == 1 and told["written"] == [] and told["findings"][-1]["code"].startswith("import-")


def test_a_kitchen_that_is_not_there_is_not_made(tmp_path: Path, capsys) -> None:
    (tmp_path / "a.txt").write_text("1 egg\n", encoding="utf-8")
    code, told = imported(capsys, tmp_path / "nowhere", str(tmp_path / "a.txt"), "--name", "x")
    assert code == 1 and told["findings"][0]["code"] == "no-kitchen-here" and not (tmp_path / "nowhere").exists()


def test_an_export_with_a_kind_that_is_none_is_asked(kitchen: Path, tmp_path: Path, capsys) -> None:
    (tmp_path / "x.csv").write_text("kind,name,ingredient,amount,method\nsoup,broth,salt,1 g,simmered\n", encoding="utf-8")
    _, told = imported(capsys, kitchen, str(tmp_path / "x.csv"))
    assert 'its kind is "soup"' in asked(told) and read_kitchen(kitchen)[0].recipes["broth"].kind == "recipe"


def test_a_file_that_is_not_there(kitchen: Path, capsys) -> None:
    assert imported(capsys, kitchen, "nowhere.csv")[1]["findings"][0]["code"] == "import-not-readable"
    assert imported(capsys, kitchen, "nowhere.txt")[1]["findings"][0]["code"] == "import-not-readable"


def test_a_workbook_that_unpacks_to_too_much_is_refused(kitchen: Path, tmp_path: Path, capsys, monkeypatch) -> None:
    monkeypatch.setattr("labeller.reading.sheets.MOST_UNPACKED", 1000)
    code, told = imported(capsys, kitchen, str(book_of_recipes(tmp_path / "book.xlsx")))
    assert code == 1 and "unpacks" in told["findings"][0]["text"]


# -- JSON-LD ---------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("case", CASES, ids=[case.name for case in CASES])
def test_recipes_of_schema_org_come_in(kitchen: Path, tmp_path: Path, capsys, case: Case) -> None:
    path = tmp_path / ("page.html" if case.text.startswith("<") else "recipe.json")
    path.write_text(case.text, encoding="utf-8")
    code, told = imported(capsys, kitchen, str(path))
    assert code == 0 and [each["name"] for each in told["recipes"]] == [case.name]
    arrived = read_import(Source(path.name, path), form_of(Source(path.name, path)), known).recipes[0]
    assert {line.name: dict(line.keys).get("amount", "") for line in arrived.lines if line.name} == case.lines
    assert dict(arrived.fields) == case.fields
    assert tuple(line.stood for line in arrived.lines if line.asked) == case.asked
    for stood in case.asked:
        assert stood in asked(told) + asked(told, "import-heading")
    text = (kitchen / told["recipes"][0]["file"]).read_text(encoding="utf-8")
    assert all(remark in text for remark in case.remarks)
    recipe = read_kitchen(kitchen)[0].recipes[case.name]
    assert [line.name for line in recipe.lines] == list(case.lines)
    broken = {each.code for each in read_kitchen(kitchen)[1] if each.severity == "stop"}
    assert broken <= {"amount-comma", "amount-two-readings"} or not case.asked


def test_there_are_ten_recipes_and_doubtful_lines_among_them() -> None:
    assert len(CASES) == 10 and sum(bool(case.asked) for case in CASES) >= 5


# -- food data -------------------------------------------------------------------------------------------------------------


def test_a_download_of_food_data_goes_to_the_store(kitchen: Path, tmp_path: Path, capsys) -> None:
    path = tmp_path / "FoodData_Central_foundation_food_json_2024-10-31.json"
    food = {
        "fdcId": 1,
        "description": "Flour, test",
        "ndbNumber": 20481,
        "dataType": "Foundation",
        "publicationDate": "10/31/2024",
        "foodNutrients": [{"nutrient": {"number": "203", "unitName": "g"}, "amount": 10.5}],
    }
    path.write_text(json.dumps({"FoundationFoods": [food]}), encoding="utf-8")
    assert main(["import", str(path), "--kitchen", str(kitchen)]) == 0
    out = capsys.readouterr()
    assert "1 foods" in out.out and (kitchen / "foods.sqlite").exists()
    with zipfile.ZipFile(tmp_path / "wrong.zip", "w") as archive:
        archive.writestr("nothing.txt", "x")
    assert main(["import", str(tmp_path / "wrong.zip"), "--kitchen", str(kitchen)]) == 1


def test_the_text_of_an_entry_says_what_is_asked() -> None:
    arrived = read_import(Source("x", None, "100 g butter or margarine\n"), "text", known, name="spread")
    text = recipe_text(arrived.recipes[0])
    assert text.splitlines()[2:] == [
        '    # asked: "butter or margarine" leaves a choice; write the one that is used; it stood: 100 g butter or margarine',
        "    - butter or margarine: 100 g",
    ]
