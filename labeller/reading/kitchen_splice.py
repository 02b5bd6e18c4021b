"""Changes one entry in the text of a kitchen file and leaves every other line as it was, byte for byte.

What changes is found on the nodes of the file; only those lines are handed to ruamel.yaml, which keeps their remarks, order
and quotes. Plain values: text, list, dict of text (every scalar is text, as the reader takes it).
"""

from __future__ import annotations

import io
from collections.abc import Iterable
from difflib import SequenceMatcher
from typing import NamedTuple

import yaml

from labeller.reading.entries import NOTHING, clean_name
from labeller.reading.nodes import Notes, Page, parse

Plain = str | list | dict
BLOCK_LISTS = ("ingredients", "portion", "holds", "courses", "packs", "choice")  # a comma in a name is no trap there
TRAPS = frozenset(
    "?:[]{}#|>@`*!\\"
)  # may stand bare in one edition of YAML and not in the other: such texts go in quotes
CODES = ("food",)  # "01077": always in quotes, a bare one is a number to other programs


class Cut(NamedTuple):
    """Lines ``start`` to ``end`` (without it) are replaced by ``lines``."""

    start: int
    end: int
    lines: tuple[str, ...]


class NotSpliced(ValueError):
    """The entry is written in a way that can't be changed without touching what is beside it."""


def pages(data: bytes, file: str) -> Page:
    return parse(data, file, Notes())


def plain(node: yaml.Node) -> Plain:
    """A node as text, lists and dictionaries."""
    if isinstance(node, yaml.SequenceNode):
        return [plain(item) for item in node.value]
    if isinstance(node, yaml.MappingNode):
        return {_key(left): plain(right) for left, right in node.value}
    return "" if not node.style and node.value in NOTHING else " ".join(node.value.split())


def _key(node: yaml.Node) -> str:
    return clean_name(node.value) if isinstance(node, yaml.ScalarNode) else ""


def entries(page: Page) -> Iterable[yaml.MappingNode]:
    """The entries of a page, in order: the items of its lists; a mapping at the top is one entry."""
    for root in page.roots:
        for node in root.value if isinstance(root, yaml.SequenceNode) else [root]:
            if isinstance(node, yaml.MappingNode):
                yield node


def find(page: Page, kind: str, name: str) -> yaml.MappingNode | None:
    """The entry that begins ``kind: name``."""
    for node in entries(page):
        for left, right in node.value:
            if _key(left).lower() == kind and isinstance(right, yaml.ScalarNode) and clean_name(right.value) == name:
                return node
    return None


def changed(lines: list[str], node: yaml.MappingNode, new: dict) -> list[str]:
    """The lines of a file with an entry that reads ``new``. Keys are compared in lower case."""
    return _applied(lines, _mapping_cuts(lines, node, {key.lower(): value for key, value in new.items()}, top=True))


def without(lines: list[str], node: yaml.MappingNode) -> list[str]:
    """The lines without an entry; remarks on lines of their own stay."""
    if node.flow_style:
        raise NotSpliced("the entry stands in braces")
    first, last = node.start_mark.line, _last_line(lines, node)
    kept = [line for line in lines[first : last + 1] if line.lstrip().startswith("#")]
    rest = lines[:first] + kept + lines[last + 1 :]
    while first and first < len(rest) and not rest[first].strip() and not rest[first - 1].strip():
        del rest[first]
    return rest


def added(lines: list[str], page: Page, new: dict) -> list[str]:
    """The lines with a new entry at the end, set in as its neighbours are."""
    roots = [root for root in page.roots if isinstance(root, yaml.SequenceNode)]
    if page.roots and (not roots or roots[-1].flow_style):
        raise NotSpliced("the file is no list of entries")
    margin = roots[-1].start_mark.column if roots else 0
    out = list(lines)
    while out and not out[-1].strip():
        out.pop()
    block = _dumped(_styled("", new, block=True))
    gap = [""] if out else []
    return [*out, *gap, *_set_in(block, " " * margin + "- ", " " * (margin + 2))]


# Where things stand ----------------------------------------------------------------------------------------------------


def _last_line(lines: list[str], node: yaml.Node) -> int:
    """Number of the last line that belongs to a node."""
    if isinstance(node, yaml.CollectionNode) and not node.flow_style and node.value:
        last = node.value[-1]
        return _last_line(lines, last[1] if isinstance(last, tuple) else last)
    end = node.end_mark
    if isinstance(node, yaml.ScalarNode) and node.style in ("|", ">"):
        number = min(end.line - (end.column == 0), len(lines) - 1)
        margin = _indent(lines[node.start_mark.line])
        while number > node.start_mark.line and (not lines[number].strip() or _indent(lines[number]) <= margin):
            number -= 1
        return number
    return end.line


def _indent(line: str) -> int:
    return len(line) - len(line.lstrip())


def _alone(lines: list[str], node: yaml.Node, dash: bool) -> bool:
    """Whether nothing but a dash and spaces stands before a node on its line."""
    before = lines[node.start_mark.line][: node.start_mark.column].strip()
    return before in (("-",) if dash else ("", "-"))


# What changes ----------------------------------------------------------------------------------------------------------


def _mapping_cuts(lines: list[str], node: yaml.MappingNode, new: dict, top: bool = False) -> list[Cut]:
    if node.flow_style or not node.value or not all(_alone(lines, left, False) for left, _ in node.value):
        return [_redone(lines, node.start_mark.line, _last_line(lines, node), node.start_mark.column, new, "")]
    cuts, seen, column = [], set(), node.value[0][0].start_mark.column
    for number, (left, right) in enumerate(node.value):
        key = _key(left).lower() if top else _key(left)
        seen.add(key)
        start, last = left.start_mark.line, max(left.end_mark.line, _last_line(lines, right))
        if key not in new:
            if number == 0:
                raise NotSpliced("the first line of an entry names it")
            cuts.append(Cut(start, last + 1, ()))
        elif plain(right) != new[key]:
            cuts += _key_cuts(lines, left, right, new[key], start, last, column)
    order = list(new)
    for key in order:
        if key not in seen:
            cuts.append(_new_key(lines, node, key, new[key], order, top, column))
    return cuts


def _key_cuts(
    lines: list[str], left: yaml.Node, right: yaml.Node, value: Plain, start: int, last: int, column: int
) -> list[Cut]:
    if (
        isinstance(value, list)
        and value
        and isinstance(right, yaml.SequenceNode)
        and right.value
        and not right.flow_style
        and all(_alone(lines, item, True) for item in right.value)
    ):
        return _list_cuts(lines, right, value)
    return [_redone(lines, start, last, column, {_key(left): value}, left.value)]


def _new_key(
    lines: list[str], node: yaml.MappingNode, key: str, value: Plain, order: list, top: bool, column: int
) -> Cut:
    """A key goes behind the nearest one that stands before it in ``new``."""
    before = order[: order.index(key)]
    there = {(_key(left).lower() if top else _key(left)): right for left, right in node.value}
    after = next((there[one] for one in reversed(before) if one in there), node.value[0][1])
    at = _last_line(lines, after) + 1
    pad = " " * column
    return Cut(at, at, tuple(_set_in(_dumped(_styled("", {key: value}, block=True)), pad, pad)))


def _list_cuts(lines: list[str], node: yaml.SequenceNode, new: list) -> list[Cut]:
    old, items, cuts = [plain(item) for item in node.value], node.value, []
    dash = lines[items[0].start_mark.line].index("-")
    first_pad = lines[items[0].start_mark.line][:dash]
    if first_pad.strip():  # "- - name": no room to work line by line
        raise NotSpliced("lists stand inside one another")
    keys = [repr(one) for one in old]
    for what, a, b, c, d in SequenceMatcher(a=keys, b=[repr(one) for one in new], autojunk=False).get_opcodes():
        if what == "equal":
            continue
        pairs = min(b - a, d - c)
        for i in range(pairs):
            item = items[a + i]
            cuts.append(
                _redone(lines, item.start_mark.line, _last_line(lines, item), item.start_mark.column, new[c + i], None)
            )
        for item in items[a + pairs : b]:
            cuts.append(Cut(item.start_mark.line, _last_line(lines, item) + 1, ()))
        if d - c > pairs:
            before = items[a + pairs - 1] if a + pairs else None
            at = _last_line(lines, before) + 1 if before is not None else items[0].start_mark.line
            fresh = [
                line
                for one in new[c + pairs : d]
                for line in _set_in(_dumped(_styled("", one, block=True)), first_pad + "- ", first_pad + "  ")
            ]
            cuts.append(Cut(at, at, tuple(fresh)))
    return cuts


def _redone(lines: list[str], start: int, last: int, column: int, new: Plain, key: str | None) -> Cut:
    """Lines start to last, whose content begins in ``column``, read and written again by ruamel.yaml with the new value."""
    head = lines[start][:column]
    piece = [lines[start][column:], *(line[min(column, _indent(line)) :] for line in lines[start + 1 : last + 1])]
    try:
        old = _ruamel().load("\n".join(piece) + "\n")
    except Exception as problem:  # ruamel raises several kinds; the piece is then no YAML of its own
        raise NotSpliced("these lines can't be taken by themselves") from problem
    return Cut(start, last + 1, tuple(_set_in(_dumped(_merged(old, new, key or "")), head, " " * column)))


def _applied(lines: list[str], cuts: list[Cut]) -> list[str]:
    """From below, so that the numbers above stay right; of two at one line the later stands below."""
    out = list(lines)
    for _, cut in sorted(enumerate(cuts), key=lambda one: (one[1].start, one[1].end, one[0]), reverse=True):
        out[cut.start : cut.end] = cut.lines
    return out


# Writing ---------------------------------------------------------------------------------------------------------------


def _ruamel():
    from ruamel.yaml import YAML
    from ruamel.yaml.resolver import VersionedResolver

    class Text(VersionedResolver):
        """Every scalar is text, as in the reader."""

        @property
        def versioned_resolver(self) -> dict:
            return {}

    maker = YAML()
    maker.Resolver = Text
    maker.preserve_quotes = True
    maker.allow_unicode = True
    maker.width = 100_000
    maker.indent(mapping=2, sequence=4, offset=2)
    return maker


def _dumped(value: object) -> list[str]:
    stream = io.StringIO()
    _ruamel().dump(value, stream)
    return stream.getvalue().removesuffix("...\n").rstrip("\n").split("\n")


def _set_in(block: list[str], head: str, pad: str) -> list[str]:
    return [(head if number == 0 else pad) + line if line.strip() else "" for number, line in enumerate(block)]


def _styled(key: str, value: Plain, block: bool = False) -> object:
    """Plain values as ruamel's, in the style of the kitchen's files: parts in braces, lists of lines one below another."""
    from ruamel.yaml.comments import CommentedMap, CommentedSeq

    if isinstance(value, str):
        return _scalar(key, value)
    if isinstance(value, list):
        made = CommentedSeq([_styled("", one, block=key in BLOCK_LISTS) for one in value])
        if key not in BLOCK_LISTS:
            made.fa.set_flow_style()
        return made
    made = CommentedMap((_scalar("", word), _styled(word, one)) for word, one in value.items())
    if not block:
        made.fa.set_flow_style()
    return made


def _scalar(key: str, text: str, old: object = None) -> object:
    from ruamel.yaml.scalarstring import DoubleQuotedScalarString, SingleQuotedScalarString

    text = " ".join(text.split())
    if key in CODES or text.lower() in NOTHING or isinstance(old, DoubleQuotedScalarString):
        return DoubleQuotedScalarString(text)
    if isinstance(old, SingleQuotedScalarString) or TRAPS & set(text):
        return SingleQuotedScalarString(text)
    return text


def _merged(old: object, new: Plain, key: str = "") -> object:
    """ruamel's own object brought to the new value, what is equal in it untouched."""
    from ruamel.yaml.comments import CommentedMap, CommentedSeq

    if isinstance(new, str):
        return old if isinstance(old, str) and " ".join(old.split()) == new and new else _scalar(key, new, old)
    if isinstance(new, dict) and isinstance(old, CommentedMap):
        return _merged_map(old, new)
    if isinstance(new, list) and isinstance(old, CommentedSeq):
        if len(old) == len(new):
            for number, one in enumerate(new):
                old[number] = _merged(old[number], one)
            return old
        made = CommentedSeq(
            [_merged(old[number] if number < len(old) else None, one) for number, one in enumerate(new)]
        )
        if old.fa.flow_style():
            made.fa.set_flow_style()
        return made
    return _styled(key, new)


def _merged_map(old, new: dict):
    typed = {clean_name(str(one)): one for one in old}
    if len(typed) == len(new) == 1 and set(typed) != set(new):  # a line renamed keeps the remark behind it
        before, after = next(iter(typed.values())), next(iter(new))
        old.insert(0, _scalar("", after, before), _merged(old[before], new[after], after))
        if before in old.ca.items:
            old.ca.items[after] = old.ca.items.pop(before)
        del old[before]
        return old
    for word, one in typed.items():
        if word not in new:
            del old[one]
    for word, one in new.items():
        if word in typed:
            old[typed[word]] = _merged(old[typed[word]], one, word)
        else:
            old[_scalar("", word)] = _styled(word, one)
    return old
