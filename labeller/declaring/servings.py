"""What the portion column of a table stands for: the plate, the pack, a serving of it, and how many there are in the pack.

US servings follow the reference amount customarily consumed (21 CFR 101.9(b), 101.12): the kitchen names it or its food, the
number of pieces and the second column follow from it. Elsewhere the kitchen says what a portion of a pack is, or it is the
whole pack.
"""

from __future__ import annotations

import re
from decimal import Decimal
from typing import NamedTuple

from msgspec.structs import replace

from labeller.declaring.reference_amounts import Amount, found
from labeller.declaring.rounding import exact, rounded
from labeller.terms.findings import NOWHERE, Finding, finding
from labeller.terms.kitchen import Recipe
from labeller.terms.laws import CHECKED, Law, Words
from labeller.terms.record import Corner, DishRecord

WHOLE_PACK = "whole pack"
_SHORT_BY = 1e-6
_NEAR = 0.9  # a stated minimum this near to the recipe's weight is of the same pack; further off one of them is wrong
OUNCE_G = 28  # 101.9(b)(5)(viii): 1 oz is 28 g in household measures, not the ounce of the net weight
_GRAMS = r"(\d+(?:\.\d+)?)\s*g\b"
_MILLILITRES = r"(\d+(?:\.\d+)?)\s*ml\b"
_DENOMINATORS = (2, 3, 4, 5, 6, 8, 9, 10, 12, 15, 18)  # 101.9(b)(2)(ii): 2 to 6, or these halved or parted in three


class Serving(NamedTuple):
    """share: of the record's weight that one serving is. words: over its column ("\\n" between lines). pack_words: over the
    second column, per whole pack or unit, "" where the law asks for none. second: share of the record's weight that the second
    column is of. note: number of portions where it does not stand in ``words``. density: g/ml where the table is per 100 ml.
    whole: share of the record's weight that the pack is, by the net weight on its label."""

    share: float
    words: str
    pack_words: str = ""
    second: float = 1.0
    note: str = ""
    findings: tuple[Finding, ...] = ()
    density: float | None = None
    whole: float = 1.0


def serving(record: DishRecord, law: Law, words: Words, recipe: Recipe | None, shown: bool,
            density: float | None = None) -> Serving:  # fmt: skip
    """The serving of a record under a law. shown: a table will be printed, so what is missing for it is told. density: g/ml of a
    pack whose portions are told by volume."""
    if record.kind != "pack" or recipe is None or record.weight_g.mid <= 0:
        return Serving(1.0, _words(record, law, words, record.weight_g.mid))
    whole = _stated(record, recipe, density)
    if law.pack_words and not recipe.serving and _NEAR <= whole <= 1.0:
        return _of_pack(portion(record, whole), law, words, recipe, shown, density)._replace(share=whole, whole=whole)
    found = _of_pack(record, law, words, recipe, shown, density)
    differs = _volume_findings if recipe.net_volume else _weight_findings
    return found._replace(findings=found.findings + differs(record, recipe, whole, shown))


def _stated(record: DishRecord, recipe: Recipe, density: float | None) -> float:
    """The net weight or volume of the label over what the recipe makes: one pack has one of each on its label."""
    volume = recipe.net_volume.ml * (density or 0.0) if recipe.net_volume else 0.0
    stated = volume if recipe.net_volume else recipe.net_weight.grams if recipe.net_weight else 0.0
    return stated / record.weight_g.mid if stated else 1.0


def _weight_findings(record: DishRecord, recipe: Recipe, whole: float, shown: bool) -> tuple[Finding, ...]:
    """A net weight that is more than the recipe makes at least; figures worked out for another weight than it."""
    if whole == 1.0:
        return ()
    stated, least = recipe.net_weight.grams, record.weight_g.low
    if least >= stated * (1 - _SHORT_BY):
        return (finding("pack-weight-differs", recipe.place,
                        f"\"{record.name}\" says {stated:.4g} g net, and its figures are for {record.weight_g.mid:.4g} g, as its "
                        "recipe makes it.", "weigh what is packed, and write it in recipe and `net weight:` alike",
                        record.name),) if shown else ()  # fmt: skip
    return (finding("pack-short-of-weight", recipe.place,
                    f"\"{record.name}\" says {stated:.4g} g net, and its recipe makes {least:.4g} g at least.",
                    "weigh what is packed, and write `net weight:` as it is", record.name),)  # fmt: skip


def _volume_findings(record: DishRecord, recipe: Recipe, whole: float, shown: bool) -> tuple[Finding, ...]:
    """A column per pack that is of another volume than the label states; one that is short is told with the volume."""
    if not shown or recipe.serving or whole >= 1.0 - _SHORT_BY:
        return ()
    return (finding("pack-weight-differs", recipe.place,
                    f"\"{record.name}\" says {recipe.net_volume.ml:.4g} ml, and its figures are for "
                    f"{recipe.net_volume.ml / whole:.4g} ml, as its recipe makes it.",
                    "measure the volume filled, and write it in recipe and `net volume:` alike", record.name),)  # fmt: skip


def _of_pack(record: DishRecord, law: Law, words: Words, recipe: Recipe, shown: bool, density: float | None) -> Serving:
    if law.figure("second column from") is not None:
        return _by_reference(record, law, words, recipe, shown)
    return _as_written(record, law, words, recipe, density)._replace(density=density)


def portion(record: DishRecord, share: float) -> DishRecord:
    """The record of a share of its weight: figures per portion are then per serving, those per 100 g are the same."""
    if share == 1.0:
        return record
    corners = tuple(_shared(each, share) for each in record.corners)
    return replace(record, weight_g=record.weight_g.times(share), middle=_shared(record.middle, share), corners=corners)


def _shared(corner: Corner | None, share: float) -> Corner | None:
    if corner is None:
        return None
    return Corner(corner.weight_g * share, {key: value * share for key, value in corner.totals.items()}, corner.known)


def _words(record: DishRecord, law: Law, words: Words, grams: float, what: str = "", density: float | None = None) -> str:
    """The law's words over the portion column, with the weight (volume) rounded by the law's table. what: "3 pieces"."""
    table = law.roundings.get(law.portion_rounding)
    if not grams or table is None:
        return ""
    size, unit = (grams / density, law.millilitre) if density else (grams, "g")
    weight = words.number(f"{rounded(size, table).text}{' ' if law.unit_spaced else ''}{unit}")
    pack = record.kind == "pack" and not what
    key, text = ("per pack", law.pack_words) if pack and law.pack_words else ("per portion", law.portion_words)
    form = words.of_law(law, key, text)
    return form.replace("{weight}", weight).replace("{portion}", what or words.phrases["pack" if pack else "portion"])


def pieces_in(recipe: Recipe) -> float:
    """Pieces a pack holds; 0 where it holds food by weight."""
    amounts = [line.amount for line in recipe.lines]
    if not amounts or any(amount is None or amount.unit != "piece" for amount in amounts):
        return 0.0
    return sum(amount.number.mid for amount in amounts)


# As the kitchen writes it ------------------------------------------------------------------------------------------------


def _as_written(record: DishRecord, law: Law, words: Words, recipe: Recipe, density: float | None) -> Serving:
    whole = Serving(1.0, _words(record, law, words, record.weight_g.mid, density=density))
    if law.statement.get("portions stated") == "always":
        whole = whole._replace(note=_portions(1.0, law, words))
    if not recipe.serving:
        return whole
    share = _written_share(recipe, record.weight_g.mid, density)
    if share is None or not 0 < share <= 1:
        return whole._replace(findings=(finding(
            "serving-not-read", recipe.place,
            f"\"{record.name}\": a serving of \"{recipe.serving}\" can't be told from what the pack holds.",
            "write `serving:` as pieces of a pack that holds pieces (1 piece), as a weight (30 g), or, of a pack sold by volume, "
            "in ml", record.name),))  # fmt: skip
    what = recipe.serving if words.language == "en" else ""
    head = _words(replace(record, kind="dish"), law, words, record.weight_g.mid * share, what, density)
    return Serving(share, head, note=_portions(1 / share, law, words))


def _portions(number: float, law: Law, words: Words) -> str:
    form = words.of_law(law, "portions in a pack", law.portions_words)
    return form.replace("{count}", words.number(_count(number, law)[0]))


def _written_share(recipe: Recipe, pack_g: float, density: float | None) -> float | None:
    """Share of the pack's weight that its written serving is."""
    ml = re.search(_MILLILITRES, recipe.serving)
    if ml and density:
        return float(ml.group(1)) * density / pack_g
    grams = re.search(_GRAMS, recipe.serving)
    if grams:
        return float(grams.group(1)) / pack_g
    count, held = re.match(r"\s*(\d+)\s*(?:pieces?)\b", recipe.serving), pieces_in(recipe)
    return int(count.group(1)) / held if count and held else None


def _count(number: float, law: Law) -> tuple[str, bool]:
    """Servings in a pack as the law rounds them, and whether that changed them."""
    table = law.roundings.get("servings in a pack")
    if table is None:
        text = f"{exact(number).quantize(Decimal('0.1')).normalize():f}"
        return text, False
    result = rounded(number, table)
    return result.text, abs(float(result.number) - number) > 1e-6


# By the reference amount of US law -----------------------------------------------------------------------------------------


def _by_reference(record: DishRecord, law: Law, words: Words, recipe: Recipe, shown: bool) -> Serving:
    pack_g = record.weight_g.mid
    single = Serving(1.0, _words(record, law, words, pack_g, "1 package"))
    if " ".join(recipe.racc.lower().split()) == WHOLE_PACK:  # a meal or main dish in one container, 101.9(b)(3)
        return single
    amount = found(recipe.racc, law.amounts, recipe.density_g_per_ml)
    if amount.grams is None:
        return single._replace(findings=_no_reference(record, recipe, amount) if shown else ())
    reference, recalled = amount.grams, _recalled(record, recipe, amount) if shown else ()
    share = pack_g / reference * 100
    if exact(share) < exact(law.figure("second column from")):  # 101.9(b)(6)
        return single._replace(findings=recalled)
    dual = exact(share) <= exact(law.figure("second column up to"))
    one, what, told = _unit(record, recipe, reference, amount.measure)
    if one >= 1.0 - 1e-9:
        return single._replace(findings=recalled)
    second, per = 1.0, "Per container"
    held = pieces_in(recipe)
    if not dual and held > 1 and 2 <= pack_g / held / reference <= 3:  # 101.9(b)(2)(i)(D): a second column per unit
        second, per, dual = 1 / held, "Per unit", True
    count, changed = _count(1 / one, law)
    noun = "serving" if count == "1" else "servings"
    lines = f"{'about ' if changed else ''}{count} {noun} per container\n" + _words(record, law, words, pack_g * one, what)
    return Serving(one, lines, per if dual else "", second, findings=told + recalled)


def _unit(record: DishRecord, recipe: Recipe, reference: float, measure: str) -> tuple[float, str, tuple[Finding, ...]]:
    """Share of the pack that a serving is, its household measure, and what is doubtful about it."""
    pack_g, held = record.weight_g.mid, pieces_in(recipe)
    if held > 1:
        unit = pack_g / held
        if unit / reference < 2:
            number = 1 if unit / reference >= 0.67 else max(1, int(exact(reference / unit) + Decimal("0.5")))
            number = min(number, int(held))
            return number / held, f"{number} piece{'s' if number > 1 else ''}", ()
        part = _fraction(reference / unit)
        return 1 / part / held, f"1/{part} piece", ()
    if held:
        part = _fraction(reference / pack_g)
        return 1 / part, f"1/{part} package", ()
    if measure:
        return reference / pack_g, measure, ()
    halves = max(1, int(exact(reference) / OUNCE_G * 2 + Decimal("0.5")))
    ounces = exact(halves / 2).normalize()
    return float(ounces) * OUNCE_G / pack_g, f"{ounces:f} oz", (finding(
        "serving-in-ounces", recipe.place,
        f"\"{record.name}\": its serving is given in ounces, as no household measure is on record.",
        "write the measure with its weight, such as `us reference amount: 2 tbsp (30 g)`", record.name),)  # fmt: skip


def _fraction(wanted: float) -> int:
    """The denominator whose part is nearest to the reference amount; of two as near the larger part."""
    return min(_DENOMINATORS, key=lambda number: (round(abs(1 / number - wanted), 9), number))


def _recalled(record: DishRecord, recipe: Recipe, amount: Amount) -> tuple[Finding, ...]:
    """A row of the table that was not read in its text."""
    if amount.row is None or amount.row.checked == CHECKED:
        return ()
    return (finding("rules-from-memory", recipe.place,
                    f"\"{record.name}\": the reference amount of \"{amount.row.name}\" ({amount.row.words}) was not read in "
                    f"{amount.row.section}.", "have a qualified person compare it", record.name),)  # fmt: skip


def _no_reference(record: DishRecord, recipe: Recipe, amount: Amount) -> tuple[Finding, ...]:
    said = f"\"{recipe.racc}\" {amount.why}" if recipe.racc else "no reference amount is on record"
    offers = "; ".join(f"{row.name}: {row.words}" for row in amount.near)
    mend = ("write `us reference amount:` with a name or the weight of 21 CFR 101.12(b) for this food (hors d'oeuvres: 85 g), or "
            "`us reference amount: whole pack` for a meal for one")
    if amount.row is not None:
        name = next(iter(amount.row.also), amount.row.name)
        mend = f"weigh that and write it beside the name, such as `us reference amount: {name} (… g)`, or write `density:`"
    if amount.row is not None and amount.row.unit == "g":
        mend = f"write the name alone (`us reference amount: {recipe.racc.split('(')[0].strip()}`), or the weight alone"
    return (finding("reference-amount-missing", recipe.place if recipe else NOWHERE,
                    f"\"{record.name}\": {said}, so the serving of its Nutrition Facts can't be told (21 CFR 101.9(b), 101.12).",
                    f"did you mean: {offers}? {mend} (`labeller laws us --amounts WORDS` searches)" if offers else mend,
                    record.name),)  # fmt: skip
