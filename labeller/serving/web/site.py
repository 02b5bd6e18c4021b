"""Which address is which page. A fault of ours becomes a page that says so, never a traceback."""

from __future__ import annotations

import sys
from collections.abc import Callable
from threading import RLock

from labeller.serving.show import today as day_today
from labeller.serving.web import bringing, editing, exports, following, jars, looking, lookups, papers, questions, signing
from labeller.serving.web.asking import Asked, Reply, go
from labeller.serving.web.door import Door, new_keys
from labeller.serving.web.house import House
from labeller.serving.web.rendering import look, page
from labeller.serving.web.uploads import Tray
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
    "/bring-in": bringing.bring_in,
    "/foods": lookups.foods,
    "/laws": lookups.laws,
    "/releases": lookups.releases,
    "/recall": following.recalled,
    "/find-mark": following.find_mark,
    "/changes": following.changes,
    "/copy-menu": following.copy_menu,
    "/export": exports.exports,
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
    "/bring-in": bringing.brought,
    "/releases": lookups.accept_release,
    "/recall": following.recall_aside,
    "/changes": following.changes_aside,
    "/copy-menu": following.copied,
}
WITH_FILES = frozenset({"/bring-in"})
# What a page that changes nothing still answers when it is sent, and which pages are only there to change something.
HARMLESS = frozenset({"/day", "/label"})
FOR_WRITERS = frozenset({"/entry", "/house", "/text", "/jar", "/match", "/bring-in", "/copy-menu", "/sign-off"})


class Site:
    """The page of one kitchen. One question at a time: what was worked out is shared."""

    def __init__(self, house: House, today: Callable[[], str] = day_today, *, read_only: bool = False):
        self.house, self.today, self.keys, self._lock = house, today, new_keys(), RLock()
        self.read_only, self.tray = read_only, Tray()
        self.door = Door(self.keys, self.answer, self.refuse, lambda: page("enter.html"), WITH_FILES)

    def answer(self, asked: Asked) -> Reply:
        if asked.path.startswith("/look/"):
            return look(asked.path.removeprefix("/look/")) or self._no_page(asked)
        handlers = SENT if asked.method == "POST" else SHOWN
        handler = handlers.get(asked.path)
        if handler is None:
            return self._no_page(asked)
        if self.read_only and (asked.path in FOR_WRITERS or asked.method == "POST" and asked.path not in HARMLESS):
            return self._only_read(asked)
        with self._lock:
            visit = Visit(self.house, asked, self.keys.form, self.today(), self.tray, self.read_only)
            try:
                if visit.opened.workshop is None:
                    return self.refuse(500, visit.opened.findings)
                return handler(visit)
            except Exception as problem:  # the page is told, the next question is answered again
                print(f"labeller open: {asked.method} {asked.path}: {type(problem).__name__}: {problem}", file=sys.stderr)
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

    def _only_read(self, asked: Asked) -> Reply:
        text = "this page shows and answers; nothing can be changed from it"
        mend = "go to the kitchen's own computer, or open the page again without --read-only"
        return self.refuse(403, (finding("page-read-only", Place(asked.path), text, mend),))

    @staticmethod
    def refuse(status: int, findings: tuple[Finding, ...]) -> Reply:
        """A page without the kitchen: it tells nothing but why."""
        return page("refused.html", status, findings=findings)
