"""Printing and importing killed at any moment (SIGKILL): every file is whole, the old one or the new one, and nothing is lost.

Signing is killed in tests/test_register.py, editing in tests/test_kitchen_edit.py.
"""

from __future__ import annotations

import os
import random
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from labeller.reading.kitchen import read_kitchen

DEMO = Path(__file__).resolve().parents[1] / "templates" / "kitchen"
TRIALS, PRINTS = 25, 12
pytestmark = pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="this system has no SIGKILL")


def killed_after(seconds: float, *words: str, once: Path | None = None) -> None:
    """Start a command and kill it after some seconds; once: counted from when this path is there (it has begun to write)."""
    child = subprocess.Popen([sys.executable, "-m", "labeller", *words], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
                             env={**os.environ, "PYTHONPATH": str(DEMO.parents[1])})  # fmt: skip
    while once is not None and not once.exists() and child.poll() is None:
        time.sleep(0.005)
    time.sleep(seconds)
    child.kill()
    child.wait()


def whole(path: Path) -> bool:
    data = path.read_bytes()
    return data.rstrip().endswith(b"%%EOF") if path.suffix == ".pdf" else data.rstrip().endswith((b"</html>", b"]", b"}"))


def test_printing_killed_leaves_whole_documents_and_the_kitchen_as_it_was(tmp_path: Path) -> None:
    kitchen = tmp_path / "kitchen"
    shutil.copytree(DEMO, kitchen)
    before = {path: path.read_bytes() for path in kitchen.rglob("*.yaml")}
    rng = random.Random(7)
    seen = 0
    for _ in range(PRINTS):
        shutil.rmtree(kitchen / "out", ignore_errors=True)
        killed_after(rng.uniform(0.0, 0.15), "print", "recipe-cards", "--kitchen", str(kitchen), "--date", "2026-11-25",
                     once=kitchen / "out")  # fmt: skip
        written = [path for path in (kitchen / "out").rglob("*") if path.is_file()
                   and not path.name.startswith(".")] if (kitchen / "out").exists() else []  # fmt: skip
        assert [path.name for path in written if path.suffix in (".pdf", ".html", ".json") and not whole(path)] == []
        seen = max(seen, len(written))
    assert seen > 0, "no trial got as far as writing"
    assert {path: path.read_bytes() for path in kitchen.rglob("*.yaml")} == before


def test_importing_killed_leaves_a_kitchen_that_reads(tmp_path: Path) -> None:
    kitchen = tmp_path / "kitchen"
    shutil.copytree(DEMO, kitchen)
    before = {path: path.read_bytes() for path in kitchen.rglob("*.yaml")}
    recipe = tmp_path / "list.txt"
    rng = random.Random(11)
    for nr in range(TRIALS):
        recipe.write_text("500 g carrots\n2 tbsp olive oil\n1 tsp salt\n", encoding="utf-8")
        killed_after(rng.uniform(0.1, 1.2), "import", str(recipe), "--name", f"carrot dish {nr}", "--kitchen", str(kitchen))
        read, findings = read_kitchen(kitchen)
        assert read is not None and [each for each in findings if each.severity == "stop"] == []
        assert all(path.read_bytes() == content for path, content in before.items())
