"""``labeller print``: labels, cards, matrix, ticket, floor page, or all of them."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from labeller.serving import label_runs, show
from labeller.serving.cli import common
from labeller.serving.documents import ROLLS, Press, Printed, Wanted, out_folder
from labeller.serving.label_checks import INCOMPLETE, UNASSESSED, command_wrong
from labeller.serving.pipeline import Opened, batch_of, everything_found, open_kitchen, recipe_named
from labeller.serving.seats import seats
from labeller.serving.standing import note_prints, void_prints
from labeller.serving.verbs_ask import opened
from labeller.serving.verbs_guest import menu_of
from labeller.serving.writing import aside, not_written, write
from labeller.terms.findings import STOP, Finding, Place, finding
from labeller.terms.kitchen import Batch, Menu, Recipe

WHAT = (
    "labels",
    "run-sheet",
    "tray-labels",
    "tub-labels",
    "box-card",
    "cards",
    "guest-card",
    "matrix",
    "ticket",
    "floor-page",
    "recipe-cards",
    "records",
    "test-print",
    "all",
)
RUNS = {"labels": label_runs.labels, "run-sheet": label_runs.run_sheets, "box-card": label_runs.box_cards}
KITCHEN_LABELS = {"tray-labels": label_runs.tray_labels, "tub-labels": label_runs.tub_labels}


def arguments(verb: str, sub: argparse.ArgumentParser) -> None:
    sub.add_argument("what", choices=WHAT, help="which document")
    common(sub, law=True)
    sub.add_argument("--menu", default="", help="which menu (default: the one of the date)")
    sub.add_argument("--out", type=Path, metavar="DIR", help="where to (default: out/ in the kitchen's folder)")
    sub.add_argument(
        "--page", choices=("A4", "Letter", *ROLLS), default="A4", help="paper of cards and sheets; a ticket also on a roll"
    )
    sub.add_argument(
        "--language",
        default="",
        metavar="CODES",
        help="en, de, fr, es, it, nl; several (en,fr): cards and floor page in all of them (default: the kitchen's)",
    )
    sub.add_argument("--batch", default="", help="labels: which batch (default: those of the date)")
    sub.add_argument("--pack", default="", help="labels: which pack, dish or recipe, without a batch")
    sub.add_argument("--copies", type=int, help="labels: how many (default: the batch's count)")
    sub.add_argument(
        "--accept-unassessed",
        metavar="WORDS",
        help="labels: print packs whose shared equipment nobody has assessed; the reason, and by whom",
    )
    sub.add_argument(
        "--accept-incomplete",
        metavar="WORDS",
        help="labels: print packs that lack what the law asks for; the reason (a date stamped by hand), and by whom",
    )
    sub.add_argument("--stock", default="", help='labels: a name of kitchen.yaml, or a size such as "A4 99.1 x 67.7"')
    sub.add_argument("--start", type=int, default=1, help="labels: first free position of the first sheet")
    sub.add_argument(
        "--offset", type=float, nargs=2, default=(0.0, 0.0), metavar=("X", "Y"), help="labels: mm to the right and down"
    )
    sub.add_argument(
        "--sheet",
        type=int,
        default=0,
        metavar="N",
        help="labels: only this sheet of the run (of a roll: this label), to print it again",
    )
    sub.add_argument(
        "--use-by", default="", metavar="DATE", help="tub-labels: the date the kitchen sets (default: the recipe's shelf life)"
    )
    sub.add_argument(
        "--face",
        type=float,
        metavar="CM2",
        help="labels: largest face of the pack where the recipe has no `largest side`: decides the least type size",
    )
    sub.add_argument("--split", action="store_true", help="labels: name and date on one label, the list on a second")
    sub.add_argument("--numbered", action="store_true", help="labels: number them 1/240 and so on")
    sub.add_argument(
        "--avoid", action="append", default=[], metavar="WORDS", help='ticket: what a seat avoids: "3: celery"; for each seat'
    )
    sub.add_argument("--table", default="", help="ticket: which table")
    sub.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    kitchen, code = opened(args)
    if kitchen is None:
        return code
    first, *also = [word.strip() for word in args.language.split(",") if word.strip()] or kitchen.kitchen.languages or ("en",)
    if args.page in ROLLS and args.what != "ticket":
        return show.refused(
            [
                finding(
                    "page-only-for-tickets",
                    Place("--page"),
                    f"{args.what} can't be printed on a roll of {args.page}",
                    "write --page A4 or Letter",
                )
            ],
            args.format,
        )
    wrong = command_wrong(args.copies, {UNASSESSED: args.accept_unassessed, INCOMPLETE: args.accept_incomplete})
    if wrong:
        return show.refused(wrong, args.format)
    wanted = Wanted(
        args.law or kitchen.kitchen.law,
        args.page,
        first,
        args.stock,
        args.copies or 0,
        args.start,
        tuple(args.offset),
        args.face,
        args.split,
        args.numbered,
        sheet=args.sheet,
        use_by=args.use_by,
        also=tuple(also),
        named=bool(args.language),
        accepted=args.accept_unassessed or "",
        incomplete=args.accept_incomplete or "",
    )
    wrong = _law_wrong(kitchen, wanted)
    if wrong:
        return show.refused(wrong, args.format)
    press = Press(kitchen, wanted)
    made, problems = _documents(args, kitchen, press)
    if problems:
        return show.refused(problems, args.format)
    return _write(press, args.out, [*made, *press.record_pages(made)], args.format)


def _law_wrong(kitchen: Opened, wanted: Wanted) -> tuple[Finding, ...]:
    law = kitchen.workshop.tables.law(wanted.law, kitchen.date, tuple(dict.fromkeys(("en", wanted.language, *wanted.also))))
    return tuple(each for each in law.findings if each.severity == STOP)


def _documents(args: argparse.Namespace, kitchen: Opened, press: Press) -> tuple[list[Printed], list[Finding]]:
    if args.what == "test-print":
        return [press.test_print()], []
    if args.what in RUNS:
        jobs, wrong = _label_jobs(args, kitchen)
        return ([], wrong) if wrong else (RUNS[args.what](press, jobs), [])
    if args.what in KITCHEN_LABELS:
        jobs, wrong = _kitchen_jobs(args, kitchen, press)
        return ([], wrong) if wrong else (KITCHEN_LABELS[args.what](press, jobs), [])
    if args.what == "all":
        return everything(kitchen, press), []
    menu, wrong = menu_of(kitchen, args.menu)
    if wrong:
        return [], [wrong]
    if args.what == "ticket":
        return _ticket(args, kitchen, press, menu)
    make = {
        "matrix": lambda: [press.matrix(menu), press.components(menu)],
        "cards": lambda: [press.menu_card(menu), press.tent_cards(menu)],
        "guest-card": lambda: [press.guest_card(menu)],
        "floor-page": lambda: [press.floor_page(menu)],
        "recipe-cards": lambda: press.recipe_cards(menu),
        "records": lambda: [press.records(menu)],
    }
    return make[args.what](), []


def _ticket(args: argparse.Namespace, kitchen: Opened, press: Press, menu: Menu) -> tuple[list[Printed], list[Finding]]:
    called, problems = seats(kitchen, args.avoid)
    if not args.avoid:
        problems = [
            finding("word-not-known", Place("--avoid"), "a ticket needs what each seat avoids", 'write --avoid "celery, sesame"')
        ]
    return ([], problems) if problems else ([press.ticket(menu, called, args.table)], [])


def _label_jobs(args: argparse.Namespace, kitchen: Opened) -> tuple[list[tuple[Recipe, Batch | None]], list[Finding]]:
    names = kitchen.workshop.names
    if args.pack:
        recipe = recipe_named(kitchen, args.pack)
        if recipe is None:
            return [], [finding("dish-not-known", Place("--pack"), f'no pack is called "{args.pack}"', "use a name of recipes/")]
        return [(recipe, batch_of(kitchen, recipe))], []
    batches = [
        batch
        for batch in kitchen.kitchen.batches.values()
        if batch.makes and (batch.name == args.batch or (not args.batch and batch.date == kitchen.date))
    ]
    jobs = [(recipe, batch) for batch in batches if (recipe := names.recipe(batch.makes))]
    if not jobs:
        what = f'no batch is called "{args.batch}"' if args.batch else f"no batch was made on {kitchen.date}"
        known = ", ".join(kitchen.kitchen.batches) or "none is written"
        return [], [
            finding("nothing-to-print", Place("batches"), what, f"name one with --batch, or a pack with --pack; batches: {known}")
        ]
    return jobs, []


def _kitchen_jobs(
    args: argparse.Namespace, kitchen: Opened, press: Press
) -> tuple[list[tuple[Recipe, Batch | None]], list[Finding]]:
    """For trays the batches of the day, else the plates of the menu; for tubs the batches of sub-recipes, else the menu's."""
    if args.pack or args.batch:
        return _label_jobs(args, kitchen)
    tubs, names = args.what == "tub-labels", kitchen.workshop.names
    batches = [batch for batch in kitchen.kitchen.batches.values() if batch.makes and batch.date == kitchen.date]
    jobs = [(recipe, batch) for batch in batches if (recipe := names.recipe(batch.makes)) and tubs == (recipe.kind == "recipe")]
    if jobs:
        return jobs, []
    menu, wrong = menu_of(kitchen, args.menu)
    if wrong:
        return [], [wrong]
    used = press.used_in(menu) if tubs else menu.dishes()
    return [(recipe, batch_of(kitchen, recipe)) for name in used if (recipe := names.recipe(name))], []


def everything(kitchen: Opened, press: Press) -> list[Printed]:
    """All documents of the menus that cover the date, and labels of the batches of the date."""
    made: list[Printed] = []
    for menu in kitchen.kitchen.menus.values():
        if menu.starts <= kitchen.date <= (menu.ends or "9999"):
            made += of_menu(press, menu)
    names = kitchen.workshop.names
    jobs = [
        (recipe, batch)
        for batch in kitchen.kitchen.batches.values()
        if batch.makes and batch.date == kitchen.date and (recipe := names.recipe(batch.makes)) and recipe.kind != "recipe"
    ]
    return [
        *made,
        *label_runs.labels(press, jobs),
        *label_runs.run_sheets(press, jobs),
        *label_runs.box_cards(press, [job for job in jobs if job[0].kind == "pack" and len(job[0].lines) > 1]),
    ]


def of_menu(press: Press, menu: Menu) -> list[Printed]:
    """All documents of one menu."""
    return [
        press.matrix(menu),
        press.components(menu),
        press.menu_card(menu),
        press.guest_card(menu),
        press.tent_cards(menu),
        press.floor_page(menu),
        press.records(menu),
        *press.recipe_cards(menu),
    ]


def _write(press: Press, out: Path | None, made: list[Printed], form: str) -> int:
    folder = out_folder(press.opened, out)
    written, void, at = [], [], ""
    findings = [found for each in made for found in each.findings]
    try:
        ended = _ended(press, folder, made)
        for each in made:
            at = each.file
            if each.content:
                written.append(write(folder / at, each.content))
            elif at in ended and (moved := aside(folder / at)):
                void.append(moved)
        note_prints(folder, [(each.file, each.content, each.told) for each in made], press.opened.folder / "out")
    except OSError as problem:
        return show.refused([not_written(folder, problem, f"{at} can't be written")], form)
    return _told(written, void, tuple(dict.fromkeys(findings)), form)


def _ended(press: Press, folder: Path, made: list[Printed]) -> set[str]:
    """Prints of documents that could not be made now and that no longer hold: a slip in a command voids no good print."""
    missing = {each.file for each in made if each.file and not each.content and (folder / each.file).exists()}
    if not missing:
        return set()
    return missing & {void.file for void in void_prints(press.opened, press.register, folder) if not void.folder}


def _told(written: list[Path], void: list[Path], findings: tuple[Finding, ...], form: str) -> int:
    stopped = [each for each in findings if each.severity == STOP]
    if form == "json":
        show.as_json(
            {
                "written": [str(path) for path in written],
                "moved_aside": [str(path) for path in void],
                "findings": [each.as_json() for each in findings],
            }
        )
    else:
        behind = [path for path in written if path.parent.name == "records"]
        for path in written:
            if path not in behind:
                print(path)
        if behind:
            count = f"{len(behind)} page{'s' if len(behind) != 1 else ''}"
            print(f"{behind[0].parent}  ({count} behind QR codes: put them where `web:` points)")
        for path in void:
            print(f"{path}  (moved aside: it no longer holds)")
        if findings:
            print("\n" + show.findings_text(findings), end="", file=sys.stderr if stopped else sys.stdout)
    return 1 if stopped or not written else 0


def print_everything(folder: Path, date: str, form: str, before: str) -> int:
    """What ``labeller demo`` ends with: every document, and what the kitchen has still to settle. Stops planted on purpose are
    no failure."""
    kitchen = open_kitchen(folder, date)
    if kitchen.workshop is None:
        return show.refused(kitchen.findings, form)
    press = Press(kitchen, Wanted(kitchen.kitchen.law))
    made = everything(kitchen, press)
    made += press.record_pages(made)
    written = [write(folder / "out" / each.file, each.content) for each in made if each.content]
    note_prints(folder / "out", [(each.file, each.content, each.told) for each in made])
    found = everything_found(kitchen)
    refused = [each for document in made if not document.content for each in document.findings]
    if form == "json":
        show.as_json({"written": [str(path) for path in written], "findings": [each.as_json() for each in found]})
        return 1 if refused else 0
    print(before)
    cards = [path for path in written if path.parent.name == "recipe-cards"]
    print("\n".join(str(path) for path in written if path not in cards))
    if cards:
        print(f"{cards[0].parent}  ({len(cards)} recipe cards)")
    if refused:
        print("\n" + show.findings_text(refused), end="")
    print(f"\nChecked for {date}: {show.summary(found)} Read them with: labeller check --kitchen {folder} --date {date}")
    for each in found:
        if each.severity == STOP and each.blocks == "all":
            print(f"No answer for {' · '.join(each.dishes)}: {each.text}")
    return 1 if refused else 0
