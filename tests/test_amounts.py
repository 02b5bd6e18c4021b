"""The amount grammar: what is read, what is asked, and that nothing typed can break it."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labeller.reading.amounts import UNIT_WORDS, VULGAR, grams_of, read_amount
from labeller.terms.catalogue.kitchen import ENTRIES

CODES = {entry.code for entry in ENTRIES}
UNITS = [
    "g",
    "kg",
    "mg",
    "ml",
    "cl",
    "dl",
    "l",
    "oz",
    "lb",
    "fl_oz",
    "pint",
    "quart",
    "gallon",
    "cup",
    "tbsp",
    "tsp",
    "drop",
    "dash",
    "pinch",
    "piece",
]

READ = {  # as typed: (low, middle, high, unit, word of the piece)
    "400 g": (400, 400, 400, "g", ""),
    "400g": (400, 400, 400, "g", ""),
    "400 G": (400, 400, 400, "g", ""),
    "10-12 g": (10, 11, 12, "g", ""),
    "10 to 12 g": (10, 11, 12, "g", ""),
    "10–12 g": (10, 11, 12, "g", ""),
    "10 g - 12 g": (10, 11, 12, "g", ""),
    "1/2": (0.5, 0.5, 0.5, "piece", ""),
    "1 1/2": (1.5, 1.5, 1.5, "piece", ""),
    "½": (0.5, 0.5, 0.5, "piece", ""),
    "1½ l": (1.5, 1.5, 1.5, "l", ""),
    "1 ½ l": (1.5, 1.5, 1.5, "l", ""),
    "¼ tsp": (0.25, 0.25, 0.25, "tsp", ""),
    "2 x 400 g": (800, 800, 800, "g", ""),
    "2 × 400 g": (800, 800, 800, "g", ""),
    "3 x 10-12 g": (30, 33, 36, "g", ""),
    "2 large": (2, 2, 2, "piece", "large"),
    "3 cloves": (3, 3, 3, "piece", "cloves"),
    "3 sheets": (3, 3, 3, "piece", "sheets"),
    "3 extra large": (3, 3, 3, "piece", "extra large"),
    "2": (2, 2, 2, "piece", ""),
    "2 pieces": (2, 2, 2, "piece", ""),
    "2-3": (2, 2.5, 3, "piece", ""),
    "2 dozen": (24, 24, 24, "piece", ""),
    "2 cups": (2, 2, 2, "cup", ""),
    "2 tablespoons": (2, 2, 2, "tbsp", ""),
    "1 tsp.": (1, 1, 1, "tsp", ""),
    "2 litres": (2, 2, 2, "l", ""),
    "3.5 kilos": (3.5, 3.5, 3.5, "kg", ""),
    "1.250 kg": (1.25, 1.25, 1.25, "kg", ""),
    "0.125 g": (0.125, 0.125, 0.125, "g", ""),
    "2 fl oz": (2, 2, 2, "fl_oz", ""),
    "2 fl. oz.": (2, 2, 2, "fl_oz", ""),
    "2 fluid ounces": (2, 2, 2, "fl_oz", ""),
    "1 lb 4 oz": (20, 20, 20, "oz", ""),
    "1 pint": (1, 1, 1, "pint", ""),
    "1 quart": (1, 1, 1, "quart", ""),
    "2 gallons": (2, 2, 2, "gallon", ""),
    "5 cl": (5, 5, 5, "cl", ""),
    "2 dl": (2, 2, 2, "dl", ""),
    "a pinch": (1, 1, 1, "pinch", ""),
    "two pinches": (2, 2, 2, "pinch", ""),
    "3 drops": (3, 3, 3, "drop", ""),
    "2 dashes": (2, 2, 2, "dash", ""),
    "2 level tbsp": (2, 2, 2, "tbsp", ""),
    "500 mg": (500, 500, 500, "mg", ""),
    ".5 g": (0.5, 0.5, 0.5, "g", ""),
}
ASKED = {
    "1,5 l": ("amount-comma", "1.5 l"),
    "1,000 g": ("amount-comma", "1000 g"),
    "-5 g": ("amount-negative", "5 g"),
    "0 g": ("amount-zero", "to taste"),
    "0-5 g": ("amount-zero", "5 g"),
    "12-10 g": ("amount-inverted", "10-12 g"),
    "1.500 g": ("amount-two-readings", "1500 g"),
    "1-1/2 cups": ("amount-two-readings", "1 1/2 cups"),
    "5 T": ("amount-two-readings", "5 tbsp"),
    "2 c": ("amount-two-readings", "2 cup"),
    "3 heaped tbsp": ("amount-two-readings", "3 tbsp"),
    "2 x 400": ("amount-two-readings", "2 x 400 g"),
    "2 large (120 g)": ("amount-two-readings", "120 g"),
    "2 400 g tins": ("amount-two-readings", "2 x 400 g"),
    "12 000 g": ("amount-two-readings", "12000 g"),
    "5 or 6 g": ("amount-two-readings", "6 g"),
    "5 cm": ("amount-unknown-unit", "5 g"),
    "3 gx": ("amount-unknown-unit", "3 g"),
    "5 %": ("amount-unknown-unit", "5 g"),
    "1 tabelspoon": ("amount-unknown-unit", "1 tablespoon"),
    "400 g cold": ("amount-words-behind", "{amount: 400 g, note: cold}"),
    "> 3 g": ("amount-not-read", ""),
    "about 400 g": ("amount-not-read", "400 g"),
    "pinch": ("amount-not-read", "1 pinch"),
    "1/0 g": ("amount-not-read", ""),
    "some": ("amount-not-read", ""),
    "": ("amount-missing", "to taste"),
    "9" * 500 + " g": ("amount-too-big", ""),
    "1e9 g": ("amount-two-readings", "9 g"),
}


@pytest.mark.parametrize("typed", READ)
def test_what_is_read(typed: str) -> None:
    low, middle, high, unit, word = READ[typed]
    amount, asked = read_amount(typed)
    assert asked is None, asked
    assert (amount.number.low, amount.number.mid, amount.number.high) == pytest.approx((low, middle, high), rel=1e-12)
    assert (amount.unit, amount.piece_word, amount.text) == (unit, word, typed)


@pytest.mark.parametrize("typed", ASKED)
def test_what_is_asked(typed: str) -> None:
    code, mend = ASKED[typed]
    amount, asked = read_amount(typed)
    assert amount is None
    assert asked.code == code
    assert not mend or mend in asked.type_this, asked


@pytest.mark.parametrize("typed", [typed for typed in ASKED if typed and len(typed) < 40])
def test_every_mended_amount_reads(typed: str) -> None:
    """What a finding tells a cook to type must itself be read."""
    _, asked = read_amount(typed)
    for mended in asked.type_this:
        inner = mended.strip("{}").partition("amount: ")[2].partition(", note")[0] or mended
        assert read_amount(inner)[1] is None or read_amount(inner)[1].code == "amount-two-readings", (typed, mended)


def test_vague_amounts() -> None:
    for typed, vague in {
        "to taste": "to taste",
        "To taste": "to taste",
        "to garnish": "to garnish",
        "as needed": "as needed",
        "q.s.": "as needed",
    }.items():
        amount, asked = read_amount(typed)
        assert asked is None and (amount.vague, amount.unit, amount.number.high) == (vague, "g", 0)
    amount, _ = read_amount("to taste (about 3 g)")
    assert amount.vague == "to taste" and amount.about.number.mid == 3 and amount.about.unit == "g"
    assert read_amount("to taste, about plenty")[1].code == "amount-not-read"


def test_pounds_and_ounces() -> None:
    """International Yard and Pound Agreement (1959): 1 lb = 0.45359237 kg exactly; the ounce is a sixteenth of it."""
    assert grams_of(read_amount("1 lb")[0]).mid == pytest.approx(453.59237, rel=1e-15)
    assert grams_of(read_amount("16 oz")[0]).mid == pytest.approx(453.59237, rel=1e-15)
    assert grams_of(read_amount("1 lb 4 oz")[0]).mid == pytest.approx(453.59237 * 1.25, rel=1e-15)
    assert grams_of(read_amount("1 l")[0]) is None
    assert grams_of(read_amount("3 cloves")[0]) is None


def test_vulgar_fractions_are_their_unicode_values() -> None:
    """Unicode Character Database, numeric value of each vulgar fraction."""
    import unicodedata

    for sign, spelt in VULGAR.items():
        above, below = spelt.split("/")
        assert int(above) / int(below) == pytest.approx(unicodedata.numeric(sign), rel=1e-9)
        assert read_amount(f"{sign} cup")[0].number.mid == pytest.approx(unicodedata.numeric(sign), rel=1e-9)
        assert read_amount(f"2{sign} cups")[0].number.mid == pytest.approx(2 + unicodedata.numeric(sign), rel=1e-9)


@given(st.text(max_size=60))
@settings(max_examples=400, deadline=None)
def test_never_raises(text: str) -> None:
    amount, asked = read_amount(text)
    assert (amount is None) != (asked is None)
    _is_sound(amount, asked)


@given(st.text(alphabet="0123456789 .,/-–x×½¼gkmltoabcsp()TC%", max_size=24))
@settings(max_examples=800, deadline=None)
def test_never_raises_on_near_misses(text: str) -> None:
    _is_sound(*read_amount(text))


def _is_sound(amount, asked) -> None:
    if asked is not None:
        assert asked.code in CODES and asked.what
    if amount is not None:
        assert 0 <= amount.number.low <= amount.number.mid <= amount.number.high < 1e9
        assert amount.unit in UNITS
        assert amount.vague or amount.number.low > 0


@given(st.floats(0.001, 9999), st.sampled_from(sorted(UNIT_WORDS)))
@settings(max_examples=300, deadline=None)
def test_a_plain_amount_reads_back(number: float, word: str) -> None:
    typed = f"{number:.2f}".rstrip("0").rstrip(".")
    amount, asked = read_amount(f"{typed} {word}")
    if float(typed) == 0:
        assert asked.code == "amount-zero"
    elif word in ("t", "c"):
        assert asked.code == "amount-two-readings"
    else:
        assert amount.number.mid == float(typed) and amount.unit == UNIT_WORDS[word]
