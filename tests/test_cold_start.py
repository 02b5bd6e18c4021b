"""A command starts quickly: it loads nothing that it does not need, and tables are kept ready without ever being out of date.

How long a start takes is measured by ``tests/bench_cold_start.py``, beside ``python -c pass`` in the same run.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

from labeller.reading import library
from labeller.reading.lexicon import load_lexicon, open_lexicon
from labeller.serving.tables import Tables
from labeller.terms.lexicon import Lexicon
from labeller.working.label_reader import read_label
from labeller.working.matching_shelf import Shelf

NOT_NEEDED = ("shutil", "json", "numpy", "pandas", "jinja2", "reportlab", "openpyxl", "ruamel",
              "waitress", "sqlite3", "importlib.metadata", "labeller.printing", "labeller.serving.documents",
              "labeller.serving.register", "labeller.serving.web")  # fmt: skip


@pytest.fixture
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("LABELLER_CACHE", str(tmp_path / "cache"))
    return tmp_path / "cache" / "labeller"


def counted(table: Path) -> tuple[Callable[[], list[str]], list[int]]:
    """A maker, and how often it was asked."""
    asked: list[int] = []

    def make() -> list[str]:
        asked.append(1)
        return table.read_text(encoding="utf-8").split()

    return make, asked


def test_what_is_kept_is_made_once(cache: Path, tmp_path: Path) -> None:
    table = tmp_path / "table.csv"
    table.write_text("milk wheat", encoding="utf-8")
    make, asked = counted(table)
    assert [library.kept("table", (table,), make) for _ in range(3)] == [["milk", "wheat"]] * 3
    assert len(asked) == 1


def test_another_source_of_the_same_size_and_time_is_read_anew(cache: Path, tmp_path: Path) -> None:
    table = tmp_path / "table.csv"
    table.write_text("milk", encoding="utf-8")
    make, _ = counted(table)
    assert library.kept("table", (table,), make) == ["milk"]
    before = table.stat()
    table.write_text("eggs", encoding="utf-8")
    os.utime(table, ns=(before.st_atime_ns, before.st_mtime_ns))
    assert library.kept("table", (table,), make) == ["eggs"]


@pytest.mark.parametrize("damage", [
    lambda data: b"", lambda data: data[:-3], lambda data: data[:40], lambda data: data + b"x", lambda data: b"\0" * len(data),
    lambda data: data[:-1] + bytes([data[-1] ^ 1]), lambda data: data.replace(b"milk", b"silk"),
])  # fmt: skip
def test_what_was_damaged_is_made_anew_and_mended(cache: Path, tmp_path: Path, damage: Callable[[bytes], bytes]) -> None:
    table = tmp_path / "table.csv"
    table.write_text("milk wheat", encoding="utf-8")
    make, asked = counted(table)
    library.kept("table", (table,), make)
    (kept,) = cache.iterdir()
    kept.write_bytes(damage(kept.read_bytes()))
    assert [library.kept("table", (table,), make) for _ in range(2)] == [["milk", "wheat"]] * 2
    assert len(asked) == 2


def test_a_folder_that_cannot_be_written_is_no_fault(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    monkeypatch.setenv("LABELLER_CACHE", str(tmp_path / "file"))
    table = tmp_path / "table.csv"
    table.write_text("milk", encoding="utf-8")
    assert library.kept("table", (table,), counted(table)[0]) == ["milk"]


def test_a_kept_shelf_offers_what_a_fresh_one_does(cache: Path) -> None:
    from labeller.reading.names import load_synonyms

    tables = Tables()
    fresh = Shelf(tables.foods.descriptions(), load_synonyms())
    for _ in range(2):  # made, then kept
        shelf = Tables().shelf
        for name in ("hand-dived Orkney scallops", "brocolli", "leg of lamb", "water chestnuts", "tinned plum tomatoes", "zzz"):
            assert shelf.candidates(name, 8, tables.names) == fresh.candidates(name, 8, tables.names)


def test_declare_loads_nothing_that_it_does_not_need(tmp_path: Path) -> None:
    kitchen = tmp_path / "kitchen"
    (kitchen / "recipes").mkdir(parents=True)
    (kitchen / "kitchen.yaml").write_text("kitchen: Test\nlaw: uk\n", encoding="utf-8")
    dish = "- dish: soup\n  portion:\n    - carrot: 100 g\n    - sea salt: 1 g\n"
    (kitchen / "recipes" / "one.yaml").write_text(dish, encoding="utf-8")
    program = "import sys; from labeller.serving.cli import main; main(); print(*sys.modules, sep='\\n', file=sys.stderr)"
    told = subprocess.run([sys.executable, "-c", program, "declare", "soup", "--kitchen", str(kitchen), "--date", "2026-11-25"],
                          capture_output=True, text=True, check=True)  # fmt: skip
    assert "carrot" in told.stdout
    assert not [name for name in NOT_NEEDED if name in told.stderr.split("\n")]


@pytest.mark.parametrize(("columns", "widest"), [("60", 58), ("", 78), ("0", 78), ("wide", 78)])
def test_help_is_as_wide_as_the_terminal(columns: str, widest: int) -> None:
    told = subprocess.run([sys.executable, "-m", "labeller", "--help"], capture_output=True, text=True, check=True,
                          env=os.environ | {"COLUMNS": columns}, stdin=subprocess.DEVNULL)  # fmt: skip
    lengths = [len(line) for line in told.stdout.splitlines()]
    assert widest - 12 < max(lengths) <= widest


def both(quick: Lexicon, whole: Lexicon) -> tuple[tuple[Mapping, Mapping], ...]:
    """The three mappings of two lexicons, side by side."""
    return (quick.phrases, whole.phrases), (quick.longest, whole.longest), (quick.languages, whole.languages)


def test_an_opened_lexicon_says_what_a_loaded_one_does(cache: Path) -> None:
    """Every phrase, every word, and words that are none: an allergen missed by the quick way would be missed on a plate."""
    loaded = load_lexicon()
    for _ in range(2):  # made, then kept
        opened = open_lexicon()
        for quick, whole in both(opened, loaded):
            assert all(quick[key] == value == quick.get(key) and key in quick for key, value in whole.items())
            assert dict(quick.items()) == dict(whole) and list(quick) == list(whole) and len(quick) == len(whole)
    assert (opened.groups, opened.exemptions) == (loaded.groups, loaded.exemptions)


@pytest.mark.parametrize("key", [
    "", " ", "xyzzy", "m", "mi", "milk ", " milk", "milk xyzzy", "\nmilk", "milk\t", "milk\n", "\t", "|", "=",
])  # fmt: skip
def test_what_is_no_phrase_is_none_in_an_opened_lexicon(cache: Path, key: str) -> None:
    loaded, opened = load_lexicon(), open_lexicon()
    for quick, whole in both(opened, loaded):
        assert (key in quick, quick.get(key), quick.get(key, "none")) == (key in whole, whole.get(key), whole.get(key, "none"))


def test_labels_read_alike_with_both(cache: Path) -> None:
    loaded, opened = load_lexicon(), open_lexicon()
    for text in ("WHEAT flour, sugar, SOYA lecithin (E322), may contain traces of nuts",
                 "Weizenmehl, Haselnüsse 12 %, Molkenpulver",
                 "farine de blé, lait écrémé, traces d'arachides", "sulphur dioxide 12 mg/kg, worcester sauce (barley, anchovy)"):
        assert read_label(text, opened) == read_label(text, loaded)
