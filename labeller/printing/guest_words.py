"""What cards say to guests, in the guest's language: the words of ``templates/cards.yaml``, filled in."""

from __future__ import annotations

from datetime import date as Day

from msgspec import Struct

from labeller.printing.words import day_words, service_words
from labeller.terms.findings import NOWHERE, Finding, finding
from labeller.terms.looks import Looks

ENGLISH = "en"


class GuestWords(Struct, frozen=True):
    """language: as asked for. known: its words by key; english: what stands in for a missing one."""

    language: str
    known: dict[str, str]
    english: dict[str, str]

    def say(self, key: str, *parts: object) -> str:
        text = self.known.get(key) or self.english[key]
        for part in parts:
            text = text.replace("{}", str(part), 1)
        return text

    def day(self, iso: str, *, weekday: bool = False) -> str:
        """The date with its month in letters; the weekday in English only. What is no ISO date stays as typed."""
        if self.language == ENGLISH or not self.known:
            return day_words(iso, weekday=weekday)
        try:
            day = Day.fromisoformat(iso)
        except ValueError:
            return iso
        month = self.say("months").split()[day.month - 1]
        filled = self.say("date").replace("{day}", str(day.day)).replace("{month}", month)
        return filled.replace("{year}", str(day.year))

    def service(self, starts: str, ends: str) -> str:
        if self.language == ENGLISH or not self.known:
            return service_words(starts, ends)
        days = [starts, ends] if starts and ends and starts != ends else [starts or ends]
        return " \N{EN DASH} ".join(self.day(day) for day in days)


def guest_words(looks: Looks, language: str) -> tuple[GuestWords, tuple[Finding, ...]]:
    """The words for a language; one that ``cards.yaml`` does not have is a finding, and English stands in."""
    english = looks.words[ENGLISH]
    if language in looks.words:
        return GuestWords(language, looks.words[language], english), ()
    text = f"the cards have no words in “{language}” yet; “Contains” and the like stand in English"
    mend = f"write them under “{language}:” in the kitchen's own templates/cards.yaml"
    return GuestWords(language, {}, english), (finding("sheet-language", NOWHERE, text, mend),)
