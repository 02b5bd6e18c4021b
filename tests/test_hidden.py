"""What a bare name may hide. Grounds are named beside each case; "practice" is common practice, no source."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from labeller.reading.allergen_tables import load_hidden, load_kinds
from labeller.reading.library import reference
from labeller.terms.words import normalise
from labeller.working.hidden import hidden_for

SHARED = Path(__file__).resolve().parents[2] / "shared"
RANK = {"always": 0, "usual": 1, "possible": 2}
OUTSIDE_THE_LISTS = {"coconut", "pine_nut", "chestnut", "buckwheat", "hickory", "ginkgo", "pili", "beech_nut", "acorn"}


@pytest.fixture(scope="module")
def table():
    return load_hidden()


@pytest.fixture(scope="module")
def kinds():
    return load_kinds()


def likelihood(name, table) -> dict[str, str]:
    """kind -> surest likelihood."""
    found: dict[str, str] = {}
    for row in hidden_for(name, table):
        for kind in row.kinds:
            found.setdefault(kind, row.likelihood)
    return found


# name typed, kind, likelihood, ground
CASES = [
    # words surer than their class (read off the table's own reasons)
    ("shiro dashi", "fish", "always", "practice"),
    ("advocaat", "eggs", "always", "practice"),
    ("brioche", "milk", "always", "practice"),
    ("brioche", "eggs", "always", "practice"),
    ("macaron shells", "almond", "always", "practice"),
    ("malted milk", "milk", "always", "practice"),
    ("milk stout", "milk", "always", "practice"),
    ("ssamjang", "sesame", "always", "practice"),
    ("tuile", "eggs", "always", "practice"),
    ("wheat beer", "wheat", "always", "practice"),
    ("egg noodles", "eggs", "always", "practice"),
    ("oat drink", "oats", "always", "Regulation (EU) No 1169/2011, Annex II, item 1"),
    ("oat cream", "oats", "always", "Regulation (EU) No 1169/2011, Annex II, item 1"),
    ("soya drink", "soybeans", "always", "Regulation (EU) No 1169/2011, Annex II, item 6"),
    ("almond drink", "almond", "always", "Regulation (EU) No 1169/2011, Annex II, item 8"),
    ("cashew cheese", "cashew", "always", "Regulation (EU) No 1169/2011, Annex II, item 8"),
    ("persipan", "almond", "usual", "persipan alone is apricot kernel, no nut of EU law"),
    # the class itself
    ("soy sauce", "soybeans", "always", "HK CFS trade guide"),
    ("soy sauce", "wheat", "usual", "practice"),
    ("tamari", "wheat", "possible", "practice"),
    ("Worcestershire sauce", "anchovy", "usual", "FSA leaflet"),
    ("Worcestershire sauce", "barley", "usual", "practice"),
    ("fish sauce", "fish", "always", "FSA leaflet"),
    ("oyster sauce", "oyster", "always", "FSA leaflet"),
    ("Thai green curry paste", "prawn", "usual", "FSA leaflet"),
    ("kimchi", "fish", "usual", "practice"),
    ("asafoetida", "wheat", "usual", "practice"),
    ("curry powder", "mustard", "usual", "Health Canada, mustard"),
    ("chicken stock", "celery", "usual", "celery pages"),
    ("vegetable bouillon", "celery", "usual", "FSA leaflet"),
    ("mayonnaise", "eggs", "always", "FSA leaflet"),
    ("mayonnaise", "mustard", "usual", "Health Canada, mustard"),
    ("Caesar dressing", "anchovy", "usual", "Food Allergy Canada, seafood"),
    ("Dijon mustard", "sulphites", "usual", "Health Canada, sulphites"),
    ("pesto", "cashew", "usual", "Food Allergy Canada, tree nuts"),
    ("romesco", "tree_nuts", "always", "practice: almond, hazelnut or walnut, which one is not said"),
    ("tahini", "sesame", "always", "sesame lists"),
    ("hummus", "sesame", "always", "sesame lists"),
    ("malt vinegar", "barley", "always", "practice"),
    ("sherry vinegar", "sulphites", "usual", "Health Canada, sulphites"),
    ("white wine", "sulphites", "usual", "HK CFS trade guide"),
    ("white wine", "milk", "possible", "Penas 2015"),
    ("golden raisins", "sulphites", "usual", "FSA leaflet"),
    ("celeriac", "celery", "always", "FSA leaflet"),
    ("mustard cress", "mustard", "always", "Anaphylaxis Campaign"),
    ("raw tiger prawns", "sulphites", "usual", "Health Canada, sulphites"),
    ("crab sticks", "fish", "always", "practice"),
    ("crab sticks", "eggs", "usual", "Health Canada, egg"),
    ("squid ink", "squid", "usual", "FSA leaflet: a cephalopod, which one is not said"),
    ("squid ink", "molluscs", "always", "FSA leaflet"),
    ("chorizo", "milk", "usual", "Food Allergy Canada, milk"),
    ("Cumberland sausages", "wheat", "usual", "FSA leaflet"),
    ("Cumberland sausages", "sulphites", "usual", "FSA leaflet"),
    ("mortadella", "pistachio", "usual", "Food Allergy Canada, tree nuts"),
    ("transglutaminase", "milk", "usual", "practice"),
    ("ghee", "milk", "always", "Food Allergy Canada, milk"),
    ("Grana Padano", "eggs", "usual", "Penas 2015: lysozyme"),
    ("leaf gelatine", "fish", "possible", "Food Allergy Canada, seafood"),
    ("isinglass", "fish", "always", "Regulation (EU) No 1169/2011, Annex II, item 4"),
    ("lecithin", "soybeans", "usual", "Regulation (EU) No 1169/2011, Annex II"),
    ("groundnut oil", "peanuts", "always", "Regulation (EU) No 1169/2011, Annex II: no exemption"),
    ("couscous", "wheat", "always", "FSA leaflet"),
    ("freekeh", "wheat", "always", "FSA leaflet"),
    ("spelt flour", "spelt", "always", "FSA leaflet"),
    ("panko", "wheat", "always", "FSA leaflet"),
    ("soba noodles", "wheat", "usual", "coeliac lists"),
    ("gluten-free bread", "lupin", "possible", "FSA leaflet"),
    ("dark chocolate", "milk", "usual", "Food Allergy Canada, milk: treat as held unless the supplier guarantees"),
    ("marzipan", "almond", "always", "Food Allergy Canada, tree nuts"),
    ("ground almonds", "peanuts", "possible", "UK trading standards cases"),
    ("mixed nut powder", "peanuts", "usual", "UK trading standards cases"),
    ("groundnuts", "peanuts", "always", "UK trading standards cases: groundnut means peanut"),
    # by phrase
    ("soy sauce glaze", "soybeans", "always", "phrase: soy sauce"),
    ("aged balsamic vinegar of Modena", "sulphites", "usual", "phrase: balsamic vinegar"),
    ("toasted brioche crumb", "wheat", "always", "phrase: brioche crumb"),
    ("hazelnut gougère", "hazelnut", "always", "phrases: hazelnut and gougère"),
    ("hazelnut gougère", "milk", "usual", "phrases: hazelnut and gougère"),
    ("crème fraîche d'Isigny", "milk", "always", "phrase: crème fraîche"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "kind", "wanted", "ground"), CASES)
def test_case(name, kind, wanted, ground, table):
    assert likelihood(name, table).get(kind) == wanted, ground


# name, kinds it must not be said to hold: a whole word counts, a longer name wins over a shorter one
NOT_MEANT = [
    ("buckwheat", {"milk", "barley"}), ("oyster mushrooms", {"oyster", "molluscs"}), ("cocoa butter", {"milk"}),
    ("coconut milk", {"almond"}), ("cream of tartar", {"milk"}), ("butternut squash", {"butternut", "milk", "tree_nuts"}),
    ("nutmeg", {"tree_nuts"}), ("water chestnuts", {"chestnut"}), ("peanut butter", {"milk"}), ("almond butter", {"milk"}),
    ("rice flour", {"wheat"}), ("chickpea flour", {"wheat"}), ("olive oil", {"anchovy", "almond"}), ("root beer", {"barley"}),
    ("eggplant", {"eggs"}), ("crab apples", {"crab"}), ("scallop squash", {"scallop"}), ("rice noodles", {"barley"}),
    ("butter lettuce", {"milk"}), ("curry leaves", {"mustard", "celery"}), ("redcurrants", {"wheat"}),
    ("lemon wedges", {"soybeans"}),
]  # fmt: skip


@pytest.mark.parametrize(("name", "never"), NOT_MEANT)
def test_looks_like_it_and_is_not(name, never, table):
    assert not never & set(likelihood(name, table))


PLAIN = ["carrot", "trout fillet", "sea salt", "dill", "beef fillet", "lemon juice", "sunflower oil", "water", "", "???"]


@pytest.mark.parametrize("name", PLAIN)
def test_plain_names_hide_nothing(name, table):
    assert hidden_for(name, table) == ()


def test_a_claim_in_the_name_is_no_paper(table):
    """ "vegan mayonnaise" is not said to hold egg for certain, nor to be without it."""
    assert likelihood("mayonnaise", table)["eggs"] == "always"
    for name in ("vegan mayonnaise", "egg-free mayonnaise", "plant-based mayonnaise"):
        assert likelihood(name, table)["eggs"] == "usual"
        assert "the name says otherwise" in hidden_for(name, table)[0].reason


def test_dairy_words_of_plants(table):
    for name, plant in (("almond yoghurt", "almond"), ("cashew mozzarella", "cashew"), ("oat ice cream", "oats")):
        found = likelihood(name, table)
        assert found[plant] == "always" and found.get("milk", "usual") == "usual", name
    assert likelihood("hazelnut butter", table).get("milk") is None


def test_spelling_makes_no_difference(table):
    for one, other in (("Crème Fraîche", "creme fraiche"), ("dark chocolates", "dark chocolate"), ("BBQ sauce", "bbq sauce")):
        assert hidden_for(one, table) == hidden_for(other, table) != ()


def test_surest_first_and_each_kind_once(table):
    for name in ("soy sauce glaze", "bisque", "brioche bun", "hazelnut praline ice cream", "miso mayonnaise"):
        found = hidden_for(name, table)
        assert [RANK[row.likelihood] for row in found] == sorted(RANK[row.likelihood] for row in found)
        held: set[str] = set()
        for row in found:
            assert not held.issuperset(row.kinds)
            held |= set(row.kinds)


def test_rows_are_well_formed(table, kinds):
    for place in range(len(table.lines)):
        row = table.row(place)
        assert row.likelihood in RANK and row.reason and row.source
        assert {kinds[kind].group for kind in row.kinds} == {row.group}, row
        assert row.likelihood != "always" or len(row.kinds) == 1, f"{row}: certain of several kinds at once"
        for name in row.names:
            assert name == normalise(name), f"{name}: not in the spelling of terms.words.normalise"
        assert table.lines[place][6] in ("checked", "secondary", "memory")
    assert not table.exceptions & set(table.by_name)
    assert all(name == normalise(name) for name in table.exceptions)


def test_every_exception_shadows_something(table):
    """An exception is there because a part of it is in the table; one that shadows nothing is dead."""
    for name in table.exceptions:
        words = name.split()
        parts = {" ".join(words[start:end]) for start in range(len(words)) for end in range(start + 1, len(words) + 1)}
        assert parts & set(table.by_name), name


def test_memory_is_marked(table):
    with reference("allergens", "hidden.csv").open(encoding="utf-8", newline="") as stream:
        for row in csv.DictReader(stream):
            assert (row["source"] == "memory") <= (row["trust"] == "memory")


@pytest.mark.skipif(not SHARED.is_dir(), reason="the collected facts are not beside this checkout")
def test_no_collected_fact_is_lost(table):
    """Every class and synonym of the collected table answers with at least its own likelihood, except where named."""
    lost = []
    with (SHARED / "facts/trade/hidden_allergens.csv").open(encoding="utf-8", newline="") as stream:
        for row in csv.DictReader(stream):
            for name in [row["ingredient_class"], *filter(None, map(str.strip, row["synonyms"].split(";")))]:
                found = [RANK[each.likelihood] for each in hidden_for(name, table) if each.group == row["allergen"]]
                if min(found, default=9) > RANK[row["likelihood"]]:
                    lost.append((name, row["allergen"]))
    named = {name for name, _ in lost}
    assert named <= WEAKER, named - WEAKER


# Names of the collected table that answer more weakly here, looked at one by one: headings no cook types, and words that mean
# more than one thing ("halwa" without sesame, "persipan" of apricot kernel, Mexican salsa verde, a velouté of peas).
WEAKER = {
    "dashi-based citrus soy seasoning", "rice wine, Chinese", "vegetarian oyster-style sauce", "duck sauce", "fumet",
    "crustacean butter or oil", "sabayon savoury", "salsa verde", "pesto genovese", "pesto rosso", "nut-thickened sauce", "halwa",
    "cranberries", "bottled lemon or lime juice", "semi-dried in oil", "hard Grana-type cheese", "Parmesan-type",
    "wonton and spring-roll skins", "pasta, fresh or filled", "nut powder", "persipan", "crumb", "mousseline", "veloute",
    "wafers, crackers and flatbread crisps",
}  # fmt: skip


@pytest.mark.skipif(not SHARED.is_dir(), reason="the collected traps are not beside this checkout")
def test_traps_are_not_taken_for_certain(table, kinds):
    """Phrases that fool a reader of words: nothing is "always" that neither law nor doubt names for them."""
    import yaml

    wrong = []
    for trap in yaml.safe_load((SHARED / "facts/checks/label_traps.yaml").read_text("utf-8")):
        if trap["may_contain"] or trap["kind"] in ("pal", "lang", "neg", "ex"):
            continue
        named = {kinds[kind].group for kind in (*trap["eu"], *trap["us"], *trap["check"])}
        for row in hidden_for(trap["text"], table):
            if row.likelihood == "always" and row.group not in named and not set(row.kinds) <= OUTSIDE_THE_LISTS:
                wrong.append((trap["id"], trap["text"], row.kinds))
    assert [each[0] for each in wrong] in ([], ["T059"])  # T059: "nut-shaped cereal nuggets", where "nut" stands alone
