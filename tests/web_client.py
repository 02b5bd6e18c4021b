"""A browser's side of the local page for its tests: what it sends and what comes back, without a browser."""

from __future__ import annotations

import io
import re
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import quote, urlencode, urlsplit

from labeller.reading.new_kitchen import write_kitchen
from labeller.serving.web.house import House
from labeller.serving.web.site import Site

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
            self.forms.append({"action": at.get("action", ""), "method": at.get("method", "get"), "fields": {}, "buttons": []})
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

    def upload(self, path: str, name: str, data: bytes, *, key: str | None = None, **fields: str) -> Reply:
        """A form with a file, as a browser writes it (HTML standard, multipart/form-data)."""
        form = {"form_key": self.site.keys.form if key is None else key, **fields}
        edge = "----edge7f3a"
        parts = [
            f'--{edge}\r\nContent-Disposition: form-data; name="{one}"\r\n\r\n{text}\r\n'.encode() for one, text in form.items()
        ]
        head = f'--{edge}\r\nContent-Disposition: form-data; name="file"; filename="{name}"\r\nContent-Type: x/y\r\n\r\n'
        body = b"".join(parts) + head.encode() + data + f"\r\n--{edge}--\r\n".encode()
        return self.send("POST", path, body=body, CONTENT_TYPE=f"multipart/form-data; boundary={edge}")

    def form(self, page: str, action: str) -> dict:
        """The fields of the form of a page that posts to ``action``."""
        reply = self.get(page)
        assert reply.status == 200, reply.text
        return next(form["fields"] for form in Form(reply.text).forms if form["action"] == action and form["method"] == "post")

    def submit(self, action: str, fields: dict) -> Reply:
        return self.send("POST", action, fields)

    def follow(self, reply: Reply) -> Reply:
        assert reply.status == 303, reply.text
        return self.get(reply.headers["Location"])


def kitchen_at(folder: Path, which: str = "kitchen") -> Path:
    write_kitchen(which, folder / "k")
    return folder / "k"


def page_of(folder: Path, **how: object) -> Client:
    site = Site(House(folder), lambda: DAY, **how)
    site.door.port = PORT
    return Client(site)


def entry(kind: str, name: str) -> str:
    return f"/entry?kind={kind}&name={quote(name)}"
