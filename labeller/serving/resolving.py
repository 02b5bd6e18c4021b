"""What each name in the kitchen's files means: a recipe, a product, a food row, or nothing known."""

from __future__ import annotations

from functools import cached_property

from msgspec import Struct
from msgspec.structs import replace

from labeller.serving.pack_words import GENERAL, compounds, left_open, names_no_food
from labeller.terms.allergens import AllergenFact, LabelReading
from labeller.terms.findings import Finding, Place, finding
from labeller.terms.foods import Food
from labeller.terms.kitchen import Kitchen, Line, Product, Recipe
from labeller.terms.lexicon import Lexicon
from labeller.terms.mass import Ref
from labeller.terms.words import normalise
from labeller.working.allergens import Subject, ingredient_facts
from labeller.working.hidden import hidden_for
from labeller.working.label_reader import read_label
from labeller.working.matching import CONFIRMED, settle


class Meaning(Struct, frozen=True):
    """ref: what the name is. product and food where there are such. single: one plain ingredient that needs no paper.
    stand_in: the row's figures stand for another food's; it says nothing of allergens. how: why this row ("pinned on the
    line", "kitchen name"). of_trimmed: the ingredient this part was trimmed off, or ""."""

    ref: Ref
    product: Product | None = None
    food: Food | None = None
    single: bool = False
    how: str = ""
    of_trimmed: str = ""
    stand_in: bool = False
    findings: tuple[Finding, ...] = ()


class Names:
    """Looks names up in the kitchen first, then in the tables; each name once."""

    def __init__(self, kitchen: Kitchen, tables):
        self.kitchen, self.tables = kitchen, tables
        self._recipes = _by_word(kitchen.recipes)
        self._products = _by_word(kitchen.products)
        self._trimmed = {normalise(line.trimmed_to): line for recipe in kitchen.recipes.values()
                         for line in recipe.lines if line.trimmed_to}  # fmt: skip
        self._matches = {normalise(match.name): match for match in kitchen.matches.values()}
        self._meanings: dict[tuple[str, str], Meaning] = {}
        self._unread_words: dict[str, tuple[str, ...]] = {}
        self._facts: dict[tuple[str, str], tuple[tuple[AllergenFact, ...], tuple[Finding, ...]]] = {}

    def recipe(self, name: str) -> Recipe | None:
        return self._recipes.get(normalise(name))

    def product(self, name: str) -> Product | None:
        return self._products.get(normalise(name))

    def trimmed_from(self, name: str) -> list[tuple[Recipe, int]]:
        """Recipes, with the place of the line, that trim off the part of this name; none where it is a recipe or a product."""
        if normalise(name) not in self._trimmed or self.recipe(name) or self.product(name):
            return []
        return [(recipe, nr) for recipe in self.kitchen.recipes.values() for nr, line in enumerate(recipe.lines)
                if line.trimmed_to and normalise(line.trimmed_to) == normalise(name)]  # fmt: skip

    def meaning(self, name: str, pin: str, place: Place) -> Meaning:
        """What a name means on a line that may pin its food row."""
        key = (name, pin)
        if key not in self._meanings:
            self._meanings[key] = self._find(name, pin, place)
        return self._meanings[key]

    def meanings(self) -> tuple[Meaning, ...]:
        """All that was looked up so far."""
        return tuple(self._meanings.values())

    def _find(self, name: str, pin: str, place: Place) -> Meaning:
        recipe = self.recipe(name)
        if recipe is not None and not pin:
            return Meaning(Ref("recipe", recipe.name))
        product = self.product(name)
        settled, findings = self._settled(name, pin, product, place)
        trimmed = self._trimmed.get(normalise(name))
        if settled is None and trimmed is not None:
            parent = self.meaning(trimmed.name, trimmed.food, trimmed.place)
            return Meaning(parent.ref, parent.product, parent.food, parent.single,
                           f"the row of {trimmed.name}, which it was trimmed off",
                           trimmed.name, parent.stand_in, parent.findings)  # fmt: skip
        food, other, gone = self._row(settled, name, product, place) if settled else (None, "", ())
        findings = (*findings, *gone)
        if product is not None:
            ref, findings = Ref("product", product.name), (() if product.nutrition else findings)
        else:
            ref = Ref("food", settled.code + other) if food else Ref("unknown", name)
        return Meaning(ref, product, food, bool(settled and settled.single), settled.how if settled else "",
                       trimmed.name if trimmed else "", bool(settled and settled.stand_in), tuple(findings))  # fmt: skip

    def _row(self, settled, name: str, product: Product | None, place: Place):
        """(row, what tells it from the row that its code stands for without a match, findings): a match is pinned to its
        release."""
        default = self.tables.foods.get(settled.code)
        match = self._matches.get(normalise(product.name if product else name)) if settled.how == CONFIRMED else None
        if match is None or not match.release or (default and default.release == match.release):
            return default, "", ()
        pinned = self.tables.foods.get(settled.code, match.release)
        if pinned is None:
            return default, "", (finding("release-not-there", match.place,
                                         f"\"{name}\" was matched in {match.release}, which is not at hand; "
                                         f"the row of {default.release} stands in",
                                         f"import {match.release} again, or confirm the match anew "
                                         "with labeller match", name),)  # fmt: skip
        return pinned, f"@{pinned.release}", ()

    def _settled(self, name: str, pin: str, product: Product | None, place: Place):
        word = normalise(name)
        settled, found = settle(product.name if product else name, pin=pin, product_food=product.food if product else "",
                      match=self._matches.get(word), names=self.tables.names,
                      food_exists=lambda code: self.tables.foods.get(code) is not None,
                      place=place, subject=product.name if product else name, shelf=lambda: self.tables.shelf)  # fmt: skip
        own = product is None
        return settled, tuple(self._own_first(each, name) if own and each.code == "no-food-match" else each for each in found)

    def _own_first(self, told: Finding, name: str) -> Finding:
        """A name that nothing settles may be one of the kitchen's own, misspelt or with a word more: those are offered first."""
        near = self.near(name)
        if not near:
            return told
        kind, own = near
        return replace(told, mend=f"did you mean your {kind} \"{own}\"? write - {own}: and the amount; if not: {told.mend}")

    def near(self, name: str) -> tuple[str, str] | None:
        """("recipe" or "product", its name) of the kitchen that a name comes near to: one holds all words of the other, or the
        letters are nearly the same."""
        from difflib import get_close_matches

        word = normalise(name)
        own = {**{key: ("product", one.name) for key, one in self._products.items()},
               **{key: ("recipe", one.name) for key, one in self._recipes.items() if one.kind == "recipe"}}  # fmt: skip
        said = set(word.split())
        held = [key for key in own if key != word and (set(key.split()) <= said or said <= set(key.split()))]
        close = get_close_matches(word, held, n=1, cutoff=0) or get_close_matches(word, list(own), n=1, cutoff=0.75)
        return own[close[0]] if close else None

    def facts(self, name: str, pin: str, place: Place) -> tuple[tuple[AllergenFact, ...], tuple[Finding, ...]]:
        """Allergen facts of an ingredient that is not a recipe, with path (name,)."""
        key = (name, pin)
        if key not in self._facts:
            self._facts[key] = self._judge(name, pin, place)
        return self._facts[key]

    def _judge(self, name: str, pin: str, place: Place):
        meaning = self.meaning(name, pin, place)
        facts, findings = ingredient_facts(self._subject(name, meaning, place), self.tables.kinds)
        if meaning.of_trimmed and normalise(meaning.of_trimmed) != normalise(name):
            parent, more = self.facts(meaning.of_trimmed, "", place)
            facts = tuple(dict.fromkeys([*facts, *parent]))
            findings = tuple(dict.fromkeys([*findings, *more]))
        return facts, findings

    def _subject(self, name: str, meaning: Meaning, place: Place) -> Subject:
        product, food = meaning.product, meaning.food
        known = meaning.of_trimmed if meaning.of_trimmed and product is None and meaning.how.startswith("the row of") else name
        single = meaning.single if product is None else bool(product.evidence and product.evidence.kind == "single ingredient")
        counts = food and not meaning.stand_in and self._row_counts(product, single)
        row = self.tables.food_kinds.of(food.ndb or food.code) if counts else None
        text = product.label_text if product and product.label_text else known
        reading: LabelReading = read_label(text, self.tables.lexicon)
        on_list = bool(product and product.label_text)
        unknown = unreadable(text, reading) if on_list or (product and single) else ()
        if product and single and not on_list and names_no_food(text, reading, GENERAL):
            unknown = (text,)
        if product is not None:
            self._unread_words[product.name] = unknown if on_list else ()
        return Subject(
            name=name, place=place, product=product, food=food.code if food else "", row_words=food.description if food else "",
            contains=row.contains if row else (), usual=row.usual if row else (), possible=row.possible if row else (),
            hidden=hidden_for(known, self.tables.hidden), reading=reading if product is None or product.label_text else None,
            single=single, unknown=unknown, near=near_allergens(unknown, self.tables.lexicon),
            row_says=self._row_says(product, food, meaning), printed=compounds(text, self.tables) if on_list else (),
            left=left_open(text, reading, self.tables.lexicon, self._listed) if on_list and reading.unsettled else (),
            blank=on_list and names_no_food(text, reading))  # fmt: skip

    @cached_property
    def _listed(self) -> frozenset[str]:
        """Kinds that the kitchen's law makes a pack name."""
        law = self.tables.lists("9999-12-31", self.kitchen.law).get(self.kitchen.law) if self.kitchen.law else None
        return frozenset(kind for kind in self.tables.kinds if law is not None and law.kinds_of(kind))

    def unread_words(self, product: Product) -> tuple[str, ...]:
        """Words of a product's printed list that can't be read."""
        if product.name not in self._unread_words:
            self._unread_words[product.name] = unreadable(product.label_text, read_label(product.label_text, self.tables.lexicon))
        return self._unread_words[product.name]

    def _row_says(self, product: Product | None, food: Food | None, meaning: Meaning) -> tuple[str, ...]:
        """Kinds of the row that a product with papers of its own takes its figures from; none of a row that only stands in:
        one of a near food, or of a class ("beer") where the product brings figures of its own."""
        if product is None or food is None or meaning.stand_in:
            return ()
        row = self.tables.food_kinds.of(food.ndb or food.code)
        return row.contains if row and (row.basis in ("identity", "description") or not product.nutrition) else ()

    @staticmethod
    def _row_counts(product: Product | None, single: bool) -> bool:
        """A row stands for what a bare name is; beside a product's own papers it is only a source of figures."""
        return product is None or single or (product.contains is None and not product.label_text)


_LOOK_ALIKE = str.maketrans("асеорхуікмтнвαεοριτνκυ", "aceopxyikmthbaeopitvku")  # Cyrillic, Greek
_NEAR = 0.74  # "mlik" and "milk" are 0.75 alike


def unreadable(text: str, reading: LabelReading) -> tuple[str, ...]:
    """Words of a printed text that can't be read: those that are not known, and those that mix the letters of two scripts."""
    mixed = () if text.isascii() else [word.strip(".,;:()[]*") for word in text.split() if _is_mixed(word)]
    return tuple(dict.fromkeys([*reading.unknown, *mixed]))


def _is_mixed(word: str) -> bool:
    letters = [letter for letter in word.lower() if letter.isalpha()]
    foreign = sum("\u0370" <= letter <= "\u04ff" for letter in letters)
    return 0 < foreign < len(letters)


def near_allergens(words: tuple[str, ...], lexicon: Lexicon) -> tuple[tuple[str, str, str], ...]:
    """(word, the allergen's word it looks like, its kind) of those words that look like one."""
    if not words:
        return ()
    from difflib import get_close_matches

    known = {phrase: entry.contains for phrase, entry in lexicon.phrases.items()
             if entry.contains and " " not in phrase and len(phrase) > 3 and entry.role in ("whole", "name", "group", "product")
             and entry.language in ("", "en")}  # fmt: skip
    found = []
    for word in words:
        plain = normalise(word.lower().translate(_LOOK_ALIKE))
        near = get_close_matches(plain, [each for each in known if abs(len(each) - len(plain)) < 3], n=1, cutoff=_NEAR)
        found += [(word, near[0], kind) for kind in known[near[0]]] if near else []
    return tuple(found)


def _by_word(entries: dict) -> dict:
    found = {}
    for entry in entries.values():
        for word in (entry.name, *entry.also_called):
            found.setdefault(normalise(word), entry)
    return found


def line_key(recipe: Recipe, nr: int, line: Line) -> str:
    """The id of a line, from which the ids of its ranges are made."""
    return f"{recipe.name}/{nr}/{line.name}"
