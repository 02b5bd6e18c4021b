"""What a kitchen writes, as frozen types. Made by :mod:`labeller.reading.kitchen` only; nothing here is computed."""

from __future__ import annotations

from msgspec import Struct, field

from labeller.terms.findings import NOWHERE, Place
from labeller.terms.spans import Span


class Amount(Struct, frozen=True):
    """An amount as typed and as read.

    text: as typed. number: low, middle, high in ``unit``. unit: canonical key: ``g kg mg oz lb ml cl dl l fl_oz pint quart
    gallon cup tbsp tsp drop dash pinch`` or ``piece`` (counted). piece_word: for counted things the word that tells which
    piece ("sheets", "cloves", "large", ""). vague: ``to taste``, ``to garnish`` or ``as needed`` when no amount was given
    (then number is 0-0-0 and unit ``g``). about: what the kitchen says a vague amount comes to.
    """

    text: str
    number: Span
    unit: str
    piece_word: str = ""
    vague: str = ""
    about: Amount | None = None


class Line(Struct, frozen=True):
    """One ingredient line of a recipe, a dish's portion or a pack.

    name: as typed (recipe, product or kitchen name). amount: None when none was written. trim: share thrown away before it
    goes in (0-1). trimmed_to: name of the part kept for another recipe, if any ("trim used in"). kept: share of the line
    that stays in the food (0-1; 1 unless the cook says so, e.g. a breading tray with half left behind, a strained bouquet
    garni). food: pinned row ("01077" or "fdc:173410"). cooked_as: treatment of this line, a method word or a USDA retention
    code. cooking_yield: cooked over raw weight of this line (1.0 = no change), None when not written. instead: the
    kitchen's own alternative. leave_off: can be left off for a guest. weight_is: ``edible``, ``as bought`` or "".
    """

    name: str
    amount: Amount | None
    place: Place
    trim: Span = Span(0.0, 0.0, 0.0)
    kept: Span = Span(1.0, 1.0, 1.0)
    food: str = ""
    cooked_as: str = ""
    cooking_yield: Span | None = None
    instead: str = ""
    leave_off: bool = False
    weight_is: str = ""
    note: str = ""
    trimmed_to: str = ""


class PouredOff(Struct, frozen=True):
    """Liquid, and what is dissolved in it, that leaves: lines named, share that stays in the food (0-1)."""

    lines: tuple[str, ...]
    stays: Span
    place: Place


class FriedIn(Struct, frozen=True):
    """Fat taken up from a fryer or pan: name of the oil, grams taken up as a share of the raw food with its coating (0-1)."""

    oil: str
    taken_up: Span
    place: Place
    food: str = ""


class Coating(Struct, frozen=True):
    """Coatings and breading stations: what is picked up, as a share of the raw food before coating (0-1), divided among the
    lines named in proportion to their amounts in the trays; what stays in the trays leaves the nutrients, not the allergens.
    """

    lines: tuple[str, ...]
    picked_up: Span
    place: Place


class Makes(Struct, frozen=True):
    """What a batch weighs or counts when ready. One or both of: grams (Span) · pieces with the weight of one (Span, grams).

    volume: an Amount when the batch was measured as a volume.
    """

    place: Place
    text: str
    grams: Span | None = None
    volume: Amount | None = None
    pieces: Span | None = None
    piece_grams: Span | None = None


class Loss(Struct, frozen=True):
    """Where the difference between what went in and what it makes went. kind: ``evaporated``, ``left behind`` or ``fat``;
    share: of the difference (0-1); the shares of one recipe add up to 1."""

    kind: str
    share: float
    place: Place


class Recipe(Struct, frozen=True):
    """A sub-recipe (kind ``recipe``), a plate (``dish``) or a pack (``pack``: ``lines`` are what it ``holds``, counted).

    serves: number of portions (dish). equipment: names of kitchen.yaml; None = nothing written, () = "none shared".
    equipment_order: as recorded ("first after oil change", "after …"), "" when not recorded. reduced_to: share of the
    weight in, or grams (exactly one is set in the tuple (share, grams)). alcohol_stays: share (0-1) or None.
    recorded: facts that guests ask beyond allergens (``also:``), key -> text; blank = not recorded. also_declared: nutrients to
    be printed that the law leaves free. serving: what one serving of a pack is ("1 piece", "30 g"), "" = the whole pack.
    short_table: leave out of the table what the law lets be left out. alcohol_vol: % vol of a drink. largest_side_cm2: of a pack;
    bearing_cm2: all of its surface that can bear labels; stock: a name of the kitchen's label sheets, "" = its first.
    density_g_per_ml: as measured, ready. net_volume: of a pack sold by volume; drink: limits of drinks hold for it.
    short_list: leave out of the list of ingredients what the law lets be left out.
    origin: as printed, ``none claimed`` where the name tells a kind of food only; stated: keys of further particulars.
    """

    name: str
    kind: str
    place: Place
    lines: tuple[Line, ...]
    also_called: tuple[str, ...] = ()
    description: str = ""
    serves: Span | None = None
    method: str = ""
    makes: Makes | None = None
    loss: tuple[Loss, ...] = ()
    poured_off: tuple[PouredOff, ...] = ()
    fried_in: FriedIn | None = None
    coating: Coating | None = None
    water_change: Span | None = None
    fat_change: Span | None = None
    reduced_to: tuple[Span | None, Span | None] | None = None
    alcohol_stays: Span | None = None
    equipment: tuple[str, ...] | None = None
    equipment_order: str = ""
    cleaned_between: bool = False
    water_used_twice: bool = False
    same_batch_as: tuple[str, ...] = ()
    recorded: tuple[tuple[str, str], ...] = ()
    sold: str = ""
    legal_name: str = ""
    quid: tuple[str, ...] = ()
    shelf_life: ShelfLife | None = None
    net_weight: NetWeight | None = None
    store: str = ""
    instructions: str = ""
    nutrition_asked: bool = False
    precaution: tuple[str, ...] = ()
    precaution_assessed: str = ""
    racc: str = ""
    also_declared: tuple[str, ...] = ()
    serving: str = ""
    short_table: bool = False
    alcohol_vol: float | None = None
    largest_side_cm2: float | None = None
    bearing_cm2: float | None = None
    stock: str = ""
    density_g_per_ml: float | None = None
    net_volume: NetVolume | None = None
    drink: bool = False
    short_list: bool = False
    origin: str = ""
    stated: tuple[str, ...] = ()


class ShelfLife(Struct, frozen=True):
    """kind: ``use by`` or ``best before``; days counted from packing or cooking; set_by: who set it (never a default)."""

    kind: str
    days: int
    counted_from: str
    set_by: str
    place: Place


class NetWeight(Struct, frozen=True):
    """Net quantity in grams: weighed, or a stated minimum (``at_least`` True)."""

    grams: float
    at_least: bool
    place: Place


class NetVolume(Struct, frozen=True):
    """Net quantity of a liquid in ml: measured, or a stated minimum (``at_least`` True)."""

    ml: float
    at_least: bool
    place: Place


class Evidence(Struct, frozen=True):
    """What a product's allergens rest on. kind: ``pack``, ``specification``, ``supplier`` or ``single ingredient``.
    checked: ISO date as typed; by: initials; pack_code: what tells this edition of the pack."""

    kind: str
    checked: str
    by: str
    place: Place
    pack_code: str = ""


class Product(Struct, frozen=True):
    """A bought-in product. ``contains`` and ``may_contain`` are None when nothing was written, () when "none".

    nutrition: base or label keys (see reading.kitchen) -> value per 100 g, as label figures with their basis (``eu`` or
    ``us``). sulphites_mg_per_kg: as SO2, None when unknown. gluten_mg_per_kg: a recorded figure or None.
    recall: text of a recall or alert, "" when none.
    """

    name: str
    place: Place
    also_called: tuple[str, ...] = ()
    supplier: str = ""
    label_text: str = ""
    contains: tuple[str, ...] | None = None
    may_contain: tuple[str, ...] | None = None
    evidence: Evidence | None = None
    food: str = ""
    nutrition_basis: str = ""
    nutrition: tuple[tuple[str, float], ...] = ()
    density_g_per_ml: float | None = None
    pieces: tuple[tuple[str, float], ...] = ()
    alcohol_vol_percent: float | None = None
    refined: bool = False
    sulphites_mg_per_kg: float | None = None
    gluten_mg_per_kg: float | None = None
    recorded: tuple[tuple[str, str], ...] = ()
    recall: str = ""
    label_name: str = ""


class Equipment(Struct, frozen=True):
    """Shared equipment. changed: date the oil or water was changed, "" when no date is on record. also_cooks: names of
    ingredients, products or recipes it meets besides the recipes that name it. bath: oil or water stays in it from one food to
    the next, which cleaning does not change. firsts: recipes that say they go first after its change (set by the workshop)."""

    name: str
    place: Place
    changed: str = ""
    also_cooks: tuple[str, ...] = ()
    cleaned_between: bool = False
    bath: bool = False
    firsts: tuple[str, ...] = ()


class Course(Struct, frozen=True):
    """One course: one dish, or a choice of several."""

    dishes: tuple[str, ...]
    place: Place
    title: str = ""


class Menu(Struct, frozen=True):
    """Dates are ISO text as typed."""

    name: str
    place: Place
    starts: str = ""
    ends: str = ""
    courses: tuple[Course, ...] = ()
    packs: tuple[str, ...] = ()

    def dishes(self) -> tuple[str, ...]:
        """Names of dishes and packs in the order of service, each once."""
        return tuple(dict.fromkeys([dish for course in self.courses for dish in course.dishes] + list(self.packs)))


class Batch(Struct, frozen=True):
    """What was made on one day. count: packs or portions; lots: product -> lot code; substitutes: old -> new, tonight only."""

    name: str
    place: Place
    makes: str
    date: str = ""
    count: int = 0
    lot: str = ""
    lots: tuple[tuple[str, str], ...] = ()
    substitutes: tuple[tuple[str, str], ...] = ()
    made_by: str = ""
    frozen_on: str = ""


class Match(Struct, frozen=True):
    """An ingredient name confirmed by a person to mean a food row, of a release."""

    name: str
    food: str
    by: str
    date: str
    place: Place
    release: str = ""


class Kitchen(Struct, frozen=True):
    """Everything in a kitchen's folder. version: first 12 hex digits of a SHA-256 over the files read, names included.

    stocks: label stock, short name -> description as typed. files: relative paths that were read. also_declared: nutrients to
    be printed that the law leaves free. employees, places_of_business: of the business, 0 = not stated; laws on calories of menus
    ask. allergens_in_list: under a law that leaves the choice, allergens in brackets in the list instead of a Contains line.
    """

    name: str
    place: Place = NOWHERE
    address: str = ""
    web: str = ""
    law: str = "eu"
    nation: str = ""
    languages: tuple[str, ...] = ("en",)
    measures: str = "metric"
    nutrition_asked: bool = False
    equipment: dict[str, Equipment] = field(default_factory=dict)
    stocks: dict[str, str] = field(default_factory=dict)
    products: dict[str, Product] = field(default_factory=dict)
    recipes: dict[str, Recipe] = field(default_factory=dict)
    menus: dict[str, Menu] = field(default_factory=dict)
    batches: dict[str, Batch] = field(default_factory=dict)
    matches: dict[str, Match] = field(default_factory=dict)
    version: str = ""
    files: tuple[str, ...] = ()
    also_declared: tuple[str, ...] = ()
    employees: int = 0
    places_of_business: int = 0
    allergens_in_list: bool = False
