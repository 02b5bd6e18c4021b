"""Labels for the kitchen's own use, on the same stock as the packs' labels: trays and boxes, and by-date labels for tubs.

No label of these goes to a guest. They say what a dish contains in words, and each carries the usual caution.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct

from labeller.printing.fitting import Measure, Pair, Rule, Setter, Text, ladder
from labeller.printing.fonts import BOLD, PT_PER_MM, REGULAR
from labeller.printing.guest_words import GuestWords
from labeller.printing.label_layout import Column, Frame, Laid, Layouter, NameText
from labeller.printing.labels import no_such_sheet
from labeller.printing.pen import Pen
from labeller.printing.placing import Ready, write_labels
from labeller.printing.states import by_state
from labeller.printing.stock import inner_areas, ready
from labeller.terms.allergens import NONE_ON_RECORD
from labeller.terms.findings import NOWHERE, Finding, Place, finding
from labeller.terms.label_looks import LabelLooks
from labeller.terms.record import Declaration
from labeller.terms.stock import CONTINUOUS, Stock

CONFIRM = 2  # place of "confirm with the kitchen" among a declaration's cautions
LEAST_MM, LARGEST_PT = 1.2, 15.0  # small x at the smallest, read at arm's length (our own choice); text at the largest


class KitchenLabel(Struct, frozen=True):
    """name: large. count: beside it ("24 pieces"). allergens: (state in words with its colon, what), worst first; what is "" for
    a state that says it all. dates: bold lines ("Use by 27 November 2026"). notes: plain lines. cautions: the declaration's own;
    on a label with little room only the one that sends people to the kitchen. mark: the line that tells records, law and
    print."""

    name: str
    count: str = ""
    allergens: tuple[tuple[str, str], ...] = ()
    dates: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    copies: int = 1
    place: Place = NOWHERE
    mark: str = ""


def allergen_lines(declaration: Declaration, said: GuestWords,
                   names: Mapping[str, str] | None = None) -> tuple[tuple[str, str], ...]:  # fmt: skip
    """What a declaration says of allergens, a line a state, the worst first; each kind stands behind its own state only. A
    stopped dish has no answer. said: the words of its language. names: kind -> word, where the declaration has none."""
    if declaration.stopped:
        return ((said.say("no answer"), ""),)
    held = by_state(declaration, names or {}, said.say("other"))
    told = tuple((f"{said.state(state)}{said.say('colon')}", ", ".join(dict.fromkeys(kinds))) for state, kinds in held.items())
    none = [words for group, words in declaration.allergen_words.items()
            if declaration.states.get(group, ("",))[0] == NONE_ON_RECORD]  # fmt: skip
    return told or tuple((words, "") for words in none[:1])


def tray_label(declaration: Declaration, count: str, said: GuestWords, *, note: str = "", copies: int = 1, mark: str = "",
               names: Mapping[str, str] | None = None) -> KitchenLabel:  # fmt: skip
    """For a tray or box that goes to the pass or to a party. count: how many of what, ready words."""
    d = declaration
    dates = () if d.stopped else tuple(text for text in (d.durability,) if text)
    notes = tuple(text for text in (d.storage, d.lot, note) if text)
    return KitchenLabel(d.title or d.dish, count, allergen_lines(d, said, names), dates, notes, d.cautions, copies, mark=mark)


def day_label(declaration: Declaration, said: GuestWords, *, made: str, use_by: str, by: str, copies: int = 1, mark: str = "",
              names: Mapping[str, str] | None = None) -> KitchenLabel:  # fmt: skip
    """For a tub in the cold room. made, use_by, by: ready words ("Made 25 November", "Use by 27 November", "RM"); the
    kitchen sets its dates, none is worked out here."""
    d = declaration
    notes = tuple(text for text in (f"{made} {by}".strip(), d.storage) if text)
    return KitchenLabel(d.title or d.dish, "", allergen_lines(d, said, names), (use_by,) if use_by else (), notes,
                        d.cautions, copies, mark=mark)  # fmt: skip


def kitchen_labels_pdf(labels: Sequence[KitchenLabel], stock: Stock, looks: LabelLooks, *, start: int = 1,
                       offset: tuple[float, float] = (0.0, 0.0), date: str = "", title: str = "Kitchen labels",
                       language: str = "en", sheet: int = 0) -> tuple[bytes, tuple[Finding, ...]]:  # fmt: skip
    """Kitchen labels as a PDF, and what is wrong. A label that does not fit is left out with its finding. sheet: only this one,
    0: all."""
    setter = ready(stock, looks, start)
    if isinstance(setter, Finding):
        return b"", (setter,)
    layouter = Layouter(looks, setter, inner_areas(stock, looks), stock.kind == CONTINUOUS)
    found: list[Finding] = []
    fitted: list[Ready] = []
    for label in labels:
        laid = _laid(label, layouter, setter, looks, stock, found)
        if laid is not None and label.copies > 0:
            fitted.append(Ready((laid,), label.copies))
    if not fitted:
        if found:  # each label that is left out has said why
            return b"", tuple(found)
        nothing = finding("label-nothing-to-print", NOWHERE, "no kitchen label of this run can be printed",
                          "mend the findings above, or check the count")  # fmt: skip
        return b"", (*found, nothing)
    pen = Pen(setter.family, (stock.page_w * PT_PER_MM, stock.page_h * PT_PER_MM), title=title, language=language,
              subject=f"{stock.name}, {date}".strip(", "))  # fmt: skip
    sheets = write_labels(fitted, stock, pen, setter, looks, start, offset, sheet)
    if sheet > sheets:
        return b"", (*found, no_such_sheet(sheet, sheets, stock))
    return pen.bytes(), tuple(found)


def _laid(label: KitchenLabel, layouter: Layouter, setter: Setter, looks: LabelLooks, stock: Stock,
          found: list[Finding]) -> Laid | None:  # fmt: skip
    texts = [label.name, label.count, *(text for pair in label.allergens for text in pair), *label.dates, *label.notes,
             *label.cautions, label.mark]  # fmt: skip
    if missing := setter.missing(texts):
        found.append(finding("label-glyph-missing", label.place, f"the label font has no “{missing}” for “{label.name}”",
                             "write it with letters the font has, or name another font in label.yaml", label.name))  # fmt: skip
        return None
    least = setter.family.regular.points_for_x_height(LEAST_MM)
    steps = ladder(least, LARGEST_PT, 0.5)
    measure = Measure(setter, looks.sizes["leading"])
    tiers = [[("kitchen", lambda c, size, width, told=told: _frame(c, setter, looks, least, width, told))]
             for told in (label.cautions, label.cautions[CONFIRM : CONFIRM + 1])]  # fmt: skip
    laid = layouter.fit(tiers, label, measure, steps)
    if laid is None:
        found.append(finding("label-does-not-fit", label.place, f"“{label.name}” does not fit {stock.name}",
                             "take a larger stock", label.name))  # fmt: skip
    return laid


def _frame(label: KitchenLabel, setter: Setter, looks: LabelLooks, least: float, width: float,
           cautions: tuple[str, ...]) -> Frame:  # fmt: skip
    """Name and count above, allergens in the middle, dates and the rest at the foot."""
    gap, thin = looks.sizes["block gap"], looks.sizes["rule thin"] * PT_PER_MM
    net = Text(setter.text(label.count), 1.1) if label.count else None
    top = (NameText(setter.text(label.name, BOLD), 1.6, 1.2, net), Rule(thin, 0.1, before=1.0))
    middle = []
    for state, what in label.allergens:
        state = state[:1].upper() + state[1:]
        runs = [(state, REGULAR), (what, BOLD)] if what else [(state, BOLD)]
        middle.append(Text(setter.paragraph(runs), gap=gap * 0.5))
    dates = [setter.text(text, BOLD) for text in label.dates]
    notes = [setter.text(text) for text in label.notes]
    foot: list = [Rule(thin, 0.2)]
    if len(dates) == 1 and notes:
        foot.append(Pair(Text(dates.pop(), 1.1), Text(notes.pop(0), 1.0)))
    foot += [Text(par, 1.1) for par in dates]
    if notes:
        foot.append(Text(setter.joined(notes, "·"), 1.0))
    if cautions:
        foot.append(Text(setter.text(" ".join(cautions)), 0.0, least, gap=0.2))
    if label.mark:
        foot.append(Text(setter.text(label.mark), 0.0, least, gap=0.2))
    return Frame(top, (Column(0.0, width, tuple(middle)),), tuple(foot))
