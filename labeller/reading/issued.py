"""The register of sign-offs, read and proved: ``issued/`` of a kitchen, one file a sign-off, and ``SHA256SUMS`` beside them.

Three bonds hold a file: its line in ``SHA256SUMS`` (the form that ``sha256sum --check`` reads), the next file, which names the
checksum of this one, and its own seal (SHA-256 over its content), which holds the newest, that no other names yet. A
byte that is changed, a file that is removed, renamed or put in breaks one of them. Who changes a file, its seal, every later
file and the list at once breaks none: there is no secret in it; the short marks on the paper and a copy elsewhere hold against
that.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping
from pathlib import Path

from labeller.terms.findings import Finding, Place, finding
from labeller.terms.issued import Issued, Register

FOLDER, LIST = "issued", "SHA256SUMS"
KEYS = ("number", "replaces", "previous", "menu", "menu_from", "menu_until", "laws", "date", "time", "by", "role", "second",
        "files", "data_version", "tables", "tool_version", "declarations", "batches", "accepted", "stops", "notes",
        "documents")  # fmt: skip
_LINE = re.compile(r"([0-9a-f]{64})  (\d{4,9}-[a-z0-9-]+\.json)")
_OURS = re.compile(r"\.lock|\.+(SHA256SUMS|\d{4,9}-[a-z0-9-]+\.json)(\.[a-z0-9_.]+)?")  # what a sign-off cut short may leave
_BACK = "put it back from a copy; if there is none, move the folder issued aside and sign off again"


def seal_of(content: Mapping[str, object]) -> str:
    """SHA-256, in hex, over the content without its seal: JSON, keys in order, no spaces, UTF-8."""
    bare = {key: value for key, value in content.items() if key != "seal"}
    return hashlib.sha256(json.dumps(bare, ensure_ascii=False, sort_keys=True, separators=(",", ":")).encode()).hexdigest()


def as_bytes(content: Mapping[str, object]) -> bytes:
    """The one way in which a content stands in its file."""
    return (json.dumps(content, ensure_ascii=False, sort_keys=True, indent=1) + "\n").encode()


def hidden(name: str) -> str:
    """Where a sign-off stands until it is on the list."""
    return f".{name}.pending"


def is_left_over(name: str) -> bool:
    """Whether a hidden file of ``issued/`` is one that a sign-off writes on its way."""
    return bool(_OURS.fullmatch(name))


def read_register(folder: Path) -> Register:
    """The register of a kitchen's folder. Never raises; each file that can't be relied on is a finding that names it."""
    place = Path(folder) / FOLDER
    if not place.is_dir():
        return Register()
    try:
        names = sorted(each.name for each in place.iterdir())
        listed, found = _listed(place, names)
    except OSError as problem:
        return Register((), (_gone(FOLDER, f"issued/ can't be read: {problem.strerror}"),))
    issues: list[Issued] = []
    pending: list[str] = []
    before = ""
    for number, (digest, name) in enumerate(listed, 1):
        issue, wrong, waits = _one(place, name, digest, number, before, names, newest=number == len(listed))
        found += wrong
        pending += [name] if waits else []
        before = issue.digest if issue else "?"
        issues += [issue] if issue else []
    strays = _strays(place, names, {name for _, name in listed}, {digest: name for digest, name in listed})
    if any(
        each.place.file == f"{FOLDER}/{LIST}" for each in found
    ):  # while the list is damaged, what it may have held is no stray
        strays = [each for each in strays if not _sealed(place / Path(each.place.file).name)]
    found += strays
    return Register(tuple(issues), tuple(found), tuple(pending))


def _listed(place: Path, names: list[str]) -> tuple[list[tuple[str, str]], list[Finding]]:
    """(checksum, file) of each line of the list."""
    if LIST not in names:
        written = [name for name in names if name.endswith(".json")]
        if not written:
            return [], []
        text = f"issued/{LIST}, the list of all sign-offs, is gone, and {len(written)} files of sign-offs are there"
        return [], [_gone(LIST, text)]
    data = (place / LIST).read_bytes()
    lines = data.decode("utf-8", "replace").split("\n")
    out, found = [], [] if data else [_changed(LIST, f"issued/{LIST} is empty")]
    for nr, line in enumerate(lines[:-1], 1):
        match = _LINE.fullmatch(line)
        if match is None or int(match[2].split("-")[0]) != nr:
            found.append(_changed(LIST, f"line {nr} of issued/{LIST} is not as it was written", nr))
        if match is not None:
            out.append((match[1], match[2]))
    if lines[-1]:
        found.append(_changed(LIST, f"issued/{LIST} does not end as it was written", len(lines)))
    return out, found


def _one(place: Path, name: str, digest: str, number: int, before: str, names: list[str], newest: bool,
         ) -> tuple[Issued | None, list[Finding], bool]:  # fmt: skip
    """One sign-off, what is wrong with it, and whether it still waits under its hidden name. Its seal is worked out where its
    checksum is not enough: no later sign-off names the newest."""
    where = FOLDER + "/" + name
    waits = name not in names and hidden(name) in names
    gone = f"{where} is gone: sign-off no. {number} is on the list, and its file is not there"
    if name not in names and not waits:
        other = next(
            (each for each in names if each.startswith(f"{number:04d}-") and _is_at_home(place / each, each, digest)), ""
        )
        text = f"line {number} of issued/{LIST} was changed: the file it means is {other}"
        return None, [_changed(LIST, text, number) if other else _gone(name, gone)], False
    try:
        data = (place / (hidden(name) if waits else name)).read_bytes()
    except OSError as problem:
        return None, [_changed(name, f"{where} can't be read: {problem.strerror}")], False
    agrees = hashlib.sha256(data).hexdigest() == digest
    content, fault = _content(data, proved=newest or not agrees)
    if not agrees:
        if waits:
            return None, [_gone(name, gone)], False
        if content is not None and content.get("file") != name:
            fault = f"another sign-off was put in its place ({content.get('file')})"
        text = f"{where} is not what was listed for it: {fault}" if fault else (
            f"{where} and its line in issued/{LIST} don't agree: one of the two was changed")  # fmt: skip
        return None, [_changed(name if fault else LIST, text)], False
    if fault or content is None:
        return None, [_changed(name, f"{where}: {fault}")], False
    lacks = [key for key in KEYS if key not in content]
    if lacks:
        return None, [_changed(name, f"{where} is no sign-off: it lacks {', '.join(lacks)}")], False
    if content.get("number") != number:
        return None, [_changed(name, f"{where} says it is no. {content.get('number')}; the list has it as no. {number}")], False
    if before != "?" and content.get("previous") != before:
        return None, [_changed(name, f"{where} does not follow on no. {number - 1}: that one was exchanged after it")], False
    issue = Issued(name, number, str(content.get("menu", "")), str(content["seal"]), content, digest)
    return issue, [], waits


def _is_at_home(path: Path, name: str, digest: str) -> bool:
    """Whether a file has the checksum and bears the name under which it was sealed."""
    try:
        data = path.read_bytes()
    except OSError:
        return False
    content, _ = _content(data)
    return hashlib.sha256(data).hexdigest() == digest and content is not None and content.get("file") == name


def _content(data: bytes, proved: bool = True) -> tuple[dict | None, str]:
    """The content of a file, and what is wrong with it ("": nothing). proved: its seal is worked out."""
    from msgspec import DecodeError
    from msgspec.json import decode

    try:
        content = decode(data)
    except (DecodeError, UnicodeDecodeError, RecursionError):
        return None, "it was changed and can't be read any more"
    if not isinstance(content, dict) or "seal" not in content or (proved and content["seal"] != seal_of(content)):
        return None, "it was changed after it was signed (its seal does not fit its content)"
    if proved and as_bytes(content) != data:
        return None, "it was written over in another form after it was signed"
    return content, ""


def _strays(place: Path, names: list[str], listed: set[str], digests: Mapping[str, str]) -> list[Finding]:
    found = []
    for name in names:
        if name in listed or name == LIST or is_left_over(name):
            continue
        text = f"issued/{name} is not on the list of sign-offs: no sign-off wrote it"
        try:
            was = digests.get(hashlib.sha256((place / name).read_bytes()).hexdigest(), "")
        except OSError:
            was = ""
        if was:
            text += f"; it is {was} under another name" if was not in names else f"; it is a copy of {was}"
        mend = f"give it its name back: {was}" if was and was not in names else "move it to another folder"
        found.append(finding("register-stray", Place(f"{FOLDER}/{name}"), text, mend))
    return found


def _sealed(path: Path) -> bool:
    try:
        return not _content(path.read_bytes())[1]
    except OSError:
        return False


def _changed(name: str, text: str, line: int = 0) -> Finding:
    return finding("register-changed", Place(f"{FOLDER}/{name}", line), text, _BACK)


def _gone(name: str, text: str) -> Finding:
    return finding("register-gone", Place(name if name == FOLDER else f"{FOLDER}/{name}"), text, _BACK)


# Checksums of what a sign-off rests on -------------------------------------------------------------------------------------


def checksums(folder: Path, files: tuple[str, ...]) -> dict[str, str]:
    """File of the kitchen -> SHA-256 of its bytes, "" where it can't be read."""
    return {file: _checksum(Path(folder) / file) for file in files}


def _checksum(path: Path) -> str:
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()
    except OSError:
        return ""


def table_checksums(only: tuple[str, ...] = ()) -> dict[str, str]:
    """Folder of ``reference/`` -> one SHA-256 over the names and bytes of all its files: which tables a sign-off rests on."""
    from labeller.reading.library import root

    out = {}
    for folder in sorted(each for each in root("reference").iterdir() if each.is_dir() and (not only or each.name in only)):
        digest = hashlib.sha256()
        for path in sorted(each for each in folder.rglob("*") if each.is_file()):
            data = path.read_bytes()
            digest.update(path.relative_to(folder).as_posix().encode() + b"\0" + len(data).to_bytes(8, "big") + data)
        out[folder.name] = digest.hexdigest()
    return out


def read_prints(path: Path) -> dict[str, dict]:
    """The list of prints of a folder: file -> what is known of it; nothing where there is no list, or none that can be read."""
    try:
        found = json.loads(path.read_bytes())
    except (OSError, ValueError):
        return {}
    return {str(file): entry for file, entry in found.items() if isinstance(entry, dict)} if isinstance(found, dict) else {}


def read_book(path: Path) -> list[dict]:
    """Every print that was ever entered, oldest first: what each was printed from, with ``file`` and ``folder``; nothing where
    there is no book, or none that can be read."""
    try:
        found = json.loads(path.read_bytes())
    except (OSError, ValueError):
        return []
    return [entry for entry in found if isinstance(entry, dict)] if isinstance(found, list) else []
