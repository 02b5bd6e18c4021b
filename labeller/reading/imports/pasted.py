"""Plain text: ingredient lists as people write them ("2 large eggs, beaten"), one ingredient a line.

A line comes apart into amount, name and a note only where that can be done in one way.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from typing import NamedTuple

from labeller.reading.amounts import FLUID_OUNCE, MASS_GRAMS, TWO_MEANINGS, UNIT_WORDS, VAGUE, VOLUMES, read_amount, tidy
from labeller.reading.entries import is_placeholder
from labeller.reading.imports import words
from labeller.reading.imports.found import FoundLine, FoundRecipe, settle_amount, yield_fields
from labeller.terms.findings import Place
from labeller.terms.words import singular

Known = Callable[[str], bool]  # whether a name is one that the kitchen, or the tables of names, know
WHOLE = ('is "', 'does "')  # questions about words that may change what the ingredient is
LONGEST = 20  # words; an ingredient line is shorter, a sentence of a method is longer
APART = 1.10  # two statements of one weight that differ by more than this factor are asked about
_NUMBER = r"(?:\d+ \d+/\d+|\d+/\d+|\d+(?:[.,]\d+)*|[.,]\d+)"
_LEAD = rf"({_NUMBER})(?:\s?(?:-|to|bis|à|or)\s?({_NUMBER}))?(?![\d/])\s*"
_TIMES = rf"(\d+)\s?[x*]\s?(?={_NUMBER})"
_BULLET = r"^(?:[-•*‣▪▢□☐·–—]|\[ ?\])\s+"
_INNER = r"\(([^()]*)\)"
_TRAILING = rf"^(.*?[^\W\d_][^\d]*?)\s*(?:[:=\t…]|\.{{2,}}|,|-|\s)\s*({_NUMBER}(?:\s?-\s?{_NUMBER})?\s*[^\W\d_]*\.?)$"
_ALTERNATIVE = rf"^\s*(?:/\s*|\(\s*(?:about |approx\.? |ca\.? )?)({_NUMBER}(?:\s?-\s?{_NUMBER})?)\s*([^\W\d_]+(?: oz)?)\.?\s*\)?"
_OF_FRUIT = r"(?i)^(?:the )?(?:(?:finely |freshly )?(?:grated|squeezed) )?(juice|zest|rind)(?: and (juice|zest))? of (.+)$"


class _Amount(NamedTuple):
    """What stood at the head of a line. typed: the amount as it will be typed. rest: what stands behind. note: a second statement
    of the amount, kept. asked: questions. counted: pieces, not a weight or volume."""

    typed: str
    rest: str
    notes: tuple[str, ...] = ()
    asked: tuple[str, ...] = ()
    counted: bool = False


def read_text(text: str, file: str, known: Known, name: str = "", kind: str = "recipe") -> tuple[FoundRecipe, ...]:
    """The one recipe of a plain text. name: "" where the text's own first line is to be it; a recipe without one has ""."""
    lines = [(nr, line.strip()) for nr, line in enumerate(text.replace("\r\n", "\n").replace("\r", "\n").split("\n"), 1)]
    filled = [pair for pair in lines if pair[1]]
    title, filled = (name, filled) if name else _titled(lines, filled)
    found: list[FoundLine] = []
    fields: dict[str, str] = {}
    remarks: list[str] = []
    asked: list[str] = []
    for at, (nr, line) in enumerate(filled):
        bare = line.strip(" :").lower()
        if bare in words.METHOD_HEADS:
            remarks = [each for _, each in filled[at:]]
            break
        if bare in words.INGREDIENT_HEADS:
            continue
        if bare.startswith((*words.MAKES_WORDS, *words.SERVES_WORDS)) and any(char.isdigit() for char in bare) and not found:
            pairs, question = yield_fields(line)
            fields.update(pairs)
            if question:
                asked.append(question)
            continue
        one = read_line(line, known, Place(file, nr))
        if one is not None:
            found.append(one)
    left_out = ("the method",) if remarks else ()
    return (
        FoundRecipe(title, tuple(found), Place(file, 1), kind, tuple(fields.items()), tuple(remarks), tuple(asked), left_out),
    )


def _titled(lines: list[tuple[int, str]], filled: list[tuple[int, str]]) -> tuple[str, list[tuple[int, str]]]:
    """The first line is a name where a blank line, or a line that says what follows, comes behind it."""
    if not filled:
        return "", filled
    nr, first = filled[0]
    after = lines[nr][1].strip(" :").lower() if nr < len(lines) else "x"
    says = not after or after in words.INGREDIENT_HEADS or after.startswith((*words.SERVES_WORDS, *words.MAKES_WORDS))
    named = says and len(filled) > 1 and not any(char.isdigit() for char in first) and not first.endswith(":")
    if named and first.lower() not in words.INGREDIENT_HEADS and re.match(_BULLET, first) is None:
        return first, filled[1:]
    return "", filled


def read_lines(texts: Iterable[tuple[str, Place]], known: Known) -> tuple[FoundLine, ...]:
    found = (read_line(text, known, place) for text, place in texts)
    return tuple(one for one in found if one is not None)


def read_line(text: str, known: Known, place: Place) -> FoundLine | None:
    """One line of an ingredient list; None for a blank one. Never raises."""
    stood = " ".join("".join(char if char.isprintable() else " " for char in text).split())
    clean = tidy(re.sub(_BULLET, "", stood)).strip(" ;,")
    if not clean or not any(char.isalnum() for char in clean):
        return None if not clean else FoundLine(stood, stood, asked=("there is no word in this line",), place=place)
    if _is_heading(clean, known):
        return FoundLine(stood, asked=("a heading",), place=place)
    amount = _amount(clean, known)
    line = _named(stood, amount, known, place)
    if len(clean.split()) > LONGEST and not line.asked:
        return FoundLine(stood, clean, asked=("this is long for an ingredient; is it one?",), place=place)
    return line


def _is_heading(clean: str, known: Known) -> bool:
    if any(char.isdigit() for char in clean) or known(clean):
        return False
    low = clean.lower()
    return clean.endswith(":") or (low.startswith(words.HEADING_STARTS) and "," not in clean)


# -- amounts ---------------------------------------------------------------------------------------------------------------


def _amount(clean: str, known: Known) -> _Amount:
    clean = re.sub(r"(?i)^half (?:an? |of an? )?(?=[^\W\d_])", "1/2 ", clean)
    low = clean.lower()
    about = next((word for word in words.ABOUT if low.startswith(word)), "")
    body = clean[len(about) :].lstrip()
    times = re.match(_TIMES, body)
    count = times[1] if times else ""
    lead = re.match(_LEAD, body[times.end() :] if times else body)
    if lead is None:
        return _without_number(clean, known)
    number = lead[1] + (f"-{lead[2]}" if lead[2] else "")
    if " or " in lead[0]:
        number = lead[0].strip()
    rest = (body[times.end() :] if times else body)[lead.end() :]
    made = _with_rest(f"{count} x {number}" if count else number, rest, known)
    if about and not made.asked:
        typed = f"{about.strip()} {made.typed}"
        return made._replace(typed=typed, asked=(f'"{typed}" is not a figure that can be weighed again; type {made.typed}',))
    return made


def _with_rest(number: str, rest: str, known: Known) -> _Amount:
    """The number is read; is it a unit, a piece or a name that stands behind?"""
    if re.match(r"-[^\W\d_]", rest):  # "2-inch piece"
        rest = rest[1:]
    packed = re.match(_INNER, rest)
    if packed and _weighs(packed[1]):
        return _packs(number, packed[1].strip(), rest[packed.end() :].strip())
    unit, shown, behind = _unit(rest)
    if unit:
        return _measured(f"{number} {unit}".strip(), shown, behind)
    return _counted(number, rest)


def _weighs(text: str) -> bool:
    amount, asked = read_amount(tidy(text))
    return amount is not None and asked is None and (amount.unit in MASS_GRAMS or amount.unit in VOLUMES) and not amount.vague


def _packs(number: str, inner: str, rest: str) -> _Amount:
    """ "1 (400 g) tin", "2 (400 g) tins"."""
    first, _, behind = rest.partition(" ")
    word = first.lower() in words.PIECE_UNITS
    typed = inner if number == "1" else f"{number} x {inner}"
    settled = settle_amount(typed)
    note = (f"{number} {first}",) if word else ()
    return _Amount(settled.typed, _without_of(behind if word else rest), note, (settled.asked,) if settled.asked else ())


def _measured(typed: str, spoon: str, behind: str) -> _Amount:
    """A weight or volume, perhaps stated a second time ("250 g (1 cup)", "200 g/7 oz")."""
    second = re.match(_ALTERNATIVE, behind)
    notes: tuple[str, ...] = (spoon,) if spoon else ()
    asked: list[str] = []
    if second and _unit(f"{second[2]} ")[0]:
        other = f"{second[1]} {second[2]}"
        behind = behind[second.end() :]
        small = re.match(rf"\s*({_NUMBER})\s*([^\W\d_]+)\b\.?", behind)
        if small and read_amount(f"{other} {small[0].strip()}")[1] is None:
            other, behind = f"{other} {small[0].strip()}", behind[small.end() :]  # "4lb 8oz"
        typed, kept, question = _better(typed, other)
        notes = (*notes, kept)
        asked += [question] if question else []
    compound = re.match(rf"\s*({_NUMBER})\s*([^\W\d_]+)\b\.?", behind)
    if compound and read_amount(f"{typed} {compound[0].strip()}")[1] is None:
        typed, behind = f"{typed} {compound[0].strip()}", behind[compound.end() :]  # "1 lb 4 oz"
    more = re.match(rf"(?i)\s*(?:plus|\+|and|et|und)\s+{_LEAD}", behind)
    if more:
        unit, _, name = _unit(behind[more.end() :])
        whole = f"{typed} plus {more[1]} {unit}"
        return (
            _Amount(whole, name.strip(), notes, ("two amounts stand in one line",))
            if unit
            else _Amount(typed, behind.strip(), notes, ("two amounts stand in one line",))
        )
    settled = settle_amount(typed)
    if settled.asked:
        asked.append(settled.asked)
    elif spoon:
        asked.append(f'"{spoon}" depends on who fills the measure; weigh it once')
    pack, _, name = behind.strip().partition(" ")
    if _is_pack(pack) and name:
        notes, behind = (*notes, pack), name
    return _Amount(settled.typed, _without_of(behind.strip(" .")), notes, tuple(asked))


def _is_pack(word: str) -> bool:
    """A tin, a jar, a packet: it has a weight of its own, with or without what is poured off."""
    return words.PIECE_UNITS.get(word.lower().strip("."), "") in words.PACKS


def _better(one: str, other: str) -> tuple[str, str, str]:
    """(the statement to take, the other, a question): grams before ounces, weight before volume."""
    first, second = (read_amount(tidy(text))[0] for text in (one, other))
    if first is None or second is None:
        return one, other, "two amounts are given and one of them is not read"
    order = ("g", "kg", "mg", "ml", "cl", "dl", "l")

    def rank(amount) -> int:
        return (
            order.index(amount.unit)
            if amount.unit in order[:3]
            else 5
            if amount.unit in MASS_GRAMS
            else 7
            if amount.unit in order
            else 9
        )

    taken, kept = (other, one) if rank(second) < rank(first) else (one, other)
    question = ""
    if first.unit in MASS_GRAMS and second.unit in MASS_GRAMS:
        grams = sorted(amount.number.mid * MASS_GRAMS[amount.unit] for amount in (first, second))
        if grams[1] > APART * grams[0]:
            question = f"{one} is not {other}"
    return taken, kept, question


def _counted(number: str, rest: str) -> _Amount:
    """Pieces: "2 large eggs", "3 cloves garlic", "2 onions"."""
    parts = rest.split(" ")
    taken: list[str] = []
    pack = False
    while parts and parts[0].lower() in words.SIZES:
        taken.append(parts.pop(0).lower())
    first = parts[0].lower().strip(".") if parts else ""
    if first in words.LENGTHS and len(parts) > 1:
        skip = 2 if len(parts) > 2 and parts[1].lower() in ("piece", "pieces", "stick", "length") else 1
        typed = " ".join([number, *parts[:skip]])
        return _Amount(typed, _without_of(" ".join(parts[skip:])), (), (f'"{typed}" is a length; weigh it once',), True)
    if first in ("dozen", "doz"):
        taken.insert(0, parts.pop(0).lower())
        first = ""
    if first in words.UNMEASURED:
        known_piece = len(parts) > 2 and parts[1].lower() in (*words.PIECE_UNITS, *UNIT_WORDS)
        piece = parts[1] if first in words.SOME and known_piece else ""
        behind = _without_of(" ".join(parts[2 if piece else 1 :]))
        shown = f"{'a' if number == '1' else number} {first} {piece}".strip()
        typed = "" if first in words.SOME else " ".join([number, *taken, first])
        return _Amount(typed, behind, () if typed else (shown,), (f'"{shown}" is no measure; weigh it once',), True)
    if first in words.PIECE_UNITS and len(parts) > 1:
        piece = words.PIECE_UNITS[first]
        taken += [] if piece in ("piece", "pieces") and taken else [piece]
        pack = _is_pack(parts.pop(0))
        weight = re.match(_INNER, " ".join(parts))
        if number == "1" and weight and _weighs(weight[1]):
            return _Amount(settle_amount(weight[1]).typed, _without_of(" ".join(parts)[weight.end() :].strip()), (f"1 {piece}",))
    elif parts and parts[0].lower() == "whole" and len(parts) > 1:
        taken += [] if taken else ["whole"]
        parts.pop(0)
    settled = settle_amount(" ".join([number, *taken]))
    name = _without_of(" ".join(parts))
    return _Amount(settled.typed, name, (), (settled.asked,) if settled.asked else (), not pack)


def _unit(rest: str) -> tuple[str, str, str]:
    """(unit as it will be typed, how the spoon was filled, what stands behind), ("", "", rest) where there is no unit."""
    low = rest.lower()
    for phrase in FLUID_OUNCE:
        if low.startswith(phrase):
            return "fl oz", "", rest[len(phrase) :].lstrip(" s.")
    for phrase, unit in words.FOREIGN_UNITS.items():
        if low.startswith(phrase) and not low[len(phrase) : len(phrase) + 1].isalpha():
            return unit, "", rest[len(phrase) :].strip(" .")
    hit = re.match(r"[^\W\d_]+", rest)
    word = hit[0] if hit else ""
    behind = rest[len(word) :].lstrip(".")
    if word.lower() in words.SPOON_WORDS:
        unit, _, tail = _unit(behind.strip())
        return (unit, word.lower(), tail) if unit else ("", "", rest)
    if word in TWO_MEANINGS and (not behind or behind[0] in " .("):
        return word, "", behind
    if word.lower() in UNIT_WORDS and (not behind or not behind[0].isalpha()):
        return word, "", behind
    return "", "", rest


def _without_of(text: str) -> str:
    low = text.lower()
    word = next((word for word in words.OF if low.startswith(word)), "")
    return text[len(word) :].strip()


def _without_number(clean: str, known: Known) -> _Amount:
    """No number first: "salt, to taste", "Flour: 200 g", "pinch of salt", "butter"."""
    low = clean.lower()
    for phrase, typed in (*((word, VAGUE.get(word, "as needed")) for word in words.TO_TASTE), *words.FOREIGN_TASTE.items()):
        if low.endswith(phrase) and len(low) > len(phrase):
            return _Amount(typed, clean[: -len(phrase)].strip(" ,;:(-"))
        if low.endswith(f"({phrase})"):
            return _Amount(typed, clean[: -len(phrase) - 2].strip(" ,;"))
    behind = re.match(_TRAILING, clean)
    if behind and settle_amount(behind[2].strip()).asked == "" and not known(clean):
        unit = re.sub(r"[\d\s.,/-]", "", behind[2]).lower()
        if not unit or unit in UNIT_WORDS or unit in words.PIECE_UNITS or unit in words.SIZES or unit in words.FOREIGN_UNITS:
            typed = re.sub(
                r"[^\W\d_]+\.?$", lambda hit: words.FOREIGN_UNITS.get(hit[0].lower().strip("."), hit[0]), behind[2].strip()
            )
            return _Amount(settle_amount(typed).typed, behind[1].strip(" ,:-"), counted=not unit)
    first = low.partition(" ")[0]
    if first in ("pinch", "dash", "drop", "dozen", "prise", "pincée") and " " in clean:
        unit = words.FOREIGN_UNITS.get(first, first)
        return _Amount(f"1 {unit}", _without_of(clean[len(first) :].strip()))
    if first in words.UNMEASURED and " " in clean:
        _, second, behind = (*clean.split(" ", 2), "")[:3]
        piece = bool(behind) and second.lower() in (*words.PIECE_UNITS, *UNIT_WORDS)
        shown = f"{first} {second}" if piece else first
        rest = _without_of(behind if piece else clean[len(first) :].strip())
        return _Amount("", rest, (shown,), (f'"{shown}" is no measure; weigh it once',))
    return _Amount("", clean)


# -- names -----------------------------------------------------------------------------------------------------------------


def _named(stood: str, amount: _Amount, known: Known, place: Place) -> FoundLine:
    asked = list(amount.asked)
    fruit = re.match(_OF_FRUIT, amount.rest)
    if fruit:
        asked.append("how much juice or zest that is, is not written")
        fruit_name = re.sub(
            rf"^(?:{_NUMBER}|a|an|half a|one|two)\s+(?:large |small |medium )?", "", tidy(fruit[3]).partition(",")[0]
        ).strip()
        fruit_name = " ".join((*fruit_name.split(" ")[:-1], singular(fruit_name.split(" ")[-1])))
        name = f"{fruit_name} {fruit[1].lower()}" if not fruit[2] else amount.rest
        return FoundLine(stood, name, (("note", amount.rest),), tuple(asked), place)
    name, notes, questions = name_and_notes(amount.rest, amount.counted or not amount.typed, known)
    asked += questions
    typed = amount.typed
    if not any(char.isalnum() for char in name) or is_placeholder(name):
        return FoundLine(stood, stood, asked=("no ingredient's name is written",), place=place)
    purpose = any(note.startswith(("for ", "to serve", "to decorate", "pour ", "zum ", "per ")) for note in notes)
    if not typed and not asked:
        asked.append("no amount is written")
        typed = "as needed" if purpose else ""
    if any(word in words.FRYING for note in notes for word in note.replace("-", " ").lower().split()):
        asked.append("what stays in the food of a frying fat is written as fried in: {oil: …, taken up: …}")
    note = ", ".join((*amount.notes, *notes))
    keys = (("amount", typed),) * bool(typed) + (("note", note),) * bool(note)
    return FoundLine(stood, name, keys, tuple(asked), place)


def name_and_notes(text: str, counted: bool, known: Known) -> tuple[str, list[str], list[str]]:
    """(name, notes, questions). counted: a piece has the weight that the tables give it, however it was prepared."""
    asked: list[str] = []
    if known(text):
        return text, [], []
    notes: list[str] = []

    def bracket(hit: re.Match[str]) -> str:
        notes.append(hit[1].strip())
        return " "

    bare = " ".join(re.sub(_INNER, bracket, text).split()).replace(" ,", ",").strip(" ,;")
    for note in notes:
        question = _of_note(note, counted)
        if question.startswith(WHOLE):
            return text, [], [question]
        asked += [question] if question else []
    if known(bare):
        return bare, notes, asked
    name, *parts = re.split(r"\s*[,;]\s+|\s+-\s+|,$", bare)
    for part in parts:
        question = _of_note(part, counted)
        if question.startswith(WHOLE):  # it may be part of what the thing is, or a thing of its own: the whole stays its name
            return bare, notes, [*asked, question]
        asked += [question] if question else []
        notes.append(part)
    name, more = _purpose(name)
    notes = [note for note in (more, *notes) if note]
    name, lead = _prepared(name)
    notes = [note for note in (lead, *notes) if note]
    asked += _doubts(name, known)
    return name, notes, asked


def _purpose(name: str) -> tuple[str, str]:
    low = name.lower()
    at = next((low.index(words_) for words_ in words.PURPOSE if words_ in low), -1)
    return (name[:at].strip(), name[at:].strip()) if at > 0 else (name, "")


def _prepared(name: str) -> tuple[str, str]:
    """ "freshly ground black pepper" -> ("black pepper", "freshly ground"); a bare "chopped tomatoes" can be a tin and stays."""
    parts = name.split(" ")
    if len(parts) > 2 and parts[0].lower() in words.ADVERBS and parts[1].lower() in words.HANDLING:
        return " ".join(parts[2:]), " ".join(parts[:2])
    return name, ""


def _of_note(note: str, counted: bool) -> str:
    """A question about words behind a name, "" where they are only how it is cut. It begins with one of WHOLE where the words
    can change what the ingredient is, so that they have to stay in its name."""
    low = note.lower().strip(" .")
    parts = re.findall(r"[^\W\d_]+(?:-[^\W\d_]+)*|[\d.,/]+", low)
    if "optional" in parts or low in ("if desired", "if liked", "facultatif"):
        return "it may be left out; is it in the dish or not? It is taken to be in"
    if low.startswith(("plus ", "and ", "+", "with ", "mit ", "avec ")) and set(parts) - words.HANDLING:
        more = set(parts) <= words.HANDLING | words.MORE
        return f'"{note}" is more of it, without an amount' if more else f'does "{note}" add another ingredient? Write one a line'
    if "or" in parts or "ou" in parts or "oder" in parts:
        return f'does "{note}" leave a choice? Write the one that is used'
    weight = [word for word in parts if word in words.WEIGHT_WORDS]
    if weight and set(parts) <= words.HANDLING | words.WEIGHT_WORDS:
        return "" if counted else f"was it weighed before or after it was {weight[0]}? Before: write weighed: as bought, or trim:"
    if any(low.startswith(word.strip()) for word in words.PURPOSE):
        return ""
    if _weighs(re.sub(r"^(about|approx\.?|approximately|ca\.?|each|total) ", "", low)):
        return f'"{note}" is a second amount; write the weight that was weighed'
    if set(parts) - words.HANDLING - {word for word in parts if word[0].isdigit()}:
        return f'is "{note}" a remark, or part of what it is?'
    return ""


def _doubts(name: str, known: Known) -> list[str]:
    if known(name):
        return []
    low = f" {name.lower()} "
    if " or " in low or " oder " in low or " ou " in low or ("/" in name and not any(char.isdigit() for char in name)):
        return [f'"{name}" leaves a choice; write the one that is used']
    if any(word in low for word in (" and ", " & ", " plus ", " + ", " und ", " et ")):
        return [f'"{name}" may be two ingredients; write one a line']
    if any(char.isdigit() for char in name):
        return [f'there is a number within "{name}"']
    return []
