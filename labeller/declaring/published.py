"""A declaration as JSON with stable keys."""

from __future__ import annotations

from labeller.declaring.statement import plain
from labeller.terms.nutrients import BASE, DERIVED
from labeller.terms.record import Declaration, DishRecord, NutritionRow
from labeller.terms.spans import Span


def as_json(declaration: Declaration) -> dict:
    """Keys: dish, law, law_date, kitchen_version, data_version, portion, nutrients, allergens, ingredient_statement,
    contains_statement, may_contain_statement, findings.

    Nutrient keys end in their unit; a value that is not known is null. A dish without an answer has no nutrients and says
    so in its statements. In ``ingredient_statement`` what the law sets off stands in capitals.
    """
    record = declaration.record
    portion = None if declaration.stopped else _span(declaration.portion_g or record.weight_g)
    return {
        "dish": declaration.dish, "law": declaration.law, "law_date": declaration.law_date,
        "kitchen_version": declaration.kitchen_version, "data_version": declaration.data_version,
        "portion": {"weight_g": portion, "pieces": record.pieces},
        "nutrients": _nutrients(declaration), "allergens": _allergens(declaration),
        "ingredient_statement": plain(declaration.statement), "contains_statement": declaration.contains,
        "may_contain_statement": declaration.may_contain, "findings": [found.as_json() for found in declaration.findings],
    }  # fmt: skip


def _span(span: Span) -> dict:
    return {"value": number(span.mid), "low": number(span.low), "high": number(span.high)}


def number(value: float) -> float:
    """Ten significant digits: more than any table holds, fewer than the noise of binary sums."""
    return float(f"{value:.10g}")


def _nutrients(declaration: Declaration) -> dict:
    if declaration.stopped or declaration.record.nutrition_stopped:
        return {}
    out = {row.key: _of_row(row) for row in declaration.figures}
    for key in BASE:
        if key not in out and key not in DERIVED:
            out[key] = _of_data(key, declaration.record)
    return out


def _of_row(row: NutritionRow) -> dict:
    declared = {"per_100g": row.per_100g, "per_100ml": row.per_100ml, "per_portion": row.per_portion,
                "reference_share": row.share, "per_pack": row.per_pack, "reference_share_of_pack": row.share_pack}  # fmt: skip
    return {"per_100g": _figure(row.value_100g, row.known), "per_portion": _figure(row.value_portion, row.known),
            "declared": {key: text for key, text in declared.items() if text}}  # fmt: skip


def _of_data(key: str, record: DishRecord) -> dict:
    """A quantity outside the law, as the data have it."""
    corners = [corner for corner in (record.middle, *record.corners) if corner and key in corner.totals and corner.weight_g > 0]
    if not corners or corners[0] is not record.middle:
        return {"per_100g": _figure(None, 0.0), "per_portion": _figure(None, 0.0), "declared": {}}
    known = min(corner.known.get(key, 0.0) for corner in corners)
    portions = [corner.totals[key] for corner in corners]
    hundreds = [corner.totals[key] / corner.weight_g * 100 for corner in corners]
    return {"per_100g": _figure(_bounds(hundreds), known), "per_portion": _figure(_bounds(portions), known), "declared": {}}


def _bounds(values: list[float]) -> Span:
    return Span(min(values), values[0], max(values))


def _figure(span: Span | None, known: float) -> dict:
    if span is None:
        return {"value": None, "low": None, "high": None, "known_share": number(known)}
    return _span(span) | {"known_share": number(known)}


def _allergens(declaration: Declaration) -> dict:
    return {group: {"state": state, "kinds": list(kinds), "facts": [
        {"kind": fact.kind, "route": fact.route, "evidence": fact.evidence, "path": list(fact.path)} for fact in facts]}
        for group, (state, kinds, facts) in declaration.states.items()}  # fmt: skip
