"""``labeller export``: recipes, records, matrix, nutrition, codes and menus for other programs."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path

from labeller.serving import show
from labeller.serving.cli import common
from labeller.serving.pipeline import Opened, batch_of, declared, dishes
from labeller.serving.verbs_ask import opened
from labeller.serving.verbs_guest import menu_of
from labeller.serving.writing import not_written, slug, write
from labeller.terms.findings import STOP, Finding, Place, finding
from labeller.terms.kitchen import Menu, Recipe
from labeller.terms.record import Declaration

TABLES = ("xlsx", "csv", "json")
FORMS = {
    "recipes": (*TABLES, "json-ld"),
    "records": TABLES,
    "matrix": TABLES,
    "nutrition": ("json-ld", *TABLES),
    "gs1": ("json", "xlsx", "csv"),
    "menu": TABLES,
}
ENDING = {"json-ld": ".jsonld", "json": ".json", "csv": ".csv", "xlsx": ".xlsx"}


def arguments(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("what", choices=tuple(FORMS), help="what to write out")
    sub.add_argument("--as", dest="form", choices=tuple(ENDING), help="in which form (default: the first that fits)")
    common(sub, law=True)
    sub.add_argument("--menu", default="", help="only the dishes and packs of this menu (default: all)")
    sub.add_argument("--language", default="en", help="language of the declarations (default: en)")
    sub.add_argument(
        "--out", default="", metavar="FILE", help="where to (default: out/ in the kitchen's folder); - writes to standard output"
    )
    sub.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    form = args.form or (Path(args.out).suffix[1:] if Path(args.out).suffix[1:] in FORMS[args.what] else FORMS[args.what][0])
    if form not in FORMS[args.what]:
        wrong = finding(
            "export-form-not-made",
            Place("--as"),
            f"{args.what} is not written as {form}",
            f"use one of: {', '.join(FORMS[args.what])}",
        )
        return show.refused([wrong], args.format)
    kitchen, code = opened(args)
    if kitchen is None:
        return code
    menu, wrong = menu_of(kitchen, args.menu) if args.menu else (None, None)
    if wrong:
        return show.refused([wrong], args.format)
    content, findings = content_of(args, form, kitchen, menu)
    if content is None:
        return show.refused(findings, args.format)
    if args.out == "-":
        sys.stdout.buffer.write(content)
        return _tell(findings)
    path = (
        Path(args.out)
        if args.out
        else kitchen.folder / "out" / f"{slug(menu.name if menu else kitchen.kitchen.name)}-{args.what}{ENDING[form]}"
    )
    try:
        write(path, content)
    except OSError as problem:
        return show.refused([not_written(path, problem)], args.format)
    if args.format == "json":
        show.as_json({"written": [str(path)], "findings": [each.as_json() for each in findings]})
        return 0
    print(path)
    return _tell(findings)


def _tell(findings: tuple[Finding, ...]) -> int:
    if findings:
        print("\n" + show.findings_text(findings), end="", file=sys.stderr)
    return 0


def content_of(args: argparse.Namespace, form: str, kitchen: Opened,
               menu: Menu | None) -> tuple[bytes | None, tuple[Finding, ...]]:  # fmt: skip
    """The bytes of the document, None with the findings that say why not."""
    if args.what == "recipes":
        return _recipes(args, form, kitchen)
    if args.what == "menu":
        from labeller.serving.export_tables import menu_rows

        return _table(
            form, "menu", menu_rows([menu] if menu else list(kitchen.kitchen.menus.values()), kitchen.kitchen.recipes)
        ), ()
    made, wrong = declarations(args, kitchen, menu)
    if wrong:
        return None, wrong
    return _of_declarations(args.what, form, kitchen, menu, made), _not_answered(made)


def declarations(args: argparse.Namespace, kitchen: Opened, menu: Menu | None) -> tuple[list[Declaration], tuple[Finding, ...]]:
    """The dishes and packs asked for, in their order, under one law."""
    found: list[Declaration] = []
    wanted = [kitchen.workshop.names.recipe(name) for name in menu.dishes()] if menu else dishes(kitchen.kitchen)
    for recipe in wanted:
        if recipe is None:
            continue
        one, findings = declared(kitchen, recipe, args.law or kitchen.kitchen.law, args.language, batch_of(kitchen, recipe))
        if one is None:
            return [], tuple(each for each in findings if each.severity == STOP)
        found.append(one)
    return found, ()


def _not_answered(made: list[Declaration]) -> tuple[Finding, ...]:
    return tuple(
        finding(
            "export-not-answered",
            Place("recipes"),
            f"there is no answer for {each.dish}; the export says so in words",
            "look at labeller check, then export again",
            each.dish,
        )
        for each in made
        if each.stopped
    )


def _of_declarations(what: str, form: str, kitchen: Opened, menu: Menu | None, made: list[Declaration]) -> bytes:
    from labeller.serving import export_codes, export_tables

    kinds = kitchen.workshop.tables.kinds
    names = {key: kind.name for key, kind in kinds.items()}
    if what == "records":
        if form == "json":
            from labeller.declaring.published import as_json

            return _json([as_json(each) for each in made])
        return _table(form, "records", export_tables.records_rows(made, names))
    if what == "matrix":
        return _table(form, "matrix", export_tables.matrix_rows(menu, made, names))
    if what == "nutrition":
        if form == "json-ld":
            from labeller.reading.exchange_tables import load_properties

            return _json(export_codes.json_ld_menu(menu, made, load_properties(), names))
        return _table(form, "nutrition", export_tables.nutrition_rows(made))
    from labeller.reading.exchange_tables import load_codes

    codes = load_codes()
    return (
        _json(export_codes.gs1_json(made, codes, kinds))
        if form == "json"
        else _table(form, "gs1", export_codes.gs1_rows(made, codes, kinds))
    )


def _recipes(args: argparse.Namespace, form: str, kitchen: Opened) -> tuple[bytes | None, tuple[Finding, ...]]:
    """The recipes as typed. An entry that can't be read would be missing, so nothing is written until it is mended."""
    from labeller.reading.imports.typed import json_of, table_of, typed_recipes

    if form == "json-ld":
        from labeller.reading.exchange_tables import load_properties
        from labeller.serving.export_codes import json_ld_recipes

        made, wrong = declarations(args, kitchen, None)
        recipes: list[Recipe] = list(kitchen.kitchen.recipes.values())
        return (
            (None, wrong)
            if wrong
            else (_json(json_ld_recipes(recipes, {each.dish: each for each in made}, load_properties())), ())
        )
    recipes, broken = typed_recipes(kitchen.folder)
    if broken:
        return None, broken
    if form == "json":
        return _json(json_of(recipes, kitchen.kitchen.version)), ()
    return _table(form, "recipes", table_of(recipes)), ()


def _table(form: str, name: str, rows) -> bytes:
    if form == "json":
        from labeller.serving.export_tables import as_objects

        return _json(as_objects(rows))
    from labeller.reading.sheets import csv_bytes, xlsx_bytes

    return csv_bytes(rows) if form == "csv" else xlsx_bytes([(name, rows)])


def _json(value: object) -> bytes:
    return (json.dumps(value, ensure_ascii=False, indent=1) + "\n").encode("utf-8")
