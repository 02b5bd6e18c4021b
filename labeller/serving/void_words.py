"""Prints that no longer hold, in words: the sheets that hang on the pass first, recipe cards counted and not read out."""

from __future__ import annotations

import shlex
import textwrap
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

from labeller.serving.pipeline import Opened
from labeller.serving.show import WIDTH, today
from labeller.serving.standing import Void

CARDS, PAGES = "recipe-cards/", "records/"
# Beginnings and endings of names, in the order in which a wrong sheet does harm. Common practice, no source.
FIRST = (
    "-matrix",
    "-floor",
    "-ticket",
    "-labels",
    "-guest-card",
    "-box-card",
    "-menu-card",
    "-tent-cards",
    "-components",
    "-run-sheet",
)
NAMED = 6  # recipe cards that are still read out


def again(opened: Opened, words: str) -> str:
    """A command to type next, about the same kitchen and the same day."""
    where = [] if opened.folder.resolve() == Path.cwd().resolve() else ["--kitchen", str(opened.folder)]
    day = [] if opened.date == today() else ["--date", opened.date]
    return " ".join(["labeller", words, *(shlex.quote(part) for part in (*where, *day))])


def void_lines(void: Sequence[Void], listed: Mapping[str, object] = {}) -> list[str]:
    """Lines for reading, reason by reason. listed: every print on the list, to say whether all cards are among them."""
    sheets = sorted((each for each in void if not _many(each)), key=_harm)
    out = []
    for why in dict.fromkeys(each.why for each in sheets):
        out += _wrapped(f"{why}: {' · '.join(each.words for each in sheets if each.why == why)}")
    for start, name in ((CARDS, "recipe cards"), (PAGES, "pages behind QR codes")):
        mine = [each for each in void if each.file.startswith(start)]
        out += _wrapped(counted(name, [Path(each.file).stem for each in mine], _of(listed, start))) if mine else []
    return out


def moved_lines(moved: Iterable[Path], listed: Mapping[str, object] = {}) -> list[str]:
    """Files that were moved aside, as they were called; recipe cards counted. listed: every print on the list before."""
    return void_lines([Void(_before(path), "moved aside") for path in moved], listed)


def _before(path: Path) -> str:
    """ "…/recipe-cards/void/leek.1.pdf" -> "recipe-cards/leek.pdf"."""
    folder = path.parent.parent
    name = f"{path.stem.rpartition('.')[0]}{path.suffix}"
    return f"{folder.name}/{name}" if f"{folder.name}/" in (CARDS, PAGES) else name


def counted(what: str, names: Sequence[str], known: int) -> str:
    """ "recipe cards: 3 of 55: leek, cream, dill"."""
    if len(names) == known and known > NAMED:
        return f"{what}: {known}, all"
    of = f" of {known}" if known > len(names) else ""
    return f"{what}: {len(names)}{of}" + (f": {' · '.join(names)}" if len(names) <= NAMED else "")


def _of(listed: Mapping[str, object], start: str) -> int:
    return sum(file.startswith(start) for file in listed)


def _many(each: Void) -> bool:
    return each.file.startswith((CARDS, PAGES))


def _harm(each: Void) -> tuple[int, str]:
    stem = Path(each.file).stem
    return next((nr for nr, word in enumerate(FIRST) if word in stem), len(FIRST)), each.words


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(
        text, WIDTH, initial_indent="  ", subsequent_indent="    ", break_on_hyphens=False, break_long_words=False
    )
