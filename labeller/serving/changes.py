"""What has changed since a menu was signed off, dish by dish: allergens gained and lost and through what, figures as printed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from labeller.reading.issued import checksums, table_checksums
from labeller.serving.pipeline import Opened
from labeller.serving.register import STATEMENTS, entries_of, figures_of, to_accept, weight_words
from labeller.terms.allergens import NONE_ON_RECORD, RANK
from labeller.terms.findings import NOTE
from labeller.terms.issued import Issued
from labeller.terms.kitchen import Menu


class Way(NamedTuple):
    """How an allergen comes into a dish. path: from the dish down; place: file:line; evidence: what it rests on; state: in which
    it comes that way."""

    path: tuple[str, ...]
    place: str
    evidence: str
    state: str = ""


class Move(NamedTuple):
    """Kinds of one dish that moved alike. was, now: states. came, went: ways that are new, ways that are no more. stays: a way of
    before brings it still, in the state that it has now."""

    kinds: tuple[str, ...]
    was: str
    now: str
    came: tuple[Way, ...]
    went: tuple[Way, ...]
    stays: bool = False

    @property
    def what(self) -> str:
        """gains · loses · worse · better · another way"""
        if self.was == self.now:
            return "another way"
        if self.was == NONE_ON_RECORD:
            return "gains"
        if self.now == NONE_ON_RECORD:
            return "loses"
        return "worse" if RANK.get(self.now, 0) < RANK.get(self.was, 0) else "better"


class FigureMove(NamedTuple):
    """A declared figure that reads otherwise. per: per_100g, per_portion or reference_share."""

    key: str
    per: str
    was: str
    now: str


class DishChange(NamedTuple):
    """One dish under one law. there_before, there_now: on the menu. answers: its answer before and now where that changed
    ("NO ANSWER …" or ""); moves are then all that it holds, as of a new dish. texts: (statement, what is gone, what is new)."""

    dish: str
    law: str
    there_before: bool = True
    there_now: bool = True
    answers: tuple[str, str] | None = None
    moves: tuple[Move, ...] = ()
    figures: tuple[FigureMove, ...] = ()
    weight: tuple[str, str] | None = None
    texts: tuple[tuple[str, str, str], ...] = ()

    @property
    def changed(self) -> bool:
        moved = self.answers or self.moves or self.figures or self.weight or self.texts
        return bool(moved) or not (self.there_before and self.there_now)


class MenuChange(NamedTuple):
    """A menu against a sign-off. there: the kitchen still has it. dishes: those that changed. dates: first and last day before
    and now, where they moved. basis: what else it rests on that changed, in words (law, data): each ends the sign-off. aside:
    what changed without a word of the declarations changing. findings: new stops and doubts, in words."""

    menu: str
    issue: Issued
    there: bool = True
    dishes: tuple[DishChange, ...] = ()
    dates: tuple[str, str] | None = None
    basis: tuple[str, ...] = ()
    aside: tuple[str, ...] = ()
    findings: tuple[str, ...] = ()

    @property
    def changed(self) -> bool:
        return not self.there or bool(self.dishes or self.dates or self.basis)


def against(opened: Opened, issue: Issued, menu: Menu | None) -> MenuChange:
    """A menu as it stands now against a sign-off (of itself, or of the menu it was copied from)."""
    if menu is None:
        return MenuChange(issue.menu, issue, there=False)
    content = issue.content
    now = [entry for law in content["laws"] for entry in entries_of(opened, menu, law)]
    was_on, is_on = (f"{content['menu_from']} to {content['menu_until']}", f"{menu.starts} to {menu.ends}")
    dates = (was_on, is_on) if was_on != is_on and menu.name == issue.menu else None  # a copy runs on other days
    return MenuChange(
        menu.name, issue, True, dish_changes(content["declarations"], now), dates,
        _basis(opened, content), _aside(opened, content), _new_findings(opened, menu, content))  # fmt: skip


def still_holds(opened: Opened, issue: Issued, menu: Menu, law: str, entries: Sequence[Mapping]) -> bool:
    """Whether a sign-off still says what ``entries`` (of one law, in the menu's order) say. The same test as :func:`against`."""
    was = [(entry["dish"], entry["digest"]) for entry in issue.content["declarations"] if entry["law"] == law]
    same = was == [(entry["dish"], entry["digest"]) for entry in entries]
    dates = (issue.content["menu_from"], issue.content["menu_until"]) == (menu.starts, menu.ends)
    return same and dates and not _basis(opened, issue.content)


def dish_changes(was: Iterable[Mapping], now: Iterable[Mapping]) -> tuple[DishChange, ...]:
    """Dishes that changed, were added or were taken off, each under each law."""
    before = {(entry["law"], entry["dish"]): entry for entry in was}
    after = {(entry["law"], entry["dish"]): entry for entry in now}
    found = [_dish(before.get(key), after.get(key), *key) for key in dict.fromkeys([*after, *before])]
    order = [dish for _, dish in after]
    moved = [dish for _, dish in before if dish in order] != [dish for dish in order if any(dish == each for _, each in before)]
    out = [each for each in found if each.changed]
    if not out and moved:  # the order alone: told with the first dish that stands elsewhere
        first = next(one for one, two in zip(order, [dish for _, dish in before], strict=False) if one != two)
        out.append(DishChange(first, next(iter(after))[0], texts=(("place on the menu", "", "the order of the dishes"),)))
    return tuple(out)


def _dish(was: Mapping | None, now: Mapping | None, law: str, dish: str) -> DishChange:
    if was is None or now is None:
        held = _moves([], now["facts"]) if now is not None else ()
        return DishChange(dish, law, was is not None, now is not None, moves=held)
    if was["digest"] == now["digest"]:
        return DishChange(dish, law)
    answers = (was["answer"], now["answer"]) if was["answer"] != now["answer"] else None
    weights = weight_words(was), weight_words(now)
    return DishChange(
        dish, law, answers=answers, moves=_moves([] if answers else was["facts"], now["facts"]),
        figures=() if answers else _figures(figures_of(was), figures_of(now)),
        weight=weights if weights[0] != weights[1] and not answers else None,
        texts=() if answers else tuple(_texts(was["record"], now["record"])))  # fmt: skip


def _moves(was: Sequence[Mapping], now: Sequence[Mapping]) -> tuple[Move, ...]:
    """Kinds that moved alike are told together: an unread jar leaves fourteen of them open."""
    before, after = _by_kind(was), _by_kind(now)
    alike: dict[tuple, list[str]] = {}
    for kind in dict.fromkeys([*before, *after]):
        old, new = before.get(kind, []), after.get(kind, [])
        worst = _worst(old), _worst(new)
        known, left = {_way_key(fact) for fact in old}, {_way_key(fact) for fact in new}
        came = tuple(dict.fromkeys(_way(fact) for fact in new if _way_key(fact) not in known))
        went = tuple(dict.fromkeys(_way(fact) for fact in old if _way_key(fact) not in left))
        stays = any(_way_key(fact) in known and fact["state"] == worst[1] for fact in new)
        if worst[0] != worst[1] or came or went:
            alike.setdefault((*worst, came, went, stays), []).append(kind)
    moves = [Move(tuple(kinds), *rest) for rest, kinds in alike.items()]
    order = ("gains", "worse", "loses", "better", "another way")
    return tuple(sorted(moves, key=lambda move: (order.index(move.what), RANK.get(move.now, 0))))


def _by_kind(facts: Sequence[Mapping]) -> dict[str, list[Mapping]]:
    """Facts of each kind, worst first."""
    found: dict[str, list[Mapping]] = {}
    for fact in sorted(facts, key=lambda fact: RANK.get(fact["state"], 0)):
        found.setdefault(fact["kind"], []).append(fact)
    return found


def _worst(facts: Sequence[Mapping]) -> str:
    return min((fact["state"] for fact in facts), key=lambda state: RANK.get(state, 0), default=NONE_ON_RECORD)


def _way_key(fact: Mapping) -> tuple:
    return fact["state"], fact["route"], tuple(fact["path"])


def _way(fact: Mapping) -> Way:
    return Way(tuple(fact["path"]), fact["place"], fact["evidence"], fact["state"])


def _figures(was: Mapping[str, Mapping[str, str]], now: Mapping[str, Mapping[str, str]]) -> tuple[FigureMove, ...]:
    moves = []
    for key in dict.fromkeys([*was, *now]):
        old, new = was.get(key, {}), now.get(key, {})
        moves += [FigureMove(key, per, old.get(per, ""), new.get(per, "")) for per in dict.fromkeys([*old, *new])
                  if old.get(per) != new.get(per)]  # fmt: skip
    return tuple(moves)


def _texts(was: Mapping, now: Mapping) -> Iterable[tuple[str, str, str]]:
    for key in STATEMENTS:
        if was[key] != now[key]:
            old, new = was[key].split(", "), now[key].split(", ")
            gone, come = [part for part in old if part not in new], [part for part in new if part not in old]
            order = sorted(old) == sorted(new)
            yield key, ", ".join(gone), "the order" if order else ", ".join(come)


def _basis(opened: Opened, content: Mapping) -> tuple[str, ...]:
    """Law and data that a sign-off names and that are others now."""
    out = []
    version = opened.workshop.tables.foods.version
    if content["data_version"] != version:
        out.append(f"the food data: version {content['data_version']} then, {version} now")
    if content["tables"].get("rules") != table_checksums(("rules",))["rules"]:
        out.append(f"the rules of the law as the tool holds them (signed with labeller {content['tool_version']})")
    return tuple(out)


def _aside(opened: Opened, content: Mapping) -> tuple[str, ...]:
    from labeller import __version__

    out = []
    was, now = content["files"], checksums(opened.folder, opened.kitchen.files)
    changed = [file for file in now if file in was and was[file] != now[file]]
    added, removed = [file for file in now if file not in was], [file for file in was if file not in now]
    for word, files in (("changed", changed), ("added", added), ("removed", removed)):
        if files:
            out.append(f"files {word}: {', '.join(files)}")
    tables = table_checksums()
    others = [name for name in tables if name != "rules" and content["tables"].get(name) != tables[name]]
    if others:
        out.append(f"tables of the tool changed: {', '.join(others)}")
    if content["tool_version"] != __version__:
        out.append(f"labeller {content['tool_version']} then, {__version__} now")
    return tuple(out)


def _new_findings(opened: Opened, menu: Menu, content: Mapping) -> tuple[str, ...]:
    """Stops and doubts that were not on the table when it was signed."""
    known = {(each["code"], each["text"]) for part in ("accepted", "stops", "notes") for each in content[part]}
    found = to_accept(opened, menu, content["laws"])
    return tuple(f"{each.severity}: {each.text} ({each.place}) [{each.code}]" for each in found
                 if each.severity != NOTE and (each.code, each.text) not in known)  # fmt: skip
