"""The floors of DEVELOPERS.md hold: import statements go downwards only; outside packages have their owners."""

from __future__ import annotations

import ast
from collections import Counter
from importlib import import_module
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1] / "labeller"
FLOORS = {"terms": 0, "reading": 1, "working": 2, "declaring": 3, "printing": 4, "serving": 5}
OWNERS = {"yaml": {"reading"}, "ruamel": {"reading"}, "pandas": {"reading"}, "openpyxl": {"reading"}, "reportlab": {"printing"},
          "jinja2": {"printing", "serving"}}  # fmt: skip
NO_SIDEWAYS = {"working"}  # rooms that never call each other
MODULES = sorted(ROOT.rglob("*.py"))


def imports(path: Path) -> list[str]:
    found = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found += [name.name for name in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.append(node.module)
    return found


def floor_of(path: Path) -> str:
    return path.relative_to(ROOT).parts[0]


@pytest.mark.parametrize("path", [path for path in MODULES if floor_of(path) in FLOORS],
                         ids=lambda path: str(path.relative_to(ROOT)))  # fmt: skip
def test_imports_go_down_only(path: Path) -> None:
    own = floor_of(path)
    for name in imports(path):
        if name.startswith("labeller."):
            other = name.split(".")[1]
            if other in FLOORS:
                assert FLOORS[other] <= FLOORS[own], f"{path.name} of {own} imports {name}"
                if other == own and own in NO_SIDEWAYS:
                    assert same_room(path, name), f"{path.name} imports the room {name} beside it"
        owner = OWNERS.get(name.split(".")[0])
        assert owner is None or own in owner, f"{path.name} of {own} imports {name}, which belongs to {owner}"


def same_room(path: Path, name: str) -> bool:
    """A folder is one room; modules of one room share the first word of their names (matching, matching_shelf)."""
    other, own = name.split(".")[2], path.relative_to(ROOT).parts[1].removesuffix(".py")
    return other.split("_")[0] == own.split("_")[0]


@pytest.mark.parametrize("forbidden",
                         [("declaring", "reading"), ("declaring", "working"), ("working", "reading"), ("printing", "reading"),
                          ("printing", "working"), ("printing", "declaring")])  # fmt: skip
def test_a_floor_takes_tables_and_records_as_arguments(forbidden: tuple[str, str]) -> None:
    own, other = forbidden
    wrong = [(path.name, name) for path in MODULES if floor_of(path) == own
             for name in imports(path) if name.startswith(f"labeller.{other}")]  # fmt: skip
    assert wrong == []


def test_no_room_is_longer_than_its_ceiling() -> None:
    long = {str(path.relative_to(ROOT)): lines
            for path in MODULES if (lines := len(path.read_text(encoding="utf-8").splitlines())) > 600}  # fmt: skip
    assert long == {}


def test_every_finding_code_raised_is_in_the_catalogue_and_each_code_stands_once() -> None:
    from labeller.terms.catalogue import CATALOGUE
    from labeller.terms.findings import SEVERITIES

    raised = set()
    for path in MODULES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id",
                                                      "") == "finding" and node.args and isinstance(node.args[0], ast.Constant):
                raised.add(node.args[0].value)
    assert raised - set(CATALOGUE) == set()
    rooms = [import_module(f"labeller.terms.catalogue.{path.stem}") for path in (ROOT / "terms" / "catalogue").glob("*.py")]
    codes = Counter(entry.code for room in rooms for entry in getattr(room, "ENTRIES", ()))
    assert [code for code, times in codes.items() if times > 1] == []
    assert set(codes) == set(CATALOGUE)
    for entry in CATALOGUE.values():
        assert entry.severity in SEVERITIES and entry.blocks in ("all", "nutrition", "none")
        assert entry.title and entry.why and entry.remedy
