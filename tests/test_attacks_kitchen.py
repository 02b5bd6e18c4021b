"""A second attack, written as chefs write: each way in which a guest was told "nothing on record" of what a careful person
reading the same files would say or doubt. How kitchens work and what words mean is common practice, no source, unless one is
named."""

from __future__ import annotations

from pathlib import Path

import pytest

from labeller.serving.cli import main
from labeller.serving.guest import options_of
from labeller.serving.pipeline import open_kitchen
from labeller.terms.allergens import CONTAINS, CROSS_CONTACT, GROUPS, NOT_CONFIRMED

DAY = "2026-11-25"
PAPER = "  evidence: {kind: pack, checked: 2026-11-20, by: RM}\n"
FRYER = "  equipment: [deep fryer]\n  method: deep fried\n"
APART = "  equipment: none shared\n"


def house(equipment: str) -> str:
    return f"kitchen: Test\nlaw: uk\nequipment:\n  - {equipment}\n"


def dish(name: str, *lines: str, more: str = APART) -> str:
    return f"- dish: \"{name}\"\n  serves: 1\n{more}  portion:\n" + "".join(f"    - {line}\n" for line in lines)


def recipe(name: str, *lines: str, more: str = "") -> str:
    return f"- recipe: \"{name}\"\n{more}  ingredients:\n" + "".join(f"    - {line}\n" for line in lines)


def product(name: str, pack: str = "", more: str = "", paper: str = PAPER) -> str:
    return f"- product: {name}\n" + (f"  ingredients on pack: {pack}\n" if pack else "") + more + paper


def opened(folder: Path, recipes: str, date: str = DAY, **files: str):
    """A kitchen written and read back. files: of ``house``, ``products``, ``batches``."""
    texts = {"kitchen.yaml": files.get("house", "kitchen: Test\nlaw: uk\n"), "recipes/all.yaml": recipes,
             "products/shelf.yaml": files.get("products", ""), "batches/days.yaml": files.get("batches", "")}  # fmt: skip
    for name, text in texts.items():
        if text:
            path = folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
    return open_kitchen(folder, date)


def told(kitchen, name: str = "plate") -> tuple[dict[str, set[str]], dict]:
    """(kind -> states, code -> finding) of one dish."""
    made = kitchen.kitchen.recipes[name]
    facts: dict[str, set[str]] = {}
    for fact in kitchen.workshop.facts(made):
        facts.setdefault(fact.kind, set()).add(fact.state)
    return facts, {each.code: each for each in kitchen.workshop.findings_of(made)}


def open_for_all(facts: dict[str, set[str]]) -> bool:
    return all(NOT_CONFIRMED in facts.get(group, ()) for group in GROUPS)


# Oil, water and batches ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("change", ["leave off: yes", "instead: courgette"])
def test_what_is_left_off_one_plate_is_still_fried_for_the_others(tmp_path, change: str) -> None:
    lines = f"scallops: {{amount: 50 g, {change}}}", "carrot: 50 g"
    kitchen = opened(tmp_path, dish("plate", *lines, more=FRYER), house=house("deep fryer: {oil changed: 2026-11-23}"))
    options = options_of(kitchen.workshop, kitchen.kitchen.recipes["plate"])
    assert {bool(one.changes): one.states["molluscs"].state for one in options} == {False: CONTAINS, True: CROSS_CONTACT}


RINGS = dish("plate", "carrot: 50 g", more=FRYER) + dish("rings", "onion: 50 g", "batter mix: 20 g", more=FRYER)
WHEATEN = product("batter mix", "wheat flour, salt", "  contains: [wheat]\n")
BATTERS = WHEATEN + product("rice batter", "rice flour", "  contains: none\n")
SWAP = "- batch: swap\n  date: {day}\n  substitutes: {{batter mix: rice batter}}\n"


@pytest.mark.parametrize(("changed", "states"), [("2026-11-23", {CROSS_CONTACT}), ("2026-11-25", set())])
def test_tonights_replacement_does_not_clean_the_oil_of_the_days_before(tmp_path, changed: str, states: set[str]) -> None:
    kitchen = opened(tmp_path, RINGS, house=house(f"deep fryer: {{oil changed: {changed}}}"), products=BATTERS,
                     batches=SWAP.format(day=DAY))  # fmt: skip
    assert told(kitchen)[0].get("wheat", set()) == told(kitchen, "rings")[0].get("wheat", set()) == states


def test_a_replacement_of_yesterday_is_still_in_the_oil(tmp_path) -> None:
    swap = "- batch: swap\n  date: 2026-11-24\n  substitutes: {rice batter: batter mix}\n"
    plain = RINGS.replace("batter mix", "rice batter")
    for changed, states in (("2026-11-23", {CROSS_CONTACT}), ("2026-11-25", set())):
        kitchen = opened(tmp_path, plain, house=house(f"deep fryer: {{oil changed: {changed}}}"), products=BATTERS, batches=swap)
        assert told(kitchen)[0].get("wheat", set()) == states


CREAM = recipe("dill cream", "double cream: 100 g", "dill: 5 g") + dish("plate", "dill cream: 50 g")
NUTS = product("nut cream", "almonds, water", "  contains: [almond]\n")
CREAMS = product("double cream", "cream (milk)", "  contains: [milk]\n") + NUTS
NUTTY = "- batch: yesterday\n  date: {day}\n  makes: dill cream\n  substitutes: {{double cream: nut cream}}\n"
ANEW = "- batch: today\n  date: 2026-11-25\n  makes: dill cream\n"


@pytest.mark.parametrize(("batches", "states"), [
    (NUTTY.format(day="2026-11-24"), {NOT_CONFIRMED}), (NUTTY.format(day="2026-11-20"), set()),
    (NUTTY.format(day="2026-11-24") + ANEW, set()),
])  # fmt: skip
def test_a_tub_of_yesterday_may_hold_yesterdays_replacement(tmp_path, batches: str, states: set[str]) -> None:
    assert told(opened(tmp_path, CREAM, products=CREAMS, batches=batches))[0].get("almond", set()) == states


@pytest.mark.parametrize("own", [APART, "", "  equipment: [grill]\n"])
@pytest.mark.parametrize("said_by", ["plate", "shells"])
def test_what_is_cooked_in_one_batch_meets_whatever_is_said_of_equipment(tmp_path, own: str, said_by: str) -> None:
    mates = {"plate": "", "shells": ""} | {said_by: f"  same batch as: [{'shells' if said_by == 'plate' else 'plate'}]\n"}
    text = dish("plate", "carrot: 50 g", more=own + mates["plate"]) + dish("shells", "scallops: 50 g", more=own + mates["shells"])
    assert CONTAINS in told(opened(tmp_path, text, house=house("grill: {cleaned between: yes}")))[0]["scallop"]


@pytest.mark.parametrize("more", [APART, ""])
def test_water_used_twice_has_been_somewhere(tmp_path, more: str) -> None:
    assert open_for_all(told(opened(tmp_path, dish("plate", "carrot: 50 g", more=more + "  water used twice: yes\n")))[0])


def test_only_one_food_goes_first(tmp_path) -> None:
    first = FRYER + "  equipment order: first after oil change\n"
    text = dish("plate", "carrot: 50 g", more=first) + dish("shells", "scallops: 50 g", more=first)
    facts, findings = told(opened(tmp_path, text, house=house("deep fryer: {oil changed: 2026-11-25}")))
    assert facts["scallop"] == {CROSS_CONTACT} and findings["several-go-first"].severity == "doubt"


@pytest.mark.parametrize(("name", "more"), [
    ("deep-fried carrot", ""), ("carrot fries", ""), ("carrot tempura", ""), ("plate", "  description: finished in the fryer\n"),
    ("plate", "  method: cooked in pasta water\n"), ("plate", "  method: crisped in hot oil\n"),
    ("plate", "  also called: [carrot fritters]\n"),
])  # fmt: skip
def test_words_that_bring_a_dish_into_oil_or_water_ask_for_its_equipment(tmp_path, name: str, more: str) -> None:
    facts, findings = told(opened(tmp_path, dish(name, "carrot: 50 g", more=more)), name)
    assert open_for_all(facts) and findings["equipment-not-recorded"].severity == "doubt"
    facts, findings = told(opened(tmp_path, dish(name, "carrot: 50 g", more=more + APART)), name)
    assert "equipment-not-recorded" not in findings and "milk" not in facts


@pytest.mark.parametrize("name", ["stir-fried carrot", "refried beans with carrot", "carrot crisp"])
def test_words_that_only_sound_like_it_do_not(tmp_path, name: str) -> None:
    assert "equipment-not-recorded" not in told(opened(tmp_path, dish(name, "carrot: 50 g", more="")), name)[1]


# What packs and papers say ---------------------------------------------------------------------------------------------------

PLATE = dish("plate", "paste: 50 g")
NONE = "  contains: none\n"


def judged(folder: Path, pack: str = "", more: str = "", paper: str = PAPER, law: str = "uk"):
    made = product("paste", pack and f'"{pack}"', more, paper)
    return told(opened(folder, PLATE, products=made, house=f"kitchen: Test\nlaw: {law}\n"))


@pytest.mark.parametrize(("words", "kind"), [
    ("marmite", "celery"), ("yolk", "eggs"), ("salted yolk", "eggs"), ("guinness", "barley"), ("nutella", "hazelnut"),
    ("chow chow", "mustard"), ("crumble", "wheat"), ("dumplings", "wheat"), ("fettuccini", "wheat"),
    ("korean chilli paste", "soybeans"),
    ("sausage", "wheat"), ("broth", "celery"), ("salami", "milk"), ("crab stick", "eggs"), ("protein powder", "milk"),
    ("shortcrust", "wheat"), ("soup", "celery"), ("massaman paste", "peanuts"), ("financier", "almond"),
    ("enchilada", "wheat"), ("Ei", "eggs"), ("room", "milk"), ("vis", "fish"),
    ("wei", "milk"), ("pane", "wheat"), ("flavouring", "mustard"), ("cannot guarantee nut free", "tree_nuts"),
])  # fmt: skip
def test_a_thing_on_a_pack_that_does_not_say_what_is_in_it_is_not_nothing(tmp_path, words: str, kind: str) -> None:
    assert judged(tmp_path, f"water, {words}, salt")[0].get(kind)


@pytest.mark.parametrize(("words", "kind"), [
    ("caramel colour", "milk"), ("bacon crumbles", "wheat"), ("crème de marrons", "crayfish"), ("pasta di nocciole", "wheat"),
    ("rape", "fish"), ("smoke flavouring", "celery"), ("sausage (pork, rice flour, salt)", "wheat"), ("prawns", "sulphites"),
])  # fmt: skip
def test_what_only_looks_like_it_is_left_alone(tmp_path, words: str, kind: str) -> None:
    assert kind not in judged(tmp_path, f"water, {words}, salt")[0]


@pytest.mark.parametrize(("words", "kind"), [
    ("stock", "celery"), ("vegetable protein", "soybeans"), ("hydrolysed vegetable protein", "wheat"), ("marmite", "barley"),
    ("cocktail sauce", "eggs"), ("multigrain", "wheat"), ("worcestershire sauce", "fish"), ("granola", "oats"),
    ("gravy", "celery"),
    ("flour", "wheat"), ("Ei", "eggs"),
])  # fmt: skip
def test_contains_written_from_a_pack_knows_no_more_than_its_words(tmp_path, words: str, kind: str) -> None:
    facts, findings = judged(tmp_path, f"water, {words}, salt", NONE)
    assert facts.get(kind) and {"pack-words-vague", "label-disagrees"} & set(findings)
    specified = PAPER.replace("kind: pack", "kind: specification")
    assert "pack-words-vague" not in judged(tmp_path, f"water, {words}, salt", NONE, specified)[1], "who read it knows more"


def test_a_class_word_is_settled_where_the_law_makes_the_pack_name_the_kind(tmp_path) -> None:
    """Celery and mustard stand in Annex II of Regulation (EU) No 1169/2011 and not in 21 U.S.C. 321(qq)."""
    assert not judged(tmp_path, "water, spices, salt", NONE)[0]
    facts, findings = judged(tmp_path, "water, spices, salt", NONE, law="us")
    assert facts["mustard"] == facts["celery"] == {NOT_CONFIRMED} and "pack-words-vague" in findings


@pytest.mark.parametrize(("name", "kind"), [("puff pastry", "milk"), ("worcester sauce", "anchovy"), ("vegan mince", "soybeans")])
def test_what_a_product_usually_holds_is_not_confirmed_away(tmp_path, name: str, kind: str) -> None:
    kitchen = opened(tmp_path, dish("plate", f"{name}: 50 g"), products=product(name, "", NONE))
    facts, findings = told(kitchen)
    assert facts[kind] == {NOT_CONFIRMED} and "usual-not-declared" in findings


@pytest.mark.parametrize("pack", [
    "n/a", "100% natural", "...", "vegan, gluten free", "free from the 14 allergens", "see tub", "as before",
])  # fmt: skip
def test_a_text_that_names_no_food_is_no_list(tmp_path, pack: str) -> None:
    assert open_for_all(judged(tmp_path, pack)[0])


@pytest.mark.parametrize("evidence", [
    "{kind: pack}", "{kind: pack, checked: yesterday, by: RM}", '{kind: pack, checked: "", by: ""}',
])  # fmt: skip
def test_evidence_without_a_day_is_none(tmp_path, evidence: str) -> None:
    facts, findings = judged(tmp_path, "water, salt", NONE, f"  evidence: {evidence}\n")
    assert open_for_all(facts) and findings["unread-product"].severity == "doubt"


@pytest.mark.parametrize(("name", "is_one"), [
    ("RX base", False), ("Umamix", False), ("Maldon sea salt", True), ("carrots", True),
])  # fmt: skip
def test_a_single_ingredient_is_known_by_its_name(tmp_path, name: str, is_one: bool) -> None:
    paper = "  evidence: {kind: single ingredient, checked: 2026-11-20, by: RM}\n"
    facts = told(opened(tmp_path, dish("plate", f"{name}: 50 g"), products=product(name, paper=paper)))[0]
    assert open_for_all(facts) != is_one


# Files that somebody believes in ---------------------------------------------------------------------------------------------

TONIGHT = "- batch: tonight\n  date: 2026-11-25\n  substitutes: {carrot: scallops}\n"


def with_file(folder: Path, file: str, text: str = TONIGHT) -> dict[str, str]:
    """Code -> severity of what is found with a further file in the kitchen."""
    path = folder / file
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return {each.code: each.severity for each in opened(folder, dish("plate", "carrot: 50 g")).findings}


@pytest.mark.parametrize("file", [
    "Batches/x.yaml", "batch/x.yaml", "BATCHES/deep/x.yml", "Menu/x.yaml", "tonight/x.yaml", "tonight.yaml", "batches/x.yaml.txt",
    "batches/x.txt", "batches/x", "x.yaml",
])  # fmt: skip
def test_a_batch_that_is_not_read_stops_the_service(tmp_path, file: str) -> None:
    assert with_file(tmp_path, file)["batch-not-read"] == "stop"


def test_a_stopped_kitchen_answers_no_guest(tmp_path) -> None:
    with_file(tmp_path, "Batches/x.yaml")
    assert "batch-not-read" in told(open_kitchen(tmp_path, DAY))[1]


@pytest.mark.parametrize("folder", ["Products", "product", "Recipes", "recipe", "Menu", "prodcuts"])
def test_a_folder_almost_of_the_kitchens_is_a_doubt(tmp_path, folder: str) -> None:
    assert with_file(tmp_path, f"{folder}/x.yaml", product("paste", "sesame"))["folder-not-read"] == "doubt"


@pytest.mark.parametrize(("file", "text"), [
    ("archive/x.yaml", TONIGHT), ("photos/x.txt", "batch of photos"), ("batches/x.yaml.bak", TONIGHT),
    ("batches/_draft.yaml", TONIGHT),
])  # fmt: skip
def test_what_nobody_takes_for_tonights_is_no_more_than_a_note(tmp_path, file: str, text: str) -> None:
    assert set(with_file(tmp_path, file, text).values()) <= {"note"}


@pytest.mark.parametrize("contains", ['""', "[]", "''"])
def test_nothing_behind_contains_is_not_none(tmp_path, contains: str) -> None:
    facts, findings = judged(tmp_path, "", f"  contains: {contains}\n")
    assert open_for_all(facts) and findings["key-without-value"].severity == "stop"


def test_a_list_that_is_cut_off_at_a_number_sign_is_told(tmp_path) -> None:
    text = product("paste", "sugar, yellow #5, sesame")
    assert told(opened(tmp_path, PLATE, products=text))[1]["name-cut-by-hash"].severity == "stop"
    text = product("paste", "water, salt    # the new tub")
    assert "name-cut-by-hash" not in told(opened(tmp_path, PLATE, products=text))[1]


# What a name says a plate is made with ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(("name", "more", "kind"), [
    ("carrot on toast", "", "wheat"), ("carrot ravioli", "", "wheat"), ("carrot cake", "", "wheat"), ("carrot tart", "", "wheat"),
    ("apple crumble", "", "wheat"), ("carrot tempura", "", "wheat"), ("breaded carrot", "", "wheat"),
    ("carrot gnocchi", "", "wheat"),
    ("carrot noodles", "", "wheat"), ("carrot biscuit", "", "wheat"), ("carrot brioche", "", "wheat"),
    ("carrot satay", "", "peanuts"),
    ("carrot hummus", "", "sesame"), ("carrot panna cotta", "", "milk"), ("carrot custard", "", "eggs"),
    ("carrot dukkah", "", "sesame"),
    ("carrot praline", "", "tree_nuts"), ("carrot caesar", "", "fish"), ("carrot bisque", "", "crustaceans"),
    ("carrot kimchi", "", "fish"), ("carrot teriyaki", "", "soybeans"), ("carrot piccalilli", "", "mustard"),
    ("plate", "  description: on toast\n", "wheat"), ("plate", "  also called: [carrot pasta]\n", "wheat"),
    ("plate", "  method: battered and baked\n", "wheat"), ("carrot en croûte", "", "wheat"), ("carrot crêpe", "", "wheat"),
])  # fmt: skip
def test_a_name_that_says_what_a_dish_is_made_with(tmp_path, name: str, more: str, kind: str) -> None:
    facts, findings = told(opened(tmp_path, dish(name, "carrot: 50 g", more=APART + more)), name)
    assert facts[kind] == {NOT_CONFIRMED} and findings["words-name-an-allergen"].severity == "doubt"


@pytest.mark.parametrize(("name", "lines"), [
    ("carrot cracker", ["carrot: 5 g", "buckwheat flour: 5 g"]), ("carrot cake", ["carrot: 5 g", "ground almonds: 5 g"]),
    ("carrot pakora in batter", ["carrot: 5 g", "gram flour: 5 g"]), ("carrot on toast", ["carrot: 5 g", "rye toast: 5 g"]),
    ("carrot rice noodles", ["carrot: 5 g"]), ("carrot spaghetti squash", ["carrot: 5 g"]), ("tart cherry", ["cherry: 5 g"]),
    ("mushroom bisque", ["button mushroom: 5 g"]), ("carrot and oat crumble", ["carrot: 5 g", "oats: 5 g"]),
    ("carrot tartare", ["carrot: 5 g", "egg: 5 g"]), ("carrot tortilla", ["carrot: 5 g"]), ("breadfruit", ["carrot: 5 g"]),
])  # fmt: skip
def test_a_word_that_a_line_accounts_for_is_left_alone(tmp_path, name: str, lines: list[str]) -> None:
    assert "words-name-an-allergen" not in told(opened(tmp_path, dish(name, *lines)), name)[1]


def test_a_component_is_judged_where_it_is_made(tmp_path) -> None:
    text = recipe("seed cracker", "pumpkin: 5 g", "rice flour: 5 g")
    text += dish("carrot, seed cracker", "carrot: 5 g", "seed cracker: 5 g")
    assert "words-name-an-allergen" not in told(opened(tmp_path, text), "carrot, seed cracker")[1]


@pytest.mark.parametrize("more", ["  also called: [peanut dust]\n", "  label name: peanut dust\n"])
def test_another_name_of_a_product_names_an_allergen(tmp_path, more: str) -> None:
    text = product("magic dust", "water, salt", NONE + more)
    facts, findings = told(opened(tmp_path, dish("plate", "magic dust: 5 g"), products=text))
    assert facts["peanuts"] == {NOT_CONFIRMED} and "words-name-an-allergen" in findings


def test_a_pinned_row_does_not_hide_the_kitchens_own_recipe(tmp_path) -> None:
    """SR28 11124 is raw carrots; the kitchen's "dressing" is made of celery whatever its figures are taken from."""
    text = recipe("dressing", "celery: 5 g", "carrot: 5 g") + dish("plate", "dressing: {amount: 5 g, food: \"11124\"}")
    assert CONTAINS in told(opened(tmp_path, text))[0]["celery"]


# What was signed -------------------------------------------------------------------------------------------------------------


def test_an_allergen_that_an_edit_took_off_the_signed_record_is_asked_about(tmp_path, capsys) -> None:
    paper = PAPER.replace("kind: pack", "kind: specification") + "  food: \"11124\"\n"
    opened(tmp_path, dish("plate", "paste: 50 g"), products=product("paste", "", "  contains: [sesame]\n", paper))
    (tmp_path / "menus").mkdir()
    menu = "menu: Test\nfrom: 2026-11-01\nuntil: 2026-12-31\ncourses:\n  - plate\n"
    (tmp_path / "menus" / "m.yaml").write_text(menu, encoding="utf-8")
    here = ["--kitchen", str(tmp_path), "--date", DAY]
    assert main(["sign-off", "Test", "--by", "RM", "--role", "chef", "--second", "AL", *here]) == 0
    opened(tmp_path, dish("plate", "paste: 50 g"), products=product("paste", "", NONE, paper))
    capsys.readouterr()
    main(["guest", "--avoid", "sesame", *here])
    told_ = capsys.readouterr().out
    assert "ask the kitchen" in told_ and "signed as no. 1 with sesame" in told_ and "nothing on record" not in told_
    main(["guest", "--avoid", "celery", *here])
    assert "nothing on record" in capsys.readouterr().out
