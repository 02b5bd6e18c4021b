"""``labeller recall`` and ``labeller find-mark``: from a jar to the packs, and from a pack to its record."""

from __future__ import annotations

import argparse
import textwrap
from pathlib import Path

from labeller.reading.issued import read_register
from labeller.serving import show
from labeller.serving.cli import common
from labeller.serving.documents import out_folder
from labeller.serving.lots import bare
from labeller.serving.mark_text import found_words, record_lines
from labeller.serving.marks import behind, find
from labeller.serving.recall import ALIKE, HAS, NOT_WRITTEN, VERDICTS, BatchTouch, Recall, recall, wanted
from labeller.serving.standing import void_aside
from labeller.serving.verbs_ask import opened
from labeller.serving.writing import not_written
from labeller.terms.findings import Place, finding


def arguments(verb: str, sub: argparse.ArgumentParser) -> None:
    common(sub)
    sub.add_argument("--out", type=Path, metavar="DIR", help="where the prints are (default: out/ in the kitchen's folder)")
    if verb == "find-mark":
        sub.add_argument("mark", help='the five letters and figures behind "mark" on a label or sheet')
        sub.set_defaults(run=find_mark)
        return
    sub.add_argument("product", help="product, ingredient, recipe or pack as the kitchen calls it, or a lot code alone")
    sub.add_argument("--lot", default="", help="only this lot of it")
    sub.add_argument("--void", action="store_true", help="move the prints that show it into void/ beside them")
    sub.set_defaults(run=recalled)


def recalled(args: argparse.Namespace) -> int:
    kitchen, code = opened(args)
    if kitchen is None:
        return code
    asked = wanted(kitchen, args.product, args.lot)
    if asked is None:
        text = f"nothing here is called \"{args.product}\""
        return show.refused([finding("product-not-known", Place(str(kitchen.folder)), text,
                                     "use the name as products/, the recipes or the batches have it")], args.format)  # fmt: skip
    register = read_register(kitchen.folder)
    found = recall(kitchen, register, asked, out_folder(kitchen, args.out))
    try:
        moved = void_aside(out_folder(kitchen, args.out), found.prints) if args.void else []
    except OSError as problem:
        return show.refused([not_written("out", problem, "the prints can't be moved")], args.format)
    if args.format == "json":
        show.as_json(_json(found, moved, not register.findings))
    else:
        print("\n".join(_lines(found, bare(args.lot or args.product) if found.lot else "", args.void, bool(register.findings))))
    return 0


def _json(found: Recall, moved: list[Path], intact: bool) -> dict:
    return {"product": found.product, "lot": found.lot, "dishes": [each._asdict() for each in found.dishes],
            "batches": [each._asdict() for each in found.batches],
            "menus": [{"menu": name, "from": first, "until": last, "dishes": list(dishes)}
                      for name, first, last, dishes in found.menus],
            "issued": [each._asdict() for each in found.issues], "register_intact": intact,
            "lot_written": found.lot_written, "prints": [each._asdict() for each in found.prints],
            "paper": [{"file": each.file, "why": each.why} for each in found.paper],
            "moved_aside": [str(path) for path in moved]}  # fmt: skip


def _lines(found: Recall, lot: str, voided: bool, damaged: bool) -> list[str]:
    out = [f"{found.product}" + (f", lot {lot}" if lot else ""), ""]
    if not found.lot_written:
        near = dict.fromkeys(text for each in found.batches if each.verdict == ALIKE for text in each.lots)
        alike = f" {' · '.join(near)} reads like it and is treated as this lot." if near else ""
        text = f"Nobody wrote this lot in any batch, letter for letter.{alike} Every batch of {found.product} is in question."
        out += _wrapped(text, "")
        out.append("")
    out += ["Batches"]
    for verdict in VERDICTS:
        out += [line for each in found.batches if each.verdict == verdict for line in _batch(each, bool(found.lot))]
    out += [] if found.batches else ["  none is written that holds it"]
    held, near = [each for each in found.dishes if not each.contact], [each for each in found.dishes if each.contact]
    head = "Dishes and packs that hold it, as the recipes are written and as they were replaced"
    out += ["", head + ("" if held else ": none")]
    for each in held:
        through = f", through {' > '.join(each.path[1:])}" if each.path[1:] else ""
        out += _wrapped(f"{each.dish}{through}{f' ({each.when})' if each.when else ''}")
    if near:
        out += ["By shared equipment only", *(f"  {each.dish}" for each in near)]
    for name, first, last, dishes in found.menus:
        out += ["", f"Menu {name}, {first} to {last}:", *_wrapped(" · ".join(dishes))]
    for each in found.issues:
        out += ["", f"Issued no. {each.number} of {each.date}, {each.menu}, {each.starts} to {each.ends}:",
                *_wrapped(" · ".join(each.dishes))]  # fmt: skip
    if damaged:
        out += ["", "The register of sign-offs is not as it was written; see labeller changes. More may have been issued."]
    out += _print_lines(found, voided)
    return [*out, "", f"To stop its dishes write on its product in products/ ({found.product}):  recall: what the notice says"]


def _print_lines(found: Recall, voided: bool) -> list[str]:
    out = []
    if found.prints:
        told = "moved aside:" if voided else "(move them aside with --void, destroy the paper):"
        out += ["", f"Prints that show it, {told}" if voided else f"Prints that show it {told}"]
        out += _wrapped(" · ".join(each.words for each in found.prints))
    if found.paper:
        out += ["", "No longer there as files; the paper may still be out:"]
        for each in found.paper:
            out += _wrapped(f"{each.file}: {each.why}")
    return out


def _batch(each: BatchTouch, asked: bool) -> list[str]:
    if each.substitute:
        return [f"  {each.date}  {each.makes}: it came in as a replacement ({each.place})"]
    made = f"{each.count} x {each.makes}" if each.count else each.makes
    own = f", lot {each.lot} on the label" if each.lot else ""
    which = f"holds lot {' and '.join(each.lots)}" if each.lots else "its lot is not written"
    lots = f": {' and '.join(each.lots)}" if each.lots else ""
    what = {HAS: which, NOT_WRITTEN: "its lot is not written: treat as holding it"}.get(each.verdict, f"{each.verdict}{lots}")
    return [f"  {each.date}  {each.batch}: {made}{own} ({each.place})", f"      {what if asked else which}"]


def _wrapped(text: str, indent: str = "  ") -> list[str]:
    return textwrap.wrap(text, show.WIDTH, initial_indent=indent, subsequent_indent=f"{indent}  " if indent else "",
                         break_on_hyphens=False)  # fmt: skip


def find_mark(args: argparse.Namespace) -> int:
    kitchen, code = opened(args)
    if kitchen is None:
        return code
    register = read_register(kitchen.folder)
    found = find(kitchen, register, args.mark, out_folder(kitchen, args.out))
    if not found:
        text = f"no sign-off, no print on the list and nothing in the kitchen as it is bears \"{args.mark}\", under any law"
        mend = "compare the five letters and figures with the paper, or look with the kitchen's files of its day"
        return show.refused([finding("mark-not-known", Place("mark"), text, mend)], args.format)
    records = behind(kitchen, register, found)
    if args.format == "json":
        show.as_json({"found": [each._asdict() for each in found], "records": [each._asdict() for each in records]})
    else:
        print("\n".join(found_words(each) for each in found))
        print("\n".join(line for each in records for line in ("", *record_lines(each, kitchen.workshop.tables.kinds))))
    return 0
