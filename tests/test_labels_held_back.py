"""Labels that would leave something untold are not printed; a warning that a kitchen wrote is never lost.

What is printed of a warning, and who may take a gap on, is the house's own rule. The law behind it: Regulation (EU) No 1169/2011,
Art. 8(3) (no supply of food that is known not to comply), Art. 9(1) (particulars), Art. 21 (allergens); 21 CFR 101.9 (US table).
"""

from __future__ import annotations

import re

import pytest
from paper import pages, squash
from paper_kitchen import DAY, kitchen, printed

from labeller.serving.cli import main
from labeller.serving.label_checks import WRITE_IN
from labeller.serving.pipeline import declared, open_kitchen

ONE = ("labels", "--batch", "hazelnut boxes")
NUTS = "- product: hazelnut\n  ingredients on pack: HAZELNUTS"
UNREAD = f"{NUTS}=>- product: walnut paste\n{NUTS}"
BITE = "- dish: beetroot bite\n  portion:\n    - beetroot butter: 15 g\n    - rice case: 3 g"
WARNS = BITE + "\n  may contain: [sesame]"
LIFE = "  shelf life: {use by: 2 days, from: packing, set by: RM}\n  net weight: {at least: 180 g}"
PACK = f"  sold: prepacked for direct sale\n{LIFE}"
FRYER = (
    "- dish: hazelnut tartlet=>- dish: beetroot crisps\n  portion:\n    - beetroot: 10 g\n  equipment: [deep fryer]\n"
    "- dish: hazelnut tartlet\n  equipment: [deep fryer]"
)
COD = (
    "- product: hazelnut=>- product: cod\n  ingredients on pack: COD (FISH)\n  contains: [cod]\n  may contain: none\n"
    '  evidence: {kind: pack, checked: 2026-11-01, by: RM}\n  food: "15015"\n- product: hazelnut'
)

SQUID = (
    "- product: squid\n  ingredients on pack: SQUID (MOLLUSCS)\n  contains: [squid]\n  may contain: [celery]\n"
    "  evidence: {kind: pack, checked: 2026-11-01, by: RM}\n"
)


def also(text: str) -> str:
    return f"  - deep fryer: {{oil changed: 2026-11-24}}=>  - deep fryer: {{oil changed: 2026-11-24, also cooks: [{text}]}}"


def words(files: dict[str, bytes], name: str) -> str:
    return squash("".join(page.text() for page in pages(files[name])))


# Something nobody has read


def with_unread(folder):
    return kitchen(folder, larder=UNREAD, all="    - beetroot butter: 20 g=>    - beetroot butter: 20 g\n    - walnut paste: 3 g")


def test_a_pack_with_an_unread_product_gets_no_label(tmp_path, capsys):
    code, files = printed(with_unread(tmp_path / "k"), *ONE)
    told = " ".join("".join(capsys.readouterr()).split())
    assert code == 1 and not files
    assert "pack-not-confirmed" in told and "walnut paste" in told and "any allergen" in told


def test_nobody_can_take_an_unread_product_on(tmp_path):
    code, files = printed(with_unread(tmp_path / "k"), *ONE, "--accept-unassessed", "tasted, by R. Moss",
                          "--accept-incomplete", "tasted, by R. Moss")  # fmt: skip
    assert code == 1 and not files


def test_check_says_that_no_label_will_come(tmp_path, capsys):
    main(["check", "--kitchen", str(with_unread(tmp_path / "k")), "--date", DAY])
    assert "pack-not-confirmed" in capsys.readouterr().out


def test_a_law_that_does_not_list_the_allergen_prints(tmp_path):
    """21 U.S.C. 321(qq) lists no lupin: not confirmed for lupin alone holds back an EU label, not a US one."""
    folder = with_unread(tmp_path / "k")
    opened = open_kitchen(folder, DAY)
    pack = opened.kitchen.recipes["beetroot tartlets with hazelnut"]
    for law in ("eu", "us"):
        (told,) = [each for each in declared(opened, pack, law)[0].findings if each.code == "pack-not-confirmed"]
        assert ("any allergen" in told.text) == (law == "eu") and "lupin" not in told.text
        assert ("milk" in told.text) == (law == "us")


# Contact that a person takes on, and contact that nobody can


def test_contact_taken_on_stands_on_the_label(tmp_path):
    folder = kitchen(tmp_path / "k", kitchen=also("cod"), larder=COD, all=FRYER)
    code, files = printed(folder, *ONE, "--accept-unassessed", "fryer drained at noon, by R. Moss")
    assert code == 0 and "Maycontain:fish" in words(files, "hazelnut-boxes-labels.pdf")


@pytest.mark.parametrize("law", ["eu", "uk", "us"])
def test_who_takes_contact_on_signs_for_all_that_the_label_warns_of(tmp_path, law):
    """Contact and label in one set of words: of the butter's own milk and of what the law lists not there is no warning
    (Regulation (EU) No 1169/2011, Annex II; 21 U.S.C. 321(qq) lists no molluscs)."""
    folder = kitchen(tmp_path / "k", kitchen=also("cod, squid, butter"), all=FRYER, larder=COD.replace("=>", f"=>{SQUID}", 1))
    opened = open_kitchen(folder, DAY)
    made = declared(opened, opened.kitchen.recipes["beetroot tartlets with hazelnut"], law)[0]
    (told,) = [each.text for each in made.findings if each.code == "cross-contact-not-assessed"]
    assert "cod" in told and (law == "us" or "fish (cod)" in told)
    signed = re.sub(r" \([^)]*\)", "", told.partition(" met ")[2].partition(" on shared")[0]).split(", ")
    signed += told.partition("warns of ")[2].partition(" too,")[0].split(", ") if "warns of" in told else []
    label = made.may_contain.partition(": ")[2].rstrip(".").lower().split(", ")
    assert sorted(signed) == sorted(label) and "milk" not in told and ("molluscs" in told) == (law != "us")


def test_contact_with_an_unread_product_cannot_be_taken_on(tmp_path, capsys):
    folder = kitchen(tmp_path / "k", kitchen=also("prawn crackers"), all=FRYER)
    code, files = printed(folder, *ONE, "--accept-unassessed", "fryer drained at noon, by R. Moss")
    assert code == 1 and not files and "pack-not-confirmed" in "".join(capsys.readouterr())


# The kitchen's own warning


@pytest.mark.parametrize("assessed", ["", "\n  risk assessed: RM 2026-11-20"])
def test_a_warning_on_a_dish_reaches_record_guest_and_pack(tmp_path, capsys, assessed):
    folder = kitchen(tmp_path / "k", all=f"{BITE}=>{WARNS}{assessed}")
    opened = open_kitchen(folder, DAY)
    for name in ("beetroot bite", "beetroot tartlets"):
        made = declared(opened, opened.kitchen.recipes[name], "uk")[0]
        assert made.states["sesame"][0] == "cross_contact" and "sesame" in made.may_contain
    main(["guest", "--avoid", "sesame", "--kitchen", str(folder), "--date", DAY])
    told = capsys.readouterr().out
    assert "own warning" in told and "nothing on record" not in told.partition("beetroot bite")[2].partition("tartlets")[0]
    code, files = printed(folder, "labels", "--batch", "plain boxes")
    assert code == 0 and "Maycontain:sesame" in words(files, "plain-boxes-labels.pdf")
    assert ("warning-not-assessed" in "".join(capsys.readouterr()) or bool(assessed))


def test_a_warning_with_a_word_that_is_no_allergen_stops_the_dish(tmp_path, capsys):
    folder = kitchen(tmp_path / "k", all=f"{BITE}=>{BITE}\n  may contain: [sesmae]")
    assert main(["check", "--kitchen", str(folder), "--date", DAY]) == 1
    assert "unknown-kind" in capsys.readouterr().out


@pytest.mark.parametrize("key", ["contains", "allergens", "Contains"])
def test_contains_on_a_dish_is_never_turned_into_may_contain(tmp_path, capsys, key):
    folder = kitchen(tmp_path / "k", all=f"{BITE}=>{BITE}\n  {key}: [milk]")
    assert main(["check", "--kitchen", str(folder), "--date", DAY]) == 1
    told = " ".join(capsys.readouterr().out.split())
    assert "did you mean may contain" not in told and "on the product in products/" in told


# What the law asks for


def test_a_pack_without_its_particulars_is_printed_only_for_somebody_who_takes_it_on(tmp_path, capsys):
    folder = kitchen(tmp_path / "k", all=f"{PACK}=>  sold: prepacked\n  net weight: {{at least: 180 g}}")
    code, files = printed(folder, *ONE)
    told = " ".join("".join(capsys.readouterr()).split())
    assert code == 1 and not files and "particular-missing" in told and "table-missing" in told and "--accept-incomplete" in told
    _, files = printed(folder, *ONE, "--accept-incomplete", "date and table on a sticker, by R. Moss")
    assert files and "label-incomplete-accepted" in "".join(capsys.readouterr())


def test_what_a_person_takes_on_as_missing_has_a_line_on_the_label(tmp_path):
    """Regulation (EU) No 1169/2011, Art. 9(1) (UK law keeps the list): the gap is to be seen and filled, not left out."""
    bare = f"{PACK}\n  largest side: 60 cm2\n  store: Keep below 5 °C=>  sold: prepacked\n  largest side: 60 cm2"
    accept = ("--accept-incomplete", "all written by hand, by R. Moss")
    _, files = printed(kitchen(tmp_path / "k", all=bare, day="  lot: L1\n=>"), *ONE, *accept)
    (name,) = files
    texts = [run.text for page in pages(files[name]) for run in page.runs]
    text = squash("".join(texts))
    assert f"Useby{WRITE_IN}" in text and f"Lot{WRITE_IN}" in text and f"{WRITE_IN[:6]}g" in text, text
    assert WRITE_IN * 2 in texts and "The Test Room, 1 Quay Street" in " ".join(texts), "a line for storage; not for the business"
    sold = "  sold: {}\n  shelf life: {{{}"
    best = kitchen(tmp_path / "b", all="=>".join((sold.format("prepacked for direct sale", "use by"),
                                                  sold.format("prepacked", "best before"))))  # fmt: skip
    _, files = printed(best, "labels", "--pack", "beetroot tartlets with hazelnut", "--date", "2026-11-20", *accept)
    (name,) = files
    assert f"Bestbefore{WRITE_IN}" in words(files, name)
    _, files = printed(kitchen(tmp_path / "whole"), *ONE, *accept)
    (name,) = files
    assert "____" not in words(files, name), "nothing is missing"


def test_a_pack_of_no_batch_has_no_date_and_gets_no_label(tmp_path, capsys):
    code, files = printed(kitchen(tmp_path / "k"), "labels", "--pack", "beetroot tartlets", "--date", "2026-11-20")
    told = " ".join("".join(capsys.readouterr()).split())
    assert code == 1 and not files and "no batch says on which day it was packed" in told
