"""The floor page: one HTML file that waiters open on any device, without a network. It gives answers, it asks nobody.

All its languages are in the file: the words of ``templates/floor_page.yaml`` and of cards and sheets, and the names of what
can be ticked. Names of dishes and the paths to what is in them stay in the kitchen's own words.
"""

from __future__ import annotations

import base64
import hashlib
import json
import re

from msgspec import Struct
from msgspec.structs import replace

from labeller.printing.floor_reasons import reason_pieces
from labeller.printing.guest_words import ENGLISH, FLOOR, GuestWords, guest_words, silent_words
from labeller.printing.markup import broken, render, shipped, source
from labeller.printing.words import LAWS
from labeller.terms import allergens, floor
from labeller.terms.findings import NOWHERE, Finding, finding
from labeller.terms.floor import FloorCourse, FloorData, FloorDish, FloorTongue, Option
from labeller.terms.looks import Looks

SCRIPTS = ("floor_rule.js", "floor_page.js")
# Words of cards and sheets that the page says too.
SHARED = ("nothing on record", "ask", "not for this guest", "nothing asked", "no answer", "make fresh", "without",
          "with instead", "confirm", "and", "as written", "packs", "seat", "date", "date with weekday",
          "months", "weekdays", "cell contains", "cell to confirm", "cell equipment", "cell not confirmed")  # fmt: skip
STATE_WORDS = {allergens.CONTAINS: "cell contains", allergens.TO_CONFIRM: "cell to confirm",
               allergens.MAY_CONTAIN: "floor supplier", allergens.CROSS_CONTACT: "cell equipment",
               allergens.NOT_CONFIRMED: "cell not confirmed"}  # fmt: skip


class Spoken(Struct, frozen=True):
    """A language of the page, its words and what is known of it."""

    tongue: FloorTongue
    said: GuestWords


def floor_page(data: FloorData, looks: Looks, issue: str = "") -> tuple[str, tuple[Finding, ...]]:
    """The page as HTML text, and what is wrong with a template of the kitchen's own or missing in a language.

    Everything it needs is in it; a content security policy shuts out the network and any script but its own.
    issue: who signed this state, at the head, in a language that brings no line of its own.
    """
    spoken, silent = _spoken(data, looks, issue)
    style, found = source(looks, "floor_page.css")
    if "</" in style:
        line = style[: style.index("</")].count("\n") + 1
        style, found = shipped(looks, "floor_page.css"), (broken("floor_page.css", line, "“</” has no place in a style sheet"),)
    script = "\n".join(shipped(looks, each) for each in SCRIPTS)  # never a kitchen's own: the rule of labeller/terms/floor.py
    content, unread = _json(data, spoken)
    page, more = _page(data, spoken, looks, style, script, content)
    needed = {"style": style, "script": script, "json": content, "policy": _policy(style, script),
              "issue": _escaped(spoken[0].tongue.issue)}  # fmt: skip
    lost = [f"{{{{ {name} }}}}" for name, part in needed.items() if part not in page] + _lost_places(page, script)
    if lost:
        more += (broken("floor_page.html", 0, f"it leaves out {lost[0]}, without which the page gives no answers"),)
        page, _ = _page(data, spoken, replace(looks, folders=looks.folders[-1:]), style, script, content)
    return page, found + more + silent + unread


def _spoken(data: FloorData, looks: Looks, issue: str) -> tuple[tuple[Spoken, ...], tuple[Finding, ...]]:
    """Each language of the page with its words; those that are missing are told."""
    out, found = [], ()
    for tongue in data.tongues or (FloorTongue(ENGLISH),):
        said, silent = guest_words(looks, tongue.language)
        needed = (*SHARED, *(key for key in said.english if key.startswith(FLOOR)))
        found += silent_words(said, needed) if said.known else silent
        out.append(Spoken(replace(tongue, cautions=tongue.cautions or data.cautions, issue=tongue.issue or issue), said))
    return tuple(out), found


def _page(data: FloorData, spoken: tuple[Spoken, ...], looks: Looks, style: str, script: str,
          content: str) -> tuple[str, tuple[Finding, ...]]:  # fmt: skip
    from markupsafe import Markup

    first = spoken[0]
    line = _lines(data, first)
    values = {"data": data, "language": first.tongue.language, "own": data.language, "say": first.said.say, "line": line,
              "cautions": first.tongue.cautions, "languages": [(each.tongue.language, each.said) for each in spoken],
              "policy": Markup(_policy(style, script)), "style": Markup(style), "script": Markup(script),
              "json": Markup(content), "issue": line["issue"], "service": line["service"],
              "law": LAWS.get(data.law, data.law)}  # fmt: skip
    return render(looks, "floor_page.html", values, escape=True)


def _lost_places(page: str, script: str) -> list[str]:
    """Places that the script fills in and a template leaves out: without one of them it would stop in the middle."""
    wanted = dict.fromkeys(re.findall(r'node\("([a-z-]+)"\)', script))
    return [f'the place id="{each}"' for each in wanted if f'id="{each}"' not in page]


def _escaped(text: str) -> str:
    from markupsafe import escape

    return str(escape(text))


def _policy(style: str, script: str) -> str:
    return f"default-src 'none'; style-src '{_hash(style)}'; script-src '{_hash(script)}'; base-uri 'none'; form-action 'none'"


def _hash(text: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def _json(data: FloorData, spoken: tuple[Spoken, ...]) -> tuple[str, tuple[Finding, ...]]:
    """JSON that can stand inside a script element: no "<" that could close it, no line end that JavaScript doesn't allow."""
    content, found = as_json(data, spoken)
    text = json.dumps(content, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    for letter in "<>&\u2028\u2029":
        text = text.replace(letter, f"\\u{ord(letter):04x}")
    return text, found


def as_json(data: FloorData, spoken: tuple[Spoken, ...]) -> tuple[dict, tuple[Finding, ...]]:
    """What the page's script reads: the floor data, the words of the rule and of each language. A state gives its reasons by
    their place in ``reasons``, as each stands in many plates. The findings tell of reasons that a language can't say."""
    places = _reasons(data)
    tongues, found = {}, ()
    for each in spoken:
        tongues[each.tongue.language], told = _tongue(data, each, tuple(places))
        found += told
    return {
        "ask": "" if data.ask == floor.THE_KITCHEN else data.ask,
        "avoids": [{"key": one.key, "name": one.name, "words": list(one.words), "keys": list(one.keys),
                    "first": one.key in allergens.GROUPS} for one in data.avoids],
        "asked_back": [{"key": one.key, "words": list(one.words), "ticks": list(one.ticks)} for one in data.asked_back],
        "courses": [_course(course, nr, places) for nr, course in enumerate(data.courses, 1)],
        "ends": data.ends,
        "languages": [each.tongue.language for each in spoken],
        "own": data.language,
        "reasons": list(places),
        "rule": _rule(),
        "starts": data.starts,
        "title": f"{data.menu} · {data.kitchen}",
        "tongues": tongues,
    }, found  # fmt: skip


def _reasons(data: FloorData) -> dict[str, int]:
    """Each reason once -> its place."""
    texts = dict.fromkeys(text for course in data.courses for dish in course.dishes for option in dish.options
                          for state in option.states.values() for text in state.because)  # fmt: skip
    return {text: place for place, text in enumerate(texts)}


def _course(course: FloorCourse, number: int, places: dict[str, int]) -> dict:
    """title: "" for a course without one of the kitchen's own, which the page names in its language."""
    made = course.heading.made if course.heading else ""
    return {"title": "" if made else course.title, "made": made, "number": number,
            "dishes": [_dish(dish, places) for dish in course.dishes]}  # fmt: skip


def _dish(dish: FloorDish, places: dict[str, int]) -> dict:
    return {"name": dish.name, "also_called": list(dish.also_called), "stopped": dish.stopped,
            "options": [_option(option, places) for option in dish.options]}  # fmt: skip


def _option(option: Option, places: dict[str, int]) -> dict:
    changes = [{"component": one.component, "action": one.action, "with": one.with_} for one in option.changes]
    states = {key: {"state": one.state, "because": [places[text] for text in one.because]} for key, one in option.states.items()}
    return {"changes": changes, "states": states}


def _tongue(data: FloorData, spoken: Spoken, reasons: tuple[str, ...]) -> tuple[dict, tuple[Finding, ...]]:
    """Words, names and lines of one language. reasons: as texts that begin in the kitchen's own words and then take turns."""
    tongue, said = spoken.tongue, spoken.said
    made = [reason_pieces(text, said) for text in reasons]
    keys = [key for key in said.english if key.startswith("floor ")]
    content = {
        "cautions": list(tongue.cautions),
        "lines": _lines(data, spoken),
        "names": tongue.names,
        "reasons": [_in_turn(pieces) for pieces, _ in made],
        "say": {key: said.template(key) for key in (*SHARED, *keys)},
        "words": {key: list(words) for key, words in tongue.words.items()},
    }
    foreign = [text for text, (_, known) in zip(reasons, made, strict=True) if not known]
    return content, _foreign(tongue.language, foreign)


def _in_turn(pieces: list[tuple[str, bool]]) -> list[str]:
    texts = [text for text, _ in pieces]
    return texts if not pieces or pieces[0][1] else ["", *texts]


def _foreign(language: str, reasons: list[str]) -> tuple[Finding, ...]:
    if language == ENGLISH or not reasons:
        return ()
    more = f" and {len(reasons) - 1} more" if len(reasons) > 1 else ""
    text = f"“{language}” has no words for the grounds in “{reasons[0]}”{more}; they stand as they are"
    return (finding("sheet-language", NOWHERE, text, "explain them to the team"),)


def _lines(data: FloorData, spoken: Spoken) -> dict[str, str]:
    """Lines that don't change while the page is open."""
    said = spoken.said
    whom = said.say("floor ask the kitchen") if data.ask == floor.THE_KITCHEN else said.say("floor ask", data.ask)
    return {
        "issue": spoken.tongue.issue,
        "made": said.say("floor made", said.day(data.made), said.law(data.law), data.kitchen_version, data.data_version),
        "service": said.service(data.starts, data.ends) or said.say("floor no date"),
        "records": f"{said.say('floor from records')} {whom}",
    }


def _rule() -> dict:
    """The rule's own terms, the same in every language, and which words say them."""
    return {
        "nothing_on_record": floor.NOTHING_ON_RECORD, "ask": floor.ASK, "not_for_this_guest": floor.NOT_FOR_THIS_GUEST,
        "verdicts": list(floor.VERDICTS), "no_answer": floor.NO_ANSWER, "nothing_asked": floor.NOTHING_ASKED,
        "leave_off": floor.LEAVE_OFF, "instead": floor.INSTEAD, "none_on_record": allergens.NONE_ON_RECORD,
        "refused": [allergens.CONTAINS, allergens.TO_CONFIRM], "states": dict(STATE_WORDS),
    }  # fmt: skip
