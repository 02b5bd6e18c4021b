"""Writes the generated parts of README.md: the keys of the kitchen's files, the table of findings.

    python tests/readme_parts.py        # prints them; --write puts them into README.md
"""

from __future__ import annotations

import re
import sys
from pathlib import Path

from labeller.reading.keys import KEYS
from labeller.terms.catalogue import CATALOGUE
from labeller.terms.findings import SEVERITIES

README = Path(__file__).resolve().parents[1] / "README.md"


def findings_table() -> str:
    rows = sorted(CATALOGUE.values(), key=lambda entry: (SEVERITIES.index(entry.severity), entry.code))
    lines = ["| code | weight | what it is | what mends it |", "|---|---|---|---|"]
    lines += [f"| `{each.code}` | {each.severity} | {cell(each.title)} | {cell(each.remedy)} |" for each in rows]
    return "\n".join(lines)


def keys_table() -> str:
    lines = ["| in | key | meaning | such as |", "|---|---|---|---|"]
    lines += [f"| {each.kind} | `{each.key}` | {cell(each.meaning)} | `{cell(each.example)}` |" for each in KEYS]
    return "\n".join(lines)


PARTS = {"findings": findings_table, "keys": keys_table}


def cell(text: str) -> str:
    return text.replace("|", "\\|").replace("\n", " ")


def with_parts(text: str) -> str:
    for name, made in PARTS.items():
        pattern = rf"(<!-- {name}: begin[^\n]*-->\n).*?(<!-- {name}: end -->)"
        text = re.sub(pattern, lambda found, made=made: f"{found.group(1)}\n{made()}\n\n{found.group(2)}", text, flags=re.S)
    return text


if __name__ == "__main__":
    if "--write" in sys.argv:
        README.write_text(with_parts(README.read_text(encoding="utf-8")), encoding="utf-8")
    else:
        print("\n\n".join(made() for made in PARTS.values()))
