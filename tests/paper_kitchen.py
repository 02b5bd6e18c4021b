"""A small kitchen whose packs begin alike and go on two stocks, for tests of what ``labeller print`` puts on paper."""

from __future__ import annotations

from pathlib import Path

from labeller.serving.cli import main

DAY = "2026-11-25"
FILES = {
    "kitchen.yaml": """
kitchen: The Test Room
address: The Test Room, 1 Quay Street, Exampleton EX1 2MP
law: uk
languages: [en]
equipment:
  - deep fryer: {oil changed: 2026-11-24}
label sheets:
  - canapés: A4 99.1 x 67.7
  - jars: A4 63.5 x 72
""",
    "products/larder.yaml": """
- product: butter
  ingredients on pack: cream (MILK), salt
  contains: [milk]
  may contain: none
  evidence: {kind: pack, checked: 2026-11-01, by: RM}
  food: "01001"
- product: hazelnut
  ingredients on pack: HAZELNUTS
  contains: [hazelnut]
  may contain: none
  evidence: {kind: pack, checked: 2026-11-01, by: RM}
  food: "12120"
- product: beetroot
  contains: none
  may contain: none
  evidence: {kind: single ingredient, checked: 2026-11-01, by: RM}
  food: "11080"
- product: rice case
  ingredients on pack: rice, water, salt
  contains: none
  may contain: none
  evidence: {kind: pack, checked: 2026-11-01, by: RM}
  food: "20444"
- product: black pepper
  contains: none
  may contain: none
  evidence: {kind: single ingredient, checked: 2026-11-01, by: RM}
  food: "02030"
""",
    "recipes/all.yaml": """
- recipe: beetroot butter
  ingredients:
    - beetroot: 300 g
    - butter: 200 g
    - black pepper: to taste
  shelf life: {use by: 3 days, from: cooking, set by: RM}
  store: Keep below 5 °C
- dish: hazelnut tartlet
  portion:
    - beetroot butter: 20 g
    - hazelnut: {amount: 5 g, leave off: yes}
- dish: beetroot bite
  portion:
    - beetroot butter: 15 g
    - rice case: 3 g
- pack: beetroot tartlets with hazelnut
  holds:
    - hazelnut tartlet: 6
    - beetroot bite: 2
  sold: prepacked for direct sale
  shelf life: {use by: 2 days, from: packing, set by: RM}
  net weight: {at least: 180 g}
  largest side: 60 cm2
  store: Keep below 5 °C
- pack: beetroot tartlets
  holds:
    - beetroot bite: 8
  sold: prepacked for direct sale
  shelf life: {use by: 2 days, from: packing, set by: RM}
  net weight: {at least: 120 g}
  store: Keep below 5 °C
""",
    "menus/winter.yaml": """
menu: Winter
from: 2026-11-01
until: 2026-12-31
courses:
  - hazelnut tartlet
  - beetroot bite
packs:
  - beetroot tartlets with hazelnut
  - beetroot tartlets
""",
    "batches/day.yaml": """
- batch: hazelnut boxes
  makes: beetroot tartlets with hazelnut
  date: 2026-11-25
  count: 20
  lot: L1
  made by: RM
- batch: plain boxes
  makes: beetroot tartlets
  date: 2026-11-25
  count: 5
  lot: L2
""",
}


def kitchen(folder: Path, **changes: str) -> Path:
    """Writes the kitchen; changes: file stem -> (old | new) replacements, each "old=>new"."""
    for name, text in FILES.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        change = changes.get(path.stem, "")
        if change:
            old, _, new = change.partition("=>")
            assert old in text, f"{old} is not in {name}"
            text = text.replace(old, new)
        path.write_text(text.lstrip("\n"), encoding="utf-8")
    return folder


def printed(folder: Path, what: str, *words: str) -> tuple[int, dict[str, bytes]]:
    """Exit code of ``labeller print`` and the files it wrote, by name; told findings are on the standard output."""
    out = folder.parent / f"{folder.name}-{what}-{abs(hash(words))}"
    code = main(["print", what, "--kitchen", str(folder), "--date", DAY, "--out", str(out), *words])
    found = sorted(path for path in out.rglob("*") if path.is_file() and not path.name.startswith("."))
    return code, {str(path.relative_to(out)): path.read_bytes() for path in found}
