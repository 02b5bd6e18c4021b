"""From an entry of a file to the fields of a form, and back. A field that nobody touched goes back exactly as it was typed."""

from __future__ import annotations

from collections.abc import Mapping

from labeller.serving.web.forms import LINE_FIELDS, Field, fields_of

Plain = str | list | dict
YES = ("yes", "true", "y", "on")
NO = ("no", "false", "n", "off")
ALONE = {"fried in": "oil", "net weight": "weighed", "net volume": "measured"}  # the part that a single value stands for


def filled(kind: str, entry: Mapping[str, Plain]) -> dict[str, str]:
    """Name of each form field -> what stands in it."""
    out: dict[str, str] = {}
    for field in fields_of(kind):
        out |= show(field, field.key, entry.get(field.key, ""))
    return out


def taken(kind: str, sent: Mapping[str, str], entry: Mapping[str, Plain]) -> dict[str, Plain]:
    """The entry as the form has it. sent: name of a form field -> text. entry: as it stands in the file ({} for a new one)."""
    out: dict[str, Plain] = {}
    for field in fields_of(kind):
        old = entry.get(field.key, "")
        value = read(field, field.key, sent, old)
        if value not in ("", [], {}):
            out[field.key] = value
    ordered = {key: out[key] for key in entry if key in out} if entry else {}
    rest = {key: value for key, value in entry.items() if key not in {field.key for field in fields_of(kind)}}
    return _in_order(kind, {**ordered, **rest}, out)


def _in_order(kind: str, stands: dict[str, Plain], out: dict[str, Plain]) -> dict[str, Plain]:
    """Keys that are there keep their order; a new one goes behind the one that stands before it in the form."""
    keys, made = [field.key for field in fields_of(kind)], list(stands)
    for number, key in enumerate(keys):
        if key in out and key not in made:
            before = [one for one in keys[:number] if one in made]
            made.insert(made.index(before[-1]) + 1 if before else len(made), key)
    return {key: out.get(key, stands.get(key, "")) for key in made}


def show(field: Field, name: str, value: Plain) -> dict[str, str]:
    """The fields of one key, name -> text."""
    return _SHOW.get(field.sort, _show_text)(field, name, value)


def read(field: Field, name: str, sent: Mapping[str, str], old: Plain) -> Plain:
    """The value of one key; the old one where the fields still say what they were shown with."""
    shown = show(field, name, old)
    mine = {key: text for key, text in sent.items() if key == name or key.startswith(f"{name}/")}
    if not mine or {key: _level(text) for key, text in mine.items() if text} == {
        key: _level(text) for key, text in shown.items() if text
    }:
        return old
    return _READ.get(field.sort, _read_text)(field, name, mine, old)


def _level(text: str) -> str:
    return "\n".join(line for one in text.split("\n") if (line := " ".join(one.split())))


# Texts -----------------------------------------------------------------------------------------------------------------


def _show_text(field: Field, name: str, value: Plain) -> dict[str, str]:
    if isinstance(value, list):
        value = ", ".join(_words(one) for one in value)
    return {name: _words(value)}


def _words(value: Plain) -> str:
    """Anything on one line, as a cook would type it."""
    if isinstance(value, dict):
        return ", ".join(f"{key}: {_words(one)}" for key, one in value.items())
    return ", ".join(_words(one) for one in value) if isinstance(value, list) else value


def _read_text(field: Field, name: str, sent: Mapping[str, str], old: Plain) -> Plain:
    return " ".join(sent.get(name, "").split())


def _show_yes(field: Field, name: str, value: Plain) -> dict[str, str]:
    typed = _words(value).lower()
    return {name: "yes" if typed in YES else "no" if typed in NO else typed}


def _show_names(field: Field, name: str, value: Plain) -> dict[str, str]:
    return {name: "\n".join(_words(one) for one in (value if isinstance(value, list) else [value]) if one)}


def _read_names(field: Field, name: str, sent: Mapping[str, str], old: Plain) -> Plain:
    """One a line; the fields whose words never hold a comma take commas too."""
    text = sent.get(name, "")
    parts = text.replace(",", "\n").split("\n") if field.known == "kinds" else text.split("\n")
    found = [line for one in parts if (line := " ".join(one.split()))]
    return "none" if [one.lower() for one in found] == ["none"] else found


def _show_pairs(field: Field, name: str, value: Plain) -> dict[str, str]:
    if isinstance(value, dict):
        return {name: "\n".join(f"{key}: {_words(one)}" for key, one in value.items())}
    return {name: _words(value)}


def _read_pairs(field: Field, name: str, sent: Mapping[str, str], old: Plain) -> Plain:
    """``name: value`` one a line; a single value without a name stays one (grams of a piece). The last colon divides, so that
    a name may hold one."""
    lines = [line for one in sent.get(name, "").split("\n") if (line := " ".join(one.split()))]
    if len(lines) == 1 and ":" not in lines[0] and field.key == "one piece weighs":
        return lines[0]
    found = {}
    for line in lines:
        key, _, value = line.rpartition(":") if ":" in line else (line, "", "")
        found[key.strip()] = value.strip()
    return found


def _show_shares(field: Field, name: str, value: Plain) -> dict[str, str]:
    if isinstance(value, list):
        value = {key: text for one in value if isinstance(one, dict) for key, text in one.items()}
    return {name: ", ".join(f"{key} {_words(one)}" for key, one in value.items()) if isinstance(value, dict) else value}


def _read_shares(field: Field, name: str, sent: Mapping[str, str], old: Plain) -> Plain:
    """ "evaporated", or "evaporated 80 %, left behind 20 %"."""
    text = " ".join(sent.get(name, "").split())
    if not any(sign.isdigit() for sign in text):
        return text
    found = {}
    for part in text.split(","):
        at = next((number for number, sign in enumerate(part) if sign.isdigit()), len(part))
        found[" ".join(part[:at].replace(":", " ").split())] = " ".join(part[at:].split())
    return found


def _show_equipment(field: Field, name: str, value: Plain) -> dict[str, str]:
    """One box for each piece (``equipment/use/deep fryer``) and one for none."""
    named = value if isinstance(value, list) else [value] if value else []
    none = [str(one).lower() for one in named] in (["none"], ["none shared"])
    boxes = {f"{name}/none": "yes"} if none else {f"{name}/use/{one}": "yes" for one in named}
    return boxes | {f"{name}/asked": "yes"}  # boxes that are not ticked are not sent: this says that they were there


def _read_equipment(field: Field, name: str, sent: Mapping[str, str], old: Plain) -> Plain:
    used = [key.removeprefix(f"{name}/use/") for key, text in sent.items() if key.startswith(f"{name}/use/") and text]
    return used or ("none shared" if sent.get(f"{name}/none") else "")


# Things with parts -----------------------------------------------------------------------------------------------------


def _show_parts(field: Field, name: str, value: Plain) -> dict[str, str]:
    """A single value stands for the part that may be written alone (``fried in: oil``, ``net weight: 300 g``)."""
    if not isinstance(value, dict):
        value = {ALONE.get(field.key, field.parts[0].key): value} if value else {}
    out: dict[str, str] = {}
    for part in field.parts:
        out |= show(part, f"{name}/{part.key}", value.get(part.key, ""))
    return out


def _read_parts(field: Field, name: str, sent: Mapping[str, str], old: Plain) -> Plain:
    was = old if isinstance(old, dict) else {}
    found = {part.key: read(part, f"{name}/{part.key}", sent, was.get(part.key, "")) for part in field.parts}
    return {key: value for key, value in {**was, **found}.items() if value not in ("", [], {})}


def _rows(value: Plain) -> list:
    return value if isinstance(value, list) else [value] if value else []


def _show_rows(field: Field, name: str, value: Plain) -> dict[str, str]:
    out: dict[str, str] = {}
    for number, one in enumerate(_rows(value)):
        out |= _show_parts(field, f"{name}/{number}", one)
    return out


def _numbers(name: str, sent: Mapping[str, str]) -> list[int]:
    return sorted(
        {
            int(word)
            for key in sent
            if key.startswith(f"{name}/") and (word := key[len(name) + 1 :].split("/")[0]).isdigit()
        }
    )


def _read_rows(field: Field, name: str, sent: Mapping[str, str], old: Plain) -> Plain:
    was, found = _rows(old), []
    for number in _numbers(name, sent):
        before = was[number] if number < len(was) else ""
        value = read(field._replace(sort="parts"), f"{name}/{number}", sent, before)
        found += [value] if value else []
    return found[0] if len(found) == 1 and not isinstance(old, list) else found


def _show_named(field: Field, name: str, value: Plain) -> dict[str, str]:
    """A list of ``- name: value`` or ``- name: {parts}``."""
    out: dict[str, str] = {}
    for number, one in enumerate(_rows(value)):
        word, inner = next(iter(one.items())) if isinstance(one, dict) and one else (one or "", "")
        out[f"{name}/{number}/name"] = word
        out |= (
            _show_parts(field, f"{name}/{number}", inner) if field.parts else {f"{name}/{number}/value": _words(inner)}
        )
    return out


def _read_named(field: Field, name: str, sent: Mapping[str, str], old: Plain) -> Plain:
    was, found = _rows(old), []
    for number in _numbers(name, sent):
        here = f"{name}/{number}"
        word = " ".join(sent.get(f"{here}/name", "").split())
        before = was[number] if number < len(was) else {}
        inner = next(iter(before.values())) if isinstance(before, dict) and before else {}
        value = (
            read(field._replace(sort="parts"), here, sent, inner)
            if field.parts
            else " ".join(sent.get(f"{here}/value", "").split())
        )
        if word:
            found.append({word: value} if value else word)
    return found


# Lines and courses -----------------------------------------------------------------------------------------------------


def _show_lines(field: Field, name: str, value: Plain) -> dict[str, str]:
    out: dict[str, str] = {}
    for number, one in enumerate(_rows(value)):
        here = f"{name}/{number}"
        word, inner = next(iter(one.items())) if isinstance(one, dict) and one else (one or "", "")
        out |= {f"{here}/name": word, f"{here}/place": str(number + 1)}
        inner = inner if isinstance(inner, dict) else {"amount": _words(inner)}
        for part in LINE_FIELDS:
            out |= show(part, f"{here}/{part.key}", inner.get(part.key, ""))
    return out


def _read_lines(field: Field, name: str, sent: Mapping[str, str], old: Plain) -> Plain:
    """A line whose name was cleared is taken out; the rest stands in the order of the places typed."""
    was, found = _rows(old), []
    for number in _numbers(name, sent):
        here = f"{name}/{number}"
        word = " ".join(sent.get(f"{here}/name", "").split())
        before = was[number] if number < len(was) else ""
        if word:
            found.append((_place(sent.get(f"{here}/place", ""), number), _line(word, here, sent, before)))
    return [line for _, line in sorted(found, key=lambda one: one[0])]


def _place(typed: str, number: int) -> tuple[float, int]:
    try:
        return float(typed.replace(",", ".")), number
    except ValueError:
        return number + 1.0, number


def _line(word: str, here: str, sent: Mapping[str, str], before: Plain) -> Plain:
    inner = next(iter(before.values())) if isinstance(before, dict) and before else ""
    was = inner if isinstance(inner, dict) else {"amount": inner} if inner else {}
    now = {part.key: read(part, f"{here}/{part.key}", sent, was.get(part.key, "")) for part in LINE_FIELDS}
    now = {key: value for key, value in {**was, **now}.items() if value}
    if not now:
        return word
    return {word: now["amount"]} if set(now) == {"amount"} else {word: now}


def _show_courses(field: Field, name: str, value: Plain) -> dict[str, str]:
    out: dict[str, str] = {}
    for number, one in enumerate(_rows(value)):
        here = f"{name}/{number}"
        parts = one if isinstance(one, dict) else {"dish": one}
        dishes = [each for key in ("choice", "dish") for each in _rows(parts.get(key, ""))]
        out |= {
            f"{here}/course": _words(parts.get("course", "")),
            f"{here}/dishes": "\n".join(dishes),
            f"{here}/place": str(number + 1),
        }
    return out


def _read_courses(field: Field, name: str, sent: Mapping[str, str], old: Plain) -> Plain:
    was, shown, found = _rows(old), _show_courses(field, name, old), []
    for number in _numbers(name, sent):
        here = f"{name}/{number}"
        mine = {key: sent.get(f"{here}/{key}", "") for key in ("course", "dishes", "place")}
        dishes = [line for one in mine["dishes"].split("\n") if (line := " ".join(one.split()))]
        if not dishes:
            continue
        same = number < len(was) and all(
            _level(mine[key]) == _level(shown[f"{here}/{key}"]) for key in ("course", "dishes")
        )
        found.append(
            (_place(mine["place"], number), was[number] if same else _course(" ".join(mine["course"].split()), dishes))
        )
    return [course for _, course in sorted(found, key=lambda one: one[0])]


def _course(title: str, dishes: list[str]) -> Plain:
    if len(dishes) == 1:
        return {"course": title, "dish": dishes[0]} if title else dishes[0]
    return ({"course": title} if title else {}) | {"choice": dishes}


_SHOW = {
    "yes": _show_yes,
    "names": _show_names,
    "pairs": _show_pairs,
    "shares": _show_shares,
    "equipment": _show_equipment,
    "parts": _show_parts,
    "rows": _show_rows,
    "named rows": _show_named,
    "named values": _show_named,
    "lines": _show_lines,
    "courses": _show_courses,
}
_READ = {
    "names": _read_names,
    "pairs": _read_pairs,
    "shares": _read_shares,
    "equipment": _read_equipment,
    "parts": _read_parts,
    "rows": _read_rows,
    "named rows": _read_named,
    "named values": _read_named,
    "lines": _read_lines,
    "courses": _read_courses,
}
