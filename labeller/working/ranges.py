"""Exact bounds over the kitchen's ranges.

Each figure is, in each range taken alone, a ratio of two straight lines, so it rises or falls throughout: its extremes lie at
corners of the box of ranges. Up to ``ALL_CORNERS`` ranges every corner is worked out; beyond, each figure climbs from the
middle to its own lowest and highest corner, one range at a time, until no range moves it further.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from itertools import product

from labeller.terms.record import Corner

ALL_CORNERS = 6
Setting = Mapping[str, float]
Evaluate = Callable[[Setting], Corner]
Figure = Callable[[Corner], float]


def corners(ids: Iterable[str], evaluate: Evaluate, figures: tuple[Figure, ...]) -> tuple[Corner, ...]:
    """The corners that bound every figure. ids: of the ranges in play; each is set to 0 (low) or 1 (high)."""
    names = tuple(sorted(ids))
    if not names:
        return ()
    if len(names) <= ALL_CORNERS:
        return tuple(evaluate(dict(zip(names, ends, strict=True))) for ends in product((0.0, 1.0), repeat=len(names)))
    return tuple(_climbed(names, evaluate, figures))


def _climbed(names: tuple[str, ...], evaluate: Evaluate, figures: tuple[Figure, ...]) -> Iterator[Corner]:
    seen: dict[tuple[float, ...], Corner] = {}

    def at(ends: tuple[float, ...]) -> Corner:
        if ends not in seen:
            seen[ends] = evaluate(dict(zip(names, ends, strict=True)))
        return seen[ends]

    for figure in figures:
        for sign in (1.0, -1.0):
            _climb(names, at, figure, sign)
    return iter(tuple(seen.values()))


def _climb(names: tuple[str, ...], at: Callable[[tuple[float, ...]], Corner], figure: Figure, sign: float) -> None:
    ends = (1.0,) * len(names)
    best = sign * figure(at(ends))
    moved = True
    while moved:
        moved = False
        for nr in range(len(names)):
            other = ends[:nr] + (1.0 - ends[nr],) + ends[nr + 1 :]
            value = sign * figure(at(other))
            if value > best:
                ends, best, moved = other, value, True
