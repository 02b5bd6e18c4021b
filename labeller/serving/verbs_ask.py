"""``labeller check``, ``declare`` and ``why``."""

from __future__ import annotations

import argparse

from labeller.serving import show
from labeller.serving.cli import common
from labeller.serving.label_checks import NOT_READ, TAKEN_ON
from labeller.serving.pipeline import (
    Opened,
    any_stop,
    batch_of,
    declared,
    dishes,
    everything_found,
    open_kitchen,
    ordered,
    recipe_named,
)
from labeller.terms.findings import Finding, Place, finding
from labeller.terms.floor import NO_ANSWER
from labeller.terms.kitchen import Recipe
from labeller.terms.record import Declaration


def arguments(verb: str, sub: argparse.ArgumentParser) -> None:
    common(sub, law=True)
    if verb == "check":
        sub.set_defaults(run=check)
        sub.add_argument("--only", choices=("stop", "doubt", "note"), help="show findings of one weight only")
        sub.add_argument("--watch", action="store_true", help="check again at every save, and tell what changed")
        return
    if verb == "why":
        sub.add_argument("dish", help="name of a dish, pack or recipe")
        sub.add_argument("figure", help="a figure (fat_g, salt_g …) or an allergen (milk, wheat …)")
        sub.add_argument("--depth", type=int, metavar="N", help="show N levels below the first line (default: all)")
        sub.set_defaults(run=why)
        return
    sub.add_argument("dish", nargs="?", help="name of a dish, pack or recipe")
    sub.add_argument("--all", action="store_true", help="every dish and pack (json: an array)")
    sub.add_argument("--menu", default="", help="only dishes of this menu")
    sub.add_argument("--language", default="en", help="language of the declaration (default: en)")
    sub.set_defaults(run=declare)


def opened(args: argparse.Namespace) -> tuple[Opened | None, int]:
    """The kitchen asked for, or the exit code when it can't be read."""
    date, wrong = show.date_of(args.date)
    if wrong:
        return None, show.refused([wrong], args.format)
    kitchen = open_kitchen(args.kitchen, date)
    if kitchen.workshop is None:
        return None, show.refused(kitchen.findings, args.format)
    return kitchen, 0


def recipe_of(kitchen: Opened, name: str) -> tuple[Recipe | None, Finding | None]:
    recipe = recipe_named(kitchen, name)
    if recipe is not None:
        return recipe, None
    from difflib import get_close_matches

    near = get_close_matches(name, list(kitchen.kitchen.recipes), n=3, cutoff=0.4)
    mend = f"did you mean {' or '.join(near)}?" if near else "use a name of recipes/"
    return None, finding("dish-not-known", Place(str(kitchen.folder)), f'no dish, pack or recipe is called "{name}"', mend)


def check(args: argparse.Namespace) -> int:
    kitchen, code = opened(args)
    if kitchen is None:
        return code
    if args.watch:
        from labeller.serving.watching import run

        return run(args.kitchen, kitchen.date, args.law, args.only or "", args.format, _register_findings)
    found = ordered((*everything_found(kitchen, args.law or None), *_register_findings(kitchen)))
    shown = tuple(each for each in found if not args.only or each.severity == args.only)
    if args.format == "json":
        show.as_json([each.as_json() for each in shown])
    else:
        print(show.findings_text(shown), end="")
        print(
            f"{kitchen.kitchen.name}, {len(dishes(kitchen.kitchen))} dishes and packs, checked for {kitchen.date}: "
            f"{show.summary(found)}"
        )
        _say_not_settled(kitchen, found)
    return 1 if any_stop(found) else 0


def _register_findings(kitchen: Opened) -> tuple[Finding, ...]:
    """Sign-offs that are not as they were written."""
    from labeller.reading.issued import read_register

    return read_register(kitchen.folder).findings


def _say_not_settled(kitchen: Opened, found: tuple[Finding, ...]) -> None:
    unread = sorted({each.subject for each in found if each.code == "unread-product"})
    if unread:
        print(f"Not confirmed for any allergen until somebody reads their packs: {' · '.join(unread)}.")
    stopped = sorted({dish for each in found if each.severity == "stop" and each.blocks == "all" for dish in each.dishes})
    if stopped:
        print(f"No answer is given for: {' · '.join(stopped)}.")
    held = sorted({each.subject for each in found if each.code == NOT_READ or each.code in TAKEN_ON} - set(stopped))
    if held:
        print(f"No label is printed for: {' · '.join(held)}.")


def wanted(args: argparse.Namespace, kitchen: Opened) -> tuple[tuple[Recipe, ...], Finding | None]:
    """The recipes a command asks about: one by name, all of a menu, or all."""
    if args.dish:
        recipe, wrong = recipe_of(kitchen, args.dish)
        return ((recipe,) if recipe else ()), wrong
    if args.menu:
        menu = kitchen.kitchen.menus.get(args.menu)
        if menu is None:
            names = ", ".join(kitchen.kitchen.menus) or "none is written"
            return (), finding(
                "menu-not-known", Place(str(kitchen.folder)), f'no menu is called "{args.menu}"', f"menus: {names}"
            )
        found = [kitchen.workshop.names.recipe(name) for name in menu.dishes()]
        return tuple(recipe for recipe in found if recipe), None
    return dishes(kitchen.kitchen), None


def declare(args: argparse.Namespace) -> int:
    kitchen, code = opened(args)
    if kitchen is None:
        return code
    if not args.dish and not args.all and not args.menu:
        return show.refused(
            [finding("dish-not-known", Place("command"), "no dish was named", "name a dish, or write --all")], args.format
        )
    recipes, wrong = wanted(args, kitchen)
    if wrong:
        return show.refused([wrong], args.format)
    made: list[Declaration] = []
    for recipe in recipes:
        one, findings = declared(kitchen, recipe, args.law or kitchen.kitchen.law, args.language, batch_of(kitchen, recipe))
        if one is None:
            return show.refused(findings, args.format)
        made.append(one)
    if args.format == "json":
        from labeller.declaring.published import as_json

        show.as_json([as_json(each) for each in made] if args.all or not args.dish else as_json(made[0]))
    else:
        print("\n".join(show.declaration_text(each) for each in made), end="")
    return 1 if any(each.stopped for each in made) else 0


def why(args: argparse.Namespace) -> int:
    from labeller.serving.why import allergen_steps, cut, figure_steps

    kitchen, code = opened(args)
    if kitchen is None:
        return code
    recipe, wrong = recipe_of(kitchen, args.dish)
    if wrong:
        return show.refused([wrong], args.format)
    made, findings = declared(kitchen, recipe, args.law or kitchen.kitchen.law, batch=batch_of(kitchen, recipe))
    if made is None:
        return show.refused(findings, args.format)
    steps = allergen_steps(kitchen, recipe, args.figure) or (
        None if made.record.middle is None else figure_steps(kitchen, recipe, made, args.figure)
    )
    if steps is None:
        keys = ", ".join(row.key for row in made.rows) or f"none, {NO_ANSWER} (see labeller check)"
        return show.refused(
            [
                finding(
                    "figure-not-known",
                    Place("command"),
                    f'"{args.figure}" is neither a figure nor an allergen of {recipe.name}',
                    f"figures: {keys}; allergens: milk, wheat, cod …",
                )
            ],
            args.format,
        )
    steps = steps if args.depth is None else cut(steps, max(0, args.depth))
    if args.format == "json":
        show.as_json(steps.as_json())
    else:
        print("\n".join(steps.lines()))
    return 0
