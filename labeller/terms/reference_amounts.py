"""Reference amounts customarily consumed, by which US servings are told (21 CFR 101.12(b))."""

from typing import NamedTuple


class ReferenceAmount(NamedTuple):
    """A row of the table. also: other names of foods of this row. amount, unit: ``g``, ``ml`` (cups and spoons as
    101.9(b)(5)(viii) has them) or ``cup``. measure: household measure, "" where it is the piece or nothing is known. state: of
    the food when it weighs so ("as sold", "prepared", "dry"). checked: ``yes`` (read) or ``memory``."""

    category: str
    name: str
    also: tuple[str, ...]
    amount: float
    unit: str
    measure: str
    state: str
    section: str
    checked: str
    note: str

    @property
    def words(self) -> str:
        """"85 g", "30 ml (2 tbsp)"."""
        return f"{self.amount:g} {self.unit}" + (f" ({self.measure})" if self.measure else "")
