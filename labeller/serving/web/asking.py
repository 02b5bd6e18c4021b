"""What a browser asks and what it gets, as plain values: pages are functions from one to the other."""

from __future__ import annotations

import re
from typing import NamedTuple
from urllib.parse import parse_qs, quote

from labeller.serving.web.uploads import Upload

MOST_BYTES = 1_000_000  # of a form: a jar's label has some hundred, a long recipe some ten thousand
MOST_FIELDS = 5_000


class Asked(NamedTuple):
    """One request that was let in. path: decoded, without the query. query, form: name -> values, in the order sent. files: name
    of the field -> the file that was chosen."""

    method: str
    path: str
    query: dict[str, list[str]] = {}
    form: dict[str, list[str]] = {}
    cookies: dict[str, str] = {}
    files: dict[str, Upload] = {}

    def one(self, name: str, default: str = "") -> str:
        """The first value of a name in the form, else in the query; spaces around it are cut, line ends are plain."""
        found = self.form.get(name) or self.query.get(name)
        return found[0].replace("\r\n", "\n").replace("\r", "\n").strip() if found else default

    def all(self, name: str) -> list[str]:
        return [one.strip() for one in (self.form.get(name) or self.query.get(name) or [])]

    def fields(self) -> dict[str, str]:
        """The form as name -> first value."""
        return {name: self.one(name) for name in self.form}

    def numbers(self, prefix: str) -> list[int]:
        """The row numbers sent under ``prefix/number/…``, in order."""
        found = {
            int(hit[1]) for name in self.form if (hit := re.match(rf"{re.escape(prefix)}/(\d{{1,4}})(?:/|\Z)", name))
        }
        return sorted(found)


class Reply(NamedTuple):
    """status: HTTP status. headers: beyond those that every reply has; a security policy given here takes the place of the
    page's."""

    status: int
    body: bytes
    kind: str = "text/html; charset=utf-8"
    headers: tuple[tuple[str, str], ...] = ()


def to(path: str, **query: str) -> str:
    """An address of ours with its query."""
    parts = "&".join(f"{name}={quote(str(value), safe='')}" for name, value in query.items() if value != "")
    return f"{path}?{parts}" if parts else path


def go(path: str, **query: str) -> Reply:
    """Send the browser on (after a change, so that reloading repeats nothing)."""
    return Reply(303, b"", headers=(("Location", to(path, **query)),))


def read_form(data: bytes) -> dict[str, list[str]] | None:
    """The fields of an urlencoded form; None when it can't be read."""
    try:
        return parse_qs(data.decode("utf-8"), keep_blank_values=True, max_num_fields=MOST_FIELDS, errors="strict")
    except (ValueError, UnicodeError):
        return None
