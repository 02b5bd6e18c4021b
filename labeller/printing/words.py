"""The sheets' own words: headings, states, dates. What a law prescribes comes ready in the declaration, never from here."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date as Day

from labeller.terms.allergens import CONTAINS, CROSS_CONTACT, MAY_CONTAIN, NONE_ON_RECORD, NOT_CONFIRMED, TO_CONFIRM

LANGUAGES = ("en",)  # the languages these words exist in
NO_ANSWER = "NO ANSWER \N{EN DASH} ASK THE KITCHEN"

STATES = {
    CONTAINS: "contains",
    TO_CONFIRM: "contains, to be confirmed",
    MAY_CONTAIN: "supplier’s warning",
    CROSS_CONTACT: "shared equipment",
    NOT_CONFIRMED: "not confirmed",
    NONE_ON_RECORD: "none on record",
}
MEANINGS = {
    CONTAINS: "in the recipe or in contact with the food; the kind is named",
    TO_CONFIRM: "usual in it, not yet settled; treat as contained",
    MAY_CONTAIN: "a supplier’s pack or paper says “may contain”; reason below",
    CROSS_CONTACT: "cooked in or on what met it; reason below",
    NOT_CONFIRMED: "a label or record is missing or unread; ask the kitchen",
}
COLUMNS = {
    "cereals_gluten": "Cereals (gluten)", "crustaceans": "Crustaceans", "eggs": "Eggs", "fish": "Fish",
    "peanuts": "Peanuts", "soybeans": "Soya", "milk": "Milk", "tree_nuts": "Nuts", "celery": "Celery",
    "mustard": "Mustard", "sesame": "Sesame", "sulphites": "Sulphites", "lupin": "Lupin", "molluscs": "Molluscs",
    "other": "Other",
}  # fmt: skip
LAWS = {"eu": "EU", "uk": "UK", "us": "US", "ca": "Canada", "anz": "Australia and New Zealand", "none": "no law"}
_DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
           "December")  # fmt: skip


def kind_word(key: str, names: Mapping[str, str]) -> str:
    """The word for a kind: a group as the matrix heads it, else as the caller names it, else the key spelled out."""
    return COLUMNS[key].lower() if key in COLUMNS else names.get(key) or key.replace("_", " ")


def listed(words: Iterable[str]) -> str:
    """"a", "a and b", "a, b and c"."""
    words = list(words)
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}" if words else ""


def day_words(iso: str, *, weekday: bool = False) -> str:
    """"25 November 2026", the month in letters so that no country reads it the other way round. What is no ISO date stays
    as typed."""
    try:
        day = Day.fromisoformat(iso)
    except ValueError:
        return iso
    name = f"{_DAYS[day.weekday()]} " if weekday else ""
    return f"{name}{day.day} {_MONTHS[day.month - 1]} {day.year}"


def service_words(starts: str, ends: str) -> str:
    """"Tuesday 1 December 2026", "1 to 7 December 2026", "24 November to 5 December 2026" or with both years."""
    if not starts or not ends or starts == ends:
        return day_words(starts or ends, weekday=True)
    first, last = day_words(starts), day_words(ends)
    if first != starts and last != ends and starts[:4] == ends[:4]:
        first = first.rsplit(" ", 2 if starts[:7] == ends[:7] else 1)[0]
    return f"{first} to {last}"
