"""Documents: previewed on the page, downloaded, or printed to ``out/`` as ``labeller print all`` does."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from msgspec.structs import replace

from labeller.serving import label_runs
from labeller.serving.documents import ROLLS, Press, Printed, Wanted, out_folder
from labeller.serving.pipeline import batch_of
from labeller.serving.seats import seats
from labeller.serving.standing import note_prints
from labeller.serving.verbs_print import everything
from labeller.serving.web.asking import Reply, go, to
from labeller.serving.web.looking import Told
from labeller.serving.web.visits import Visit, is_day
from labeller.serving.writing import aside, write
from labeller.terms.findings import STOP, Finding, Place, finding
from labeller.terms.kitchen import Batch, Menu, Recipe

PAGES = ("A4", "Letter")
# A document is shown inside the page of the same origin and may run nothing of ours: its own script has an origin to itself.
PAPER_POLICY = "sandbox allow-scripts; frame-ancestors 'self'"
PDF_POLICY = "default-src 'none'; object-src 'self'; style-src 'unsafe-inline'; frame-ancestors 'self'"


class Paper(NamedTuple):
    """key: in addresses. title, words: what it is and for whom."""

    key: str
    title: str
    words: str


OF_MENU = (
    Paper("matrix", "Allergen matrix", "every dish against every allergen, with reasons; for the pass and the file"),
    Paper("components", "Matrix of the components", "the sub-recipes of the menu, to see where an allergen comes from"),
    Paper("menu-card", "Menu card", "the menu with its allergens, for the table"),
    Paper("guest-card", "Guest card", "what is on record of each dish, for a guest with an allergy to read; no verdicts"),
    Paper("tent-cards", "Tent cards", "one card a dish, for the counter or the buffet"),
    Paper("floor-page", "Floor page", "a page that answers waiters on any device, without a network"),
)
LABELS = Paper("labels", "Labels", "the day's batches on label stock")
OF_JOB = (
    Paper("run-sheet", "Run sheet", "labels printed, used, spoiled and left, to be reconciled by hand"),
    Paper("box-card", "Box card", "a mixed box, piece by piece, to lie in it"),
    Paper("tray-labels", "Tray labels", "for trays and plates on their way to the pass"),
    Paper("tub-labels", "Tub labels", "for tubs of sub-recipes in the fridge"),
)
RUNS: dict[str, Callable] = {
    "run-sheet": label_runs.run_sheets,
    "box-card": label_runs.box_cards,
    "tray-labels": label_runs.tray_labels,
    "tub-labels": label_runs.tub_labels,
}
LANGUAGES = {"en": "English", "de": "Deutsch", "fr": "français", "es": "español", "it": "italiano", "nl": "Nederlands"}
QUESTION = (
    "what",
    "menu",
    "batch",
    "pack",
    "name",
    "law",
    "page",
    "language",
    "stock",
    "copies",
    "start",
    "sheet",
    "right",
    "down",
    "use_by",
    "accepted",
    "incomplete",
    "taken_by",
    "split",
    "numbered",
    "table",
)  # what a document is asked for with, besides the seats of a ticket


def papers(visit: Visit) -> Reply:
    """All documents, with their buttons."""
    menu, opened = visit.menu(), visit.opened
    return visit.page(
        "print.html",
        "Print",
        menu=menu,
        menus=list(opened.kitchen.menus.values()),
        of_menu=OF_MENU,
        jobs=_jobs(visit),
        of_job=OF_JOB[:2],
        tubs=[recipe.name for recipe in opened.kitchen.recipes.values() if recipe.kind == "recipe"],
        languages=LANGUAGES,
        language=_language(visit),
        stocks=opened.kitchen.stocks,
        paper=_paper(visit),
        law=visit.law,
        sizes=PAGES,
        in_force=menu in visit.menus_now(),
        recipes=_recipes(visit),
    )


def _recipes(visit: Visit) -> list[str]:
    return [recipe.name for recipe in visit.opened.kitchen.recipes.values() if recipe.kind != "pack"]


def _jobs(visit: Visit) -> list[tuple[Batch | None, Recipe]]:
    """Label jobs: batches of the day, then packs without one."""
    names, kitchen = visit.opened.workshop.names, visit.opened.kitchen
    jobs = [
        (batch, recipe)
        for batch in kitchen.batches.values()
        if batch.date == visit.date and batch.makes and (recipe := names.recipe(batch.makes))
    ]
    made = {recipe.name for _, recipe in jobs}
    return [
        *jobs,
        *((None, recipe) for recipe in kitchen.recipes.values() if recipe.kind == "pack" and recipe.name not in made),
    ]


def _paper(visit: Visit) -> str:
    known = (*PAGES, *ROLLS) if visit.asked.one("what") == "ticket" else PAGES
    return visit.asked.one("page") if visit.asked.one("page") in known else "A4"


def _language(visit: Visit) -> str:
    own = visit.opened.kitchen.languages
    asked = visit.asked.one("language")
    return asked if asked in LANGUAGES else own[0] if own and own[0] in LANGUAGES else "en"


def _wanted(visit: Visit) -> Wanted:
    asked = visit.asked

    def number(key: str, least: int, most: int) -> int:
        typed = asked.one(key)
        return min(most, max(least, int(typed))) if typed.isdecimal() and len(typed) < 7 else least

    def shift(key: str) -> float:
        try:
            typed = float(asked.one(key).replace(",", ".") or 0)
        except ValueError:
            return 0.0
        return typed if -30 <= typed <= 30 else 0.0

    def taken_on(key: str) -> str:
        reason, by = (" ".join(asked.one(name).split()) for name in (key, "taken_by"))
        return f"{reason}, by {by}" if reason and by else ""

    return Wanted(
        visit.law,
        _paper(visit),
        _language(visit),
        asked.one("stock"),
        number("copies", 0, 5000),
        number("start", 1, 500),
        (shift("right"), shift("down")),
        split=asked.one("split") == "yes",
        numbered=asked.one("numbered") == "yes",
        sheet=number("sheet", 0, 5000),
        use_by=asked.one("use_by") if is_day(asked.one("use_by")) else "",
        accepted=taken_on("accepted"),
        incomplete=taken_on("incomplete"),
    )


def made(visit: Visit) -> tuple[Printed | None, tuple[Finding, ...]]:
    """The document asked for (``what``), or None with what is wrong with the question."""
    press, what, menu = visit.house.press(visit.date, _wanted(visit)), visit.asked.one("what"), visit.menu()
    law = visit.opened.workshop.tables.law(visit.law, visit.date, tuple(dict.fromkeys(("en", _language(visit)))))
    stops = tuple(each for each in law.findings if each.severity == STOP)
    if stops:
        return None, stops
    of_menu: dict[str, Callable] = {
        "matrix": press.matrix,
        "components": press.components,
        "menu-card": press.menu_card,
        "guest-card": press.guest_card,
        "tent-cards": press.tent_cards,
        "floor-page": press.floor_page,
        "records": press.records,
    }
    if what in of_menu and menu is not None:
        return of_menu[what](menu), ()
    if what == "labels":
        return _labels(visit, press)
    if what in RUNS:
        return _run(visit, press, what)
    if what == "test-print":
        return press.test_print(), ()
    if what == "ticket" and menu is not None:
        return _ticket(visit, press, menu)
    if what == "recipe-card":
        return _recipe_card(visit, press)
    return None, (
        finding(
            "nothing-to-print",
            Place("print"),
            "there is no such document, or no menu to make it of",
            "choose one on the page Print",
        ),
    )


def _run(visit: Visit, press: Press, what: str) -> tuple[Printed | None, tuple[Finding, ...]]:
    """A sheet of a batch, a pack or a recipe; without one, of all that the day or the menu asks for. Where the label stocks need
    several, the first of them: the packs of the others are printed one by one."""
    names, kitchen, asked = visit.opened.workshop.names, visit.opened.kitchen, visit.asked
    batch = kitchen.batches.get(asked.one("batch"))
    named = batch.makes if batch else asked.one("pack") or asked.one("name")
    recipe = names.recipe(named) if named else None
    if recipe is not None:
        jobs = [(recipe, batch or batch_of(visit.opened, recipe))]
    elif named:
        return None, (
            finding("dish-not-known", Place("print"), f'no recipe is called "{named}"', "choose one on the page Print"),
        )
    else:
        jobs = _jobs_of_day(visit, press, what)
    made = RUNS[what](press, jobs) if jobs else []
    if not made:
        text = "no batch is written for the day, and no menu that has such"
        return None, (finding("nothing-to-print", Place("print"), text, "write a batch, or choose a recipe"),)
    first = next((each for each in made if each.content), made[0])
    return first, tuple(one for each in made if each is not first for one in each.findings)


def _jobs_of_day(visit: Visit, press: Press, what: str) -> list[tuple[Recipe, Batch | None]]:
    """For tubs the sub-recipes of the menu, for trays its plates; for the others the batches of the day."""
    menu, names = visit.menu(), visit.opened.workshop.names
    if what not in ("tray-labels", "tub-labels"):
        return [(recipe, batch) for batch, recipe in _jobs(visit) if batch is not None]
    used = () if menu is None else press.used_in(menu) if what == "tub-labels" else menu.dishes()
    return [(recipe, batch_of(visit.opened, recipe)) for name in used if (recipe := names.recipe(name))]


def _labels(visit: Visit, press: Press) -> tuple[Printed | None, tuple[Finding, ...]]:
    kitchen, names = visit.opened.kitchen, visit.opened.workshop.names
    batch = kitchen.batches.get(visit.asked.one("batch"))
    recipe = names.recipe(batch.makes if batch else visit.asked.one("pack"))
    if recipe is None:
        return None, (finding("dish-not-known", Place("print"), "no pack of that name", "choose one on the page Print"),)
    if (visit.asked.one("accepted") or visit.asked.one("incomplete")) and not visit.asked.one("taken_by"):
        return None, (
            finding(
                "name-needed", Place("print"), "who takes it on is not written", "write a name or initials beside the reason"
            ),
        )
    printed = press.labels(recipe, batch or batch_of(visit.opened, recipe))
    return replace(printed, findings=tuple(_on_page(each) for each in printed.findings)), ()


def _on_page(each: Finding) -> Finding:
    """What holds a label back is taken on in a field of the page, where the finding names a word of the command."""
    if "--accept-" not in each.mend:
        return each
    return replace(
        each, mend="settle it, or say on the page Print, under the label, why it is printed all the same and who takes it on"
    )


def _recipe_card(visit: Visit, press: Press) -> tuple[Printed | None, tuple[Finding, ...]]:
    recipe = visit.opened.workshop.names.recipe(visit.asked.one("name"))
    if recipe is None:
        return None, (finding("dish-not-known", Place("print"), "no recipe of that name", "choose one on the page Print"),)
    card = press.recipe_card(recipe)
    if card is None:
        return None, (finding("nothing-to-print", Place("print"), f"there is no card of {recipe.name}", "look at its findings"),)
    return card, ()


def _ticket(visit: Visit, press: Press, menu: Menu) -> tuple[Printed | None, tuple[Finding, ...]]:
    called, wrong = seats(visit.opened, [text for text in visit.asked.all("seat") if text])
    if wrong or not called:
        empty = finding(
            "word-not-known",
            Place("ticket"),
            "a ticket needs what each seat avoids",
            "ask for it on the page Guest questions",
        )
        return None, tuple(wrong) or (empty,)
    return press.ticket(menu, called, visit.asked.one("table")), ()


def preview(visit: Visit) -> Reply:
    """A document inside the page, with its findings."""
    document, wrong = made(visit)
    query = {key: value for key in QUESTION if (value := visit.asked.one(key))}
    address = to("/paper", **query) + "".join(f"&seat={to('', s=text)[3:]}" for text in visit.asked.all("seat") if text)
    findings = [Told(each, None) for each in (*wrong, *(document.findings if document else ()))]
    return visit.page(
        "preview.html",
        _title(visit.asked.one("what")),
        200 if document and document.content else 422,
        here="/print",
        address=address,
        document=document if document and document.content else None,
        findings=findings,
        is_pdf=bool(document and document.file.endswith(".pdf")),
    )


def _title(what: str) -> str:
    return next(
        (paper.title for paper in (*OF_MENU, LABELS, *OF_JOB) if paper.key == what),
        what.replace("-", " ").capitalize() or "Document",
    )


def paper(visit: Visit) -> Reply:
    """The document itself."""
    document, wrong = made(visit)
    if document is None or not document.content:
        findings = wrong or (document.findings if document else ())
        return visit.page("message.html", "Not printed", 422, here="/print", findings=[Told(each, None) for each in findings])
    name = document.file.rsplit("/", 1)[-1]
    kind = {"pdf": "application/pdf", "html": "text/html; charset=utf-8", "json": "application/json"}[name.rsplit(".", 1)[-1]]
    place = "attachment" if visit.asked.one("download") else "inline"
    policy = PDF_POLICY if name.endswith(".pdf") else PAPER_POLICY
    return Reply(
        200,
        document.content,
        kind,
        (("Content-Disposition", f'{place}; filename="{name}"'), ("Content-Security-Policy", policy)),
    )


def print_all(visit: Visit) -> Reply:
    """Every document of the day's menus and batches into ``out/``; what no longer holds is moved aside."""
    folder, findings = out_folder(visit.opened, None), []
    documents = everything(visit.opened, visit.house.press(visit.date, Wanted(visit.law)))
    try:
        for each in documents:
            findings += [one for one in each.findings if one.severity == STOP]
            if each.content:
                write(folder / each.file, each.content)
            else:
                aside(folder / each.file)
        note_prints(folder, [(each.file, each.content, each.told) for each in documents])
    except OSError as problem:
        findings = [
            finding(
                "cannot-write",
                Place("out"),
                f"the folder out/ can't be written: {problem.strerror}",
                "look at its rights and the room on the disk",
            )
        ]
    if findings:
        return visit.page(
            "message.html",
            "Printed, but not everything",
            422,
            here="/print",
            findings=[Told(each, None) for each in dict.fromkeys(findings)],
        )
    return go("/print", done="printed")
