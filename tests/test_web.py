"""The local page without a browser: every page, the same answers as the commands, kitchens that are empty or broken."""

from __future__ import annotations

import re
from pathlib import Path
from urllib.parse import parse_qs, quote

import pytest
from web_client import DAY, Client, Form, entry, kitchen_at, page_of

from labeller.reading.kitchen import read_kitchen
from labeller.serving.guest import answers
from labeller.serving.pipeline import everything_found, open_kitchen
from labeller.serving.verbs_guest import CAUTION, seat
from labeller.serving.web.asking import Asked
from labeller.serving.web.forms import GROUPS
from labeller.serving.web.site import SHOWN

PAGES = [
    "/",
    "/pages",
    "/text?file=kitchen.yaml&line=15",
    "/settle",
    "/dishes",
    "/products",
    "/menus",
    "/house",
    "/label",
    "/guests",
    "/compare",
    "/print",
    "/sign-off",
    "/dish?name=" + quote("venison, beetroot, bramble"),
    "/dish?name=" + quote("sheep's yoghurt, pear, black sesame"),
    "/why?name=" + quote("dressed crab") + "&figure=fat_g",
    "/product?name=white%20miso",
    "/jar?name=pickled%20walnuts",
    "/match?name=" + quote("crème fraîche"),
    "/guests?seat=celery,%20sesame&seat=milk",
    "/compare?old=" + quote("crème fraîche") + "&new=soured%20cream",
    "/bring-in",
    "/foods",
    "/foods?search=crab&name=" + quote("white crab meat"),
    "/laws",
    "/laws?law=eu",
    "/releases",
    "/recall",
    "/recall?product=rye%20flour&lot=OM%207001",
    "/find-mark",
    "/changes",
    "/copy-menu",
    "/export",
    "/preview?what=matrix",
    "/preview?what=tub-labels&name=" + quote("dressed crab"),
    "/preview?what=labels&batch=" + quote("canapé boxes, Wednesday"),
    "/preview?what=floor-page",
    *(f"/dish?name={quote('Kelpstone canapé box')}&law={law}" for law in ("eu", "uk", "us", "ca", "anz", "none")),
    *(f"/entry?kind={kind}" for kind in GROUPS),
    entry("dish", "dressed crab, quince, hazelnut"),
    entry("recipe", "dressed crab") + "&line=16",
    entry("pack", "Kelpstone canapé box"),
    entry("product", "white miso"),
    entry("menu", "Late autumn tasting"),
    entry("batch", "canapé boxes, Wednesday"),
]


@pytest.mark.parametrize("path", PAGES)
def test_every_page_answers_with_its_caution_and_nothing_from_elsewhere(reader: Client, path: str) -> None:
    reply = reader.get(path)
    assert reply.status == 200
    assert CAUTION.replace("'", "&#39;") in reply.text
    assert not re.search(r"\b(safe|unsafe|free from)\b", reply.text, re.I)
    links = re.findall(r'(?:href|src|action|data)="([^"]*)"', reply.text)
    assert links and all(link.startswith(("/", "#")) for link in links)
    assert "<script>" not in reply.text and not re.search(r'\son\w+="|\sstyle="', reply.text)


@pytest.mark.parametrize("path", PAGES)
def test_every_field_of_every_page_has_its_label_and_ids_stand_once(reader: Client, path: str) -> None:
    text = reader.get(path).text
    ids = re.findall(r'\sid="([^"]+)"', text)
    assert len(ids) == len(set(ids))
    named = set(re.findall(r'<label[^>]*\sfor="([^"]+)"', text))
    for tag in re.findall(r"<(?:input|select|textarea)\b[^>]*>", text):
        if 'type="hidden"' in tag or 'type="checkbox"' in tag or 'type="radio"' in tag:
            continue
        assert re.search(r'\sid="([^"]+)"', tag)[1] in named, tag


@pytest.mark.parametrize(
    "path,kind",
    [
        ("/paper?what=matrix", b"%PDF"),
        ("/paper?what=components", b"%PDF"),
        ("/paper?what=menu-card", b"%PDF"),
        ("/paper?what=tent-cards", b"%PDF"),
        ("/paper?what=floor-page", b"<!doctype html>"),
        ("/paper?what=ticket&seat=milk", b"%PDF"),
        ("/paper?what=test-print", b"%PDF"),
        ("/paper?what=recipe-card&name=dressed%20crab", b"%PDF"),
        ("/paper?what=records", b"["),
        ("/paper?what=labels&batch=" + quote("canapé boxes, Wednesday"), b"%PDF"),
    ],
)
def test_documents_come_whole_under_a_policy_of_their_own(reader: Client, path: str, kind: bytes) -> None:
    reply = reader.get(path)
    assert reply.status == 200 and reply.body[:15].lower().startswith(kind.lower())
    assert "frame-ancestors 'self'" in reply.headers["Content-Security-Policy"]
    assert reader.get(path + "&download=1").headers["Content-Disposition"].startswith('attachment; filename="')


@pytest.mark.parametrize(
    "path",
    [
        "/nothing",
        "/look/../style.css",
        "/look/%2e%2e/%2e%2e/pyproject.toml",
        "/look/style.css/..",
        "/look/",
        "/kitchen.yaml",
    ],
)
def test_no_address_leads_to_a_file_of_the_disk(reader: Client, path: str) -> None:
    reply = reader.get(path)
    assert reply.status == 404 and "page-not-known" in reply.text


@pytest.mark.parametrize(
    "path",
    [
        "/dish?name=nope",
        "/product?name=nope",
        "/entry?kind=dish&name=nope",
        "/entry?kind=nope",
        "/paper?what=nope",
        "/why?name=dressed%20crab&figure=nope",
        "/preview?what=labels&pack=nope",
        "/paper?what=ticket",
        "/guests?seat=xyzzy",
        "/compare?old=nope&new=nope",
        "/dish?name=%3Cscript%3Ealert(1)%3C/script%3E",
    ],
)
def test_what_is_not_there_is_a_page_with_a_finding(reader: Client, path: str) -> None:
    reply = reader.get(path)
    assert reply.status in (200, 404, 422) and "To mend:" in reply.text or "is answered" in reply.text
    assert "Traceback" not in reply.text and "<script>alert" not in reply.text


# The same answers as the commands ---------------------------------------------------------------------------------------


def test_not_settled_has_every_finding_of_check_with_a_field_where_one_can_be_named(client: Client, folder: Path) -> None:
    text = client.get("/settle").text
    found = everything_found(open_kitchen(folder, DAY))
    assert text.count('<li class="finding') == len(found)
    for each in found:
        assert each.code in text
    assert "/jar?name=pickled%20walnuts" in text and "/entry?kind=product&amp;name=black%20sesame%20paste" in text


def test_guests_are_answered_as_by_the_command(client: Client, folder: Path) -> None:
    opened = open_kitchen(folder, DAY)
    menu = opened.kitchen.menus["Late autumn tasting"]
    text = client.get("/guests?seat=celery,%20sesame&seat=coeliac").text
    seats = re.split(r'<section class="seat">', text)[1:]
    for words, shown in zip(("celery, sesame", "coeliac"), seats, strict=True):
        avoided, wrong = seat(opened, words)
        assert not wrong
        expected = [(each.dish, each.answer.words) for each in answers(opened.workshop, menu, avoided)]
        got = re.findall(r'<h4><a [^>]*>(.*?)</a></h4>\s*<p class="says [^"]*">(.*?)</p>', shown, re.S)
        assert [(dish.replace("&#39;", "'"), said.replace("&#39;", "'").lower()) for dish, said in got] == [
            (dish, said.lower()) for dish, said in expected
        ]


def test_a_word_that_is_not_known_is_asked_back_and_nothing_is_answered(client: Client) -> None:
    text = client.get("/guests?seat=nuts&seat=milk").text
    assert "tree nuts, peanuts" in text and "Nothing is answered" in text and 'class="says' not in text


def test_a_label_is_read_as_by_the_command(client: Client) -> None:
    text = client.post("/label", text="wheat flour, whey powder, may contain hazelnuts", law="").text
    assert all(f"<b>{word}</b>" in text for word in ("wheat", "milk", "hazelnut")) and "read in “whey powder”" in text


def test_a_question_is_read_as_a_browser_sends_it() -> None:
    asked = Asked("POST", "/", {}, parse_qs("a=%20x%20%0D%0Ay&rows/0/name=1&rows/12/name=2&other/3/x=1", keep_blank_values=True))
    assert asked.one("a") == "x \ny" and asked.numbers("rows") == [0, 12] and asked.one("none", "d") == "d"


# Kitchens that are empty, or broken --------------------------------------------------------------------------------------


def test_an_empty_kitchen_is_filled_on_the_page_alone(tmp_path: Path) -> None:
    kitchen_at(tmp_path, "new")
    client, folder = page_of(tmp_path / "k"), tmp_path / "k"
    for path in SHOWN:
        assert client.get(path).status < 500, path
    assert "Nothing is written yet" in client.get("/").text and 'href="/bring-in"' in client.get("/").text
    before = (folder / "recipes/first.yaml").read_text(encoding="utf-8")
    recipe = client.form("/entry?kind=recipe", "/entry") | {
        "recipe": "dill cream",
        "ingredients/0/name": "crème fraîche",
        "ingredients/0/amount": "400 g",
        "ingredients/1/name": "dill",
        "ingredients/1/amount": "60 g",
        "ingredients/1/trim": "35 %",
        "makes": "430 g",
        "loss": "left behind",
        "do": "save",
    }
    assert client.submit("/entry", recipe).status == 303
    after = (folder / "recipes/first.yaml").read_text(encoding="utf-8")
    assert after.startswith(before.rstrip("\n")) and "    - dill: {amount: 60 g, trim: 35 %}" in after
    dish = client.form("/entry?kind=dish", "/entry")
    dish |= {"dish": "dill on toast", "portion/0/name": "dill cream", "portion/0/amount": "25 g", "do": "save"}
    assert client.submit("/entry", dish).status == 303
    menu = client.form("/entry?kind=menu", "/entry")
    menu |= {"menu": "Lunch", "from": DAY, "until": DAY, "courses/0/dishes": "dill on toast", "do": "save"}
    assert client.submit("/entry", menu).status == 303
    assert "dill on toast" in client.get("/").text and "not for this guest" in client.get("/guests?seat=milk").text.lower()
    assert client.get("/paper?what=matrix").body.startswith(b"%PDF")


def test_a_broken_kitchen_still_has_its_pages_and_says_what_is_broken(folder: Path) -> None:
    with (folder / "recipes/sweet.yaml").open("a", encoding="utf-8") as stream:
        stream.write("- recipe: crumb\n  ingredients:\n    - rye flour: {b\n- dish: y\n  portion:\n    - crumb: 5 g\n")
    (folder / "kitchen.yaml").write_text("kitchen: [\n", encoding="utf-8")
    client = page_of(folder)
    for path in SHOWN:
        assert client.get(path).status < 500, path
    text = client.get("/settle").text
    assert "bracket-not-closed" in text and "/entry?kind=recipe&amp;name=crumb" in text
    # what no form can show is mended in the text of the file, under the same conditions
    reply = client.follow(client.get("/entry?kind=recipe&name=crumb"))
    fields = next(form["fields"] for form in Form(reply.text).forms if form["action"] == "/text")
    with (folder / fields["file"]).open(encoding="utf-8") as stream:
        assert fields["text"].strip("\n") == stream.read().strip("\n")
    worse = client.submit("/text", fields | {"text": fields["text"].replace("- dish: y", "- dish: [y")})
    assert worse.status == 422 and "Not saved" in worse.text
    mended = client.submit("/text", fields | {"text": fields["text"].replace("{b", "10 g")})
    assert mended.status == 303 and "crumb" in read_kitchen(folder)[0].recipes
    assert client.submit("/text", fields).status == 422  # the file is another now
    assert client.submit("/text", fields | {"file": "../k/kitchen.yaml"}).status == 404


@pytest.mark.parametrize(
    "file",
    ["../x.yaml", "/etc/passwd", "recipes/../../x.yaml", "out/x.pdf", "issued/0001.json", ".undo/000001.json", ""],
)
def test_no_file_but_the_kitchens_own_is_shown_as_text(reader: Client, file: str) -> None:
    assert reader.get("/text?file=" + quote(file)).status == 404


def test_a_folder_that_is_gone_is_a_page_too(folder: Path) -> None:
    client = page_of(folder)
    assert client.get("/").status == 200
    folder.rename(folder.with_name("gone"))
    reply = client.get("/")
    assert reply.status == 500 and "no-kitchen-here" in reply.text
