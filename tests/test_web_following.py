"""Pages that look things up and follow them: food data, laws, releases, recall, marks, changes, copied menus, exports."""

from __future__ import annotations

import csv
import io
import json
import re
from pathlib import Path
from urllib.parse import quote

import pytest
from openpyxl import load_workbook
from web_client import DAY, Client, Form, entry

from labeller.reading.issued import read_prints, read_register
from labeller.reading.kitchen import read_kitchen
from labeller.reading.laws import list_laws
from labeller.serving.cli import VERBS, main
from labeller.serving.documents import out_folder
from labeller.serving.exporting import FORMS
from labeller.serving.pipeline import open_kitchen
from labeller.serving.recall import recall, wanted
from labeller.serving.standing import LIST
from labeller.serving.web.papers import RUNS
from labeller.serving.web.visits import SECTIONS

MENU = "Late autumn tasting"


def plain(html: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", html).replace("&#39;", "'").replace("&gt;", ">").split())


def sign(client: Client) -> None:
    fields = client.form("/sign-off", "/sign-off")
    reasons = dict.fromkeys((key for key in fields if key.startswith("reason/")), "looked at")
    assert client.submit("/sign-off", fields | reasons | {"by": "RM", "role": "head chef"}).status == 303


def test_every_verb_of_the_command_line_has_its_page() -> None:
    """What a cook, waiter or caterer does at the command line is done on a page too; the others belong to whoever keeps the
    computer (a new folder, the schema of editors, the page itself)."""
    pages = {link.address for _, links in SECTIONS for link in links}
    of_verb = {
        "check": "/settle",
        "match": "/foods",
        "declare": "/dishes",
        "why": "/dishes",
        "read-label": "/label",
        "guest": "/guests",
        "print": "/print",
        "foods": "/foods",
        "releases": "/releases",
        "laws": "/laws",
        "compare": "/compare",
        "replace": "/compare",
        "sign-off": "/sign-off",
        "changes": "/changes",
        "copy-menu": "/menus",
        "recall": "/recall",
        "find-mark": "/find-mark",
        "import": "/bring-in",
        "export": "/export",
    }
    assert set(VERBS) - set(of_verb) <= {"demo", "new", "open", "schema"}
    assert set(of_verb.values()) <= pages


# Food data --------------------------------------------------------------------------------------------------------------


def test_food_data_are_ranked_as_by_the_command_with_figures_allergens_and_measures(
    reader: Client, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["foods", "wheat", "flour", "white", "--limit", "20", "--format", "json"]) == 0
    expected = json.loads(capsys.readouterr().out)
    html = reader.get("/foods?search=wheat%20flour%20white").text
    assert re.findall(r'<p class="small">([\w:]+) · ', html) == [each["code"] for each in expected]
    first = expected[0]
    text = plain(html)
    assert f"protein {first['per_100g']['protein_g']:g} g" in text and "By itself: contains wheat" in text
    measure = first["measures"][0]
    assert f"{measure['amount']:g} {measure['words']}: {measure['grams']:g} g" in text
    assert "not known" in text  # a value that is missing is said to be, and is no zero


def test_a_row_is_chosen_from_the_food_data(client: Client, folder: Path) -> None:
    html = client.get("/foods?search=sour%20cream&name=" + quote("crème fraîche")).text
    link = re.search(r'href="(/match\?[^"]*food=01056[^"]*)"', html)[1].replace("&amp;", "&")
    page = client.get(link)
    assert re.search(r'value="01056" checked', page.text)
    fields = next(form["fields"] for form in Form(page.text).forms if form["action"] == "/match" and form["method"] == "post")
    assert client.submit("/match", fields | {"by": "RM"}).status == 303
    assert read_kitchen(folder)[0].matches["crème fraîche"].food == "01056"
    assert "/foods?search=" in client.get("/match?name=walnuts").text


def test_words_that_no_row_holds_are_said_to_be_so(reader: Client) -> None:
    assert "No row holds these words" in reader.get("/foods?search=xyzzy").text


# Laws -------------------------------------------------------------------------------------------------------------------


def test_laws_say_since_when_and_whether_they_were_read(reader: Client) -> None:
    text = plain(reader.get("/laws").text)
    for each in list_laws():
        assert each.name in text and each.instrument in text


@pytest.mark.parametrize("key", [each.key for each in list_laws()])
def test_every_rule_of_a_law_is_shown_in_words(reader: Client, capsys: pytest.CaptureFixture[str], key: str) -> None:
    assert main(["laws", key, "--date", DAY, "--format", "json"]) == 0
    rules = json.loads(capsys.readouterr().out)["rules"]
    html = reader.get(f"/laws?law={key}").text
    assert len(re.findall(r"<li>", html[html.index("<main") :])) == sum(rule.startswith("    - ") for rule in rules)
    shown = plain(html).replace("&#34;", '"').replace("&lt;", "<").replace("&amp;", "&")
    for heading in (rule for rule in rules if rule and not rule.startswith(" ")):
        assert " ".join(heading.split()) in shown


def test_releases_are_listed(reader: Client) -> None:
    text = plain(reader.get("/releases").text)
    assert "SR28" in text and "rest on it" in text and "No other release is at hand" in text


def test_a_release_that_is_not_there_accepts_nothing(client: Client, folder: Path) -> None:
    before = (folder / "matches.yaml").read_bytes() if (folder / "matches.yaml").exists() else b""
    assert client.post("/releases", release="nope", name="dill", by="RM").status == 422
    assert (folder / "matches.yaml").read_bytes() == before if before else not (folder / "matches.yaml").exists()


# Recall and marks -------------------------------------------------------------------------------------------------------


def test_a_jar_and_a_lot_are_followed_as_by_the_command(client: Client, folder: Path) -> None:
    assert client.post("/print-all").status == 303
    opened, register = open_kitchen(folder, DAY), read_register(folder)
    lots = dict(next(iter(read_kitchen(folder)[0].batches.values())).lots)
    name, lot = next(iter(lots.items()))
    for asked in ("", lot, "another"):
        found = recall(opened, register, wanted(opened, name, asked), out_folder(opened, None))
        html = client.get(f"/recall?product={quote(name)}&lot={quote(asked)}").text
        text = plain(html)
        for each in found.dishes:
            assert each.dish in text
        for each in found.batches:
            assert each.batch in text and (not asked or each.verdict.partition(":")[0] in text)
        for each in found.prints:
            assert each.file in text
    assert found is not None and "nothing here is called" in plain(client.get("/recall?product=nope").text)


def test_prints_that_show_a_recalled_jar_are_moved_aside_when_it_is_said(client: Client, folder: Path) -> None:
    assert client.post("/print-all").status == 303
    opened = open_kitchen(folder, DAY)
    found = recall(opened, read_register(folder), wanted(opened, "white crab meat"), out_folder(opened, None))
    assert found.prints
    client.get("/recall?product=white%20crab%20meat")
    assert all((folder / "out" / each.file).exists() for each in found.prints)
    assert client.post("/recall", product="white crab meat", lot="").status == 303
    assert not any((folder / "out" / each.file).exists() for each in found.prints) and list((folder / "out").rglob("void/*"))


def test_a_mark_leads_back_to_its_record(client: Client, folder: Path) -> None:
    assert client.post("/print-all").status == 303
    prints = read_prints(folder / "out" / LIST)
    file, entry_of = next((file, each) for file, each in prints.items() if each.get("mark") and file.endswith("matrix.pdf"))
    text = plain(client.get(f"/find-mark?mark={entry_of['mark'].lower()}").text)
    assert file in text and "Printed to out/" in text and "The kitchen as it is" in text
    assert "mark-not-known" in client.get("/find-mark?mark=00000").text


# Changes and copies -----------------------------------------------------------------------------------------------------


def test_changes_since_the_sign_off_and_prints_that_no_longer_hold(client: Client, folder: Path) -> None:
    assert "No menu has been signed off" in client.get("/changes").text
    sign(client)
    assert "No declaration has changed since" in client.get("/changes").text
    fields = client.form(entry("recipe", "dressed crab"), "/entry")
    fields |= {"ingredients/8/name": "tahini", "ingredients/8/amount": "20 g", "do": "save"}
    assert client.submit("/entry", fields).status == 303
    html = client.get("/changes").text
    assert "gains sesame" in html and "changed since" in html and "late-autumn-tasting-matrix.pdf" in html
    assert client.post("/changes").status == 303
    assert not (folder / "out/late-autumn-tasting-matrix.pdf").exists()
    assert list((folder / "out/void").glob("late-autumn-tasting-matrix*"))


def test_last_weeks_menu_becomes_this_weeks_with_its_remarks_and_can_be_taken_back(client: Client, folder: Path) -> None:
    sign(client)
    fields = client.form(f"/copy-menu?old={quote(MENU)}", "/copy-menu")
    assert fields["old"] == MENU
    for wrong in (
        {"new": ""},
        {"new": MENU},
        {"new": "December", "from": "2026-12-08", "until": "2026-12-01"},
        {"new": "December"},
    ):
        assert client.submit("/copy-menu", fields | wrong).status == 422
    days = {"new": "December", "from": "2026-12-01", "until": "2026-12-06"}
    reply = client.submit("/copy-menu", fields | days)
    assert reply.status == 303 and reply.headers["Location"].startswith("/changes?menu=December")
    menus = read_kitchen(folder)[0].menus
    assert [each.dishes for each in menus["December"].courses] == [each.dishes for each in menus[MENU].courses]
    assert (menus["December"].starts, menus["December"].ends) == ("2026-12-01", "2026-12-06")
    assert "# stopped: see products/larder.yaml" in (folder / menus["December"].place.file).read_text(encoding="utf-8")
    assert "Late autumn tasting" in client.follow(reply).text
    assert client.post("/undo").status == 303 and "December" not in read_kitchen(folder)[0].menus


# Exports and sheets ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("what,form", [(what, form) for what, forms in FORMS.items() for form in forms])
def test_an_export_is_what_the_command_writes(reader: Client, tmp_path: Path, what: str, form: str) -> None:
    reply = reader.get(f"/export?what={what}&as={form}")
    assert reply.status == 200 and reply.headers["Content-Disposition"].startswith('attachment; filename="')
    folder = reader.site.house.folder
    path = tmp_path / "file"
    assert main(["export", what, "--as", form, "--kitchen", str(folder), "--date", DAY, "--out", str(path)]) == 0
    if form == "xlsx":
        mine, theirs = (load_workbook(io.BytesIO(data)).active for data in (reply.body, path.read_bytes()))
        assert [[cell.value for cell in row] for row in mine] == [[cell.value for cell in row] for row in theirs]
    else:
        assert reply.body == path.read_bytes()
        assert form != "csv" or len(list(csv.reader(io.StringIO(reply.text)))) > 1


def test_an_export_that_is_not_made_is_the_list(reader: Client) -> None:
    for query in ("?what=gs1&as=json-ld", "?what=nope&as=csv", "?what=recipes&as=exe"):
        assert 'href="/export?what=recipes&amp;as=xlsx' in reader.get("/export" + query).text


@pytest.mark.parametrize("what", sorted(RUNS))
@pytest.mark.parametrize("of", ["batch=" + quote("canapé boxes, Wednesday"), "name=" + quote("dressed crab"), ""])
def test_sheets_of_a_batch_trays_and_tubs_come_as_pdf(reader: Client, what: str, of: str) -> None:
    reply = reader.get(f"/paper?what={what}&{of}")
    assert reply.body.startswith(b"%PDF") or reply.status == 422 and "To mend:" in reply.text
    if of.startswith("batch") and what in ("run-sheet", "box-card"):
        assert reply.body.startswith(b"%PDF")
    if what == "tub-labels" and not of.startswith("batch"):
        assert reply.body.startswith(b"%PDF")


def test_a_sheet_in_another_language_and_a_ticket_on_a_roll(reader: Client) -> None:
    english, german = reader.get("/paper?what=matrix&language=en"), reader.get("/paper?what=matrix&language=de")
    assert german.body.startswith(b"%PDF") and german.body != english.body
    ticket = reader.get("/paper?what=ticket&seat=milk&page=80%20mm&table=7")
    assert ticket.body.startswith(b"%PDF") and ticket.body != reader.get("/paper?what=ticket&seat=milk&table=7").body


def test_a_label_that_is_held_back_is_printed_when_a_person_takes_it_on(client: Client, folder: Path) -> None:
    """A pack whose shared equipment nobody assessed: refused with the field of the page, printed with reason and name."""
    dish = client.form("/entry?kind=pack", "/entry") | {
        "pack": "fried boxes",
        "holds/0/name": "crumbed oyster, apple and sorrel",
        "holds/0/amount": "2",
        "sold": "prepacked",
        "do": "save",
    }
    assert client.submit("/entry", dish).status == 303
    ask = "/preview?what=labels&pack=fried%20boxes&copies=1&stock=" + quote("A4 99.1 x 67.7")
    refused = client.get(ask)
    assert refused.status == 422 and "under the label, why it is printed all the same" in refused.text
    assert "--accept" not in refused.text
    nobody = client.get(ask + "&accepted=drained&incomplete=stamped")
    assert nobody.status == 422 and "who takes it on is not written" in nobody.text
    taken = client.get(ask + "&accepted=drained&incomplete=stamped&taken_by=RM")
    assert taken.status == 200 and "Download fried-boxes-labels.pdf" in taken.text
