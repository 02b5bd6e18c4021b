"""The JSON Schema of the kitchen's files equals the reader: what the reader takes validates, what it does not know both refuse.

JSON Schema draft 2020-12 (https://json-schema.org/draft/2020-12), validated with the package jsonschema.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import yaml
from msgspec.structs import replace

from labeller.reading.keys import KEYS, KNOWN, Key
from labeller.reading.kitchen import read_kitchen
from labeller.reading.kitchen_schema import ENTRIES, FILES, remark_for, schemas
from labeller.reading.library import template
from labeller.reading.recipes import LINES_KEY
from labeller.serving.cli import main

jsonschema = pytest.importorskip("jsonschema", reason="jsonschema is only needed for this test")
SCHEMAS = schemas()
VALID = {name: jsonschema.Draft202012Validator(SCHEMAS[f"{name}.schema.json"]) for name in FILES.values()}
WRONG = Path(__file__).parent / "wrong_files"
FOLDER_OF = {kind: folder for folder, kinds in ENTRIES.items() for kind in kinds}
HOST = {
    "equipment": "kitchen",
    "evidence": "product",
    "nutrition": "product",
    "line": "recipe",
    "poured off": "recipe",
    "coated in": "recipe",
    "fried in": "recipe",
    "shelf life": "pack",
    "net weight": "pack",
    "net volume": "pack",
    "course": "menu",
}
BENEATH = {
    "equipment": "equipment",
    "evidence": "evidence",
    "nutrition": "nutrition per 100 g",
    "line": "ingredients",
    "course": "courses",
}


class _Editor(yaml.SafeLoader):
    """As editors read YAML: numbers and yes-no have types, a date is text (YAML 1.2, core schema)."""


_Editor.yaml_implicit_resolvers = {
    first: [pair for pair in pairs if pair[0] != "tag:yaml.org,2002:timestamp"]
    for first, pairs in yaml.SafeLoader.yaml_implicit_resolvers.items()
}


def loaded(text: str) -> object:
    return yaml.load(text, Loader=_Editor)


def texts(text: str) -> object:
    """As the reader sees it: every scalar is text."""
    return yaml.load(text, Loader=yaml.BaseLoader)


def file_name(relative: str) -> str:
    return FILES.get(relative.split("/")[0], "")


@pytest.mark.parametrize("name", sorted(SCHEMAS))
def test_each_schema_is_one(name: str) -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMAS[name])


@pytest.mark.parametrize("kitchen", ["kitchen", "new"])
def test_the_shipped_kitchens_validate(kitchen: str) -> None:
    for path in sorted(template(kitchen).rglob("*.yaml")):
        name = file_name(path.relative_to(template(kitchen)).as_posix())
        for document in (loaded(path.read_text(encoding="utf-8")), texts(path.read_text(encoding="utf-8"))):
            if document is not None:
                assert [error.message for error in VALID[name].iter_errors(document)] == [], path.name


def snippet(kind: str, line: str) -> tuple[str, str]:
    """(file, text) of a kitchen's file that holds one written key of a kind of mapping."""
    host = HOST.get(kind, kind)
    if kind == "kitchen":
        return "kitchen.yaml", f"kitchen: Test\n{line}\n"
    if kind == "match":
        return "matches.yaml", f"- ingredient: butter\n  {line}\n"
    if kind == "equipment":
        return "kitchen.yaml", f"kitchen: Test\nequipment:\n  - deep fryer:\n      {line}\n"
    folder = FOLDER_OF[host]
    head = f"- {host}: thing\n"
    if host in LINES_KEY and kind != "line":
        head += f"  {LINES_KEY[host]}:\n    - salt: 1 g\n"
    if kind == host:
        return f"{folder}/x.yaml", f"{head}  {line}\n"
    if kind == "line":
        return f"{folder}/x.yaml", f"{head}  ingredients:\n    - salt:\n        {line}\n"
    if kind == "course":
        return f"{folder}/x.yaml", f"{head}  courses:\n    - course: one\n      {line}\n"
    return f"{folder}/x.yaml", f"{head}  {BENEATH.get(kind, kind)}:\n    {line}\n"


def told(tmp_path: Path, file: str, text: str) -> list:
    folder = tmp_path / "kitchen"
    (folder / file).parent.mkdir(parents=True, exist_ok=True)
    if file != "kitchen.yaml":
        (folder / "kitchen.yaml").write_text("kitchen: Test\nlaw: uk\n", encoding="utf-8")
    (folder / file).write_text(text, encoding="utf-8")
    return [each for each in read_kitchen(folder)[1] if each.place.file == file]


def written(key: Key) -> str:
    """The example of a key as YAML: on one line, or as the list it begins."""
    return f"{key.key}:\n{' ' * 12}{key.example}" if key.example.startswith("- ") else f"{key.key}: {key.example}"


@pytest.mark.parametrize("key", KEYS, ids=[f"{key.kind}-{key.key}" for key in KEYS])
def test_every_key_of_the_reader_validates_with_its_example(tmp_path: Path, key: Key) -> None:
    named = key.key in (key.kind, "ingredient") or key.key in LINES_KEY.values() or (key.kind, key.key) == ("course", "course")
    file, text = snippet(key.kind, "" if named else written(key))
    if key.key in LINES_KEY.values():
        text = f"- {key.kind}: thing\n  {key.key}:\n    {key.example}\n"
    for document in (loaded(text), texts(text)):
        assert [error.message for error in VALID[file_name(file)].iter_errors(document)] == [], text
    refused = {"key-unknown", "value-wrong-shape", "key-repeated", "key-without-value", "entry-not-known", "choice-unknown"}
    assert not [each for each in told(tmp_path, file, text) if each.code in refused], text


@pytest.mark.parametrize("key", KEYS, ids=[f"{key.kind}-{key.key}" for key in KEYS])
def test_a_key_in_capitals_is_the_same_key_for_both(tmp_path: Path, key: Key) -> None:
    if key.key in (key.kind, "ingredient") or key.key in LINES_KEY.values() or (key.kind, key.key) == ("course", "course"):
        return
    file, text = snippet(key.kind, written(replace(key, key=key.key.upper())))
    assert [error.message for error in VALID[file_name(file)].iter_errors(loaded(text))] == [], text
    assert "key-unknown" not in {each.code for each in told(tmp_path, file, text)}


@pytest.mark.parametrize("kind", sorted(KNOWN))
@pytest.mark.parametrize("unknown", ["ingredents", "zzz", "kcal per box", "price"])
def test_an_unknown_key_is_refused_by_both(tmp_path: Path, kind: str, unknown: str) -> None:
    file, text = snippet(kind, f"{unknown}: 5")
    assert list(VALID[file_name(file)].iter_errors(loaded(text))), text
    assert "key-unknown" in {each.code for each in told(tmp_path, file, text)}, text


@pytest.mark.parametrize("code", ["key-unknown", "value-wrong-shape", "choice-unknown"])
def test_files_that_the_reader_refuses_for_keys_and_shapes_are_underlined(code: str) -> None:
    text = (WRONG / f"{code}.yaml").read_text(encoding="utf-8")
    place = next(line for line in text.splitlines() if line.startswith("# place")).partition(": ")[2]
    assert list(VALID[file_name(place)].iter_errors(loaded(text))), code


@pytest.mark.parametrize(
    ("file", "text"),
    [
        ("recipes/x.yaml", "Recipe: Dough\ningredients: [flour: 1 g]\n"),
        ("recipes/x.yaml", "- RECIPE: x\n  Ingredients:\n    - salt\n    - water:\n"),
        (
            "recipes/x.yaml",
            "- recipe: x\n  ingredients:\n    - salt: 1 g\n  loss:\n    - evaporated: 80 %\n    - Left Behind: 20 %\n",
        ),
        ("recipes/x.yaml", "- recipe: x\n  ingredients:\n    - salt: 1 g\n  poured off:\n    - {lines: salt, stays in: 3 %}\n"),
        ("kitchen.yaml", "kitchen: A\nlaw: UK\nmeasures: Imperial\nequipment: [deep fryer, {bath: {also cooks: squid}}]\n"),
        ("products/x.yaml", "product: x\ncontains: none\none piece weighs: {sheet: 1.7 g}\n"),
        ("menus/x.yaml", "menu: x\nfrom: 2026-12-01\ncourses:\n  - a, b\n  - {course: one, choice: [a, b]}\n  - {dish: c}\n"),
    ],
)
def test_other_ways_of_writing_that_the_reader_takes_validate(tmp_path: Path, file: str, text: str) -> None:
    assert [error.message for error in VALID[file_name(file)].iter_errors(loaded(text))] == []
    assert not {each.code for each in told(tmp_path, file, text)} & {
        "key-unknown",
        "value-wrong-shape",
        "choice-unknown",
        "entry-not-known",
    }


def test_a_nameless_entry_and_an_entry_of_another_folder_are_underlined() -> None:
    assert list(VALID["recipes"].iter_errors([{"ingredients": [{"salt": "1 g"}]}]))
    assert list(VALID["products"].iter_errors([{"recipe": "x"}])) and list(
        VALID["recipes"].iter_errors([{"recipe": "x", "colour": "red"}])
    )
    assert list(VALID["recipes"].iter_errors([{"recipe": "x", "ingredients": [{"salt": "1 g", "water": "2 g"}]}])), (
        "two ingredients on one line"
    )


def test_every_key_has_its_meaning_for_the_editor() -> None:
    for name, schema in SCHEMAS.items():
        for kind, mapping in schema["$defs"].items():
            for key, value in mapping["properties"].items():
                assert value["description"], (name, kind, key)


def test_the_command_writes_the_schemas_and_says_how_editors_find_them(tmp_path: Path, capsys) -> None:
    assert main(["schema", "--kitchen", str(tmp_path)]) == 0
    out = capsys.readouterr().out
    assert {path.name for path in (tmp_path / "schema").iterdir()} == set(SCHEMAS)
    assert json.loads((tmp_path / "schema" / "recipes.schema.json").read_text(encoding="utf-8")) == SCHEMAS["recipes.schema.json"]
    assert remark_for("recipes") in out and "# yaml-language-server: $schema=schema/kitchen.schema.json" in out
    (tmp_path / "kitchen.yaml").write_text("kitchen: x\nlaw: uk\n", encoding="utf-8")
    assert "stray-file" not in {each.code for each in read_kitchen(tmp_path)[1]}
