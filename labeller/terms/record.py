"""What the working-out hands to the law: exact figures of one dish, its allergen facts and its ingredients by weight."""

from __future__ import annotations

from msgspec import Struct, field

from labeller.terms.allergens import AllergenFact
from labeller.terms.findings import Finding
from labeller.terms.spans import Span


class Corner(Struct, frozen=True):
    """Everything at one setting of the kitchen's ranges (or at their midpoints).

    weight_g: grams of one portion as served. totals: base key -> amount per portion (unit of the key); a key whose value is
    known for no part of the weight is absent. known: base key -> share (0-1) of the portion's ingredient weight for which the
    value is known.
    """

    weight_g: float
    totals: dict[str, float]
    known: dict[str, float]


class Ingredient(Struct, frozen=True):
    """One ingredient as it stands in an ingredient statement, nested.

    name: as the label says it. weight_g: grams at the time of use per portion (middle). finished_g: grams of it in the
    finished food where water was lost or gained. kinds: allergen kinds it contains (state contains or to be confirmed).
    under: its own ingredients (sub-recipe, or a compound product's printed list as ``printed``). water: True for added water.
    category and additive wording come from the product's own label text. exempt: (law, kind) pairs.
    alcohol_vol: % vol of a drink. aid: True when it only touched the food (poured off, fryer, tray): contact, no weight.
    gave_g: grams at the time of use of what was strained out of a liquid that stays (bones of a stock): an ingredient, whose
    extractives are in the food, though ``weight_g`` is 0.
    """

    name: str
    weight_g: float
    kinds: tuple[str, ...] = ()
    under: tuple[Ingredient, ...] = ()
    printed: str = ""
    water: bool = False
    exempt: tuple[tuple[str, str], ...] = ()
    aid: bool = False
    finished_g: float | None = None
    quid: bool = False
    gave_g: float = 0.0


class Component(Struct, frozen=True):
    """A line of a dish's portion, for the waiter and the matrix: what can be left off or exchanged."""

    name: str
    kinds: tuple[str, ...]
    leave_off: bool
    instead: str


class Missing(Struct, frozen=True):
    """An ingredient of a portion (grams as used) that lacks a figure. most: what it can bring at most, in the unit of the key;
    None where that is not known."""

    key: str
    name: str
    grams: float
    most: float | None


class DishRecord(Struct, frozen=True):
    """One dish, recipe or pack, worked out, before any law.

    kind: ``dish``, ``recipe`` or ``pack``. weight_g: grams of one portion (dish), one pack, or the batch (recipe).
    middle, corners: see :class:`Corner`; bounds of any figure are the least and greatest over ``corners`` and ``middle``.
    unknown_amounts: names of lines whose amount is not known (figures are then "at least"). stopped: True when a finding
    blocks everything; nutrition_stopped: True when one blocks the figures only. recorded: facts guests ask beyond allergens.
    holds: for a pack, the records of what is in it with their count. sulphites_mg_per_kg: as SO2 in the finished food, the most
    that the products can have brought; None = not known (then they are declared). missing: what lacks a figure.
    """

    name: str
    kind: str
    weight_g: Span
    pieces: float | None
    middle: Corner | None
    corners: tuple[Corner, ...] = ()
    facts: tuple[AllergenFact, ...] = ()
    ingredients: tuple[Ingredient, ...] = ()
    components: tuple[Component, ...] = ()
    equipment: tuple[str, ...] = ()
    unknown_amounts: tuple[str, ...] = ()
    recorded: tuple[tuple[str, str, str], ...] = ()
    findings: tuple[Finding, ...] = ()
    stopped: bool = False
    nutrition_stopped: bool = False
    description: str = ""
    net_weight_g: float | None = None
    holds: tuple[tuple[str, float], ...] = ()
    sulphites_mg_per_kg: float | None = None
    missing: tuple[Missing, ...] = ()


class NutritionRow(Struct, frozen=True):
    """One printed line of a nutrition table. key: of the law's own list (``fat_g`` …). name: as the law prints it.
    per_100g, per_portion: printed text with unit ("5.1 g"), "" when not shown. share: printed %RI or %DV ("3 %"), "".
    indent: 0, 1 or 2. bold: as the law asks. value_*: exact, with bounds; known: share of weight known. at_least: True when
    a line without an amount makes the figure a lower bound. rule: section of the law whose rounding was used. per_pack,
    share_pack: the second column that US law asks for on some packs, "" else. per_100ml, value_100ml: of a food sold by volume,
    whose table has that column in place of ``per_100g`` (then ""). ends: per portion, between which a figure lies that some of is
    missing; settled: both print the same, so that the printed text is whole though the value is not."""

    key: str
    name: str
    per_100g: str
    per_portion: str
    share: str
    indent: int = 0
    bold: bool = False
    value_100g: Span | None = None
    value_portion: Span | None = None
    known: float = 1.0
    at_least: bool = False
    rule: str = ""
    per_pack: str = ""
    share_pack: str = ""
    per_100ml: str = ""
    value_100ml: Span | None = None
    settled: bool = False
    ends: tuple[float, float] | None = None

    @property
    def hundred(self) -> str:
        """Printed text of the column per 100 g, or per 100 ml of a food sold by volume."""
        return self.per_100g or self.per_100ml


class Run(Struct, frozen=True):
    """A run of text in one style: emphasised (an allergen by law) or not."""

    text: str
    emphasis: bool = False


class Second(Struct, frozen=True):
    """The other language of a label that a law wants in two: its words for what the declaration says. names: (key, name) of
    rows."""

    language: str
    table_heading: str
    portion_words: str
    names: tuple[tuple[str, str], ...]
    footnotes: tuple[str, ...]
    contains: str
    may_contain: str


class Declaration(Struct, frozen=True):
    """A dish under one law on one date. What printing may draw; nothing there is computed or reworded again.

    rows: nutrition table in the law's order; portion_words: "Per portion (24 g)"; table_heading, footnotes: the law's words.
    statement: ingredient statement as runs (emphasis marks the allergens); contains, may_contain: statements, "" when the
    law has none beside a list or there is nothing. states: group -> (state, kinds, facts) for every group of GROUPS plus
    ``other`` kinds found. allergen_words: group -> words for a matrix cell ("wheat, barley"). cautions: staff-sheet cautions.
    figures: every line of the law, printed or not (``rows`` are those that the table shows). nutrition_shown: the law or the
    kitchen asks for the table on this document. list_required: this way of sale asks for the list of ingredients.
    statement_title: "Ingredients". menu_sentences: prescribed at the foot of a menu. percentage_notes: to stand under
    percentages, where they are printed. front_of_pack: (key, low/medium/high). simplified: the law lets a shorter table stand.
    pack_words: heads the second column ("Per container"), "" where there is none. portion_g: what ``per_portion`` is of, where
    that is a share of the pack. menu_energy: energy for a menu ("330 Cal"), where law or kitchen asks. durability_set_by: who set
    the date. largest_side_cm2: of the pack, None when not stated.
    """

    dish: str
    law: str
    law_date: str
    record: DishRecord
    language: str = "en"
    title: str = ""
    rows: tuple[NutritionRow, ...] = ()
    table_heading: str = ""
    portion_words: str = ""
    footnotes: tuple[str, ...] = ()
    statement: tuple[Run, ...] = ()
    contains: str = ""
    may_contain: str = ""
    states: dict[str, tuple[str, tuple[str, ...], tuple[AllergenFact, ...]]] = field(default_factory=dict)
    allergen_words: dict[str, str] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()
    cautions: tuple[str, ...] = ()
    net_quantity: str = ""
    durability: str = ""
    storage: str = ""
    business: str = ""
    lot: str = ""
    sold: str = ""
    particulars: tuple[tuple[str, str], ...] = ()
    kitchen_version: str = ""
    data_version: str = ""
    hundred_words: str = ""  # heads the column per 100 g ("per 100 g"); "": the word in templates/label.yaml
    figures: tuple[NutritionRow, ...] = ()
    nutrition_shown: bool = True
    list_required: bool = False
    statement_title: str = ""
    menu_sentences: tuple[str, ...] = ()
    percentage_notes: tuple[str, ...] = ()
    front_of_pack: tuple[tuple[str, str], ...] = ()
    simplified: bool = False
    pack_words: str = ""
    portion_g: Span | None = None
    menu_energy: str = ""
    durability_set_by: str = ""
    largest_side_cm2: float | None = None
    net_volume_ml: float | None = None  # of a pack sold by volume
    second: Second | None = None  # of a pack under a law of two languages
    missing: tuple[str, ...] = ()  # keys of particulars that the way of sale asks for and nobody wrote

    @property
    def stopped(self) -> bool:
        return self.record.stopped
