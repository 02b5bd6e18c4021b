"""Writes ``matches.yaml``: ingredient names that a person has confirmed to mean a food row. Comments and order are kept."""

from __future__ import annotations

import json
import re
from pathlib import Path

import yaml

from labeller.reading.library import Loader
from labeller.reading.whole_file import write_whole
from labeller.terms.words import normalise

HEAD = "# Ingredients and the food rows they mean, confirmed by a person. Written by: labeller match\n"
_PLAIN = re.compile(r"[^\W\d_][\w '()&/-]*\Z")  # a scalar that YAML reads as this very text, without quotes
_WORDS_OF_YAML = frozenset(("true", "false", "yes", "no", "on", "off", "null", "y", "n", "nan"))


class MatchesNotReadable(OSError):
    """matches.yaml is there but is no list of matches that can be added to; ``strerror`` says what and where."""

    def __init__(self, path: Path, problem: str) -> None:
        super().__init__(0, problem, str(path))


def write_match(folder: Path | str, ingredient: str, food: str, release: str, by: str, date: str) -> Path:
    """Writes one entry (a new one last, a known ingredient in its place) and returns the path of the file.

    food: code as text ("01077", "fdc:173410"); date: ISO text. The file is written beside and renamed, so it is whole or
    unchanged. Raises OSError where the folder can't be written, :class:`MatchesNotReadable` where the file must be mended
    first; ValueError for an empty ingredient or code.
    """
    if not normalise(ingredient) or not food.strip():
        raise ValueError("a match needs an ingredient and a food code")
    path = _path(Path(folder))
    text = path.read_bytes().decode("utf-8-sig") if path.exists() else HEAD
    line_end = "\r\n" if "\r\n" in text else "\n"
    lines = text.replace("\r\n", "\n").splitlines()
    entry = {"ingredient": ingredient.strip(), "food": food.strip(), "release": release, "by": by, "date": date}
    write_whole(path, (line_end.join(_with_entry(path, lines, entry)) + line_end).encode("utf-8"))
    return path


def _path(folder: Path) -> Path:
    """``matches.yaml``, or ``matches.yml`` where only that is there; the file itself where it is a link."""
    path = folder / "matches.yaml"
    other = folder / "matches.yml"
    return (other if other.exists() and not path.exists() else path).resolve()


def _with_entry(path: Path, lines: list[str], entry: dict[str, str]) -> list[str]:
    items = _items(path, "\n".join(lines))
    indent = lines[items[0].start_mark.line].index("-") if items else 0
    block = _block(entry, indent)
    known = [item for item in items if normalise(_ingredient(item)) == normalise(entry["ingredient"])]
    for nr, item in reversed(list(enumerate(known))):  # from below, so that line numbers above stay right
        first, last = item.start_mark.line, _last_line(item)
        remarks = [line for line in lines[first : last + 1] if line.lstrip().startswith("#")]
        lines[first : last + 1] = (block if nr == 0 else []) + remarks
    if known:
        return lines
    while lines and lines[-1].strip() in ("", "...", "---"):
        lines.pop()
    return lines + block


def _items(path: Path, text: str) -> list[yaml.MappingNode]:
    """The entries of the list, in the order of the file; [] for a file without any."""
    try:
        root = yaml.compose(text, Loader=Loader)
    except yaml.MarkedYAMLError as problem:
        line = problem.problem_mark.line + 1 if problem.problem_mark else 1
        raise MatchesNotReadable(path, f"line {line} of {path.name} can't be read, mend it first") from problem
    except yaml.YAMLError as problem:  # a character that YAML does not allow
        raise MatchesNotReadable(path, f"{path.name} can't be read, mend it first") from problem
    if root is None or (isinstance(root, yaml.ScalarNode) and not root.value):
        return []
    if not isinstance(root, yaml.SequenceNode) or root.flow_style:
        raise MatchesNotReadable(path, f"{path.name} must be a list with one \"- ingredient:\" a line, mend it first")
    wrong = [item for item in root.value if not isinstance(item, yaml.MappingNode)]
    if wrong:
        raise MatchesNotReadable(path, f"line {wrong[0].start_mark.line + 1} of {path.name} is no match, mend it first")
    return root.value


def _ingredient(item: yaml.MappingNode) -> str:
    return next((value.value for key, value in item.value if key.value == "ingredient" and isinstance(value.value, str)), "")


def _last_line(item: yaml.MappingNode) -> int:
    """Line of the last value; a value that ends at the start of a line ended on the line before."""
    if item.flow_style:
        return item.end_mark.line
    ends = [value.end_mark for _, value in item.value] or [item.start_mark]
    return max(mark.line if mark.column else max(item.start_mark.line, mark.line - 1) for mark in ends)


def _block(entry: dict[str, str], indent: int) -> list[str]:
    pairs = [f"{key}: {_scalar(key, text)}" for key, text in entry.items() if text]
    return [" " * indent + ("- " if nr == 0 else "  ") + pair for nr, pair in enumerate(pairs)]


def _scalar(key: str, text: str) -> str:
    """Codes always in quotes (a bare 01077 is a number to other programs), other text where YAML would misread it."""
    iso_date = key == "date" and re.fullmatch(r"\d{4}-\d{2}-\d{2}", text)
    plain = _PLAIN.match(text) and text.lower() not in _WORDS_OF_YAML and text == text.strip()
    return text if key != "food" and (iso_date or plain) else json.dumps(text, ensure_ascii=False)
