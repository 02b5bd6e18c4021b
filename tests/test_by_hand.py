"""One dish of the demo worked out by hand, to the last printed digit, and again by a linear solve.

"malted spelt bread, whipped butter": 55 g of a loaf that was weighed when baked, 12-15 g of a butter that was not weighed.
Values per 100 g as USDA prints them (SR28, 2016; NDB numbers beside each). Printed under the rules of the United Kingdom:
energy from the factors of Annex XIV, protein as nitrogen x 6.25 (Annex I), carbohydrate without fibre (Annex I), salt as sodium
x 2.5 (Annex I), rounding of the Commission's guidance of December 2012.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from labeller.serving.pipeline import declared, open_kitchen

KITCHEN = Path(__file__).resolve().parents[1] / "templates" / "kitchen"
DISH = "malted spelt bread, whipped butter"

#        g in     fat    sat    carb   fibre  sugars protein  N factor  sodium mg       NDB
LOAF = [(600.0, 1.66, 0.244, 72.53, 2.4, 0.31, 11.98, 5.70, 2.0),        # 20129 wheat flour, bread, unenriched
        (350.0, 2.43, 0.406, 70.19, 10.7, 6.82, 14.57, 5.83, 8.0),       # 20140 spelt, uncooked
        (50.0, 1.84, 0.386, 78.30, 7.1, 0.80, 10.28, 5.83, 11.0),        # 20131 barley malt flour
        (680.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 6.25, 4.0),                # 14411 water, tap
        (30.0, 0.0, 0.0, 71.30, 0.0, 71.30, 6.20, 6.25, 35.0),           # 19352 malt syrup
        (20.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 6.25, 38758.0),             # 02047 salt
        (12.0, 1.90, 0.243, 18.10, 8.1, 0.0, 8.40, 6.20, 30.0)]          # 18374 yeast, compressed  # fmt: skip
BUTTERMILK = 50 * 245 / 236.5882365  # 50 ml; USDA: 1 cup (236.588 ml) of 01088 weighs 245 g -> 51.778 g
BUTTER = [(250.0, 81.11, 50.489, 0.06, 0.0, 0.06, 0.85, 6.38, 11.0),     # 01145 butter, without salt
          (BUTTERMILK, 0.88, 0.548, 4.79, 0.0, 4.79, 3.31, 6.38, 190.0), # 01088 buttermilk, lowfat
          (4.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 6.25, 38758.0)]            # 02047 salt  # fmt: skip


def batch(lines) -> dict[str, float]:
    """Totals of a batch: grams x value / 100; nitrogen = protein / factor."""
    return {
        "fat": sum(g * fat / 100 for g, fat, *_ in lines),
        "sat": sum(g * sat / 100 for g, _, sat, *_ in lines),
        "carb": sum(g * carb / 100 for g, _, _, carb, *_ in lines),
        "fibre": sum(g * fibre / 100 for g, _, _, _, fibre, *_ in lines),
        "sugars": sum(g * sugars / 100 for g, _, _, _, _, sugars, *_ in lines),
        "nitrogen": sum(g * protein / factor / 100 for g, _, _, _, _, _, protein, factor, _ in lines),
        "sodium": sum(g * sodium / 100 for g, *_, sodium in lines),
    }


def by_hand() -> dict[str, float]:
    loaf, butter = batch(LOAF), batch(BUTTER)
    # loaf: 600+350+50+680+30+20+12 = 1742 g went in, 1480 g came out of the oven: 262 g of water driven off, nothing else lost
    # butter: 250 + 51.778 + 4 = 305.778 g, not weighed again, so that is the batch; middle of 12-15 g is 13.5 g
    # portion: 55 + 13.5 = 68.5 g = 55/1480 of the loaf + 13.5/305.778 of the butter
    whole = sum(g for g, *_ in BUTTER)
    return {key: loaf[key] * 55 / 1480 + butter[key] * 13.5 / whole for key in loaf}


@pytest.fixture(scope="module")
def declaration():
    opened = open_kitchen(KITCHEN, "2026-11-25")
    made, _ = declared(opened, opened.workshop.names.recipe(DISH), "uk")
    return made


def test_the_figures_by_hand(declaration) -> None:
    mine = by_hand()
    totals = declaration.record.middle.totals
    # fat    loaf 9.96+8.505+0.92+0+0+0+0.228 = 19.613 x 55/1480 = 0.72886;
    #        butter (202.775+0.45564) x 13.5/305.778 = 8.97257; together 9.7014
    assert mine["fat"] == pytest.approx(9.7014, abs=5e-5)
    for key, name in (("fat_g", "fat"), ("saturates_g", "sat"), ("carbohydrate_g", "carb"), ("fibre_g", "fibre"),
                      ("sugars_g", "sugars"), ("nitrogen_g", "nitrogen"), ("sodium_mg", "sodium")):  # fmt: skip
        assert totals[key] == pytest.approx(mine[name], rel=1e-6), key
    assert declaration.record.weight_g == (67.0, 68.5, 70.0)  # 55 + 12, 13.5, 15


def test_the_printed_table_by_hand(declaration) -> None:
    mine = by_hand()
    available, protein = mine["carb"] - mine["fibre"], mine["nitrogen"] * 6.25
    # kJ 37 x 9.7014 + 17 x 25.6534 + 17 x 5.4383 + 8 x 2.0949 = 358.953+436.108+92.450+16.759 = 904.27 -> 904
    kj = 37 * mine["fat"] + 17 * available + 17 * protein + 8 * mine["fibre"]
    # kcal 9 x 9.7014 + 4 x 25.6534 + 4 x 5.4383 + 2 x 2.0949 = 87.313+102.614+21.753+4.190 = 215.87 -> 216
    kcal = 9 * mine["fat"] + 4 * available + 4 * protein + 2 * mine["fibre"]
    assert (round(kj, 2), round(kcal, 2)) == (904.27, 215.87)
    printed = {row.key: (row.per_100g, row.per_portion) for row in declaration.rows}
    assert printed == {
        # per 100 g: portion / 68.5 x 100; 10 g and more to 1 g, below to 0.1 g, salt from 1 g to 0.1 g, below to 0.01 g
        "energy_kj": ("1320 kJ", "904 kJ"),        # 904.27 / 0.685 = 1320.10
        "energy_kcal": ("315 kcal", "216 kcal"),   # 215.87 / 0.685 = 315.14
        "fat_g": ("14 g", "9.7 g"),                # 9.7014 / 0.685 = 14.163
        "saturates_g": ("8.3 g", "5.7 g"),         # 5.7007 / 0.685 = 8.322
        "carbohydrate_g": ("37 g", "26 g"),        # 27.7483 - 2.0949 = 25.6534; / 0.685 = 37.450
        "sugars_g": ("2.7 g", "1.9 g"),            # 1.8821 / 0.685 = 2.748
        "fibre_g": ("3.1 g", "2.1 g"),             # 2.0949 / 0.685 = 3.058
        "protein_g": ("7.9 g", "5.4 g"),           # 0.87012 x 6.25 = 5.4383; / 0.685 = 7.939
        "salt_g": ("1.3 g", "0.91 g"),             # 365.30 mg x 2.5 = 0.91324 g; / 0.685 = 1.333
    }  # fmt: skip


def test_the_same_dish_by_a_linear_solve(declaration) -> None:
    """Three batches in one matrix: loaf, butter, plate. X = D X + B; the plate's row is the answer."""
    names = ("fat", "carb", "fibre", "sodium")
    keys = ("fat_g", "carbohydrate_g", "fibre_g", "sodium_mg")
    loaf, butter = batch(LOAF), batch(BUTTER)
    whole = sum(g for g, *_ in BUTTER)
    shares = np.array([[0, 0, 0], [0, 0, 0], [55 / 68.5, 13.5 / 68.5, 0]])
    brought = np.array([[loaf[name] / 1480 for name in names], [butter[name] / whole for name in names], [0, 0, 0, 0]])
    plate = np.linalg.solve(np.eye(3) - shares, brought)[2] * 68.5
    for key, value in zip(keys, plate, strict=True):
        assert declaration.record.middle.totals[key] == pytest.approx(value, rel=1e-6)


def test_the_allergens_by_hand(declaration) -> None:
    """Flours of wheat, spelt and barley, malt of barley; butter and buttermilk. The rye is the mill's warning."""
    states = {group: (state, set(kinds)) for group, (state, kinds, _) in declaration.states.items() if state != "none_on_record"}
    assert states["milk"][0] == "contains"
    assert states["cereals_gluten"][0] == "contains" and {"wheat", "spelt", "barley"} <= states["cereals_gluten"][1]
    assert set(states) == {"milk", "cereals_gluten"}
