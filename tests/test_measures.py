"""Amounts to grams, against USDA household weights and the definitions of units."""

from __future__ import annotations

import csv
import hashlib
from pathlib import Path

import pytest
import yaml

from labeller.reading.amounts import read_amount
from labeller.reading.foods import load_foods
from labeller.reading.measure_tables import load_measures
from labeller.terms.findings import Place
from labeller.terms.kitchen import Amount
from labeller.terms.spans import Span
from labeller.terms.words import normalise
from labeller.working.measures import look_up, to_grams

FOLDER = Path(__file__).resolve().parents[1] / "reference" / "measures"
FOODS, TABLES = load_foods(), load_measures()
HERE = Place("recipes/a.yaml", 4)


def grams(text: str, name: str, code: str = "", system: str = "metric", **more):
    """(conversion, codes of findings) of a line as a cook types it."""
    amount, _ = read_amount(text)
    food = FOODS.get(code) if code else None
    found, problems = to_grams(amount, name=name, tables=TABLES, system=system, food=food, place=HERE, subject="a", **more)
    return found, [each.code for each in problems]


def middle(*args, **more) -> float:
    found, problems = grams(*args, **more)
    assert problems == [], problems
    return found.grams.mid


# USDA SR28, gram weights (WEIGHT file): a US measure of the row's own unit is the printed weight
@pytest.mark.parametrize(("text", "name", "code", "published"), [
    ("1 cup", "whole milk", "01077", 244), ("1 fl oz", "whole milk", "01077", 30.5), ("1 tbsp", "whole milk", "01077", 15),
    ("1 quart", "whole milk", "01077", 976), ("1 tbsp", "butter", "01001", 14.2), ("1 cup", "butter", "01001", 227),
    ("1 tbsp", "olive oil", "04053", 13.5), ("1 tsp", "olive oil", "04053", 4.5), ("1 cup", "flour", "20081", 125),
    ("1 cup", "sugar", "19335", 200), ("1 tsp", "salt", "02047", 6), ("1 dash", "salt", "02047", 0.4),
    ("1 cup", "chopped onion", "11282", 160), ("1 cup", "sliced onions", "11282", 115), ("1 cup", "honey", "19296", 339),
    ("1 fl oz", "white wine", "14106", 29.4), ("1 tbsp", "double cream", "01053", 15), ("2 large", "eggs", "01123", 100),
    ("1 large", "onions", "11282", 150), ("3 cloves", "garlic", "11215", 9), ("10 sprigs", "parsley", "11297", 10),
    ("5 leaves", "basil", "02044", 2.5), ("1 stick", "butter", "01001", 113), ("20", "almonds", "12061", 24),
    ("10", "cherry tomatoes", "11529", 170), ("1 large stalk", "celery", "11143", 64), ("1", "limes", "09159", 67),
])  # fmt: skip
def test_us_measures_of_food_rows_as_published(text: str, name: str, code: str, published: float) -> None:
    assert middle(text, name, code, system="us") == pytest.approx(published)


# US customary: gallon of 231 cubic inches (NIST Handbook 44, App. C); imperial gallon 4.54609 l (SI 1995/1804)
@pytest.mark.parametrize(("unit", "system", "size"), [
    ("cup", "us", 231 * 2.54**3 / 16), ("fl_oz", "us", 231 * 2.54**3 / 128), ("pint", "us", 231 * 2.54**3 / 8),
    ("tbsp", "us", 231 * 2.54**3 / 256), ("tsp", "us", 231 * 2.54**3 / 768), ("quart", "us", 231 * 2.54**3 / 4),
    ("pint", "imperial", 4546.09 / 8), ("fl_oz", "imperial", 4546.09 / 160), ("gallon", "imperial", 4546.09),
    ("lb", "us", 453.59237), ("oz", "metric", 453.59237 / 16), ("l", "metric", 1000), ("cup", "metric", 250),
])  # fmt: skip
def test_sizes_of_units(unit: str, system: str, size: float) -> None:
    assert TABLES.units[unit, system].size == pytest.approx(size, rel=1e-12)


def test_the_same_word_is_another_size_in_another_system() -> None:
    """1 cup of milk: 236.588 ml US, 250 ml metric, 284.131 ml imperial; the row's cup of 244 g stays a US cup."""
    assert middle("1 cup", "milk", "01077", "metric") == pytest.approx(244 * 250 / 236.5882365)
    assert middle("1 cup", "milk", "01077", "imperial") == pytest.approx(244 * 284.130625 / 236.5882365)
    assert middle("1 pint", "milk", "01077", "imperial") == pytest.approx(244 * 568.26125 / 236.5882365)
    found, codes = grams("1 pint", "milk", "01077", "metric")
    assert found is None and codes == ["unit-in-two-sizes"]


def test_weights_are_taken_as_they_are() -> None:
    found, codes = grams("1.2 kg", "anything")
    assert (found.grams, found.basis, codes) == (Span(1200, 1200, 1200), "", [])
    assert middle("8 oz", "anything") == pytest.approx(226.796185)
    assert grams("10-12 g", "anything")[0].grams == Span(10, 11, 12)


def test_the_product_goes_before_the_row_and_the_row_before_the_table() -> None:
    assert middle("100 ml", "whole milk", "01077", density=1.2) == pytest.approx(120)
    assert middle("100 ml", "whole milk", "01077") == pytest.approx(100 * 244 / 236.5882365)
    assert middle("100 ml", "whole milk") == pytest.approx(103.1)  # table: 1.031 g/ml
    assert middle("2 sheets", "leaf gelatine", pieces=(("sheet", 2.0),)) == 4
    assert middle("2", "buns", pieces=(("piece", 60.0),)) == 120
    step = grams("1 cup", "whole milk", "01077", "us")[0].step
    assert "01077" in step.source and "236.588" in step.source and step.place == HERE


def test_own_piece_weight_of_another_word_is_not_taken() -> None:
    found, codes = grams("2 slices", "ham", pieces=(("leg", 9000.0), ("joint", 2000.0)))
    assert found is None and codes == ["no-piece-weight"]


def test_sizes_not_said_carry_the_whole_range() -> None:
    found, codes = grams("2", "onions", "11282")  # SR28: small 70, medium 110, large 150 g
    assert (found.grams, codes) == (Span(140, 220, 300), ["piece-size-not-said"])
    found, codes = grams("3 sheets", "leaf gelatine")
    assert found.grams.is_range and codes == ["piece-size-not-said"]


def test_european_eggs_are_larger_than_american_eggs_of_the_same_name() -> None:
    """Regulation (EC) No 589/2008: L is 63-73 g in shell; less 10-12 % shell. USDA SR28: large 50 g."""
    europe = grams("1 large", "eggs", "01123", "metric")[0].grams
    assert europe.low >= 63 * 0.88 - 0.1 and europe.high <= 73 * 0.9
    assert middle("1 large", "eggs", "01123", system="us") == 50


def test_a_cut_that_is_not_said_carries_the_range() -> None:
    found, codes = grams("1 cup", "onion", "11282", "us")  # SR28: chopped 160, sliced 115 g
    assert (found.grams.low, found.grams.high) == (pytest.approx(115), pytest.approx(160)) and codes == ["cut-not-said"]


def test_what_is_not_known_is_asked_with_the_line_to_type() -> None:
    amount, _ = read_amount("100 ml")
    found, problems = to_grams(amount, name="elderflower cordial", tables=TABLES, place=HERE, subject="jelly")
    assert found is None and problems[0].code == "no-density" and problems[0].blocks == "nutrition"
    assert problems[0].place == HERE and problems[0].subject == "jelly" and "density: " in problems[0].mend
    assert grams("2", "langoustines") == (None, ["no-piece-weight"])
    assert grams("1 bunch", "rocket") == (None, ["no-piece-weight"])


def test_an_amount_to_taste() -> None:
    assert grams("to taste", "sea salt", "02047") == (None, ["amount-not-known"])
    about, _ = read_amount("3 g")
    vague = Amount("to taste", Span(0, 0, 0), "g", vague="to taste", about=about)
    found, problems = to_grams(vague, name="sea salt", tables=TABLES, place=HERE)
    assert found.grams == Span(3, 3, 3) and problems == () and "about 3 g" in found.step.what


def test_tables_that_disagree_say_so() -> None:
    """Soy sauce: 1.078 (USDA SR26) and 1.181 g/ml (MEXT 2020); ketchup, mayonnaise and cocoa likewise."""
    for name in ("soy sauce", "ketchup", "mayonnaise", "cocoa powder"):
        assert grams("100 ml", name)[1] == ["density-sources-differ"], name
    assert grams("100 ml", "soy sauce")[0].grams.mid == pytest.approx(118.1)
    assert grams("100 ml", "cocoa powder")[0].grams.mid == pytest.approx(36.4)  # MEXT's 102 can't be true of a powder


def test_a_name_is_not_taken_for_its_last_word() -> None:
    assert look_up(TABLES.densities, "extra virgin olive oil") and look_up(TABLES.densities, "Whole milk")
    for name in ("elderflower water", "chilli oil", "almond milk", "nut butter"):
        assert not look_up(TABLES.densities, name), name


def test_every_row_of_the_tables_has_a_source_and_is_flagged_where_sources_differ() -> None:
    keys = set(yaml.safe_load((FOLDER / "SOURCES.yaml").read_text("utf-8")))
    for name in ("units.csv", "densities.csv", "pieces.csv"):
        with (FOLDER / name).open(encoding="utf-8", newline="") as stream:
            rows = list(csv.DictReader(stream))
        assert {row["source"] for row in rows} <= keys and rows
    for name, found in TABLES.densities.items():
        figures = [each.g_per_ml for each in found]
        if max(figures) > 1.10 * min(figures):
            assert all(each.differs for each in found), name
        assert any(each.use for each in found) or found[0].item == "evaporated milk", name
        assert name == normalise(name)
    for name, found in TABLES.pieces.items():
        assert len({(each.word, each.system) for each in found}) == len(found), name


def test_checksums_of_the_manifest() -> None:
    for entry in yaml.safe_load((FOLDER / "MANIFEST.yaml").read_text("utf-8")):
        assert hashlib.sha256((FOLDER / entry["file"]).read_bytes()).hexdigest() == entry["sha256"], entry["file"]
