"""Files are written beside and then renamed, so that nothing is ever half-written; what goes out of date is moved aside."""

from __future__ import annotations

import os
import re
from pathlib import Path

from labeller.reading.whole_file import write_whole
from labeller.terms.findings import Finding, Place, finding


def write(path: Path, content: bytes | str) -> Path:
    """Write a whole file or nothing; folders are made. Raises OSError when it can't."""
    data = content.encode("utf-8") if isinstance(content, str) else content
    path.parent.mkdir(parents=True, exist_ok=True)
    return write_whole(path, data, 0o644)


def not_written(where: str | Path, problem: OSError, what: str = "") -> Finding:
    """The finding for a place that the disk refused. what: the whole sentence, where "can't be written" would not be it."""
    text = what or f"{where} can't be written"
    return finding("cannot-write", Place(str(where)), f"{text}: {problem.strerror or problem}",
                   "look at the rights of the folder and the room on the disk")  # fmt: skip


def aside(path: Path) -> Path | None:
    """Move a print that no longer holds into ``void/`` beside it; the new place, None when there was none."""
    if not path.exists():
        return None
    folder = path.parent / "void"
    folder.mkdir(exist_ok=True)
    nr = 1
    while (target := folder / f"{path.stem}.{nr}{path.suffix}").exists():
        nr += 1
    os.replace(path, target)
    return target


def slug(name: str) -> str:
    """A name as a file name: lower case, joined by hyphens. A name that loses letters on the way (Greek, Cyrillic, more than 60)
    gets four figures of its own, so that no document is written over another."""
    from zlib import crc32

    from labeller.terms.words import fold

    plain = fold(name)
    short = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")
    lost = len(short) > 60 or any(letter.isalpha() and not letter.isascii() for letter in plain)
    return f"{short[:55].strip('-') or 'name'}-{crc32(plain.encode()) & 0xFFFF:04x}" if lost else short or "unnamed"


def settle(folder: Path) -> None:
    """Ask the disk to keep the names of a folder as they are now, so that a power cut does not undo or reorder them."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:  # a system that opens no folders
        return
    try:
        os.fsync(handle)
    except OSError:
        pass
    finally:
        os.close(handle)
