"""Sign-off on the page: what stands against it, the doubts to live with and why, and what has changed since the last one.

Signing itself is the command's (``labeller sign-off``), so that both write the same.
"""

from __future__ import annotations

import io
import json
from argparse import Namespace
from contextlib import redirect_stdout

from labeller.reading.issued import read_register
from labeller.serving import verbs_register
from labeller.serving.changes import against
from labeller.serving.register import acceptance_words, to_accept
from labeller.serving.told import change_lines
from labeller.serving.web.asking import Reply, go
from labeller.serving.web.looking import Told, told
from labeller.serving.web.visits import Visit
from labeller.terms.findings import STOP


def sign_off(visit: Visit, *, status: int = 200, findings: list[Told] = []) -> Reply:  # noqa: B006 - never changed
    """The page: menu, last sign-off and what moved since, stops, doubts with a field for the reason."""
    menu, opened = visit.menu(), visit.opened
    register = read_register(visit.house.folder)
    last = register.latest(menu.name) if menu else None
    change = against(opened, last, menu) if last else None
    open_ones = to_accept(opened, menu, (visit.law,)) if menu else ()
    doubts = list(dict.fromkeys(each for each in open_ones if each.severity == "doubt"))
    sent = visit.asked.fields() if visit.asked.form else {}
    return visit.page(
        "signoff.html",
        "Sign-off",
        status,
        menu=menu,
        menus=list(opened.kitchen.menus.values()),
        last_issue=last,
        change=change,
        changes=change_lines(change, opened.workshop.tables.kinds) if change else [],
        law=visit.law,
        damaged=told(visit, register.findings),
        stops=told(visit, [each for each in open_ones if each.severity == STOP]),
        doubts=[(_key(each), each) for each in doubts],
        doubt_fields=told(visit, doubts),
        sent=sent,
        findings=findings,
        in_force=menu in visit.menus_now(),
    )


def _key(each) -> str:
    """What is typed behind --accept for a doubt, without the reason."""
    return acceptance_words(each).removesuffix("=reason")


def sign(visit: Visit) -> Reply:
    asked, menu = visit.asked, visit.menu()
    if menu is None:
        return sign_off(visit, status=422)
    doubts = {_key(each) for each in to_accept(visit.opened, menu, (visit.law,)) if each.severity == "doubt"}
    given = {key: next(filter(None, asked.all(f"reason/{key}")), "") for key in sorted(doubts)}
    accept = [f"{key}={reason}" for key, reason in given.items() if reason]
    args = Namespace(
        kitchen=visit.house.folder,
        date=visit.date,
        format="json",
        out=None,
        menu=menu.name,
        law=[visit.law],
        by=asked.one("by"),
        role=asked.one("role"),
        second=asked.one("second"),
        time="",
        accept=accept,
        prints=asked.one("prints") == "yes",
    )
    said = io.StringIO()
    with redirect_stdout(said):
        code = verbs_register.sign_off(args)
    if code:
        findings = json.loads(said.getvalue() or '{"findings": []}')["findings"]
        return sign_off(visit, status=422, findings=[Told(each, None) for each in findings])
    return go("/sign-off", menu=menu.name, done="signed")
