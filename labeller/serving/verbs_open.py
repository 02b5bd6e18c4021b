"""``labeller open``: the local page, for those who don't type commands."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from labeller.serving import show
from labeller.serving.web.network import HERE, Reach, reach
from labeller.terms.findings import Place, finding

MOST_SENT = 64_000_000  # bytes the server takes in before it hangs up; our own limits are lower, and answered with a page


def arguments(verb: str, sub: argparse.ArgumentParser) -> None:
    sub.add_argument("--kitchen", type=Path, default=Path("."), metavar="DIR", help="the kitchen's folder (default: here)")
    sub.add_argument("--port", type=int, default=0, metavar="N", help="port on this machine (default: a free one)")
    sub.add_argument("--no-browser", action="store_true", help="print the address only")
    sub.add_argument(
        "--listen",
        default="",
        metavar="ADDRESS",
        help="also for other devices: the address of this machine in the kitchen's own network (default: this machine only)",
    )
    sub.add_argument("--read-only", action="store_true", help="a page that shows and answers, and changes nothing")
    sub.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    from labeller.serving.web.house import House
    from labeller.serving.web.site import Site

    where, wrong = reach(args.listen)
    if where is None:
        return show.refused([wrong], "text")
    site = Site(House(args.kitchen.resolve()), read_only=args.read_only)
    opened = site.house.opened(site.today())
    if opened.workshop is None:
        return show.refused(opened.findings, "text")
    try:
        server = listening(site, args.port, where)
    except OSError as problem:
        text = f"{where.host}, port {args.port}, can't be used: {problem}"
        mend = "write --port 0 for a free one" + ("" if where.local else "; --listen takes an address of this machine")
        return show.refused([finding("port-taken", Place("--port"), text, mend)], "text")
    address = where.address(site.door.port, site.keys.way_in)
    print(f"{opened.kitchen.name or args.kitchen}: {address}\n{meaning(where, args.read_only)}", flush=True)
    if not where.local and sys.stdout.isatty():
        print(f"To read with a tablet's camera:\n{picture(address)}", flush=True)
    if not args.no_browser:
        import webbrowser

        webbrowser.open(address)
    try:
        server.run()
    except KeyboardInterrupt:
        pass
    finally:
        server.close()
    print("\nClosed; nothing is half-written.")
    return 0


def meaning(where: Reach, read_only: bool) -> str:
    """What the address that was printed lets others do."""
    can = "read everything" if read_only else "read and change everything"
    if where.local:
        kind = "It shows and answers; nothing can be changed from it. " if read_only else ""
        return f"{kind}For this machine only, as long as this runs. Stop it with Ctrl-C."
    return (
        f"OPEN TO THE NETWORK of {where.host}. Whoever has this link and is in that network can {can} in this kitchen.\n"
        "The link and all that is read travel unencrypted (plain HTTP): whoever can listen in that network can take them.\n"
        "Use the kitchen's own network, never the guests' Wi-Fi. Open the link once on each device; without it no page shows.\n"
        "A new start makes a new link and shuts out every device. Stop it with Ctrl-C."
    )


def picture(address: str) -> str:
    """An address as a QR code for a terminal, dark on light whatever the terminal's colours; two rows of modules a line."""
    from labeller.printing.qr import QUIET, modules

    rows = modules(address)
    blank = (False,) * (len(rows) + 2 * QUIET)
    framed = [blank] * QUIET + [(*blank[:QUIET], *row, *blank[:QUIET]) for row in rows] + [blank] * (QUIET + len(blank) % 2)
    signs = {(False, False): " ", (True, False): "▀", (False, True): "▄", (True, True): "█"}
    pairs = zip(framed[::2], framed[1::2], strict=True)
    return "\n".join(f"\x1b[30;107m{''.join(signs[pair] for pair in zip(*two, strict=True))}\x1b[0m" for two in pairs)


def listening(site, port: int, where: Reach = HERE):
    """A server of ``site``; port and names are told to its door. Raises OSError when the address can't be had."""
    from waitress import create_server

    if not 0 <= port <= 65_535:
        raise OSError("there is no such port")
    server = create_server(
        site.door,
        host=where.host,
        port=port,
        threads=4,
        ident=None,
        max_request_body_size=MOST_SENT,
        channel_timeout=60,
    )
    site.door.port, site.door.names = server.effective_port, where.names
    return server
