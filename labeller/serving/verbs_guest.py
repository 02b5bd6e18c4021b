"""``labeller guest``: one guest or a table seat by seat, over a whole menu course by course."""

from __future__ import annotations

import argparse
import textwrap

from labeller.serving import guest, show
from labeller.serving.cli import common
from labeller.serving.pipeline import Opened, recipe_named
from labeller.serving.seats import Seat, seat, seats
from labeller.serving.since_signed import asked_again, lost_since
from labeller.serving.verbs_ask import opened
from labeller.terms.allergens import NOT_CONFIRMED, RANK, TO_CONFIRM
from labeller.terms.findings import Finding, Place, finding
from labeller.terms.floor import CAUTION, Answer, together, with_state_names
from labeller.terms.kitchen import Menu
from labeller.terms.words import normalise


def arguments(verb: str, sub: argparse.ArgumentParser) -> None:
    common(sub)
    sub.add_argument(
        "--avoid",
        action="append",
        default=[],
        metavar="WORDS",
        help='what the guest avoids: "celery, sesame", or of one seat "3: celery"; again for each seat',
    )
    sub.add_argument(
        "--ask", default="", metavar="WORD", help="a fact beyond allergens: raw, milk, alcohol, smoked … as recorded, no advice"
    )
    sub.add_argument("--menu", default="", help="which menu (default: the one of the date)")
    sub.add_argument("--dish", default="", help="only this dish")
    sub.set_defaults(run=run)


__all__ = ["CAUTION", "menu_of", "seat"]  # the local page takes them from here


def menu_of(kitchen: Opened, name: str) -> tuple[Menu | None, Finding | None]:
    """The menu named, else the one that covers the date; all dishes as one menu where the kitchen has none."""
    menus = kitchen.kitchen.menus
    if name:
        if name in menus:
            return menus[name], None
        return None, finding(
            "menu-not-known", Place(str(kitchen.folder)), f'no menu is called "{name}"', f"menus: {', '.join(menus) or 'none'}"
        )
    covering = [menu for menu in menus.values() if menu.starts <= kitchen.date <= (menu.ends or "9999")]
    if len(covering) == 1:
        return covering[0], None
    what = "no menu covers" if not covering else "several menus cover"
    known = " · ".join(f"{menu.name} ({menu.starts} to {menu.ends})" for menu in menus.values())
    return None, finding(
        "menu-not-known",
        Place(str(kitchen.folder)),
        f"{what} {kitchen.date}",
        f"write --menu NAME or --date; menus: {known}",
    )


def run(args: argparse.Namespace) -> int:
    kitchen, code = opened(args)
    if kitchen is None:
        return code
    menu, wrong = menu_of(kitchen, args.menu)
    if wrong:
        return show.refused([wrong], args.format)
    dish, wrong = _dish(kitchen, menu, args.dish)
    if wrong:
        return show.refused([wrong], args.format)
    if args.ask:
        return _asked(kitchen, menu, args.ask, args.format, dish)
    if not args.avoid:
        return show.refused(
            [
                finding(
                    "word-not-known", Place("--avoid"), "nothing was asked", 'write --avoid "celery, sesame" or --ask "raw egg"'
                )
            ],
            args.format,
        )
    called, problems = seats(kitchen, args.avoid)
    if problems:
        return show.refused(problems, args.format)
    floor = guest.prepared(kitchen.workshop, menu)
    lost, kinds = lost_since(kitchen, menu), kitchen.workshop.tables.kinds
    asked = ((one, guest.answers(kitchen.workshop, menu, one.avoided, floor)) for one in called)
    answered = [(one, _only(asked_again(found, one.avoided, lost, kinds), dish)) for one, found in asked]
    if args.format == "json":
        show.as_json(_json(kitchen, menu, answered))
    else:
        print("\n".join(_text(kitchen, menu, len(answered) > 1, *each) for each in answered))
    return 0


def _dish(kitchen: Opened, menu: Menu, name: str) -> tuple[str, Finding | None]:
    """The dish as the menu names it, "" for all; a name that is not on the menu is a finding with the names near it."""
    if not name:
        return "", None
    from difflib import get_close_matches

    names = kitchen.workshop.names
    recipe = recipe_named(kitchen, name)
    on_menu = {each: names.recipe(each) for each in menu.dishes()}
    for each, its in on_menu.items():
        if normalise(each) == normalise(name) or (recipe is not None and its is recipe):
            return each, None
    near = get_close_matches(name.lower(), {each.lower(): each for each in on_menu}, n=3, cutoff=0.4)
    offered = [each for each in on_menu if each.lower() in near] or list(on_menu)
    what = f'"{name}" is not on {menu.name}' if recipe is not None else f'no dish is called "{name}"'
    return "", finding("dish-not-known", Place("--dish"), what, f"dishes: {'; '.join(offered)}", name)


def _asked(kitchen: Opened, menu: Menu, word: str, form: str, dish: str = "") -> int:
    """Recorded facts, three-valued: what is written, or that nothing is on record, which is neither yes nor no."""
    recipe = kitchen.workshop.names.recipe(dish) if dish else None
    found = tuple(each for each in guest.recorded(kitchen.workshop, menu, word) if recipe is None or each.dish == recipe.name)
    if form == "json":
        show.as_json(
            {
                "menu": menu.name,
                "date": kitchen.date,
                "asked": word,
                "caution": CAUTION,
                "dishes": [
                    {
                        "course": each.course,
                        "dish": each.dish,
                        "alcohol_g": each.alcohol_g,
                        "facts": [{"what": what, "how": how, "of": whose} for what, how, whose in each.facts],
                    }
                    for each in found
                ],
            }
        )
        return 0
    print(f"Asked: {word}\n{menu.name}, {kitchen.date}\n")
    for each in found:
        print(f"  {each.dish}")
        for what, how, whose in each.facts:
            print(f"      {whose}: {what} {how}")
        if each.alcohol_g is not None:
            print(f"      calculated: about {each.alcohol_g:.1f} g alcohol in a portion")
        if not each.facts:
            print("      nothing on record, which is neither yes nor no; ask the kitchen")
    print("\n" + textwrap.fill(CAUTION, show.WIDTH))
    return 0


def _only(found: tuple[guest.DishAnswer, ...], dish: str) -> tuple[guest.DishAnswer, ...]:
    return tuple(each for each in found if not dish or each.dish == dish)


def _json(kitchen: Opened, menu: Menu, answered) -> dict:
    return {
        "menu": menu.name,
        "date": kitchen.date,
        "kitchen_version": kitchen.kitchen.version,
        "caution": CAUTION,
        "seats": [
            {
                "seat": one.name,
                "avoid": one.text,
                "keys": list(guest.keys_of(one.avoided)),
                "notes": [each.note for each in one.avoided if each.note],
                "dishes": [_dish_json(each) for each in found],
            }
            for one, found in answered
        ],
    }


def _dish_json(each: guest.DishAnswer) -> dict:
    answer = each.answer
    return {
        "course": each.course,
        "dish": each.dish,
        "shown": each.shown or each.dish,
        "verdict": answer.verdict,
        "answer": answer.words,
        "changes": [{"component": change.component, "action": change.action, "with": change.with_} for change in answer.changes],
        "because": [{"key": key, "state": state, "reasons": list(why)} for key, state, why in answer.because],
    }


def _text(kitchen: Opened, menu: Menu, several: bool, one: Seat, found) -> str:
    head = f"Seat {one.name}: avoids {one.text}" if several or one.given else f"Avoids {one.text}"
    out = [head, f"{menu.name}, {kitchen.date} · records of kitchen version {kitchen.kitchen.version}", ""]
    out += [textwrap.fill(f"{each.word}: {each.note}", show.WIDTH) for each in one.avoided if each.note]
    course = ""
    for each in found:
        if each.course != course:
            course = each.course
            out += ["", course]
        out.append(f"  {each.shown or each.dish}")
        out.append(f"      {each.answer.words}")
        out += _reasons(each.answer, kitchen)
    return "\n".join([*out, "", textwrap.fill(CAUTION, show.WIDTH), ""])


def _reasons(answer: Answer, kitchen: Opened) -> list[str]:
    return _told("as written, " if answer.changes else "", answer.because, kitchen)


def _told(head: str, because: tuple[tuple[str, str, tuple[str, ...]], ...], kitchen: Opened) -> list[str]:
    """The worst state with its reasons; of lesser ones only the names, as the answer does not hang on them."""
    if not because:
        return []
    worst = min((state for _, state, _ in because), key=lambda state: RANK.get(state, RANK[NOT_CONFIRMED]))
    refused = RANK.get(worst, RANK[NOT_CONFIRMED]) <= RANK[TO_CONFIRM]
    out, lesser = [], {}
    for keys, state, why in together(because):
        if state == worst or not refused or RANK.get(state, RANK[NOT_CONFIRMED]) <= RANK[TO_CONFIRM]:
            out += _reason(head, keys, state, why, kitchen)
        else:
            lesser.setdefault(state, []).extend(_name(key, kitchen) for key in keys)
    for state, names in lesser.items():
        out += textwrap.wrap(
            f"also {state.replace('_', ' ')}: {', '.join(names)}", show.WIDTH, initial_indent=" " * 8, subsequent_indent=" " * 10
        )
    return out


def _name(key: str, kitchen: Opened) -> str:
    kind = kitchen.workshop.tables.kinds.get(key)
    return kind.name if kind else with_state_names({}, english=True).get(key, key.removeprefix("ingredient: "))


def _reason(head: str, keys: tuple[str, ...], state: str, why: tuple[str, ...], kitchen: Opened) -> list[str]:
    more = f"; and {len(why) - 3} more" if len(why) > 3 else ""
    names = ", ".join(_name(key, kitchen) for key in keys)
    words = f"{head}{state.replace('_', ' ')} {names}: {'; '.join(why[:3])}{more}"
    return textwrap.wrap(words, show.WIDTH, initial_indent=" " * 8, subsequent_indent=" " * 10)
