"""Which food row an ingredient means. What is not settled is asked, with candidates; a candidate is never taken silently.

A row is settled by, in this order: the line itself (``food: "01077"``), the product's own row, ``matches.yaml``, the table of
kitchen names. :class:`Shelf` ranks the rows of a food table for words as cooks write them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from labeller.terms.findings import Finding, Place, finding
from labeller.terms.foods import Candidate, KitchenName
from labeller.terms.kitchen import Match
from labeller.terms.words import normalise, normalise_all

PINNED, PRODUCT, CONFIRMED, KITCHEN_NAME = (
    "pinned on the line", "row of the product", "confirmed in matches.yaml", "kitchen name",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Settled:
    """The row an ingredient means. code: as the food table has it ("01077", "fdc:173410"). how: what settled it, in words.
    single: the name is one plain ingredient that needs no paper. why: the choice where two rows are equally right."""

    code: str
    how: str
    single: bool
    why: str = ""


def food_code(text: str) -> str:
    """A code as typed, in its one form: five digits for an NDB number, ``fdc:`` and digits for a FoodData Central id."""
    text = "".join(text.split()).strip("\"'").lower()
    if text.isascii() and text.isdigit() and len(text) < 5:
        return text.zfill(5)
    return text


def settle(
    name: str, *, pin: str, product_food: str, match: Match | None, names: Mapping[str, KitchenName],
    food_exists: Callable[[str], bool], place: Place, subject: str, shelf: Callable[[], Shelf] | None = None,
) -> tuple[Settled | None, tuple[Finding, ...]]:  # fmt: skip
    """The row that ``name`` means, or None with one finding (``no-food-match`` or ``unknown-food-code``).

    pin: ``food:`` of the line; product_food: ``food:`` of the product; "" when not written. match: what a person confirmed.
    names: normalised name -> :class:`KitchenName`. food_exists: does the food table have this code. shelf: makes the
    :class:`Shelf` that the remedy takes its three nearest rows from; asked only when nothing settles the name.
    A code that is written down but unknown is not passed over for the next source: it is a finding.
    """
    known = names.get(normalise(name))
    said = ((pin, PINNED, place), (product_food, PRODUCT, place),
            (match.food if match else "", CONFIRMED, match.place if match else place))  # fmt: skip
    for typed, how, where in said:
        if not typed:
            continue
        code = food_code(typed)
        if not food_exists(code):
            return None, (_unknown_code(name, typed, how, where, subject, food_exists),)
        return Settled(code, how, _single(known, code, names), known.why if known and known.code == code else ""), ()
    if known is not None and food_exists(known.code):
        return Settled(known.code, KITCHEN_NAME, known.single, known.why), ()
    return None, (_no_match(name, place, subject, shelf),)


def _single(known: KitchenName | None, code: str, names: Mapping[str, KitchenName]) -> bool:
    """A plain ingredient stays plain under a pinned row only when that row is one of a plain ingredient too."""
    if known is None or not known.single:
        return False
    return code == known.code or any(each.single and each.code == code for each in names.values())


def _unknown_code(
    name: str, typed: str, how: str, place: Place, subject: str, food_exists: Callable[[str], bool]
) -> Finding:
    code = food_code(typed)
    if code.isdigit() and food_exists(f"fdc:{code}"):
        mend = f"\"{code}\" is a FoodData Central id: write  food: \"fdc:{code}\""
    else:
        mend = (
            f"look the code up with  labeller foods {normalise(name) or 'WORDS'}  and write it as text in quotes, with its"
            " zeros in front, such as  food: \"01077\"  (without quotes other programs drop the zero or change the number)"
        )
    return finding("unknown-food-code", place, f"{name}: \"{typed}\" ({how}) is no row of the food data", mend, subject)


def _no_match(name: str, place: Place, subject: str, shelf: Callable[[], Shelf] | None) -> Finding:
    near = shelf().candidates(name, 3) if shelf else ()
    rows = "; ".join(f"food: \"{each.code}\"  ({each.description})" for each in near)
    lines = f"put the right row on the line: {rows}; " if rows else "put a row on the line, such as  food: \"01077\"; "
    return finding("no-food-match", place, f"no row of food data is settled for \"{name}\"",
                   f"{lines}or type  labeller match  and choose once for the whole kitchen", subject)  # fmt: skip


# ---- ranking -------------------------------------------------------------------------------------------------------------

def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


# Words that say how it is cut or sold, not what it is; left out of a name. Common practice, no source.
_ASIDE = _words(
    "a an and approx baby best boneless chopped chunk coarsely cold crushed cube cubed cut diced each extra fillet fine finely"
    " for free freshly good grated halved handful heaped in into julienned large lean medium minus of off on optional or"
    " organic peeled picked piece pitted plus pod podded quality quartered range raw ripe roughly room shelled shredded skin"
    " skinless skinned sliced slice small softened sprig stoned temperature the thinly to tinned trimmed unpeeled uncooked"
    " very warm washed with without"
)
# First parts of USDA descriptions that only name the class of food: the next part is the food itself.
_CLASSES = frozenset(
    map(_words, ("fish", "crustacean", "mollusk", "spice", "nut", "seed", "beverage", "alcoholic beverage", "game meat",
                 "leavening agent", "oil", "fat", "seaweed"))
)  # fmt: skip
# What makes a row another food than the plain one, unless the name asks for it. Points off, of 1. By trial on kitchen names.
_OFF = {
    word: points
    for points, words in (
        (0.6, "babyfood restaurant infant toddler supplement formulated"),
        (0.25, "snack candy dessert pudding cake pie cookie dinner soup gravy frosting topping mix dressing loaf substitute"
               " imitation meatless entree sandwich spread burger native navajo indian apache hopi shoshone"),
        (0.16, "cooked boiled baked fried roasted braised broiled grilled stewed steamed microwaved simmered heated sauteed"
               " prepared breaded poached scrambled fast"),
        (0.09, "canned frozen dehydrated pickled smoked sweetened candied cured flavored powder powdered drink juice nectar"
               " concentrate condensed evaporated syrup sauce instant industrial dried dry freeze vitamin reduced low lowfat"
               " nonfat fatfree light diet imported australian zealand wild mechanically separated added solution salted"
               " toasted glazed skin bran peel"),
        (0.04, "enriched fortified select prime hydrogenated australia home commercial commercially bottled restructured"
               " chocolate whipped artificial calcium"),
    )
    for word in words.split()
}  # fmt: skip
_PART, _OPEN, _SHUT = "qpart", "qopen", "qshut"  # stand for comma and brackets while a description is levelled


@dataclass(frozen=True, slots=True)
class _Row:
    """A description taken apart. parts: words of each part between commas; said: words in brackets (other names)."""

    parts: tuple[frozenset[str], ...]
    said: frozenset[str]
    brand: bool


class Shelf:
    """The rows of a food table, laid out for look-ups by word: made once (some 50 ms for 8,790 rows), then asked often.

    descriptions: food code -> description. synonyms: normalised words of a cook -> words of the food table.
    """

    def __init__(self, descriptions: Mapping[str, str], synonyms: Mapping[str, str] | None = None) -> None:
        self.descriptions = descriptions
        self._codes = list(descriptions)
        self._synonyms = {tuple(words.split()): normalise(means).split() for words, means in (synonyms or {}).items()}
        marked = [text.replace(",", f" {_PART} ").replace("(", f" {_OPEN} ").replace(")", f" {_SHUT} ")
                  for text in descriptions.values()]  # fmt: skip
        self._levelled = normalise_all(marked)
        self._rows_of: dict[str, list[int]] = {}
        for row, text in enumerate(self._levelled):
            for word in set(text.split()):
                self._rows_of.setdefault(word, []).append(row)
        self._taken_apart: dict[int, _Row] = {}

    def candidates(self, name: str, limit: int = 8) -> tuple[Candidate, ...]:
        """Rows that ``name`` may mean, nearest first, score from 0 to 1; () when no word of it is known."""
        asked = self._asked(normalise(name).split())
        return self._ranked(asked, {row for word in asked for row in self._rows_of.get(word, ())}, limit)

    def search(self, words: str, limit: int = 20) -> tuple[Candidate, ...]:
        """Rows that hold every word (or the start of one), nearest first; failing that, those that hold most."""
        typed = normalise(words).split()
        found = [self._starting(word) for word in typed]
        all_words = set.intersection(*found) if found else set()
        return self._ranked(self._asked(typed), all_words, limit) if all_words else self.candidates(words, limit)

    def _starting(self, word: str) -> set[int]:
        return {row for each, rows in self._rows_of.items() if each.startswith(word) for row in rows}

    def _asked(self, typed: list[str]) -> list[str]:
        """The words to look for, in the food table's own words; the last one is the head of the name."""
        words, at = [], 0
        while at < len(typed):
            for size in range(min(4, len(typed) - at), 0, -1):
                means = self._synonyms.get(tuple(typed[at : at + size]))
                if means is not None:
                    words += means
                    at += size
                    break
            else:
                words.append(typed[at])
                at += 1
        kept = [word for word in words if word not in _ASIDE] or words
        return list(dict.fromkeys(piece for word in self._joined(kept) for piece in self._known(word)))

    def _joined(self, words: list[str]) -> list[str]:
        """ "broad bean" is "broadbean" where the table writes it so."""
        out, at = [], 0
        while at < len(words):
            pair = "".join(words[at : at + 2])
            whole = at + 1 < len(words) and pair in self._rows_of
            out.append(pair if whole else words[at])
            at += 2 if whole else 1
        return out

    def _known(self, word: str) -> tuple[str, ...]:
        """The word, or the nearest one of the table where the table does not have it."""
        if word in self._rows_of:
            return (word,)
        import difflib

        return tuple(difflib.get_close_matches(word, self._rows_of, n=1, cutoff=0.84)) or (word,)

    def _ranked(self, asked: list[str], rows: set[int], limit: int) -> tuple[Candidate, ...]:
        total = len(self._codes)
        weights = {word: math.log(1 + total / (1 + len(self._rows_of.get(word, ())))) for word in asked}
        scored = sorted((-self._score(row, asked, weights), row) for row in rows)[:limit]
        return tuple(Candidate(self._codes[row], self.descriptions[self._codes[row]], round(max(0.0, -minus), 4))
                     for minus, row in scored)  # fmt: skip

    def _apart(self, row: int) -> _Row:
        if row not in self._taken_apart:
            self._taken_apart[row] = _take_apart(self._levelled[row], self.descriptions[self._codes[row]])
        return self._taken_apart[row]

    def _score(self, row: int, asked: list[str], weights: dict[str, float]) -> float:
        food = self._apart(row)
        first = food.parts[0]
        main = 1 if len(food.parts) > 1 and first in _CLASSES else 0
        near = food.parts[main] | (first if main else frozenset())
        got = 0.0
        for word in asked:
            if word in near:
                got += weights[word]
            elif word in food.said:
                got += 0.95 * weights[word]
            elif len(food.parts) > main + 1 and word in food.parts[main + 1]:
                got += 0.9 * weights[word]
            elif any(word in part for part in food.parts[main + 2 :]):
                got += 0.8 * weights[word]
        score = got / (sum(weights.values()) or 1.0)
        wanted = set(asked)
        score -= 0.1 * min(3, len(food.parts[main] - wanted))
        rest = frozenset().union(*food.parts[main + 1 :]) - wanted
        score -= 0.008 * len(rest) + sum(_OFF.get(word, 0.0) for word in (rest | food.parts[main] | first) - wanted)
        return score + (0.05 if "raw" in rest or "fresh" in rest else 0.0) - (0.3 if food.brand else 0.0)


def _take_apart(levelled: str, written: str) -> _Row:
    parts: list[set[str]] = [set()]
    said: set[str] = set()
    inside = False
    for word in levelled.split():
        if word in (_OPEN, _SHUT):
            inside = word == _OPEN
        elif word == _PART:
            if not inside and parts[-1]:
                parts.append(set())
        else:
            (said if inside else parts[-1]).add(word)
    plain = written.replace("'", "").replace(",", " ").split()
    brand = any(len(word) > 3 and word.isupper() and word.isalpha() for word in plain)
    return _Row(tuple(frozenset(part) for part in parts if part) or (frozenset(),), frozenset(said), brand)


def candidates(
    name: str, descriptions: Mapping[str, str], limit: int = 8, synonyms: Mapping[str, str] | None = None
) -> tuple[Candidate, ...]:
    """:meth:`Shelf.candidates` for one name; whoever asks about many names makes one :class:`Shelf`."""
    return Shelf(descriptions, synonyms).candidates(name, limit)


def search(
    words: str, descriptions: Mapping[str, str], limit: int = 20, synonyms: Mapping[str, str] | None = None
) -> tuple[Candidate, ...]:
    """:meth:`Shelf.search` for one question."""
    return Shelf(descriptions, synonyms).search(words, limit)
