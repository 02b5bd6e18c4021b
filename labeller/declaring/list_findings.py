"""What is doubtful in the list of ingredients: additives without their category, names that say too little."""

from __future__ import annotations

import re

from labeller.declaring.additives import own_without_category, without_category
from labeller.declaring.label import Label
from labeller.declaring.statement import leaves
from labeller.terms.findings import NOWHERE, Finding, finding
from labeller.terms.kitchen import Kitchen
from labeller.terms.laws import General, Law
from labeller.terms.record import DishRecord, Ingredient
from labeller.terms.words import fold

# Patterns stay texts until a list is looked through.
_ITEM, _PERCENT, _HEADING = r"[^,;()\[\]]+", r"\d+(\.\d+)?%$", r"(?i)^\s*ingredients?\s*:"


def list_findings(record: DishRecord, law: Law, kitchen: Kitchen, around: Label) -> tuple[Finding, ...]:
    if around.way is None or not around.way.list_of_ingredients or kitchen.languages[:1] != ("en",):
        return ()
    return (*_additives(record, law), *_own_additives(record, law), *_general(record, law))


def _additives(record: DishRecord, law: Law) -> tuple[Finding, ...]:
    found = without_category(record.ingredients, law)
    if not found:
        return ()
    told = "; ".join(f"\"{name}\" in {product}" for product, name in found)
    return (finding("additive-without-category", NOWHERE,
                    f"\"{record.name}\" under {law.key}: additives stand without the category of what they do: {told}.",
                    "ask the supplier which category holds (preservative, emulsifier …) and write it in `ingredients on pack`",
                    record.name),)  # fmt: skip


def _own_additives(record: DishRecord, law: Law) -> tuple[Finding, ...]:
    """Additives on the kitchen's own lines: what one does in this food only the kitchen knows."""
    found = own_without_category(record.ingredients, law)
    if not found:
        return ()
    name = found[0]
    usual = next((each for of, each in law.additive_usual.items() if fold(of) == fold(name)), "what it does")
    return (finding("additive-without-category", NOWHERE,
                    f"\"{record.name}\" under {law.key}: additives stand without the category of what they do: "
                    f"{', '.join(found)}.",
                    f"write a product \"{name}\" with `label name: \"{usual}: {name}\"`, by what it does in this food",
                    record.name),)  # fmt: skip


def _general(record: DishRecord, law: Law) -> tuple[Finding, ...]:
    used = sum(each.weight_g for each in record.ingredients)
    base = min(record.weight_g.mid or used, used)
    told: dict[str, None] = {}
    for each in (leaf for top in record.ingredients for leaf in leaves(top)):
        for name, rule in too_general(each, law, each.weight_g / base * 100 if base else 0.0):
            of = "" if name == fold(each.name) else f" in {each.name}"
            told[f"\"{name}\"{of} (write {rule.asks}; {rule.rule.section})"] = None
    if not told:
        return ()
    return (finding("name-too-general", NOWHERE, f"\"{record.name}\" under {law.key}: {'; '.join(told)}.",
                    "name it so in the recipe, or ask the supplier and write it in `ingredients on pack`",
                    record.name),)  # fmt: skip


def too_general(each: Ingredient, law: Law, percent: float) -> list[tuple[str, General]]:
    """(name, rule) of each name in an ingredient that says too little. percent: its share of the food. A name whose parts follow
    in brackets says enough."""
    text = re.sub(_HEADING, "", each.printed) or each.name
    out = []
    for found in re.finditer(_ITEM, text):
        name = re.sub(_PERCENT, "", fold(found.group())).strip()
        if text[found.end() : found.end() + 1] not in ("(", "["):
            out += [(name, rule) for rule in law.general if name in rule.names and (rule.over is None or percent > rule.over)]
    return out
