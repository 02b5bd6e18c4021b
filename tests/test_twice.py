"""Nothing counted twice, nothing left out: recipes as a cook writes them, through the real doors. Arithmetic in comments."""

from __future__ import annotations

from pathlib import Path

import pytest
from generated import TABLES

from labeller.reading.kitchen import read_kitchen
from labeller.serving.workshop import Workshop
from labeller.terms.nutrients import INDEX
from labeller.working.twice import salt_that_stays


def opened(folder: Path, text: str) -> Workshop:
    (folder / "recipes").mkdir(exist_ok=True)
    (folder / "kitchen.yaml").write_text("kitchen: Test\nlaw: eu\n", encoding="utf-8")
    (folder / "recipes" / "all.yaml").write_text(text, encoding="utf-8")
    kitchen, findings = read_kitchen(folder)
    assert [each for each in findings if each.severity == "stop"] == []
    return Workshop(kitchen, TABLES, findings)


def told(shop: Workshop, name: str, code: str) -> list[str]:
    return [f"{each.place}: {each.text}" for each in shop.findings_of(shop.kitchen.recipes[name]) if each.code == code]


def worked(shop: Workshop, name: str):
    family = shop.family(shop.kitchen.recipes[name])
    batches = shop.batches(family)
    shop.ready_oil(family)
    return batches[name], shop.contents(family, batches)[name]


def amount(shop: Workshop, name: str, key: str) -> float:
    batch, content = worked(shop, name)
    return content.values[INDEX[key]] * batch.weight


# Counted twice ------------------------------------------------------------------------------------------------------------


def test_a_cooked_row_cooked_again(tmp_path: Path) -> None:
    """Row 05064: chicken breast, roasted. A cooked weight or a method of the line would take its water or vitamins off again."""
    shop = opened(tmp_path, """
- recipe: by weight
  ingredients:
    - chicken breast: {amount: 500 g, food: "05064", cooked weight: 75 %}
- recipe: by method
  ingredients:
    - greens: {amount: 500 g, food: "11458", cooked as: boiled}
- recipe: reheated
  ingredients:
    - greens: {amount: 500 g, food: "11458", cooked as: reheated}
- recipe: from raw
  ingredients:
    - chicken breast: {amount: 500 g, food: "05062", cooked weight: 75 %}
""")
    assert "a cooked weight comes on top" in told(shop, "by weight", "treatment-counted-twice")[0]
    assert "recipes/all.yaml:4" in told(shop, "by weight", "treatment-counted-twice")[0]
    assert "boiled" in told(shop, "by method", "treatment-counted-twice")[0]
    assert told(shop, "reheated", "treatment-counted-twice") == []
    assert told(shop, "from raw", "treatment-counted-twice") == []


def test_a_drained_row_poured_off_again(tmp_path: Path) -> None:
    """Rows 16358 (chickpeas, canned, drained solids) and 16360 (solids and liquids)."""
    text = """
- recipe: chickpeas
  ingredients:
    - chickpeas: {amount: 400 g, food: "%s"}
    - salt: {amount: 2 g, food: "02047"}
  poured off: {lines: [chickpeas], stays in: 60 %%}
"""
    assert "Chickpeas" in told(opened(tmp_path, text % "16358"), "chickpeas", "drained-counted-twice")[0]
    assert told(opened(tmp_path, text % "16360"), "chickpeas", "drained-counted-twice") == []


def test_a_treatment_that_no_table_knows(tmp_path: Path) -> None:
    shop = opened(tmp_path, """
- recipe: greens
  ingredients:
    - kale: {amount: 200 g, food: "11233", cooked as: "3003"}
    - leek: {amount: 200 g, food: "11246", cooked as: boyled}
    - spinach: {amount: 200 g, food: "11457", cooked as: "3005"}
""")
    assert [text[:19] for text in told(shop, "greens", "treatment-not-known")] == ["recipes/all.yaml:4:", "recipes/all.yaml:5:"]


def test_trim_on_top_of_an_edible_piece_weight(tmp_path: Path) -> None:
    """USDA's household measures weigh what is eaten (SR26 WEIGHT): trim on top would take the peel off twice."""
    shop = opened(tmp_path, """
- recipe: counted
  ingredients:
    - onion: {amount: 2 medium, food: "11282", trim: 10 %}
- recipe: weighed
  ingredients:
    - onion: {amount: 250 g, food: "11282", trim: 10 %}
- recipe: as bought
  ingredients:
    - onion: {amount: 2 medium, food: "11282", trim: 10 %, weighed: as bought}
""")
    assert "2 medium" in told(shop, "counted", "edible-weight-trimmed")[0]
    assert told(shop, "weighed", "edible-weight-trimmed") == []
    assert told(shop, "as bought", "edible-weight-trimmed") == []


# What leaves --------------------------------------------------------------------------------------------------------------

LEEKS = """
- recipe: buttered leek
  ingredients:
    - leek: {amount: 600 g, food: "11246", trim: 35 %%, trim becomes: leek tops}
    - salt: {amount: 4 g, food: "02047"}
- recipe: leek stock
  ingredients:
    - leek tops: %s
    - water: {amount: 1 l, food: "14411"}
"""


def test_one_purchase_two_recipes_weight_counted_once(tmp_path: Path) -> None:
    """600 g of leek, 35 % trimmed: 390 g in the one, 210 g for the other; together what was bought, and its potassium once
    (USDA SR28, 11246: 180 mg per 100 g: 1080 mg)."""
    shop = opened(tmp_path, LEEKS % "210 g")
    first, _ = worked(shop, "buttered leek")
    second, _ = worked(shop, "leek stock")
    assert first.accounts["trimmed"] == pytest.approx(210)
    assert first.parts[0].grams + second.parts[0].grams == pytest.approx(600)
    row = TABLES.foods.get("11246").values[INDEX["potassium_mg"]]
    salt = TABLES.foods.get("02047").values[INDEX["potassium_mg"]] or 0.0
    water = (TABLES.foods.get("14411").values[INDEX["potassium_mg"]] or 0.0) * second.parts[1].grams / 100
    both = amount(shop, "buttered leek", "potassium_mg") + amount(shop, "leek stock", "potassium_mg")
    assert both == pytest.approx(row * 6 + salt * 0.04 + water)
    assert told(shop, "leek stock", "trimmed-part-exceeds") == []


def test_more_trimmings_than_were_trimmed_off(tmp_path: Path) -> None:
    text = told(opened(tmp_path, LEEKS % "300 g"), "leek stock", "trimmed-part-exceeds")
    assert len(text) == 1 and "300 g" in text[0] and "210 g" in text[0] and "90 g less" in text[0]


def test_a_batch_of_which_nothing_is_left(tmp_path: Path) -> None:
    """500 g in, 100 % driven off: the grams are named, and no figure per gram is made of it."""
    shop = opened(tmp_path, """
- recipe: dried out
  ingredients:
    - soy sauce: {amount: 500 g, food: "16123"}
  water change: -100 %
""")
    text = told(shop, "dried out", "mass-not-balanced")
    assert len(text) == 1 and "500 g went in" in text[0] and "500 g driven off" in text[0]
    assert shop.record(shop.kitchen.recipes["dried out"]).nutrition_stopped


def test_more_fat_than_there_is(tmp_path: Path) -> None:
    """Bread crumbs of 500 g hold about 26 g of fat (USDA SR28, 18079: 5.3 %); 20 % of them can't run off as fat, 2 % can."""
    text = """
- recipe: crumbs
  ingredients:
    - crumbs: {amount: 500 g, food: "18079"}
  fat change: %s
"""
    assert "100 g of fat" in told(opened(tmp_path, text % "-20 %"), "crumbs", "fat-exceeds")[0]
    shop = opened(tmp_path, text % "-2 %")
    assert told(shop, "crumbs", "fat-exceeds") == []
    assert amount(shop, "crumbs", "fat_g") == pytest.approx(TABLES.foods.get("18079").values[INDEX["fat_g"]] * 5 - 10)


# What comes in ------------------------------------------------------------------------------------------------------------


def test_salt_of_a_cooking_water() -> None:
    """Two sources agree on 0.7 to 0.8 times the strength of the brine. MEXT 2020 (01064): 1.5 % brine, 1.2 g salt per 100 g.
    Food Chemistry 2019;271:479 (abstract): 36 g salt in 5.68 l with 454 g of dry pasta, about 0.44 g per 100 g cooked."""
    high = salt_that_stays(15, 985, 100)
    assert high.low <= 1.2 <= high.high + 1e-9
    low = salt_that_stays(36, 5680, 100)
    assert low.low <= 0.443 <= low.high
    assert salt_that_stays(0, 1000, 100) == (0, 0, 0)
    assert salt_that_stays(1, 0, 1000).high == 1  # never more than there was


PASTA = """
- recipe: spaghetti
  ingredients:
    - spaghetti: {amount: 500 g, food: "20120"}
    - water: {amount: 5000 g, food: "14411"}
    - salt: {amount: 50 g, food: "02047"}
  poured off:
    - {lines: [water], stays in: 12 %%}
    - {lines: [salt], stays in: %s}
"""


def test_pasta_in_salted_water_as_a_cook_writes_it(tmp_path: Path) -> None:
    """500 g dry take up 12 % of 5 l = 600 g: 1100 g, 2.2 times the dry weight (MEXT's factor for pasta: 2.20, from memory).
    Salt: 16 % of 50 g = 8 g = 0.73 g per 100 g, 0.73 times the brine's 0.99 %: within 0.7 to 0.8."""
    shop = opened(tmp_path, PASTA % "16 %")
    batch, _ = worked(shop, "spaghetti")
    assert batch.weight == pytest.approx(500 + 600 + 8)
    assert batch.accounts["poured off"] == pytest.approx(4400 + 42)
    assert told(shop, "spaghetti", "salt-of-cooking-water") == []


@pytest.mark.parametrize("share", ["100 %", "0 %", "33 %"])
def test_all_of_the_salt_or_none_of_it_is_asked_about(tmp_path: Path, share: str) -> None:
    text = told(opened(tmp_path, PASTA % share), "spaghetti", "salt-of-cooking-water")
    assert len(text) == 1 and "7.6" in text[0] and "8.7" in text[0]


def test_what_a_marinade_leaves_in_the_meat(tmp_path: Path) -> None:
    """85 g of pork held 54 mg of sodium before and 276 mg after 1.5 h in a soy marinade: 6 % of the marinade's sodium (a kitchen
    test; common practice, no official source). 85 g raw lean pork with 100 g of a marinade of 3.7 g sodium per 100 g."""
    shop = opened(tmp_path, """
- recipe: marinade
  ingredients:
    - soy sauce: {amount: 67.3 g, food: "16123"}
    - water: {amount: 32.7 g, food: "14411"}
- recipe: marinated pork
  ingredients:
    - pork: {amount: 85 g, food: "10060"}
    - marinade: 100 g
  poured off: {lines: [marinade], stays in: 6 %}
""")
    batch, _ = worked(shop, "marinated pork")
    assert batch.weight == pytest.approx(85 + 6)
    before = TABLES.foods.get("10060").values[INDEX["sodium_mg"]] * 0.85
    assert amount(shop, "marinated pork", "sodium_mg") - before == pytest.approx(276 - 54, rel=0.02)


def test_alcohol_that_partly_stays_takes_its_energy_along(tmp_path: Path) -> None:
    """Simmered 30 minutes 35 % of the alcohol stays (USDA Nutrient Retention Factors, Release 6, 2007). 200 g of a red wine
    (SR28 14096: 85 kcal per 100 g; alcohol 10.6 g, SR26): 13.78 g go off, and 7 kcal with each gram."""
    shop = opened(tmp_path, """
- recipe: wine
  ingredients:
    - red wine: {amount: 200 g, food: "14096"}
  alcohol stays: 35 %
""")
    row = TABLES.foods.get("14096").values
    alcohol, energy = row[INDEX["alcohol_g"]] * 2, row[INDEX["energy_kcal"]] * 2
    batch, _ = worked(shop, "wine")
    assert amount(shop, "wine", "alcohol_g") == pytest.approx(alcohol * 0.35)
    assert amount(shop, "wine", "energy_kcal") == pytest.approx(energy - alcohol * 0.65 * 7)
    assert batch.weight == pytest.approx(200 - alcohol * 0.65)
    assert amount(shop, "wine", "water_g") == pytest.approx(row[INDEX["water_g"]] * 2)


def test_a_line_that_goes_through_two_kitchens(tmp_path: Path) -> None:
    """Vitamin C of 200 g of greens boiled (code of its kind), and the whole cooked again in a pie by a code of the outer line:
    factors multiply; the sodium that leaches by the table is taken off, not lost from the weight."""
    shop = opened(tmp_path, """
- recipe: greens
  ingredients:
    - kale: {amount: 200 g, food: "11233", cooked as: "3005"}
- recipe: pie
  ingredients:
    - greens: {amount: 200 g, cooked as: "3379"}
""")
    first, second = TABLES.cooking.retention("3005")["vitamin_c_mg"], TABLES.cooking.retention("3379")
    row = TABLES.foods.get("11233").values[INDEX["vitamin_c_mg"]]
    assert second is not None
    assert amount(shop, "pie", "vitamin_c_mg") == pytest.approx(row * 2 * first * second["vitamin_c_mg"])
    assert worked(shop, "pie")[0].weight == pytest.approx(200)
