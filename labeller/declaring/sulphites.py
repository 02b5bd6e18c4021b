"""Sulphites below the amount from which a law asks for them: not declared, still on record, still answered to a guest."""

from __future__ import annotations

from msgspec.structs import replace

from labeller.terms.law_lists import LawList
from labeller.terms.record import DishRecord, Ingredient

KIND = "sulphites"


def below_limit(record: DishRecord, law: LawList | None, density: float | None = None) -> DishRecord:
    """The record with sulphites marked exempt from labelling under the law, where the dish's amount is known and stays below
    the law's (strictly over 10 mg/kg or 10 mg/l in the EU and UK, at 10 elsewhere); otherwise the record as it is.

    density: g/ml of a food sold by volume: it is declared where the amount in a kilogram or in a litre reaches the limit."""
    if law is None or law.sulphites is None or record.sulphites_mg_per_kg is None:
        return record
    if law.sulphites.reached(record.sulphites_mg_per_kg * max(1.0, density or 1.0)):
        return record
    pair = (law.law, law.sulphites.section)
    facts = tuple(replace(fact, exempt=(*fact.exempt, pair)) if fact.kind == KIND else fact for fact in record.facts)
    return replace(record, facts=facts, ingredients=tuple(_marked(each, law.law) for each in record.ingredients))


def _marked(one: Ingredient, law: str) -> Ingredient:
    exempt = (*one.exempt, (law, KIND)) if KIND in one.kinds else one.exempt
    return replace(one, exempt=exempt, under=tuple(_marked(each, law) for each in one.under))
