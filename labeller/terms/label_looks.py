"""How labels look: font files, sizes and distances, and the least type sizes that a law sets."""

from __future__ import annotations

from msgspec import Struct, field

STANDARD, SMALL, TINY = "standard", "small", "tiny"  # the US panel: upright · tabular or linear · packs under 12 sq in


class FontFiles(Struct, frozen=True):
    """Paths of the TrueType files of one family."""

    regular: str
    bold: str
    italic: str


class TypeFloor(Struct, frozen=True):
    """The least height that a law sets for a piece of text.

    what: ``text`` (height of a small x) · ``net quantity figures`` (height of a figure) · ``net quantity`` (height of a
    small o) · ``leading`` (from line to line). mm: that height. It holds for a pack whose largest face has
    face_from <= cm2 < face_below and whose net quantity has grams_above < g <= grams_to. not_sold: a way of selling for
    which it isn't asked. since: ISO date. source: citation with section. checked: True when read in the law's text.
    """

    law: str
    what: str
    mm: float
    source: str
    since: str = ""
    face_from: float = 0.0
    face_below: float = float("inf")
    grams_above: float = 0.0
    grams_to: float = float("inf")
    not_sold: str = ""
    checked: bool = False

    def holds(self, law: str, face_cm2: float, grams: float, sold: str) -> bool:
        if law != self.law or (self.not_sold and self.not_sold == sold):
            return False
        return self.face_from <= face_cm2 < self.face_below and self.grams_above < grams <= self.grams_to


class LabelLooks(Struct, frozen=True):
    """Looks of labels and of the papers that go with them.

    sizes: name -> number (its unit stands in the name: mm, pt, or a ratio). words: name -> text, with fields in braces.
    panel: (element, form) -> points of the US panel, form one of STANDARD, SMALL, TINY. floors: see :class:`TypeFloor`.
    """

    fonts: FontFiles
    floors: tuple[TypeFloor, ...]
    panel: dict[tuple[str, str], float]
    sizes: dict[str, float] = field(default_factory=dict)
    words: dict[str, str] = field(default_factory=dict)

    def floor(self, what: str, law: str, face_cm2: float, grams: float = 0.5, sold: str = "") -> TypeFloor | None:
        """The greatest floor that holds; None when the law sets none."""
        held = [floor for floor in self.floors if floor.what == what and floor.holds(law, face_cm2, grams, sold)]
        return max(held, key=lambda floor: floor.mm, default=None)
