"""From the five letters and figures of a short mark back to the record: in sign-offs, among prints, in the kitchen as it is."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import NamedTuple

from labeller.reading.issued import read_prints
from labeller.serving.documents import Press, Wanted
from labeller.serving.pipeline import Opened
from labeller.serving.register import label_marks
from labeller.serving.standing import LIST, packs_of
from labeller.terms.issued import Register


class Found(NamedTuple):
    """Where a mark stands. where: "issued no. 2", "print" or "kitchen". what: the document, or "labels". dishes: on it; digests:
    what was told of them. batch, lot: of labels. date: when signed or printed, or the date asked about."""

    where: str
    what: str
    dishes: tuple[str, ...]
    law: str
    date: str
    batch: str = ""
    lot: str = ""
    digests: tuple[str, ...] = ()


def find(opened: Opened, register: Register, mark: str, out: Path) -> list[Found]:
    """All places where a mark stands, sign-offs first. Capitals and spaces don't matter; 0 and O, 1 and I are in no mark."""
    word = "".join(mark.split()).upper()
    return [*_in_register(register, word), *_in_prints(out, word), *_in_kitchen(opened, register, word)]


def _in_register(register: Register, word: str) -> Iterable[Found]:
    for issue in register.issues:
        content, where = issue.content, f"issued no. {issue.number}"
        entries: list[Mapping] = list(content["declarations"])
        lots = {batch["batch"]: batch["lot"] for batch in content["batches"]}
        for entry in entries:
            if word in entry["marks"]:
                batch = entry["marks"][word]
                yield Found(
                    where, "labels", (entry["dish"],), entry["law"], issue.date, batch, lots.get(batch, ""), (entry["digest"],)
                )
        for document in content["documents"]:
            if document["mark"] == word:
                yield Found(where, document["file"], (), document["law"], issue.date)


def _in_prints(out: Path, word: str) -> Iterable[Found]:
    for file, entry in sorted(read_prints(out / LIST).items()):
        dishes, packs = dict(entry.get("dishes", {})), packs_of(entry)
        law, date = (str(entry.get(key, "")) for key in ("law", "date"))
        if word in packs:
            dish, batch, lot = (str(packs[word].get(key, "")) for key in ("dish", "batch", "lot"))
            yield Found("print", file, (dish,), law, date, batch, lot, (str(dishes.get(dish, "")),))
        elif entry.get("mark") == word:
            yield Found("print", file, tuple(dishes), law, date, digests=tuple(dishes.values()))


def _in_kitchen(opened: Opened, register: Register, word: str) -> Iterable[Found]:
    """What would bear the mark if it were printed now."""
    laws = dict.fromkeys([opened.kitchen.law, *(law for issue in register.issues for law in issue.content["laws"])])
    for law in laws:
        for recipe in opened.kitchen.recipes.values():
            for mark, batch in label_marks(opened, recipe, law) if recipe.kind == "pack" else ():
                if mark == word:
                    yield Found(
                        "kitchen",
                        "labels",
                        (recipe.name,),
                        law,
                        opened.date,
                        batch.name if batch else "",
                        batch.lot if batch else "",
                    )
        press = Press(opened, Wanted(law))
        for menu in opened.kitchen.menus.values():
            yield from (Found("kitchen", file, tuple(told["dishes"]), law, opened.date) for file, told in press.planned(menu)
                        if told["mark"] == word)  # fmt: skip
