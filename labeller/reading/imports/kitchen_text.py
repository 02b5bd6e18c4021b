"""Entries of the kitchen's files written as text. What this module writes, the reader reads back as the same words."""

from __future__ import annotations

import re
from collections.abc import Sequence

from labeller.reading.imports.found import FoundLine, FoundRecipe
from labeller.reading.keys import KNOWN
from labeller.reading.recipes import LINES_KEY

_PLAIN = r"[^\W\d_][\w '’().%/+–—-]*"  # a scalar that YAML reads as this very text, in a block or in braces
_NUMBERED = r"[0-9][\w '’().%/+½¼¾⅓⅔–—-]*"
_YAML_WORDS = frozenset(("true", "false", "yes", "no", "on", "off", "null", "y", "n", "nan"))
_ESCAPES = {"\\": "\\\\", '"': '\\"', "\t": "\\t", "\n": "\\n", "\r": "\\r"}


def scalar(text: str, inside: bool = False) -> str:
    """A text as YAML, in quotes where it could be read as anything else. inside: it stands in brackets or braces."""
    commas = "," if not inside else ""
    plain = re.fullmatch(_PLAIN.replace("’", f"’{commas}"), text)
    plain = (
        plain
        or (re.fullmatch(_NUMBERED.replace("’", f"’{commas}"), text) and not re.fullmatch(r"0\d*|\d{5,}|[\d.]+", text))
        or re.fullmatch(r"[1-9]\d{0,3}", text)
    )
    if plain and text == text.strip() and text.lower() not in _YAML_WORDS and "  " not in text:
        return text
    return '"' + "".join(_escaped(char) for char in text) + '"'


def _escaped(char: str) -> str:
    if char in _ESCAPES:
        return _ESCAPES[char]
    code = ord(char)
    if code < 0x20 or 0x7F <= code < 0xA0 or char in "\u2028\u2029\ufeff":
        return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}"
    return char


def flow(value: object) -> str:
    """A value on one line: text, list in brackets or mapping in braces."""
    if isinstance(value, str):
        return scalar(value, inside=True)
    if isinstance(value, dict):
        return "{" + ", ".join(f"{scalar(key, inside=True)}: {flow(each)}" for key, each in value.items()) + "}"
    return "[" + ", ".join(flow(each) for each in value) + "]"


def recipe_text(recipe: FoundRecipe) -> str:
    """One entry of a file in ``recipes/``, with what has to be asked as remarks above the lines they are about."""
    out = [f"# asked: {_remark(question)}" for question in recipe.asked]
    out += [f"- {recipe.kind}: {scalar(recipe.name)}"]
    out += [f"  {key}: {_behind(value)}" for key, value in recipe.fields if not _late(key)]
    if recipe.lines:
        out.append(f"  {LINES_KEY[recipe.kind]}:")
        for line in recipe.lines:
            out += [f"    {each}" for each in line_text(line)]
    out += [f"  {key}: {_behind(value)}" for key, value in recipe.fields if _late(key)]
    if recipe.remarks:
        out += ["  # as it stood, not read:", *(f"  #   {_remark(each)}" for each in recipe.remarks)]
    return "\n".join(out) + "\n"


def _late(key: str) -> bool:
    return key not in ("also called", "label name", "description", "serves")


def _behind(value: object) -> str:
    return scalar(value) if isinstance(value, str) else flow(value)


def line_text(line: FoundLine) -> list[str]:
    if not line.name:
        return [f"# {_remark(line.stood)}"]
    remarks = [f"# asked: {_remark(question)}; it stood: {_remark(line.stood)}" for question in line.asked]
    keys = dict(line.keys)
    name = scalar(line.name)
    if list(keys) == ["amount"]:
        return [*remarks, f"- {name}: {scalar(keys['amount'])}"]
    if not keys:
        return [*remarks, f"- {name}:"]
    return [*remarks, f"- {name}: {flow(keys)}"]


def _remark(text: str) -> str:
    return " ".join("".join(char if char.isprintable() else " " for char in text).split())


def file_text(recipes: Sequence[FoundRecipe], head: str) -> str:
    return f"# {_remark(head)}\n\n" + "\n".join(recipe_text(each) for each in recipes)


def known_fields(kind: str) -> frozenset[str]:
    """Keys that an entry of this kind may have besides its lines and its name."""
    return KNOWN[kind] - {kind, LINES_KEY[kind]}
