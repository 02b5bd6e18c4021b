"""What is looked at before a label is printed: the numbers of the command, and what holds the label of a pack back.

A label has no room for doubts and leaves the house. One that would leave an unread ingredient untold is refused. One of a pack
whose contact nobody assessed, or that lacks what the law asks for, is refused until a named person takes it on; contact that is
taken on stands on the label as a warning.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence

from msgspec.structs import replace

from labeller.terms.findings import DOUBT, STOP, Finding, Place, finding
from labeller.terms.kitchen import Batch, Recipe
from labeller.terms.record import Declaration
from labeller.terms.stock import SHEET, Stock

ROLL_MM = 2.5  # padding of templates/label.yaml
MOST_COPIES = 5000  # a run: five hundred sheets and more; our own limit
NOT_READ = "pack-not-confirmed"
UNASSESSED, INCOMPLETE = "--accept-unassessed", "--accept-incomplete"
TAKEN_ON = {  # what holds a label back -> the word of the command by which a person takes it on, and the finding it becomes
    "cross-contact-not-assessed": (UNASSESSED, "cross-contact-accepted"),
    "table-missing": (INCOMPLETE, "label-incomplete-accepted"),
    "particular-missing": (INCOMPLETE, "label-incomplete-accepted"),
}


WRITE_IN = "____________"
_SUCH_AS = {UNASSESSED: "fryer drained at noon", INCOMPLETE: "date stamped by hand"}


def command_wrong(copies: int | None, accepted: Mapping[str, str | None]) -> list[Finding]:
    """What is wrong with the numbers and words of a command. copies: None where not given. accepted: word of the command -> what
    was written behind it, None where it was not given."""
    out = []
    if copies is not None and not 1 <= copies <= MOST_COPIES:
        out.append(
            finding(
                "copies-outside",
                Place("--copies"),
                f"{copies} labels of a pack can't be printed in one run",
                f"write --copies with a number from 1 to {MOST_COPIES}, or leave it out: as many as the batch",
            )
        )
    for flag, words in accepted.items():
        if words is not None and not _by_somebody(words):
            out.append(
                finding(
                    "name-needed",
                    Place(flag),
                    f'"{words}" names nobody who takes it on',
                    f'write the reason and who takes it on: {flag} "{_SUCH_AS[flag]}, by R. Moss"',
                )
            )
    return out


def _by_somebody(text: str) -> bool:
    reason, by, name = f" {text.strip()} ".rpartition(" by ")
    return bool(by and reason.strip(" ,.") and name.strip(" ,."))


def label_findings(recipe: Recipe, batch: Batch | None, made: Declaration, accepted: Mapping[str, str]) -> tuple[Finding, ...]:
    """What the operator is told of a pack's label: every stop and doubt of its declaration. What holds the label back is a stop
    here, or is accepted, with the words of who took it on. accepted: word of the command -> those words, "" for none."""
    return tuple(_told(each, accepted) for each in _doubts(recipe, batch, made))


def held_back(recipe: Recipe, batch: Batch | None, made: Declaration, accepted: Mapping[str, str]) -> bool:
    """Whether the label of a pack is refused."""
    codes = {each.code for each in _doubts(recipe, batch, made)}
    return NOT_READ in codes or any(code in TAKEN_ON and not accepted[TAKEN_ON[code][0]] for code in codes)


def with_lines(made: Declaration, recipe: Recipe, batch: Batch | None, phrase: Callable[[str], str]) -> Declaration:
    """A declaration with a line to write or stamp on where it lacks what the law asks for, so that the gap shows on the pack.
    phrase: the law's words by their key."""
    life = recipe.shelf_life
    gone = {*made.missing, *(("durability",) if _undated(recipe, batch, made) else ())}
    due = phrase("best before" if life and life.kind != "use by" else "use by")
    lines = {
        "durability": due.replace("{date}", WRITE_IN),
        "lot": phrase("lot").replace("{lot}", WRITE_IN),
        "net quantity": f"{WRITE_IN[:6]} g",
        "storage": WRITE_IN * 2,
        "business": ", ".join(part for part in (made.business, WRITE_IN * 2) if part),
    }
    texts = {key: line for key, line in lines.items() if key in gone}
    return replace(made, **{key.replace(" ", "_"): text for key, text in texts.items()})


def _undated(recipe: Recipe, batch: Batch | None, made: Declaration) -> bool:
    return recipe.kind == "pack" and recipe.shelf_life is not None and batch is None and not made.durability


def _doubts(recipe: Recipe, batch: Batch | None, made: Declaration) -> list[Finding]:
    found = [each for each in made.findings if each.severity in (STOP, DOUBT) or each.code == NOT_READ or each.code in TAKEN_ON]
    if _undated(recipe, batch, made):
        text = f'"{recipe.name}" keeps for a stated time, and no batch says on which day it was packed: no date on the label.'
        mend = "write the batch in batches/ (name, pack, date, count, lot), and print the labels of that"
        found.append(finding("particular-missing", recipe.place, text, mend, recipe.name))
    return found


def _told(each: Finding, accepted: Mapping[str, str]) -> Finding:
    if each.code == NOT_READ:
        return replace(each, severity=STOP)
    if each.code not in TAKEN_ON:
        return each
    flag, becomes = TAKEN_ON[each.code]
    if accepted[flag]:
        text = f"{each.text} Printed all the same: {accepted[flag].strip()}"
        return finding(becomes, each.place, text, each.mend, each.subject)
    way_out = f'{each.mend}; or, once: labeller print labels {flag} "the reason, by NAME"'
    return replace(each, severity=STOP, text=f"{each.text} No label is printed.", mend=way_out)


def moved_off(stock: Stock, offset: Sequence[float]) -> Finding | None:
    """An offset that pushes labels over the edge of their page. A label of a roll is a page of its own: what may move is its
    text, by no more than the margin inside it."""
    least = 0.0 if stock.kind == SHEET else ROLL_MM
    right, down = offset
    room = (
        ("to the right", right, stock.right),
        ("to the left", -right, stock.left),
        ("down", down, stock.bottom),
        ("up", -down, stock.top),
    )
    over = [
        f"{moved:g} mm {way}, where there are {max(free, least):g} mm"
        for way, moved, free in room
        if not moved <= max(free, least) + 1e-6
    ]
    if not over:
        return None
    most = ", ".join(f"{max(free, least):g} mm {way}" for way, _, free in room)
    return finding(
        "label-offset-outside",
        Place("--offset"),
        f'the labels would leave the page of "{stock.name}": {"; ".join(over)}',
        f"write --offset with at most {most} (to the left and up: with a minus)",
    )


def too_many(count: int, place: Place) -> Finding | None:
    """A run of more labels than anybody means: a slip in the batch's count."""
    if count <= MOST_COPIES:
        return None
    return finding(
        "copies-outside",
        place,
        f"the run would have {count} labels, more than {MOST_COPIES}",
        f"mend `count:` of the batch, or write --copies with a number from 1 to {MOST_COPIES}",
    )


def placed(recipe: Recipe, found: Iterable[Finding]) -> tuple[Finding, ...]:
    """Findings with the place of the recipe where they have none, so that the operator finds it."""
    return tuple(each if each.place.file else replace(each, place=recipe.place) for each in found)
