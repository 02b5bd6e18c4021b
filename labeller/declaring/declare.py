"""A dish under one law on one date: everything that printing may draw, made from the exact record."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec.structs import replace

from labeller.declaring.front_of_pack import colours
from labeller.declaring.label import Label, label, portion_words
from labeller.declaring.naming import Names
from labeller.declaring.nutrition import Table, table
from labeller.declaring.published import as_json
from labeller.declaring.simplified import simplified_allowed
from labeller.declaring.statement import contained, named_without_share, statement
from labeller.declaring.states import State, cell_words, group_of, states_of
from labeller.declaring.sulphites import below_limit
from labeller.declaring.tolerance import range_findings
from labeller.terms.allergens import CROSS_CONTACT, GROUPS, MAY_CONTAIN, Kind
from labeller.terms.findings import NOWHERE, STOP, Finding, finding
from labeller.terms.floor import NO_ANSWER
from labeller.terms.kitchen import Batch, Kitchen, Recipe
from labeller.terms.law_lists import LawList
from labeller.terms.laws import Law, Words
from labeller.terms.record import Declaration, DishRecord, Run

__all__ = ["as_json", "declare"]


def declare(record: DishRecord, law: Law, *, recipe: Recipe | None, kitchen: Kitchen, kinds: Mapping[str, Kind],
            lists: Mapping[str, LawList], date: str, language: str = "en", batch: Batch | None = None,
            data_version: str = "") -> Declaration:  # fmt: skip
    """A dish's declaration. kinds: the vocabulary. lists: law -> its allergen list. date: ISO, printed as the date checked.

    A finding that blocks everything (here or in the record) leaves no figures: NO ANSWER. One that blocks nutrition leaves
    the table out and lets allergens and statement go on.
    """
    words = law.words.get(language)
    if words is None or law.house is None:
        return _refused(record, law, kitchen, kinds, date, language, data_version)
    record = below_limit(record, lists.get(law.key))
    around = label(record, law, words, recipe, kitchen, batch, date)
    found = Table((), (), ())
    if not (record.stopped or record.nutrition_stopped):
        found = table(record, law, words)
    names = Names(law, words, kinds, lists)
    told = tuple(one for one in law.findings if one.code != "language-not-there")  # this language is there
    findings = told + around.findings + found.findings + _name_findings(record, names) + _pack_findings(record, recipe)
    findings += _quid_finding(record, recipe, around) + _language_finding(record, kitchen, language)
    if found.rows:
        findings += range_findings(record, law, found.rows)
    findings += _memory_finding(record, law)
    record = _after(record, findings)
    if record.stopped:
        return _no_answer(record, law, kitchen, kinds, words, date, findings, around, data_version)
    return _answer(record, law, kitchen, names, recipe, date, findings, around, found, data_version)


def _after(record: DishRecord, findings: tuple[Finding, ...]) -> DishRecord:
    """The record with what this room's findings stop."""
    everything = record.stopped or any(f.severity == STOP and f.blocks == "all" for f in findings)
    figures = record.nutrition_stopped or any(f.severity == STOP and f.blocks == "nutrition" for f in findings)
    return replace(record, stopped=everything, nutrition_stopped=figures or everything)


def _answer(record: DishRecord, law: Law, kitchen: Kitchen, names: Names, recipe: Recipe | None, date: str,
            findings: tuple[Finding, ...], around: Label, found: Table, data_version: str) -> Declaration:  # fmt: skip
    states = states_of(record.facts, names.kinds, False)
    none = names.words.phrases["none on record"].replace("{date}", date)
    figures = not record.nutrition_stopped
    shown = figures and around.nutrition_shown

    def said(place: str) -> tuple[str, ...]:
        return _sentences(law, names.words, place, kitchen.nation)

    return Declaration(
        dish=record.name, law=law.key, law_date=law.date, record=record, language=names.words.language,
        title=dict(around.particulars)["name"], rows=found.rows if figures else (),
        table_heading=names.words.of_law(law, "heading", law.table_heading),
        portion_words=portion_words(record, law, names.words) if figures else "",
        hundred_words=names.words.of_law(law, "per 100 g", law.hundred_words) if "100 g" in law.basis else "",
        footnotes=said("table"),
        statement=statement(record, names, recipe.quid if recipe else ()), contains=_contains(record, names, around),
        may_contain=_may_contain(record, names, recipe),
        states={group: tuple(state) for group, state in states.items()},
        allergen_words={group: cell_words(group, state, names.words, names.kinds, none) for group, state in states.items()},
        findings=record.findings + findings, cautions=_cautions(names.words, date), net_quantity=around.net_quantity,
        durability=around.durability, storage=around.storage, business=around.business, lot=around.lot,
        sold=around.way.key if around.way else "", particulars=around.particulars, kitchen_version=kitchen.version,
        data_version=data_version, figures=found.figures if figures else (), nutrition_shown=shown,
        statement_title=names.words.phrases.get("ingredients", law.statement.get("title", "")),
        menu_sentences=said("menu") + said("menu first page") if shown else (), percentage_notes=said("percentages"),
        list_required=bool(around.way and around.way.list_of_ingredients), front_of_pack=colours(law, found.figures, record),
        simplified=simplified_allowed(law, found.figures) if figures else False,
    )  # fmt: skip


def _no_answer(record: DishRecord, law: Law, kitchen: Kitchen, kinds: Mapping[str, Kind], words: Words | None, date: str,
               findings: tuple[Finding, ...], around: Label | None, data_version: str) -> Declaration:  # fmt: skip
    """A row on every sheet without an answer: what is known to be contained stays known, nothing is "none on record"."""
    no_answer = words.phrases["no answer"] if words else NO_ANSWER
    states = states_of(record.facts, kinds, True)
    return Declaration(
        dish=record.name, law=law.key, law_date=law.date, record=record, language=words.language if words else "",
        title=dict(around.particulars)["name"] if around else record.name, statement=(Run(no_answer),), contains=no_answer,
        may_contain=no_answer, states={group: tuple(state) for group, state in states.items()},
        allergen_words=dict.fromkeys(states, no_answer), findings=record.findings + findings, cautions=_cautions(words, date),
        sold=around.way.key if around and around.way else "", kitchen_version=kitchen.version, data_version=data_version,
        nutrition_shown=False)  # fmt: skip


def _refused(record: DishRecord, law: Law, kitchen: Kitchen, kinds: Mapping[str, Kind], date: str, language: str,
             data_version: str) -> Declaration:  # fmt: skip
    findings = law.findings
    if law.house is not None and not findings:
        findings = (finding("language-not-there", NOWHERE, f"There are no words for the language \"{language}\".",
                            "choose one of: " + ", ".join(law.words), record.name),)  # fmt: skip
    record = replace(record, stopped=True, nutrition_stopped=True)
    return _no_answer(record, law, kitchen, kinds, None, date, findings, None, data_version)


def _contains(record: DishRecord, names: Names, around: Label) -> str:
    """The Contains line: where the law has one beside a list, or where there is no list; "" else."""
    beside = names.law.statement.get("contains line beside a list") == "yes"
    has_list = around.way is not None and around.way.list_of_ingredients
    words = names.summary(_in_order(contained(record, names.law), names))
    return _line(names, "contains line", names.law.naming.contains_form, words) if words and (beside or not has_list) else ""


def _may_contain(record: DishRecord, names: Names, recipe: Recipe | None) -> str:
    """Suppliers' warnings; on a plate also shared equipment, on a pack what a recorded risk assessment asks for instead."""
    states = (MAY_CONTAIN,) if record.kind == "pack" else (MAY_CONTAIN, CROSS_CONTACT)
    found = [fact.kind for fact in record.facts if fact.state in states]
    if record.kind == "pack" and recipe and recipe.precaution_assessed:
        found += recipe.precaution
    held = {key for kind in contained(record, names.law) for key in names.keys(kind)}
    told = names.summary(contained(record, names.law))
    words = names.summary(_in_order([kind for kind in found if not set(names.keys(kind)) <= held], names))
    words = tuple(word for word in words if word not in told)
    return _line(names, "may contain line", names.law.naming.may_contain_form, words) if words else ""


def _line(names: Names, phrase: str, form: str, words: tuple[str, ...]) -> str:
    if names.law.naming.capital:
        words = tuple(word[:1].upper() + word[1:] for word in words)
    form = names.words.phrases.get(phrase, form)
    return form.replace("{names}", names.law.naming.separator.join(words))


def _in_order(kinds: tuple[str, ...] | list[str], names: Names) -> list[str]:
    """In the order of the groups, kinds of one group as recorded."""
    order = {group: nr for nr, group in enumerate(GROUPS)}
    return sorted(dict.fromkeys(kinds), key=lambda kind: order.get(group_of(kind, names.kinds), len(order)))


def _sentences(law: Law, words: Words, place: str, nation: str) -> tuple[str, ...]:
    """What the law prescribes for a place, in the language's own version where there is one. A sentence of one nation's law
    stands only for a kitchen that says it is there."""
    own = words.phrases
    return tuple(own.get(f"{law.key} {one.key}", own.get(f"{law.rests_on} {one.key}", one.text))
                 for one in law.sentences if one.place == place and one.nation in ("", nation.lower()))  # fmt: skip


def _cautions(words: Words | None, date: str) -> tuple[str, ...]:
    return tuple(text.replace("{date}", date) for text in words.numbered("caution")) if words else ()


def _name_findings(record: DishRecord, names: Names) -> tuple[Finding, ...]:
    """Groups of which the law wants the kind or species named; words that the language lacks."""
    kinds = contained(record, names.law)
    out = [finding("allergen-kind-needed", next(f.place for f in record.facts if f.kind == kind),
                   f"\"{record.name}\": {names.law.key} wants the kind named; the record says only "
                   f"\"{' '.join(names.words_of(kind))}\".",
                   "write the kind on the product, such as `contains: [cod]`", record.name)
           for kind in kinds if names.kind_missing(kind)]  # fmt: skip
    lacking = sorted({fact.kind for fact in record.facts if fact.kind not in names.words.kinds})
    if lacking and names.words.language != "en":
        out.append(finding("word-not-there", NOWHERE,
                           f"\"{record.name}\": no word in \"{names.words.language}\" for {', '.join(lacking)}; "
                           "its group's stands.",
                           "add it to the words of that language", record.name))  # fmt: skip
    return tuple(out)


def _pack_findings(record: DishRecord, recipe: Recipe | None) -> tuple[Finding, ...]:
    if record.kind != "pack" or (recipe and recipe.precaution_assessed):
        return ()
    met = sorted({fact.kind for fact in record.facts if fact.state == CROSS_CONTACT})
    if not met:
        return ()
    return (finding("cross-contact-not-assessed", recipe.place if recipe else NOWHERE,
                    f"\"{record.name}\" met {', '.join(met)} on shared equipment, and no risk assessment is on record.",
                    "write `may contain:` and `risk assessed:` with who assessed it, or clean between and record it", record.name),)  # fmt: skip


def _quid_finding(record: DishRecord, recipe: Recipe | None, around: Label) -> tuple[Finding, ...]:
    if recipe is None or around.way is None or "quid" not in around.way.must:
        return ()
    found = named_without_share(dict(around.particulars)["name"], record, recipe.quid)
    if not found:
        return ()
    return (finding("share-not-given", recipe.place,
                    f"\"{record.name}\": its name mentions {', '.join(found)}, and no percentage is given ({around.way.rule}).",
                    "write `quid:` with the ingredients that the name mentions, or let a qualified person say why not",
                    record.name),)  # fmt: skip


def _language_finding(record: DishRecord, kitchen: Kitchen, language: str) -> tuple[Finding, ...]:
    """The first of the kitchen's languages is the one its files are written in."""
    if not kitchen.languages or language == kitchen.languages[0]:
        return ()
    return (finding("names-not-translated", NOWHERE,
                    f"\"{record.name}\" in \"{language}\": names of dishes and ingredients stand as typed, in "
                    f"\"{kitchen.languages[0]}\".",
                    "let a person translate them before printing", record.name),)  # fmt: skip


def _memory_finding(record: DishRecord, law: Law) -> tuple[Finding, ...]:
    if not law.unchecked:
        return ()
    named = "; ".join(text.split(";")[0] for text in law.unchecked[:4])
    more = f" and {len(law.unchecked) - 4} more" if len(law.unchecked) > 4 else ""
    return (finding("rules-from-memory", NOWHERE,
                    f"Under {law.key}, rules in use were not read in full in their text: {named}{more}.",
                    "`labeller laws` names them all; have a qualified person compare them", record.name),)  # fmt: skip


def state_of(declaration: Declaration, group: str) -> State:
    """State of a group as a named tuple."""
    return State(*declaration.states[group])
