"""Releases of the food data side by side: pinned matches, what a newer release would change, accepting it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from test_fdc_import import AMOUNT, FOOD, NUTRIENTS, csv_zip, legacy

from labeller.reading.fdc_import import import_fdc
from labeller.serving.cli import main
from labeller.serving.pipeline import open_kitchen
from labeller.serving.releases import at_hand, offers

DAY = ("--date", "2026-11-25")
NEW = "FDC Foundation 2024-10-31"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "recipes").mkdir()
    (tmp_path / "products").mkdir()
    (tmp_path / "kitchen.yaml").write_text("kitchen: Test\nlaw: eu\nshow nutrition: yes\n", encoding="utf-8")
    (tmp_path / "recipes" / "all.yaml").write_text("""
- dish: milk pudding
  serves: 2
  portion:
    - whole milk: 200 g
    - caster sugar: 20 g
- dish: sugared strawberry
  serves: 1
  portion:
    - strawberry: {amount: 50 g, food: "09316"}
    - caster sugar: 5 g
- dish: bottled milk
  serves: 1
  portion:
    - dairy milk: 100 g
""", encoding="utf-8")
    (tmp_path / "products" / "all.yaml").write_text('- product: dairy milk\n  food: "01077"\n', encoding="utf-8")
    path = csv_zip(tmp_path / "foundation_2024-10-31.zip", {
        "food.csv": FOOD + '746782,foundation_food,"Milk, whole, 3.25% milkfat, with added vitamin D",1\n',
        "foundation_food.csv": "fdc_id,NDB_number\n746782,1077\n", "nutrient.csv": NUTRIENTS,
        "food_nutrient.csv": AMOUNT + "1,746782,1008,60\n2,746782,1003,5\n3,746782,1093,380\n",
    })  # fmt: skip
    import_fdc(path, tmp_path / "foods.sqlite")
    path.unlink()
    return tmp_path


def sodium(folder: Path) -> float:
    opened = open_kitchen(folder, "2026-11-25")
    return opened.workshop.record(opened.kitchen.recipes["milk pudding"]).middle.totals["sodium_mg"]


def test_an_import_changes_no_figure(folder: Path) -> None:
    """The shipped row 01077 has 43 mg of sodium per 100 g (USDA SR28): 43 mg in each of two portions of 100 g of milk, and 1 mg
    per 100 g of sugar (SR28 19335)."""
    assert sodium(folder) == pytest.approx(43 + 0.1)
    opened = open_kitchen(folder, "2026-11-25")
    assert [(name, number) for name, _, number in at_hand(opened)] == [("SR28", 4), (NEW, 0)]


def test_what_a_release_would_change(folder: Path) -> None:
    found = offers(open_kitchen(folder, "2026-11-25"), NEW)
    assert [(each.ingredient, each.before.code, each.after.code) for each in found] == [
        ("whole milk", "01077", "fdc:746782"), ("dairy milk", "01077", "fdc:746782")]  # fmt: skip
    moves = {key: (old, new) for key, old, new in found[0].moves}
    assert moves["sodium_mg"] == ("43", "380") and moves["protein_g"] == ("3.15", "5") and moves["calcium_mg"] == ("113", "")
    dishes = {name: {key: (old, new) for key, old, new in rows} for name, rows in found[0].dishes}
    assert set(dishes) == {"milk pudding", "bottled milk"} and "sugared strawberry" not in dishes
    # 43 mg of sodium are 0.1075 g of salt; (380 + 0.1) mg a portion of 110 g are 0.864 g per 100 g, printed 0.86 g
    assert dishes["milk pudding"]["Salt"][1].startswith("0.86 g")
    assert found[1].pinned.startswith("products/all.yaml:")


def test_a_person_accepts_and_the_match_is_pinned(folder: Path, capsys) -> None:
    where = ("--kitchen", str(folder), *DAY)
    assert main(["releases", NEW, "--accept", "whole milk", *where]) == 1  # by whom?
    assert main(["releases", NEW, "--accept", "dairy milk", "--by", "RM", *where]) == 1  # its product pins the row
    assert "row-pinned-elsewhere" in capsys.readouterr().err
    assert main(["releases", NEW, "--accept", "caster sugar", "--by", "RM", *where]) == 1  # not in that release
    assert not (folder / "matches.yaml").exists()
    assert main(["releases", NEW, "--accept", "Whole Milk", "--by", "RM", *where]) == 0
    assert sodium(folder) == pytest.approx(380 + 0.1)
    opened = open_kitchen(folder, "2026-11-25")
    facts = opened.workshop.facts(opened.kitchen.recipes["milk pudding"])
    assert any(fact.kind == "milk" and fact.state == "contains" for fact in facts)  # the imported row keeps its allergens


def test_a_pinned_match_keeps_its_release(tmp_path: Path, folder: Path) -> None:
    """Two releases with the same code: the match says which; without one the release that came first stands."""
    for name, kcal in (("a_2018-04.zip", "61"), ("b_2021-10-28.zip", "99")):
        import_fdc(legacy(tmp_path / name, kcal), folder / "foods.sqlite")
    foods = open_kitchen(folder, "2026-11-25").workshop.tables.foods
    assert foods.get("fdc:171265").release == "SR28"  # the shipped table has this id
    assert foods.get("fdc:171265", "FDC SR Legacy 2018-04").values[1] == 61
    (folder / "matches.yaml").write_text(
        '- ingredient: whole milk\n  food: "fdc:171265"\n  release: FDC SR Legacy 2021-10-28\n  by: RM\n'
                                         "  date: 2026-11-20\n", encoding="utf-8")  # fmt: skip
    opened = open_kitchen(folder, "2026-11-25")
    record = opened.workshop.record(opened.kitchen.recipes["milk pudding"])
    assert record.middle.totals["energy_kcal"] == pytest.approx(99 + 387 * 0.1)
    other = opened.workshop.record(opened.kitchen.recipes["bottled milk"])  # the same food by its product: still the shipped row
    assert other.middle.totals["energy_kcal"] == pytest.approx(61)


def test_a_release_that_is_gone_is_a_finding(folder: Path) -> None:
    (folder / "matches.yaml").write_text(
        '- ingredient: whole milk\n  food: "01077"\n  release: FDC Foundation 2019-04\n  by: RM\n'
                                         "  date: 2026-11-20\n", encoding="utf-8")  # fmt: skip
    opened = open_kitchen(folder, "2026-11-25")
    told = opened.workshop.findings_of(opened.kitchen.recipes["milk pudding"])
    found = [each for each in told if each.code == "release-not-there"]
    assert len(found) == 1 and "FDC Foundation 2019-04" in found[0].text and "SR28" in found[0].text


def test_the_command(folder: Path, capsys) -> None:
    where = ("--kitchen", str(folder), *DAY)
    assert main(["releases", *where]) == 0
    assert f"{NEW} (2024-10-31): 0 ingredients" in capsys.readouterr().out
    assert main(["releases", NEW, *where]) == 0
    text = capsys.readouterr().out
    assert "sodium_mg 43 -> 380" in text and "not known there: " in text and "Nothing is taken over by itself." in text
    assert main(["releases", NEW, "--format", "json", *where]) == 0
    assert json.loads(capsys.readouterr().out)[0]["per_100g"]["sodium_mg"] == {"before": "43", "after": "380"}
    assert main(["releases", "FDC Foundation 1999-01", *where]) == 1


def test_a_row_without_measures_takes_the_answer_of_a_dish_that_counts(folder: Path) -> None:
    """Cups and pieces come from the row's own measures: a release that lacks them leaves the dish without figures, and says
    so."""
    (folder / "recipes" / "more.yaml").write_text("""
- dish: strawberries in milk
  serves: 1
  portion:
    - whole milk: 1 cup
""", encoding="utf-8")
    dishes = dict(next(each
                       for each in offers(open_kitchen(folder, "2026-11-25"), NEW) if each.ingredient == "whole milk").dishes)
    assert "strawberries in milk" in dishes


