"""Reads the house style (``templates/style.yaml``) and the words of cards, sheets and the floor page (``cards.yaml``,
``sheets.yaml``, ``floor_page.yaml``), and what a kitchen changes in them."""

from __future__ import annotations

import re
from pathlib import Path

import yaml

from labeller.reading.library import root, yaml_text
from labeller.terms.findings import Finding, Place, finding
from labeller.terms.label_looks import FontFiles
from labeller.terms.looks import Looks

_NUMBER = r"[0-9]+(?:\.[0-9]+)?"
_VALUE = re.compile(rf"({_NUMBER})(?:\s*(?:x|to)\s*({_NUMBER}))?")
FILE = "style.yaml"
FONT = "font"
WORDS = ("cards.yaml", "sheets.yaml", "floor_page.yaml")
NAMES = {"months": 12, "weekdays": 7}  # lines that are lists of names

_Lines = dict[tuple[str, str], tuple[str, int]]  # (section, key) -> text, line


def looks(own_templates: Path | None = None) -> tuple[Looks, tuple[Finding, ...]]:
    """The looks of all sheets; own_templates: the ``templates/`` folder of a kitchen, or None for the looks as shipped.

    A line of the kitchen's file that can't be used is a finding; the shipped value stands in its place, so that every
    sheet still prints.
    """
    shipped = root("templates")
    values = _shipped(shipped / FILE)
    said = {file: _shipped(shipped / file) for file in WORDS}
    fonts = {key: str(shipped / text) for (section, key), text in values.items() if section == FONT}
    spare = FontFiles(fonts["regular"], fonts["bold"], fonts["italic"])
    if own_templates is None or not own_templates.is_dir():
        return _looks((str(shipped),), fonts, values, None, said), ()
    found: list[Finding] = []
    if (own_templates / FILE).is_file():
        changed, faults = _read(own_templates / FILE)
        found += [_broken(FILE, line, text) for line, text in faults]
        for key, (text, line) in changed.items():
            fault = _fault(key, text, values, own_templates)
            if fault:
                found.append(_broken(FILE, line, fault))
                continue
            values[key] = text
            if key[0] == FONT:
                fonts[key[1]] = str(own_templates / text)
    for file in WORDS:
        changed, faults = _read(own_templates / file) if (own_templates / file).is_file() else ({}, [])
        found += [_broken(file, line, text) for line, text in faults]
        for key, (text, line) in changed.items():
            fault = _word_fault(key, text, said[file])
            if fault:
                found.append(_broken(file, line, fault))
            else:
                said[file][key] = text
    return _looks((str(own_templates), str(shipped)), fonts, values, spare, said), tuple(found)


def _shipped(path: Path) -> dict[tuple[str, str], str]:
    """The lines of a file of ours, which need no place."""
    lines: dict[tuple[str, str], str] = {}
    for section, inner in yaml_text(path).items():
        lines |= {(section, key): text for key, text in inner.items()} if isinstance(inner, dict) else {(section, ""): inner}
    return lines


def _word_fault(key: tuple[str, str], text: str, said: dict[tuple[str, str], str]) -> str:
    english = said.get(("en", key[1]))
    if english is None:
        return f"“{key[1] or key[0]}” is not a line of these words"
    if key[1] in NAMES:
        return "" if len(text.split()) == NAMES[key[1]] else f"“{key[1]}” needs {NAMES[key[1]]} names"
    holes = ["{day}", "{month}", "{year}"] if key[1] == "date" else ["{}"] * english.count("{}")
    if any(text.count(hole) != holes.count(hole) for hole in holes) or text.count("{") != len(holes):
        return f"“{key[1]}: {text}” needs {' '.join(holes) or 'no {}'}, as in “{english}”"
    return ""


def _looks(folders: tuple[str, ...], fonts: dict[str, str], values: dict[tuple[str, str], str], spare: FontFiles | None,
           said: dict[str, dict[tuple[str, str], str]]) -> Looks:  # fmt: skip
    style = {key: _numbers(text) for key, text in values.items() if key[0] != FONT}
    words: dict[str, dict[str, str]] = {}
    for lines in said.values():
        for (language, key), text in lines.items():
            words.setdefault(language, {})[key] = text
    return Looks(folders, FontFiles(fonts["regular"], fonts["bold"], fonts["italic"]), style, spare, words)


def _numbers(text: str) -> tuple[float, ...]:
    match = _VALUE.fullmatch(text.strip())
    return tuple(float(part) for part in match.groups() if part) if match else ()


def _fault(key: tuple[str, str], text: str, shipped: dict[tuple[str, str], str], folder: Path) -> str:
    name = " / ".join(filter(None, key))
    if key not in shipped:
        return f"“{name}” is not a line of the house style"
    if key[0] == FONT:
        return "" if (folder / text).is_file() else f"the font file {text} is not there"
    wanted, given = _numbers(shipped[key]), _numbers(text)
    if not given or min(given) <= 0:
        return f"“{name}: {text}” is not a number above 0"
    return "" if len(given) == len(wanted) else f"“{name}” needs {len(wanted)} number(s), as in “{shipped[key]}”"


def _broken(file: str, line: int, text: str) -> Finding:
    mend = f"correct that line of templates/{file}, or take it out: what is shipped then stands"
    return finding("style-broken", Place(f"templates/{file}", line), text, mend)


def _read(path: Path) -> tuple[_Lines, list[tuple[int, str]]]:
    try:
        node = yaml.compose(path.read_text(encoding="utf-8"))
    except yaml.YAMLError as fault:
        mark = getattr(fault, "problem_mark", None)
        return {}, [(mark.line + 1 if mark else 0, f"the file can't be read: {getattr(fault, 'problem', None) or fault}")]
    except UnicodeDecodeError:
        return {}, [(0, "the file is not UTF-8 text")]
    if not isinstance(node, yaml.MappingNode):
        return {}, ([] if node is None else [(1, "the file is not a list of “key: value” lines")])
    lines: _Lines = {}
    faults: list[tuple[int, str]] = []
    for section, value in node.value:
        inner = value.value if isinstance(value, yaml.MappingNode) else [(None, value)]
        for key, leaf in inner:
            name, line = (str(section.value), str(key.value) if key else ""), leaf.start_mark.line + 1
            if isinstance(leaf, yaml.ScalarNode):
                lines[name] = leaf.value, line
            else:
                faults.append((line, f"“{' / '.join(filter(None, name))}” is not one value"))
    return lines, faults
