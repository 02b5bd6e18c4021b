"""What goes out: nothing is lost on the way round, no cell is a formula, no code and no word says that something is absent.

Formula injection: CWE-1236 (MITRE), cells that begin with = + - @, tab, carriage return (from memory). GS1 codes: from memory,
see ``reference/exchange/SOURCES.yaml``. NutritionInformation: https://schema.org/NutritionInformation (from memory).
"""

from __future__ import annotations

import csv
import io
import json
import re
import zipfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

from labeller.reading.exchange_tables import load_codes, load_properties
from labeller.reading.imports.kitchen_text import flow, scalar
from labeller.reading.imports.typed import typed_recipes
from labeller.reading.keys import KNOWN, keys_of
from labeller.reading.kitchen import read_kitchen
from labeller.reading.new_kitchen import write_kitchen
from labeller.reading.recipes import LINES_KEY
from labeller.reading.sheets import csv_bytes, neutral, read_sheets, restored, xlsx_bytes
from labeller.serving.cli import main
from labeller.serving.pipeline import declared, dishes, open_kitchen
from labeller.serving.watching import bare
from labeller.terms.allergens import GROUPS

DAY = "2026-11-25"
DANGEROUS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
SIGNS = "'=+-@\t\r\n ab1＝"


@pytest.fixture(scope="module")
def demo(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("demo")
    write_kitchen("kitchen", folder)
    return folder


def exported(demo: Path, tmp_path: Path, what: str, form: str, *more: str) -> Path:
    path = tmp_path / f"{what}.{form}"
    assert main(["export", what, "--as", form, "--kitchen", str(demo), "--date", DAY, "--out", str(path), *more]) == 0
    return path


def rows_of(path: Path) -> list[list[str]]:
    return list(csv.reader(io.StringIO(path.read_text(encoding="utf-8-sig"), newline="")))


def house(folder: Path) -> Path:
    folder.mkdir()
    (folder / "kitchen.yaml").write_text("kitchen: Round\nlaw: uk\n", encoding="utf-8")
    return folder


# -- formulas --------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    ["=1+1", "+1", "-1", "@A1", "\t=1", "\r=1", "\n=1", "'=1", "''=1", '=HYPERLINK("x")', "＝1", "'", "''a", "safe 'text'"],
)
def test_no_cell_is_a_formula_and_each_text_comes_back(tmp_path: Path, text: str) -> None:
    assert not neutral(text).startswith(DANGEROUS) and restored(neutral(text)) == text
    (tmp_path / "x.csv").write_bytes(csv_bytes([["head", "more"], [text, "x"]]))
    (tmp_path / "x.xlsx").write_bytes(xlsx_bytes([("s", [["head", "more"], [text, "x"]])]))
    assert not rows_of(tmp_path / "x.csv")[1][0].startswith(DANGEROUS)
    cell = load_workbook(tmp_path / "x.xlsx").active["A2"]
    assert cell.data_type == "s" and not str(cell.value).startswith(DANGEROUS)
    for file in ("x.csv", "x.xlsx"):
        assert read_sheets(tmp_path / file)[0][0].rows[1:] == ((text.strip(), "x"),)


@settings(max_examples=400, deadline=None)
@given(st.text(alphabet=SIGNS, max_size=12))
def test_neutralising_can_be_undone_for_any_text(text: str) -> None:
    assert not neutral(text).startswith(DANGEROUS)
    assert restored(neutral(text)) == text


def test_every_cell_of_every_export_is_harmless(demo: Path, tmp_path: Path) -> None:
    for what in ("recipes", "records", "matrix", "nutrition", "gs1", "menu"):
        for row in rows_of(exported(demo, tmp_path, what, "csv")):
            assert not [cell for cell in row if cell.startswith(DANGEROUS)], (what, row)
        book = load_workbook(exported(demo, tmp_path, what, "xlsx"))
        for row in book.active.iter_rows():
            assert all(cell.data_type != "f" for cell in row), what


def test_a_recipe_with_a_formula_for_a_name(tmp_path: Path) -> None:
    kitchen = house(tmp_path / "a")
    (kitchen / "recipes").mkdir()
    name = '=cmd|"/c calc"!A1'
    (kitchen / "recipes" / "x.yaml").write_text(
        f"- dish: {scalar(name)}\n  portion:\n    - {scalar('@SUM(A1)')}: 5 g\n    - {scalar('-salt')}: to taste\n",
        encoding="utf-8",
    )
    for what in ("recipes", "records", "matrix", "nutrition", "gs1"):
        path = exported(kitchen, tmp_path, what, "csv")
        assert "cmd|" in path.read_text(encoding="utf-8-sig")
        assert not [cell for row in rows_of(path) for cell in row if cell.startswith(DANGEROUS)], what
    again = house(tmp_path / "b")
    assert main(["import", str(exported(kitchen, tmp_path, "recipes", "csv")), "--kitchen", str(again)]) == 0
    assert [line.name for line in read_kitchen(again)[0].recipes[name].lines] == ["@SUM(A1)", "-salt"]


# -- round trip ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("form", ["xlsx", "csv", "json"])
def test_recipes_come_back_as_they_went(demo: Path, tmp_path: Path, form: str) -> None:
    again = house(tmp_path / "again")
    assert main(["import", str(exported(demo, tmp_path, "recipes", form)), "--kitchen", str(again)]) == 0
    before, after = read_kitchen(demo)[0].recipes, read_kitchen(again)[0].recipes
    assert len(before) > 50 and set(before) == set(after)
    for name, recipe in before.items():
        assert bare(after[name]) == bare(recipe), name


WORD = st.text(alphabet="abé =+-@'\"#:,{}[]&*!|>%0159/½\t", min_size=1, max_size=9).map(lambda text: "x" + text.strip() + "y")
ANY = st.text(alphabet="abé =+-@'\"#:,{}[]&*!|>%0159/½", min_size=1, max_size=9).filter(
    lambda text: text == text.strip() and text != ""
)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_whatever_a_kitchen_typed_comes_back(tmp_path_factory, data) -> None:
    """Every key with any text behind it: what the reader would refuse comes back as well, so that it is refused again."""
    folder = tmp_path_factory.mktemp("typed")
    kitchen = house(folder / "a")
    (kitchen / "recipes").mkdir()
    kind = data.draw(st.sampled_from(tuple(LINES_KEY)))
    name = data.draw(WORD)
    keys = data.draw(st.lists(st.sampled_from(sorted(KNOWN[kind] - {kind, LINES_KEY[kind]})), unique=True, max_size=4))
    value = ANY | st.lists(ANY, max_size=3).filter(bool) | st.dictionaries(ANY, ANY, min_size=1, max_size=2)
    lines = data.draw(
        st.lists(
            st.tuples(WORD, st.dictionaries(st.sampled_from(sorted(KNOWN["line"])), ANY, max_size=3)), min_size=1, max_size=3
        )
    )
    text = [f"- {kind}: {scalar(name)}"] + [f"  {key}: {flow(data.draw(value))}" for key in keys] + [f"  {LINES_KEY[kind]}:"]
    text += [f"    - {scalar(word)}: {flow(inner)}" if inner else f"    - {scalar(word)}:" for word, inner in lines]
    (kitchen / "recipes" / "x.yaml").write_text("\n".join(text) + "\n", encoding="utf-8")
    first, broken = typed_recipes(kitchen)
    assert not broken and first[0].name == " ".join(name.split())
    form = data.draw(st.sampled_from(("csv", "json", "xlsx")))
    path = folder / f"r.{form}"
    assert main(["export", "recipes", "--as", form, "--kitchen", str(kitchen), "--out", str(path)]) == 0
    again = house(folder / "b")
    assert main(["import", str(path), "--kitchen", str(again)]) == 0
    second = typed_recipes(again)[0]
    assert [(each.name, each.kind, dict(each.fields)) for each in second] == [
        (each.name, each.kind, dict(each.fields)) for each in first
    ]
    assert [(line.name, dict(line.keys)) for line in second[0].lines] == [(line.name, dict(line.keys)) for line in first[0].lines]


def test_a_broken_entry_stops_the_export_of_recipes(tmp_path: Path, capsys) -> None:
    kitchen = house(tmp_path / "a")
    (kitchen / "recipes").mkdir()
    (kitchen / "recipes" / "x.yaml").write_text(
        "- dish: a\n  portion: [\n- dish: b\n  portion:\n    - salt: 1 g\n", encoding="utf-8"
    )
    assert main(["export", "recipes", "--as", "csv", "--kitchen", str(kitchen), "--out", str(tmp_path / "x.csv")]) == 1
    assert "export-entry-broken" in capsys.readouterr().err and not (tmp_path / "x.csv").exists()


def test_no_key_of_a_line_is_also_a_key_of_an_entry() -> None:
    """They share the columns of one table."""
    entries = {key.key for kind in LINES_KEY for key in keys_of(kind)}
    assert KNOWN["line"] & entries == set()


def test_the_same_kitchen_gives_the_same_bytes(demo: Path, tmp_path: Path) -> None:
    for what in ("recipes", "records", "matrix"):
        first = exported(demo, tmp_path, what, "xlsx").read_bytes()
        assert exported(demo, tmp_path, what, "xlsx").read_bytes() == first
        assert zipfile.is_zipfile(io.BytesIO(first))


# -- records and matrix ----------------------------------------------------------------------------------------------------


def test_records_say_what_the_declarations_say(demo: Path, tmp_path: Path) -> None:
    opened = open_kitchen(demo, DAY)
    head, *rows = rows_of(exported(demo, tmp_path, "records", "csv"))
    table = {row[0]: dict(zip(head, row, strict=True)) for row in rows}
    assert list(table) == [dish.name for dish in dishes(opened.kitchen)]
    for dish in dishes(opened.kitchen):
        made = declared(opened, dish, "uk")[0]
        row = table[dish.name]
        if made.stopped:
            assert row["answer"].startswith("NO ANSWER") and row["allergen: milk"] == row["answer"] and row["portion g"] == ""
            continue
        for figure in made.figures:
            assert row[f"{figure.key}, declared per 100 g"] == figure.per_100g
            exact = row[f"{figure.key}, exact per 100 g"]
            assert (exact == "") == (figure.value_100g is None) and (
                not exact or float(exact) == pytest.approx(figure.value_100g.mid, rel=1e-9)
            )
        for group in GROUPS:
            assert row[f"allergen: {group.replace('_', ' ')}"].startswith(
                {"none_on_record": "none on record", "contains": "contains"}.get(made.states[group][0], "")
            )
    objects = json.loads(exported(demo, tmp_path, "records", "json").read_text(encoding="utf-8"))
    assert [each["dish"] for each in objects] == list(table)


def test_the_matrix_of_a_menu_has_its_dishes_in_order(demo: Path, tmp_path: Path) -> None:
    opened = open_kitchen(demo, DAY)
    menu = next(iter(opened.kitchen.menus.values()))
    head, *rows = rows_of(exported(demo, tmp_path, "matrix", "csv", "--menu", menu.name))
    assert [row[1] for row in rows] == list(menu.dishes())
    assert head[2:16] == [group.replace("_", " ") for group in GROUPS]
    assert all(cell for row in rows for cell in row[2:16]), "an empty cell could be read as nothing in it"
    menus = rows_of(exported(demo, tmp_path, "menu", "csv"))
    assert [row[4] for row in menus[1:]] == [dish for each in opened.kitchen.menus.values() for dish in each.dishes()]


def test_a_form_that_is_not_made_and_a_menu_that_is_not_there(demo: Path, capsys) -> None:
    assert main(["export", "matrix", "--as", "json-ld", "--kitchen", str(demo)]) == 1
    assert main(["export", "matrix", "--menu", "nowhere", "--kitchen", str(demo)]) == 1
    err = capsys.readouterr().err
    assert "export-form-not-made" in err and "menu-not-known" in err


# -- schema.org and GS1 ----------------------------------------------------------------------------------------------------


def test_figures_for_schema_org_are_those_declared(demo: Path, tmp_path: Path) -> None:
    opened = open_kitchen(demo, DAY)
    found = json.loads(exported(demo, tmp_path, "nutrition", "json-ld").read_text(encoding="utf-8"))
    items = {item["name"]: item for item in found["hasMenuItem"]}
    known = {each.property for each in load_properties()} | {"@type", "servingSize"}
    for dish in dishes(opened.kitchen):
        made, item = declared(opened, dish, "uk")[0], items[dish.name]
        if made.stopped:
            assert "nutrition" not in item and item["disambiguatingDescription"].startswith("NO ANSWER")
            continue
        rows = {row.key: row for row in made.figures}
        assert set(item["nutrition"]) <= known
        fat = rows["fat_g"].per_portion.replace("<", "less than ")
        assert item["nutrition"]["fatContent"].split() == fat.split()
        assert item["nutrition"]["calories"].split()[0] == rows["energy_kcal"].per_portion.split()[0]
    assert "suitableForDiet" not in json.dumps(found)
    recipes = json.loads(exported(demo, tmp_path, "recipes", "json-ld").read_text(encoding="utf-8"))
    assert len(recipes) == len(opened.kitchen.recipes) and all(each["@type"] == "Recipe" for each in recipes)


@pytest.mark.parametrize("law", ["uk", "us", "ca", "anz", "none"])
def test_gs1_codes_never_say_that_something_is_absent(demo: Path, tmp_path: Path, law: str) -> None:
    text = exported(demo, tmp_path, "gs1", "json", "--law", law).read_text(encoding="utf-8")
    found = json.loads(text)
    table = exported(demo, tmp_path, "gs1", "csv", "--law", law).read_text(encoding="utf-8-sig")
    assert not re.search(r"(?i)free.?from|\bsafe\b", text + table)
    codes = load_codes()
    levels = {entry.get("levelOfContainmentCode", "") for item in found["items"] for entry in item.get("allergens", ())}
    assert levels <= {"CONTAINS", "MAY_CONTAIN", ""} and set(codes.levels.values()) == {"CONTAINS", "MAY_CONTAIN"}
    for item in found["items"]:
        for entry in item.get("allergens", ()):
            assert ("levelOfContainmentCode" in entry) == (entry["state"] != "not confirmed"), entry
        for block in item.get("nutrients", ()):
            for detail in block["nutrientDetail"]:
                assert detail["nutrientTypeCode"] in codes.nutrients.values()
                assert detail["quantityContained"]["measurementUnitCode"] in codes.units.values()


def test_gs1_codes_of_a_dish_are_those_of_its_record(demo: Path, tmp_path: Path) -> None:
    opened = open_kitchen(demo, DAY)
    items = {
        item["name"]: item for item in json.loads(exported(demo, tmp_path, "gs1", "json").read_text(encoding="utf-8"))["items"]
    }
    codes = load_codes()
    for dish in dishes(opened.kitchen):
        made = declared(opened, dish, "uk")[0]
        if made.stopped:
            assert set(items[dish.name]) & {"allergens", "nutrients"} == set() and "NO ANSWER" in items[dish.name]["answer"]
            continue
        sent = {entry.get("allergenTypeCode"): entry.get("levelOfContainmentCode") for entry in items[dish.name]["allergens"]}
        for group in GROUPS:
            expected = codes.levels.get(made.states[group][0])
            assert sent.get(codes.allergens[group]) == expected, (dish.name, group)
        per_100 = {
            entry["nutrientTypeCode"]: entry
            for block in items[dish.name]["nutrients"]
            if block["nutrientBasis"] == "100"
            for entry in block["nutrientDetail"]
        }
        fat = next(row for row in made.figures if row.key == "fat_g")
        number = re.search(r"[0-9.]+", fat.per_100g)[0]
        if "at least" in fat.per_100g:  # a lower bound is no quantity
            assert "FAT" not in per_100 and f"{fat.name}: {fat.per_100g}" in items[dish.name]["notSent"]
            continue
        assert per_100["FAT"]["quantityContained"]["value"] == float(number)
        assert {"FAT", "FASAT", "CHOAVL", "SUGAR-", "PRO-", "SALTEQ", "ENER-"} >= {"CHOAVL"} & set(
            per_100
        ) and "CHO-" not in per_100


def test_carbohydrate_has_the_code_of_its_laws_definition() -> None:
    codes = load_codes()
    assert codes.nutrient("carbohydrate_g", "available") == "CHOAVL" and codes.nutrient("carbohydrate_g", "total") == "CHO-"
    assert codes.nutrient("fat_g", "total") == codes.nutrient("fat_g", "available") == "FAT"
    assert codes.nutrient("water_g", "total") == "" and codes.remark


def test_the_fourteen_groups_have_codes() -> None:
    codes = load_codes()
    assert set(GROUPS) <= set(codes.allergens) and len({codes.allergens[group] for group in GROUPS}) == 14


def test_an_unread_jar_beside_what_is_contained_is_told(tmp_path: Path) -> None:
    """Wheat on record must not hide that a jar was never read."""
    kitchen = house(tmp_path / "a")
    (kitchen / "recipes").mkdir()
    (kitchen / "recipes" / "x.yaml").write_text(
        "- dish: toast\n  portion:\n    - plain flour: 50 g\n    - mystery chutney: 5 g\n", encoding="utf-8"
    )
    item = json.loads(exported(kitchen, tmp_path, "gs1", "json").read_text(encoding="utf-8"))["items"][0]
    assert {"allergenTypeCode": "UW", "levelOfContainmentCode": "CONTAINS", "name": "wheat", "state": "contains"} in item[
        "allergens"
    ]
    others = [entry for entry in item["allergens"] if entry.get("under") == "AW" or entry.get("allergenTypeCode") == "AW"]
    assert any(entry["state"] == "not confirmed" for entry in others), item["allergens"]
