"""Reading a kitchen's folder: what every key becomes, and that nothing typed can break it or be lost without a word."""

from __future__ import annotations

import re
import time
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from labeller.reading.keys import KEYS, KNOWN
from labeller.reading.kitchen import read_kitchen
from labeller.reading.new_kitchen import files_of, write_kitchen
from labeller.terms.findings import STOP
from labeller.terms.spans import Span

HOUSE = """
kitchen: The Test Kitchen
address: 1 Quay Street, Exampleton EX1 2MP
law: uk
nation: England
languages: [en]
measures: metric
equipment:
  - deep fryer: {oil changed: 2026-11-24, also cooks: [squid rings], cleaned between: yes}
  - water bath
label sheets:
  - canapés: A4 99.1 x 67.7
"""
RECIPES = """
- recipe: dill cream
  also called: [dill sauce]
  ingredients:
    - crème fraîche: 400 g
    - dill: {amount: 60 g, trim: 35 %, trim becomes: dill stalks}
    - bouquet garni: {amount: 1 piece, kept: 0 %, note: strained out}
    - sea salt: {amount: to taste, about: 3 g}
    - pepper: to taste
    - nutmeg
    - potato: {amount: 200-220 g, cooked as: boiled, cooked weight: 95 %, food: "11352", weighed: as bought}
  equipment: none shared
  method: Simmered
  makes: 640 g
  loss: {evaporated: 80 %, left behind: 20 %}
  alcohol stays: 40 %
  water used twice: yes
- recipe: cutlet
  ingredients:
    - veal: 800 g
    - milk: 1 l
    - egg: 2 large
    - breadcrumbs: 100 g
  poured off: {lines: [milk], stays in: 10-14 %}
  coated in: {lines: [egg, breadcrumbs], picked up: 20 %}
  fried in: {oil: sunflower oil, taken up: 6 %, food: "04506"}
  equipment: [deep fryer]
  equipment order: first after oil change
  cleaned between: no
  same batch as: dill cream
  water change: -12 %
  fat change: -4 to -2 %
  makes: 12 pieces of 70-75 g
- recipe: glaze
  ingredients:
    - stock: 2 l
  reduced to: 400 g
- dish: veal, dill
  portion:
    - cutlet: {amount: 1 piece, instead: dill cream}
    - dill cream: {amount: 10-12 g, leave off: yes}
  also: {meat: halal}
- pack: veal box
  holds:
    - veal, dill: 2
  sold: prepacked for direct sale
  label name: Breaded veal with dill
  shelf life: {use by: 48 hours, from: packing, set by: RM}
  net weight: {at least: 160 g}
  store: Keep below 5 °C
  show percentage of: [cutlet]
  may contain: [sesame]
  risk assessed: RM 2026-10-02
"""
PRODUCTS = """
- product: white miso paste
  supplier: Northquay Provisions
  ingredients on pack: |
    water, SOYA beans, rice,
    BARLEY koji
  contains: [soybeans, barley]
  may contain: none
  evidence: {kind: specification, checked: 2026-10-02, by: RM, pack code: rev 4}
  food: "16112"
  nutrition per 100 g: {basis: eu, energy: 823 kJ / 197 kcal, fat: 5.1 g, salt: 11.4 g, sodium: 4.56 g, vitamin b12: 100 ng}
  density: 1.2 g/ml
  one piece weighs: {sheet: 1.7 g}
  alcohol: 13% vol
  sulphites: 80 mg/kg
  gluten: 5 ppm
  refined: No
  also: {fish: cold smoked}
"""

MENU = """
menu: Winter
from: 2026-12-01
until: 2026-12-07
courses:
  - veal, dill
  - course: Main
    choice: ['veal, dill', dill cream]
packs:
  - veal box
"""
BATCH = """
- batch: boxes
  makes: veal box
  date: 2026-11-25
  count: 24
  lots: {milk: C1}
  substitutes: {milk: oat drink}
  made by: RM
"""


@pytest.fixture
def kitchen(tmp_path: Path):
    def make(**files: str | bytes):
        """Names of files with / written as __: recipes__a="…"."""
        (tmp_path / "kitchen.yaml").write_text(HOUSE, encoding="utf-8")
        for name, body in files.items():
            path = tmp_path / (name.replace("__", "/") + ".yaml")
            path.parent.mkdir(exist_ok=True)
            path.write_bytes(body if isinstance(body, bytes) else body.encode())
        return read_kitchen(tmp_path)

    return make


def codes(findings) -> list[str]:
    return [one.code for one in findings]


def stops(findings) -> set[str]:
    return {one.subject for one in findings if one.severity == STOP}


def test_house(kitchen) -> None:
    house, findings = kitchen()
    assert not findings
    assert (house.name, house.law, house.nation, house.measures) == ("The Test Kitchen", "uk", "england", "metric")
    assert house.stocks == {"canapés": "A4 99.1 x 67.7"}
    fryer = house.equipment["deep fryer"]
    assert (fryer.changed, fryer.also_cooks, fryer.cleaned_between) == ("2026-11-24", ("squid rings",), True)
    assert house.equipment["water bath"].changed == ""
    assert str(fryer.place) == "kitchen.yaml:9"


def test_recipes(kitchen) -> None:
    house, findings = kitchen(recipes__a=RECIPES)
    assert not findings, findings
    cream, cutlet, glaze = (house.recipes[name] for name in ("dill cream", "cutlet", "glaze"))
    assert cream.kind == "recipe" and cream.also_called == ("dill sauce",) and cream.equipment == () and cream.water_used_twice
    lines = {line.name: line for line in cream.lines}
    assert lines["crème fraîche"].amount.number == Span.of(400) and str(lines["crème fraîche"].place) == "recipes/a.yaml:5"
    assert lines["dill"].trim == Span.of(0.35) and lines["dill"].trimmed_to == "dill stalks"
    assert lines["bouquet garni"].kept == Span.of(0) and lines["bouquet garni"].note == "strained out"
    assert lines["sea salt"].amount.vague == "to taste" and lines["sea salt"].amount.about.number.mid == 3
    assert lines["pepper"].amount.about is None and lines["nutmeg"].amount is None
    potato = lines["potato"]
    assert (potato.food, potato.cooked_as, potato.weight_is) == ("11352", "boiled", "as bought")
    assert potato.amount.number == Span(200, 210, 220) and potato.cooking_yield == Span.of(0.95)
    assert cream.makes.grams == Span.of(640) and cream.method == "simmered"
    assert [(one.kind, one.share) for one in cream.loss] == [("evaporated", 0.8), ("left behind", 0.2)]
    assert cream.alcohol_stays == Span.of(0.4)
    assert cutlet.poured_off[0].lines == ("milk",) and cutlet.poured_off[0].stays == pytest.approx((0.10, 0.12, 0.14))
    assert cutlet.coating.lines == ("egg", "breadcrumbs") and cutlet.coating.picked_up == Span.of(0.2)
    assert (cutlet.fried_in.oil, cutlet.fried_in.taken_up, cutlet.fried_in.food) == ("sunflower oil", Span.of(0.06), "04506")
    assert (
        cutlet.equipment == ("deep fryer",) and cutlet.equipment_order == "first after oil change" and not cutlet.cleaned_between
    )
    assert cutlet.same_batch_as == ("dill cream",)
    assert cutlet.water_change == Span.of(-0.12) and cutlet.fat_change == pytest.approx((-0.04, -0.03, -0.02))
    assert cutlet.makes.pieces == Span.of(12) and cutlet.makes.piece_grams == Span(70, 72.5, 75)
    assert glaze.reduced_to == (None, Span.of(400))


def test_lines_poured_off_are_named_as_the_lines_are(kitchen) -> None:
    """The pouring looks a line up by its name: "Milks" must arrive as "milk"."""
    body = RECIPES.replace("lines: [milk]", "lines: [Milks]").replace("lines: [egg, breadcrumbs]", "lines: [Eggs, Breadcrumbs]")
    cutlet = kitchen(recipes__a=body)[0].recipes["cutlet"]
    assert cutlet.poured_off[0].lines == ("milk",) and cutlet.coating.lines == ("egg", "breadcrumbs")


def test_dish_and_pack(kitchen) -> None:
    house, _ = kitchen(recipes__a=RECIPES)
    dish, pack = house.recipes["veal, dill"], house.recipes["veal box"]
    assert dish.lines[0].instead == "dill cream" and dish.lines[1].leave_off and dish.recorded == (("meat", "halal"),)
    assert dish.equipment is None and dish.serves == Span.of(1)
    assert pack.kind == "pack" and pack.lines[0].amount.number.mid == 2 and pack.legal_name == "Breaded veal with dill"
    assert (pack.shelf_life.kind, pack.shelf_life.days, pack.shelf_life.counted_from) == ("use by", 2, "packing")
    assert pack.net_weight.grams == 160 and pack.net_weight.at_least and pack.store == "Keep below 5 °C"
    assert pack.quid == ("cutlet",) and pack.precaution == ("sesame",) and pack.precaution_assessed == "RM 2026-10-02"


def test_product(kitchen) -> None:
    house, findings = kitchen(products__a=PRODUCTS)
    assert codes(findings) == ["number-not-read"] and "100 ng" in findings[0].text  # no label of food is in nanograms
    miso = house.products["white miso paste"]
    assert miso.label_text == "water, SOYA beans, rice, BARLEY koji"
    assert miso.contains == ("soybeans", "barley") and miso.may_contain == ()
    assert (miso.evidence.kind, miso.evidence.checked, miso.evidence.by, miso.evidence.pack_code) == (
        "specification",
        "2026-10-02",
        "RM",
        "rev 4",
    )
    assert miso.nutrition_basis == "eu" and dict(miso.nutrition) == pytest.approx(
        {"energy_kj": 823, "energy_kcal": 197, "fat_g": 5.1, "salt_g": 11.4, "sodium_mg": 4560})  # fmt: skip
    assert miso.pieces == (("sheet", 1.7),) and miso.density_g_per_ml == 1.2 and miso.alcohol_vol_percent == 13
    assert (miso.sulphites_mg_per_kg, miso.gluten_mg_per_kg, miso.refined) == (80, 5, False)


def test_contains_nothing_is_not_nothing_written(kitchen) -> None:
    """Blank is not no: without ``contains`` it stays None; "none" is an empty tuple; an empty key or list is a finding."""
    house, findings = kitchen(
        products__a="- product: a\n- product: b\n  contains: none\n- product: c\n  contains:\n- product: d\n  contains: []\n"
    )
    assert [house.products[name].contains for name in "abcd"] == [None, (), None, None]
    assert codes(findings) == ["key-without-value"] * 2 and [each.subject for each in findings] == ["c", "d"]


def test_menus_batches_matches(kitchen) -> None:
    house, findings = kitchen(
        recipes__a=RECIPES,
        menus__m=MENU,
        batches__b=BATCH,
        matches="- {ingredient: crème fraîche, food: '01056', release: SR28, by: RM, date: 2026-10-02}\n",
    )  # fmt: skip
    assert not findings, findings
    menu, batch = house.menus["Winter"], house.batches["boxes"]
    assert menu.dishes() == ("veal, dill", "dill cream", "veal box") and menu.courses[1].title == "Main"
    assert (batch.makes, batch.count, batch.lots, batch.substitutes) == (
        "veal box",
        24,
        (("milk", "C1"),),
        (("milk", "oat drink"),),
    )
    match = house.matches["crème fraîche"]
    assert (match.food, match.by, match.date, match.release) == ("01056", "RM", "2026-10-02", "SR28")


def test_makes_in_every_form(kitchen) -> None:
    wanted = {
        "1.2 kg": (1200, None, None),
        "2 lb": (907.18474, None, None),
        "60 pieces of 7-8 g": (None, 60, 7.5),
        "60 x 8 g": (None, 60, 8),
        "60 pieces": (None, 60, None),
        "12 portions of 40 g": (None, 12, 40),
        "460 g in 60 pieces": (460, 60, None),
        "60 pieces, 460 g": (460, 60, None),
    }  # fmt: skip
    body = "".join(f"- recipe: r{n}\n  ingredients:\n    - salt: 3 g\n  makes: {typed}\n" for n, typed in enumerate(wanted))
    house, findings = kitchen(recipes__a=body)
    assert not findings, findings
    for n, (typed, (grams, pieces, each)) in enumerate(wanted.items()):
        makes = house.recipes[f"r{n}"].makes
        mids = tuple(span.mid if span is not None else None for span in (makes.grams, makes.pieces, makes.piece_grams))
        assert mids == pytest.approx((grams, pieces, each)), typed


def test_one_broken_entry_does_not_lose_the_others(kitchen) -> None:
    body = (
        "- recipe: first\n  ingredients:\n    - salt: 3 g\n"
        "- recipe: 'nduja butter\n  ingredients:\n    - butter: 3 g\n"
        "- dish: last\n  portion:\n    - 'nduja butter: 3 g\n    - first: 3 g\n"
        "- recipe: end\n  ingredients:\n    - salt: 3 g\n"
    )
    house, findings = kitchen(recipes__a=body)
    assert {name: len(one.lines) for name, one in house.recipes.items()} == {"first": 1, "nduja butter": 0, "last": 0, "end": 1}
    assert {"nduja butter", "last"} <= stops(findings) and not {"first", "end"} & stops(findings)


def test_an_unreadable_file_keeps_its_names(kitchen) -> None:
    body = "- recipe: jus\n  ingredients:\n    - crème: 3 g\n- recipe: glaze\n  ingredients:\n    - jus: 3 g\n"
    house, findings = kitchen(recipes__a=body.encode("latin-1"))
    assert house.recipes["jus"].lines == () and {"jus", "glaze"} <= stops(findings) and "" not in stops(findings)


def test_a_loss_that_can_touch_any_dish_stops_them_all(kitchen) -> None:
    """A name that is a guess, a file without names, tonight's substitutes: the finding has no subject."""
    for body in ("- recipe: crème\n  ingredients:\n    - salt: 3 g\n".encode("latin-1"), b"[" * 2000, b"\xff\xfe\x00a"):
        assert "" in stops(kitchen(recipes__a=body)[1]), body
    assert "" in stops(kitchen(recipes__a=b"", batches__b="- batch: b\n  date: 2026-11-25\n  substitute: {a: b}\n")[1])
    assert "" in stops(kitchen(recipes__a=b"", batches__b="- batch: b\n  substitutes: {a: b\n")[1])


def test_a_lost_menu_stops_no_dish(kitchen) -> None:
    findings = kitchen(menus__m="menu: Winter\n\tfrom: 2026-12-01\n")[1]
    assert findings and "" not in stops(findings)


def test_equipment_and_batch_mates_arrive_as_their_entries_spell_them(kitchen) -> None:
    body = RECIPES.replace("equipment: [deep fryer]", "equipment: [Deep Fryers]").replace(
        "same batch as: dill cream", "same batch as: Dill sauces"
    )
    house, findings = kitchen(recipes__a=body)
    assert not findings, findings
    assert house.recipes["cutlet"].equipment == ("deep fryer",) and house.recipes["cutlet"].same_batch_as == ("dill cream",)


def test_alias_bomb_is_refused_before_it_grows(kitchen) -> None:
    bomb = "a: &a [x, x, x, x, x, x, x, x, x]\n" + "".join(
        f"{chr(98 + n)}: &{chr(98 + n)} [{', '.join(['*' + chr(97 + n)] * 9)}]\n" for n in range(12)
    )
    start = time.perf_counter()
    _, findings = kitchen(recipes__a=bomb)
    assert time.perf_counter() - start < 2
    assert "begins-with-a-sign" in codes(findings)


@pytest.mark.parametrize(
    "body", ["[" * 50_000, "- " * 50_000, "{a: " * 50_000, "- [" * 9_000], ids=["lists", "dashes", "braces", "both"]
)
def test_deep_nesting(kitchen, body: str) -> None:
    _, findings = kitchen(recipes__a=body)
    assert {"nested-too-deep", "begins-with-a-sign"} & set(codes(findings))


@pytest.mark.parametrize(
    "body", ["\ufeff" + RECIPES, RECIPES.replace("\n", "\r\n"), RECIPES.replace("\n", "\r")], ids=["bom", "crlf", "cr"]
)
def test_other_editors(kitchen, body: str) -> None:
    house, findings = kitchen(recipes__a=body)
    assert not findings and len(house.recipes) == 5
    assert house.recipes["cutlet"].place.line == RECIPES[: RECIPES.index("recipe: cutlet")].count("\n") + 1


@pytest.mark.parametrize("mark", ["\x85", "\u2028", "\u2029"])
def test_breaks_that_no_editor_shows_move_no_line_number(kitchen, mark: str) -> None:
    house, findings = kitchen(recipes__a=f"- recipe: jus{mark}de veau\n  ingredients:\n    - salt: 3 gx\n{mark}&a")
    assert findings and all(one.place.line <= 4 for one in findings)
    assert "jus de veau" in house.recipes


def test_remarks_are_remarks(kitchen) -> None:
    body = "- recipe: jus        # the house jus: 2 l a day\n  ingredients:\n    - salt: 3 g  # fine\n    - pepper  # black\n"
    house, findings = kitchen(recipes__a=body)
    assert [line.name for line in house.recipes["jus"].lines] == ["salt", "pepper"] and codes(findings) == []


def test_ring_names_every_link_and_stops_each(kitchen) -> None:
    body = (
        "".join(f"- recipe: r{n}\n  ingredients:\n    - r{(n + 1) % 3}: 3 g\n" for n in range(3))
        + "- recipe: apart\n  ingredients:\n    - r0: 1 g\n"
    )
    _, findings = kitchen(recipes__a=body)
    rings = [one for one in findings if one.code == "ring-of-recipes"]
    assert {one.subject for one in rings} == {"r0", "r1", "r2"}
    for link in ("r0 uses r1 (recipes/a.yaml:3)", "r1 uses r2 (recipes/a.yaml:6)", "r2 uses r0 (recipes/a.yaml:9)"):
        assert link in rings[0].text


def test_a_ring_may_go_through_another_name_or_an_alternative(kitchen) -> None:
    body = "- recipe: one\n  also called: [uno]\n  ingredients:\n    - Twos: 3 g\n"
    body += "- dish: two\n  portion:\n    - salt: {amount: 3 g, instead: uno}\n"
    assert "ring-of-recipes" in codes(kitchen(recipes__a=body)[1])


def test_a_ring_may_go_through_the_frying_oil(kitchen) -> None:
    body = "- recipe: house oil\n  ingredients:\n    - crisps: 3 g\n- recipe: crisps\n  ingredients:\n    - salt: 3 g\n"
    body += "  fried in: {oil: house oil, taken up: 6 %}\n"
    assert "ring-of-recipes" in codes(kitchen(recipes__a=body)[1])


def test_long_chain_is_no_ring(kitchen) -> None:
    body = "".join(f"- recipe: r{n}\n  ingredients:\n    - r{n + 1}: 3 g\n" for n in range(3000))
    assert "ring-of-recipes" not in codes(kitchen(recipes__a=body)[1])


@pytest.mark.parametrize("word", ["yes", "Yes", "true", "TRUE", "y", "on"])
def test_yes_as_text(kitchen, word: str) -> None:
    house, findings = kitchen(recipes__a=f"- dish: plate\n  portion:\n    - salt: {{amount: 3 g, leave off: {word}}}\n")
    assert house.recipes["plate"].lines[0].leave_off and not findings


def test_numbers_keep_their_noughts_and_no_stays_a_word(kitchen) -> None:
    """YAML 1.1 would make 01077 the number 575 and "no" a False; here every scalar is text."""
    house, _ = kitchen(recipes__a="- recipe: jus\n  ingredients:\n    - no: {amount: 1 g, food: 01077}\n")
    assert house.recipes["jus"].lines[0].name == "no" and house.recipes["jus"].lines[0].food == "01077"


def test_version_follows_the_files(tmp_path: Path) -> None:
    write_kitchen("new", tmp_path)
    first = read_kitchen(tmp_path)[0]
    assert re.fullmatch(r"[0-9a-f]{12}", first.version) and read_kitchen(tmp_path)[0].version == first.version
    (tmp_path / "recipes" / "first.yaml").rename(tmp_path / "recipes" / "second.yaml")
    assert read_kitchen(tmp_path)[0].version != first.version


def test_new_kitchen_has_no_findings(tmp_path: Path) -> None:
    written, findings = write_kitchen("new", tmp_path / "ours")
    assert not findings and "kitchen.yaml" in written
    house, findings = read_kitchen(tmp_path / "ours")
    assert house.name == "Our kitchen" and not findings


def test_the_lesson_of_the_new_kitchen_reads(tmp_path: Path) -> None:
    """With its # taken off, the example of every file is right (a choice of dishes apart, which nobody has written)."""
    for file, data in files_of("new"):
        text = data.decode()
        if file != "kitchen.yaml":
            entry = re.search(r"^# - .*", text, re.S | re.M)[0]
            text = "\n".join(line[2:] for line in entry.splitlines())
        (tmp_path / file).parent.mkdir(exist_ok=True)
        (tmp_path / file).write_text(
            text.replace("# equipment", "equipment").replace("# label sheets", "label sheets").replace("#   -", "  -"),
            encoding="utf-8",
        )
    house, findings = read_kitchen(tmp_path)
    assert codes(findings) == ["dish-unknown", "dish-unknown"], findings
    assert house.menus and house.batches and house.products and len(house.recipes) == 7 and house.equipment


def test_every_key_has_a_meaning_and_an_example() -> None:
    for key in KEYS:
        assert key.example and (key.meaning or key.kind == "nutrition"), key
    assert len({(key.kind, key.key) for key in KEYS}) == len(KEYS)


def test_every_example_of_the_key_table_reads(kitchen) -> None:
    """The table teaches the format: what it shows must be read without a question."""
    first = {kind: next(key.key for key in KEYS if key.kind == kind) for kind in ("recipe", "dish", "pack", "product")}
    lists = ("ingredients", "portion", "holds")
    bodies: dict[str, str] = {"recipe": "", "dish": "", "pack": "", "product": ""}
    for key in KEYS:
        if key.kind in bodies:
            lead = "- " if key.key == first[key.kind] else "  "
            value = f"\n    {key.example}" if key.key in lists else f" {key.example}"
            bodies[key.kind] += f"{lead}{key.key}:{value}\n"
    lines = "".join(f"    - {name}: 3 g\n" for name in ("whole milk", "sea salt", "plain flour", "egg", "breadcrumbs"))
    for kind, name in (
        ("recipe", "crème fraîche: 400 g\n"),
        ("dish", "dill cream: 10-12 g\n"),
        ("pack", "hazelnut gougère: 6\n"),
    ):
        bodies[kind] = bodies[kind].replace(name, name + lines)
    _, findings = kitchen(
        recipes__a=bodies["recipe"], recipes__b=bodies["dish"], recipes__c=bodies["pack"], products__d=bodies["product"]
    )
    allowed = {"dish-unknown", "name-twice", "equipment-missing"}  # the examples know nothing of one another
    assert set(codes(findings)) <= allowed, [one for one in findings if one.code not in allowed]


def test_five_hundred_recipes_in_time(tmp_path: Path) -> None:
    """Design target: 500 recipes in 0.6 s; the bound here leaves room for a slow machine."""
    (tmp_path / "kitchen.yaml").write_text(HOUSE, encoding="utf-8")
    (tmp_path / "recipes").mkdir()
    one = RECIPES[RECIPES.index("- recipe: dill cream") : RECIPES.index("- recipe: cutlet")].replace(
        "  also called: [dill sauce]\n", ""
    )
    for n in range(25):
        text = "".join(one.replace("dill cream", f"cream {n} {m}").replace("dill stalks", f"stalks {n} {m}") for m in range(20))
        (tmp_path / "recipes" / f"{n}.yaml").write_text(text, encoding="utf-8")
    start = time.process_time()
    house, findings = read_kitchen(tmp_path)
    assert len(house.recipes) == 500 and not findings
    assert time.process_time() - start < 2


SIGNS = (
    "- ",
    "  ",
    "\n",
    "\n  ",
    "\n    - ",
    ": ",
    "{",
    "}",
    "[",
    "]",
    ", ",
    "'",
    '"',
    "#",
    "&a",
    "*a",
    "!x",
    "3 g",
    "12 %",
    "\t",
    "|",
)
MORE = (">", "~", "é", "½", "yes", "---\n", "? ", "\x07", "\u2028", "0")
words = st.sampled_from([*sorted(KNOWN["recipe"]), *sorted(KNOWN["line"]), *SIGNS, *MORE])


@given(st.lists(words, max_size=40).map("".join))
@settings(max_examples=400, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_never_raises_on_near_yaml(kitchen, text: str) -> None:
    house, findings = kitchen(
        recipes__a="- recipe: jus\n  " + text, products__a="- product: a\n  " + text, menus__a=text, batches__a=text, matches=text
    )
    assert house is not None
    assert all(one.text and one.mend for one in findings)


@given(st.binary(max_size=200))
@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_never_raises_on_bytes(kitchen, data: bytes) -> None:
    house, _ = kitchen(recipes__a=data, products__a=data, kitchen=data)
    assert house is not None


def test_ways_of_sale_are_those_of_the_laws() -> None:
    """What ``sold`` may say is what every law of ``reference/rules/`` has a rule for."""
    from labeller.reading.library import reference, yaml_text
    from labeller.reading.recipes import SOLD

    ways = set()
    for law in ("uk", "eu", "us", "ca", "anz", "none"):
        ways |= {one["key"] for one in yaml_text(reference("rules", f"{law}.yaml")).get("ways of sale", [])}
    assert ways == set(SOLD)
