"""Finds the shipped tables and templates and reads them. The only door to ``reference/`` and ``templates/``."""

from __future__ import annotations

import csv
import marshal
import os
from functools import cache
from pathlib import Path
from zlib import crc32

import yaml

Loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class _TextLoader(Loader):  # type: ignore[misc, valid-type]
    """Every scalar is text: no code of a food becomes a number, no ``no`` becomes False."""


_TextLoader.yaml_implicit_resolvers = {}


@cache
def root(folder: str) -> Path:
    """The folder ``reference`` or ``templates``: inside the installed package, else beside it (a source checkout)."""
    package = Path(__file__).resolve().parents[1]
    for place in (package / "_shipped" / folder, package.parent / folder):
        if place.is_dir():
            return place
    raise FileNotFoundError(f"{folder}/ is neither in the installed package nor beside it: install labeller again")


def reference(*parts: str) -> Path:
    return root("reference").joinpath(*parts)


def template(*parts: str) -> Path:
    return root("templates").joinpath(*parts)


def yaml_text(path: Path) -> object:
    """A YAML file of ours with every scalar as text (numbers are turned into numbers by whoever knows their unit).

    Parsed once and kept in the user's cache folder: a rule file takes ten times longer to parse than to load.
    """
    facts = path.stat()
    key = f"{path}|{facts.st_mtime_ns}|{facts.st_size}"
    kept = _cache_folder() / f"{path.stem}-{crc32(str(path).encode()):08x}.marshal"
    try:
        said, content = marshal.loads(kept.read_bytes())
        if said == key:
            return content
    except (OSError, ValueError, EOFError, TypeError):
        pass  # no cache, or one of another Python: parse again
    with path.open("rb") as stream:
        content = yaml.load(stream, Loader=_TextLoader)
    _keep(kept, marshal.dumps((key, content)))
    return content


def _cache_folder() -> Path:
    own = os.environ.get("LABELLER_CACHE") or os.environ.get("XDG_CACHE_HOME")
    return Path(own) / "labeller" if own else Path.home() / ".cache" / "labeller"


def _keep(path: Path, data: bytes) -> None:
    """Written beside and renamed; a cache that can't be written is no fault."""
    beside = path.with_name(f"{path.name}.{os.getpid()}")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        beside.write_bytes(data)
        os.replace(beside, path)
    except OSError:
        beside.unlink(missing_ok=True)


def csv_rows(path: Path) -> list[dict[str, str]]:
    """Rows of a CSV file of ours; blanks stay empty text."""
    with path.open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))
