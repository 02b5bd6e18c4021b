"""The command line: one verb, one library function. Parsing and exit codes only.

Exit codes: 0 done · 1 a finding of weight *stop* (or a word that could not be taken) · 2 the command itself was mistyped.
"""

from __future__ import annotations

import argparse
import gc
import os
import sys
from importlib import import_module
from pathlib import Path

VERBS = {
    "demo": ("write a complete demo kitchen and print every document from it", "labeller.serving.verbs_start"),
    "new": ("write an empty kitchen folder with comments that teach the format", "labeller.serving.verbs_start"),
    "check": ("everything that is wrong, doubtful or not confirmed, with file, line and remedy", "labeller.serving.verbs_ask"),
    "match": ("settle ingredients against the food data; confirm once", "labeller.serving.verbs_match"),
    "declare": ("the record of a dish under a law", "labeller.serving.verbs_ask"),
    "why": ("the trail of a figure or an allergen, as a tree", "labeller.serving.verbs_ask"),
    "read-label": ("which allergens a printed ingredient list holds, and by which words", "labeller.serving.verbs_look"),
    "guest": ("each dish against what guests avoid", "labeller.serving.verbs_guest"),
    "print": ("labels, cards, matrix, ticket, floor page, or all of them", "labeller.serving.verbs_print"),
    "foods": ("search the composition data", "labeller.serving.verbs_look"),
    "releases": ("food data at hand, and what another release would change in each dish before it is accepted",
                 "labeller.serving.verbs_releases"),
    "laws": ("what is implemented, since when, from which source", "labeller.serving.verbs_look"),
    "compare": ("what a substitution adds, loses and leaves unknown; looks only", "labeller.serving.verbs_change"),
    "replace": ("put one product in the place of another for tonight", "labeller.serving.verbs_change"),
    "sign-off": ("issue a menu's declarations under a number, with the name of who answers for them",
                 "labeller.serving.verbs_register"),
    "changes": ("what has changed since a menu was signed off, and which prints no longer hold",
                "labeller.serving.verbs_register"),
    "copy-menu": ("this week's menu from last week's, with what has changed since", "labeller.serving.verbs_copy"),
    "recall": ("from a product or one lot of it to the batches, packs, menus and prints", "labeller.serving.verbs_recall"),
    "find-mark": ("the record behind the short mark of a label or sheet", "labeller.serving.verbs_recall"),
    "open": ("all of this on a page in this computer's browser, for those who don't type", "labeller.serving.verbs_open"),
    "import": ("recipes from a spreadsheet, JSON-LD or pasted text; food data from a download",
               "labeller.serving.verbs_exchange"),
    "export": ("recipes, records, matrix, nutrition, codes or menu for another program", "labeller.serving.verbs_exchange"),
    "schema": ("JSON Schema of the kitchen's files, for editors", "labeller.serving.verbs_exchange"),
}


def command() -> int:
    """:func:`main` as a process of its own. What one command makes is nearly all in use until it ends, and then goes with the
    process: looking through it for cycles would take a tenth of the time and find next to nothing."""
    gc.set_threshold(100_000)  # a page or a watch that stays open is still looked through
    code = main()
    gc.freeze()  # spares the search at the interpreter's end
    return code


def main(argv: list[str] | None = None) -> int:
    """Run one command; its exit code. Only the verb that is asked is imported, so that each starts quickly."""
    argv = sys.argv[1:] if argv is None else argv
    parser = _parser(argv)
    args = parser.parse_args(argv)
    if not getattr(args, "run", None):
        parser.print_help()
        return 2
    try:
        return args.run(args)
    except BrokenPipeError:
        return 0
    except KeyboardInterrupt:
        print("stopped; nothing half-written", file=sys.stderr)
        return 130


def _parser(argv: list[str]) -> argparse.ArgumentParser:
    from labeller import __version__

    parser = argparse.ArgumentParser(
        prog="labeller", formatter_class=_Help,
        description="Allergen and nutrition declarations from a kitchen's own recipes, with proof of each figure.",
        epilog="Calculated from kitchen records; cross-contact can't be ruled out; local law and a qualified person decide.",
    )
    parser.add_argument("--version", action="version", version=f"labeller {__version__}")
    verbs = parser.add_subparsers(metavar="VERB", prog="labeller")  # a given prog keeps argparse from laying out its help now
    asked = next((word for word in argv if word in VERBS), None)
    for verb, (what, module) in VERBS.items():
        if asked is None or verb == asked:  # the others are not built: each start counts
            sub = verbs.add_parser(verb, formatter_class=_Help, help=what, description=f"{what[0].upper()}{what[1:]}.")
        if verb == asked:
            import_module(module).arguments(verb, sub)
    return parser


class _Help(argparse.HelpFormatter):
    """argparse makes a formatter for every argument it adds, and each would load shutil to ask how wide the terminal is."""

    def __init__(self, prog: str) -> None:
        super().__init__(prog, width=_columns() - 2)


def _columns() -> int:
    """Of the terminal, or as COLUMNS says; 80 where there is neither."""
    told = os.environ.get("COLUMNS", "")
    if told.isdecimal() and int(told):
        return int(told)
    try:
        return os.get_terminal_size().columns or 80
    except OSError:
        return 80


def common(sub: argparse.ArgumentParser, *, law: bool = False, kitchen: bool = True) -> None:
    """Arguments that several verbs share."""
    if kitchen:
        sub.add_argument("--kitchen", type=Path, default=Path("."), metavar="DIR", help="the kitchen's folder (default: here)")
        sub.add_argument("--date", default="", metavar="YYYY-MM-DD", help="the date asked about (default: today)")
    if law:
        sub.add_argument("--law", default="", help="us, eu, uk, ca, anz or none (default: the kitchen's)")
    sub.add_argument("--format", choices=("text", "json"), default="text",
                     help="for reading (text) or for another program (json)")  # fmt: skip


if __name__ == "__main__":
    raise SystemExit(command())
