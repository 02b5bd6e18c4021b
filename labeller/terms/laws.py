"""A law as the tool applies it: made by :mod:`labeller.reading.laws` from ``reference/rules/``, applied by ``declaring``.

Amounts of rounding are ``Decimal`` (they must hit an edge exactly); factors of formulas are floats in the unit that the
key's end states.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from types import MappingProxyType

from msgspec import Struct

from labeller.terms.findings import Finding
from labeller.terms.reference_amounts import ReferenceAmount

NOTHING: Mapping = MappingProxyType({})
CHECKED, PARTIAL, MEMORY = "yes", "partial", "memory"  # read in the text named · part of it, or quoted elsewhere · not read


class Rule(Struct, frozen=True):
    """Where an entry of a law stands. since, until: ISO dates, until "" = still in force. checked: yes, partial, memory."""

    instrument: str
    section: str
    checked: str
    since: str
    until: str = ""

    def __str__(self) -> str:
        return f"{self.instrument}, {self.section}"


class Band(Struct, frozen=True):
    """One step of a rounding table, tried in order on the *unrounded* value.

    limit: upper end, None = no end. inclusive: the limit itself belongs to the band ("up to"), else "below".
    Exactly one of nearest (round to this multiple), significant (to so many significant digits) or text (print this).
    """

    limit: Decimal | None
    inclusive: bool
    nearest: Decimal | None
    significant: int
    text: str


class Rounding(Struct, frozen=True):
    """zeros: trailing zeros of the step are kept ("10.0")."""

    key: str
    bands: tuple[Band, ...]
    zeros: bool
    rule: Rule


class Sum(Struct, frozen=True):
    """factor x key, added up. own: keys are the law's own quantities, else keys of the food data. where_known: keys that count
    when they are known and are passed over when they are not. least: the sum is not let below this. perhaps: a key of the food
    data of which between nothing and all belongs to the sum ("" for none)."""

    terms: tuple[tuple[str, float], ...]
    own: bool
    where_known: frozenset[str]
    least: float | None
    perhaps: str = ""


class Quantity(Struct, frozen=True):
    """How a law defines an amount: the first of ``choices`` whose keys are known."""

    key: str
    choices: tuple[Sum, ...]
    rule: Rule


class NutrientLine(Struct, frozen=True):
    """A line of the nutrition table.

    key: quantity. name: as the law words it ("" continues the line before). unit: as printed. rounding: key of the rounding
    table. shown: ``always``, ``when whole`` (printed when known for enough of the weight), ``on request`` (worked
    out, not printed), ``when significant`` (as on request, and without a text below the law's share of the reference).
    part_of: key of the line it is a part of. reference: daily amount in the unit of the key, None = no percentage.
    percent_of: quantity the percentage is of. percent_rounding: key of its rounding table; percent_from: ``declared`` or
    ``actual``.
    around: text with ``{}`` where name and amount are one ("Includes {} Added Sugars"). along: a voluntary line that this one
    must go with. coarse: key of a rounding table in fewer places that the law allows too, used where some of the figure is
    missing.
    """

    key: str
    name: str
    unit: str
    rounding: str
    shown: str
    indent: int
    bold: bool
    part_of: str
    reference: float | None
    percent_of: str
    percent_rounding: str
    percent_from: str
    around: str
    rule: Rule
    reference_rule: Rule
    along: str = ""
    coarse: str = ""


class Figure(Struct, frozen=True):
    """A single number of a law (a type height, a limit) with its unit."""

    value: float
    unit: str
    rule: Rule


class Sentence(Struct, frozen=True):
    """A sentence that a law prescribes, word for word, and the place it belongs to: ``table``, ``percentages`` (where shares of
    a reference intake are printed), ``menu``, ``menu first page``. nation: only there, "" = everywhere the law holds. mark: set
    before it where it is a footnote of that mark."""

    key: str
    text: str
    place: str
    nation: str
    rule: Rule
    mark: str = ""


class Further(Struct, frozen=True):
    """A particular that the kitchen states by a key and the law words. place: ``name`` (it goes with the name of the food) or
    ``line``. What of the food's own record calls for it: words of a printed list or of a name; over: key of the food data ->
    amount per 100 g; recorded: words of what is recorded for guests."""

    key: str
    text: str
    place: str
    words: tuple[str, ...]
    over: Mapping[str, float]
    recorded: tuple[str, ...]
    rule: Rule


class Origin(Struct, frozen=True):
    """Food whose origin is asked for where it is sold by itself. words: of its name, groups: allergen groups instead; raw: only
    while no recipe cooks it. asks: what is to be written."""

    what: str
    words: frozenset[str]
    groups: frozenset[str]
    raw: bool
    asks: str
    rule: Rule


class General(Struct, frozen=True):
    """Names in a list that say too little. over: allowed up to this share of the food in %, None = never. asks: what to write."""

    names: frozenset[str]
    over: float | None
    asks: str
    rule: Rule


class Way(Struct, frozen=True):
    """A way of sale and the particulars that must go with it (keys of :mod:`labeller.declaring.label`)."""

    key: str
    must: tuple[str, ...]
    nutrition: str  # ``must``, ``may`` (only when the kitchen asks), ``no``
    list_of_ingredients: bool
    note: str
    rule: Rule


class Tolerance(Struct, frozen=True):
    """How far a food may be from its declared value. keys: quantities. limit: the row holds for declared values below it
    (inclusive: up to it), None = no end. up, down: allowed deviation; share: they are shares of the declared value, else in
    the unit of the key; None = no limit on that side."""

    keys: tuple[str, ...]
    limit: float | None
    inclusive: bool
    up: float | None
    down: float | None
    share: bool
    rule: Rule


class Naming(Struct, frozen=True):
    """How a law wants allergens named.

    level: group or kind -> ``kind`` (its own name: wheat, hazelnut, cod) or ``group`` (fish, milk). names: kind or group ->
    word that wins over the language's. summary: key -> its words in a Contains line, where they differ. place: ``emphasis``
    (in the list, set off), ``contains`` (a Contains line), ``both``. species_needed: groups whose kind must be named.
    """

    level: dict[str, str]
    names: dict[str, str]
    summary: dict[str, tuple[str, ...]]
    place: str
    species_needed: frozenset[str]
    contains_form: str
    may_contain_form: str
    separator: str
    capital: bool
    rule: Rule


class Colour(Struct, frozen=True):
    """Front-of-pack band of a nutrient. per: ``100 g``, ``portion``, ``100 ml`` or ``portion ml``; low: up to this; high: over
    this; portion_over: the row holds for portions over this many g or ml (0: always)."""

    key: str
    per: str
    low: float | None
    high: float
    portion_over: float
    rule: Rule


class Simplified(Struct, frozen=True):
    """A shorter table is allowed when at least ``count`` of ``keys`` are insignificant: declarable as zero, or below the
    amount of ``below``, or below the percentage of ``percent_below``. always: lines that stay."""

    count: int
    keys: tuple[str, ...]
    below: dict[str, float]
    percent_below: dict[str, float]
    always: tuple[str, ...]
    rule: Rule


class LeftOut(Struct, frozen=True):
    """Lines that may be left out of a table. when: the quantity looked at, "" = each line its own. below: its amount (inclusive:
    up to it) on every basis of the table; percent_below: its share of the daily amount instead."""

    keys: tuple[str, ...]
    when: str
    below: float | None
    inclusive: bool
    percent_below: float | None
    rule: Rule


class IngredientName(Struct, frozen=True):
    """The name by which a law has an ingredient called. of: what kitchens call it, normalised. together: a word for many, used
    only where the kitchen asks for a short list."""

    name: str
    of: frozenset[str]
    together: bool
    rule: Rule


class Words(Struct, frozen=True):
    """Words of a language. checked as in a :class:`Rule`. kinds: allergen kind -> name; spots: other spellings of a kind in an
    ingredient name; nutrients: key (or law and key) -> name; phrases: key (or law and key) -> text; months: January first."""

    language: str
    checked: str
    kinds: dict[str, str]
    spots: dict[str, tuple[str, ...]]
    nutrients: dict[str, str]
    phrases: dict[str, str]
    months: tuple[str, ...]

    def of_law(self, law: Law, key: str, text: str) -> str:
        """A text of a law in this language; a law that rests on another shares its words. Without one: the law's own text in
        English, in brackets in any other language, so that it is seen to be missing."""
        for name in (law.key, law.rests_on):
            if f"{name} {key}" in self.phrases:
                return self.phrases[f"{name} {key}"]
        return text if self.language == "en" or not text else f"[{text}]"

    def number(self, text: str) -> str:
        """A printed number with this language's decimal mark."""
        return text.replace(".", self.phrases["decimal mark"])

    def numbered(self, key: str) -> tuple[str, ...]:
        """The phrases "<key> 1", "<key> 2" …"""
        found = []
        while f"{key} {len(found) + 1}" in self.phrases:
            found.append(self.phrases[f"{key} {len(found) + 1}"])
        return tuple(found)


class House(Struct, frozen=True):
    """Choices of our own where no law decides. known_share: a figure known for less of the weight is not printed as whole."""

    known_share: float


class Law(Struct, frozen=True):
    """One law, only the entries in force on ``date``.

    basis: which columns its table has, of ``100 g`` (of a food sold by volume ``100 ml``) and ``portion``. hundred_ml_words: over
    the column of a food sold by volume, "" where the law has no such column. millilitre: as its labels write the unit.
    unit_spaced, percent_spaced: "5 g" or "5g", "5 %" or "5%".
    percent_printed: the table has a column of percentages. portions_words: number of portions of a pack. left_out,
    left_out_words: lines that may be left out, and the sentence that then stands ("Not a significant source of {names}"). menu:
    words for energy on a menu. additive_categories, additive_names: words of a supplier's list;
    additive_usual: additive -> the category it mostly has in a kitchen. further: particulars stated by key. origins, places:
    foods whose origin is asked for, and words of a name that claim one; customary: names that claim none. general:
    names that say too little. mixtures: of spices or herbs, names normalised. unchecked: sections in use that were not read in
    their text.
    findings: what is wrong with the choice of law or date; a law with a stop finding has no entries.
    """

    key: str
    name: str
    date: str
    instrument: str = ""
    since: str = ""
    until: str = ""
    rests_on: str = ""
    basis: tuple[str, ...] = ()
    unit_spaced: bool = True
    percent_spaced: bool = True
    percent_printed: bool = False
    portion_rounding: str = ""
    table_heading: str = ""
    portion_words: str = ""
    pack_words: str = ""
    hundred_words: str = ""
    hundred_ml_words: str = ""
    millilitre: str = "ml"
    quantities: Mapping[str, Quantity] = NOTHING
    lines: tuple[NutrientLine, ...] = ()
    roundings: Mapping[str, Rounding] = NOTHING
    figures: Mapping[str, Figure] = NOTHING
    sentences: tuple[Sentence, ...] = ()
    ways: Mapping[str, Way] = NOTHING
    tolerances: tuple[Tolerance, ...] = ()
    naming: Naming | None = None
    statement: Mapping[str, str] = NOTHING
    colours: tuple[Colour, ...] = ()
    words: Mapping[str, Words] = NOTHING
    house: House | None = None
    simplified: Simplified | None = None
    unchecked: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()
    portions_words: str = ""
    left_out: tuple[LeftOut, ...] = ()
    left_out_words: str = ""
    menu: Mapping[str, str] = NOTHING
    additive_categories: tuple[str, ...] = ()
    additive_names: tuple[str, ...] = ()
    additive_usual: Mapping[str, str] = NOTHING
    further: tuple[Further, ...] = ()
    origins: tuple[Origin, ...] = ()
    places: frozenset[str] = frozenset()
    customary: tuple[str, ...] = ()
    general: tuple[General, ...] = ()
    mixtures: frozenset[str] = frozenset()
    amounts: tuple[ReferenceAmount, ...] = ()  # by which servings are told
    ingredient_names: tuple[IngredientName, ...] = ()

    def figure(self, key: str) -> float | None:
        """Value of a single number, None when the law has none on that date."""
        found = self.figures.get(key)
        return found.value if found else None


class LawEntry(Struct, frozen=True):
    """A line of ``labeller laws``."""

    key: str
    name: str
    instrument: str
    since: str
    until: str
    checked: str
    unchecked: tuple[str, ...]
    sources: tuple[str, ...]
    not_done: tuple[str, ...]
    choices: tuple[str, ...] = ()
