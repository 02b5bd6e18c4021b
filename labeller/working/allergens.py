"""Which allergens a dish has met: facts from ingredients, carried up by contact.

No weight is read here: allergens follow contact. No loss, straining, retention or rounding takes a fact away.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping

from msgspec import Struct
from msgspec.structs import replace

from labeller.terms.allergens import (
    CONTAINS,
    CROSS_CONTACT,
    GROUPS,
    MAY_CONTAIN,
    NOT_CONFIRMED,
    ROUTES,
    TO_CONFIRM,
    AllergenFact,
    HiddenAllergen,
    Kind,
    LabelReading,
)
from labeller.terms.findings import Finding, Place, finding
from labeller.terms.kitchen import Equipment, Kitchen, Product, Recipe
from labeller.terms.words import normalise

RECIPE, SUPPLIER, EQUIPMENT, UNREAD, UNSETTLED = ROUTES
HELD = (CONTAINS, TO_CONFIRM)
WET = ("fry", "fried", "boil", "poach", "blanch", "water bath", "sous vide")
BATHS = {"fryer", "fryers", "frier", "bath", "pot", "pots", "boiler", "cooker", "oil", "water", "kettle",
         "cauldron"}  # oil or water stays in them  # fmt: skip
# Words for a stay in oil, or in water of other food, outside `method`. Common practice, no source.
IN_OIL = (
    r"\b(?:deep[- ]?fr(?:y|ied)|(?<!stir[- ])(?<!pan[- ])fried|fryer|fries|frites|tempura|fritters?|croquettes?|beignets?|bhajis?"
    r"|pakoras?|doughnuts?|churros|hot oil|(?:pasta|noodle|cooking|blanching) water|water of the (?:pasta|noodles?)"
    r"|(?:pasta )?boiler)\b"
)
PANS = {"pan", "pans", "skillet", "wok", "griddle", "grill", "plancha"}  # wiped out and filled afresh
OF_A_CHANGE = {"after", "the", "a", "an", "oil", "water", "fat", "change", "changed", "is", "was", "in", "into", "of", "fresh",
               "new", "clean"}  # fmt: skip


class Subject(Struct, frozen=True):
    """All that is known of one ingredient before judging it.

    name: as typed. food: code of its row or "". contains, usual, possible: kinds of that row. hidden: what the bare name may
    hold. reading: of the product's printed list, or of the bare name when there is no product. single: one plain ingredient
    that needs no paper. row_words: description of the row, for the evidence. unknown: words of the printed list that can't be
    read. near: (word, the allergen's word that it looks like, its kind). row_says: kinds of a product's food row, whatever its
    papers say. printed: (words, what a thing of that name always or usually holds) of those on the printed list that don't say
    what they are made of. left: (kind, words) that a `contains` written from the pack leaves open. blank: the list names no food.
    """

    name: str
    place: Place
    product: Product | None = None
    food: str = ""
    row_words: str = ""
    contains: tuple[str, ...] = ()
    usual: tuple[str, ...] = ()
    possible: tuple[str, ...] = ()
    hidden: tuple[HiddenAllergen, ...] = ()
    reading: LabelReading | None = None
    single: bool = False
    unknown: tuple[str, ...] = ()
    near: tuple[tuple[str, str, str], ...] = ()
    row_says: tuple[str, ...] = ()
    printed: tuple[tuple[str, HiddenAllergen], ...] = ()
    left: tuple[tuple[str, str], ...] = ()
    blank: bool = False


def ingredient_facts(subject: Subject, kinds: Mapping[str, Kind]) -> tuple[tuple[AllergenFact, ...], tuple[Finding, ...]]:
    """Facts of one ingredient, path (name,), and what is doubtful about its evidence."""
    product = subject.product
    findings: list[Finding] = []
    if product is not None and (product.evidence is not None or product.contains is not None or product.label_text):
        facts = _declared(subject, findings, kinds)
        why = _unproved(subject)
        if why:
            facts += _unread(subject)
            findings.append(_unread_finding(subject, why))
    else:
        facts = _by_name(subject, kinds)
        if not subject.single:
            facts += _unread(subject)
            findings.append(_unread_finding(subject, "has no product entry" if product is None else "has nothing on record"))
    if product is not None and product.recall:
        findings.append(finding("product-recalled", product.place,
                                f"\"{product.name}\" is under recall or alert: {product.recall}",
                                "replace the product, or remove `recall` when the supplier has cleared it",
                                product.name))  # fmt: skip
    return tidy(facts, kinds), tuple(findings)


def _unproved(subject: Subject) -> str:
    """What the evidence of a product lacks to be one, "" for nothing: a pack is read on a day; a list that names no food, and a
    "single ingredient" that nobody knows by its name, say nothing."""
    evidence = subject.product.evidence
    if evidence is None:
        return "has no evidence"
    if not evidence.checked and evidence.kind != "single ingredient":
        return "has evidence without a day on which it was read"
    if subject.blank and subject.product.contains is None:
        return "has a printed list that names no food"
    if evidence.kind == "single ingredient" and subject.unknown and not subject.product.label_text and not subject.food:
        return "is called a single ingredient, and its name is not known"
    return ""


def _fact(subject: Subject, kind: str, state: str, route: str, evidence: str, exempt=()) -> AllergenFact:
    place = subject.product.place if subject.product else subject.place
    gluten = subject.product.gluten_mg_per_kg if subject.product else None
    return AllergenFact(kind, state, route, evidence, (subject.name,), place, tuple(exempt), gluten)


def _paper(product: Product) -> str:
    if product.evidence is None:
        return f"kitchen's entry for {product.name}, no evidence"
    evidence = product.evidence
    by = f" by {evidence.by}" if evidence.by else ""
    return f"{product.name}: {evidence.kind}, checked {evidence.checked}{by}"


def _declared(subject: Subject, findings: list[Finding], kinds: Mapping[str, Kind]) -> list[AllergenFact]:
    """What the kitchen wrote of a product and what its printed list holds; the union counts."""
    product, reading = subject.product, subject.reading or LabelReading()
    paper = _paper(product)
    exempt = _exemptions(reading, product.refined)
    held = _known(product.contains or (), product, findings, kinds)
    printed = _words_by_kind(reading.contains)
    amount = {"sulphites": f"; {product.sulphites_mg_per_kg:g} mg/kg as SO2"} if product.sulphites_mg_per_kg else {}
    facts = [_fact(subject, kind, CONTAINS, RECIPE, paper + _printed(printed.get(kind, "")) + amount.get(kind, ""),
                   exempt.get(kind, ()))
             for kind in dict.fromkeys([*held, *printed])]  # fmt: skip
    warned = _known(product.may_contain or (), product, findings, kinds)
    warnings = _words_by_kind(reading.may_contain)
    facts += [_fact(subject, kind, MAY_CONTAIN, SUPPLIER, paper + _printed(warnings.get(kind, "")))
              for kind in dict.fromkeys([*warned, *warnings])]  # fmt: skip
    if product.contains is None:
        facts += [_fact(subject, kind, NOT_CONFIRMED, UNSETTLED, f"{paper}; \"{words}\" does not settle it")
                  for kind, words in reading.unsettled]  # fmt: skip
        facts += [_fact(subject, kind, TO_CONFIRM if each.likelihood == "always" else NOT_CONFIRMED, UNSETTLED,
                        f"{paper}; printed \"{words}\", {each.likelihood} with it: {each.reason}")
                  for kind, words, each in _of_compounds(subject, facts, kinds)]  # fmt: skip
        facts += _unread_words(subject, paper, findings)
        if not product.label_text:
            facts += _by_name(subject, kinds)
            facts += _unread(subject) if product.evidence is not None and product.evidence.kind != "single ingredient" else []
    else:
        facts += _compare(subject, set(held), printed, findings, kinds)
        facts += _vague_words(subject, paper, facts, findings, kinds)
        facts += _near_words(subject, paper, {*held, *printed}, findings, kinds)
    if product.sulphites_mg_per_kg and "sulphites" not in {fact.kind for fact in facts if fact.state == CONTAINS}:
        facts.append(_fact(subject, "sulphites", CONTAINS, RECIPE, f"{paper}; {product.sulphites_mg_per_kg:g} mg/kg as SO2"))
    return facts + _row_says(subject, facts, findings, kinds)


def _quoted(subject: Subject, words: Iterable[str]) -> str:
    """The words as printed, each with what it looks like: ``"baharat", "sesme" (sesame?)``."""
    like = {word: meant for word, meant, _ in subject.near}
    return ", ".join(f"\"{word}\" ({like[word]}?)" if word in like else f"\"{word}\"" for word in words)


def _unread_words(subject: Subject, paper: str, findings: list[Finding]) -> list[AllergenFact]:
    """Nobody declared the product and its list has words that can't be read: they may be anything."""
    if not subject.unknown or not subject.product.label_text:
        return []
    words = _quoted(subject, subject.unknown)
    findings.append(finding("pack-words-unknown", subject.product.place,
                            f"\"{subject.product.name}\": the printed list has words that are not known: {words}; "
                            "it is not confirmed for any allergen",
                            "correct the words, or write `contains` after reading the pack or the specification",
                            subject.product.name))  # fmt: skip
    return [_fact(subject, group, NOT_CONFIRMED, UNSETTLED, f"{paper}; words not known: {words}") for group in GROUPS]


def _of_compounds(subject: Subject, facts: Iterable[AllergenFact],
                  kinds: Mapping[str, Kind]) -> list[tuple[str, str, HiddenAllergen]]:  # fmt: skip
    """(kind, words, why) of things on a printed list that don't say what they are made of ("marmite", "sausage"), where nothing
    else on record is of the kind or its group."""
    known = {fact.kind for fact in facts}
    groups = {kinds[kind].group for kind in known if kind in kinds}
    found = {}
    for words, each in subject.printed:
        named = each.kinds or (each.group,)
        if each.group not in groups and not any(_covered(kind, known, kinds) for kind in named):
            found.update({(kind, words): each for kind in named})
    return [(kind, words, each) for (kind, words), each in found.items()]


def _vague_words(subject: Subject, paper: str, facts: Iterable[AllergenFact], findings: list[Finding],
                 kinds: Mapping[str, Kind]) -> list[AllergenFact]:  # fmt: skip
    """Who wrote `contains` from a pack knows no more than its words: what they leave open stays open, unless the law makes the
    pack name it. Who read a specification knows more."""
    product = subject.product
    if product.evidence is None or product.evidence.kind != "pack" or not product.label_text:
        return []
    held = {fact.kind for fact in facts}
    compounds = _of_compounds(subject, facts, kinds)
    open_ = [(kind, words) for kind, words in subject.left if not _covered(kind, held, kinds)]
    doubted = dict.fromkeys([*((kind, words) for kind, words, _ in compounds), *open_])
    if doubted:
        words = ", ".join(dict.fromkeys(f"\"{words}\" ({kinds[kind].name})" for kind, words in doubted))
        findings.append(finding("pack-words-vague", product.place,
                                f"\"{product.name}\": the printed list does not say what is in {words}, "
                                "and `contains` leaves it out",
                                "copy the words in its brackets, or read the specification and write "
                                "evidence: {kind: specification, …}",
                                product.name))  # fmt: skip
    return [_fact(subject, kind, NOT_CONFIRMED, UNSETTLED, f"{paper}; \"{words}\" does not settle it")
            for kind, words in doubted]  # fmt: skip


def _near_words(subject: Subject, paper: str, held: set[str], findings: list[Finding],
                kinds: Mapping[str, Kind]) -> list[AllergenFact]:  # fmt: skip
    """A person declared the product: unknown words are a note, unless one looks like an allergen that `contains` leaves out."""
    doubted = [each for each in subject.near if not _covered(each[2], held, kinds)]
    if doubted:
        words = _quoted(subject, dict.fromkeys(word for word, _, _ in doubted))
        findings.append(finding("pack-words-unknown", subject.product.place,
                                f"\"{subject.product.name}\": the printed list has {words}, which `contains` leaves out",
                                "correct the word, or add the allergen to `contains`", subject.product.name))  # fmt: skip
    rest = [word for word in subject.unknown if word not in {each[0] for each in doubted}]
    if rest:
        findings.append(finding("pack-words-noted", subject.product.place,
                                f"\"{subject.product.name}\": words of the printed list that are not known: "
                                f"{_quoted(subject, rest)}", "nothing, if `contains` was written by who read the whole list",
                                subject.product.name))  # fmt: skip
    return [_fact(subject, kind, NOT_CONFIRMED, UNSETTLED, f"{paper}; printed \"{word}\": {meant}?")
            for word, meant, kind in doubted]  # fmt: skip


def _row_says(subject: Subject, facts: list[AllergenFact], findings: list[Finding],
              kinds: Mapping[str, Kind]) -> list[AllergenFact]:  # fmt: skip
    """The food row whose figures the product takes is itself an allergen that the product's papers don't name."""
    held = {fact.kind for fact in facts if fact.state in (*HELD, MAY_CONTAIN)}
    missing = [kind for kind in subject.row_says if not _covered(kind, held, kinds)]
    if not missing:
        return []
    names = ", ".join(kinds[kind].name for kind in missing)
    row = f"USDA {subject.food} {subject.row_words}"
    findings.append(finding("row-says-otherwise", subject.product.place,
                            f"\"{subject.product.name}\" takes its figures from {row}, which holds {names}; "
                            "its papers don't name it",
                            "pin another row, or read the pack again and correct `contains`", subject.product.name))  # fmt: skip
    return [_fact(subject, kind, NOT_CONFIRMED, UNSETTLED, f"{_paper(subject.product)}; its food row is {row}")
            for kind in missing]  # fmt: skip


def _words_by_kind(pairs: Iterable[tuple[str, str]]) -> dict[str, str]:
    found: dict[str, list[str]] = {}
    for kind, words in pairs:
        found.setdefault(kind, []).append(words)
    return {kind: ", ".join(dict.fromkeys(words)) for kind, words in found.items()}


def _printed(words: str) -> str:
    return f"; printed: \"{words}\"" if words else ""


def _exemptions(reading: LabelReading, refined: bool) -> dict[str, tuple[tuple[str, str], ...]]:
    """kind -> (law, section): laws that exempt every form in which the text holds the kind. refined: the kitchen has it on
    record that the oil is fully refined, so exemptions that hang on it hold."""
    grants = reading.exempt + (reading.conditional if refined else ())
    found: dict[str, dict[str, str]] = {}
    for kind, words in reading.contains:
        laws = {law: section for each, text, law, section in grants if (each, text) == (kind, words)}
        found[kind] = laws if kind not in found else {law: section for law, section in found[kind].items() if law in laws}
    return {kind: tuple(laws.items()) for kind, laws in found.items() if laws}


def _known(words: Iterable[str], product: Product, findings: list[Finding], kinds: Mapping[str, Kind]) -> list[str]:
    known = []
    for word in words:
        meant = kinds_named(word, kinds)
        if meant:
            known += [kind for kind in meant if kind not in known]
        else:
            findings.append(finding("unknown-kind", product.place, f"\"{product.name}\": \"{word}\" is not an allergen kind",
                                    "use words such as wheat, cod, hazelnut, milk", product.name))  # fmt: skip
    return known


def kinds_named(word: str, kinds: Mapping[str, Kind]) -> tuple[str, ...]:
    """Kinds that a word of `contains` names: a key, a name or a word that guests use, in the singular or plural; both groups
    of a word that covers two ("shellfish"). () for a word that is none of them."""
    if word in kinds:
        return (word,)
    wanted = normalise(word)
    return tuple(kind.key for kind in kinds.values()
                 if wanted in {normalise(each) for each in (kind.key.replace("_", " "), kind.name, *kind.also)})  # fmt: skip


def _compare(subject: Subject, held: set[str], printed: Mapping[str, str], findings: list[Finding],
             kinds: Mapping[str, Kind]) -> list[AllergenFact]:  # fmt: skip
    """`contains` against the printed list and against what such a product usually holds, which is not confirmed."""
    product = subject.product
    for kind, words in printed.items():
        if not _covered(kind, held, kinds):
            findings.append(finding("label-disagrees", product.place,
                f"\"{product.name}\": printed \"{words}\" holds {kinds[kind].name}, `contains` leaves it out",
                f"add {kind} to `contains`, or correct the text", product.name))  # fmt: skip
    if product.label_text:
        for kind in sorted(held):
            if not _covered(kind, set(printed), kinds) and kind != "sulphites":
                findings.append(finding("contains-not-on-label", product.place,
                    f"\"{product.name}\": `contains` names {kinds[kind].name}, the printed list doesn't show it",
                    "copy the whole list of ingredients, or correct `contains`", product.name))  # fmt: skip
        return []
    facts: list[AllergenFact] = []
    for each in subject.hidden:
        covered = any(_covered(kind, held, kinds) for kind in each.kinds or (each.group,))
        if each.likelihood in ("always", "usual") and not covered:
            often = "always" if each.likelihood == "always" else "usually"
            findings.append(finding("usual-not-declared", product.place,
                f"\"{product.name}\" {often} holds {' or '.join(each.kinds) or each.group} ({each.reason}); "
                "`contains` leaves it out",
                "look at the specification again, and write its list as `ingredients on pack`",
                product.name))  # fmt: skip
            facts += [_fact(subject, kind, NOT_CONFIRMED, UNSETTLED, f"{_paper(product)}; {each.likelihood} in {each.names[0]}")
                      for kind in each.kinds or (each.group,)]  # fmt: skip
    return facts


def _covered(kind: str, held: Iterable[str], kinds: Mapping[str, Kind]) -> bool:
    """Is the kind, its group or one of its own kind among those held?"""
    held = set(held)
    known = kinds.get(kind)
    if known is None or kind in held or known.group in held or known.parent in held:
        return True
    if any(each in kinds and kinds[each].parent == kind for each in held):
        return True
    return kind == known.group and any(kinds[each].group == kind for each in held if each in kinds)


def _by_name(subject: Subject, kinds: Mapping[str, Kind]) -> list[AllergenFact]:
    """What a bare name says: its row by identity, what is usual in its class (counts, unresolved), what is possible."""
    row = f"USDA {subject.food} {subject.row_words}" if subject.food else "name"
    own = f"single ingredient, {row}" if subject.single else row
    facts = [_fact(subject, kind, CONTAINS, RECIPE, own) for kind in subject.contains]
    facts += [_fact(subject, kind, TO_CONFIRM, UNSETTLED, f"usual in {row}") for kind in subject.usual]
    facts += [_fact(subject, kind, NOT_CONFIRMED, UNSETTLED, f"possible in {row}") for kind in subject.possible]
    reading = subject.reading or LabelReading()
    facts += [_fact(subject, kind, CONTAINS, RECIPE, f"the name says \"{words}\"") for kind, words in reading.contains]
    facts += [_fact(subject, kind, NOT_CONFIRMED, UNSETTLED, f"\"{words}\" does not settle it")
              for kind, words in reading.unsettled]  # fmt: skip
    states = {"always": (CONTAINS, RECIPE), "usual": (TO_CONFIRM, UNSETTLED), "possible": (NOT_CONFIRMED, UNSETTLED)}
    for each in subject.hidden:
        state, route = states[each.likelihood]
        for kind in each.kinds or (each.group,):
            facts.append(_fact(subject, kind, state, route, f"{each.likelihood} in {each.names[0]}: {each.reason}"))
    first: dict[tuple[str, str, str], AllergenFact] = {}
    for fact in facts:  # the row, the name and the class often say the same; the surest of them is told
        first.setdefault((fact.kind, fact.state, fact.route), fact)
    return list(first.values())


def _unread(subject: Subject) -> list[AllergenFact]:
    """Nothing read: every group stays not confirmed."""
    return [_fact(subject, group, NOT_CONFIRMED, UNREAD, f"nothing on record says what \"{subject.name}\" holds")
            for group in GROUPS]  # fmt: skip


def _unread_finding(subject: Subject, what: str) -> Finding:
    place = subject.product.place if subject.product else subject.place
    return finding("unread-product", place, f"\"{subject.name}\" {what}: it is not confirmed for any allergen",
                   f"read its pack and write it in products/: `- product: {subject.name}` with `ingredients on pack` "
                   "and `evidence`",
                   subject.name)  # fmt: skip


def tidy(facts: Iterable[AllergenFact], kinds: Mapping[str, Kind]) -> tuple[AllergenFact, ...]:
    """Each fact once, in a stable order (group, kind, worst state first). Nothing is merged away: evidence differs, facts
    stay."""
    order = {group: nr for nr, group in enumerate(GROUPS)}
    unique = dict.fromkeys(facts)
    return tuple(sorted(unique, key=lambda fact: (order.get(kinds[fact.kind].group, 99) if fact.kind in kinds else 99,
                                                  fact.kind, fact.route, fact.state, fact.path, fact.evidence)))  # fmt: skip


def under(name: str, facts: Iterable[AllergenFact]) -> list[AllergenFact]:
    """The facts with one more name in front of their path."""
    return [replace(fact, path=(name, *fact.path)) for fact in facts]


class Met(Struct, frozen=True):
    """What shared equipment has met: (kind, state) -> words of the first thing that brought it."""

    equipment: Equipment
    by: tuple[tuple[str, str, str, str], ...]  # kind, state, from what, its recipe


def met_by(equipment: Equipment, users: Iterable[tuple[str, tuple[AllergenFact, ...]]]) -> Met:
    """users: each recipe or ingredient that goes through the equipment, with its own facts."""
    found: dict[tuple[str, str, str], tuple[str, str, str, str]] = {}
    for name, facts in users:
        for fact in facts:
            if fact.route == EQUIPMENT:
                continue
            state = fact.state if fact.state in (NOT_CONFIRMED, MAY_CONTAIN) else CROSS_CONTACT
            found.setdefault((fact.kind, state, name), (fact.kind, state, " > ".join(fact.path), name))
    return Met(equipment, tuple(found.values()))


def equipment_facts(recipe: Recipe, met: Mapping[str, Met], family: frozenset[str], date: str = "") -> list[AllergenFact]:
    """Facts that a recipe takes from the shared equipment it names. family: the recipe and what it is made of, which add nothing.
    date: ISO date of service, "" when there is none.

    Water used twice and a coated food in the same batch are contact as good as an ingredient (contains); the rest is
    cross-contact. "Cleaned between" counts where it is recorded of a thing that can be cleaned; "first after the change" where
    the change was on that day. No date of the last change: nothing is confirmed.
    """
    facts: list[AllergenFact] = []
    for name in recipe.equipment or ():
        if name not in met or is_clean(recipe, met[name].equipment) or is_fresh(recipe, met[name].equipment, date):
            continue
        record = met[name]
        facts += _from_one(recipe, record, family)
        if not record.equipment.changed:
            facts += [AllergenFact(group, NOT_CONFIRMED, EQUIPMENT,
                                   f"{name}: no date of its last change of oil or water on record",
                                   (recipe.name, name), record.equipment.place) for group in GROUPS]  # fmt: skip
    return facts


def is_first(recipe: Recipe) -> bool:
    """On record as the first food after the oil or water was changed."""
    words = recipe.equipment_order.lower().replace("-", " ").strip(" .").split()
    return words[:1] == ["first"] and set(words[1:]) <= OF_A_CHANGE


def is_fresh(recipe: Recipe, equipment: Equipment, date: str) -> bool:
    """First after a change on the day of service: nothing was in the oil or water before. A change of an earlier day says nothing
    of what has been in it since, and where several foods go first nobody knows which of them did."""
    return is_first(recipe) and bool(date) and equipment.changed == date and len(equipment.firsts) < 2


def is_clean(recipe: Recipe, equipment: Equipment) -> bool:
    """Cleaned between this food and the last, where that takes away what was in it."""
    return (recipe.cleaned_between or equipment.cleaned_between) and not stays_in(recipe, equipment)


def stays_in(recipe: Recipe, equipment: Equipment) -> bool:
    """Oil or water stays in the equipment from one food to the next: a fryer, a pot, a bath."""
    words = set(equipment.name.lower().replace("-", " ").split())
    return equipment.bath or bool(equipment.changed) or bool(words & BATHS) or (is_wet(recipe) and not words & PANS)


def _from_one(recipe: Recipe, record: Met, family: frozenset[str]) -> list[AllergenFact]:
    since = f", oil or water changed {record.equipment.changed}" if record.equipment.changed else ""
    facts = []
    for kind, state, source, user in record.by:
        if user in family:
            continue
        direct = recipe.water_used_twice or user in recipe.same_batch_as
        facts.append(AllergenFact(
            kind, CONTAINS if direct and state == CROSS_CONTACT else state, EQUIPMENT,
            f"{record.equipment.name} also cooks {source}{since}", (recipe.name, record.equipment.name),
            record.equipment.place))  # fmt: skip
    return facts




def equipment_findings(kitchen: Kitchen, recipe: Recipe, date: str = "") -> tuple[Finding, ...]:
    """Named equipment without a date of its last change, and what is said of it that does not count; frying in a fryer without
    equipment is a matter of the reader. date: ISO date of service."""
    used = [kitchen.equipment[name] for name in recipe.equipment or () if name in kitchen.equipment]
    return (*_undated(kitchen, recipe), *(each for one in used for each in _idle_claims(recipe, one, date)))


def _idle_claims(recipe: Recipe, equipment: Equipment, date: str) -> list[Finding]:
    """What a kitchen says to keep a food apart, and does not."""
    found = []
    if (recipe.cleaned_between or equipment.cleaned_between) and stays_in(recipe, equipment):
        place = recipe.place if recipe.cleaned_between else equipment.place
        found.append(finding("cleaning-does-not-change-oil", place,
                             f"\"{equipment.name}\" is cleaned between, but its oil or water stays: what was in it still counts",
                             "write `oil changed: ` or `water changed: ` with the date, and "
                             "`equipment order: first after oil change` for what goes in first", recipe.name))  # fmt: skip
    if is_first(recipe) and len(equipment.firsts) > 1:
        others = ", ".join(name for name in equipment.firsts if name != recipe.name)
        found.append(finding("several-go-first", recipe.place,
                             f"\"{recipe.name}\" and {others} all go first into \"{equipment.name}\": "
                             "what it has met still counts",
                             "write `equipment order: first after oil change` for the one that goes in first",
                             recipe.name))  # fmt: skip
    elif is_first(recipe) and not is_fresh(recipe, equipment, date):
        since = f"was changed on {equipment.changed}" if equipment.changed else "has no date of a change"
        found.append(finding("first-is-of-another-day", recipe.place,
                             f"\"{recipe.name}\" goes first after the change, but \"{equipment.name}\" {since}, "
                             f"not on {date or 'the day of service'}: what it has met since still counts",
                             "write the date of the change when it has been done", recipe.name))  # fmt: skip
    elif recipe.equipment_order.strip().lower().startswith("first") and not is_first(recipe):
        found.append(finding("first-is-of-another-day", recipe.place,
                             f"\"{recipe.name}\": \"{recipe.equipment_order}\" does not say first after a change; "
                             f"what \"{equipment.name}\" has met still counts",
                             "write `equipment order: first after oil change`, if it is", recipe.name))  # fmt: skip
    return found


def _undated(kitchen: Kitchen, recipe: Recipe) -> tuple[Finding, ...]:
    return tuple(
        finding("oil-change-not-recorded", kitchen.equipment[name].place,
                f"\"{name}\": no date of its last change of oil or water; what it has met is not known",
                "write `oil changed: 2026-11-24`", recipe.name)
        for name in recipe.equipment or ()
        if name in kitchen.equipment and not kitchen.equipment[name].changed)  # fmt: skip


def mate_facts(recipe: Recipe, mate: str, facts: Iterable[AllergenFact]) -> list[AllergenFact]:
    """What a recipe takes from one that is cooked in the same batch: contact as good as an ingredient."""
    return [AllergenFact(fact.kind, CONTAINS if fact.state in HELD else fact.state, EQUIPMENT,
                         f"cooked in one batch with {mate}: {' > '.join(fact.path)}", (recipe.name, mate), recipe.place)
            for fact in facts if fact.route != EQUIPMENT]  # fmt: skip


def unrecorded_facts(recipe: Recipe, treatments: Iterable[str] = (), words: str = "") -> list[AllergenFact]:
    """Fried, boiled or water-bath food that names no equipment, as a whole or on one of its lines, and food cooked in used water
    of no named vessel: nothing is confirmed. treatments: words of the lines' treatments that are written as codes. words: of the
    recipe's texts, that say such a thing."""
    used_water = recipe.water_used_twice and not recipe.equipment
    wet = recipe.equipment is None and (bool(words) or is_wet(recipe) or any(_wet_words(each) for each in treatments))
    if not (used_water or wet):
        return []
    return [AllergenFact(group, NOT_CONFIRMED, EQUIPMENT, f"\"{recipe.name}\" does not say which fryer, pan or bath it shares",
                         (recipe.name,), recipe.place) for group in GROUPS]  # fmt: skip


def wet_words_of(recipe: Recipe) -> str:
    """Words of a recipe's name, description and notes that bring it into oil, or water of other food; "" for none."""
    texts = (recipe.name, *recipe.also_called, recipe.description, recipe.method, *(line.note for line in recipe.lines))
    return next((hit[0] for text in texts if (hit := re.search(IN_OIL, text, re.IGNORECASE))), "")


def unsaid_findings(recipe: Recipe, words: str) -> tuple[Finding, ...]:
    return (finding("equipment-not-recorded", recipe.place,
                    f"\"{recipe.name}\" says \"{words}\", and no equipment is written",
                    "write equipment: [deep fryer], as kitchen.yaml calls it, or equipment: none shared",
                    recipe.name),)  # fmt: skip


def is_wet(recipe: Recipe) -> bool:
    """Cooked in oil or water that other food may have been in."""
    return recipe.fried_in is not None or _wet_words(recipe.method) or any(_wet_words(line.cooked_as) for line in recipe.lines)


def _wet_words(text: str) -> bool:
    text = text.lower().replace("-", " ")
    return any(word in text for word in WET)


def recipe_facts(recipe: Recipe, facts_of_line: Callable[[str], tuple[AllergenFact, ...]], equipment: Iterable[AllergenFact],
                 kinds: Mapping[str, Kind]) -> tuple[AllergenFact, ...]:  # fmt: skip
    """The facts of a recipe: of every line whatever becomes of it, of its frying fat, of its equipment; path from the recipe."""
    names = [line.name for line in recipe.lines]
    if recipe.fried_in:
        names.append(recipe.fried_in.oil)
    facts = [fact for name in dict.fromkeys(names) for fact in facts_of_line(name)]
    return tidy(under(recipe.name, facts) + list(equipment), kinds)


def worded(recipe: Recipe, named: Iterable[tuple[str, str, str]], facts: Iterable[AllergenFact],
           kinds: Mapping[str, Kind]) -> tuple[tuple[AllergenFact, ...], tuple[Finding, ...]]:  # fmt: skip
    """What the words of a recipe name and none of its own facts hold: not confirmed, and a doubt.

    named: (where, words, kind), as read. facts: of what the recipe is made of.
    """
    held = {fact.kind for fact in facts if fact.state in (*HELD, MAY_CONTAIN)}
    found: list[AllergenFact] = []
    told: list[Finding] = []
    for where, words, kind in named:
        if _covered(kind, held, kinds):
            continue
        found.append(AllergenFact(kind, NOT_CONFIRMED, UNSETTLED, f"{where} says \"{words}\"", (recipe.name,), recipe.place))
        told.append(finding("words-name-an-allergen", recipe.place,
                            f"\"{recipe.name}\": {where} says \"{words}\", and no ingredient holds {kinds[kind].name}",
                            "add the missing line, or say it without the word", recipe.name))  # fmt: skip
    return tuple(found), tuple(told)
