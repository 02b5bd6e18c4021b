"""From the five letters and figures of a short mark back to the record: in sign-offs, among prints, in the kitchen as it is."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import NamedTuple

from labeller.printing.words import LAWS
from labeller.serving.documents import Press, Wanted
from labeller.serving.pipeline import Opened, batch_of, declared
from labeller.serving.printed import THERE, Print, packs_of, prints
from labeller.serving.register import entry_of, label_marks
from labeller.terms.issued import Register
from labeller.terms.kitchen import Recipe


class Found(NamedTuple):
    """Where a mark stands. where: "issued no. 2", "print" or "kitchen". what: the document, or "labels". dishes: on it; digests:
    what was told of them. batch, lot: of labels. date: when signed or printed, or the date asked about. note: where the file of a
    print is, when it is not in the folder asked about. number: the sign-off that it says, 0 for none."""

    where: str
    what: str
    dishes: tuple[str, ...]
    law: str
    date: str
    batch: str = ""
    lot: str = ""
    digests: tuple[str, ...] = ()
    note: str = ""
    number: int = 0


def find(opened: Opened, register: Register, mark: str, out: Path) -> list[Found]:
    """All places where a mark stands, sign-offs first. Capitals and spaces don't matter; 0 and O, 1 and I are in no mark.

    The kitchen as it is is searched for the laws that it has used, and for all others where the mark stands nowhere else."""
    word = "".join(mark.split()).upper()
    known = prints(opened.folder / "out", out)
    found = [*_in_register(register, word), *_in_prints(known, out, word)]
    used = [opened.kitchen.law, *(law for issue in register.issues for law in issue.content["laws"])]
    used += [law for each in known if (law := str(each.entry.get("law", ""))) in LAWS]
    first = tuple(dict.fromkeys(used))
    found += _in_kitchen(opened, word, first)
    return found or list(_in_kitchen(opened, word, tuple(law for law in LAWS if law not in first)))


def _in_register(register: Register, word: str) -> Iterable[Found]:
    for issue in register.issues:
        content, where = issue.content, f"issued no. {issue.number}"
        entries: list[Mapping] = list(content["declarations"])
        lots = {batch["batch"]: batch["lot"] for batch in content["batches"]}
        for entry in entries:
            if word in entry["marks"]:
                batch = entry["marks"][word]
                yield Found(where, "labels", (entry["dish"],), entry["law"], issue.date, batch, lots.get(batch, ""),
                            (entry["digest"],), number=issue.number)  # fmt: skip
        for document in content["documents"]:
            if document["mark"] == word:
                yield Found(where, document["file"], (), document["law"], issue.date, number=issue.number)


def _in_prints(known: Iterable[Print], out: Path, word: str) -> Iterator[Found]:
    for each in known:
        entry, dishes, packs = each.entry, dict(each.entry.get("dishes", {})), packs_of(each.entry)
        law, date = (str(entry.get(key, "")) for key in ("law", "date"))
        number, note = int(entry.get("number", 0)), "" if each.state == THERE else each.state
        what = each.words(out)
        if word in packs:
            dish, batch, lot = (str(packs[word].get(key, "")) for key in ("dish", "batch", "lot"))
            yield Found("print", what, (dish,), law, date, batch, lot, (str(dishes.get(dish, "")),), note, number)
        elif entry.get("mark") == word:
            yield Found("print", what, tuple(dishes), law, date, digests=tuple(dishes.values()), note=note, number=number)


def _in_kitchen(opened: Opened, word: str, laws: Iterable[str]) -> Iterator[Found]:
    """What would bear the mark if it were printed now."""
    for law in laws:
        yield from _labels(opened, word, law)
        press = Press(opened, Wanted(law))
        for menu in opened.kitchen.menus.values():
            yield from (Found("kitchen", file, tuple(told["dishes"]), law, opened.date, digests=tuple(told["dishes"].values()))
                        for file, told in press.planned(menu) if told["mark"] == word)  # fmt: skip


def _labels(opened: Opened, word: str, law: str) -> Iterator[Found]:
    for recipe in opened.kitchen.recipes.values():
        if recipe.kind == "pack":
            for language in dict.fromkeys(("en", *opened.kitchen.languages)):
                for mark, batch in label_marks(opened, recipe, law, language):
                    if mark == word:
                        yield Found("kitchen", "labels", (recipe.name,), law, opened.date, batch.name if batch else "",
                                    batch.lot if batch else "")  # fmt: skip


# The record behind a mark --------------------------------------------------------------------------------------------------


class Behind(NamedTuple):
    """What was told of one dish under a mark. entry: its frozen form. since: where it is taken from, in words: a sign-off, or the
    kitchen as it is; "" where the record of that day can't be shown any more (then entry is of the kitchen as it is, or None)."""

    dish: str
    law: str
    entry: Mapping | None
    since: str


def behind(opened: Opened, register: Register, found: Iterable[Found]) -> list[Behind]:
    """The record of each dish and law behind a mark, each once: frozen in a sign-off, else the kitchen as it is where that says
    the same, else as it is now, told as such."""
    told: dict[tuple[str, str, str], Behind] = {}
    for each in found:
        for nr, dish in enumerate(each.dishes):
            digest = each.digests[nr] if nr < len(each.digests) else ""
            told.setdefault((dish, each.law, digest), _behind(opened, register, dish, each.law, digest))
    known = {(one.dish, one.law) for one in told.values() if one.since}
    return [one for one in told.values() if one.since or (one.dish, one.law) not in known]


def _behind(opened: Opened, register: Register, dish: str, law: str, digest: str) -> Behind:
    for issue in reversed(register.issues):
        for entry in issue.content["declarations"]:
            if digest and (entry["dish"], entry["law"], entry["digest"]) == (dish, law, digest):
                return Behind(dish, law, entry, f"issued no. {issue.number}, signed by {issue.by} on {issue.date}")
    recipe = opened.workshop.names.recipe(dish)
    entry = _entry(opened, recipe, law) if recipe is not None else None
    same = entry is not None and digest in ("", entry["digest"])
    return Behind(dish, law, entry, f"the kitchen as it is on {opened.date}; nobody has signed it off" if same else "")


def _entry(opened: Opened, recipe: Recipe, law: str) -> dict | None:
    made, _ = declared(opened, recipe, law, batch=batch_of(opened, recipe))
    return entry_of(made) if made is not None else None
