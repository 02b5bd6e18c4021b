"""Additives that a supplier's printed list names without the category that the law asks for (Annex VII part C)."""

from __future__ import annotations

import re

from labeller.terms.laws import Law
from labeller.terms.record import Ingredient

_BETWEEN = r"and|or|from|plant|soya?|sunflower|rapeseed|fruit|contains"  # words that don't end what a category holds for
_NUMBER = r"E\s?\d{3,4}(?:[a-j]|\([ivx]+\))?"


def without_category(ingredients: tuple[Ingredient, ...], law: Law) -> tuple[tuple[str, str], ...]:
    """(product, additive as printed) of each additive before which no category stands. A supplier's words stay as they are."""
    if not law.additive_categories:
        return ()
    found: dict[tuple[str, str], None] = {}
    for each in ingredients:
        for name in bare_additives(each.printed, law) if each.printed else ():
            found[each.name, name] = None
        found.update(dict.fromkeys(without_category(each.under, law)))
    return tuple(found)


def bare_additives(text: str, law: Law) -> tuple[str, ...]:
    """A category holds for all additives that follow it with nothing between them but their names and signs."""
    names = "|".join(re.escape(name) for name in sorted(law.additive_names, key=len, reverse=True))
    categories = "|".join(re.escape(name) for name in sorted(law.additive_categories, key=len, reverse=True))
    mentions = list(re.finditer(rf"\b(?:{_NUMBER}|(?:{names})s?)(?!\w)", text, re.IGNORECASE))
    ends = [found.end() for found in re.finditer(rf"\b(?:{categories})s?(?!\w)", text, re.IGNORECASE)]
    out = []
    for mention in mentions:
        before = max((end for end in ends if end <= mention.start()), default=None)
        between = text[before : mention.start()] if before is not None else "x"
        rest = re.sub(rf"(?:{_NUMBER}|(?:{names})s?)(?!\w)|\b(?:{_BETWEEN})\b|[\W\d_]", "", between, flags=re.IGNORECASE)
        if rest:
            out.append(mention.group())
    return tuple(dict.fromkeys(out))
