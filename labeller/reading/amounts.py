"""Amounts as kitchens write them: text in, an :class:`~labeller.terms.kitchen.Amount` or a question out.

Nothing is guessed: what can be read in two ways, or not at all, comes back as an :class:`Asked` with the amount to type.
Mass units are defined by the international yard and pound agreement of 1959 (1 lb = 453.59237 g, 1 oz = 1/16 lb); volumes
stay volumes here, because a cup is three different cups.
"""

from __future__ import annotations

import re

from msgspec import Struct

from labeller.terms.kitchen import Amount
from labeller.terms.spans import Span

MASS_GRAMS: dict[str, float] = {"g": 1.0, "kg": 1000.0, "mg": 0.001, "oz": 28.349523125, "lb": 453.59237}
VOLUMES = ("ml", "cl", "dl", "l", "fl_oz", "pint", "quart", "gallon", "cup", "tbsp", "tsp", "drop", "dash", "pinch")
UNIT_WORDS: dict[str, str] = {
    word: unit
    for unit, words in {
        "g": "g gr gm gms gram grams gramme grammes",
        "kg": "kg kgs kilo kilos kilogram kilograms kilogramme kilogrammes",
        "mg": "mg milligram milligrams milligramme milligrammes",
        "oz": "oz ounce ounces",
        "lb": "lb lbs pound pounds",
        "ml": "ml mls cc millilitre millilitres milliliter milliliters",
        "cl": "cl centilitre centilitres centiliter centiliters",
        "dl": "dl decilitre decilitres deciliter deciliters",
        "l": "l ltr ltrs litre litres liter liters",
        "pint": "pint pints pt pts",
        "quart": "quart quarts qt qts",
        "gallon": "gallon gallons gal gals",
        "cup": "cup cups",
        "tbsp": "tbsp tbsps tbs tblsp tablespoon tablespoons",
        "tsp": "tsp tsps teaspoon teaspoons",
        "drop": "drop drops",
        "dash": "dash dashes",
        "pinch": "pinch pinches",
    }.items()
    for word in words.split()
}
FLUID_OUNCE = ("fl oz", "fl. oz", "floz", "fluid oz", "fluid ounce", "fluid ounces")
PIECE_WORDS = frozenset({"piece", "pieces", "pc", "pcs", "no", "each", "whole"})
VAGUE: dict[str, str] = {
    "to taste": "to taste", "to garnish": "to garnish", "for garnish": "to garnish", "garnish": "to garnish",
    "to finish": "to garnish", "as needed": "as needed", "as required": "as needed", "q.s.": "as needed", "qs": "as needed",
}  # fmt: skip
NUMBER_WORDS: dict[str, str] = {
    "a": "1", "an": "1", "one": "1", "two": "2", "three": "3", "four": "4", "five": "5", "six": "6", "seven": "7",
    "eight": "8", "nine": "9", "ten": "10", "eleven": "11", "twelve": "12",
}  # fmt: skip
VULGAR: dict[str, str] = {
    "½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5", "⅙": "1/6",
    "⅚": "5/6", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
TWO_MEANINGS: dict[str, tuple[str, str]] = {"T": ("tbsp", "tsp"), "t": ("tsp", "tbsp"), "c": ("cup", "cl"), "C": ("cup", "cl")}
NO_UNIT = frozenset({"cm", "mm", "m", "inch", "inches", "in", "kcal", "kj", "cal", "percent", "ppm"})  # not amounts of food
ROUND_SPOON = ("heaped", "heaping", "scant", "generous", "rounded", "good", "big")
COMPOUND: dict[tuple[str, str], float] = {("lb", "oz"): 16, ("kg", "g"): 1000, ("l", "ml"): 1000}
MOST = 1e7  # ten tonnes, ten million pieces: no kitchen

_NUMBER = r"(?:[0-9]+ [0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9]+(?:\.[0-9]+)?|\.[0-9]+)"
_SPACES = re.compile(r"\s+")
_LEAD = re.compile(rf"({_NUMBER})(?: ?(?:-|to) ?({_NUMBER}))?(?![0-9/.])(.*)", re.S)
# Patterns that few amounts need are kept as text: ``re`` compiles them when they are first used, and keeps them.
_REPEATED_UNIT = rf"({_NUMBER}) ?([a-z. ]+?) ?(?:-|to) ?({_NUMBER}) ?([a-z. ]+)"
_COMMA = r"([0-9]),([0-9]+)"
_TIMES = r"(?s)([0-9]+) ?[x*] ?(?=[0-9.])(.*)"
_TRAILING = r"[^\W\d_]+(?:[ '’-][^\W\d_]+){0,3}"
_WEIGHT_INSIDE = rf"(?<![0-9.])({_NUMBER} ?(?:g|kg|ml|l|oz|lb))\b"


class Asked(Struct, frozen=True):
    """A question instead of an answer. code: key of the catalogue. what: what is wrong, in words. type_this: amounts that
    can be read, the likeliest first; empty when none can be offered."""

    code: str
    what: str
    type_this: tuple[str, ...] = ()


def tidy(text: str) -> str:
    """One kind of space, dash and multiplication sign; vulgar fractions spelt out; words for small numbers as figures."""
    for sign, spelt in VULGAR.items():
        if sign in text:
            text = re.sub(rf"([0-9])?\s*{sign}", lambda hit, spelt=spelt: f"{hit[1]} {spelt}" if hit[1] else spelt, text)
    text = text.replace("⁄", "/").replace("×", "x")
    for dash in "‐‑‒–—−":
        text = text.replace(dash, "-")
    text = _SPACES.sub(" ", text).strip()
    first, _, rest = text.partition(" ")
    if rest and first.lower() in NUMBER_WORDS:
        text = f"{NUMBER_WORDS[first.lower()]} {rest}"
    return text


def read_amount(text: str) -> tuple[Amount | None, Asked | None]:
    """Read one amount. Returns (amount, None), (None, question), or (amount, doubt) when it reads but ought to be looked at.

    Never raises. Spans are in the unit named by ``Amount.unit``; "2 x 400 g" is 800 g; "1 lb 4 oz" is 20 oz.
    """
    number, _, word = text.partition(" ")
    if number.isdecimal() and number.isascii() and word in MASS_GRAMS and len(number) < 6 and number.strip("0"):
        return Amount(text, Span.of(float(number)), word), None  # "400 g", the greater part of all amounts
    clean = tidy(text)
    low = clean.lower()
    if not clean:
        return None, Asked("amount-missing", "there is no amount", ("to taste",))
    if low in VAGUE:
        return Amount(text, Span.of(0.0), "g", vague=VAGUE[low]), None
    for phrase, canonical in VAGUE.items():
        if low.startswith(phrase) and "about" in low:
            return _vague_with_about(text, low.partition("about")[2].strip(" :()"), canonical)
    refused = _refused_sign(clean)
    if refused:
        return None, refused
    times = re.fullmatch(_TIMES, low) if "x" in low or "*" in low else None
    if times:
        return _several(text, int(times[1][:12]), clean[times.start(2) :])
    return _plain(text, clean)


def grams_of(amount: Amount) -> Span | None:
    """The amount in grams when it was written as a weight, else None."""
    factor = MASS_GRAMS.get(amount.unit)
    return None if factor is None or amount.vague else amount.number.times(factor)


def _vague_with_about(text: str, about: str, canonical: str) -> tuple[Amount | None, Asked | None]:
    inner, asked = read_amount(about)
    if inner is None or inner.vague:
        return None, Asked("amount-not-read", f'"{text}" cannot be read', ())
    return Amount(text, Span.of(0.0), "g", vague=canonical, about=inner), asked


def _refused_sign(clean: str) -> Asked | None:
    """Signs that change what a number means, before any number is read."""
    low = clean.lower()
    comma = re.search(_COMMA, clean) if "," in clean else None
    if comma:
        thousands = len(comma[2]) == 3
        decimal, whole = re.sub(_COMMA, r"\1.\2", clean), re.sub(_COMMA, r"\1\2", clean)
        offered = (whole, decimal) if thousands else (decimal,)
        return Asked("amount-comma", f'"{clean}" has a comma in a number', offered)
    if low.startswith("-"):
        return Asked("amount-negative", f'"{clean}" is negative', (low.lstrip("- "),))
    for sign in ("~", "c.", "ca.", "ca ", "about ", "approx.", "approx ", "circa ", "around "):
        if low.startswith(sign):
            bare = clean[len(sign) :].strip()
            return Asked("amount-not-read", f'"{clean}" is not a figure that can be weighed again', (bare,) if bare else ())
    if low[0] in "<>=≤≥" or low.startswith(("max", "min", "up to", "at least", "at most", "less than", "more than")):
        return Asked("amount-not-read", f'"{clean}" is a limit, not an amount')
    return None


def _several(text: str, count: int, rest: str) -> tuple[Amount | None, Asked | None]:
    """ "2 x 400 g": the inner amount times the count."""
    one, asked = _plain(text, rest)
    if one is None:
        return None, asked
    if one.unit == "piece" and not one.piece_word:
        each = tidy(rest)
        return None, Asked("amount-two-readings", f'"{text}" has no unit', (f"{count} x {each} g", f"{count} pieces"))
    if count == 0 or one.number.high * count > MOST:
        return None, Asked("amount-zero" if count == 0 else "amount-too-big", f'"{text}" comes to {count} times {rest}')
    return Amount(text, one.number.times(count), one.unit, one.piece_word), asked


def _may_repeat_unit(low: str) -> bool:
    """Whether the pattern for "10 g - 12 g" can match at all: a "to", or no digit before the dash."""
    before, dash, _ = low.partition("-")
    return "to" in low or bool(dash) and not before.rstrip()[-1:].isdigit()


def _plain(text: str, clean: str) -> tuple[Amount | None, Asked | None]:
    """Number or range, then a unit or the word for a piece."""
    same = re.fullmatch(_REPEATED_UNIT, clean.lower()) if _may_repeat_unit(clean.lower()) else None
    if same and _unit(same[2].strip()) and _unit(same[2].strip()) == _unit(same[4].strip()):
        clean = f"{same[1]}-{same[3]} {same[2].strip()}"  # "10 g - 12 g"
    lead = _LEAD.fullmatch(clean)
    if lead is None:
        bare = clean.lower()
        if bare in UNIT_WORDS or bare in NUMBER_WORDS:
            return None, Asked("amount-not-read", f'"{text}" has no number', (f"1 {clean}",))
        return None, Asked("amount-not-read", f'"{text}" is not an amount')
    first, second, tail = lead[1], lead[2], lead[3].strip()
    if second and "/" in second and " " not in first and "/" not in first and "-" in clean[: lead.end(2)]:
        return None, Asked("amount-two-readings", f'"{text}" can mean a mixed number or a range',
                           (clean.replace("-", " ", 1), f"{second}-{first} {tail}".strip()))  # fmt: skip
    ends = _number(first), _number(second or first)
    if ends[0] is None or ends[1] is None:
        return None, Asked("amount-not-read", f'"{text}" divides by nothing')
    return _with_unit(text, clean, (ends[0], ends[1]), (first, second or ""), tail)


def _with_unit(
    text: str, clean: str, ends: tuple[float, float], typed: tuple[str, str], tail: str
) -> tuple[Amount | None, Asked | None]:
    """The number is read; what stands behind it?"""
    low, high = ends
    if high > MOST or low > MOST:
        return None, Asked("amount-too-big", f'"{clean[:40]}" is more than any kitchen holds')
    if low > high:
        return None, Asked("amount-inverted", f'"{text}" runs downwards', (f"{typed[1]}-{typed[0]} {tail}".strip(),))
    if high <= 0:
        return None, Asked("amount-zero", f'"{text}" is nothing', ("to taste",))
    if low <= 0:
        return None, Asked("amount-zero", f'"{text}" begins at nothing', (f"{typed[1]} {tail}".strip(),))
    unit, rest = _split_unit(tail)
    if unit and any(_three_decimals(part) for part in typed) and unit in ("g", "ml", "mg"):
        whole = clean.replace(".", "", 1)
        return None, Asked(
            "amount-two-readings", f'"{text}" can be a thousand or one', (whole, f"{typed[0].rstrip('0').rstrip('.')} {unit}")
        )
    number = Span.between(low, high) if typed[1] else Span.of(low)
    if unit and not rest:
        return Amount(text, number, unit), None
    if unit:
        return _compound(text, clean, number, unit, rest)
    return _pieces(text, number, tail)


def _compound(text: str, clean: str, number: Span, unit: str, rest: str) -> tuple[Amount | None, Asked | None]:
    """ "1 lb 4 oz", or words behind a weight, which belong in a note."""
    second = _LEAD.fullmatch(rest)
    if second and not second[2] and not number.is_range:
        small, left = _split_unit(second[3].strip())
        value = _number(second[1])
        factor = COMPOUND.get((unit, small or ""))
        if factor and not left and value is not None and value < factor:
            return Amount(text, Span.of(number.mid * factor + value), small), None
    bare = clean[: len(clean) - len(rest)].strip()
    note = rest.strip(" ,()")
    if not note or any(sign in note for sign in ":,{}[]#"):
        return None, Asked("amount-words-behind", f'"{text}" has more than an amount', (bare,))
    return None, Asked("amount-words-behind", f'"{text}" has words behind the amount', (f"{{amount: {bare}, note: {note}}}",))


def _pieces(text: str, number: Span, tail: str) -> tuple[Amount | None, Asked | None]:
    """Counted things: "2", "2 large", "3 cloves", "2 dozen"."""
    words = tail.strip(" .").split(" ") if tail else []
    count = text[: len(text) - len(tail)].strip() or "2"
    if words and words[0].lower() in ("dozen", "doz"):
        number, words = number.times(12), words[1:]
    word = " ".join(words)
    low = word.lower()
    if word in TWO_MEANINGS:
        return None, Asked(
            "amount-two-readings", f'"{text}" can be read in two ways', tuple(f"{count} {unit}" for unit in TWO_MEANINGS[word])
        )
    if not word or low in PIECE_WORDS:
        return Amount(text, number, "piece"), None
    if words[0].lower() in ROUND_SPOON and (len(words) > 1 and _unit(words[-1].lower())):
        return None, Asked("amount-two-readings", f'"{text}" depends on who fills the spoon', (f"{count} {words[-1]}",))
    if words[0].lower() == "level" and len(words) == 2 and _unit(words[1].lower()):
        return Amount(text, number, _unit(words[1].lower())), None
    inside = re.search(_WEIGHT_INSIDE, low) if any(char.isdigit() for char in low) else None
    if inside:
        grouped = inside[1][:3].isdigit() and low == inside[1] and count.isdigit()
        offered = (f"{count}{word}",) if grouped else (inside[1], f"{count} x {inside[1]}")
        return None, Asked("amount-two-readings", f'"{text}" has two numbers', offered)
    if low in NO_UNIT or len(low) < 3 or not re.fullmatch(_TRAILING, word):
        return None, Asked("amount-unknown-unit", f'"{word}" in "{text}" is not a unit', (f"{count} g", f"{count} pieces"))
    near = _near_unit(low)
    if near:
        return None, Asked("amount-unknown-unit", f'"{word}" in "{text}" is not a unit', (f"{count} {near}",))
    if low.startswith("of "):
        return None, Asked("amount-words-behind", f'"{text}" has words behind the amount', (f"{count}",))
    return Amount(text, number, "piece", piece_word=word), None


def _split_unit(tail: str) -> tuple[str, str]:
    """(canonical unit or "", what stands behind it)."""
    low = tail.lower()
    for words in FLUID_OUNCE:
        if low.startswith(words):
            return "fl_oz", tail[len(words) :].lstrip("s").strip(" .")
    end = 0
    while end < len(low) and low[end].isalpha():
        end += 1
    word = tail[:end]
    if word in TWO_MEANINGS or word == "":
        return "", tail
    return UNIT_WORDS.get(word.lower(), ""), tail[end:].strip(" .")


def _unit(word: str) -> str:
    word = word.rstrip(".")
    return "fl_oz" if word in FLUID_OUNCE else UNIT_WORDS.get(word, "")


def _near_unit(word: str) -> str:
    """A unit one slip of the finger away from a longer word ("tabelspoon"), else ""."""
    if len(word) < 4:
        return ""
    return next((unit for unit in UNIT_WORDS if len(unit) > 3 and abs(len(unit) - len(word)) < 2 and _one_slip(word, unit)), "")


def _one_slip(typed: str, meant: str) -> bool:
    """One letter wrong, missing, too many, or two neighbours exchanged."""
    at = next((n for n, (a, b) in enumerate(zip(typed, meant, strict=False)) if a != b), min(len(typed), len(meant)))
    left, right = typed[at:], meant[at:]
    if len(left) == len(right):
        return left[1:] == right[1:] or (left[:2] == right[1::-1] and left[2:] == right[2:])
    return left[1:] == right if len(left) > len(right) else left == right[1:]


def _three_decimals(typed: str) -> bool:
    whole, dot, decimals = typed.partition(".")
    return bool(dot) and len(decimals) == 3 and whole not in ("", "0")


def _number(typed: str) -> float | None:
    """ "1 1/2" -> 1.5; None when it divides by nothing. Very long numbers become infinite and are refused by their size."""
    total = 0.0
    for part in typed.split(" "):
        above, slash, below = part.partition("/")
        if slash and float(below) == 0:
            return None
        total += float(above[:400]) / float(below[:300]) if slash else float(part[:400])
    return total
