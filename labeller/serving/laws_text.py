"""A law in plain words, for a lawyer: every rule that is applied, with its section and whether it was read in its text."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable

from labeller.terms.laws import Band, IngredientName, Law, LawEntry, LeftOut, Quantity, Rounding, Rule, Sum
from labeller.terms.reference_amounts import ReferenceAmount

WIDTH = 110
READ = {"yes": "read", "partial": "read in part, or as quoted elsewhere", "memory": "from memory, not read"}
SHOWN = {"always": "always stands", "when whole": "stands when known for enough of the food",
         "on request": "stands when the kitchen asks",
         "when significant": "stands when the kitchen asks and there is enough of it"}  # fmt: skip
PLACES = {"emphasis": "set off in the list", "contains": "in a line beside the list",
          "both": "set off in the list, and in a line"}  # fmt: skip
MENU = {"one": "a plate", "two": "a choice of two", "more": "a choice of three or more", "section": "where it stands"}


def entry_text(entry: LawEntry) -> str:
    """One law in the list of ``labeller laws``."""
    until = f" until {entry.until}" if entry.until else ""
    out = [f"{entry.key}: {entry.name}", f"  {entry.instrument}; in force from {entry.since}{until}; {READ[entry.checked]}"]
    groups = (("sources", entry.sources), ("not read in full in its text", entry.unchecked),
              ("where the law leaves a choice", entry.choices), ("not done", entry.not_done))  # fmt: skip
    for heading, rows in groups:
        out += _listed(heading, rows)
    return "\n".join(out)


def law_text(law: Law, entry: LawEntry) -> str:
    """All rules of one law in force on its date."""
    rests = f"; rests on {law.rests_on}" if law.rests_on else ""
    out = [f"{law.name}: rules in force on {law.date}", law.instrument + rests,
           "In square brackets: where the rule stands, and whether it was read in its text. A word in braces is filled in.", ""]
    for heading, rows in (
        ("The nutrition table", _table(law)), ("Its lines, in their order", [_line(law, line) for line in law.lines]),
        ("How amounts are defined", [_quantity(key, one, law) for key, one in law.quantities.items()]),
        ("Rounding (the first step that fits the exact amount; halves go up)",
         [_rounding(one, law) for one in law.roundings.values()]),
        ("Lines that may be left out", _left_out(law)), ("Prescribed sentences", _sentences(law)), ("Ways of sale", _ways(law)),
        ("Single figures", [f"{key}: {one.value:g} {one.unit}{_where(one.rule, law)}" for key, one in law.figures.items()]),
        ("Further particulars, where the kitchen states them", _further(law)),
        ("Origin, asked for on packs of these foods alone", _origins(law)),
        ("Names that say too little in a list", _general(law)),
        ("Ingredients by the law's own names (bare ingredients, in English)",
         [_called(one, law) for one in law.ingredient_names]),
        ("Allergens", _allergens(law)), ("Energy on menus", _menu(law)),
        ("Tolerances", [_tolerance(one, law) for one in law.tolerances]), ("Front-of-pack bands (voluntary)", _bands(law)),
        ("Where the law leaves a choice", entry.choices), ("Not done", entry.not_done), ("Sources", entry.sources),
    ):  # fmt: skip
        if rows:
            out += [heading, *_items(rows), ""]
    return "\n".join(out)


def _listed(heading: str, rows: Iterable[str]) -> list[str]:
    rows = tuple(rows)
    return [f"  {heading}:", *_items(rows)] if rows else []


def _items(rows: Iterable[str]) -> list[str]:
    return [line for row in rows for line in textwrap.wrap(row, WIDTH, initial_indent="    - ", subsequent_indent="      ")]


def _where(rule: Rule, law: Law) -> str:
    """The section; instrument and dates only where they are not those of the whole law."""
    instrument = f"{rule.instrument}, " if rule.instrument != law.instrument else ""
    since = f"; from {rule.since}" if rule.since != law.since else ""
    until = f" until {rule.until}" if rule.until != law.until else ""
    return f" [{instrument}{rule.section}{since}{until}; {READ[rule.checked]}]"


def _name(key: str) -> str:
    """"saturates_g" -> "saturates (g)"."""
    words = key.rpartition("_")[0]
    return f"{words.replace('_', ' ')} ({_unit(key)})" if words else key


def _unit(key: str) -> str:
    return {"ug": "µg", "kj": "kJ"}.get(unit := key.rpartition("_")[2], unit)


def _table(law: Law) -> list[str]:
    if not law.lines:
        return []
    columns = " and ".join(law.basis)
    shares = "; with a column of percentages" if law.percent_printed else ""
    out = [f"headed \"{law.table_heading}\"; columns: {columns}{shares}"]
    heads = (law.hundred_words, law.hundred_ml_words, law.portion_words, law.pack_words, law.portions_words)
    out += [f"over the column: \"{text}\"" for text in heads if text]
    out.append(f"a figure known for less than {law.house.known_share:.0%} of the weight is not printed as whole (our own choice)")
    return out


def _line(law: Law, line) -> str:
    name = line.name or f"(continues the line above) {_name(line.key)}"
    unit = f", in {line.unit}" if line.unit else ""
    text = f"{name}{unit}: {SHOWN[line.shown]}; rounded as \"{line.rounding}\"{_where(line.rule, law)}"
    if line.reference is None:
        return text
    of = "" if line.percent_of == line.key else f" of {_name(line.percent_of)}"
    base = {"declared": "the declared amount", "actual": "the actual amount"}[line.percent_from]
    daily = f"daily amount {line.reference:g} {_unit(line.key)}"
    return f"{text}; {daily}, percentage{of} from {base}{_where(line.reference_rule, law)}"


def _quantity(key: str, one: Quantity, law: Law) -> str:
    return f"{_name(key)} = {_choices(one.choices)}{_where(one.rule, law)}"


def _choices(choices: tuple[Sum, ...]) -> str:
    return "; where that is not known, ".join(_sum(one) for one in choices)


def _sum(one: Sum) -> str:
    parts = []
    for key, factor in one.terms:
        sign = "- " if factor < 0 else "+ " if parts else ""
        times = "" if abs(factor) == 1 else f"{abs(factor):g} x "
        parts.append(f"{sign}{times}{_name(key)}{' where known' if key in one.where_known else ''}")
    least = f", at least {one.least:g}" if one.least is not None else ""
    least += f"; and up to all of {_name(one.perhaps)}, printed when that leaves the figure the same" if one.perhaps else ""
    return " ".join(parts) + (" of this law" if one.own else " of the food data") + least


def _rounding(one: Rounding, law: Law) -> str:
    zeros = "; zeros at the end are kept" if one.zeros else ""
    return f"{one.key}: " + ", ".join(_band(band) for band in one.bands) + zeros + _where(one.rule, law)


def _band(band: Band) -> str:
    reach = "else" if band.limit is None else f"{'up to' if band.inclusive else 'below'} {band.limit:f}"
    if band.text:
        return f"{reach}: \"{band.text}\""
    return f"{reach}: {band.significant} significant figures" if band.significant else f"{reach}: nearest {band.nearest:f}"


def _left_out(law: Law) -> list[str]:
    out = [f"the sentence that then stands: \"{law.left_out_words}\""] if law.left_out_words else []
    for one in law.left_out:
        names = ", ".join(_name(key) for key in one.keys)
        of = f"where {_name(one.when)} is" if one.when else "where it is"
        limit = f"below {one.percent_below:g} % of the daily amount" if one.percent_below is not None else _limit(one)
        out.append(f"{names}: {of} {limit}{_where(one.rule, law)}")
    if law.simplified:
        names = ", ".join(_name(key) for key in law.simplified.always)
        out.append(f"a short table is allowed when {law.simplified.count} of {len(law.simplified.keys)} lines are insignificant; "
                   f"always standing: {names}{_where(law.simplified.rule, law)}")  # fmt: skip
    return out


def _limit(one: LeftOut) -> str:
    return f"{'up to' if one.inclusive else 'below'} {one.below:g}"


def _menu(law: Law) -> list[str]:
    return [f"{words}: {law.menu[key]}" for key, words in MENU.items() if key in law.menu]


def _sentences(law: Law) -> list[str]:
    return [f"{one.place}{f', {one.nation.title()} only' if one.nation else ''}: \"{one.text}\"{_where(one.rule, law)}"
            for one in law.sentences]  # fmt: skip


def _further(law: Law) -> list[str]:
    at = {"name": "with the name", "line": "on a line"}
    return [f"{one.key}: \"{one.text}\", {at[one.place]}{_where(one.rule, law)}" for one in law.further]


def _origins(law: Law) -> list[str]:
    out = [f"{one.what}{', raw' if one.raw else ''}: {one.asks}{_where(one.rule, law)}" for one in law.origins]
    told = f"a name that holds the word of a place ({', '.join(sorted(law.places)[:6])} …) is asked for the main ingredient's"
    return [*out, told] if law.places else out


def _general(law: Law) -> list[str]:
    return [f"{', '.join(sorted(one.names))}{f', over {one.over:g} %' if one.over is not None else ''}: {one.asks}"
            f"{_where(one.rule, law)}" for one in law.general]  # fmt: skip


def _ways(law: Law) -> list[str]:
    nutrition = {"must": "nutrition table", "may": "nutrition table only when the kitchen asks", "no": "no nutrition table"}
    told = {"quid": "quantity of ingredients (QUID)"}
    return [f"{one.key}: {', '.join(told.get(key, key) for key in one.must) or 'nothing'}; {nutrition[one.nutrition]}; "
            f"{'list of ingredients' if one.list_of_ingredients else 'no list of ingredients'}"
            f"{f' ({one.note})' if one.note else ''}{_where(one.rule, law)}" for one in law.ways.values()]  # fmt: skip


def _allergens(law: Law) -> list[str]:
    place = PLACES[law.naming.place]
    called = law.words["en"].kinds
    by = {way: ", ".join(called.get(group, group) for group, level in law.naming.level.items() if level == way)
          for way in ("kind", "group")}  # fmt: skip
    out = [f"named {place}{_where(law.naming.rule, law)}", f"by kind or species: {by['kind']}", f"by group: {by['group']}",
           f"\"{law.naming.contains_form}\"; \"{law.naming.may_contain_form}\""]  # fmt: skip
    own = [f"{called.get(key, key.replace('_', ' '))} as \"{word}\"" for key, word in law.naming.names.items()]
    own += [f"{key} in the line as \"{', '.join(words)}\"" for key, words in law.naming.summary.items()]
    return out + ([f"own words: {'; '.join(own)}"] if own else [])


def _called(one: IngredientName, law: Law) -> str:
    when = ", two or more of them, none with an allergen, with `short list: yes`" if one.together else ""
    return f"\"{one.name}\" for {', '.join(sorted(one.of))}{when}{_where(one.rule, law)}"


def _tolerance(one, law: Law) -> str:
    limit = "" if one.limit is None else f" {'up to' if one.inclusive else 'below'} {one.limit:g}"

    def side(by: float | None) -> str:
        return "without limit" if by is None else f"{by:.0%}" if one.share else f"{by:g}"

    return f"{', '.join(_name(key) for key in one.keys)}{limit}: up {side(one.up)}, down {side(one.down)}{_where(one.rule, law)}"


def _bands(law: Law) -> list[str]:
    out = []
    for one in law.colours:
        low = f"low up to {one.low:g}, " if one.low is not None else ""
        over = f" in portions over {one.portion_over:g}" if one.portion_over else ""
        out.append(f"{_name(one.key)} per {one.per}: {low}high over {one.high:g}{over}{_where(one.rule, law)}")
    return out


def amounts_text(rows: Iterable[ReferenceAmount]) -> str:
    """Reference amounts of US servings, with the names by which a pack may call them."""
    out = ["Reference amounts of 21 CFR 101.12(b). Write a name in the pack: `us reference amount: soup`."]
    for row in rows:
        state = "" if row.state == "as sold" else f", {row.state}"
        out.append(f"  {row.name}: {row.words}{state}  [{READ[row.checked]}]")
        names = f"also: {', '.join(row.also)}" if row.also else ""
        out += [f"      {line}" for text in (names, row.note) if text for line in textwrap.wrap(text, WIDTH)]
    return "\n".join(out)
