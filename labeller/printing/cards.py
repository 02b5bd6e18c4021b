"""Cards that guests read: the menu card and the tent card. What stands on them is a template of lines "style | text"."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from msgspec.structs import replace

from labeller.printing import sheet
from labeller.printing.guest_words import GuestWords, guest_words
from labeller.printing.markup import broken, render, source
from labeller.printing.sheet import MM, Bar, Ink, Item, Page, Row, Text
from labeller.printing.states import guest_lines
from labeller.terms.findings import NOWHERE, Finding, finding
from labeller.terms.kitchen import Menu
from labeller.terms.looks import Looks
from labeller.terms.record import Declaration
from labeller.terms.words import normalise

STYLES = ("kitchen", "title", "date", "course", "dish", "text", "allergens", "figures", "notice", "foot")
FOOT = ("notice", "foot")
_SCALES = (1.0, 0.95, 0.9, 0.85, 0.8)  # type sizes tried, of those of the style; allergens never go below "small"
_TENT_SCALES = (1.0, 0.9, 0.8, 0.7, 0.6, 0.5, 0.4)


class _Piece(NamedTuple):
    style: str
    text: str


class Tongue(NamedTuple):
    """A further language of a card: the same dishes declared in it, and its words for kinds."""

    language: str
    declarations: Sequence[Declaration]
    names: Mapping[str, str]


class _Spoken(NamedTuple):
    words: GuestWords
    declarations: Mapping[str, Declaration]
    names: Mapping[str, str]


def menu_card_pdf(menu: Menu, declarations: Sequence[Declaration], *, date: str, page: str = "A4", kitchen_name: str = "",
                  language: str = "en", looks: Looks, nutrition: bool = False, names: Mapping[str, str] | None = None,
                  issue: str = "", choices: Mapping[tuple[str, ...], str] | None = None,
                  also: Sequence[Tongue] = (), code: str = "") -> tuple[bytes, tuple[Finding, ...]]:  # fmt: skip
    """The menu card. choices: dishes of a course -> its energy in the law's form for a choice.

    Figures stand under a dish where its declaration says that law or kitchen asks for them, and under all with
    ``nutrition``; the sentences that a law prescribes for a menu with figures then stand at the foot. also: further
    languages, whose allergen lines and notices stand under those of the first. code: address of the record, as a QR code
    where there is room. Other arguments as for :func:`labeller.printing.matrix.matrix_pdf`.
    """
    words, silent = guest_words(looks, language)
    others, told = _tongues(looks, also)
    silent += told
    by_name = {normalise(one.dish): one for one in declarations}
    missing = [name for name in menu.dishes() if normalise(name) not in by_name]
    dishes = {name: _dish(by_name.get(normalise(name)), name, nutrition, names or {}, words, others) for name in menu.dishes()}
    listed = [(course.title, course.dishes) for course in menu.courses] + ([("", menu.packs)] if menu.packs else [])
    courses = [{"title": title if not place or title != listed[place - 1][0] else "", "dishes": [dishes[name] for name in inside],
                "figures": [choices[inside]] if choices and choices.get(inside) else []}
               for place, (title, inside) in enumerate(listed)]  # fmt: skip
    values = {"kitchen": kitchen_name, "menu": menu.name, "courses": courses, **_common(declarations, nutrition, words, others),
              "date": words.day(date, weekday=True) if date else words.service(menu.starts, menu.ends)}  # fmt: skip
    said = [line for course in courses for dish in course["dishes"] for line in dish["allergens"]]
    pieces, found = _pieces(looks, "menu_card.txt", values, said)
    pieces = _with_issue(pieces, issue)
    size = sheet.page_size(looks, page)
    pages = sheet.with_code(_card_pages(looks, pieces, size, words), size, code)
    data = sheet.paint(pages, size, title=menu.name, author=kitchen_name, subject=_versions(declarations), language=language)
    gone = tuple(finding("dish-without-declaration", menu.place, f"“{name}” of the menu “{menu.name}” has no declaration",
                         "run labeller check and mend what stops it") for name in missing)  # fmt: skip
    return data, found + gone + sheet.letters_and_fonts(pages, looks) + silent


def tent_card_pdf(declarations: Sequence[Declaration], *, date: str, page: str = "A4", per_page: int = 1,
                  kitchen_name: str = "", language: str = "en", looks: Looks, nutrition: bool = False,
                  names: Mapping[str, str] | None = None, issue: str = "", also: Sequence[Tongue] = (),
                  code: str = "") -> tuple[bytes, tuple[Finding, ...]]:  # fmt: skip
    """A folded card for each dish, the same on both faces; a QR code has no place on it (``code`` is not used). per_page 1: the
    sheet folds once across; 2: the sheet is cut into two, each of which folds once."""
    words, silent = guest_words(looks, language)
    others, told = _tongues(looks, also)
    silent += told
    wide = per_page == 2
    size = sheet.page_size(looks, page, landscape=wide)
    width = size[0] / per_page
    found: list[Finding] = []
    faces: list[list[Item]] = []
    for one in declarations:
        dish = _dish(one, one.dish, nutrition, names or {}, words, others)
        values = {"kitchen": kitchen_name, "dish": dish, "date": words.day(date), **_common([one], nutrition, words, others)}
        pieces, more = _pieces(looks, "tent_card.txt", values, dish["allergens"])
        found += [each for each in more if each not in found]
        face, fits = _face(looks, _with_issue(pieces, issue), width, size[1] / 2)
        if not fits:
            text = f"the tent card of “{one.dish}” is too full for its face even at the smallest type"
            found.append(finding("sheet-too-full", NOWHERE, text, "shorten its description, or print one card a sheet"))
        faces.append(face)
    pages = [tuple(_tents(faces[start : start + per_page], width, size, looks)) for start in range(0, len(faces), per_page)]
    data = sheet.paint(pages, size, title="Tent cards", author=kitchen_name, subject=_versions(declarations), language=language)
    return data, tuple(found) + sheet.letters_and_fonts(pages, looks) + silent


def _tongues(looks: Looks, also: Sequence[Tongue]) -> tuple[list[_Spoken], tuple[Finding, ...]]:
    out, found = [], ()
    for one in also:
        words, silent = guest_words(looks, one.language)
        out.append(_Spoken(words, {normalise(each.dish): each for each in one.declarations}, one.names))
        found += silent
    return out, found


def _common(declarations: Sequence[Declaration], nutrition: bool, words: GuestWords, others: Sequence[_Spoken]
            ) -> dict[str, object]:  # fmt: skip
    notes = dict.fromkeys(note for one in declarations if nutrition or one.nutrition_shown for note in one.menu_sentences)
    day = declarations[0].law_date if declarations else ""
    spoken = [words, *(each.words for each in others)]
    told = {key: " / ".join(dict.fromkeys(each.say(key) for each in spoken)) for key in ("notice", "buffet")}
    told["records"] = " / ".join(dict.fromkeys(each.say("records", each.day(day) if day else "") for each in spoken))
    return {"checked": words.day(day) if day else "", "sentences": list(notes), **told}


def _with_issue(pieces: list[_Piece], issue: str) -> list[_Piece]:
    """Who signed this state stands last at the foot, whatever the template holds."""
    return [*pieces, _Piece("foot", issue)] if issue else pieces


def _versions(declarations: Sequence[Declaration]) -> str:
    one = declarations[0] if declarations else None
    return f"law {one.law} of {one.law_date} · kitchen {one.kitchen_version} · data {one.data_version}" if one else ""


def _dish(one: Declaration | None, name: str, nutrition: bool, names: Mapping[str, str], words: GuestWords,
          others: Sequence[_Spoken] = ()) -> dict[str, object]:  # fmt: skip
    """What a template may use of a dish; a dish without a declaration has no answer."""
    if one is None:
        spoken = dict.fromkeys([words.say("no answer"), *(each.words.say("no answer") for each in others)])
        return {"name": name, "description": "", "allergens": list(spoken), "figures": []}
    lines = [line for each in others if (other := each.declarations.get(normalise(one.dish)))
             for line in guest_lines(other, each.names, each.words)]  # fmt: skip
    figures = []
    if (nutrition or one.nutrition_shown) and one.rows and not one.stopped and not one.record.nutrition_stopped:
        figures = [f"{one.portion_words}: " + ", ".join(f"{row.name} {row.per_portion}" for row in one.rows if row.per_portion)]
    elif one.menu_energy and not one.stopped:
        figures = [one.menu_energy]
    return {"name": one.title or one.dish, "description": one.record.description, "figures": figures,
            "allergens": [*guest_lines(one, names, words), *lines]}  # fmt: skip


def _pieces(looks: Looks, name: str, values: dict[str, object], said: Sequence[str]) -> tuple[list[_Piece], tuple[Finding, ...]]:
    """Lines of the filled-in template. One of the kitchen's own that holds an unknown style or leaves an allergen line out is
    a finding, and the shipped one is used."""
    text, found = render(looks, name, _flat(values))
    pieces, fault = _read(text)
    shown = [piece.text for piece in pieces if piece.style == "allergens"]
    if not fault and any(shown.count(line) < said.count(line) for line in said):
        lost = next(line for line in said if shown.count(line) < said.count(line))
        fault = f"it leaves out the allergen line “{lost}”"
    if not fault:
        return pieces, found
    if len(looks.folders) == 1:
        raise ValueError(f"the shipped {name} is broken: {fault}")
    shipped = replace(looks, folders=looks.folders[-1:])
    pieces, _ = _read(render(shipped, name, _flat(values))[0])
    return pieces, (*found, broken(name, _line_of(looks, name, fault), fault))


def _line_of(looks: Looks, name: str, fault: str) -> int:
    style = fault.split("“")[1].split("”")[0] if fault.startswith("there is no style") else None
    lines = source(looks, name)[0].splitlines()
    return next((number for number, line in enumerate(lines, 1) if style and line.split("|")[0].strip() == style), 0)


def _flat(value: object) -> object:
    """Every text on one line, so that no name can start a line of its own."""
    if isinstance(value, dict):
        return {key: _flat(each) for key, each in value.items()}
    if isinstance(value, list):
        return [_flat(each) for each in value]
    return " ".join(value.split()) if isinstance(value, str) else value


def _read(text: str) -> tuple[list[_Piece], str]:
    pieces = []
    for line in text.splitlines():
        if not line.strip():
            continue
        style, bar, words = line.partition("|")
        if not bar or style.strip() not in STYLES:
            return [], f"there is no style “{style.strip()}”; the styles are {', '.join(STYLES)}"
        if words.strip():
            pieces.append(_Piece(style.strip(), words.strip()))
    return pieces, ""


# --- setting -----------------------------------------------------------------------------------------------------------


class _Block(NamedTuple):
    """What stays together: a dish with all its lines, with the course's title where one starts. above: gap before it."""

    rows: tuple[Row, ...]
    above: float


def _inks(looks: Looks, scale: float, tent: bool) -> Callable[[str], Ink]:
    face, small = sheet.faces(looks), looks.number("type pt", "small")
    quiet = looks.number("grey percent", "quiet") / 100

    def points(key: str) -> float:
        least = looks.number("type pt", "tent small") * 0.85 if tent else small  # a buffet is read standing
        return max(looks.number("type pt", key) * scale, least)

    def ink(style: str) -> Ink:
        if tent:
            table = {"dish": Ink(face.bold, points("tent dish")), "text": Ink(face.italic, points("tent body")),
                     "allergens": Ink(face.regular, points("tent body")), "notice": Ink(face.regular, points("tent small")),
                     "foot": Ink(face.regular, points("tent small"), quiet)}  # fmt: skip
            return table.get(style, Ink(face.regular, points("tent small")))
        table = {"kitchen": Ink(face.regular, points("card body"), quiet), "title": Ink(face.bold, points("card title")),
                 "date": Ink(face.regular, points("card body")), "course": Ink(face.italic, points("card body"), quiet),
                 "dish": Ink(face.bold, points("card dish")), "text": Ink(face.regular, points("card body")),
                 "notice": Ink(face.bold, points("card small")), "foot": Ink(face.regular, small, quiet)}  # fmt: skip
        return table.get(style, Ink(face.regular, points("card small")))

    return ink


def _runs(piece: _Piece, ink: Ink, looks: Looks) -> list[tuple[str, Ink]]:
    """The words before the colon of an allergen line in bold: they say what kind of line it is."""
    lead, colon, rest = piece.text.partition(": ")
    bold = ink._replace(font=sheet.faces(looks).bold)
    if piece.style != "allergens":
        return [(piece.text, ink)]
    return [(f"{lead}: ", bold), (rest, ink)] if colon else [(piece.text, bold if piece.text.isupper() else ink)]


def _blocks(looks: Looks, pieces: Sequence[_Piece], width: float, scale: float, tent: bool = False) -> list[_Block]:
    lead, ink = looks.number("leading"), _inks(looks, scale, tent)
    gap = looks.number("gap mm", "block") * MM * scale
    above = {"course": gap * 1.7, "dish": gap * 1.5, "title": gap * 0.5, "date": gap * 0.7}
    out: list[_Block] = []
    held = False
    for piece in pieces:
        runs = _runs(piece, ink(piece.style), looks)
        least = sheet.string_width(*runs[0]) if len(runs) > 1 else 0.0
        rows = sheet.balanced(runs, width, lead, least)
        starts = piece.style in ("course", "kitchen") or (piece.style == "dish" and not held) or not out
        if starts:
            out.append(_Block(rows, above.get(piece.style, 0.0) if out else 0.0))
        else:
            out[-1] = out[-1]._replace(rows=out[-1].rows + rows)
        held = piece.style == "course"
    return out


def _foot_rows(looks: Looks, pieces: Sequence[_Piece], width: float, scale: float, tent: bool = False) -> list[Row]:
    ink, lead = _inks(looks, scale, tent), looks.number("leading")
    return [row for piece in pieces if piece.style in FOOT
            for row in sheet.balanced([(piece.text, ink(piece.style))], width, lead)]  # fmt: skip


def _card_pages(looks: Looks, pieces: Sequence[_Piece], size: tuple[float, float], words: GuestWords) -> list[Page]:
    """The largest type that keeps the card on one page; else full size on as many pages as it takes."""
    margin = looks.number("margin mm", "card") * MM
    width = size[0] - 2 * margin
    body = [piece for piece in pieces if piece.style not in FOOT]
    best: list[list[_Block]] = []
    used = 1.0
    for scale in _SCALES:
        foot = sheet.height(_foot_rows(looks, pieces, width, scale))
        room = size[1] - 2 * margin - foot - 2 * looks.number("gap mm", "block") * MM
        blocks = _blocks(looks, body, width, scale)
        dealt = _deal(blocks, room)
        evened = (_deal(blocks, room * share / 20) for share in range(10, 20))
        dealt = next((each for each in evened if len(each) == len(dealt) > 1), dealt)
        if not best or len(dealt) < len(best):
            best, used = dealt, scale
        if len(dealt) == 1:
            break
    count = len(best)
    return [_card_page(looks, blocks, pieces, size, used, words.say("page", number, count) if count > 1 else "")
            for number, blocks in enumerate(best, 1)]  # fmt: skip


def _deal(blocks: Sequence[_Block], room: float) -> list[list[_Block]]:
    out: list[list[_Block]] = [[]]
    left = room
    for block in blocks:
        tall = sheet.height(block.rows)
        if out[-1] and block.above + tall > left:
            out.append([])
            left = room
        left -= tall + (block.above if out[-1] else 0.0)
        out[-1].append(block)
    return out


def _card_page(looks: Looks, blocks: Sequence[_Block], pieces: Sequence[_Piece], size: tuple[float, float], scale: float,
               page: str) -> Page:  # fmt: skip
    margin, gap = looks.number("margin mm", "card") * MM, looks.number("gap mm", "block") * MM
    width = size[0] - 2 * margin
    foot = _foot_rows(looks, pieces, width, scale)
    if page:
        foot += sheet.set_lines([(page, _inks(looks, scale, False)("foot"))], width, 1.2)
    room = size[1] - 2 * margin - sheet.height(foot) - 2 * gap
    used = sum(sheet.height(block.rows) + (block.above if place else 0.0) for place, block in enumerate(blocks))
    spread = min(max(room - used, 0.0) / max(len(blocks), 1), gap * 2.2)
    items: list[Item] = []
    y = size[1] - margin
    for place, block in enumerate(blocks):
        y -= (block.above + spread) if place else 0.0
        items += sheet.place(block.rows, margin, y, width, "centre")
        y -= sheet.height(block.rows)
    bottom = margin + sheet.height(foot)
    rule = looks.number("rule mm", "thin") * MM
    items.append(Bar(size[0] / 2 - 12 * MM, bottom + gap * 0.8, 24 * MM, rule, 1.0))
    return tuple(items + sheet.place(foot, margin, bottom, width, "centre"))


def _face(looks: Looks, pieces: Sequence[_Piece], width: float, height: float) -> tuple[list[Item], bool]:
    """One face, lower left corner at 0, 0; and whether everything found its place."""
    margin = looks.number("margin mm", "tent") * MM
    room, inner = height - 2 * margin, width - 2 * margin
    body = [piece for piece in pieces if piece.style not in FOOT]
    for scale in _TENT_SCALES:
        blocks = _blocks(looks, body, inner, scale, tent=True)
        foot = _foot_rows(looks, pieces, inner, max(scale, 0.7), tent=True)
        rows = [row for block in blocks for row in block.rows]
        spare = room - sheet.height(rows) - sheet.height(foot) - looks.number("gap mm", "block") * MM
        if spare >= 0 and not any(row.broken for row in rows):
            break
    top = height - margin - max(spare, 0.0) * 0.45
    items: list[Item] = list(sheet.place(rows, margin, top, inner, "centre"))
    return items + sheet.place(foot, margin, margin + sheet.height(foot), inner, "centre"), spare >= 0


def _tents(faces: Sequence[list[Item]], width: float, size: tuple[float, float], looks: Looks) -> list[Item]:
    """Faces side by side: upright below the fold, upside down above it. Short marks show where to fold and where to cut."""
    out: list[Item] = []
    for number, face in enumerate(faces):
        for item in face:
            if isinstance(item, Text):
                out.append(item._replace(x=item.x + number * width))
                out.append(item._replace(x=(number + 1) * width - item.x, y=size[1] - item.y, turned=True))
    mark, hair, black = 5 * MM, looks.number("rule mm", "hair") * MM, looks.number("grey percent", "rule") / 100
    out += [Bar(0, size[1] / 2, mark, hair, black), Bar(size[0] - mark, size[1] / 2, mark, hair, black)]
    if len(faces) > 1 or width < size[0]:
        out += [Bar(width, 0, hair, mark, black), Bar(width, size[1] - mark, hair, mark, black)]
    return out
