"""The kitchen behind the page: read anew when a file has changed, worked out once."""

from __future__ import annotations

import os
from pathlib import Path

from labeller.reading.kitchen import FOLDERS
from labeller.serving.documents import Press, Wanted
from labeller.serving.pipeline import Opened, everything_found, open_kitchen
from labeller.serving.tables import Tables
from labeller.terms.findings import Finding

Stamp = tuple[tuple[str, int, int, int], ...]


class House:
    """One kitchen's folder. What was worked out is kept as long as no file and no date changes: a memo, never a state that the
    order of questions could change."""

    def __init__(self, folder: Path):
        self.folder = folder
        self._tables: tuple[Stamp, Tables] = (), Tables(folder)
        self._known: dict[str, tuple[Stamp, Opened]] = {}
        self._found: dict[str, tuple[Opened, tuple[Finding, ...]]] = {}
        self._presses: dict[tuple[str, Wanted], tuple[Opened, Press]] = {}

    def opened(self, date: str) -> Opened:
        stamp = self._stamp()
        if date not in self._known or self._known[date][0] != stamp:
            self._known = {key: value for key, value in self._known.items() if value[0] == stamp}
            self._known[date] = stamp, open_kitchen(self.folder, date, self._tables_for(stamp))
        return self._known[date][1]

    def _tables_for(self, stamp: Stamp) -> Tables:
        """The reference tables; read again only where the kitchen's own food data were imported anew."""
        own = tuple(each for each in stamp if each[0].endswith(".sqlite"))
        if self._tables[0] != own:
            self._tables = own, Tables(self.folder)
        return self._tables[1]

    def found(self, date: str) -> tuple[Finding, ...]:
        """Everything found, worst first."""
        opened = self.opened(date)
        if date not in self._found or self._found[date][0] is not opened:
            self._found[date] = opened, everything_found(opened)
        return self._found[date][1]

    def press(self, date: str, wanted: Wanted) -> Press:
        opened = self.opened(date)
        key = date, wanted
        if key not in self._presses or self._presses[key][0] is not opened:
            self._presses = {key: value for key, value in self._presses.items() if value[0] is opened}
            self._presses[key] = opened, Press(opened, wanted)
        return self._presses[key][1]

    def _stamp(self) -> Stamp:
        """Names, times and sizes of what may be read: a file that is put in the place of another is another."""
        found = []
        for where in (
            self.folder,
            *(self.folder / name for name in FOLDERS),
            self.folder / "templates",
            self.folder / "issued",
        ):
            for inner, folders, files in os.walk(where) if where.is_dir() else ():
                if Path(inner) == self.folder:
                    folders.clear()
                folders.sort()
                for name in sorted(files):
                    try:
                        facts = os.stat(Path(inner) / name)
                    except OSError:
                        continue
                    found.append((str(Path(inner) / name), facts.st_mtime_ns, facts.st_size, facts.st_ino))
        return tuple(found)
