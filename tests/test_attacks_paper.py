"""What a newcomer tried on paper and in the files: labels that would say too little, slips in a command, words to type that were
invented. Each case is common practice of kitchens and needs no source unless one is named."""

from __future__ import annotations

import declared_plate
import pytest
from msgspec.structs import replace
from paper import pages, squash
from paper_kitchen import DAY, kitchen, printed

from labeller.serving.cli import main
from labeller.terms.record import Ingredient

FRIED = (
    "- dish: hazelnut tartlet=>- dish: beetroot crisps\n  portion:\n    - beetroot: 10 g\n  equipment: [deep fryer]\n"
    "- dish: hazelnut tartlet\n  equipment: [deep fryer]"
)
SQUID = "  - deep fryer: {oil changed: 2026-11-24}=>  - deep fryer: {oil changed: 2026-11-24, also cooks: [cod]}"
COD = (
    "- product: hazelnut=>- product: cod\n  ingredients on pack: COD (FISH)\n  contains: [cod]\n  may contain: none\n"
    '  evidence: {kind: pack, checked: 2026-11-01, by: RM}\n  food: "15015"\n- product: hazelnut'
)
ONE = ("labels", "--batch", "hazelnut boxes")


def met_cod(folder, **more):
    """A kitchen whose hazelnut tartlets go through a fryer that cooks cod."""
    folder = kitchen(folder, kitchen=SQUID, larder=COD, all=FRIED)
    for old, new in more.get("recipes", ()):
        path = folder / "recipes" / "all.yaml"
        text = path.read_text(encoding="utf-8")
        assert old in text
        path.write_text(text.replace(old, new), encoding="utf-8")
    return folder


# Labels of packs whose cross-contact nobody has assessed


def test_a_pack_that_met_fish_gets_no_label_without_an_assessment(tmp_path, capsys):
    code, files = printed(met_cod(tmp_path / "k"), *ONE)
    told = capsys.readouterr().err
    assert code == 1 and not files
    assert "STOP" in told and "cross-contact-not-assessed" in told and "cod" in told and "--accept-unassessed" in told


def test_the_other_pack_of_the_day_is_printed_and_the_refused_one_is_told(tmp_path, capsys):
    code, files = printed(met_cod(tmp_path / "k"), "labels")
    text = squash("".join(page.text() for page in pages(files["plain-boxes-labels.pdf"])))
    assert code == 1 and list(files) == ["plain-boxes-labels.pdf"] and "LotL2" in text
    assert "cross-contact-not-assessed" in capsys.readouterr().err


def test_accepted_with_a_name_it_prints_and_says_who_took_it_on(tmp_path, capsys):
    folder = met_cod(tmp_path / "k")
    code, files = printed(folder, *ONE, "--accept-unassessed", "fryer drained at noon, by R. Moss")
    told = capsys.readouterr().out
    assert code == 0 and list(files) == ["hazelnut-boxes-labels.pdf"]
    assert "cross-contact-accepted" in told and "R. Moss" in told and "cod" in told


@pytest.mark.parametrize("words", ["", "drained", "by R. Moss", "drained by "])
def test_accepted_by_nobody_is_refused(tmp_path, capsys, words):
    code, files = printed(met_cod(tmp_path / "k"), *ONE, "--accept-unassessed", words)
    assert code == 1 and not files and "name-needed" in capsys.readouterr().err


def test_a_recorded_assessment_lets_the_label_print_with_its_warning(tmp_path, capsys):
    change = ("  largest side: 60 cm2", "  largest side: 60 cm2\n  may contain: [fish]\n  risk assessed: RM 2026-11-20")
    code, files = printed(met_cod(tmp_path / "k", recipes=[change]), *ONE)
    text = squash("".join(page.text() for page in pages(files["hazelnut-boxes-labels.pdf"])))
    assert code == 0 and "Maycontain:fish" in text and "cross-contact" not in capsys.readouterr().out


def test_fried_without_a_word_on_the_fryer_is_not_assessed_either(tmp_path, capsys):
    folder = met_cod(
        tmp_path / "k",
        recipes=[("- dish: hazelnut tartlet\n  equipment: [deep fryer]", "- dish: hazelnut tartlet\n  method: deep-fried")],
    )
    code, files = printed(folder, *ONE)
    assert code == 1 and not files and "cross-contact-not-assessed" in capsys.readouterr().err


def test_doubts_of_a_packs_declaration_are_told_with_its_labels(tmp_path, capsys):
    """Regulation (EU) No 1169/2011, Annex X: a label without its date lacks a mandatory particular (UK law keeps the list).
    Whoever puts the date on the pack another way says so, and is told what else is missing."""
    life = "  sold: prepacked for direct sale\n  shelf life: {use by: 2 days, from: packing, set by: RM}\n"
    life += "  net weight: {at least: 180 g}"
    folder = kitchen(tmp_path / "k", all=f"{life}=>  sold: prepacked\n  net weight: {{at least: 180 g}}")
    _, files = printed(folder, *ONE, "--accept-incomplete", "date and table on a sticker, by R. Moss")
    told = "".join(capsys.readouterr())
    assert files and "no durability" in told and "pack-figure-not-whole" in told, "why there is no table is told too"


# Slips in a command


@pytest.mark.parametrize("copies", ["0", "-3", "5001", "99999999"])
def test_copies_that_no_run_has(tmp_path, capsys, copies):
    code, files = printed(kitchen(tmp_path / "k"), *ONE, "--copies", copies)
    told = capsys.readouterr().err
    assert code == 1 and not files and "copies-outside" in told and "from 1 to 5000" in " ".join(told.split())


def test_a_count_in_the_batch_that_no_run_has(tmp_path, capsys):
    code, files = printed(kitchen(tmp_path / "k", day="count: 20=>count: 200000"), *ONE)
    assert code == 1 and not files and "copies-outside" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("offset", "told_mm"), [(("200", "0"), "200 mm to the right"), (("0", "-50"), "50 mm up"), (("-6", "0"), "6 mm to the left")]
)
def test_an_offset_off_the_page(tmp_path, capsys, offset, told_mm):
    code, files = printed(kitchen(tmp_path / "k"), *ONE, "--offset", *offset)
    told = " ".join(capsys.readouterr().out.split())
    assert code == 1 and not files and "label-offset-outside" in told and told_mm in told


def test_an_offset_within_the_margin_prints(tmp_path):
    assert printed(kitchen(tmp_path / "k"), *ONE, "--offset", "1.5", "-2")[0] == 0


@pytest.mark.parametrize(
    "slip",
    [("--copies", "-3"), ("--start", "99"), ("--stock", "nowhere"), ("--offset", "300", "0"), ("--stock", "A4 38.1 x 21.2")],
)
def test_a_slip_in_a_command_leaves_the_good_print_where_it_is(tmp_path, capsys, slip):
    folder, out = kitchen(tmp_path / "k"), tmp_path / "out"
    words = ["print", *ONE, "--kitchen", str(folder), "--date", DAY, "--out", str(out)]
    assert main(words) == 0
    good = (out / "hazelnut-boxes-labels.pdf").read_bytes()
    assert main([*words, *slip]) == 1
    assert (out / "hazelnut-boxes-labels.pdf").read_bytes() == good and not (out / "void").exists()
    assert "moved aside" not in capsys.readouterr().out


def test_a_print_that_no_longer_holds_is_still_moved_aside(tmp_path, capsys):
    folder, out = kitchen(tmp_path / "k"), tmp_path / "out"
    words = ["print", *ONE, "--kitchen", str(folder), "--date", DAY, "--out", str(out)]
    assert main(words) == 0
    larder = folder / "products" / "larder.yaml"
    larder.write_text(
        larder.read_text(encoding="utf-8").replace(
            "- product: hazelnut", "- product: hazelnut\n  recall: lot 3, undeclared peanut"
        ),
        encoding="utf-8",
    )
    assert main(words) == 1
    assert not (out / "hazelnut-boxes-labels.pdf").exists() and (out / "void" / "hazelnut-boxes-labels.1.pdf").exists()


# What a finding tells a cook to type: the cook's own value, or a place to fill in, never an invented value


def told_of(folder, code: str) -> str:
    """The mends of a code's findings in a kitchen."""
    from labeller.reading.kitchen import read_kitchen

    return " | ".join(one.mend for one in read_kitchen(folder)[1] if one.code == code)


@pytest.mark.parametrize(
    ("typed", "mend"),
    [
        ("20/11/2026", "checked: 2026-11-20"),  # ISO 8601: year-month-day
        ("20 November 2026", "checked: 2026-11-20"),
        ("5.11.2026", "checked: 2026-11-05 or checked: 2026-05-11"),
        ("20261120", "checked: 2026-11-20"),
        ("2026-13-40", "checked: YYYY-MM-DD, the day itself"),
        ("last week", "checked: YYYY-MM-DD, the day itself"),
    ],
)
def test_a_date_is_offered_as_it_was_meant(tmp_path, typed, mend):
    one = "{kind: pack, checked: 2026-11-01, by: RM}\n  food: \"01001\""
    folder = kitchen(tmp_path / "k", larder=f"{one}=>{one.replace('2026-11-01', typed)}")
    assert told_of(folder, "date-not-read") == f"write year-month-day: {mend}"


@pytest.mark.parametrize(
    ("typed", "mend"),
    [("two hundred", "type count: 200"), ("twelve", "type count: 12"), ("1,500", "type count: 1500"),
     ("many", "write count: and the number in figures")],
)  # fmt: skip
def test_a_count_in_words(tmp_path, typed, mend):
    assert told_of(kitchen(tmp_path / "k", day=f"count: 20=>count: {typed}"), "number-not-read") == mend


@pytest.mark.parametrize(
    ("typed", "mend"),
    [("150 %", "write trim: and a share from 0 to 99.9 %"), ("35", "type trim: 35 %"),
     ("350", "write trim: and a share from 0 to 99.9 %"),
     ("a third", "write trim: and a share from 0 to 99.9 %")],
)  # fmt: skip
def test_a_share_is_never_made_up(tmp_path, typed, mend):
    folder = kitchen(tmp_path / "k", all=f"- beetroot: 300 g=>- beetroot: {{amount: 300 g, trim: {typed}}}")
    assert told_of(folder, "percent-not-read").startswith(mend)


# Slips of the pen in a recipe


def checked(folder) -> list:
    from labeller.serving.pipeline import everything_found, open_kitchen

    return list(everything_found(open_kitchen(folder, DAY)))


def told(folder, code: str) -> list[str]:
    return [f"{one.place} {one.text} => {one.mend}" for one in checked(folder) if one.code == code]


@pytest.mark.parametrize(
    ("typed", "mend"),
    [("beetroot 300 g", "write - beetroot: 300 g"), ("egg 2 large", "write - egg: 2 large"),
     ("red wine 1/2 l", "write - red wine: 1/2 l"),
     ("lemon juice 1 1/2 tbsp", "write - lemon juice: 1 1/2 tbsp")],
)  # fmt: skip
def test_a_forgotten_colon(tmp_path, typed, mend):
    folder = kitchen(tmp_path / "k", all=f"- beetroot: 300 g=>- {typed}")
    assert [one for one in told(folder, "line-pasted") if one.endswith(mend) and "all.yaml:3" in one]


@pytest.mark.parametrize("name", ["flour 00", "flour T 55", "7 herbs"])
def test_a_number_in_a_name_is_no_forgotten_colon(tmp_path, name):
    assert not told(kitchen(tmp_path / "k", all=f"- beetroot: 300 g=>- {name}"), "line-pasted")


def test_a_forgotten_dash_is_told_on_its_own_line(tmp_path):
    folder = kitchen(tmp_path / "k", all="    - butter: 200 g=>      butter: 200 g")
    (one,) = told(folder, "line-two-ingredients")
    assert one.startswith("recipes/all.yaml:4") and "line 4 has no dash" in one and "- butter: …" in one


@pytest.mark.parametrize("line", ["- beetroot: some", "- beetroot: 1,500 g", "- beetroot 300 g"])
def test_nothing_follows_from_a_line_that_is_not_read(tmp_path, line):
    """The batch would weigh more than its other lines only because one of them is not read."""
    makes = "  makes: 450 g\n  loss: evaporated\n  shelf life: {use by: 3 days, from: cooking, set by: RM}"
    folder = kitchen(tmp_path / "k", all="  shelf life: {use by: 3 days, from: cooking, set by: RM}=>" + makes)
    path = folder / "recipes" / "all.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("- beetroot: 300 g", line), encoding="utf-8")
    codes = {one.code for one in checked(folder)}
    assert codes & {"amount-not-read", "amount-comma", "line-pasted"}
    assert not codes & {"batch-heavier-than-lines", "loss-not-named", "mass-not-balanced"}


def test_a_batch_too_heavy_is_told_where_all_lines_are_read(tmp_path):
    folder = kitchen(tmp_path / "k", all="  store: Keep below 5 °C\n- dish=>  store: Keep below 5 °C\n  makes: 900 g\n- dish")
    assert told(folder, "batch-heavier-than-lines")


@pytest.mark.parametrize(("typed", "own"), [("beetroot butter sauce", "beetroot butter"), ("betroot buter", "beetroot butter")])
def test_the_kitchens_own_names_are_offered_first(tmp_path, typed, own):
    folder = kitchen(tmp_path / "k", all=f"    - beetroot butter: 20 g=>    - {typed}: 20 g")
    (one,) = told(folder, "no-food-match")
    assert f'=> did you mean your recipe "{own}"?' in one


def test_an_alternative_that_nothing_knows(tmp_path):
    change = "    - beetroot butter: 20 g=>    - beetroot butter: {amount: 20 g, instead: zorblax cream}"
    (one,) = told(kitchen(tmp_path / "k", all=change), "instead-not-known")
    assert "zorblax cream" in one and not told(kitchen(tmp_path / "j"), "instead-not-known")


def test_a_method_that_nothing_knows_is_a_note(tmp_path):
    folder = kitchen(tmp_path / "k", all="  store: Keep below 5 °C\n- dish=>  store: Keep below 5 °C\n  method: zimmered\n- dish")
    (one,) = [one for one in checked(folder) if one.code == "method-not-known"]
    assert one.severity == "note" and "zimmered" in one.text


def test_the_word_nuts_leads_to_tree_nuts_and_to_peanuts():
    from labeller.serving.guest import avoids
    from labeller.serving.tables import Tables

    tables = Tables()
    ticks = avoids(tables.kinds, tables.guest_words)
    found = {each.key for each in ticks if "nuts" in (each.name, *each.words)}
    assert found >= {"tree_nuts", "peanuts"}, "the guest is asked which, as labeller guest asks back"
    assert next(each for each in ticks if each.key == "tree_nuts").name == "tree nuts"


def test_words_of_the_trade_for_a_key(tmp_path):
    change = "  store: Keep below 5 °C\n- dish=>  store: Keep below 5 °C\n  drained: 20 %\n- dish"
    assert told_of(kitchen(tmp_path / "k", all=change), "key-unknown") == "did you mean poured off: ?"


@pytest.mark.parametrize("typed", ["sold: prepaked", "solld: prepacked", "sold: prepacked for direct sales"])
def test_a_misspelt_sold_is_not_told_as_missing_too(tmp_path, typed):
    folder = kitchen(tmp_path / "k", all=f"  sold: prepacked for direct sale=>  {typed}")
    path = folder / "recipes" / "all.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("  sold: prepacked for direct sale", f"  {typed}"), encoding="utf-8")
    codes = [one.code for one in checked(folder)]
    assert ("key-unknown" in codes or "choice-unknown" in codes) and "sold-missing" not in codes


@pytest.mark.parametrize("law", ["eu", "uk"])
@pytest.mark.parametrize("mg", [5.0, 50.0])
def test_sulphites_named_by_a_supplier_are_set_off_below_the_limit_too(law, mg):
    """Regulation (EU) No 1169/2011, Annex II(12): from more than 10 mg/kg; below it, a word that stands is set off all the
    same."""
    wine = Ingredient("white wine", 10.0, kinds=("sulphites",), printed="grapes, yeast (contains sulphites)")
    juice = Ingredient("lemon juice", 5.0, kinds=("sulphites",))
    record = declared_plate.dish(ingredients=(wine, juice), facts=(declared_plate.fact("sulphites"),), sulphites_mg_per_kg=mg)
    statement = declared_plate.marked(declared_plate.made(record, law))
    assert "grapes, yeast (contains *sulphites*)" in statement
    assert ("lemon juice (*sulphites*)" in statement) is (mg > 10), "where no text names them, the law's limit decides"


@pytest.mark.parametrize(
    ("printed_list", "kinds", "expected"),
    [
        ("WHEAT Flour, Glucose-Fructose Syrup, Skimmed MILK Powder", ("wheat", "milk"),
         "(*Wheat* Flour, Glucose-Fructose Syrup, Skimmed *Milk* Powder)"),
        ("RYE Flour, Water, Salt", ("rye",), "(*Rye* Flour, water, salt)"),
        ("RYE flour, water", ("rye",), "(*rye* flour, water)"),
        ("Skimmed MILK, cultures", ("milk",), "(skimmed *milk*, cultures)"),
    ],
)  # fmt: skip
def test_a_suppliers_capitals_are_never_mixed_within_a_name(printed_list, kinds, expected):
    """The supplier's words stand; where its allergens stand in capitals they take the case of the words beside them."""
    record = declared_plate.dish(ingredients=(Ingredient("mix", 5.0, kinds=kinds, printed=printed_list),
                                              Ingredient("potato", 1.0)))  # fmt: skip
    assert expected in declared_plate.marked(declared_plate.made(record, "uk"))


def test_a_guests_pack_bears_its_lot_and_mark_and_no_versions(tmp_path):
    from labeller.reading.kitchen import read_kitchen

    folder = kitchen(tmp_path / "k")
    _, files = printed(folder, *ONE)
    text = squash(pages(files["hazelnut-boxes-labels.pdf"])[0].text())
    assert "LotL1" in text and read_kitchen(folder)[0].version[:8] not in text and f"UK{DAY}" not in text


# Label figures without fibre

FIGURES = "{basis: eu, energy: 1500 kJ, fat: 5 g, saturates: 1 g, carbohydrate: 60 g, sugars: 6 g, protein: 12 g, salt: 1 g}"
CRUMB = (
    "- product: hazelnut=>- product: crumb\n  contains: [wheat]\n  may contain: none\n"
    "  evidence: {kind: pack, checked: 2026-11-01, by: RM}\n  nutrition per 100 g: " + FIGURES + "\n- product: hazelnut"
)


def with_crumb(folder, larder=CRUMB):
    return kitchen(folder, larder=larder, all="    - beetroot butter: 15 g=>    - beetroot butter: 15 g\n    - crumb: 30 g")


def test_an_eu_label_without_fibre_names_the_product_and_what_to_write(tmp_path):
    """Regulation (EU) No 1169/2011, Annex I(7): carbohydrate on an EU label is without fibre."""
    (one,) = told(with_crumb(tmp_path / "k"), "fibre-not-on-label")
    assert '"crumb"' in one and "write `fibre:`" in one


@pytest.mark.parametrize("change",
                         [(" salt: 1 g}", " salt: 1 g, fibre: 4 g}"), (" salt: 1 g}", " salt: 1 g}\n  food: \"18079\"")])
def test_fibre_of_the_label_or_the_row_settles_it(tmp_path, change):
    folder = with_crumb(tmp_path / "k", CRUMB.replace(*change))
    assert not told(folder, "fibre-not-on-label")


def test_why_never_calls_a_part_of_a_figure_exact(tmp_path, capsys):
    folder = with_crumb(tmp_path / "k", CRUMB.replace(" sugars: 6 g,", ""))
    assert main(["why", "beetroot bite", "sugars_g", "--kitchen", str(folder), "--date", DAY]) == 0
    line = capsys.readouterr().out.splitlines()[0]
    assert "exactly" not in line and "at least" in line and "of the weight for which it is known" in line


@pytest.mark.parametrize(("law", "mg", "said"), [
    ("eu", 5.0, "preservative: potassium metabisulphite"), ("eu", 50.0, "preservative: potassium *metabisulphite*"),
    ("uk", 50.0, "preservative: potassium *metabisulphite*"), ("us", 50.0, "preservative: potassium metabisulfite"),
])  # fmt: skip
def test_an_additive_that_is_a_sulphite_is_set_off_where_sulphites_are_declared_and_else_stands_small(law, mg, said):
    """Regulation (EU) No 1169/2011, Annex II(12) and Art. 21(1)(b): from more than 10 mg/kg. A supplier's capitals never stay."""
    held = Ingredient("Dijon mustard", 10.0, kinds=("mustard", "sulphites"),
                      printed="water, MUSTARD seeds, salt, preservative: potassium METABISULPHITE")  # fmt: skip
    facts = tuple(map(declared_plate.fact, ("mustard", "sulphites")))
    record = declared_plate.dish(ingredients=(held,), facts=facts, sulphites_mg_per_kg=mg)
    statement = declared_plate.marked(declared_plate.made(record, law))
    assert said in statement and "SULP" not in statement
    number = replace(held, printed="MUSTARD seeds, preservative: E224")
    assert statement.endswith("(*sulphites*)") is (mg > 10 and law != "us"), "the kind's own name stays beside it"
    by_number = declared_plate.marked(declared_plate.made(replace(record, ingredients=(number,)), "eu"))
    assert by_number.endswith("(*sulphites*)") is (mg > 10), "a number names no allergen"


@pytest.mark.parametrize("name", ["bay leaf", "bay leaves", "nutmeg", "black peppercorns", "white peppercorns"])
def test_whole_leaves_and_seeds_need_no_papers(name):
    """A whole leaf or seed is one plain ingredient; a ground spice is not (it may be mixed). Common practice, no source."""
    from labeller.reading.names import load_names
    from labeller.terms.words import normalise

    names = load_names()
    assert names[normalise(name)].single
    assert not any(names[key].single for key in ("ground nutmeg", "white pepper", "ground white pepper", "black pepper"))


def test_a_us_list_is_spelt_as_the_law_spells():
    """21 USC 343(w): "soybeans"; 21 CFR 101.100(a)(4): "sulfiting agents". The same list stays as printed under UK law."""
    wine = Ingredient("wine sauce", 5.0, kinds=("sulphites", "soybeans"),
                      printed="white wine (sulphites), SOYA sauce, sulphur dioxide")  # fmt: skip
    record = declared_plate.dish(ingredients=(wine,), facts=(declared_plate.fact("soybeans"), declared_plate.fact("sulphites")))
    us, uk = (declared_plate.marked(declared_plate.made(record, law)).replace("*", "") for law in ("us", "uk"))
    assert "white wine (sulfites), soy sauce, sulfur dioxide" in us and "soya" not in us
    assert "white wine (sulphites), soya sauce, sulphur dioxide" in uk
