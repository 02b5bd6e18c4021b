"""``labeller compare`` (looks only) and ``labeller replace`` (does it for one day)."""

from __future__ import annotations

import argparse
import textwrap
from collections.abc import Mapping
from pathlib import Path

from labeller.reading.issued import read_prints
from labeller.serving import show
from labeller.serving.cli import common
from labeller.serving.exchange import Difference, compared, users
from labeller.serving.made import on_record
from labeller.serving.pipeline import Opened, open_kitchen
from labeller.serving.printed import LIST
from labeller.serving.verbs_ask import opened
from labeller.serving.void_words import again, moved_lines
from labeller.serving.writing import aside, not_written, slug, write
from labeller.terms.findings import Finding, Place, finding
from labeller.terms.words import normalise

WARNING = {"may_contain": "a supplier's warning: may contain", "cross_contact": "a warning: shared equipment"}
LOOKED_UP = ("-floor.html", "-ticket")  # these show what a dish can be made of instead, which no record does


def arguments(verb: str, sub: argparse.ArgumentParser) -> None:
    sub.add_argument("old", help="ingredient or product in use, as the recipes name it")
    sub.add_argument("new", help="what would stand in its place")
    if verb == "replace":
        sub.add_argument(
            "--for", dest="until", default="tonight", choices=("tonight",), metavar="tonight",
            help="for this date only; it falls back after",
        )
        sub.add_argument("--by", default="", metavar="NAME", help="who decided it")
        sub.set_defaults(run=replace)
    else:
        sub.set_defaults(run=compare)
    common(sub)


def unknown_names(kitchen: Opened, old: str, new: str) -> list[Finding]:
    """What is wrong with the two names of an exchange; [] when both are known."""
    found = []
    place = Place(str(kitchen.folder))
    if not users(kitchen, old) and kitchen.workshop.names.product(old) is None:
        found.append(finding("product-not-known", place, f'no recipe uses "{old}"', "use the name as the recipes have it"))
    known = kitchen.workshop.names.product(new) or kitchen.workshop.names.recipe(new)
    if known is None and normalise(new) not in kitchen.workshop.tables.names:
        found.append(
            finding(
                "product-not-known",
                place,
                f'"{new}" is no product, recipe or known ingredient',
                "write it in products/ first, with its pack or specification",
            )
        )
    return found


def _looked_at(args: argparse.Namespace) -> tuple[Opened | None, tuple[Difference, ...], int]:
    """The kitchen and what the exchange would change in it; None and the exit code where that can't be told."""
    kitchen, code = opened(args)
    if kitchen is None:
        return None, (), code
    wrong = unknown_names(kitchen, args.old, args.new)
    if wrong:
        return None, (), show.refused(wrong, args.format)
    return kitchen, compared(kitchen, args.old, args.new), 0


def compare(args: argparse.Namespace) -> int:
    kitchen, found, code = _looked_at(args)
    if kitchen is None:
        return code
    if args.format == "json":
        show.as_json({"old": args.old, "new": args.new, "date": kitchen.date, "dishes": [_json(each) for each in found]})
    else:
        print(_text(kitchen, args.old, args.new, found))
    return 0


def _json(each: Difference) -> dict:
    return {
        "dish": each.dish,
        "adds": [{"kind": key, "state": state} for key, state in each.gains],
        "loses": [{"kind": key, "state": state} for key, state in each.loses],
        "left_unknown": list(each.unknown),
        "menus": list(each.menus),
        "figures_moved": {key: [was, now] for key, was, now in each.figures},
        "stopped": each.stopped,
    }


def _text(
    kitchen: Opened, old: str, new: str, found: tuple[Difference, ...], done: str = "Looked at only; nothing was changed."
) -> str:
    kinds = kitchen.workshop.tables.kinds
    out = [f"{new} in place of {old}: {len(found)} dishes and packs touched", ""]
    for each in found:
        out.append(each.dish + (f"   (on {' · '.join(each.menus)})" if each.menus else ""))
        if each.stopped:
            out.append("    NO ANSWER would be given for it; see labeller check after the change")
        for word, rows in (("adds", each.gains), ("loses", each.loses)):
            if rows:
                text = f"{word}: " + ", ".join(
                    f"{kinds[key].name} ({WARNING.get(state, state.replace('_', ' '))})" for key, state in rows
                )
                out += textwrap.wrap(text, show.WIDTH, initial_indent="    ", subsequent_indent="      ")
        if each.unknown:
            text = f"leaves unknown: {', '.join(kinds[key].name for key in each.unknown)}"
            out += textwrap.wrap(text, show.WIDTH, initial_indent="    ", subsequent_indent="      ")
        if each.figures:
            out.append("    figures per portion: " + ", ".join(f"{key} {was:.3g} -> {now:.3g}" for key, was, now in each.figures))
        if each.same:
            out.append("    no allergen changes on record")
    return "\n".join([*out, "", done])


def replace(args: argparse.Namespace) -> int:
    kitchen, found, code = _looked_at(args)
    if kitchen is None:
        return code
    file = kitchen.folder / "batches" / f"{kitchen.date}-instead-of-{slug(args.old)}.yaml"
    listed = read_prints(kitchen.folder / "out" / LIST)
    try:
        path = write(file, batch_text(kitchen, args.old, args.new, args.by))
        void = void_prints(kitchen, found)
    except OSError as problem:
        return show.refused([not_written("batches", problem)], args.format)
    if args.format == "json":
        show.as_json({"written": str(path), "void": [str(each) for each in void], "dishes": [_json(each) for each in found]})
        return 0
    print(_text(kitchen, args.old, args.new, found, f"Written to {path}; it falls back after {kitchen.date}."))
    print(
        "\n".join(
            [
                "",
                "Prints that no longer hold, moved aside; take the paper down:" if void else "No print had to be moved aside.",
                *moved_lines(void, listed),
            ]
        )
    )
    print("\n".join([*_asked_of(kitchen, found), f"Print again: {again(kitchen, 'print all')}"]))
    return 0


def _asked_of(kitchen: Opened, found: tuple[Difference, ...]) -> list[str]:
    """What the kitchen has to say of batches that were on record before the replacement."""
    now = open_kitchen(kitchen.folder, kitchen.date, kitchen.workshop.tables)
    out = []
    for batch, recipe in on_record(now.workshop, [each.dish for each in found]) if now.workshop is not None else ():
        count = f"{batch.count} x " if batch.count else ""
        text = f"{batch.name}: {count}{recipe.name} was on record already ({batch.place}). It has no answer and no label "
        text += "until the batch says with which it was made; see labeller check."
        out += textwrap.wrap(text, show.WIDTH, subsequent_indent="  ")
    return ["", *out] if out else []


def batch_text(kitchen: Opened, asked: str, new: str, by: str) -> str:
    """The batch file of a replacement for the opened date. asked: the name replaced, in any spelling."""

    def quoted(text: str) -> str:
        return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'

    names = [line.name for recipe in kitchen.kitchen.recipes.values() for line in recipe.lines]
    old = next((name for name in names if normalise(name) == normalise(asked)), asked)
    made_by = f"\n  made by: {quoted(by)}" if by else ""
    return (
        f"# Written by labeller replace; in force on {kitchen.date} only.\n"
        f"- batch: {quoted(f'{new} instead of {old}, {kitchen.date}')}\n"
        f"  date: {kitchen.date}\n  substitutes:\n    {quoted(old)}: {quoted(new)}{made_by}\n"
    )


def void_prints(kitchen: Opened, found: tuple[Difference, ...]) -> list[Path]:
    """Move aside the prints that no longer hold now that the replacement is written: those on the list of prints as they stand,
    and of those that are not on it the ones named after a dish or menu touched. Their new places. Raises OSError."""
    from labeller.reading.issued import read_register
    from labeller.serving import standing

    out = kitchen.folder / "out"
    now = open_kitchen(kitchen.folder, kitchen.date, kitchen.workshop.tables)
    if now.workshop is None:
        return []
    void = standing.void_prints(now, read_register(kitchen.folder), out)
    listed, dishes = read_prints(out / LIST), {each.dish for each in found}
    void += [
        standing.Void(file, "it shows what can be made instead")
        for file, entry in listed.items()
        if any(word in file for word in LOOKED_UP)
        and dishes & set(entry.get("dishes", {}))
        and file not in {each.file for each in void}
    ]
    moved = standing.void_aside(out, [each for each in void if not _of_another_day(now, listed.get(each.file, {}))])
    stems = {slug(each.dish) for each in found} | {slug(menu) for each in found for menu in each.menus}
    unlisted = [out / each.file for each in void if not each.listed]
    named = [path for path in unlisted if any(path.stem == stem or path.stem.startswith(f"{stem}-") for stem in stems)]
    return moved + [target for path in named if (target := aside(path))]


def _of_another_day(kitchen: Opened, entry: Mapping) -> bool:
    """Labels of batches that are all of another day than the replacement: they say what is in those."""
    from labeller.serving.standing import packs_of

    batches = [kitchen.kitchen.batches.get(str(pack.get("batch", ""))) for pack in packs_of(entry).values()]
    return bool(batches) and all(batch is not None and batch.date != kitchen.date for batch in batches)
