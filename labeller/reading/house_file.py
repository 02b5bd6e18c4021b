"""``kitchen.yaml``: the house itself, its shared equipment and its label stock."""

from __future__ import annotations

import yaml

from labeller.reading.entries import Entry, clean_name, is_nothing
from labeller.reading.nodes import place_of
from labeller.terms.kitchen import Equipment

LAWS = ("uk", "eu", "us", "ca", "anz", "none")
NATIONS = ("england", "scotland", "wales", "northern ireland")
MEASURES = ("metric", "us", "imperial")


def read_house(entry: Entry) -> dict[str, object]:
    """Fields of :class:`~labeller.terms.kitchen.Kitchen` that kitchen.yaml holds."""
    law = entry.choice("law", LAWS)
    if "law" not in entry.fields:
        entry.tell(
            "law-missing",
            "kitchen",
            "whose rules the labels follow is not written; eu is used",
            "write law: uk (or eu, us, ca, anz, none)",
        )
    return {
        "name": entry.subject, "place": entry.place, "address": " ".join(entry.text("address").split()), "web": entry.text("web"),
        "law": law or "eu", "nation": entry.choice("nation", NATIONS), "languages": entry.names("languages") or ("en",),
        "measures": entry.choice("measures", MEASURES, "metric"), "nutrition_asked": entry.yes("show nutrition"),
        "equipment": _equipment(entry), "stocks": _stocks(entry), "also_declared": entry.names("declare also") or (),
        "employees": entry.whole_number("employees"), "places_of_business": entry.whole_number("places of business"),
        "allergens_in_list": entry.yes("allergens in brackets"),
    }  # fmt: skip


def _items(entry: Entry, key: str) -> list[tuple[str, yaml.Node | None, yaml.Node]]:
    """(name, value, node) of a list of names or one-key mappings, or of a mapping of names."""
    node = entry.fields.get(key)
    pairs: list[tuple[yaml.Node, yaml.Node | None]] = []
    for item in node.value if isinstance(node, yaml.SequenceNode) else [node] if node is not None else []:
        if isinstance(item, yaml.MappingNode):
            pairs += item.value
        else:
            pairs.append((item, None))
    out = []
    for left, right in pairs:
        if isinstance(left, yaml.ScalarNode) and left.value.strip():
            out.append((clean_name(left.value), None if right is None or is_nothing(right) else right, left))
        else:
            entry.tell("value-wrong-shape", key, f'"{key}" wants one name a line', "write - name: value")
    return out


def _equipment(entry: Entry) -> dict[str, Equipment]:
    found: dict[str, Equipment] = {}
    for name, value, node in _items(entry, "equipment"):
        place = place_of(entry.page.file, node)
        if name in found:
            entry.notes.add(
                "name-twice", place, f'equipment "{name}" is written twice', "keep one, or give each a name of its own", name
            )
            continue
        if value is None:
            found[name] = Equipment(name, place)
        elif isinstance(value, yaml.MappingNode):
            inner = Entry("equipment", name, value, entry.page, entry.notes, f'equipment "{name}"')
            changed = inner.date("oil changed") or inner.date("water changed")
            also_cooks = inner.names("also cooks") or ()
            bath = "oil changed" in inner.fields or "water changed" in inner.fields
            found[name] = Equipment(name, place, changed, also_cooks, inner.yes("cleaned between"), bath)
        else:
            found[name] = Equipment(name, place)
            entry.tell(
                "value-wrong-shape",
                "equipment",
                f'"{name}" wants its parts named',
                f"write - {name}: {{oil changed: YYYY-MM-DD, also cooks: [name, name]}}",
            )
    return found


def _stocks(entry: Entry) -> dict[str, str]:
    found: dict[str, str] = {}
    for name, value, _ in _items(entry, "label sheets"):
        if isinstance(value, yaml.ScalarNode):
            found[name] = " ".join(value.value.split())
        else:
            entry.tell("value-wrong-shape", "label sheets", f'"{name}" has no size',
                       f"write - {name}: and paper and size of one label, in mm")  # fmt: skip
    return found
