"""Columns of our own beside SR28: trans fat, alcohol, added sugars, nitrogen factor, polyols. Used by convert_sr28.py.

Each value carries the key of its source (SOURCES.yaml). What can't be said with a reason stays blank.
"""

from __future__ import annotations

import re

OWN_HEADER = ("code", "trans_fat_g", "trans_fat_source", "alcohol_g", "alcohol_source", "added_sugars_g",
              "added_sugars_source", "nitrogen_factor", "nitrogen_source", "polyols_g", "polyols_source", "sugars_g",
              "sugars_source", "fibre_g", "fibre_source", "saturates_g", "saturates_source")  # fmt: skip
BLANK = ("", "")
KJ_PER_KCAL = 4.184
MARK = "brand: "  # put before the words of a branded row
LEAN_PLANT_G = 5.0  # g fat per 100 g up to which a plain plant food is taken to hold no trans fat
MILK_FAT_TRANS = 0.112 / 3.2  # g trans fat per g fat of whole milk, Foundation Foods 2024
EGG_FAT_TRANS = 0.038 / 9.51  # of whole egg, SR26

MEAT = {"Beef Products", "Pork Products", "Poultry Products", "Lamb, Veal, and Game Products"}
FISH = "Finfish and Shellfish Products"
FRUIT, VEG = "Fruits and Fruit Juices", "Vegetables and Vegetable Products"
DAIRY, GRAIN = "Dairy and Egg Products", "Cereal Grains and Pasta"
PULSE, NUT, SPICE = "Legumes and Legume Products", "Nut and Seed Products", "Spices and Herbs"
FAT, SWEET, DRINK = "Fats and Oils", "Sweets", "Beverages"

DRUNK = re.compile(r"alcohol|wine|beer|liqueur|\brum\b|brandy|whisk|vodka|\bgin\b|sake|extract|daiquiri|cider|kombucha|mead")
FATTED = re.compile(r"roasted|fried|\boil\b|toasted|puffed|souffle|noodles, egg|with butter")
# Words that say a food is more than the plain commodity of its group.
MADE_UP = re.compile(
    r"bread(ed|ing)|batter|(?<!apple)sauce|gravy|prepared-from-recipe|home-prepared|home recipe|candied|glazed|flavou?red|"
    r"\bmix\b|(?<!un)(?<!not )sweetened|with (added )?sugar|syrup|honey(?!dew)|marinated|teriyaki|barbecue|bbq|stuffing|stuffed|"
    r"imitation|substitute|surimi|\bsalad|soup|pudding|au gratin|scalloped|hash|o'brien|seasoned|with cheese|with added solution|"
    r"smoothie|sticks, frozen|dehydrated|with milk|(?<!milk, )reduced fat|omega|bologna|cakes|loaf"
)
CURED = re.compile(r"cured|\bham\b|bacon|smoked|kippered|pickled|canned|jerky|sausage|enhanced|salted|corned")
NOT_PLAIN_FRUIT = re.compile(r"canned(?!.*unsweetened)|nectar\b|juice blend|drink|concentrate|filling|maraschino|cocktail|"
                             r"jellied|dried, sweetened|cranberries, dried|relish|light syrup")  # fmt: skip
NOT_PLAIN_VEG = re.compile(r"canned|pickle|catsup|ketchup|relish|kimchi|(?<!un)prepared|french fried|puffs|pancakes|wedges|"
                           r"juice|chips|creamed|cream style|paste|puree|succotash|sauerkraut|pimento|olives")  # fmt: skip
NOT_PLAIN_PULSE = re.compile(r"butter|canned|baked|milk|silk|vitasoy|vegetarian|veggie|burger|yogurt|meatless|bacon|sausage|"
                             r"spread|refried|falafel|hummus|protein|morningstar|worthington|loma linda|house foods|mori-nu|"
                             r"natto|miso|frozen|dessert|chili|simulated|patties|sauce")  # fmt: skip
NOT_PLAIN_NUT = re.compile(r"almond paste|formulated|mixed nuts|coconut cream, canned|(?<!sesame )butter, (?!plain)|flakes|trail")
SPICE_BLEND = re.compile(r"chili powder|curry|poultry seasoning|pumpkin pie|seasoning|mustard, prepared|extract|capers|balsamic|"
                         r"horseradish, prepared")  # fmt: skip
NATURAL_CHEESE = re.compile(r"^cheese, (?!.*(product|food|spread|process|fruit|vegetable|imitation|substitute|fat.free|"
                            r"low.?fat|reduced fat|cream.*spread|kraft|velveeta|light|sauce))")  # fmt: skip
PLAIN_MILK = re.compile(r"^milk, (?!.*(chocolate|sweetened, condensed|condensed, sweetened|imitation|substitute|filled|"
                        r"shake|malted))")  # fmt: skip
PLAIN_DAIRY = re.compile(r"^(cream, (fluid|sour, cultured|half)|butter(,| oil)|yogurt, (greek, )?plain|buttermilk|whey, |"
                         r"egg, .*(raw|hard-boiled|poached|dried|frozen)|butter, clarified)")  # fmt: skip
MILK_FAT = re.compile(r"^(milk, (whole|reduced fat|lowfat|producer|fluid|dry, (whole|nonfat)|buttermilk|"
                      r"canned, evaporated|nonfat)|cream, (fluid|sour, cultured|half)|buttermilk|yogurt, (greek, )?plain|"
                      r"whey, |butter oil|butter, clarified)"
                      r"(?!.*(chocolate|sweetened|imitation|half, fat free|substitute))")
OTHER_MILK = re.compile(r"goat|sheep|buffalo|feta|roquefort|romano|gjetost|human")  # not cow's, or not cow's alone
SUGARS = re.compile(r"^(sugars?, (?!.*imitation)|honey|molasses|sweetener, syrup|syrup, (cane|maple)|sugar, turbinado|"
                    r"syrups, (maple|corn|malt|sorghum|table blends, (corn|cane|pancake|maple)))")  # fmt: skip


BRAND = re.compile(r"\b(?!KAMUT|USDA)[A-Z][A-Z'-]{2,}\b")  # USDA writes brands in capitals


def single_commodity(group: str, words: str) -> bool:
    """One plain raw (or plainly cooked, dried, pressed) commodity: no sugar can have been added to it."""
    if MADE_UP.search(words) or words.startswith(MARK):
        return False
    if group in MEAT or group == FISH:
        return not CURED.search(words)
    if group == DAIRY:
        plain = PLAIN_MILK.search(words) or NATURAL_CHEESE.search(words) or PLAIN_DAIRY.search(words)
        return bool(plain) and "sugared" not in words
    excluded = {FRUIT: NOT_PLAIN_FRUIT, VEG: NOT_PLAIN_VEG, PULSE: NOT_PLAIN_PULSE, NUT: NOT_PLAIN_NUT, SPICE: SPICE_BLEND}
    if group in excluded:
        return not excluded[group].search(words)
    if group == "Breakfast Cereals":
        return bool(re.match(r"cereals, oats, regular and quick, (unenriched|not fortified)", words))
    if group == GRAIN:
        return not re.search(r"hominy, canned|ready-to-|chow mein|\bwith\b(?! (?:added )?salt)|egg, spinach|crackers|chinese",
                             words)  # fmt: skip
    return False


def trans_fat(group: str, words: str, values: dict, older: dict | None) -> tuple[str, str]:
    if values["fat_g"] == 0:
        return "0", "part-of-fat"
    if older and older["trans_fat_g"]:
        if older["proximates_and_lipids_same_in_sr28"] == "1":
            return as_text(older["trans_fat_g"]), "usda-sr26"
        if older["energy_kj"] and values["energy_kcal"] is not None:
            # The figure of the older release; its energy is the same, so the fat is (nearly) the same fat.
            same_energy = abs(float(older["energy_kj"]) / KJ_PER_KCAL - values["energy_kcal"]) < 0.75
            if same_energy and float(older["trans_fat_g"]) <= (values["fat_g"] or 0):
                return as_text(older["trans_fat_g"]), "usda-sr26-energy-equal"
        if float(older["trans_fat_g"]) > 0:
            return BLANK
    return trans_fat_of_kind(group, words, values["fat_g"])


def trans_fat_of_kind(group: str, words: str, fat: float | None) -> tuple[str, str]:
    """What the kind of food tells where no release has a figure."""
    if fat is None:
        return BLANK
    if group == DAIRY and (MILK_FAT.search(words) or NATURAL_CHEESE.search(words)) and not OTHER_MILK.search(words):
        return as_figure(MILK_FAT_TRANS * fat), "milk-fat"
    if group == DAIRY and re.match(r"egg, (white|yolk), (raw|dried)(?!.*sugar)", words):
        return as_figure(EGG_FAT_TRANS * fat), "egg-fat"
    if group == SWEET and SUGARS.search(words) and fat <= 0.5:
        return "0", "assumed-zero-plant"
    plant = group in {FRUIT, VEG, PULSE, GRAIN, SPICE, NUT} and not FATTED.search(words)
    if not plant or not single_commodity(group, words):
        return BLANK
    if fat <= LEAN_PLANT_G:
        return "0", "assumed-zero-plant"
    return ("0", "assumed-zero-nut") if group == NUT or words.startswith("peanuts") else BLANK


def alcohol(group: str, words: str, values: dict, older: dict | None) -> tuple[str, str]:
    if older and older["alcohol_g"]:
        if older["proximates_and_lipids_same_in_sr28"] == "1":
            return as_text(older["alcohol_g"]), "usda-sr26"
        if float(older["alcohol_g"]) == 0 and not DRUNK.search(words):
            return "0", "usda-sr26-zero"
    protein, fat, carbohydrate, energy = (values[key] for key in ("protein_g", "fat_g", "carbohydrate_g", "energy_kcal"))
    if None in (protein, fat, carbohydrate):
        return BLANK
    if (group in MEAT or group == FISH) and energy is not None and not DRUNK.search(words):
        explained = (4.27 * protein + 9.02 * fat + factor * carbohydrate for factor in (3.87, 4.11))
        if any(abs(energy - kcal) <= 1 for kcal in explained):
            return "0", "by-energy"
    if values["water_g"] is None or values["ash_g"] is None:
        return BLANK
    left = round(100 - values["water_g"] - values["ash_g"] - protein - fat - carbohydrate, 2)
    if abs(left) <= 0.05 and not DRUNK.search(words):
        return "0", "by-difference"
    if words.startswith("alcoholic bev") and left > 0.5:
        return as_text(str(left)), "by-difference"
    return BLANK


def added_sugars(group: str, words: str, values: dict, sugars_text: str) -> tuple[str, str]:
    if values["sugars_g"] == 0 or values["carbohydrate_g"] == 0:
        return "0", "part-of-sugars"
    if group == SWEET and SUGARS.search(words) and "sugar free" not in words:
        return (sugars_text, "us-101.9-c-6-iii") if sugars_text else BLANK
    if group == VEG and re.match(r"tomato products, canned, (paste|puree)|tomato juice, canned", words):
        return "0", "us-155-191"
    return ("0", "single-commodity") if single_commodity(group, words) else BLANK


def nitrogen(group: str, words: str, values: dict) -> tuple[str, str]:
    """Factor and the row of the list of factors it comes from ("nf-..."), blank where the description leaves it open."""
    if values["protein_g"] == 0:
        return "6.25", "nf-no-protein"
    if group == SWEET:
        return sweet_factor(words)
    if MADE_UP.search(words) or group not in FACTOR_OF_GROUP:
        return BLANK
    return FACTOR_OF_GROUP[group](words)


def sweet_factor(words: str) -> tuple[str, str]:
    if words.startswith("gelatins, dry powder, unsweetened"):
        return "5.55", "nf-gelatin"
    cocoa = re.match(r"cocoa, dry|baking chocolate, unsweetened|chocolate, dark|candies, (semisweet|sweet) chocolate$", words)
    return ("5.63", "nf-cocoa") if cocoa else BLANK


def meat_factor(words: str) -> tuple[str, str]:
    extended = re.search(r"soy|vpp|vegetable|meatless|vegetarian|nonfat dry milk|cheese", words)
    return BLANK if extended else ("6.25", "nf-egg-meat-fish")


def dairy_factor(words: str) -> tuple[str, str]:
    if words.startswith("egg, "):
        return "6.25", "nf-egg-meat-fish"
    plain = PLAIN_MILK.search(words) or PLAIN_DAIRY.search(words) or re.match(r"cheese, (?!.*(fruit|vegetable))", words)
    return ("6.38", "nf-milk") if plain else BLANK


def plant_factor(words: str) -> tuple[str, str]:
    if "mushroom" in words:  # USDA has a factor of its own for them, which is not in our list
        return BLANK
    return ("5.71", "nf-soy") if "soybean" in words else ("6.25", "nf-default")


def drink_factor(words: str) -> tuple[str, str]:
    brewed = re.match(r"(alcoholic beverage, (wine|beer, (regular|light))|beverages, (coffee|tea).*brewed)", words)
    return ("6.25", "nf-default") if brewed else BLANK


def pulse_factor(words: str) -> tuple[str, str]:
    if re.search(r"veg(etarian|gie)|burger|sausage|bacon|meatless|chocolate|chai|simulated", words):
        return BLANK
    if re.match(r"peanut", words):
        return ("5.46", "nf-peanut-brazil-nut") if not re.search("spread|reduced fat|omega", words) else BLANK
    if re.match(r"(soybeans|soy (flour|meal)|tofu|tempeh|natto|okara|soymilk|mori-nu, tofu)", words):
        return "5.71", "nf-soy"
    plain = re.match(r"(beans|lentils|peas|chickpeas|chickpea flour|lima beans|broadbeans|cowpeas|mung|mungo|pigeon|lupins|"
                     r"yardlong|winged beans|hyacinth|mothbeans|yam)", words)  # fmt: skip
    return ("6.25", "nf-default") if plain and "pork" not in words and "frankfurter" not in words else BLANK


def nut_factor(words: str) -> tuple[str, str]:
    if re.search(r"mixed nuts|formulated|almond paste", words):
        return BLANK
    if "almond" in words:
        return "5.18", "nf-almond"
    return ("5.46", "nf-peanut-brazil-nut") if "brazilnut" in words or "brazil nut" in words else ("5.30", "nf-other-nut-seed")


def grain_factor(words: str) -> tuple[str, str]:
    if re.search(r"germ\b|gluten|egg|spinach|vegetable|triticale|crackers|corn and rice|51% whole|quinoa, corn|rice and", words):
        return BLANK
    if "wheat bran" in words:
        return "6.31", "nf-wheat-bran"
    if re.search(r"^(rice|wild rice)|^noodles, (rice|japanese, soba)|^pasta, gluten-free", words):
        return ("5.95", "nf-rice") if re.match(r"rice\b(?! noodles)|noodles, rice|rice noodles", words) else BLANK
    whole = re.search(r"whole.wheat|whole.grain|^wheat, |bulgur|spelt|kamut|khorasan|^rye|^oat|^barley|^millet", words)
    if whole and not re.search(r"corn|sorghum|buckwheat|rice", words):
        return "5.83", "nf-whole-wheat-rye-oats-barley-millet"
    if re.match(r"(wheat flour|wheat flours|pasta|spaghetti|macaroni|semolina|couscous|noodles, japanese, somen)", words):
        if "fortified" in words and "protein" in words:
            return ("6.25", "nf-default") if "n x 6.25" in words else BLANK
        return "5.70", "nf-wheat-flour-pasta"
    other = re.match(r"(corn|cornmeal|cornstarch|amaranth|buckwheat|quinoa|sorghum|teff|tapioca|arrowroot|fonio)", words)
    return ("6.25", "nf-default") if other else BLANK


FACTOR_OF_GROUP = {
    **dict.fromkeys((*MEAT, FISH, "Sausages and Luncheon Meats"), meat_factor),
    DAIRY: dairy_factor, FRUIT: plant_factor, VEG: plant_factor, SPICE: lambda words: ("6.25", "nf-default"),
    PULSE: pulse_factor, NUT: nut_factor, GRAIN: grain_factor, DRINK: drink_factor,
}  # fmt: skip


def parts_of_nothing(values: dict) -> tuple[tuple[str, str], ...]:
    """Sugars, fibre and saturates that the release leaves blank though the whole they are part of is 0."""
    wholes = (("sugars_g", "carbohydrate_g", "part-of-carbohydrate"), ("fibre_g", "carbohydrate_g", "part-of-carbohydrate"),
              ("saturates_g", "fat_g", "part-of-fat"))  # fmt: skip
    return tuple(("0", source) if values[part] is None and values[whole] == 0 else BLANK for part, whole, source in wholes)


def as_figure(value: float) -> str:
    return f"{value:.3f}".rstrip("0").rstrip(".") or "0"


def as_text(value: str) -> str:
    return value[:-2] if value.endswith(".0") else value


def own_row(code: str, group: str, description: str, values: dict, printed: dict, older: dict | None,
            factor: str, trans_share: float | None) -> tuple:  # fmt: skip
    """One row of own_columns.csv. values: base key -> number or None; printed: base key -> text as
    printed. older: the row of Release 26. factor: USDA's nitrogen factor, "" when it carries none.
    trans_share: g trans fat per g fat of the same food in Foundation Foods."""
    words = MARK + description.lower() if BRAND.search(description) else description.lower()
    polyols = ("0", "part-of-carbohydrate") if values["carbohydrate_g"] == 0 else BLANK
    own_nitrogen = (factor, "usda-sr-legacy-nf") if factor else nitrogen(group, words, values)
    trans = trans_fat(group, words, values, older)
    newer = trans_share is not None and values["fat_g"] is not None
    if newer and trans[1] in ("", "milk-fat", "egg-fat", "assumed-zero-plant", "assumed-zero-nut"):
        trans = as_figure(trans_share * values["fat_g"]), "usda-foundation-2024"
    columns = (trans, alcohol(group, words, values, older),
               added_sugars(group, words, values, printed["sugars_g"]), own_nitrogen, polyols,
               *parts_of_nothing(values))  # fmt: skip
    return (code, *(part for column in columns for part in column))
