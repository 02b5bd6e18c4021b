"""Every table has its provenance: a manifest entry, a checksum that holds, sources that resolve."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
import reference_sums

from labeller.reading.library import yaml_text

REFERENCE = Path(__file__).resolve().parents[1] / "reference"
FOLDERS = sorted(path.parent for path in REFERENCE.glob("*/MANIFEST.yaml"))
ASKED = ("file", "title", "publisher", "edition", "taken", "licence", "sha256")


def test_every_folder_has_a_manifest_and_sources() -> None:
    assert {path.name
            for path in REFERENCE.iterdir() if path.is_dir() and path.name != "__pycache__"} == {path.name for path in FOLDERS}
    assert all((folder / "SOURCES.yaml").is_file() for folder in FOLDERS)


def test_checksums_hold_and_no_file_is_unlisted() -> None:
    assert reference_sums.wrong() == [], "on purpose? python tests/reference_sums.py --write"


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda path: path.name)
def test_manifest_entries_are_whole(folder: Path) -> None:
    for entry in yaml_text(folder / "MANIFEST.yaml"):
        assert [key for key in ASKED if not entry.get(key)] == [], entry.get("file")


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda path: path.name)
def test_every_source_of_a_row_resolves(folder: Path) -> None:
    sources = yaml_text(folder / "SOURCES.yaml")
    known = set(sources) if isinstance(sources, dict) else {entry["key"] for entry in sources}
    for path in sorted(folder.glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as stream:
            rows = csv.DictReader(stream)
            if "source" not in (rows.fieldnames or ()):
                continue
            named = {part.strip() for row in rows for part in row["source"].replace("|", ";").split(";") if part.strip()}
        assert sorted(named - known) == [], path.name
