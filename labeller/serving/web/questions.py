"""Guests seat by seat, and one product in the place of another: the answers of ``guest``, ``compare`` and ``replace``."""

from __future__ import annotations

from labeller.reading import kitchen_edit
from labeller.serving import guest
from labeller.serving.documents import ROLLS
from labeller.serving.exchange import compared
from labeller.serving.seats import seats
from labeller.serving.verbs_change import batch_text, unknown_names, void_prints
from labeller.serving.web.asking import Reply, go
from labeller.serving.web.editing import now
from labeller.serving.web.looking import Told
from labeller.serving.web.visits import Visit
from labeller.serving.writing import slug
from labeller.terms.allergens import Kind
from labeller.terms.findings import Finding, Place, finding
from labeller.terms.floor import with_state_names

SEATS = 12


def guests(visit: Visit) -> Reply:
    """Each seat's words; answered only when every word of every seat is known."""
    texts = visit.asked.all("seat")[:SEATS]
    shown = texts + [""] * (max(2, len(texts) + (visit.asked.one("do") == "more")) - len(texts))
    menu = visit.menu()
    called, problems = seats(visit.opened, _called(texts))
    answered = (
        []
        if problems or menu is None
        else [(one, one.avoided, _courses(guest.answers(visit.opened.workshop, menu, one.avoided))) for one in called]
    )
    faults = {text: found for text in texts if text and (found := seats(visit.opened, [text])[1])}
    words = visit.opened.workshop.tables
    avoids = guest.avoids(words.kinds, words.guest_words, words.guest_ingredients)
    return visit.page(
        "guests.html",
        "Guest questions",
        seats=shown[:SEATS],
        menu=menu,
        menus=list(visit.opened.kitchen.menus.values()),
        answered=answered,
        faults=faults,
        kinds={**words.kinds, **{key: Kind(key, key, name) for key, name in with_state_names({}, english=True).items()}},
        offered=sorted({each.name for each in avoids}),
        in_force=menu in visit.menus_now(),
        most=SEATS,
        rolls=("A4", "Letter", *ROLLS),
        asked=[f"seat {one.name}: {one.text}" for one in called],
    )


def _called(texts: list[str]) -> list[str]:
    """What was typed, each with the number of its field where no seat is named before a colon."""
    return [text if ":" in text else f"{nr}: {text}" for nr, text in enumerate(texts, 1) if text]


def _courses(found: tuple[guest.DishAnswer, ...]) -> list[tuple[str, list[guest.DishAnswer]]]:
    courses: dict[str, list[guest.DishAnswer]] = {}
    for each in found:
        courses.setdefault(each.course, []).append(each)
    return list(courses.items())


def compare(visit: Visit, *, status: int = 200, findings: tuple[Finding, ...] = ()) -> Reply:
    """What a substitution adds, loses and leaves unknown; looks only."""
    old, new = visit.asked.one("old"), visit.asked.one("new")
    wrong = tuple(unknown_names(visit.opened, old, new)) if old and new else ()
    found = compared(visit.opened, old, new) if old and new and not wrong else None
    return visit.page(
        "compare.html",
        "Compare and replace",
        status,
        old=old,
        new=new,
        found=found,
        by=visit.asked.one("by"),
        kinds=visit.opened.workshop.tables.kinds,
        names=visit.names(),
        in_force=_tonight(visit),
        findings=[Told(each, None) for each in (*findings, *wrong)],
    )


def _tonight(visit: Visit) -> list[tuple[str, str]]:
    return [
        pair
        for batch in visit.opened.kitchen.batches.values()
        if batch.date == visit.date
        for pair in batch.substitutes
    ]


def replace(visit: Visit) -> Reply:
    """Do it for the day shown, and move aside the prints that no longer hold."""
    old, new, by = (visit.asked.one(key) for key in ("old", "new", "by"))
    wrong = tuple(unknown_names(visit.opened, old, new))
    if wrong or not by:
        named = (
            ()
            if by
            else (finding("name-needed", Place("by"), "who decided it is not written", "write a name or initials"),)
        )
        return compare(visit, status=422, findings=named)
    opened, folder = visit.opened, visit.house.folder
    found = compared(opened, old, new)
    file = f"batches/{visit.date}-instead-of-{slug(old)}.yaml"
    saved = kitchen_edit.put_bytes(
        folder,
        file,
        kitchen_edit.checksum(folder, file),
        batch_text(opened, old, new, by).encode("utf-8"),
        f"{new} instead of {old}",
        when=now(),
    )
    if not saved.written:
        return compare(visit, status=422, findings=saved.findings)
    try:
        void_prints(opened, found)
    except OSError as problem:
        wrong = finding(
            "cannot-write",
            Place("out"),
            f"written, but old prints could not be moved aside: {problem.strerror}",
            "take them down by hand",
        )
        return compare(visit, status=422, findings=(wrong,))
    return go("/compare", done="replaced")
