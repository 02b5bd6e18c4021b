"""Changes in plain words, and as JSON. Wording only; what changed is decided in :mod:`labeller.serving.changes`."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence

from labeller.serving.changes import DishChange, FigureMove, MenuChange, Move, Way
from labeller.serving.show import WIDTH
from labeller.terms.allergens import Kind

PER = {"per_100g": "per 100 g", "per_100ml": "per 100 ml", "per_portion": "per portion", "reference_share": "of the daily amount"}
STATEMENTS = {"ingredient_statement": "the list of ingredients", "contains_statement": "the Contains line",
              "may_contain_statement": "the May contain line", "place on the menu": "the menu"}  # fmt: skip
MOST_WAYS = 3  # told of one move; the record has them all


def change_lines(change: MenuChange, kinds: Mapping[str, Kind]) -> list[str]:
    """What has changed, for reading."""
    if not change.there:
        return ["  The menu is no longer in the kitchen's files."]
    out: list[str] = []
    if change.dates:
        out.append(f"  Its days were {change.dates[0]}, now {change.dates[1]}.")
    out += [f"  Rests on something else now: {text}." for text in change.basis]
    several = len({each.law for each in change.dishes} | set(change.issue.content["laws"])) > 1
    for each in change.dishes:
        out += [f"  {each.dish}" + (f" ({each.law.upper()} law)" if several else ""), *_dish(each, kinds)]
    if not change.changed:
        out.append("  No declaration has changed.")
    for text in change.findings:
        out += _wrapped(f"new since it was signed, {text}", "  ")
    for text in change.aside:
        out += _wrapped(text if change.changed else f"{text}; no word of a declaration changed by it", "  ")
    return out


def _dish(each: DishChange, kinds: Mapping[str, Kind]) -> list[str]:
    if not each.there_now:
        return ["      is no longer on the menu"]
    out = [] if each.there_before else ["      is new on the menu"]
    if each.answers:
        was, now = each.answers
        out.append(
            f"      had an answer, now: {now}" if now else f"      had no answer ({was}), has one now, as a new dish"
        )
    for move in each.moves:
        out += _wrapped(_holds(move, kinds) if each.answers or not each.there_before else move_words(move, kinds), "      ")
    if each.weight:
        out.append(f"      weighs {each.weight[1] or 'nothing known'}, was {each.weight[0] or 'not known'}")
    for key in dict.fromkeys(figure.key for figure in each.figures):
        out += _wrapped(figure_words([figure for figure in each.figures if figure.key == key]), "      ")
    for key, gone, come in each.texts:
        parts = ([f"gone: {gone}"] if gone else []) + ([f"new: {come}"] if come else [])
        out += _wrapped(f"{STATEMENTS[key]} reads otherwise; {'; '.join(parts) or 'other words'}", "      ")
    return out


def move_words(move: Move, kinds: Mapping[str, Kind]) -> str:
    """ "gains sesame (contains), through dill cream > tahini (products/larder.yaml:12)"."""
    names, now, was = _names(move.kinds, kinds), _state(move.now), _state(move.was)
    came, went = _ways(move.came, move.now), _ways(move.went, move.was)
    if move.what == "gains":
        return f"gains {names} ({now}), through {came}"
    if move.what == "loses":
        return f"loses {names} (was: {was}); it came through {went}"
    if move.what == "another way":
        only = "also" if move.stays or not went else "now"  # what brought it before brings it still, or something else does now
        parts = ([f"{only} through {came}"] if came else []) + ([f"no longer through {went}"] if went else [])
        return f"{names} ({now}) as before, but {', '.join(parts)}"
    through = f", through {came}" if came else f"; gone is {went}" if went else ""
    return f"{names}: was {was}, now {now}{through}"


def _holds(move: Move, kinds: Mapping[str, Kind]) -> str:
    return f"brings {_names(move.kinds, kinds)} ({_state(move.now)}), through {_ways(move.came, move.now)}"


def figure_words(figures: Sequence[FigureMove]) -> str:
    """Of one quantity: "fat: 6.0 g per 100 g (was 5.1 g), 9 % of the daily amount (was 8 %)"."""
    name = figures[0].key.rpartition("_")[0].replace("_", " ") or figures[0].key
    told = [
        f"{each.now or 'not declared'} {PER.get(each.per, each.per)} (was {each.was or 'not declared'})" for each in figures
    ]
    return f"{name}: {', '.join(told)}"


def _names(keys: Sequence[str], kinds: Mapping[str, Kind]) -> str:
    names = [kinds[key].name if key in kinds else key for key in keys]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _state(state: str) -> str:
    return state.replace("_", " ")


def _ways(ways: Sequence[Way], state: str) -> str:
    """state: that of the dish; a way that brings the kind in a lesser one says so."""
    told = [f"{' > '.join(way.path[1:]) or way.path[0]} ({_lesser(way, state)}{way.place or 'place not known'})"
            for way in dict.fromkeys(ways)]  # fmt: skip
    told = list(dict.fromkeys(told))
    return "; ".join(told[:MOST_WAYS]) + (f" and {len(told) - MOST_WAYS} more ways" if len(told) > MOST_WAYS else "")


def _lesser(way: Way, state: str) -> str:
    return f"{_state(way.state)}, " if way.state and way.state != state else ""


def _wrapped(text: str, indent: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=indent, subsequent_indent=indent + "  ")


# JSON ---------------------------------------------------------------------------------------------------------------------


def change_json(change: MenuChange) -> dict:
    """Stable keys: menu, number, date, signed_by, changed, there, dates, basis, dishes, aside, new_findings."""
    return {"menu": change.menu, "number": change.issue.number, "date": change.issue.date, "signed_by": change.issue.by,
            "changed": change.changed, "there": change.there, "dates": list(change.dates or ()), "basis": list(change.basis),
            "dishes": [_dish_json(each) for each in change.dishes], "aside": list(change.aside),
            "new_findings": list(change.findings)}  # fmt: skip


def _dish_json(each: DishChange) -> dict:
    return {"dish": each.dish, "law": each.law, "on_menu_before": each.there_before, "on_menu_now": each.there_now,
            "answer": list(each.answers or ()), "allergens": [_move_json(move) for move in each.moves],
            "figures": [figure._asdict() for figure in each.figures], "weight": list(each.weight or ()),
            "statements": [{"statement": key, "gone": gone, "new": come} for key, gone, come in each.texts]}  # fmt: skip


def _move_json(move: Move) -> dict:
    return {"kinds": list(move.kinds), "what": move.what, "was": move.was, "now": move.now,
            "through": [_way_json(way) for way in move.came],
            "no_longer_through": [_way_json(way) for way in move.went]}  # fmt: skip


def _way_json(way: Way) -> dict:
    return {"path": list(way.path), "place": way.place, "evidence": way.evidence, "state": way.state}
