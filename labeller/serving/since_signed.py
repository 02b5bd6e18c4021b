"""A guest's answer beside what was signed: an allergen that a signed record holds and today's doesn't is asked about.

An edit can be right (another jar) or a slip; the waiter can't tell, and the kitchen that signed can.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from msgspec.structs import replace

from labeller.reading.issued import read_register
from labeller.serving.guest import COELIAC, Avoided, DishAnswer
from labeller.serving.pipeline import Opened
from labeller.terms.allergens import NONE_ON_RECORD, NOT_CONFIRMED, Kind
from labeller.terms.floor import ASK, NOTHING_ON_RECORD
from labeller.terms.kitchen import Menu

Lost = Mapping[str, tuple[tuple[str, str], ...]]


def lost_since(opened: Opened, menu: Menu) -> Lost:
    """Dish -> (kind, words) of what the newest sign-off of the menu holds of it and today's record does not."""
    issue = read_register(opened.folder).latest(menu.name)
    if issue is None:
        return {}
    from labeller.serving.changes import against  # only a kitchen that signs needs it

    found: dict[str, dict[tuple[str, str], None]] = {}
    for dish in against(opened, issue, menu).dishes:
        for move in dish.moves:
            if move.now == NONE_ON_RECORD:
                words = f"signed as no. {issue.number} with {', '.join(move.kinds)} ({move.was}), gone from the record since"
                found.setdefault(dish.dish, {}).update({(kind, words): None for kind in move.kinds})
    return {dish: tuple(lost) for dish, lost in found.items()}


def asked_again(answers: Iterable[DishAnswer], avoided: Iterable[Avoided], lost: Lost,
                kinds: Mapping[str, Kind]) -> tuple[DishAnswer, ...]:  # fmt: skip
    """The answers, where "nothing on record" of a kind that was signed otherwise sends the waiter to the kitchen."""
    keys = {key for each in avoided for key in each.keys}
    return tuple(_one(each, [one for one in lost.get(each.dish, ()) if keys & _covers(one[0], kinds)]) for each in answers)


def _covers(kind: str, kinds: Mapping[str, Kind]) -> set[str]:
    known = kinds.get(kind)
    if known is None:
        return {kind}
    coeliac = {COELIAC} if known.group == "cereals_gluten" else set()
    return {kind, known.group, known.parent, *coeliac, *(key for key, each in kinds.items() if each.group == kind)}


def _one(found: DishAnswer, lost: list[tuple[str, str]]) -> DishAnswer:
    if not lost or found.answer.verdict != NOTHING_ON_RECORD:
        return found
    because = (*found.answer.because, *((kind, NOT_CONFIRMED, (words,)) for kind, words in lost))
    return replace(found, answer=replace(found.answer, verdict=ASK, words=ASK, changes=(), because=because))
