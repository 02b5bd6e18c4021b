"""How far a food may be from its declared value, and whether the kitchen's own ranges go further."""

from __future__ import annotations

from labeller.declaring.volume import hundred
from labeller.terms.findings import NOWHERE, Finding, finding
from labeller.terms.laws import Law, Tolerance
from labeller.terms.record import DishRecord, NutritionRow


def allowed(law: Law, key: str, declared: float) -> tuple[float | None, float | None] | None:
    """Least and greatest value a food may have when ``declared`` is on its label; None on a side without a limit, None alone
    where the law has no row for the key."""
    row = _row(law, key, declared)
    if row is None:
        return None

    def away(by: float | None, sign: int) -> float | None:
        return None if by is None else declared + sign * by * (declared if row.share else 1.0)

    low = away(row.down, -1)
    return (None if low is None else max(0.0, low)), away(row.up, 1)


def _row(law: Law, key: str, declared: float) -> Tolerance | None:
    for row in law.tolerances:
        if key in row.keys and (row.limit is None or declared < row.limit or (row.inclusive and declared == row.limit)):
            return row
    return None


def range_findings(record: DishRecord, law: Law, rows: tuple[NutritionRow, ...]) -> tuple[Finding, ...]:
    """One finding naming each printed figure whose own range is wider than the tolerance of its law."""
    wide = [text for row in rows if (text := _too_wide(law, row))]
    if not wide:
        return ()
    return (finding("range-over-tolerance", NOWHERE, f"\"{record.name}\" under {law.key}: {'; '.join(wide)}.",
                    "narrow the range in the recipe, or weigh that line", record.name),)  # fmt: skip


def _too_wide(law: Law, row: NutritionRow) -> str:
    span = hundred(row, law.basis)
    limits = allowed(law, row.key, span.mid) if span else None
    if limits is None:
        return ""
    low, high = limits
    below = low is not None and span.low < low - 1e-9
    over = high is not None and span.high > high + 1e-9
    return f"{row.key} runs from {span.low:.3g} to {span.high:.3g}, declared {span.mid:.3g}" if below or over else ""
