"""Findings, records and answers as text for a terminal. Wording only; nothing is decided here."""

from __future__ import annotations

import sys
import textwrap
from collections import Counter
from collections.abc import Iterable
from datetime import date as calendar

from labeller.terms.findings import STOP, Finding, Place, finding
from labeller.terms.record import Declaration

WIDTH = 100


def today() -> str:
    return calendar.today().isoformat()


def date_of(text: str) -> tuple[str | None, Finding | None]:
    """An ISO date as asked for, today when nothing was asked; a finding when it is none."""
    if not text:
        return today(), None
    try:
        return calendar.fromisoformat(text).isoformat(), None
    except ValueError:
        return None, finding("date-not-read", Place("--date"), f'"{text}" is not a date', "write it as 2026-11-25")


def as_json(value: object) -> None:
    import json

    print(json.dumps(value, ensure_ascii=False, indent=1))


def findings_text(findings: Iterable[Finding]) -> str:
    """Findings for reading: weight, code, place; what; which dishes; what to do."""
    out = []
    for each in findings:
        out.append(f"{each.severity.upper():5} {each.place}  [{each.code}]")
        out.append(textwrap.fill(each.text, WIDTH, initial_indent="      ", subsequent_indent="      "))
        if each.dishes:
            out.append(
                textwrap.fill(f"touches: {' · '.join(each.dishes)}", WIDTH, initial_indent="      ", subsequent_indent="      ")
            )
        out.append(textwrap.fill(f"to mend: {each.mend}", WIDTH, initial_indent="      ", subsequent_indent="        "))
        out.append("")
    return "\n".join(out)


def summary(findings: tuple[Finding, ...]) -> str:
    if not findings:
        return "Nothing found."
    count = Counter(each.severity for each in findings)
    return (
        ", ".join(
            f"{count[weight]} {weight}{'s' if count[weight] > 1 else ''}" for weight in ("stop", "doubt", "note") if count[weight]
        )
        + "."
    )


def refused(findings: Iterable[Finding], form: str) -> int:
    """Say what stopped a command; exit code 1."""
    found = tuple(findings)
    if form == "json":
        as_json({"findings": [each.as_json() for each in found]})
    else:
        print(findings_text(each for each in found if each.severity == STOP) or findings_text(found), file=sys.stderr)
    return 1


def declaration_text(made: Declaration) -> str:
    """A record as a cook reads it."""
    record = made.record
    weight = record.weight_g
    grams = f"{weight.mid:.4g} g" + (f" ({weight.low:.4g}-{weight.high:.4g} g)" if weight.is_range else "")
    what = {"dish": "portion", "pack": "pack", "recipe": "batch"}[record.kind]
    out = [
        made.title or made.dish,
        "=" * len(made.title or made.dish),
        f"law {made.law}, {made.law_date} · {what} {grams} · kitchen {made.kitchen_version} · data {made.data_version}",
        "",
    ]
    if made.stopped:
        return "\n".join(
            [
                *out,
                "NO ANSWER \N{EN DASH} ASK THE KITCHEN",
                "",
                findings_text(each for each in made.findings if each.severity == STOP),
            ]
        )
    out += ["Allergens", *_allergen_lines(made), ""]
    out += _wrapped("Ingredients", "".join(run.text.upper() if run.emphasis else run.text for run in made.statement))
    out += _wrapped("", made.contains) + _wrapped("", made.may_contain)
    if made.rows:
        out += ["", made.table_heading or "Nutrition", *_row_lines(made), *_front_lines(made)]
    else:
        out += ["", "No nutrition figures: " + ("see the findings." if record.nutrition_stopped else "not asked for.")]
    out += ["", *made.footnotes, *_label_lines(made)]
    out += [textwrap.fill(caution, WIDTH) for caution in made.cautions]
    notes = [each for each in made.findings if each.severity != "note"]
    return "\n".join(out) + ("\n\nFindings\n" + findings_text(notes) if notes else "\n")


def _wrapped(heading: str, text: str) -> list[str]:
    if not text:
        return []
    return ([heading] if heading else []) + textwrap.wrap(text, WIDTH, initial_indent="  ", subsequent_indent="  ")


def _allergen_lines(made: Declaration) -> list[str]:
    lines = []
    for group, (state, _, facts) in made.states.items():
        words = made.allergen_words.get(group, "")
        line = f"  {group.replace('_', ' '):16} {words or state.replace('_', ' ')}"
        lines.append(line)
        if state not in ("none_on_record",):
            shown = dict.fromkeys(f"{' > '.join(fact.path[1:]) or fact.path[0]}: {fact.evidence}" for fact in facts)
            lines += textwrap.wrap("; ".join(list(shown)[:4]), WIDTH, initial_indent=" " * 21, subsequent_indent=" " * 21)
    return lines


def _row_lines(made: Declaration) -> list[str]:
    *servings, portion = made.portion_words.split("\n") if made.portion_words else ["per portion"]
    hundred = any(row.hundred for row in made.rows)
    columns = [("hundred", made.hundred_words or "per 100 g")] if hundred else []
    columns += [("per_portion", "per serving" if made.pack_words else portion), ("share", "")]
    columns += [("per_pack", made.pack_words.lower()), ("share_pack", "")] if made.pack_words else []
    told = [f"  {line}" for line in (*servings, *([portion] if made.pack_words else []))]
    wide = [max(len(head), 4, *(len(getattr(row, key)) for row in made.rows)) for key, head in columns]
    head = f"  {'':34} " + "  ".join(f"{head:>{room}}" for (_, head), room in zip(columns, wide, strict=True))
    places = [(key, room) for (key, _), room in zip(columns, wide, strict=True)]
    rows = [
        f"  {'  ' * row.indent + row.name:34} " + "  ".join(f"{getattr(row, key):>{room}}" for key, room in places)
        for row in made.rows
    ]
    return [*told, *(line.rstrip() for line in (head, *rows))]


def _front_lines(made: Declaration) -> list[str]:
    """Bands of the front-of-pack guide as words beside their numbers; voluntary."""
    if not made.front_of_pack:
        return []
    figures = {row.key: row for row in made.figures}
    told = [
        f"{figures[key].name.removeprefix('of which ').lower()} {figures[key].per_portion}, {band}"
        for key, band in made.front_of_pack
    ]
    energy = next((f"{row.per_portion} / " for row in made.figures if row.key == "energy_kj"), "")
    energy += next((row.per_portion for row in made.figures if row.key == "energy_kcal"), "")
    return [
        "",
        *textwrap.wrap(f"Front of pack (voluntary), {made.portion_words.lower()}: energy {energy}; {'; '.join(told)}.", WIDTH),
    ]


def _label_lines(made: Declaration) -> list[str]:
    """What else goes on the label, and what goes on a menu."""
    out = [f"  {key}: {text}" for key, text in made.particulars if key not in ("name", "durability")]
    if made.durability:
        out.append(f"  durability: {made.durability} (set by {made.durability_set_by})")
    elif made.durability_set_by:
        out.append(f"  durability: dated from the batch (shelf life set by {made.durability_set_by})")
    if made.menu_energy:
        out.append(f"  on the menu: {made.menu_energy}")
    return ["", f"Sold: {made.sold}", *out, ""] if made.record.kind == "pack" or made.menu_energy else []
