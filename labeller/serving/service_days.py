"""For which days of a menu a paper holds: a replacement of one day, or a food that goes first after the day's change of oil, is
not on the plate of the next, so that what was printed from it must not stay in use."""

from __future__ import annotations

from datetime import date as calendar_day
from datetime import timedelta

from msgspec.structs import replace

from labeller.serving.pipeline import Opened
from labeller.serving.substitutes import replaced_on
from labeller.terms.kitchen import Kitchen, Menu
from labeller.terms.words import normalise
from labeller.working.allergens import is_fresh

Pairs = frozenset[tuple[str, str]]
NONE: Pairs = frozenset()


def as_printed(opened: Opened, menu: Menu) -> Menu:
    """The menu with its dates cut to the days, about the opened one, on which its records are the same as on that day. Where that
    is none of its days, it is for the opened day alone."""
    low, high = same_days(opened, menu)
    starts = max(menu.starts, low)
    ends = min(menu.ends or high, high) if high else menu.ends
    if (low or high) and ends and starts > ends:
        starts = ends = opened.date
    return replace(menu, starts=starts, ends=ends)


def same_days(opened: Opened, menu: Menu) -> tuple[str, str]:
    """First and last ISO date about the opened one with the same replacements; "" where nothing ends them."""
    day = opened.date
    if _goes_first(opened, menu):
        return day, day
    told = replacements(opened.kitchen)
    mine = told.get(day, NONE)
    if mine:
        return _run(told, day, -1), _run(told, day, 1)
    before = [_next(each, 1) for each in told if each < day]
    after = [_next(each, -1) for each in told if each > day]
    return max(before, default=""), min(after, default="")


def replacements(kitchen: Kitchen) -> dict[str, Pairs]:
    """ISO date -> (old, new) of its batches, normalised."""
    found: dict[str, Pairs] = {}
    for batch in kitchen.batches.values():
        if batch.date and batch.substitutes:
            pairs = frozenset((normalise(old), normalise(new)) for old, new in replaced_on(kitchen, batch.date).items())
            found[batch.date] = found.get(batch.date, NONE) | pairs
    return found


def _run(told: dict[str, Pairs], day: str, step: int) -> str:
    while told.get(_next(day, step), NONE) == told[day]:
        day = _next(day, step)
    return day


def _next(day: str, step: int) -> str:
    return (calendar_day.fromisoformat(day) + timedelta(days=step)).isoformat()


def _goes_first(opened: Opened, menu: Menu) -> bool:
    """Whether anything on the menu counts as first after a change of the opened day: true of that day only."""
    workshop = opened.workshop
    found = [recipe for name in menu.dishes() if (recipe := workshop.names.recipe(name))]
    family = [each for recipe in found for each in workshop.family(recipe).values()]
    equipment = opened.kitchen.equipment
    pairs = ((each, equipment[name]) for each in family for name in each.equipment or () if name in equipment)
    return any(is_fresh(each, one, opened.date) for each, one in pairs)
