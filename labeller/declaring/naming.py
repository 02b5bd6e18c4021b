"""How a law wants an allergen named, and where its name stands inside an ingredient's own name."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from labeller.declaring.states import group_of, name_of
from labeller.terms.allergens import GROUPS, Kind
from labeller.terms.law_lists import INGREDIENT, LawList
from labeller.terms.laws import Law, Words
from labeller.terms.record import Run

_ANY = "none"  # the law that is no law lists every kind


class Names:
    """Names of allergens under one law in one language. ``lists`` holds the laws' lists (see ``reading.law_lists``)."""

    def __init__(self, law: Law, words: Words, kinds: Mapping[str, Kind], lists: Mapping[str, LawList]) -> None:
        self.law, self.words, self.kinds = law, words, kinds
        self._list = lists.get(law.key)

    def listed(self, kind: str) -> tuple[str, ...]:
        """The kinds under which the law lists this one: the kind itself where it is covered as it is; () when it doesn't."""
        if self.law.key == _ANY:
            return (kind,)
        if self._list is None:
            return ()
        found = self._list.kinds_of(kind)
        if not found and kind in self._list.maybe:  # "cereals containing gluten" where only wheat is listed: named, not left out
            return (kind,)
        return found

    def ingredient_only(self, kind: str) -> bool:
        """True where the law wants the kind in the list of ingredients and does not count it as an allergen (US: sulphites)."""
        entries = self._list.entries if self._list else ()
        return any(entry.duty == INGREDIENT and kind in (entry.kind, *entry.covers) for entry in entries)

    def exempt(self, exempt: Iterable[tuple[str, str]]) -> frozenset[str]:
        """Kinds of an ingredient that the law exempts. Pairs are (law, kind)."""
        laws = {self.law.key, self.law.rests_on}
        return frozenset(kind for law, kind in exempt if law in laws)

    def keys(self, kind: str) -> tuple[str, ...]:
        """Keys by which the law names a kind: its group ("fish"), itself ("hazelnut"), or what it falls under (spelt: wheat)."""
        group = group_of(kind, self.kinds)
        if self.law.naming.level.get(group, "kind") == "group":
            return (group,)
        listed = self.listed(kind)
        return (kind,) if not listed or kind in listed or set(listed) & set(GROUPS) else listed

    def words_of(self, kind: str) -> tuple[str, ...]:
        """The law's printed words for a kind."""
        own = self.law.naming.names
        return tuple([own.get(key) or name_of(key, self.words, self.kinds) for key in self.keys(kind)])

    def summary(self, kinds: Iterable[str]) -> tuple[str, ...]:
        """Words of a Contains line, each once, for the kinds that the law lists."""
        words: list[str] = []
        for kind in kinds:
            for key in self.keys(kind) if self.listed(kind) else ():
                words += self.law.naming.summary.get(key) or self.words_of(key)
        return tuple(dict.fromkeys(words))

    def in_order(self, kinds: Iterable[str]) -> list[str]:
        """In the order of the groups, kinds of one group as recorded."""
        order = {group: nr for nr, group in enumerate(GROUPS)}
        return sorted(dict.fromkeys(kinds), key=lambda kind: order.get(group_of(kind, self.kinds), len(order)))

    def own_words(self, kind: str) -> tuple[str, ...]:
        """A kind's own name and by-names, whatever the law calls it ("spelt" where the law says wheat)."""
        known = self.kinds.get(kind)
        return (known.name, *known.also) if known else ()

    def kind_missing(self, kind: str) -> bool:
        """True where the law wants the species or kind and only the group is known."""
        return kind in self.law.naming.species_needed and bool(self.listed(kind))

    def by_additive(self, kind: str) -> tuple[str, ...]:
        """Words inside an additive's name that name this kind ("metabisulphite")."""
        return self.words.spots.get(f"{kind} by additive", ())

    def spots(self, kind: str) -> tuple[str, ...]:
        """Words inside an ingredient's name that name this kind as the law wants it, longest first."""
        found = {*self.words_of(kind)}.union(*[self.words.spots.get(key, ()) for key in self.keys(kind)], self.by_additive(kind))
        if self.words.language == "en":
            found |= _english(found)
        return tuple(sorted(found, key=len, reverse=True))


def _english(found: set[str]) -> set[str]:
    """Singular and plural."""
    more = {f"{word}s" for word in found} | {f"{word[:-1]}ies" for word in found if word.endswith("y")}
    return more | {word[:-1] for word in found if word.endswith("s") and not word.endswith("ss")}


def set_off(text: str, spots: Iterable[str]) -> tuple[Run, ...]:
    """The text in runs: each whole word (or words) of ``spots`` emphasised, wherever it stands, in any case."""
    marks: list[tuple[int, int]] = []
    lower = text.lower()
    for spot in spots:
        for start, end in _whole_words(spot.lower(), lower):
            if all(end <= taken or start >= until for taken, until in marks):
                marks.append((start, end))
    runs, done = [], 0
    for start, end in sorted(marks):
        runs += [Run(text[done:start]), Run(text[start:end], True)]
        done = end
    runs.append(Run(text[done:]))
    return tuple(run for run in runs if run.text)


def _whole_words(spot: str, text: str) -> Iterator[tuple[int, int]]:
    """Where the word or words stand whole (a pattern for each word would cost more to compile than to look)."""
    start = text.find(spot)
    while start >= 0:
        end = start + len(spot)
        if not text[start - 1 : start].isalnum() and not text[end : end + 1].isalnum():
            yield start, end
        start = text.find(spot, end)


def joined(runs: Iterable[Run]) -> tuple[Run, ...]:
    """Neighbours of one style made into one run."""
    out: list[Run] = []
    for run in runs:
        if out and out[-1].emphasis == run.emphasis:
            out[-1] = Run(out[-1].text + run.text, run.emphasis)
        elif run.text:
            out.append(run)
    return tuple(out)
