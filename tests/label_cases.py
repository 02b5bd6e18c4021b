"""Declarations for tests of labels, made by hand: texts are those of invented dishes, figures are invented."""

from __future__ import annotations

import random
from functools import cache

from labeller.reading.label_looks import label_looks
from labeller.terms.allergens import CONTAINS
from labeller.terms.label_looks import LabelLooks
from labeller.terms.record import Declaration, DishRecord, NutritionRow, Run
from labeller.terms.spans import Span

LIST = ("poached trout (32 %) (trout (*fish*), sea salt), rye cracker (*rye* flour, water, sunflower oil), dill "
        "cream (crème fraîche (*milk*), dill, whole *milk*, leaf gelatine, sea salt), hazelnut gougère (choux paste "
        "(*wheat* flour, butter (*milk*), *egg*), Comté cheese (*milk*), *hazelnut*), pickled *mustard* seed (*mustard* "
        "seed, cider vinegar (*sulphites*), sugar), miso paste (water, *soya* beans, rice, *barley* koji, salt).")  # fmt: skip
SHORT_LIST = "beetroot, *wheat* flour, butter (*milk*), *egg*, salt"
EU_ROWS = (("energy_kj", "Energy", "1046 kJ", "251 kJ", 0), ("energy_kcal", "", "251 kcal", "60 kcal", 0),
           ("fat_g", "Fat", "16 g", "3.8 g", 0), ("saturates_g", "of which saturates", "6.1 g", "1.5 g", 1),
           ("carbohydrate_g", "Carbohydrate", "14 g", "3.4 g", 0), ("sugars_g", "of which sugars", "2.4 g", "0.6 g", 1),
           ("fibre_g", "Fibre", "2.3 g", "0.6 g", 0), ("protein_g", "Protein", "11 g", "2.6 g", 0),
           ("salt_g", "Salt", "1.2 g", "0.29 g", 0))  # fmt: skip
# Amounts and percentages of the sample label in 21 CFR 101.9(d)(12).
US_ROWS = (("energy_kcal", "Calories", "230", "", 0, True), ("fat_g", "Total Fat", "8g", "10%", 0, True),
           ("saturates_g", "Saturated Fat", "1g", "5%", 1, False), ("trans_fat_g", "Trans Fat", "0g", "", 1, False),
           ("cholesterol_mg", "Cholesterol", "0mg", "0%", 0, True), ("sodium_mg", "Sodium", "160mg", "7%", 0, True),
           ("carbohydrate_g", "Total Carbohydrate", "37g", "13%", 0, True),
           ("fibre_g", "Dietary Fiber", "4g", "14%", 1, False), ("sugars_g", "Total Sugars", "12g", "", 1, False),
           ("added_sugars_g", "Includes 10g Added Sugars", "10g", "20%", 2, False),
           ("protein_g", "Protein", "3g", "", 0, True), ("vitamin_d_ug", "Vitamin D", "2mcg", "10%", 0, False),
           ("calcium_mg", "Calcium", "260mg", "20%", 0, False), ("iron_mg", "Iron", "8mg", "45%", 0, False),
           ("potassium_mg", "Potassium", "240mg", "6%", 0, False))  # fmt: skip
DAILY_VALUE = ("*The % Daily Value (DV) tells you how much a nutrient in a serving of food contributes to a daily diet. 2,000 "
               "calories a day is used for general nutrition advice.")  # fmt: skip  21 CFR 101.9(d)(9)


@cache
def looks() -> LabelLooks:
    return label_looks()[0]


def runs(text: str) -> tuple[Run, ...]:
    """Text with its allergens between asterisks."""
    return tuple(Run(part, bool(number % 2)) for number, part in enumerate(text.split("*")) if part)


def record(name: str, grams: float = 288.0, stopped: bool = False) -> DishRecord:
    return DishRecord(name, "pack", Span.of(grams), None, None, net_weight_g=grams, stopped=stopped)


def contains(*kinds: str) -> dict:
    return {kind: (CONTAINS, (kind,), ()) for kind in kinds}


def eu_declaration(name: str = "Smoked trout, rye, dill canapé box", text: str = LIST, *, table: bool = True,
                   portion: bool = True, **more) -> Declaration:  # fmt: skip
    rows = tuple(NutritionRow(key, label, hundred, part if portion else "", "", indent)
                 for key, label, hundred, part, indent in EU_ROWS) if table else ()  # fmt: skip
    fields = {"dish": name, "law": "eu", "law_date": "2026-11-25", "record": record(name), "rows": rows,
              "table_heading": "Nutrition", "portion_words": "Per portion (24 g)" if portion else "",
              "hundred_words": "per 100 g",
              "statement_title": "Ingredients", "statement": runs(text), "list_required": True,
              "may_contain": "May contain: sesame, celery",
              "net_quantity": "288 g", "durability": "Use by 27 November 2026", "storage": "Keep below 5 °C",
              "business": "Kitchen of Rosa Marten, 12 Harbour Lane, Whitby YO21 3PU", "lot": "Lot 251124-A",
              "sold": "prepacked", "kitchen_version": "3f9a2c1b77aa", "data_version": "8b1c22f0aaaa",
              "states": contains("milk", "fish")}  # fmt: skip
    return Declaration(**(fields | more))


def us_declaration(name: str = "Smoked Trout and Rye Canapé Box", text: str = LIST.replace("*", ""), **more) -> Declaration:
    rows = tuple(NutritionRow(key, label, "", part, share, indent, bold) for key, label, part, share, indent, bold in US_ROWS)
    fields = {"dish": name, "law": "us", "law_date": "2026-11-25", "record": record(name), "rows": rows,
              "table_heading": "Nutrition Facts", "portion_words": "12 servings per container\nServing size 1 piece (24g)",
              "footnotes": (DAILY_VALUE,), "statement_title": "Ingredients", "statement": runs(text),
              "list_required": True, "contains": "Contains: fish (trout), wheat, milk, egg, hazelnuts, soy",
              "net_quantity": "Net Wt 10.1 oz (288 g)",
              "durability": "Use by November 27, 2026", "storage": "Keep refrigerated",
              "business": "Rosa Marten Kitchen, 12 Harbor Lane, Portland, ME 04101", "lot": "Lot 251124-A",
              "sold": "prepacked", "kitchen_version": "3f9a2c1b77aa", "data_version": "8b1c22f0aaaa"}  # fmt: skip
    return Declaration(**(fields | more))


PLAIN = ("beetroot", "water", "sunflower oil", "sea salt", "sugar", "shallot", "parsley root", "lemon juice", "black pepper",
         "saffron", "juniper", "gelatine", "rapeseed oil", "potato", "chervil", "rhubarb", "żurawina", "śliwka", "κρόκος",
         "ελαιόλαδο", "copeaux de chocolat noir", "Zwiebelkonfitüre", "sauerkraut", "elderflower vinegar")  # fmt: skip
ALLERGENS = ("wheat flour", "whole milk", "egg", "brown crab", "cod", "peanut", "soya beans", "hazelnut", "celery",
             "mustard seed", "sesame", "sulphites", "lupin flour", "mussel", "rye flour", "barley malt", "oats",
             "almond")  # fmt: skip
NAMES = ("Crab tartlet", "Celeriac and hazelnut", "Lamb with anchovy", "Beetroot, rye, horseradish", "Gougère",
         "Pierogi z grzybami", "Σαγανάκι με μέλι", "Duck liver, quince and a long brioche finger with toasted seed")  # fmt: skip


def random_dish(chance: random.Random, number: int) -> Declaration:
    """An invented dish: 3 to 60 ingredients, some in brackets of their own, with or without a table."""
    parts = []
    for _ in range(chance.choice((3, 6, 10, 18, 30, 60)) if number % 11 else 90):
        if chance.random() < 0.35:
            head, _, rest = chance.choice(ALLERGENS).partition(" ")
            part = f"*{head}*{' ' + rest if rest else ''}"
        else:
            part = chance.choice(PLAIN)
        if chance.random() < 0.2:
            part += f" ({chance.choice(PLAIN)}, *{chance.choice(ALLERGENS).split()[0]}*)"
        parts.append(part)
    name = f"{chance.choice(NAMES)} {number:03d}"
    grams = chance.choice((24, 90, 288, 1200))
    return eu_declaration(name, ", ".join(parts), table=chance.random() < 0.4, record=record(name, grams),
                          net_quantity=f"{grams} g", portion=chance.random() < 0.5,
                          may_contain="May contain: sesame" if chance.random() < 0.5 else "")  # fmt: skip
