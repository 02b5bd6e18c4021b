"""Slips of a cook's pen that show only beside the tables: words nothing knows, and findings that only follow from another."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from labeller.terms.findings import Finding, finding
from labeller.terms.kitchen import Recipe

if TYPE_CHECKING:
    from labeller.serving.resolving import Names

# What a batch's weights seem to say while one of its lines is not read.
FOLLOW = frozenset(("batch-heavier-than-lines", "loss-not-named", "mass-not-balanced"))
UNREAD = frozenset(("line-pasted", "line-two-ingredients", "value-wrong-shape", "key-without-value"))
NO_COOKING = (
    "raw",
    "cold",
    "chilled",
    "mixed",
    "assembled",
    "no cook",
    "water bath",
    "blended",
    "set",
    "whisked",
    "cured",
    "pickled",
)


def without_follow_ons(found: Iterable[Finding], reading: Sequence[Finding]) -> list[Finding]:
    """The findings without those of weights in a recipe of which a line was not read: that line is told, the rest follows."""
    unread = {each.subject for each in reading if each.subject and (each.code.startswith("amount-") or each.code in UNREAD)}
    return [each for each in found if each.code not in FOLLOW or each.subject not in unread]


def unknown_words(names: Names, recipe: Recipe, method_known: bool) -> list[Finding]:
    """A method that no table knows (a note: it then changes no figure), an alternative that is nothing known."""
    found = []
    if "reduc" in recipe.method and recipe.reduced_to is None and recipe.makes is None:
        text = f"\"{recipe.name}\": the method says \"{recipe.method}\", and nothing says what is left: all that went in, so far"
        mend = "write reduced to: 50 % (or the grams left), or makes: and the weight when ready"
        found.append(finding("reduction-not-said", recipe.place, text, mend, recipe.name))
    elif not method_known and not any(word in recipe.method for word in NO_COOKING):
        text = f"\"{recipe.name}\": the method \"{recipe.method}\" is not known and changes no figure"
        mend = "use a word such as boiled, baked, fried or simmered, or leave method: out"
        found.append(finding("method-not-known", recipe.place, text, mend, recipe.name))
    for line in recipe.lines:
        meaning = names.meaning(line.instead, "", line.place) if line.instead else None
        if meaning is not None and meaning.ref.kind == "unknown":
            near = names.near(line.instead)
            mend = (
                f'did you mean your {near[0]} "{near[1]}"?' if near else "write it in products/ or recipes/, or correct the name"
            )
            text = f"\"{recipe.name}\": \"{line.instead}\" instead of \"{line.name}\" is nothing known"
            found.append(finding("instead-not-known", line.place, text, mend, recipe.name))
    return found
