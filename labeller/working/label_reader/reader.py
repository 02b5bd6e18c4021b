"""From pieces and words to a reading: what stands as an ingredient, as a warning, as a doubt, as a denial."""

from __future__ import annotations

import re
from collections.abc import Container, Sequence
from math import inf, nextafter

from msgspec import Struct, field

from labeller.terms.allergens import LabelReading
from labeller.terms.lexicon import Entry, Lexicon
from labeller.working.label_reader import bearings, denials
from labeller.working.label_reader.bearings import Spot
from labeller.working.label_reader.pieces import Pieces, cut
from labeller.working.label_reader.words import ALWAYS, QUIET, Match, Reading, read_words

LIST, MAY = "list", "may"
_EMPTY: tuple[Reading, ...] = ()
_SENTENCE_WIDE = denials.DENYING | {"pointer", "pointer_end"}
_PLACING = frozenset(("place", "may_after", "traces"))
_WARNING = frozenset(("may", "traces"))
_STEERING = _SENTENCE_WIDE | _PLACING | _WARNING | {"contains", "heading", "but"} | QUIET
_IMPLIED = frozenset(("product", "dish", "grain", "keep", "source"))
_PREPOSITIONS = frozenset(("in", "on", "at", "dans", "en", "im", "auf", "su", "op", "nel", "na", "w", "sur", "dan"))
_DOINGS = frozenset((
    "that", "which", "where", "also", "with", "handling", "using", "processing", "containing", "producing", "handle", "process",
    "use", "used", "produce", "make", "present", "contain",
    "qui", "ou", "utilisant", "utilise", "egalement", "aussi", "manipulant",
    "che", "dove", "anche", "utilizza", "lavora", "donde", "que", "se", "tambien", "utiliza",
    "waar", "ook", "die", "dat", "wo", "dem", "der", "auch", "welchem",
    "gdzie", "ktorym", "uzywa", "som", "dar", "hvor", "jossa", "kde", "ahol", "unde",
))  # fmt: skip
_ENGLISH_TOO = frozenset(("rape", "rag", "rug", "sir", "ton", "tun", "bar"))  # words of English lists, no allergen there
_RELATIVES = frozenset(("that", "which", "also", "qui", "che", "que", "die"))
_SULPHITE_AMOUNT = re.compile(
    r"(?:so2|so₂|sul(?:ph|f)[a-z]*)[\s(-]{0,3}(?:dioxide|oxyde)?\D{0,25}?(<|>|less than|max\.?|under|more than|over|above)?"
    r"\s*(\d+(?:[.,]\d+)?)\s*(?:mg\s*/\s*(?:kg|l)|ppm)"
)


class _Tally(Struct):
    """What has been found so far; emptied into a LabelReading at the end. contains, may: kind, words, piece, role."""

    contains: list[tuple[str, str, int, str]] = field(default_factory=list)
    may: list[tuple[str, str, int, str]] = field(default_factory=list)
    unsettled: list[tuple[str, str]] = field(default_factory=list)
    exempt: list[tuple[str, str, str]] = field(default_factory=list)  # kind, words, key
    negated: list[str] = field(default_factory=list)
    unknown: list[str] = field(default_factory=list)


def read_label(text: str, lexicon: Lexicon) -> LabelReading:
    """What a printed ingredient text holds, may hold and denies, and by which words. Any text can be read; nothing is raised."""
    pieces = cut(text)
    readings = [read_words(piece, lexicon) for piece in pieces.text]
    children: dict[int, list[int]] = {}
    for number, parent in enumerate(pieces.parent):
        if parent >= 0:
            children.setdefault(parent, []).append(number)
    whole_denied, skipped = _sentence_wide(pieces, readings)
    tally = _Tally()
    modes: dict[int, str] = {}
    ends: list[str] = []
    for number, (reading, sentence, parent) in enumerate(zip(readings, pieces.sentence, pieces.parent, strict=True)):
        mode = modes.get(sentence) or (ends[parent] if parent >= 0 else LIST)
        if reading.unknown:
            tally.unknown.extend(reading.unknown)
        if reading.loud:
            plain = reading.clear and number not in children and (parent < 0 or reading.clear == ALWAYS)
            if plain and mode == LIST and number not in skipped and number not in whole_denied:
                tally.contains.extend([(kind, words, number, role) for kind, words, role in reading.said])
                tally.unsettled.extend(reading.doubted)
            else:
                inside = [readings[n] for n in children[number] if readings[n].known] if number in children else _EMPTY
                spot = Spot(number, pieces, readings, children, lexicon, reading, inside)
                mode = _read_piece(spot, mode, number in whole_denied, number in skipped, tally)
        modes[sentence] = mode
        ends.append(mode)
    return _reading(tally, pieces, text, lexicon)


def _sentence_wide(pieces: Pieces, readings: Sequence[Reading]) -> tuple[set[int], set[int]]:
    """Pieces wholly denied by one before or after them, and pieces that only point to the list ("for allergens, including
    cereals containing gluten, see ingredients in bold")."""
    denied: set[int] = set()
    starts: dict[int, int] = {}
    stops: dict[int, int] = {}
    for number, reading in enumerate(readings):
        if not reading.loud or reading.roles.isdisjoint(_SENTENCE_WIDE):
            continue
        if not reading.roles.isdisjoint(denials.DENYING):
            denied |= denials.denied_over_commas(pieces, readings, number)
        if "pointer" in reading.roles:
            starts.setdefault(pieces.sentence[number], number)
        if "pointer_end" in reading.roles:
            stops[pieces.sentence[number]] = number
    skipped: set[int] = set()
    for sentence, first in starts.items():
        if sentence in stops:
            last = stops[sentence] if stops[sentence] >= first else len(pieces.text) - 1
            skipped.update(n for n in range(first, last + 1) if pieces.sentence[n] == sentence)
    return denied, skipped


def _read_piece(spot: Spot, mode: str, all_denied: bool, skipped: bool, tally: _Tally) -> str:
    """Adds a piece to the tally and returns the mode in which its sentence goes on."""
    reading = spot.reading
    denied: Container[int] = range(len(reading.matches)) if all_denied else reading.denied
    if any(match.entry.role == "may" and "guarantee" in match.words.lower() for match in reading.matches):
        denied = ()  # "cannot guarantee nut free" is no denial
    off = reading.off.union(*[inner.off for inner in spot.inside]) if spot.inside else reading.off
    before, after = _warned(reading) if not reading.roles.isdisjoint(_PLACING) else (-1, len(reading.tokens))
    for number, match in enumerate(reading.matches):
        role = match.entry.role
        if role in _WARNING or _opens_list(spot, match, mode):
            mode = MAY if role in _WARNING else LIST
        elif number in denied:
            if role not in QUIET:
                tally.negated.append(match.words)
        elif role not in _STEERING and not (skipped and role in denials.PURE):
            warned = mode == MAY or match.first < before or match.first >= after
            _add(spot, match, warned, off, tally)
    for entry, words in _additives(spot) if reading.numbers else ():
        _add(spot, Match(0, len(reading.tokens), entry, words), mode == MAY, off, tally)
    return MAY if after < len(reading.tokens) else mode


def _warned(reading: Reading) -> tuple[int, int]:
    """Tokens before the first number ("nuts may be present", "nut traces") and from the second on ("made in a factory that …")
    are a warning."""
    last = len(reading.tokens)
    ends = [m.first for m in reading.matches if m.entry.role == "may_after" or (m.entry.role == "traces" and m.after == last)]
    before = max(ends, default=-1)
    starts = [_place_start(reading, match) for match in reading.matches if match.entry.role == "place"]
    return before, min((start for start in starts if start >= 0), default=len(reading.tokens))


def _place_start(reading: Reading, match: Match) -> int:
    """Where "in a factory that …" begins; -1 when no preposition stands before the place or nothing says what is done there."""
    if _DOINGS.isdisjoint(reading.tokens[match.first :]) and not match.words.lower().startswith(("shared", "same")):
        return -1
    for token in range(match.first - 1, max(-1, match.first - 8), -1):
        if reading.tokens[token] in _PREPOSITIONS:
            return token
    return -1


def _opens_list(spot: Spot, match: Match, mode: str) -> bool:
    """True for a heading ("Ingredients:") and for a verb ("contains") that belongs to no "factory that also contains"."""
    if match.entry.role == "heading":
        return match.first == 0 or (match.after == len(spot.reading.tokens) and spot.pieces.after[spot.number] == ":")
    if match.entry.role != "contains":
        return False
    return mode != MAY or match.first == 0 or spot.reading.tokens[match.first - 1] not in _RELATIVES


def _additives(spot: Spot) -> list[tuple[Entry, str]]:
    """Additives given by their bare number after or inside a class name: "emulsifier (322)", "preservative 223"."""
    reading, phrases = spot.reading, spot.lexicon.phrases
    near = [reading, spot.parent]
    if spot.number and (spot.pieces.before[spot.number] == ":" or reading.tokens == reading.numbers):
        near.append(spot.readings[spot.number - 1])
    if any("category" in other.roles for other in near if other):
        return [(phrases[f"e{token}"], spot.pieces.text[spot.number]) for token in reading.numbers]
    return []


def _add(spot: Spot, match: Match, warned: bool, off: frozenset[str], tally: _Tally) -> None:
    entry, words = match.entry, match.words
    if entry.variant and spot.speaks(entry.variant.language):
        entry = entry.variant
    if entry.unsure and not spot.speaks(entry.language):
        if _stands_alone(spot, match, entry):
            tally.unsettled += [(kind, words) for kind in entry.contains]
        return
    contains, unsettled = _left(entry, off, match, spot) if off else (entry.contains, entry.unsettled)
    contains, unsettled = bearings.settled(spot, match, entry, contains, unsettled)
    kept = tally.may if warned else tally.contains
    for kind in contains:
        kept.append((kind, words, spot.number, entry.role))
        if warned and spot.number >= spot.pieces.open_from:
            tally.contains.append((kind, words, spot.number, entry.role))
    for kind in unsettled:
        tally.unsettled.append((kind, words))
    if not warned:
        pairs = bearings.exempt(spot, match, entry)
        tally.exempt.extend([(kind, words, key) for kind, key in pairs if kind in contains or kind in unsettled])


def _stands_alone(spot: Spot, match: Match, entry: Entry) -> bool:
    """A short word of another language ("Ei", "room", "vis") that is an ingredient of its own in a list without another foreign
    word: no English food has that name, so that it is a doubt."""
    whole = match.after - match.first == len(spot.reading.tokens)
    return whole and entry.language != "en" and match.words.lower() not in _ENGLISH_TOO and spot.speaks("en")


def _left(entry: Entry, off: frozenset[str], match: Match, spot: Spot) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Kinds and doubts of an entry beside a denial: what a product holds by its name alone is taken off, but where its words
    name the allergen itself ("dairy-free milk chocolate") a doubt is left."""
    unsettled = tuple([kind for kind in entry.unsettled if kind not in off])
    if entry.role not in _IMPLIED:
        return entry.contains, unsettled
    left = tuple([kind for kind in entry.contains if kind not in off])
    named = {
        kind
        for token in spot.reading.tokens[match.first : match.after]
        if (word := spot.lexicon.phrases.get(token)) and word.role == "whole"
        for kind in word.contains
    }
    return left, (*unsettled, *[kind for kind in entry.contains if kind in off and kind in named])


def _reading(tally: _Tally, pieces: Pieces, text: str, lexicon: Lexicon) -> LabelReading:
    contains = _finest(tally.contains, pieces, lexicon)
    held = {kind for kind, _ in contains}
    laws = [
        (kind, words, law, section, condition)
        for kind, words, key in dict.fromkeys(tally.exempt)
        for law, section, condition in lexicon.exemptions.get(key, ())
    ]
    return LabelReading(
        contains=contains,
        may_contain=_finest(tally.may, pieces, lexicon),
        unsettled=tuple([pair for pair in dict.fromkeys(tally.unsettled) if pair[0] not in held]),
        exempt=tuple(dict.fromkeys([row[:4] for row in laws if not row[4]])),
        negated=tuple(dict.fromkeys(tally.negated)),
        unknown=tuple(dict.fromkeys(tally.unknown)),
        sulphites_mg_per_kg=_sulphites(text) if "sulphites" in held else None,
        conditional=tuple(dict.fromkeys([(*row[:3], f"{row[3]}: {row[4]}") for row in laws if row[4]])),
    )


def _finest(found: list[tuple[str, str, int, str]], pieces: Pieces, lexicon: Lexicon) -> tuple[tuple[str, str], ...]:
    """(kind, words) without the group's own name where the same bracket or piece names which of the group it is."""
    groups = lexicon.groups
    finer: dict[str, set[int]] = {}
    for kind, _, piece, _ in found:
        if groups[kind] != kind:
            finer.setdefault(groups[kind], set()).add(piece)
    kept = [
        (kind, words)
        for kind, words, piece, role in found
        if role != "group" or not any(_linked(pieces, piece, other) for other in finer.get(kind, ()))
    ]
    return tuple(dict.fromkeys(kept))


def _linked(pieces: Pieces, one: int, other: int) -> bool:
    """Same piece, or one stands in the other's bracket or behind its colon."""
    if one == other or pieces.parent[one] == other or pieces.parent[other] == one:
        return True
    return pieces.after[one] == ":" and other > one and pieces.sentence[one] == pieces.sentence[other]


def _sulphites(text: str) -> float | None:
    """A figure in mg/kg or mg/l beside a sulphite word; "<10" is a value just below 10, ">10" one just above."""
    lowered = text.lower()
    if "mg" not in lowered and "ppm" not in lowered:
        return None
    found = _SULPHITE_AMOUNT.search(lowered)
    if not found:
        return None
    amount = float(found[2].replace(",", "."))
    if found[1] in ("<", "less than", "under"):
        return nextafter(amount, 0)
    return nextafter(amount, inf) if found[1] in (">", "more than", "over", "above") else amount
