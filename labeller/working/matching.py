"""Which food row an ingredient means. What is not settled is asked, with candidates; a candidate is never taken silently.

A row is settled by, in this order: the line itself (``food: "01077"``), the product's own row, ``matches.yaml``, the table of
kitchen names. Candidates and searches: :class:`labeller.working.matching_shelf.Shelf`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from msgspec import Struct

from labeller.terms.findings import Finding, Place, finding
from labeller.terms.foods import Candidate, KitchenName
from labeller.terms.kitchen import Match
from labeller.terms.words import normalise
from labeller.working.matching_shelf import Shelf

PINNED, PRODUCT, CONFIRMED, KITCHEN_NAME = (
    "pinned on the line", "row of the product", "confirmed in matches.yaml", "kitchen name",
)  # fmt: skip
NOT_ITS_OWN = "no row of its own"  # how the "why" of a kitchen name begins whose row is that of a near food


class Settled(Struct, frozen=True):
    """The row an ingredient means. code: as the food table has it ("01077", "fdc:173410"). how: what settled it, in words.
    single: the name is one plain ingredient that needs no paper. why: the choice where two rows are equally right.
    stand_in: the row is that of a near food (lobster for langoustine): good for figures, not for naming what it is."""

    code: str
    how: str
    single: bool
    why: str = ""
    stand_in: bool = False


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
        why = known.why if known and known.code == code else ""
        return Settled(code, how, _single(known, code, names), why, why.startswith(NOT_ITS_OWN)), ()
    if known is not None and food_exists(known.code):
        return Settled(known.code, KITCHEN_NAME, known.single, known.why, known.why.startswith(NOT_ITS_OWN)), ()
    return None, (_no_match(name, place, subject, names, shelf),)


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


def _no_match(
    name: str, place: Place, subject: str, names: Mapping[str, KitchenName], shelf: Callable[[], Shelf] | None
) -> Finding:
    near = shelf().candidates(name, 3, names) if shelf else ()
    rows = "; ".join(f"food: \"{each.code}\"  ({each.description})" for each in near)
    lines = f"put the right row on the line: {rows}; " if rows else "put a row on the line, such as  food: \"01077\"; "
    return finding("no-food-match", place, f"no row of food data is settled for \"{name}\"",
                   f"{lines}or type  labeller match  and choose once for the whole kitchen", subject)  # fmt: skip


def candidates(
    name: str, descriptions: Mapping[str, str], limit: int = 8, synonyms: Mapping[str, str] | None = None,
    names: Mapping[str, KitchenName] | None = None,
) -> tuple[Candidate, ...]:  # fmt: skip
    """:meth:`Shelf.candidates` for one name; whoever asks about many names makes one :class:`Shelf`."""
    return Shelf(descriptions, synonyms).candidates(name, limit, names)


def search(
    words: str, descriptions: Mapping[str, str], limit: int = 20, synonyms: Mapping[str, str] | None = None
) -> tuple[Candidate, ...]:
    """:meth:`Shelf.search` for one question."""
    return Shelf(descriptions, synonyms).search(words, limit)
