"""Settling food rows and ranking candidates.

Rows and descriptions: USDA National Nutrient Database for Standard Reference, Release 28. Which row a cook means: common
practice, no source.
"""

from __future__ import annotations

import csv
import hashlib
import time

import pytest

from labeller.reading.foods import load_foods
from labeller.reading.library import reference
from labeller.reading.names import load_names, load_synonyms
from labeller.terms.findings import Place
from labeller.terms.kitchen import Match
from labeller.terms.words import normalise, normalise_all
from labeller.working.matching import CONFIRMED, KITCHEN_NAME, PINNED, PRODUCT, candidates, food_code, search, settle
from labeller.working.matching_shelf import Shelf

FOODS = load_foods()
DESCRIPTIONS = FOODS.descriptions()
NAMES, SYNONYMS = load_names(), load_synonyms()
SHELF = Shelf(DESCRIPTIONS, SYNONYMS)
HERE = Place("recipes/trout.yaml", 4)


def settled(name: str, *, pin: str = "", product_food: str = "", match: Match | None = None, shelf: bool = False):
    return settle(name, pin=pin, product_food=product_food, match=match, names=NAMES, place=HERE, subject="dill cream",
                  food_exists=lambda code: FOODS.get(code) is not None, shelf=(lambda: SHELF) if shelf else None)  # fmt: skip


def confirmed(food: str) -> Match:
    return Match("crème fraîche", food, "RM", "2026-11-25", Place("matches.yaml", 2), "SR28")


# ---- the order -----------------------------------------------------------------------------------------------------------


def test_the_line_comes_before_the_product_the_product_before_the_match_the_match_before_the_name() -> None:
    name, match = "crème fraîche", confirmed("01056")
    cases = [({"pin": "01053", "product_food": "01052", "match": match}, "01053", PINNED),
             ({"product_food": "01050", "match": match}, "01050", PRODUCT), ({"match": match}, "01056", CONFIRMED),
             ({}, "01052", KITCHEN_NAME)]  # fmt: skip
    for given, code, how in cases:
        found, findings = settled(name, **given)
        assert (found.code, found.how, findings) == (code, how, ())
    assert settled(name)[0].why and not settled(name, pin="01053")[0].why


@pytest.mark.parametrize(("typed", "code"), [
    ("01077", "01077"), ("1077", "01077"), (' "01077" ', "01077"), ("FDC: 173410", "fdc:173410"),
])  # fmt: skip
def test_a_code_is_taken_as_people_write_it(typed: str, code: str) -> None:
    assert food_code(typed) == code
    found, findings = settled("milk", pin=typed)
    assert found.code == code and findings == ()


def test_an_unknown_code_is_said_and_not_passed_over() -> None:
    """01077 read as an octal number is 575: what an unquoted code becomes in YAML 1.1."""
    found, (finding,) = settled("whole milk", pin="575", product_food="01077")
    assert found is None and finding.code == "unknown-food-code" and finding.place == HERE and finding.blocks == "nutrition"
    assert '"575"' in finding.text and "quotes" in finding.mend and 'food: "01077"' in finding.mend
    assert finding.subject == "dill cream"
    _, (of_match,) = settled("crème fraîche", match=confirmed("99999"))
    assert of_match.place == Place("matches.yaml", 2)
    _, (bare,) = settled("butter", pin="173410")
    assert 'food: "fdc:173410"' in bare.mend


def test_a_name_that_is_not_settled_is_asked_with_three_rows_to_type() -> None:
    found, (finding,) = settled("double cream", shelf=True)
    assert found is None and finding.code == "no-food-match"
    assert (finding.severity, finding.blocks) == ("stop", "nutrition")
    assert finding.mend.count("food: \"") == 3 and "labeller match" in finding.mend and 'food: "01053"' in finding.mend
    _, (plain,) = settled("double cream")
    assert "labeller match" in plain.mend and "food: \"" in plain.mend
    _, (nonsense,) = settled("qzxv", shelf=True)
    assert "labeller match" in nonsense.mend


def test_single_goes_by_the_name_and_only_with_the_row_of_a_plain_food() -> None:
    assert settled("carrots")[0].single and settled("Carrots", pin="11124")[0].single
    assert settled("whole milk", pin="01211")[0].single
    assert not settled("carrots", pin="11130")[0].single  # frozen
    assert not settled("vegan burger", pin="11124")[0].single
    assert not settled("king prawns")[0].single


def test_a_row_of_a_near_food_is_told_apart() -> None:
    """Langoustine takes lobster's figures; it must not be called lobster."""
    assert settled("langoustines")[0].stand_in and settled("fresh tarragon")[0].stand_in
    assert not settled("lobster")[0].stand_in and not settled("carrots")[0].stand_in
    assert not settled("langoustines", pin="15164")[0].stand_in


# ---- candidates: the nastiest names --------------------------------------------------------------------------------------

NASTY = [  # name, codes of which one must stand first, codes that must be among the first five
    ("plain flour", {"20481"}, {"20081"}), ("flour", {"20481", "20081", "20581"}, {"20082"}),
    ("cream", {"01049", "01053", "01050", "01052"}, {"01053", "01050"}), ("double cream", {"01053"}, set()),
    ("pepper", {"02030"}, {"11333"}), ("white pepper", {"02032"}, set()), ("corn", {"11167", "11900"}, {"11167"}),
    ("corn flour", {"20016", "20018"}, {"20016"}), ("stock", {"06170", "06172", "06174"}, {"06170", "06172", "06174"}),
    ("chicken stock", {"06172"}, set()), ("broth", {"06194", "06700"}, {"06194", "06700"}),
    ("milk", {"01077", "01211", "01230"}, {"01077", "01211"}),
    ("butter", {"01145"}, {"01001"}), ("oil", set(), {"04053"}), ("wine", {"14084", "14096", "14106"}, {"14096", "14106"}),
    ("smoked salmon", {"15077"}, {"15179"}), ("duck breast", set(), {"05141"}), ("chicken", {"05006"}, set()),
    ("chocolate", {"19902", "19903", "19904"}, {"19903"}), ("vinegar", {"02053"}, {"02048", "02069"}),
    ("leg of lamb", {"17230", "17011"}, set()), ("egg noodles", {"20409", "20109"}, set()), ("water chestnuts", {"11588"}, set()),
    ("pumpkin seeds", {"12014"}, set()), ("coconut milk", {"12118", "12117"}, set()), ("brocolli", {"11090"}, set()),
    ("hand-dived Orkney scallops", {"15172"}, set()), ("organic free-range eggs", {"01123"}, set()),
]  # fmt: skip


@pytest.mark.parametrize(("name", "first", "in_five"), NASTY, ids=[row[0] for row in NASTY])
def test_nasty_names(name: str, first: set[str], in_five: set[str]) -> None:
    found = [each.code for each in SHELF.candidates(name, 8)]
    assert not first or found[0] in first
    assert in_five <= set(found[:5])


def test_nuts_are_nuts() -> None:
    assert all(each.description.startswith("Nuts, ") for each in SHELF.candidates("nuts", 5))


def test_the_plain_food_comes_before_baby_food_brands_and_prepared_food() -> None:
    unwanted = ("babyfood", "fast food", "restaurant", "infant", "keebler", "kellogg")
    for name in ("carrots", "apple", "banana", "rice", "chicken", "beef", "peas", "lamb", "turkey", "pasta", "cheese", "potato"):
        for each in SHELF.candidates(name, 3):
            text = each.description.lower()
            assert not any(word in text for word in unwanted), (name, each)
    assert "potato" not in " ".join(each.description for each in SHELF.candidates("plain flour", 3)).lower()


def test_scores_fall_and_lie_between_0_and_1() -> None:
    for name in ("plain flour", "cream", "beef chuck", "hand-dived Orkney scallops"):
        scores = [each.score for each in SHELF.candidates(name, 8, NAMES)]
        assert scores == sorted(scores, reverse=True) and all(0 <= score <= 1 for score in scores)


def test_a_kitchen_name_within_the_name_is_offered() -> None:
    assert SHELF.candidates("Maldon sea salt flakes", 3, NAMES)[0].code == "02047"
    assert SHELF.candidates("bottled Cornish rock oysters", 3, NAMES)[0].code == "15171"
    assert SHELF.candidates("plain flour", 3, NAMES)[0].score > SHELF.candidates("plain flour", 3)[0].score


def test_limits_and_unknown_words() -> None:
    assert candidates("qzxv", DESCRIPTIONS) == candidates("", DESCRIPTIONS) == search("qzxv wvvk", DESCRIPTIONS) == ()
    assert len(candidates("beef", DESCRIPTIONS, 3)) == 3
    assert candidates("beef", {}) == ()


def test_search_holds_every_word_or_its_beginning() -> None:
    found = search("cod atlan", DESCRIPTIONS)
    assert {"15015", "15016", "15017", "15018"} == {each.code for each in found}
    assert found[0].code == "15015"
    assert all("almond" in each.description.lower() for each in search("almonds", DESCRIPTIONS, 10))
    assert search("courgette raw", DESCRIPTIONS, 5, SYNONYMS)[0].code in ("11477", "11953")  # no row says courgette


# ---- how well ------------------------------------------------------------------------------------------------------------


def held_out() -> list[tuple[str, str]]:
    """One kitchen name for each code of a fifth of the codes, taken by checksum. The ranker's points and the synonyms were
    found on the other four fifths."""
    by_code: dict[str, list[str]] = {}
    with reference("foods", "kitchen_names.csv").open(encoding="utf-8", newline="") as stream:
        for row in csv.DictReader(stream):
            by_code.setdefault(row["code"], []).append(row["name"])
    return [(min(names, key=digest), code) for code, names in sorted(by_code.items()) if digest(code) % 5 == 0]


def digest(text: str) -> int:
    return int(hashlib.sha256(text.encode()).hexdigest(), 16)


def share(rank) -> tuple[float, float]:
    names = held_out()
    found = [(code, rank(name)[:5]) for name, code in names]
    first = sum(codes[:1] == [code] for code, codes in found)
    return first / len(names), sum(code in codes for code, codes in found) / len(names)


def test_the_right_row_is_near_the_top_for_names_never_looked_at() -> None:
    """Measured when written: first 68 %, in the first five 88 %; by the number of shared words alone 55 % and 72 %. The name
    table itself is not used here. Many misses are rows equally right (mixed species, grades, fat trims)."""
    assert len(held_out()) > 150
    words = [set(text.split()) for text in normalise_all(list(DESCRIPTIONS.values()))]
    codes = list(DESCRIPTIONS)

    def shared_words(name: str) -> list[str]:
        asked = set(normalise(name).split())
        order = sorted((-len(asked & row), len(row), nr) for nr, row in enumerate(words) if asked & row)
        return [codes[nr] for _, _, nr in order[:5]]

    first, five = share(lambda name: [each.code for each in SHELF.candidates(name, 5)])
    plain_first, plain_five = share(shared_words)
    assert first >= 0.62 and five >= 0.82, (first, five)
    assert first >= plain_first + 0.08 and five >= plain_five + 0.08


def test_candidates_are_quick() -> None:
    times = []
    for _ in range(4):
        start = time.process_time()
        candidates("organic beef chuck, diced", DESCRIPTIONS, 8, SYNONYMS, NAMES)
        times.append(time.process_time() - start)
    assert min(times) < 0.4, "some 90 ms on the machine it was written on"
    start = time.process_time()
    SHELF.candidates("plain flour", 8)
    assert time.process_time() - start < 0.1
