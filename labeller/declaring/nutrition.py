"""The law's figures of a dish: its own definitions from exact totals, with bounds, then rounded once for print."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import NamedTuple

from labeller.declaring.rounding import Rounded, exact, rounded, without_text
from labeller.terms.findings import NOWHERE, Finding, finding
from labeller.terms.laws import Law, NutrientLine, Sum, Words
from labeller.terms.record import Corner, DishRecord, NutritionRow
from labeller.terms.spans import Span

WHOLE, AT_LEAST, NOT_KNOWN = "whole", "at least", "not known"
_SAME = 1e-6  # two shares of the weight that differ by less are equal


class Amount(NamedTuple):
    """value: per portion at one corner. known: share of the weight it is known for. bound: what is known is a lower bound of
    the whole (no part that is taken off is known for less than what it is taken off from)."""

    value: float
    known: float
    bound: bool


class Figure(NamedTuple):
    """A quantity of the law over all corners: per 100 g and per portion, with bounds."""

    key: str
    per_100g: Span
    per_portion: Span
    known: float
    bound: bool


class Table(NamedTuple):
    """rows: what is printed, in the law's order. figures: every line of the law, printed or not. findings."""

    rows: tuple[NutritionRow, ...]
    figures: tuple[NutritionRow, ...]
    findings: tuple[Finding, ...]


def amount(key: str, corner: Corner, law: Law) -> Amount | None:
    """A quantity of the law at one corner, None where nothing of it is known."""
    quantity = law.quantities[key]
    for nr, choice in enumerate(quantity.choices):
        found = _summed(choice, corner, law)
        last = nr == len(quantity.choices) - 1
        if found is not None and (last or _as_whole(found, quantity.choices[nr + 1:], corner, law)):
            return found
    return None


def _as_whole(found: Amount, others: tuple[Sum, ...], corner: Corner, law: Law) -> bool:
    """Known for as much of the weight as any later choice: else the later one says more."""
    rest = [one for one in (_summed(other, corner, law) for other in others) if one is not None]
    return all(found.known >= one.known - _SAME for one in rest)


def _summed(choice: Sum, corner: Corner, law: Law) -> Amount | None:
    total, shares, taken_off = 0.0, [], []
    for key, factor in choice.terms:
        part = _term(key, choice, corner, law)
        if part is None:
            if key in choice.where_known:
                continue
            return None
        total += factor * part.value
        if key not in choice.where_known:
            (taken_off if factor < 0 else shares).append(part.known)
        if not part.bound:
            taken_off.append(0.0)
    if choice.least is not None:
        total = max(total, choice.least)
    known = min(shares + [share for share in taken_off if share], default=1.0)
    return Amount(total, known, all(off >= max(shares, default=0.0) - _SAME for off in taken_off))


def _term(key: str, choice: Sum, corner: Corner, law: Law) -> Amount | None:
    if choice.own:
        return amount(key, corner, law)
    if key not in corner.totals:
        return None
    return Amount(corner.totals[key], corner.known.get(key, 0.0), True)


def figure(key: str, record: DishRecord, law: Law) -> Figure | None:
    """Middle from the middle corner; bounds are the least and greatest over all corners."""
    middle = record.middle
    found = amount(key, middle, law) if middle else None
    if middle is None or found is None or middle.weight_g <= 0:
        return None
    others = [(one, corner) for corner in record.corners if (one := amount(key, corner, law)) is not None]
    portions = [found.value] + [one.value for one, _ in others]
    hundreds = [found.value / middle.weight_g * 100] + [one.value / corner.weight_g * 100 for one, corner in others if corner.weight_g > 0]
    known = min([found.known] + [one.known for one, _ in others])
    return Figure(key, Span(min(hundreds), hundreds[0], max(hundreds)), Span(min(portions), portions[0], max(portions)), known, found.bound)


def table(record: DishRecord, law: Law, words: Words) -> Table:
    """Rows and figures of a dish by its law. Empty, with the finding that says why, where there is no weight."""
    if record.middle is None or record.middle.weight_g <= 0:
        return Table((), (), (finding("portion-not-known", NOWHERE, f"\"{record.name}\": the weight of a portion is not known.",
                                      "give the portion or the pack a weight", record.name),))  # fmt: skip
    found = {line.key: figure(line.key, record, law) for line in law.lines}
    printer = _Printer(law, words, record)
    figures = printer.rows(found)
    rows = tuple([row for row, line in zip(figures, law.lines, strict=True) if _is_shown(line, found[line.key], law)])
    return Table(rows, figures, _findings(record, law, found, rows))


def certainty(one: Figure | None, law: Law) -> str:
    """Whether a figure may be printed as whole, as a lower bound, or not at all."""
    if one is None:
        return NOT_KNOWN
    if one.known >= law.house.known_share - _SAME:
        return WHOLE
    return AT_LEAST if one.bound and one.known > 0 else NOT_KNOWN


def _is_shown(line: NutrientLine, one: Figure | None, law: Law) -> bool:
    if line.shown == "always":
        return True
    return line.shown == "when whole" and certainty(one, law) == WHOLE


class _Printer:
    """Printed texts of a law's lines for one dish."""

    def __init__(self, law: Law, words: Words, record: DishRecord) -> None:
        self.law, self.words, self.at_least = law, words, bool(record.unknown_amounts)

    def rows(self, found: Mapping[str, Figure | None]) -> tuple[NutritionRow, ...]:
        return tuple([self._row(line, found) for line in self.law.lines])

    def _row(self, line: NutrientLine, found: Mapping[str, Figure | None]) -> NutritionRow:
        one = found[line.key]
        name = self.words.nutrients.get(f"{self.law.key} {line.key}", self.words.nutrients.get(line.key, line.name)) if line.name else ""
        state = certainty(one, self.law)
        if one is None or state == NOT_KNOWN:
            unknown = self.words.phrases["not known"]
            per_100g, per_portion = (unknown if basis in self.law.basis else "" for basis in ("100 g", "portion"))
            return NutritionRow(line.key, name, per_100g, per_portion, "", line.indent, line.bold, one and one.per_100g,
                                one and one.per_portion, one.known if one else 0.0, False, str(line.rule))  # fmt: skip
        bound = state == AT_LEAST or self.at_least
        per_100g = self._text(line, one.per_100g.mid, self._part(line, found, "per_100g"), bound) if "100 g" in self.law.basis else ""
        per_portion = self._text(line, one.per_portion.mid, self._part(line, found, "per_portion"), bound) if "portion" in self.law.basis else ""
        return NutritionRow(line.key, name, per_100g, per_portion, self.percent(line, one.per_portion.mid, bound), line.indent,
                            line.bold, one.per_100g, one.per_portion, one.known, bound, str(self.law.roundings[line.rounding].rule))  # fmt: skip

    def _part(self, line: NutrientLine, found: Mapping[str, Figure | None], basis: str) -> Decimal | None:
        """The largest printed part of this line, so that the whole never prints as less than its part."""
        parts = [rounded(getattr(one, basis).mid, self.law.roundings[other.rounding]).number
                 for other in self.law.lines if other.part_of == line.key and (one := found[other.key]) is not None]  # fmt: skip
        return max([part for part in parts if part is not None], default=None)

    def _text(self, line: NutrientLine, value: float, part: Decimal | None, bound: bool) -> str:
        table_ = self.law.roundings[line.rounding]
        result = rounded(value, table_)
        if result.fixed and part is not None and part >= (result.limit if result.number is None else Decimal("1e-9")):
            result = without_text(value, table_)
        return self._bounded(self.with_unit(result, line.unit), bound)

    def _bounded(self, text: str, bound: bool) -> str:
        return self.words.phrases["at least"].replace("{}", text) if bound else text

    def with_unit(self, result: Rounded, unit: str) -> str:
        if result.fixed or not unit:
            return result.text
        return f"{result.text}{' ' if self.law.unit_spaced else ''}{unit}"

    def percent(self, line: NutrientLine, value: float, bound: bool) -> str:
        """Share of the daily amount, "" where the law has none. From the declared amount where the law or its file says so."""
        if line.reference is None:
            return ""
        base = exact(value)
        if line.percent_from == "declared":
            number = rounded(value, self.law.roundings[line.rounding]).number
            base = base if number is None else number
        result = rounded(float(base / exact(line.reference) * 100), self.law.roundings[line.percent_rounding])
        text = result.text if result.fixed else f"{result.text}{' ' if self.law.percent_spaced else ''}%"
        return self._bounded(text, bound)


def _findings(record: DishRecord, law: Law, found: Mapping[str, Figure | None], rows: tuple[NutritionRow, ...]) -> tuple[Finding, ...]:
    out = []
    for row in rows:
        one = found[row.key]
        if certainty(one, law) == WHOLE:
            continue
        known = one.known if one else 0.0
        printed = "\"at least\"" if certainty(one, law) == AT_LEAST else "\"not known\""
        out.append(finding("figure-not-whole", NOWHERE,
                           f"\"{record.name}\": {row.key} is known for {known:.0%} of the weight and is printed as {printed} under {law.key}.",
                           "match or describe the ingredients whose value is missing (`labeller why` names them)", record.name))  # fmt: skip
    if record.unknown_amounts:
        out.append(finding("figure-at-least", NOWHERE,
                           f"\"{record.name}\": no amount is known for {', '.join(record.unknown_amounts)}; every figure is \"at least\".",
                           "weigh it, or write `about` beside the vague amount", record.name))  # fmt: skip
    return tuple(out) + _definition_findings(record, law)


def _definition_findings(record: DishRecord, law: Law) -> tuple[Finding, ...]:
    """Where the law's own definition could not be followed for all of the weight."""
    out, middle = [], record.middle
    alcohol = middle.known.get("alcohol_g", 0.0)
    uses_alcohol = any(key == "alcohol_g" for q in law.quantities.values() for choice in q.choices if choice.own for key, _ in choice.terms)
    if uses_alcohol and alcohol < law.house.known_share:
        out.append(finding("energy-without-alcohol", NOWHERE,
                           f"\"{record.name}\": alcohol is known for {alcohol:.0%} of the weight; energy counts none for the rest.",
                           "match each drink, or write its strength on the product", record.name))  # fmt: skip
    protein = law.quantities.get("protein_g")
    if protein and len(protein.choices) > 1 and "protein_g" in middle.totals:
        first, second = (_summed(choice, middle, law) for choice in protein.choices[:2])
        if first is None or (second is not None and first.known < second.known - _SAME):
            out.append(finding("protein-not-restated", NOWHERE,
                               f"\"{record.name}\": nitrogen is known for {first.known if first else 0.0:.0%} of the weight; protein is as the food table has it.",
                               "nothing to mend in the kitchen", record.name))  # fmt: skip
    return tuple(out)
