"""Ranks the rows of a food table for words as cooks write them: the nearest rows to offer, or to find.

USDA writes "Wheat flour, white, all-purpose": the food first, then what kind. The ranker looks for the words of the name,
rare words count more, the head of the name ("flour" of "plain flour") must be in the food itself, and rows that are something
else than the plain food (cooked, tinned, baby food, a brand) come later unless the name asks for them. The points were found
by trial on one part of the table of kitchen names and measured on another (tests/test_matching.py).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from functools import cached_property

from msgspec import Struct

from labeller.terms.foods import Candidate, KitchenName
from labeller.terms.words import normalise, normalise_all


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


def _points(*pairs: tuple[float, str]) -> dict[str, float]:
    return {word: points for points, words in pairs for word in words.split()}


# Words that say how it is cut or sold, not what it is; left out of a name. Common practice, no source.
_ASIDE = _words(
    "a an and approx best chopped chunk coarsely cold crushed cube cut diced each extra fine finely for free freshly good"
    " grated halved handful heaped in into jarred julienned large lean medium of off on optional or organic piece pitted plus"
    " podded quality quartered range raw ripe roughly room shelled shredded sliced slice small softened sprig stoned temperature"
    " the thinly to trimmed uncooked very warm washed with"
)
# States that a name asks for: a row without the state is then another thing. Left: as asked; right: as rows may have it.
_STATES = {
    asked: _words(rows)
    for asked, rows in {
        "canned": "canned", "tinned": "canned", "frozen": "frozen", "dried": "dried dry dehydrated mature", "dry": "dried dry",
        "powder": "powder powdered dried dry ground", "powdered": "powder powdered dried dry", "smoked": "smoked kippered",
        "cooked": "cooked boiled roasted steamed heated prepared", "boiled": "boiled cooked", "roasted": "roasted toasted",
        "toasted": "toasted roasted", "pickled": "pickled pickle canned", "candied": "candied", "roast": "roasted",
        "salted": "salted salt", "fried": "fried", "steamed": "steamed cooked", "poached": "poached",
        "grilled": "grilled broiled",
    }.items()
}  # fmt: skip
# First parts of descriptions that only name the class of food, the next part being the food itself; points off where the
# name does not ask for the class (an oil of almonds is not almonds).
_CLASSES = {
    _words(first): points
    for points, firsts in (
        (0.0, "fish|crustacean|mollusk|spice|nut|seed|game meat|leavening agent|seaweed|cheese|lettuce|mushroom|sugar"),
        (0.06, "beverage|alcoholic beverage|sauce|syrup|candy|soup|gelatin|squash summer|squash winter"),
        (0.15, "oil|fat|snack|salad dressing|cookie|cracker|bread|cereal|cereal ready to eat|vegetable oil|fish oil"),
    )
    for first in firsts.split("|")
}  # fmt: skip
# Parts that say nothing about which food it is: what follows counts as if they were not there.
_EMPTY = tuple(
    map(_words, ("fresh", "raw", "broiler or fryer", "domesticated", "variety meat and by product", "all class", "new zealand",
                 "imported", "fluid", "whole", "retail part", "carbonated", "table", "distilled"))
)  # fmt: skip
# What makes a row another food than the plain one, unless the name asks for it: points off, of 1.
_OFF = _points(
    (0.6, "babyfood restaurant infant toddler supplement formulated"),
    (0.3, "keebler kashi pace kellogg campbell prego sunshine murray famou worthington morningstar pepperidge archway nabisco"
          " mckee pillsbury weston heinz hormel kraft silk vitasoy v8 swanson goya glutino udi rudi van mission interstate"
          " schar andrea loma oscar smart healthy choice's special"),
    (0.25, "dessert pudding cake pie dinner gravy frosting topping mix dressing loaf substitute imitation meatless entree"
           " sandwich spread burger artificial snack creme"),
    (0.16, "cooked boiled baked fried roasted braised broiled grilled stewed steamed microwaved simmered heated sauteed"
           " prepared breaded poached scrambled fast"),
    (0.12, "giblet liver heart gizzard tongue brain kidney lung pancreas spleen stomach tail jowl marrow neck head egg"),
    (0.09, "canned frozen dehydrated pickled smoked sweetened candied cured flavored powder powdered drink juice nectar"
           " concentrate condensed evaporated instant industrial dried freeze reduced low lowfat nonfat light diet"
           " australian wild mechanically separated solution salted toasted glazed bran peel butter flour meal"
           " composite carcass ground external seam retail"),
    (0.04, "enriched fortified select prime choice hydrogenated partially home commercial commercially bottled restructured"
           " chocolate whipped calcium only immature sprouted dry sulfured syrup sauce zealand"),
    (0.02, "vitamin added"),
)  # fmt: skip
_NATIVE = _words("native navajo indian apache hopi shoshone southwest")
_JOINING = _words("and or with without from in to of the includes include")
_ALL_KINDS = _words("area variety type commercial grade mixed species average")  # "all commercial varieties": the usual row
_SCRAPS = tuple(map(_words, ("skin", "skin only", "separable fat", "external fat only", "seam fat only", "giblet", "neck")))
_PART, _OPEN, _SHUT = "qpart", "qopen", "qshut"  # stand for comma and brackets while a description is levelled


class _Row(Struct, frozen=True):
    """A description taken apart. food: words of the food itself; parts: words of each later part; said: words in brackets
    (other names); off: points off for its class of food; brand: it names a maker.
    scrap: skin, fat or innards alone."""

    food: frozenset[str]
    head: frozenset[str]
    parts: tuple[frozenset[str], ...]
    said: frozenset[str]
    off: float
    brand: bool
    scrap: bool


def level(descriptions: Iterable[str]) -> list[str]:
    """Descriptions of a food table in the one spelling, a space at either end of each, with words for comma and brackets."""
    marked = "\n".join(descriptions).replace(",", f" {_PART} ").replace("(", f" {_OPEN} ").replace(")", f" {_SHUT} ")
    return [f" {text} " for text in normalise_all(marked.split("\n"))]


class Shelf:
    """The rows of a food table, laid out for look-ups by word: made once, then asked often.

    descriptions: food code -> description. synonyms: words of a cook -> words of the food table. levelled: what
    :func:`level` makes of the descriptions, for whoever keeps it.
    """

    def __init__(
        self, descriptions: Mapping[str, str], synonyms: Mapping[str, str] | None = None, levelled: list[str] | None = None
    ) -> None:
        self.descriptions = descriptions
        self._codes = list(descriptions)
        self._synonyms = {tuple(normalise(words).split()): normalise(means).split() for words, means in (synonyms or {}).items()}
        self._levelled = level(descriptions.values()) if levelled is None else levelled
        self._found: dict[str, list[int]] = {}
        self._taken_apart: dict[int, _Row] = {}

    def _rows_of(self, word: str) -> list[int]:
        """Rows that hold the word."""
        if word not in self._found:
            sought = f" {word} "
            self._found[word] = [row for row, text in enumerate(self._levelled) if sought in text]
        return self._found[word]

    def candidates(
        self, name: str, limit: int = 8, names: Mapping[str, KitchenName] | None = None
    ) -> tuple[Candidate, ...]:
        """Rows that ``name`` may mean, nearest first, score from 0 to 1; () when no word of it is known.

        names: normalised name -> kitchen name; the rows of those that stand within ``name`` ("scallops" in "hand-dived
        Orkney scallops") are put among the candidates.
        """
        typed = normalise(name).split()
        asked = self._asked(typed)
        ranked = self._ranked(asked, typed, {row for word in asked for row in self._rows_of(word)}, limit)
        within = [each for each in self._within(typed, names or {}) if each.code in self.descriptions][:2]
        codes = {each.code for each in within}
        merged = [*within, *(each for each in ranked if each.code not in codes)]
        return tuple(sorted(merged, key=lambda each: -each.score)[:limit])

    def _within(self, typed: list[str], names: Mapping[str, KitchenName]) -> list[Candidate]:
        """Kitchen names that are a part of the name, longest first, the end of the name (its head) before its start."""
        found: dict[str, Candidate] = {}
        for size in range(len(typed), 0, -1):
            for start in range(len(typed) - size, -1, -1):
                known = names.get(" ".join(typed[start : start + size]))
                if known and known.code not in found:
                    share = 0.5 + 0.49 * size / len(typed) - (0.0 if start + size == len(typed) else 0.2)
                    found[known.code] = Candidate(known.code, self.descriptions.get(known.code, ""), round(share, 4))
        return list(found.values())

    def search(self, words: str, limit: int = 20) -> tuple[Candidate, ...]:
        """Rows that hold every word (or the start of one), nearest first; failing that, those that hold most."""
        typed = normalise(words).split()
        found = [self._starting(word) for word in typed]
        all_words = set.intersection(*found) if found else set()
        return self._ranked(typed, typed, all_words, limit) if all_words else self.candidates(words, limit)

    def _starting(self, word: str) -> set[int]:
        sought = f" {word}"
        return {row for row, text in enumerate(self._levelled) if sought in text}

    # -- the words of a name -----------------------------------------------------------------------------------------------

    def _asked(self, typed: list[str]) -> list[str]:
        """The words to look for, in the food table's own words; the last one is the head of the name."""
        bare = [word for word in typed if word not in _ASIDE] or typed
        out: list[str] = []
        at = cut = 0
        while at < len(typed):
            size = next((size for size in range(min(4, len(typed) - at), 0, -1) if self._means(typed[at : at + size], bare)), 0)
            if size:
                out += self._synonyms[tuple(typed[at : at + size])]
            elif typed[at] == "of" and out:
                cut = len(out)  # "leg of lamb" is a lamb leg
            elif typed[at] in bare:
                out.append("canned" if typed[at] == "tinned" else typed[at])
            at += size or 1
        return list(dict.fromkeys(piece for word in self._joined(out[cut:] + out[:cut]) for piece in self._known(word)))

    def _means(self, words: list[str], bare: list[str]) -> bool:
        """Is there a synonym to put here. One word that is told only more fully ("salmon": the usual row of salmon) stands
        for that row where it is the whole name, not in "pink salmon"."""
        means = self._synonyms.get(tuple(words))
        return means is not None and (len(words) > 1 or len(bare) == 1 or words[0] not in means)

    def _joined(self, words: list[str]) -> list[str]:
        """ "water chestnut" is "waterchestnut" where the table writes it so."""
        out, at = [], 0
        while at < len(words):
            pair = "".join(words[at : at + 2])
            whole = at + 1 < len(words) and bool(self._rows_of(pair))
            out.append(pair if whole else words[at])
            at += 2 if whole else 1
        return out

    def _known(self, word: str) -> tuple[str, ...]:
        """The word, or the nearest one of the table where a longer word is mistyped."""
        if len(word) < 6 or self._rows_of(word):
            return (word,)
        import difflib

        return tuple(difflib.get_close_matches(word, self._vocabulary, n=1, cutoff=0.85)) or (word,)

    @cached_property
    def _vocabulary(self) -> set[str]:
        return set("".join(self._levelled).split())

    # -- the score of a row ------------------------------------------------------------------------------------------------

    def _ranked(self, asked: list[str], typed: list[str], rows: set[int], limit: int) -> tuple[Candidate, ...]:
        total = len(self._codes)
        weights = {word: math.log(1 + total / (1 + len(self._rows_of(word)))) for word in asked}
        states = [_STATES[word] for word in dict.fromkeys([*asked, *typed]) if word in _STATES]
        scored = sorted((-self._score(self._apart(row), asked, weights, states), row) for row in rows)[:limit]
        return tuple(Candidate(self._codes[row], self.descriptions[self._codes[row]], round(min(1.0, max(0.0, -minus / 1.1)), 4))
                     for minus, row in scored)  # fmt: skip

    def _apart(self, row: int) -> _Row:
        if row not in self._taken_apart:
            self._taken_apart[row] = _take_apart(self._levelled[row], self.descriptions[self._codes[row]])
        return self._taken_apart[row]

    @staticmethod
    def _score(row: _Row, asked: list[str], weights: dict[str, float], states: list[frozenset[str]]) -> float:
        got = 0.0
        for word in asked:
            if word in row.food or word in row.head:
                got += weights[word]
            elif word in row.said:
                got += 0.95 * weights[word]
            else:
                place = next((nr for nr, part in enumerate(row.parts) if word in part), None)
                got += 0.0 if place is None else (0.92, 0.86)[place > 0] * weights[word]
        wanted = set(asked).union(*states)
        rest = frozenset().union(*row.parts) - wanted
        score = got / (sum(weights.values()) or 1.0) - 0.1 * min(3, len(row.food - wanted - _JOINING)) - 0.006 * len(rest)
        score -= sum(_OFF.get(word, 0.0) for word in (rest | row.food) - wanted)
        every = rest | row.food | row.head | wanted & frozenset().union(*row.parts)
        if states:
            score -= sum(0.3 for state in states if not state & every)
        elif "raw" in rest or "fresh" in rest:
            score += 0.05
        if row.scrap and not wanted & {"skin", "fat", "giblet", "neck"}:
            score -= 0.15
        if row.off and not row.head & wanted:
            score -= row.off
        if asked and asked[-1] not in row.food and asked[-1] not in row.head and asked[-1] not in row.said:
            score -= 0.05
        return score + (0.03 if rest & _ALL_KINDS else 0.0) - (0.3 if row.brand or row.said & _NATIVE else 0.0)


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
    frozen = [frozenset(part) for part in parts if part] or [frozenset()]
    off = _CLASSES.get(frozen[0]) if len(frozen) > 1 else None
    main = 0 if off is None else 1
    scrap = any(part in _SCRAPS for part in frozen)
    later = sorted(frozen[main + 1 :], key=lambda part: part in _EMPTY)  # a stable sort: empty parts come last
    plain = written.replace("'", "").replace(",", " ").split()
    brand = any(len(word) > 3 and word.isupper() and word.isalpha() for word in plain)
    return _Row(frozen[main], frozen[0] if main else frozenset(), tuple(later), frozenset(said), off or 0.0, brand, scrap)
