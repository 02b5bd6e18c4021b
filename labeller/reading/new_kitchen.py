"""An empty kitchen, and the demo kitchen: files of ``templates/`` written into a folder of the cook's."""

from __future__ import annotations

from pathlib import Path

from labeller.reading.library import template
from labeller.terms.findings import Finding, Place, finding


def files_of(kind: str) -> tuple[tuple[str, bytes], ...]:
    """(relative path, bytes) of every file of a shipped kitchen. kind: ``new`` or ``kitchen`` (the demo)."""
    root = template(kind)
    return tuple((path.relative_to(root).as_posix(), path.read_bytes()) for path in sorted(root.rglob("*")) if path.is_file())


def write_kitchen(kind: str, folder: Path) -> tuple[tuple[str, ...], tuple[Finding, ...]]:
    """Write a shipped kitchen into ``folder``. Nothing that is there already is overwritten: then nothing at all is written and a
    finding says which file stands in the way. Returns (paths written, findings)."""
    files = files_of(kind)
    there = [file for file, _ in files if (folder / file).exists()]
    if there or (folder.exists() and not folder.is_dir()):
        name = there[0] if there else folder.name
        text = f"{name} is there already" + (f", and {len(there) - 1} more" if len(there) > 1 else "")
        return (), (finding("folder-not-empty", Place(name), text, "name a new folder: nothing is overwritten"),)
    try:
        for file, data in files:
            path = folder / file
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(data)
        for name in ("products", "recipes", "menus", "batches"):
            (folder / name).mkdir(exist_ok=True)
    except OSError as problem:
        text = f"{folder.name} could not be written: {problem.strerror}"
        return (), (finding("folder-not-writable", Place(folder.name), text, "name a folder that you may write to"),)
    return tuple(file for file, _ in files), ()
