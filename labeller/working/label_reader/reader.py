"""From pieces and words to a reading: what stands as an ingredient, as a warning, as a doubt, as a denial."""

from __future__ import annotations

import re
from collections.abc import Sequence
from math import nextafter

from msgspec import Struct, field

from labeller.terms.allergens import LabelReading
from labeller.terms.lexicon import Entry, Lexicon
from labeller.working.label_reader import denials
from labeller.working.label_reader.pieces import Piece, cut
from labeller.working.label_reader.words import Match, Reading, read_words

LIST, MAY = "list", "may"
_STEERING = frozenset("may place may_after contains no non free deny but pointer pointer_end category plain origin".split())
_IMPLIED = frozenset(("product", "dish", "keep", "source"))
_OIL_WORDS = frozenset((
    "oil fat shortening margarine ol oel fett huile graisse matiere grasse olio grasso aceite grasa olie vet oleo olej "
    "tluszcz olja fedt"
).split())  # fmt: skip
_OIL_EXEMPTION = {"soybeans": "soy_oil"}
_RAW = frozenset("unrefined virgin crude expeller cold pressed lecithinated".split())
_GLUE = frozenset("from of based derived source de du des aus von di da uit van z ze on fra av".split())
_PREPOSITIONS = frozenset("in on at dans en im auf su op nel na w".split())
_SULPHITE_AMOUNT = re.compile(
    r"(?:so2|so₂|sul(?:ph|f)[a-z]*)\W{0,3}(?:dioxide|oxyde)?\D{0,25}?(<|>|less than|max\.?|under)?\s*(\d+(?:[.,]\d+)?)\s*(?:mg\s*/\s*(?:kg|l)|ppm)"
)


class _Tally(Struct):
    """What has been found so far; emptied into a LabelReading at the end."""

    contains: list[tuple[str, str, int, str]] = field(default_factory=list)  # kind, words, piece, role
    may: list[tuple[str, str, int, str]] = field(default_factory=list)
    unsettled: list[tuple[str, str]] = field(default_factory=list)
    exempt: list[tuple[str, str, str]] = field(default_factory=list)  # kind, words, key
    negated: list[str] = field(default_factory=list)
    unknown: list[str] = field(default_factory=list)


def read_label(text: str, lexicon: Lexicon) -> LabelReading:
    """What a printed ingredient text holds, may hold and denies, and by which words. Any text can be read; nothing is raised."""
    pieces = cut(text)
    readings = [read_words(piece.text, lexicon) for piece in pieces]
    children: dict[int, list[int]] = {}
    for number, piece in enumerate(pieces):
        if piece.parent >= 0:
            children.setdefault(piece.parent, []).append(number)
    whole_denied, skipped = _sentence_wide(pieces, readings)
    tally = _Tally()
    modes: dict[int, str] = {}
    ends: list[str] = []
    for number, piece in enumerate(pieces):
        start = modes.get(piece.sentence) or (ends[piece.parent] if piece.parent >= 0 else LIST)
        place = _Place(number, pieces, readings, children, lexicon)
        end = _read_piece(place, start, number in whole_denied, number in skipped, tally)
        modes[piece.sentence] = end
        ends.append(end)
    return _reading(tally, pieces, text, lexicon)


class _Place(Struct, frozen=True):
    """A piece among its neighbours."""

    number: int
    pieces: Sequence[Piece]
    readings: Sequence[Reading]
    children: dict[int, list[int]]
    lexicon: Lexicon

    @property
    def reading(self) -> Reading:
        return self.readings[self.number]

    @property
    def parent(self) -> Reading | None:
        above = self.pieces[self.number].parent
        return self.readings[above] if above >= 0 else None

    def inside(self) -> list[Reading]:
        """Readings of the pieces in the bracket that follows, those with a word only."""
        return [self.readings[n] for n in self.children.get(self.number, ()) if self.readings[n].plain]


def _sentence_wide(pieces: Sequence[Piece], readings: Sequence[Reading]) -> tuple[set[int], set[int]]:
    """Pieces wholly denied by one before or after them, and pieces that only point to the list ("for allergens, including
    cereals containing gluten, see ingredients in bold")."""
    denied: set[int] = set()
    pointing: dict[int, list[int]] = {}
    for number, reading in enumerate(readings):
        for match in reading.matches:
            role = match.entry.role
            if role in ("no", "free") or role == "deny":
                denied |= denials.denied_over_commas(pieces, readings, number)
            elif role in ("pointer", "pointer_end"):
                pointing.setdefault(pieces[number].sentence, []).append(number if role == "pointer" else -1 - number)
    skipped: set[int] = set()
    for marks in pointing.values():
        starts = [mark for mark in marks if mark >= 0]
        stops = [-1 - mark for mark in marks if mark < 0]
        if starts and stops:
            last = max(stops) if max(stops) >= starts[0] else len(pieces) - 1
            sentence = pieces[starts[0]].sentence
            skipped.update(n for n in range(starts[0], last + 1) if pieces[n].sentence == sentence)
    return denied, skipped


def _read_piece(place: _Place, mode: str, all_denied: bool, skipped: bool, tally: _Tally) -> str:
    """Adds a piece to the tally and returns the mode in which its sentence goes on."""
    reading = place.reading
    tally.unknown.extend(reading.unknown)
    if not reading.matches and not _has_number(reading):
        return mode
    matches = reading.matches
    denied = denials.denied_in(reading)
    if all_denied:
        denied |= {n for n, match in enumerate(matches) if match.entry.contains or match.entry.unsettled}
    off = denials.denied_kinds(matches, denied, place.lexicon)
    for inner in place.inside():
        off |= denials.denied_kinds(inner.matches, denials.denied_in(inner), place.lexicon) if inner.matches else frozenset()
    backwards = max((m.first for m in matches if m.entry.role == "may_after"), default=-1)
    places = [_place_start(reading, m) for m in matches if m.entry.role == "place"]
    for number, match in enumerate(matches):
        entry = match.entry
        if entry.role == "may":
            mode = MAY
        elif entry.role == "contains" and not (mode == MAY and _relative(reading, match)):
            mode = LIST
        elif number in denied:
            if match.words:
                tally.negated.append(match.words)
        elif entry.role not in _STEERING and not (skipped and entry.role in denials.PURE):
            warned = mode == MAY or match.first < backwards or any(0 <= p <= match.first for p in places)
            _add(place, match, MAY if warned else LIST, off, tally)
    for entry, words in _additives(place):
        _add(place, Match(0, len(reading.tokens), entry, words), mode, off, tally)
    return MAY if any(p >= 0 for p in places) else mode


def _place_start(reading: Reading, match: Match) -> int:
    """Where "in a factory that …" begins, -1 when no preposition stands before the place."""
    for token in range(match.first - 1, max(-1, match.first - 8), -1):
        if reading.tokens[token] in _PREPOSITIONS:
            return token
    return -1


def _relative(reading: Reading, match: Match) -> bool:
    """ "… that also contains": the verb belongs to the place, it opens no list."""
    return match.first > 0 and reading.tokens[match.first - 1] in ("that", "which", "also", "and", "qui", "che", "que", "die")


def _has_number(reading: Reading) -> bool:
    return any(token.isdigit() for token in reading.tokens)


def _additives(place: _Place) -> list[tuple[Entry, str]]:
    """Additives given by their bare number after or inside a class name: "emulsifier (322)", "preservative 223"."""
    reading = place.reading
    numbers = [token for token in reading.tokens if token.isdigit() and f"e{token}" in place.lexicon.phrases]
    if not numbers:
        return []
    near = [reading, place.parent]
    if place.pieces[place.number].before == ":" and place.number:
        near.append(place.readings[place.number - 1])
    if any(match.entry.role == "category" for other in near if other for match in other.matches):
        return [(place.lexicon.phrases[f"e{token}"], place.pieces[place.number].text) for token in numbers]
    return []


def _add(place: _Place, match: Match, mode: str, off: frozenset[str], tally: _Tally) -> None:
    entry, words = match.entry, match.words
    if entry.variant and _speaks(place, entry.variant.language):
        entry = entry.variant
    if entry.unsure and not _speaks(place, entry.language):
        return
    implied = entry.role in _IMPLIED
    contains = [kind for kind in entry.contains if not (implied and kind in off)]
    unsettled = [kind for kind in entry.unsettled if kind not in off]
    inside = place.inside() if place.number in place.children else []
    if entry.role == "dish" and contains and _names_plant_above(place, match):
        contains, unsettled = [], contains + unsettled
    if inside and entry.role not in ("keep", "name", "whole"):
        unsettled, contains = _settled(place, entry, contains, unsettled, inside)
    kept = tally.contains if mode == LIST else tally.may
    kept.extend((kind, words, place.number, entry.role) for kind in contains)
    tally.unsettled.extend((kind, words) for kind in unsettled)
    if mode == LIST:
        exempt = _exempt(place, match._replace(entry=entry), inside)
        tally.exempt.extend((kind, words, key) for kind, key in exempt if kind in contains or kind in unsettled)


def _names_plant_above(place: _Place, match: Match) -> bool:
    """ "Okra (lady's fingers)", "chickpea (pasta)": the bracket says again, or in what form, what the plant above it is."""
    above = place.parent
    if not above or match.after - match.first != len(place.reading.tokens):
        return False
    last = above.matches[-1] if above.matches else None
    return last is not None and last.entry.role == "origin" and last.after - last.first == len(above.tokens)


def _speaks(place: _Place, language: str) -> bool:
    """True where the text has other words of that language (for "en": no words of another)."""
    languages = place.lexicon.languages
    seen = {languages[token] for reading in place.readings for token in reading.tokens if token in languages}
    return not seen if language == "en" else not seen.isdisjoint(language.split("/"))


def _settled(place: _Place, entry: Entry, contains: list[str], unsettled: list[str], inside: Sequence[Reading]):
    """What is left of a class word's or a dish's doubts when a bracket says more."""
    named = {kind for reading in inside for match in reading.matches for kind in match.entry.contains}
    origin = any(match.entry.role == "origin" for reading in inside for match in reading.matches)
    if len(inside) > 1 or (entry.role in ("source", "oilsource") and (named or origin)):
        unsettled = []
    if entry.role == "dish" and (len(inside) > 1 or origin):
        groups = place.lexicon.groups
        held = {groups[kind] for kind in _kinds_below(place, place.number)}
        lost = [kind for kind in contains if groups[kind] not in held]
        contains = [kind for kind in contains if kind not in lost]
        unsettled = unsettled + (lost if len(inside) > 1 else [])
    return unsettled, contains


def _kinds_below(place: _Place, number: int) -> set[str]:
    kinds: set[str] = set()
    for child in place.children.get(number, ()):
        kinds.update(kind for match in place.readings[child].matches for kind in match.entry.contains)
        kinds |= _kinds_below(place, child)
    return kinds


def _exempt(place: _Place, match: Match, inside: Sequence[Reading]) -> list[tuple[str, str]]:
    """(kind, key of exemption) that a match earns by itself, by the class word beside or above it, or as an oil."""
    entry, reading = match.entry, place.reading
    beside = set(reading.tokens).union(*(other.tokens for other in inside)) if inside else set(reading.tokens)
    if entry.role == "oil":
        if beside & _RAW:
            return []
        if "refined" in beside and beside & {"fully", "highly"}:
            return [(kind, key if key.endswith("_refined") else key + "_refined") for kind, key in entry.exempt]
        return list(entry.exempt)
    found = list(entry.exempt)
    if entry.role == "whole":
        found += [pair for source in _sources(place, match) for pair in source.exempt]
        if _in_oil(place, match):
            found += [(kind, _OIL_EXEMPTION.get(kind, "other_oil")) for kind in entry.contains]
    elif entry.role == "name" and place.parent:
        found += [pair for m in place.parent.matches if m.entry.role == "source" for pair in m.entry.exempt if pair[0] == "fish"]
    return found


def _sources(place: _Place, match: Match) -> list[Entry]:
    """Class words ("glucose syrup") whose source a match names: above it, right after it, or before it over "from"."""
    found = []
    if place.parent and len(place.reading.tokens) == match.after - match.first:
        found += [m.entry for m in place.parent.matches[-1:] if m.entry.role == "source"]
    tokens = place.reading.tokens
    for other in place.reading.matches:
        if other.entry.role == "source":
            between = tokens[other.after : match.first]
            if other.first == match.after or (other.after <= match.first and between and _GLUE.issuperset(between)):
                found.append(other.entry)
    return found


def _in_oil(place: _Place, match: Match) -> bool:
    """True for the bare name of a plant that stands for its oil: "oil (soybean)", "soybean and canola oil"."""
    if not (place.lexicon.groups.get(match.entry.contains[0]) in ("soybeans", "peanuts", "tree_nuts")):
        return False
    if place.parent and _OIL_WORDS.intersection(place.parent.tokens) and _only_oils(place.reading, 0):
        return True
    tokens = place.reading.tokens
    rest = tokens[match.after :]
    if rest and rest[0] in denials.JOINING and _OIL_WORDS.intersection(rest) and _only_oils(place.reading, match.first):
        return True
    return _oil_over_commas(place, match)


def _only_oils(reading: Reading, first: int) -> bool:
    """No word after ``first`` makes it more than an oil (flour, protein, lecithin …)."""
    return all(m.entry.role in ("oil", "whole", "origin", "oilsource", "plain", "source") for m in reading.matches if m.first >= first)


def _oil_over_commas(place: _Place, match: Match) -> bool:
    """ "Soybean, canola and palm oil": bare plants up to the piece that ends in oil."""
    if match.after - match.first != len(place.reading.tokens):
        return False
    sentence = place.pieces[place.number].sentence
    for number in range(place.number + 1, len(place.pieces)):
        reading = place.readings[number]
        if place.pieces[number].sentence != sentence or place.pieces[number - 1].after != ",":
            return False
        if not any(m.entry.role == "origin" for m in reading.matches) or not _only_oils(reading, 0):
            return False
        if reading.tokens[-1] in _OIL_WORDS:
            return len(reading.tokens) > 2 and bool(denials.JOINING.intersection(reading.tokens))
    return False


def _reading(tally: _Tally, pieces: Sequence[Piece], text: str, lexicon: Lexicon) -> LabelReading:
    contains = _finest(tally.contains, pieces, lexicon)
    may = _finest(tally.may, pieces, lexicon)
    held = {kind for kind, _ in contains}
    laws = [
        (kind, words, law, section, condition)
        for kind, words, key in dict.fromkeys(tally.exempt)
        for law, section, condition in lexicon.exemptions.get(key, ())
    ]
    return LabelReading(
        contains=contains,
        may_contain=may,
        unsettled=tuple(pair for pair in dict.fromkeys(tally.unsettled) if pair[0] not in held),
        exempt=tuple(dict.fromkeys(row[:4] for row in laws if not row[4])),
        negated=tuple(dict.fromkeys(tally.negated)),
        unknown=tuple(dict.fromkeys(tally.unknown)),
        sulphites_mg_per_kg=_sulphites(text) if "sulphites" in held else None,
        conditional=tuple(dict.fromkeys((*row[:3], f"{row[3]}: {row[4]}") for row in laws if row[4])),
    )


def _finest(found: list[tuple[str, str, int, str]], pieces: Sequence[Piece], lexicon: Lexicon) -> tuple[tuple[str, str], ...]:
    """(kind, words) without the group's own name where the same bracket or piece names which of the group it is."""
    groups = lexicon.groups
    finer: dict[str, set[int]] = {}
    for kind, _, piece, _ in found:
        if groups[kind] != kind:
            finer.setdefault(groups[kind], set()).add(piece)
    kept = []
    for kind, words, piece, role in found:
        near = finer.get(kind)
        if role == "group" and near and any(_linked(pieces, piece, other) for other in near):
            continue
        kept.append((kind, words))
    return tuple(dict.fromkeys(kept))


def _linked(pieces: Sequence[Piece], one: int, other: int) -> bool:
    """Same piece, or one stands in the other's bracket."""
    return one == other or pieces[one].parent == other or pieces[other].parent == one


def _sulphites(text: str) -> float | None:
    """A figure in mg/kg or mg/l beside a sulphite word; "<10" is a value just below 10."""
    lowered = text.lower()
    if "mg" not in lowered and "ppm" not in lowered:
        return None
    found = _SULPHITE_AMOUNT.search(lowered)
    if not found:
        return None
    amount = float(found[2].replace(",", "."))
    return nextafter(amount, 0) if found[1] in ("<", "less than", "under") else amount
