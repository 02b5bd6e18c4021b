"""How long one declaration takes from a cold start, as a multiple of ``python -c pass`` in the same run.

    python tests/bench_cold_start.py [DEMO_DIR]
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

FLOOR = [sys.executable, "-c", "pass"]
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
            subprocess.run([sys.executable, "-m", "labeller", "demo", str(folder)], check=True, capture_output=True)
        names = subprocess.run([sys.executable, "-m", "labeller", "declare", "--all", "--format", "json", "--kitchen", str(folder), "--date",
                                "2026-11-25"], capture_output=True, text=True, check=False).stdout  # fmt: skip
        import json

        dish = next(each["dish"] for each in json.loads(names) if each["nutrients"])
        floor = seconds(FLOOR)
        one = seconds([sys.executable, "-m", "labeller", "declare", dish, "--kitchen", str(folder), "--date", "2026-11-25"])
        print(f"python -c pass {floor * 1000:.1f} ms; labeller declare \"{dish}\" {one * 1000:.1f} ms; ratio {one / floor:.1f} (asked: 12 or less)")


if __name__ == "__main__":
    main()
