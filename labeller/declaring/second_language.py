"""The words of a label's second language, where a law wants every label in two (Canada: English and French, B.01.012)."""

from __future__ import annotations

from labeller.terms.laws import Law
from labeller.terms.record import Declaration, Second


def other_language(law: Law, language: str) -> str:
    """The language beside that of a declaration; "" where the law asks for none, or where it has no words."""
    both = law.statement.get("languages", "").split()
    return next((each for each in both if each != language and each in law.words), "") if language in both else ""


def second_of(other: Declaration) -> Second:
    """What the other language says of the same food: the law's own words, and the allergens by their names. Names of foods and
    ingredients stand as the kitchen typed them."""
    return Second(other.language, other.table_heading, other.portion_words, tuple((row.key, row.name) for row in other.rows),
                  other.footnotes, other.contains, other.may_contain)  # fmt: skip
