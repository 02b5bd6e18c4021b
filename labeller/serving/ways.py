"""What a change that the kitchen allows does to the allergens of a dish: facts for a guest to read, no verdict.

Each way to make the dish is recomputed from the recipe, as :mod:`labeller.serving.guest` does it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from labeller.serving.guest import changed, is_stopped, options_of
from labeller.serving.workshop import Workshop
from labeller.terms.allergens import NONE_ON_RECORD, RANK
from labeller.terms.floor import Change, Effect, Option, OptionState
from labeller.terms.kitchen import Recipe

_NONE = OptionState(NONE_ON_RECORD)


def effects(workshop: Workshop, recipe: Recipe) -> tuple[Effect, ...]:
    """Each single change, and of several at once those that take away what none of their parts does (two creams, each with milk).
    A way that has no answer itself (what is made instead is under recall) is not told."""
    ways = {one.changes: one for one in options_of(workshop, recipe)}
    kinds = _kinds(workshop, recipe)
    out = []
    for changes, way in ways.items():
        if not changes or is_stopped(workshop, changed(recipe, changes)):
            continue
        parts = [ways[less] for less in _lesser(changes) if less in ways]
        if len(changes) == 1 or any(_eases(way, parts, kind) for kind in kinds):
            out.append(_effect(ways[()], way, dict.fromkeys([*kinds, *_kinds(workshop, changed(recipe, changes))])))
    return tuple(out)


def _kinds(workshop: Workshop, recipe: Recipe) -> dict[str, None]:
    return dict.fromkeys(fact.kind for fact in workshop.facts(recipe))


def _lesser(changes: tuple[Change, ...]) -> list[tuple[Change, ...]]:
    """The same changes, each time without one of them."""
    return [changes[:place] + changes[place + 1 :] for place in range(len(changes))]


def _eases(way: Option, parts: Iterable[Option], kind: str) -> bool:
    return all(_rank(way, kind) > _rank(part, kind) for part in parts)


def _rank(way: Option, kind: str) -> int:
    return RANK[_state(way.states, kind)]


def _state(states: Mapping[str, OptionState], kind: str) -> str:
    return states.get(kind, _NONE).state


def _effect(before: Option, after: Option, kinds: Iterable[str]) -> Effect:
    gone, left, brought = [], [], []
    for kind in kinds:
        state = _state(after.states, kind)
        if RANK[state] > _rank(before, kind):
            gone += [kind] if state == NONE_ON_RECORD else []
            left += [(kind, state)] if state != NONE_ON_RECORD else []
        elif RANK[state] < _rank(before, kind):
            brought.append((kind, state))
    return Effect(after.changes, tuple(gone), tuple(left), tuple(brought))
