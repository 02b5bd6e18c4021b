"""README and DEVELOPERS say what is: commands, findings, files, the two lines for a fresh machine."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import readme_parts

from labeller.serving.cli import VERBS

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_the_job_is_the_first_paragraph() -> None:
    assert README.startswith("# labeller\n\nA kitchen cooks from its own recipes")


def test_every_command_is_described() -> None:
    assert [verb for verb in VERBS if f"labeller {verb}" not in README] == []


def test_the_table_of_findings_is_current() -> None:
    assert readme_parts.with_parts(README) == README, "run: python tests/readme_parts.py --write"


def test_ci_runs_the_readmes_test_command() -> None:
    command = next(line for line in README.splitlines() if line.startswith("python3 -m venv") and "pytest" in line)
    ci = ROOT / ".ci" / "run"
    if ci.exists():
        assert command in ci.read_text(encoding="utf-8")


def test_files_named_in_developers_exist() -> None:
    named = set(re.findall(r"`((?:reference|labeller|tests|templates)/[\w/.-]+?\.(?:py|csv|yaml))`", DEVELOPERS))
    assert named
    assert [name for name in sorted(named) if not (ROOT / name).exists()] == []


def test_no_test_is_empty_and_no_module_lacks_its_words() -> None:
    for path in sorted((ROOT / "labeller").rglob("*.py")):
        if path.stat().st_size:
            assert ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))), path
    for path in sorted((ROOT / "tests").glob("test_*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"):
                body = [each for each in node.body if not (isinstance(each, ast.Expr) and isinstance(each.value, ast.Constant))]
                assert body and not isinstance(body[0], ast.Pass), (path.name, node.name)
