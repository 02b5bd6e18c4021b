"""What a print says of itself: under which sign-off it stands, and which prints in ``out/`` no longer hold."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from labeller.printing.guest_words import GuestWords
from labeller.printing.words import day_words
from labeller.reading.issued import FOLDER, read_prints
from labeller.serving.changes import still_holds
from labeller.serving.pipeline import Opened, batch_of, declared
from labeller.serving.printed import LIST, enter, others, packs_of, prints
from labeller.serving.register import Signature, entry_of, label_marks
from labeller.serving.writing import aside, write
from labeller.terms.findings import Finding, Place, finding
from labeller.terms.issued import Register
from labeller.terms.kitchen import Menu

UNSIGNED = "NOT SIGNED OFF"
KINDS = (".pdf", ".html", ".json")


class Standing(NamedTuple):
    """text: what the paper says, in English. number: of the sign-off that it stands under, 0 for none. said: the same as keys of
    ``templates/sheets.yaml``, each with what fills it in, one after the other; dates are ISO."""

    text: str
    number: int = 0
    said: tuple[tuple[str, ...], ...] = (("not signed",),)

    def line(self, words: GuestWords) -> str:
        """What the paper says, in a language."""
        return "".join(words.say(key, *(words.day(part) for part in parts)) for key, *parts in self.said)


class Void(NamedTuple):
    """A print that no longer holds. listed: it is on the list of prints (else it is only pointed out). folder: where it lies,
    "" for the folder that was asked about."""

    file: str
    why: str
    listed: bool = True
    folder: str = ""

    @property
    def words(self) -> str:
        return str(Path(self.folder) / self.file) if self.folder else self.file


def standing(opened: Opened, register: Register, menu: Menu, law: str, entries: Sequence[Mapping]) -> Standing:
    """Under which sign-off a menu stands as it is now. entries: its dishes under the law, frozen form."""
    if register.findings:
        return Standing(f"{UNSIGNED}: the register of sign-offs is damaged", said=(("register damaged",),))
    issue = register.latest(menu.name)
    if issue is None:
        return Standing(UNSIGNED)
    if law not in issue.content["laws"]:
        signed = " and ".join(each.upper() for each in issue.content["laws"])
        return Standing(f"{UNSIGNED} for {law.upper()} law (no. {issue.number} is for {signed} law)",
                        said=(("not signed law", law.upper(), str(issue.number), signed),))  # fmt: skip
    if not still_holds(opened, issue, menu, law, entries):
        return Standing(f"CHANGED SINCE no. {issue.number} of {day_words(issue.date)}: {UNSIGNED}",
                        said=(("changed since", str(issue.number), issue.date),))  # fmt: skip
    content = issue.content
    signed = Signature(issue.by, str(content["role"]), issue.date, str(content["time"]), str(content["second"]))
    return under(issue.number, signed, content["replaces"])


def under(number: int, signed: Signature, replaces: object) -> Standing:
    """How a menu stands that has been signed off and not changed since."""
    said = [("issued", str(number), signed.date, signed.by, signed.role)]
    said += [("issued checked", signed.second)] if signed.second else []
    said += [("issued replaces", str(replaces))] if replaces else []
    return Standing(issued_words(number, signed, replaces), number, tuple(said))


def issued_words(number: int, signed: Signature, replaces: object) -> str:
    """ "issued no. 3, 25 November 2026, signed by RM (head chef), checked by AL; replaces no. 2"."""
    second = f", checked by {signed.second}" if signed.second else ""
    return (f"issued no. {number}, {day_words(signed.date)}, signed by {signed.by} ({signed.role}){second}"
            + (f"; replaces no. {replaces}" if replaces else ""))  # fmt: skip


# The list of prints -------------------------------------------------------------------------------------------------------


def note_prints(folder: Path, told: Iterable[tuple[str, bytes, Mapping | None]], book: Path | None = None) -> None:
    """Enter prints on the list beside them and in the kitchen's book of prints. told: (file, bytes, what it was printed from);
    None is not listed. book: the kitchen's own out/, where ``folder`` is another. Raises OSError."""
    fresh = {
        file: {**entry, "sha256": hashlib.sha256(content).hexdigest()} for file, content, entry in told if entry and content
    }
    if fresh:
        known = read_prints(folder / LIST) | fresh
        write(folder / LIST, json.dumps(known, ensure_ascii=False, sort_keys=True, indent=1) + "\n")
        enter(book or folder, folder, fresh)


def void_prints(opened: Opened, register: Register, folder: Path) -> list[Void]:
    """Prints that no longer hold, and why; prints of which nothing is known are pointed out."""
    listed = read_prints(folder / LIST)
    names = (
        sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()) if folder.is_dir() else []
    )
    now = _Now(opened, register)
    out = []
    for name in names:
        if "void" in Path(name).parts or Path(name).name.startswith(".") or Path(name).suffix not in KINDS:
            continue
        entry = listed.get(name)
        if entry is None:
            out.append(Void(name, "it is not known from which state it was printed", False))
        elif why := _why(register, folder / name, entry, now):
            out.append(Void(name, why))
    known = others(prints(opened.folder / "out", folder), folder)
    return out + [Void(each.file, why, folder=str(each.folder)) for each in known
                  if each.path and (why := _why(register, each.path, each.entry, now))]  # fmt: skip


class _Now:
    """How dishes and menus stand now, each worked out once."""

    def __init__(self, opened: Opened, register: Register):
        self.opened, self.register = opened, register
        self._entries: dict[tuple[str, str], dict | None] = {}

    def digest(self, dish: str, law: str) -> str:
        """ "": it is no more, or can't be declared."""
        entry = self._entry(dish, law)
        return entry["digest"] if entry else ""

    def _entry(self, dish: str, law: str) -> dict | None:
        if (dish, law) not in self._entries:
            recipe = self.opened.workshop.names.recipe(dish)
            made = declared(self.opened, recipe, law, batch=batch_of(self.opened, recipe))[0] if recipe else None
            self._entries[dish, law] = entry_of(made) if made else None
        return self._entries[dish, law]

    def says_still(self, mark: str, pack: Mapping, entry: Mapping) -> bool:
        """Whether labels of a pack printed now would bear its mark: dates, lot and address count there."""
        recipe, language = self.opened.workshop.names.recipe(str(pack.get("dish", ""))), str(entry.get("language", "en"))
        marks = label_marks(self.opened, recipe, str(entry.get("law", "")), language) if recipe else []
        return any(each == mark for each, _ in marks)

    def names(self, menu: Menu) -> set[str]:
        return {recipe.name for name in menu.dishes() if (recipe := self.opened.workshop.names.recipe(name))}

    def number(self, menu: Menu, law: str) -> int:
        """The sign-off that holds for a menu, 0: none."""
        entries = [entry for dish in menu.dishes() if (entry := self._entry(dish, law))]
        return standing(self.opened, self.register, menu, law, entries).number


def _why(register: Register, path: Path, entry: Mapping, now: _Now) -> str:
    if hashlib.sha256(path.read_bytes()).hexdigest() != entry.get("sha256"):
        return "the file was changed after it was printed"
    law, dishes = str(entry.get("law", "")), dict(entry.get("dishes", {}))
    changed = [dish for dish, digest in dishes.items() if now.digest(dish, law) != digest]
    if changed:
        more = f" and {len(changed) - 4} more" if len(changed) > 4 else ""
        return f"changed since it was printed: {' · '.join(changed[:4])}{more}"
    if any(not now.says_still(mark, pack, entry) for mark, pack in packs_of(entry).items()):
        return "the words of the label have changed since it was printed"
    menu = now.opened.kitchen.menus.get(str(entry.get("menu", "")))
    if entry.get("menu") and menu is None:
        return f"the menu {entry['menu']} is no longer in the kitchen"
    if menu is not None and list(menu.dishes()) != list(entry.get("on_menu", menu.dishes())):
        return "the menu has other dishes than when it was printed"
    latest = register.latest(menu.name) if menu is not None and not register.findings else None
    says = entry.get("number", 0)
    if says > len(register.issues) and not register.findings:
        return f"it says no. {says}, which issued/ does not have"
    if latest is None or menu is None:
        return ""
    holds = now.number(menu, law)
    whole = now.names(menu) <= set(dishes)  # a card of one recipe stands as long as the recipe does
    ended = f"it says no. {says}, which no longer holds" if says and not holds and whole else ""
    return _replaced(says, latest.number, holds) or ended


def _replaced(says: int, latest: int, holds: int) -> str:
    """Why a print whose dishes have not changed is void all the same. says: its number; holds: the one that holds now, or 0."""
    if says and says != latest:
        return f"it says no. {says}, replaced by no. {latest}"
    return f"it says that it is not signed off; no. {holds} has been signed since" if holds and not says else ""


def cut_short(register: Register, folder: Path) -> tuple[Finding, ...]:
    """A finding when prints say a number that the register does not reach: its newest sign-offs were taken out with their lines,
    which leaves no gap in the chain."""
    if register.findings:
        return ()
    highest = max((entry.get("number", 0) for entry in read_prints(folder / LIST).values()), default=0)
    if highest <= len(register.issues):
        return ()
    text = f"prints in {folder.name}/ are of no. {highest}, and issued/ ends with no. {len(register.issues)}"
    mend = "put the missing sign-offs back from a copy; if there is none, move those prints aside with labeller changes --void"
    return (finding("register-gone", Place(FOLDER), text, mend),)


def void_aside(folder: Path, void: Iterable[Void]) -> list[Path]:
    """Move listed prints that no longer hold into void/ beside them, and take them off their list. Raises OSError."""
    out: list[Path] = []
    listed = [each for each in void if each.listed]
    for place in dict.fromkeys(each.folder for each in listed):
        where = Path(place) if place else folder
        moved = [(each.file, target) for each in listed if each.folder == place and (target := aside(where / each.file))]
        gone = {file for file, _ in moved}
        if moved:
            left = {file: entry for file, entry in read_prints(where / LIST).items() if file not in gone}
            write(where / LIST, json.dumps(left, ensure_ascii=False, sort_keys=True, indent=1) + "\n")
        out += [target for _, target in moved]
    return out
