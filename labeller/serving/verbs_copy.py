"""``labeller copy-menu``: this week's menu from last week's, with what has changed since that was signed off."""

from __future__ import annotations

import argparse

from labeller.reading.issued import read_register
from labeller.reading.menu_text import body_of, quoted, written
from labeller.serving import show
from labeller.serving.changes import MenuChange, against
from labeller.serving.cli import common
from labeller.serving.pipeline import Opened, open_kitchen
from labeller.serving.told import change_json, change_lines
from labeller.serving.verbs_ask import opened
from labeller.serving.verbs_register import menu_named
from labeller.serving.writing import not_written, slug, write
from labeller.terms.findings import Finding, Place, finding
from labeller.terms.kitchen import Menu
from labeller.terms.words import normalise


def arguments(verb: str, sub: argparse.ArgumentParser) -> None:
    sub.add_argument("old", help="the menu to copy")
    sub.add_argument("new", help="name of the new menu")
    sub.add_argument("--from", dest="starts", default="", metavar="DATE", help="first day of the new menu")
    sub.add_argument("--until", default="", metavar="DATE", help="last day of the new menu")
    common(sub)
    sub.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    kitchen, code = opened(args)
    if kitchen is None:
        return code
    old, wrong = menu_named(kitchen, args.old)
    name = " ".join(args.new.split())
    problems = [*([wrong] if wrong else []), *_dates(args), *taken(kitchen, name)]
    if problems or old is None:
        return show.refused(problems, args.format)
    file = f"menus/{slug(name)}.yaml"
    try:
        again = _write(kitchen, old, name, args, file)
    except OSError as problem:
        return show.refused([not_written(file, problem)], args.format)
    found = tuple(each for each in again.findings if each.code == "menus-overlap" and name in each.text)
    issue = read_register(kitchen.folder).latest(old.name)
    changed = against(again, issue, again.kitchen.menus[name]) if issue else None
    if args.format == "json":
        show.as_json({"written": file, "copied_from": old.name, "since": change_json(changed) if changed else None,
                      "findings": [each.as_json() for each in found]})  # fmt: skip
    else:
        print("\n".join(_lines(again, old, name, file, changed)))
        print(("\n" + show.findings_text(found)) if found else "", end="")
    return 0


def _dates(args: argparse.Namespace) -> list[Finding]:
    days = [show.date_of(text) if text else (None, None) for text in (args.starts, args.until)]
    found = [wrong for _, wrong in days if wrong]
    if not all(text for text in (args.starts, args.until)):
        found.append(
            finding(
                "menu-dates-needed",
                Place("--from"),
                "a menu needs its first and its last day",
                "write --from DATE --until DATE",
            )
        )
    elif not found and days[0][0] > days[1][0]:
        text = f"the menu would end ({days[1][0]}) before it begins ({days[0][0]})"
        found.append(finding("menu-dates-needed", Place("--until"), text,
                             "write the first day behind --from and the last behind --until"))  # fmt: skip
    return found


def taken(kitchen: Opened, name: str) -> list[Finding]:
    """Why a new menu can't have this name."""
    there = next((menu for menu in kitchen.kitchen.menus.values() if normalise(menu.name) == normalise(name)), None)
    if there is not None:
        return [
            finding(
                "menu-there-already", there.place, f'there is a menu "{there.name}" already', "give the new menu another name"
            )
        ]
    file = f"menus/{slug(name)}.yaml"
    if (kitchen.folder / file).exists():
        return [finding("menu-there-already", Place(file), f"{file} is there already", "give the new menu another name")]
    return [] if name else [finding("menu-there-already", Place("menus"), "a menu needs a name", "name the new menu")]


def _write(kitchen: Opened, old: Menu, name: str, args: argparse.Namespace, file: str) -> Opened:
    """Write the copy and open the kitchen again; lines that do not read back as the same dishes are written anew."""
    lifted, anew = texts(kitchen, old, name, args.starts, args.until)
    write(kitchen.folder / file, lifted)
    again = open_kitchen(kitchen.folder, kitchen.date, kitchen.workshop.tables)
    new = again.kitchen.menus.get(name)
    if new is None or not same_dishes(new, old):
        write(kitchen.folder / file, anew)
        again = open_kitchen(kitchen.folder, kitchen.date, kitchen.workshop.tables)
    return again


def texts(kitchen: Opened, old: Menu, name: str, starts: str, until: str) -> tuple[str, str]:
    """The file of the copy: with the old menu's own lines and remarks, and as written anew from what was read."""
    remark = f"# Copied from the menu {quoted(old.name)} ({old.starts} to {old.ends}).\n"
    head = f"{remark}menu: {quoted(name)}\nfrom: {starts}\nuntil: {until}\n"
    return head + body_of(kitchen.folder, old), head + written(old)


def same_dishes(new: Menu, old: Menu) -> bool:
    return _dishes(new) == _dishes(old)


def _dishes(menu: Menu) -> tuple:
    return tuple((course.title, course.dishes) for course in menu.courses), menu.packs


def _lines(kitchen: Opened, old: Menu, name: str, file: str, changed: MenuChange | None) -> list[str]:
    out = [f"{file}: {name}, {len(old.dishes())} dishes and packs, copied from {old.name}"]
    if changed is None:
        return [*out, f"{old.name} was never signed off: there is nothing to compare with."]
    out += ["", f"Since {old.name} was signed off (no. {changed.issue.number} of {changed.issue.date}):"]
    out += change_lines(changed, kitchen.workshop.tables.kinds)
    return [*out, f"Change {file} as the week asks. The differences: labeller changes --menu \"{name}\" --against \"{old.name}\""]
