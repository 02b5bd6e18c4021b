"""Every command on the demo, run as a newcomer would from another folder. Used by .ci/run with the built wheel.

    python tests/every_command.py PATH_OF_LABELLER
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

DAY = ("--date", "2026-11-25")


def run(tool: str, *words: str, code: int = 0, feed: str = "") -> str:
    """Run one command; its output. Ends the run with what went wrong when the exit code differs or a traceback shows."""
    done = subprocess.run([tool, *words], capture_output=True, text=True, input=feed, check=False)
    if done.returncode != code or "Traceback" in done.stderr:
        print(f"FAILED (exit {done.returncode}, expected {code}): labeller {' '.join(words)}")
        print(f"{done.stdout[-2000:]}\n{done.stderr[-3000:]}")
        raise SystemExit(1)
    print(f"ok {code}  labeller {' '.join(words)}")
    return done.stdout


def sign_and_compare(tool: str, kitchen: tuple[str, ...]) -> None:
    """Sign the demo's menu with its doubts accepted, print under the number, change nothing, copy the menu, recall, find a
    mark."""
    who = ("--by", "RM", "--role", "head chef", "--time", "16:00")
    refused = json.loads(run(tool, "sign-off", *who, "--format", "json", *kitchen, code=1))["findings"]
    codes = dict.fromkeys(each["text"].partition(":")[0] for each in refused)
    accepted = [word for code in codes for word in ("--accept", f"{code}=looked at by the chef")]
    run(tool, "sign-off", *who, *accepted, "--print", *kitchen)
    run(tool, "changes", *kitchen)
    run(tool, "copy-menu", "Late autumn tasting", "Winter tasting", "--from", "2026-12-08", "--until", "2026-12-19", *kitchen)
    run(tool, "changes", "--menu", "Winter tasting", "--against", "Late autumn tasting", "--format", "json", *kitchen)
    run(tool, "recall", "puff pastry", "--lot", "PP 26-41", *kitchen)
    issued = json.loads(next(Path(kitchen[1], "issued").glob("0001-*.json")).read_text(encoding="utf-8"))
    run(tool, "find-mark", issued["documents"][0]["mark"], *kitchen)


def main(tool: str) -> None:
    with tempfile.TemporaryDirectory() as place:
        os.chdir(place)
        run(tool, "demo", "demo")
        kitchen = ("--kitchen", "demo")
        out = Path("demo/out")
        assert len(list(out.glob("*.pdf"))) >= 4 and list(out.glob("*.html")) and list(
            out.glob("*.json")), "documents of the demo"  # fmt: skip
        records = json.loads(run(tool, "declare", "--all", "--format", "json", *kitchen, *DAY,
                                 code=1))  # one dish is stopped on purpose  # fmt: skip
        dish = next(each for each in records if each["nutrients"])["dish"]
        run(tool, "check", *kitchen, *DAY, code=1)
        run(tool, "check", "--format", "json", *kitchen, *DAY, code=1)
        for law in ("eu", "uk", "us", "ca", "anz", "none"):
            run(tool, "declare", dish, "--law", law, *kitchen, *DAY)
        run(tool, "why", dish, "fat_g", *kitchen, *DAY)
        run(tool, "why", dish, "milk", *kitchen, *DAY)
        run(tool, "guest", "--avoid", "celery, sesame", *kitchen, *DAY)
        run(tool, "guest", "--avoid", "shellfish", "--avoid", "peanut, coeliac", "--format", "json", *kitchen, *DAY)
        run(tool, "guest", "--avoid", "sesme", *kitchen, *DAY, code=1)
        for what in ("matrix", "cards", "guest-card", "floor-page", "recipe-cards", "records", "test-print", "labels",
                     "run-sheet", "tray-labels", "tub-labels", "box-card", "all"):  # fmt: skip
            run(tool, "print", what, *kitchen, *DAY)
        run(tool, "print", "ticket", "--avoid", "milk", "--table", "4", *kitchen, *DAY)
        run(tool, "print", "ticket", "--avoid", "celery", "--page", "80 mm", "--language", "de", *kitchen, *DAY)
        run(tool, "print", "cards", "--language", "en,fr", *kitchen, *DAY)
        run(tool, "print", "labels", "--sheet", "2", *kitchen, *DAY)
        run(tool, "print", "matrix", "--page", "Letter", "--law", "us", *kitchen, *DAY)
        run(tool, "match", *kitchen)
        run(tool, "foods", "plain", "flour")
        run(tool, "laws")
        run(tool, "releases", *kitchen, *DAY)
        run(tool, "read-label", "wheat flour, whey powder, E322 (soya)")
        sign_and_compare(tool, (*kitchen, *DAY))
        run(tool, "compare", "crème fraîche", "whole milk", *kitchen, *DAY)
        run(tool, "replace", "crème fraîche", "whole milk", "--for", "tonight", "--by", "RM", *kitchen, *DAY)
        run(tool, "new", "empty")
        run(tool, "check", "--kitchen", "empty")
        run(tool, "check", "--kitchen", "nowhere", code=1)
        run(tool, "declare", "no such dish", *kitchen, *DAY, code=1)
    print("every command ran")


if __name__ == "__main__":
    main(os.path.abspath(sys.argv[1]))
