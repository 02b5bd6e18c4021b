"""The ingredient statement: descending weight at the time of use, sub-recipes nested, the law's allergens set off."""

from __future__ import annotations

import re
from collections.abc import Iterable

from msgspec.structs import replace

from labeller.declaring.ingredient_names import named_by_law
from labeller.declaring.leave_out import leaves, little_water, stays_closed
from labeller.declaring.naming import Names, joined, set_off
from labeller.declaring.rounding import rounded
from labeller.terms.allergens import CONTAINS, TO_CONFIRM
from labeller.terms.laws import Law
from labeller.terms.record import DishRecord, Ingredient, Run
from labeller.terms.words import normalise, words

# Patterns stay texts until a printed list is read: compiling them would be paid at every start.
_HEADING = r"^\s*ingredients?\s*:\s*"
# Where a supplier's printed list ends and its warnings begin; "contains 2 % or less of" is part of a list.
_AFTER_LIST = r"[.;\s]*\b(?:may contain|allergy advice|allergen|for allergens|contains\s*:|(?<=[.;] )contains (?!\d|less))"


# Below the limit of a law they need not be named; where a supplier's list names them they are set off all the same, as the menu's
# papers say that they are in the food. The name of an additive that is one is then a name like any other.
SULPHITES = "sulphites"


def statement(record: DishRecord, names: Names, quid: tuple[str, ...] = (), in_list: bool = False,
              short: bool = False) -> tuple[Run, ...]:  # fmt: skip
    """The list as runs of text, emphasis on the law's allergens where that law sets them off. Empty without ingredients.

    Percentages (QUID) stand at the ingredients marked ``quid`` or named in ``quid``, at any depth; allergens that came by
    contact only stand at the end. in_list: under a law that leaves the choice, each allergen is named in brackets after its
    ingredient (21 USC 343(w)(1)(B)) and no Contains line is needed. short: what the law lets be left out is left out, no
    allergen with it.
    """
    writer = _Writer(record, names, frozenset(normalise(name) for name in quid), in_list, short)
    english = names.words.language == "en"
    called = named_by_law(record.ingredients, names.law, writer.quid, short) if english else record.ingredients
    runs = writer.whole(_opened(called))
    return joined(runs + writer.by_contact(bool(runs))) if record.ingredients else ()


def _opened(ingredients: tuple[Ingredient, ...]) -> tuple[Ingredient, ...]:
    """A food that is one sub-recipe and nothing else is the sum of that one's ingredients: no brackets around the whole."""
    only = ingredients[0] if len(ingredients) == 1 else None
    return _opened(only.under) if only and only.under and not only.aid and not only.quid else ingredients


def plain(runs: Iterable[Run]) -> str:
    """One text; what is set off stands in capitals, so that it stays set off where there is no typeface."""
    return "".join(run.text.upper() if run.emphasis else run.text for run in runs)


def quid_share(grams: float, record: DishRecord) -> float:
    """Percentage of an ingredient: its weight at the time of use over the weight of all ingredients at that time, or over
    the finished weight where the food lost moisture (Regulation (EU) No 1169/2011, Annex VIII 3(a), 4(a)). May be over 100."""
    used = sum(each.weight_g for each in record.ingredients)
    finished = record.weight_g.mid
    base = finished if 0 < finished < used else used
    return grams / base * 100 if base else 0.0


class _Writer:
    def __init__(self, record: DishRecord, names: Names, quid: frozenset[str], in_list: bool, short: bool = False) -> None:
        self.record, self.names, self.law, self.quid = record, names, names.law, quid
        self.phrases = names.words.phrases
        self.emphasis = self.law.statement.get("emphasis") == "yes"
        self.named = self.emphasis or in_list  # each allergen stands in the list by the law's name
        self.capital = self.law.statement.get("first letters") == "capital"
        self.unweighed = frozenset(record.unknown_amounts)
        self.waterless = short and little_water(record, names)
        self.closed = short and self.law.figure("mixture unopened below") is not None

    def whole(self, ingredients: tuple[Ingredient, ...]) -> list[Run]:
        """The list at its first level: with the law's capitals, and its group of minor ingredients at the end."""
        standing = [each for each in ranked(ingredients, self.law, self.unweighed) if not self._left_out(each)]
        minor = self._minor(standing)
        main = self._row([each for each in standing if each not in minor])
        if not minor:
            return main
        before, after = self.law.statement["minor group"].split("{names}")
        return [*main, Run(", " if main else ""), Run(before), *self._row(minor), Run(after)]

    def _row(self, ingredients: Iterable[Ingredient]) -> list[Run]:
        runs: list[Run] = []
        for each in ingredients:
            one = self._one(each)
            runs += ([Run(", ")] if runs else []) + (_capital(one) if self.capital else one)
        return runs

    def _minor(self, standing: list[Ingredient]) -> list[Ingredient]:
        """What may stand last behind a quantifying phrase, under a law that words one; none for a single ingredient, and none
        whose amount is not known."""
        limit, used = self.law.figure("minor ingredients up to"), sum(each.weight_g for each in standing)
        if limit is None or "minor group" not in self.law.statement or used <= 0:
            return []
        found = [each for each in standing if each.weight_g / used * 100 <= limit and each.name not in self.unweighed]
        return found if 1 < len(found) < len(standing) else []

    def listed(self, ingredients: tuple[Ingredient, ...]) -> list[Run]:
        runs: list[Run] = []
        for each in ranked(ingredients, self.law, self.unweighed):
            if self._left_out(each):
                continue
            runs += ([Run(", ")] if runs else []) + self._one(each)
        return runs

    def _left_out(self, each: Ingredient) -> bool:
        if each.aid and each.name not in self.unweighed:
            return not any(self._kinds(one) for one in leaves(each))
        if each.water and self.waterless:
            return True
        gone = each.water and each.finished_g is not None and each.finished_g <= 0
        return gone and self.law.statement.get("water left out") == "when none stays"

    def _one(self, each: Ingredient) -> list[Run]:
        aid = each.aid and each.name not in self.unweighed
        each = self._unnested(each)
        if self.closed and not aid and stays_closed(each, self.record, self.law):
            return self._closed(each)
        runs = self._under(each, aid) if each.under else self._leaf(each)
        return _around(self.phrases["used in preparation"], "name", runs) if aid else runs

    def _unnested(self, each: Ingredient) -> Ingredient:
        """A compound that is nothing but one compound of its own name stands once ("venison roll (venison roll (…))")."""
        while len(each.under) == 1 and not self._marked(only := each.under[0]) and not only.aid and _alike(each, only):
            each = replace(each, under=only.under) if only.under else replace(only, name=each.name, quid=each.quid)
        return each

    def _marked(self, each: Ingredient) -> bool:
        return each.quid or normalise(each.name) in self.quid

    def _under(self, each: Ingredient, aid: bool) -> list[Run]:
        """A sub-recipe: its name at its weight, then what is in it, in brackets. Of an aid only what holds allergens is named."""
        inside = self.listed(tuple(replace(one, aid=False) for one in each.under) if aid else each.under)
        return self._with_share([Run(each.name)], each) + ([Run(" ("), *inside, Run(")")] if inside else [])

    def _closed(self, each: Ingredient) -> list[Run]:
        """A mixture by its name alone; each allergen in it stays, set off."""
        kinds = tuple(dict.fromkeys(kind for one in leaves(each) for kind in self._kinds(one)))
        name = self._set_off(each.name, kinds, kinds)
        return self._named_after(self._with_share(name, each), [kind for kind in kinds if not self._told(kind, each.name)])

    def _leaf(self, each: Ingredient) -> list[Run]:
        kinds = self._kinds(each)
        label, printed = label_and_list(each, self.names.words.language == "en")
        below = tuple(kind for kind in each.kinds if kind == SULPHITES and kind not in kinds and self.names.listed(kind))
        name, inside = (self._set_off(text, kinds, each.kinds, below) for text in (label, printed))
        runs = self._with_share(name, each) + ([Run(" ("), *inside, Run(")")] if inside else [])
        wanted = kinds if self.named else [kind for kind in kinds if self.names.ingredient_only(kind)]
        left = [kind for kind in wanted if not self._told(kind, label, printed)]
        return self._named_after(runs, left)

    def _set_off(self, text: str, listed: tuple[str, ...], kinds: tuple[str, ...], below: tuple[str, ...] = ()) -> list[Run]:
        """The law's allergens set off; a supplier's own capitals, which may follow another law, are brought down. below: kinds
        under the law's limit, set off by their own name and not in an additive's."""
        known = [spot for kind in kinds for spot in (*self.names.spots(kind), *self.names.own_words(kind))]
        calm = self._spelt(_calm(set_off(text, known)))
        spots = [spot for kind in listed for spot in self.names.spots(kind)]
        spots += [spot for kind in below for spot in _own(kind, self.names)]
        return list(set_off(calm, spots if self.emphasis else ()))

    def _spelt(self, text: str) -> str:
        """Sulphites and soya as the law spells them, where it has a spelling of its own (US: sulfites, soy)."""
        own = self.law.naming.names
        if own.get("sulphites") == "sulfites":
            text = re.sub(r"(?i)\b((?:meta)?(?:bi)?sul)ph(?=it|ur)", r"\1f", text)
        return re.sub(r"(?i)\b(soy)a\b", r"\1", text) if own.get("soybeans") == "soy" else text

    def _told(self, kind: str, *texts: str) -> bool:
        """Whether a text names the kind by its own name; an additive that is one needs that beside it (Art. 21(1)(a))."""
        spots = _own(kind, self.names)
        return any(run.emphasis for text in texts for run in set_off(text, spots))

    def _named_after(self, runs: list[Run], kinds: list[str]) -> list[Run]:
        if not kinds:
            return runs
        before, after = self.phrases["named after"].replace("{name}", "").split("{allergens}")
        return [*runs, Run(before), *self._words(kinds), Run(after)]

    def _words(self, kinds: Iterable[str]) -> list[Run]:
        words = dict.fromkeys(word for kind in kinds for word in self.names.words_of(kind))
        runs: list[Run] = []
        for word in words:
            runs += ([Run(", ")] if runs else []) + [Run(word, self.emphasis)]
        return runs

    def _kinds(self, each: Ingredient) -> tuple[str, ...]:
        exempt = self.names.exempt(each.exempt)
        return tuple(kind for kind in each.kinds
                     if kind not in exempt and (self.names.listed(kind) or self.names.ingredient_only(kind)))  # fmt: skip

    def _with_share(self, name: list[Run], each: Ingredient) -> list[Run]:
        if not self._marked(each) or "quid" not in self.law.roundings:
            return name
        share = quid_share(each.weight_g, self.record)
        text = self.names.words.number(rounded(share, self.law.roundings["quid"]).text)
        if share > 100:  # more went in than there is food: a weight per 100 g, not a percentage (Annex VIII 4(a))
            form = self.phrases.get("over a hundred", self.law.statement["over a hundred"])
            return _around(form.replace("{grams}", text), "name", name)
        sign = " %" if self.law.percent_spaced else "%"
        return _around(self.law.statement["percentages"].replace("{percent}", text + sign), "name", name)

    def by_contact(self, follows: bool) -> list[Run]:
        """Allergens that the dish contains though no ingredient holds them (water used twice, fried beside a coated food)."""
        held = [kind for each in self.record.ingredients for one in leaves(each) for kind in one.kinds]
        told = {key for kind in held for key in self.names.keys(kind)}
        kinds = [kind for kind in contained(self.record, self.law)
                 if self.names.listed(kind) and not told & set(self.names.keys(kind))]  # fmt: skip
        if not kinds:
            return []
        return ([Run(", ")] if follows else []) + _around(self.phrases["by contact"], "allergens", self._words(kinds))


def contained(record: DishRecord, law: Law) -> tuple[str, ...]:
    """Kinds that a dish contains (or contains, to be confirmed) and that the law doesn't exempt in every place they stand."""
    laws = {law.key, law.rests_on}
    return tuple(dict.fromkeys(
        fact.kind for fact in record.facts
        if fact.state in (CONTAINS, TO_CONFIRM) and not laws & {one for one, _ in fact.exempt}))  # fmt: skip


def _own(kind: str, names: Names) -> list[str]:
    """Spots of a kind without the names of additives that are one."""
    additive = names.by_additive(kind)
    return [spot for spot in names.spots(kind) if not any(spot.startswith(one) for one in additive)]


def names_sulphites(record: DishRecord, names: Names) -> bool:
    """Whether the list names sulphites, by choice of a supplier's text, though the food is below the law's limit."""
    if not names.listed(SULPHITES):
        return False
    spots = _own(SULPHITES, names)
    held = [one for each in record.ingredients for one in leaves(each) if SULPHITES in one.kinds and not one.aid]
    return any(run.emphasis for one in held for text in label_and_list(one) for run in set_off(text, spots))


def ranked(ingredients: tuple[Ingredient, ...], law: Law, unweighed: frozenset[str] = frozenset()) -> tuple[Ingredient, ...]:
    """Heaviest first; equal weights as written; lines without a known amount after them; what only touched the food last."""
    def weight(each: Ingredient) -> float:
        finished = each.water and law.statement.get("water weighed") == "finished" and each.finished_g is not None
        return each.finished_g if finished else each.weight_g or each.gave_g

    def place(each: Ingredient) -> tuple[int, float]:
        if each.name in unweighed and each.weight_g <= 0:
            return 1, 0.0
        return (2, 0.0) if each.aid else (0, -weight(each))

    return tuple(sorted(ingredients, key=place))


def label_and_list(each: Ingredient, low: bool = True) -> tuple[str, str]:
    """Name of a product and its own list as its supplier prints it, without heading, warnings and final point. low: its capitals
    come down (not in a language that writes nouns with one).

    A list of one thing is the product's name in other words where one holds all words of the other ("wholemeal rye flour"
    and "rye flour"): the fuller stands alone, and the list is "".
    """
    if not each.printed:
        return each.name, ""
    text = re.sub(_HEADING, "", " ".join(each.printed.split()), flags=re.IGNORECASE)
    found = re.search(_AFTER_LIST, text, re.IGNORECASE)
    text = (text[: found.start()] if found else text).strip(" .;,")
    one_thing = not re.search(r"[,;]", re.sub(r"\([^)]*\)", "", text))
    text = begun_low(text, each.name) if low else text
    if text and one_thing and _is_flour_of_that(each.name, text):
        return text, ""
    name, said = set(words(each.name)), set(words(text))
    if text and one_thing and (name <= said or said <= name):
        return (text, "") if name < said else (each.name, "")
    return each.name, text


# Words of the trade for white wheat flour (common practice, no source): the supplier's name with its list says more.
_WHITE_FLOUR = frozenset(("plain", "strong", "soft", "white", "bread", "cake", "pastry", "purpose", "all", "00"))


def _is_flour_of_that(name: str, text: str) -> bool:
    """Whether a kitchen's name of a white flour stands over a supplier's "wheat flour (wheat, calcium carbonate, …)"."""
    found = re.fullmatch(r"([^()]+)\(.*\)", text)
    said, head = words(name), words(found[1]) if found else ()
    alike = said[-1:] == head[-1:] == ("flour",) and "wheat" in head
    return alike and set(said[:-1]) <= _WHITE_FLOUR | set(head)


def begun_low(text: str, name: str) -> str:
    """A supplier's list as it reads inside another list: the capital of its first word comes down, and those of all items where
    every item has one. A capital stays on a name of several capitals ("Parmigiano Reggiano") and where the kitchen writes it."""
    starts = [found for found in re.finditer(r"(?:^|[,;]\s*)([^\W\d_])", text)]
    every = len(starts) > 2 and all(text[found.start(1)].isupper() for found in starts)
    for found in starts if every else starts[:1]:
        at = found.start(1)
        word, *after = re.findall(r"[^\W\d_]+", re.match(r"[^,;()]*", text[at:])[0])
        if word[1:].islower() and not any(each.istitle() for each in after) and word not in name:
            text = text[:at] + text[at].lower() + text[at + 1 :]
    return text


def _alike(one: Ingredient, two: Ingredient) -> bool:
    """The same thing by name (one name holds all words of the other) and by weight."""
    first, second = set(words(one.name)), set(words(two.name))
    return (first <= second or second <= first) and abs(one.weight_g - two.weight_g) <= 0.01 * max(one.weight_g, 1e-9)


def _capital(runs: list[Run]) -> list[Run]:
    first = runs[0]
    return [replace(first, text=first.text[:1].upper() + first.text[1:]), *runs[1:]]


def _lowered(run: Run) -> Run:
    """A supplier's capitals are its own way to set off."""
    return replace(run, text=run.text.lower()) if run.emphasis and run.text.isupper() and len(run.text) > 2 else run


def _calm(runs: tuple[Run, ...]) -> str:
    """The text of runs with a supplier's capitals brought down, as the words beside them stand: "RYE Flour" is "Rye Flour"."""
    out = ""
    for run, after in zip(runs, (*runs, Run(""))[1:], strict=True):
        low = _lowered(run).text
        beside = (re.match(r"[ -]([^\W\d_]+)", after.text), re.search(r"([^\W\d_]+)[ -]$", out))
        titled = any(found and found[1].istitle() and len(found[1]) > 1 for found in beside)
        out += low[:1].upper() + low[1:] if titled and low != run.text else low
    return out


def _around(form: str, key: str, runs: list[Run]) -> list[Run]:
    before, after = form.split("{" + key + "}")
    return [run for run in (Run(before), *runs, Run(after)) if run.text]
