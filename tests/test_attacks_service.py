"""Attacks on the service: kitchens written so that an allergen could get lost on its way to the guest. None may end in
"nothing on record". The rules are the kitchen's own (contact, dates of a change): common practice, no source."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from signing import Cook, write_kitchen

from labeller.serving.documents import Press, Wanted
from labeller.serving.guest import answers, options_of, states_of
from labeller.serving.pipeline import Opened, everything_found, open_kitchen
from labeller.serving.service_days import as_printed
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
    return {key: one.state
            for key, one in states_of(opened.workshop.facts(opened.kitchen.recipes[dish]), opened.workshop.tables.kinds).items()}


def codes(opened: Opened, dish: str) -> set[str]:
    return {each.code for each in opened.workshop.findings_of(opened.kitchen.recipes[dish])}


def verdict(opened: Opened, dish: str, words: str, menu: str = "dinner") -> str:
    avoided, problems = seat(opened, words)
    assert problems == []
    return next(each.answer.verdict
                for each in answers(opened.workshop, opened.kitchen.menus[menu], avoided) if each.dish == dish)  # fmt: skip


# Claims about shared equipment --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("changed", "order", "expected"), [
    (DAY, "first after oil change", None), ("2026-11-22", "first after oil change", CROSS_CONTACT),
    (DAY, "first after the squid", CROSS_CONTACT),
    (DAY, "", CROSS_CONTACT)])  # fmt: skip
def test_first_counts_only_on_the_day_of_the_change(written, changed: str, order: str, expected: str | None) -> None:
    dish = CHIPS + (f"  equipment order: {order}\n" if order else "")
    opened = written({"kitchen.yaml": fryer(changed=changed), "recipes/a.yaml": dish,
                      "menus/a.yaml": MENU.format(first=DAY, last=DAY, dish="chips")})  # fmt: skip
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


# Tonight's substitutes ----------------------------------------------------------------------------------------------------

SAUCED = """- recipe: green sauce
  ingredients:
    - parsley: 100 g
    - rapeseed oils: 100 g
- dish: plate
  portion:
    - green sauce: 30 g
    - potato: {amount: 100 g, instead: rapeseed oil}
- dish: other
  portion:
    - carrot: 100 g
"""
TAHINI = "- product: tahini\n  ingredients on pack: sesame seeds\n  evidence: {kind: pack, checked: 2026-11-20, by: RM}\n"


def tonight(pairs: str, date: str = f"  date: {DAY}\n") -> str:
    return f"- batch: tonight\n{date}  substitutes: {{{pairs}}}\n"


@pytest.mark.parametrize("old", ["rapeseed oils", "Rapeseed Oil", "rapeseed  oil", "RAPESEED OILS", "canola oil"])
def test_a_substitute_is_matched_as_lines_are(written, old: str) -> None:
    files = {"recipes/a.yaml": SAUCED, "products/a.yaml": TAHINI + "- product: rapeseed oil\n  also called: [canola oil]\n"}
    opened = written({**files, "batches/a.yaml": tonight(f"{old}: tahini")})
    assert states(opened, "plate")["sesame"] == CONTAINS and "substitute-matches-nothing" not in codes(opened, "plate")


def test_a_substitute_that_matches_nothing_stops_every_dish(written) -> None:
    opened = written({"recipes/a.yaml": SAUCED, "products/a.yaml": TAHINI, "batches/a.yaml": tonight("rapesed oil: tahini"),
                      "menus/a.yaml": MENU.format(first=DAY, last=DAY, dish="plate")})  # fmt: skip
    for dish in ("plate", "other"):
        assert "substitute-matches-nothing" in codes(opened,
                                                     dish) and opened.workshop.record(opened.kitchen.recipes[dish]).stopped
    assert verdict(opened, "plate", "sesame") != NOTHING_ON_RECORD


@pytest.mark.parametrize("batch", [
    tonight("rapeseed oil: tahini", ""), tonight("rapeseed oil: tahini", "  date: tonight\n"),
    tonight("rapeseed oil: tahini", "  date:\n"),
    tonight("rapeseed oil: tahini") + tonight("parsley: tahini"),  # one name: the second is not read
    tonight("rapeseed oil: [tahini]"), tonight("rapeseed oil:"), "- batch: tonight\n  substitutes:\n\t- rapeseed oil: tahini\n",
    "- batch:\n  date: 2026-11-25\n  substitutes: {rapeseed oil: tahini}\n",
    "- substitutes: {rapeseed oil: tahini}\n  date: 2026-11-25\n", "rapeseed oil: tahini tonight\n", "just use tahini tonight\n",
    tonight("rapeseed oil: tahini").replace("substitutes", "substitute"),
    tonight("rapeseed oil: tahini") + tonight("Rapeseed Oil: butter").replace("- batch: tonight", "- batch: tonight too"),
    "- batch: tonight\n  date: 2026-11-25\n  substitutes: {rapeseed oil: tahini}\n  batch: late\n  date: 2026-11-25\n",
])  # fmt: skip
def test_a_batch_that_can_not_be_trusted_stops_every_dish(written, batch: str) -> None:
    opened = written({"recipes/a.yaml": SAUCED, "products/a.yaml": TAHINI, "batches/a.yaml": batch})
    assert all(opened.workshop.record(opened.kitchen.recipes[dish]).stopped for dish in ("plate", "other"))


@pytest.mark.parametrize(("day", "said"),
                         [("2026-11-24", True), ("2026-11-23", True), ("2026-11-22", False), ("2026-11-26", False)])  # fmt: skip
def test_a_batch_of_another_day_is_not_in_force(written, day: str, said: bool) -> None:
    batch = tonight("rapeseed oil: tahini", f"  date: {day}\n")
    opened = written({"recipes/a.yaml": SAUCED, "products/a.yaml": TAHINI, "batches/a.yaml": batch})
    assert states(opened,
                  "plate").get("sesame") != CONTAINS and not opened.workshop.record(opened.kitchen.recipes["other"]).stopped
    assert ("substitute-fell-back" in {each.code for each in everything_found(opened)}) == said


def test_a_substitute_reaches_the_alternative_that_a_guest_is_offered(written) -> None:
    dish = "- dish: plate\n  portion:\n    - carrot: 100 g\n    - celery: {amount: 50 g, instead: fennel}\n"
    opened = written({"recipes/a.yaml": dish, "products/a.yaml": TAHINI, "batches/a.yaml": tonight("fennel: tahini")})
    assert "substitute-matches-nothing" not in codes(opened, "plate")
    plain, other = options_of(opened.workshop, opened.kitchen.recipes["plate"])
    assert plain.changes == () and other.changes[0].with_ == "tahini" and other.states["sesame"].state == CONTAINS


def test_leaving_one_line_off_leaves_its_substituted_namesake_on(written) -> None:
    dish = "- dish: plate\n  portion:\n    - tahini: {amount: 9 g, leave off: yes}\n    - butter: 9 g\n    - carrot: 50 g\n"
    opened = written({"recipes/a.yaml": dish, "products/a.yaml": TAHINI, "batches/a.yaml": tonight("butter: tahini")})
    options = options_of(opened.workshop, opened.kitchen.recipes["plate"])
    assert len(options) == 2 and {option.states["sesame"].state for option in options} == {CONTAINS}


def test_a_substitute_reaches_what_shared_equipment_also_cooks(written) -> None:
    opened = written({"kitchen.yaml": fryer("[Rapeseed oils]"), "recipes/a.yaml": CHIPS, "products/a.yaml": TAHINI,
                      "batches/a.yaml": tonight("rapeseed oil: tahini")})  # fmt: skip
    assert states(opened, "chips")["sesame"] == CROSS_CONTACT


def test_a_substitute_reaches_trimmed_parts_quid_and_what_is_poured_off(written) -> None:
    text = """- recipe: roast
  ingredients:
    - beef: {amount: 1 kg, trim: 10 %, trim becomes: trimmings}
- recipe: stock
  ingredients:
    - trimmings: 100 g
    - water: 1 l
    - butter: 10 g
  poured off: {lines: [butter], stays in: 10 %}
  makes: 900 g
  loss: evaporated
- dish: plate
  portion:
    - stock: 100 g
  show percentage of: [butter]
"""
    opened = written({"recipes/a.yaml": text, "products/a.yaml": TAHINI,
                      "batches/a.yaml": tonight("beef: tahini, butter: margarine")})  # fmt: skip
    assert states(opened, "plate")["sesame"] == CONTAINS
    assert opened.kitchen.recipes["stock"].poured_off[0].lines == ("margarine",)
    assert opened.kitchen.recipes["plate"].quid == ("margarine",)


# What shared equipment also cooks -----------------------------------------------------------------------------------------


def product(name: str, more: str) -> str:
    return f"- product: {name}\n  evidence: {{kind: pack, checked: 2026-11-20, by: RM}}\n{more}"


@pytest.mark.parametrize(("more", "code", "stopped"), [
    ("  contains: none\n  recall: undeclared milk\n", "product-recalled", True),
    ("  contains: [crustacaens]\n", "unknown-kind", True),
    ("  contains: none\n  ingredients on pack: squid, wheat flour\n", "label-disagrees", False),
    ("  ingredients on pack: squid\n  allergns: fish\n", "key-unknown", True)])  # fmt: skip
def test_what_is_wrong_with_an_also_cooked_product_reaches_the_dishes(written, more: str, code: str, stopped: bool) -> None:
    opened = written({"kitchen.yaml": fryer("[squid rings]"), "recipes/a.yaml": CHIPS,
                      "products/a.yaml": product("squid rings", more),
                      "menus/a.yaml": MENU.format(first=DAY, last=DAY, dish="chips")})  # fmt: skip
    assert code in codes(opened, "chips")
    assert opened.workshop.record(opened.kitchen.recipes["chips"]).stopped == stopped
    assert next(each for each in everything_found(opened) if each.code == code).dishes == ("chips",)
    assert verdict(opened, "chips", "milk" if "milk" in more else "wheat") != NOTHING_ON_RECORD or code == "key-unknown"


def test_an_also_cooked_product_that_nobody_read_is_a_doubt_of_the_dish(written) -> None:
    opened = written({"kitchen.yaml": fryer("[nuggets]"), "recipes/a.yaml": CHIPS, "products/a.yaml": "- product: nuggets\n"})
    assert "unread-product" in codes(opened, "chips") and states(opened, "chips")["milk"] in (NOT_CONFIRMED, CROSS_CONTACT)


@pytest.mark.parametrize("recipe", [
    "- recipe: rings\n  ingredients:\n    - squid rings: 100 g\n",
    "- recipe: rings\n  ingredients:\n    - squid rings: 100 g\n  equipment: [deep fryer]\n",
])  # fmt: skip
def test_a_recalled_product_of_a_recipe_in_the_fryer_stops_what_follows_it(written, recipe: str) -> None:
    also = "[rings]" if "equipment" not in recipe else "[potato]"
    recalled = product("squid rings", "  contains: [squid]\n  recall: undeclared milk\n")
    opened = written({"kitchen.yaml": fryer(also), "recipes/a.yaml": CHIPS + recipe, "products/a.yaml": recalled})
    assert "product-recalled" in codes(opened, "chips")


@pytest.mark.parametrize(("also", "kinds"), [
    ("[nuts, shellfish]", ("tree_nuts", "peanuts", "crustaceans", "molluscs")), ("[prawn and soya]", ("crustaceans", "soybeans")),
    ("[fish & chips]", ("fish",)), ("[Nut cutlets]", ("tree_nuts", "peanuts")),
    ("[battered seafood]", ("fish", "crustaceans", "molluscs"))])  # fmt: skip
def test_a_bare_name_brings_its_kinds_and_confirms_nothing(written, also: str, kinds: tuple[str, ...]) -> None:
    opened = written({"kitchen.yaml": fryer(also), "recipes/a.yaml": CHIPS,
                      "menus/a.yaml": MENU.format(first=DAY, last=DAY, dish="chips")})  # fmt: skip
    found = states(opened, "chips")
    assert {kind: found[kind] for kind in kinds} == dict.fromkeys(kinds, CROSS_CONTACT)
    assert all(found[group] in (CROSS_CONTACT, NOT_CONFIRMED) for group in GROUPS)
    assert verdict(opened, "chips", "shellfish") != NOTHING_ON_RECORD


@pytest.mark.parametrize("also", ["[Mrs Miggins' specials]", "[specials]", "[\"???\"]"])
def test_a_name_of_which_nothing_is_known_confirms_nothing(written, also: str) -> None:
    opened = written({"kitchen.yaml": fryer(also), "recipes/a.yaml": CHIPS})
    assert {states(opened, "chips").get(group) for group in GROUPS} == {NOT_CONFIRMED}


# What a replacement leaves on paper ---------------------------------------------------------------------------------------


def test_replace_moves_aside_exactly_the_prints_that_no_longer_hold(tmp_path: Path, capsys) -> None:
    cook = Cook(write_kitchen(tmp_path), capsys)
    cook.types("print", "all")
    for what in ("labels", "run-sheet"):
        cook.types("print", what, "--batch", "boxes of Thursday")
    out = tmp_path / "out"
    before = {path.relative_to(out).as_posix()
              for path in out.rglob("*") if path.suffix in (".pdf", ".html", ".json") and path.name[0] != "."}  # fmt: skip
    assert {"boxes-of-wednesday-labels.pdf", "week-48-floor.html", "week-48-matrix.pdf", "recipe-cards/dressing.pdf"} <= before
    sheets = {file for file in before if "run-sheet" in file}
    assert sheets
    cook.types("replace", "Thick Creams", "tahini", "--by", "RM")
    assert cook.code == 0, cook.words
    left = {file for file in before if (out / file).exists()}
    kept = {file for file in before if "thursday" in file or file == "recipe-cards/charred-leeks.pdf"}
    assert left == kept, left ^ kept
    assert (out / "recipe-cards" / "void" / "dressing.1.pdf").exists() and "recipe cards: 3 of 4: " in cook.out


def test_replace_moves_a_floor_page_aside_whose_alternative_changes(tmp_path: Path, capsys) -> None:
    cook = Cook(write_kitchen(tmp_path), capsys)
    plates = tmp_path / "recipes" / "plates.yaml"
    plates.write_text(plates.read_text().replace("- leek: 80 g", "- leek: {amount: 80 g, instead: thick cream}"))
    cook.types("print", "floor-page")
    assert (tmp_path / "out" / "week-48-floor.html").exists()
    cook.types("replace", "thick cream", "tahini", "--by", "RM")
    assert not (tmp_path / "out" / "week-48-floor.html").exists()


def swap(day: str, name: str, pairs: str = "rapeseed oil: tahini") -> str:
    return f"- batch: {name}\n  date: {day}\n  substitutes: {{{pairs}}}\n"


@pytest.mark.parametrize(("batches", "day", "expected"), [
    ("", DAY, ("2026-11-20", "2026-11-30")), (swap(DAY, "a"), DAY, (DAY, DAY)),
    (swap(DAY, "a") + swap("2026-11-26", "b", "Rapeseed oils: Tahini"), DAY, (DAY, "2026-11-26")),
    (swap(DAY, "a") + swap("2026-11-26", "b", "rapeseed oil: butter"), DAY, (DAY, DAY)),
    (swap("2026-11-28", "a"), DAY, ("2026-11-20", "2026-11-27")), (swap("2026-11-22", "a"), DAY, ("2026-11-23", "2026-11-30")),
    (swap("2026-11-22", "a") + swap("2026-11-27", "b"), DAY, ("2026-11-23", "2026-11-26")),
    (swap("2026-11-10", "a"), "2026-11-10", ("2026-11-10",) * 2),
    (swap("2026-12-10", "a"), DAY, ("2026-11-20", "2026-11-30"))])  # fmt: skip
def test_a_floor_page_is_for_the_days_on_which_its_records_are_the_same(written, batches: str, day: str,
                                                                        expected: tuple[str, str]) -> None:  # fmt: skip
    files = {"recipes/a.yaml": SAUCED, "products/a.yaml": TAHINI,
             "menus/a.yaml": MENU.format(first="2026-11-20", last="2026-11-30", dish="plate")}  # fmt: skip
    opened = written(files | ({"batches/a.yaml": batches} if batches else {}), day)
    menu = as_printed(opened, opened.kitchen.menus["dinner"])
    assert (menu.starts, menu.ends) == expected
    page = Press(opened, Wanted("uk")).floor_page(opened.kitchen.menus["dinner"]).content.decode()
    assert f'"ends":"{expected[1]}"' in page.replace('": "', '":"') and f'"starts":"{expected[0]}"' in page.replace('": "', '":"')


def test_what_goes_first_after_the_days_change_is_on_paper_for_that_day_only(written) -> None:
    menu = MENU.format(first="2026-11-20", last="2026-11-30", dish="chips")
    opened = written({"kitchen.yaml": fryer(), "recipes/a.yaml": CHIPS + "  equipment order: first after oil change\n",
                      "menus/a.yaml": menu})  # fmt: skip
    made = as_printed(opened, opened.kitchen.menus["dinner"])
    assert (made.starts, made.ends) == (DAY, DAY)


def test_compare_tells_the_warnings_that_come_and_go(tmp_path: Path, capsys) -> None:
    cook = Cook(write_kitchen(tmp_path), capsys)
    larder = tmp_path / "products" / "larder.yaml"
    text = larder.read_text().replace("  may contain: none", "  may contain: [peanuts, milk]", 1)  # tahini
    larder.write_text(text.replace("  may contain: none", "  may contain: [lupin]", 1))  # thick cream
    said = cook.types("compare", "thick cream", "tahini")
    assert "adds: peanut (a supplier's warning: may contain), sesame (contains), milk (a supplier's warning: may contain)" in said
    assert "loses: milk (contains), lupin (a supplier's warning: may contain)" in said
    cook.types("compare", "thick cream", "tahini", "--format", "json")
    told = next(each for each in json.loads(cook.out)["dishes"] if each["dish"] == "carrots, dressed")
    assert {"kind": "lupin", "state": "may_contain"} in told["loses"] and {"kind": "milk", "state": "may_contain"} in told["adds"]


def test_compare_tells_what_shared_equipment_brings(tmp_path: Path, capsys) -> None:
    cook = Cook(write_kitchen(tmp_path), capsys)
    house = tmp_path / "kitchen.yaml"
    house.write_text(house.read_text() + "equipment:\n  - deep fryer: {oil changed: 2026-11-24, also cooks: [thick cream]}\n")
    plates = tmp_path / "recipes" / "plates.yaml"
    plates.write_text(plates.read_text().replace("    - leek: 80 g\n", "    - leek: 80 g\n  equipment: [deep fryer]\n"))
    said = cook.types("compare", "thick cream", "tahini")
    assert "adds: sesame (a warning: shared equipment)" in said and "loses: milk (a warning: shared equipment)" in said
