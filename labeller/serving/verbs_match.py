"""``labeller match``: settle ingredients against the food data; a person confirms, the tool writes matches.yaml."""

from __future__ import annotations

import argparse
import sys

from labeller.serving import show
from labeller.serving.cli import common
from labeller.serving.pipeline import Opened
from labeller.serving.verbs_ask import opened
from labeller.serving.writing import not_written
from labeller.terms.findings import Place, finding


def arguments(verb: str, sub: argparse.ArgumentParser) -> None:
    common(sub)
    sub.add_argument("--set", nargs=2, metavar=("INGREDIENT", "CODE"),
                     help='confirm one match, such as: --set "crème fraîche" 01056')  # fmt: skip
    sub.add_argument("--by", default="", metavar="NAME", help="who confirms (asked for when something is confirmed)")
    sub.add_argument("--all", action="store_true", help="list settled ingredients too")
    sub.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    kitchen, code = opened(args)
    if kitchen is None:
        return code
    if args.set:
        return _confirm(kitchen, *args.set, args.by, args.format)
    rows = table(kitchen)
    if args.format == "json":
        show.as_json(rows if args.all else [row for row in rows if not row["code"]])
        return 0
    open_rows = [row for row in rows if not row["code"]]
    for row in rows if args.all else ():
        if row["code"]:
            print(f'{row["ingredient"]}: "{row["code"]}" {row["description"]}  ({row["how"]})')
    if not open_rows:
        print(f"All {len(rows)} ingredients are settled.")
        return 0
    if sys.stdin.isatty():
        return _ask(kitchen, open_rows, args.by)
    _offer(open_rows)
    return 0


def _offer(open_rows: list[dict]) -> None:
    for row in open_rows:
        print(f'\n{row["ingredient"]}: not settled; nearest rows:')
        for each in row["candidates"]:
            print(f'    "{each["code"]}"  {each["description"]}')
    print('\nConfirm one with: labeller match --set "INGREDIENT" CODE --by NAME')


def table(kitchen: Opened) -> list[dict]:
    """Every ingredient that is no recipe, with its row or with candidates."""
    workshop, rows, seen = kitchen.workshop, [], set()
    for recipe in kitchen.kitchen.recipes.values():
        for line in recipe.lines:
            meaning = workshop.meaning(line)
            if meaning.ref.kind == "recipe" or meaning.ref in seen:
                continue
            seen.add(meaning.ref)
            food = meaning.food
            own = bool(meaning.product and meaning.product.nutrition)
            rows.append({
                "ingredient": line.name, "place": str(line.place), "code": food.code if food else ("label" if own else ""),
                "description": food.description if food else ("figures of its label" if own else ""), "how": meaning.how,
                "candidates": [] if food or own else
                              [{"code": each.code, "description": each.description, "score": round(each.score, 3)}
                               for each in workshop.tables.shelf.candidates(line.name, 8, workshop.tables.names)]})  # fmt: skip
    return rows


def _confirm(kitchen: Opened, name: str, code: str, by: str, form: str) -> int:
    from labeller.reading.match_file import write_match

    food = kitchen.workshop.tables.foods.get(code)
    if food is None:
        return show.refused([finding("unknown-food-code", Place("--set"), f"\"{code}\" is no row of the food table",
                                     "look it up: labeller foods WORDS")], form)  # fmt: skip
    if not by:
        return show.refused([finding("name-needed", Place("--by"), "a match is confirmed by a person", "write --by NAME")], form)
    try:
        path = write_match(kitchen.folder, name, food.code, food.release, by, kitchen.date)
    except OSError as problem:
        return show.refused([not_written("matches.yaml", problem)], form)
    if form == "json":
        show.as_json({"ingredient": name, "food": food.code, "release": food.release, "by": by, "date": kitchen.date,
                      "file": str(path)})  # fmt: skip
    else:
        print(f'{name}: "{food.code}" {food.description}, confirmed by {by}, written to {path}')
    return 0


def _ask(kitchen: Opened, rows: list[dict], by: str) -> int:
    """Question by question at a terminal; an empty answer leaves a name open."""
    by = by or input("Who confirms (name or initials)? ").strip()
    for row in rows:
        print(f'\n{row["ingredient"]}  ({row["place"]})')
        for nr, each in enumerate(row["candidates"], 1):
            print(f'  {nr}  {each["description"]}  "{each["code"]}"')
        said = input("number, a food code, or Enter to leave it open: ").strip()
        if not said:
            continue
        picked = row["candidates"][int(said) - 1]["code"] if said.isdigit() and 0 < int(said) <= len(row["candidates"]) else said
        _confirm(kitchen, row["ingredient"], picked, by, "text")
    return 0
