"""From a batch's grams to its nutrients. Missing values stay missing, with the share of the weight they are known for.

Method: each part's grams times the value per gram times the retention factors of the treatments it went through; water is
what is left by the weights; nested batches are not rounded in between (the way of USDA's FNDDS and of EuroFIR's mixed method).
"""

from __future__ import annotations

from collections.abc import Callable, MutableSequence

from labeller.terms.findings import Finding, finding
from labeller.terms.kitchen import Product
from labeller.terms.mass import Content, Part, Ref, Retention, Worked
from labeller.terms.nutrients import AVAILABLE, BASE, COUNTED, INDEX, MOST, OPEN
from labeller.terms.record import Corner

WATER, ALCOHOL, FAT, ENERGY = INDEX["water_g"], INDEX["alcohol_g"], INDEX["fat_g"], INDEX["energy_kcal"]
LIPIDS = tuple(INDEX[key] for key in ("fat_g", "saturates_g", "monounsaturates_g", "polyunsaturates_g", "trans_fat_g",
                                      MOST["saturates_g"], MOST["trans_fat_g"]))  # fmt: skip
KCAL_PER_G_FAT = 9.0  # 21 CFR 101.9(c)(1)(i)(B), general factor
KCAL_PER_G_ALCOHOL = 7.0  # as labels and USDA's red wine row have it (nutrient_calculation facts: 6.93 to 7)
ZERO = (0.0,) * len(BASE)
# Annex XIV of Regulation (EU) No 1169/2011, kJ and kcal per g: what a label of the EU counts in its energy
EU_FACTORS = {
    "kj": {"carbohydrate_g": 17, "protein_g": 17, "fat_g": 37, "alcohol_g": 29, "polyols_g": 10 - 17, "fibre_g": 8},
    "kcal": {"carbohydrate_g": 4, "protein_g": 4, "fat_g": 9, "alcohol_g": 7, "polyols_g": 2.4 - 4, "fibre_g": 2},
}

# part -> whole: where the whole is exactly nothing, so is the part, even if nobody measured it
PARTS = {"sugars_g": "carbohydrate_g", "added_sugars_g": "sugars_g", "fibre_g": "carbohydrate_g", "polyols_g": "carbohydrate_g",
         "saturates_g": "fat_g", "monounsaturates_g": "fat_g", "polyunsaturates_g": "fat_g", "trans_fat_g": "fat_g",
         "nitrogen_g": "protein_g"}  # fmt: skip
DEFAULT_NITROGEN_FACTOR = 6.25  # USDA's default; rows with a factor of their own carry it (reference/foods/own_columns.csv)


def completed(values: tuple[float | None, ...]) -> tuple[float | None, ...]:
    """What follows from the row itself: a part of nothing is nothing; nitrogen by USDA's default factor where no other is known.

    Everything else that is missing stays missing.
    """
    found = list(values)
    for part, whole in PARTS.items():
        if found[INDEX[part]] is None and found[INDEX[whole]] == 0:
            found[INDEX[part]] = 0.0
    protein, nitrogen = found[INDEX["protein_g"]], INDEX["nitrogen_g"]
    if found[nitrogen] is None and protein is not None:
        found[nitrogen] = protein / DEFAULT_NITROGEN_FACTOR
    carbohydrate, fibre = found[INDEX["carbohydrate_g"]], found[INDEX["fibre_g"]]
    if found[INDEX[AVAILABLE]] is None and carbohydrate is not None:
        found[INDEX[OPEN if fibre is None else AVAILABLE]] = carbohydrate - (fibre or 0.0)
    if fibre is not None:
        found[INDEX[COUNTED]] = fibre
    add_ceilings(found)
    return tuple(found)


def of_row(row: tuple[float | None, ...]) -> Content:
    """Values per 100 g (None = not known) as content per gram."""
    values = completed(row)
    return Content(tuple(0.0 if value is None else value / 100 for value in values),
                   tuple(0.0 if value is None else 1.0 for value in values))  # fmt: skip


def of_product(product: Product, row: tuple[float | None, ...] | None) -> tuple[float | None, ...]:
    """Values per 100 g of a product: label figures win one by one over the row's; the law's names are turned into base keys.

    EU labels give carbohydrate without fibre and salt instead of sodium: carbohydrate by difference is their sum with the
    fibre (the label's or the row's; without it, not known), sodium is salt / 2.5 (Regulation (EU) No 1169/2011, Annex I).
    """
    values = list(row) if row else [None] * len(BASE)
    label = dict(product.nutrition)
    for key, value in label.items():
        if key in INDEX and not (key == "carbohydrate_g" and product.nutrition_basis == "eu"):
            values[INDEX[key]] = value
    if "salt_g" in label:
        values[INDEX["sodium_mg"]] = label["salt_g"] / 2.5 * 1000
    if "carbohydrate_g" in label and product.nutrition_basis == "eu":
        fibre, available = values[INDEX["fibre_g"]], label["carbohydrate_g"]
        values[INDEX[AVAILABLE]] = available
        values[INDEX["carbohydrate_g"]] = available + (fibre or 0.0) if fibre is not None or not available else None
    if "protein_g" in label and product.nutrition_basis == "eu":
        values[INDEX["nitrogen_g"]] = label["protein_g"] / 6.25
    if product.alcohol_vol_percent is not None:
        values[ALCOHOL] = product.alcohol_vol_percent * 0.789 / (product.density_g_per_ml or 1.0)
    if product.nutrition_basis == "eu" and values[INDEX["fibre_g"]] is None:
        values[INDEX[COUNTED]] = fibre_of_energy(label, values[ALCOHOL])
    of_pack(product, values, row[FAT] if row else None)
    return tuple(values)


# The most that a missing figure can be -----------------------------------------------------------------------------------
# What follows from the other figures of the row, and the ceiling of its kind of food (reference/foods/at_most.csv). It says
# only up to where the missing figure can reach, so that a declared figure which rounds to the same either way can be printed. In
# USDA's data trans fat is part of the monounsaturates and polyunsaturates: only the saturates can be taken off the fat.

Values = MutableSequence[float | None]
# Words of a pack by which the ceiling of its kind of food does not hold for it
UNDOES = {"trans_fat_g": ("hydrogenated",), "vitamin_d_ug": ("vitamin d", "vitamins", "calciferol"), "cholesterol_mg": ()}


def add_ceilings(found: Values) -> None:
    """Puts the most that each figure of MOST can be into its place: the figure itself where it is known, else the least of what
    its whole leaves and the ceiling that the row brings; nothing where neither is known. Per 100 g."""
    for key, most in MOST.items():
        value, own = found[INDEX[key]], found[INDEX[most]]
        if value is not None:
            found[INDEX[most]] = value
            continue
        ends = [end for end in (own, _left(key, found)) if end is not None]
        found[INDEX[most]] = min(ends, default=None)


def _left(key: str, found: Values) -> float | None:
    """What the whole of which a figure is part leaves for it, None where that is not known."""
    if key == "added_sugars_g":
        return found[INDEX[MOST["sugars_g"]]]
    whole, others = {"saturates_g": ("fat_g", ()), "trans_fat_g": ("fat_g", ("saturates_g",)), "sugars_g": (AVAILABLE, ()),
                     "fibre_g": ("carbohydrate_g", ("sugars_g",))}.get(key, ("", ()))  # fmt: skip
    if not whole:
        return None
    total = found[INDEX[whole]]
    if total is None and whole == AVAILABLE:
        total = found[INDEX["carbohydrate_g"]]
    return None if total is None else max(0.0, total - sum(found[INDEX[other]] or 0.0 for other in others))


def of_pack(product: Product, values: Values, row_fat: float | None) -> None:
    """The ceilings that a product has from its food row: that of trans fat follows the fat of the label; none holds where the
    printed list names what it does not reckon with (hydrogenated fat, added vitamins)."""
    fat, trans = values[INDEX["fat_g"]], INDEX[MOST["trans_fat_g"]]
    if values[trans] is not None and fat is not None and row_fat:
        values[trans] *= fat / row_fat
    text = product.label_text.lower()
    for key, words in UNDOES.items():
        if any(word in text for word in words):
            values[INDEX[MOST[key]]] = None


def fibre_of_energy(label: dict[str, float], alcohol: float | None) -> float | None:
    """Grams of fibre per 100 g that the energy of an EU label leaves room for once its other figures are counted, never under 0;
    None without energy, fat, carbohydrate or protein on it. A label's energy is made by fixed factors; its rest is fibre."""
    unit = next((unit for unit in EU_FACTORS if f"energy_{unit}" in label), "")
    if not unit or not {"fat_g", "carbohydrate_g", "protein_g"} <= set(label):
        return None
    factors = EU_FACTORS[unit]
    amounts = {"alcohol_g": alcohol or 0.0} | {key: value for key, value in label.items() if key in factors}
    rest = label[f"energy_{unit}"] - sum(factors[key] * value for key, value in amounts.items())
    return max(0.0, rest / factors["fibre_g"])


def fibre_finding(product: Product, row: tuple[float | None, ...] | None) -> tuple[Finding, ...]:
    """An EU label whose carbohydrate stands without fibre anywhere. Carbohydrate by the EU's definition is the label's own
    (Regulation (EU) No 1169/2011, Annex I(7)), and its energy tells what the fibre counts; total carbohydrate is not known, nor
    energy where the label has none: a missing figure is never nought."""
    label = dict(product.nutrition)
    known = "fibre_g" in label or (row is not None and row[INDEX["fibre_g"]] is not None)
    if known or product.nutrition_basis != "eu" or not label.get("carbohydrate_g"):
        return ()
    open_ = "total carbohydrate (US, Canada)" + ("" if fibre_of_energy(label, None) is not None else " and energy")
    return (finding("fibre-not-on-label", product.place,
                    f"the label figures of \"{product.name}\" have carbohydrate and no fibre: a dish's {open_} and fibre are "
                    "then not known",
                    f"write `fibre:` on \"{product.name}\" from its label or the supplier's specification, or give it a `food:` "
                    "row whose fibre then counts", product.name),)  # fmt: skip


def label_findings(product: Product) -> tuple[Finding, ...]:
    """Label figures that can't be per 100 g."""
    label = dict(product.nutrition)
    total = sum(label.get(key, 0.0) for key in ("fat_g", "carbohydrate_g", "protein_g", "salt_g", "fibre_g"))
    if total > 101:
        return (finding("parts-exceed-100", product.place,
                        f"the label figures of \"{product.name}\" add up to {total:.1f} g per 100 g",
                        "copy the column per 100 g again", product.name),)  # fmt: skip
    return ()


def content_of(worked: Worked, contents: Callable[[Ref], Content | None], retention: Retention) -> Content:
    """Content per gram of a finished batch. contents: of a food, product or ready batch, None = not known at all."""
    totals, known, weight = [0.0] * len(BASE), [0.0] * len(BASE), 0.0
    for part in worked.parts:
        weight += part.grams
        content = contents(part.ref)
        if content is not None and part.grams:
            _add(totals, known, part, retained(content, part.treatments, retention))
    _alcohol_off(worked, totals)
    totals[WATER] += worked.water
    _fat_off(worked, totals)
    if not worked.weight or not weight:
        return Content(ZERO, ZERO)
    per_gram = tuple(total / worked.weight for total in totals)
    return Content(per_gram, tuple(share / weight for share in known))


def _add(totals: list[float], known: list[float], part: Part, content: Content) -> None:
    grams = part.grams
    for nr, (value, share) in enumerate(zip(content.values, content.known, strict=True)):
        if share:
            totals[nr] += grams * value
            known[nr] += grams * share


def retained(content: Content, treatments: tuple[str, ...], retention: Retention) -> Content:
    """After retention: a nutrient that a treatment's table covers but leaves blank is not known; one it lacks stays whole."""
    if not treatments:
        return content
    values, known = list(content.values), list(content.known)
    for code in treatments:
        factors, blank = retention(code)
        for key, factor in factors.items():
            values[INDEX[key]] *= factor
        for key in blank:
            known[INDEX[key]] = 0.0
    return Content(tuple(values), tuple(known))


def _alcohol_off(worked: Worked, totals: list[float]) -> None:
    """Alcohol that went off takes its energy along. Its weight is part of what was weighed away or was booked by the batch."""
    gone = totals[ALCOHOL] * (1 - worked.alcohol_stays)
    if gone:
        totals[ALCOHOL] -= gone
        totals[ENERGY] -= gone * KCAL_PER_G_ALCOHOL
        totals[WATER] += gone


def _fat_off(worked: Worked, totals: list[float]) -> None:
    """Fat that ran off has the composition of the batch's fat."""
    if not worked.fat or not totals[FAT]:
        return
    stays = max(0.0, 1 + worked.fat / totals[FAT])
    for nr in LIPIDS:
        totals[nr] *= stays
    totals[ENERGY] += worked.fat * KCAL_PER_G_FAT


def water_findings(worked: Worked, content: Content, place) -> tuple[Finding, ...]:
    """More driven off than there was water, or more fat run off than there was fat: the weights can't be right."""
    if worked.fat < 0 and content.known[FAT] > 0.95 and content.values[FAT] <= 0:
        return (finding("fat-exceeds", place,
                        f"\"{worked.name}\": {-worked.fat:.0f} g of fat are said to run off, more than there is in it",
                        "weigh the batch again, or name another kind of loss", worked.name),)  # fmt: skip
    water = content.values[WATER] * worked.weight
    limit = 0.02 * worked.weight_in  # the table's own water content varies by some per cent (common practice)
    if content.known[WATER] > 0.95 and water < -limit:
        return (finding("more-than-the-water", place,
                        f"\"{worked.name}\": {-worked.water:.0f} g are said to evaporate, {-water:.0f} g more than its water",
                        "weigh the batch again, or name what was left behind or ran off as fat", worked.name),)  # fmt: skip
    return ()


def corner_of(content: Content, grams: float) -> Corner:
    """A portion of ``grams`` as the law's rooms take it; a quantity known for no part of the weight is left out."""
    keys = [nr for nr, share in enumerate(content.known) if share > 0]
    return Corner(grams, {BASE[nr]: content.values[nr] * grams for nr in keys},
                  {BASE[nr]: min(1.0, content.known[nr]) for nr in keys})  # fmt: skip
