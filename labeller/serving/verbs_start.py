"""``labeller demo`` and ``labeller new``: folders to begin with."""

from __future__ import annotations

import argparse
from pathlib import Path

from labeller.serving import show
from labeller.serving.cli import common


def arguments(verb: str, sub: argparse.ArgumentParser) -> None:
    sub.add_argument("folder", type=Path, metavar="DIR", help="a folder that does not exist yet, or is empty")
    common(sub, kitchen=False)
    if verb == "demo":
        sub.add_argument("--date", default="2026-11-25", metavar="YYYY-MM-DD",
                         help="the day of the demo's service (default: 2026-11-25)")  # fmt: skip
        sub.set_defaults(run=demo)
    else:
        sub.set_defaults(run=new)


def new(args: argparse.Namespace) -> int:
    from labeller.reading.new_kitchen import write_kitchen

    written, wrong = write_kitchen("new", args.folder)
    if wrong:
        return show.refused(wrong, args.format)
    if args.format == "json":
        show.as_json({"written": [str(path) for path in written]})
    else:
        print("\n".join(str(path) for path in written))
        print(f"\nWrite your recipes there, then: labeller check --kitchen {args.folder}")
    return 0


def demo(args: argparse.Namespace) -> int:
    from labeller.reading.new_kitchen import write_kitchen
    from labeller.serving.verbs_print import print_everything

    date, wrong = show.date_of(args.date)
    if wrong:
        return show.refused([wrong], args.format)
    written, wrong = write_kitchen("kitchen", args.folder)
    if wrong:
        return show.refused(wrong, args.format)
    return print_everything(args.folder, date, args.format, f"{len(written)} kitchen files in {args.folder}")
