"""``labeller schema``: JSON Schema of the kitchen's files, for editors that complete and underline."""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from labeller.serving import show
from labeller.serving.cli import common
from labeller.serving.writing import not_written, write


def arguments(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("--out", type=Path, metavar="DIR", help="where to (default: schema/ in the kitchen's folder)")
    common(sub)
    sub.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    from labeller.reading.kitchen_schema import FILES, remark_for, schemas

    folder = args.out if args.out is not None else args.kitchen / "schema"
    try:
        written = [
            write(folder / name, json.dumps(schema, ensure_ascii=False, indent=1) + "\n") for name, schema in schemas().items()
        ]
    except OSError as problem:
        return show.refused([not_written(folder, problem)], args.format)
    if args.format == "json":
        show.as_json({"written": [str(path) for path in written]})
        return 0
    print("\n".join(str(path) for path in written))
    print("\nWrite the line of its folder first in each file, and the editor completes and underlines:")
    for file, name in FILES.items():
        print(
            f"  {file + ('' if '.' in file else '/'):14} {remark_for(name, folder.name if '.' in file else f'../{folder.name}')}"
        )
    return 0
