"""``labeller demo`` and ``labeller new``: folders to begin with."""

from __future__ import annotations

import argparse
from pathlib import Path

from labeller.serving import show
from labeller.serving.cli import common
from labeller.serving.writing import write
from labeller.terms.findings import Finding, Place, finding


def arguments(verb: str, sub: argparse.ArgumentParser) -> None:
    sub.add_argument("folder", type=Path, metavar="DIR", help="a folder that does not exist yet, or is empty")
    common(sub, kitchen=False)
    if verb == "demo":
        sub.add_argument("--date", default="2026-11-25", metavar="YYYY-MM-DD", help="the day of the demo's service (default: 2026-11-25)")
        sub.set_defaults(run=demo)
    else:
        sub.set_defaults(run=new)


def copied(source: Path, folder: Path) -> tuple[list[Path], Finding | None]:
    """Copy a tree of kitchen files into an empty folder; the files written, or why nothing was."""
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        return [], finding("folder-not-empty", Place(str(folder)), f"{folder} holds files already", "name a folder that does not exist yet")
    files = sorted(path for path in source.rglob("*") if path.is_file() and "__pycache__" not in path.parts)
    try:
        return [write(folder / path.relative_to(source), path.read_bytes()) for path in files], None
    except OSError as problem:
        return [], finding("cannot-write", Place(str(folder)), f"{folder} can't be written: {problem.strerror}", "name another folder")


def new(args: argparse.Namespace) -> int:
    from labeller.reading.library import template

    written, wrong = copied(template("new"), args.folder)
    if wrong:
        return show.refused([wrong], args.format)
    if args.format == "json":
        show.as_json({"written": [str(path) for path in written]})
    else:
        print("\n".join(str(path) for path in written))
        print(f"\nWrite your recipes there, then: labeller check --kitchen {args.folder}")
    return 0


def demo(args: argparse.Namespace) -> int:
    from labeller.reading.library import template
    from labeller.serving.verbs_print import print_everything

    date, wrong = show.date_of(args.date)
    if wrong:
        return show.refused([wrong], args.format)
    written, wrong = copied(template("kitchen"), args.folder)
    if wrong:
        return show.refused([wrong], args.format)
    return print_everything(args.folder, date, args.format, f"{len(written)} kitchen files in {args.folder}")
