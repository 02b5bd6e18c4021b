"""``labeller releases``: the food data at hand, what another release would change in each dish, and accepting it."""

from __future__ import annotations

import argparse

from labeller.serving import show
from labeller.serving.cli import common
from labeller.serving.pipeline import Opened
from labeller.serving.releases import Offer, at_hand, offers
from labeller.serving.verbs_ask import opened
from labeller.serving.writing import not_written
from labeller.terms.findings import Place, finding
from labeller.terms.words import normalise

SHOWN = 6  # figures of a row that are named; the rest is counted


def arguments(verb: str, sub: argparse.ArgumentParser) -> None:
    common(sub)
    sub.add_argument("release", nargs="?", help="what this release would change (default: list the releases at hand)")
    sub.add_argument("--accept", action="append", default=[], metavar="INGREDIENT", help="pin this ingredient to the release")
    sub.add_argument("--accept-all", action="store_true", help="pin every ingredient that the release has")
    sub.add_argument("--by", default="", metavar="NAME", help="who accepts")
    sub.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    kitchen, code = opened(args)
    if kitchen is None:
        return code
    if not args.release:
        return _list(kitchen, args.format)
    names = [name for name, _ in kitchen.workshop.tables.foods.releases()]
    if args.release not in names:
        return show.refused(
            [finding("release-not-known", Place("command"), f"no release at hand is called \"{args.release}\"",
                     f"at hand: {', '.join(names)}; import others with labeller import")], args.format)  # fmt: skip
    found = offers(kitchen, args.release)
    if args.accept or args.accept_all:
        return _accept(kitchen, found, args)
    if args.format == "json":
        show.as_json([_json(each) for each in found])
    else:
        print("\n".join(_text(each) for each in found), end="")
        print(_tail(found, args.release))
    return 0


def _list(kitchen: Opened, form: str) -> int:
    rows = at_hand(kitchen)
    if form == "json":
        show.as_json([{"release": name, "date": date, "ingredients": number} for name, date, number in rows])
        return 0
    for name, date, number in rows:
        print(f"{name} ({date}): {number} ingredients rest on it")
    print("What one of them would change: labeller releases NAME")
    return 0


def _text(each: Offer) -> str:
    known = [f"{key} {old} -> {new}" for key, old, new in each.moves if old and new]
    gained = [key for key, old, _ in each.moves if not old]
    lost = [key for key, _, new in each.moves if not new]
    out = [f'{each.ingredient}: "{each.before.code}" {each.before.description} [{each.before.release}]',
           f'    would be "{each.after.code}" {each.after.description} [{each.after.release}]']  # fmt: skip
    if known:
        out.append(f"    per 100 g: {'; '.join(known[:SHOWN])}" + (f"; {len(known) - SHOWN} more" if len(known) > SHOWN else ""))
    if gained:
        out.append(f"    known there only: {_first_of(gained)}")
    if lost:
        out.append(f"    not known there: {_first_of(lost)}")
    for dish, moves in each.dishes:
        out.append(f"    {dish}: " + "; ".join(f"{key} {old} -> {new}" for key, old, new in moves))
    if not each.dishes:
        out.append("    no printed figure of a dish changes")
    if each.pinned:
        out.append(f'    pinned at {each.pinned}: write food: "{each.after.code}" there to take it')
    return "\n".join(out) + "\n"


def _first_of(keys: list[str]) -> str:
    return ", ".join(keys[:SHOWN]) + (f" and {len(keys) - SHOWN} more" if len(keys) > SHOWN else "")


def _tail(found: list[Offer], release: str) -> str:
    if not found:
        return f"{release} has nothing that would change an ingredient of this kitchen."
    dishes = {dish for each in found for dish, _ in each.dishes}
    return (f"{len(found)} ingredients have other figures in {release}; printed figures of {len(dishes)} dishes would change. "
            f"Nothing is taken over by itself.\n"
            f"Accept one: labeller releases \"{release}\" --accept INGREDIENT --by NAME, then labeller changes")  # fmt: skip


def _json(each: Offer) -> dict:
    def rows(moves) -> dict:
        return {key: {"before": old, "after": new} for key, old, new in moves}

    return {"ingredient": each.ingredient, "place": str(each.place), "pinned": each.pinned,
            "before": {"code": each.before.code, "description": each.before.description, "release": each.before.release},
            "after": {"code": each.after.code, "description": each.after.description, "release": each.after.release},
            "per_100g": rows(each.moves), "dishes": {dish: rows(moves) for dish, moves in each.dishes}}  # fmt: skip


def _accept(kitchen: Opened, found: list[Offer], args: argparse.Namespace) -> int:
    from labeller.reading.match_file import write_match

    if not args.by:
        nameless = finding("name-needed", Place("--by"), "a release is accepted by a person", "write --by NAME")
        return show.refused([nameless], args.format)
    by_name = {normalise(each.ingredient): each for each in found}
    wanted = list(by_name) if args.accept_all else [normalise(name) for name in args.accept]
    wrong = [_not_offered(name, args) for name in wanted if name not in by_name]
    if not args.accept_all:
        wrong += [_pinned(by_name[name]) for name in wanted if name in by_name and by_name[name].pinned]
    if wrong:
        return show.refused(wrong, args.format)
    taken = [by_name[name] for name in wanted if not by_name[name].pinned]
    try:
        for each in taken:
            write_match(kitchen.folder, each.ingredient, each.after.code, each.after.release, args.by, kitchen.date)
    except OSError as problem:
        return show.refused([not_written("matches.yaml", problem)], args.format)
    left = [each for each in found if each.pinned] if args.accept_all else []
    if args.format == "json":
        show.as_json({"accepted": [_json(each) for each in taken], "left": [_json(each) for each in left]})
        return 0
    for each in taken:
        new = each.after
        print(f'{each.ingredient}: now "{new.code}" {new.description} [{new.release}], accepted by {args.by}')
    for each in left:
        print(f'{each.ingredient}: pinned at {each.pinned}, left as it is; write food: "{each.after.code}" there to take it')
    return 0


def _not_offered(name: str, args: argparse.Namespace):
    return finding("row-not-in-release", Place("--accept"), f"\"{name}\" has no other figures in {args.release}",
                   f"see: labeller releases \"{args.release}\"")  # fmt: skip


def _pinned(each: Offer):
    return finding("row-pinned-elsewhere", Place("--accept"), f"\"{each.ingredient}\" has its row pinned at {each.pinned}",
                   f"write food: \"{each.after.code}\" there")  # fmt: skip
