"""Units, densities and piece weights of ``reference/measures/``, each file read when it is first asked for.

The names in the files are normalised already (:func:`labeller.terms.words.normalise`); a test holds that.
"""

from __future__ import annotations

from functools import cached_property
from pathlib import Path

from labeller.reading.library import csv_rows, reference
from labeller.terms.measures import Density, PieceWeight, Unit
from labeller.terms.spans import Span


class ShippedMeasures:
    """Fits :class:`labeller.terms.measures.MeasureTables`. Nothing is looked up here, only read."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    @cached_property
    def units(self) -> dict[tuple[str, str], Unit]:
        """(unit, system) -> size in grams or millilitres. A unit that a system does not have is absent."""
        rows = csv_rows(self._folder / "units.csv")
        units = [Unit(row["unit"], row["system"], row["kind"], float(row["size"]), bool(row["exact"]), row["source"])
                 for row in rows]  # fmt: skip
        return {(unit.unit, unit.system): unit for unit in units}

    @cached_property
    def densities(self) -> dict[str, tuple[Density, ...]]:
        """Normalised name -> figures, those that may be used first, in the order of the file."""
        found: dict[str, list[Density]] = {}
        for row in csv_rows(self._folder / "densities.csv"):
            density = Density(row["item"], float(row["g_per_ml"]), row["source"], row["use"] == "yes",
                              row["differs_over_10_percent"] == "yes", row["caution"])  # fmt: skip
            for name in row["names"].split("|"):
                found.setdefault(name, []).append(density)
        return {name: tuple(sorted(rows, key=lambda each: not each.use)) for name, rows in found.items()}

    @cached_property
    def pieces(self) -> dict[str, tuple[PieceWeight, ...]]:
        """Normalised name -> piece weights in the order of the file."""
        found: dict[str, list[PieceWeight]] = {}
        for row in csv_rows(self._folder / "pieces.csv"):
            grams = Span(float(row["low_g"]), float(row["grams"]), float(row["high_g"]))
            piece = PieceWeight(row["item"], row["word"], grams, row["basis"], row["system"], row["first"] == "yes",
                                row["asks"] == "yes", row["source"])  # fmt: skip
            for name in row["names"].split("|"):
                found.setdefault(name, []).append(piece)
        return {name: tuple(rows) for name, rows in found.items()}


def load_measures(folder: Path | None = None) -> ShippedMeasures:
    """The shipped tables, or tables of the same layout in another folder."""
    return ShippedMeasures(folder or reference("measures"))
