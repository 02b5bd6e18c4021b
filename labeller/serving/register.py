"""Sign-off: the declarations of a menu frozen under a number, and the sign-offs of before kept as they are."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

from labeller.declaring.published import as_json
from labeller.reading.issued import (
    FOLDER,
    LIST,
    as_bytes,
    checksums,
    hidden,
    is_left_over,
    read_register,
    seal_of,
    table_checksums,
)
from labeller.reading.whole_file import put_new
from labeller.serving.pipeline import Opened, batch_of, declared, everything_found
from labeller.serving.writing import settle, slug, write
from labeller.terms.findings import STOP, Finding, Place, finding
from labeller.terms.floor import NO_ANSWER
from labeller.terms.issued import Issued, Register
from labeller.terms.kitchen import Batch, Menu, Recipe
from labeller.terms.record import Declaration
from labeller.terms.words import normalise


class Signature(NamedTuple):
    """Who signs, and when. date: ISO; time: HH:MM."""

    by: str
    role: str
    date: str
    time: str
    second: str = ""


class Acceptance(NamedTuple):
    """A doubt that is lived with. subject: "" for every finding of the code."""

    code: str
    subject: str
    reason: str


# The frozen form of a dish -------------------------------------------------------------------------------------------------


def entry_of(declaration: Declaration, products: Sequence[str] = (), marks: Mapping[str, str] | None = None) -> dict:
    """A declaration as it is frozen. record: as published. facts: each allergen fact with its state and place, which the
    record sums up. products: names of products and ingredients in it. marks: short mark of its labels -> the batch, "" for
    labels of none. digest: of all that is compared later."""
    facts = [] if declaration.stopped else [
        {"kind": fact.kind, "state": fact.state, "route": fact.route, "evidence": fact.evidence, "path": list(fact.path),
         "place": str(fact.place)} for fact in declaration.record.facts]  # fmt: skip
    entry = {"dish": declaration.dish, "kind": declaration.record.kind, "law": declaration.law, "facts": facts,
             "answer": NO_ANSWER if declaration.stopped else "", "record": as_json(declaration), "products": sorted(products),
             "marks": dict(marks or {})}  # fmt: skip
    return entry | {"digest": digest_of(entry)}


def digest_of(entry: Mapping) -> str:
    """SHA-256 over what a guest or an inspector could be told differently: states and ways of allergens, declared figures,
    weights, statements. Dates, places in the files and versions don't enter: they may change, and the paper says the same."""
    record = entry["record"]
    told = {"dish": entry["dish"], "law": entry["law"], "answer": entry["answer"], "weight": weight_words(entry),
            "facts": sorted({(fact["kind"], fact["state"], fact["route"], *fact["path"]) for fact in entry["facts"]}),
            "figures": figures_of(entry), "statements": [record[key] for key in STATEMENTS]}  # fmt: skip
    return hashlib.sha256(json.dumps(told, ensure_ascii=False, sort_keys=True).encode()).hexdigest()


STATEMENTS = ("ingredient_statement", "contains_statement", "may_contain_statement")


def figures_of(entry: Mapping) -> dict[str, dict[str, str]]:
    """Figure -> what is declared of it, as printed."""
    return {key: dict(value["declared"]) for key, value in entry["record"]["nutrients"].items() if value["declared"]}


def weight_words(entry: Mapping) -> str:
    """Weight of a portion or pack in whole grams, tenths below ten."""
    weight = entry["record"]["portion"]["weight_g"]
    if not weight:
        return ""
    low, high = (f"{weight[key]:.0f}" if weight[key] >= 10 else f"{weight[key]:.1f}" for key in ("low", "high"))
    return f"{low} g" if low == high else f"{low}-{high} g"


def entries_of(opened: Opened, menu: Menu, law: str, with_marks: bool = False) -> list[dict]:
    """The frozen form of each dish and pack of a menu as it stands now, in the menu's order."""
    out = []
    for name in menu.dishes():
        recipe = opened.workshop.names.recipe(name)
        declaration = declared(opened, recipe, law, batch=batch_of(opened, recipe))[0] if recipe else None
        if declaration is not None:
            labelled = with_marks and recipe.kind == "pack" and not declaration.stopped
            marks = {mark: batch.name if batch else "" for mark, batch in label_marks(opened, recipe, law)} if labelled else {}
            out.append(entry_of(declaration, products_of(opened, recipe), marks))
    return out


def products_of(opened: Opened, recipe: Recipe) -> tuple[str, ...]:
    """Products, and ingredients without a product, however deep; frying fats too."""
    found: dict[str, None] = {}
    for each in opened.workshop.family(recipe).values():
        for name, pin, place in named_in(each):
            meaning = opened.workshop.names.meaning(name, pin, place)
            if meaning.ref.kind != "recipe":
                found[meaning.product.name if meaning.product else name] = None
    return tuple(found)


def named_in(recipe: Recipe) -> list[tuple[str, str, Place]]:
    """(name, pinned row, place) of each line, and of the frying fat."""
    lines = [(line.name, line.food, line.place) for line in recipe.lines]
    return lines + ([(recipe.fried_in.oil, recipe.fried_in.food, recipe.fried_in.place)] if recipe.fried_in else [])


def label_marks(opened: Opened, recipe: Recipe, law: str, language: str = "en") -> list[tuple[str, Batch | None]]:
    """Short marks of the labels of a pack: for each of its batches, and without one."""
    from labeller.printing.labels import LabelJob

    out = []
    for batch in (*batches_of(opened, [recipe]), None):
        made, _ = declared(opened, recipe, law, language, batch)
        if made is not None and not made.stopped:
            out.append((LabelJob(made, lot=batch.lot if batch else "").mark, batch))
    return out


def batches_of(opened: Opened, recipes: Iterable[Recipe]) -> list[Batch]:
    """All batches, of any day, that make one of the recipes."""
    names = {recipe.name for recipe in recipes}

    def makes(batch: Batch) -> str:
        recipe = opened.workshop.names.recipe(batch.makes) if batch.makes else None
        return recipe.name if recipe else ""

    return [batch for batch in opened.kitchen.batches.values() if makes(batch) in names]


def sheet_mark(stem: str, entries: Iterable[Mapping]) -> str:
    """The short mark of a sheet or card: changes with what is told of any dish on it, not with date or number."""
    from labeller.printing.labels import short_mark

    return short_mark([stem, *(entry["digest"] for entry in entries)])


# What must be looked at before signing ------------------------------------------------------------------------------------


def to_accept(opened: Opened, menu: Menu, laws: Sequence[str]) -> tuple[Finding, ...]:
    """Findings of a menu: of its dishes, of itself, and of the whole kitchen."""
    found = dict.fromkeys(each for law in laws for each in everything_found(opened, law))
    named = {recipe.name for name in menu.dishes() if (recipe := opened.workshop.names.recipe(name))} | set(menu.dishes())
    return tuple(each for each in found
                 if set(each.dishes) & named or each.subject == menu.name or not (each.dishes or each.subject))  # fmt: skip


def accepted(findings: Sequence[Finding], acceptances: Sequence[Acceptance]) -> tuple[list[dict], list[Finding]]:
    """(doubts with the reasons for which they are lived with, what stands against signing)."""
    taken, wrong = [], []
    used: set[Acceptance] = set()
    for each in findings:
        hits = [one for one in acceptances if one.code == each.code and (not one.subject or _is_about(each, one.subject))]
        used.update(hits)
        if each.severity == STOP and hits:
            text = f"{each.code} is a stop and can't be accepted: {each.text}"
            wrong.append(finding("stop-not-acceptable", each.place, text, each.mend, each.subject))
        elif each.severity == "doubt" and hits:
            taken.append(each.as_json() | {"subject": each.subject, "reason": hits[-1].reason})
        elif each.severity == "doubt":
            wrong.append(_not_accepted(each))
    for one in acceptances:
        if one not in used:
            about = f" of {one.subject}" if one.subject else ""
            wrong.append(finding("accept-not-read", Place("--accept"), f"this menu has no finding {one.code}{about}",
                                 "leave it out, or use a code and name of `labeller check`"))  # fmt: skip
    return taken, wrong


def _not_accepted(each: Finding) -> Finding:
    mend = f'{each.mend}; or accept it with a reason: --accept "{acceptance_words(each)}"'
    return finding("doubt-not-accepted", each.place, f"{each.code}: {each.text}", mend, each.subject)


def acceptance_words(each: Finding) -> str:
    """What to type behind --accept for one doubt."""
    about = each.subject or (each.dishes[0] if each.dishes else "")
    return f"{each.code}{':' + about if about else ''}=reason"


def _is_about(each: Finding, subject: str) -> bool:
    word = normalise(subject)
    return subject == str(each.place) or word in {normalise(name) for name in (each.subject, *each.dishes) if name}


# The content of a sign-off ------------------------------------------------------------------------------------------------


def content_of(opened: Opened, register: Register, menu: Menu, laws: Sequence[str], signed: Signature,
               findings: Sequence[Finding], taken: Sequence[dict], documents: Sequence[dict] = ()) -> dict:  # fmt: skip
    """A sign-off, without its seal. number counts all menus; replaces: the number of the same menu that it puts out of force,
    or null; previous: checksum of the sign-off before, "" for the first."""
    from labeller import __version__

    workshop = opened.workshop
    before = register.latest(menu.name)
    dishes = [recipe for name in menu.dishes() if (recipe := workshop.names.recipe(name))]
    return {
        "number": len(register.issues) + 1, "replaces": before.number if before else None, "previous": register.head,
        "menu": menu.name, "menu_from": menu.starts, "menu_until": menu.ends, "dishes": list(menu.dishes()), "laws": list(laws),
        "date": signed.date, "time": signed.time, "by": signed.by, "role": signed.role, "second": signed.second,
        "kitchen": opened.kitchen.name, "kitchen_version": opened.kitchen.version,
        "files": checksums(opened.folder, opened.kitchen.files), "data_version": workshop.tables.foods.version,
        "law_date": opened.date, "tables": table_checksums(), "tool_version": __version__,
        "declarations": [entry for law in laws for entry in entries_of(opened, menu, law, with_marks=True)],
        "batches": [{"batch": batch.name, "makes": batch.makes, "date": batch.date, "count": batch.count, "lot": batch.lot,
                     "lots": [list(pair) for pair in batch.lots]} for batch in batches_of(opened, dishes)],
        "accepted": list(taken), "stops": [each.as_json() for each in findings if each.severity == STOP],
        "notes": [each.as_json() for each in findings if each.severity == "note"], "documents": list(documents),
    }  # fmt: skip


def file_name(number: int, menu: str) -> str:
    return f"{number:04d}-{slug(menu)}.json"


def append(folder: Path, content: Mapping[str, object]) -> Issued | Finding:
    """Put a sign-off at the end of the register; a finding when another was signed since ``content`` was made, or the register
    is damaged. Raises OSError when the folder can't be written.

    Cut short at any moment it leaves the register whole: the file is written under a hidden name, then entered on the list,
    then given its name; entered and not named, it is found by its checksum, and named by the next sign-off.
    """
    place = Path(folder) / FOLDER
    place.mkdir(parents=True, exist_ok=True)
    name = file_name(int(content["number"]), str(content["menu"]))
    sealed = {**content, "file": name}
    sealed |= {"seal": seal_of(sealed)}
    data = as_bytes(sealed)
    with _alone(place):
        register = read_register(folder)
        if register.findings:
            return register.findings[0]
        if content["number"] != len(register.issues) + 1 or content["previous"] != register.head:
            text = f"no. {len(register.issues)} was signed while this one was being made"
            return finding("register-busy", Place(FOLDER), text, "look at labeller changes, then sign off again")
        _finish(place, register)
        write(place / hidden(name), data)
        (place / hidden(name)).chmod(0o444)
        settle(place)
        lines = (place / LIST).read_text(encoding="utf-8") if (place / LIST).exists() else ""
        write(place / LIST, f"{lines}{hashlib.sha256(data).hexdigest()}  {name}\n")
        settle(place)
        put_new(place / hidden(name), place / name)
        settle(place)
        digest = hashlib.sha256(data).hexdigest()
        return Issued(name, int(content["number"]), str(content["menu"]), str(sealed["seal"]), sealed, digest)


def _finish(place: Path, register: Register) -> None:
    """What a sign-off that was cut short left: give it its name where it is on the list, else take it away."""
    for name in register.pending:
        put_new(place / hidden(name), place / name)
    for each in list(place.iterdir()):
        if each.name != ".lock" and is_left_over(each.name):
            each.unlink(missing_ok=True)


@contextmanager
def _alone(place: Path) -> Iterator[None]:
    """One sign-off at a time; the lock falls with the program that holds it."""
    handle = os.open(place / ".lock", os.O_CREAT | os.O_RDWR, 0o644)
    try:
        try:
            import fcntl
        except ImportError:  # no such locks on this system; the list and the new name still never overwrite
            yield
            return
        fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)
