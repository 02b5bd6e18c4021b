"""Measures the label reader on real American statements: ``python tests/measure_label_reader.py`` (needs ``../shared``).

Grades are not pooled, because each tells something else:
``declaration``: the printed Contains sentence was taken out of the text and is what the reader must find: recall *and* precision,
held to the list of US law. ``inline``, ``caps``, ``emphasis``: the expected kinds are those that the text itself names in
brackets, capitals or bold: recall only, since such a text names far more. ``warning``: the precautionary sentence of the full
text. Every miss and false alarm must be judged, by its id, in ``published/label_reader_judged.yaml``.
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from dataclasses import dataclass, field
from math import sqrt
from pathlib import Path

import yaml

from labeller.reading.law_lists import load_law_lists
from labeller.reading.lexicon import load_lexicon
from labeller.terms.lexicon import Lexicon
from labeller.working.label_reader import read_label, view

HERE = Path(__file__).resolve().parent
STATEMENTS = HERE.parents[1] / "shared" / "data" / "label_statements.jsonl"
JUDGED = HERE / "published" / "label_reader_judged.yaml"
Miss = tuple[str, str, str]  # id, kind, what: missed, false alarm, read as an ingredient


@dataclass(slots=True)
class Measured:
    """Counts per (grade, kind): wanted and found; false alarms and right alarms of the declarations."""

    wanted: Counter = field(default_factory=Counter)
    found: Counter = field(default_factory=Counter)
    right: Counter = field(default_factory=Counter)
    false: Counter = field(default_factory=Counter)
    misses: list[Miss] = field(default_factory=list)

    def recall(self, *grades: str) -> tuple[int, int]:
        chosen = [key for key in self.wanted if key[0] in grades]
        return sum(self.found[key] for key in chosen), sum(self.wanted[key] for key in chosen)


def wilson(hits: int, of: int, z: float = 1.96) -> tuple[float, float]:
    """95 % interval of a share (Wilson 1927, J. Am. Stat. Assoc. 22:209-212)."""
    if not of:
        return 0.0, 1.0
    share = hits / of
    centre = share + z * z / (2 * of)
    spread = z * sqrt(share * (1 - share) / of + z * z / (4 * of * of))
    return (centre - spread) / (1 + z * z / of), (centre + spread) / (1 + z * z / of)


def meets(wanted: str, kinds: set[str], lexicon: Lexicon) -> bool:
    """True where the kind, one of its group, or its group's own name was read."""
    return any(wanted in (kind, lexicon.groups.get(kind)) or lexicon.groups.get(wanted) == kind for kind in kinds)


def measure(rows: list[dict], lexicon: Lexicon) -> Measured:
    us = load_law_lists(laws=("us",))["us"]
    result = Measured()
    for row in rows:
        reading = read_label(row["text"], lexicon)
        kinds = {kind for kind, _ in reading.contains}
        grade, wanted = row["grade"], row["contains"]
        if grade == "declaration":
            kinds = set(view(reading, us)["contains"])
            wanted = [kind for kind in wanted if us.kinds_of(kind)]
            for kind in kinds:
                right = meets(kind, set(row["contains"]), lexicon)
                (result.right if right else result.false)[kind] += 1
                if not right:
                    result.misses.append((row["id"], kind, "false alarm"))
        _count(result, row["id"], grade, wanted, kinds, lexicon)
        if row["may_contain"]:
            full = read_label(row["full_text"], lexicon)
            warned = {kind for kind, _ in full.may_contain}
            _count(result, row["id"], "warning", row["may_contain"], warned, lexicon)
            held = warned | {kind for kind, _ in full.contains}
            _count(result, row["id"], "warning or ingredient", row["may_contain"], held, lexicon)
    return result


def _count(result: Measured, row_id: str, grade: str, wanted: list[str], kinds: set[str], lexicon: Lexicon) -> None:
    for kind in wanted:
        result.wanted[grade, kind] += 1
        if meets(kind, kinds, lexicon):
            result.found[grade, kind] += 1
        else:
            result.misses.append((row_id, kind, "read as an ingredient" if grade == "warning" else "missed"))


def unjudged(result: Measured) -> list[Miss]:
    """Misses and false alarms that nobody has judged yet."""
    judged = {(row["id"], row["kind"], row["what"]) for row in judgements()}
    return [miss for miss in dict.fromkeys(result.misses) if miss not in judged]


def judgements() -> list[dict]:
    """Rows of id, kind, what, verdict, reason; verdict ``wrong`` is the reader's own fault."""
    return yaml.safe_load(JUDGED.read_text(encoding="utf-8"))


def rows_of(path: Path = STATEMENTS) -> list[dict]:
    return [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]


def report(result: Measured) -> None:
    for title, grades in (
        ("declaration", ("declaration",)), ("inline", ("inline",)), ("caps", ("caps",)), ("emphasis", ("emphasis",)),
        ("all of these", ("declaration", "inline", "caps", "emphasis")), ("warning", ("warning",)),
        ("warning or ingredient", ("warning or ingredient",)),
    ):  # fmt: skip
        hits, of = result.recall(*grades)
        low, high = wilson(hits, of)
        print(f"{title}: recall {hits} of {of} = {hits / of:.2%} (95 % interval {low:.2%} to {high:.2%})")
    right, false = result.right.total(), result.false.total()
    low, high = wilson(right, right + false)
    print(f"declaration: precision {right} of {right + false} = {right / (right + false):.2%} ({low:.2%} to {high:.2%})")
    for grade, kind in sorted(result.wanted):
        hits, of = result.found[grade, kind], result.wanted[grade, kind]
        low, high = wilson(hits, of)
        print(f"  {grade:22} {kind:15} {hits:4} of {of:4}  {low:.1%} to {high:.1%}")


def main() -> int:
    if not STATEMENTS.exists():
        print("../shared/data/label_statements.jsonl is not here: nothing to measure")
        return 0
    result = measure(rows_of(), load_lexicon())
    report(result)
    left = unjudged(result)
    own = {tuple(row[key] for key in ("id", "kind", "what")) for row in judgements() if row["verdict"] == "wrong"}
    print(f"{len(set(result.misses))} misses and false alarms, {len(left)} not judged, {len(own)} judged the reader's own fault")
    for miss in left:
        print("  not judged:", *miss)
    return 1 if left else 0


if __name__ == "__main__":
    sys.exit(main())
