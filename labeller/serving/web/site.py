"""Which address is which page. A fault of ours becomes a page that says so, never a traceback."""

from __future__ import annotations

import sys
from collections.abc import Callable
from threading import RLock

from labeller.serving.show import today as day_today
from labeller.serving.web import editing, jars, looking, papers, questions, signing
from labeller.serving.web.asking import Asked, Reply, go
from labeller.serving.web.door import Door, new_keys
from labeller.serving.web.house import House
from labeller.serving.web.rendering import look, page
from labeller.serving.web.visits import Visit, is_day
from labeller.terms.findings import Finding, Place, finding


def every_day(visit: Visit) -> Reply:
    """Pick the day that answers are given for; today when the field was left empty."""
    day = visit.asked.one("day")
    return go("/")._replace(
        headers=(
            ("Location", "/"),
            ("Set-Cookie", f"labeller_day={day if is_day(day) else ''}; Path=/; HttpOnly; SameSite=Strict"),
        )
    )


SHOWN: dict[str, Callable[[Visit], Reply]] = {
    "/": looking.today,
    "/pages": looking.every_page,
    "/settle": looking.settle,
    "/dishes": looking.all_dishes,
    "/dish": looking.dish,
    "/why": looking.why,
    "/products": looking.products,
    "/product": looking.product,
    "/menus": looking.menus,
    "/entry": editing.entry,
    "/house": editing.house,
    "/text": editing.file_text,
    "/jar": jars.jar,
    "/label": jars.label,
    "/match": jars.match,
    "/guests": questions.guests,
    "/compare": questions.compare,
    "/print": papers.papers,
    "/preview": papers.preview,
    "/paper": papers.paper,
    "/sign-off": signing.sign_off,
}
SENT: dict[str, Callable[[Visit], Reply]] = {
    "/entry": editing.save,
    "/undo": editing.undo,
    "/text": editing.save_text,
    "/jar": jars.save_jar,
    "/label": jars.label,
    "/match": jars.confirm,
    "/replace": questions.replace,
    "/print-all": papers.print_all,
    "/day": every_day,
    "/sign-off": signing.sign,
}


class Site:
    """The page of one kitchen. One question at a time: what was worked out is shared."""

    def __init__(self, house: House, today: Callable[[], str] = day_today):
        self.house, self.today, self.keys, self._lock = house, today, new_keys(), RLock()
        self.door = Door(self.keys, self.answer, self.refuse, lambda: page("enter.html"))

    def answer(self, asked: Asked) -> Reply:
        if asked.path.startswith("/look/"):
            return look(asked.path.removeprefix("/look/")) or self._no_page(asked)
        handlers = SENT if asked.method == "POST" else SHOWN
        handler = handlers.get(asked.path)
        if handler is None:
            return self._no_page(asked)
        with self._lock:
            visit = Visit(self.house, asked, self.keys.form, self.today())
            try:
                if visit.opened.workshop is None:
                    return self.refuse(500, visit.opened.findings)
                return handler(visit)
            except Exception as problem:  # the page is told, the next question is answered again
                print(
                    f"labeller open: {asked.method} {asked.path}: {type(problem).__name__}: {problem}", file=sys.stderr
                )
                fault = finding(
                    "page-fault",
                    Place(asked.path),
                    "the program itself could not make this page",
                    "ask the kitchen; look at the terminal",
                )
                return self.refuse(500, (fault,))

    def _no_page(self, asked: Asked) -> Reply:
        return self.refuse(
            404,
            (finding("page-not-known", Place(asked.path[:80]), "there is no page at this address", "begin at Today"),),
        )

    @staticmethod
    def refuse(status: int, findings: tuple[Finding, ...]) -> Reply:
        """A page without the kitchen: it tells nothing but why."""
        return page("refused.html", status, findings=findings)
