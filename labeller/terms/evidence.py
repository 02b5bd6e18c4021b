"""The trail: how a figure or an allergen came about, as a tree that a cook can follow."""

from __future__ import annotations

from msgspec import Struct

from labeller.terms.findings import NOWHERE, Place


class Step(Struct, frozen=True, gc=False):
    """One step of a trail.

    what: the step in words and numbers ("800 g less 35 % trimmed = 520 g"). place: the kitchen's line it rests on.
    source: the table row or paper it rests on ("USDA SR28, 01077"). under: the steps it was made from.
    """

    what: str
    place: Place = NOWHERE
    source: str = ""
    under: tuple[Step, ...] = ()

    def lines(self, depth: int = 0) -> list[str]:
        """The tree as indented text, one step a line."""
        tail = "".join(f"  [{part}]" for part in (self.source, str(self.place)) if part)
        out = [f"{'  ' * depth}{self.what}{tail}"]
        for step in self.under:
            out += step.lines(depth + 1)
        return out

    def as_json(self) -> dict:
        return {"what": self.what, "place": str(self.place), "source": self.source,
                "under": [step.as_json() for step in self.under]}  # fmt: skip
