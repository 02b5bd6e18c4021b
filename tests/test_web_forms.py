"""Forms of the local page: what is typed lands in the kitchen's files, and nothing else changes in them."""

from __future__ import annotations

import re
from pathlib import Path
from urllib.parse import quote

from web_client import DAY, SEA, Client, Form, entry

from labeller.reading.kitchen import read_kitchen
from labeller.serving.pipeline import everything_found, open_kitchen
from labeller.serving.web.filling import filled, taken
from labeller.serving.web.forms import GROUPS

# Edits land in the files ------------------------------------------------------------------------------------------------


def stops(folder: Path) -> set[str]:
    return {each.text for each in read_kitchen(folder)[1] if each.severity == "stop"}


def test_a_form_sent_back_as_it_came_writes_nothing(client: Client, folder: Path) -> None:
    before = {each: each.read_bytes() for each in folder.rglob("*") if each.is_file()}
    kitchen = read_kitchen(folder)[0]
    names = [
        ("dish", "dressed crab, quince, hazelnut"),
        ("pack", "Kelpstone canapé box"),
        ("menu", "Late autumn tasting"),
        ("batch", "canapé boxes, Wednesday"),
        ("kitchen", kitchen.name),
        ("product", "dry cider"),
        ("recipe", "pickled quince"),
    ]
    for kind, name in names:
        reply = client.submit(
            "/entry", client.form("/house" if kind == "kitchen" else entry(kind, name), "/entry") | {"do": "save"}
        )
        assert reply.status == 303 and "done=same" in reply.headers["Location"], (kind, reply.text)
    assert {each: each.read_bytes() for each in folder.rglob("*") if each.is_file()} == before


def test_a_recipe_is_changed_in_its_file_and_the_answer_with_it(client: Client, folder: Path) -> None:
    before = (folder / SEA).read_text(encoding="utf-8").splitlines()
    fields = client.form(entry("recipe", "dressed crab"), "/entry")
    assert fields["ingredients/5/amount"] == "to taste" and fields["ingredients/5/about"] == "2 g"
    fields |= {
        "ingredients/0/amount": "500 g",
        "ingredients/3/name": "",
        "ingredients/7/name": "toasted, salted cashews",
        "ingredients/7/amount": "20 g",
        "ingredients/6/about": "1 g",
        "do": "save",
    }
    reply = client.follow(client.submit("/entry", fields))
    assert "Saved." in reply.text
    after = (folder / SEA).read_text(encoding="utf-8").splitlines()
    assert [line for line in after if line not in before] == [
        "    - white crab meat: 500 g",
        "    - black pepper: {amount: to taste, about: 1 g} # nobody weighed it: its share is unknown, not nothing",
        "    - toasted, salted cashews: 20 g",
    ]
    assert [line for line in before if line not in after] == [
        "    - white crab meat: 480 g",
        "    - fresh lemon juice: 1 tbsp",
        "    - black pepper: to taste                  # nobody weighed it: its share is unknown, not nothing",
    ]
    assert "cashew" in client.get("/dish?name=" + quote("dressed crab, quince, hazelnut")).text
    assert not stops(folder)


def test_more_lines_can_be_asked_for_without_losing_what_was_typed(client: Client, folder: Path) -> None:
    fields = client.form(entry("recipe", "brown butter"), "/entry") | {"makes": "405 g", "do": "more"}
    reply = client.submit("/entry", fields)
    again = next(form["fields"] for form in Form(reply.text).forms if form["action"] == "/entry")
    assert again["makes"] == "405 g" and len([key for key in again if key.endswith("/name")]) > len(
        [key for key in fields if key.endswith("/name")]
    )
    assert "405" not in (folder / SEA).read_text(encoding="utf-8")


def test_lines_and_courses_move_by_their_place(client: Client, folder: Path) -> None:
    fields = client.form(entry("menu", "Late autumn tasting"), "/entry") | {"courses/9/place": "0.5", "do": "save"}
    assert fields["courses/9/course"] == "With coffee"
    assert client.submit("/entry", fields).status == 303
    menu = read_kitchen(folder)[0].menus["Late autumn tasting"]
    assert menu.courses[0].title == "With coffee" and len(menu.courses) == 10
    assert "# stopped: see products/larder.yaml" in (folder / "menus/late_autumn.yaml").read_text(encoding="utf-8")


def test_what_the_reader_refuses_stands_beside_its_field_with_what_was_typed(client: Client, folder: Path) -> None:
    before = (folder / SEA).read_bytes()
    fields = client.form(entry("recipe", "dressed crab"), "/entry") | {
        "ingredients/1/amount": "1,5 l",
        "makes": "quite % some",
        "do": "save",
    }
    reply = client.submit("/entry", fields)
    assert reply.status == 422 and (folder / SEA).read_bytes() == before
    line = re.search(r'<li >\s*<div class="line">(?:(?!</li>).)*?crème fraîche.*?</li>', reply.text, re.S)[0]
    assert 'value="1,5 l"' in line and 'class="beside"' in line and "1.5 l" in line
    makes = re.search(r'<div id="f-makes-group">.*?<div id="f-loss-group"', reply.text, re.S)[0]
    assert 'value="quite % some"' in makes and 'aria-describedby="f-makes-wrong"' in makes and 'id="f-makes-wrong"' in makes


def test_a_file_changed_underneath_is_refused_with_what_to_do(client: Client, folder: Path) -> None:
    fields = client.form(entry("recipe", "brown butter"), "/entry") | {"makes": "410 g", "do": "save"}
    with (folder / SEA).open("a", encoding="utf-8") as stream:
        stream.write("# by another hand\n")
    theirs = (folder / SEA).read_bytes()
    reply = client.submit("/entry", fields)
    assert (
        reply.status == 409
        and "open the page again" in reply.text
        and 'value="410 g"' in reply.text
        and (folder / SEA).read_bytes() == theirs
    )


def test_a_new_dish_menu_and_batch_are_written_and_read(client: Client, folder: Path) -> None:
    dish = client.form("/entry?kind=dish", "/entry") | {
        "dish": 'crab on toast, "now" #2',
        "portion/0/name": "dressed crab",
        "portion/0/amount": "30-35 g",
        "portion/1/name": "malted spelt loaf",
        "portion/1/amount": "25 g",
        "portion/1/leave off": "yes",
        "file": SEA,
        "do": "save",
    }
    assert client.submit("/entry", dish).status == 303
    menu = client.form("/entry?kind=menu", "/entry") | {
        "menu": "Lunch",
        "from": "2026-12-10",
        "until": "2026-12-12",
        "courses/0/dishes": dish["dish"],
        "courses/0/course": "First",
        "packs": "Kelpstone canapé box",
        "do": "save",
    }
    assert client.submit("/entry", menu).status == 303
    batch = client.form("/entry?kind=batch", "/entry") | {
        "batch": "boxes, Thursday",
        "makes": "Kelpstone canapé box",
        "date": "2026-11-26",
        "count": "12",
        "lots": "prune: L #3\nplain flour: OM: 7",
        "do": "save",
    }
    assert client.submit("/entry", batch).status == 303
    kitchen = read_kitchen(folder)[0]
    made = kitchen.recipes[dish["dish"]]
    assert made.place.file == SEA and made.lines[0].amount.number.high == 35 and made.lines[1].leave_off
    assert kitchen.menus["Lunch"].courses[0].dishes == (dish["dish"],) and kitchen.menus["Lunch"].courses[0].title == "First"
    assert kitchen.batches["boxes, Thursday"].count == 12 and dict(kitchen.batches["boxes, Thursday"].lots)["prune"] == "L #3"
    assert not stops(folder)


def test_equipment_is_ticked_and_cleared(client: Client, folder: Path) -> None:
    fields = client.form(entry("recipe", "brown butter"), "/entry") | {"equipment/use/deep fryer": "yes", "do": "save"}
    assert client.submit("/entry", fields).status == 303 and read_kitchen(folder)[0].recipes["brown butter"].equipment == (
        "deep fryer",
    )
    fields = {
        key: value
        for key, value in client.form(entry("recipe", "brown butter"), "/entry").items()
        if not key.startswith("equipment/use")
    }
    assert (
        client.submit("/entry", fields | {"do": "save"}).status == 303
        and read_kitchen(folder)[0].recipes["brown butter"].equipment is None
    )
    oil = client.form("/house", "/entry") | {"equipment/0/oil changed": "2026-11-25", "do": "save"}
    assert client.submit("/entry", oil).status == 303 and read_kitchen(folder)[0].equipment["deep fryer"].changed == "2026-11-25"
    assert "# One fryer for everything" in (folder / "kitchen.yaml").read_text(encoding="utf-8")


def test_a_name_that_others_call_is_neither_changed_nor_taken_out(client: Client, folder: Path) -> None:
    fields = client.form(entry("recipe", "dressed crab"), "/entry")
    reply = client.submit("/entry", fields | {"recipe": "crab", "do": "save"})
    assert reply.status == 422 and "is called by its name in dressed crab, quince, hazelnut" in reply.text
    assert client.submit("/entry", fields | {"do": "out"}).status == 422
    assert client.submit("/entry", fields | {"do": "out", "sure": "yes"}).status == 422
    assert "dressed crab" in read_kitchen(folder)[0].recipes


def test_taken_out_and_taken_back(client: Client, folder: Path) -> None:
    before = (folder / "batches/2026-11-25.yaml").read_bytes()
    fields = client.form(entry("batch", "canapé boxes, Wednesday"), "/entry") | {"do": "out", "sure": "yes"}
    assert client.submit("/entry", fields).status == 303 and read_kitchen(folder)[0].batches == {}
    assert "Last change here" in client.get("/").text
    assert "taken back" in client.follow(client.post("/undo")).text
    assert (folder / "batches/2026-11-25.yaml").read_bytes() == before and client.post("/undo").status == 409


def test_an_unread_jar_is_pasted_read_and_put_on_record(client: Client, folder: Path) -> None:
    assert "pickled walnuts" in client.get("/settle").text
    fields = client.form("/jar?name=pickled%20walnuts", "/jar") | {
        "text": "Walnuts (92 %),\nvinegar, barley malt extract. May contain almonds.",
        "do": "read",
    }
    reply = client.submit("/jar", fields)
    offered = next(form["fields"] for form in Form(reply.text).forms if form["action"] == "/jar")
    assert offered["contains"] == "barley, walnut" and offered["may contain"] == "almond" and offered["checked"] == DAY
    assert client.submit("/jar", offered | {"do": "save"}).status == 422  # nobody's name
    reply = client.follow(client.submit("/jar", offered | {"by": "RM", "do": "save"}))
    assert "Saved." in reply.text
    product = read_kitchen(folder)[0].products["pickled walnuts"]
    assert product.contains == ("barley", "walnut") and product.may_contain == ("almond",) and product.evidence.by == "RM"
    assert not [each for each in everything_found(open_kitchen(folder, DAY)) if each.code == "unread-product"]
    assert "# the jar was decanted" in (folder / "products/larder.yaml").read_text(encoding="utf-8")


def test_a_match_is_confirmed_by_a_person(client: Client, folder: Path) -> None:
    page = "/match?name=" + quote("crème fraîche")
    fields = client.form(page, "/match")
    assert client.submit("/match", fields | {"food": "01056", "by": ""}).status == 422
    assert client.submit("/match", fields | {"food": "99999", "by": "RM"}).status == 422
    assert client.submit("/match", fields | {"food": "01056", "by": "RM"}).status == 303
    match = read_kitchen(folder)[0].matches["crème fraîche"]
    assert (match.food, match.by, match.date) == ("01056", "RM", DAY)
    assert client.submit("/match", fields | {"food": "01055", "by": "RM"}).status == 409  # the file is another now


def test_replace_is_for_the_day_and_by_somebody(client: Client, folder: Path) -> None:
    page = "/compare?old=" + quote("crème fraîche") + "&new=soured%20cream"
    fields = client.form(page, "/replace")
    assert client.submit("/replace", fields | {"by": ""}).status == 422 and len(read_kitchen(folder)[0].batches) == 1
    assert client.submit("/replace", fields | {"by": "RM"}).status == 303
    assert open_kitchen(folder, DAY).kitchen.recipes["dressed crab"].lines[1].name == "soured cream"
    assert "soured cream" in client.get("/").text and "instead of" in client.get("/compare").text


def test_print_all_writes_what_the_command_writes(client: Client, folder: Path) -> None:
    assert client.post("/print-all").status == 303
    names = {each.relative_to(folder / "out").as_posix() for each in (folder / "out").rglob("*") if each.is_file()}
    assert {
        "late-autumn-tasting-matrix.pdf",
        "canape-boxes-wednesday-labels.pdf",
        "late-autumn-tasting-floor.html",
    } <= names


def test_another_day_is_said_on_every_page(client: Client) -> None:
    assert client.post("/day", day="2026-12-24").status == 303
    text = client.get("/").text
    assert "24 December 2026" in text and "not today" in text and "No menu is in force" in text
    client.post("/day", day="no day")
    assert "not today" not in client.get("/").text


def test_sign_off_asks_for_each_doubt_and_a_name(client: Client, folder: Path) -> None:
    fields = client.form("/sign-off", "/sign-off")
    reasons = [key for key in fields if key.startswith("reason/")]
    assert reasons and client.submit("/sign-off", fields | {"by": "RM", "role": "head chef"}).status == 422
    assert client.submit("/sign-off", fields | dict.fromkeys(reasons, "looked at")).status == 422  # nobody's name
    signed = client.submit("/sign-off", fields | dict.fromkeys(reasons, "looked at") | {"by": "RM", "role": "head chef"})
    assert "no. 1 of 25 November 2026 by RM" in client.follow(signed).text
    assert len(list((folder / "issued").glob("0001*"))) == 1


def test_forms_hold_every_key_of_the_files(folder: Path) -> None:
    """A key that the reader knows and no form has would be out of reach for who types no YAML."""
    from labeller.reading.keys import KNOWN
    from labeller.serving.web.forms import LINE_FIELDS, fields_of

    for kind in GROUPS:
        assert {field.key for field in fields_of(kind)} == KNOWN[kind], kind
        for field in fields_of(kind):
            inner = {
                "evidence": "evidence",
                "nutrition per 100 g": "nutrition",
                "shelf life": "shelf life",
                "net weight": "net weight",
                "poured off": "poured off",
                "coated in": "coated in",
                "fried in": "fried in",
            }.get(field.key)
            if inner:
                assert {part.key for part in field.parts} == KNOWN[inner]
    assert {field.key for field in LINE_FIELDS} == KNOWN["line"]


def test_fields_filled_and_taken_give_every_entry_back(folder: Path) -> None:
    from labeller.reading.kitchen_edit import entry as typed

    kitchen = read_kitchen(folder)[0]
    for kind, group in (
        ("", kitchen.recipes),
        ("product", kitchen.products),
        ("menu", kitchen.menus),
        ("batch", kitchen.batches),
    ):
        for one in group.values():
            fields = typed(folder, one.place.file, kind or one.kind, one.name).fields
            sent = filled(kind or one.kind, fields)
            assert list(taken(kind or one.kind, sent, fields).items()) == list(fields.items())
            assert taken(kind or one.kind, sent, {}) == fields or kind == "" or kind == "product", one.name
