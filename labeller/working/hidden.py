"""What a bare ingredient name may hide, before anyone has read a pack.

A name is compared as a whole first, then phrase by phrase, the longest first: "soy sauce glaze" holds what soy sauce holds.
A phrase that is something else in a longer one is kept out by the table's exceptions ("oyster mushroom"), and a word is
only ever compared as a whole word ("buckwheat" isn't wheat). Doubt goes to the guest: two phrases in one name both count.
"""

from __future__ import annotations

from msgspec.structs import replace

from labeller.terms.allergens import HiddenAllergen, HiddenTable
from labeller.terms.words import normalise

# Words that say a thing is not quite what its name says. They are a claim, no evidence: certain becomes "to be confirmed".
_CLAIMS = frozenset((
    "vegan", "vegetarian", "plant", "based", "free", "mock", "imitation", "substitute", "alternative", "replacement",
    "flavour", "flavor", "flavoured", "flavored", "eggless", "meatless", "faux", "non", "no", "without", "aquafaba",
))  # fmt: skip
# A dairy word behind one of these is the word for what is made of the plant ("almond yogurt"): milk is to be confirmed.
_PLANTS = frozenset((
    "almond", "cashew", "coconut", "hazelnut", "hemp", "nut", "oat", "pea", "peanut", "rice", "soy", "soya", "tofu",
))  # fmt: skip
_RANK = {"always": 0, "usual": 1, "possible": 2}


def hidden_for(name: str, table: HiddenTable) -> tuple[HiddenAllergen, ...]:
    """What the name may hide, surest first; () when nothing is known of it. Of one kind only the surest row is kept."""
    words = normalise(name).split()
    claims = not _CLAIMS.isdisjoint(words)
    found: dict[HiddenAllergen, None] = {}
    for start, phrase, places in _phrases(words, table):
        claimed = claims and _CLAIMS.isdisjoint(phrase.split())
        of_plant = start > 0 and words[start - 1] in _PLANTS
        for row in map(table.row, places):
            found[_softened(row) if claimed or (of_plant and row.group == "milk") else row] = None
    return _surest(list(found))


def _phrases(words: list[str], table: HiddenTable) -> list[tuple[int, str, tuple[int, ...]]]:
    """Phrases of the name that the table knows, with where they start, longest first; a word serves one phrase only."""
    taken = [False] * len(words)
    found: list[tuple[int, str, tuple[int, ...]]] = []
    for length in range(min(len(words), 6), 0, -1):
        for start in range(len(words) - length + 1):
            if any(taken[start : start + length]):
                continue
            phrase = " ".join(words[start : start + length])
            known = phrase in table.by_name
            if known or phrase in table.exceptions:
                taken[start : start + length] = [True] * length
                if known:
                    found.append((start, phrase, table.by_name[phrase]))
    return found


def _softened(row: HiddenAllergen) -> HiddenAllergen:
    if row.likelihood != "always":
        return row
    return replace(row, likelihood="usual", reason=f"{row.reason}; the name says otherwise, which no paper confirms")


def _surest(rows: list[HiddenAllergen]) -> tuple[HiddenAllergen, ...]:
    """Surest first. A row whose every kind stands in a surer one is left out; a group's own key says less than a kind of it."""
    kept: list[HiddenAllergen] = []
    held: set[str] = set()
    for row in sorted(rows, key=lambda each: _RANK[each.likelihood]):
        if held.issuperset(row.kinds):
            continue
        held.update(row.kinds)
        kept.append(row)
    return tuple(kept)
