"""``labeller import``: recipes into ``recipes/``, each in a file of its own; food data into the kitchen's store."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from labeller.serving import show
from labeller.serving.cli import common
from labeller.serving.writing import not_written, slug, write
from labeller.terms.findings import STOP, Finding, Place, finding
from labeller.terms.words import normalise

FORMS = ("spreadsheet", "json-ld", "text", "food-data")


class Planned(NamedTuple):
    """One file to write. lines, asked: how many lines it has, and how many of them ask."""

    name: str
    path: str
    text: str
    lines: int
    asked: int


def arguments(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("file", help="XLSX, CSV, JSON, web page, text file or FoodData Central download; - reads standard input")
    sub.add_argument("--as", dest="form", choices=FORMS, help="what it is (default: told by the file)")
    sub.add_argument("--name", default="", help="name of the one recipe in it")
    sub.add_argument(
        "--kind",
        choices=("recipe", "dish", "pack"),
        default="recipe",
        help="what its recipes are to this kitchen (default: recipe)",
    )
    sub.add_argument(
        "--columns",
        default="",
        metavar="ROLE=COLUMN,…",
        help="spreadsheet: recipe=A,name=B,amount=C,unit=D; letters or headings; remembered",
    )
    sub.add_argument("--dry-run", action="store_true", help="show what would be written, write nothing")
    common(sub)
    sub.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    from labeller.reading.imports import Source, form_of, read_import
    from labeller.reading.imports.columns import remembered, said

    if not args.kitchen.is_dir():
        wrong = finding(
            "no-kitchen-here",
            Place(str(args.kitchen)),
            f"there is no folder {args.kitchen}",
            "name it with --kitchen, or labeller new",
        )
        return show.refused([wrong], args.format)
    source = (
        Source("standard input", None, sys.stdin.read()) if args.file == "-" else Source(Path(args.file).name, Path(args.file))
    )
    form = args.form or form_of(source)
    if form == "food-data":
        return _food_data(args, source.path)
    columns, wrong = said(args.columns) if args.columns else ({}, None)
    memory, spoilt = remembered(args.kitchen)
    if wrong or (spoilt and form == "spreadsheet"):
        return show.refused([each for each in (wrong, spoilt) if each], args.format)
    kitchen = _kitchen(args.kitchen)
    arrived = read_import(source, form, _known(kitchen), name=args.name, kind=args.kind, said=columns or None, memory=memory)
    plans, findings = planned(
        arrived.recipes, kitchen, args.kitchen, f"From {source.name}, by labeller import. Look at each line that is asked."
    )
    findings = (*arrived.findings, *findings)
    if not args.dry_run:
        try:
            _write(args.kitchen, plans, memory, arrived.remember)
        except OSError as problem:
            return show.refused([not_written("recipes", problem)], args.format)
    return _told(args, plans, findings)


def _kitchen(folder: Path):
    """The kitchen as far as it can be read; None where there is none yet."""
    if not folder.is_dir():
        return None
    from labeller.reading.kitchen import read_kitchen

    return read_kitchen(folder)[0]


def _known(kitchen) -> Callable[[str], bool]:
    """Whether a name is one of the kitchen's, or one whose meaning the tables know."""
    from labeller.reading.names import load_names

    own = taken_names(kitchen)
    tables = load_names()

    def known(name: str) -> bool:
        word = normalise(name)
        return bool(word) and (word in own or word in tables)

    return known


def taken_names(kitchen) -> dict[str, str]:
    """Normalised name of each recipe and product -> where it stands."""
    found: dict[str, str] = {}
    for entries in (kitchen.recipes, kitchen.products) if kitchen else ():
        for entry in entries.values():
            for word in (entry.name, *entry.also_called):
                found.setdefault(normalise(word), str(entry.place))
    return found


def planned(recipes, kitchen, folder: Path, head: str) -> tuple[tuple[Planned, ...], tuple[Finding, ...]]:
    """The files to write, and what has to be asked. A name that is there already is refused, and nothing is written for it."""
    from labeller.reading.imports.kitchen_text import file_text

    taken, files = taken_names(kitchen), set()
    plans: list[Planned] = []
    findings: list[Finding] = []
    for recipe in recipes:
        refused = _refused(recipe, taken)
        if refused:
            findings.append(refused)
            continue
        path = _free(folder, slug(recipe.name), files)
        files.add(path)
        for word in (recipe.name, *_also(recipe)):
            taken[normalise(word)] = path
        asked = [line for line in recipe.lines if line.asked and line.name]
        plans.append(
            Planned(recipe.name, path, file_text((recipe,), head), sum(1 for line in recipe.lines if line.name), len(asked))
        )
        findings += _asked(recipe, path)
    return tuple(plans), tuple(findings)


def _also(recipe) -> list[str]:
    value = dict(recipe.fields).get("also called", [])
    return [value] if isinstance(value, str) else list(value)


def _refused(recipe, taken: dict[str, str]) -> Finding | None:
    if not normalise(recipe.name):
        return finding("import-name-missing", recipe.place, "this recipe has no name", "write --name NAME")
    there = next((word for word in (recipe.name, *_also(recipe)) if normalise(word) in taken), None)
    if there is None:
        return None
    return finding(
        "import-name-taken",
        recipe.place,
        f'"{there}" is there already ({taken[normalise(there)]}); nothing was written for it',
        "give it another name with --name, or delete the old entry first",
        recipe.name,
    )


def _free(folder: Path, stem: str, files: set[str]) -> str:
    nr, path = 1, f"recipes/{stem}.yaml"
    while path in files or (folder / path).exists():
        nr += 1
        path = f"recipes/{stem}-{nr}.yaml"
    return path


def _asked(recipe, path: str) -> list[Finding]:
    found = [
        finding("import-line-unsure", recipe.place, f"{recipe.name}: {question}", f"look at the head of {path}", recipe.name)
        for question in recipe.asked
    ]
    for line in recipe.lines:
        if not line.name and line.asked == ("a heading",):
            found.append(
                finding(
                    "import-heading",
                    line.place,
                    f'{recipe.name}: "{line.stood}" is a heading; it stands as a remark in {path}',
                    "make a recipe of its own of it where it is one",
                    recipe.name,
                )
            )
        elif line.asked:
            where = (
                f"mend it in {path}"
                if line.name
                else f"it stands as a remark in {path}; write the line it should be, or leave it"
            )
            found.append(
                finding(
                    "import-line-unsure",
                    line.place,
                    f'{recipe.name}: "{line.stood}": {"; ".join(line.asked)}',
                    where,
                    recipe.name,
                )
            )
    if recipe.left_out:
        found.append(
            finding(
                "import-left-out",
                recipe.place,
                f"{recipe.name}: kept as remarks only: {', '.join(recipe.left_out)}",
                f"look at the foot of {path}",
                recipe.name,
            )
        )
    return found


def _write(folder: Path, plans: tuple[Planned, ...], memory, remember) -> None:
    from labeller.reading.imports.columns import MEMORY, memory_text, with_memory

    for plan in plans:
        write(folder / plan.path, plan.text)
    if remember is not None:
        write(folder / MEMORY, memory_text(with_memory(memory, remember)))


def _told(args: argparse.Namespace, plans: tuple[Planned, ...], findings: tuple[Finding, ...]) -> int:
    code = 1 if any(each.severity == STOP for each in findings) else 0
    if args.format == "json":
        show.as_json(
            {
                "written": [] if args.dry_run else [str(args.kitchen / plan.path) for plan in plans],
                "recipes": [
                    {
                        "name": plan.name,
                        "file": plan.path,
                        "lines": plan.lines,
                        "asked": plan.asked,
                        **({"text": plan.text} if args.dry_run else {}),
                    }
                    for plan in plans
                ],
                "findings": [each.as_json() for each in findings],
            }
        )
        return code
    for plan in plans:
        print(f"{args.kitchen / plan.path}  ({plan.name}: {plan.lines} lines{f', {plan.asked} asked' if plan.asked else ''})")
        if args.dry_run:
            print("\n" + plan.text)
    if findings:
        print("\n" + show.findings_text(findings), end="")
    done = "would be written; nothing was" if args.dry_run else "written"
    print(
        f"\n{len(plans)} recipes {done}, {sum(plan.asked for plan in plans)} of {sum(plan.lines for plan in plans)} lines asked."
        + (" Next: labeller check" if plans and not args.dry_run else "")
    )
    return code


def _food_data(args: argparse.Namespace, path: Path | None) -> int:
    if path is None:
        return show.refused(
            [
                finding(
                    "import-not-readable",
                    Place("standard input"),
                    "a download of food data can't be read from standard input",
                    "name the file",
                )
            ],
            args.format,
        )
    from labeller.reading.fdc_import import import_fdc

    done, findings = import_fdc(
        path, args.kitchen / "foods.sqlite", args.name, _progress if sys.stderr.isatty() else _quiet_progress()
    )
    if sys.stderr.isatty():
        print(file=sys.stderr)
    if done is None:
        return show.refused(findings, args.format)
    if args.format == "json":
        show.as_json(
            {**done._asdict(), "store": str(args.kitchen / "foods.sqlite"), "findings": [each.as_json() for each in findings]}
        )
        return 0
    print(f"{done.release}: {done.foods} foods in {args.kitchen / 'foods.sqlite'}")
    if findings:
        print("\n" + show.findings_text(findings), end="")
    return 0


def _progress(what: str, share: float) -> None:
    """One line that is written over."""
    print(f"\r{what[:40]:40} {share * 100:5.1f} %", end="", file=sys.stderr, flush=True)


def _quiet_progress() -> Callable[[str, float], None]:
    """For a log: a line when something new is read."""
    told: list[str] = []

    def report(what: str, share: float) -> None:
        if not told or told[-1] != what:
            told.append(what)
            print(f"reading {what}", file=sys.stderr)

    return report
