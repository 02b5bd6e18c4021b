"""Attacks on the service: kitchens written so that an allergen could get lost on its way to the guest. None may end in
"nothing on record". The rules are the kitchen's own (contact, dates of a change): common practice, no source."""

from __future__ import annotations

from pathlib import Path

import pytest

from labeller.serving.guest import answers, states_of
from labeller.serving.pipeline import Opened, everything_found, open_kitchen
from labeller.serving.verbs_guest import seat
from labeller.terms.allergens import CONTAINS, CROSS_CONTACT, GROUPS, NOT_CONFIRMED
from labeller.terms.floor import NOTHING_ON_RECORD

DAY = "2026-11-25"
HOUSE = "kitchen: Attacked\nlaw: uk\n"
MENU = "menu: dinner\nfrom: {first}\nuntil: {last}\ncourses:\n  - {dish}\n"
CHIPS = """- dish: chips
  portion:
    - potato: 600 g
  method: deep fried
  equipment: [deep fryer]
"""


@pytest.fixture
def written(tmp_path: Path):
    """Writes a kitchen of the files named and opens it."""

    def write(files: dict[str, str], day: str = DAY) -> Opened:
        for name, text in {"kitchen.yaml": HOUSE, **files}.items():
            path = tmp_path / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
        return open_kitchen(tmp_path, day)

    return write


def fryer(also: str = "[squid]", more: str = "", changed: str = DAY) -> str:
    return f"{HOUSE}equipment:\n  - deep fryer: {{oil changed: {changed}, also cooks: {also}{more}}}\n"


def states(opened: Opened, dish: str) -> dict:
    return {key: one.state for key, one in states_of(opened.workshop.facts(opened.kitchen.recipes[dish]), opened.workshop.tables.kinds).items()}


def codes(opened: Opened, dish: str) -> set[str]:
    return {each.code for each in opened.workshop.findings_of(opened.kitchen.recipes[dish])}


def verdict(opened: Opened, dish: str, words: str, menu: str = "dinner") -> str:
    avoided, problems = seat(opened, words)
    assert problems == []
    return next(each.answer.verdict for each in answers(opened.workshop, opened.kitchen.menus[menu], avoided) if each.dish == dish)


# Claims about shared equipment --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("changed", "order", "expected"), [
    (DAY, "first after oil change", None), ("2026-11-22", "first after oil change", CROSS_CONTACT), (DAY, "first after the squid", CROSS_CONTACT),
    (DAY, "", CROSS_CONTACT)])  # fmt: skip
def test_first_counts_only_on_the_day_of_the_change(written, changed: str, order: str, expected: str | None) -> None:
    dish = CHIPS + (f"  equipment order: {order}\n" if order else "")
    opened = written({"kitchen.yaml": fryer(changed=changed), "recipes/a.yaml": dish, "menus/a.yaml": MENU.format(first=DAY, last=DAY, dish="chips")})
    assert states(opened, "chips").get("squid") == expected
    assert ("first-is-of-another-day" in codes(opened, "chips")) == bool(order and expected)
    assert (verdict(opened, "chips", "squid") == NOTHING_ON_RECORD) == (expected is None)


@pytest.mark.parametrize("where", ["recipe", "equipment"])
def test_cleaning_a_fryer_does_not_change_its_oil(written, where: str) -> None:
    dish = CHIPS + ("  cleaned between: yes\n" if where == "recipe" else "")
    more = ", cleaned between: yes" if where == "equipment" else ""
    opened = written({"kitchen.yaml": fryer(more=more), "recipes/a.yaml": dish})
    assert states(opened, "chips")["squid"] == CROSS_CONTACT
    assert "cleaning-does-not-change-oil" in codes(opened, "chips")


def test_a_fryer_without_a_date_is_no_cleaner_for_being_cleaned(written) -> None:
    house = f"{HOUSE}equipment:\n  - friteuse: {{also cooks: [squid], cleaned between: yes}}\n"
    opened = written({"kitchen.yaml": house, "recipes/a.yaml": CHIPS.replace("deep fryer", "friteuse")})
    assert {states(opened, "chips")[group] for group in GROUPS} <= {NOT_CONFIRMED, CROSS_CONTACT}


def test_cleaning_counts_for_what_can_be_cleaned(written) -> None:
    house = f"{HOUSE}equipment:\n  - slicer: {{also cooks: [squid], cleaned between: yes}}\n"
    dish = "- dish: carpaccio\n  portion:\n    - beetroot: 400 g\n  equipment: [slicer]\n"
    opened = written({"kitchen.yaml": house, "recipes/a.yaml": dish})
    assert "squid" not in states(opened, "carpaccio") and "cleaning-does-not-change-oil" not in codes(opened, "carpaccio")


@pytest.mark.parametrize("treatment", ["fried", "deep-fried", "boiled", "poached", "blanched", "water bath"])
def test_a_line_cooked_in_oil_or_water_names_its_equipment_or_nothing_is_confirmed(written, treatment: str) -> None:
    dish = f"- dish: plate\n  portion:\n    - potato: {{amount: 400 g, cooked as: {treatment}}}\n"
    opened = written({"recipes/a.yaml": dish, "menus/a.yaml": MENU.format(first=DAY, last=DAY, dish="plate")})
    assert states(opened, "plate")["crustaceans"] == NOT_CONFIRMED
    assert verdict(opened, "plate", "squid") != NOTHING_ON_RECORD
    alone = written({"recipes/a.yaml": dish + "  equipment: none shared\n"})
    assert "crustaceans" not in states(alone, "plate")
