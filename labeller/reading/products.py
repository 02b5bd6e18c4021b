"""Bought-in products: what the label or the specification says, and what that rests on."""

from __future__ import annotations

import re

import yaml

from labeller.reading.amounts import tidy
from labeller.reading.entries import Entry
from labeller.reading.keys import NUTRITION
from labeller.terms.kitchen import Evidence, Product

EVIDENCE_KINDS = ("pack", "specification", "supplier", "single ingredient")
_TO_UNIT = {
    ("g", "mg"): 1000.0,
    ("mg", "g"): 0.001,
    ("ug", "mg"): 0.001,
    ("mg", "ug"): 1000.0,
    ("g", "ug"): 1e6,
    ("ug", "g"): 1e-6,
}
_VALUE = r"(<|less than|under)? ?([0-9]{1,7}(?:\.[0-9]+)?) ?(g|mg|ug|µg|μg|mcg)"
_ENERGY = r"([0-9]{1,6}(?:\.[0-9]+)?) ?(kj|kcal)"
_DENSITY = r"([0-9]{1,5}(?:\.[0-9]+)?) ?(g/ml|kg/l|g/cl|g/l)"
_DENSITY_FACTOR = {"g/ml": 1.0, "kg/l": 1.0, "g/cl": 0.1, "g/l": 0.001}


def read_product(entry: Entry) -> Product:
    """A product. What is misread is a finding of its name; the rest stands."""
    printed = entry.fields.get("ingredients on pack")
    if isinstance(printed, yaml.ScalarNode):
        entry.whole(printed)
    nutrition, basis = _nutrition(entry)
    return Product(
        name=entry.subject, place=entry.place,
        also_called=entry.names("also called") or (),
        supplier=entry.text("supplier"),
        label_text=whole_words(entry.text("ingredients on pack")),
        contains=entry.names("contains"),
        may_contain=entry.names("may contain"),
        evidence=_evidence(entry),
        food=entry.text("food"),
        nutrition_basis=basis, nutrition=nutrition,
        density_g_per_ml=read_density(entry),
        pieces=_pieces(entry),
        alcohol_vol_percent=entry.figure("alcohol", ("% vol", "%", "% abv", "vol")),
        refined=entry.yes("refined"),
        sulphites_mg_per_kg=entry.figure("sulphites", ("mg/kg", "mg/l", "ppm")),
        gluten_mg_per_kg=entry.figure("gluten", ("mg/kg", "ppm")),
        recorded=tuple((name, text) for name, text, _ in entry.pairs("also")),
        recall=entry.text("recall"),
        label_name=entry.name("label name"),
    )  # fmt: skip


# A hyphen behind one of these belongs to the word ("full-fat"); behind any other the line was broken ("cel- ery").
_HYPHENATED = frozenset((
    "full", "semi", "non", "low", "half", "free", "gluten", "milk", "egg", "soy", "soya", "wheat", "whole", "self",
    "sugar", "fat", "high", "well", "pre", "sun", "oven", "freeze", "cold", "slow", "fresh", "air", "dry", "multi", "anti",
    "lactose", "dairy",
))  # fmt: skip
_BROKEN = r"([^\W\d_]+)[-\u2010\u00ad] (?!(?:and|or|und|oder|et|ou|e|y|en|of)\b)(?=[^\W\d_])"


def whole_words(text: str) -> str:
    """A printed text on one line; a word that was divided at the end of a line is whole again."""
    text = " ".join(text.split())
    if "- " not in text and "\u2010 " not in text and "\u00ad" not in text:
        return text
    joined = re.sub(_BROKEN, lambda hit: hit[1] + ("-" if hit[1].lower() in _HYPHENATED else ""), text)
    return joined.replace("\u00ad", "")


def _evidence(entry: Entry) -> Evidence | None:
    inner = entry.inner("evidence", "evidence")
    if inner is None:
        return None
    kind, checked, by = inner.choice("kind", EVIDENCE_KINDS), inner.date("checked"), inner.text("by")
    for key in ("kind", "checked", "by"):
        if key not in inner.fields:
            inner.tell(
                "evidence-incomplete", key, f'"{key}" is not written',
                "write evidence: {kind: pack, checked: YYYY-MM-DD, by: …} with the day it was read and who read it"
            )
    return Evidence(kind, checked, by, inner.place, inner.text("pack code")) if kind else None


def read_density(entry: Entry) -> float | None:
    """Grams to a millilitre, of a product or of a recipe."""
    typed = entry.text("density")
    if not typed:
        return None
    hit = re.fullmatch(_DENSITY, tidy(typed).lower())
    value = float(hit[1]) * _DENSITY_FACTOR[hit[2]] if hit else 0.0
    if not 0.02 <= value <= 3:  # popped grain is about 0.03, syrup 1.4: beyond this it is a slip of the unit
        entry.tell("number-not-read", "density", f'"{typed}" is not a density of food',
                   "write density: and the grams to a millilitre: … g/ml")  # fmt: skip
        return None
    return value


def _pieces(entry: Entry) -> tuple[tuple[str, float], ...]:
    """One weight, or a weight for each sort of piece ("sheet", "clove", "large")."""
    node = entry.fields.get("one piece weighs")
    if isinstance(node, yaml.MappingNode):
        typed = [(name, text) for name, text, _ in entry.pairs("one piece weighs")]
    else:
        typed = [("", entry.text("one piece weighs"))] if node is not None else []
    out = []
    for word, text in typed:
        grams = entry.weight("one piece weighs", text) if text else None
        if grams is not None:
            out.append((word, grams.mid))
    return tuple(out)


def _nutrition(entry: Entry) -> tuple[tuple[tuple[str, float], ...], str]:
    """Label figures in the units of their keys, and the basis."""
    inner = entry.inner("nutrition per 100 g", "nutrition")
    if inner is None:
        return (), ""
    basis = inner.choice("basis", ("eu", "us"))
    if "basis" not in inner.fields:
        inner.tell(
            "part-missing", "basis", "whose label it is, is not written", "write basis: eu, or basis: us, first in the braces"
        )
        return (), ""
    values: list[tuple[str, float]] = []
    for key in inner.fields:
        if key == "energy":
            values += _energy(inner)
        elif key != "basis":
            name, unit = NUTRITION[key]
            value = _label_value(inner, key, unit)
            if value is not None:
                values.append((name, value))
    _plausible(inner, dict(values))
    return tuple(values), basis


def _energy(inner: Entry) -> list[tuple[str, float]]:
    typed = inner.text("energy")
    out = [(f"energy_{unit}", float(number)) for number, unit in re.findall(_ENERGY, tidy(typed).lower())]
    left = re.sub(_ENERGY, "", tidy(typed).lower()).strip(" /,()")
    if left or not out or len({key for key, _ in out}) != len(out):
        inner.tell("number-not-read", "energy", f'"{typed}" is not read',
                   "write energy: as the label has it: … kJ, or … kJ / … kcal")  # fmt: skip
        return []
    return out


def _label_value(inner: Entry, key: str, unit: str) -> float | None:
    typed = inner.text(key)
    hit = re.fullmatch(_VALUE, tidy(typed).lower())
    if hit is None:
        inner.tell("number-not-read", key, f'"{key}: {typed}" is not read',
                   f"write {key}: and the figure of the label with its unit, {unit.replace('ug', 'µg')}")  # fmt: skip
        return None
    written = hit[3].replace("µg", "ug").replace("μg", "ug").replace("mcg", "ug")
    value = float(hit[2]) * _TO_UNIT.get((written, unit), 1.0)
    if hit[1]:
        inner.tell(
            "label-says-less-than",
            key,
            f'the label says "{typed}" for {key}: the limit itself is used',
            "ask the supplier for the figure if it matters",
        )
    return value


def _plausible(inner: Entry, values: dict[str, float]) -> None:
    """More than 100 g of things in 100 g is a slip of the finger, as is energy typed in the wrong unit."""
    grams = sum(values.get(key, 0.0) for key in ("fat_g", "carbohydrate_g", "protein_g", "salt_g", "water_g", "alcohol_g"))
    kj, kcal = values.get("energy_kj"), values.get("energy_kcal")
    if grams > 101:
        inner.tell(
            "label-figures-impossible",
            "basis",
            f"the figures come to {grams:g} g in 100 g",
            "read the label again: per 100 g, not per pack",
        )
    elif kj and kcal and kcal >= 20 and not 3.9 <= kj / kcal <= 4.5:
        inner.tell(
            "label-figures-impossible", "energy", f"{kj:g} kJ is not {kcal:g} kcal (1 kcal is 4.184 kJ)", "read the label again"
        )
    elif (kj or 0) > 3800 or (kcal or 0) > 910:
        inner.tell(
            "label-figures-impossible",
            "energy",
            "pure fat has 3700 kJ (900 kcal) in 100 g; this has more",
            "read the label again: kJ or kcal?",
        )
