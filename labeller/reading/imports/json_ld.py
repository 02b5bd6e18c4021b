"""Recipes as schema.org describes them (https://schema.org/Recipe): JSON-LD in a file, or in the scripts of a web page."""

from __future__ import annotations

import html
import json
import re
from collections.abc import Iterator
from html.parser import HTMLParser

from labeller.reading.imports.found import FoundLine, FoundRecipe, yield_fields
from labeller.reading.imports.pasted import Known, read_line
from labeller.terms.findings import Finding, Place, finding

DEEPEST = 40
TAKEN = frozenset(
    (
        "@context",
        "@type",
        "@id",
        "name",
        "description",
        "recipeIngredient",
        "ingredients",
        "recipeYield",
        "yield",
        "recipeInstructions",
        "author",
        "url",
    )
)
_TAG = r"<[^<>]*>"
Texts = tuple[tuple[str, Place], ...]


def texts_of_page(page: str, file: str) -> Texts:
    """The JSON-LD scripts of a web page, with the lines where they begin."""
    scripts = _Scripts(file)
    scripts.feed(page)
    scripts.close()
    return tuple(scripts.found)


class _Scripts(HTMLParser):
    def __init__(self, file: str) -> None:
        super().__init__(convert_charrefs=True)
        self.file, self.inside, self.found = file, False, []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        kind = (dict(attrs).get("type") or "").split(";")[0].strip().lower()
        if tag == "script" and kind == "application/ld+json":
            self.inside = True
            self.found.append(("", Place(self.file, self.getpos()[0])))

    def handle_endtag(self, tag: str) -> None:
        self.inside = self.inside and tag != "script"

    def handle_data(self, data: str) -> None:
        if self.inside:
            text, place = self.found[-1]
            self.found[-1] = (text + data, place)


def read_json_ld(texts: Texts, known: Known, kind: str = "recipe") -> tuple[tuple[FoundRecipe, ...], tuple[Finding, ...]]:
    """All recipes of these texts, each once. Never raises."""
    found: dict[str, FoundRecipe] = {}
    findings: list[Finding] = []
    for text, place in texts:
        bare = re.sub(r"^\s*(?:<!--|//\s*<!\[CDATA\[|<!\[CDATA\[)|(?:-->|//\s*\]\]>|\]\]>)\s*$", "", text.strip()).strip()
        try:
            value = json.loads(bare, strict=False)  # line ends within texts are common
        except (ValueError, RecursionError) as problem:
            line = place.line + getattr(problem, "lineno", 1) - 1
            what = getattr(problem, "msg", "nested too deep")
            findings.append(
                finding(
                    "import-not-readable",
                    Place(place.file, line),
                    f"this JSON can't be read: {what}",
                    "save the page or the file again; JSON wants quotes and commas",
                )
            )
            continue
        for node in _recipes(value):
            one = _recipe(node, known, place, kind)
            found.setdefault(f"{one.name} {[line.stood for line in one.lines]}", one)
    return tuple(found.values()), tuple(findings)


def _recipes(value: object, depth: int = 0) -> Iterator[dict]:
    """Every node of type Recipe, wherever it stands."""
    if depth > DEEPEST:
        return
    if isinstance(value, list):
        for each in value:
            yield from _recipes(each, depth + 1)
    elif isinstance(value, dict):
        if "Recipe" in _types(value):
            yield value
            return
        for each in value.values():
            yield from _recipes(each, depth + 1)


def _types(node: dict) -> list[str]:
    kinds = node.get("@type", node.get("type", []))
    kinds = kinds if isinstance(kinds, list) else [kinds]
    return [re.split(r"[/:#]", kind)[-1] for kind in kinds if isinstance(kind, str)]


def _recipe(node: dict, known: Known, place: Place, kind: str) -> FoundRecipe:
    lines, asked = _lines(node, known, place)
    fields: dict[str, object] = {}
    description = _text(node.get("description"))
    if description:
        fields["description"] = description
    pairs, question = _yield(node.get("recipeYield", node.get("yield")))
    fields.update(pairs)
    asked += [question] if question else []
    remarks = [f"{label}: {text}" for label, key in (("by", "author"), ("from", "url")) if (text := _text(node.get(key)))]
    steps = list(_steps(node.get("recipeInstructions")))
    left = sorted(key for key, value in node.items() if key not in TAKEN and value not in (None, "", [], {}))
    remarks += [f"{key}: {text[:300]}" for key in left if (text := _text(node[key]))]
    untold = [key for key in left if not _text(node[key])]
    remarks += [f"not taken: {', '.join(untold)}"] if untold else []
    told = (("the method",) if steps else ()) + tuple(left)
    return FoundRecipe(
        _text(node.get("name")), tuple(lines), place, kind, tuple(fields.items()), (*remarks, *steps), tuple(asked), told
    )


def _text(value: object) -> str:
    """The words of a value: entities and tags undone, of a node its name or text."""
    if isinstance(value, str):
        plain = html.unescape(html.unescape(value))
        return " ".join(re.sub(_TAG, " ", plain).split())
    if isinstance(value, bool) or value is None:
        return ""
    if isinstance(value, (int, float)):
        return f"{value:g}"
    if isinstance(value, dict):
        return next((text for key in ("name", "text", "@value", "value", "url", "@id") if (text := _text(value.get(key)))), "")
    if isinstance(value, list):
        return ", ".join(text for each in value if (text := _text(each)))
    return ""


def _lines(node: dict, known: Known, place: Place) -> tuple[list[FoundLine], list[str]]:
    given = node.get("recipeIngredient", node.get("ingredients", []))
    given = [given] if isinstance(given, (str, dict)) else given if isinstance(given, list) else []
    found: list[FoundLine] = []
    for each in given:
        parts = re.split(r"\s*(?:\n|<br\s*/?>|</li>)\s*", each) if isinstance(each, str) else [_quantity(each)]
        if len(given) == 1 and len(parts) == 1 and isinstance(each, str) and each.count(",") > 2 and ";" in each:
            parts = each.split(";")
        found += [one for part in parts if _text(part) and (one := read_line(_text(part), known, place)) is not None]
    return found, [] if found else ["no ingredients stand in it"]


def _quantity(value: object) -> str:
    """A supply or a property value: its quantity before its name."""
    if not isinstance(value, dict):
        return _text(value)
    quantity = value.get("requiredQuantity", value.get("value", value.get("amount")))
    unit = _text(value.get("unitText"))
    if isinstance(quantity, dict):
        unit = _text(quantity.get("unitText")) or unit
        quantity = quantity.get("value", quantity.get("name"))
    name = _text(value.get("name", value.get("item")))
    return " ".join(part for part in (_text(quantity), unit, name) if part)


def _yield(value: object) -> tuple[tuple[tuple[str, str], ...], str]:
    """The first statement that can be read; the longest one says the most ("4", "4 servings")."""
    if isinstance(value, dict):
        value = " ".join(part for part in (_text(value.get("value")), _text(value.get("unitText"))) if part)
    texts = [_text(each) for each in (value if isinstance(value, list) else [value])]
    texts = sorted((text for text in texts if text), key=len, reverse=True)
    tried = [yield_fields(text) for text in texts]
    return next((each for each in tried if each[0]), tried[0] if tried else ((), ""))


def _steps(value: object, depth: int = 0) -> Iterator[str]:
    if isinstance(value, str):
        for part in re.split(r"\n+|<br\s*/?>|</?(?:li|p|ol|ul)>", value):
            if _text(part):
                yield _text(part)
    elif isinstance(value, list) and depth < DEEPEST:
        for each in value:
            yield from _steps(each, depth + 1)
    elif isinstance(value, dict) and depth < DEEPEST:
        if "itemListElement" in value:
            if _text(value.get("name")):
                yield _text(value["name"])
            yield from _steps(value["itemListElement"], depth + 1)
        else:
            yield from _steps(_text(value.get("text")) or _text(value.get("name")), depth + 1)
