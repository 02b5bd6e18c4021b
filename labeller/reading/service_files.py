"""Menus, the day's batches, and the matches that a person has confirmed."""

from __future__ import annotations

import yaml

from labeller.reading.entries import Entry, clean_name
from labeller.reading.nodes import place_of
from labeller.terms.kitchen import Batch, Course, Match, Menu


def read_menu(entry: Entry) -> Menu:
    starts, ends = entry.date("from"), entry.date("until")
    if starts and ends and starts > ends:
        entry.tell(
            "menu-dates",
            "until",
            f"the menu ends ({ends}) before it begins ({starts})",
            "write the first day behind from: and the last behind until:",
        )
    packs = []
    for item in _block_list(entry, "packs"):
        if isinstance(item, yaml.ScalarNode) and item.value.strip():
            entry.whole(item)
            packs.append(clean_name(item.value))
        else:
            entry.tell("value-wrong-shape", "packs", "a pack is one name", "write - canapé box")
    return Menu(entry.subject, entry.place, starts, ends, _courses(entry), tuple(packs))


def _block_list(entry: Entry, key: str) -> list[yaml.Node]:
    node = entry.fields.get(key)
    if node is None:
        return []
    if not isinstance(node, yaml.SequenceNode):
        entry.tell("value-wrong-shape", key, f'"{key}" wants a list', f"write {key}: and one name a line below it, with a dash")
        return []
    if node.flow_style:
        entry.tell(
            "list-in-brackets",
            key,
            f'"{key}" is written in brackets, where a comma can hide in a name',
            "write one name a line, with a dash",
        )
    return list(node.value)


def _courses(entry: Entry) -> tuple[Course, ...]:
    out = []
    for item in _block_list(entry, "courses"):
        place = place_of(entry.page.file, item)
        if isinstance(item, yaml.ScalarNode) and item.value.strip():
            entry.whole(item)
            out.append(Course((clean_name(item.value),), place))
        elif isinstance(item, yaml.MappingNode):
            inner = Entry("course", entry.subject, item, entry.page, entry.notes, f"{entry.title}, course")
            dishes = (inner.names("choice") or ()) + (inner.names("dish") or ())
            if dishes:
                out.append(Course(dishes, place, inner.text("course")))
            else:
                inner.tell(
                    "record-incomplete", "dish", "no dish is named", "write - name of the dish, or - choice: [one, another]"
                )
        else:
            entry.tell(
                "value-wrong-shape",
                "courses",
                "a course is one dish, or a choice",
                "write - name of the dish, or - choice: [one, another]",
            )
    return tuple(out)


def read_batch(entry: Entry, name: str) -> Batch:
    makes, day = entry.name("makes"), entry.date("date")
    substitutes = tuple((old, clean_name(new)) for old, new, _ in entry.pairs("substitutes"))
    if not makes and not substitutes:
        entry.tell("record-incomplete", "makes", "what was made is not written",
                   "write makes: and the name of the recipe, dish or pack")  # fmt: skip
    if "date" not in entry.fields:
        entry.tell("record-incomplete", "date", "the day is not written", "write date: YYYY-MM-DD, the day itself")
    lots = tuple((name, text) for name, text, _ in entry.pairs("lots"))
    count, lot, made_by = entry.whole_number("count"), entry.text("lot"), entry.text("made by")
    return Batch(name, entry.place, makes, day, count, lot, lots, substitutes, made_by, entry.date("frozen on"))


def read_match(entry: Entry) -> Match | None:
    food, by, day = entry.text("food"), entry.text("by"), entry.date("date")
    for key in ("food", "by", "date"):
        if key not in entry.fields:
            entry.tell("record-incomplete", key, f'"{key}" is not written', "run labeller match, which writes this file")
    return Match(entry.subject, food, by, day, entry.place, entry.text("release")) if food else None
