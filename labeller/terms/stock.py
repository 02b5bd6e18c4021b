"""Label stock: a sheet with a grid of labels, a roll of cut labels, or a continuous roll. All lengths are mm."""

from __future__ import annotations

from msgspec import Struct

SHEET, ROLL, CONTINUOUS = "sheet", "roll", "continuous roll"


class Stock(Struct, frozen=True):
    """One stock. Lengths in mm, measured from the left and the top of the page.

    kind: ``sheet``, ``roll`` (one cut label a page) or ``continuous roll`` (the label is as long as its text: label_h is
    the longest that is offered). shape: ``rectangle`` or ``round``. tolerance: by how much margins, labels and gutters may
    miss the page (published sizes are rounded to 0.1 mm). source: key of ``reference/stock/SOURCES.yaml``, or the kitchen's
    own line. suggested: one of those to offer first.
    """

    name: str
    kind: str
    page_w: float
    page_h: float
    label_w: float
    label_h: float
    columns: int = 1
    rows: int = 1
    left: float = 0.0
    top: float = 0.0
    right: float = 0.0
    bottom: float = 0.0
    gutter_x: float = 0.0
    gutter_y: float = 0.0
    shape: str = "rectangle"
    tolerance: float = 0.11
    source: str = ""
    suggested: bool = False

    @property
    def per_page(self) -> int:
        return self.columns * self.rows

    @property
    def area_cm2(self) -> float:
        """Area of one label (of a round one: its circle)."""
        area = self.label_w * self.label_h / 100.0
        return area * 0.7853981633974483 if self.shape == "round" else area

    @property
    def miss_x(self) -> float:
        """Page width less margins, labels and gutters: 0 when the sheet adds up across."""
        used = self.left + self.right + self.columns * self.label_w + (self.columns - 1) * self.gutter_x
        return self.page_w - used

    @property
    def miss_y(self) -> float:
        """Page height less margins, labels and gutters: 0 when the sheet adds up down."""
        used = self.top + self.bottom + self.rows * self.label_h + (self.rows - 1) * self.gutter_y
        return self.page_h - used

    @property
    def adds_up(self) -> bool:
        slack = self.tolerance + 1e-6
        return abs(self.miss_x) <= slack and abs(self.miss_y) <= slack
