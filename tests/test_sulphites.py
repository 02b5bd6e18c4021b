"""Sulphites by quantity: declared over the law's limit, recorded and answered to a guest whatever the amount.

Limits: more than 10 mg/kg in the EU and UK (Regulation (EU) No 1169/2011, Annex II item 12), 10 mg/kg and more in the US
(21 CFR 101.100(a)(4)), Canada (B.01.010.2), Australia and New Zealand (Schedule 9).
"""

from __future__ import annotations

from pathlib import Path

import pytest

from labeller.serving.guest import states_of
from labeller.serving.pipeline import declared, open_kitchen

PRODUCT = """- product: bottled lemon juice
  contains: [sulphites]
  evidence: {{kind: pack, checked: 2026-10-02, by: RM}}
  food: "09153"
{figure}"""
RECIPE = """- dish: dressed carrot
  portion:
    - carrot: 90 g
    - bottled lemon juice: 10 g
"""


def kitchen(folder: Path, figure: str):
    (folder / "recipes").mkdir()
    (folder / "products").mkdir()
    (folder / "kitchen.yaml").write_text("kitchen: Test\naddress: 1 Quay Street\nlaw: eu\n", encoding="utf-8")
    (folder / "products" / "p.yaml").write_text(PRODUCT.format(figure=figure), encoding="utf-8")
    (folder / "recipes" / "r.yaml").write_text(RECIPE, encoding="utf-8")
    return open_kitchen(folder, "2026-11-25")


# 10 g in 100 g: a tenth of the product's figure. On each side of the limit and on it.
@pytest.mark.parametrize(("figure", "dish", "eu", "anz"), [
    ("  sulphites: 99 mg/kg", 9.9, False, False),
    ("  sulphites: 100 mg/kg", 10.0, False, True),
    ("  sulphites: 101 mg/kg", 10.1, True, True),
    ("", None, True, True),
])  # fmt: skip
def test_against_each_laws_limit_and_its_sign(tmp_path: Path, figure: str, dish: float | None, eu: bool, anz: bool) -> None:
    opened = kitchen(tmp_path, figure)
    recipe = opened.workshop.names.recipe("dressed carrot")
    record = opened.workshop.record(recipe)
    assert record.sulphites_mg_per_kg == (None if dish is None else pytest.approx(dish))
    for law, declares in (("eu", eu), ("anz", anz)):
        made, _ = declared(opened, recipe, law)
        text = "".join(run.text for run in made.statement).lower() + made.contains.lower()
        assert ("sulphite" in text or "sulfite" in text) is declares, (law, figure, text)
        assert made.states["sulphites"][0] == "contains"  # the record and the matrix keep it


def test_a_guest_is_answered_from_contact(tmp_path: Path) -> None:
    opened = kitchen(tmp_path, "  sulphites: 20 mg/kg")
    recipe = opened.workshop.names.recipe("dressed carrot")
    assert states_of(opened.workshop.facts(recipe), opened.workshop.tables.kinds)["sulphites"].state == "contains"
