"""Followed up: a jar to the plates, a print to its record, a signed menu to what it is now, last week's menu to this week's.

The answers are those of ``labeller recall``, ``find-mark``, ``changes`` and ``copy-menu``.
"""

from __future__ import annotations

from labeller.reading import kitchen_edit
from labeller.reading.issued import read_register
from labeller.serving import marks, recall, verbs_copy
from labeller.serving.changes import MenuChange, against
from labeller.serving.documents import out_folder
from labeller.serving.standing import Void, cut_short, void_aside, void_prints
from labeller.serving.told import change_lines
from labeller.serving.web.asking import Reply, go
from labeller.serving.web.editing import now
from labeller.serving.web.looking import Told, told
from labeller.serving.web.visits import Visit, is_day
from labeller.serving.writing import slug
from labeller.terms.findings import Finding, Place, finding
from labeller.terms.issued import Issued
from labeller.terms.kitchen import Menu

# Recall -----------------------------------------------------------------------------------------------------------------


def recalled(visit: Visit, *, status: int = 200, findings: tuple[Finding, ...] = ()) -> Reply:
    """Which batches, dishes, menus, sign-offs and prints a product, or one lot of it, touches."""
    opened, name, lot = visit.opened, visit.asked.one("product"), visit.asked.one("lot")
    asked = recall.wanted(opened, name, lot) if name else None
    if name and asked is None:
        unknown = finding(
            "product-not-known",
            Place("products"),
            f'nothing here is called "{name}"',
            "use a name of the products or the recipes",
        )
        status, findings = (status if status != 200 else 422), (*findings, unknown)
    register = read_register(visit.house.folder)
    found = recall.recall(opened, register, asked, out_folder(opened, None)) if asked else None
    order = recall.VERDICTS
    return visit.page(
        "recall.html",
        "Recall",
        status,
        here="/recall",
        product=name,
        lot=lot,
        found=found,
        batches=sorted(found.batches, key=lambda each: order.index(each.verdict)) if found else (),
        verdicts={
            **{each: each for each in recall.VERDICTS},
            recall.NOT_WRITTEN: "lot not written: treat it as having it",
        },
        own=opened.workshop.names.product(name) if name else None,
        damaged=told(visit, register.findings),
        names=visit.names(),
        findings=[Told(each, None) for each in findings],
    )


def recall_aside(visit: Visit) -> Reply:
    """The prints that show it are moved aside."""
    opened, name, lot = visit.opened, visit.asked.one("product"), visit.asked.one("lot")
    asked = recall.wanted(opened, name, lot)
    if asked is None:
        return recalled(visit)
    out = out_folder(opened, None)
    wrong = _aside(visit, recall.recall(opened, read_register(visit.house.folder), asked, out).prints)
    return recalled(visit, status=422, findings=wrong) if wrong else go("/recall", product=name, lot=lot, done="aside")


def _aside(visit: Visit, prints) -> tuple[Finding, ...]:
    try:
        void_aside(out_folder(visit.opened, None), prints)
    except OSError as problem:
        text = f"the prints can't be moved: {problem.strerror}"
        return (finding("cannot-write", Place("out"), text, "take them down by hand; look at the rights of the folder"),)
    return ()


# Marks ------------------------------------------------------------------------------------------------------------------


def find_mark(visit: Visit) -> Reply:
    """The record behind the short mark of a label or sheet."""
    mark = visit.asked.one("mark")[:40]
    found = marks.find(visit.opened, read_register(visit.house.folder), mark, out_folder(visit.opened, None)) if mark else []
    unknown = finding(
        "mark-not-known",
        Place("mark"),
        f'no sign-off, no print on the list and nothing in the kitchen as it is bears "{mark}"',
        "compare the five letters and figures with the paper, or look with the kitchen's files of its day",
    )
    return visit.page(
        "mark.html",
        "Find a mark",
        here="/find-mark",
        mark=mark,
        found=found,
        findings=[Told(unknown, None)] if mark and not found else [],
    )


# Changes ----------------------------------------------------------------------------------------------------------------


def changes(visit: Visit, *, status: int = 200, findings: tuple[Finding, ...] = ()) -> Reply:
    """What has changed since the menus were signed off, and which prints no longer hold."""
    opened, kinds = visit.opened, visit.opened.workshop.tables.kinds
    register, out = read_register(visit.house.folder), out_folder(visit.opened, None)
    menu, other = visit.asked.one("menu"), visit.asked.one("against")
    latest = {issue.menu: issue for issue in register.issues}
    compared = [against(opened, issue, one) for one, issue in _pairs(visit, latest, menu, other)]
    void = void_prints(opened, register, out)
    return visit.page(
        "changes.html",
        "Changes since sign-off",
        status,
        here="/changes",
        menu=menu,
        against=other,
        signed=list(latest),
        menus=list(opened.kitchen.menus),
        compared=[(each, change_lines(each, kinds)) for each in compared],
        unsigned=[one.name for one in visit.menus_now() if one.name not in latest] if not menu else [],
        void=_by_reason([each for each in void if each.listed]),
        strange=[each.file for each in void if not each.listed],
        damaged=told(visit, (*register.findings, *cut_short(register, out))),
        findings=[Told(each, None) for each in findings],
    )


def _pairs(visit: Visit, latest: dict[str, Issued], menu: str, other: str) -> list[tuple[Menu | None, Issued]]:
    """(menu, sign-off to compare with): the ones asked for, else each menu that is signed off and not over."""
    menus = visit.opened.kitchen.menus
    if menu:
        issue = latest.get(other or menu)
        return [(menus.get(menu), issue)] if issue else []
    ends = {name: menus[name].ends if name in menus else str(issue.content["menu_until"]) for name, issue in latest.items()}
    return [(menus.get(name), issue) for name, issue in latest.items() if (ends[name] or "9999") >= visit.date]


def _by_reason(void: list[Void]) -> list[tuple[str, list[str]]]:
    return [(why, [each.file for each in void if each.why == why]) for why in dict.fromkeys(each.why for each in void)]


def changes_aside(visit: Visit) -> Reply:
    """The prints that no longer hold are moved aside."""
    register = read_register(visit.house.folder)
    wrong = _aside(visit, void_prints(visit.opened, register, out_folder(visit.opened, None)))
    return changes(visit, status=422, findings=wrong) if wrong else go("/changes", done="aside")


# Last week's menu to this week's ------------------------------------------------------------------------------------------


def copy_menu(visit: Visit, *, status: int = 200, findings: tuple[Finding, ...] = ()) -> Reply:
    menus = visit.opened.kitchen.menus
    old = menus.get(visit.asked.one("old")) or visit.menu()
    return visit.page(
        "copy_menu.html",
        "Copy a menu",
        status,
        here="/menus",
        old=old.name if old else "",
        menus=list(menus),
        new=visit.asked.one("new"),
        starts=visit.asked.one("from"),
        ends=visit.asked.one("until"),
        findings=[Told(each, None) for each in findings],
    )


def copied(visit: Visit) -> Reply:
    """A new file in menus/ with the courses of the old one; then what has changed since that was signed off."""
    opened = visit.opened
    old, name = opened.kitchen.menus.get(visit.asked.one("old")), " ".join(visit.asked.one("new").split())
    starts, until = visit.asked.one("from"), visit.asked.one("until")
    wrong = [*_days_wrong(starts, until), *verbs_copy.taken(opened, name)]
    if old is None:
        wrong.append(finding("menu-not-known", Place("menus"), "no menu was chosen to copy", "choose one of the list"))
    if wrong or old is None:
        return copy_menu(visit, status=422, findings=tuple(wrong))
    refused = _written(visit, old, name, starts, until)
    if refused:
        return copy_menu(visit, status=422, findings=refused)
    signed = read_register(visit.house.folder).latest(old.name)
    return go("/changes", menu=name, against=old.name, done="copied") if signed else go("/menus", done="copied")


def _days_wrong(starts: str, until: str) -> list[Finding]:
    if not (is_day(starts) and is_day(until)):
        return [finding("menu-dates-needed", Place("menus"), "a menu needs its first and its last day", "choose both days")]
    if starts > until:
        text = f"the menu would end ({until}) before it begins ({starts})"
        return [finding("menu-dates-needed", Place("menus"), text, "choose a last day that is not before the first")]
    return []


def _written(visit: Visit, old: Menu, name: str, starts: str, until: str) -> tuple[Finding, ...]:
    """Lines that do not read back as the same dishes are taken back and written anew."""
    folder, file = visit.house.folder, f"menus/{slug(name)}.yaml"
    for text in verbs_copy.texts(visit.opened, old, name, starts, until):
        saved = kitchen_edit.add_files(folder, {file: text.encode("utf-8")}, f'copy menu "{old.name}" to "{name}"', when=now())
        if not saved.written:
            return saved.findings
        made = visit.opened.kitchen.menus.get(name)
        if made is not None and verbs_copy.same_dishes(made, old):
            return ()
        kitchen_edit.undo(folder)
    return (finding("edit-not-clean", Place(file), f"{old.name} can't be copied as it stands", "write the new menu by hand"),)


__all__ = ["MenuChange", "changes", "changes_aside", "copied", "copy_menu", "find_mark", "recall_aside", "recalled"]
