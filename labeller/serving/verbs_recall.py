"""``labeller recall`` and ``labeller find-mark``: from a jar to the packs, and from a pack to its record."""

from __future__ import annotations

import argparse
import textwrap
from pathlib import Path

from labeller.reading.issued import read_register
from labeller.serving import show
from labeller.serving.cli import common
from labeller.serving.documents import out_folder
from labeller.serving.marks import Found, find
from labeller.serving.recall import HAS, NOT_WRITTEN, OTHER, BatchTouch, Recall, recall, wanted
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
    sub.add_argument("product", help="product or ingredient, as the kitchen calls it")
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
        print("\n".join(_lines(found, args.lot, args.void, bool(register.findings))))
    return 0


def _json(found: Recall, moved: list[Path], intact: bool) -> dict:
    return {"product": found.product, "lot": found.lot, "dishes": [each._asdict() for each in found.dishes],
            "batches": [each._asdict() for each in found.batches],
            "menus": [{"menu": name, "from": first, "until": last, "dishes": list(dishes)}
                      for name, first, last, dishes in found.menus],
            "issued": [each._asdict() for each in found.issues], "register_intact": intact,
            "prints": [each._asdict() for each in found.prints], "moved_aside": [str(path) for path in moved]}  # fmt: skip


def _lines(found: Recall, lot: str, voided: bool, damaged: bool) -> list[str]:
    out = [f"{found.product}" + (f", lot {lot}" if lot else ""), "", "Batches"]
    for verdict in (HAS, NOT_WRITTEN, OTHER):
        out += [line for each in found.batches if each.verdict == verdict for line in _batch(each, bool(lot))]
    out += [] if found.batches else ["  none is written that holds it"]
    held, near = [each for each in found.dishes if not each.contact], [each for each in found.dishes if each.contact]
    out += ["", "Dishes and packs that hold it, as the recipes are now" + ("" if held else ": none")]
    out += [f"  {each.dish}, through {' > '.join(each.path[1:]) or each.dish}" for each in held]
    if near:
        out += _wrapped(f"By shared equipment only: {', '.join(each.dish for each in near)}")
    for name, first, last, dishes in found.menus:
        out += ["", f"Menu {name}, {first} to {last}:", *_wrapped(", ".join(dishes))]
    for each in found.issues:
        out += [
            "",
            f"Issued no. {each.number} of {each.date}, {each.menu}, {each.starts} to {each.ends}:",
            *_wrapped(", ".join(each.dishes)),
        ]
    if damaged:
        out += ["", "The register of sign-offs is not as it was written; see labeller changes. More may have been issued."]
    if found.prints:
        out += [
            "",
            "Prints that show it, moved aside:"
            if voided
            else "Prints that show it (move them aside with --void, destroy the paper):",
        ]
        out += _wrapped(", ".join(each.file for each in found.prints))
    return [*out, "", f"To stop its dishes write on its product in products/ ({found.product}):  recall: what the notice says"]


def _batch(each: BatchTouch, asked: bool) -> list[str]:
    if each.substitute:
        return [f"  {each.date}  {each.makes}: it came in as a replacement ({each.place})"]
    made = f"{each.count} x {each.makes}" if each.count else each.makes
    own = f", lot {each.lot} on the label" if each.lot else ""
    which = f"holds lot {' and '.join(each.lots)}" if each.lots else "its lot is not written"
    what = {
        HAS: which,
        NOT_WRITTEN: "its lot is not written: treat as holding it",
        OTHER: f"another lot: {' and '.join(each.lots)}",
    }
    return [f"  {each.date}  {each.batch}: {made}{own} ({each.place})", f"      {what[each.verdict] if asked else which}"]


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(text, show.WIDTH, initial_indent="  ", subsequent_indent="    ", break_on_hyphens=False)


def find_mark(args: argparse.Namespace) -> int:
    kitchen, code = opened(args)
    if kitchen is None:
        return code
    found = find(kitchen, read_register(kitchen.folder), args.mark, out_folder(kitchen, args.out))
    if not found:
        text = f"no sign-off, no print on the list and nothing in the kitchen as it is bears \"{args.mark}\""
        mend = "compare the five letters and figures with the paper, or look with the kitchen's files of its day"
        return show.refused([finding("mark-not-known", Place("mark"), text, mend)], args.format)
    if args.format == "json":
        show.as_json([each._asdict() for each in found])
    else:
        print("\n".join(_found(each) for each in found))
    return 0


def _found(each: Found) -> str:
    where = {"print": f"out/: printed for {each.date}", "kitchen": f"the kitchen as it is on {each.date}"}.get(
        each.where, f"{each.where} of {each.date}"
    )
    batch = f", batch {each.batch}" + (f", lot {each.lot}" if each.lot else "") if each.batch else ""
    dishes = f": {', '.join(each.dishes[:4])}{' and more' if len(each.dishes) > 4 else ''}" if each.dishes else ""
    return f"{where}: {each.what}{batch}{dishes} ({each.law.upper()} law)"
