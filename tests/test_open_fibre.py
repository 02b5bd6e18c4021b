"""Carbohydrate and energy where the fibre of some food is not known: Regulation (EU) No 1169/2011, Annex I(7), Annex XIV,
Art. 31(4). Figures by hand."""

from __future__ import annotations

import pytest
from declared_plate import LAW, corner, dish, made

from labeller.declaring.nutrition import amount, certainty, figure
from labeller.terms.findings import NOWHERE
from labeller.terms.kitchen import Product
from labeller.terms.nutrients import INDEX
from labeller.working.nutrients import fibre_finding, fibre_of_energy, of_product, of_row

JAM = {"energy_kj": 1050.0, "energy_kcal": 247.0, "fat_g": 0.2, "carbohydrate_g": 60.0, "protein_g": 0.5, "salt_g": 0.03}


def product(**figures) -> Product:
    return Product("jam", NOWHERE, nutrition_basis="eu", nutrition=tuple(figures.items()))


def of(label: Product, grams: float = 100.0):
    content = of_row(of_product(label, None))
    keys = [key for key, nr in INDEX.items() if content.known[nr]]
    return corner(grams, {key: content.values[INDEX[key]] * grams for key in keys})


def test_a_label_without_fibre_has_its_own_carbohydrate_and_energy():
    """17 x 60 + 17 x 0.5 + 37 x 0.2 = 1035.9 kJ; the label says 1050 kJ, so 14.1 kJ are its fibre's: 1.7625 g at 8 kJ. By kcal:
    4 x 60 + 4 x 0.5 + 9 x 0.2 + 2 x 1.7625 = 247.325."""
    jam = of(product(**JAM))
    assert amount("carbohydrate_g", jam, LAW["eu"]).value == pytest.approx(60.0)
    assert amount("energy_kj", jam, LAW["eu"]).value == pytest.approx(1050.0)
    assert amount("energy_kcal", jam, LAW["eu"]).value == pytest.approx(247.325)
    printed = {row.key: row.per_100g for row in made(dish(jam.totals)).rows}
    assert (printed["carbohydrate_g"], printed["energy_kj"], printed["energy_kcal"]) == ("60 g", "1050 kJ", "247 kcal")
    assert "fibre_g" not in printed  # voluntary, and nobody knows it


@pytest.mark.parametrize("law", ["us", "ca"])
def test_total_carbohydrate_is_then_not_known(law):
    """21 CFR 101.9(c)(6), B.01.401: fibre belongs to it; a missing figure is never nought."""
    assert amount("carbohydrate_g", of(product(**JAM)), LAW[law]) is None


def test_rounding_of_a_label_never_makes_fibre_negative():
    assert fibre_of_energy({**JAM, "energy_kj": 1030.0}, None) == 0.0
    assert fibre_of_energy({key: value for key, value in JAM.items() if not key.startswith("energy")}, None) is None
    only_kcal = {key: value for key, value in JAM.items() if key != "energy_kj"}
    assert fibre_of_energy(only_kcal, None) == pytest.approx((247 - 243.8) / 2)


def test_polyols_and_alcohol_are_counted_first():
    """Annex XIV: polyols 10 kJ, alcohol 29 kJ. 17 x 10 + 10 x 10 + 29 x 5 + 8 x 3 = 439 kJ with 20 g carbohydrate, half of it
    polyols, and 3 g of fibre."""
    label = {"energy_kj": 439.0, "fat_g": 0.0, "protein_g": 0.0, "carbohydrate_g": 20.0, "polyols_g": 10.0}
    assert fibre_of_energy(label, 5.0) == pytest.approx(3.0)


def test_the_finding_names_what_is_open():
    told = fibre_finding(product(**JAM), None)[0].text
    assert "total carbohydrate" in told and "energy" not in told
    bare = product(carbohydrate_g=60.0)
    assert "energy" in fibre_finding(bare, None)[0].text
    assert fibre_finding(product(**JAM, fibre_g=1.0), None) == ()


def cooked(open_g: float, weight: float = 100.0):
    """90 g of a food whose fibre is known (20 g carbohydrate by difference, 4 g of it fibre) and 10 g of one whose fibre is not,
    with ``open_g`` carbohydrate by difference."""
    totals = {"fat_g": 5.0, "protein_g": 4.0, "nitrogen_g": 0.64, "carbohydrate_g": 20.0 + open_g, "fibre_g": 4.0,
              "available_carbohydrate_g": 16.0, "fibre_in_energy_g": 4.0, "fibre_open_g": open_g}  # fmt: skip
    known = {"fibre_g": 0.9, "available_carbohydrate_g": 0.9, "fibre_in_energy_g": 0.9, "fibre_open_g": 0.1}
    return dish(totals, weight, known)


@pytest.mark.parametrize(("open_g", "settled"), [(0.4, True), (0.49, True), (0.5, False), (3.0, False)])
def test_carbohydrate_is_printed_where_both_ends_print_the_same(open_g, settled):
    """16.0 to 16.49 g is 16 g at either end; 16.5 g would be 17 g."""
    record = cooked(open_g)
    one = figure("carbohydrate_g", record, LAW["eu"])
    assert (certainty(one, LAW["eu"]) == "whole") is settled
    printed = next(row for row in made(record).rows if row.key == "carbohydrate_g").per_100g
    assert printed == ("16 g" if settled else "at least 16 g")
    assert one.between == (None if settled else (16.0, 16.0 + open_g))


def test_energy_is_printed_where_both_ends_print_the_same():
    """17 x 16 + 17 x 4 + 37 x 5 + 8 x 4 = 557 kJ; 0.01 g of open carbohydrate adds 0 to 0.25 kJ, 0.1 g up to 2.5 kJ."""
    for open_g, printed in ((0.01, "557 kJ"), (0.1, "at least 557 kJ")):
        rows = {row.key: row.per_100g for row in made(cooked(open_g)).rows}
        assert rows["energy_kj"] == printed


def test_the_finding_says_how_much_is_at_stake():
    told = next(one.text for one in made(cooked(3.0)).findings if one.code == "figure-not-whole")
    assert "carbohydrate_g (90% of the weight; between 16 and 19 g per 100 g" in told
    assert "carbohydrate" not in " ".join(one.text for one in made(cooked(0.4)).findings)
