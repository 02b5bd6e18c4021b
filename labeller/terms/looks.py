"""How documents look: the house style and where templates lie. Read by :mod:`labeller.reading.looks`."""

from __future__ import annotations

from msgspec import Struct, field

from labeller.terms.label_looks import FontFiles


class Looks(Struct, frozen=True):
    """folders: template folders as paths, the kitchen's own first, the shipped one last. style: (section, key) of
    ``style.yaml`` -> number, or a pair of numbers ("9.5 to 7", "210 x 297"); units are in the section's name.
    fonts: the faces of all sheets; spare: those that stand in where a kitchen's own font can't be used, None: no others.
    words: language -> key -> what cards, sheets and the floor page say (``cards.yaml``, ``sheets.yaml``, ``floor_page.yaml``).
    """

    folders: tuple[str, ...]
    fonts: FontFiles
    style: dict[tuple[str, str], tuple[float, ...]] = field(default_factory=dict)
    spare: FontFiles | None = None
    words: dict[str, dict[str, str]] = field(default_factory=dict)

    def number(self, section: str, key: str = "") -> float:
        """The number of a key; a pair gives its first. A key that does not exist is a fault of ours: KeyError."""
        return self.style[section, key][0]

    def pair(self, section: str, key: str = "") -> tuple[float, float]:
        values = self.style[section, key]
        return values[0], values[-1]
