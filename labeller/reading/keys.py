"""The keys a kitchen may write, in one table: what each is for and how it looks.

The reader refuses what does not stand here, ``labeller new`` and the schema are made from it. ``kind`` is the sort of entry or
inner mapping the key belongs to; the first key of an entry names it (``recipe: dill cream``).
"""

from __future__ import annotations

from msgspec import Struct


class Key(Struct, frozen=True):
    """kind: entry or mapping. key: as typed. meaning: one line. example: the value as typed."""

    kind: str
    key: str
    meaning: str
    example: str


def _keys(kind: str, *rows: tuple[str, str, str]) -> tuple[Key, ...]:
    return tuple(Key(kind, *row) for row in rows)


_NAMES = (
    ("also called", "other names for the same thing", "[trout rye]"),
    ("label name", "the name as it is printed on a label or in an ingredient statement", "hot-smoked trout"),
)
_BATCH = (
    ("description", "a line for the menu card", "smoked over juniper"),
    ("serves", "number of portions", "4"),
    ("method", "how it is cooked", "simmered"),
    ("makes", "what it weighs, or counts, when it is ready", "60 pieces of 7-8 g"),
    ("loss", "where the difference to what went in has gone: evaporated, left behind, fat, or shares of them",
     "{evaporated: 80 %, left behind: 20 %}"),
    ("poured off", "liquid that is poured off, with what is dissolved in it, and the share that stays in the food",
     "{lines: [whole milk, sea salt], stays in: 12 %}"),
    ("coated in", "coatings in trays, and what the food picks up, of its raw weight",
     "{lines: [plain flour, egg, breadcrumbs], picked up: 20 %}"),
    ("fried in", "the oil, and what is taken up, of the raw food with its coating", "{oil: sunflower oil, taken up: 6 %}"),
    ("water change", "water lost or gained, of the weight of the lines that went in", "-12 %"),
    ("fat change", "fat lost or gained, of the weight of the lines that went in", "-4 %"),
    ("reduced to", "what is left after boiling down: a share of what went in, or a weight", "40 %"),
    ("alcohol stays", "share of the alcohol that stays after cooking", "40 %"),
    ("density", "grams to a millilitre when ready, as the kitchen measured it", "1.05 g/ml"),
    ("equipment", "shared equipment it meets, by its name in kitchen.yaml, or: none shared", "[deep fryer]"),
    ("equipment order", "its turn in the shared equipment", "first after oil change"),
    ("cleaned between", "whether the shared equipment is cleaned before it", "yes"),
    ("water used twice", "cooked in water that has cooked something else", "yes"),
    ("same batch as", "cooked together, at one time, in one vessel, with these", "[squid rings]"),
    ("also", "what guests ask beyond allergens; blank is not recorded", "{milk: pasteurised, meat: halal}"),
)  # fmt: skip
_SOLD = (
    ("show nutrition", "print the nutrition table where the law does not ask for it", "yes"),
    ("may contain", "the kitchen's own warning; needs a recorded risk assessment", "[sesame]"),
    ("risk assessed", "by whom and when the risk behind the warning was assessed", "RM 2026-10-02"),
    ("sold", "prepacked, prepacked for direct sale, loose, menu or distance: decides what the law asks",
     "prepacked for direct sale"),
    ("us reference amount", "a name or a weight of the US serving-size table (labeller laws us --amounts WORDS), or: whole pack "
     "(a meal for one)", "soup"),
    ("declare also", "nutrients to print that the law leaves free", "[fibre, vitamin c, calcium]"),
    ("short table", "leave out of the nutrition table what the law lets be left out", "yes"),
    ("short list", "leave out of the list of ingredients what the law lets be left out (EU, UK); spices by one word (US)", "yes"),
    ("show percentage of", "ingredients named or pictured, whose share is printed", "[trout fillet]"),
)  # fmt: skip

KEYS: tuple[Key, ...] = (
    *_keys("kitchen",
        ("kitchen", "the kitchen's name", "The Lantern Room"),
        ("address", "business address as printed on packs", "1 Quay Street, Exampleton EX1 2MP"),
        ("web", "address of the look-up page", "https://example.org/allergens"),
        ("law", "whose rules labels follow: uk, eu, us, ca, anz or none", "uk"),
        ("nation", "part of the country, where its rules differ", "england"),
        ("languages", "languages of the printed sheets", "[en]"),
        ("measures", "whose cups and spoons: metric, us or imperial", "metric"),
        ("show nutrition", "print nutrition where the law does not ask for it", "no"),
        ("declare also", "nutrients to print on every table that the law leaves free", "[fibre]"),
        ("employees", "people the business employs; large ones must give calories in England", "40"),
        ("places of business", "places under the same name; US chains of 20 must give calories", "1"),
        ("allergens in brackets", "US and Canada: name them in the list instead of a Contains line", "no"),
        ("equipment", "equipment that more than one food goes into", "- deep fryer: {oil changed: 2026-11-24}"),
        ("label sheets", "label stock: a short name and its size", "- canapés: A4 99.1 x 67.7")),
    *_keys("equipment",
        ("oil changed", "date the oil was last changed", "2026-11-24"),
        ("water changed", "date or day the water was last changed", "2026-11-24"),
        ("also cooks", "what else goes into it", "[squid rings]"),
        ("cleaned between", "cleaned between two foods", "yes")),
    *_keys("product",
        ("product", "name of the bought-in product, as recipes call it", "white miso paste"), *_NAMES,
        ("supplier", "who sells it", "Northquay Provisions"),
        ("ingredients on pack", "the ingredient list as printed; read for allergens", "water, SOYA beans, rice, salt"),
        ("contains", "allergens it contains, or: none", "[soybeans, barley]"),
        ("may contain", "allergens the supplier warns of, or: none", "[sesame]"),
        ("evidence", "what the allergens rest on; without it: not confirmed", "{kind: pack, checked: 2026-10-02, by: RM}"),
        ("food", "row of the food table", '"16112"'),
        ("nutrition per 100 g", "label figures; they win over the row", "{basis: eu, energy: 823 kJ, fat: 5.1 g}"),
        ("density", "grams to a millilitre", "1.2 g/ml"),
        ("one piece weighs", "grams of a piece, or of each sort of piece", "{sheet: 1.7 g}"),
        ("alcohol", "strength by volume", "13 % vol"),
        ("sulphites", "sulphur dioxide as sold", "80 mg/kg"),
        ("gluten", "gluten as measured, for a coeliac's question", "5 mg/kg"),
        ("refined", "fully refined oil or fat", "yes"),
        ("also", "what guests ask beyond allergens; blank is not recorded", "{milk: pasteurised, fish: cold smoked}"),
        ("recall", "text of a recall or alert; stops every dish it is in", "recalled 2026-11-20, undeclared mustard")),
    *_keys("evidence",
        ("kind", "pack, specification, supplier, or single ingredient (a carrot, salt, water)", "specification"),
        ("checked", "date it was read", "2026-10-02"),
        ("by", "who read it", "RM"),
        ("pack code", "what tells this edition of the pack", "rev 4")),
    *_keys("nutrition",
        ("basis", "whose label: eu (available carbohydrate, salt) or us", "eu"),
        ("energy", "kJ or kcal, or both", "823 kJ / 198 kcal"),
        ("fat", "", "5.1 g"), ("saturates", "", "0.8 g"), ("monounsaturates", "", "1.1 g"), ("polyunsaturates", "", "2.9 g"),
        ("trans fat", "", "0 g"), ("cholesterol", "", "0 mg"),
        ("carbohydrate", "by the definition of the basis", "25 g"), ("sugars", "", "6.2 g"), ("added sugars", "", "0 g"),
        ("polyols", "", "0 g"), ("fibre", "", "5.4 g"), ("protein", "", "12.8 g"),
        ("salt", "", "11.4 g"), ("sodium", "", "4560 mg"),
        ("water", "", "43 g"), ("alcohol", "", "2 g"), ("ash", "", "12 g"), ("calcium", "", "57 mg"), ("iron", "", "2.5 mg"),
        ("potassium", "", "210 mg"), ("magnesium", "", "48 mg"), ("phosphorus", "", "159 mg"), ("zinc", "", "2.6 mg"),
        ("vitamin a", "", "4 µg"), ("vitamin c", "", "0 mg"), ("vitamin d", "", "0 µg"), ("vitamin e", "", "0 mg"),
        ("vitamin b12", "", "0.1 µg"), ("folate", "", "19 µg")),
    *_keys("recipe",
        ("recipe", "name of the sub-recipe", "dill cream"), *_NAMES,
        ("ingredients", "one ingredient a line", "- crème fraîche: 400 g"), *_BATCH,
        ("shelf life", "for the tub's label: use by or best before, counted from, and who set it",
         "{use by: 3 days, from: cooking, set by: RM}"),
        ("store", "storage, for the tub's label", "Keep below 5 °C")),
    *_keys("dish",
        ("dish", "name of the plate as guests know it", "smoked trout, rye, dill"), *_NAMES,
        ("portion", "what is on the plate, one line each", "- dill cream: 10-12 g"), *_BATCH, *_SOLD),
    *_keys("pack",
        ("pack", "name of what is packed and sold", "canapé box"), *_NAMES,
        ("holds", "what is in it, with the count", "- hazelnut gougère: 6"), *_BATCH, *_SOLD,
        ("shelf life", "use by or best before, counted from, and who set it", "{use by: 2 days, from: packing, set by: RM}"),
        ("net weight", "as weighed, or a stated minimum", "{at least: 288 g}"),
        ("net volume", "of a liquid, as measured or a stated minimum: the pack is sold by volume", "{at least: 250 ml}"),
        ("drink", "a drink: limits of drinks hold for it", "yes"),
        ("origin", "where the food is from, as printed; none claimed: the name tells a kind of food only",
         "Venison from Scotland"),
        ("also state", "further particulars, which the law words", "[defrosted, protective atmosphere]"),
        ("serving", "what one portion of the pack is, where it is not the whole (not for US labels)", "1 piece"),
        ("largest side", "area of the pack's largest side: small packs may carry less, and smaller type", "60 cm2"),
        ("label surface", "all of the pack's surface that can bear labels (US: small packs)", "240 cm2"),
        ("label stock", "which of the label sheets this pack's labels go on", "canapés"),
        ("alcohol", "strength of a drink by volume", "5.5 % vol"),
        ("store", "storage as printed", "Keep below 5 °C"),
        ("instructions", "instructions for use as printed", "Warm for 4 minutes at 180 °C")),
    *_keys("line",
        ("amount", "how much", "400 g"),
        ("about", "what a vague amount comes to", "3 g"),
        ("trim", "share thrown away before it goes in", "35 %"),
        ("trim becomes", "name of the trimmed part where another recipe uses it", "trout skin"),
        ("kept", "share of the line that stays in the food (a strained bouquet garni: 0 %)", "60 %"),
        ("food", "row of the food table for this line", '"01077"'),
        ("cooked as", "treatment of this line: a method, or a USDA retention code", "boiled"),
        ("cooked weight", "weight of this line when cooked, of its raw weight", "85 %"),
        ("instead", "the kitchen's own alternative (portions only)", "buckwheat cracker"),
        ("leave off", "can be left off for a guest (portions only)", "yes"),
        ("weighed", "edible or as bought (with bone, peel, shell)", "as bought"),
        ("note", "words behind the amount", "cold, diced")),
    *_keys("poured off",
        ("lines", "lines of the recipe that are poured off", "[whole milk, sea salt]"),
        ("stays in", "share of them that stays in the food", "12 %")),
    *_keys("coated in",
        ("lines", "lines of the recipe that stand in the trays", "[plain flour, egg]"),
        ("picked up", "what the food picks up, of its raw weight", "20 %")),
    *_keys("fried in",
        ("oil", "name of the oil or fat", "sunflower oil"),
        ("taken up", "what the food takes up, of its raw weight with coating", "6 %"),
        ("food", "row of the food table for the oil", '"04506"')),
    *_keys("shelf life",
        ("use by", "days, for what spoils fast", "2 days"),
        ("best before", "days, for what keeps", "21 days"),
        ("from", "counted from: packing or cooking", "packing"),
        ("set by", "who set it", "RM")),
    *_keys("net weight",
        ("at least", "a stated minimum", "288 g"),
        ("weighed", "as weighed", "300 g")),
    *_keys("net volume",
        ("at least", "a stated minimum", "250 ml"),
        ("measured", "as measured", "255 ml")),
    *_keys("menu",
        ("menu", "name of the menu", "December tasting"),
        ("from", "first day", "2026-12-01"), ("until", "last day", "2026-12-07"),
        ("courses", "one course a line", "- smoked trout, rye, dill"),
        ("packs", "packs that go with it, one a line", "- canapé box")),
    *_keys("course",
        ("course", "heading of the course", "From the sea"),
        ("dish", "the dish", "smoked trout, rye, dill"),
        ("choice", "dishes to choose from", "[celeriac with hazelnut, lamb with anchovy]")),
    *_keys("batch",
        ("batch", "a name for the day's work", "canapé boxes, Wednesday"),
        ("makes", "the recipe, dish or pack that was made", "canapé box"),
        ("date", "the day", "2026-11-25"),
        ("count", "packs or portions", "24"),
        ("lot", "lot of the packs", "L26329"),
        ("lots", "lot of each product", "{white miso paste: B4471}"),
        ("substitutes", "what is used tonight in place of what", "{crème fraîche: oat cream}"),
        ("made by", "initials", "RM"),
        ("frozen on", "the day raw meat or fish was first frozen, for its label", "2026-11-24")),
    *_keys("match",
        ("ingredient", "name as recipes have it", "crème fraîche"),
        ("food", "row of the food table", '"01056"'),
        ("release", "release of the food table", "SR28"),
        ("by", "who confirmed it", "RM"),
        ("date", "when", "2026-10-02")),
)  # fmt: skip

# label key -> (key of labeller.terms.nutrients.BASE, or an energy key; unit it is kept in)
NUTRITION: dict[str, tuple[str, str]] = {
    "fat": ("fat_g", "g"), "saturates": ("saturates_g", "g"), "monounsaturates": ("monounsaturates_g", "g"),
    "polyunsaturates": ("polyunsaturates_g", "g"), "trans fat": ("trans_fat_g", "g"), "cholesterol": ("cholesterol_mg", "mg"),
    "carbohydrate": ("carbohydrate_g", "g"), "sugars": ("sugars_g", "g"), "added sugars": ("added_sugars_g", "g"),
    "polyols": ("polyols_g", "g"), "fibre": ("fibre_g", "g"), "protein": ("protein_g", "g"), "salt": ("salt_g", "g"),
    "sodium": ("sodium_mg", "mg"), "water": ("water_g", "g"), "alcohol": ("alcohol_g", "g"), "ash": ("ash_g", "g"),
    "calcium": ("calcium_mg", "mg"), "iron": ("iron_mg", "mg"), "potassium": ("potassium_mg", "mg"),
    "magnesium": ("magnesium_mg", "mg"), "phosphorus": ("phosphorus_mg", "mg"), "zinc": ("zinc_mg", "mg"),
    "vitamin a": ("vitamin_a_rae_ug", "ug"), "vitamin c": ("vitamin_c_mg", "mg"), "vitamin d": ("vitamin_d_ug", "ug"),
    "vitamin e": ("vitamin_e_mg", "mg"), "vitamin b12": ("vitamin_b12_ug", "ug"), "folate": ("folate_ug", "ug"),
}  # fmt: skip


def keys_of(kind: str) -> tuple[Key, ...]:
    return tuple(key for key in KEYS if key.kind == kind)


def _known() -> dict[str, frozenset[str]]:
    found: dict[str, list[str]] = {}
    for key in KEYS:
        found.setdefault(key.kind, []).append(key.key)
    return {kind: frozenset(keys) for kind, keys in found.items()}


KNOWN = _known()
