"""Finds the shipped tables and templates and reads them. The only door to ``reference/`` and ``templates/``."""

from __future__ import annotations

import csv
import marshal
import os
import sys
from collections.abc import Callable, Iterable
from contextlib import suppress
from functools import cache
from hashlib import sha256
from pathlib import Path
from zlib import crc32

import yaml

from labeller import __version__

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

    Parsed once and kept: a rule file takes ten times longer to parse than to load.
    """
    return kept(path.stem, (path,), lambda: yaml.load(path.read_bytes(), Loader=_TextLoader))


def kept(name: str, sources: Iterable[Path], make: Callable[[], object]) -> object:
    """What ``make`` makes of these files, kept in the user's cache folder. Plain values only: texts, numbers, lists, dicts.

    What is kept counts for sources of the same bytes, and for the same editions of labeller and Python; it is made anew when
    it is missing, damaged or of others. Name the modules that make it among the sources, so that a change of theirs counts too.
    """
    sources = tuple(sources)
    digest = sha256()
    for each in sources:
        data = each.read_bytes()
        digest.update(len(data).to_bytes(8, "big") + data)
    key = f"{__version__} {sys.implementation.cache_tag} {digest.hexdigest()}"
    file = _cache_folder() / f"{name}-{crc32(str(sources[0]).encode()):08x}.marshal"
    try:
        head, _, body = file.read_bytes().partition(b"\n")
    except OSError:
        head, body = b"", b""
    if head == _head(key, body):
        return marshal.loads(body)
    content = make()
    body = marshal.dumps(content)
    _keep(file, _head(key, body) + b"\n" + body)
    return content


def _head(key: str, body: bytes) -> bytes:
    """First line of what is kept: of what it was made, and the check sum of the rest, which is not loaded if that is wrong."""
    return f"{key} {crc32(body):08x}".encode()


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
        with suppress(OSError):
            beside.unlink()


def csv_rows(path: Path) -> list[dict[str, str]]:
    """Rows of a CSV file of ours; blanks stay empty text."""
    with path.open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))
