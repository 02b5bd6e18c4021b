"""How long one declaration takes from a cold start, as a multiple of ``python -c pass`` in the same run.

    python tests/bench_cold_start.py [DEMO_DIR]
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

FLOOR = [sys.executable, "-c", "pass"]
LABELLER = [sys.executable, "-m", "labeller"]
WARM = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}  # compiled modules are a cache


def seconds(command: list[str], runs: int = 15) -> float:
    """The median of several runs, after one that warms the disk."""
    times = []
    for _ in range(runs + 1):
        start = time.perf_counter()
        subprocess.run(command, check=False, capture_output=True, env=WARM)
        times.append(time.perf_counter() - start)
    return sorted(times[1:])[runs // 2]


def main() -> None:
    with tempfile.TemporaryDirectory() as place:
        folder = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(place) / "demo"
        if not folder.exists():
            subprocess.run([*LABELLER, "demo", str(folder)], check=True, capture_output=True)
        asked = ["--kitchen", str(folder), "--date", "2026-11-25"]
        told = subprocess.run([*LABELLER, "declare", "--all", "--format", "json", *asked],
                              capture_output=True, text=True, check=False)  # fmt: skip
        dish = next(each["dish"] for each in json.loads(told.stdout) if each["nutrients"])
        floor = seconds(FLOOR)
        one = seconds([*LABELLER, "declare", dish, *asked])
        print(f"python -c pass {floor * 1000:.1f} ms; labeller declare \"{dish}\" {one * 1000:.1f} ms; "
              f"ratio {one / floor:.1f} (asked: 12 or less)")  # fmt: skip


if __name__ == "__main__":
    main()
