"""The languages of a floor page: the names of what can be ticked, what guests call it, cautions and sign-off, in each."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import NamedTuple

from labeller.reading.guest_tables import load_guest_words_of
from labeller.serving import guest
from labeller.serving.guest_speech import Avoided
from labeller.serving.workshop import Workshop
from labeller.terms.findings import Finding, Place, finding
from labeller.terms.floor import Avoid, FloorTongue, both_names, with_state_names
from labeller.terms.laws import Words
from labeller.terms.words import normalise

ENGLISH = "en"
TABLE = "reference/allergens/guest_words_by_language.csv"


class Asked(NamedTuple):
    """What the languages are made for. law: its key; date: ISO date of the records. issue: language -> the line on
    the sign-off."""

    law: str
    date: str
    avoids: tuple[Avoid, ...]
    issue: Callable[[str], str]


def languages_of(wanted: Iterable[str], kitchen: Iterable[str]) -> tuple[str, ...]:
    """The languages of a page: first those that were asked for, then the kitchen's, and always English."""
    return tuple(dict.fromkeys((*wanted, *kitchen, ENGLISH)))


def floor_tongues(workshop: Workshop, languages: Iterable[str],
                  asked: Asked) -> tuple[tuple[FloorTongue, ...], tuple[Finding, ...]]:  # fmt: skip
    """Each language with what is known of it. What it has no word for stays out, so that the English name stands, and is told."""
    made, found = [], ()
    for language in languages:
        words = workshop.tables.law(asked.law, asked.date, tuple(dict.fromkeys((ENGLISH, language)))).words.get(language)
        said = load_guest_words_of(language)
        names = with_state_names({} if language == ENGLISH else names_of(asked.avoids, words, said), language == ENGLISH)
        cautions = tuple(text.replace("{date}", asked.date) for text in words.numbered("caution")) if words else ()
        made.append(FloorTongue(language, names, said, cautions, asked.issue(language)))
        if language != ENGLISH:
            found += _missing(language, asked.avoids, names)
    return tuple(made), found


def names_of(avoids: Iterable[Avoid], words: Words | None, said: Mapping[str, tuple[str, ...]]) -> dict[str, str]:
    """Key of a tick, and of the one state it stands for -> its name: the law's word, else the first word of guests."""
    law = words.kinds if words else {}
    names: dict[str, str] = {}
    for each in avoids:
        name = law.get(each.key) or next(iter(said.get(each.key, ())), "")
        if name:
            names |= dict.fromkeys((each.key, *(each.keys if len(each.keys) == 1 else ())), name)
    return names


def avoided_words(workshop: Workshop, avoided: Iterable[Avoided], words: Words | None, language: str) -> tuple[str, ...]:
    """What a seat avoids as a ticket in a language says it: the language's word, and the one that was typed behind it; the typed
    one alone where the language has none."""
    if language == ENGLISH:
        return tuple(each.word for each in avoided)
    tables = workshop.tables
    ticks = guest.avoids(tables.kinds, tables.guest_words, tables.guest_ingredients)
    names = names_of(ticks, words, load_guest_words_of(language))
    return tuple(both_names(each.word, names.get(_tick_of(each, ticks), "")) for each in avoided)


def _tick_of(avoided: Avoided, ticks: Iterable[Avoid]) -> str:
    """Key of the tick that asks the same, "" where none does."""
    def same(tick: Avoid) -> bool:
        if avoided.keys:
            return tick.keys == avoided.keys
        return tick.key.startswith("food_") and avoided.ingredient in map(normalise, (tick.name, *tick.words))

    return next((tick.key for tick in ticks if same(tick)), "")


def _missing(language: str, avoids: Iterable[Avoid], names: Mapping[str, str]) -> tuple[Finding, ...]:
    lacking = [each.name for each in avoids if each.key not in names]
    if not lacking:
        return ()
    more = f" and {len(lacking) - 4} more" if len(lacking) > 4 else ""
    text = f"“{language}” has no word for {', '.join(lacking[:4])}{more}; on the floor page it stands in English"
    return (finding("sheet-term-missing", Place(TABLE), text, "tell the team the English one; there is none of its own"),)
