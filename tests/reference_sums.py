"""Checksums of reference/ in its manifests.

    python tests/reference_sums.py            # lists files whose checksum or entry is missing
    python tests/reference_sums.py --write    # writes the checksums of files that were changed on purpose
"""

from __future__ import annotations

import hashlib
import re
import sys
from pathlib import Path

REFERENCE = Path(__file__).resolve().parents[1] / "reference"
OWN = {"MANIFEST.yaml", "SOURCES.yaml"}


def sum_of(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def entries(manifest: Path) -> dict[str, str]:
    """file -> checksum, as the manifest of a folder has them."""
    found, name = {}, ""
    for line in manifest.read_text(encoding="utf-8").splitlines():
        if match := re.match(r"-\s+file:\s*\"?([^\"\s]+)\"?", line):
            name = match.group(1)
        elif (match := re.match(r"\s+sha256:\s*\"?([0-9a-f]{64})", line)) and name:
            found[name] = match.group(1)
    return found


def wrong() -> list[str]:
    """What doesn't hold: folder/file and why."""
    found = []
    for manifest in sorted(REFERENCE.glob("*/MANIFEST.yaml")):
        folder, sums = manifest.parent, entries(manifest)
        for name, expected in sums.items():
            path = next((each for each in (folder / name, REFERENCE.parent / "templates" / "fonts" / name,
                                           REFERENCE.parent / name) if each.is_file()), None)  # fmt: skip
            if path is None:
                found.append(f"{folder.name}/{name}: no such file")
            elif sum_of(path) != expected:
                found.append(f"{folder.name}/{name}: changed")
        there = {str(path.relative_to(folder))
                 for path in folder.rglob("*") if path.is_file() and path.suffix in (".csv", ".yaml", ".txt")} - OWN  # fmt: skip
        found += [f"{folder.name}/{name}: not in the manifest" for name in sorted(there - set(sums))]
    return found


def write() -> None:
    for manifest in sorted(REFERENCE.glob("*/MANIFEST.yaml")):
        text = manifest.read_text(encoding="utf-8")
        for name, old in entries(manifest).items():
            if (manifest.parent / name).is_file():
                text = text.replace(old, sum_of(manifest.parent / name))
        manifest.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    if "--write" in sys.argv:
        write()
    print("\n".join(wrong()) or "every checksum holds")
