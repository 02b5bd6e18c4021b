"""Energy on a menu: of a plate, and of a course with a choice, in the form that the law words."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from labeller.declaring.rounding import rounded
from labeller.terms.kitchen import Kitchen
from labeller.terms.laws import Law, Words
from labeller.terms.record import Declaration, NutritionRow


def duty(law: Law, kitchen: Kitchen) -> bool:
    """Whether the law asks this business for calories on its menus: US chains (21 CFR 101.11(a)), large businesses in England
    (SI 2021/909). Not stated is not asked: the kitchen writes its size."""
    places, people = law.figure("menu duty from"), law.figure("calorie labelling from")
    if places is not None:
        return kitchen.places_of_business >= places
    return people is not None and kitchen.nation == "england" and kitchen.employees >= people


def plate_energy(figures: Sequence[NutritionRow], law: Law, words: Words, portion_words: str) -> str:
    """"330 Cal", "325 kcal, per portion (180 g)"; "" where the law words none or nothing is known."""
    row = _row(figures, law)
    if row is None or not row.per_portion or row.value_portion is None:
        return ""
    number = row.per_portion.removesuffix(_unit(law)).strip()
    if number == words.phrases["not known"]:
        return ""
    return law.menu["one"].replace("{energy}", number).replace("{portion}", portion_words[:1].lower() + portion_words[1:])


def choice_energy(declarations: Sequence[Declaration], law: Law) -> str:
    """Energy of a course that is one of several plates: both numbers for two, lowest to highest for three or more (21 CFR
    101.11(b)(2)(i)(A)(4)-(7)). "" where the law has no such form, or where one plate's energy is not known whole."""
    rows = [_row(one.figures, law) for one in declarations]
    values = [row.value_portion.mid for row in rows if row and row.value_portion and row.per_portion and not row.at_least]
    if len(values) < 2 or len(values) < len(declarations) or any(one.stopped for one in declarations):
        return ""
    return choice_words(values, law)


def choice_words(values: Sequence[float], law: Law) -> str:
    """values: energy of each plate, exact, in the order of the menu."""
    if "two" not in law.menu:
        return ""
    table = law.roundings[law.menu["rounding"]]
    numbers: list[Decimal] = [rounded(value, table).number for value in values]
    if len(numbers) == 2:
        first, second = numbers
        return law.menu["two"].replace("{first}", f"{first:f}").replace("{second}", f"{second:f}")
    low, high = min(numbers), max(numbers)
    return law.menu["more"].replace("{low}", f"{low:f}").replace("{high}", f"{high:f}")


def _row(figures: Sequence[NutritionRow], law: Law) -> NutritionRow | None:
    return next((row for row in figures if row.key == law.menu.get("of")), None)


def _unit(law: Law) -> str:
    return next((line.unit for line in law.lines if line.key == law.menu.get("of")), "")
