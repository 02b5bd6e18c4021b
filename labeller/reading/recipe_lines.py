"""Ingredient lines: of a recipe's ``ingredients``, a dish's ``portion``, or what a pack ``holds``."""

from __future__ import annotations

import re

import yaml

from labeller.reading.amounts import read_amount
from labeller.reading.entries import Entry, clean_name, is_nothing, is_placeholder
from labeller.reading.nodes import place_of
from labeller.terms.kitchen import Amount, Line
from labeller.terms.spans import Span

ONE_A_LINE = "write one ingredient a line: - name: amount"
TO_IMPORT = "turn pasted text into a recipe with: labeller import"
WHOLE, NONE = Span.of(1.0), Span.of(0.0)
_PASTED = (
    r"(?i)(?:[0-9.,/½¼¾⅓⅔-]+ ?(?:g|kg|mg|ml|cl|dl|l|oz|lb|lbs|cups?|tbsp|tsp|tablespoons?|teaspoons?|pints?|grams?)\b"
    r"|[0-9]+ (?:large|medium|small|eggs?|cloves?|sheets?|sprigs?|slices?|bunch|tins?)\b).*\w")  # fmt: skip

_NAME_THEN = r"(.*[^\W\d_].*?)[ ,–—-]+([0-9½¼¾⅓⅔][^:]*)"


def read_lines(recipe: Entry, key: str) -> tuple[Line, ...]:
    """The lines under ``key``. A line that cannot be read is told and kept out of the figures, never out of the recipe: its
    name stays, without an amount, wherever the name could be read."""
    node = recipe.fields.get(key)
    if not isinstance(node, yaml.SequenceNode):
        if node is not None:
            pasted = isinstance(node, yaml.ScalarNode)
            code, mend = ("line-pasted", TO_IMPORT) if pasted else ("value-wrong-shape", ONE_A_LINE)
            recipe.tell(code, key, f'"{key}" is not a list', mend)
        return ()
    if node.flow_style:
        recipe.tell("list-in-brackets", key, f'"{key}" is written in brackets, where a comma can hide in a name',
                    ONE_A_LINE)  # fmt: skip
    lines = [_line(item, recipe, key) for item in node.value]
    return tuple(line for line in lines if line is not None)


def _line(item: yaml.Node, recipe: Entry, key: str) -> Line | None:
    place = place_of(recipe.page.file, item)
    if isinstance(item, yaml.ScalarNode):
        recipe.whole(item, item=True)
        return _bare(clean_name(item.value), item, recipe)
    if not isinstance(item, yaml.MappingNode) or not item.value:
        recipe.tell_at("value-wrong-shape", item, "this is not an ingredient line", "write - name: amount")
        return None
    if len(item.value) > 1:
        return _two_in_one(item, recipe)
    name_node, value = item.value[0]
    if not isinstance(name_node, yaml.ScalarNode):
        recipe.tell_at("value-wrong-shape", item, "an ingredient's name must be a word", "write - name: amount")
        return None
    name = clean_name(name_node.value)
    if not _named(name, name_node, recipe):
        return None
    if is_nothing(value):
        return Line(name, None, place)
    if isinstance(value, yaml.ScalarNode):
        recipe.whole(value)
        return Line(name, _amount(value.value, value, name, recipe), place)
    if isinstance(value, yaml.MappingNode):
        return _detailed(name, value, recipe, key, place)
    recipe.tell_at(
        "value-wrong-shape",
        value,
        f'"{name}" has a list where an amount is wanted',
        f"write - {name}: and its amount on the same line",
    )
    return Line(name, None, place)


def _bare(name: str, item: yaml.Node, recipe: Entry) -> Line | None:
    """A name without an amount, unless it is a line out of a book."""
    place = place_of(recipe.page.file, item)
    if (name[:1].isdigit() or name[:1] in "½¼¾⅓⅔") and re.match(_PASTED, name):
        recipe.tell_at("line-pasted", item, f'"{name[:60]}" has amount and name in one', f"write - name: amount, or {TO_IMPORT}")
        return Line(name, None, place)
    behind = _amount_behind(name)
    if behind is not None:
        bare, amount = behind
        recipe.tell_at("line-pasted", item, f'"{name[:60]}" has no colon between name and amount', f"write - {bare}: {amount}")
        return Line(bare, None, place)
    return Line(name, None, place) if _named(name, item, recipe) else None


def _amount_behind(name: str) -> tuple[str, str] | None:
    """Name and amount of "haddock 600 g", where the colon was forgotten: a weight, a measure or a number of pieces named as such;
    a bare number may belong to the name ("flour 00")."""
    hit = re.fullmatch(_NAME_THEN, name)
    amount = read_amount(hit[2])[0] if hit else None
    told = amount is not None and (amount.unit != "piece" or bool(amount.piece_word))
    return (hit[1], hit[2]) if hit and told and amount.number.mid > 0 else None


def _two_in_one(item: yaml.MappingNode, recipe: Entry) -> Line | None:
    names = [clean_name(left.value) for left, _ in item.value if isinstance(left, yaml.ScalarNode)]
    place = place_of(recipe.page.file, item)
    from labeller.reading.keys import KNOWN

    if len(names) > 1 and all(name in KNOWN["line"] for name in names[1:]):
        mend = f"set the line's own keys in braces: - {names[0]}: {{amount: …, {names[1]}: …}}"
    else:
        mend = "begin each ingredient with its own dash: " + "  ".join(f"- {name}: …" for name in names[:3])
    second = item.value[1][0]
    recipe.tell_at(
        "line-two-ingredients",
        second,
        f"line {second.start_mark.line + 1} has no dash of its own: one line holds "
        + " and ".join(f'"{name}"' for name in names[:4]),
        mend,
    )
    return Line(names[0], None, place) if names and names[0] else None


def _named(name: str, node: yaml.Node, recipe: Entry) -> bool:
    if not name or is_placeholder(name):
        recipe.tell_at("name-placeholder", node, f'"{name}" is no ingredient\'s name', "write the name, or delete the line")
        return False
    return True


def _amount(typed: str, node: yaml.Node, name: str, recipe: Entry) -> Amount | None:
    amount, asked = read_amount(typed)
    if asked:
        typed_lines = " or ".join(f"- {name}: {one}" for one in asked.type_this)
        mend = f"type {typed_lines}" if typed_lines else "write the amount as it is weighed"
        recipe.tell_at(asked.code, node, f"{name}: {asked.what}", mend)
    return amount


def _detailed(name: str, node: yaml.MappingNode, recipe: Entry, key: str, place) -> Line:
    entry = Entry("line", recipe.subject, node, recipe.page, recipe.notes, f"{recipe.title}, {name}")
    amount = entry.amount("amount", "amount: {}")
    if amount is not None and "about" in entry.fields:
        about = entry.amount("about", "about: {}")
        if not amount.vague:
            entry.tell("amount-two-readings", "about", f'"{amount.text}" is an amount already', "keep amount:, delete about:")
        elif about is not None and not about.vague:
            amount = Amount(amount.text, amount.number, amount.unit, amount.piece_word, amount.vague, about)
    if key != "portion":
        for word in ("leave off", "instead"):
            if word in entry.fields:
                what = f'"{word}" stands on a line of a batch or a pack: what was stirred in can\'t be left off'
                entry.tell("only-in-portion", word, what, f"move {word}: to the line of a dish's portion")
    instead, leave_off = entry.name("instead"), entry.yes("leave off")
    return Line(
        name, amount, place,
        trim=entry.percent("trim", 0, 99.9) or NONE,
        kept=WHOLE if "kept" not in entry.fields else entry.percent("kept") or WHOLE,
        food=entry.text("food"),
        cooked_as=entry.text("cooked as"),
        cooking_yield=entry.percent("cooked weight", 1, 1000),
        instead=instead if key == "portion" else "",
        leave_off=leave_off and key == "portion",
        weight_is=entry.choice("weighed", ("edible", "as bought")),
        trimmed_to=entry.name("trim becomes"),
        note=entry.text("note"),
    )  # fmt: skip
