"""Which address of this machine the page is shown at. The loopback unless another one is named; never every address at once.

Private addresses are those of RFC 1918, RFC 6598 and RFC 4193, as Python's ``ipaddress`` has them.
"""

from __future__ import annotations

import ipaddress
import socket
from typing import NamedTuple

from labeller.serving.web.door import LOOPBACK
from labeller.terms.findings import Finding, Place, finding


class Reach(NamedTuple):
    """host: what is listened on. names: what the address bar may say. local: whether only this machine can ask."""

    host: str
    names: tuple[str, ...]
    local: bool

    def address(self, port: int, key: str) -> str:
        return f"http://{self.names[0]}:{port}/?key={key}"


HERE = Reach("127.0.0.1", LOOPBACK, True)


def reach(text: str) -> tuple[Reach | None, Finding | None]:
    """What was written behind ``--listen``: an address of this machine, or a name of it. "" is the loopback."""
    if not text:
        return HERE, None
    found = _resolved(text)
    if found is None:
        return None, _not_taken(f'"{text}" is no address and no name of this machine')
    if found.is_unspecified or found.is_multicast:
        return None, _not_taken(f'"{text}" would be every network that this machine is in, the guests\' one too')
    if found.is_global:
        return None, _not_taken(f"{found} is an address of the open internet, where everybody could knock")
    own = f"[{found}]" if found.version == 6 else str(found)
    if found.is_loopback:
        return Reach(str(found), (own, *(name for name in LOOPBACK if name != own)), True), None
    return Reach(str(found), tuple(dict.fromkeys((own, text.lower() if text != str(found) else own))), False), None


def _resolved(text: str) -> ipaddress.IPv4Address | ipaddress.IPv6Address | None:
    try:
        return ipaddress.ip_address(text.strip("[]"))
    except ValueError:
        pass
    try:
        rows = socket.getaddrinfo(text, None, type=socket.SOCK_STREAM)
    except (OSError, UnicodeError):
        return None
    return ipaddress.ip_address(min(rows, key=lambda row: row[0] != socket.AF_INET)[4][0].partition("%")[0])


def _not_taken(text: str) -> Finding:
    own = own_addresses()
    such = f", such as --listen {own[0]}" if own else ""
    return finding(
        "listen-not-taken", Place("--listen"), text, f"name the address that this machine has in the kitchen's own network{such}"
    )


def own_addresses() -> tuple[str, ...]:
    """Private addresses of this machine, so that one can be offered. Nothing is sent: a datagram socket is only pointed."""
    found = []
    for family, target in ((socket.AF_INET, "192.0.2.1"), (socket.AF_INET6, "2001:db8::1")):  # RFC 5737, RFC 3849: nobody's
        try:
            with socket.socket(family, socket.SOCK_DGRAM) as one:
                one.connect((target, 9))
                found.append(one.getsockname()[0].partition("%")[0])
        except OSError:
            continue
    return tuple(one for one in dict.fromkeys(found) if not ipaddress.ip_address(one).is_global)
