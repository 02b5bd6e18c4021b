"""Exact bounds over the kitchen's ranges.

Each figure is, in each range taken alone, a ratio of two straight lines, so it rises or falls throughout: its extremes lie at
corners of the box of ranges. Up to ``ALL_CORNERS`` ranges every corner is worked out; beyond, each figure climbs to its own
lowest and highest corner: from both far ends of the box, first by all turns that help it taken together, then by one at a time,
until no range moves it further. (A sub-recipe with a range that reaches one dish by two ways, once by the piece and once by
weight, may have its extreme inside the box: the middle is always among the values compared.)
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from itertools import product

from labeller.terms.record import Corner

ALL_CORNERS = 6
Setting = Mapping[str, float]
Evaluate = Callable[[Setting], Corner]
Figure = Callable[[Corner], float]
Ends = tuple[float, ...]


def corners(ids: Iterable[str], evaluate: Evaluate, figures: Callable[[Corner], tuple[float, ...]]) -> tuple[Corner, ...]:
    """The corners that bound every figure. ids: of the ranges in play; each is set to 0 (low) or 1 (high). figures: all figures
    of a corner, always in one order."""
    names = tuple(sorted(ids))
    if not names:
        return ()
    if len(names) <= ALL_CORNERS:
        return tuple(evaluate(dict(zip(names, ends, strict=True))) for ends in product((0.0, 1.0), repeat=len(names)))
    return _Climb(names, evaluate, figures).corners()


class _Climb:
    """Corners worked out so far, each once, with their figures."""

    def __init__(self, names: tuple[str, ...], evaluate: Evaluate, figures: Callable[[Corner], tuple[float, ...]]):
        self.names, self.evaluate, self.figures = names, evaluate, figures
        self.seen: dict[Ends, tuple[Corner, tuple[float, ...]]] = {}

    def at(self, ends: Ends) -> tuple[float, ...]:
        if ends not in self.seen:
            corner = self.evaluate(dict(zip(self.names, ends, strict=True)))
            self.seen[ends] = corner, self.figures(corner)
        return self.seen[ends][1]

    def corners(self) -> tuple[Corner, ...]:
        starts = [(end,) * len(self.names) for end in (0.0, 1.0)]
        for figure in range(len(self.at(starts[0]))):
            for start in starts:
                for sign in (1.0, -1.0):
                    self._climb(start, figure, sign)
        return tuple(corner for corner, _ in self.seen.values())

    def _climb(self, ends: Ends, figure: int, sign: float) -> None:
        best, moved = sign * self.at(ends)[figure], True
        while moved:
            turned = [_turned(ends, nr) for nr in range(len(ends))]
            better = [nr for nr, other in enumerate(turned) if sign * self.at(other)[figure] > best + _NOISE * abs(best)]
            together = ends
            for nr in better:
                together = _turned(together, nr)
            choices = [together, *(turned[nr] for nr in better)] if better else []
            top = max(choices, key=lambda other: sign * self.at(other)[figure], default=ends)
            moved = bool(better)
            ends, best = top, sign * self.at(top)[figure]


_NOISE = 1e-12  # a gain within the noise of floats is none


def _turned(ends: Ends, nr: int) -> Ends:
    return ends[:nr] + (1.0 - ends[nr],) + ends[nr + 1 :]
