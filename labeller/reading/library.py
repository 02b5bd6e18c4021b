"""Finds the shipped tables and templates and reads them. The only door to ``reference/`` and ``templates/``."""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

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
    """A YAML file of ours with every scalar as text (numbers are turned into numbers by whoever knows their unit)."""
    with path.open("rb") as stream:
        return yaml.load(stream, Loader=_TextLoader)


def csv_rows(path: Path) -> list[dict[str, str]]:
    """Rows of a CSV file of ours; blanks stay empty text."""
    with path.open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))
