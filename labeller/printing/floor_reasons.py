"""Reasons of the floor page in other languages: the path stays in the kitchen's own words, the grounds behind it are said anew.

A reason is ``path`` or ``path (grounds)``; the rooms below word the grounds in English, from the few forms of :data:`GROUNDS`.
``tests/test_floor_languages.py`` holds these forms against what the rooms say.
"""

from __future__ import annotations

import re

from labeller.printing.guest_words import GuestWords

Pieces = list[tuple[str, bool]]  # text, and whether it is in the kitchen's own words

# Forms of grounds as ``working/allergens.py`` and ``serving/guest_ingredients.py`` word them, tried in this order; several may
# stand behind each other with "; " between.
GROUNDS = {
    "why paper by": "{}: {}, checked {} by {}",
    "why paper": "{}: {}, checked {}",
    "why no paper": "kitchen's entry for {}, no evidence",
    "why printed with": 'printed "{}", {} with it: {}',
    "why looks like": 'printed "{}": {}?',
    "why printed": 'printed: "{}"',
    "why not settled": '"{}" does not settle it',
    "why words unknown": "words not known: {}",
    "why food row": "its food row is {}",
    "why usual": "usual in {}",
    "why always": "always in {}",
    "why possible": "possible in {}",
    "why nothing of this": 'nothing on record says what "{}" holds',
    "why nothing of it": "nothing on record says what it holds",
    "why listed only": "its papers are about the listed allergens only",
    "why only says": 'its pack only says "{}"',
    "why pack words": "its pack has words that are not known: {}",
    "why one batch": "cooked in one batch with {}: {}",
    "why also cooks since": "{} also cooks {}, oil or water changed {}",
    "why also cooks": "{} also cooks {}",
    "why no change date": "{}: no date of its last change of oil or water on record",
    "why no equipment": '"{}" does not say which fryer, pan or bath it shares',
    "why words say": '{} says "{}"',
}
FIGURE = "{} (gluten {} mg/kg on record)"
PAPERS = ("pack", "specification", "supplier", "single ingredient")
HOW_OFTEN = ("always", "usual", "possible")
PLACES = {"the name": "where name", "another name": "where other name", "the description": "where description",
          "the label name": "where label name", "the method": "where method", "the instructions": "where instructions",
          "an ingredient's name": "where ingredient"}  # fmt: skip
NOTE = "the note on {}"


def _form(text: str) -> re.Pattern[str]:
    return re.compile("(.+)".join(re.escape(part) for part in text.split("{}")))


_FORMS = {key: _form(text) for key, text in GROUNDS.items()}
_FIGURE, _NOTE = _form(FIGURE), _form(NOTE)


def reason_pieces(reason: str, said: GuestWords) -> tuple[Pieces, bool]:
    """The reason in a language, and whether its grounds were understood: if not, they stand as they are."""
    figure = _FIGURE.fullmatch(reason)
    if figure:
        inner, known = reason_pieces(figure.group(1), said)
        return _joined(_filled(said, "why gluten figure", [inner, _plain(figure.group(2))])), known
    if not reason.endswith(")"):
        return [(reason, True)], True
    for cut in re.finditer(r" \(", reason):
        grounds = _grounds(reason[cut.end() : -1], said)
        if grounds is not None:
            return _joined([(reason[: cut.start()], True), (" (", False), *grounds, (")", False)]), True
    return [(reason, True)], False


def _grounds(text: str, said: GuestWords) -> Pieces | None:
    """Grounds one behind the other, from the first "; " on that lets both sides be understood; else as one."""
    for cut in re.finditer("; ", text):
        first = _ground(text[: cut.start()], said)
        rest = _grounds(text[cut.end() :], said) if first is not None else None
        if first is not None and rest is not None:
            return [*first, ("; ", False), *rest]
    return _ground(text, said)


def _ground(text: str, said: GuestWords) -> Pieces | None:
    for key, form in _FORMS.items():
        found = form.fullmatch(text)
        parts = _parts(key, found.groups(), said) if found else None
        if parts is not None:
            return _filled(said, key, parts)
    return None


def _parts(key: str, groups: tuple[str, ...], said: GuestWords) -> list[Pieces] | None:
    """What goes into the holes of a form; None where a hole holds something else than the form is for."""
    parts: list[Pieces | None] = [[(text, True)] for text in groups]
    if key == "why words say":
        parts[0] = _place(groups[0], said)
    if key == "why printed with":
        parts[1] = _plain(said.say(f"where {groups[1]}")) if groups[1] in HOW_OFTEN else None
    if key.startswith("why paper"):
        parts[1] = _plain(said.say(f"paper {groups[1]}")) if groups[1] in PAPERS else None
        parts[2] = _plain(groups[2])
    return None if None in parts else parts  # type: ignore[return-value]


def _place(text: str, said: GuestWords) -> Pieces | None:
    if text in PLACES:
        return _plain(said.say(PLACES[text]))
    note = _NOTE.fullmatch(text)
    return _filled(said, "where note", [[(note.group(1), True)]]) if note else None


def _plain(text: str) -> Pieces:
    return [(text, False)]


def _filled(said: GuestWords, key: str, parts: list[Pieces]) -> Pieces:
    text, *rest = said.template(key).split("{}")
    out = _plain(text)
    for part, after in zip(parts, rest, strict=True):
        out += [*part, (after, False)]
    return out


def _joined(pieces: Pieces) -> Pieces:
    """Neighbours of one language as one piece, nothing empty."""
    out: Pieces = []
    for text, own in pieces:
        if out and out[-1][1] == own:
            out[-1] = (out[-1][0] + text, own)
        elif text:
            out.append((text, own))
    return out
