"""Files sent with a form (``multipart/form-data``, RFC 7578), and the tray they lie in until somebody says what becomes of them.

Nothing sent is written to the disk: a preview is made of it, and only what the preview shows is ever written.
"""

from __future__ import annotations

import re
from secrets import token_urlsafe
from typing import NamedTuple

MOST_UPLOAD = 10_000_000  # bytes of a whole form with its file; a kitchen's workbook has some hundred thousand
MOST_PARTS = 5_000
LONGEST_NAME = 200  # bytes; a name on a disk has 255 at most
KEPT = 4  # files that lie in the tray at once
_NAME = re.compile(rb'[;\s]name="([^"]*)"')
_FILE = re.compile(rb'[;\s]filename="([^"]*)"')
_BOUNDARY = re.compile(r'boundary=(?:"([^"]{1,70})"|([^\s;]{1,70}))')


class Upload(NamedTuple):
    """name: of the file, without folders. data: its bytes."""

    name: str
    data: bytes


class Parts(NamedTuple):
    """A form with files. fields: name -> values in the order sent. files: name -> the file that was chosen."""

    fields: dict[str, list[str]]
    files: dict[str, Upload]


def read_parts(data: bytes, content_type: str) -> Parts | None:
    """The parts of a form; None when it can't be read. A file field in which nothing was chosen is left out."""
    found = _BOUNDARY.search(content_type)
    if found is None:
        return None
    edge = b"--" + (found[1] or found[2]).encode("latin-1", "replace")
    pieces = (b"\r\n" + data).split(b"\r\n" + edge)
    if len(pieces) < 2 or not pieces[-1].startswith(b"--") or len(pieces) > MOST_PARTS:
        return None
    fields: dict[str, list[str]] = {}
    files: dict[str, Upload] = {}
    for piece in pieces[1:-1]:
        head, gap, body = piece.partition(b"\r\n\r\n")
        name, file = _NAME.search(head), _FILE.search(head)
        if not gap or name is None:
            return None
        try:
            key = _unquoted(name[1])
            if file is None:
                fields.setdefault(key, []).append(body.decode("utf-8"))
            elif file[1]:
                files[key] = Upload(_bare(_unquoted(file[1])), body)
        except UnicodeError:
            return None
    return Parts(fields, files)


def _unquoted(text: bytes) -> str:
    """A name as the browser wrote it: quotation marks and line ends stand escaped (HTML standard, multipart/form-data)."""
    return text.decode("utf-8").replace("%22", '"').replace("%0D", " ").replace("%0A", " ")


def _bare(name: str) -> str:
    """The name of a file without its folders and without anything that can't be printed."""
    last = name.replace("\\", "/").rpartition("/")[2]
    plain = "".join(char for char in last if char.isprintable())
    return plain.encode("utf-8")[-LONGEST_NAME:].decode("utf-8", "ignore") or "file"


class Tray:
    """The latest files sent, each under a number that can't be guessed. Gone when the program stops."""

    def __init__(self) -> None:
        self._files: dict[str, Upload] = {}

    def put(self, file: Upload) -> str:
        key = token_urlsafe(12)
        self._files[key] = file
        while len(self._files) > KEPT:
            del self._files[next(iter(self._files))]
        return key

    def get(self, key: str) -> Upload | None:
        return self._files.get(key)

    def drop(self, key: str) -> None:
        self._files.pop(key, None)
