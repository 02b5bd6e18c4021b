"""``labeller read-label``, ``foods`` and ``laws``: look-ups that need no kitchen."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path

from labeller.serving import show
from labeller.serving.cli import common
from labeller.serving.tables import Tables
from labeller.terms.findings import Place, finding
from labeller.terms.words import normalise

LAWS = ("eu", "uk", "us", "ca", "anz", "codex")


def arguments(verb: str, sub: argparse.ArgumentParser) -> None:
    if verb == "read-label":
        sub.add_argument("text", nargs="?", help="the printed list of ingredients, in quotes (default: read from standard input)")
        sub.add_argument("--lines", type=Path, metavar="FILE", help="one text a line in, one JSON object a line out")
        sub.add_argument("--law", default="", choices=("", *LAWS), metavar="LAW",
                         help=f"what that law asks to be named: {', '.join(LAWS)} (default: every kind read)")  # fmt: skip
        sub.set_defaults(run=read_label)
    elif verb == "foods":
        sub.add_argument("words", nargs="+", help="words of a food, such as: wheat flour white")
        sub.add_argument("--limit", type=int, default=12, help="how many rows (default: 12)")
        sub.set_defaults(run=foods)
    else:
        words = f"every rule of this law, in words: {', '.join(LAWS)} or none (default: all laws, a line each)"
        sub.add_argument("law", nargs="?", default="", choices=("", *LAWS, "none"), metavar="LAW", help=words)
        sub.add_argument("--date", default="", help="the rules in force on that day (default: today)")
        sub.add_argument("--amounts", nargs="*", metavar="WORDS", help="reference amounts of US servings that the words name")
        sub.set_defaults(run=laws)
    common(sub, kitchen=False)


def read_label(args: argparse.Namespace) -> int:
    from labeller.working.label_reader import read_label as read
    from labeller.working.label_reader import reading_as_json

    tables = Tables()
    lists = tables.lists(show.today()) if args.law else None
    if args.lines:
        return _read_lines(args.lines, lambda text: reading_as_json(read(text, tables.lexicon), args.law or None, lists))
    text = args.text if args.text is not None else sys.stdin.read()
    found = reading_as_json(read(text, tables.lexicon), args.law or None, lists)
    if args.format == "json":
        show.as_json(found)
    else:
        print(_reading_text(found, args.law, tables.kinds))
    return 0


def _read_lines(path: Path, read) -> int:
    try:
        texts = path.read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as problem:
        return show.refused([finding("cannot-read", Place(str(path)), f"{path} can't be read: {problem}",
                                     "name a text file in UTF-8")], "text")  # fmt: skip
    for text in texts:
        print(json.dumps(read(text), ensure_ascii=False))
    return 0


def _reading_text(found: dict, law: str, kinds) -> str:
    out = [f"View of the law: {law}" if law else "All kinds, no law"]
    for key, words in (("contains", "Contains"), ("may_contain", "Maker's warning"), ("unsettled", "Not settled by the text")):
        names = found[key]
        told = ", ".join(kinds[each].name if each in kinds else each for each in names)
        out.append(f"{words}: {told or 'none read in this text'}")
        for each in names:
            why = found["because"].get(each)
            if why:
                read_in = why if isinstance(why, str) else "; ".join(why)
                out.append(f"    {kinds[each].name if each in kinds else each}: read in \"{read_in}\"")
    if found.get("exempt"):
        out.append("Exempt from labelling, still on record: " + "; ".join(str(each) for each in found["exempt"]))
    if found["unknown_words"]:
        out.append(f"Words not known to the reader (look at them yourself): {', '.join(found['unknown_words'])}")
    out.append("Only what this text says. A pack that lists nothing is not a proof; ask the supplier where a word is not "
               "settled.")  # fmt: skip
    return "\n".join(out)


def foods(args: argparse.Namespace) -> int:
    tables = Tables()
    words = " ".join(args.words)
    known = tables.names.get(normalise(words))
    near = (*tables.shelf.candidates(words, args.limit, tables.names), *tables.shelf.search(words, args.limit))
    ranked = [each.code for each in near]
    codes = list(dict.fromkeys(([known.code] if known else []) + ranked))[: args.limit]
    if args.format == "json":
        show.as_json([_food_json(tables.foods.get(code)) for code in codes])
    elif not codes:
        print("No row holds these words.")
    for code in codes if args.format == "text" else ():
        print(_food_text(tables.foods.get(code)))
        if known and code == known.code:
            print(f'         what a cook means by "{known.name}"' + (f": {known.why}" if known.why else ""))
    return 0 if codes else 1


def _food_text(food) -> str:
    values = dict(zip(("water g", "energy kcal", "protein g", "fat g"), food.values[:4], strict=True))
    figures = ", ".join(f"{key} {'not known' if value is None else format(value, 'g')}" for key, value in values.items())
    return f'"{food.code}"  {food.description}\n         per 100 g: {figures}  [{food.release}]'


def _food_json(food) -> dict:
    from labeller.terms.nutrients import BASE, DERIVED

    return {"code": food.code, "description": food.description, "release": food.release, "group": food.group, "state": food.state,
            "refuse_percent": food.refuse_percent,
            "per_100g": {key: value for key, value in zip(BASE, food.values, strict=True) if key not in DERIVED},
            "measures": [{"amount": each.amount, "words": each.words, "grams": each.grams, "basis": each.basis}
                         for each in food.measures]}  # fmt: skip


def laws(args: argparse.Namespace) -> int:
    from msgspec.structs import asdict

    from labeller.reading.laws import list_laws
    from labeller.serving.laws_text import entry_text

    if args.amounts is not None:
        return _amounts(args)
    found = list_laws()
    if args.law:
        return _one_law(args, next(each for each in found if each.key == args.law))
    if args.format == "json":
        show.as_json([asdict(each) for each in found])
        return 0
    print("Laws as tables. This tool meets the rules listed, as of their dates. What was not read in its text is named: have a "
          "qualified")  # fmt: skip
    print("person compare it before anything is printed for sale. Every rule of one law, in words: labeller laws us")
    for each in found:
        print("\n" + entry_text(each))
    return 0


def _one_law(args: argparse.Namespace, entry) -> int:
    """Every rule of a law on a date."""
    from labeller.reading.laws import load_law
    from labeller.serving.laws_text import law_text

    date, wrong = show.date_of(args.date)
    if wrong:
        return show.refused([wrong], args.format)
    law = load_law(args.law, date)
    if law.findings:
        return show.refused(law.findings, args.format)
    text = law_text(law, entry)
    show.as_json({"law": law.key, "date": law.date, "rules": text.splitlines()}) if args.format == "json" else print(text)
    return 0


def _amounts(args: argparse.Namespace) -> int:
    """Rows of the table of reference amounts that the words name or come near; all of them without words."""
    from labeller.declaring.reference_amounts import nearest
    from labeller.reading.us_amounts import load_reference_amounts
    from labeller.serving.laws_text import amounts_text

    table, words = load_reference_amounts(), " ".join(args.amounts)
    rows = nearest(words, table, 12) if words else table
    if args.format == "json":
        show.as_json([row._asdict() for row in rows])
    elif rows:
        print(amounts_text(rows))
    else:
        print("No row of 21 CFR 101.12(b) comes near these words; labeller laws us --amounts lists all.")
    return 0 if rows else 1
