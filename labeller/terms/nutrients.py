"""Nutrient keys: one name and one unit for each quantity. The unit is the end of the key.

``BASE`` are the quantities that a food row or a supplier's label can hold, per 100 g of edible food. Carbohydrate of the
base is *by difference, fibre included* (USDA); protein is as the food table has it (USDA: nitrogen times the food's own
factor), ``nitrogen_g`` lets a law restate it. ``added_sugars_g``, ``trans_fat_g``, ``alcohol_g`` and ``nitrogen_g`` are
columns of our own with their own source and coverage. A value that is not known is ``None``, never 0.

``DERIVED`` follow from a row or a label as a whole (:func:`labeller.working.nutrients.completed`): carbohydrate without fibre,
as labels of the EU have it; carbohydrate of which it is open how much is fibre; fibre as far as energy counts it; and the most
that what is missing can be (``MOST``).
"""

from __future__ import annotations

AVAILABLE, OPEN, COUNTED = ("available_carbohydrate_g", "fibre_open_g", "fibre_in_energy_g")
# figure -> the most that it can be where it is missing, in the same unit; the figure itself where it is known
MOST = {key: "_most_".join(key.rsplit("_", 1)) for key in (
    "saturates_g", "trans_fat_g", "cholesterol_mg", "fibre_g", "sugars_g", "added_sugars_g", "vitamin_d_ug",
    "potassium_mg")}  # fmt: skip
DERIVED = (AVAILABLE, OPEN, COUNTED, *MOST.values())
BASE: tuple[str, ...] = (
    "water_g", "energy_kcal", "protein_g", "fat_g", "ash_g", "carbohydrate_g", "fibre_g", "sugars_g",
    "calcium_mg", "iron_mg", "magnesium_mg", "phosphorus_mg", "potassium_mg", "sodium_mg", "zinc_mg", "copper_mg",
    "manganese_mg", "selenium_ug", "vitamin_c_mg", "thiamin_mg", "riboflavin_mg", "niacin_mg", "pantothenic_acid_mg",
    "vitamin_b6_mg", "folate_ug", "folic_acid_ug", "food_folate_ug", "folate_dfe_ug", "choline_mg", "vitamin_b12_ug",
    "vitamin_a_iu", "vitamin_a_rae_ug", "retinol_ug", "alpha_carotene_ug", "beta_carotene_ug", "beta_cryptoxanthin_ug",
    "lycopene_ug", "lutein_zeaxanthin_ug", "vitamin_e_mg", "vitamin_d_ug", "vitamin_d_iu", "vitamin_k_ug",
    "saturates_g", "monounsaturates_g", "polyunsaturates_g", "cholesterol_mg",
    "trans_fat_g", "alcohol_g", "added_sugars_g", "nitrogen_g", "polyols_g", *DERIVED,
)  # fmt: skip
INDEX: dict[str, int] = {key: place for place, key in enumerate(BASE)}
ABBREV_ORDER: tuple[str, ...] = BASE[:46]  # the order of USDA's SR28 ABBREV file, fields 3 to 48
