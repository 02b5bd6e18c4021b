"""Jinja2 templates: the kitchen's own first, the shipped one where it has none or its own is broken."""

from __future__ import annotations

import re
import traceback
from pathlib import Path

from labeller.terms.findings import Finding, Place, finding
from labeller.terms.looks import Looks


def render(looks: Looks, name: str, values: dict[str, object], *, escape: bool = False) -> tuple[str, tuple[Finding, ...]]:
    """The template ``name`` with its values. A kitchen's own template that can't be used is a finding with its line, and the
    shipped one is used. escape: HTML escapes."""
    found: list[Finding] = []
    for folder in looks.folders:
        if not (Path(folder) / name).is_file():
            continue
        if folder == looks.folders[-1]:
            return _rendered((folder,), name, values, escape), tuple(found)
        line, fault = _try(looks.folders[looks.folders.index(folder) :], name, values, escape)
        if not fault:
            return line, tuple(found)
        found.append(broken(name, int(line), fault))
    raise FileNotFoundError(f"the shipped template {name} is missing: install labeller again")


def broken(name: str, line: int, fault: str) -> Finding:
    mend = f"correct that line of templates/{name}, or take the file away: the shipped one is then used"
    return finding("template-broken", Place(f"templates/{name}", line), fault, mend)


def shipped(looks: Looks, name: str) -> str:
    """The text of a shipped file as it stands (style sheets and scripts, which are not filled in)."""
    return (Path(looks.folders[-1]) / name).read_text(encoding="utf-8")


def source(looks: Looks, name: str) -> tuple[str, tuple[Finding, ...]]:
    """The text of a file as it stands, the kitchen's own first; one that is no UTF-8 text is a finding."""
    own = Path(looks.folders[0]) / name
    if len(looks.folders) == 1 or not own.is_file():
        return shipped(looks, name), ()
    try:
        return own.read_text(encoding="utf-8"), ()
    except UnicodeDecodeError:
        return shipped(looks, name), (broken(name, 0, "the file is not UTF-8 text"),)


def _rendered(folders: tuple[str, ...], name: str, values: dict[str, object], escape: bool) -> str:
    from jinja2 import FileSystemLoader, StrictUndefined
    from jinja2.sandbox import SandboxedEnvironment

    # A sandbox: a template says how a sheet looks, it is no way into the machine.
    made = SandboxedEnvironment(loader=FileSystemLoader(list(folders)), undefined=StrictUndefined, autoescape=escape,
                                trim_blocks=True, lstrip_blocks=True)  # fmt: skip
    return made.get_template(name).render(values)


def _try(folders: tuple[str, ...], name: str, values: dict[str, object], escape: bool) -> tuple[str, str]:
    """(text, "") or (line number as text, what is wrong). A template may fail in any way its author can think of."""
    from jinja2 import TemplateSyntaxError

    try:
        return _rendered(folders, name, values, escape), ""
    except TemplateSyntaxError as fault:
        return str(fault.lineno), f"the template can't be read: {fault.message}"
    except UnicodeDecodeError:
        return "0", "the template is not UTF-8 text"
    except Exception as fault:  # noqa: BLE001 - whatever a template of the kitchen's own raises is its author's to mend
        lines = [frame.lineno for frame in traceback.extract_tb(fault.__traceback__)
                 if re.search(rf"{re.escape(name)}$", frame.filename)]  # fmt: skip
        return str(lines[-1] if lines else 0), f"the template can't be filled in: {fault}"
