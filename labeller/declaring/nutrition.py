"""The law's figures of a dish: its own definitions from exact totals, with bounds, then rounded once for print."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import NamedTuple

from msgspec.structs import replace

from labeller.declaring.rounding import Rounded, exact, rounded, without_text
from labeller.declaring.settled import COARSE, Reach, reach, settled
from labeller.terms.findings import NOWHERE, Finding, finding
from labeller.terms.laws import Law, NutrientLine, Sum, Words
from labeller.terms.record import Corner, DishRecord, NutritionRow
from labeller.terms.spans import Span

WHOLE, AT_LEAST, NOT_KNOWN = "whole", "at least", "not known"
_SAME = 1e-6  # two shares of the weight that differ by less are equal


class Amount(NamedTuple):
    """value: per portion at one corner. known: share of the weight it is known for. bound: what is known is a lower bound of
    the whole (no part that is taken off is known for less than what it is taken off from). low, high: ends between which the
    value lies (None: it is exact); open: share of the weight that is known only between these ends, counted in ``known``."""

    value: float
    known: float
    bound: bool
    low: float | None = None
    high: float | None = None
    open: float = 0.0

    @property
    def ends(self) -> tuple[float, float]:
        return (self.value, self.value) if self.low is None else (self.low, self.high)


class Figure(NamedTuple):
    """A quantity of the law over all corners: per 100 g and per portion, with bounds; per 100 ml of a food sold by volume.
    between: its ends per 100 of the first column, where they print differently (their share is then not in ``known``). settled:
    it prints the same whatever its missing part is (see :mod:`labeller.declaring.settled`), by the fine or the coarse rounding.
    ends: per portion, of a figure that some of is missing, where the most that it can be is known."""

    key: str
    per_100g: Span
    per_portion: Span
    known: float
    bound: bool
    per_100ml: Span | None = None
    between: tuple[float, float] | None = None
    settled: str = ""
    ends: Reach | None = None


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
    total, low, high, shares, taken_off = 0.0, 0.0, 0.0, [], []
    more, opened = _perhaps(choice, corner)
    for key, factor in choice.terms:
        part = _term(key, choice, corner, law)
        if part is None and opened and key not in choice.where_known:
            part = Amount(0.0, 0.0, True)
        if part is None:
            if key in choice.where_known:
                continue
            return None
        ends = sorted(factor * end for end in part.ends)
        total, low, high = total + factor * part.value, low + ends[0], high + ends[1]
        if key not in choice.where_known:
            (taken_off if factor < 0 else shares).append(part.known + opened)
        if not part.bound:
            taken_off.append(0.0)
        opened = max(opened, part.open)
    total, high = total + more / 2, high + more
    if choice.least is not None:
        total, low, high = (max(each, choice.least) for each in (total, low, high))
    known = min(shares + [share for share in taken_off if share], default=1.0)
    bound = all(off >= max(shares, default=0.0) - _SAME for off in taken_off)
    return Amount(total, known, bound, low, high, opened) if opened else Amount(total, known, bound)


def _perhaps(choice: Sum, corner: Corner) -> tuple[float, float]:
    """(amount of which between nothing and all belongs to the sum, share of the weight that it stands for)."""
    key = choice.perhaps
    return (corner.totals[key], corner.known.get(key, 0.0)) if key and key in corner.totals else (0.0, 0.0)


def _term(key: str, choice: Sum, corner: Corner, law: Law) -> Amount | None:
    if choice.own:
        return amount(key, corner, law)
    if key not in corner.totals:
        return None
    return Amount(corner.totals[key], corner.known.get(key, 0.0), True)


def figure(key: str, record: DishRecord, law: Law, density: float | None = None) -> Figure | None:
    """Middle from the middle corner; bounds are the least and greatest over all corners. density: g/ml of a food sold by
    volume."""
    middle = record.middle
    found = amount(key, middle, law) if middle else None
    if middle is None or middle.weight_g <= 0:
        return None
    ends, way = _missing(key, found, middle, law, density)
    if found is None and not way:
        return None
    found = found or Amount(0.0, 0.0, True)
    at = [(found, middle)] + [(one, corner) for corner in record.corners if (one := amount(key, corner, law)) is not None]
    between = None
    if found.open and not _prints_the_same(key, found, middle.weight_g, law, density):
        between = tuple(end / middle.weight_g * 100 * (density or 1.0) for end in found.ends)
        at = [(one._replace(value=one.ends[0], known=one.known - one.open, bound=True), corner) for one, corner in at]
    portions = [one.value for one, _ in at]
    hundreds = [one.value / corner.weight_g * 100 for one, corner in at if corner.weight_g > 0]
    known = min(one.known for one, _ in at)
    per_100g = _span(hundreds)
    return Figure(key, per_100g, _span(portions), known, at[0][0].bound, density and per_100g.times(density), between, way, ends)


def _missing(key: str, found: Amount | None, middle: Corner, law: Law, density: float | None) -> tuple[Reach | None, str]:
    """The ends of a figure that is known for too little of the weight, and by which rounding both print the same."""
    if found is not None and found.known >= law.house.known_share - _SAME:
        return None, ""
    ends = reach(key, middle, law)
    if ends is None or ends.share < law.house.known_share - _SAME:
        return None, ""
    return ends, settled(key, ends, _columns(middle.weight_g, density), law, percent)


def _columns(weight: float, density: float | None) -> dict[str, float]:
    """What an amount per portion is multiplied by in each column."""
    return {"100 g": 100 / weight, "100 ml": 100 / weight * (density or 1.0), "portion": 1.0}


def _prints_the_same(key: str, found: Amount, weight: float, law: Law, density: float | None) -> bool:
    """Whether both ends of an amount are one printed text in every column of the table."""
    roundings = [law.roundings[line.rounding] for line in law.lines if line.key == key]
    shown = [_columns(weight, density)[basis] for basis in law.basis]
    return bool(roundings) and all(
        rounded(found.ends[0] * size, table_).text == rounded(found.ends[1] * size, table_).text
        for size in shown for table_ in roundings)  # fmt: skip


def _span(values: list[float]) -> Span:
    """The first value with the bounds of all."""
    return Span(min(values), values[0], max(values))


def table(record: DishRecord, law: Law, words: Words, also: tuple[str, ...] = (), single: bool = False,
          density: float | None = None, drink: bool = False) -> Table:  # fmt: skip
    """Rows and figures of a dish by its law. Empty, with the finding that says why, where there is no weight.

    density: g/ml, where the law's table is per 100 ml. drink: the significant amounts of drinks hold.
    also: nutrients that the kitchen wants printed though the law leaves them free ("fibre", "vitamin c"). single: the pack is
    one portion, so that a portion's amount counts for what is significant.
    """
    if not law.lines:
        return Table((), (), ())
    if record.middle is None or record.middle.weight_g <= 0:
        return Table((), (), (finding("portion-not-known", NOWHERE, f"\"{record.name}\": the weight of a portion is not known.",
                                      "give the portion or the pack a weight", record.name),))  # fmt: skip
    keys = dict.fromkeys([line.key for line in law.lines] + [line.percent_of for line in law.lines])
    found = {key: figure(key, record, law, density) for key in keys}
    limits = _Significant(law, single, drink)
    figures = _Printer(law, words, record, limits).rows(found)
    asked, unheard = asked_keys(also, law)
    refused = [key for key in asked if not _may_be_asked(key, law, found, limits)]
    rows = tuple([row if law.percent_printed else replace(row, share="") for row, line in zip(figures, law.lines, strict=True)
                  if _is_shown(line, found[line.key], law) or (line.key in asked and line.key not in refused)])  # fmt: skip
    return Table(rows, figures, _findings(record, law, found, rows) + _not_added(record, law, unheard, refused))


def asked_keys(also: tuple[str, ...], law: Law) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """(keys of the law's lines, names without one) for nutrients named as a kitchen does ("vitamin c", "fibre", "potassium");
    with those that the law wants beside them."""
    keys, unheard = [], []
    for name in also:
        wanted = "_".join(name.lower().replace("fiber", "fibre").split())
        found = [line.key for line in law.lines if line.key.rpartition("_")[0].removesuffix("_dfe") == wanted]
        keys += found
        if not found:
            unheard.append(name)
    keys += [line.key for line in law.lines if line.along in keys]
    return tuple(dict.fromkeys(keys)), tuple(unheard)


class _Significant(NamedTuple):
    """What decides whether a vitamin or mineral may be declared. single: the pack is one portion; drink: the limit of drinks
    holds."""

    law: Law
    single: bool
    drink: bool

    def allowed(self, line: NutrientLine, one: Figure | None) -> bool:
        if line.shown != "when significant":
            return True
        if one is None:
            return False
        if significant(line, (one.per_100ml or one.per_100g).mid, self.law, self.drink):
            return True
        return self.single and significant(line, one.per_portion.mid, self.law)


def _may_be_asked(key: str, law: Law, found: Mapping[str, Figure | None], limits: _Significant) -> bool:
    """A voluntary figure stands only when it is known for enough of the weight and the law lets it be declared."""
    line = next(line for line in law.lines if line.key == key)
    return certainty(found[key], law) == WHOLE and limits.allowed(line, found[key])


def _not_added(record: DishRecord, law: Law, unheard: tuple[str, ...], refused: list[str]) -> tuple[Finding, ...]:
    parts = [f"{law.key} has no line for {', '.join(unheard)}"] if unheard else []
    if refused:
        parts.append(f"{', '.join(refused)} known for too little of the weight, or below what may be declared")
    if not parts:
        return ()
    return (finding("nutrient-not-added", NOWHERE,
                    f"\"{record.name}\" does not print all that `declare also` asks for: {'; '.join(parts)}.",
                    "take it off `declare also`, or match the foods whose value is missing", record.name),)  # fmt: skip


def certainty(one: Figure | None, law: Law) -> str:
    """Whether a figure may be printed as whole, as a lower bound, or not at all."""
    if one is None:
        return NOT_KNOWN
    if one.settled or one.known >= law.house.known_share - _SAME:
        return WHOLE
    return AT_LEAST if one.bound and one.known > 0 else NOT_KNOWN


def _is_shown(line: NutrientLine, one: Figure | None, law: Law) -> bool:
    if line.shown == "always":
        return True
    return line.shown == "when whole" and certainty(one, law) == WHOLE


class _Printer:
    """Printed texts of a law's lines for one dish."""

    def __init__(self, law: Law, words: Words, record: DishRecord, limits: _Significant) -> None:
        self.law, self.words, self.at_least, self.limits = law, words, bool(record.unknown_amounts), limits

    def rows(self, found: Mapping[str, Figure | None]) -> tuple[NutritionRow, ...]:
        return tuple([self._row(line, found) for line in self.law.lines])

    def _row(self, line: NutrientLine, found: Mapping[str, Figure | None]) -> NutritionRow:
        one = found[line.key]
        state = certainty(one, self.law)
        bound = state == AT_LEAST or (self.at_least and state == WHOLE)
        texts = {"100 g": "", "100 ml": "", "portion": ""}
        for basis in self.law.basis if self.limits.allowed(line, one) else ():
            texts[basis] = self.words.phrases["not known"] if state == NOT_KNOWN else self._text(line, found, basis, bound)
            texts[basis] += self._of_reference(line, one, basis)
        share = self._share(line, found[line.percent_of])
        return NutritionRow(
            line.key, self._name(line, texts["portion"]), texts["100 g"], texts["portion"], share, line.indent, line.bold,
            *((one.per_100g, one.per_portion) if one and one.known else (None, None)), one.known if one else 0.0, bound,
            str(self.law.roundings[line.rounding].rule), per_100ml=texts["100 ml"],
            value_100ml=one and one.per_100ml, ends=(one.ends.low, one.ends.high) if one and one.ends else None,
            settled=bool(one and one.settled))  # fmt: skip

    def _of_reference(self, line: NutrientLine, one: Figure, basis: str) -> str:
        """A voluntary vitamin or mineral carries its share of the reference value beside its amount (Art. 32(3))."""
        if line.shown != "when significant" or certainty(one, self.law) == NOT_KNOWN:
            return ""
        return f" ({self.words.phrases['of reference value'].replace('{percent}', percent(line, _of(one, basis).mid, self.law))})"

    def _name(self, line: NutrientLine, amount: str) -> str:
        """In the language's own words for this law, else for the nutrient, else as the law's file has it; with the amount in
        it where the law words them as one ("Includes 10g Added Sugars")."""
        if line.around and amount and self.words.language == "en":
            return line.around.replace("{}", amount)
        if not line.name:
            return ""
        own = self.words.nutrients
        missing = line.name if self.words.language == "en" else f"[{line.name}]"
        return own.get(f"{self.law.key} {line.key}", own.get(line.key, missing))

    def _text(self, line: NutrientLine, found: Mapping[str, Figure | None], basis: str, bound: bool) -> str:
        coarse = found[line.key].settled == COARSE and line.coarse
        table_ = self.law.roundings[coarse or line.rounding]
        value = _of(found[line.key], basis).mid
        result = rounded(value, table_)
        if result.fixed:
            part = self._largest_part(line, found, basis)
            if part is not None and part > 0 and part >= (result.limit if result.number is None else result.number):
                result = without_text(value, table_)
        if bound and not result.number:  # "at least 0 g" and "at least <0.5 g" tell nothing
            return self.words.phrases["not known"]
        return self._bounded(self.words.number(with_unit(result, line.unit, self.law)), bound)

    def _largest_part(self, line: NutrientLine, found: Mapping[str, Figure | None], basis: str) -> Decimal | None:
        """The largest printed part of this line, so that the whole never prints as less than its part."""
        parts = [rounded(_of(one, basis).mid, self.law.roundings[other.rounding]).number
                 for other in self.law.lines if other.part_of == line.key and (one := found[other.key]) is not None]  # fmt: skip
        return max([part for part in parts if part is not None], default=None)

    def _bounded(self, text: str, bound: bool) -> str:
        return self.words.phrases["at least"].replace("{}", text) if bound else text

    def _share(self, line: NutrientLine, one: Figure | None) -> str:
        """Share of the daily amount, "" where the law has none or the amount is not known."""
        state = certainty(one, self.law)
        if line.reference is None or state == NOT_KNOWN:
            return ""
        text, bound = percent(line, one.per_portion.mid, self.law), state == AT_LEAST or self.at_least
        return "" if bound and text.strip(" %") == "0" else self._bounded(text, bound)


def percent(line: NutrientLine, value: float, law: Law) -> str:
    """Printed share of the daily amount; from the declared amount where the law's file says so and that is a number."""
    base = exact(value)
    if line.percent_from == "declared" and line.percent_of == line.key:
        number = rounded(value, law.roundings[line.rounding]).number
        base = base if number is None else number
    result = rounded(float(base / exact(line.reference) * 100), law.roundings[line.percent_rounding])
    return with_unit(result, "%", law)


def significant(line: NutrientLine, per_100: float, law: Law, drink: bool = False) -> bool:
    """Whether a vitamin or mineral reaches the amount from which the law lets it be declared, per 100 g (a drink: 100 ml)."""
    least = law.figure("significant amount in drinks" if drink else "significant amount")
    return least is None or line.reference is None or exact(per_100) / exact(line.reference) * 100 >= exact(least)


def with_unit(result: Rounded, unit: str, law: Law) -> str:
    """Number and unit as the law sets them; a fixed text carries its own unit."""
    if result.fixed or not unit:
        return result.text
    spaced = law.percent_spaced if unit == "%" else law.unit_spaced
    return f"{result.text}{' ' if spaced else ''}{unit}"


def _of(one: Figure, basis: str) -> Span:
    return {"100 g": one.per_100g, "100 ml": one.per_100ml, "portion": one.per_portion}[basis]


def _findings(record: DishRecord, law: Law, found: Mapping[str, Figure | None],
              rows: tuple[NutritionRow, ...]) -> tuple[Finding, ...]:  # fmt: skip
    texts = {AT_LEAST: [], NOT_KNOWN: []}
    for row in rows:
        one = found[row.key]
        state = certainty(one, law)
        if state != WHOLE:
            texts[state].append(f"{row.key} ({one.known if one else 0.0:.0%} of the weight{_between(one, law)})")
    out = [finding("figure-not-whole", NOWHERE, f"\"{record.name}\" under {law.key} prints \"{state}\" for {', '.join(keys)}.",
                   "match or describe the ingredients whose value is missing (`labeller why` names them)", record.name)
           for state, keys in texts.items() if keys]  # fmt: skip
    if record.unknown_amounts:
        out.append(finding("figure-at-least", NOWHERE,
                           f"\"{record.name}\": no amount is known for {', '.join(record.unknown_amounts)}; "
                           "figures are \"at least\".",
                           "weigh it, or write `about` beside the vague amount", record.name))  # fmt: skip
    missing = [row.name for row in rows if row.name.startswith("[")]
    if missing:
        out.append(finding("word-not-there", NOWHERE, f"No word in the language of \"{record.name}\" for {', '.join(missing)}.",
                           "add it to the words of that language", record.name))  # fmt: skip
    return (*out, *_alcohol_finding(record, law), *_protein_finding(record, law))


def _between(one: Figure | None, law: Law) -> str:
    """What is at stake where only the fibre of some food is not known."""
    if one is None or one.between is None:
        return ""
    low, high = one.between
    unit = one.key.rpartition("_")[2].replace("kj", "kJ")
    return f"; between {low:.3g} and {high:.3g} {unit} per {law.basis[0]}, as the fibre of some food is not known"


def _alcohol_finding(record: DishRecord, law: Law) -> tuple[Finding, ...]:
    """Energy by a law counts alcohol where it is known."""
    known = record.middle.known.get("alcohol_g", 0.0)
    sums = [choice for quantity in law.quantities.values() for choice in quantity.choices if choice.own]
    if known >= law.house.known_share or not any(key == "alcohol_g" for choice in sums for key, _ in choice.terms):
        return ()
    return (finding("energy-without-alcohol", NOWHERE,
                    f"\"{record.name}\": alcohol is known for {known:.0%} of the weight; energy counts none for the rest.",
                    "match each drink, or write its strength on the product", record.name),)  # fmt: skip


def _protein_finding(record: DishRecord, law: Law) -> tuple[Finding, ...]:
    """The law's own definition of protein could not be followed for all of the weight."""
    protein = law.quantities.get("protein_g")
    if protein is None or len(protein.choices) < 2 or "protein_g" not in record.middle.totals:
        return ()
    first, second = (_summed(choice, record.middle, law) for choice in protein.choices[:2])
    if first is not None and first.known >= second.known - _SAME:
        return ()
    return (finding("protein-not-restated", NOWHERE,
                    f"\"{record.name}\": nitrogen is known for {first.known if first else 0.0:.0%} of the weight; "
                    "protein is printed as the food table has it.", "nothing to mend in the kitchen", record.name),)  # fmt: skip
