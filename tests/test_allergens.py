"""Allergens by contact. The rules: no loss takes a fact away; only another product does (Codex CXC 80-2020; DESIGN of the
house)."""

from __future__ import annotations

import pytest

from labeller.reading.allergen_tables import load_kinds
from labeller.terms.allergens import (
    CONTAINS,
    CROSS_CONTACT,
    GROUPS,
    MAY_CONTAIN,
    NOT_CONFIRMED,
    TO_CONFIRM,
    HiddenAllergen,
    LabelReading,
)
from labeller.terms.findings import Place
from labeller.terms.kitchen import Equipment, Evidence, Kitchen, Line, Product, Recipe
from labeller.working.allergens import (
    Subject,
    equipment_facts,
    ingredient_facts,
    is_wet,
    met_by,
    recipe_facts,
    unrecorded_facts,
)
from labeller.working.papers import evidence_findings

KINDS = load_kinds()
HERE = Place("products/larder.yaml", 4)
SPEC = Evidence("specification", "2026-10-02", "RM", HERE)


def states(facts) -> dict[str, set[str]]:
    found: dict[str, set[str]] = {}
    for fact in facts:
        found.setdefault(fact.kind, set()).add(fact.state)
    return found


def test_a_carrot_needs_no_paper() -> None:
    facts, findings = ingredient_facts(Subject("carrot", HERE, single=True, food="11124"), KINDS)
    assert facts == () and findings == ()


def test_whole_milk_holds_milk_by_identity() -> None:
    facts, findings = ingredient_facts(Subject("whole milk", HERE, single=True, food="01077", contains=("milk",)), KINDS)
    assert states(facts) == {"milk": {CONTAINS}} and findings == ()


def test_an_unread_jar_is_not_confirmed_for_any_allergen_never_free() -> None:
    facts, findings = ingredient_facts(Subject("chilli crisp", HERE, product=Product("chilli crisp", HERE)), KINDS)
    found = states(facts)
    assert all(NOT_CONFIRMED in found[group] for group in GROUPS)
    assert [each.code for each in findings] == ["unread-product"]


def test_a_contains_of_wheat_never_hides_an_unread_barley() -> None:
    facts, _ = ingredient_facts(Subject("biscuit", HERE, food="18001", contains=("wheat",)), KINDS)
    found = states(facts)
    assert CONTAINS in found["wheat"] and NOT_CONFIRMED in found["cereals_gluten"]


def test_usual_counts_and_is_unresolved_possible_is_not_confirmed() -> None:
    """Soy sauce usually holds wheat; blended versions may hold fish (facts of the trade, hidden-allergen table)."""
    hidden = (HiddenAllergen(("soy sauce",), "cereals_gluten", ("wheat",), "usual", "brewed with wheat", "memory"),
              HiddenAllergen(("soy sauce",), "fish", ("fish",), "possible", "seasoned versions", "memory"))  # fmt: skip
    found = states(ingredient_facts(Subject("soy sauce", HERE, hidden=hidden), KINDS)[0])
    assert found["wheat"] == {TO_CONFIRM} and NOT_CONFIRMED in found["fish"]


def test_label_and_contains_must_agree_and_their_union_counts() -> None:
    product = Product("miso", HERE, label_text="water, SOYA beans, rice, BARLEY koji", contains=("soybeans",), evidence=SPEC)
    reading = LabelReading(contains=(("soybeans", "SOYA"), ("barley", "BARLEY")))
    facts, findings = ingredient_facts(Subject("miso", HERE, product=product, reading=reading), KINDS)
    assert states(facts) == {"soybeans": {CONTAINS}, "barley": {CONTAINS}}
    assert [each.code for each in findings] == ["label-disagrees"]


def test_suppliers_warning_travels_apart() -> None:
    product = Product("miso", HERE, contains=("soybeans",), may_contain=("sesame",), evidence=SPEC)
    facts, _ = ingredient_facts(Subject("miso", HERE, product=product), KINDS)
    assert states(facts) == {"soybeans": {CONTAINS}, "sesame": {MAY_CONTAIN}}


def test_an_exempt_oil_stays_on_record_with_its_section() -> None:
    """Fully refined soybean oil: Regulation (EU) No 1169/2011, Annex II item 6(a), exempt from labelling only."""
    product = Product("frying oil", HERE, label_text="fully refined soya oil", evidence=SPEC, refined=True)
    reading = LabelReading(contains=(("soybeans", "fully refined soya oil"),),
                           exempt=(("soybeans", "fully refined soya oil", "eu", "Annex II 6(a)"),))  # fmt: skip
    facts, _ = ingredient_facts(Subject("frying oil", HERE, product=product, reading=reading), KINDS)
    assert [(fact.kind, fact.state, fact.exempt) for fact in facts] == [("soybeans", CONTAINS, (("eu", "Annex II 6(a)"),))]


def test_a_misspelt_allergen_is_a_stop_not_a_silence() -> None:
    product = Product("paste", HERE, contains=("seseme",), evidence=SPEC)
    _, findings = ingredient_facts(Subject("paste", HERE, product=product), KINDS)
    assert [(each.code, each.severity) for each in findings] == [("unknown-kind", "stop")]


def test_a_recall_stops() -> None:
    product = Product("paste", HERE, contains=(), evidence=SPEC, recall="glass, 2026-11-20")
    _, findings = ingredient_facts(Subject("paste", HERE, product=product), KINDS)
    assert ("product-recalled", "stop", "all") in [(each.code, each.severity, each.blocks) for each in findings]


def fact_list(kind: str):
    return ingredient_facts(Subject(kind, HERE, single=True, contains=(kind,)), KINDS)[0]


def test_poured_off_milk_and_a_strained_bouquet_still_count() -> None:
    """Solids leave, soluble protein stays (Codex CXC 80-2020): every line counts, whatever becomes of it."""
    recipe = Recipe("poached cod", "recipe", HERE,
                    (Line("cod", None, HERE), Line("milk", None, HERE), Line("celery", None, HERE)))  # fmt: skip
    facts = recipe_facts(recipe, fact_list, (), KINDS)
    assert {fact.kind for fact in facts} == {"cod", "milk", "celery"}
    assert {fact.path for fact in facts} == {("poached cod", "cod"), ("poached cod", "milk"), ("poached cod", "celery")}


@pytest.mark.parametrize(("more", "expected"), [({}, CROSS_CONTACT), ({"water_used_twice": True}, CONTAINS),
                                                 ({"same_batch_as": ("squid rings",)}, CONTAINS)])  # fmt: skip
def test_a_shared_fryer(more: dict, expected: str) -> None:
    """Water used twice and frying beside a coated food count as contains, the rest as cross-contact (facts/trade, routes)."""
    fryer = Equipment("deep fryer", HERE, "2026-11-24", ("squid rings",))
    met = {"deep fryer": met_by(fryer,
                                [("squid rings", fact_list("squid") + fact_list("wheat")), ("crisps", fact_list("celery"))])}
    crisps = Recipe("crisps", "recipe", HERE, (), equipment=("deep fryer",), **more)
    facts = equipment_facts(crisps, met, frozenset({"crisps"}))
    assert {(fact.kind, fact.state) for fact in facts} == {("squid", expected), ("wheat", expected)}
    assert all("deep fryer also cooks squid" in fact.evidence for fact in facts if fact.kind == "squid")


def test_no_date_of_the_oil_change_confirms_nothing_and_cleaning_counts_where_recorded() -> None:
    fryer = Equipment("deep fryer", HERE)
    crisps = Recipe("crisps", "recipe", HERE, (), equipment=("deep fryer",))
    facts = equipment_facts(crisps, {"deep fryer": met_by(fryer, [])}, frozenset({"crisps"}))
    assert {fact.kind for fact in facts} == set(GROUPS) and {fact.state for fact in facts} == {NOT_CONFIRMED}
    squid = [("squid", fact_list("squid"))]
    cleaned = Recipe("crisps", "recipe", HERE, (), equipment=("deep fryer",), cleaned_between=True)
    still = equipment_facts(cleaned, {"deep fryer": met_by(fryer, squid)}, frozenset({"crisps"}))
    assert {"squid", *GROUPS} == {fact.kind for fact in still}  # cleaning a fryer does not change its oil
    sliced = Recipe("crisps", "recipe", HERE, (), equipment=("slicer",), cleaned_between=True)
    assert equipment_facts(sliced, {"slicer": met_by(Equipment("slicer", HERE), squid)}, frozenset({"crisps"})) == []


def test_fried_food_that_names_no_fryer_is_not_confirmed() -> None:
    fritter = Recipe("fritter", "recipe", HERE, (), method="deep-fried")
    assert is_wet(fritter)
    assert {fact.state for fact in unrecorded_facts(fritter)} == {NOT_CONFIRMED}
    assert unrecorded_facts(Recipe("fritter", "recipe", HERE, (), method="deep-fried", equipment=())) == []


def test_old_evidence_and_a_date_to_come_are_found() -> None:
    old = Product("paste", HERE, evidence=Evidence("pack", "2025-06-01", "RM", HERE))
    ahead = Product("sauce", HERE, evidence=Evidence("pack", "2027-01-01", "RM", HERE))
    kitchen = Kitchen("k", products={"paste": old, "sauce": ahead})
    assert sorted(each.code for each in evidence_findings(kitchen, "2026-11-25")) == ["evidence-in-future", "evidence-old"]
