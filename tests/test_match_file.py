"""matches.yaml: whole or unchanged, comments and order kept, read back by the kitchen reader. Our own format."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest
import yaml

from labeller.reading.kitchen import read_kitchen
from labeller.reading.match_file import MatchesNotReadable, write_match


def text(folder: Path) -> str:
    return (folder / "matches.yaml").read_text("utf-8")


def read(folder: Path) -> list[dict]:
    return yaml.load(text(folder), Loader=yaml.BaseLoader)


def test_a_new_file_holds_the_entry_and_the_reader_reads_it(tmp_path: Path) -> None:
    path = write_match(tmp_path, "crème fraîche", "01056", "SR28", "RM", "2026-11-25")
    assert path == (tmp_path / "matches.yaml").resolve()
    entry = {"ingredient": "crème fraîche", "food": "01056", "release": "SR28", "by": "RM", "date": "2026-11-25"}
    assert read(tmp_path) == [entry]
    assert 'food: "01056"' in text(tmp_path), "a code without quotes is a number to other programs"
    (tmp_path / "kitchen.yaml").write_text("kitchen: The Quay\nlaw: uk\n", "utf-8")
    kitchen, _ = read_kitchen(tmp_path)
    (match,) = kitchen.matches.values()
    assert (match.name, match.food, match.release, match.by, match.date) == ("crème fraîche", "01056", "SR28", "RM", "2026-11-25")


@pytest.mark.parametrize("name", [
    "'nduja", "a: b", "no", "half & half", "egg #1", "- dash", "70 %", "null", '"quoted"', "tofu (firm)", "*may",
])  # fmt: skip
def test_any_name_comes_back_as_it_was(tmp_path: Path, name: str) -> None:
    write_match(tmp_path, name, "fdc:173410", "SR28", "R. M.", "2026-11-25")
    write_match(tmp_path, "cod", "15015", "SR28", "yes", "2026-11-25")
    assert [row["ingredient"] for row in read(tmp_path)] == [name, "cod"]
    assert yaml.safe_load(text(tmp_path))[0]["ingredient"] == name, "other programs read the same"


def test_a_known_ingredient_is_changed_in_its_place(tmp_path: Path) -> None:
    (tmp_path / "matches.yaml").write_text(
        "# chef looked at these\n- ingredient: crème fraîche   # full fat\n  food: \"01056\"\n  # asked the dairy\n  by: RM\n"
        "  date: 2026-01-01\n\n# fish\n- {ingredient: cod, food: '15015'}\n", "utf-8")  # fmt: skip
    write_match(tmp_path, "Creme Fraiche", "01052", "SR28", "AB", "2026-11-25")
    after = text(tmp_path)
    assert [(row["ingredient"], row["food"]) for row in read(tmp_path)] == [("Creme Fraiche", "01052"), ("cod", "15015")]
    for kept in ("# chef looked at these", "# asked the dairy", "# fish", "- {ingredient: cod, food: '15015'}"):
        assert kept in after
    write_match(tmp_path, "cod", "15019", "SR28", "AB", "2026-11-25")
    assert [(row["ingredient"], row["food"]) for row in read(tmp_path)] == [("Creme Fraiche", "01052"), ("cod", "15019")]


def test_line_ends_indent_and_rights_stay(tmp_path: Path) -> None:
    file = tmp_path / "matches.yaml"
    file.write_bytes(b"\xef\xbb\xbf  - ingredient: a\r\n    food: |\r\n      02\r\n")
    os.chmod(file, 0o640)
    write_match(tmp_path, "b", "00003", "SR28", "RM", "2026-11-25")
    raw = file.read_bytes()
    assert raw.count(b"\r\n") == raw.count(b"\n") and b"\r\n  - ingredient: b\r\n    food: " in raw
    assert [row["ingredient"] for row in read(tmp_path)] == ["a", "b"]
    assert stat.S_IMODE(file.stat().st_mode) == 0o640
    assert os.listdir(tmp_path) == ["matches.yaml"], "nothing left beside it"


@pytest.mark.parametrize("broken", [
    "- a\n", "- ingredient: 'a\n  b: [\n", "ingredient: a\nfood: '01056'\n", "[{ingredient: a}]\n", "- ingredient: \x01\n",
])  # fmt: skip
def test_a_file_that_can_not_be_read_is_never_overwritten(tmp_path: Path, broken: str) -> None:
    (tmp_path / "matches.yaml").write_text(broken, "utf-8")
    with pytest.raises(MatchesNotReadable) as caught:
        write_match(tmp_path, "cod", "15015", "SR28", "RM", "2026-11-25")
    assert "matches.yaml" in caught.value.strerror and "mend it first" in caught.value.strerror
    assert text(tmp_path) == broken and os.listdir(tmp_path) == ["matches.yaml"]


def test_an_empty_file_and_a_file_of_comments(tmp_path: Path) -> None:
    for start in ("", "# only this\n", "---\n"):
        (tmp_path / "matches.yaml").write_text(start, "utf-8")
        write_match(tmp_path, "cod", "15015", "SR28", "RM", "2026-11-25")
        assert [row["food"] for row in read(tmp_path)] == ["15015"]
        assert text(tmp_path).startswith(start.rstrip("-\n"))


def test_a_folder_that_is_not_there_is_an_oserror_and_nothing_is_empty(tmp_path: Path) -> None:
    with pytest.raises(OSError):
        write_match(tmp_path / "gone", "cod", "15015", "SR28", "RM", "2026-11-25")
    with pytest.raises(ValueError):
        write_match(tmp_path, "  ", "15015", "SR28", "RM", "2026-11-25")
    with pytest.raises(ValueError):
        write_match(tmp_path, "cod", "", "SR28", "RM", "2026-11-25")
