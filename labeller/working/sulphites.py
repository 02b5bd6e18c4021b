"""How much sulphite a dish holds, in mg of SO2 per kg: the one allergen whose declaration needs a quantity.

Contact stays on record whatever the amount; only the label asks for it. What boils off is not taken away: the figure is the most
that the products can have brought.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from labeller.terms.mass import Part, Worked

Leaf = Callable[[Part], float | None]  # mg per kg of an ingredient: 0.0 where it has none on record, None where it is not known


def mg_per_kg(worked: Worked, batches: Mapping[str, Worked], leaf: Leaf) -> float | None:
    """mg/kg in the finished batch; None when one part's figure is not known (then it is declared, whatever it may be)."""
    milligrams = _milligrams(worked, batches, leaf)
    return None if milligrams is None or not worked.weight else milligrams / worked.weight * 1000


def _milligrams(worked: Worked, batches: Mapping[str, Worked], leaf: Leaf) -> float | None:
    total = 0.0
    for part in worked.parts:
        if part.ref.kind == "recipe" and part.ref.key in batches:
            child = batches[part.ref.key]
            inside = _milligrams(child, batches, leaf)
            brought = None if inside is None or not child.weight else inside * part.grams / child.weight
        else:
            rate = leaf(part)
            brought = None if rate is None else rate * part.grams / 1000
        if brought is None:
            return None
        total += brought
    return total
