"""US reference amounts by name. Source of the amounts: 21 CFR 101.12(b) table 2; rows marked memory in the file are checked
only for being marked so."""

from __future__ import annotations

import json

import pytest
from declared_plate import PACK, boxed, codes
from msgspec.structs import replace
from test_packs import holding

from labeller.declaring.reference_amounts import found, nearest
from labeller.reading.us_amounts import load_reference_amounts
from labeller.serving.cli import main
from labeller.terms.words import normalise

TABLE = load_reference_amounts()


@pytest.mark.parametrize(
    ("words", "grams", "measure"),
    [
        ("soup", 245, "1 cup"),  # 101.12(b): soups, all varieties, 245 g
        ("Soups, all varieties", 245, "1 cup"),
        ("hors d'oeuvres", 85, ""),
        ("canapé", 85, ""),
        ("canapé with sauce", 120, ""),  # 85 g and 35 g with gravy or sauce topping
        ("quiche", 140, ""),
        ("mixed nuts", 30, ""),
        ("potato salad", 140, ""),
        ("85 g", 85, ""),  # a weight alone goes on as it did
        ("85 g + 35 g", 120, ""),
        ("2 tbsp (30 g)", 30, "2 tbsp"),
        ("28 g pastrami", 28, ""),
        ("dip (32 g)", 32, "2 tbsp"),  # a row by volume: the kitchen's weight of that volume
        ("soup (245 g)", 245, "1 cup"),
    ],
)
def test_a_name_of_the_table_is_its_amount(words, grams, measure):
    amount = found(words, TABLE)
    assert (amount.grams, amount.measure, amount.why) == (grams, measure, "")


@pytest.mark.parametrize(
    ("words", "why"),
    [
        ("dip", "is 30 ml (2 tbsp), and its weight is not on record"),
        ("stew", "is 240 ml (1 cup), and its weight is not on record"),
        ("soup (250 g)", "is 245 g in the table, and 250 g is written"),
        ("soup mix", "is the amount to make 245 g, and what of it that takes is not on record"),
        ("1 cup", "holds no weight"),
        ("sauce", "is no food of the table"),
        ("sloup", "is no food of the table"),
    ],
)
def test_what_is_no_amount_is_never_taken(words, why):
    amount = found(words, TABLE)
    assert amount.grams is None and amount.why == why


def test_a_row_by_volume_is_weighed_by_the_foods_density():
    assert found("dip", TABLE, 1.1).grams == pytest.approx(33.0)  # 2 tbsp of 15 ml, 101.9(b)(5)(viii)
    assert found("soup", TABLE, 0.9).grams == 245


def test_an_ambiguous_word_offers_each_row_and_takes_none():
    offered = [row.name for row in found("sauce", TABLE).near]
    assert len(offered) == 5 and any("sauce" in name for name in offered)
    assert nearest("sloup", TABLE)[0].name.startswith("soups")
    assert nearest("xyzzy", TABLE) == ()


def test_a_pack_takes_its_serving_from_the_name():
    declaration = boxed("us", replace(PACK, racc="soup"), weight=735)
    assert declaration.portion_words == "3 servings per container\nServing size 1 cup (245g)"  # 101.9(b)(2)(iii), (b)(8)
    assert declaration.pack_words == "Per container"  # 300 %: (b)(12)(i)
    assert "reference-amount-missing" not in codes(declaration)
    whole = boxed("us", replace(PACK, racc="soup"), weight=489)  # 199.6 %: the pack is one serving, (b)(6)
    assert whole.portion_words == "Serving size 1 package (489g)"
    pieces = boxed("us", holding(12, racc="canapé"), weight=216)
    assert pieces.portion_words == "about 2.5 servings per container\nServing size 5 pieces (90g)"


def test_an_unknown_name_stops_the_table_with_candidates():
    declaration = boxed("us", replace(PACK, racc="vegetble soup"), weight=735)
    told = next(each for each in declaration.findings if each.code == "reference-amount-missing")
    assert declaration.rows == () and "soups, all varieties: 245 g" in told.mend
    heavy = boxed("us", replace(PACK, racc="dip"), weight=300)
    told = next(each for each in heavy.findings if each.code == "reference-amount-missing")
    assert "density" in told.mend and heavy.rows == ()


def test_a_row_from_memory_is_told():
    said = [each.text for each in boxed("us", holding(5, racc="cookie"), weight=150).findings if each.code == "rules-from-memory"]
    assert any("cookies" in text for text in said)
    said = [each.text
            for each in boxed("us", replace(PACK, racc="soup"), weight=735).findings if each.code == "rules-from-memory"]
    assert not any("soups" in text for text in said)


def test_rows_of_the_file():
    """Each name stands for one row; each row says where it stands and whether it was read."""
    names = [normalise(name) for row in TABLE for name in {normalise(each) for each in (row.name, *row.also)}]
    assert len(names) == len(set(names))
    assert all(row.checked in ("yes", "memory") and row.unit in ("g", "ml") and row.amount > 0 for row in TABLE)
    assert sum(row.checked == "yes" for row in TABLE) >= 48  # the rows that were read


def test_the_look_up(capsys):
    assert main(["laws", "us", "--amounts", "soup"]) == 0
    assert "soups, all varieties: 245 g (1 cup)" in capsys.readouterr().out
    assert main(["laws", "--amounts", "pizza", "--format", "json"]) == 0
    rows = json.loads(capsys.readouterr().out)
    assert rows[0]["amount"] == 140 or rows[1]["amount"] == 140
    assert main(["laws", "--amounts", "xyzzy"]) == 1
