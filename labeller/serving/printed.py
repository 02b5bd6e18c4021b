"""Every print of a kitchen, wherever it lies: in ``out/``, in another folder (``--out``), moved aside, or written over since.

A sheet that was printed is paper on a wall; the file behind it may be gone. So the kitchen keeps a book of its prints
(``out/.printed.json``), and looks for their paper there.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import NamedTuple

from labeller.reading.issued import read_book, read_prints
from labeller.serving.writing import write

LIST, BOOK = ".prints.json", ".printed.json"
THERE, ASIDE, OVER = "there", "moved aside", "printed again or removed since"


class Print(NamedTuple):
    """file: below folder. entry: what it was printed from. state: THERE, ASIDE or OVER. path: where it is, None: nowhere."""

    file: str
    folder: Path
    entry: Mapping
    state: str
    path: Path | None

    def words(self, out: Path) -> str:
        """The file, with its folder where that is not the kitchen's own."""
        return self.file if _same(self.folder, out) else str(self.folder / self.file)


def packs_of(entry: Mapping) -> dict[str, dict]:
    """Labels of a print: short mark -> dish, batch and lot of the pack. Nothing for sheets and cards."""
    marks = entry.get("marks", {})
    return {str(mark): pack for mark, pack in marks.items() if isinstance(pack, dict)} if isinstance(marks, dict) else {}


def enter(book: Path, folder: Path, fresh: Mapping[str, Mapping]) -> None:
    """Write prints of a folder into the book of the kitchen's own out/. fresh: file -> what it was printed from. One that says
    the same as one before it keeps its place. Raises OSError."""
    where = "" if _same(folder, book) else str(folder.resolve())  # the kitchen's folder may be moved, and its own out/ with it
    known = {_key(entry): entry for entry in read_book(book / BOOK)}
    for file, entry in fresh.items():
        one = {**entry, "file": file, "folder": where}
        first = known.pop(_key(one), {}).get("first", entry.get("date", ""))
        known[_key(one)] = {**one, "first": first}
    write(book / BOOK, json.dumps(list(known.values()), ensure_ascii=False, sort_keys=True, indent=1) + "\n")


def _key(entry: Mapping) -> tuple:
    marks = entry.get("marks") or {entry.get("mark", ""): {}}
    return tuple(str(entry.get(key, "")) for key in ("folder", "file", "law", "language")) + tuple(sorted(marks))


def prints(book: Path, folder: Path) -> list[Print]:
    """Every print known: on the list of a folder, and in the book of the kitchen's own out/; each once, by folder and file."""
    lists = {folder.resolve(): read_prints(folder / LIST)}
    found = {(folder.resolve(), file): [entry] for file, entry in lists[folder.resolve()].items()}
    for entry in read_book(book / BOOK):
        where, file = Path(str(entry.get("folder") or book.resolve())), str(entry.get("file", ""))
        if where not in lists:
            lists[where] = read_prints(where / LIST)
        if lists[where].get(file, {}).get("sha256") != entry.get("sha256") or (where, file) not in found:
            found.setdefault((where, file), []).append(entry)
    return [_placed(file, where, entry, lists[where]) for (where, file), entries in sorted(found.items(), key=_order)
            for entry in entries]  # fmt: skip


def _order(item: tuple[tuple[Path, str], list]) -> tuple[str, str]:
    (where, file), _ = item
    return str(where), file


def _placed(file: str, where: Path, entry: Mapping, listed: Mapping[str, Mapping]) -> Print:
    path, digest = where / file, str(entry.get("sha256", ""))
    if listed.get(file, {}).get("sha256") == digest and path.is_file():
        return Print(file, where, entry, THERE, path)
    void = sorted((path.parent / "void").glob(f"{_plain(path.stem)}.*{path.suffix}"))
    aside = next((each for each in void if _is(each, digest)), None)
    return Print(file, where, entry, ASIDE, aside) if aside else Print(file, where, entry, OVER, None)


def _plain(stem: str) -> str:
    from glob import escape

    return escape(stem)


def _is(path: Path, digest: str) -> bool:
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest() == digest
    except OSError:
        return False


def _same(one: Path, other: Path) -> bool:
    return one.resolve() == other.resolve()


def others(known: Iterable[Print], out: Path) -> list[Print]:
    """Prints that lie in another folder than ``out``, and are there."""
    return [each for each in known if each.state == THERE and not _same(each.folder, out)]
