"""Sheets and cards in the languages that exist: their own words, no English by stealth, what is missing is told.

The words themselves are from memory (see the heads of templates/cards.yaml, templates/sheets.yaml and reference/rules/words/);
names of allergens follow the language versions of Regulation (EU) No 1169/2011, Annex II, which these tests hold for milk and
celery: de "Milch", "Sellerie"; fr "lait", "céleri"; es "leche", "apio"; it "latte", "sedano"; nl "melk", "selderij" (from
memory)."""

from __future__ import annotations

import re
from io import BytesIO

import pytest
from paper import overlaps, pages
from paper_kitchen import DAY, kitchen, printed
from pypdf import PdfReader

from labeller.printing import words as english
from labeller.printing.guest_words import LEADS, guest_words
from labeller.printing.kitchen_cards import answer_words
from labeller.reading.looks import looks as read_looks
from labeller.serving.label_runs import WRITE_IN
from labeller.terms import floor
from labeller.terms.allergens import CONTAINS
from labeller.terms.floor import Change, FloorDish, Option, OptionState

LOOKS = read_looks()[0]
OTHERS = ("de", "fr", "es", "it", "nl")
MILK = {"en": "milk", "de": "milch", "fr": "lait", "es": "leche", "it": "latte", "nl": "melk"}
CELERY = {"en": "celery", "de": "sellerie", "fr": "céleri", "es": "apio", "it": "sedano", "nl": "selderij"}
NOVEMBER = {
    "en": "25 November 2026",
    "de": "25. November 2026",
    "fr": "25 novembre 2026",
    "es": "25 de noviembre de 2026",
    "it": "25 novembre 2026",
    "nl": "25 november 2026",
}


@pytest.fixture(scope="module")
def house(tmp_path_factory):
    return kitchen(tmp_path_factory.mktemp("languages") / "house")


def text_of(pdf: bytes) -> str:
    pages = [page.extract_text() for page in PdfReader(BytesIO(pdf)).pages]
    return re.sub(r"\s+", " ", re.sub(r"-\n", "", " ".join(pages))).lower()


def test_english_of_the_sheets_is_the_english_of_the_commands():
    said = guest_words(LOOKS, "en")[0]
    assert {state: said.state(state) for state in LEADS} == english.STATES
    assert {said.say(f"meaning {LEADS[state]}") for state in english.MEANINGS} == set(english.MEANINGS.values())
    assert {law: said.say(f"law {law}") for law in english.LAWS} == english.LAWS
    assert said.say("no answer") == english.NO_ANSWER == floor.NO_ANSWER
    assert [said.say(key) for key in ("nothing on record", "ask", "not for this guest")] == list(floor.VERDICTS)


@pytest.mark.parametrize("language", OTHERS)
def test_no_word_of_a_language_is_missing_or_english(language):
    own, en = LOOKS.words[language], LOOKS.words["en"]
    assert not [key for key in en if key not in own]
    same = {key for key in en if own[key] == en[key] and re.search("[A-Za-z]{4}", en[key])}
    # spelled alike in both
    allowed = {"date", "matrix", "component", "components", "law ca", "page", "ticket table", "floor table", "floor table is"}
    allowed |= {"card alcohol", "card portions", "tray portion", "tray portions"}
    assert same <= allowed, same


@pytest.mark.parametrize("language", OTHERS)
def test_matrix_cards_ticket_and_box_card_speak_it(house, language):
    said = guest_words(LOOKS, language)[0]
    files = {}
    for words in (("matrix",), ("cards",), ("box-card", "--batch", "hazelnut boxes"), ("ticket", "--avoid", "milk")):
        files |= printed(house, *words, "--language", language)[1]
    for name, pdf in files.items():
        assert PdfReader(BytesIO(pdf)).trailer["/Root"]["/Lang"] == language, name
        assert MILK[language] in text_of(pdf), name
        assert not re.search(
            r"\b(contains|none on record|not confirmed|checked by|allergy ticket|as of|kitchen version)\b", text_of(pdf)
        ), name
    matrix = text_of(files["winter-matrix.pdf"])
    for key in ("matrix", "dish", "can be changed", "cell contains", "cell none", "meaning equipment"):
        assert said.say(key).lower() in matrix, key
    assert CELERY[language] in matrix and NOVEMBER[language].lower() in matrix
    ticket = text_of(files["winter-ticket.pdf"])
    assert "course" not in ticket and said.say("packs").lower() in ticket
    assert said.say("avoids").lower() in ticket and said.say("not for this guest").lower() in ticket


@pytest.mark.parametrize("language", OTHERS)
def test_recipe_cards_run_sheet_trays_and_tubs_speak_it(house, language):
    said = guest_words(LOOKS, language)[0]
    files = {}
    for words in (("recipe-cards",), ("run-sheet",), ("tray-labels",), ("tub-labels",)):
        files |= printed(house, *words, "--language", language)[1]
    for name, pdf in files.items():
        reader = PdfReader(BytesIO(pdf))
        assert reader.trailer["/Root"]["/Lang"] == language, name
        assert reader.metadata.title not in ("Run sheet", "Tray labels", "Tub labels"), name
        assert not re.search(
            r"\b(contains|none on record|not confirmed|supplier’s|recipe card|as written|grams|run sheet|spoiled|initials|use by"
            r"|made by|made \d|checked by|packs?|kitchen version|law:|see the whole|leave off)\b",
            text_of(pdf),
        ), name
    told = {
        "recipe-cards/hazelnut-tartlet.pdf": ("card", "card line", "card as written", "card whole", "card leave off",
                                              "can be changed", "cell contains", "card weight"),
        f"{DAY}-run-sheet.pdf": ("run sheet", "run printed", "run spoiled", "run together", "run initials", "run checked by"),
        f"{DAY}-tray-labels.pdf": ("cell contains",),
        "beetroot-butter-tub-labels.pdf": ("cell contains",),
    }  # fmt: skip
    for name, keys in told.items():
        text = text_of(files[name])
        for key in keys:
            assert said.say(key).lower() in text, (name, key)
        assert name.endswith("run-sheet.pdf") or MILK[language] in text, name
    tubs = text_of(files["beetroot-butter-tub-labels.pdf"])
    assert said.say("tub made", WRITE_IN).lower() in tubs, "the day is nobody's to say without a batch"
    assert said.say("run sum").lower() in text_of(files[f"{DAY}-run-sheet.pdf"])
    sheets = [page for name in files if name.endswith(("run-sheet.pdf", "labels.pdf")) for page in pages(files[name])]
    assert all(overlaps(page.runs) == [] for page in sheets), "longer words stay in their columns"


@pytest.mark.parametrize("language", ("en", *OTHERS))
def test_a_tub_says_the_day_its_batch_was_made_and_else_leaves_a_line_for_it(house, tmp_path, language):
    said = guest_words(LOOKS, language)[0]
    (bare,) = printed(house, "tub-labels", "--language", language)[1].values()
    assert said.say("tub made", WRITE_IN).lower() in text_of(bare)
    butter = f"- batch: butter of today\n  makes: beetroot butter\n  date: {DAY}\n"
    made = kitchen(tmp_path / "made", day=f"- batch: hazelnut boxes=>{butter}- batch: hazelnut boxes")
    (dated,) = printed(made, "tub-labels", "--language", language)[1].values()
    assert said.say("tub made", NOVEMBER[language]).lower() in text_of(dated)
    assert said.say("tub made", WRITE_IN).lower() not in text_of(dated)


def test_what_stopped_a_recipe_stays_in_english_and_is_told(tmp_path, capsys):
    folder = kitchen(tmp_path / "house", larder="  may contain: none\n=>  may contain: none\n  recall: metal found\n")
    _, files = printed(folder, "recipe-cards", "--language", "de")
    text = text_of(files["recipe-cards/beetroot-butter.pdf"])
    assert guest_words(LOOKS, "de")[0].say("no answer").lower() in text and "metal found" in text
    assert "stands as it was found, in English" in " ".join(capsys.readouterr().out.split())


def test_a_card_in_two_languages_says_each_line_in_both(house):
    text = text_of(printed(house, "cards", "--language", "en,fr")[1]["winter-menu-card.pdf"])
    assert text.count("contains: ") == text.count("contient : ") == 4, "each dish and pack"
    assert "please tell us" in text and "toute allergie" in text


def test_the_kitchens_languages_are_the_default(tmp_path):
    folder = kitchen(tmp_path / "two", kitchen="languages: [en]=>languages: [it, en]")
    pdf = printed(folder, "cards")[1]["winter-menu-card.pdf"]
    text = text_of(pdf)
    assert text.index("contiene: ") < text.index("contains: ") and PdfReader(BytesIO(pdf)).trailer["/Root"]["/Lang"] == "it"


def test_what_a_language_lacks_is_told(house, tmp_path, capsys):
    _, files = printed(house, "floor-page", "--language", "fr")
    assert "sheet-" not in capsys.readouterr().out and b'<html lang="fr">' in files["winter-floor.html"]
    assert printed(house, "matrix", "--language", "pl")[0] == 1
    assert "language-not-there" in capsys.readouterr().err
    fish = (
        "- product: butter=>- product: turbot\n  contains: [turbot]\n  may contain: none\n  evidence: "
        "{kind: single ingredient, checked: 2026-11-01, by: RM}\n- product: butter"
    )
    folder = kitchen(tmp_path / "fish", larder=fish, all="    - beetroot: 300 g=>    - turbot: 20 g\n    - beetroot: 300 g")
    _, files = printed(folder, "matrix", "--language", "fr")
    told = capsys.readouterr().out
    assert "sheet-term-missing" in told and "turbot" in told, "its group's name stands, and it is told"
    assert "poisson" in text_of(files["winter-matrix.pdf"])


@pytest.mark.parametrize(("language", "told"), [
    ("de", "24. November \N{EN DASH} 5. Dezember 2026"), ("es", "24 de noviembre \N{EN DASH} 5 de diciembre de 2026"),
    ("fr", "24 novembre \N{EN DASH} 5 décembre 2026"),
])  # fmt: skip
def test_the_year_of_a_service_is_said_once(language, told):
    said = guest_words(LOOKS, language)[0]
    assert said.service("2026-11-24", "2026-12-05") == told
    assert said.service("2026-12-24", "2027-01-05").count("202") == 2
    assert said.service("2026-11-25", "2026-11-25") == said.day("2026-11-25", weekday=True)


def test_a_kitchens_own_language_that_lacks_words_is_told(tmp_path):
    (tmp_path / "cards.yaml").write_text('pl:\n  contains: "Zawiera: {}"\n', encoding="utf-8")
    words, found = guest_words(read_looks(tmp_path)[0], "pl")
    assert words.say("contains", "mleko") == "Zawiera: mleko"
    assert [each.code for each in found] == ["sheet-language"] and "to confirm" in found[0].text


def dish(*options: Option) -> FloorDish:
    return FloorDish("plate", options=options)


MADE = {
    "without": (
        dish(Option(states={"milk": OptionState(CONTAINS)}), Option((Change("cream", "leave off"),))),
        {
            "en": "make fresh without cream, confirm with the kitchen",
            "fr": "refaire sans cream, à confirmer avec la cuisine",
            "de": "frisch zubereiten ohne cream, in der Küche bestätigen lassen",
        },
    ),
    "instead": (
        dish(
            Option(states={"milk": OptionState(CONTAINS)}),
            Option((Change("cream", "instead", "oat cream"), Change("foam", "leave off"))),
        ),
        {
            "en": "make fresh without foam, with oat cream instead of cream, confirm with the kitchen",
            "nl": "vers maken zonder foam, met oat cream in plaats van cream, bevestigen bij de keuken",
            "it": "preparare di nuovo senza foam, con oat cream al posto di cream, confermare con la cucina",
        },
    ),
    "refused": (
        dish(Option(states={"milk": OptionState(CONTAINS)})),
        {"en": "not for this guest", "es": "no para este comensal"},
    ),
    "nothing": (dish(Option()), {"en": "nothing on record, confirm with the kitchen"}),
}


@pytest.mark.parametrize("name", MADE)
def test_answers_say_the_same_in_every_language(name):
    plate, said = MADE[name]
    answer = floor.answer(plate, ("milk",))
    for language, text in said.items():
        assert answer_words(answer, guest_words(LOOKS, language)[0]) == text
