"""Ingredient lines: of a recipe's ``ingredients``, a dish's ``portion``, or what a pack ``holds``."""

from __future__ import annotations

import re

import yaml

from labeller.reading.amounts import read_amount
from labeller.reading.entries import Entry, clean_name, is_nothing, is_placeholder
from labeller.reading.nodes import place_of
from labeller.terms.kitchen import Amount, Line
from labeller.terms.spans import Span

WHOLE, NONE = Span.of(1.0), Span.of(0.0)
_PASTED = re.compile(
    r"(?:[0-9.,/½¼¾⅓⅔-]+ ?(?:g|kg|mg|ml|cl|dl|l|oz|lb|lbs|cups?|tbsp|tsp|tablespoons?|teaspoons?|pints?|grams?)\b"
    r"|[0-9]+ (?:large|medium|small|eggs?|cloves?|sheets?|sprigs?|slices?|bunch|tins?)\b).*\w", re.I)  # fmt: skip


def read_lines(recipe: Entry, key: str) -> tuple[Line, ...]:
    """The lines under ``key``. A line that cannot be read is told and kept out of the figures, never out of the recipe: its
    name stays, without an amount, wherever the name could be read."""
    node = recipe.fields.get(key)
    if not isinstance(node, yaml.SequenceNode):
        if node is not None:
            pasted = isinstance(node, yaml.ScalarNode)
            recipe.tell("line-pasted" if pasted else "value-wrong-shape", key, f'"{key}" is not a list',
                        "turn pasted text into a recipe with: labeller import" if pasted else "write one ingredient a line: - name: amount")  # fmt: skip
        return ()
    if node.flow_style:
        recipe.tell("list-in-brackets", key, f'"{key}" is written in brackets, where a comma can hide in a name',
                    "write one ingredient a line: - name: amount")  # fmt: skip
    lines = [_line(item, recipe, key) for item in node.value]
    return tuple(line for line in lines if line is not None)


def _line(item: yaml.Node, recipe: Entry, key: str) -> Line | None:
    place = place_of(recipe.page.file, item)
    if isinstance(item, yaml.ScalarNode):
        recipe.whole(item)
        return _bare(clean_name(item.value), item, recipe)
    if not isinstance(item, yaml.MappingNode) or not item.value:
        recipe.notes.add("value-wrong-shape", place, f"{recipe.title}: this is not an ingredient line",
                         "write - name: amount", recipe.subject)  # fmt: skip
        return None
    if len(item.value) > 1:
        return _two_in_one(item, recipe)
    name_node, value = item.value[0]
    if not isinstance(name_node, yaml.ScalarNode):
        recipe.notes.add("value-wrong-shape", place, f"{recipe.title}: an ingredient's name must be a word",
                         "write - name: amount", recipe.subject)  # fmt: skip
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
    recipe.notes.add("value-wrong-shape", place, f'{recipe.title}: "{name}" has a list where an amount is wanted',
                     f"write - {name}: 100 g", recipe.subject)  # fmt: skip
    return Line(name, None, place)


def _bare(name: str, item: yaml.Node, recipe: Entry) -> Line | None:
    """A name without an amount, unless it is a line out of a book."""
    place = place_of(recipe.page.file, item)
    if _PASTED.match(name):
        recipe.notes.add("line-pasted", place, f'{recipe.title}: "{name[:60]}" has amount and name in one',
                         "write - name: amount, or turn pasted text into a recipe with: labeller import", recipe.subject)  # fmt: skip
        return Line(name, None, place)
    return Line(name, None, place) if _named(name, item, recipe) else None


def _two_in_one(item: yaml.MappingNode, recipe: Entry) -> Line | None:
    names = [clean_name(left.value) for left, _ in item.value if isinstance(left, yaml.ScalarNode)]
    place = place_of(recipe.page.file, item)
    from labeller.reading.keys import KNOWN

    if len(names) > 1 and all(name in KNOWN["line"] for name in names[1:]):
        mend = f"set the line's own keys in braces: - {names[0]}: {{amount: 100 g, {names[1]}: …}}"
    else:
        mend = "begin each ingredient with its own dash: " + "  ".join(f"- {name}: …" for name in names[:3])
    recipe.notes.add("line-two-ingredients", place, f"{recipe.title}: one line holds " + " and ".join(f'"{name}"' for name in names[:4]),
                     mend, recipe.subject)  # fmt: skip
    return Line(names[0], None, place) if names and names[0] else None


def _named(name: str, node: yaml.Node, recipe: Entry) -> bool:
    if not name or is_placeholder(name):
        recipe.notes.add("name-placeholder", place_of(recipe.page.file, node), f'{recipe.title}: "{name}" is no ingredient\'s name',
                         "write the name, or delete the line", recipe.subject)  # fmt: skip
        return False
    return True


def _amount(typed: str, node: yaml.Node, name: str, recipe: Entry) -> Amount | None:
    amount, asked = read_amount(typed)
    if asked:
        typed_lines = " or ".join(f"- {name}: {one}" for one in asked.type_this)
        recipe.notes.add(asked.code, place_of(recipe.page.file, node), f"{recipe.title}, {name}: {asked.what}",
                         f"type {typed_lines}" if typed_lines else "write the amount as it is weighed", recipe.subject)  # fmt: skip
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
                entry.tell("only-in-portion", word, f'"{word}" stands on a line of a batch or a pack: what was stirred in can\'t be left off',
                           f"move {word}: to the line of a dish's portion")  # fmt: skip
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
