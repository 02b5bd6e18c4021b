"""Which allergen kinds a law lists, as data.

Made by :mod:`labeller.reading.law_lists` from ``reference/allergens/law_lists.yaml``.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from msgspec import Struct, field

ALLERGEN = "allergen"  # must be declared as an allergen
INGREDIENT = "ingredient"  # must stand in the ingredient list, but is no allergen of that law's list
REGIONAL = "regional"  # a list that national authorities may add (Codex)
DUTIES = (ALLERGEN, INGREDIENT, REGIONAL)


class ListEntry(Struct, frozen=True):
    """One line of a law's list. kind: the key it is answered by. covers: kinds that fall under it. duty: one of DUTIES.
    since, until: ISO dates, until "" = in force. checked: yes, partial or memory."""

    kind: str
    covers: tuple[str, ...]
    name: str
    duty: str
    section: str
    source: str
    checked: str
    since: str
    until: str = ""


class Exemption(Struct, frozen=True):
    """A derivative that a law takes off the duty to label. key: name used by the lexicon (``refined_soy_oil``).
    condition: what must hold and a label seldom says ("fully refined"); "" = the words alone are enough."""

    key: str
    what: str
    condition: str
    section: str
    source: str
    checked: str
    since: str
    until: str = ""


class SulphiteLimit(Struct, frozen=True):
    """Amount from which sulphites are declared. mg_per_kg, as total SO2, also mg/l. over: strictly over (">"), else at (">=").
    added_only: counts only what was added."""

    mg_per_kg: float
    over: bool
    added_only: bool
    section: str
    source: str
    checked: str

    def reached(self, mg_per_kg: float) -> bool:
        """True where that amount must be declared."""
        return mg_per_kg > self.mg_per_kg if self.over else mg_per_kg >= self.mg_per_kg


class LawList(Struct, frozen=True):
    """A law's list. by_kind: kind -> the law's kinds it falls under (only duty ``allergen``); a group's key stands there too
    when the text may tell only the group. maybe: group key -> the law's kinds it may be, where that law lists only some of
    the group (``cereals_gluten`` under US law may be wheat). exemptions: key -> exemption. unlisted: the rest of the kinds."""

    law: str
    title: str
    entries: tuple[ListEntry, ...]
    by_kind: Mapping[str, tuple[str, ...]] = field(default_factory=lambda: MappingProxyType({}))
    maybe: Mapping[str, tuple[str, ...]] = field(default_factory=lambda: MappingProxyType({}))
    exemptions: Mapping[str, Exemption] = field(default_factory=lambda: MappingProxyType({}))
    sulphites: SulphiteLimit | None = None

    def kinds_of(self, kind: str) -> tuple[str, ...]:
        """The law's own kinds for a kind; empty when the law doesn't list it."""
        return self.by_kind.get(kind, ())
