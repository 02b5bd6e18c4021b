"""Labels of a day, run by run: packs' labels and their run sheet, tray and tub labels, box cards.

All packs of a run whose labels go on the same stock are one PDF, so that names which begin alike are looked at together.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, NamedTuple

from labeller.serving.label_checks import (
    INCOMPLETE,
    UNASSESSED,
    WRITE_IN,
    held_back,
    label_findings,
    moved_off,
    placed,
    too_many,
    with_lines,
)
from labeller.serving.register import sheet_mark
from labeller.serving.writing import slug
from labeller.terms.findings import STOP, Finding, Place, finding
from labeller.terms.kitchen import Batch, Recipe
from labeller.terms.record import Declaration
from labeller.terms.stock import Stock

if TYPE_CHECKING:
    from labeller.printing.guest_words import GuestWords
    from labeller.printing.labels import LabelJob
    from labeller.serving.documents import Press, Printed

Job = tuple[Recipe, Batch | None]


class Run(NamedTuple):
    """Jobs whose labels go on one stock. file: stem of its documents' names."""

    stock: Stock | None
    wrong: Finding | None
    jobs: tuple[tuple[Recipe, Batch | None, Declaration], ...]
    file: str


def runs(press: Press, jobs: Iterable[Job]) -> tuple[list[Run], list[tuple[Recipe, Batch | None, Declaration | None]]]:
    """The runs of some jobs, one a stock, and the jobs that have no answer."""
    grouped: dict[str, list[tuple[Recipe, Batch | None, Declaration]]] = {}
    stopped = []
    for recipe, batch in jobs:
        made = press.declaration(recipe, batch)
        if made is None or made.stopped or held_back(recipe, batch, made, accepted(press)):
            stopped.append((recipe, batch, made))
        else:
            grouped.setdefault(_stock_asked(press, recipe), []).append((recipe, batch, made))
    every = sum(len(each) for each in grouped.values())
    out = []
    for asked, each in grouped.items():
        stock, wrong = find(press, asked, each[0][0].place if each[0][0].stock == asked else Place("kitchen.yaml"))
        day = f"{press.opened.date}{'' if len(grouped) == 1 else '-' + slug(stock.name if stock else asked)}"
        out.append(Run(stock, wrong, tuple(each), stem_of(*each[0][:2]) if every == 1 else day))
    return out, stopped


def accepted(press: Press) -> dict[str, str]:
    """Word of the command -> why, and by whom, labels are printed all the same; "" where nobody takes it on."""
    return {UNASSESSED: press.wanted.accepted, INCOMPLETE: press.wanted.incomplete}


def stem_of(recipe: Recipe, batch: Batch | None) -> str:
    return slug(batch.name if batch else recipe.name)


def _stock_asked(press: Press, recipe: Recipe) -> str:
    return press.wanted.stock or recipe.stock or next(iter(press.opened.kitchen.stocks), "")


def find(press: Press, asked: str, place: Place) -> tuple[Stock | None, Finding | None]:
    """A stock by a name of kitchen.yaml, else by its size, and what is wrong with it."""
    from labeller.reading.stock_tables import find_stock

    if not asked:
        return None, finding(
            "stock-not-named",
            place,
            "no label stock is named",
            'write `label sheets:` in kitchen.yaml, or --stock "A4 99.1 x 67.7"',
        )
    found = find_stock(press.opened.kitchen.stocks.get(asked, asked), place)
    if isinstance(found, Finding):
        return None, found
    return found, moved_off(found, press.wanted.offset)


def labels(press: Press, jobs: Iterable[Job]) -> list[Printed]:
    """The packs' labels, one PDF a stock. A pack without an answer gets none, and what was printed of it before is void."""
    from labeller.printing.labels import label_run, look_alikes
    from labeller.reading.stock_tables import load_stock
    from labeller.serving.documents import Printed

    looks, faults = press.label_looks()
    made, stopped = runs(press, jobs)
    out, every = [], []
    for run in made:
        if run.wrong:
            out.append(Printed(f"{run.file}-labels.pdf", b"", (run.wrong,)))
            continue
        wanted = press.wanted
        todo = [label_job(press, *job) for job in run.jobs]
        much = too_many(sum(job.copies for job in todo), run.jobs[0][0].place)
        if much:
            out.append(Printed(f"{run.file}-labels.pdf", b"", (much,)))
            continue
        every += todo
        laid = label_run(
            todo,
            run.stock,
            looks,
            start=wanted.start,
            offset=wanted.offset,
            date=press.opened.date,
            title=_title(run),
            language=wanted.language,
            stocks=load_stock(),
            sheet=wanted.sheet,
            versions=press.version_words(),
        )
        told, unsigned = _told(press, [job for job, label in zip(run.jobs, todo, strict=True) if label in laid.printed])
        sheet = f"-sheet-{wanted.sheet}" if wanted.sheet else ""
        out.append(
            Printed(f"{run.file}-labels{sheet}.pdf", laid.pdf, (*faults, *_doubts(press, run), *laid.findings, *unsigned), told)
        )
    alike = tuple(look_alikes(every)) if len(made) > 1 else ()
    return [
        *out,
        *(
            Printed(f"{stem_of(recipe, batch)}-labels.pdf", b"", (*_stops(press, recipe, batch, one), *alike))
            for recipe, batch, one in stopped
        ),
        *([Printed("", b"", alike)] if alike and not stopped else []),
    ]


def _title(run: Run) -> str:
    return f"Labels: {', '.join(dict.fromkeys(recipe.name for recipe, *_ in run.jobs))}"


def _doubts(press: Press, run: Run) -> tuple[Finding, ...]:
    """What is doubtful in the declarations of a run: labels have no room to say so."""
    return tuple(each for job in run.jobs for each in placed(job[0], label_findings(*job, accepted(press))))


def _stops(press: Press, recipe: Recipe, batch: Batch | None, made: Declaration | None) -> tuple[Finding, ...]:
    found = placed(recipe, label_findings(recipe, batch, made, accepted(press))) if made is not None else ()
    return (
        tuple(found)
        if any(each.severity == STOP for each in found)
        else (
            *found,
            finding(
                "label-no-answer",
                recipe.place,
                f"“{recipe.name}” has no answer: no label is printed",
                "run labeller check and mend what stops it",
                recipe.name,
            ),
        )
    )


def label_job(press: Press, recipe: Recipe, batch: Batch | None, made: Declaration) -> LabelJob:
    """What to print of one pack: its size is the recipe's own unless the command names another. What a person takes on as
    missing gets a line to write on."""
    from msgspec.structs import replace

    from labeller.printing.labels import LabelJob

    wanted = press.wanted
    asked = wanted.face_cm2 is not None
    face, bearing = (wanted.face_cm2, None) if asked else (recipe.largest_side_cm2, recipe.bearing_cm2)
    job = LabelJob(
        with_lines(made, recipe, batch, press.phrase) if wanted.incomplete else made,
        wanted.copies or (batch.count if batch else 0) or 1,
        batch.lot if batch else "",
        wanted.numbered,
        face,
        wanted.split,
        bearing,
        recipe.place,
    )
    return replace(job, code=press.code(job.mark))


def _told(press: Press, jobs: Iterable[tuple[Recipe, Batch | None, Declaration]]) -> tuple[dict, tuple[Finding, ...]]:
    """What labels are printed from, and a note where nobody has signed it: labels have no room to say so."""
    found: list[Finding] = []
    marks, dishes, numbers = {}, {}, []
    for recipe, batch, made in jobs:
        mark, (digest, number) = label_job(press, recipe, batch, made).mark, press.signed_state(recipe)
        marks[mark] = {"dish": recipe.name, "batch": batch.name if batch else "", "lot": batch.lot if batch else ""}
        dishes[recipe.name] = digest
        numbers.append(number)
        if not number:
            found.append(
                finding(
                    "printed-unsigned",
                    recipe.place,
                    f"the labels of {recipe.name} (mark {mark}) are of a state that nobody has signed off",
                    "sign off a menu that holds it, then print again",
                    recipe.name,
                )
            )
    mark, first = next(iter(marks.items()), ("", {}))
    return {
        "law": press.wanted.law,
        "language": press.wanted.language,
        "mark": mark,
        "number": min(numbers, default=0),
        **press.versions(),
        "batch": first.get("batch", ""),
        "lot": first.get("lot", ""),
        "marks": marks,
        "dishes": dishes,
    }, tuple(found)


def run_sheets(press: Press, jobs: Iterable[Job]) -> list[Printed]:
    """For each PDF of labels the sheet that reconciles printed, used, spoiled and left."""
    from labeller.printing.run_sheet import run_sheet_pdf
    from labeller.serving.documents import Printed

    looks, faults = press.label_looks()
    (said, silent), of = press.words(), press.versions()
    made, stopped = runs(press, jobs)
    out = []
    for run in made:
        file = f"{run.file}-run-sheet.pdf"
        if run.wrong:
            out.append(Printed(file, b"", (run.wrong,)))
            continue
        todo = [label_job(press, *job) for job in run.jobs]
        pdf, found = run_sheet_pdf(
            todo,
            run.stock,
            looks,
            said,
            start=press.wanted.start,
            date=said.day(press.opened.date),
            kitchen_name=press.opened.kitchen.name,
            page=press.wanted.page,
            versions=said.versions(press.wanted.law, of["date"], of["kitchen_version"], of["data_version"]),
        )
        out.append(Printed(file, pdf, (*faults, *found, *silent), _told(press, run.jobs)[0]))
    return [
        *out,
        *(Printed(f"{stem_of(recipe, batch)}-run-sheet.pdf", b"", _stops(press, recipe, batch, one))
          for recipe, batch, one in stopped),
    ]


def tray_labels(press: Press, jobs: Iterable[Job]) -> list[Printed]:
    """Labels for what goes to the pass or to a party in trays and boxes."""
    from labeller.printing.kitchen_labels import tray_label

    said, names = press.words()[0], press.kind_names()

    def made(recipe: Recipe, batch: Batch | None, one: Declaration, mark: str):
        note = said.say("tray made by", batch.made_by) if batch and batch.made_by else ""
        count = _count(recipe, batch, said)
        return tray_label(one, count, said, note=note, copies=press.wanted.copies or 1, mark=mark, names=names)

    return _kitchen_labels(press, jobs, "tray-labels", made)


def tub_labels(press: Press, jobs: Iterable[Job]) -> list[Printed]:
    """By-date labels for tubs in the cold room. The date is the kitchen's own (``shelf life:``, --use-by), else a line to write
    on."""
    from labeller.printing.kitchen_labels import day_label

    said, names, due = press.words()[0], press.kind_names(), press.phrase("use by")

    def made(recipe: Recipe, batch: Batch | None, one: Declaration, mark: str):
        day = said.day(batch.date) if batch and batch.date else WRITE_IN  # never said of what nobody says was made
        asked = due.replace("{date}", said.day(press.wanted.use_by)) if press.wanted.use_by else ""
        use_by = asked or one.durability or due.replace("{date}", WRITE_IN)
        by = batch.made_by if batch and batch.made_by else WRITE_IN[:6]
        lot = (batch.lot,) if batch and batch.lot else ()
        return day_label(
            one,
            said,
            made=said.say("tub made", day),
            use_by=use_by,
            by=said.say("tub by", ", ".join((by, *lot))),
            copies=press.wanted.copies or 1,
            mark=mark,
            names=names,
        )

    return _kitchen_labels(press, jobs, "tub-labels", made)


def _count(recipe: Recipe, batch: Batch | None, said: GuestWords) -> str:
    if batch is None or not batch.count:
        return ""
    word = {"pack": "pack", "dish": "portion"}.get(recipe.kind, "piece")
    return said.say(f"tray {word}{'s' if batch.count != 1 else ''}", batch.count)


def _kitchen_labels(press: Press, jobs: Iterable[Job], what: str, made) -> list[Printed]:
    """Labels for the kitchen's own use; one without an answer says so on itself, it is never left off the tub."""
    from labeller.printing.kitchen_labels import kitchen_labels_pdf
    from labeller.serving.documents import Printed

    looks, faults = press.label_looks()
    said, silent = press.words()
    ready = [(recipe, batch, one) for recipe, batch in jobs if (one := press.declaration(recipe, batch)) is not None]
    stem = f"{stem_of(*ready[0][:2]) if len(ready) == 1 else press.opened.date}-{what}"
    stock, wrong = press.stock()
    if wrong or not ready:
        return [Printed(f"{stem}.pdf", b"", (wrong,) if wrong else ())]
    entries = press.frozen([recipe.name for recipe, *_ in ready])
    mark = sheet_mark(stem, entries)
    line = looks.words["mark"].format(
        kitchen=press.versions()["kitchen_version"][:8],
        data=press.versions()["data_version"][:8],
        law=press.wanted.law.upper(),
        law_date=press.opened.date,
        mark=mark,
    )
    pdf, found = kitchen_labels_pdf(
        [made(recipe, batch, one, line) for recipe, batch, one in ready],
        stock,
        looks,
        start=press.wanted.start,
        offset=press.wanted.offset,
        date=press.opened.date,
        language=press.wanted.language,
        sheet=press.wanted.sheet,
        title=said.say(what.replace("-", " ")),
    )
    told = {
        "law": press.wanted.law,
        "language": press.wanted.language,
        "mark": mark,
        "number": 0,
        **press.versions(),
        "dishes": {entry["dish"]: entry["digest"] for entry in entries},
    }
    sheet = f"-sheet-{press.wanted.sheet}" if press.wanted.sheet else ""
    return [Printed(f"{stem}{sheet}.pdf", pdf, (*faults, *found, *silent), told)]


def box_cards(press: Press, jobs: Iterable[Job]) -> list[Printed]:
    """A card for each mixed box among the jobs."""
    return [press.box_card(recipe, batch) for recipe, batch in jobs]
