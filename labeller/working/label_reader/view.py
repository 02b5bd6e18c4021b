"""A reading as one law sees it, and as JSON."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from labeller.terms.allergens import LabelReading
from labeller.terms.law_lists import LawList

ReasonsByKind = dict[str, list[str]]


def view(reading: LabelReading, law: LawList) -> dict[str, object]:
    """The answer of one law: ``contains``, ``may_contain`` (the law's kind -> words), ``unsettled`` (kind -> words; what to
    ask is the same under every law, so nothing is left out, and what is exempt only under a condition is added), ``exempt``
    (list of kind, words, section) and ``outside``: what the text holds and this law doesn't list, by state."""
    exempt = {(kind, words): section for kind, words, key, section in reading.exempt if key == law.law}
    conditional = {(kind, words): section for kind, words, key, section in reading.conditional if key == law.law}
    if law.sulphites and reading.sulphites_mg_per_kg is not None and not law.sulphites.reached(reading.sulphites_mg_per_kg):
        exempt |= {pair: law.sulphites.section for pair in reading.contains if pair[0] == "sulphites"}
    contains: ReasonsByKind = {}
    unsettled: ReasonsByKind = {}
    outside: dict[str, ReasonsByKind] = {"contains": {}, "may_contain": {}}
    for kind, words in reading.contains:
        if (kind, words) in exempt:
            continue
        if (kind, words) in conditional:
            _put(unsettled, law.kinds_of(kind) or law.maybe.get(kind, (kind,)), words)
        elif law.kinds_of(kind):
            _put(contains, law.kinds_of(kind), words)
        else:
            _put(outside["contains"], (kind,), words)
            _put(unsettled, law.maybe.get(kind, ()), words)
    for kind, words in reading.unsettled:
        if (kind, words) not in exempt:
            _put(unsettled, law.kinds_of(kind) or (kind,), words)
    may_contain: ReasonsByKind = {}
    for kind, words in reading.may_contain:
        known = law.kinds_of(kind) or law.maybe.get(kind, ())
        _put(may_contain if known else outside["may_contain"], known or (kind,), words)
    return {
        "contains": contains,
        "may_contain": may_contain,
        "unsettled": {kind: words for kind, words in unsettled.items() if kind not in contains},
        "exempt": [{"kind": kind, "words": words, "section": section} for (kind, words), section in exempt.items()],
        "outside": outside,
    }


def _put(target: ReasonsByKind, kinds: Iterable[str], words: str) -> None:
    for kind in kinds:
        if words not in target.setdefault(kind, []):
            target[kind].append(words)


def reading_as_json(
    reading: LabelReading, law: str | None = None, lists: Mapping[str, LawList] | None = None
) -> dict[str, object]:
    """The JSON object of one text: ``contains``, ``may_contain``, ``unsettled`` (sorted kinds), ``because`` (kind -> words),
    ``negated``, ``exempt``, ``unknown_words``. With a law (a key of ``lists``) the kinds are that law's and
    ``outside_the_list`` names the others. Raises KeyError for a law that ``lists`` doesn't have."""
    if law is None:
        parts = {"contains": _by_kind(reading.contains), "may_contain": _by_kind(reading.may_contain),
                 "unsettled": _by_kind(reading.unsettled)}  # fmt: skip
        exempt = [{"kind": k, "words": w, "law": at, "section": s} for k, w, at, s in reading.exempt]
        outside = None
    else:
        parts = view(reading, (lists or {})[law])
        exempt, outside = parts["exempt"], parts["outside"]
    because: ReasonsByKind = {}
    for state in ("contains", "may_contain", "unsettled"):
        for kind, words in parts[state].items():
            because.setdefault(kind, []).extend(word for word in words if word not in because.get(kind, ()))
    answer: dict[str, object] = {state: sorted(parts[state]) for state in ("contains", "may_contain", "unsettled")}
    answer |= {"because": because, "negated": list(reading.negated), "exempt": exempt, "unknown_words": list(reading.unknown)}
    if reading.sulphites_mg_per_kg is not None:
        answer["sulphites_mg_per_kg"] = round(reading.sulphites_mg_per_kg, 6)
    if outside is not None:
        answer["law"] = law
        answer["outside_the_list"] = {state: sorted(kinds) for state, kinds in outside.items()}
    return answer


def _by_kind(pairs: Iterable[tuple[str, str]]) -> ReasonsByKind:
    found: ReasonsByKind = {}
    for kind, words in pairs:
        _put(found, (kind,), words)
    return found
