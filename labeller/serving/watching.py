"""``labeller check --watch``: the kitchen is checked again whenever a file is saved, and what changed in the findings is told.

The whole kitchen is read again (that is fast); a recipe is worked out again only when something it rests on has changed: its own
lines and those of what it is made of, what their names mean, the equipment they share with others, the day's batch, the house.
Findings are compared by what they say, not by their line numbers, so that a blank line more is not news.
"""

from __future__ import annotations

import os
import time
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import NamedTuple

from msgspec import Struct

from labeller.serving.pipeline import Opened, batch_of, everything_found, found_of, open_kitchen
from labeller.serving.tables import Tables
from labeller.terms.findings import NOWHERE, STOP, Finding, Place
from labeller.terms.kitchen import Recipe

EVERY = 0.2  # seconds between two looks at the files
SETTLED = 0.05  # an editor may write in two steps
IGNORED = ("out", "issued", "templates", "schema")
DATA = "foods.sqlite"
Said = tuple[str, str, str]  # code, subject and text: what a finding says


More = Callable[[Opened], tuple[Finding, ...]]


class Seen(NamedTuple):
    """One check. findings: all of them; of those that were kept from before, line numbers may be of an earlier save. new, gone:
    since the check before (all of them are new at the first). worked: recipes that were worked out again."""

    findings: tuple[Finding, ...]
    new: tuple[Finding, ...]
    gone: tuple[Finding, ...]
    opened: Opened
    worked: int


class Watch:
    """Checks one kitchen again and again. law: "" for the kitchen's own. more: further findings of an opened kitchen."""

    def __init__(self, folder: Path, date: str, law: str = "", more: More = lambda opened: ()) -> None:
        self.folder, self.date, self.law, self._more = folder, date, law, more
        self._tables = Tables(folder)
        self._data = _stamp(folder / DATA)
        self._before: dict[Said, Finding] = {}
        self._kept: dict[str, tuple[object, tuple[Finding, ...]]] = {}
        self._editions = _Editions()

    def check(self) -> Seen:
        """Read, work out what has changed, compare with the check before. Never raises for what a cook may have typed."""
        data = _stamp(self.folder / DATA)
        if data != self._data:
            self._tables, self._data, self._kept = Tables(self.folder), data, {}
        opened = open_kitchen(self.folder, self.date, self._tables)
        worked = 0
        if opened.workshop is None:
            found = opened.findings
        else:
            grounds = _Grounds(opened, self._editions)
            kept: dict[str, tuple[object, tuple[Finding, ...]]] = {}

            def found_in(kitchen: Opened, recipe: Recipe, law: str) -> tuple[Finding, ...]:
                nonlocal worked
                key = (law, self.date, grounds.of(recipe))
                before = self._kept.get(recipe.name)
                if before is None or before[0] != key:
                    worked += 1
                    before = key, found_of(kitchen, recipe, law)
                kept[recipe.name] = before
                return before[1]

            found = (*everything_found(opened, self.law or None, found_in), *self._more(opened))
            self._kept = kept
        now: dict[Said, Finding] = {}
        for each in found:
            now.setdefault(_said(each), each)
        new = tuple(each for said, each in now.items() if said not in self._before)
        gone = tuple(each for said, each in self._before.items() if said not in now)
        self._before = now
        return Seen(tuple(now.values()), new, gone, opened, worked)


def _said(each: Finding) -> Said:
    return each.code, each.subject, each.text


class _Editions:
    """Numbers the contents that a name has had: a number stays while the content, its places aside, stays."""

    def __init__(self) -> None:
        self._seen: dict[tuple[str, str], tuple[Struct, object, int]] = {}

    def of(self, kind: str, name: str, entry: Struct) -> int:
        before = self._seen.get((kind, name))
        if before is not None and before[0] == entry:
            return before[2]
        content = bare(entry)
        number = before[2] if before is not None and before[1] == content else (before[2] if before else 0) + 1
        self._seen[kind, name] = entry, content, number
        return number


def bare(value: object) -> object:
    """A value without its places in the files, as plain tuples."""
    if isinstance(value, Place):
        return NOWHERE
    if isinstance(value, Struct):
        return (type(value).__name__, *(bare(getattr(value, field)) for field in value.__struct_fields__))
    if isinstance(value, tuple):
        return tuple(bare(each) for each in value)
    if isinstance(value, dict):
        return tuple((key, bare(each)) for key, each in value.items())
    return value


class _Grounds:
    """What each recipe of one opened kitchen rests on, as a value that is equal while nothing of it has changed."""

    def __init__(self, opened: Opened, editions: _Editions) -> None:
        self.opened, self.editions = opened, editions
        kitchen = opened.kitchen
        self._house = bare(
            tuple(
                getattr(kitchen, field)
                for field in kitchen.__struct_fields__
                if field not in ("equipment", "products", "recipes", "menus", "batches", "matches", "version", "files")
            )
        )
        if opened.workshop.days and opened.workshop.days.any():
            self._house = (self._house, kitchen.version)  # what another day left behind may come from any file
        self._told: dict[str, list[Said]] = {}
        for each in opened.findings:
            self._told.setdefault(each.subject, []).append(_said(each))
        self._everywhere = tuple(
            _said(each) for each in opened.findings if not each.subject and each.severity == STOP and each.blocks == "all"
        )
        self._names: dict[tuple[str, str], tuple] = {}
        self._stuff: dict[str, tuple] = {}
        self._equipment: dict[str, object] = {}

    def of(self, recipe: Recipe) -> tuple:
        family = self.opened.workshop.family(recipe)
        equipment = sorted({name for each in family.values() for name in each.equipment or ()})
        batch = batch_of(self.opened, recipe) if recipe.kind != "recipe" else None
        return (
            self._house,
            self._everywhere,
            self._made_of(recipe),
            tuple(self._shared(name) for name in equipment),
            tuple(self._mate(name) for each in family.values() for name in self.opened.workshop.mates(each)),
            bare(batch),
            tuple(self._told_of(family, equipment)),
        )

    def _made_of(self, recipe: Recipe) -> tuple:
        """Editions of the recipe and of all it is made of, and what each name in them means."""
        if recipe.name not in self._stuff:
            family = self.opened.workshop.family(recipe)
            self._stuff[recipe.name] = tuple(
                (name, self.editions.of("recipe", name, each), self._lines(each)) for name, each in family.items()
            )
        return self._stuff[recipe.name]

    def _lines(self, recipe: Recipe) -> tuple:
        found = tuple(self._name(line.name, line.food, line.place) for line in recipe.lines)
        fried = recipe.fried_in
        return (*found, self._name(fried.oil, fried.food, fried.place)) if fried else found

    def _name(self, name: str, pin: str, place: Place) -> tuple:
        if (name, pin) not in self._names:
            meaning = self.opened.workshop.names.meaning(name, pin, place)
            product = meaning.product
            edition = self.editions.of("product", product.name, product) if product else 0
            self._names[name, pin] = (
                name,
                pin,
                meaning.ref.kind,
                meaning.ref.key,
                edition,
                meaning.food.code if meaning.food else "",
                meaning.single,
                meaning.how,
                meaning.of_trimmed,
                meaning.stand_in,
                tuple(_said(each) for each in meaning.findings),
            )
            if meaning.of_trimmed:
                self._names[name, pin] += (self._name(meaning.of_trimmed, "", place),)
        return self._names[name, pin]

    def _shared(self, name: str) -> object:
        """A piece of equipment and everything that goes into it, over the whole kitchen."""
        kitchen = self.opened.kitchen
        if name not in self._equipment:
            sharing = [recipe for recipe in kitchen.recipes.values() if name in (recipe.equipment or ())]
            users = tuple(self._made_of(recipe) for recipe in sharing)
            equipment = kitchen.equipment.get(name)
            cooked = equipment.also_cooks if equipment else ()
            sharing += [recipe for each in cooked if (recipe := self.opened.workshop.names.recipe(each))]
            families = {key: one for recipe in sharing for key, one in self.opened.workshop.family(recipe).items()}
            also = tuple(self._mate(each) for each in cooked)
            named = [word for each in also for word in each[:4:3] if isinstance(word, str)]
            self._equipment[name] = (bare(equipment), users, also, tuple(self._told_of(families, named)))
        return self._equipment[name]

    def _mate(self, name: str) -> tuple:
        recipe = self.opened.workshop.names.recipe(name)
        return self._made_of(recipe) if recipe is not None else self._name(name, "", NOWHERE)

    def _told_of(self, family: dict[str, Recipe], equipment: Iterable[str]) -> Iterator[Said]:
        """What the reading said of these recipes, of their lines and of what their names mean."""
        words = dict.fromkeys((*family, *equipment))
        for each in family.values():
            for entry in self._lines(each):
                words |= {entry[0]: None, entry[3]: None}
        for word in words:
            yield from self._told.get(word, ())


# -- following the files ---------------------------------------------------------------------------------------------------


def stamps(folder: Path) -> dict[str, tuple[int, int, int]]:
    """File -> (time of change, size, inode) of everything in a kitchen that is read."""
    found: dict[str, tuple[int, int, int]] = {}
    ahead = [str(folder)]
    while ahead:
        where = ahead.pop()
        try:
            with os.scandir(where) as entries:
                for entry in entries:
                    if entry.name.startswith((".", "~")) or (where == str(folder) and entry.name in IGNORED):
                        continue
                    if entry.is_dir():
                        ahead.append(entry.path)
                    else:
                        found[entry.path] = _stamp(entry)
        except OSError:  # a folder that has just gone
            continue
    return found


def _stamp(path: Path | os.DirEntry) -> tuple[int, int, int]:
    try:
        told = path.stat()
    except OSError:
        return 0, 0, 0
    return told.st_mtime_ns, told.st_size, told.st_ino


def follow(
    watch: Watch, tell: Callable[[Seen, float], None], wait: Callable[[float], None] = time.sleep, rounds: int | None = None
) -> None:
    """Check once, then after every save, for ever (or for so many looks). tell: is given each check and the seconds it took."""
    before = stamps(watch.folder)
    _checked(watch, tell)
    looked = 0
    while rounds is None or looked < rounds:
        looked += 1
        wait(EVERY)
        now = stamps(watch.folder)
        if now == before:
            continue
        while True:  # until an editor has done with it
            wait(SETTLED)
            again = stamps(watch.folder)
            if again == now:
                break
            now = again
        before = now
        _checked(watch, tell)


def _checked(watch: Watch, tell: Callable[[Seen, float], None]) -> None:
    start = time.perf_counter()
    seen = watch.check()
    tell(seen, time.perf_counter() - start)


def counts(findings: Iterable[Finding]) -> str:
    count = Counter(each.severity for each in findings)
    return (
        ", ".join(
            f"{count[weight]} {weight}{'s' if count[weight] > 1 else ''}" for weight in ("stop", "doubt", "note") if count[weight]
        )
        or "nothing"
    )


def run(folder: Path, date: str, law: str, only: str, form: str, more: More, rounds: int | None = None) -> int:
    """``check --watch``: everything once, then what is new and what is gone after each save, until it is stopped."""
    first = [True]

    def tell(seen: Seen, seconds: float) -> None:
        (_tell_json if form == "json" else _tell_text)(seen, seconds, only, first[0])
        first[0] = False

    follow(Watch(folder, date, law, more), tell, rounds=rounds)
    return 0


def _wanted(findings: Iterable[Finding], only: str) -> list[Finding]:
    return [each for each in findings if not only or each.severity == only]


def _tell_json(seen: Seen, seconds: float, only: str, first: bool) -> None:
    import json

    print(
        json.dumps(
            {
                "seconds": round(seconds, 3),
                "new": [each.as_json() for each in _wanted(seen.new, only)],
                "gone": [each.as_json() for each in _wanted(seen.gone, only)],
                "counts": dict(Counter(each.severity for each in seen.findings)),
            },
            ensure_ascii=False,
        ),
        flush=True,
    )


def _tell_text(seen: Seen, seconds: float, only: str, first: bool) -> None:
    from labeller.serving import show

    new, gone = _wanted(seen.new, only), _wanted(seen.gone, only)
    if not first:
        print(f"-- saved {time.strftime('%H:%M:%S')} " + "-" * 40)
    if new:
        print(show.findings_text(new), end="")
    for each in gone:
        print(f"gone: {each.code}: {each.text}")
    told = "" if first else f"{len(new)} new, {len(gone)} gone; "
    print(f"{told}now {counts(seen.findings)} ({seconds:.2f} s). Watching {seen.opened.folder}; stop with Ctrl+C.", flush=True)
