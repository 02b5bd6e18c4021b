"""Foods sold by volume: what makes one, its density, its net quantity, and the law's table per 100 ml.

A pack is sold by volume where the kitchen writes its `net volume:` (Regulation (EU) No 1169/2011, Art. 23(1): liquids in litres,
centilitres or millilitres). Figures per 100 ml need grams to a millilitre as the kitchen measured them; 1 g/ml is never assumed.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import ROUND_FLOOR, Decimal

from msgspec.structs import replace

from labeller.declaring.rounding import exact
from labeller.terms.findings import Finding, finding
from labeller.terms.kitchen import Kitchen, Product, Recipe
from labeller.terms.laws import Law
from labeller.terms.record import DishRecord, NutritionRow
from labeller.terms.spans import Span
from labeller.terms.words import normalise

SHORT_BY = 1e-6


def by_volume(recipe: Recipe | None) -> bool:
    return recipe is not None and recipe.kind == "pack" and recipe.net_volume is not None


def is_drink(recipe: Recipe | None) -> bool:
    """Limits of drinks hold where the kitchen says so, and where it gives a drink's strength; a sauce is none."""
    return recipe is not None and (recipe.drink or recipe.alcohol_vol is not None)


def density_of(recipe: Recipe, kitchen: Kitchen) -> float | None:
    """Grams to a millilitre of what a pack holds: its own `density:`, else net weight over net volume where both were measured
    (a stated minimum is no measurement), else that of the one thing it holds. None where nobody measured it."""
    if recipe.density_g_per_ml is not None:
        return recipe.density_g_per_ml
    weight, volume = recipe.net_weight, recipe.net_volume
    if weight and volume and volume.ml and not weight.at_least and not volume.at_least:
        return weight.grams / volume.ml
    held = _the_one(recipe, kitchen)
    return held.density_g_per_ml if held else None


def _the_one(recipe: Recipe, kitchen: Kitchen) -> Recipe | Product | None:
    names = {normalise(line.name) for line in recipe.lines}
    if len(names) != 1:
        return None
    return _named(names, kitchen.recipes) or _named(names, kitchen.products)


def _named(names: set[str], entries: Mapping[str, Recipe] | Mapping[str, Product]) -> Recipe | Product | None:
    return next((one for one in entries.values()
                 if names & {normalise(word) for word in (one.name, *one.also_called)}), None)  # fmt: skip


def per_volume(law: Law) -> Law:
    """The law with its column per 100 ml in place of that per 100 g."""
    basis = tuple("100 ml" if one == "100 g" else one for one in law.basis)
    return replace(law, basis=basis, hundred_words=law.hundred_ml_words)


def net_volume(ml: float, law: Law) -> str:
    """The net quantity of a liquid; with fluid ounces before it under a law that wants them (21 CFR 101.7, from memory)."""
    metric, ounce = metric_volume(ml, law), law.figure("fluid ounce")
    if ounce is None:
        return metric
    return f"{_plain((exact(ml) / exact(ounce)).quantize(Decimal('0.1'), rounding=ROUND_FLOOR))} fl oz ({metric})"


def metric_volume(ml: float, law: Law) -> str:
    """Millilitres up to a litre, then litres, in the law's spelling; rounded down: the pack never holds less than it says."""
    amount, litre = exact(ml), "L" if law.millilitre == "mL" else "l"
    if amount < 1000:
        number = amount.quantize(Decimal(1) if amount >= 10 else Decimal("0.1"), rounding=ROUND_FLOOR)
        return f"{_plain(number)} {law.millilitre}"
    return f"{_plain((amount / 1000).quantize(Decimal('0.001'), rounding=ROUND_FLOOR))} {litre}"


def _plain(number: Decimal) -> str:
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def volume_findings(record: DishRecord, recipe: Recipe, density: float | None, table_shown: bool) -> tuple[Finding, ...]:
    """No density, so no table per 100 ml; or the pack holds less than its label says."""
    if density is None:
        return (_no_density(record, recipe),) if table_shown else ()
    least = record.weight_g.low / density
    if not least or least >= recipe.net_volume.ml * (1 - SHORT_BY):
        return ()
    return (finding("pack-short-of-volume", recipe.net_volume.place,
                    f"\"{record.name}\" says {recipe.net_volume.ml:.4g} ml, and its recipe makes {least:.4g} ml at least "
                    f"({record.weight_g.low:.4g} g at {density:.4g} g/ml).",
                    "measure the volume filled, and write `net volume:` as it is", record.name),)  # fmt: skip


def _no_density(record: DishRecord, recipe: Recipe) -> Finding:
    return finding("density-not-measured", recipe.net_volume.place,
                   f"\"{record.name}\" is sold by volume, and what a millilitre of it weighs is not on record: no table per "
                   "100 ml.",
                   "weigh 100 ml of it once, and write `density:` with the grams to a millilitre in the recipe or the pack",
                   record.name)  # fmt: skip


def hundred(row: NutritionRow, basis: Iterable[str]) -> Span | None:
    """Exact amount of a row by the law's first kind of column: per 100 g or 100 ml where it has one, else per portion."""
    if "100 ml" in basis:
        return row.value_100ml
    return row.value_100g if "100 g" in basis else row.value_portion
