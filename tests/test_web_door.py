"""Who the local page turns away, and what it takes in.

Same-origin rules checked: the Origin header (RFC 6454), Sec-Fetch-Site (W3C Fetch Metadata), SameSite and HttpOnly cookies
(RFC 6265bis), Content Security Policy Level 3; names pointed at the loopback (DNS rebinding): the Host header is checked.
"""

from __future__ import annotations

import http.client
import re
import threading
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest
from web_client import PORT, SEA, Client, entry, page_of

from labeller.printing.qr import QUIET, modules
from labeller.serving.verbs_open import listening, meaning, picture
from labeller.serving.web.asking import MOST_BYTES
from labeller.serving.web.network import HERE, Reach, own_addresses, reach
from labeller.serving.web.site import FOR_WRITERS, HARMLESS, SENT, SHOWN
from labeller.serving.web.uploads import MOST_UPLOAD, read_parts

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


def test_a_fault_of_ours_is_a_page_and_the_next_question_is_answered(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(SHOWN, "/dishes", lambda visit: 1 / 0)
    reply = client.get("/dishes")
    assert (
        reply.status == 500
        and "page-fault" in reply.text
        and "ZeroDivisionError" not in reply.text
        and "Traceback" not in reply.text
    )
    assert client.get("/").status == 200


# Files ------------------------------------------------------------------------------------------------------------------


def test_a_file_is_taken_in_byte_for_byte_and_its_folders_are_not() -> None:
    data = bytes(range(256)) + b"\r\n--edg\r\n\r\n\n\r"
    body = (
        b'--edge\r\nContent-Disposition: form-data; name="a"\r\n\r\n  two\r\nlines \r\n'
        b'--edge\r\nContent-Disposition: form-data; name="file"; filename="C:\\x\\..\\K\xc3\xbcche%22.xlsx"\r\n'
        b"Content-Type: application/octet-stream\r\n\r\n" + data + b"\r\n--edge--\r\n"
    )
    found = read_parts(body, "multipart/form-data; boundary=edge")
    assert found.fields == {"a": ["  two\r\nlines "]}
    assert found.files["file"].data == data and found.files["file"].name == 'Küche".xlsx'
    assert read_parts(body, 'multipart/form-data; boundary="edge"') == found
    empty = b'--edge\r\nContent-Disposition: form-data; name="file"; filename=""\r\n\r\n\r\n--edge--\r\n'
    assert read_parts(empty, "multipart/form-data; boundary=edge") == ({}, {})


@pytest.mark.parametrize("body", [b"", b"x", b"--edge\r\n\r\n", b"--edge\r\nno head\r\n--edge--", b"--other--\r\n"])
def test_a_form_cut_short_is_refused(reader: Client, body: bytes) -> None:
    assert read_parts(body, "multipart/form-data; boundary=edge") is None
    reply = reader.send("POST", "/bring-in", body=body, CONTENT_TYPE="multipart/form-data; boundary=edge")
    assert reply.status == 400 and "To mend:" in reply.text
    assert reader.send("POST", "/bring-in", body=body, CONTENT_TYPE="multipart/form-data").status == 400


def test_a_file_that_is_too_large_is_told_in_words_and_files_go_to_one_page_only(reader: Client) -> None:
    reply = reader.upload("/bring-in", "big.csv", b"x" * MOST_UPLOAD)
    assert reply.status == 413 and "larger than 10 MB" in reply.text and "labeller import" in reply.text
    assert reader.upload("/label", "a.txt", b"milk").status == 400
    assert reader.upload("/bring-in", "a.txt", b"2 eggs", key="wrong").status == 403


# Other devices ----------------------------------------------------------------------------------------------------------

PASS = Reach("192.168.1.20", ("192.168.1.20", "kitchen.local"), False)


@pytest.fixture
def pass_client(folder: Path) -> Client:
    client = page_of(folder)
    client.site.door.names = PASS.names
    return client


def test_listening_in_the_network_answers_to_its_own_names_only(pass_client: Client) -> None:
    for name in PASS.names:
        assert pass_client.get("/", HTTP_HOST=f"{name}:{PORT}").status == 200
    for host in (f"127.0.0.1:{PORT}", f"localhost:{PORT}", "192.168.1.20", f"192.168.1.21:{PORT}", f"evil.example:{PORT}"):
        assert pass_client.get("/", HTTP_HOST=host).status == 403, host
    pass_client.site.door.port = 80
    assert pass_client.get("/", HTTP_HOST="192.168.1.20").status == 200  # HTTP's own port is not written (RFC 9110, 4.2.3)


@pytest.mark.parametrize("path", sorted(SHOWN))
def test_in_the_network_no_page_is_shown_without_the_key(pass_client: Client, path: str) -> None:
    here = f"192.168.1.20:{PORT}"
    reply = pass_client.send("GET", path, let_in=False, HTTP_HOST=here)
    assert reply.status == 403 and "Kelpstone" not in reply.text
    assert pass_client.send("GET", f"{path}?key=wrong", let_in=False, HTTP_HOST=here).status == 403
    assert pass_client.send("GET", f"/?key={pass_client.site.keys.way_in}", let_in=False, HTTP_HOST=here).status == 200
    assert pass_client.send("GET", path, let_in=False, HTTP_HOST=here).status < 500


def test_in_the_network_a_change_needs_the_key_and_its_own_page(pass_client: Client, folder: Path) -> None:
    before = {each: each.read_bytes() for each in folder.rglob("*") if each.is_file()}
    here, origin = f"192.168.1.20:{PORT}", f"http://192.168.1.20:{PORT}"
    form = {"form_key": pass_client.site.keys.form, "name": "brown butter", "kind": "recipe"}
    for headers in (
        {"HTTP_ORIGIN": "http://127.0.0.1"},
        {"HTTP_ORIGIN": f"http://192.168.1.21:{PORT}"},
        {"HTTP_ORIGIN": origin, "HTTP_SEC_FETCH_SITE": "cross-site"},
        {"HTTP_ORIGIN": None, "HTTP_SEC_FETCH_SITE": None},
    ):
        assert pass_client.send("POST", "/undo", form, HTTP_HOST=here, **headers).status == 403
    assert pass_client.send("POST", "/undo", {}, HTTP_HOST=here, HTTP_ORIGIN=origin).status == 403
    assert pass_client.send("POST", "/undo", form, let_in=False, HTTP_HOST=here, HTTP_ORIGIN=origin).status == 403
    assert {each: each.read_bytes() for each in folder.rglob("*") if each.is_file()} == before
    assert (
        pass_client.send("POST", "/undo", form, HTTP_HOST=here, HTTP_ORIGIN=origin).status == 409
    )  # let in; nothing to take back


@pytest.mark.parametrize(
    "text,why",
    [
        ("0.0.0.0", "every network"),
        ("::", "every network"),
        ("224.0.0.1", "every network"),
        ("8.8.8.8", "open internet"),
        ("2001:4860:4860::8888", "open internet"),
        ("no such name.invalid", "no address"),
    ],
)
def test_addresses_that_would_let_everybody_knock_are_not_taken(text: str, why: str) -> None:
    where, wrong = reach(text)
    assert where is None and wrong.code == "listen-not-taken" and why in wrong.text


def test_what_is_listened_on_and_what_that_means_is_said() -> None:
    assert reach("") == (HERE, None) and HERE.local
    assert reach("127.0.0.1")[0].local and reach("::1")[0].names[0] == "[::1]"
    there = reach("192.168.1.20")[0]
    assert not there.local and there.address(80, "k") == "http://192.168.1.20:80/?key=k"
    assert reach("fd00::1")[0].address(8000, "k") == "http://[fd00::1]:8000/?key=k"
    said = meaning(there, False)
    assert "192.168.1.20" in said and "plain HTTP" in said and "read and change" in said and "Wi-Fi" in said
    assert "read and change" not in meaning(there, True) and "this machine only" in meaning(HERE, False)


def test_the_link_is_drawn_for_a_tablets_camera() -> None:
    address = Reach("192.168.1.20", ("192.168.1.20",), False).address(8000, "k" * 43)
    lines = [line.removeprefix("\x1b[30;107m").removesuffix("\x1b[0m") for line in picture(address).split("\n")]
    top, bottom = (str.maketrans(" ▀▄█", digits) for digits in ("0101", "0011"))
    rows = [[sign == "1" for sign in line.translate(half)] for line in lines for half in (top, bottom)]
    count = len(modules(address))
    assert [tuple(row[QUIET : QUIET + count]) for row in rows[QUIET : QUIET + count]] == list(modules(address))
    assert not any(any(row) for row in (*rows[:QUIET], *rows[QUIET + count :])) and len(rows) >= count + 2 * QUIET


@contextmanager
def served(folder: Path, where: Reach):
    """A server as ``labeller open`` starts it: (door, a question with headers -> status)."""
    client = page_of(folder)
    server = listening(client.site, 0, where)

    def run() -> None:
        with suppress(OSError):  # it is closed under its feet at the end
            server.run()

    threading.Thread(target=run, daemon=True).start()
    door = client.site.door

    def ask(host: str, cookie: str = "", path: str = "/") -> int:
        line = http.client.HTTPConnection(where.host, door.port, timeout=20)
        line.putrequest("GET", path, skip_host=True)
        line.putheader("Host", host)
        if cookie:
            line.putheader("Cookie", f"{door.cookie_name}={cookie}")
        line.endheaders()
        reply = line.getresponse()
        reply.read()
        line.close()
        return reply.status

    try:
        yield client.site, ask
    finally:
        server.close()


def test_a_real_server_in_the_network_keeps_the_door(folder: Path) -> None:
    own = next((each for each in own_addresses() if ":" not in each and not each.startswith("127.")), None)
    where = reach(own)[0] if own else Reach("127.0.0.2", ("127.0.0.2",), False)
    with served(folder, where) as (site, ask):
        port, cookie = site.door.port, site.keys.cookie
        assert ask(f"{where.host}:{port}", cookie) == 200
        assert ask(f"{where.host}:{port}") == 403 and ask(f"{where.host}:{port}", "wrong") == 403
        assert ask(f"localhost:{port}", cookie) == 403 and ask(f"evil.example:{port}", cookie) == 403
        assert ask(f"{where.host}:{port}", path=f"/?key={site.keys.way_in}") == 200
        if own:  # nothing else of this machine is listened on
            with pytest.raises(OSError):
                http.client.HTTPConnection("127.0.0.1", port, timeout=5).request("GET", "/")


# Read only --------------------------------------------------------------------------------------------------------------


def test_a_page_that_only_reads_changes_nothing_and_offers_nothing_to_change(folder: Path) -> None:
    client = page_of(folder, read_only=True)
    before = {each: each.read_bytes() for each in folder.rglob("*") if each.is_file()}
    for path in SENT:
        reply = client.post(path, name="brown butter", kind="recipe", by="RM", do="save", menu="Late autumn tasting")
        assert (reply.status == 403) == (path not in HARMLESS), path
    for path in SHOWN:
        reply = client.get(path)
        assert (reply.status == 403) == (path in FOR_WRITERS), path
        if path not in FOR_WRITERS:
            assert 'class="read-only"' in reply.text and "nothing can be changed from it" in reply.text
            shown = re.sub(r"<main.*</main>", "", reply.text, flags=re.S)
            assert "/sign-off" not in shown and "/bring-in" not in shown and "Take it back" not in shown
    assert {each: each.read_bytes() for each in folder.rglob("*") if each.is_file()} == before
    assert "walnut" in client.post("/label", text="walnuts", law="").text
    assert client.get("/guests?seat=milk").status == 200 and client.get("/paper?what=matrix").body.startswith(b"%PDF")
