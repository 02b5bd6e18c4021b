"""``labeller open``: the local page, for those who don't type commands."""

from __future__ import annotations

import argparse
from pathlib import Path

from labeller.serving import show
from labeller.terms.findings import Place, finding

HERE = "127.0.0.1"  # this machine only


def arguments(verb: str, sub: argparse.ArgumentParser) -> None:
    sub.add_argument(
        "--kitchen", type=Path, default=Path("."), metavar="DIR", help="the kitchen's folder (default: here)"
    )
    sub.add_argument("--port", type=int, default=0, metavar="N", help="port on this machine (default: a free one)")
    sub.add_argument("--no-browser", action="store_true", help="print the address only")
    sub.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    from labeller.serving.web.house import House
    from labeller.serving.web.site import Site

    site = Site(House(args.kitchen.resolve()))
    opened = site.house.opened(site.today())
    if opened.workshop is None:
        return show.refused(opened.findings, "text")
    try:
        server = listening(site, args.port)
    except OSError as problem:
        return show.refused(
            [
                finding(
                    "port-taken",
                    Place("--port"),
                    f"port {args.port} can't be used: {problem}",
                    "write --port 0 for a free one",
                )
            ],
            "text",
        )
    address = f"http://{HERE}:{site.door.port}/?key={site.keys.way_in}"
    print(
        f"{opened.kitchen.name or args.kitchen}: {address}\nFor this machine only, as long as this runs. Stop it with Ctrl-C.",
        flush=True,
    )
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


def listening(site, port: int):
    """A server of ``site`` on the loopback; its port is told to the door. Raises OSError when the port can't be had."""
    from waitress import create_server

    if not 0 <= port <= 65_535:
        raise OSError("there is no such port")
    server = create_server(
        site.door, host=HERE, port=port, threads=4, ident=None, max_request_body_size=1_100_000, channel_timeout=60
    )
    site.door.port = server.effective_port
    return server
