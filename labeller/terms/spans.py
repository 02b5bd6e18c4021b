"""A figure with its lower and upper bound."""

from __future__ import annotations

from typing import NamedTuple


class Span(NamedTuple):
    """low <= mid <= high, all in one unit that the field's name states. A plain number has all three equal."""

    low: float
    mid: float
    high: float

    @classmethod
    def of(cls, value: float) -> Span:
        return cls(value, value, value)

    @classmethod
    def between(cls, low: float, high: float) -> Span:
        """Middle at the midpoint."""
        return cls(low, (low + high) / 2, high)

    @property
    def is_range(self) -> bool:
        return self.low != self.high

    def times(self, factor: float) -> Span:
        """Scaled by a factor that is not negative."""
        return Span(self.low * factor, self.mid * factor, self.high * factor)

    def at(self, where: float) -> float:
        """Value at ``where`` from 0 (low) to 1 (high)."""
        return self.low + (self.high - self.low) * where
