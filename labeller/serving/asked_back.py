"""Words of guests that no tick and no record of allergens answers alone: asked back, or for the kitchen to answer.

A word that means different things to different guests ("nuts") stands in ``reference/allergens/guest_words.yaml`` with its
choices. A diet, a faith, a state of health or how a thing is treated ("kosher", "pregnant", "raw egg") is never worked out from
allergens. All of it is common practice at the table, from memory.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from labeller.terms.floor import AskedBack, Avoid
from labeller.terms.words import normalise


class Refused(NamedTuple):
    """Words that are refused as something avoided. why, mend: for the command line. choices: words that can be asked instead;
    every one of them is in the guests' vocabulary, and on the floor page it is a tick."""

    words: tuple[str, ...]
    why: str
    mend: str
    choices: tuple[str, ...] = ()


REFUSED = {
    "diet": Refused(
        ("vegan", "vegetarian", "veggie", "plant based", "pescatarian", "pescetarian"),
        "diet words are never worked out from allergens: the kitchen has to say it of each dish",
        "ask the kitchen, or ask for what the guest avoids: {}", ("meat", "fish", "milk", "eggs", "honey", "gelatine", "rennet")),
    "faith": Refused(
        ("halal", "kosher", "haram", "treif"), "what a faith allows is never worked out from allergens",
        "ask the kitchen, or ask for what the guest avoids: {}", ("pork", "shellfish", "gelatine", "wine", "beer", "spirit")),
    "alcohol": Refused(
        ("alcohol", "no alcohol", "alcohol free"), "alcohol is a recorded fact, not an allergen",
        "labeller guest --ask alcohol for what remains; for what a dish is made with ask for: {}", ("wine", "beer", "spirit")),
    "pregnant": Refused(
        ("pregnant", "pregnancy", "expecting", "breastfeeding"), "each guest who is pregnant avoids other things",
        "ask the guest what she avoids, and the kitchen of each dish; labeller guest --ask raw gives what is on record of raw "
        "milk and raw egg; then ask for each thing by name"),
    "raw_egg": Refused(
        ("raw egg", "raw eggs", "runny egg", "runny eggs"), "how an egg is treated is a recorded fact, not an allergen",
        "ask the kitchen, and labeller guest --ask raw; for all egg ask for: {}", ("eggs",)),
    "raw_milk": Refused(
        ("raw milk", "unpasteurised milk", "unpasteurized milk", "unpasteurised", "unpasteurized", "unpasteurised cheese"),
        "how milk is treated is a recorded fact, not an allergen",
        "ask the kitchen, and labeller guest --ask raw; for all milk ask for: {}", ("milk",)),
    "raw": Refused(
        ("raw", "raw fish", "raw meat", "undercooked", "rare meat"), "what is raw is a recorded fact, not an allergen",
        "ask the kitchen, and labeller guest --ask raw"),
    "figures": Refused(
        ("low fat", "low salt", "low sugar", "low sodium", "low carb", "low calorie", "diabetic", "diabetes", "keto", "fodmap",
         "low fodmap"),
        "how much of something a dish holds is no yes or no",
        "ask the guest what must not be in it, and the kitchen of each dish"),
}  # fmt: skip


def words_of(row: Mapping) -> tuple[str, ...]:
    """Every word of a row of ``guest_words.yaml``."""
    return (row["word"], *row["also"])


def refused(word: str) -> Refused | None:
    """The row of a word, normalised; None where it is none of these."""
    return next((row for row in REFUSED.values() if word in map(normalise, row.words)), None)


def mend_of(row: Refused) -> str:
    return row.mend.format(", ".join(row.choices))


def asked_back(guest_words: Iterable[Mapping], ticks: Sequence[Avoid]) -> tuple[AskedBack, ...]:
    """What the floor page says to a word that names no tick alone, with the ticks that it leads to."""
    asks = [AskedBack(normalise(row["word"]), words_of(row), _ticks(row["choices"], ticks)) for row in guest_words if row["ask"]]
    return (*asks, *(AskedBack(key, row.words, _ticks(row.choices, ticks)) for key, row in REFUSED.items()))


def _ticks(choices: Iterable[str], ticks: Sequence[Avoid]) -> tuple[str, ...]:
    """Keys of the ticks that the choices name: by their name, else by a word of theirs."""
    found: dict[str, None] = {}
    for choice in map(normalise, choices):
        by_name = [each.key for each in ticks if normalise(each.name) == choice]
        by_word = [each.key for each in ticks if choice in map(normalise, each.words)]
        found |= dict.fromkeys((by_name or by_word)[:1])
    return tuple(found)
