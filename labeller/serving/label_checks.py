"""What is looked at before a label is printed: the numbers of the command, and whether the contact of a pack is assessed.

A pack carries no blanket warning, so contact on shared equipment that nobody has assessed would go untold: such a label is
refused, unless a named person takes it on.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec.structs import replace

from labeller.terms.findings import DOUBT, STOP, Finding, Place, finding
from labeller.terms.kitchen import Recipe
from labeller.terms.record import Declaration
from labeller.terms.stock import SHEET, Stock

ROLL_MM = 2.5  # padding of templates/label.yaml
MOST_COPIES = 5000  # a run: five hundred sheets and more; our own limit
NOT_ASSESSED = "cross-contact-not-assessed"
WAY_OUT = 'labeller print labels --accept-unassessed "the reason, by NAME"'


def command_wrong(copies: int | None, accepted: str | None) -> list[Finding]:
    """What is wrong with the numbers and words of a command. copies, accepted: None where not given."""
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
    if accepted is not None and not _by_somebody(accepted):
        out.append(
            finding(
                "name-needed",
                Place("--accept-unassessed"),
                f'"{accepted}" names nobody who takes it on',
                'write the reason and who takes it on: --accept-unassessed "fryer drained at noon, by R. Moss"',
            )
        )
    return out


def _by_somebody(text: str) -> bool:
    reason, by, name = f" {text.strip()} ".rpartition(" by ")
    return bool(by and reason.strip(" ,.") and name.strip(" ,."))


def unassessed(made: Declaration, accepted: str) -> tuple[bool, tuple[Finding, ...]]:
    """Whether the label of a pack is refused, and what its operator is told: every stop and doubt of its declaration.

    Contact without an assessment is a stop here, or what was accepted, with the words of who took it on.
    """
    found = [each for each in made.findings if each.severity in (STOP, DOUBT)]
    if not any(each.code == NOT_ASSESSED for each in found):
        return False, tuple(found)
    if accepted:
        taken = [
            finding(
                "cross-contact-accepted",
                each.place,
                f"{each.text} Printed all the same: {accepted.strip()}",
                each.mend,
                each.subject,
            )
            if each.code == NOT_ASSESSED
            else each
            for each in found
        ]
        return False, tuple(taken)
    return True, tuple(
        replace(each, severity=STOP, text=f"{each.text} No label is printed.", mend=f"{each.mend}; or, once: {WAY_OUT}")
        if each.code == NOT_ASSESSED
        else each
        for each in found
    )


def moved_off(stock: Stock, offset: Sequence[float]) -> Finding | None:
    """An offset that pushes labels over the edge of their page. A label of a roll is a page of its own: what may move is its text,
    by no more than the margin inside it."""
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
