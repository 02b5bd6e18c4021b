"""Edits of kitchen files: every other line stays, nothing is half-written, nothing the reader refuses is written, undo works.

That an edit keeps what stands beside it, byte for byte, is our own promise; there is no published source. That a rename in one
folder is whole or not at all: POSIX.1-2017, rename().
"""

from __future__ import annotations

import difflib
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from labeller.reading import kitchen_edit as edit
from labeller.reading import kitchen_splice as splice
from labeller.reading import whole_file
from labeller.reading.kitchen import read_kitchen
from labeller.reading.new_kitchen import write_kitchen

SEA = "recipes/from_the_sea.yaml"
NOW = "2026-11-25 09:00"


@pytest.fixture
def kitchen(tmp_path: Path) -> Path:
    write_kitchen("kitchen", tmp_path / "k")
    return tmp_path / "k"


def put(folder: Path, file: str, kind: str, name: str, **changes: object) -> edit.Saved:
    entry = edit.entry(folder, file, kind, name)
    assert entry is not None
    fields = {**entry.fields, **{key.replace("_", " "): value for key, value in changes.items()}}
    fields = {key: value for key, value in fields.items() if value is not None}
    return edit.put(folder, file, entry.checksum, kind, name, fields, when=NOW)


def moved(before: str, after: str) -> list[str]:
    """Lines taken out and put in."""
    return [line for line in difflib.ndiff(before.splitlines(), after.splitlines()) if line[0] in "+-"]


def test_one_amount_changes_one_line_and_keeps_the_remark_behind_it(kitchen: Path) -> None:
    before = (kitchen / SEA).read_text(encoding="utf-8")
    entry = edit.entry(kitchen, SEA, "recipe", "pickled quince")
    lines = [dict(line) if isinstance(line, dict) else line for line in entry.fields["ingredients"]]
    assert lines[-1] == {"star anise": {"amount": "2 g", "kept": "0 %"}}
    lines[-1] = {"star anise": {"amount": "3 g", "kept": "0 %"}}
    assert put(kitchen, SEA, "recipe", "pickled quince", ingredients=lines).written
    out = moved(before, (kitchen / SEA).read_text(encoding="utf-8"))
    assert [line[:2] for line in out] == ["- ", "+ "]
    assert "{amount: 3 g, kept: 0 %}" in out[1] and "# taken out: contact, no weight" in out[1]


def test_a_line_that_gets_parts_keeps_its_remark_and_a_renamed_one_too(kitchen: Path) -> None:
    entry = edit.entry(kitchen, SEA, "recipe", "dressed crab")
    lines = list(entry.fields["ingredients"])
    lines[6] = {"black pepper": {"amount": "to taste", "about": "1 g"}}
    assert put(kitchen, SEA, "recipe", "dressed crab", ingredients=lines).written
    assert "black pepper: {amount: to taste, about: 1 g} # nobody weighed it" in (kitchen / SEA).read_text(
        encoding="utf-8"
    )
    lines[6] = {"white pepper": lines[6]["black pepper"]}
    assert put(kitchen, SEA, "recipe", "dressed crab", ingredients=lines).written
    assert "white pepper: {amount: to taste, about: 1 g} # nobody weighed it" in (kitchen / SEA).read_text(
        encoding="utf-8"
    )


def test_lines_added_and_taken_out_leave_the_others_as_they_are(kitchen: Path) -> None:
    before = (kitchen / SEA).read_text(encoding="utf-8")
    entry = edit.entry(kitchen, SEA, "recipe", "dressed crab")
    lines = [line for line in entry.fields["ingredients"] if line != {"chives": "8 g"}]
    lines.insert(1, {"salt, smoked": "1 g"})
    lines.append("parsley #2")
    assert put(kitchen, SEA, "recipe", "dressed crab", ingredients=lines).written
    out = moved(before, (kitchen / SEA).read_text(encoding="utf-8"))
    assert sorted(out) == sorted(["-     - chives: 8 g", "+     - salt, smoked: 1 g", "+     - 'parsley #2'"])
    assert edit.entry(kitchen, SEA, "recipe", "dressed crab").fields["ingredients"] == lines


def test_quotes_order_block_texts_line_ends_and_byte_order_mark_stay(tmp_path: Path) -> None:
    (tmp_path / "kitchen.yaml").write_text("kitchen: Test\nlaw: eu\n", encoding="utf-8")
    (tmp_path / "products").mkdir()
    text = (
        '\ufeff# head\r\n- product: "miso, white"   # the good one\r\n'
        "  ingredients on pack: |\r\n    water,\r\n    SOYA beans\r\n"
        "  # between\r\n  contains: ['soybeans']\r\n\r\n# of the next\r\n- product: salt\r\n  food: '02047'\r\n"
    )
    (tmp_path / "products/p.yaml").write_bytes(text.encode("utf-8"))
    assert put(
        tmp_path,
        "products/p.yaml",
        "product",
        "miso, white",
        contains=["soybeans", "barley"],
        supplier="Quay & Co: no. 1",
    ).written
    after = (tmp_path / "products/p.yaml").read_bytes().decode("utf-8")
    assert after.startswith("\ufeff# head\r\n") and "\n" not in after.replace("\r\n", "")
    assert moved(text, after) == [
        "-   contains: ['soybeans']",
        "+   contains: ['soybeans', barley]",
        "+   supplier: 'Quay & Co: no. 1'",
    ]
    assert put(tmp_path, "products/p.yaml", "product", "salt", food="01001").written
    assert 'food: "01001"' in (tmp_path / "products/p.yaml").read_text(encoding="utf-8")


def test_every_entry_of_the_demo_can_be_changed_without_touching_another(kitchen: Path) -> None:
    """A key that no entry has yet is added to each entry in turn and taken back."""
    read, _ = read_kitchen(kitchen)
    everything = [
        (one.place.file, getattr(one, "kind", kind), one.name)
        for kind, group in (("recipe", read.recipes), ("product", read.products))
        for one in group.values()
    ]
    assert len(everything) > 100
    for file, kind, name in everything:
        data = (kitchen / file).read_bytes()
        page = splice.pages(data, file)
        node = splice.find(page, kind, name)
        lines = data.decode().split("\n")
        fields = {key.lower(): value for key, value in splice.plain(node).items()} | {
            "also called": ["another: name", "x, y"]
        }
        out = splice.changed(lines, node, fields)
        after = splice.pages("\n".join(out).encode(), file)
        assert {k.lower(): v for k, v in splice.plain(splice.find(after, kind, name)).items()} == fields
        kept = [line for line in lines if "also called" not in line]
        assert [line for line in out if "also called" not in line] == kept


def test_a_file_that_somebody_else_changed_is_refused_and_left_alone(kitchen: Path) -> None:
    entry = edit.entry(kitchen, SEA, "recipe", "brown butter")
    with (kitchen / SEA).open("a", encoding="utf-8") as stream:
        stream.write("# a remark by another hand\n")
    theirs = (kitchen / SEA).read_bytes()
    saved = edit.put(
        kitchen, SEA, entry.checksum, "recipe", "brown butter", entry.fields | {"makes": "410 g"}, when=NOW
    )
    assert not saved.written and [each.code for each in saved.findings] == ["edit-changed-underneath"]
    assert (kitchen / SEA).read_bytes() == theirs and edit.kept(kitchen) == ()


def test_what_the_reader_would_stop_is_not_written_and_stands_at_its_key(kitchen: Path) -> None:
    before = (kitchen / SEA).read_bytes()
    saved = put(kitchen, SEA, "recipe", "brown butter", makes="abc")
    assert not saved.written and [each.code for each in saved.beside["makes"]] == ["makes-not-read"]
    lines = list(edit.entry(kitchen, SEA, "recipe", "dressed crab").fields["ingredients"])
    lines[1] = {"crème fraîche": "1,5 l"}
    saved = put(kitchen, SEA, "recipe", "dressed crab", ingredients=lines)
    assert not saved.written and list(saved.beside) == ["ingredients:1"]
    assert (kitchen / SEA).read_bytes() == before and edit.kept(kitchen) == ()


def test_a_dish_that_a_menu_names_is_not_taken_out_under_it(kitchen: Path) -> None:
    file = SEA
    entry = edit.entry(kitchen, file, "dish", "mussels, leek, cider")
    saved = edit.put(kitchen, file, entry.checksum, "dish", "mussels, leek, cider", None, when=NOW)
    assert not saved.written and {each.code for each in saved.findings} == {"dish-unknown"}


def test_a_new_entry_goes_to_the_end_or_to_a_new_file_and_can_be_taken_out(kitchen: Path) -> None:
    before = (kitchen / SEA).read_bytes()
    fields = {
        "recipe": "dill oil",
        "ingredients": [{"dill, fresh": {"amount": "40 g", "kept": "5 %"}}, {"rapeseed oil": "200 g"}],
        "method": "cold",
    }
    assert edit.put(kitchen, SEA, edit.checksum(kitchen, SEA), "recipe", "", fields, when=NOW).written
    assert (kitchen / SEA).read_bytes().startswith(before.rstrip(b"\n"))
    entry = edit.entry(kitchen, SEA, "recipe", "dill oil")
    assert entry.fields == fields
    assert edit.put(kitchen, SEA, entry.checksum, "recipe", "dill oil", None, when=NOW).written
    assert (kitchen / SEA).read_bytes() == before
    assert edit.put(kitchen, "recipes/oils.yaml", "", "recipe", "", fields, when=NOW).written
    assert "dill oil" in read_kitchen(kitchen)[0].recipes


def test_undo_takes_back_one_change_after_another(kitchen: Path) -> None:
    before = {path: path.read_bytes() for path in kitchen.rglob("*.yaml")}
    assert put(kitchen, SEA, "recipe", "brown butter", makes="410 g").written
    assert put(kitchen, SEA, "recipe", "brown butter", makes="405 g").written
    assert edit.put(
        kitchen, "products/new.yaml", "", "product", "", {"product": "sumac", "contains": "none"}, when=NOW
    ).written
    for what in ("add product", "change recipe", "change recipe"):
        back, findings = edit.undo(kitchen)
        assert findings == () and back.what.startswith(what)
    assert {path: path.read_bytes() for path in kitchen.rglob("*.yaml")} == before
    assert [each.code for each in edit.undo(kitchen)[1]] == ["nothing-to-undo"]


def test_undo_refuses_when_the_file_was_changed_since(kitchen: Path) -> None:
    assert put(kitchen, SEA, "recipe", "brown butter", makes="410 g").written
    with (kitchen / SEA).open("a", encoding="utf-8") as stream:
        stream.write("# by another hand\n")
    theirs = (kitchen / SEA).read_bytes()
    back, findings = edit.undo(kitchen)
    assert (
        back is None
        and [each.code for each in findings] == ["edit-changed-underneath"]
        and (kitchen / SEA).read_bytes() == theirs
    )


def test_old_copies_are_let_go(kitchen: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(edit, "KEPT", 3)
    for grams in range(401, 407):
        assert put(kitchen, SEA, "recipe", "brown butter", makes=f"{grams} g").written
    assert len(edit.kept(kitchen)) == 3 and len(list((kitchen / ".undo").glob("0* *"))) == 3


@pytest.mark.parametrize(
    "file",
    [
        "../out.yaml",
        "recipes/../../out.yaml",
        "/etc/out.yaml",
        "issued/x.yaml",
        "recipes/.hidden.yaml",
        "recipes/a.txt",
        "out/recipes.yaml",
        "recipes/a\0.yaml",
    ],
)
def test_no_file_outside_the_kitchens_own_is_written(kitchen: Path, file: str) -> None:
    saved = edit.put(kitchen, file, "", "recipe", "", {"recipe": "x y", "ingredients": ["egg"]}, when=NOW)
    assert not saved.written and [each.code for each in saved.findings] == ["edit-no-place"]


def test_a_link_that_leads_out_of_the_folder_is_not_followed(kitchen: Path, tmp_path: Path) -> None:
    (tmp_path / "away").mkdir()
    (kitchen / "recipes" / "linked").symlink_to(tmp_path / "away")
    saved = edit.put(
        kitchen, "recipes/linked/x.yaml", "", "recipe", "", {"recipe": "x y", "ingredients": ["egg"]}, when=NOW
    )
    assert not saved.written and list((tmp_path / "away").iterdir()) == []


def test_an_entry_in_braces_is_changed_whole_or_refused(tmp_path: Path) -> None:
    (tmp_path / "kitchen.yaml").write_text("kitchen: Test\nlaw: eu\n", encoding="utf-8")
    (tmp_path / "products").mkdir()
    (tmp_path / "products/p.yaml").write_text(
        "- {product: sumac, contains: none}  # red\n- product: salt\n", encoding="utf-8"
    )
    assert put(tmp_path, "products/p.yaml", "product", "sumac", contains=["sesame"]).written
    text = (tmp_path / "products/p.yaml").read_text(encoding="utf-8")
    assert text.split() == ["-", "{product:", "sumac,", "contains:", "[sesame]}", "#", "red", "-", "product:", "salt"]


WORDS = st.text(
    st.characters(blacklist_categories=("Cs", "Cc", "Zl", "Zp"), blacklist_characters="\ufeff\ufffe\uffff\u00a0"),
    min_size=1,
    max_size=12,
)


@settings(max_examples=60, deadline=None)
@given(name=WORDS, amount=WORDS, note=WORDS)
def test_whatever_is_typed_reads_back_as_it_was_typed_or_is_refused(name: str, amount: str, note: str) -> None:
    """Against PyYAML, which did not write it: every text comes back the same."""
    name, amount, note = (" ".join(text.split()) for text in (name, amount, note))
    if not (name and amount and note):
        return
    lines = ["- recipe: r", "  ingredients:", "    - egg: 1   # one", ""]
    page = splice.pages("\n".join(lines).encode(), "recipes/r.yaml")
    new = {"recipe": "r", "ingredients": [{"egg": "1"}, {name: {"amount": amount, "note": note}}]}
    out = "\n".join(splice.changed(lines, splice.find(page, "recipe", "r"), new))
    assert "- egg: 1   # one" in out
    read = yaml.load(out, Loader=yaml.BaseLoader)
    assert read[0]["ingredients"][1] == {name: {"amount": amount, "note": note}}


WRITER = """
import sys
from pathlib import Path
from labeller.reading import kitchen_edit as edit
folder, file = Path(sys.argv[1]), "recipes/from_the_sea.yaml"
grams = 400
while True:
    grams = 400 + (grams + 1) % 50
    entry = edit.entry(folder, file, "recipe", "brown butter")
    edit.put(folder, file, entry.checksum, "recipe", "brown butter", entry.fields | {"makes": f"{grams} g"}, when="now")
    print("written", flush=True)
"""


def test_killed_at_any_moment_nothing_is_half_written(kitchen: Path) -> None:
    """30 writers killed with SIGKILL while they write without a pause: the file is always a whole one, and undo works."""
    whole = (kitchen / SEA).read_text(encoding="utf-8")
    allowed = {whole.replace("makes: 400 g", f"makes: {grams} g", 1) for grams in range(400, 450)}
    for trial in range(30):
        process = subprocess.Popen([sys.executable, "-c", WRITER, str(kitchen)], stdout=subprocess.PIPE)
        assert process.stdout.readline() == b"written\n"
        time.sleep(0.01 + (trial * 37 % 100) / 1000)
        os.kill(process.pid, signal.SIGKILL)
        process.wait()
        process.stdout.close()
        assert (kitchen / SEA).read_text(encoding="utf-8") in allowed
    assert edit.kept(kitchen), "the writers wrote something"
    read, findings = read_kitchen(kitchen)
    assert "brown butter" in read.recipes and not [each for each in findings if each.severity == "stop"]
    for _ in range(len(edit.kept(kitchen))):
        back, _ = edit.undo(kitchen)
        assert (kitchen / SEA).read_text(encoding="utf-8") in allowed
        if back is None:
            break


WRITING = {(edit.__file__, "put_bytes"), (edit.__file__, "_keep"), (edit.__file__, "_write"),
           (whole_file.__file__, "write_whole")}  # fmt: skip


def lines_until_killed(kitchen: Path, number: int) -> bool:
    """A child that changes the recipe and kills itself before its ``number``-th line of the writing; whether it got there."""
    child = os.fork()
    if child == 0:
        left = number

        def trace(frame, event, _):
            nonlocal left
            if (frame.f_code.co_filename, frame.f_code.co_name) not in WRITING:
                return None
            if event == "line":
                left -= 1
                if left == 0:
                    os.kill(os.getpid(), signal.SIGKILL)
            return trace

        sys.settrace(trace)
        put(kitchen, SEA, "recipe", "brown butter", makes="410 g")
        os._exit(0)
    return os.WIFSIGNALED(os.waitpid(child, 0)[1])


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
def test_killed_before_any_line_of_the_writing_the_file_is_the_old_or_the_new_one(kitchen: Path) -> None:
    old = (kitchen / SEA).read_text(encoding="utf-8")
    new = old.replace("makes: 400 g", "makes: 410 g", 1)
    number, seen = 0, set()
    while lines_until_killed(kitchen, number := number + 1):
        now = (kitchen / SEA).read_text(encoding="utf-8")
        assert now in (old, new)
        seen.add(now)
        read, _ = read_kitchen(kitchen)
        assert "brown butter" in read.recipes
        if now == new:  # what was written can be taken back
            assert edit.undo(kitchen)[0] is not None
        else:  # what never reached the file is no change
            assert edit.undo(kitchen)[0] is None
        assert (kitchen / SEA).read_text(encoding="utf-8") == old
    assert number > 20 and seen == {old, new}
