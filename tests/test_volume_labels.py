"""A bottled sauce and a chilled pack with further particulars, from the kitchen's files to the printed label, read back from
the PDF. Volumes and densities are made up; the steps of figure heights are those of SI 2006/659, Schedule 2 (from memory)."""

from __future__ import annotations

from pathlib import Path

import pytest
from declared_plate import FIVE, LAW, PACK, dish, made
from label_cases import looks
from msgspec.structs import replace
from paper import pages, squash
from paper_kitchen import DAY, printed

from labeller.printing.fitting import Setter
from labeller.printing.fonts import family
from labeller.printing.label_layout import floors
from labeller.terms.findings import NOWHERE
from labeller.terms.kitchen import NetVolume

PAPER = "contains: none\n  evidence: {kind: pack, checked: 2026-11-02, by: RM}"
FILES = {
    "kitchen.yaml": """
kitchen: The Test Room
address: The Test Room, 1 Quay Street, Exampleton EX1 2MP
law: uk
nation: england
label sheets:
  - bottles: A4 99.1 x 67.7
""",
    "products/larder.yaml": f"""
- product: cider vinegar
  food: "02048"
  ingredients on pack: cider vinegar, preservative (potassium metabisulphite)
  contains: [sulphites]
  sulphites: 60 mg/kg
  density: 1.01 g/ml
  evidence: {{kind: pack, checked: 2026-11-02, by: RM}}
- product: date molasses
  ingredients on pack: dates
  nutrition per 100 g: {{basis: eu, energy: 1250 kJ / 294 kcal, fat: 0.2 g, saturates: 0.1 g, carbohydrate: 71 g, sugars: 68 g,
    protein: 1.2 g, salt: 0.05 g}}
  {PAPER}
- product: minced venison
  food: "17343"
  ingredients on pack: venison
  {PAPER}
- product: caster sugar
  food: "19335"
  {PAPER}
""",
    "recipes/packs.yaml": """
- recipe: plum relish
  ingredients:
    - plums: {amount: 2 kg, trim: 8 %}
    - cider vinegar: 500 ml
    - date molasses: 300 g
    - caster sugar: 250 g
    - sea salt: 25 g
  method: simmered
  makes: 2.4 l
  loss: evaporated
  density: 1.15 g/ml
- pack: plum bottle
  label name: plum sauce
  sold: prepacked
  holds:
    - plum relish: 255 ml
  show percentage of: [plums, plum relish]
  net volume: {at least: 250 ml}
  serving: 15 ml
  shelf life: {best before: 60 days, from: packing, set by: RM}
  store: Keep below 5 °C
- recipe: braised venison
  ingredients:
    - minced venison: 1 kg
    - sea salt: 12 g
  method: braised
  makes: 800 g
  loss: evaporated
- pack: venison tray
  label name: Highland venison
  sold: prepacked
  holds:
    - braised venison: 350 g
  net weight: {at least: 340 g}
  show percentage of: [minced venison, braised venison]
  also state: [protective atmosphere, defrosted]
  origin: Venison from New Zealand
  shelf life: {use by: 8 days, from: packing, set by: RM}
  store: Keep below 5 °C
""",
    "batches/day.yaml": f"""
- batch: bottles
  makes: plum bottle
  date: {DAY}
  count: 1
  lot: P1
- batch: trays
  makes: venison tray
  date: {DAY}
  count: 1
  lot: V1
  frozen on: 2026-11-24
""",
}


@pytest.fixture(scope="module")
def sheet(tmp_path_factory):
    folder: Path = tmp_path_factory.mktemp("volume") / "house"
    for name, text in FILES.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    code, files = printed(folder, "labels")
    assert code == 0, files
    (page,) = pages(files[f"{DAY}-labels.pdf"])
    return page


def test_the_bottle_says_millilitres(sheet):
    text = squash(sheet.text())
    assert "plumsauce" in text and "Per100ml" in text and "Perportion(15ml)" in text and "Thispackholds17portions" in text
    net = next(run for run in sheet.runs if "250 ml" in run.text)
    assert net.size >= family(looks().fonts).regular.points_for_figures(4.0) - 1e-6
    assert [run.text for run in sheet.runs if run.bold and run.text == "sulphites"]


def test_a_label_without_fibre_prints_its_table(sheet):
    """The molasses names no fibre: carbohydrate and energy are printed all the same, fibre is not."""
    text = squash(sheet.text())
    bottle = text[text.index("plumsauce"):text.index("Highland")]
    assert "Carbohydrate" in bottle and "notknown" not in bottle and "Fibre" not in bottle


def test_the_tray_says_its_further_particulars(sheet):
    text = squash(sheet.text())
    assert "Highlandvenison,defrosted" in text and "VenisonfromNewZealand" in text
    assert "Frozenon24November2026" in text and "Packagedinaprotectiveatmosphere" in text


@pytest.mark.parametrize(("ml", "mm"), [(50, 2), (50.1, 3), (200, 3), (200.1, 4), (1000, 4), (1000.1, 6)])
def test_figures_of_a_volume_grow_by_its_millilitres(ml, mm):
    recipe = replace(PACK, net_weight=None, net_volume=NetVolume(ml, True, NOWHERE), density_g_per_ml=1.0)
    declaration = made(dish({"fat_g": 1.0}, ml, kind="pack"), "uk", recipe)
    setter = Setter(family(looks().fonts))
    least = floors(declaration, looks(), setter, None, 60.0)
    assert least.net == pytest.approx(setter.family.regular.points_for_figures(mm)) and LAW["uk"].key == "uk"


def test_one_pack_has_one_volume_on_its_label():
    """Annex IX and Art. 33 of Regulation (EU) No 1169/2011: the column per pack is of the net volume that the label states."""
    recipe = replace(PACK, net_weight=None, net_volume=NetVolume(250, True, NOWHERE), density_g_per_ml=1.1)

    def of(ml: float):
        return made(dish(FIVE["amounts"], ml * 1.1, kind="pack"), "uk", recipe)

    bottle = of(253)
    assert bottle.net_quantity == "250 ml" and bottle.portion_words == "Per pack (250 ml)"
    energy = next(row for row in bottle.figures if row.key == "energy_kj")
    assert energy.value_portion.mid == pytest.approx(energy.value_100ml.mid * 2.5)
    assert "pack-weight-differs" not in [each.code for each in bottle.findings]
    far = [each.text for each in of(300).findings if each.code == "pack-weight-differs"]
    assert len(far) == 1 and "says 250 ml, and its figures are for 300 ml" in far[0]
    short = [each.code for each in of(240).findings]
    assert "pack-short-of-volume" in short and "pack-weight-differs" not in short
