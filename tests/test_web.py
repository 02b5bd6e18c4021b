"""The local page without a browser: every page, every form, and who is turned away.

Same-origin rules checked: the Origin header (RFC 6454), Sec-Fetch-Site (W3C Fetch Metadata), SameSite and HttpOnly cookies
(RFC 6265bis), Content Security Policy Level 3; names pointed at the loopback (DNS rebinding): the Host header is checked.
"""

from __future__ import annotations

import io
import re
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import parse_qs, quote, urlencode, urlsplit

import pytest

from labeller.reading.kitchen import read_kitchen
from labeller.reading.new_kitchen import write_kitchen
from labeller.serving.guest import answers
from labeller.serving.pipeline import everything_found, open_kitchen
from labeller.serving.verbs_guest import CAUTION, seat
from labeller.serving.web.asking import MOST_BYTES, Asked
from labeller.serving.web.filling import filled, taken
from labeller.serving.web.forms import GROUPS
from labeller.serving.web.house import House
from labeller.serving.web.site import SENT, SHOWN, Site

DAY = "2026-11-25"
SEA = "recipes/from_the_sea.yaml"
PORT = 18_123
HERE = f"127.0.0.1:{PORT}"


class Form(HTMLParser):
    """The fields of the forms of a page, as a browser would send them without a script."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.forms: list[dict] = []
        self._select = self._area = ""
        self._picked: str | None = None
        self._text: list[str] = []
        self._in_option = False
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        at = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.forms.append(
                {"action": at.get("action", ""), "method": at.get("method", "get"), "fields": {}, "buttons": []}
            )
        if not self.forms:
            return
        fields = self.forms[-1]["fields"]
        if tag == "input" and "name" in at:
            if at.get("type") in ("checkbox", "radio"):
                if "checked" in at:
                    fields[at["name"]] = at.get("value", "on")
            elif at["name"] in fields and at["name"] == "seat":
                fields.setdefault("seat+", []).append(at.get("value", ""))
            else:
                fields[at["name"]] = at.get("value", "")
        elif tag == "select":
            self._select, self._picked, self._first = at["name"], None, None
        elif tag == "option" and self._select:
            self._in_option, self._chosen, self._value, self._text = True, "selected" in at, at.get("value"), []
        elif tag == "textarea":
            self._area, self._text = at["name"], []

    def handle_data(self, data: str) -> None:
        if self._in_option or self._area:
            self._text.append(data)

    def handle_endtag(self, tag: str) -> None:
        if tag == "option" and self._in_option:
            value = self._value if self._value is not None else "".join(self._text)
            self._first = value if self._first is None else self._first
            self._picked = value if self._chosen else self._picked
            self._in_option = False
        elif tag == "select" and self._select:
            self.forms[-1]["fields"][self._select] = self._picked if self._picked is not None else self._first or ""
            self._select = ""
        elif tag == "textarea" and self._area:
            self.forms[-1]["fields"][self._area] = "".join(self._text).removeprefix("\n")
            self._area = ""


class Reply:
    def __init__(self, status: int, headers: dict[str, str], body: bytes) -> None:
        self.status, self.headers, self.body = status, headers, body
        self.text = body.decode("utf-8", "replace")


class Client:
    """A browser's side of the WSGI application. Headers can be taken away or changed."""

    def __init__(self, site: Site) -> None:
        self.site, self.cookies = site, {}

    def send(
        self,
        method: str,
        path: str,
        form: dict | None = None,
        *,
        let_in: bool = True,
        body: bytes | None = None,
        **more: str | None,
    ) -> Reply:
        where = urlsplit(path)
        data = urlencode(form or {}, doseq=True).encode() if body is None else body
        environ = {
            "REQUEST_METHOD": method,
            "PATH_INFO": re.sub(r"%(..)", lambda hit: chr(int(hit[1], 16)), where.path),
            "QUERY_STRING": where.query,
            "HTTP_HOST": HERE,
            "wsgi.input": io.BytesIO(data),
            "CONTENT_LENGTH": str(len(data)),
        }
        cookies = dict(self.cookies)
        if let_in:
            cookies[self.site.door.cookie_name] = self.site.keys.cookie
        environ["HTTP_COOKIE"] = "; ".join(f"{name}={value}" for name, value in cookies.items())
        if method == "POST":
            environ |= {
                "CONTENT_TYPE": "application/x-www-form-urlencoded",
                "HTTP_ORIGIN": f"http://{HERE}",
                "HTTP_SEC_FETCH_SITE": "same-origin",
            }
        for name, value in more.items():
            if value is None:
                environ.pop(name, None)
            else:
                environ[name] = value
        got: list = []
        body_out = b"".join(self.site.door(environ, lambda status, headers: got.append((status, headers))))
        status, headers = got[0]
        for name, value in headers:
            if name == "Set-Cookie":
                key, _, rest = value.partition("=")
                self.cookies[key] = rest.partition(";")[0]
        return Reply(int(status.split()[0]), dict(headers), body_out)

    def get(self, path: str, **more: str | None) -> Reply:
        return self.send("GET", path, **more)

    def post(self, path: str, **fields: object) -> Reply:
        return self.send(
            "POST",
            path,
            {"form_key": self.site.keys.form, **{name.replace("__", " "): value for name, value in fields.items()}},
        )

    def form(self, page: str, action: str) -> dict:
        """The fields of the form of a page that posts to ``action``."""
        reply = self.get(page)
        assert reply.status == 200, reply.text
        return next(
            form["fields"] for form in Form(reply.text).forms if form["action"] == action and form["method"] == "post"
        )

    def submit(self, action: str, fields: dict) -> Reply:
        return self.send("POST", action, fields)

    def follow(self, reply: Reply) -> Reply:
        assert reply.status == 303, reply.text
        return self.get(reply.headers["Location"])


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    write_kitchen("kitchen", tmp_path / "k")
    return tmp_path / "k"


@pytest.fixture
def client(folder: Path) -> Client:
    site = Site(House(folder), lambda: DAY)
    site.door.port = PORT
    return Client(site)


@pytest.fixture(scope="module")
def reader(tmp_path_factory: pytest.TempPathFactory) -> Client:
    """A client of a kitchen that is only looked at."""
    folder = tmp_path_factory.mktemp("web") / "k"
    write_kitchen("kitchen", folder)
    site = Site(House(folder), lambda: DAY)
    site.door.port = PORT
    return Client(site)


def entry(kind: str, name: str) -> str:
    return f"/entry?kind={kind}&name={quote(name)}"


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
    "/preview?what=matrix",
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


# Who is turned away -----------------------------------------------------------------------------------------------------


def test_without_the_cookie_nothing_is_told(client: Client) -> None:
    for path in ("/", "/dishes", "/paper?what=matrix", "/look/style.css"):
        reply = client.send("GET", path, let_in=False)
        assert reply.status == 403 and "Kelpstone" not in reply.text
    assert client.send("GET", "/?key=wrong", let_in=False).status == 403


def test_the_key_in_the_address_becomes_a_cookie_that_scripts_and_other_sites_do_not_get(client: Client) -> None:
    reply = client.send("GET", f"/?key={client.site.keys.way_in}", let_in=False)
    cookie = reply.headers["Set-Cookie"]
    assert (
        reply.status == 200
        and "HttpOnly" in cookie
        and "SameSite=Strict" in cookie
        and client.site.keys.way_in not in reply.text + cookie
    )
    assert client.send("GET", "/", let_in=False).status == 200  # the cookie was kept


@pytest.mark.parametrize(
    "host",
    [
        "evil.example",
        "127.0.0.1",
        f"127.0.0.1:{PORT + 1}",
        f"evil.example:{PORT}",
        "",
        f"127.0.0.1:{PORT}.evil.example",
    ],
)
def test_a_name_that_was_pointed_here_is_refused(reader: Client, host: str) -> None:
    assert reader.get("/", HTTP_HOST=host).status == 403
    assert reader.send("GET", f"/?key={reader.site.keys.way_in}", let_in=False, HTTP_HOST=host).status == 403


@pytest.mark.parametrize(
    "headers",
    [
        {"HTTP_ORIGIN": "https://evil.example"},
        {"HTTP_ORIGIN": "null"},
        {"HTTP_ORIGIN": f"http://127.0.0.1:{PORT + 1}"},
        {"HTTP_SEC_FETCH_SITE": "cross-site"},
        {"HTTP_SEC_FETCH_SITE": "same-site"},
        {"HTTP_ORIGIN": None, "HTTP_SEC_FETCH_SITE": None},
    ],
)
def test_a_form_of_another_page_changes_nothing(client: Client, folder: Path, headers: dict) -> None:
    before = (folder / SEA).read_bytes()
    fields = client.form(entry("recipe", "brown butter"), "/entry") | {"makes": "410 g"}
    assert client.send("POST", "/entry", fields, **headers).status == 403
    assert (folder / SEA).read_bytes() == before


@pytest.mark.parametrize("path", sorted(SENT))
def test_a_form_without_the_key_changes_nothing(client: Client, folder: Path, path: str) -> None:
    before = {each: each.read_bytes() for each in folder.rglob("*") if each.is_file()}
    for form in ({}, {"form_key": "wrong"}, {"form_key": client.site.keys.way_in}):
        assert client.send("POST", path, form).status == 403
    assert client.send("POST", path, {"form_key": client.site.keys.form}, let_in=False).status == 403
    assert {each: each.read_bytes() for each in folder.rglob("*") if each.is_file()} == before


def test_what_changes_something_is_not_asked_by_get(reader: Client) -> None:
    for path in set(SENT) - set(SHOWN):
        assert reader.get(path).status == 404
    assert reader.send("PUT", "/").status == 405 and reader.send("HEAD", "/").body == b""


def test_forms_that_are_too_long_or_no_text_are_refused(reader: Client) -> None:
    key = f"form_key={reader.site.keys.form}&text="
    assert reader.send("POST", "/label", body=key.encode() + b"x" * MOST_BYTES).status == 413
    assert reader.send("POST", "/label", body=key.encode() + b"%ff%fe").status == 400
    assert reader.send("POST", "/label", body=b"{}", CONTENT_TYPE="application/json").status == 400
    assert reader.send("POST", "/label", body=("&a=1" * 6000).encode()).status == 400
    assert reader.send("POST", "/label", CONTENT_LENGTH="-1").status == 413


def test_headers_shut_out_the_network_and_scripts_of_others(reader: Client) -> None:
    headers = reader.get("/").headers
    policy = dict(part.strip().split(" ", 1) for part in headers["Content-Security-Policy"].split(";"))
    assert policy["default-src"] == "'none'" and policy["script-src"] == "'self'" and policy["form-action"] == "'self'"
    assert not {"connect-src", "unsafe-inline"} & set(re.findall(r"[\w-]+", headers["Content-Security-Policy"]))
    assert (
        headers["X-Content-Type-Options"] == "nosniff"
        and headers["Referrer-Policy"] == "same-origin"
        and headers["Cache-Control"] == "no-store"
    )


def test_a_fault_of_ours_is_a_page_and_the_next_question_is_answered(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(SHOWN, "/dishes", lambda visit: 1 / 0)
    reply = client.get("/dishes")
    assert (
        reply.status == 500
        and "page-fault" in reply.text
        and "ZeroDivisionError" not in reply.text
        and "Traceback" not in reply.text
    )
    assert client.get("/").status == 200


# The same answers as the commands ---------------------------------------------------------------------------------------


def test_not_settled_has_every_finding_of_check_with_a_field_where_one_can_be_named(
    client: Client, folder: Path
) -> None:
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
    assert (
        'value="quite % some"' in makes
        and 'aria-describedby="f-makes-wrong"' in makes
        and 'id="f-makes-wrong"' in makes
    )


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
    assert (
        kitchen.menus["Lunch"].courses[0].dishes == (dish["dish"],)
        and kitchen.menus["Lunch"].courses[0].title == "First"
    )
    assert (
        kitchen.batches["boxes, Thursday"].count == 12
        and dict(kitchen.batches["boxes, Thursday"].lots)["prune"] == "L #3"
    )
    assert not stops(folder)


def test_equipment_is_ticked_and_cleared(client: Client, folder: Path) -> None:
    fields = client.form(entry("recipe", "brown butter"), "/entry") | {"equipment/use/deep fryer": "yes", "do": "save"}
    assert client.submit("/entry", fields).status == 303 and read_kitchen(folder)[0].recipes[
        "brown butter"
    ].equipment == ("deep fryer",)
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
    assert (
        client.submit("/entry", oil).status == 303
        and read_kitchen(folder)[0].equipment["deep fryer"].changed == "2026-11-25"
    )
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
    assert (
        product.contains == ("barley", "walnut") and product.may_contain == ("almond",) and product.evidence.by == "RM"
    )
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
    signed = client.submit(
        "/sign-off", fields | dict.fromkeys(reasons, "looked at") | {"by": "RM", "role": "head chef"}
    )
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


def test_a_question_is_read_as_a_browser_sends_it() -> None:
    asked = Asked(
        "POST", "/", {}, parse_qs("a=%20x%20%0D%0Ay&rows/0/name=1&rows/12/name=2&other/3/x=1", keep_blank_values=True)
    )
    assert asked.one("a") == "x \ny" and asked.numbers("rows") == [0, 12] and asked.one("none", "d") == "d"


# Kitchens that are empty, or broken --------------------------------------------------------------------------------------


def page_of(folder: Path) -> Client:
    site = Site(House(folder), lambda: DAY)
    site.door.port = PORT
    return Client(site)


def test_an_empty_kitchen_is_filled_on_the_page_alone(tmp_path: Path) -> None:
    write_kitchen("new", tmp_path / "k")
    client, folder = page_of(tmp_path / "k"), tmp_path / "k"
    for path in SHOWN:
        assert client.get(path).status < 500, path
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
    assert (
        "dill on toast" in client.get("/").text and "not for this guest" in client.get("/guests?seat=milk").text.lower()
    )
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
