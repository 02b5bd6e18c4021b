"""A small kitchen that is signed off in tests, and the commands as they are typed."""

from __future__ import annotations

from pathlib import Path

from labeller.serving.cli import main

DAY = "2026-11-25"
SIGN = ("--by", "RM", "--role", "head chef", "--time", "17:30")
FILES = {
    "kitchen.yaml": """kitchen: Test House
address: Test House, 1 Quay, Town
law: uk
nation: england
measures: metric
label sheets:
  - boxes: A4 99.1 x 67.7
""",
    "products/larder.yaml": """- product: tahini
  also called: [sesame paste]
  ingredients on pack: SESAME seeds
  contains: [sesame]
  may contain: none
  evidence: {kind: pack, checked: 2026-11-20, by: RM}
  food: "12166"
- product: thick cream
  ingredients on pack: pasteurised cream (MILK)
  contains: [milk]
  may contain: none
  evidence: {kind: pack, checked: 2026-11-20, by: RM}
  food: "01053"
- product: brown jar
  supplier: unknown
  food: "12166"
""",
    "recipes/plates.yaml": """- recipe: dressing
  ingredients:
    - thick cream: 200 g
    - table salt: 2 g
  makes: 202 g
- dish: carrots, dressed
  portion:
    - carrot: 100 g
    - dressing: 20 g
- dish: charred leeks
  portion:
    - leek: 80 g
- pack: lunch box
  holds:
    - carrots, dressed: 2
  sold: prepacked for direct sale
  shelf life: {use by: 2 days, from: packing, set by: RM}
  net weight: {at least: 230 g}
  store: Keep below 5 °C
""",
    "menus/week48.yaml": """menu: Week 48
from: 2026-11-23
until: 2026-11-29
courses:
  - carrots, dressed        # the small carrots
  - course: Side
    dish: charred leeks
packs:
  - lunch box
""",
    "batches/wednesday.yaml": """- batch: dressing of Tuesday
  makes: dressing
  date: 2026-11-24
  lot: D24
  lots: {thick cream: "C 7, C 8"}
- batch: boxes of Wednesday
  makes: lunch box
  date: 2026-11-25
  count: 12
  lot: B25
  lots: {dressing: D24}
- batch: boxes of Thursday
  makes: lunch box
  date: 2026-11-26
  count: 8
  lot: B26
  lots: {thick cream: C 9}
- batch: boxes of Friday
  makes: lunch box
  date: 2026-11-27
  count: 6
  lot: B27
""",
}  # fmt: skip


def write_kitchen(folder: Path) -> Path:
    for name, text in FILES.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return folder


def edit(kitchen: Path, file: str, old: str, new: str) -> None:
    text = (kitchen / file).read_text(encoding="utf-8")
    assert text.count(old) == 1, (file, old)
    (kitchen / file).write_text(text.replace(old, new), encoding="utf-8")


class Cook:
    """Types commands in one kitchen. code, out, err: of the last one; words: out and err on one line, single spaces."""

    def __init__(self, kitchen: Path, capsys):
        self.kitchen, self.capsys = kitchen, capsys
        self.code, self.out, self.err = 0, "", ""

    def types(self, *words: str, day: str = DAY) -> str:
        self.code = main([*words, "--kitchen", str(self.kitchen), "--date", day])
        self.out, self.err = self.capsys.readouterr()
        return self.words

    def signs(self, *more: str) -> str:
        said = self.types("sign-off", "Week 48", *SIGN, *more)
        assert self.code == 0, said
        return said

    @property
    def words(self) -> str:
        return " ".join((self.out + " " + self.err).split())
