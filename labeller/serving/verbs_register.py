"""``labeller sign-off`` and ``labeller changes``."""

from __future__ import annotations

import argparse
import re
import shlex
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path

from labeller.reading.issued import FOLDER, read_prints, read_register
from labeller.serving import show
from labeller.serving.changes import MenuChange, against
from labeller.serving.cli import common
from labeller.serving.documents import Press, Printed, Wanted, out_folder
from labeller.serving.pipeline import Opened, any_stop
from labeller.serving.register import Acceptance, Signature, acceptance_words, accepted, append, content_of, to_accept
from labeller.serving.standing import LIST, Void, cut_short, issued_words, note_prints, under, void_aside, void_prints
from labeller.serving.told import change_json, change_lines
from labeller.serving.verbs_ask import opened
from labeller.serving.verbs_guest import menu_of
from labeller.serving.verbs_print import of_menu
from labeller.serving.void_words import again, void_lines
from labeller.serving.writing import not_written, slug, write
from labeller.terms.findings import Finding, Place, finding
from labeller.terms.issued import Issued, Register
from labeller.terms.kitchen import Menu
from labeller.terms.words import normalise

_TIME = re.compile(r"([01]\d|2[0-3]):[0-5]\d")


def arguments(verb: str, sub: argparse.ArgumentParser) -> None:
    common(sub)
    sub.add_argument("--out", type=Path, metavar="DIR", help="where the prints are (default: out/ in the kitchen's folder)")
    if verb == "changes":
        sub.add_argument("--menu", default="", help="only this menu (default: every menu signed off that is not over)")
        sub.add_argument(
            "--against", default="", metavar="MENU", help="compare with the sign-off of another menu, such as last week's"
        )
        sub.add_argument("--void", action="store_true", help="move the prints that no longer hold into void/ beside them")
        sub.set_defaults(run=changes)
        return
    sub.add_argument("menu", nargs="?", default="", help="which menu (default: the one of the date)")
    sub.add_argument(
        "--law", action="append", default=[], help="under which law; again for each further one (default: the kitchen's)"
    )
    sub.add_argument("--by", default="", metavar="NAME", help="who signs")
    sub.add_argument("--role", default="", help='as what, such as "head chef"')
    sub.add_argument("--second", default="", metavar="NAME", help="who else has looked")
    sub.add_argument("--time", default="", metavar="HH:MM", help="when (default: now)")
    sub.add_argument("--accept", action="append", default=[], metavar="CODE[:SUBJECT]=REASON",
                     help="live with a doubt, and why; again for each. A stop can't be accepted")  # fmt: skip
    sub.add_argument(
        "--print", dest="prints", action="store_true", help="print all documents of the menu at once, under the new number"
    )
    sub.set_defaults(run=sign_off)


def menu_named(kitchen: Opened, name: str) -> tuple[Menu | None, Finding | None]:
    """A menu by its name, however it is spelled, or by the name of its files; without a name the menu of the date."""
    word = normalise(name)
    found = next(
        (menu for menu in kitchen.kitchen.menus.values() if name and (normalise(menu.name) == word or slug(menu.name) == name)),
        None,
    )
    return (found, None) if found else menu_of(kitchen, name)


# Sign-off -----------------------------------------------------------------------------------------------------------------


def sign_off(args: argparse.Namespace) -> int:
    kitchen, code = opened(args)
    if kitchen is None:
        return code
    menu, wrong = menu_named(kitchen, args.menu)
    signed, problems = _signature(args, kitchen.date)
    acceptances, more = _acceptances(args.accept)
    laws = tuple(dict.fromkeys(args.law or [kitchen.kitchen.law]))
    register = read_register(kitchen.folder)
    unlawful = [each for law in laws for each in kitchen.workshop.tables.law(law, kitchen.date).findings if any_stop([each])]
    problems = [*([wrong] if wrong else []), *problems, *more, *unlawful, *register.findings,
                *cut_short(register, out_folder(kitchen, args.out))]  # fmt: skip
    if problems or menu is None:
        return show.refused(problems, args.format)
    findings = to_accept(kitchen, menu, laws)
    taken, wrong_doubts = accepted(findings, acceptances)
    if wrong_doubts:
        return _not_yet(args.format, findings, wrong_doubts)
    before = register.latest(menu.name)
    changed = against(kitchen, before, menu) if before else None
    press = _press(kitchen, register, laws[0], signed, before)
    made = of_menu(press, menu) if args.prints else []
    content = content_of(kitchen, register, menu, laws, signed, findings, taken, _documents(kitchen, args, press, menu, made))
    try:
        issue = append(kitchen.folder, content)
        written = [] if isinstance(issue, Finding) else _print(kitchen, out_folder(kitchen, args.out), made)
    except OSError as problem:
        return show.refused([not_written(FOLDER, problem, "issued/ or out/ can't be written")], args.format)
    if isinstance(issue, Finding):
        return show.refused([issue], args.format)
    return _told(args.format, kitchen, issue, changed, written)


def _not_yet(form: str, findings: Sequence[Finding], wrong: Sequence[Finding]) -> int:
    """What stands against signing; for reading, with the lines to type that accept the doubts."""
    code = show.refused(wrong, form)
    doubts = [each for each in findings if each.severity == "doubt"]
    if form == "text" and doubts:
        print(
            "Not signed. Doubts can be accepted one by one, or all of one code by leaving out the name behind the colon:",
            file=sys.stderr,
        )
        print(" \\\n".join(f'  --accept "{acceptance_words(each)}"' for each in doubts), file=sys.stderr)
    return code


def _press(kitchen: Opened, register: Register, law: str, signed: Signature, before: Issued | None) -> Press:
    number = len(register.issues) + 1
    return Press(kitchen, Wanted(law), under(number, signed, before.number if before else None))


def _signature(args: argparse.Namespace, date: str) -> tuple[Signature, list[Finding]]:
    by, role, second, time = (" ".join(text.split()) for text in (args.by, args.role, args.second, args.time))
    found = []
    if not by:
        found.append(
            finding(
                "name-needed", Place("--by"), "a sign-off needs the name of the person who answers for it", "write --by NAME"
            )
        )
    if not role:
        found.append(
            finding("role-needed", Place("--role"), "a sign-off needs the role of who signs", 'write --role "head chef"')
        )
    if second and normalise(second) == normalise(by):
        found.append(
            finding(
                "second-is-first", Place("--second"), f"{second} signs already", "name another person, or leave --second out"
            )
        )
    if time and not _TIME.fullmatch(time):
        found.append(finding("time-not-read", Place("--time"), f'"{time}" is not a time of day', "write it as 17:30"))
    return Signature(by, role, date, time or _now(), second), found


def _now() -> str:
    from datetime import datetime

    return datetime.now().strftime("%H:%M")


def _acceptances(texts: Sequence[str]) -> tuple[list[Acceptance], list[Finding]]:
    out, found = [], []
    for text in texts:
        head, _, reason = text.partition("=")
        code, _, subject = head.partition(":")
        reason = " ".join(reason.split())
        if not code.strip() or not reason:
            found.append(finding("accept-not-read", Place("--accept"), f"\"{text}\" gives no reason",
                                 "write --accept \"CODE:SUBJECT=reason\""))  # fmt: skip
        out.append(Acceptance(code.strip(), subject.strip(), reason))
    return out, found


def _documents(kitchen: Opened, args: argparse.Namespace, press: Press, menu: Menu, made: Sequence[Printed]) -> list[dict]:
    """Each document of the menu with its mark; with its checksum where it is printed now, or was printed from this very state."""
    from hashlib import sha256

    fresh = {each.file: sha256(each.content).hexdigest() for each in made if each.content}
    folder = out_folder(kitchen, args.out)
    known = read_prints(folder / LIST)
    out = []
    for file, told in press.planned(menu):
        old = known.get(file, {})
        holds = old.get("mark") == told["mark"] and old.get("law") == told["law"]
        digest = fresh.get(file) or (str(old.get("sha256", "")) if holds else "")
        says = told["says"] if file in fresh else str(old.get("says", "")) if holds else ""
        out.append({"file": file, "mark": told["mark"], "law": told["law"], "sha256": digest, "says": says})
    return out


def _print(kitchen: Opened, folder: Path, made: Sequence[Printed]) -> list[Path]:
    written = [write(folder / each.file, each.content) for each in made if each.content]
    note_prints(folder, [(each.file, each.content, each.told) for each in made], kitchen.folder / "out")
    return written


def _told(form: str, kitchen: Opened, issue: Issued, changed: MenuChange | None, written: Sequence[Path]) -> int:
    content = issue.content
    stopped = list(dict.fromkeys(entry["dish"] for entry in content["declarations"] if entry["answer"]))
    if form == "json":
        show.as_json({"number": issue.number, "file": f"{FOLDER}/{issue.file}", "seal": issue.seal, "menu": issue.menu,
                      "replaces": content["replaces"], "without_answer": stopped, "accepted": content["accepted"],
                      "changed": change_json(changed) if changed else None,
                      "written": [str(path) for path in written]})  # fmt: skip
        return 0
    signed = Signature(issue.by, str(content["role"]), issue.date, str(content["time"]), str(content["second"]))
    print(f"{issue.menu}: {issued_words(issue.number, signed, content['replaces'])}, {signed.time}")
    print(f"{FOLDER}/{issue.file}  (seal {issue.seal[:12]})")
    count = len({entry["dish"] for entry in content["declarations"]})
    print(f"{count} dishes and packs under {', '.join(law.upper() for law in content['laws'])} law.")
    if stopped:
        print(f"Issued without an answer: {' · '.join(stopped)}.")
    for each in content["accepted"]:
        about = each["subject"] or "; ".join(each["dishes"])
        print(f"Accepted: {each['code']}{', ' + about if about else ''}: {each['reason']}")
    if changed is not None:
        print("\n".join(["", f"Against no. {changed.issue.number}:", *change_lines(changed, kitchen.workshop.tables.kinds)]))
    if written:
        print(f"\nPrinted: {len(written)} documents in {written[0].parent}")
    else:
        print(f"\nPrints of before say otherwise; print again with: {again(kitchen, 'print all')}")
    return 0


# Changes ------------------------------------------------------------------------------------------------------------------


def changes(args: argparse.Namespace) -> int:
    kitchen, code = opened(args)
    if kitchen is None:
        return code
    register = read_register(kitchen.folder)
    asked, wrong = _asked(kitchen, register, args.menu, args.against)
    if wrong:
        return show.refused([*register.findings, wrong], args.format)
    found = [against(kitchen, issue, menu) for menu, issue in asked]
    unsigned = [menu.name for menu in kitchen.kitchen.menus.values() if not args.menu and register.latest(menu.name) is None
                and menu.starts <= kitchen.date <= (menu.ends or "9999")]  # fmt: skip
    folder = out_folder(kitchen, args.out)
    void, listed = void_prints(kitchen, register, folder), read_prints(folder / LIST)
    register = register._replace(findings=(*register.findings, *cut_short(register, folder)))
    try:
        moved = void_aside(folder, void) if args.void else []
    except OSError as problem:
        return show.refused([not_written(folder.name, problem)], args.format)
    if args.format == "json":
        show.as_json(_json(kitchen, register, found, unsigned, void, moved))
    else:
        print("\n".join(_lines(kitchen, register, found, unsigned, void, listed, args.void)))
    return 1 if register.findings or unsigned or any(each.changed for each in found) else 0


def _asked(
    kitchen: Opened, register: Register, name: str, other: str
) -> tuple[list[tuple[Menu | None, Issued]], Finding | None]:
    """(menu, the sign-off to compare with); the newest sign-off of each menu that is not over, when none is named."""
    if not name and not other:
        menus = kitchen.kitchen.menus
        latest = {issue.menu: issue for issue in register.issues}
        ends = {menu: str(menus[menu].ends if menu in menus else issue.content["menu_until"]) for menu, issue in latest.items()}
        return [(menus.get(menu), issue) for menu, issue in latest.items() if (ends[menu] or "9999") >= kitchen.date], None
    menu, wrong = menu_named(kitchen, name)
    gone = next((issue for issue in reversed(register.issues) if normalise(issue.menu) == normalise(name)), None)
    if wrong and gone is None:
        return [], wrong
    old, _ = menu_named(kitchen, other) if other else (menu, None)
    wanted = old.name if old else other or (gone.menu if gone else name)
    issue = register.latest(wanted)
    if issue is None:
        return [], finding("menu-not-signed", Place(FOLDER), f"\"{wanted}\" has not been signed off",
                           f"sign it off with: labeller sign-off \"{wanted}\" --by NAME --role ROLE")  # fmt: skip
    return [(menu, issue)], None


def _json(kitchen: Opened, register: Register, found: Sequence[MenuChange], unsigned: Sequence[str], void: Sequence[Void],
          moved: Sequence[Path]) -> Mapping:  # fmt: skip
    return {"date": kitchen.date, "register": {"issues": len(register.issues), "intact": not register.findings,
                                               "findings": [each.as_json() for each in register.findings]},
            "menus": [change_json(each) for each in found], "not_signed_off": list(unsigned),
            "void": [each._asdict() for each in void], "moved_aside": [str(path) for path in moved]}  # fmt: skip


def _lines(kitchen: Opened, register: Register, found: Sequence[MenuChange], unsigned: Sequence[str], void: Sequence[Void],
           listed: Mapping[str, object], asked: bool) -> list[str]:  # fmt: skip
    out = []
    if register.findings:
        out += ["THE REGISTER OF SIGN-OFFS IS NOT AS IT WAS WRITTEN. Until that is mended no sign-off counts.", "",
                show.findings_text(register.findings)]  # fmt: skip
    for each in found:
        issue = each.issue
        signed = f"signed by {issue.by} ({issue.content['role']})"
        out += [f"{each.menu}, since no. {issue.number} of {issue.date} {issue.content['time']}, {signed}",
                *change_lines(each, kitchen.workshop.tables.kinds), ""]  # fmt: skip
    if not register.findings:
        out += [
            f"{name}: NOT SIGNED OFF. Sign it off with: {again(kitchen, f'sign-off {shlex.quote(name)} --by NAME --role ROLE')}"
            for name in unsigned
        ]
    if not found and not unsigned and not register.findings:
        out.append(f"No menu that is signed off runs on {kitchen.date} or later.")
    known = [each for each in void if each.listed]
    if known:
        out += ["", "Prints that no longer hold" + (", moved aside:" if asked else ":"), *void_lines(known, listed)]
        out += [] if asked else ["Take the paper down; move the files aside with:", f"  {again(kitchen, 'changes --void')}"]
    strange = [each.file for each in void if not each.listed]
    if strange:
        more = f" and {len(strange) - 5} more" if len(strange) > 5 else ""
        out += ["", f"Not known from which state they were printed: {' · '.join(strange[:5])}{more}"]
    return out
