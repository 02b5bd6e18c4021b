"""Which words of a piece are a denial ("milk-free", "without egg or soya"), so that they never count as an ingredient.

A denial reaches as little as its grammar allows: the word it stands at, and others only over "and", "or", "nor". Over a comma
it reaches only where it opens its sentence, every piece up to the end names nothing but allergens, and the last is joined by
such a word ("free from milk, egg and nuts."). Anything else counts as an ingredient: a false alarm is asked about, a hidden
allergen is eaten.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from labeller.working.label_reader.pieces import Pieces

if TYPE_CHECKING:
    from labeller.working.label_reader.words import Match, Reading

DENYING = frozenset(("no", "non", "free", "deny"))
JOINING = frozenset(("and", "or", "nor", "und", "oder", "et", "ou", "y", "o", "e", "en", "of", "i", "lub", "a", "og", "och",
                     "eller", "ni", "ne", "ani"))  # fmt: skip
OR = frozenset(("or", "nor", "oder", "ou", "o", "of", "ni", "ani", "lub", "eller", "ne"))
_PASSED = frozenset(("any", "added", "artificial", "natural", "animal", "cow", "hen", "the", "an", "of", "de", "from", "trace",
                     "other", "source", "ingredient", "type", "kind", "form", "by", "product", "such", "as", "like", "all", "du",
                     "des", "la", "le", "les", "der", "die", "das", "den", "dem", "di", "del", "della", "het"))  # fmt: skip
_STRONG = frozenset(("contain", "containing", "free", "made", "prepared", "excluding"))
PURE = frozenset(("whole", "group", "name"))


def denied_in(piece: Reading) -> set[int]:
    """Numbers of the matches that are denied inside one piece."""
    denied: set[int] = set()
    by_first = {match.first: number for number, match in enumerate(piece.matches)}
    by_after = {match.after: number for number, match in enumerate(piece.matches)}
    twice: set[int] = set()  # "not nut free"
    for number, match in enumerate(piece.matches):
        role = match.entry.role
        if role == "no":
            denied |= _forward(piece, match.after, by_first)[0]
        elif role == "non":
            follower = by_first.get(match.after)
            if follower is not None and piece.matches[follower].entry.role in ("whole", "group"):
                denied.add(follower)
                if _free_follows(piece, piece.matches[follower].after, by_first):
                    twice.add(follower)
        elif role == "free":
            denied |= _backward(piece, match.first, by_after)
        elif role == "deny":
            denied.add(number)
            if piece.tokens[match.after - 1] == "free":
                denied |= _backward_joined(piece, match.first, by_after)
    return denied - twice


def _free_follows(piece: Reading, place: int, by_first: dict[int, int]) -> bool:
    number = by_first.get(place)
    return number is not None and piece.matches[number].entry.role == "free"


def _forward(piece: Reading, place: int, by_first: dict[int, int]) -> tuple[set[int], int]:
    """Matches denied by a word that ends before ``place``, and the first token that the denial doesn't reach."""
    denied: set[int] = set()
    tokens = piece.tokens
    while place < len(tokens):
        while place < len(tokens) and place not in by_first and tokens[place] in _PASSED:
            place += 1
        number = by_first.get(place)
        if number is not None:
            if piece.matches[number].entry.role in ("contains", "heading", "may", "traces", "but", "no", "place"):
                break
            denied.add(number)
            place = piece.matches[number].after
        else:
            place += 1
        if place < len(tokens) and tokens[place] in JOINING:
            place += 1
            continue
        break
    return denied, place


def _backward(piece: Reading, place: int, by_after: dict[int, int]) -> set[int]:
    number = by_after.get(place)
    if number is None:
        return set()
    return {number} | _backward_joined(piece, piece.matches[number].first, by_after)


def _backward_joined(piece: Reading, place: int, by_after: dict[int, int]) -> set[int]:
    denied: set[int] = set()
    while place > 1 and piece.tokens[place - 1] in JOINING:
        number = by_after.get(place - 1)
        if number is None:
            break
        denied.add(number)
        place = piece.matches[number].first
    return denied


def denied_over_commas(pieces: Pieces, readings: Sequence[Reading], at: int) -> set[int]:
    """Numbers of further pieces that the denial in piece ``at`` reaches as a whole."""
    reading = readings[at]
    opening = next((m for m in reading.matches if m.entry.role == "no"), None)
    if opening is None:
        return _before(pieces, readings, at)
    by_first = {match.first: number for number, match in enumerate(reading.matches)}
    if _forward(reading, opening.after, by_first)[1] < len(reading.tokens):
        return set()
    if at and pieces.sentence[at - 1] == pieces.sentence[at]:
        return set()  # only a denial that opens its sentence is a row of denials
    strong = any(token in _STRONG for token in reading.tokens[opening.first : opening.after])
    reached: list[int] = []
    for number in range(at + 1, len(pieces.text)):
        if pieces.sentence[number] != pieces.sentence[at] or pieces.after[number - 1] not in (",", ":", "/"):
            break
        if not _pure(readings[number]):
            return set()
        reached.append(number)
    if not reached:
        return set()
    joints = set(readings[reached[-1]].tokens) & JOINING
    return set(reached) if joints & OR or (strong and joints) or pieces.after[at] == ":" and strong else set()


def _before(pieces: Pieces, readings: Sequence[Reading], at: int) -> set[int]:
    """ "Wheat, dairy and nut free": pieces before the one that ends in "free", when they open the sentence."""
    tokens = readings[at].tokens
    slashes = pieces.before[at] == "/"
    if not tokens or tokens[-1] != "free" or pieces.after[at] == "," or not (slashes or JOINING.intersection(tokens)):
        return set()
    reached: set[int] = set()
    for number in range(at - 1, -1, -1):
        if pieces.sentence[number] != pieces.sentence[at]:
            break
        if pieces.after[number] != ("/" if slashes else ",") or not _pure(readings[number]):
            return set()
        reached.add(number)
    return reached


def _pure(reading: Reading) -> bool:
    """True where a piece names allergens and nothing else."""
    covered = sum(m.after - m.first for m in reading.matches if m.entry.role in PURE)
    joints = sum(token in JOINING or token in _PASSED for token in reading.tokens)
    return covered > 0 and covered + joints >= len(reading.tokens)


def denied_kinds(matches: Sequence[Match], denied: set[int], groups: Mapping[str, str]) -> frozenset[str]:
    """Kinds that the denied matches take off products and dishes beside them; a group's key takes off the whole group.
    A denied derivative ("lactose-free") takes off nothing but itself."""
    kinds: set[str] = set()
    for number in denied:
        entry = matches[number].entry
        if entry.role in ("whole", "group"):
            kinds.update(entry.contains)
        kinds.update(entry.denies)
    whole = {kind for kind in kinds if groups.get(kind) == kind}
    return frozenset(kinds | {kind for kind, group in groups.items() if group in whole})
