"""What cards and sheets say, in a language: the words of ``templates/cards.yaml`` and ``sheets.yaml``, filled in."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import date as Day

from msgspec import Struct

from labeller.printing.words import COLUMNS, day_words, kind_word, service_words
from labeller.terms.allergens import CONTAINS, CROSS_CONTACT, MAY_CONTAIN, NONE_ON_RECORD, NOT_CONFIRMED, TO_CONFIRM
from labeller.terms.findings import NOWHERE, Finding, finding
from labeller.terms.looks import Looks

ENGLISH = "en"
FLOOR = ("floor ", "why ", "where ", "paper ")  # beginnings of the keys that only the floor page says
LEADS = {CONTAINS: "contains", TO_CONFIRM: "to confirm", MAY_CONTAIN: "supplier", CROSS_CONTACT: "equipment",
         NOT_CONFIRMED: "not confirmed", NONE_ON_RECORD: "none"}  # fmt: skip


class GuestWords(Struct, frozen=True):
    """language: as asked for. known: its words by key; english: what stands in for a missing one."""

    language: str
    known: dict[str, str]
    english: dict[str, str]

    def template(self, key: str) -> str:
        """The words of a key with their holes."""
        return self.known.get(key) or self.english[key]

    def say(self, key: str, *parts: object) -> str:
        pieces = self.template(key).split("{}")
        filled = [*(str(part) for part in parts), *["{}"] * len(pieces)]
        return "".join(piece + (filled[place] if place < len(pieces) - 1 else "") for place, piece in enumerate(pieces))

    def state(self, state: str) -> str:
        """A state as a cell has it ("shared equipment")."""
        return self.say(f"cell {LEADS[state]}")

    def column(self, key: str, names: Mapping[str, str]) -> str:
        """Head of an allergen's column, and the group's name in running text."""
        if self.language == ENGLISH:
            return COLUMNS.get(key) or kind_word(key, names).capitalize()
        own = self.known.get(f"column {key}") or names.get(key) or kind_word(key, names)
        return own[:1].upper() + own[1:]

    def kind(self, key: str, names: Mapping[str, str]) -> str:
        """The word for a kind inside a line."""
        return kind_word(key, names) if self.language == ENGLISH else names.get(key) or kind_word(key, names)

    def listed(self, words: Sequence[str]) -> str:
        """"a", "a and b", "a, b and c"."""
        words = list(words)
        return f"{', '.join(words[:-1])} {self.say('and')} {words[-1]}" if len(words) > 1 else "".join(words)

    def day(self, iso: str, *, weekday: bool = False) -> str:
        """The date with its month in letters. What is no ISO date stays as typed."""
        if self.language == ENGLISH or not self.known:
            return day_words(iso, weekday=weekday)
        try:
            day = Day.fromisoformat(iso)
        except ValueError:
            return iso
        month = self.say("months").split()[day.month - 1]
        filled = self.say("date").replace("{day}", str(day.day)).replace("{month}", month)
        filled = filled.replace("{year}", str(day.year))
        if not weekday or "weekdays" not in self.known:
            return filled
        return self.say("date with weekday", self.known["weekdays"].split()[day.weekday()], filled)

    def versions(self, law: str, law_date: str, kitchen: str, data: str) -> str:
        """Which law, which records, which data, as they stand at the foot of a sheet."""
        return self.say("versions", self.law(law), self.day(law_date), kitchen, data)

    def law(self, key: str) -> str:
        return self.say(f"law {key}") if f"law {key}" in self.english else key

    def service(self, starts: str, ends: str) -> str:
        if self.language == ENGLISH or not self.known:
            return service_words(starts, ends)
        if not starts or not ends or starts == ends:
            return self.day(starts or ends, weekday=True)
        first = self.day(starts)
        if starts[:4] == ends[:4]:  # the year is said once
            first = re.sub(rf"(?: de)? {starts[:4]}$", "", first)
        return f"{first} \N{EN DASH} {self.day(ends)}"


def guest_words(looks: Looks, language: str) -> tuple[GuestWords, tuple[Finding, ...]]:
    """The words for a language; one that ``cards.yaml`` does not have is a finding, and English stands in."""
    english = looks.words[ENGLISH]
    if language in looks.words:
        words = GuestWords(language, looks.words[language], english)
        return words, silent_words(words, tuple(key for key in english if not key.startswith(("column ", *FLOOR))))
    text = f"cards and sheets have no words in “{language}” yet; “Contains” and the like stand in English"
    mend = f"write them under “{language}:” in the kitchen's own templates/cards.yaml and sheets.yaml"
    return GuestWords(language, {}, english), (finding("sheet-language", NOWHERE, text, mend),)


def silent_words(words: GuestWords, keys: Sequence[str]) -> tuple[Finding, ...]:
    """A finding where a language of the kitchen's own lacks words that a document needs: else English would stand by stealth."""
    gone = [key for key in keys if words.known and key not in words.known]
    if not gone:
        return ()
    told = ", ".join(f"“{key}”" for key in gone[:6]) + (" and more" if len(gone) > 6 else "")
    text = f"“{words.language}” has no words for {told}; they stand in English"
    mend = f"write them under “{words.language}:” in the kitchen's own templates/cards.yaml and sheets.yaml"
    return (finding("sheet-language", NOWHERE, text, mend),)
