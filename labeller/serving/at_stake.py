"""Which ingredients of a portion lack a figure, by how many grams, and the most that each can bring."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from labeller.terms.mass import Content, Part, Ref, Worked
from labeller.terms.nutrients import INDEX, MOST
from labeller.terms.record import Missing


def missing_of(worked: Worked, batches: Mapping[str, Worked], content: Callable[[Ref], Content | None],
               portion: float) -> tuple[Missing, ...]:  # fmt: skip
    """For each figure of MOST the ingredients of a portion (grams) that lack it, the one that can bring most first."""
    grams: dict[tuple[str, Ref], list] = {}
    for part, weight in _leaves(worked, batches, portion):
        held = content(part.ref)
        for key, most in MOST.items() if held is not None and weight else ():
            if not held.known[INDEX[key]]:
                found = grams.setdefault((key, part.ref), [part.name, 0.0, 0.0, held.known[INDEX[most]] > 0])
                found[1] += weight
                found[2] += weight * held.values[INDEX[most]]
    rows = [Missing(key, name, weight, most if bounded else None) for (key, _), (name, weight, most, bounded) in grams.items()]
    return tuple(sorted(rows, key=lambda row: (row.key, row.most is not None, -(row.most or 0.0), -row.grams)))


def _leaves(worked: Worked, batches: Mapping[str, Worked], grams: float,
            above: tuple[str, ...] = ()) -> Iterator[tuple[Part, float]]:  # fmt: skip
    """Every food and product of so many grams of a batch, with its grams as used. A ring ends where it closes."""
    for part in worked.parts if worked.weight else ():
        weight = part.grams / worked.weight * grams
        if part.ref.kind != "recipe":
            yield part, weight
        elif part.ref.key in batches and part.ref.key not in above:
            yield from _leaves(batches[part.ref.key], batches, weight, (*above, part.ref.key))
