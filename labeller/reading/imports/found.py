"""What an import has found, before it is written: recipes, their lines, and what has to be asked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from labeller.reading.amounts import read_amount
from labeller.terms.findings import NOWHERE, Place

Value = "str | list[str] | dict[str, str] | list[dict[str, str]]"  # what may stand behind a key


class Settled(NamedTuple):
    """An amount as it will be typed, and the question where it can't be read in one way (then it is typed as it stood)."""

    typed: str
    asked: str = ""


@dataclass(frozen=True, slots=True)
class FoundLine:
    """One line. stood: as it stood. name: of the ingredient, "" for a heading. keys: keys of a line (``amount``, ``note`` …) and
    their values as typed. asked: what has to be asked. place: where it stood."""

    stood: str
    name: str = ""
    keys: tuple[tuple[str, str], ...] = ()
    asked: tuple[str, ...] = ()
    place: Place = NOWHERE


@dataclass(frozen=True, slots=True)
class FoundRecipe:
    """One recipe. kind: ``recipe``, ``dish`` or ``pack``. fields: keys of the entry and their values, in order. remarks: words
    kept as remarks of the new file. asked: what has to be asked of the recipe as a whole. left_out: words for what the kitchen's
    files have no place for, told once."""

    name: str
    lines: tuple[FoundLine, ...]
    place: Place
    kind: str = "recipe"
    fields: tuple[tuple[str, object], ...] = ()
    remarks: tuple[str, ...] = ()
    asked: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()


def settle_amount(text: str) -> Settled:
    """An amount from elsewhere. A decimal comma that can be nothing else ("1,5 l") becomes a point; all else that the grammar of
    amounts asks about is typed as it stood, so that ``check`` goes on asking."""
    typed = " ".join(text.split())
    amount, asked = read_amount(typed)
    if asked is None:
        return Settled(typed)
    if asked.code == "amount-comma" and len(asked.type_this) == 1 and read_amount(asked.type_this[0])[1] is None:
        return Settled(asked.type_this[0])
    offered = f"; type {' or '.join(asked.type_this)}" if asked.type_this else ""
    return Settled(typed, f"{asked.what}{offered}") if amount is None else Settled(typed, asked.what)


def yield_fields(text: str) -> tuple[tuple[tuple[str, str], ...], str]:
    """What a recipe says it comes to: ("serves" or "makes", value) as the kitchen's files write it, and what has to be asked.

    "Serves 4", "4 servings" and "4" are portions; "24 biscuits" and "640 g" are what it makes.
    """
    from labeller.reading.imports.words import FOR_WORDS, MAKES_WORDS, PORTION_WORDS, SERVES_WORDS

    clean = " ".join(text.replace("–", "-").split()).strip(" .:")
    low = clean.lower()
    serves = next((word for word in (*SERVES_WORDS, *FOR_WORDS) if low.startswith(word)), "")
    makes = next((word for word in MAKES_WORDS if low.startswith(word)), "")
    bare = clean[len(serves or makes) :].strip(" .:")
    words = bare.split(" ", 1)
    amount, asked = read_amount(bare)
    if amount is None or asked or amount.vague:
        return (), f'"{text}" does not say in one way how much it makes; write serves: or makes:'
    people = len(words) > 1 and words[1].lower().strip(" .()") in PORTION_WORDS
    if amount.unit == "piece" and (serves or people or not amount.piece_word):
        count = bare.split(" ")[0] if people or not amount.piece_word else bare
        if makes and not people:
            return (("makes", f"{count} pieces"),), ""
        return (("serves", count),), ""
    return (("makes", bare),), ""
