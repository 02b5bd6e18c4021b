"""Changes the kitchen's files for a page or a program: one entry at a time, whole or not at all, with a way back.

A file is changed only when it is still the one that was read (its checksum is carried along), only when the kitchen's reader
takes the result without a new *stop*, and only after a copy was kept in ``.undo/``. Nothing is ever half-written: a file is
written beside and renamed.
"""

from __future__ import annotations

import hashlib
import json
import re
import shutil
import tempfile
from collections import Counter
from pathlib import Path
from typing import NamedTuple

import yaml

from labeller.reading import asked_lines
from labeller.reading import kitchen_splice as splice
from labeller.reading.kitchen import FOLDER_OF, read_kitchen
from labeller.reading.whole_file import write_new, write_whole
from labeller.terms.findings import STOP, Finding, Place, finding
from labeller.terms.words import fold

UNDO = ".undo"
KEPT = 50  # copies; the oldest go first
_FILE = re.compile(r"(?:kitchen|matches)\.ya?ml|(?:products|recipes|menus|batches)(?:/(?![._~])[^/\\\0]+)+\.ya?ml")


class Written(NamedTuple):
    """An entry as it stands in a file. fields: key in lower case -> plain value, its own name first. checksum: of the file."""

    kind: str
    name: str
    file: str
    line: int
    checksum: str
    fields: dict


class Saved(NamedTuple):
    """written: whether the file was changed. findings: why not. beside: key of the entry (and for a line ``key:number`` from
    0) -> the findings that stand at it."""

    written: bool
    file: str
    findings: tuple[Finding, ...] = ()
    beside: dict[str, tuple[Finding, ...]] = {}


class Kept(NamedTuple):
    """A change that can be taken back. before: "" when the file was not there. together: number of the first of those that are
    taken back with it, "" for one that stands alone."""

    number: int
    file: str
    what: str
    when: str
    before: str
    after: str
    together: str = ""


def checksum(folder: Path, file: str) -> str:
    """SHA-256 of a kitchen file in hex digits, "" when there is none. Raises OSError when it can't be read."""
    path = folder / file
    return _sum(path.read_bytes()) if path.exists() else ""


def _sum(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def entry(folder: Path, file: str, kind: str, name: str) -> Written | None:
    """The entry ``kind: name`` of a file as typed, None where it is not there (or could not be read)."""
    try:
        data = _path(folder, file).read_bytes()
    except (OSError, ValueError):
        return None
    node = splice.find(splice.pages(data, file), kind, name)
    if node is None:
        return None
    fields = {" ".join(str(left.value).split()).lower(): splice.plain(right) for left, right in node.value}
    own = {kind: fields.pop(kind)}
    return Written(kind, name, file, node.start_mark.line + 1, _sum(data), own | fields)


def put(
    folder: Path,
    file: str,
    seen: str,
    kind: str,
    name: str,
    fields: dict | None,
    *,
    when: str,
    settled: frozenset[str] = frozenset(),
) -> Saved:
    """Change the entry ``kind: name`` so that it reads ``fields`` (the first key is the kind); name "": a new entry at the end
    of the file, which is made where it is not there; fields None: the entry is taken out. seen: checksum of the file when it
    was shown. when: date and time, for the list of copies. settled: lines (``key:number``, "" for the entry) of which a person
    said that what an import asked about them is settled."""
    what = f'{"take out" if fields is None else "change" if name else "add"} {kind} "{name or fields[kind]}"'
    try:
        path = _path(folder, file)
        data = path.read_bytes() if path.exists() else b""
    except (OSError, ValueError) as problem:
        return Saved(False, file, (_no_place(file, problem),))
    if seen != (_sum(data) if path.exists() else ""):
        return Saved(False, file, (_underneath(file),))
    try:
        new = _edited(_settled(data, file, kind, name, fields, settled), file, kind, name, fields)
    except splice.NotSpliced as problem:
        which = f'{kind} "{name}"' if name else f"a new {kind}"
        text = f"{which} can't be written to {file} here: {problem}"
        return Saved(
            False,
            file,
            (finding("edit-not-clean", Place(file), text, f"change it in {file} with a text editor", name),),
        )
    if new == data:
        return Saved(True, file)
    return put_bytes(folder, file, seen, new, what, when=when, entry_of=(kind, fields[kind]) if fields else None)


def put_bytes(
    folder: Path, file: str, seen: str, new: bytes, what: str, *, when: str, entry_of: tuple[str, str] | None = None
) -> Saved:
    """Put a whole new text in the place of a file, under the same conditions."""
    fresh = new_stops(folder, file, new)
    if fresh:
        return Saved(False, file, fresh, beside(new, file, *entry_of, fresh) if entry_of else {})
    try:
        path = _path(folder, file)
        old = path.read_bytes() if path.exists() else None
        if seen != (_sum(old) if old is not None else ""):
            return Saved(False, file, (_underneath(file),))
        _keep(folder, file, old, new, what, when)
        _write(path, new)
    except (OSError, ValueError) as problem:
        return Saved(False, file, (_no_place(file, problem),))
    return Saved(True, file)


def text(folder: Path, file: str) -> tuple[str, str] | None:
    """(text with plain line ends, checksum) of a kitchen file; None where there is none, or it is no text."""
    try:
        data = _path(folder, file).read_bytes()
        return data.decode("utf-8-sig").replace("\r\n", "\n"), _sum(data)
    except (OSError, ValueError):
        return None


def put_text(folder: Path, file: str, seen: str, new: str, *, when: str) -> Saved:
    """Put a text typed by hand in the place of a file, with the line ends and the mark that the file had."""
    try:
        path = _path(folder, file)
        old = path.read_bytes() if path.exists() else b""
    except (OSError, ValueError) as problem:
        return Saved(False, file, (_no_place(file, problem),))
    body = new.replace("\r\n", "\n").rstrip("\n") + "\n"
    body = body.replace("\n", "\r\n") if b"\r\n" in old else body
    data = (b"\xef\xbb\xbf" if old.startswith(b"\xef\xbb\xbf") else b"") + body.encode("utf-8")
    if data == old:
        return Saved(True, file)
    return put_bytes(folder, file, seen, data, f"change the text of {file}", when=when)


def _path(folder: Path, file: str) -> Path:
    """The path of a kitchen file; ValueError for a name that is none, or that leads out of the folder."""
    if not _FILE.fullmatch(file) or ".." in file.split("/"):
        raise ValueError(f'"{file}" is no file of a kitchen')
    path = (folder / file).resolve()
    if not path.is_relative_to(folder.resolve()):
        raise ValueError(f'"{file}" leads out of the kitchen\'s folder')
    return path


def _no_place(file: str, problem: Exception) -> Finding:
    why = getattr(problem, "strerror", None) or str(problem)
    return finding(
        "edit-no-place",
        Place(file),
        f"{file} can't be written: {why}",
        "look at the rights of the folder and the room on the disk",
    )


def _underneath(file: str) -> Finding:
    return finding(
        "edit-changed-underneath",
        Place(file),
        f"{file} has been changed by somebody else since this page was made; nothing was written",
        "open the page again, look at what is there now, and make the change once more",
    )


def _settled(data: bytes, file: str, kind: str, name: str, fields: dict | None, settled: frozenset[str]) -> bytes:
    """The file without the questions that the change answers: about lines that it alters or takes out, and those ``settled``."""
    node = splice.find(splice.pages(data, file), kind, name) if name and fields is not None else None
    if node is None:
        return data
    now = {str(left.value).lower(): splice.plain(right) for left, right in node.value}

    def answered(key: str) -> bool:
        field, _, number = key.partition(":")
        return key in settled or bool(number) and now[field][int(number)] not in (fields.get(field) or ())

    asked = asked_lines.at_keys(data, node)
    return asked_lines.without(data, [each for key, many in asked.items() if answered(key) for each in many])


def asked_of(folder: Path, file: str, kind: str, name: str) -> dict[str, tuple[asked_lines.Asked, ...]]:
    """What an import has asked of an entry and nobody has settled: ``key:number`` of a line, "" for the entry -> its remarks."""
    try:
        data = _path(folder, file).read_bytes()
    except (OSError, ValueError):
        return {}
    node = splice.find(splice.pages(data, file), kind, name)
    return asked_lines.at_keys(data, node) if node is not None else {}


def _edited(data: bytes, file: str, kind: str, name: str, fields: dict | None) -> bytes:
    """The bytes of the file with the change, and nothing else changed: checked on the nodes before it is given back."""
    text = data.decode("utf-8-sig")
    mark, line_end = ("\ufeff" if data.startswith(b"\xef\xbb\xbf") else ""), ("\r\n" if "\r\n" in text else "\n")
    page = splice.pages(data, file)
    lines = text.replace("\r\n", "\n").split("\n")
    node = splice.find(page, kind, name) if name else None
    if name and node is None:
        raise splice.NotSpliced("it is not there any more")
    if name and fields is not None:
        out = splice.changed(lines, node, fields)
    elif name:
        out = splice.without(lines, node)
    else:
        out = splice.added([*lines], page, fields or {})
    new = line_end.join(out)
    made = (mark + (new if new.endswith(line_end) or not new else new + line_end)).encode("utf-8")
    _only_this(page, splice.pages(made, file), node, kind, fields)
    return made


def _only_this(before, after, node: yaml.Node | None, kind: str, fields: dict | None) -> None:
    wanted = [splice.plain(one) if one is not node else None for one in splice.entries(before)]
    if fields is None:
        wanted.remove(None)
    elif node is None:
        wanted.append(None)
    found = [splice.plain(one) for one in splice.entries(after)]
    if len(found) != len(wanted) or len(after.broken) != len(before.broken):
        raise splice.NotSpliced("the entries around it would change")
    for want, got in zip(wanted, found, strict=True):
        low = {key.lower(): value for key, value in got.items()} if want is None else got
        if low != (want if want is not None else fields):
            raise splice.NotSpliced(
                "it would not read as it was typed" if want is None else "the entries around it would change"
            )


# The reader's word -----------------------------------------------------------------------------------------------------


def new_stops(folder: Path, file: str, new: bytes) -> tuple[Finding, ...]:
    """Findings of weight *stop* that the kitchen's reader would have after a change and has not now."""
    kitchen, before = read_kitchen(folder)
    with tempfile.TemporaryDirectory(prefix="labeller-") as name:
        aside = Path(name) / folder.resolve().name
        aside.mkdir()
        for each in kitchen.files if kitchen else ():
            (aside / each).parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(folder / each, aside / each)
        (aside / file).parent.mkdir(parents=True, exist_ok=True)
        (aside / file).write_bytes(new)
        _, after = read_kitchen(aside)
    known = Counter(_worded(each) for each in before)
    fresh = []
    for each in after:
        known[_worded(each)] -= 1
        if each.severity == STOP and known[_worded(each)] < 0:
            fresh.append(each)
    return tuple(fresh)


def _worded(each: Finding) -> tuple[str, str, str]:
    """A finding without its line numbers, which a change above it moves."""
    return each.code, each.subject, re.sub(r"(?<=:)\d+|(?<=line )\d+", "", each.text)


def beside(
    data: bytes, file: str, kind: str, name: str, findings: tuple[Finding, ...]
) -> dict[str, tuple[Finding, ...]]:
    """Which findings stand at which key of an entry; a line of a list is ``key:number``."""
    node = splice.find(splice.pages(data, file), kind, name)
    found: dict[str, list[Finding]] = {}
    for each in findings if node is not None else ():
        if each.place.file == file:
            found.setdefault(_key_at(node, each.place.line - 1), []).append(each)
    return {key: tuple(each) for key, each in found.items() if key}


def _key_at(node: yaml.MappingNode, line: int) -> str:
    key = ""
    for left, right in node.value:
        if left.start_mark.line > line:
            break
        key = " ".join(str(left.value).split()).lower()
        if isinstance(right, yaml.SequenceNode):
            at = [number for number, item in enumerate(right.value) if item.start_mark.line <= line]
            key = f"{key}:{at[-1]}" if at and line > left.start_mark.line else key
    return key if line >= node.start_mark.line else ""


# Copies ----------------------------------------------------------------------------------------------------------------


def _keep(folder: Path, file: str, old: bytes | None, new: bytes, what: str, when: str) -> None:
    """Keep what a file was; the oldest copies go."""
    known = kept(folder)
    _note(folder, _next(known), file, old, new, what, when)
    _trim(folder, known)


def _next(known: tuple[Kept, ...]) -> int:
    return max((each.number for each in known), default=0) + 1


def _note(folder: Path, number: int, file: str, old: bytes | None, new: bytes, what: str, when: str, together: str = "") -> None:
    """One copy. The note that makes it count is written last, before the file itself."""
    place = folder / UNDO
    place.mkdir(exist_ok=True)
    if old is not None:
        _write(place / f"{number:06} {file.replace('/', ' ')}", old)
    note = {
        "file": file,
        "what": what,
        "when": when,
        "before": _sum(old) if old is not None else "",
        "after": _sum(new),
        **({"together": together} if together else {}),
    }
    _write(place / f"{number:06}.json", json.dumps(note, ensure_ascii=False, indent=1).encode("utf-8"))


def _trim(folder: Path, known: tuple[Kept, ...]) -> None:
    """Forget the oldest changes, so that with a new one KEPT are left; what was made together is one change."""
    changes = list(dict.fromkeys(each.together or str(each.number) for each in known))
    gone = set(changes[: max(0, len(changes) + 1 - KEPT)])
    for each in known:
        if (each.together or str(each.number)) in gone:
            _forget(folder, each.number)


def _forget(folder: Path, number: int) -> None:
    for path in [folder / UNDO / f"{number:06}.json", *sorted((folder / UNDO).glob(f"{number:06} *"))]:
        path.unlink(missing_ok=True)


def kept(folder: Path) -> tuple[Kept, ...]:
    """Changes that can be taken back, the latest last."""
    found = []
    for path in sorted((folder / UNDO).glob("[0-9]*.json")) if (folder / UNDO).is_dir() else ():
        try:
            note = json.loads(path.read_text(encoding="utf-8"))
            words = [str(note[key]) for key in ("file", "what", "when", "before", "after")]
            found.append(Kept(int(path.stem), *words, str(note.get("together", ""))))
        except (OSError, ValueError, KeyError, TypeError):
            continue
    return tuple(found)


def undo(folder: Path) -> tuple[Kept | None, tuple[Finding, ...]]:
    """Take the latest change back, with all that was made together with it. Returns (it, ()), or (None, findings) when there is
    none or a file was changed since."""
    for each in reversed(kept(folder)):
        group = [one for one in kept(folder) if one.together == each.together] if each.together else [each]
        try:
            reached = [one for one in group if checksum(folder, one.file) != one.before]  # the others never reached their file
            touched = next((one for one in reached if checksum(folder, one.file) != one.after), None)
            if touched is not None:
                return None, (_underneath(touched.file),)
            back = [_taken_back(folder, one) for one in reached]
            for one in reversed(group):
                _forget(folder, one.number)
            if any(back):
                return each, ()
        except (OSError, ValueError) as problem:
            return None, (_no_place(each.file, problem),)
    return None, (
        finding(
            "nothing-to-undo",
            Place(UNDO),
            "there is no change to take back",
            "changes made in a text editor are not kept here",
        ),
    )


def _taken_back(folder: Path, each: Kept) -> bool:
    """Whether the file is what it was before the change; a copy that is damaged is not put back."""
    path = _path(folder, each.file)
    if not each.before:
        path.unlink()
        return True
    copy = next(iter(sorted((folder / UNDO).glob(f"{each.number:06} *"))), None)
    if copy is None or _sum(copy.read_bytes()) != each.before:
        return False
    _write(path, copy.read_bytes())
    return True


# New files --------------------------------------------------------------------------------------------------------------


def add_files(folder: Path, files: dict[str, bytes], what: str, *, when: str) -> Saved:
    """Several new files, all or none of them, never in the place of one that is there; taken back together."""
    made: list[Path] = []
    notes: list[int] = []
    first = file = next(iter(files), "")
    try:
        known = kept(folder)
        start = _next(known)
        for number, (file, data) in enumerate(files.items(), start):
            path = _path(folder, file)
            path.parent.mkdir(parents=True, exist_ok=True)
            notes.append(number)
            _note(folder, number, file, None, data, what, when, str(start))
            made.append(write_new(path, data))
    except (OSError, ValueError) as problem:
        for path in made:
            path.unlink(missing_ok=True)
        for number in notes:
            _forget(folder, number)
        return Saved(False, file, (_no_place(file, problem),))
    _trim(folder, known)
    return Saved(True, first)


def _write(path: Path, data: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    write_whole(path, data)


def file_for(folder: Path, kind: str, files: tuple[str, ...], name: str) -> tuple[str, ...]:
    """Files a new entry may go to, the likeliest first: those of its folder that are lists of entries, and one of its own name.
    Menus and batches have files of their own."""
    place = FOLDER_OF[kind]
    stem = f"{place}/{re.sub(r'[^a-z0-9]+', '_', fold(name)).strip('_')[:40] or kind}"
    own = next(
        file for nr in range(1, 1000) if not (folder / (file := f"{stem}{f'_{nr}' if nr > 1 else ''}.yaml")).exists()
    )
    lists = [file for file in files if file.startswith(f"{place}/") and _takes_more(folder, file)]
    return (own, *lists) if kind in ("menu", "batch") else (*lists, own)


def _takes_more(folder: Path, file: str) -> bool:
    try:
        page = splice.pages((folder / file).read_bytes(), file)
        splice.added([""], page, {"": ""})
    except (OSError, splice.NotSpliced):
        return False
    return not page.broken
