"""An amount becomes grams: weights as they are; volumes and pieces by the product's own figure, else the food row's
household measure, else a table. The step says which; what can't be known is a finding with the line to type.

Household measures of USDA food rows are US customary: a cup of theirs is 236.5882365 ml whatever the kitchen's cup is.
"""

from __future__ import annotations

from itertools import pairwise

from msgspec.structs import replace

from labeller.terms.evidence import Step
from labeller.terms.findings import NOWHERE, Finding, Place, finding
from labeller.terms.foods import Food, Measure
from labeller.terms.kitchen import Amount
from labeller.terms.measures import Conversion, Density, MeasureTables, PieceWeight
from labeller.terms.spans import Span
from labeller.terms.words import fold, normalise, words

Answer = tuple[Conversion | None, tuple[Finding, ...]]
WIDE = 1.10  # measures of one unit that differ by more than this factor ask for the cut
UNIT_WORDS = {
    "cup": "cup", "tbsp": "tbsp", "tablespoon": "tbsp", "tsp": "tsp", "teaspoon": "tsp", "pint": "pint", "quart": "quart",
    "gallon": "gallon", "liter": "l", "litre": "l", "ml": "ml", "dash": "dash", "pinch": "pinch", "drop": "drop",
}  # fmt: skip
BY_PRECISION = ("cup", "pint", "quart", "gallon", "l", "fl_oz", "ml", "tbsp", "tsp")
SIZES = frozenset(("small", "medium", "large", "extra", "jumbo"))
PARTS = frozenset((
    "slice", "strip", "wedge", "ring", "cup", "tbsp", "tablespoon", "tsp", "teaspoon", "oz", "lb", "serving", "nlea", "package",
    "can", "container", "jar", "box", "bag", "bottle", "section", "cubic", "inch", "fl",
))  # fmt: skip
WHOLE = frozenset(("fruit", "whole", "each", "unit", "item", "piece"))
UNUSUAL = frozenset(("extra", "jumbo"))
SAME_CUT = {"sliced": "slice", "cubed": "cube", "diced": "cube", "dice": "cube", "halved": "half", "flaked": "flake"}
# Words before a name that leave its density and piece weight as they are. Common practice, no source.
HARMLESS = frozenset(words(
    "fresh freshly cold chilled warm hot lukewarm boiling iced organic fine good best quality extra virgin raw unsalted salted "
    "plain pure whole ripe free range local filtered tap dry strong cooking homemade house english french italian spanish "
    "greek japanese washed peeled trimmed squeezed pressed light dark"))  # fmt: skip


def to_grams(amount: Amount, *, name: str, tables: MeasureTables, system: str = "metric", density: float | None = None,
             pieces: tuple[tuple[str, float], ...] = (), food: Food | None = None, place: Place = NOWHERE,
             subject: str = "") -> Answer:  # fmt: skip
    """Grams of an amount of ``name``.

    density: the product's own, g/ml. pieces: the product's own, (word, grams). food: the row it was matched to. system: the
    kitchen's measures. place, subject: for findings. Returns None where the grams are not known, and why.
    """
    if amount.vague:
        if amount.about is None:
            return None, (_not_known(amount, name, place, subject),)
        found, problems = to_grams(amount.about, name=name, tables=tables, system=system, density=density, pieces=pieces,
                                   food=food, place=place, subject=subject)  # fmt: skip
        if found is None:
            return None, problems
        step = Step(f"{amount.vague}, about {amount.about.text} by the kitchen", place, "", (found.step,))
        return replace(found, step=step), problems
    if amount.unit == "piece":
        return _Pieces(amount, name, tables, system, place, subject).grams(pieces, food)
    unit = tables.units.get((amount.unit, system))
    if unit is None:
        return None, (_two_sizes(amount, name, tables, place, subject),)
    if unit.kind == "weight":
        return Conversion(amount.number.times(unit.size), "", Step(amount.text, place)), ()
    return _Volume(amount, name, tables, system, place, subject).grams(density, food)


def _not_known(amount: Amount, name: str, place: Place, subject: str) -> Finding:
    return finding("amount-not-known", place, f'"{name}: {amount.text}" has no amount; the figures are "at least"',
                   f"- {name}: {{amount: {amount.vague}, about: 3 g}}", subject)  # fmt: skip


def _two_sizes(amount: Amount, name: str, tables: MeasureTables, place: Place, subject: str) -> Finding:
    sizes = [f"{system} {tables.units[amount.unit, system].size:g} ml" for system in ("us", "imperial")
             if (amount.unit, system) in tables.units]  # fmt: skip
    return finding("unit-in-two-sizes", place, f'"{name}: {amount.text}": metric measures have no {_spoken(amount.unit)} '
                   f"({', '.join(sizes)})", f"- {name}: ... ml, or `measures: imperial` in kitchen.yaml", subject)  # fmt: skip


class _Volume:
    """A volume on its way to grams."""

    def __init__(self, amount: Amount, name: str, tables: MeasureTables, system: str, place: Place, subject: str) -> None:
        self.amount, self.name, self.tables, self.system = amount, name, tables, system
        self.place, self.subject = place, subject
        self.ml = amount.number.times(tables.units[amount.unit, system].size)

    def grams(self, density: float | None, food: Food | None) -> Answer:
        if density is not None:
            return self._by(Span.of(density), "density of the product", "", ()), ()
        if food is not None:
            found = self._by_row(food)
            if found is not None:
                return found
        return self._by_table()

    def _by(self, density: Span, what: str, basis: str, under: tuple[Step, ...], source: str = "") -> Conversion:
        grams = Span(self.ml.low * density.low, self.ml.mid * density.mid, self.ml.high * density.high)
        text = f"{self.amount.text} = {self.ml.mid:.4g} ml x {density.mid:.4g} g/ml ({what}) = {grams.mid:.4g} g"
        return Conversion(grams, basis, Step(text, self.place, source, under))

    def _by_row(self, food: Food) -> Answer | None:
        """The same unit of the row first, else its largest volume; both scaled by millilitres."""
        by_unit: dict[str, list[Measure]] = {}
        for measure in food.measures:
            unit = unit_of(measure.words)
            if unit and measure.amount and "yield" not in measure.words.replace("edible yield", ""):
                by_unit.setdefault(unit, []).append(measure)
        for unit in (self.amount.unit, *BY_PRECISION):
            if unit in by_unit and (unit == self.amount.unit or self._plain(by_unit, unit)):
                return self._with(food, unit, self._chosen(by_unit[unit]))
        return None

    @staticmethod
    def _plain(by_unit: dict[str, list[Measure]], unit: str) -> bool:
        """A unit of which the row has a measure without a cut, unless no unit has one."""
        def bare(measures: list[Measure]) -> bool:
            return any(not cut_of(each.words) for each in measures)

        return bare(by_unit[unit]) or not any(bare(measures) for measures in by_unit.values())

    def _chosen(self, measures: list[Measure]) -> list[Measure]:
        """Those whose cut the line names; else those without a cut; else all."""
        said = {SAME_CUT.get(word, word) for word in words(f"{self.name} {self.amount.text}")}
        named = [each for each in measures if cut_of(each.words) and cut_of(each.words) & said]
        if named:
            best = max(len(cut_of(each.words) & said) for each in named)
            return [each for each in named if len(cut_of(each.words) & said) == best]
        return [each for each in measures if not cut_of(each.words)] or measures

    def _with(self, food: Food, unit: str, measures: list[Measure]) -> Answer:
        size = self.tables.units[unit, "us"].size
        figures = sorted(each.grams / (each.amount * size) for each in measures)
        density = Span(figures[0], figures[len(figures) // 2] if len(figures) % 2 else sum(figures) / len(figures), figures[-1])
        shown = ", ".join(f"{each.amount:g} {each.words} {each.grams:g} g" for each in measures)
        source = f"USDA {food.release}, {food.code}: {shown}; {_spoken(unit)} of the row: US, {size:.6g} ml"
        found = self._by(density, "household measure of the food row", measures[0].basis, (), source)
        if figures[-1] <= figures[0] * WIDE:
            return found, ()
        text = f'"{self.name}: {self.amount.text}" weighs {found.grams.low:.3g} to {found.grams.high:.3g} g by its cut ({shown})'
        mend = f"- {self.name}: {found.grams.mid:.0f} g"
        return found, (finding("cut-not-said", self.place, text, mend, self.subject),)

    def _by_table(self) -> Answer:
        rows = [row for row in look_up(self.tables.densities, self.name) if row.use]
        if not rows:
            text = f'"{self.name}: {self.amount.text}": what a millilitre of it weighs is not known'
            mend = f"- {self.name}: ... g (weigh it once), or on the product `density: 1.02 g/ml`"
            return None, (finding("no-density", self.place, text, mend, self.subject),)
        row = rows[0]
        found = self._by(Span.of(row.g_per_ml), f"density of {row.item}", "edible", (), row.source)
        return found, (self._differs(row),) if row.differs else ()

    def _differs(self, row: Density) -> Finding:
        return finding("density-sources-differ", self.place, f'"{self.name}": tables give densities over 10 % apart; '
                       f"{row.g_per_ml:g} g/ml was used ({row.caution or row.source})",
                       f"on the product `density: {row.g_per_ml:g} g/ml`, as you weighed it", self.subject)  # fmt: skip


class _Pieces:
    """A count on its way to grams."""

    def __init__(self, amount: Amount, name: str, tables: MeasureTables, system: str, place: Place, subject: str) -> None:
        self.amount, self.name, self.tables, self.system = amount, name, tables, system
        self.place, self.subject = place, subject
        self.said = frozenset(words(amount.piece_word)) - WHOLE

    def grams(self, own: tuple[tuple[str, float], ...], food: Food | None) -> Answer:
        if own:
            found = self._by_product(own)
            if found is not None:
                return found, ()
        table = self._table_rows()
        if table and table[0].first:
            return self._by_table(table[0])
        if food is not None:
            found = self._by_row(food)
            if found is not None:
                return found
        return self._by_table(table[0]) if table else self._unknown(food)

    def _by(self, one: Span, what: str, basis: str, source: str) -> Conversion:
        number = self.amount.number
        grams = Span(number.low * one.low, number.mid * one.mid, number.high * one.high)
        each = f"{one.mid:.4g} g" if one.low == one.high else f"{one.low:.3g} to {one.high:.3g} g"
        return Conversion(grams, basis, Step(f"{self.amount.text} x {each} ({what}) = {grams.mid:.4g} g", self.place, source))

    def _by_product(self, own: tuple[tuple[str, float], ...]) -> Conversion | None:
        for word, grams in own:
            said = frozenset(words(word)) - WHOLE
            if said == self.said or (len(own) == 1 and (not said or not self.said)):
                return self._by(Span.of(grams), "piece weight of the product", "", "")
        return None

    def _table_rows(self) -> list[PieceWeight]:
        rows = [row for row in look_up(self.tables.pieces, self.name) if row.system in ("", self.system)]
        return [row for row in rows if frozenset(words(row.word)) == self.said]

    def _by_table(self, row: PieceWeight) -> Answer:
        what = f"{row.item}{', ' + row.word if row.word else ''}"
        return self._asking(self._by(row.grams, what, row.basis, row.source), row.asks)

    def _asking(self, found: Conversion, asks: bool) -> Answer:
        if not asks:
            return found, ()
        text = f'"{self.name}: {self.amount.text}" weighs {found.grams.low:.3g} to {found.grams.high:.3g} g, as they are sold'
        mend = f"- {self.name}: {found.grams.mid:.0f} g, or on the product `one piece weighs: ... g`"
        return found, (finding("piece-size-not-said", self.place, text, mend, self.subject),)

    def _by_row(self, food: Food) -> Answer | None:
        measures = self._of_row(food)
        if not measures:
            return None
        figures = sorted(each.grams / each.amount for each in measures)
        middle = figures[len(figures) // 2] if len(figures) % 2 else sum(figures) / len(figures)
        usual = [each.grams / each.amount for each in measures if "medium" in each.words.lower()]
        one = Span(figures[0], usual[0] if usual else middle, figures[-1])
        shown = ", ".join(f"{each.amount:g} {each.words} {each.grams:g} g" for each in measures)
        source = f"USDA {food.release}, {food.code}: {shown}"
        found = self._by(one, "household measure of the food row", measures[0].basis, source)
        return self._asking(found, figures[-1] > figures[0] * WIDE)

    def _of_row(self, food: Food) -> list[Measure]:
        """Measures of the row that are the piece asked for: all words typed are in it, and it is no slice unless typed."""
        line = frozenset(words(self.name)) - SIZES
        named = line | (frozenset(words(food.description)) - SIZES)
        out = []
        for measure in food.measures:
            head = head_of(measure.words)
            if not head or not measure.amount or unit_of(measure.words) or "yield" in measure.words:
                continue
            extra = head - self.said - other_words_for(self.said, measure.words)
            if not self.said <= head | (named & self.said) or extra & PARTS or (extra & UNUSUAL):
                continue
            strange = len(extra - SIZES - WHOLE - named)
            if strange == 0 or self.said & head:
                out.append(((strange, bool(extra & SIZES and self.said & SIZES), -len(head & line)), measure))
        best = min((rank for rank, _ in out), default=None)
        return [measure for rank, measure in out if rank == best]

    def _unknown(self, food: Food | None) -> Answer:
        has = [f"{each.amount:g} {each.words} {each.grams:g} g" for each in food.measures] if food else []
        known = f"; its food row knows: {'; '.join(has[:6])}" if has else ""
        text = f'"{self.name}: {self.amount.text}": what one of them weighs is not known{known}'
        word = self.amount.piece_word
        one = f"weigh one {word} of it" if word else "weigh ten, divide"
        mend = f"- {self.name}: ... g ({one}), or on the product `one piece weighs: 25 g`"
        return None, (finding("no-piece-weight", self.place, text, mend, self.subject),)


def unit_of(text: str) -> str:
    """Our unit of a household measure's words ("cup, chopped" -> cup), "" when it is no volume."""
    low = fold(text)
    if low.startswith("fl oz"):
        return "fl_oz"
    first = words(text)[:1]
    return UNIT_WORDS.get(first[0], "") if first else ""


def cut_of(text: str) -> frozenset[str]:
    """What a household measure says beyond its unit ("cup, chopped" -> chopped); remarks in brackets don't count."""
    head = words(text.partition("(")[0])
    skip = 2 if head[:2] == ("fl", "oz") else 1
    return frozenset(SAME_CUT.get(word, word) for word in head[skip:]) - {"or", "and", "fluid", "not", "packed", "liquid", "the"}


def head_of(text: str) -> frozenset[str]:
    """The words of a household measure before its bracket ("stalk, large (11" long)" -> stalk, large)."""
    return frozenset(word for word in words(text.partition("(")[0]) if word[0].isalpha())


def other_words_for(said: frozenset[str], text: str) -> frozenset[str]:
    """The other names that a household measure gives to the piece typed: "wedge or slice" is a wedge, and a slice."""
    both = (frozenset(words(left)[-1:] + words(right)[:1]) for left, right in pairwise(text.partition("(")[0].split(" or ")))
    return frozenset(word for pair in both if pair & said for word in pair - said)


def look_up(table: dict[str, tuple], name: str) -> tuple:
    """Rows under a name; leading words that change nothing ("fresh", "extra virgin") may be left off."""
    said = normalise(name).split()
    while said:
        rows = table.get(" ".join(said))
        if rows is not None:
            return rows
        if said[0] not in HARMLESS:
            break
        said = said[1:]
    return ()


def _spoken(unit: str) -> str:
    return "fluid ounce" if unit == "fl_oz" else unit
