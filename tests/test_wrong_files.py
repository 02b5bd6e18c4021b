"""One broken file for each finding of the kitchen room, with the words that its finding must hold.

Each file of ``wrong_files/`` begins with remarks: ``place`` (where in the kitchen it belongs), ``says`` (words of text and mend,
divided by |), and, where a broken file cannot be kept as it is, ``repeat`` (times the body is written) or ``make``.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from labeller.reading.kitchen import read_kitchen
from labeller.reading.new_kitchen import write_kitchen
from labeller.terms.catalogue.kitchen import ENTRIES
from labeller.terms.findings import SEVERITIES

WRONG = Path(__file__).parent / "wrong_files"
HOUSE = "kitchen: Test\nlaw: uk\nequipment:\n  - deep fryer: {oil changed: 2026-11-24}\n"
CODES = [entry.code for entry in ENTRIES]


def broken_kitchen(code: str, folder: Path) -> tuple[Path, list[str]]:
    """The kitchen that holds the broken file, and the words its finding must say."""
    data = (WRONG / f"{code}.yaml").read_bytes()
    head = {}
    for line in data.decode("latin-1" if code == "file-not-utf8" else "utf-8").splitlines():
        if not line.startswith("# "):
            break
        key, _, value = line[2:].partition(": ")
        head[key] = value
    says = [words.strip() for words in head["says"].split(" | ")]
    if head.get("make") == "no folder":
        return folder / "nowhere", says
    if head.get("make") != "no kitchen.yaml":
        (folder / "kitchen.yaml").write_text(HOUSE, encoding="utf-8")
    if head["place"]:
        path = folder / head["place"]
        path.parent.mkdir(exist_ok=True)
        if head.get("make") == "dangling link":
            path.symlink_to(folder / "nowhere.yaml")
        elif head.get("make") == "blank":
            path.write_bytes(b"\n")
        else:
            path.write_bytes(data * int(head.get("repeat", "1")))
    return folder, says


def findings_of(code: str, folder: Path):
    """Findings of reading the folder; for the two codes of writing a new kitchen, of writing it where it can't be."""
    if code == "folder-not-empty":
        return write_kitchen("new", folder)[1]
    if code == "folder-not-writable":
        return write_kitchen("new", folder / "kitchen.yaml" / "inner")[1]
    return read_kitchen(folder)[1]


@pytest.mark.parametrize("code", CODES)
def test_every_finding_has_a_broken_file(code: str, tmp_path: Path) -> None:
    folder, says = broken_kitchen(code, tmp_path)
    findings = findings_of(code, folder)
    hits = [one for one in findings if one.code == code]
    assert hits, f"{code} was not found, but {[one.code for one in findings]}"
    told = [f"{one.text} => {one.mend}" for one in hits]
    assert any(all(words in text for words in says) for text in told), (says, told)


@pytest.mark.parametrize("code", CODES)
def test_a_broken_file_names_its_place(code: str, tmp_path: Path) -> None:
    folder, _ = broken_kitchen(code, tmp_path)
    findings = findings_of(code, folder)
    for one in findings:
        assert one.place.file, one
        if not code.startswith(("no-kitchen", "file-", "folder-", "stray-file")):
            assert one.place.line > 0, one
        assert str(tmp_path) not in one.text + one.mend + str(one.place)


def test_catalogue_is_whole() -> None:
    for entry in ENTRIES:
        assert entry.severity in SEVERITIES and entry.blocks in ("all", "nutrition", "none")
        assert (entry.severity == "stop") == (entry.blocks != "none"), entry.code
        assert entry.title and entry.why and entry.remedy
        assert entry.why.endswith(".") and entry.remedy.endswith(".") and not entry.title.endswith("."), entry.code
    assert len(set(CODES)) == len(CODES)


def test_no_kitchen_code_is_raised_outside_the_catalogue() -> None:
    """Every code typed in the reader's modules stands in the catalogue of this room."""
    import re

    import labeller.reading.kitchen as room

    ours = ("amounts", "nodes", "yaml_errors", "entries", "recipe_lines", "recipes", "products", "house_file", "service_files",
            "cross_checks", "kitchen", "new_kitchen")  # fmt: skip
    folder = Path(room.__file__).parent
    call = re.compile(r'(?:\badd|\bfinding|\btell|_tell|tell_at|Told|Asked)\(\s*"([a-z0-9]+(?:-[a-z0-9]+)+)"')
    typed = {code for name in ours for code in call.findall((folder / f"{name}.py").read_text(encoding="utf-8"))}
    assert len(typed) > 40
    assert typed <= set(CODES), typed - set(CODES)


@pytest.mark.parametrize("code", CODES)
def test_the_findings_do_not_depend_on_the_c_library(code: str, tmp_path: Path, monkeypatch) -> None:
    """Where PyYAML has been built without libyaml its own parser stands in; its errors are worded otherwise, ours are not."""
    import yaml

    from labeller.reading import nodes

    class Pure(yaml.SafeLoader):
        yaml_implicit_resolvers: dict = {}

    monkeypatch.setattr(nodes, "_Nodes", Pure)
    folder, says = broken_kitchen(code, tmp_path)
    told = [f"{one.text} => {one.mend}" for one in findings_of(code, folder) if one.code == code]
    assert any(all(words in text for words in says) for text in told), (says, told)
