"""The guest card, read back from its PDF: every allergen of a dish under the state it is in, what a change does, no verdict.

That a guest is told of allergens dish by dish and asked to speak up: Food Standards Agency, best practice on allergen information
in writing, paragraphs 28-31 (as noted in a secondary page). Contrast of 4.5:1 for text: WCAG 2.1, success criterion 1.4.3. Type
of 10 points and more, a sheet of paper for both sides: common practice, no source.
"""

from __future__ import annotations

import random
import re
from pathlib import Path

import pytest
from generated import kitchen as generated_kitchen
from generated import with_fryer, workshop
from msgspec.structs import replace
from paper_kitchen import kitchen, printed
from sheets_kitchen import GROUP, LOOKS, WORDS, declare, fact, tasting
from test_cards import placed, sound  # noqa: F401 - placed is a fixture
from test_matrix import texts

from labeller.printing.guest_card import LEAST_PT, guest_card_pdf
from labeller.printing.guest_words import LEADS, guest_words
from labeller.printing.sheet import Text
from labeller.serving.cli import main
from labeller.serving.pipeline import Opened, declared, open_kitchen
from labeller.serving.ways import effects
from labeller.terms.allergens import (
    CONTAINS,
    CROSS_CONTACT,
    GROUPS,
    MAY_CONTAIN,
    NONE_ON_RECORD,
    NOT_CONFIRMED,
    RANK,
    TO_CONFIRM,
)
from labeller.terms.allergens import STATES as STATE_LIST
from labeller.terms.findings import NOWHERE
from labeller.terms.floor import Change, Effect
from labeller.terms.kitchen import Course, Menu

DAY = "2026-11-25"
SIX = ("en", "de", "fr", "es", "it", "nl")
NO_ANSWER = "NO ANSWER \N{EN DASH} ASK THE KITCHEN"
# Words that would answer for the guest, in each language; those of the ticket are verdicts, and the card is not a ticket.
VERDICTS = {
    "en": "safe|free from|suitable|not for this guest|nothing on record|can eat|may eat|fine for",
    "de": "sicher|unbedenklich|geeignet|frei von|nicht für diesen gast|nichts verzeichnet|verträglich",
    "fr": "sûr|sans danger|convient|exempt|pas pour ce client|rien d’enregistré",
    "es": "seguro|apto|libre de|no para este comensal|nada registrado",
    "it": "sicuro|adatto|privo di|non per questo ospite|nulla registrato",
    "nl": "veilig|geschikt|vrij van|niet voor deze gast|niets geregistreerd",
}


def card(menu: Menu, declarations, ways=None, **other) -> tuple[str, tuple]:
    data, found = guest_card_pdf(menu, declarations, ways or {}, date="2026-12-03", kitchen_name="Fennel House", looks=LOOKS,
                                 **other)  # fmt: skip
    return " ".join(texts(data)), found


def under(text: str, names: list[str]) -> list[str]:
    """What stands under each name, in the order of the card."""
    starts, at = [], 0
    for name in names:
        at = text.index(name, at)
        starts.append(at)
        at += len(name)
    return [text[start:end] for start, end in zip(starts, [*starts[1:], len(text)], strict=True)]


def line_of(text: str, state: str, language: str = "en") -> str:
    """The line of a state under a dish, up to the next line of any kind; "" where there is none."""
    said = guest_words(LOOKS, language)[0]
    leads = [said.say(lead, "{}").split("{}")[0].strip() for lead in LEADS.values() if lead != "none"]
    leads.append(said.say("on request", "{}").split("{}")[0].strip())
    mine = said.say(LEADS[state], "{}").split("{}")[0].strip()
    if mine not in text:
        return ""
    rest = text.split(mine, 1)[1]
    return re.split("|".join(map(re.escape, [*leads, said.say("notice")])), rest)[0]


def worst(facts) -> dict[str, str]:
    """Kind -> its worst state on record, worked out here, not by the sheets."""
    out: dict[str, str] = {}
    for each in facts:
        if each.state != NONE_ON_RECORD and RANK[each.state] < RANK[out.get(each.kind, NONE_ON_RECORD)]:
            out[each.kind] = each.state
    return out


@pytest.mark.parametrize("page", ["A4", "Letter"])
@pytest.mark.parametrize("count", (1, 5, 14, 28))
def test_every_allergen_stands_under_its_dish_in_its_state(count, page, placed):  # noqa: F811
    menu, declarations = tasting(count)
    text, found = card(menu, declarations, page=page)
    assert found == ()
    for one, told in zip(declarations, under(text, [one.dish for one in declarations]), strict=True):
        if one.stopped:
            assert NO_ANSWER in told and "Contains" not in told
            continue
        for kind, state in worst(one.record.facts).items():
            word = WORDS.get(kind, kind).removesuffix("s") if kind != "sulphites" else kind
            assert word in line_of(told, state), (one.dish, kind, state)
    sound(placed)


def test_what_stands_on_the_card_besides_the_dishes():
    menu, declarations = tasting(5)
    text, _ = card(menu, declarations, issue="issued no. 3, 1 December 2026, signed by RM (head chef) · mark ABCDE")
    for words in ("Allergens, dish by dish", "December tasting", "Thursday 3 December 2026", "Fennel House", "issued no. 3",
                  "Please tell us about any allergy", "Please speak to your waiter", "cross-contact can’t be ruled out",
                  "From the kitchen’s records of 25 November 2026", "Snacks", "page 1 of"):  # fmt: skip
        assert words in text, words


def test_shared_equipment_is_named_and_nothing_on_record_is_dated():
    squid = fact("squid", CROSS_CONTACT, "deep fryer also cooks squid rings", "crisps", "deep fryer")
    squid = replace(squid, route="shared equipment")
    menu = Menu("One", NOWHERE, courses=(Course(("plate", "granita"), NOWHERE),))
    text, _ = card(menu, [declare("plate", squid, fact("milk", CONTAINS)), declare("granita")])
    assert "May contain, from shared equipment: squid (deep fryer)" in text
    assert "granita None of the listed allergens on record, checked 25 November 2026" in text


def test_a_dish_without_a_declaration_has_no_answer_and_is_a_finding():
    menu, declarations = tasting(2)
    text, found = card(menu, declarations[:1])
    assert [one.code for one in found] == ["dish-without-declaration"]
    assert f"Smoked trout, rye, dill {NO_ANSWER}" in text


@pytest.mark.parametrize("language", SIX)
def test_changes_are_told_with_what_they_take_leave_and_bring(language):
    said = guest_words(LOOKS, language)[0]
    menu = Menu("One", NOWHERE, courses=(Course(("plate",), NOWHERE),))
    ways = {"plate": (
        Effect((Change("crumb", "leave off"),), gone=("hazelnut",), left=(("almond", MAY_CONTAIN),)),
        Effect((Change("cracker", "instead", "rye crisp"),), brought=(("rye", CONTAINS),)),
    )}  # fmt: skip
    names = {"hazelnut": "HAZEL", "almond": "ALMOND", "rye": "RYE"}
    text, found = card(menu, [declare("plate", fact("hazelnut", CONTAINS))], ways, language=language, names=names)
    told = " ".join(said.say("on request", line) for line in (
        f"{said.say('without', 'crumb')}; {said.say('takes away', 'hazelnut')}; "
        f"{said.say('leaves', f'ALMOND ({said.state(MAY_CONTAIN)})')}",
        f"{said.say('with instead', 'rye crisp', 'cracker')}; {said.say('takes away none')}; "
        f"{said.say('brings', f'RYE ({said.state(CONTAINS)})')}",
    ))  # fmt: skip
    assert found == () and told in text


def test_a_change_that_does_nothing_to_the_allergens_is_left_out():
    menu = Menu("One", NOWHERE, courses=(Course(("plate",), NOWHERE),))
    ways = {"plate": (Effect((Change("chives", "leave off"),)), Effect((Change("crumb", "leave off"),), gone=("hazelnut",)))}
    text, _ = card(menu, [declare("plate", fact("hazelnut", CONTAINS))], ways)
    assert "crumb" in text and "chives" not in text


@pytest.mark.parametrize("language", SIX)
def test_the_rest_of_a_group_is_not_to_be_read_as_an_allergen_called_others(language):
    """The group's name leads, or stands behind a plain "other"."""
    told = guest_words(LOOKS, language)[0].say("other", "GROUP")
    assert told == "other GROUP" if language == "en" else told.startswith("GROUP (")


def test_two_languages_are_two_cards():
    from labeller.printing.cards import Tongue

    menu, declarations = tasting(3)
    text, _ = card(menu, declarations, also=(Tongue("fr", declarations, {}),))
    english, french = text.split("Allergènes, plat par plat")
    assert "Contains:" in english and "Contient" not in english
    assert "Contient :" in french and "Contains" not in french and "Parlez à la personne" in french


@pytest.mark.parametrize("seed", range(10))
def test_whatever_stands_on_it_nothing_is_cut_or_small(seed, placed):  # noqa: F811
    pick = random.Random(seed)

    def words(most: int) -> str:
        text = "".join(pick.choice("abcdefghij lmnop rstuvwż ηθ-") for _ in range(pick.randint(1, most)))
        return " ".join(text.split()) or "x"

    plates, ways = [], {}
    for number in range(pick.randint(1, 25)):
        facts = [fact(pick.choice(list(GROUPS) + list(GROUP)), pick.choice(STATE_LIST), words(60), words(20))
                 for _ in range(pick.randint(0, 14))]  # fmt: skip
        plates.append(declare(f"{words(70)} {number}", *facts, stopped=words(90) if pick.random() < 0.1 else "",
                              description=words(120)))  # fmt: skip
        ways[plates[-1].dish] = tuple(Effect((Change(words(40), "leave off"),), tuple(GROUPS[: pick.randint(0, 14)]))
                                      for _ in range(pick.randint(0, 5)))  # fmt: skip
    menu = Menu(words(60), NOWHERE, DAY, DAY, tuple(Course((one.dish,), NOWHERE, words(20)) for one in plates))
    card(menu, plates, ways, page=pick.choice(("A4", "Letter")), issue=words(90))
    sound(placed)
    inks = {item.ink for pages, _ in placed for page in pages for item in page if isinstance(item, Text)}
    assert min(ink.size for ink in inks) >= LEAST_PT == 10.0
    assert min(contrast(ink.black) for ink in inks) >= 4.5


def contrast(black: float) -> float:
    """Of a grey on white: WCAG 2.1, "contrast ratio" and "relative luminance"."""
    grey = 1 - black
    light = grey / 12.92 if grey <= 0.04045 else ((grey + 0.055) / 1.055) ** 2.4
    return 1.05 / (light + 0.05)


# Generated kitchens --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(25))
def test_generated_kitchens_lose_nothing(seed):
    made = with_fryer(generated_kitchen(seed), random.Random(seed))
    made = replace(made, recipes={name: replace(each, kind="dish") for name, each in made.recipes.items()})
    opened = Opened(Path("."), DAY, workshop(made), ())
    kinds = opened.workshop.tables.kinds
    menu = Menu("All of them", NOWHERE, courses=tuple(Course((name,), NOWHERE) for name in made.recipes))
    declarations = [declared(opened, recipe, "eu")[0] for recipe in made.recipes.values()]
    ways = {name: effects(opened.workshop, recipe) for name, recipe in made.recipes.items()}
    text, found = card(menu, declarations, ways, names={key: kind.name for key, kind in kinds.items()})
    assert found == ()
    checked = 0
    for one, told in zip(declarations, under(text, [one.dish for one in declarations]), strict=True):
        if one.stopped:
            assert NO_ANSWER in told
            continue
        for kind, state in worst(one.record.facts).items():
            assert re.search(plain(kinds[kind].name), line_of(told, state), re.I), (one.dish, kind, state, told)
            checked += 1
    assert checked or all(one.stopped or not one.record.facts for one in declarations)


def plain(name: str) -> str:
    """The part of a kind's name that every sheet keeps ("sulphur dioxide and sulphites" is headed sulphites)."""
    return {"sulphur dioxide and sulphites": "sulphites", "cereals containing gluten": "cereals", "tree nuts": "nuts",
            "soya": "soya"}.get(name, re.escape(name.split(" (")[0].rstrip("s")))  # fmt: skip


# What a change does --------------------------------------------------------------------------------------------------------


def changed_kitchen(folder: Path) -> Path:
    """Two components with milk, an exchange that brings almonds, an egg beside a fryer that has met egg, a warned-of nut."""
    larder = """
- product: almond flour
  ingredients on pack: ALMONDS
  contains: [almond]
  may contain: none
  evidence: {kind: pack, checked: 2026-11-01, by: RM}
  food: "12061"
- product: nougat
  ingredients on pack: sugar, HAZELNUTS, EGG white
  contains: [hazelnut, eggs]
  may contain: [pistachio]
  evidence: {kind: pack, checked: 2026-11-01, by: RM}
  food: "19335"
- product: cocoa
  contains: none
  may contain: [pistachio]
  evidence: {kind: pack, checked: 2026-11-01, by: RM}
  food: "19165"
- product: called back
  contains: none
  may contain: none
  evidence: {kind: pack, checked: 2026-11-01, by: RM}
  food: "11080"
  recall: metal found
- product: butter"""
    dishes = """
    - butter: {amount: 5 g, leave off: yes}
    - hazelnut: {amount: 5 g, leave off: yes, instead: almond flour}
    - nougat: {amount: 5 g, leave off: yes}
    - cocoa: {amount: 1 g, instead: called back}"""
    kitchen(folder, larder="\n- product: butter=>" + larder)
    path = folder / "recipes" / "all.yaml"
    text = path.read_text(encoding="utf-8").replace("\n    - hazelnut: {amount: 5 g, leave off: yes}", dishes)
    text = text.replace("- beetroot butter: 20 g", "- beetroot butter: {amount: 20 g, leave off: yes}")
    path.write_text(text, encoding="utf-8")
    return folder


def test_effects_worked_out_by_hand(tmp_path):
    """Expected by hand from the recipe above: who has milk (butter, beetroot butter), hazelnut (hazelnut, nougat), pistachio (a
    warning on nougat and on cocoa), egg (nougat)."""
    opened = open_kitchen(changed_kitchen(tmp_path / "house"), DAY)
    tartlet = opened.workshop.names.recipe("hazelnut tartlet")
    found = {tuple((one.component, one.with_) for one in each.changes): each for each in effects(opened.workshop, tartlet)}
    assert found[(("butter", ""),)].gone == (), "beetroot butter brings milk as well"
    assert found[(("beetroot butter", ""),)].gone == ()
    assert found[(("beetroot butter", ""), ("butter", ""))].gone == ("milk",)
    assert found[(("nougat", ""),)].gone == ("eggs",), "cocoa still warns of pistachio, hazelnut is still on the plate"
    swap = found[(("hazelnut", "almond flour"),)]
    assert (swap.gone, swap.left, swap.brought) == ((), (), (("almond", CONTAINS),)), "the nougat still has hazelnut"
    assert set(found[(("hazelnut", ""), ("nougat", ""))].gone) == {"eggs", "hazelnut"}
    assert not any(with_ == "called back" for key in found for _, with_ in key), "what is under recall is no way out"
    assert (("butter", ""), ("hazelnut", "")) not in found, "two changes that do nothing more together are not told"


def test_a_lesser_state_that_stays_is_told(tmp_path):
    """A nut left off a plate whose cocoa warns of the same nut stays as the warning."""
    larder = """
- product: cocoa
  contains: none
  may contain: [hazelnut]
  evidence: {kind: pack, checked: 2026-11-01, by: RM}
  food: "19165"
- product: butter"""
    folder = kitchen(tmp_path / "house", larder="\n- product: butter=>" + larder,
                     all="    - hazelnut: {amount: 5 g=>    - cocoa: 1 g\n    - hazelnut: {amount: 5 g")  # fmt: skip
    opened = open_kitchen(folder, DAY)
    (only,) = effects(opened.workshop, opened.workshop.names.recipe("hazelnut tartlet"))
    assert only.gone == () and only.left == (("hazelnut", MAY_CONTAIN),)
    text = " ".join(texts(printed(folder, "guest-card")[1]["winter-guest-card.pdf"]))
    assert "On request: without hazelnut; leaves: hazelnut (supplier’s warning)" in text


# The demo, in every language -----------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def demo(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("demo") / "kitchen"
    assert main(["demo", str(folder)]) == 0
    return folder


@pytest.mark.parametrize("language", SIX)
@pytest.mark.parametrize(("law", "page"), [("uk", "A4"), ("us", "Letter")])
def test_the_demos_card_holds_every_record_and_no_verdict(demo, tmp_path, language, law, page):
    words = ["print", "guest-card", "--kitchen", str(demo), "--date", DAY, "--law", law, "--page", page]
    assert main([*words, "--language", language, "--out", str(tmp_path)]) == 0
    pages = texts((tmp_path / "late-autumn-tasting-guest-card.pdf").read_bytes())
    assert len(pages) <= 2, "both sides of one sheet"
    text, said = " ".join(pages), guest_words(LOOKS, language)[0]
    opened = open_kitchen(demo, DAY)
    menu = opened.kitchen.menus["Late autumn tasting"]
    recipes = [opened.workshop.names.recipe(name) for name in menu.dishes()]
    made = [declared(opened, recipe, law, language)[0] for recipe in recipes]
    names = opened.workshop.tables.law(law, DAY, ("en", language)).words[language].kinds
    states = set()
    for one, told in zip(made, under(text, [one.title or one.dish for one in made]), strict=True):
        if one.stopped:
            assert said.say("no answer") in told and said.say("contains", "")[:-3] not in told
            assert said.say("on request", "").split(":")[0].strip() not in told
            continue
        for kind, state in worst(one.record.facts).items():
            states.add(state)
            group = opened.workshop.tables.kinds[kind].group  # its name stands where a language has none for the kind itself
            english = plain(opened.workshop.tables.kinds[kind].name)
            word = english if language == "en" else re.escape(names.get(kind) or names[group])
            assert re.search(word, line_of(told, state, language), re.I), (one.dish, kind, state, word)
    assert states == {CONTAINS, TO_CONFIRM, MAY_CONTAIN, CROSS_CONTACT, NOT_CONFIRMED}, "the demo shows every state"
    assert not re.search(rf"\b({VERDICTS[language]})\b", text.lower())
    assert said.say("whom to ask") in text and said.say("not signed") in text


def test_print_all_and_the_list_of_prints_hold_the_card(tmp_path):
    import json

    folder = kitchen(tmp_path / "house")
    files = printed(folder, "all")[1]
    assert "winter-guest-card.pdf" in files
    out = next(path for path in tmp_path.rglob(".prints.json"))
    told = json.loads(out.read_text(encoding="utf-8"))["winter-guest-card.pdf"]
    assert told["menu"] == "Winter" and set(told["dishes"]) >= {"hazelnut tartlet", "beetroot bite"}
