"""Trails that a cook can follow with a pocket calculator: each step of the demo's figures is worked out again from its words."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from labeller.serving.cli import main
from labeller.serving.pipeline import declared, open_kitchen
from labeller.serving.why import cut, figure_steps
from labeller.terms.evidence import Step

KITCHEN = Path(__file__).resolve().parents[1] / "templates" / "kitchen"
DISHES = ("dressed crab, quince, hazelnut", "mussels, leek, cider", "venison, beetroot, bramble",
          "crumbed oyster, apple and sorrel",
          "malted spelt bread, whipped butter", "dark chocolate tart, malt cream", "Kelpstone canapé box")  # fmt: skip
FIGURES = ("fat_g", "saturates_g", "salt_g", "sugars_g", "energy_kcal", "protein_g")
NUMBER = r"(-?[\d.]+(?:e[-+]?\d+)?)"
PART = re.compile(rf"^(?!portion)(?:.*: |.*portion of ){NUMBER} g x {NUMBER} \S+/100 g(.*) = {NUMBER} \S+$")
BATCH = re.compile(rf'^".*": {NUMBER} \S+ in {NUMBER} g = {NUMBER} \S+/100 g')
SHARE = re.compile(rf" x {NUMBER}")
READING = 0.002  # numbers are printed with four digits


@pytest.fixture(scope="module")
def opened():
    return open_kitchen(KITCHEN, "2026-11-25")


def tree(opened, dish: str, figure: str) -> Step:
    recipe = opened.workshop.names.recipe(dish)
    made, _ = declared(opened, recipe, "uk")
    return figure_steps(opened, recipe, made, figure)


def walked(step: Step):
    yield step
    for each in step.under:
        yield from walked(each)


@pytest.mark.parametrize("dish", DISHES)
@pytest.mark.parametrize("figure", FIGURES)
def test_every_step_can_be_worked_out_again(opened, dish: str, figure: str) -> None:
    number = 0
    for step in walked(tree(opened, dish, figure)):
        part, batch = PART.match(step.what), BATCH.match(step.what)
        if part:
            grams, per_100g, shares, brings = part.groups()
            value = float(grams) * float(per_100g) / 100
            for share in SHARE.findall(shares):
                value *= float(share)
            assert float(brings) == pytest.approx(value, rel=READING, abs=1e-6), step.what
            number += 1
        elif batch:
            amount, grams, per_100g = map(float, batch.groups())
            assert per_100g == pytest.approx(amount / grams * 100, rel=READING), step.what
            if step.under:
                total, largest = added(step.under)
                assert amount == pytest.approx(total, rel=READING, abs=max(1e-3, READING * largest)), step.what
            number += 1
    assert number > 3


def added(steps: tuple[Step, ...]) -> tuple[float, float]:
    """(what the steps under a batch come to, the largest of them); fat that ran off takes a share of the finer lipids along."""
    total = largest = 0.0
    for step in steps:
        if step.what.startswith("no ") or "not known" in step.what:
            continue
        share = re.search(rf"of it stays: x {NUMBER}$", step.what)
        if share:
            total *= float(share.group(1))
            continue
        value = float(re.search(rf"(?:= |: ){NUMBER} \S+$", step.what.replace("+", "")).group(1))
        total, largest = total + value, max(largest, abs(value))
    return total, largest


@pytest.mark.parametrize("dish", DISHES)
def test_the_weights_add_up(opened, dish: str) -> None:
    weights = next(step for step in tree(opened, dish, "fat_g").under if step.what.startswith("weights"))
    summed = 0
    for batch in weights.under:
        ready = float(re.search(rf"weighs {NUMBER} g when ready", batch.what).group(1))
        if batch.under and re.match(r"^-?[\d.]+ [-+]", batch.under[-1].what):
            said, total = batch.under[-1].what.split(" (")[0].removesuffix(" g").split(" = ")
            assert float(total) == ready
            assert sum(float(each) for each in re.findall(r"[-+]?[\d.]+(?:e[-+]?\d+)?",
                                                          said.replace("- ", "-").replace("+ ", "+"))) == pytest.approx(
                ready, rel=READING)  # fmt: skip
            summed += 1
    assert summed


def test_the_law_adds_energy_up(opened) -> None:
    """Annex XIV of Regulation (EU) No 1169/2011: carbohydrate 4, protein 4, fat 9, alcohol 7, fibre 2 kcal per gram."""
    steps = [step.what for step in tree(opened, "mussels, leek, cider", "energy_kcal").under]
    energy = next(what for what in steps if what.startswith("energy = "))
    said, _, total = energy.removeprefix("energy = ").rpartition(" = ")
    terms = re.findall(rf"{NUMBER} g x {NUMBER}", said)
    assert {factor for _, factor in terms} == {"4", "9", "7", "2"}
    assert sum(float(grams) * float(factor) for grams, factor in terms) == pytest.approx(float(total.split()[0]), rel=READING)
    assert any(what.startswith("protein = nitrogen") and " x 6.25 " in what for what in steps)


def test_salt_is_sodium_by_two_and_a_half(opened) -> None:
    steps = [step.what for step in tree(opened, "malted spelt bread, whipped butter", "salt_g").under]
    assert any(re.match(r"salt = sodium [\d.]+ mg x 0\.0025 = [\d.]+ g", what) for what in steps)


def test_each_range_is_shown_with_what_it_does(opened) -> None:
    under = tree(opened, "mussels, leek, cider", "energy_kcal").under
    moves = next(step for step in under if step.what.startswith("what each range does"))
    assert [step.what for step in moves.under] == ["cider sauce 25 to 30 g: 217.3 to 234.3 kcal"]
    assert "(middle of 25 to 30 g)" in "\n".join(tree(opened, "mussels, leek, cider", "fat_g").lines())


def test_a_recipe_used_twice_is_worked_out_once(tmp_path: Path) -> None:
    (tmp_path / "recipes").mkdir()
    (tmp_path / "kitchen.yaml").write_text("kitchen: Test\nlaw: uk\n", encoding="utf-8")
    (tmp_path / "recipes" / "all.yaml").write_text("""
- recipe: butter sauce
  ingredients:
    - unsalted butter: 100 g
    - whole milk: 100 g
- recipe: glaze
  ingredients:
    - butter sauce: 50 g
    - caster sugar: 10 g
- dish: plate
  serves: 1
  portion:
    - butter sauce: 20 g
    - glaze: 10 g
""", encoding="utf-8")
    lines = tree(open_kitchen(tmp_path, "2026-11-25"), "plate", "fat_g").lines()
    first, second = (nr for nr, line in enumerate(lines) if '"butter sauce": ' in line and "g/100 g" in line)
    assert not lines[first].endswith("as above") and lines[second].endswith("as above")
    assert sum("unsalted butter: 100 g x" in line for line in lines) == 1


def test_depth(opened, capsys) -> None:
    whole = tree(opened, DISHES[0], "fat_g")
    assert cut(whole, 0).under == () and cut(whole, 0).what.endswith("(more below)")
    assert [each.under for each in cut(whole, 1).under] == [()] * len(whole.under)
    assert cut(whole, 99) == whole
    assert main(["why", DISHES[0], "fat_g", "--depth", "1", "--kitchen", str(KITCHEN), "--date", "2026-11-25"]) == 0
    assert len(capsys.readouterr().out.splitlines()) == 1 + len(whole.under)


def test_a_trail_is_no_longer_than_its_recipes(opened) -> None:
    """Lines on paper: at most about three a recipe line for one quantity, weights included."""
    for dish in DISHES:
        recipe = opened.workshop.names.recipe(dish)
        lines = sum(len(each.lines) for each in opened.workshop.family(recipe).values())
        assert len(tree(opened, dish, "fat_g").lines()) <= 3 * lines + 12, dish
