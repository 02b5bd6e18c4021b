"""A dish under one law on one date: everything that printing may draw, made from the exact record."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec.structs import replace

from labeller.declaring.at_stake import stake_of
from labeller.declaring.front_of_pack import colours
from labeller.declaring.front_symbol import symbol_finding
from labeller.declaring.further import further_findings
from labeller.declaring.label import Label, label
from labeller.declaring.label_names import by_label_name, list_name_findings
from labeller.declaring.list_findings import list_findings
from labeller.declaring.menu import duty, plate_energy
from labeller.declaring.name_claims import name_findings
from labeller.declaring.naming import Names
from labeller.declaring.nutrition import Table, table
from labeller.declaring.origin import origin_findings
from labeller.declaring.packs import pack_findings, warning_words
from labeller.declaring.published import as_json
from labeller.declaring.second_language import other_language, second_of
from labeller.declaring.servings import Serving, portion, serving
from labeller.declaring.simplified import shortened, simplified_allowed, with_second_column
from labeller.declaring.statement import SULPHITES, contained, names_sulphites, statement
from labeller.declaring.states import State, cell_words, states_of
from labeller.declaring.sulphites import below_limit
from labeller.declaring.tolerance import range_findings
from labeller.declaring.volume import by_volume, density_of, is_drink, per_volume, volume_findings
from labeller.terms.allergens import CROSS_CONTACT, MAY_CONTAIN, OWN_WARNING, Kind
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
    """A dish's declaration; of a pack under a law of two languages with the words of the other one. kinds: the vocabulary.
    lists: law -> its allergen list. date: ISO, printed as the date checked.

    A finding that blocks everything (here or in the record) leaves no figures: NO ANSWER. One that blocks nutrition leaves
    the table out and lets allergens and statement go on.
    """
    def said(tongue: str) -> Declaration:
        return _declared(record, law, recipe, kitchen, kinds, lists, date, tongue, batch, data_version)

    made, other = said(language), other_language(law, language)
    return replace(made, second=second_of(said(other))) if record.kind == "pack" and other and not made.stopped else made


def _declared(record: DishRecord, law: Law, recipe: Recipe | None, kitchen: Kitchen, kinds: Mapping[str, Kind],
              lists: Mapping[str, LawList], date: str, language: str, batch: Batch | None,
              data_version: str) -> Declaration:  # fmt: skip
    """In one language."""
    words = law.words.get(language)
    if words is None or law.house is None:
        return _refused(record, law, kitchen, kinds, date, language, data_version)
    density = density_of(recipe, kitchen) if by_volume(recipe) else None
    record = by_label_name(below_limit(record, lists.get(law.key), density), recipe, kitchen.recipes)
    around = label(record, law, words, recipe, kitchen, batch, date)
    liquid = _liquid(record, law, recipe, density, around)
    if density is not None and law.hundred_ml_words:
        law = per_volume(law)
    share = serving(record, law, words, recipe, around.nutrition_shown and not record.nutrition_stopped, density)
    found = Table((), (), ())
    if not (record.stopped or record.nutrition_stopped):
        found = _table(record, law, words, recipe, kitchen, share)
    names = Names(law, words, kinds, lists)
    told = tuple(one for one in law.findings if one.code != "language-not-there")  # this language is there
    findings = told + around.findings + liquid + share.findings + found.findings + _name_findings(record, names)
    stopped = _pack_figures(record, law, found, around, share.share)
    if stopped or (record.kind == "pack" and not around.nutrition_shown):  # no table, so nothing in it is "at least"
        findings = tuple(one for one in findings if one.code not in ("figure-not-whole", "figure-at-least"))
    findings += stopped + list_findings(record, law, kitchen, around)
    findings += name_findings(record, recipe, around.way, kitchen, kinds)
    if record.kind == "pack" and around.way is not None and around.way.list_of_ingredients:
        findings += list_name_findings(record, kitchen.recipes)
    findings += further_findings(record, recipe, law, around.way)
    findings += origin_findings(record, recipe, law, around.way, kitchen, kinds)
    findings += symbol_finding(record, law, found.figures, record.weight_g.mid * share.share, around.nutrition_shown, recipe)
    findings += _language_finding(record, kitchen, language)
    if found.rows:
        findings += range_findings(record, law, found.rows)
    findings += _memory_finding(record, law, words)
    record = _after(record, findings)
    findings += pack_findings(record, recipe, names, around.way)
    if record.stopped:
        return _no_answer(record, law, kitchen, kinds, words, date, findings, around, data_version)
    return _answer(record, law, kitchen, names, recipe, date, findings, around, found, share, data_version)


def _liquid(record: DishRecord, law: Law, recipe: Recipe | None, density: float | None, around: Label) -> tuple[Finding, ...]:
    """What is wrong with the volume of a pack sold by it."""
    if not by_volume(recipe) or record.stopped:
        return ()
    return volume_findings(record, recipe, density, around.nutrition_shown and bool(law.hundred_ml_words))


def _table(record: DishRecord, law: Law, words: Words, recipe: Recipe | None, kitchen: Kitchen,
           share: Serving) -> Table:  # fmt: skip
    """The table of a serving, with the pack's column beside it where the law asks for one, shortened where the kitchen asks."""
    also = tuple(dict.fromkeys((*kitchen.also_declared, *(recipe.also_declared if recipe else ()))))
    single = record.kind == "pack" and share.share == share.whole
    found = table(portion(record, share.share), law, words, also, single, share.density, is_drink(recipe))
    if share.pack_words:
        second = table(portion(record, share.second), law, words, also)
        found = found._replace(rows=with_second_column(found.rows, second.rows))
    return found


def _after(record: DishRecord, findings: tuple[Finding, ...]) -> DishRecord:
    """The record with what this room's findings stop."""
    everything = record.stopped or any(f.severity == STOP and f.blocks == "all" for f in findings)
    figures = record.nutrition_stopped or any(f.severity == STOP and f.blocks == "nutrition" for f in findings)
    return replace(record, stopped=everything, nutrition_stopped=figures or everything)


def _answer(record: DishRecord, law: Law, kitchen: Kitchen, names: Names, recipe: Recipe | None, date: str,
            findings: tuple[Finding, ...], around: Label, found: Table, share: Serving,
            data_version: str) -> Declaration:  # fmt: skip
    states = states_of(record.facts, names.kinds, False)
    none = names.words.phrases["none on record"].replace("{date}", date)
    figures = not record.nutrition_stopped
    shown = figures and around.nutrition_shown
    on_menu = around.way is not None and around.way.key == "menu"
    energy = figures and on_menu and (around.nutrition_shown or duty(law, kitchen))
    rows, left_out = found.rows if figures else (), ""
    if recipe is not None and recipe.short_table and names.words.language == "en":
        rows, left_out = shortened(law, found.figures, rows)

    def said(place: str) -> tuple[str, ...]:
        return _sentences(law, names.words, place, kitchen.nation)

    return Declaration(
        dish=record.name, law=law.key, law_date=law.date, record=record, language=names.words.language,
        title=dict(around.particulars)["name"], rows=rows,
        table_heading=names.words.of_law(law, "heading", law.table_heading),
        portion_words=share.words if figures else "", pack_words=share.pack_words if figures else "",
        portion_g=portion(record, share.share).weight_g if figures and share.share != 1.0 else None,
        hundred_words=_hundred_words(law, names.words), net_volume_ml=recipe.net_volume.ml if by_volume(recipe) else None,
        footnotes=tuple(text for text in (left_out, share.note, *said("table")) if text) if figures else (),
        statement=statement(record, names, recipe.quid if recipe else (), _in_list(law, kitchen, around),
                            recipe is not None and recipe.short_list),
        contains=_contains(record, names, around, kitchen),
        may_contain=_may_contain(record, names, recipe),
        states={group: tuple(state) for group, state in states.items()},
        allergen_words={group: cell_words(group, state, names.words, names.kinds, none) for group, state in states.items()},
        findings=record.findings + findings, cautions=_cautions(names.words, date), net_quantity=around.net_quantity,
        durability=around.durability, storage=around.storage, business=around.business, lot=around.lot,
        sold=around.way.key if around.way else "", particulars=around.particulars, kitchen_version=kitchen.version,
        data_version=data_version, figures=found.figures if figures else (), nutrition_shown=shown,
        statement_title=names.words.phrases.get("ingredients", law.statement.get("title", "")),
        menu_sentences=said("menu") + said("menu first page") if shown or energy else (), percentage_notes=said("percentages"),
        list_required=bool(around.way and around.way.list_of_ingredients),
        front_of_pack=colours(law, found.figures, portion(record, share.share), is_drink(recipe), share.density)
        if figures else (),
        simplified=simplified_allowed(law, found.figures) if figures else False,
        menu_energy=plate_energy(found.figures, law, names.words, share.words) if energy else "",
        missing=around.missing, durability_set_by=around.set_by, largest_side_cm2=recipe.largest_side_cm2 if recipe else None,
    )  # fmt: skip


def _hundred_words(law: Law, words: Words) -> str:
    basis = next((one for one in law.basis if one != "portion"), "")
    return words.of_law(law, f"per {basis}", law.hundred_words) if basis else ""


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


def _in_list(law: Law, kitchen: Kitchen, around: Label) -> bool:
    """Whether allergens are named in the list: the kitchen asks, the law leaves the choice, and the label has a list."""
    free = law.statement.get("allergens in brackets") == "allowed"
    return free and kitchen.allergens_in_list and around.way is not None and around.way.list_of_ingredients


def _contains(record: DishRecord, names: Names, around: Label, kitchen: Kitchen) -> str:
    """The Contains line: where the law has one beside a list, or where there is no list; "" else."""
    beside = names.law.statement.get("contains line beside a list") == "yes" and not _in_list(names.law, kitchen, around)
    has_list = around.way is not None and around.way.list_of_ingredients
    kinds = contained(record, names.law)
    if beside and SULPHITES not in kinds and names_sulphites(record, names):  # B.01.010.3(1)(b): in the list, so in the line
        kinds = (*kinds, SULPHITES)
    words = names.summary(names.in_order(kinds))
    return _line(names, "contains line", names.law.naming.contains_form, words) if words and (beside or not has_list) else ""


def _may_contain(record: DishRecord, names: Names, recipe: Recipe | None) -> str:
    """Suppliers' warnings and shared equipment; on a pack with a risk assessment, the warning it led to instead."""
    assessed = record.kind == "pack" and recipe is not None and bool(recipe.precaution_assessed)
    found = [fact.kind for fact in record.facts if fact.state == MAY_CONTAIN
             or (fact.state == CROSS_CONTACT and (not assessed or fact.path[-1] == OWN_WARNING))]  # fmt: skip
    words = warning_words(record, names, found)
    return _line(names, "may contain line", names.law.naming.may_contain_form, words) if words else ""


def _line(names: Names, phrase: str, form: str, words: tuple[str, ...]) -> str:
    if names.law.naming.capital:
        words = tuple(word[:1].upper() + word[1:] for word in words)
    form = names.words.phrases.get(phrase, form)
    return form.replace("{names}", names.law.naming.separator.join(words))


def _sentences(law: Law, words: Words, place: str, nation: str) -> tuple[str, ...]:
    """What the law prescribes for a place, in the language's own version where there is one. A sentence of one nation's law
    stands only for a kitchen that says it is there."""
    own = words.phrases
    return tuple(own.get(f"{law.key} {one.key}", own.get(f"{law.rests_on} {one.key}", one.mark + one.text))
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


_ON_A_PLATE = ("menu", "loose")  # ways of sale where "at least" may stand: no law prescribes a table there


def _pack_figures(record: DishRecord, law: Law, found: Table, around: Label, share: float) -> tuple[Finding, ...]:
    """A table on a pack for sale must give figures: a lower bound, or a figure that is not known, is none."""
    if not around.nutrition_shown or around.way is None or around.way.key in _ON_A_PLATE or not found.rows or law.key == "none":
        return ()
    loose = [row for row in found.rows if row.at_least or (row.known < law.house.known_share - 1e-6 and not row.settled)]
    if not loose:
        return ()
    stake, mend = stake_of(loose, record, share)
    return (finding("pack-figure-not-whole", NOWHERE,
                    f"\"{record.name}\", {around.way.key} under {law.key}: no table, because "
                    f"{', '.join(row.key for row in loose)} would be \"at least\" or \"not known\"; a table on a pack has no "
                    f"such form.{f' In a serving: {stake}.' if stake else ''}",
                    mend or "weigh the vague lines, and match or describe the foods whose value is missing (`labeller why` names "
                    "them)", record.name),)  # fmt: skip


def _language_finding(record: DishRecord, kitchen: Kitchen, language: str) -> tuple[Finding, ...]:
    """The first of the kitchen's languages is the one its files are written in."""
    if not kitchen.languages or language == kitchen.languages[0]:
        return ()
    return (finding("names-not-translated", NOWHERE,
                    f"\"{record.name}\" in \"{language}\": names of dishes and ingredients stand as typed, in "
                    f"\"{kitchen.languages[0]}\".",
                    "let a person translate them before printing", record.name),)  # fmt: skip


def _memory_finding(record: DishRecord, law: Law, words: Words) -> tuple[Finding, ...]:
    unread = law.unchecked
    if words.checked != "yes":
        unread = (f"the words of the language \"{words.language}\" ({words.checked})", *unread)
    if not unread:
        return ()
    named = "; ".join(text.split(";")[0] for text in unread[:4])
    more = f" and {len(unread) - 4} more" if len(unread) > 4 else ""
    return (finding("rules-from-memory", NOWHERE,
                    f"Under {law.key}, rules in use were not read in full in their text: {named}{more}.",
                    "`labeller laws` names them all; have a qualified person compare them", record.name),)  # fmt: skip


def state_of(declaration: Declaration, group: str) -> State:
    """State of a group as a named tuple."""
    return State(*declaration.states[group])
