"""The floor page: one HTML file that waiters open on any device, without a network. It gives answers, it asks nobody."""

from __future__ import annotations

import base64
import hashlib
import json

from msgspec.structs import replace

from labeller.printing.markup import broken, render, shipped, source
from labeller.printing.words import LAWS, STATES, service_words
from labeller.terms import allergens, floor
from labeller.terms.findings import Finding
from labeller.terms.floor import FloorData, FloorDish, Option
from labeller.terms.looks import Looks

OUT_OF_DATE = "OUT OF DATE \N{EN DASH} ASK THE KITCHEN"
NOT_YET = "NOT YET \N{EN DASH} dated {} \N{EN DASH} ASK THE KITCHEN"
NOT_DATED = "NOT DATED \N{EN DASH} ASK THE KITCHEN"


def floor_page(data: FloorData, looks: Looks, issue: str = "") -> tuple[str, tuple[Finding, ...]]:
    """The page as HTML text, and what is wrong with a template of the kitchen's own.

    Everything it needs is in it; a content security policy shuts out the network and any script but its own.
    issue: who signed this state, at the head.
    """
    style, found = source(looks, "floor_page.css")
    if "</" in style:
        line = style[: style.index("</")].count("\n") + 1
        style, found = shipped(looks, "floor_page.css"), (broken("floor_page.css", line, "“</” has no place in a style sheet"),)
    script = shipped(looks, "floor_page.js")  # never a kitchen's own: the script holds the rule of labeller/terms/floor.py
    page, more = _page(data, looks, style, script, issue)
    needed = {"style": style, "script": script, "json": _json(data), "policy": _policy(style, script), "issue": _escaped(issue)}
    lost = [name for name, part in needed.items() if part not in page]
    if lost:
        more += (broken("floor_page.html", 0, f"it leaves out {{{{ {lost[0]} }}}}, without which the page gives no answers"),)
        page, _ = _page(data, replace(looks, folders=looks.folders[-1:]), style, script, issue)
    return page, found + more


def _page(data: FloorData, looks: Looks, style: str, script: str, issue: str) -> tuple[str, tuple[Finding, ...]]:
    from markupsafe import Markup

    values = {"data": data, "language": data.language, "service": service_words(data.starts, data.ends) or "no date on record",
              "policy": Markup(_policy(style, script)), "style": Markup(style), "script": Markup(script),
              "json": Markup(_json(data)), "issue": issue, "law": LAWS.get(data.law, data.law)}  # fmt: skip
    return render(looks, "floor_page.html", values, escape=True)


def _escaped(text: str) -> str:
    from markupsafe import escape

    return str(escape(text))


def _policy(style: str, script: str) -> str:
    return f"default-src 'none'; style-src '{_hash(style)}'; script-src '{_hash(script)}'; base-uri 'none'; form-action 'none'"


def _hash(text: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def _json(data: FloorData) -> str:
    """JSON that can stand inside a script element: no "<" that could close it, no line end that JavaScript doesn't allow."""
    text = json.dumps(as_json(data), ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    for letter in "<>&\u2028\u2029":
        text = text.replace(letter, f"\\u{ord(letter):04x}")
    return text


def as_json(data: FloorData) -> dict:
    """What the page's script reads: the floor data and the words of the rule, so that both say the same."""
    return {
        "ask": data.ask,
        "avoids": [{"key": one.key, "name": one.name, "words": list(one.words), "keys": list(one.keys),
                    "first": one.key in allergens.GROUPS} for one in data.avoids],
        "courses": [{"title": course.title, "dishes": [_dish(dish) for dish in course.dishes]} for course in data.courses],
        "ends": data.ends,
        "say": _say(),
        "starts": data.starts,
    }  # fmt: skip


def _dish(dish: FloorDish) -> dict:
    return {"name": dish.name, "also_called": list(dish.also_called), "stopped": dish.stopped,
            "options": [_option(option) for option in dish.options]}  # fmt: skip


def _option(option: Option) -> dict:
    changes = [{"component": one.component, "action": one.action, "with": one.with_} for one in option.changes]
    states = {key: {"state": one.state, "because": list(one.because)} for key, one in option.states.items()}
    return {"changes": changes, "states": states}


def _say() -> dict:
    return {
        "nothing_on_record": floor.NOTHING_ON_RECORD, "ask": floor.ASK, "not_for_this_guest": floor.NOT_FOR_THIS_GUEST,
        "verdicts": list(floor.VERDICTS), "no_answer": floor.NO_ANSWER, "nothing_asked": floor.NOTHING_ASKED,
        "confirm": floor.CONFIRM, "leave_off": floor.LEAVE_OFF, "instead": floor.INSTEAD,
        "none_on_record": allergens.NONE_ON_RECORD, "refused": [allergens.CONTAINS, allergens.TO_CONFIRM],
        "states": dict(STATES), "out_of_date": OUT_OF_DATE, "not_yet": NOT_YET, "not_dated": NOT_DATED,
    }  # fmt: skip
