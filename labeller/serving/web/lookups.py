"""What can be looked up: the food data with what a row implies, the laws rule by rule, and other releases of the food data."""

from __future__ import annotations

import re
from typing import NamedTuple

from labeller.reading.laws import list_laws, load_law
from labeller.serving.laws_text import READ, law_text
from labeller.serving.releases import Offer, at_hand, offers
from labeller.serving.web.asking import Reply, go
from labeller.serving.web.jars import confirmed
from labeller.serving.web.looking import Told
from labeller.serving.web.visits import Visit
from labeller.terms.findings import Finding, Place, finding
from labeller.terms.foods import Food
from labeller.terms.nutrients import BASE, DERIVED
from labeller.terms.words import normalise

MOST_ROWS = 20
FIRST = ("energy_kcal", "protein_g", "fat_g", "carbohydrate_g", "sodium_mg", "water_g")  # stand in sight
MOST_MOVES = 6  # figures of a row that are named


class Row(NamedTuple):
    """A food row to look at. figures: (name, value with unit, "" where not known), those of FIRST in front. implies: (words,
    allergens) that the row brings by itself, None where nothing is on record of it. meant: what a cook means by the word."""

    food: Food
    figures: tuple[tuple[str, str], ...]
    implies: tuple[tuple[str, tuple[str, ...]], ...] | None
    meant: str


def foods(visit: Visit) -> Reply:
    """The food data searched; a row can be chosen for an ingredient from here."""
    words, name = visit.asked.one("search"), visit.asked.one("name")
    rows = [row for code in ranked(visit, words) if (row := _row(visit, code, words))] if words else []
    return visit.page(
        "foods.html",
        "Food data",
        here="/foods",
        search=words,
        name=name,
        rows=rows,
        in_sight=len(FIRST),
        names=visit.names(),
        releases=at_hand(visit.opened),
    )


def ranked(visit: Visit, words: str) -> list[str]:
    """Codes of the rows that the words may mean, the likeliest first, as ``labeller foods`` has them."""
    tables = visit.opened.workshop.tables
    known = tables.names.get(normalise(words))
    found = [*tables.shelf.candidates(words, MOST_ROWS, tables.names), *tables.shelf.search(words, MOST_ROWS)]
    return list(dict.fromkeys(([known.code] if known else []) + [each.code for each in found]))[:MOST_ROWS]


def _row(visit: Visit, code: str, words: str) -> Row | None:
    tables = visit.opened.workshop.tables
    food = tables.foods.get(code)
    if food is None:
        return None
    known = tables.names.get(normalise(words))
    meant = (
        f"what a cook means by “{known.name}”" + (f": {known.why}" if known.why else "") if known and known.code == code else ""
    )
    values = dict(zip(BASE, food.values, strict=True))
    keys = (*FIRST, *(key for key in BASE if key not in FIRST and key not in DERIVED))
    return Row(food, tuple((_named(key), _valued(key, values[key])) for key in keys), _implied(visit, food), meant)


def _named(key: str) -> str:
    """"vitamin_b6_mg" -> "vitamin B6"."""
    words = key.rpartition("_")[0].replace("_", " ")
    return re.sub(r"(?<=vitamin )\w|\b(?:dfe|rae)\b", lambda hit: hit[0].upper(), words)


def _valued(key: str, value: float | None) -> str:
    unit = {"ug": "µg", "iu": "IU"}.get(last := key.rpartition("_")[2], last)
    return "" if value is None else f"{value:g} {unit}"


def _implied(visit: Visit, food: Food) -> tuple[tuple[str, tuple[str, ...]], ...] | None:
    tables = visit.opened.workshop.tables
    found = tables.food_kinds.of(food.ndb or food.code)
    if found is None:
        return None
    groups = (("contains", found.contains), ("usually contains, to be confirmed", found.usual), ("may contain", found.possible))
    return tuple((words, tuple(tables.kinds[key].name for key in keys)) for words, keys in groups if keys)


# Laws -------------------------------------------------------------------------------------------------------------------


def laws(visit: Visit) -> Reply:
    """Which rules, since when, read or from memory; with ``law`` every rule of one of them."""
    entries = list_laws()
    entry = next((each for each in entries if each.key == visit.asked.one("law")), None)
    if entry is None:
        return visit.page("laws.html", "Laws", here="/laws", entries=entries, read=READ, entry=None)
    law = load_law(entry.key, visit.date)
    sections = [] if law.findings else in_sections(law_text(law, entry))
    return visit.page(
        "laws.html",
        entry.name,
        here="/laws",
        entries=entries,
        read=READ,
        entry=entry,
        sections=sections,
        findings=[Told(each, None) for each in law.findings],
    )


def in_sections(text: str) -> list[tuple[str, list[str]]]:
    """The text of ``labeller laws us`` cut at its headings: (heading, rules). Lines that go on are joined."""
    found: list[tuple[str, list[str]]] = [("", [])]
    for line in text.splitlines():
        if line.startswith("    - "):
            found[-1][1].append(line[6:])
        elif line.startswith("      ") and found[-1][1]:
            found[-1][1][-1] += f" {line.strip()}"
        elif line.strip():
            found.append((line, []))
    head = [heading for heading, rules in found if heading and not rules]
    return [("", head), *((heading, rules) for heading, rules in found if rules)]


# Releases ---------------------------------------------------------------------------------------------------------------


def releases(visit: Visit, *, status: int = 200, findings: tuple[Finding, ...] = ()) -> Reply:
    """The food data at hand; what another release would change in each dish, before anybody accepts it."""
    opened, release = visit.opened, visit.asked.one("release")
    there = [name for name, _, _ in at_hand(opened)]
    found = offers(opened, release) if release in there else []
    return visit.page(
        "releases.html",
        "Releases of the food data",
        status,
        here="/releases",
        releases=at_hand(opened),
        release=release if release in there else "",
        offers=[(each, _known(each), _lost(each)) for each in found],
        by=visit.asked.one("by"),
        findings=[Told(each, None) for each in findings],
    )


def _known(each: Offer) -> list[str]:
    moves = [f"{_named(key)} {old} → {new}" for key, old, new in each.moves if old and new]
    return moves[:MOST_MOVES] + ([f"{len(moves) - MOST_MOVES} more"] if len(moves) > MOST_MOVES else [])


def _lost(each: Offer) -> list[str]:
    return [_named(key) for key, _, new in each.moves if not new]


def accept_release(visit: Visit) -> Reply:
    """One ingredient taken over to another release by a person."""
    release, name, by = (visit.asked.one(key) for key in ("release", "name", "by"))
    offer = next((each for each in offers(visit.opened, release) if normalise(each.ingredient) == normalise(name)), None)
    if offer is None or offer.pinned:
        text = (
            f'"{name}" has no other figures in {release}' if offer is None else f'"{name}" has its row pinned at {offer.pinned}'
        )
        code = "row-not-in-release" if offer is None else "row-pinned-elsewhere"
        return releases(visit, status=422, findings=(finding(code, Place("matches.yaml"), text, "choose another ingredient"),))
    if not by:
        needed = finding("name-needed", Place("by"), "who accepts it is not written", "write a name or initials")
        return releases(visit, status=422, findings=(needed,))
    wrong = confirmed(visit, name, offer.after, by)
    return releases(visit, status=422, findings=wrong) if wrong else go("/releases", release=release, done="confirmed")
