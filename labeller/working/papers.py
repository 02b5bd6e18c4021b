"""Whether the papers that allergens rest on are still to be trusted: their dates, and the hand that read them."""

from __future__ import annotations

from datetime import date

from labeller.terms.findings import Finding, finding
from labeller.terms.kitchen import Kitchen, Product


def evidence_findings(kitchen: Kitchen, today: str, months: int = 12, many: int = 12) -> tuple[Finding, ...]:
    """Evidence that is old, dated ahead, or given for many products on one day by one hand.

    months: age after which a paper is looked at again; many: how many on one day by one hand are worth a note (house rules).
    """
    found: list[Finding] = []
    by_day: dict[tuple[str, str], list[Product]] = {}
    now = date.fromisoformat(today)
    for product in kitchen.products.values():
        evidence = product.evidence
        if evidence is None or not evidence.checked:
            continue
        by_day.setdefault((evidence.checked, evidence.by), []).append(product)
        try:
            age = (now - date.fromisoformat(evidence.checked)).days
        except ValueError:
            continue
        if age > months * 30.5 and evidence.kind != "single ingredient":
            found.append(finding("evidence-old", evidence.place,
                                 f"\"{product.name}\": {evidence.kind} last looked at {evidence.checked}",
                                 "look at it again and write the new date", product.name))  # fmt: skip
        if age < 0:
            found.append(finding("evidence-in-future", evidence.place,
                                 f"\"{product.name}\": checked {evidence.checked}, after {today}",
                                 "correct `checked`", product.name))  # fmt: skip
    for (day, by), products in by_day.items():
        if len(products) > many:
            found.append(finding("evidence-many-at-once", products[0].evidence.place,
                                 f"{len(products)} products were confirmed on {day} by {by or 'one hand'}",
                                 "nothing, if each pack was truly read"))  # fmt: skip
    return tuple(found)
