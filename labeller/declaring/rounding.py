"""Rounding by a law's table: once, at the end, halves up, on decimals, the band chosen on the unrounded value."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from typing import NamedTuple

from labeller.terms.laws import Band, Rounding

_DIGITS = 12  # significant digits that a sum in binary floats still has right; one more would let its noise turn a half


class Rounded(NamedTuple):
    """text: as printed, without its unit unless ``fixed``. number: the printed number, None for a text such as "<0.5 g".
    fixed: the text is the law's own and carries its unit. limit: for such a text the band's upper end."""

    text: str
    number: Decimal | None
    fixed: bool = False
    limit: Decimal | None = None


def exact(value: float) -> Decimal:
    """The float as the decimal it stands for: 12 significant digits, so that 0.1 + 0.2 is 0.3 and no half is turned.

    Raises ValueError for a value that is not finite.
    """
    if value != value or value in (float("inf"), float("-inf")):
        raise ValueError(f"not a finite amount: {value}")
    return Decimal(f"{value:.{_DIGITS}g}")


def to_multiple(value: Decimal, step: Decimal) -> Decimal:
    """Nearest multiple of ``step``, a half away from zero (amounts are never negative)."""
    return (value / step).quantize(Decimal(1), rounding=ROUND_HALF_UP) * step


def to_significant(value: Decimal, digits: int) -> Decimal:
    """Rounded to so many significant digits; its exponent keeps the trailing zeros that are significant."""
    if not value:
        return Decimal(0)
    last = value.adjusted() - digits + 1
    rounded = value.quantize(Decimal(1).scaleb(last), rounding=ROUND_HALF_UP)
    if rounded.adjusted() > value.adjusted():  # 99.95 to three digits is 100, not 100.0
        rounded = rounded.quantize(Decimal(1).scaleb(last + 1), rounding=ROUND_HALF_UP)
    return rounded


def band_of(value: Decimal, rounding: Rounding) -> Band:
    """The first band that holds the value."""
    for band in rounding.bands:
        if band.limit is None or value < band.limit or (band.inclusive and value == band.limit):
            return band
    return rounding.bands[-1]


def rounded(value: float, rounding: Rounding) -> Rounded:
    """A value in its law's printed form."""
    amount = exact(value)
    return in_band(amount, band_of(amount, rounding), rounding.zeros)


def in_band(amount: Decimal, band: Band, zeros: bool) -> Rounded:
    if band.text:
        return Rounded(band.text, Decimal(0) if _is_zero(band.text) else None, True, band.limit)
    if band.significant:
        number = to_significant(amount, band.significant)
        return Rounded(_plain(number if zeros else number.normalize()), number)
    number = to_multiple(amount, band.nearest)
    return Rounded(_plain(_with_zeros(number, band.nearest) if zeros else number.normalize()), number)


def without_text(value: float, rounding: Rounding) -> Rounded:
    """Rounded by the first band that rounds: what "<0.5 g" stands for, where a part beside it would look larger."""
    amount = exact(value)
    band = band_of(amount, rounding)
    if band.text:
        band = next(one for one in rounding.bands if not one.text)
    return in_band(amount, band, rounding.zeros)


def _is_zero(text: str) -> bool:
    """ "0", "0g", "0 mcg DFE", "0%": a number and nothing but its unit behind it."""
    return text[:1] == "0" and not text[1:2].isdigit() and text[1:2] != "."


def _with_zeros(number: Decimal, step: Decimal) -> Decimal:
    return number.quantize(step) if step.as_tuple().exponent < 0 else number


def _plain(number: Decimal) -> str:
    """No exponent, no thousands separator."""
    return f"{number:f}"
