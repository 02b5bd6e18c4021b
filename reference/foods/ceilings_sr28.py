"""The most that a value USDA leaves blank can be, by the kind of food. Used by remake_own_columns.py.

A kind's ceiling is the most that any food of the kind has where USDA gave it, rounded up. It is no figure of the food: it says
only up to where the missing figure can reach. tests/test_at_most.py holds every known row of a kind to its ceiling.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from own_columns_sr28 import BRAND, DAIRY, DRINK, FAT, FISH, FRUIT, GRAIN, NUT, OTHER_MILK, PULSE, SPICE, SWEET, VEG

PLANTS = {FRUIT, VEG, PULSE, GRAIN, SPICE, NUT}
SAUSAGES = "Sausages and Luncheon Meats"
# Words that say that another fat, milk or a made-up food is in it.
WITH_FAT = re.compile(
    r"fried|fries|butter(?!nut|bur|head|milk)|margarine|cream|cheese|\bmilk, |au gratin|prepared.from|home-prepared|sauce|"
    r"candied|stuff|puffs|pancake|hash|mashed|restaurant|hydrogen|chips|snack|bread(ed|ing)|batter|souffle|"
    r"imitation|surimi|meatless|vegetarian|burger|patties|dessert|egg|lasagna|chow mein|mayonnaise|gravy|pork|meat|franks|"
    r"oil roasted|formulated|trail mix|sticks|nuggets|\bsalad(?!s or cooking)|soup|spread|pudding|scalloped|"
    r"with beef|chili with|home prepared|papad|stewed kidney|fudge|fresh-refrigerated|worthington|morningstar|"
    r"loma linda|vitasoy|house foods|mori-nu|silk\b"
)
FORTIFIED = (
    r"vitamin d|fortified|calcium|mushroom|fungi|egg|milk|cheese|nutritional|lite|plus|ready-to-drink|silk|smoothie|"
    + WITH_FAT.pattern
)
ORGANS = (
    r"variety meats|liver|kidney|heart|brain|thymus|tongue|giblets|gizzard|fat only|separable fat|backfat|skin|spleen|"
    r"lungs|"
)
WINE = r"^alcoholic beverages?, wine, (table|rose)"
MADE = (
    r"bread(ed|ing)|batter|fried|imitation|surimi|sauce|gravy|soup|salad|restaurant|hydrogen|stuff|meatless|"
    r"with added fat|margarine"
)
NONE = r"$^"
NOT_MILK = r"egg|imitation|substitute|filled|topping|nondairy|non-dairy|vegetable|coating|human"
EGGS = r"^egg, (whole|yolk|white|duck|goose|quail|turkey)(?!.*(omelet|scrambled|fried))"
SUGARS_AND_COCOA = r"^(sugars?, |honey|molasses|syrups?, |cocoa, dry|jams|marmalade)"
PLAIN_OATS = r"^cereals, oats, regular and quick, (unenriched|not fortified)|^cereals, corn grits, white, regular and quick"
SOUP = "Soups, Sauces, and Gravies"
LAMB, BEEF, PORK, POULTRY = "Lamb, Veal, and Game Products", "Beef Products", "Pork Products", "Poultry Products"


class Kind(NamedTuple):
    """A kind of food. source: key of SOURCES.yaml. most: key -> (quantity it is a share of, "" for per 100 g; the most)."""

    source: str
    groups: frozenset[str] | set[str]
    words: re.Pattern[str]
    without: re.Pattern[str]
    most: dict[str, tuple[str, float]]


def _kind(source: str, groups, words: str, without: str, **most: tuple[str, float]) -> Kind:
    return Kind(source, frozenset(groups), re.compile(words), re.compile(without), most)


TRANS = (
    _kind(
        "at-most-oil",
        {FAT},
        r"^oil, |^vegetable oil",
        r"hydrogen|industrial(?! and retail)|usda|fish|animal|butter",
        trans_fat_g=("fat_g", 0.03),
    ),
    _kind("at-most-milk", {DAIRY}, r"^(?!egg)", NOT_MILK, trans_fat_g=("fat_g", 0.05)),
    _kind("at-most-egg", {DAIRY}, EGGS, r"mix|substitute", trans_fat_g=("fat_g", 0.01)),
    _kind("at-most-fish", {FISH}, r"", MADE, trans_fat_g=("fat_g", 0.04)),
    _kind("at-most-pork", {PORK}, r"", MADE, trans_fat_g=("fat_g", 0.02)),
    _kind("at-most-pork", {FAT}, r"^lard|bacon grease", NONE, trans_fat_g=("fat_g", 0.02)),
    _kind("at-most-poultry", {POULTRY}, r"", MADE, trans_fat_g=("fat_g", 0.05)),
    _kind("at-most-poultry", {FAT}, r"^fat, (chicken|duck|goose|turkey)", NONE, trans_fat_g=("fat_g", 0.05)),
    _kind("at-most-ruminant", {BEEF, LAMB, SAUSAGES}, r"", MADE, trans_fat_g=("fat_g", 0.09)),
    _kind("at-most-ruminant", {FAT}, r"^fat, (beef|mutton) tallow", NONE, trans_fat_g=("fat_g", 0.09)),
    _kind("at-most-plant", PLANTS, r"", WITH_FAT.pattern, trans_fat_g=("fat_g", 0.02)),
    _kind("at-most-plant", {SWEET}, r"^cocoa, dry|^baking chocolate, unsweetened", NONE, trans_fat_g=("fat_g", 0.02)),
    _kind("at-most-plant", {"Breakfast Cereals"}, PLAIN_OATS, NONE, trans_fat_g=("fat_g", 0.02)),
    _kind("at-most-fish", {SOUP}, r"^fish broth|^soup, stock, fish", NONE, trans_fat_g=("fat_g", 0.04)),
    _kind("at-most-poultry", {SOUP}, r"^soup, stock, chicken", NONE, trans_fat_g=("fat_g", 0.05)),
    _kind("at-most-ruminant", {SOUP}, r"^soup, stock, beef", NONE, trans_fat_g=("fat_g", 0.09)),
    _kind("at-most-plant", {"Snacks"}, r"popcorn, air-popped", r"butter", trans_fat_g=("fat_g", 0.02)),
)
OTHERS = (
    _kind("at-most-plant-vitamin-d", PLANTS, r"", FORTIFIED, vitamin_d_ug=("", 0.0)),
    _kind("at-most-plant-vitamin-d", {SWEET}, SUGARS_AND_COCOA, r"milk|fortified", vitamin_d_ug=("", 0.0)),
    _kind(
        "at-most-plant-vitamin-d",
        {FAT},
        r"^oil, |^vegetable oil",
        r"fish|animal|butter|hydrogen",
        vitamin_d_ug=("", 0.0),
        cholesterol_mg=("", 0.0),
    ),
    _kind("at-most-plant-cholesterol", PLANTS, r"", WITH_FAT.pattern + r"|\bham\b|bacon", cholesterol_mg=("", 0.0)),
    _kind(
        "at-most-plant-cholesterol",
        {SWEET},
        r"^(sugars?, |honey|molasses|syrups?, )",
        r"milk|fudge|butter",
        cholesterol_mg=("", 0.0),
    ),
    _kind(
        "at-most-wine",
        {DRINK},
        WINE,
        NONE,
        vitamin_d_ug=("", 0.0),
        cholesterol_mg=("", 0.0),
        potassium_mg=("", 150.0),
        calcium_mg=("", 15.0),
        iron_mg=("", 1.0),
        sodium_mg=("", 15.0),
    ),
    _kind("at-most-vitamin-d", {BEEF}, r"", ORGANS + MADE, vitamin_d_ug=("", 0.8)),
    _kind("at-most-vitamin-d", {PORK}, r"", ORGANS + MADE, vitamin_d_ug=("", 2.7)),
    _kind("at-most-vitamin-d", {POULTRY}, r"", ORGANS + MADE, vitamin_d_ug=("", 0.8)),
    _kind("at-most-vitamin-d", {LAMB}, r"", ORGANS + MADE, vitamin_d_ug=("", 1.8)),
    _kind(
        "at-most-vitamin-d",
        {DAIRY},
        r"^cheese, ",
        r"vitamin d|food|spread|process|imitation|substitute",
        vitamin_d_ug=("", 2.8),
    ),
    _kind("at-most-vitamin-d", {FISH}, r"^(crustaceans|mollusks)", MADE, vitamin_d_ug=("", 8.0)),
)
HEADER = ("code", "key", "of", "most", "source")


def kind_of(key: str, group: str, description: str) -> Kind | None:
    """The kind whose ceiling holds for a quantity of a food; None where no kind is clear, and for brands."""
    if BRAND.search(description.replace("BBQ", "")):
        return None
    words = description.lower()
    for kind in (*TRANS, *OTHERS):
        if key in kind.most and group in kind.groups and kind.words.search(words) and not kind.without.search(words):
            return _of_any_milk(kind) if kind.source == "at-most-milk" and OTHER_MILK.search(words) else kind
    return None


def _of_any_milk(kind: Kind) -> Kind:
    """Milk of sheep, goats and buffaloes: nobody measured it, so the ceiling of all ruminants."""
    return kind._replace(source="at-most-ruminant", most={"trans_fat_g": ("fat_g", 0.09)})


def ceilings(code: str, group: str, description: str, values: dict) -> list[tuple[str, ...]]:
    """Rows of at_most.csv for a food. values: base key -> number or None, own columns included."""
    out = []
    for key in ("trans_fat_g", "vitamin_d_ug", "cholesterol_mg", "potassium_mg", "calcium_mg", "iron_mg", "sodium_mg"):
        kind = kind_of(key, group, description) if values.get(key) is None else None
        if kind is not None:
            of, most = kind.most[key]
            out.append((code, key, of, f"{most:g}", kind.source))
    return out
