"""Foods sold by volume: Regulation (EU) No 1169/2011 Art. 23(1), 32(2), Annex II item 12, Annex XIII; UK guide of 2016; Standard
1.2.8 of Australia and New Zealand (the last two from memory). Figures by hand from the amounts in published/five_laws.yaml."""

from __future__ import annotations

import pytest
from declared_plate import DAY, FIVE, KINDS, LAW, LISTS, PACK, codes, dish, fact
from msgspec.structs import replace

from labeller.declaring.declare import declare
from labeller.declaring.published import as_json
from labeller.declaring.volume import density_of, metric_volume
from labeller.reading.exchange_tables import load_codes
from labeller.serving.export_codes import gs1_nutrients
from labeller.terms.findings import NOWHERE
from labeller.terms.kitchen import Amount, Kitchen, Line, NetVolume, NetWeight, Product, Recipe
from labeller.terms.record import Corner
from labeller.terms.spans import Span

SAUCE = replace(PACK, net_weight=None, net_volume=NetVolume(150.0, True, NOWHERE), density_g_per_ml=1.2)
HOME = Kitchen("Larch House", address="1 High Street, Norwich")


def bottled(law: str = "eu", recipe: Recipe = SAUCE, grams: float = 180.0, kitchen: Kitchen = HOME, amounts=None, **more):
    """180 g of the plate of five_laws.yaml in a bottle: 150 ml at 1.2 g/ml, so 100 ml are 120 g, 2/3 of it."""
    record = dish(FIVE["amounts"] if amounts is None else amounts, grams, kind="pack", name="sauce", **more)
    return declare(record, LAW[law], recipe=recipe, kitchen=kitchen, kinds=KINDS, lists=LISTS, date=DAY)


def column(declaration, name: str = "per_100ml") -> dict[str, str]:
    return {row.key: getattr(row, name) for row in declaration.rows}


@pytest.mark.parametrize("law", ["eu", "uk"])
def test_the_table_stands_per_100_ml(law):
    """Art. 32(2), Art. 23(1). Of 180 g fat is 17.91 g, so 11.94 g in 100 ml: 12 g; salt 0.34875 x 2/3 = 0.2325 g: 0.23 g;
    energy 1356.495 kJ x 2/3 = 904.33 kJ, 325.29 kcal x 2/3 = 216.86 kcal (derived)."""
    made = bottled(law)
    assert (made.hundred_words, made.portion_words, made.net_quantity) == ("Per 100 ml", "Per pack (150 ml)", "150 ml")
    found = column(made)
    assert found["fat_g"] == "12 g" and found["salt_g"] == "0.23 g"
    assert found["energy_kj"] == "904 kJ" and found["energy_kcal"] == "217 kcal"
    assert set(column(made, "per_100g").values()) == {""} and column(made, "per_portion")["fat_g"] == "18 g"
    assert as_json(made)["nutrients"]["fat_g"]["declared"]["per_100ml"] == "12 g"


def test_the_table_of_australia_and_new_zealand():
    """Standard 1.2.8 (from memory): per serving and per 100 mL; 1336.86 kJ x 2/3 = 891.24 kJ."""
    made = bottled("anz", replace(SAUCE, serving="30 ml"))
    assert made.hundred_words == "Quantity per 100 mL" and made.portion_words == "Quantity per serving (30 mL)"
    assert "Servings per package: 5" in made.footnotes and made.net_quantity == "150 mL"
    assert column(made)["energy_kj"] == "891 kJ" and column(made, "per_portion")["energy_kj"] == "267 kJ"


def test_without_a_density_there_is_no_table_and_never_one_gram_for_a_millilitre():
    made = bottled(recipe=replace(SAUCE, density_g_per_ml=None))
    assert "density-not-measured" in codes(made) and made.rows == () and not made.stopped
    quiet = bottled(recipe=replace(SAUCE, density_g_per_ml=None, sold="prepacked for direct sale"))
    assert "density-not-measured" not in codes(quiet)  # no table is asked for there


def test_a_drink_sold_by_weight_is_told():
    """Art. 23(1): liquids by volume."""
    cases = ((replace(PACK, drink=True), True), (replace(PACK, alcohol_vol=5.0), True), (PACK, False), (SAUCE, False),
             (replace(SAUCE, drink=True), False))  # fmt: skip
    for recipe, asked in cases:
        assert any("no net volume" in one.text for one in bottled(recipe=recipe).findings) is asked


def test_where_a_density_comes_from():
    """Own, then both measured, then the one thing in the pack; a stated minimum is no measurement."""
    line = Line("relish", Amount("250 ml", Span.of(250.0), "ml"), NOWHERE)
    bottle = replace(SAUCE, density_g_per_ml=None, lines=(line,))
    relish = Recipe("relish", "recipe", NOWHERE, (), density_g_per_ml=1.08)
    assert density_of(bottle, HOME) is None
    assert density_of(bottle, replace(HOME, recipes={"relish": relish})) == 1.08
    bought = Product("garum", NOWHERE, also_called=("relish",), density_g_per_ml=1.2)
    assert density_of(bottle, replace(HOME, products={"garum": bought})) == 1.2
    both = replace(bottle, net_weight=NetWeight(275.0, False, NOWHERE), net_volume=NetVolume(250.0, False, NOWHERE))
    assert density_of(both, HOME) == pytest.approx(1.1)
    assert density_of(replace(both, net_weight=NetWeight(275.0, True, NOWHERE)), HOME) is None
    assert density_of(replace(both, density_g_per_ml=1.3), HOME) == 1.3


def test_a_bottle_that_holds_less_than_it_says():
    assert "pack-short-of-volume" not in codes(bottled())  # 180 g at 1.2 g/ml are 150 ml to the drop
    assert "pack-short-of-volume" in codes(bottled(recipe=replace(SAUCE, net_volume=NetVolume(151.0, True, NOWHERE))))


@pytest.mark.parametrize(
    ("ml", "eu", "anz"),
    [(250, "250 ml", "250 mL"), (250.9, "250 ml", "250 mL"), (7.55, "7.5 ml", "7.5 mL"), (999.9, "999 ml", "999 mL"),
     (1000, "1 l", "1 L"), (1500, "1.5 l", "1.5 L")],
)  # fmt: skip
def test_net_volume_is_rounded_down(ml, eu, anz):
    """Directive 76/211/EEC (from memory): a pack may not hold less than it says."""
    assert (metric_volume(ml, LAW["eu"]), metric_volume(ml, LAW["anz"])) == (eu, anz)


def test_net_volume_under_the_laws_of_america():
    """NIST Handbook 44: 1 US fl oz is 29.5735295625 ml, so 250 ml are 8.45 of them, down to 8.4; Canada: metric alone."""
    bottle = replace(SAUCE, net_volume=NetVolume(250.0, True, NOWHERE))
    assert bottled("us", bottle).net_quantity == "8.4 fl oz (250 mL)" and bottled("ca", bottle).net_quantity == "250 mL"
    assert "density-not-measured" not in codes(bottled("us", replace(bottle, density_g_per_ml=None)))


@pytest.mark.parametrize(
    ("mg_per_kg", "density", "declared"),
    [(10.0, 1.0, False), (10.1, 1.0, True), (9.0, 1.12, True), (9.0, 1.11, False), (10.1, 0.9, True), (9.9, None, False)],
)
def test_sulphites_in_a_kilogram_or_a_litre(mg_per_kg, density, declared):
    """Annex II item 12: more than 10 mg/kg or 10 mg/l; 9.0 mg/kg at 1.12 g/ml are 10.08 mg/l."""
    recipe = replace(SAUCE, density_g_per_ml=density) if density else PACK
    made = bottled(recipe=recipe, facts=(fact("sulphites"),), sulphites_mg_per_kg=mg_per_kg)
    exempt = [law for one in made.record.facts for law, _ in one.exempt]
    assert ("eu" not in exempt) is declared


def test_a_drink_has_lower_limits_than_a_sauce():
    """Annex XIII part A point 2: 7.5 % of the reference in 100 ml of a drink, 15 % else. Calcium 800 mg: 60 mg in 100 ml."""
    for per_100, drink, shown in ((60.0, True, True), (59.9, True, False), (60.0, False, False), (120.0, False, True)):
        recipe = replace(SAUCE, density_g_per_ml=1.0, drink=drink, serving="15 ml", also_declared=("calcium",))
        made = bottled(recipe=recipe, grams=150.0, amounts=FIVE["amounts"] | {"calcium_mg": per_100 * 1.5})
        assert ("calcium_mg" in column(made)) is shown, (per_100, drink)


def test_front_of_pack_of_a_drink():
    """Guide of 2016, from memory: sugars low up to 2.5 g, high over 11.25 g in 100 ml, over 13.5 g in a portion over 150 ml; food
    sold by volume is judged by its 100 g."""
    def band(sugars: float, drink: bool, ml: float = 100.0) -> str:
        recipe = replace(SAUCE, drink=drink, density_g_per_ml=1.0, net_volume=NetVolume(ml, True, NOWHERE))
        made = bottled("uk", recipe, ml, amounts=FIVE["amounts"] | {"sugars_g": sugars * ml / 100, "carbohydrate_g": 60.0})
        return dict(made.front_of_pack)["sugars_g"]

    assert [band(2.5, True), band(2.51, True), band(11.25, True), band(11.26, True)] == ["low", "medium", "medium", "high"]
    assert [band(2.51, False), band(11.26, False)] == ["low", "medium"]
    assert [band(9.0, True, 150.0), band(9.0, True, 151.0)] == ["medium", "high"]  # 13.59 g in 151 ml


def test_ranges_are_held_to_the_column_they_stand_in():
    """Guidance of December 2012: 20 % on fat from 10 to 40 g; the declared figure is that of 100 ml."""
    low, high = ({**FIVE["amounts"], "fat_g": fat} for fat in (11.0, 19.0))
    corners = tuple(Corner(180.0, each, dict.fromkeys(each, 1.0)) for each in (low, high))
    made = bottled(amounts=FIVE["amounts"] | {"fat_g": 15.0}, corners=corners)
    told = next(one.text for one in made.findings if one.code == "range-over-tolerance")
    assert "fat_g runs from 7.33 to 12.7, declared 10" in told


def test_what_other_programs_get():
    """The basis is 100 ml (MLT, UN/ECE recommendation 20, from memory); a portion weighs what its figures are of: 15 ml, 18 g."""
    made = bottled(recipe=replace(SAUCE, serving="15 ml"))
    sent = {one["nutrientBasis"]: one["nutrientBasisQuantity"] for one in gs1_nutrients(made, load_codes())}
    assert sent == {"100": {"value": 100.0, "measurementUnitCode": "MLT"},
                    "portion": {"value": 18.0, "measurementUnitCode": "GRM"}}  # fmt: skip


def test_another_language_has_its_own_words():
    from labeller.reading.laws import load_law

    law = load_law("eu", DAY, ("en", "de"))
    record = dish(FIVE["amounts"], 180, kind="pack", name="Soße")
    made = declare(record, law, recipe=SAUCE, kitchen=HOME, kinds=KINDS, lists=LISTS, date=DAY, language="de")
    assert made.hundred_words == "Pro 100 ml" and made.portion_words == "Pro Packung (150 ml)"
