"""What the forms ask for: each key of the kitchen's files with the sort of field it is filled in with.

Meanings and examples are those of :mod:`labeller.reading.keys`; the words to choose from are the reader's own.
"""

from __future__ import annotations

from typing import NamedTuple

from labeller.reading.house_file import LAWS, MEASURES, NATIONS
from labeller.reading.keys import keys_of
from labeller.reading.products import EVIDENCE_KINDS
from labeller.reading.recipes import LINES_KEY, SOLD

# Sorts: text · long (several lines of typing, one text) · names (one a line) · pairs (name: value, one a line) · yes · choice ·
# date · parts (a mapping) · rows (a list of mappings) · lines · courses · shares (one word, or words with shares) · equipment
LINE_KEYS = (
    "amount",
    "about",
    "trim",
    "trim becomes",
    "kept",
    "cooked as",
    "cooked weight",
    "weighed",
    "food",
    "instead",
    "leave off",
    "note",
)
EXTRA_ROWS = {"lines": 4, "courses": 2, "rows": 1}


class Field(NamedTuple):
    """key: as in the file. parts: for sorts that hold others. choices: words to choose from. known: list of words to offer."""

    key: str
    sort: str = "text"
    parts: tuple[Field, ...] = ()
    choices: tuple[str, ...] = ()
    known: str = ""
    meaning: str = ""
    example: str = ""


class Group(NamedTuple):
    """Fields under one heading. folded: shown closed while none of them is filled in."""

    title: str
    fields: tuple[Field, ...]
    folded: bool = False


def _field(kind: str, key: str, sort: str = "text", **more: object) -> Field:
    about = next(each for each in keys_of(kind) if each.key == key)
    return Field(key, sort, meaning=about.meaning, example=about.example, **more)  # type: ignore[arg-type]


def _parts(kind: str, **sorts: str) -> tuple[Field, ...]:
    return tuple(_field(kind, each.key, sorts.get(each.key.replace(" ", "_"), "text")) for each in keys_of(kind))


def _recipe(kind: str) -> tuple[Group, ...]:
    def one(key: str, sort: str = "text", **more: object) -> Field:
        return _field(kind, key, sort, **more)

    first = [one(kind), one(LINES_KEY[kind], "lines")]
    ready = [one("makes"), one("loss", "shares"), one("method", known="methods"), one("serves"), one("density")]
    weight = (
        one("poured off", "rows", parts=_parts("poured off", lines="names")),
        one("coated in", "parts", parts=_parts("coated in", lines="names")),
        one("fried in", "parts", parts=_parts("fried in")),
        one("water change"),
        one("fat change"),
        one("reduced to"),
        one("alcohol stays"),
    )
    shared = (
        one("equipment", "equipment"),
        one("equipment order"),
        one("cleaned between", "yes"),
        one("water used twice", "yes"),
        one("same batch as", "names"),
    )
    groups = [
        Group("", tuple(first)),
        Group("When it is ready", tuple(ready), kind == "pack"),
        Group("Where weight goes on the way", weight, True),
        Group("Shared equipment", shared, kind == "pack"),
    ]
    if kind != "recipe":
        groups.append(
            Group(
                "How it is sold",
                (
                    one("sold", "choice", choices=SOLD),
                    one("show nutrition", "yes"),
                    one("show percentage of", "names"),
                    one("may contain", "names"),
                    one("risk assessed"),
                    one("us reference amount"),
                ),
                kind == "dish",
            )
        )
    if kind == "pack":
        groups.append(
            Group(
                "On the pack",
                (
                    one("shelf life", "parts", parts=_parts("shelf life")),
                    one("net weight", "parts", parts=_parts("net weight")),
                    one("net volume", "parts", parts=_parts("net volume")),
                    one("drink", "yes"),
                    one("alcohol"),
                    one("store"),
                    one("instructions", "long"),
                    one("origin"),
                    one("also state", "names"),
                ),
            )
        )
    names = Group(
        "Names and words",
        (one("also called", "names"), one("label name"), one("description"), one("also", "pairs")),
        True,
    )
    return (*groups, names)


_PRODUCT = (
    Group(
        "",
        (
            _field("product", "product"),
            _field("product", "supplier"),
            _field("product", "ingredients on pack", "long"),
            _field("product", "contains", "names", known="kinds"),
            _field("product", "may contain", "names", known="kinds"),
            _field(
                "product",
                "evidence",
                "parts",
                parts=(
                    _field("evidence", "kind", "choice", choices=EVIDENCE_KINDS),
                    _field("evidence", "checked", "date"),
                    _field("evidence", "by"),
                    _field("evidence", "pack code"),
                ),
            ),
        ),
    ),
    Group("Recall or alert", (_field("product", "recall", "long"),), True),
    Group(
        "Figures of the label, per 100 g",
        (
            _field(
                "product",
                "nutrition per 100 g",
                "parts",
                parts=tuple(
                    _field(
                        "nutrition",
                        each.key,
                        "choice" if each.key == "basis" else "text",
                        **({"choices": ("eu", "us")} if each.key == "basis" else {}),
                    )
                    for each in keys_of("nutrition")
                ),
            ),
        ),
        True,
    ),
    Group(
        "Weights and measures",
        (
            _field("product", "food"),
            _field("product", "density"),
            _field("product", "one piece weighs", "pairs"),
            _field("product", "alcohol"),
        ),
        True,
    ),
    Group(
        "Names and words",
        (
            _field("product", "also called", "names"),
            _field("product", "label name"),
            _field("product", "sulphites"),
            _field("product", "gluten"),
            _field("product", "refined", "yes"),
            _field("product", "also", "pairs"),
        ),
        True,
    ),
)

GROUPS: dict[str, tuple[Group, ...]] = {
    "recipe": _recipe("recipe"),
    "dish": _recipe("dish"),
    "pack": _recipe("pack"),
    "product": _PRODUCT,
    "menu": (
        Group(
            "",
            (
                _field("menu", "menu"),
                _field("menu", "from", "date"),
                _field("menu", "until", "date"),
                _field("menu", "courses", "courses"),
                _field("menu", "packs", "names", known="dishes"),
            ),
        ),
    ),
    "batch": (
        Group(
            "",
            (
                _field("batch", "batch"),
                _field("batch", "makes", known="dishes"),
                _field("batch", "date", "date"),
                _field("batch", "count"),
                _field("batch", "lot"),
                _field("batch", "made by"),
                _field("batch", "frozen on", "date"),
                _field("batch", "lots", "pairs"),
                _field("batch", "substitutes", "pairs"),
            ),
        ),
    ),
    "kitchen": (
        Group(
            "",
            (
                _field("kitchen", "kitchen"),
                _field("kitchen", "address"),
                _field("kitchen", "law", "choice", choices=LAWS),
                _field("kitchen", "nation", "choice", choices=NATIONS),
                _field("kitchen", "measures", "choice", choices=MEASURES),
                _field("kitchen", "show nutrition", "yes"),
                _field("kitchen", "web"),
                _field("kitchen", "languages", "names"),
            ),
        ),
        Group(
            "Shared equipment",
            (
                _field(
                    "kitchen",
                    "equipment",
                    "named rows",
                    parts=(
                        _field("equipment", "oil changed", "date"),
                        _field("equipment", "water changed", "date"),
                        _field("equipment", "also cooks", "names"),
                        _field("equipment", "cleaned between", "yes"),
                    ),
                ),
            ),
        ),
        Group("Label stock", (_field("kitchen", "label sheets", "named values"),)),
    ),
}
LINE_FIELDS = tuple(
    _field(
        "line",
        key,
        {"weighed": "choice", "leave off": "yes"}.get(key, "text"),
        **({"choices": ("edible", "as bought")} if key == "weighed" else {}),
    )
    for key in dict.fromkeys((*LINE_KEYS, *(each.key for each in keys_of("line"))))
)


def _rest(kind: str, groups: tuple[Group, ...]) -> tuple[Group, ...]:
    """Keys that the reader knows and no group names yet come last, by the look of their example."""
    named = {field.key for group in groups for field in group.fields}
    rest = tuple(_by_look(kind, each.key, each.example) for each in keys_of(kind) if each.key not in named)
    return (*groups, Group("More", rest, True)) if rest else groups


def _by_look(kind: str, key: str, example: str) -> Field:
    return _field(kind, key, "parts", parts=_parts(key)) if keys_of(key) else _field(kind, key, _sort_of(example))


def _sort_of(example: str) -> str:
    return (
        "names"
        if example.startswith("[")
        else "pairs"
        if example.startswith("{")
        else "yes"
        if example in ("yes", "no")
        else "text"
    )


GROUPS = {kind: _rest(kind, groups) for kind, groups in GROUPS.items()}


def fields_of(kind: str) -> tuple[Field, ...]:
    return tuple(field for group in GROUPS[kind] for field in group.fields)
