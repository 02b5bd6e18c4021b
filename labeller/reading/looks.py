"""Reads the house style, ``templates/style.yaml``, and what a kitchen's own file of that name changes in it."""

from __future__ import annotations

import re
from pathlib import Path

import yaml

from labeller.reading.library import root
from labeller.terms.findings import Finding, Place, finding
from labeller.terms.looks import Looks

_NUMBER = r"[0-9]+(?:\.[0-9]+)?"
_VALUE = re.compile(rf"({_NUMBER})(?:\s*(?:x|to)\s*({_NUMBER}))?")
FILE = "style.yaml"


def looks(kitchen_folder: Path | None = None) -> tuple[Looks, tuple[Finding, ...]]:
    """The looks for a kitchen's folder (None: as shipped).

    A key the house does not know, a value that is no number or a file that is no YAML is a finding; the shipped value
    stands then, so that every document still prints.
    """
    shipped = root("templates")
    read, faults = _style(shipped / FILE)
    if faults:
        raise ValueError(f"the shipped {FILE} is broken: {faults[0][1]}")
    style = {place: values for place, (values, _) in read.items()}
    own = kitchen_folder / "templates" if kitchen_folder else None
    if own is None or not own.is_dir():
        return Looks((str(shipped),), style), ()
    found: list[Finding] = []
    if (own / FILE).is_file():
        changed, faults = _style(own / FILE)
        found += [_broken(line, text) for line, text in faults]
        for place, (values, line) in changed.items():
            known = style.get(place)
            if known is None:
                found.append(_broken(line, f"“{' / '.join(filter(None, place))}” is not a line of the house style"))
            elif len(known) != len(values):
                found.append(_broken(line, f"“{' / '.join(filter(None, place))}” needs {len(known)} number(s)"))
            else:
                style[place] = values
    return Looks((str(own), str(shipped)), style), tuple(found)


def _broken(line: int, text: str) -> Finding:
    mend = f"correct that line of templates/{FILE}, or take it out: the house style then stands"
    return finding("style-broken", Place(f"templates/{FILE}", line), text, mend)


def _style(path: Path) -> tuple[dict[tuple[str, str], tuple[tuple[float, ...], int]], list[tuple[int, str]]]:
    try:
        node = yaml.compose(path.read_text(encoding="utf-8"))
    except (yaml.YAMLError, UnicodeDecodeError) as fault:
        mark = getattr(fault, "problem_mark", None)
        return {}, [(mark.line + 1 if mark else 0, f"the file can't be read: {getattr(fault, 'problem', fault)}")]
    style: dict[tuple[str, str], tuple[tuple[float, ...], int]] = {}
    faults: list[tuple[int, str]] = []
    if not isinstance(node, yaml.MappingNode):
        return {}, ([] if node is None else [(1, "the file is not a list of “key: value” lines")])
    for section, value in node.value:
        inner = value.value if isinstance(value, yaml.MappingNode) else [(None, value)]
        for key, leaf in inner:
            line, name = leaf.start_mark.line + 1, (section.value, key.value if key else "")
            match = _VALUE.fullmatch(leaf.value.strip()) if isinstance(leaf, yaml.ScalarNode) else None
            if match is None or not all(float(part) > 0 for part in match.groups() if part):
                faults.append((line, f"“{' / '.join(filter(None, name))}” is not a number above 0"))
            else:
                style[name] = tuple(float(part) for part in match.groups() if part), line
    return style, faults
