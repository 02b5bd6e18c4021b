"""Recipes brought in on the local page: shown line by line, written to new files only, asked lines settled in their field.

The ways of writing an ingredient line and the layouts of the sheets are common practice, no source. Properties of a recipe page:
https://schema.org/Recipe (from memory).
"""

from __future__ import annotations

import io
import json
import re
from pathlib import Path
from urllib.parse import quote

import pytest
from openpyxl import Workbook
from web_client import DAY, Client, Form, Reply, entry, kitchen_at

from labeller.reading import kitchen_edit
from labeller.reading.asked_lines import asked_in
from labeller.reading.imports.columns import remembered
from labeller.reading.kitchen import read_kitchen
from labeller.reading.kitchen_edit import add_files, kept, undo
from labeller.serving.cli import main
from labeller.serving.pipeline import everything_found, open_kitchen

PASTED = """Serves 4

250 g plain flour, sifted
2 large eggs, beaten
a splash of whole milk
2 cups chopped walnuts
For the glaze:
3 tbsp apricot jam
Method
Mix it all.
"""


def offered(reply: Reply) -> dict:
    """The fields of the preview, as a browser would send them."""
    return next(
        form["fields"] for form in Form(reply.text).forms if any(key.startswith(("take/", "column/")) for key in form["fields"])
    )


def workbook(rows: list[list[object]], name: str = "Sheet1") -> bytes:
    book = Workbook()
    book.active.title = name
    for row in rows:
        book.active.append(row)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def snapshot(folder: Path) -> dict:
    return {each.relative_to(folder).as_posix(): each.read_bytes() for each in folder.rglob("*") if each.is_file()}


def test_a_pasted_list_is_shown_line_by_line_and_nothing_is_written(client: Client, folder: Path) -> None:
    before = snapshot(folder)
    reply = client.post("/bring-in", text=PASTED, name="walnut loaf", kind="recipe", do="read")
    assert reply.status == 200 and snapshot(folder) == before
    rows = re.findall(r'<tr class="(strong)?"><th scope="row">(.*?)</th>(.*?)</tr>', reply.text, re.S)
    stood = {words: " ".join(re.sub(r"<[^>]+>", " ", rest).split()) for _, words, rest in rows}
    assert stood["250 g plain flour, sifted"].startswith("250 g plain flour")
    assert stood["2 large eggs, beaten"].startswith("2 large eggs note beaten")
    assert "kept as a remark" in stood["For the glaze:"]
    asked = [words for mark, words, _ in rows if mark]
    assert "a splash of whole milk" in asked and reply.text.count("<b>Asked</b>") >= 1
    assert "Kept as remarks: Method · Mix it all." in reply.text
    assert 'value="walnut loaf"' in reply.text and "recipes/walnut-loaf.yaml" in reply.text


def test_what_is_written_is_what_the_command_writes(client: Client, folder: Path, tmp_path: Path) -> None:
    fields = offered(client.post("/bring-in", text=PASTED, name="walnut loaf", kind="recipe", do="read"))
    reply = client.submit("/bring-in", fields | {"do": "write"})
    assert reply.status == 303 and reply.headers["Location"].startswith("/dish?name=walnut%20loaf")
    mine = (folder / "recipes/walnut-loaf.yaml").read_text(encoding="utf-8").splitlines()
    (tmp_path / "list.txt").write_text(PASTED, encoding="utf-8")
    other = kitchen_at(tmp_path / "other")
    assert main(["import", str(tmp_path / "list.txt"), "--name", "walnut loaf", "--kitchen", str(other)]) == 0
    theirs = (other / "recipes/walnut-loaf.yaml").read_text(encoding="utf-8").splitlines()
    assert mine[1:] == theirs[1:] and mine[0].startswith("# From the pasted list, brought in")
    assert "Written." in client.follow(reply).text


def test_asked_lines_stand_under_not_settled_with_their_field_until_they_are_settled(client: Client, folder: Path) -> None:
    client.submit(
        "/bring-in",
        offered(client.post("/bring-in", text=PASTED, name="walnut loaf", kind="recipe", do="read")) | {"do": "write"},
    )
    file = folder / "recipes/walnut-loaf.yaml"
    asked = asked_in(file.read_bytes())
    open_ones = [each for each in everything_found(open_kitchen(folder, DAY)) if each.code == "import-line-unsure"]
    stopped = {
        each.place.line
        for each in read_kitchen(folder)[1]
        if each.place.file == "recipes/walnut-loaf.yaml" and each.severity == "stop"
    }
    assert {each.place.line for each in open_ones} == {each.line for each in asked} - stopped and open_ones
    settle = client.get("/settle").text
    for each in open_ones:
        assert f"/entry?kind=recipe&amp;name=walnut%20loaf&amp;line={each.place.line}#at" in settle
    fields = client.form(entry("recipe", "walnut loaf"), "/entry")
    page = client.get(entry("recipe", "walnut loaf")).text
    ticks = re.findall(r'name="(asked/ingredients:\d+)"', page)
    assert len(ticks) == len({each.line for each in asked}) and "it is right as it stands" in page
    # one is found right as it stands, one is changed, the others go on being asked
    first = int(ticks[0].rpartition(":")[2])
    assert client.submit("/entry", fields | {ticks[0]: "yes", "do": "save"}).status == 303
    assert len(asked_in(file.read_bytes())) < len(asked) and f"ingredients/{first}/name" in fields
    again = client.form(entry("recipe", "walnut loaf"), "/entry")
    left = re.findall(r'name="asked/ingredients:(\d+)"', client.get(entry("recipe", "walnut loaf")).text)
    for number in left:
        again |= {f"ingredients/{number}/amount": "30 g"}
    assert client.submit("/entry", again | {"do": "save"}).status == 303
    assert asked_in(file.read_bytes()) == () and b"# For the glaze:" in file.read_bytes()
    assert not [each for each in everything_found(open_kitchen(folder, DAY)) if each.code == "import-line-unsure"]


def test_a_name_that_is_there_is_refused_and_can_be_changed(client: Client, folder: Path) -> None:
    before = snapshot(folder)
    reply = client.post("/bring-in", text="400 g butter", name="brown butter", kind="recipe", do="read")
    assert "is there already" in reply.text and "not written: see above" in reply.text
    fields = offered(reply)
    assert client.submit("/bring-in", fields | {"do": "write"}).status == 422 and snapshot(folder) == before
    again = client.submit("/bring-in", fields | {"name/0": "butter, browned", "do": "again"})
    assert "is there already" not in again.text and snapshot(folder) == before
    assert client.submit("/bring-in", offered(again) | {"do": "write"}).status == 303
    assert snapshot(folder)["recipes/butter-browned.yaml"] and all(snapshot(folder)[key] == data for key, data in before.items())


def test_a_file_is_never_written_over(client: Client, folder: Path) -> None:
    (folder / "recipes/walnut-loaf.yaml").write_text("# kept\n", encoding="utf-8")
    fields = offered(client.post("/bring-in", text="100 g walnuts", name="walnut loaf", kind="recipe", do="read"))
    (folder / "recipes/walnut-loaf-2.yaml").write_text("# kept too\n", encoding="utf-8")  # in between, by another hand
    assert client.submit("/bring-in", fields | {"do": "write"}).status == 303
    assert (folder / "recipes/walnut-loaf.yaml").read_text(encoding="utf-8") == "# kept\n"
    assert (folder / "recipes/walnut-loaf-2.yaml").read_text(encoding="utf-8") == "# kept too\n"
    assert "walnut loaf" in read_kitchen(folder)[0].recipes


def test_unknown_columns_are_chosen_once_and_remembered(client: Client, folder: Path) -> None:
    rows = [["Was", "Wieviel hiervon", "Einheiten", "Lieferant"], ["walnuts", 120, "g", "X"], ["whole milk", 0.5, "l", "Y"]]
    data = workbook(rows, "loaf of walnuts")
    reply = client.upload("/bring-in", "rezepte.xlsx", data, do="read", kind="recipe")
    assert reply.status == 200 and "Columns of rezepte.xlsx" in reply.text and "Column B: Wieviel hiervon" in reply.text
    fields = offered(reply)
    assert fields["column/A"] == "" and not any(key.startswith("take/") for key in fields)
    shown = client.submit("/bring-in", fields | {"column/A": "name", "column/B": "amount", "column/C": "unit", "do": "again"})
    chosen = offered(shown)
    assert chosen["name/0"] == "loaf of walnuts" and "120 g" in shown.text and "columns not taken" in shown.text
    assert client.submit("/bring-in", chosen | {"do": "write"}).status == 303
    assert read_kitchen(folder)[0].recipes["loaf of walnuts"].lines[1].amount.text == "0.5 l"
    memory, wrong = remembered(folder)
    assert wrong is None and memory[0].headings == tuple(rows[0])
    assert memory[0].columns == {"name": "Was", "amount": "Wieviel hiervon", "unit": "Einheiten"}
    # the next table with these headings needs no question, on the page as at the command line
    second = client.upload("/bring-in", "mehr.xlsx", workbook(rows, "second loaf"), do="read", kind="dish")
    assert offered(second)["name/0"] == "second loaf" and offered(second)["kind/0"] == "dish"


def test_several_recipes_are_ticked_written_together_and_taken_back_together(client: Client, folder: Path) -> None:
    rows = [["Recipe", "Ingredient", "Qty", "Unit"]]
    for name in ("nut paste", "seed crumb", "malt syrup"):
        rows += [[name, "walnuts", 100, "g"], [name, "whole milk", 50, "ml"]]
    text = "\n".join(";".join(str(cell) for cell in row) for row in rows).encode()
    before = snapshot(folder)
    fields = offered(client.upload("/bring-in", "book.csv", text, do="read", kind="recipe"))
    assert [fields[f"name/{nr}"] for nr in range(3)] == ["nut paste", "seed crumb", "malt syrup"]
    del fields["take/1"]
    reply = client.submit("/bring-in", fields | {"kind/2": "dish", "do": "write"})
    assert reply.status == 303 and reply.headers["Location"] == "/settle?done=brought"
    kitchen = read_kitchen(folder)[0]
    assert "seed crumb" not in kitchen.recipes and kitchen.recipes["malt syrup"].kind == "dish"
    assert "bring in 2 recipes" in client.get("/").text
    assert client.post("/undo").status == 303
    after = {key: data for key, data in snapshot(folder).items() if not key.startswith(".undo")}
    assert after == before


def test_a_recipe_page_and_json_ld_come_in(client: Client, folder: Path) -> None:
    recipe = {
        "@context": "https://schema.org",
        "@type": "Recipe",
        "name": "Leek broth",
        "recipeIngredient": ["2 leeks", "1 l water"],
        "recipeYield": "4 servings",
    }
    page = f'<!doctype html><title>x</title><script type="application/ld+json">{json.dumps(recipe)}</script><p>blog</p>'.encode()
    for name, data in (("leek.html", page), ("leek.json", json.dumps(recipe).encode())):
        reply = client.upload("/bring-in", name, data, do="read", kind="recipe")
        assert offered(reply)["name/0"] == "Leek broth" and "1 l" in reply.text, name
    assert client.submit("/bring-in", offered(reply) | {"do": "write"}).status == 303
    assert len(read_kitchen(folder)[0].recipes["Leek broth"].lines) == 2


@pytest.mark.parametrize(
    "name,data",
    [
        ("photo.jpg", b"\xff\xd8\xff\xe0"),
        ("book.xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600)),
        ("book.xlsx", b"PK\x03\x04 not a workbook"),
        ("book.xlsx", b""),
        ("foods.zip", b"PK\x03\x04"),
        ("foods.json", b'{"FoundationFoods": []}'),
        ("list.txt", bytes(range(256))),
        ("page.html", b"<p>no recipe here</p>"),
        ("x.json", b"{"),
        ("x.csv", b"\x00\x00"),
        ("one column.csv", b"12\n13\n14\n"),
        ("../../etc/passwd", b"root"),
        ("", b""),
        ("ß" * 300 + ".csv", b"12\n13\n"),
        ("..", b"x"),
    ],
)
def test_a_wrong_file_is_a_message_and_writes_nothing(client: Client, folder: Path, name: str, data: bytes) -> None:
    before = snapshot(folder)
    reply = client.upload("/bring-in", name, data, do="read", kind="recipe")
    assert reply.status in (200, 422) and "To mend:" in reply.text and "page-fault" not in reply.text
    assert snapshot(folder) == before


def test_a_file_that_is_not_at_hand_any_more_is_asked_for_again(client: Client) -> None:
    fields = offered(client.upload("/bring-in", "a.csv", b"Recipe;Ingredient;Qty\nx;walnuts;100 g", do="read", kind="recipe"))
    client.site.tray.drop(fields["tray"])
    reply = client.submit("/bring-in", fields | {"do": "write"})
    assert reply.status == 422 and "choose it once more" in reply.text


def test_a_recipe_that_others_call_already_is_told_before_it_is_written(client: Client, folder: Path) -> None:
    kitchen = read_kitchen(folder)[0]
    own = {*kitchen.products, *kitchen.recipes, *(word for each in kitchen.products.values() for word in each.also_called)}
    user, name = next((each.name, line.name) for each in kitchen.recipes.values() for line in each.lines if line.name not in own)
    text = client.post("/bring-in", text="500 g thick cream", name=name, kind="recipe", do="read").text
    assert "Called already" in text and user.replace("'", "&#39;") in text
    other = client.post("/bring-in", text="500 g cream", name="a name of nobody", kind="recipe", do="read")
    assert other.status == 200 and "Called already" not in other.text


def test_new_files_are_written_all_or_none(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = snapshot(folder)
    files = {f"recipes/new-{nr}.yaml": f"- recipe: new {nr}\n  ingredients:\n    - salt: 1 g\n".encode() for nr in range(3)}
    there = folder / "recipes/new-2.yaml"
    there.write_text("# mine\n", encoding="utf-8")
    saved = add_files(folder, files, "bring in 3 recipes", when="now")
    assert not saved.written and saved.findings[0].code == "edit-no-place" and kept(folder) == ()
    there.unlink()
    assert {key: data for key, data in snapshot(folder).items() if not key.startswith(".undo")} == before
    assert add_files(folder, files, "bring in 3 recipes", when="now").written
    (folder / "recipes/new-1.yaml").write_text("- recipe: changed\n", encoding="utf-8")
    back, wrong = undo(folder)
    assert back is None and wrong[0].code == "edit-changed-underneath"  # none is taken back while one was changed since
    assert all((folder / file).exists() for file in files)


def test_cut_off_in_the_middle_whole_files_are_left_and_can_be_taken_back(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = snapshot(folder)
    files = {f"recipes/cut-{nr}.yaml": f"- recipe: cut {nr}\n  ingredients:\n    - salt: 1 g\n".encode() for nr in range(4)}
    write = kitchen_edit.write_new

    def killed(path: Path, data: bytes) -> Path:
        if path.name == "cut-2.yaml":
            raise KeyboardInterrupt
        return write(path, data)

    monkeypatch.setattr(kitchen_edit, "write_new", killed)
    with pytest.raises(KeyboardInterrupt):
        add_files(folder, files, "bring in 4 recipes", when="now")
    there = sorted(path.name for path in (folder / "recipes").glob("cut-*"))
    assert there == ["cut-0.yaml", "cut-1.yaml"]
    assert all((folder / "recipes" / name).read_bytes() in files.values() for name in there)
    assert undo(folder)[0] is not None
    assert {key: data for key, data in snapshot(folder).items() if not key.startswith(".undo")} == before and kept(folder) == ()


def test_many_recipes_at_once_count_as_one_change_among_the_copies(folder: Path) -> None:
    files = {f"recipes/many-{nr}.yaml": f"- recipe: many {nr}\n  ingredients:\n    - salt: 1 g\n".encode() for nr in range(60)}
    assert add_files(folder, files, "bring in 60 recipes", when="now").written
    assert len(kept(folder)) == 60 and undo(folder)[0] is not None
    assert not list((folder / "recipes").glob("many-*")) and kept(folder) == ()


def test_the_page_for_one_recipe_says_what_is_asked_of_it(client: Client) -> None:
    client.submit(
        "/bring-in",
        offered(client.post("/bring-in", text=PASTED, name="walnut loaf", kind="recipe", do="read")) | {"do": "write"},
    )
    text = client.get("/dish?name=" + quote("walnut loaf")).text
    assert "import-line-unsure" in text
