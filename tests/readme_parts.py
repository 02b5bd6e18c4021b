"""Writes the generated parts of README.md: the table of findings.

    python tests/readme_parts.py        # prints them; --write puts them into README.md
"""

from __future__ import annotations

import re
import sys
from pathlib import Path

from labeller.terms.catalogue import CATALOGUE
from labeller.terms.findings import SEVERITIES

README = Path(__file__).resolve().parents[1] / "README.md"


def findings_table() -> str:
    rows = sorted(CATALOGUE.values(), key=lambda entry: (SEVERITIES.index(entry.severity), entry.code))
    lines = ["| code | weight | what it is | what mends it |", "|---|---|---|---|"]
    lines += [f"| `{each.code}` | {each.severity} | {cell(each.title)} | {cell(each.remedy)} |" for each in rows]
    return "\n".join(lines)


def cell(text: str) -> str:
    return text.replace("|", "\\|").replace("\n", " ")


def with_parts(text: str) -> str:
    pattern = r"(<!-- findings: begin[^\n]*-->\n).*?(<!-- findings: end -->)"
    return re.sub(pattern, lambda found: f"{found.group(1)}\n{findings_table()}\n\n{found.group(2)}", text, flags=re.S)


if __name__ == "__main__":
    if "--write" in sys.argv:
        README.write_text(with_parts(README.read_text(encoding="utf-8")), encoding="utf-8")
    else:
        print(findings_table())
