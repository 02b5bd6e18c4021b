"""What waiters ask, as frozen types, and the one rule that answers it (``guest`` and the floor page share it).

The page repeats :func:`answer` in JavaScript; ``tests/test_floor_page.py`` holds the two against each other.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from msgspec import Struct, field

from labeller.terms.allergens import NONE_ON_RECORD, NOT_CONFIRMED, RANK, TO_CONFIRM
from labeller.terms.words import normalise

LEAVE_OFF, INSTEAD = "leave off", "instead"
CAUTION = ("Calculated from kitchen records. Cross-contact can't be ruled out. Confirm each plate with the kitchen; "
           "local law and a qualified person decide.")  # fmt: skip

# Verdicts, best first. No verdict clears a plate: each sends the waiter to the kitchen or refuses.
NOTHING_ON_RECORD = "nothing on record, confirm with the kitchen"
ASK = "ask the kitchen"
NOT_FOR_THIS_GUEST = "not for this guest"
VERDICTS = (NOTHING_ON_RECORD, ASK, NOT_FOR_THIS_GUEST)
NO_ANSWER = "NO ANSWER \N{EN DASH} ASK THE KITCHEN"
NOTHING_ASKED = "nothing ticked"
CONFIRM = "confirm with the kitchen"
THE_KITCHEN = "the kitchen"  # whom to ask, where the kitchen names nobody


# State key that a guest asks by a word which is on no plate -> (kind whose name stands for it, its English word): a plate
# contains gluten, not coeliac disease.
NAMED_AS = {"coeliac": ("cereals_gluten", "gluten")}


def with_state_names(names: Mapping[str, str], english: bool) -> dict[str, str]:
    """Names of kinds in a language with those of the further state keys: one mapping for terminal, ticket and both pages."""
    more = {key: word if english else names.get(kind, word) for key, (kind, word) in NAMED_AS.items()}
    return {**names, **more}


def both_names(name: str, printed: str) -> str:
    """A dish by the name that cards and labels have for it, the kitchen's own behind it, so that a paper leads to the line."""
    if not printed or normalise(printed) == normalise(name):
        return name
    return f"{printed} ({name})"


class Change(Struct, frozen=True):
    """One change to a plate. action: ``leave off`` or ``instead``; with_: what is made instead, "" when left off."""

    component: str
    action: str
    with_: str = ""


class OptionState(Struct, frozen=True):
    """state: one of ``terms.allergens.STATES``. because: why, in words to repeat ("dill cream: crème fraîche")."""

    state: str
    because: tuple[str, ...] = ()


class Option(Struct, frozen=True):
    """One way to make a dish: as written (no changes) or with changes. states: state key -> state; a key that is absent
    is ``none_on_record``. Keys are group keys and kind keys of ``reference/allergens/kinds.yaml``."""

    changes: tuple[Change, ...] = ()
    states: dict[str, OptionState] = field(default_factory=dict)


class Effect(Struct, frozen=True):
    """What one way to make a dish does to its allergens. gone: kinds that nothing on record brings any more. left: (kind,
    state) of those that stay in a lesser state. brought: (kind, state) of those that are new, or in a worse state than before."""

    changes: tuple[Change, ...]
    gone: tuple[str, ...] = ()
    left: tuple[tuple[str, str], ...] = ()
    brought: tuple[tuple[str, str], ...] = ()


class FloorDish(Struct, frozen=True):
    """options: the dish as written, then least change first. stopped: a finding blocks the dish; it has no answer."""

    name: str
    also_called: tuple[str, ...] = ()
    stopped: bool = False
    options: tuple[Option, ...] = ()


class Heading(Struct, frozen=True):
    """What stands over some dishes. title: the kitchen's own word for a course, "" where it has none. number: of the course, 0
    for the packs behind the courses."""

    title: str = ""
    number: int = 0

    def __str__(self) -> str:
        return self.title or (f"Course {self.number}" if self.number else "Packs")

    @property
    def made(self) -> str:
        """Whose word it is: "" the kitchen's own, "course" or "packs" of the document."""
        return "" if self.title else "course" if self.number else "packs"


class FloorCourse(Struct, frozen=True):
    """title: as it is read. heading: whose word that is, None where nobody said."""

    title: str
    dishes: tuple[FloorDish, ...]
    heading: Heading | None = None


class Avoid(Struct, frozen=True):
    """One thing to tick. name: as shown ("milk"). words: what guests say ("dairy"). keys: the state keys it covers."""

    key: str
    name: str
    words: tuple[str, ...]
    keys: tuple[str, ...]


class AskedBack(Struct, frozen=True):
    """A word that no tick answers alone ("nuts", "kosher"). key: of its sentence, ``floor back KEY`` in
    ``templates/floor_page.yaml``, and of its words in other languages. ticks: what to tick once the guest has said what is
    meant, () where only the kitchen can say."""

    key: str
    words: tuple[str, ...]
    ticks: tuple[str, ...] = ()


class FloorTongue(Struct, frozen=True):
    """What is known of one language of the floor page, beside the page's own words. names: key of a tick or of a state -> its
    name; what is absent stands in English. words: key of a tick -> what guests call it. issue: who signed this state."""

    language: str
    names: dict[str, str] = field(default_factory=dict)
    words: dict[str, tuple[str, ...]] = field(default_factory=dict)
    cautions: tuple[str, ...] = ()
    issue: str = ""


class FloorData(Struct, frozen=True):
    """Everything the floor page shows. starts, ends: ISO dates of the service, both included (no ``ends``: the page
    gives no answer); made: date and time as text; ask: the person or place to ask, as the kitchen calls it.
    language: that of the kitchen's own words (names, paths); tongues: those the page speaks, the first at the start,
    none: English."""

    kitchen: str
    menu: str
    starts: str
    ends: str
    made: str
    law: str
    kitchen_version: str
    data_version: str
    avoids: tuple[Avoid, ...] = ()
    courses: tuple[FloorCourse, ...] = ()
    cautions: tuple[str, ...] = ()
    ask: str = THE_KITCHEN
    language: str = "en"
    tongues: tuple[FloorTongue, ...] = ()
    asked_back: tuple[AskedBack, ...] = ()


class Answer(Struct, frozen=True):
    """The answer for one dish and one guest.

    verdict: one of VERDICTS, or NO_ANSWER (stopped dish) or NOTHING_ASKED. words: the answer as it is read out.
    changes: what the kitchen makes differently. because: (key, state, reasons) of each ticked key that is not
    ``none_on_record`` in the plate as written.
    """

    verdict: str
    words: str
    changes: tuple[Change, ...] = ()
    because: tuple[tuple[str, str, tuple[str, ...]], ...] = ()


class TicketSeat(Struct, frozen=True):
    """One seat of an allergy ticket. seat: as the floor calls it ("2"). avoids: in words. dishes: (course, dish, answer)."""

    seat: str
    avoids: tuple[str, ...]
    dishes: tuple[tuple[str, str, Answer], ...]


class Ticket(Struct, frozen=True):
    """An allergy ticket for the pass. date: ISO date of service; names: state key -> word, for the reasons."""

    kitchen: str
    menu: str
    date: str
    table: str
    seats: tuple[TicketSeat, ...]
    law: str = ""
    kitchen_version: str = ""
    data_version: str = ""
    cautions: tuple[str, ...] = ()
    names: dict[str, str] = field(default_factory=dict)


def verdict_of(states: Iterable[str]) -> str:
    """Verdict of the worst of the states; a state that is not known counts as one to ask about."""
    worst = min((RANK.get(state, RANK[NOT_CONFIRMED]) for state in states), default=RANK[NONE_ON_RECORD])
    if worst <= RANK[TO_CONFIRM]:  # contains, or contains, to be confirmed
        return NOT_FOR_THIS_GUEST
    return ASK if worst < RANK[NONE_ON_RECORD] else NOTHING_ON_RECORD


def change_words(changes: tuple[Change, ...]) -> str:
    """"make fresh without A and B, with D instead of C"."""
    without = [change.component for change in changes if change.action == LEAVE_OFF]
    instead = [f"with {change.with_} instead of {change.component}" for change in changes if change.action == INSTEAD]
    parts = ([f"without {_listed(without)}"] if without else []) + ([_listed(instead)] if instead else [])
    return "make fresh " + ", ".join(parts)


def answer(dish: FloorDish, keys: Iterable[str]) -> Answer:
    """The dish as written, or the first option of which nothing that was asked is on record. A change that leaves a doubt
    settles nothing and is not offered."""
    asked = tuple(dict.fromkeys(keys))
    if dish.stopped or not dish.options:
        return Answer(NO_ANSWER, NO_ANSWER)
    if not asked:
        return Answer(NOTHING_ASKED, NOTHING_ASKED)
    because = _found(dish.options[0], asked)
    settled = next((option for option in dish.options if not _found(option, asked)), None)
    if settled is not None:
        return Answer(NOTHING_ON_RECORD, _words(settled.changes), settled.changes, because)
    verdict = verdict_of(state for _, state, _ in because)
    return Answer(verdict, verdict, (), because)


def _found(option: Option, asked: tuple[str, ...]) -> tuple[tuple[str, str, tuple[str, ...]], ...]:
    held = ((key, option.states[key]) for key in asked if key in option.states)
    return tuple((key, state.state, state.because) for key, state in held if state.state != NONE_ON_RECORD)


def _words(changes: tuple[Change, ...]) -> str:
    return f"{change_words(changes)}, {CONFIRM}" if changes else NOTHING_ON_RECORD


def together(because: Iterable[tuple[str, str, tuple[str, ...]]]) -> tuple[tuple[tuple[str, ...], str, tuple[str, ...]], ...]:
    """(keys, state, reasons): what stands in one state for the same reasons is told once, with all its names."""
    found: dict[tuple[str, tuple[str, ...]], list[str]] = {}
    for key, state, why in because:
        found.setdefault((state, why), []).append(key)
    return tuple((tuple(keys), state, why) for (state, why), keys in found.items())


def bracketed(why: str) -> str:
    """Reasons behind a name: in brackets, or behind a dash where they have brackets of their own."""
    return f" \N{EN DASH} {why}" if "(" in why else f" ({why})"


def _listed(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
