"""What holds a pack's label back: contact that nobody assessed, ingredients that nobody read, a table that the law wants.

A sheet for the kitchen has room to say "not confirmed"; the label of a pack has not, and leaves the house.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from labeller.declaring.naming import Names
from labeller.declaring.statement import contained
from labeller.declaring.states import group_of
from labeller.terms.allergens import CROSS_CONTACT, GROUPS, MAY_CONTAIN, NOT_CONFIRMED, OWN_WARNING, ROUTES, AllergenFact
from labeller.terms.findings import NOWHERE, Finding, finding
from labeller.terms.kitchen import Recipe
from labeller.terms.laws import Way
from labeller.terms.record import DishRecord

_EQUIPMENT = ROUTES[2]
_SHOWN = 6  # ingredients named in one finding; the rest is counted


def pack_findings(record: DishRecord, recipe: Recipe | None, names: Names, way: Way | None) -> tuple[Finding, ...]:
    """Why the label of a pack can't be printed as it stands; () for a plate, and for a pack that has no answer at all."""
    if record.kind != "pack" or record.stopped:
        return ()
    assessed = bool(recipe and recipe.precaution_assessed)
    unread = _not_read(record, recipe, names, assessed)
    return (*_not_assessed(record, recipe, names, assessed), *unread, *_no_table(record, recipe, way))


def warning_words(record: DishRecord, names: Names, kinds: Iterable[str]) -> tuple[str, ...]:
    """Words in which a label warns of kinds: once each, as the law names them, without what the food contains anyway."""
    has = contained(record, names.law)
    held, told = {key for kind in has for key in names.keys(kind)}, names.summary(has)
    words = names.summary(names.in_order(kind for kind in kinds if not set(names.keys(kind)) <= held))
    return tuple(word for word in words if word not in told)


def _not_assessed(record: DishRecord, recipe: Recipe | None, names: Names, assessed: bool) -> tuple[Finding, ...]:
    """Said in the words of the label's own warning, as whoever takes it on signs for that."""
    met = {fact.kind for fact in record.facts if fact.state == CROSS_CONTACT and fact.path[-1] != OWN_WARNING}
    unread = any(_is_open(fact, False) and fact.route == _EQUIPMENT for fact in record.facts)
    if assessed or not (met or unread):
        return ()
    words = warning_words(record, names, sorted(met))
    said = [_with_kinds(word, sorted(met), names) for word in words]
    what = f"met {', '.join(said or sorted(met))} on shared equipment"
    if not words:
        what += " (nothing that its label has to warn of)"
    if not met:
        what = "went through equipment without a record of what it met there"
    warned = {fact.kind for fact in record.facts if fact.state == MAY_CONTAIN or fact.path[-1] == OWN_WARNING}
    also = [word for word in warning_words(record, names, sorted(warned)) if word not in words]
    more = f" Its label warns of {', '.join(also)} too, for other warnings on record." if also else ""
    return (finding("cross-contact-not-assessed", recipe.place if recipe else NOWHERE,
                    f"\"{record.name}\" {what}, and no risk assessment is on record.{more}",
                    "write `may contain:` and `risk assessed:` with who assessed it, or clean between and record it",
                    record.name),)  # fmt: skip


def _with_kinds(word: str, met: Sequence[str], names: Names) -> str:
    """"fish (cod)": the label's word, and what it stands for here."""
    kinds = [names.own_words(kind)[0] for kind in met
             if kind not in GROUPS and word in names.summary((kind,)) and names.own_words(kind)]  # fmt: skip
    finer = [kind for kind in kinds if kind != word]
    return f"{word} ({', '.join(finer)})" if finer else word


def _not_read(record: DishRecord, recipe: Recipe | None, names: Names, assessed: bool) -> tuple[Finding, ...]:
    """An ingredient that is not confirmed for something the law lists. What met it on equipment is the assessment's to say, and
    contact with a thing that nobody has read can't be assessed."""
    unread = [fact for fact in record.facts if _is_open(fact, assessed) and names.listed(fact.kind)]
    if not unread:
        return ()
    through = dict.fromkeys(fact.path[-1] for fact in unread)
    kinds = dict.fromkeys(name for fact in unread for name in names.words_of(fact.kind))
    every = "any allergen" if {group_of(fact.kind, names.kinds) for fact in unread} >= set(GROUPS) else ", ".join(kinds)
    says = ", and say which equipment it shares" if any(fact.route == _EQUIPMENT for fact in unread) else ""
    more = f" and {len(through) - _SHOWN} more" if len(through) > _SHOWN else ""
    return (finding("pack-not-confirmed", recipe.place if recipe else NOWHERE,
                    f"\"{record.name}\" is not confirmed for {every}, because of "
                    f"{' · '.join([*through][:_SHOWN])}{more}. A label has no way to say so: none is printed.",
                    f"read the pack or the specification of those named, write it in products/ with `evidence`{says}",
                    record.name),)  # fmt: skip


def _is_open(fact: AllergenFact, assessed: bool) -> bool:
    return fact.state == NOT_CONFIRMED and not (assessed and fact.route == _EQUIPMENT)


def _no_table(record: DishRecord, recipe: Recipe | None, way: Way | None) -> tuple[Finding, ...]:
    if way is None or way.nutrition != "must" or not record.nutrition_stopped:
        return ()
    return (finding("table-missing", recipe.place if recipe else NOWHERE,
                    f"\"{record.name}\", {way.key}: the law wants a nutrition table ({way.rule.section}), and there are no "
                    "figures for one.",
                    "mend the findings that stop its figures (labeller check)", record.name),)  # fmt: skip
