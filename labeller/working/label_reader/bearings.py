"""What its neighbours say about a word: the bracket behind a dish, the class word above a source, the oil around a plant."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from labeller.terms.lexicon import Entry, Lexicon
from labeller.working.label_reader import denials
from labeller.working.label_reader.pieces import Pieces
from labeller.working.label_reader.words import Match, Reading

_OIL_WORDS = frozenset(("oil", "fat", "shortening", "margarine", "ol", "oel", "fett", "huile", "graisse", "grasse", "grassi",
                        "olio", "oli", "grasso", "aceite", "grasa", "olie", "vet", "vetten", "oleo", "olej", "tluszcz", "olja",
                        "fedt", "fette"))  # fmt: skip
_OF_AN_OIL = frozenset(("oil", "whole", "origin", "oilsource", "plain", "source"))
_OILS_OF = frozenset(("soybeans", "peanuts", "tree_nuts"))
_RAW = frozenset(("unrefined", "virgin", "crude", "expeller", "cold", "lecithinated"))
_GLUE = frozenset(("from", "of", "based", "derived", "source", "de", "du", "des", "aus", "von", "di", "da", "uit", "van", "z",
                   "ze", "on", "fra", "av"))  # fmt: skip
_UNSETTLED_BY_NOTHING = frozenset(("keep", "name", "whole"))
_OF_A_CEREAL = frozenset(("grain", "dish"))
Kinds = tuple[str, ...]


class Spot(Struct, frozen=True):
    """A piece among its neighbours. inside: readings of the pieces in its bracket, those with a known word only."""

    number: int
    pieces: Pieces
    readings: Sequence[Reading]
    children: dict[int, list[int]]
    lexicon: Lexicon
    reading: Reading
    inside: Sequence[Reading]

    @property
    def parent(self) -> Reading | None:
        above = self.pieces.parent[self.number]
        return self.readings[above] if above >= 0 else None

    def speaks(self, language: str) -> bool:
        """True where the text has other words of one of these languages (for "en": no words of another)."""
        languages = self.lexicon.languages
        seen = {languages[token] for reading in self.readings for token in reading.tokens if token in languages}
        return not seen if language == "en" else not seen.isdisjoint(language.split("/"))


def settled(spot: Spot, match: Match, entry: Entry, contains: Kinds, unsettled: Kinds) -> tuple[Kinds, Kinds]:
    """What is left of an entry's kinds and doubts beside its neighbours.

    A bracket with two or more ingredients settles a dish and a class word; one with a single name settles a class word. What a
    dish holds by recipe, and its full list doesn't bear out, becomes a doubt, never nothing.
    """
    if entry.role == "dish" and contains and _names_plant_above(spot, match):
        return (), contains + unsettled
    inside = spot.inside
    if not inside or entry.role in _UNSETTLED_BY_NOTHING:
        return contains, unsettled
    if len(inside) == 1 and entry.role in _OF_A_CEREAL and _names_cereal(spot, inside[0]):
        if entry.role == "grain":
            return (), ()
        if "100" in inside[0].tokens:
            unsettled = ()
    named = any(match.entry.contains for reading in inside for match in reading.matches)
    origin = any("origin" in reading.roles for reading in inside)
    if len(inside) > 1 or (entry.role in ("source", "oilsource") and (named or origin)):
        unsettled = ()
    if entry.role in _OF_A_CEREAL and (len(inside) > 1 or origin):
        groups = spot.lexicon.groups
        held = {groups[kind] for kind in _kinds_below(spot, spot.number)}
        lost = tuple([kind for kind in contains if groups[kind] not in held])
        contains = tuple([kind for kind in contains if kind not in lost])
        unsettled += lost if len(inside) > 1 else ()
    return contains, unsettled


def _names_cereal(spot: Spot, inner: Reading) -> bool:
    """True where a bracket holds nothing but the name of a cereal or another plant: "malt (rice)", "flour (rye)"."""
    names = [match.entry for match in inner.matches if match.entry.role != "plain"]
    if len(names) != 1:
        return False
    groups = {spot.lexicon.groups[kind] for kind in names[0].contains}
    return names[0].role == "origin" or (names[0].role == "whole" and groups <= {"cereals_gluten", "other"})


def _names_plant_above(spot: Spot, match: Match) -> bool:
    """ "Okra (lady's fingers)", "chickpea (pasta)": the bracket says again, or in what form, what the plant above it is."""
    above = spot.parent
    if not above or not above.matches or match.after - match.first != len(spot.reading.tokens):
        return False
    last = above.matches[-1]
    return last.entry.role == "origin" and last.after - last.first == len(above.tokens)


def _kinds_below(spot: Spot, number: int) -> set[str]:
    kinds: set[str] = set()
    for child in spot.children.get(number, ()):
        kinds.update(kind for match in spot.readings[child].matches for kind in match.entry.contains)
        kinds |= _kinds_below(spot, child)
    return kinds


def exempt(spot: Spot, match: Match, entry: Entry) -> list[tuple[str, str]]:
    """(kind, key of exemption) that a match earns by itself, by the class word beside or above it, or as an oil."""
    if entry.role == "oil":
        return _exempt_oil(spot, entry)
    if entry.role == "whole":
        found = list(entry.exempt)
        for source in _sources(spot, match):
            found += source.exempt
        if _in_oil(spot, match, entry):
            found += [(kind, "soy_oil" if kind == "soybeans" else "other_oil") for kind in entry.contains]
        return found
    if entry.role == "name" and spot.parent and "source" in spot.parent.roles and "fish" in entry.contains:
        carried = [pair for other in spot.parent.matches for pair in other.entry.exempt if pair[0] == "fish"]
        return [*entry.exempt, *carried]
    return list(entry.exempt)


def _exempt_oil(spot: Spot, entry: Entry) -> list[tuple[str, str]]:
    beside = set(spot.reading.tokens).union(*(other.tokens for other in spot.inside))
    if beside & _RAW:
        return []
    if "refined" in beside and beside & {"fully", "highly"}:
        return [(kind, key if key.endswith("_refined") else f"{key}_refined") for kind, key in entry.exempt]
    return list(entry.exempt)


def _sources(spot: Spot, match: Match) -> list[Entry]:
    """Class words ("glucose syrup") whose source a match names: above it, right after it, or before it over "from"."""
    found = []
    tokens, matches = spot.reading.tokens, spot.reading.matches
    if spot.parent and len(tokens) == match.after - match.first:
        found += [other.entry for other in spot.parent.matches[-1:] if other.entry.role == "source"]
    if "source" in spot.reading.roles:
        for other in matches:
            between = tokens[other.after : match.first]
            led = other.after <= match.first and between and _GLUE.issuperset(between)
            if other.entry.role == "source" and (other.first == match.after or led):
                found.append(other.entry)
    return found


def _in_oil(spot: Spot, match: Match, entry: Entry) -> bool:
    """True for the bare name of a plant that stands for its oil: "oil (soybean)", "soybean and canola oil"."""
    if spot.lexicon.groups[entry.contains[0]] not in _OILS_OF:
        return False
    reading, parent = spot.reading, spot.parent
    if parent and not _OIL_WORDS.isdisjoint(parent.tokens) and _only_oils(reading, 0):
        return True
    if parent and _oil_follows_bracket(spot) and _only_oils(reading, 0):
        return True
    rest = reading.tokens[match.after :]
    if rest and rest[0] in denials.JOINING and not _OIL_WORDS.isdisjoint(rest) and _only_oils(reading, match.first):
        return True
    return _oil_over_commas(spot, match)


def _oil_follows_bracket(spot: Spot) -> bool:
    """ "Hydrogenated (soybean) oil": the word stands behind the bracket."""
    above = spot.pieces.parent[spot.number]
    behind = spot.children[above][-1] + 1
    if behind >= len(spot.pieces.text) or spot.pieces.parent[behind] != spot.pieces.parent[above]:
        return False
    tokens = spot.readings[behind].tokens
    return spot.pieces.before[behind] in (")", "]", "}") and bool(tokens) and tokens[0] in _OIL_WORDS


def _only_oils(reading: Reading, first: int) -> bool:
    """No word after ``first`` makes it more than an oil (flour, protein, lecithin …)."""
    return all(match.entry.role in _OF_AN_OIL for match in reading.matches if match.first >= first)


def _oil_over_commas(spot: Spot, match: Match) -> bool:
    """ "Soybean, canola and palm oil": bare plants up to the piece that ends in oil."""
    if match.after - match.first != len(spot.reading.tokens):
        return False
    sentence = spot.pieces.sentence[spot.number]
    for number in range(spot.number + 1, len(spot.pieces.text)):
        reading = spot.readings[number]
        if spot.pieces.sentence[number] != sentence or spot.pieces.after[number - 1] != ",":
            return False
        if "origin" not in reading.roles or not _only_oils(reading, 0):
            return False
        if reading.tokens[-1] in _OIL_WORDS:
            return not denials.JOINING.isdisjoint(reading.tokens)
    return False
