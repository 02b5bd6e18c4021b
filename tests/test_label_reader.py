"""The label reader: own phrases with their grounds, the traps and real statements of ``../shared`` where present, and what
must hold for any text. Phrases: ``published/label_reader_phrases.yaml``."""

from __future__ import annotations

import csv
import json
import subprocess
import sys
from pathlib import Path

import measure_label_reader as measured
import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from labeller.reading import library
from labeller.reading.law_lists import LAWS, load_law_lists
from labeller.reading.lexicon import load_lexicon
from labeller.reading.lexicon_source import index_text
from labeller.working.label_reader import read_label, reading_as_json, view

HERE = Path(__file__).resolve().parent
SHARED = HERE.parents[1] / "shared"
TRAPS = SHARED / "facts" / "checks" / "label_traps.yaml"
PHRASES = yaml.safe_load((HERE / "published" / "label_reader_phrases.yaml").read_text(encoding="utf-8"))
LEXICON = load_lexicon()
LISTS = load_law_lists()
needs_traps = pytest.mark.skipif(not TRAPS.exists(), reason="the trap phrases are kept in ../shared, which is not here")
needs_statements = pytest.mark.skipif(
    not measured.STATEMENTS.exists(), reason="the real statements are kept in ../shared, which is not here"
)


def read(text):
    return read_label(text, LEXICON)


def kinds(pairs):
    return {pair[0] for pair in pairs}


# --- our own phrases ---------------------------------------------------------------------------------------------------------


def test_phrases_are_many_and_grounded():
    assert len(PHRASES) >= 200
    assert len({row["text"] for row in PHRASES}) == len(PHRASES)
    assert all(row["source"] for row in PHRASES)


@pytest.mark.parametrize("row", PHRASES, ids=[row["text"][:48] for row in PHRASES])
def test_phrase(row):
    reading = read(row["text"])
    assert kinds(reading.contains) == set(row["contains"])
    assert kinds(reading.may_contain) == set(row.get("may", ()))
    assert set(row.get("doubt", ())) <= kinds(reading.unsettled)


def test_words_that_decided_stand_in_the_text():
    for row in PHRASES:
        if "\u0301" in row["text"] or "\u00ad" in row["text"] or "<b>" in row["text"]:
            continue  # quoted in its composed spelling, without marks of the printer
        reading = read(row["text"])
        for _, words in (*reading.contains, *reading.may_contain, *reading.unsettled):
            assert words in row["text"] or words in row["text"].replace("\n", "")  # a wrapped line is joined


# --- the laws' views ---------------------------------------------------------------------------------------------------------

VIEWS = [
    # text, law, contains, unsettled at least, exempt, ground
    ("fully refined soybean oil", "eu", [], [], ["soybeans"], "Annex II, 6(a)"),
    ("fully refined soybean oil", "us", [], [], ["soybeans"], "21 USC 321(qq)(2)(A)"),
    ("soybean oil", "eu", [], ["soybeans"], [], "Annex II, 6(a): only fully refined"),
    ("soybean oil", "us", [], ["soybeans"], [], "21 USC 321(qq)(2)(A): only highly refined"),
    ("unrefined soybean oil", "us", ["soybeans"], [], [], "21 USC 321(qq)(2)(A)"),
    ("peanut oil", "eu", ["peanuts"], [], [], "Annex II, 5 has no exemption"),
    ("highly refined peanut oil", "us", [], [], ["peanuts"], "21 USC 321(qq)(2)(A)"),
    ("highly refined peanut oil", "eu", ["peanuts"], [], [], "Annex II, 5 has no exemption"),
    ("glucose syrup (wheat), wheat flour", "eu", ["wheat"], [], ["wheat"], "Annex II, 1(a) doesn't reach the flour"),
    ("dextrose (wheat)", "eu", [], [], ["wheat"], "Annex II, 1(a)"),
    ("dextrose (wheat)", "us", ["wheat"], [], [], "US law has no such exemption"),
    ("wheat and glucose syrup", "eu", ["wheat"], [], [], "wheat is no source of the syrup here"),
    ("maltodextrin (wheat)", "uk", [], [], ["wheat"], "Annex II, 1(b), retained"),
    ("glucose syrup (barley)", "eu", [], [], ["barley"], "Annex II, 1(c)"),
    ("lactitol", "eu", [], [], ["milk"], "Annex II, 7(b)"),
    ("lactitol", "us", [], ["milk"], [], "no exemption of its own"),
    ("plant stanol ester (soya)", "eu", [], [], ["soybeans"], "Annex II, 6(d)"),
    ("vitamin A (fish gelatine)", "eu", [], [], ["fish"], "Annex II, 4(a)"),
    ("vitamin A (fish gelatine)", "us", ["fish"], [], [], "no such exemption"),
    ("gin (wheat)", "eu", [], [], ["wheat"], "Annex II, 1(d)"),
    ("rye flour, celery, mustard", "us", [], [], [], "21 USC 321(qq)(1) lists none of them"),
    ("rye flour, celery, mustard", "eu", ["celery", "mustard", "rye"], [], [], "Annex II, 1, 9, 10"),
    ("celery, mustard", "ca", ["mustard"], [], [], "B.01.010.1(1)"),
    ("celery, mustard, lupin", "anz", ["lupin"], [], [], "Schedule 9, S9-3"),
    ("soya, sesame, oats, squid", "codex", ["sesame"], [], [], "CXS 1-1985 s. 4.2.1.4 (2024)"),
    ("triticale", "eu", ["rye", "wheat"], [], [], "Annex II, 1: hybridised strains"),
    ("triticale", "ca", ["triticale"], [], [], "B.01.010.1(1)"),
    ("spelt", "us", ["wheat"], [], [], "memory: spelt is a wheat"),
    ("black walnuts", "us", ["walnut"], [], [], "FDA Q&A Edition 5, Table 1"),
    ("black walnuts", "eu", [], [], [], "Annex II, 8 names Juglans regia"),
    ("pine nuts, coconut, chestnuts", "us", ["pine_nut"], [], [], "FDA Q&A Edition 5, Table 1"),
    ("contains gluten", "us", [], ["wheat"], [], "gluten may be wheat's"),
    ("contains gluten", "eu", ["cereals_gluten"], [], [], "only the group is told"),
    ("sulphites (9 mg/kg)", "eu", [], [], ["sulphites"], "Annex II, 12: more than 10 mg/kg"),
    ("sulphites (10 mg/kg)", "eu", [], [], ["sulphites"], "Annex II, 12: more than 10 mg/kg"),
    ("sulphites (10 mg/kg)", "ca", ["sulphites"], [], [], "B.01.010.2: 10 or more"),
    ("sulphites (<10 mg/kg)", "ca", [], [], ["sulphites"], "B.01.010.2: 10 or more"),
    ("sulphur dioxide 12 ppm", "eu", ["sulphites"], [], [], "Annex II, 12"),
]


@pytest.mark.parametrize(("text", "law", "contains", "unsettled", "exempt", "ground"), VIEWS)
def test_view(text, law, contains, unsettled, exempt, ground):
    seen = view(read(text), LISTS[law])
    assert sorted(seen["contains"]) == contains, ground
    assert set(unsettled) <= set(seen["unsettled"]), ground
    assert sorted({row["kind"] for row in seen["exempt"]}) == exempt, ground


def test_no_law_hides_a_kind_from_the_answer_without_a_law():
    for row in PHRASES:
        reading = read(row["text"])
        for law in LAWS:
            seen = view(reading, LISTS[law])
            exempt = {row["kind"] for row in seen["exempt"]}
            shown = set(seen["contains"]) | set(seen["unsettled"]) | set(seen["outside"]["contains"]) | exempt
            for kind in kinds(reading.contains):
                assert kind in shown or set(LISTS[law].kinds_of(kind)) & shown or set(LISTS[law].maybe.get(kind, ())) & shown


def test_coconut_was_a_us_tree_nut_until_edition_5():
    """FDA, Questions and Answers Regarding Food Allergens, Edition 5, 6 January 2025."""
    before, after = (load_law_lists(date, ("us",))["us"] for date in ("2025-01-05", "2025-01-06"))
    assert before.kinds_of("coconut") == ("coconut",)
    assert after.kinds_of("coconut") == ()


def test_sesame_is_a_us_allergen_since_2023():
    """Pub. L. 117-11 (FASTER Act): from 1 January 2023."""
    assert load_law_lists("2022-12-31", ("us",))["us"].kinds_of("sesame") == ()
    assert load_law_lists("2023-01-01", ("us",))["us"].kinds_of("sesame") == ("sesame",)


def test_json_shape():
    found = reading_as_json(read("rye flour, whey. May contain sesame. Floobar."))
    assert found["contains"] == ["milk", "rye"]
    assert found["may_contain"] == ["sesame"]
    assert found["because"] == {"rye": ["rye flour"], "milk": ["whey"], "sesame": ["sesame"]}
    assert found["unknown_words"] == ["Floobar"]
    us = reading_as_json(read("rye flour, whey"), "us", LISTS)
    assert us["contains"] == ["milk"]
    assert us["outside_the_list"]["contains"] == ["rye"]
    assert json.loads(json.dumps(us)) == us


def test_unknown_words_are_told_and_misprints_still_count():
    reading = read("sugar, casienate, xyzzygum, mandelkrokantbrock")
    assert reading.unknown == ("casienate", "xyzzygum", "mandelkrokantbrock")
    assert kinds(reading.contains) == {"milk", "almond"}


def test_any_text_can_be_read():
    for text in ("", " ", "\n", ")))", "(((", "::;;..", "100%", "\x00", "„“", "ß" * 50, "(" * 500 + "milk"):
        read(text)


# --- what must hold for any list -------------------------------------------------------------------------------------------

ITEMS = st.sampled_from([
    "wheat flour", "skimmed milk powder", "egg white", "soya lecithin", "hazelnuts", "celery", "mustard seed", "cod", "prawns",
    "sugar", "salt", "coconut milk", "cocoa butter", "peanut butter", "rye flakes", "sesame oil", "squid", "lupin flour",
    "glucose syrup", "sulphites", "buckwheat", "butternut squash", "rice milk", "yeast", "E322", "farine de blé",
    "Vollmilchpulver",
])  # fmt: skip
LISTS_OF_ITEMS = st.lists(ITEMS, min_size=1, max_size=8)


@given(LISTS_OF_ITEMS, ITEMS, st.integers(0, 8))
@settings(max_examples=150, deadline=None)
def test_adding_an_ingredient_never_removes_a_kind(items, more, place):
    before = kinds(read(", ".join(items)).contains)
    after = kinds(read(", ".join([*items[:place], more, *items[place:]])).contains)
    assert before <= after


@given(LISTS_OF_ITEMS)
@settings(max_examples=100, deadline=None)
def test_case_does_not_matter(items):
    text = ", ".join(items)
    for other in (text.upper(), text.lower(), text.title()):
        assert kinds(read(other).contains) == kinds(read(text).contains)


@given(LISTS_OF_ITEMS, st.sampled_from(["()", "[]", "{}"]), st.sampled_from(["sauce", "filling", "seasoning", "topping 12%"]))
@settings(max_examples=100, deadline=None)
def test_brackets_lose_no_kind(items, brackets, name):
    text = ", ".join(items)
    wrapped = f"{name} {brackets[0]}{text}{brackets[1]}"
    assert kinds(read(text).contains) <= kinds(read(wrapped).contains) | kinds(read(wrapped).unsettled)


@given(LISTS_OF_ITEMS, ITEMS)
@settings(max_examples=100, deadline=None)
def test_a_warning_never_hides_an_ingredient(items, warned):
    text = ", ".join(items)
    reading = read(f"{text}. May contain {warned}.")
    assert kinds(reading.contains) == kinds(read(text).contains)


@given(LISTS_OF_ITEMS, st.sampled_from(["dairy free", "no egg", "gluten-free", "without nuts", "vegan", "free from soya"]))
@settings(max_examples=100, deadline=None)
def test_a_denial_never_hides_another_ingredient(items, denial):
    text = ", ".join(items)
    assert kinds(read(text).contains) <= kinds(read(f"{denial}, {text}").contains)
    assert kinds(read(text).contains) <= kinds(read(f"{text}, {denial}").contains)


@given(st.lists(st.one_of(st.text(max_size=12), st.sampled_from(["milk", "(", ")", "no", "free", "may contain", ".", "322"]))))
@settings(max_examples=200, deadline=None)
def test_reading_raises_nothing(parts):
    reading = read(" ".join(parts))
    assert all(kind in LEXICON.groups for kind in kinds(reading.contains))


# --- the tables ------------------------------------------------------------------------------------------------------------


def test_index_is_built_from_its_sources():
    assert library.reference("allergens", "lexicon_index.txt").read_text(encoding="utf-8") == index_text()


def test_kinds_exemptions_and_sources_resolve():
    folder = library.reference("allergens")
    sources = yaml.safe_load((folder / "SOURCES.yaml").read_text(encoding="utf-8"))
    known = {row["key"]: row["group"] for row in yaml.safe_load((folder / "kinds.yaml").read_text(encoding="utf-8"))}
    assert dict(LEXICON.groups) == known
    for entry in LEXICON.phrases.values():
        for one in (entry, entry.variant):
            if one:
                assert {*one.contains, *one.unsettled, *one.denies} <= set(known)
                assert all(kind in known and key in LEXICON.exemptions for kind, key in one.exempt)
    for name in ("lexicon.csv", "plain_words.csv", "exemptions.csv"):
        with (folder / name).open(encoding="utf-8", newline="") as stream:
            assert all(row["source"] in sources for row in csv.DictReader(stream))
    for law in LISTS.values():
        assert all(entry.source in sources and set(entry.covers) <= set(known) for entry in law.entries)


def test_lists_have_the_numbers_that_the_laws_have():
    """EU: fourteen groups (Annex II); US: nine (321(qq)(1) with sesame), its tree nuts twelve names (Edition 5, Table 1)."""
    groups = {law: {LEXICON.groups[entry.kind] for entry in LISTS[law].entries if entry.duty == "allergen"} for law in LAWS}
    assert len(groups["eu"]) == len(groups["uk"]) == 14
    assert len(groups["us"]) == 9
    nuts = {kind for entry in LISTS["us"].entries for kind in entry.covers if LEXICON.groups[kind] == "tree_nuts"}
    assert len(nuts) == 11  # the table's twelve: English and California walnut are one kind here
    assert {"coconut", "chestnut", "shea"}.isdisjoint(nuts)


def test_start_is_light():
    """The reader must not drag in what a start can't afford."""
    code = (
        "import sys; from labeller.reading.lexicon import load_lexicon; from labeller.working.label_reader import read_label;"
        "read_label('milk', load_lexicon()); print(sorted({'pandas', 'numpy', 'reportlab', 'jinja2'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


# --- ../shared -------------------------------------------------------------------------------------------------------------


@needs_traps
@pytest.mark.parametrize("law", ["eu", "us"])
def test_traps(law):
    """416 phrases that fool keyword readers, in both directions; kinds by the finest key of the law."""
    wrong = []
    for row in yaml.safe_load(TRAPS.read_text(encoding="utf-8")):
        seen = view(read(row["text"]), LISTS[law])
        if sorted(seen["contains"]) != sorted(row[law]) or sorted(seen["may_contain"]) != sorted(row["may_contain"]):
            wrong.append((row["id"], sorted(seen["contains"]), sorted(seen["may_contain"])))
    assert wrong == []


@needs_traps
def test_traps_ask_what_the_phrase_does_not_settle():
    missing = []
    for row in yaml.safe_load(TRAPS.read_text(encoding="utf-8")):
        reading = read(row["text"])
        asked = kinds(reading.unsettled) | kinds(reading.conditional)
        asked |= {LEXICON.groups[kind] for kind in asked}
        if not set(row["check"]) <= asked | kinds(reading.contains):
            missing.append(row["id"])
    assert missing == []


@needs_statements
def test_real_statements():
    """Every miss and false alarm on the real statements is judged; the shares stay where they were measured."""
    result = measured.measure(measured.rows_of(), LEXICON)
    assert measured.unjudged(result) == []
    met = set(result.misses)
    judged = measured.judgements()
    assert all((row["id"], row["kind"], row["what"]) in met for row in judged), "a judgement that is no longer needed"
    assert all(row["verdict"] in ("reader", "text", "law", "label") and row["reason"] for row in judged)
    assert all(row["second"] in ("reader", "text", "law", "label") for row in judged), "two judges read each statement"
    hits, of = result.recall("declaration", "inline", "caps", "emphasis")
    assert hits / of > 0.99
    assert result.right.total() / (result.right.total() + result.false.total()) > 0.97
    hits, of = result.recall("warning or ingredient")
    assert hits == of


@needs_statements
@needs_traps
def test_no_row_of_the_check_data_is_in_the_lexicon_as_such():
    """Single food words may be the same; a whole statement or a trap of more than four words may not."""
    texts = [row["text"] for row in measured.rows_of()]
    texts += [row["text"] for row in yaml.safe_load(TRAPS.read_text(encoding="utf-8")) if len(row["text"].split()) > 4]
    ours = {row["text"].lower() for row in PHRASES} | set(LEXICON.phrases)
    assert ours.isdisjoint(text.lower() for text in texts)
