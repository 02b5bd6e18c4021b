"""Who may ask: a browser that was given the key, from this very page. Everything else is turned away.

The address that ``labeller open`` prints holds a key, drawn anew for each run. It is exchanged once for a cookie that scripts
can't read and other sites can't send; each form carries a second key. Names other than those that are listened on (the
loopback's, unless ``--listen`` names another) are refused, so that a page elsewhere can't have its own name pointed here.
"""

from __future__ import annotations

import hmac
from collections.abc import Callable
from hashlib import sha256
from http.cookies import CookieError, SimpleCookie
from secrets import token_urlsafe
from typing import NamedTuple
from urllib.parse import parse_qs

from labeller.serving.web.asking import MOST_BYTES, Asked, Reply, read_form
from labeller.serving.web.uploads import MOST_UPLOAD, Upload, read_parts
from labeller.terms.findings import Finding, Place, finding

LOOPBACK = ("127.0.0.1", "localhost")
POLICY = (
    "default-src 'none'; style-src 'self'; script-src 'self'; font-src 'self'; img-src 'self'; object-src 'self'; "
    "frame-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'self'"
)
HEADERS = (
    ("X-Content-Type-Options", "nosniff"),
    ("X-Frame-Options", "SAMEORIGIN"),
    ("Referrer-Policy", "same-origin"),
    ("Cross-Origin-Opener-Policy", "same-origin"),
    ("Cross-Origin-Resource-Policy", "same-origin"),
    ("Permissions-Policy", "camera=(), geolocation=(), microphone=()"),
)
REASONS = {
    200: "OK",
    303: "See Other",
    400: "Bad Request",
    403: "Forbidden",
    404: "Not Found",
    405: "Method Not Allowed",
    409: "Conflict",
    413: "Content Too Large",
    422: "Unprocessable Content",
    500: "Internal Server Error",
}


class Keys(NamedTuple):
    """way_in: stands in the first address. cookie: of the browser. form: of each form."""

    way_in: str
    cookie: str
    form: str


def new_keys() -> Keys:
    secret = token_urlsafe(32)
    return Keys(token_urlsafe(32), secret, hmac.new(secret.encode(), b"form", sha256).hexdigest())


class Door:
    """A WSGI application around ``answer`` (an allowed request -> a reply) and ``refuse`` (status, findings -> a reply).

    port, names: what is listened on, told when it is known. uploads: addresses whose forms may carry a file."""

    def __init__(
        self,
        keys: Keys,
        answer: Callable[[Asked], Reply],
        refuse: Callable[[int, tuple[Finding, ...]], Reply],
        enter: Callable[[], Reply],
        uploads: frozenset[str] = frozenset(),
    ):
        self.keys, self.answer, self.refuse, self.enter = keys, answer, refuse, enter
        self.uploads, self.port, self.names = uploads, 0, LOOPBACK

    def __call__(self, environ: dict, start: Callable) -> list[bytes]:
        reply = self._reply(environ)
        headers = [("Content-Type", reply.kind), ("Content-Length", str(len(reply.body))), *HEADERS, *reply.headers]
        names = {name.lower() for name, _ in reply.headers}
        headers += [
            pair for pair in (("Content-Security-Policy", POLICY), ("Cache-Control", "no-store")) if pair[0].lower() not in names
        ]
        start(f"{reply.status} {REASONS[reply.status]}", headers)
        return [b"" if environ["REQUEST_METHOD"] == "HEAD" else reply.body]

    def _reply(self, environ: dict) -> Reply:
        method = environ["REQUEST_METHOD"]
        if environ.get("HTTP_HOST", "") not in self._hosts():
            return self._turn_away("the address is not the one that was printed")
        if method not in ("GET", "HEAD", "POST"):
            return self.refuse(405, (self._said("pages are asked for by GET and POST"),))
        try:
            path = environ.get("PATH_INFO", "/").encode("latin-1").decode("utf-8")
            query = parse_qs(environ.get("QUERY_STRING", ""), keep_blank_values=True, max_num_fields=500)
        except (UnicodeError, ValueError):
            return self.refuse(400, (self._unread("the address can't be read"),))
        if method == "GET" and "key" in query:
            return self._let_in(query["key"][0])
        cookies = _cookies(environ.get("HTTP_COOKIE", ""))
        if not _same(cookies.get(self.cookie_name, ""), self.keys.cookie):
            return self._turn_away("this browser was not let in, or labeller was started again since")
        if method != "POST":
            return self.answer(Asked("GET", path, query, {}, cookies))
        return self._posted(environ, path, query, cookies)

    def _posted(self, environ: dict, path: str, query: dict, cookies: dict) -> Reply:
        if not self._from_here(environ):
            return self._turn_away("the form does not come from this page")
        with_file = environ.get("CONTENT_TYPE", "").startswith("multipart/form-data") and path in self.uploads
        length, most = environ.get("CONTENT_LENGTH") or "0", MOST_UPLOAD if with_file else MOST_BYTES
        if not length.isdigit() or int(length) > most:
            return self.refuse(413, (self._too_long(with_file),))
        body, files = environ["wsgi.input"].read(int(length)), {}
        if with_file:
            form, files = read_parts(body, environ["CONTENT_TYPE"]) or (None, files)
        elif environ.get("CONTENT_TYPE", "").startswith("application/x-www-form-urlencoded"):
            form = read_form(body)
        else:
            return self.refuse(400, (self._unread("this is no form of a page"),))
        return self._with_key(path, query, form, cookies, files)

    def _with_key(
        self, path: str, query: dict, form: dict[str, list[str]] | None, cookies: dict, files: dict[str, Upload]
    ) -> Reply:
        if form is None:
            return self.refuse(400, (self._unread("the form holds something that is no text"),))
        if not _same((form.pop("form_key", [""]))[0], self.keys.form):
            return self._turn_away("the form has no key, or an old one")
        return self.answer(Asked("POST", path, query, form, cookies, files))

    def _let_in(self, key: str) -> Reply:
        """The key is taken out of the address at once; a page that moves on by itself, so that the cookie goes along."""
        if not _same(key, self.keys.way_in):
            return self._turn_away("the key in the address is an old one")
        cookie = f"{self.cookie_name}={self.keys.cookie}; Path=/; HttpOnly; SameSite=Strict"
        return self.enter()._replace(headers=(("Set-Cookie", cookie),))

    def _from_here(self, environ: dict) -> bool:
        origin, site = environ.get("HTTP_ORIGIN"), environ.get("HTTP_SEC_FETCH_SITE")
        if site is not None and site != "same-origin":
            return False
        if origin is not None:
            return origin in {f"http://{host}" for host in self._hosts()}
        return site == "same-origin"

    @property
    def cookie_name(self) -> str:
        """Cookies know no ports: each run has a name of its own."""
        return f"labeller_{self.port}"

    def _hosts(self) -> tuple[str, ...]:
        """What a browser writes for the names listened on: with the port, which it leaves out where it is HTTP's own."""
        return tuple(f"{name}:{self.port}" for name in self.names) + (self.names if self.port == 80 else ())

    def _turn_away(self, why: str) -> Reply:
        return self.refuse(403, (self._said(why),))

    @staticmethod
    def _said(why: str) -> Finding:
        return finding(
            "page-refused",
            Place("labeller open"),
            f"not answered: {why}",
            "open the address that `labeller open` printed",
        )

    @staticmethod
    def _too_long(with_file: bool) -> Finding:
        if not with_file:
            return Door._unread("the form is too long")
        return finding(
            "upload-too-large",
            Place("upload"),
            f"the file is larger than {MOST_UPLOAD // 1_000_000} MB; nothing of it was read",
            "send only the sheets or the page with the recipes; for a larger file use: labeller import FILE",
        )

    @staticmethod
    def _unread(why: str) -> Finding:
        return finding("form-not-read", Place("labeller open"), why, "open the page again and send the form once more")


def _same(given: str, wanted: str) -> bool:
    return hmac.compare_digest(given.encode("utf-8", "replace"), wanted.encode())


def _cookies(text: str) -> dict[str, str]:
    try:
        return {name: one.value for name, one in SimpleCookie(text).items()}
    except CookieError:
        return {}
