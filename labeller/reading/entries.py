"""One mapping under reading: its keys checked, its values taken as text, everything odd turned into a finding.

An :class:`Entry` belongs to a *subject*, the name of the recipe, product or menu it stands in: findings carry it, so that the
pipeline knows which dishes to stop.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from unicodedata import normalize as unicode_form

import yaml

from labeller.reading.amounts import NUMBER_WORDS, Asked, grams_of, read_amount, tidy
from labeller.reading.keys import KNOWN
from labeller.reading.nodes import Notes, Page, place_of
from labeller.terms.findings import Place
from labeller.terms.kitchen import Amount
from labeller.terms.spans import Span

YES, NO = ("yes", "true", "y", "on"), ("no", "false", "n", "off")
NOTHING = ("", "~", "null")
PLACEHOLDERS = frozenset(
    [
        "ingredient",
        "ingredients",
        "product",
        "recipe",
        "dish",
        "item",
        "name",
        "todo",
        "tbc",
        "tbd",
        "xxx",
        "xx",
        "x",
        "foo",
        "n/a",
        "?",
        "??",
        "...",
        "…",
    ]
)
_PERCENT = re.compile(r"(-?\+?[0-9]+(?:\.[0-9]+)?)(?: ?(?:-|to) ?(-?[0-9]+(?:\.[0-9]+)?))? ?(?:%|percent|per cent)")
_FIGURE = r"([0-9]{1,9}(?:\.[0-9]{1,9})?) ?(.*)"
_DATE = r"[0-9]{4}-[0-9]{2}-[0-9]{2}"
_HASH_IN_NAME = r"\s+#(\S.*|\s*[0-9]+\s*)$"  # "jus #2"; a remark has a space behind #
_HASH_IN_LINE = r"\s+#(\S.*|\s*[0-9]+\s*|.*:\s*[0-9].*)$"  # "jus # 2: 30 g", where an amount has been cut off


# Words of the trade for a key of another name; common practice, no source.
OTHER_WORDS = {
    "drained": "poured off", "strained": "poured off", "drain": "poured off", "yield": "makes", "yields": "makes",
    "portions": "serves", "covers": "serves", "fried": "fried in", "breaded": "coated in", "pane": "coated in",
    "allergens": "contains", "traces": "may contain", "storage": "store", "use by": "shelf life", "best before": "shelf life",
    "weight": "net weight", "volume": "net volume", "reduced": "reduced to", "supplied by": "supplier", "abv": "alcohol",
}  # fmt: skip
OF_PRODUCTS = ("contains", "contain", "allergen", "allergens", "ingredients on pack", "evidence")  # what shows an allergen
GUESS = 0.6  # how alike two keys must be for the one to be offered for the other
GUESS_ALLERGEN = 0.85  # more where a wrong guess would turn "contains" into "may contain"


def clean_name(text: str) -> str:
    """A name as typed, with single spaces and composed letters."""
    text = " ".join(text.split())
    return text if text.isascii() else unicode_form("NFC", text)


_SAYS_NONE = {"contains": "none", "may contain": "none", "equipment": "none shared"}  # a claim that wants its word


def is_nothing(node: yaml.Node) -> bool:
    return isinstance(node, yaml.ScalarNode) and not node.style and node.value in NOTHING


class Entry:
    """A mapping of the cook's. kind: of :mod:`labeller.reading.keys`. fields: key -> value node. title: for texts of findings."""

    __slots__ = ("kind", "subject", "fields", "places", "page", "notes", "place", "title", "meant")

    def __init__(self, kind: str, subject: str, node: yaml.MappingNode, page: Page, notes: Notes, title: str = "") -> None:
        self.kind, self.subject, self.page, self.notes = kind, subject, page, notes
        self.place = place_of(page.file, node)
        self.title = title or f'{kind} "{subject}"'
        self.fields: dict[str, yaml.Node] = {}
        self.meant: set[str] = set()  # keys that an unknown one is taken for: they are not told as missing too
        self.places: dict[str, yaml.Node] = {}
        for key, value in node.value:
            self._take(key, value)

    # -- keys ------------------------------------------------------------------------------------------------

    def _take(self, key: yaml.Node, value: yaml.Node) -> None:
        if not isinstance(key, yaml.ScalarNode):
            self._tell("key-unknown", key, f"{self.title}: a key must be a word", self._known())
            return
        typed = " ".join(key.value.split())
        name = typed.lower()
        if name not in KNOWN[self.kind]:
            self._unknown(key, typed, value)
        elif name in self.fields:
            first = self.places[name].start_mark.line + 1
            text = f'{self.title}: "{typed}" is written twice (first in line {first})'
            self._tell("key-repeated", key, text, f"keep one {typed}:")
        elif is_nothing(value):
            self._tell(
                "key-without-value",
                key,
                f'{self.title}: "{typed}:" has nothing behind it',
                f'write a value behind "{typed}:", or delete the line',
            )
        else:
            self.fields[name], self.places[name] = value, key

    def _unknown(self, key: yaml.ScalarNode, typed: str, value: yaml.Node) -> None:
        known = KNOWN[self.kind]
        if is_nothing(value):
            begins = next((word for word in sorted(known, key=len, reverse=True) if typed.lower().startswith(word + " ")), "")
            before = next(reversed(self.fields), "")
            if begins:
                mend = f"{begins}: {typed[len(begins) :].strip()}"
            elif before and isinstance(self.fields[before], yaml.ScalarNode) and typed[:1].isdigit():
                mend = f"{before}: {self.fields[before].value}.{typed}"
            elif before and isinstance(self.fields[before], yaml.ScalarNode):
                mend = f'put a text with a comma in quotes: {before}: "{self.fields[before].value}, {typed}"'
            else:
                mend = f"write key: value; {self._known()}"
            self._tell("key-without-value", key, f'{self.title}: "{typed}" stands between commas without a value', mend)
            return
        import difflib

        near = [key for key in (OTHER_WORDS.get(typed.lower(), ""),) if key in known]
        near = near or difflib.get_close_matches(typed.lower(), sorted(known), n=1, cutoff=GUESS)
        if near and near[0] == "may contain" and not difflib.get_close_matches(typed.lower(), near, cutoff=GUESS_ALLERGEN):
            near = [near[0]] if typed.lower() in OTHER_WORDS else []
        self.meant |= set(near)
        mend = f"did you mean {near[0]}: ?" if near else self._known()
        if typed.lower() in OF_PRODUCTS and "contains" not in known:
            mend = f"write {typed}: on the product in products/ that brings it, and give {self.title} a line of that product"
        self._tell("key-unknown", key, f'{self.title}: "{typed}" is not a key of {_article(self.kind)}', mend)

    def _known(self) -> str:
        from labeller.reading.keys import keys_of

        return "keys here: " + ", ".join(key.key for key in keys_of(self.kind))

    # -- telling ---------------------------------------------------------------------------------------------

    def _tell(self, code: str, node: yaml.Node, text: str, mend: str) -> None:
        self.notes.add(code, place_of(self.page.file, node), text, mend, self.subject)

    def tell_at(self, code: str, node: yaml.Node, what: str, mend: str) -> None:
        """A finding at a node of the entry's own."""
        self._tell(code, node, f"{self.title}: {what}", mend)

    def tell(self, code: str, key: str, what: str, mend: str) -> None:
        """A finding at the value of ``key``, or at the entry itself where the key was not written."""
        node = self.fields.get(key)
        place = place_of(self.page.file, node) if node is not None else self.place
        self.notes.add(code, place, f"{self.title}: {what}", mend, self.subject)

    def ask(self, key: str, asked: Asked, form: str = "{}") -> None:
        """Pass on a question of the amount grammar. form: how the mended amount is typed, with {} for it."""
        typed = " or ".join(form.format(one) for one in asked.type_this)
        self.tell(asked.code, key, asked.what, f"type {typed}" if typed else "write the amount as it is weighed")

    def at(self, key: str) -> Place:
        node = self.places.get(key)
        return place_of(self.page.file, node) if node is not None else self.place

    # -- values ----------------------------------------------------------------------------------------------

    def text(self, key: str) -> str:
        """A scalar as text, "" where not written."""
        node = self.fields.get(key)
        if node is None:
            return ""
        if not isinstance(node, yaml.ScalarNode):
            self.tell("value-wrong-shape", key, f'"{key}" wants one value', f"write {key}: and one value on the same line")
            return ""
        return node.value.strip()

    def name(self, key: str) -> str:
        node = self.fields.get(key)
        if isinstance(node, yaml.ScalarNode):
            self.whole(node)
        return clean_name(self.text(key))

    def whole(self, node: yaml.ScalarNode, item: bool = False) -> None:
        """Tell when `` #`` has cut the end off a name that was not quoted. item: it stands alone on an ingredient line."""
        if node.style or node.end_mark.line >= len(self.page.lines):
            return
        line = self.page.lines[node.end_mark.line]
        if "#" not in line:
            return
        cut = re.match(_HASH_IN_LINE if item else _HASH_IN_NAME, line[node.end_mark.column :])
        if cut:
            whole = (node.value + cut[0]).partition(": ")
            tail = f": {whole[2]}" if whole[1] else ""
            self._tell("name-cut-by-hash", node, f'{self.title}: "{cut[0].strip()}" behind "{node.value}" is read as a remark',
                       f'put the name in quotes: "{whole[0]}"{tail}; a remark needs a space behind #')  # fmt: skip

    def yes(self, key: str) -> bool:
        typed = self.text(key).lower()
        if typed and typed not in YES + NO:
            self.tell("yes-or-no", key, f'"{key}: {typed}" is neither yes nor no', f"type {key}: yes, or {key}: no")
        return typed in YES

    def choice(self, key: str, allowed: tuple[str, ...], default: str = "") -> str:
        """One of a few words, in lower case; anything else is a finding and the default."""
        typed = " ".join(self.text(key).lower().replace("_", " ").split())
        if typed and typed not in allowed:
            self.tell("choice-unknown", key, f'"{typed}" is not known for {key}', "type one of: " + ", ".join(allowed))
            return default
        return typed or default

    def date(self, key: str) -> str:
        typed = self.text(key)
        if typed and not is_date(typed):
            self.tell("date-not-read", key, f'"{typed}" is not a date', _date_mend(key, typed))
            return ""
        return typed

    def whole_number(self, key: str) -> int:
        typed = self.text(key)
        word = typed.split(" ")[0]
        if typed and not (word.isascii() and word.isdigit() and len(word) < 8):
            self.tell("number-not-read", key, f'"{typed}" is not a whole number', _whole_mend(key, typed))
            return 0
        return int(word) if word else 0

    def percent(self, key: str, low: float = 0.0, high: float = 100.0) -> Span | None:
        """A share, 1.0 = 100 %; None where not written or not read."""
        typed = self.text(key)
        return self.share(key, typed, low, high) if typed else None

    def share(self, key: str, typed: str, low: float = 0.0, high: float = 100.0) -> Span | None:
        hit = _PERCENT.fullmatch(tidy(typed).lower())
        if hit is None:
            bare = tidy(typed)
            number = re.fullmatch(r"-?[0-9]+(\.[0-9]+)?", bare)
            mend = f"type {key}: {bare} %" if number and low <= float(bare[:30]) <= high else _share_mend(key, low, high)
            self.tell("percent-not-read", key, f'"{typed}" is not a share in %', mend)
            return None
        first = float(hit[1][:30])
        second = float(hit[2][:30]) if hit[2] else first
        if first < 0 and hit[2] and second > 0 and "to" not in typed and high <= 0:
            second = -second  # "-14-10 %"
        ends = (first, second) if first <= second else (second, first)
        if first > second and high > 0 or not (low <= ends[0] and ends[1] <= high):
            self.tell(
                "percent-not-read",
                key,
                f'"{typed}" is not between {low:g} % and {high:g} %, the smaller first',
                _share_mend(key, low, high),
            )
            return None
        return Span.between(ends[0] / 100, ends[1] / 100)

    def grams(self, key: str) -> Span | None:
        typed = self.text(key)
        return self.weight(key, typed) if typed else None

    def weight(self, key: str, typed: str) -> Span | None:
        """A weight in grams from text that must be one."""
        amount, asked = read_amount(typed)
        grams = grams_of(amount) if amount else None
        if grams is None:
            if asked:
                self.ask(key, asked, f"{key}: {{}}")
            else:
                self.tell(
                    "weight-not-read",
                    key,
                    f'"{typed}" is not a weight',
                    f"write {key}: and the weight with its unit, g, kg, oz or lb",
                )
        return grams

    def amount(self, key: str, form: str = "{}") -> Amount | None:
        typed = self.text(key)
        if not typed:
            return None
        amount, asked = read_amount(typed)
        if asked:
            self.ask(key, asked, form)
        return amount

    def figure(self, key: str, units: tuple[str, ...]) -> float | None:
        """A number with one of the units written behind it ("80 mg/kg"); the unit must be there."""
        typed = self.text(key)
        if not typed:
            return None
        hit = re.fullmatch(_FIGURE, tidy(typed).lower())
        number, unit = (hit[1], hit[2].replace(" ", "")) if hit else ("", "")
        if unit not in [one.replace(" ", "") for one in units]:
            self.tell("number-not-read", key, f'"{typed}" is not read', _figure_mend(key, number if not unit else "", units))
            return None
        return float(number)

    def names(self, key: str) -> tuple[str, ...] | None:
        """A list of names, or a single one; () for "none"; None where not written."""
        node = self.fields.get(key)
        if node is None:
            return None
        items = node.value if isinstance(node, yaml.SequenceNode) else [node]
        out = []
        for item in items:
            if not isinstance(item, yaml.ScalarNode):
                self.tell("value-wrong-shape", key, f'"{key}" wants a list of names', f"write {key}: [first, second]")
            elif item.value.strip():
                self.whole(item)
                out.append(clean_name(item.value))
        if not out and key in _SAYS_NONE:
            self.tell("key-without-value", key, f'"{key}" has nothing behind it, which is not the same as none',
                      f"write {key}: {_SAYS_NONE[key]} where it is so, or delete the line")  # fmt: skip
            return None
        return () if [one.lower() for one in out] in (["none"], ["none shared"]) else tuple(out)

    def inner(self, key: str, kind: str) -> Entry | None:
        """A mapping under ``key``; None where not written or of another shape (then told)."""
        node = self.fields.get(key)
        if node is None:
            return None
        if not isinstance(node, yaml.MappingNode):
            example = ", ".join(f"{word}: …" for word in sorted(KNOWN[kind])[:3])
            self.tell("value-wrong-shape", key, f'"{key}" wants its parts named', f"write {key}: {{{example}}}")
            return None
        return Entry(kind, self.subject, node, self.page, self.notes, f"{self.title}, {key}")

    def inners(self, key: str, kind: str) -> Iterator[Entry]:
        """One mapping or a list of them."""
        node = self.fields.get(key)
        if isinstance(node, yaml.SequenceNode):
            for item in node.value:
                if isinstance(item, yaml.MappingNode):
                    yield Entry(kind, self.subject, item, self.page, self.notes, f"{self.title}, {key}")
                else:
                    self.tell("value-wrong-shape", key, f'"{key}" wants its parts named', f"write - {{{min(KNOWN[kind])}: …}}")
        elif node is not None:
            one = self.inner(key, kind)
            if one is not None:
                yield one

    def pairs(self, key: str) -> tuple[tuple[str, str, yaml.Node], ...]:
        """A mapping of free names to texts: (name, text, value node)."""
        node = self.fields.get(key)
        if node is None:
            return ()
        if not isinstance(node, yaml.MappingNode):
            self.tell("value-wrong-shape", key, f'"{key}" wants name: value', f"write {key}: {{name: value}}")
            return ()
        out: dict[str, tuple[str, str, yaml.Node]] = {}
        for left, right in node.value:
            name = clean_name(left.value) if isinstance(left, yaml.ScalarNode) else ""
            if not name or not isinstance(right, yaml.ScalarNode):
                self.tell("value-wrong-shape", key, f'"{key}" wants name: value', f"write {key}: {{name: value}}")
            elif is_nothing(right):
                self._tell(
                    "key-without-value",
                    left,
                    f'{self.title}: "{name}" has no value',
                    f"{name}: …; a text with a comma needs quotes",
                )
            elif name in out:
                self._tell("key-repeated", left, f'{self.title}: "{name}" is written twice', f'keep one "{name}:"')
            else:
                out[name] = (name, right.value.strip(), right)
        return tuple(out.values())


def is_date(text: str) -> bool:
    """An ISO date that is in the calendar."""
    if not re.fullmatch(_DATE, text):
        return False
    from datetime import date

    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True


_DAY_FIRST = r"([0-9]{1,2})[./ -]([0-9]{1,2})[./ -]([0-9]{4})"
_IN_ORDER = r"([0-9]{4})[./ -]?([0-9]{1,2})[./ -]?([0-9]{1,2})"
_IN_WORDS = r"([0-9]{1,2})(?:st|nd|rd|th)?[ .-]+([a-z]{3})[a-z]*[ .,-]+([0-9]{4})"
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


def _date_mend(key: str, typed: str) -> str:
    """The date that was typed, as it is read here; both where day and month can be exchanged; no date where none is in it."""
    low, found = " ".join(typed.lower().split()), []
    worded, ordered, plain = re.fullmatch(_IN_WORDS, low), re.fullmatch(_IN_ORDER, low), re.fullmatch(_DAY_FIRST, low)
    if worded and worded[2] in _MONTHS:
        found = [(worded[3], _MONTHS.index(worded[2]) + 1, worded[1])]
    elif ordered:
        found = [ordered.groups()]
    elif plain:
        found = [(plain[3], plain[2], plain[1]), (plain[3], plain[1], plain[2])]
    days = dict.fromkeys(f"{int(year):04}-{int(month):02}-{int(day):02}" for year, month, day in found)
    days = [day for day in days if is_date(day)]
    return "write year-month-day: " + (" or ".join(f"{key}: {day}" for day in days) or f"{key}: YYYY-MM-DD, the day itself")


def _whole_mend(key: str, typed: str) -> str:
    """The number that was typed, in figures; no number where none can be told."""
    number = _in_figures(typed.lower())
    return f"type {key}: {number}" if number else f"write {key}: and the number in figures"


def _in_figures(typed: str) -> str:
    if typed.replace(",", "").isdigit() and typed.isascii() and re.fullmatch("[0-9]{1,3}(,[0-9]{3})+", typed):
        return typed.replace(",", "")
    head, hundred, rest = typed.replace("-", " ").partition(" hundred")
    counts = NUMBER_WORDS.get(head, "")
    return f"{counts}00" if counts and hundred and not rest else counts if counts and not hundred else ""


def _share_mend(key: str, low: float, high: float) -> str:
    return f"write {key}: and a share from {low:g} to {high:g} %, the smaller first where it is a range"


def _figure_mend(key: str, number: str, units: tuple[str, ...]) -> str:
    return f"type {key}: {number} {units[0]}" if number else f"write {key}: and the figure with its unit, {' or '.join(units)}"


def is_placeholder(name: str) -> bool:
    return name.lower().strip() in PLACEHOLDERS


def _article(kind: str) -> str:
    words = {"line": "an ingredient line", "equipment": "equipment", "evidence": "evidence", "kitchen": "kitchen.yaml"}
    return words.get(
        kind, f"a {kind}" if kind in ("recipe", "dish", "pack", "product", "menu", "batch", "match", "course") else f'"{kind}"'
    )
