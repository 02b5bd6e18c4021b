"""Reads ``law_lists.yaml`` (which allergens each law lists) and ``exemptions.csv`` (derivatives it exempts)."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from types import MappingProxyType

from labeller.reading import library
from labeller.terms.law_lists import ALLERGEN, Exemption, LawList, ListEntry, SulphiteLimit

LAWS = ("eu", "uk", "us", "ca", "anz", "codex")


def load_law_lists(date: str = "9999-12-31", laws: Collection[str] = LAWS) -> Mapping[str, LawList]:
    """law key -> its list on an ISO date (default: the newest).

    Only entries and exemptions in force on that date are in it. Raises OSError when the table is missing, KeyError for a law
    that is not in LAWS.
    """
    rows = {row["law"]: row for row in library.yaml_text(library.reference("allergens", "law_lists.yaml"))}
    groups = _groups()
    exemptions: dict[str, dict[str, Exemption]] = {law: {} for law in laws}
    for row in library.csv_rows(library.reference("allergens", "exemptions.csv")):
        if row["law"] in exemptions and _in_force(row, date):
            exemptions[row["law"]][row["key"]] = _exemption(row)
    return MappingProxyType({law: _law_list(law, rows, groups, exemptions[law], date) for law in laws})


def _groups() -> dict[str, list[str]]:
    """Group -> its kinds, in the order of ``kinds.yaml``."""
    groups: dict[str, list[str]] = {}
    for row in library.yaml_text(library.reference("allergens", "kinds.yaml")):
        groups.setdefault(row["group"], []).append(row["key"])
    return groups


def _law_list(law: str, rows: dict, groups: dict[str, list[str]], exemptions: dict[str, Exemption], date: str) -> LawList:
    row = rows[law]
    base = rows[row["rests_on"]] if "rests_on" in row else row
    listed = [base["default"] | entry for entry in base["entries"]]
    entries = tuple(_entry(entry, groups) for entry in listed if _in_force(entry, date))
    by_kind: dict[str, tuple[str, ...]] = {group: (group,) for group in base.get("group_keys", ())}
    for entry in entries:
        if entry.duty == ALLERGEN:
            for kind in entry.covers:
                by_kind[kind] = (*by_kind.get(kind, ()), entry.kind)
    return LawList(
        law=law,
        title=row["title"],
        entries=entries,
        by_kind=MappingProxyType(by_kind),
        maybe=MappingProxyType({group: tuple(kinds) for group, kinds in base.get("maybe", {}).items()}),
        exemptions=MappingProxyType(exemptions),
        sulphites=_sulphites(base["sulphites"]),
    )


def _in_force(row: dict, date: str) -> bool:
    return row["since"] <= date <= (row.get("until") or "9999-12-31")


def _entry(row: dict, groups: dict[str, list[str]]) -> ListEntry:
    covers = groups[row["kind"]] if row.get("covers") == "group" else row.get("covers", [row["kind"]])
    return ListEntry(row["kind"], tuple(covers), row["name"], row.get("duty", ALLERGEN), row["section"], row["source"],
                     row["checked"], row["since"], row.get("until", ""))  # fmt: skip


def _exemption(row: dict) -> Exemption:
    return Exemption(row["key"], row["what"], row["condition"], row["section"], row["source"],
                     row["checked"], row["since"], row.get("until", ""))  # fmt: skip


def _sulphites(row: dict) -> SulphiteLimit:
    return SulphiteLimit(float(row["mg_per_kg"]), row["sign"] == ">", row["added_only"] == "yes", row["section"],
                         row["source"], row["checked"])  # fmt: skip
