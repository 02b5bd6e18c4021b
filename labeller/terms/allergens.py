"""Allergen kinds, states and facts. The vocabulary itself is data: ``reference/allergens/kinds.yaml``."""

from __future__ import annotations

from msgspec import Struct

from labeller.terms.findings import NOWHERE, Place

CONTAINS = "contains"
TO_CONFIRM = "contains, to be confirmed"
MAY_CONTAIN = "may_contain"
CROSS_CONTACT = "cross_contact"
NOT_CONFIRMED = "not_confirmed"
NONE_ON_RECORD = "none_on_record"
STATES = (CONTAINS, TO_CONFIRM, MAY_CONTAIN, CROSS_CONTACT, NOT_CONFIRMED, NONE_ON_RECORD)  # worst first
RANK = {state: rank for rank, state in enumerate(STATES)}

# Groups (keys of every record), in the order of Annex II of Regulation (EU) No 1169/2011.
GROUPS = ("cereals_gluten", "crustaceans", "eggs", "fish", "peanuts", "soybeans", "milk", "tree_nuts", "celery", "mustard",
          "sesame", "sulphites", "lupin", "molluscs")  # fmt: skip
ROUTES = ("recipe", "supplier's warning", "shared equipment", "unread product", "usual but unsettled")

OWN_WARNING = "own warning"  # last name on the path of a fact that the kitchen's own `may contain` states


class AllergenFact(Struct, frozen=True):
    """One fact. kind: the finest key known (``wheat``, ``cod``, or a group key such as ``fish``). state: one of STATES.
    route: one of ROUTES. evidence: what it rests on, in words. path: names from the dish down to the product.
    place: line of the kitchen's file. exempt: law -> section where that law exempts this derivative from *labelling*.
    gluten_mg_per_kg: a recorded figure of the product, for a coeliac's question only."""

    kind: str
    state: str
    route: str
    evidence: str
    path: tuple[str, ...]
    place: Place = NOWHERE
    exempt: tuple[tuple[str, str], ...] = ()
    gluten_mg_per_kg: float | None = None


class Kind(Struct, frozen=True):
    """key, its group (one of GROUPS, or ``other`` outside every list), English singular name and the words guests use."""

    key: str
    group: str
    name: str
    parent: str = ""
    also: tuple[str, ...] = ()


class LabelReading(Struct, frozen=True):
    """What a printed ingredient text holds. Each of contains, may_contain and unsettled: kind -> words that made it decide.

    exempt: (kind, words, law, section). negated: words read as a denial ("milk-free"). unknown: words not known.
    Kinds are the finest that the text tells: ``wheat``, else ``cereals_gluten``.
    conditional: as exempt, where the exemption hangs on something the text doesn't say ("only when fully refined").
    """

    contains: tuple[tuple[str, str], ...] = ()
    may_contain: tuple[tuple[str, str], ...] = ()
    unsettled: tuple[tuple[str, str], ...] = ()
    exempt: tuple[tuple[str, str, str, str], ...] = ()
    negated: tuple[str, ...] = ()
    unknown: tuple[str, ...] = ()
    sulphites_mg_per_kg: float | None = None
    conditional: tuple[tuple[str, str, str, str], ...] = ()


class HiddenAllergen(Struct, frozen=True):
    """What a bare name may hold. likelihood: ``always``, ``usual`` or ``possible``. kinds: finest keys; several joined by
    ``or`` in the reason mean "any of these, find out which". names: class name and its synonyms, lower case."""

    names: tuple[str, ...]
    group: str
    kinds: tuple[str, ...]
    likelihood: str
    reason: str
    source: str


class HiddenTable(Struct, frozen=True):
    """What bare names may hide. lines: fields of each row as they stand in the table. by_name: normalised name -> places in
    ``lines``. exceptions: normalised names that look like one of them and are something else ("oyster mushroom")."""

    lines: tuple[tuple[str, ...], ...]
    by_name: dict[str, tuple[int, ...]]
    exceptions: frozenset[str] = frozenset()

    def row(self, place: int) -> HiddenAllergen:
        names, group, kinds, likelihood, reason, source = self.lines[place][:6]
        return HiddenAllergen(tuple(names.split("; ")), group, tuple(kinds.split(";")), likelihood, reason, source)
