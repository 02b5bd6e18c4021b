"""JSON Schema (draft 2020-12) of the kitchen's files, made from :mod:`labeller.reading.keys`: editors complete and underline.

The schema knows keys, the shape of what stands behind them, and words to choose from. What an amount or a share may say is the
reader's to judge. Like the reader it takes keys and words in any case of letters.
"""

from __future__ import annotations

from typing import Any

from labeller.reading.house_file import LAWS, MEASURES, NATIONS
from labeller.reading.keys import KNOWN, Key, keys_of
from labeller.reading.products import EVIDENCE_KINDS
from labeller.reading.recipes import LINES_KEY, LOSS_KINDS, SOLD

Schema = dict[str, Any]
DRAFT = "https://json-schema.org/draft/2020-12/schema"
FILES = {
    "kitchen.yaml": "kitchen",
    "products": "products",
    "recipes": "recipes",
    "menus": "menus",
    "batches": "batches",
    "matches.yaml": "matches",
}
ENTRIES = {
    "products": ("product",),
    "recipes": ("recipe", "dish", "pack"),
    "menus": ("menu",),
    "batches": ("batch",),
    "matches": ("match",),
}
FIRST = {"match": "ingredient"}  # the key that names an entry, where it is not the kind itself
TEXT: Schema = {"type": ["string", "number", "boolean"]}
TEXTS: Schema = {"anyOf": [TEXT, {"type": "array", "items": TEXT}]}
PAIRS: Schema = {"type": "object", "additionalProperties": TEXT, "minProperties": 1}
_NAMES = frozenset(
    (
        "also called",
        "may contain",
        "contains",
        "equipment",
        "same batch as",
        "show percentage of",
        "declare also",
        "also state",
        "lines",
        "choice",
        "languages",
        "also cooks",
    )
)
_PAIRS = frozenset(("also", "lots", "substitutes"))
_INNER = {
    "poured off": "poured off",
    "coated in": "coated in",
    "shelf life": "shelf life",
    "evidence": "evidence",
    "nutrition per 100 g": "nutrition",
}
_CHOICES: dict[tuple[str, str], tuple[str, ...]] = {
    ("kitchen", "law"): LAWS,
    ("kitchen", "nation"): NATIONS,
    ("kitchen", "measures"): MEASURES,
    ("evidence", "kind"): EVIDENCE_KINDS,
    ("nutrition", "basis"): ("eu", "us"),
    ("line", "weighed"): ("edible", "as bought"),
    ("shelf life", "from"): ("packing", "cooking"),
    ("dish", "sold"): SOLD,
    ("pack", "sold"): SOLD,
}


def schemas() -> dict[str, Schema]:
    """Name of the file ("recipes.schema.json") -> schema of that kind of file."""
    return {f"{name}.schema.json": _file(name) for name in FILES.values()}


def remark_for(name: str, where: str = "../schema") -> str:
    """The first line of a kitchen's file that tells an editor its schema."""
    return f"# yaml-language-server: $schema={where}/{name}.schema.json"


def _file(name: str) -> Schema:
    kinds = ENTRIES.get(name, (name,))
    head = {"$schema": DRAFT, "title": f"{name} of a kitchen"}
    entries: Schema = {"anyOf": [_ref(kind) for kind in kinds]} if len(kinds) > 1 else _ref(kinds[0])
    body = entries if name == "kitchen" else {"anyOf": [{"type": "array", "items": entries}, entries]}
    return {**head, **body, "$defs": {kind.replace(" ", "_"): _mapping(kind) for kind in _reached(kinds)}}


def _ref(kind: str) -> Schema:
    return {"$ref": f"#/$defs/{kind.replace(' ', '_')}"}


def _reached(kinds: tuple[str, ...]) -> dict[str, None]:
    """The kinds of mappings that can stand in these entries, themselves first, under the names of $defs."""
    found: dict[str, None] = {}
    ahead = list(kinds)
    while ahead:
        kind = ahead.pop(0)
        if kind not in found:
            found[kind] = None
            ahead += [inner for key in keys_of(kind) for inner in _inner_kinds(key)]
    return found


def _inner_kinds(key: Key) -> tuple[str, ...]:
    if key.key in _INNER:
        return (_INNER[key.key],)
    if key.key in LINES_KEY.values() and key.kind in LINES_KEY:
        return ("line",)
    return {
        "fried in": ("fried in",),
        "net weight": ("net weight",),
        "net volume": ("net volume",),
        "courses": ("course",),
        "equipment": ("equipment",) if key.kind == "kitchen" else (),
    }.get(key.key, ())


def _mapping(kind: str) -> Schema:
    """A mapping of a kind: each of its keys, and nothing else."""
    keys = keys_of(kind)
    made: Schema = {
        "type": "object",
        "properties": {key.key: _described(key) for key in keys},
        "patternProperties": {_any_case(key.key): _value(key) for key in keys},
        "additionalProperties": False,
    }
    first = FIRST.get(kind, kind)
    if first in KNOWN[kind] and kind not in ("course", "kitchen"):
        other_case = {"not": {"propertyNames": {"not": {"pattern": _any_case(first)}}}}  # some key is that word in other letters
        made |= {"anyOf": [{"required": [first]}, {"minProperties": 1, **other_case}]}
    return made


def _described(key: Key) -> Schema:
    told: Schema = {"description": f"{key.meaning}. Example: {key.example}" if key.meaning else f"Example: {key.example}"}
    return {**told, **_value(key)}


def _value(key: Key) -> Schema:
    """The shape of what may stand behind a key."""
    special = _special(key)
    if special is not None:
        return special
    if key.key in _INNER:
        inner = _ref(_INNER[key.key])
        return {"anyOf": [inner, {"type": "array", "items": inner}]} if key.key == "poured off" else inner
    if key.key in _PAIRS:
        return PAIRS
    return TEXTS if key.key in _NAMES else TEXT


def _special(key: Key) -> Schema | None:
    if (key.kind, key.key) in _CHOICES:
        return _one_of(_CHOICES[key.kind, key.key])
    if key.kind in LINES_KEY and key.key == LINES_KEY[key.kind]:
        return {"type": "array", "items": {"anyOf": [TEXT, _single({"anyOf": [TEXT, {"type": "null"}, _ref("line")]})]}}
    if key.key == "loss":
        shares = {
            "type": "object",
            "patternProperties": {_any_case(kind): TEXT for kind in LOSS_KINDS},
            "additionalProperties": False,
        }
        return {"anyOf": [_one_of(LOSS_KINDS), shares, {"type": "array", "items": shares}]}
    if key.key in ("fried in", "net weight", "net volume"):
        return {"anyOf": [_ref(key.key), TEXT]}
    if key.key == "one piece weighs":
        return {"anyOf": [TEXT, PAIRS]}
    if key.kind == "kitchen" and key.key in ("equipment", "label sheets"):
        return _named(_ref("equipment") if key.key == "equipment" else TEXT, nothing=key.key == "equipment")
    if key.key == "courses":
        return {"type": "array", "items": {"anyOf": [TEXT, _ref("course")]}}
    if key.kind == "menu" and key.key == "packs":
        return {"type": "array", "items": TEXT}
    return TEXTS if (key.kind, key.key) == ("course", "dish") else None


def _single(value: Schema) -> Schema:
    return {"type": "object", "minProperties": 1, "maxProperties": 1, "additionalProperties": value}


def _named(value: Schema, nothing: bool) -> Schema:
    """A list of names with their parts ("- deep fryer: {…}"), a mapping of them, or bare names."""
    part = {"anyOf": [value, {"type": "null"}]} if nothing else value
    mapping = {"type": "object", "additionalProperties": part}
    items: Schema = {"anyOf": [mapping, TEXT]} if nothing else mapping
    return {"anyOf": [{"type": "array", "items": items}, mapping, *([TEXT] if nothing else [])]}


def _one_of(words: tuple[str, ...]) -> Schema:
    """Words to choose from, for completion; the same in other letters is taken too."""
    return {"anyOf": [{"enum": list(words)}, {"type": "string", "pattern": "|".join(_any_case(word) for word in words)}]}


def _any_case(word: str) -> str:
    """A pattern for a key or word with letters in any case and spaces of any number."""
    spelled = "".join(
        f"[{char.lower()}{char.upper()}]" if char.isalpha() else r"[\s_]+" if char == " " else _literal(char) for char in word
    )
    return rf"^\s*{spelled}\s*$"


def _literal(char: str) -> str:
    return char if char.isalnum() else f"\\{char}"
