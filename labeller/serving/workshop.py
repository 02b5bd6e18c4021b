"""The kitchen at work: recipes weighed, figures summed, allergens carried up, one record for each dish.

Holds results that were worked out already (a memo, never a state that the order of calls could change).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from msgspec.structs import replace

from labeller.reading.cross_checks import without_rings
from labeller.serving.other_days import OtherDays, batch_mates, with_firsts
from labeller.serving.recipe_findings import Faults
from labeller.serving.resolving import Meaning, Names, line_key
from labeller.serving.shared_names import also_cooked
from labeller.serving.together import behind_a_pin, cooked_together, fried_by_words
from labeller.serving.worded import implied_by_words, named_in_words
from labeller.terms.allergens import CONTAINS, MAY_CONTAIN, NOT_CONFIRMED, TO_CONFIRM, AllergenFact
from labeller.terms.evidence import Step
from labeller.terms.findings import NOWHERE, STOP, Finding, finding
from labeller.terms.kitchen import Kitchen, Line, Recipe
from labeller.terms.mass import Content, Input, Part, Ref, Worked
from labeller.terms.nutrients import INDEX, MOST
from labeller.terms.record import Component, Corner, DishRecord, Missing
from labeller.terms.spans import Span
from labeller.working import allergens as contact
from labeller.working import twice
from labeller.working.batches import MIDDLE, work
from labeller.working.composition import TAP_WATER, Leaf, ingredients_of
from labeller.working.measures import to_grams
from labeller.working.nutrients import content_of, of_product, of_row
from labeller.working.own_warning import warned
from labeller.working.sulphites import mg_per_kg

WEIGHED = Step("")  # the amount is its weight: nothing to explain


class Workshop:
    """kitchen: as read (tonight's substitutes already in it). tables: :class:`labeller.serving.tables.Tables`.
    findings: of the reading. date: ISO date of service, "" when none is asked about. days: what other days have left behind."""

    def __init__(self, kitchen: Kitchen, tables, findings: Iterable[Finding] = (), date: str = "", days: OtherDays | None = None):
        whole, rings = without_rings(with_firsts(kitchen))  # a replacement or an exchange may close a ring that no file has
        self.kitchen, self.tables, self.date, self.days = whole, tables, date, days
        self.names = Names(self.kitchen, tables)
        self.reading_findings = tuple(dict.fromkeys((*findings, *rings)))
        self._inputs: dict[int, tuple[Recipe, tuple[Recipe, tuple[Input, ...], tuple[Finding, ...]]]] = {}
        self._handling: dict[tuple, tuple] = {}
        self._middle: dict[str, Worked] = {}
        self._treatment: dict[str, tuple[str, ...]] = {}  # one object for each code: a large kitchen names it often
        self._contents: dict[str, Content] = {}
        self._retention: dict[str, tuple[dict[str, float], frozenset[str]]] = {}
        self._leaf_contents: dict[Ref, Content | None] = {}
        self._facts: dict[str, tuple[AllergenFact, ...]] = {}
        self._met: dict[str, contact.Met] | None = None
        self._faults = Faults(self)
        self._mates: dict[str, tuple[str, ...]] | None = None
        self.made: dict[tuple, Workshop] = {}  # as batches of the day were made, by what went into them: serving/made.py
        self._worded: dict[str, tuple[tuple[AllergenFact, ...], tuple[Finding, ...]]] = {}

    # What lines are -----------------------------------------------------------------------------------------------------

    def meaning(self, line: Line) -> Meaning:
        return self.names.meaning(line.name, line.food, line.place)

    def inputs(self, recipe: Recipe) -> tuple[Recipe, tuple[Input, ...], tuple[Finding, ...]]:
        """The recipe with a measured `makes` turned to grams, its lines ready for weighing, and what is wrong with them."""
        if id(recipe) not in self._inputs:  # the recipe is kept beside its result, so that its id is not given to another
            found: list[Finding] = []
            ready = tuple(self._input(recipe, nr, line, found) for nr, line in enumerate(recipe.lines))
            self._inputs[id(recipe)] = recipe, (self._measured(recipe, found), ready, tuple(found))
        return self._inputs[id(recipe)][1]

    def _input(self, recipe: Recipe, nr: int, line: Line, found: list[Finding]) -> Input:
        meaning, treatments, cooked, source, fat, alcohol = self._handled(recipe, line)
        found += meaning.findings
        if meaning.ref.kind == "unknown" or (meaning.ref.kind == "product" and self._leaf(meaning) is None):
            found += self._unknown(recipe, line, meaning)
        grams, per_piece, basis, step = self._grams(recipe, line, meaning, found)
        if line.cooked_as and not self._known_treatment(line.cooked_as):
            found += twice.unknown_treatment(recipe, line)
        found += twice.line_findings(recipe, line, meaning.food, basis, self._own_treatment(line, treatments))
        bought = basis == "as bought" or line.weight_is == "as bought"
        refuse = (meaning.food.refuse_percent or 0.0) / 100 if bought and meaning.food and not line.trim.high else 0.0
        plain = not (per_piece or refuse or alcohol or cooked is not None or line.trim.high or line.kept.low != 1)
        return Input(line_key(recipe, nr, line), line, meaning.ref, grams, per_piece, treatments, cooked, source, alcohol, refuse,
                     step, fat, plain)  # fmt: skip

    def _handled(self, recipe: Recipe, line: Line):
        """(meaning, treatments, cooked over raw, its source, fat of it, alcohol per gram) of a line; the same for each line
        of one name that is handled alike."""
        settled = bool(recipe.makes or recipe.water_change is not None or recipe.reduced_to or recipe.kind != "recipe")
        key = line.name, line.food, line.cooked_as, line.cooking_yield, recipe.method, settled
        if key not in self._handling:
            meaning = self.meaning(line)
            self._handling[key] = (meaning, self._treatments(recipe, line, meaning), *self._cooked(recipe, line, meaning),
                                   self._alcohol(meaning))  # fmt: skip
        return self._handling[key]

    def _unknown(self, recipe: Recipe, line: Line, meaning: Meaning) -> list[Finding]:
        if meaning.findings:  # the matching room said it already
            return []
        return [finding("composition-not-known", line.place, f"\"{line.name}\" has neither a food row nor label figures",
                        f"settle it with `labeller match`, or write `food:` or `nutrition per 100 g` for \"{line.name}\"",
                        recipe.name)]  # fmt: skip

    def _grams(self, recipe: Recipe, line: Line, meaning: Meaning, found: list[Finding]):
        amount = line.amount.about if line.amount and line.amount.vague and line.amount.about else line.amount
        if amount is None:
            return None, False, "", Step("no amount written", line.place)
        if meaning.ref.kind == "recipe" and amount.unit == "piece":
            return amount.number, True, "", WEIGHED
        unit = self.tables.measures.units.get((amount.unit, self.kitchen.measures))
        if unit is not None and unit.kind == "weight" and not amount.vague:
            return (amount.number if unit.size == 1 else amount.number.times(unit.size)), False, "", WEIGHED
        product = meaning.product
        own = product or self.kitchen.recipes.get(meaning.ref.key if meaning.ref.kind == "recipe" else "")
        conversion, problems = to_grams(
            amount, name=line.name, tables=self.tables.measures, system=self.kitchen.measures,
            density=own.density_g_per_ml if own else None, pieces=product.pieces if product else (), food=meaning.food,
            place=line.place, subject=recipe.name)  # fmt: skip
        found += problems
        if conversion is None:
            return None, False, "", Step(f"{amount.text}: grams not known", line.place)
        return conversion.grams, False, conversion.basis, conversion.step

    def _measured(self, recipe: Recipe, found: list[Finding]) -> Recipe:
        makes = recipe.makes
        if makes is None or makes.volume is None or makes.grams is not None:
            return recipe
        conversion, problems = to_grams(makes.volume, name=recipe.name, tables=self.tables.measures, system=self.kitchen.measures,
                                        density=recipe.density_g_per_ml, place=makes.place, subject=recipe.name)  # fmt: skip
        found += problems
        return recipe if conversion is None else replace(recipe, makes=replace(makes, grams=conversion.grams))

    def _treatments(self, recipe: Recipe, line: Line, meaning: Meaning) -> tuple[str, ...]:
        """Retention codes of a line: its own treatment, else the recipe's method. A row that is cooked already takes none."""
        own = line.cooked_as
        if own.isdigit():
            return self._treatment.setdefault(own, (own,))
        food = meaning.food
        words = own or recipe.method
        if food is None or not words or (food.state == "cooked" and not own):
            return ()
        code = self.tables.cooking.code_for(words, food.group, food.description, food.values[INDEX["fat_g"]])
        return self._treatment.setdefault(code, (code,)) if code else ()

    def _known_treatment(self, words: str) -> bool:
        cooking = self.tables.cooking
        return cooking.retention(words) is not None if words.isdigit() else bool(cooking.methods_in(words))

    def _own_treatment(self, line: Line, treatments: tuple[str, ...]) -> str:
        """Words of the treatment that a line names for itself, where it has factors."""
        return (self.tables.cooking.treatment_words(treatments[0]) or line.cooked_as) if line.cooked_as and treatments else ""

    def _cooked(self, recipe: Recipe, line: Line, meaning: Meaning) -> tuple[Span | None, str, float]:
        """Cooked over raw weight, its source, and the fat of it: written on the line, else of the method's table where nothing
        else settles the yield."""
        if line.cooking_yield is not None:
            return line.cooking_yield, "kitchen's own yield", 0.0
        settled = recipe.makes or recipe.water_change is not None or recipe.reduced_to or recipe.kind != "recipe"
        method = line.cooked_as if line.cooked_as and not line.cooked_as.isdigit() else recipe.method
        if settled or not method or meaning.food is None or meaning.food.state == "cooked":
            return None, "", 0.0
        tables = self.tables.cooking
        for name in (meaning.food.description, line.name):
            found = tables.cooking_yield(name, method)
            if found:
                return Span.of(found[0]), found[1], tables.cooked_fat(name, method)
        return None, "", 0.0

    def _alcohol(self, meaning: Meaning) -> float:
        content = self._leaf(meaning) if meaning.ref.kind != "recipe" else None
        return content.values[INDEX["alcohol_g"]] if content else 0.0

    def _leaf(self, meaning: Meaning) -> Content | None:
        """Content of a food or product; None when nothing is known of it."""
        ref = meaning.ref
        if ref not in self._leaf_contents:
            row = meaning.food.values if meaning.food else None
            if meaning.product is not None and (meaning.product.nutrition or row):
                row = of_product(meaning.product, row)
            self._leaf_contents[ref] = of_row(row) if row else None
        return self._leaf_contents[ref]

    def leaf_content(self, ref: Ref) -> Content | None:
        """Content of a food or product that a line has named already."""
        return self._leaf_contents.get(ref)

    # Batches ------------------------------------------------------------------------------------------------------------

    def family(self, recipe: Recipe) -> dict[str, Recipe]:
        """The recipe and all it is made of, children first. A ring ends where it closes (the reader reports it)."""
        found: dict[str, Recipe] = {}
        self._walk(recipe, found, ())
        return found

    def _walk(self, recipe: Recipe, found: dict[str, Recipe], above: tuple[str, ...]) -> None:
        if recipe.name in found or recipe.name in above:
            return
        for child in self.children(recipe):
            self._walk(child, found, (*above, recipe.name))
        found[recipe.name] = recipe

    def children(self, recipe: Recipe) -> list[Recipe]:
        metas = [self.meaning(line) for line in recipe.lines]
        if recipe.fried_in:
            metas.append(self.names.meaning(recipe.fried_in.oil, recipe.fried_in.food, recipe.fried_in.place))
        keys = [meta.ref.key for meta in metas if meta.ref.kind == "recipe"]
        return [self.kitchen.recipes[key] for key in keys if key in self.kitchen.recipes]

    def batches(self, family: Mapping[str, Recipe], setting: Mapping[str, float] = MIDDLE,
                words: bool = False) -> dict[str, Worked]:  # fmt: skip
        """Every batch of a family at one setting of the ranges; at the middle each is worked once. words: with the steps of the
        trail, made on demand."""
        ready: dict[str, Worked] = {}
        for name, recipe in family.items():
            own = not setting and not words and recipe is self.kitchen.recipes.get(name)
            if own and name in self._middle:
                ready[name] = self._middle[name]
                continue
            measured, inputs, _ = self.inputs(recipe)
            ready[name] = with_pieces(work(measured, inputs, ready, setting, self.oil(recipe), words))
            if own:
                self._middle[name] = ready[name]
        return ready

    def ready_lines(self) -> list[tuple[Recipe, tuple[Input, ...], Ref | None]]:
        """Every recipe of the kitchen with its lines ready for weighing and the fat that it is fried in."""
        self.ready_oil(self.kitchen.recipes)
        ready = []
        for recipe in self.kitchen.recipes.values():
            measured, inputs, _ = self.inputs(recipe)
            ready.append((measured, inputs, self.oil(recipe) if recipe.fried_in else None))
        return ready

    def all_batches(self, ready=None):
        """Every batch of the kitchen at the middle, worked out at once: :class:`labeller.working.bulk.Kitchenful`.
        ready: of :meth:`ready_lines`, where it is at hand."""
        from labeller.working.bulk import work_all

        return work_all(self.ready_lines() if ready is None else ready, self._leaf_contents.get, self.tables_retention)

    def oil(self, recipe: Recipe) -> Ref | None:
        fried = recipe.fried_in
        return self.names.meaning(fried.oil, fried.food, fried.place).ref if fried else None

    def contents(self, family: Mapping[str, Recipe], batches: Mapping[str, Worked], memo: bool = False) -> dict[str, Content]:
        """Nutrients per gram of every batch of a family. memo: at the middle, where results are kept."""
        done: dict[str, Content] = {}
        for name in family:
            own = memo and family[name] is self.kitchen.recipes.get(name)
            if own and name in self._contents:
                done[name] = self._contents[name]
                continue
            done[name] = content_of(
                batches[name], lambda ref: done.get(ref.key) if ref.kind == "recipe" else self._leaf_contents.get(ref),
                self.tables_retention)  # fmt: skip
            if own:
                self._contents[name] = done[name]
        return done

    def tables_retention(self, code: str):
        """(factors, keys that the code's table leaves blank) of a retention code."""
        if code not in self._retention:
            factors = self.tables.cooking.retention(code)
            missing = self.tables.cooking.missing(code) if factors else ()
            most = {MOST[key]: factor for key, factor in (factors or {}).items() if key in MOST}
            blank = frozenset((*missing, *(MOST[key] for key in missing if key in MOST)))
            self._retention[code] = ({**(factors or {}), **most}, blank)
        return self._retention[code]

    def ready_oil(self, family: Mapping[str, Recipe]) -> None:
        """Frying fats are no lines: make their content known."""
        for recipe in family.values():
            if recipe.fried_in:
                meaning = self.names.meaning(recipe.fried_in.oil, recipe.fried_in.food, recipe.fried_in.place)
                if meaning.ref.kind != "recipe":
                    self._leaf(meaning)

    # Allergens ----------------------------------------------------------------------------------------------------------

    def facts(self, recipe: Recipe) -> tuple[AllergenFact, ...]:
        """All facts of a recipe, its equipment included; path from the recipe's own name down."""
        own = recipe is self.kitchen.recipes.get(recipe.name)
        if own and recipe.name in self._facts:
            return self._facts[recipe.name]
        met = self.met() if recipe.equipment else {}
        coded = (self.tables.cooking.treatment_words(line.cooked_as) for line in recipe.lines if line.cooked_as.isdigit())
        equipment = contact.equipment_facts(recipe, met, self.eaten(recipe), self.date)
        equipment += contact.unrecorded_facts(recipe, coded, fried_by_words(self, recipe)) + cooked_together(self, recipe)
        facts = contact.recipe_facts(recipe, lambda name: self._facts_of_line(recipe, name, with_equipment=True),
                                     [*equipment, *self.worded(recipe)[0]], self.tables.kinds)  # fmt: skip
        if own:
            left = self.days.left_over(recipe, facts, self._name_of) if self.days else []
            facts = contact.tidy([*facts, *left], self.tables.kinds) if left else facts
            self._facts[recipe.name] = facts
        return facts

    def eaten(self, recipe: Recipe) -> frozenset[str]:
        """Recipes on one plate, which add nothing to each other by way of shared equipment. A plate made with a change meets what
        the plate as written brings there for everyone else."""
        changed = recipe is not self.kitchen.recipes.get(recipe.name, recipe)
        return frozenset(self.family(recipe)) - (frozenset((recipe.name,)) if changed else frozenset())

    def _name_of(self, word: str) -> str:
        named = self.names.recipe(word)
        return named.name if named else ""

    def mates(self, recipe: Recipe) -> tuple[str, ...]:
        """Recipes that are cooked in one batch with this one, whichever of them says so."""
        if self._mates is None:
            self._mates = batch_mates(self.kitchen.recipes)
        return self._mates.get(recipe.name, ())

    def food_facts(self, recipe: Recipe) -> tuple[AllergenFact, ...]:
        """Facts of what a recipe is made of, no equipment: what it brings to a fryer."""
        return contact.recipe_facts(recipe, lambda name: self._facts_of_line(recipe, name, with_equipment=False),
                                    self.worded(recipe)[0], self.tables.kinds)  # fmt: skip

    def worded(self, recipe: Recipe) -> tuple[tuple[AllergenFact, ...], tuple[Finding, ...]]:
        """Allergens that the recipe's own words name and its lines don't hold, and those it warns of. Of a plate made with a
        change the words are compared with the plate as written, of which they speak."""
        recipe = self.kitchen.recipes.get(recipe.name, recipe)
        if recipe.name not in self._worded:
            named = named_in_words(recipe, self.tables.lexicon, self.names)
            made = contact.recipe_facts(recipe, lambda name: self._facts_of_line(recipe, name, with_equipment=False), (),
                                        self.tables.kinds)  # fmt: skip
            held = {self.tables.kinds[fact.kind].group for fact in made if fact.state in (CONTAINS, TO_CONFIRM, MAY_CONTAIN)}
            family = self.family(recipe).values()
            named = dict.fromkeys((*named, *implied_by_words(recipe, family, self.tables.dish_words, held, self.tables.kinds)))
            meant = [(word, contact.kinds_named(word, self.tables.kinds)) for word in recipe.precaution]
            both = contact.worded(recipe, named, made, self.tables.kinds), warned(recipe, meant)
            self._worded[recipe.name] = (*both[0][0], *both[1][0]), (*both[0][1], *both[1][1])
        return self._worded[recipe.name]

    def _facts_of_line(self, recipe: Recipe, name: str, with_equipment: bool) -> tuple[AllergenFact, ...]:
        line = next((line for line in recipe.lines if line.name == name), None)
        pin, place = (line.food, line.place) if line else (recipe.fried_in.food, recipe.fried_in.place)
        meaning = self.names.meaning(name, pin, place)
        if meaning.ref.kind == "recipe":
            child = self.kitchen.recipes[meaning.ref.key]
            return self.facts(child) if with_equipment else self.food_facts(child)
        return self.names.facts(name, pin, place)[0] + behind_a_pin(self, recipe, name, pin)

    def met(self) -> dict[str, contact.Met]:
        """What each piece of shared equipment has met, over all recipes that name it, whichever menu they are on."""
        if self._met is None:
            equipment = self.kitchen.equipment.items()
            self._met = {name: contact.met_by(one, self._users(name)) for name, one in equipment}
        return self._met

    def _users(self, equipment: str) -> list[tuple[str, tuple[AllergenFact, ...]]]:
        users = self.users_of(equipment)
        return [*users, *(self.days.users_since(self.kitchen.equipment[equipment], users) if self.days else ())]

    def users_of(self, equipment: str) -> list[tuple[str, tuple[AllergenFact, ...]]]:
        """(recipe or name, facts) of all that goes into a piece of shared equipment on this day."""
        mates = [recipe for recipe in self.kitchen.recipes.values() if equipment in (recipe.equipment or ())]
        users = [(recipe.name, self.food_facts(recipe)) for recipe in mates]
        for name in self.kitchen.equipment[equipment].also_cooks:
            recipe = self.names.recipe(name)
            place = self.kitchen.equipment[equipment].place
            users.append((name, self.food_facts(recipe) if recipe else also_cooked(self.names, self.tables, name, place)[0]))
        return users

    # Findings and records --------------------------------------------------------------------------------------------

    def findings_of(self, recipe: Recipe) -> tuple[Finding, ...]:
        """Everything found in a recipe and in what it is made of, its reading included."""
        return self._faults.of(recipe)

    def record(self, recipe: Recipe) -> DishRecord:
        """One dish, recipe or pack, worked out before any law."""
        findings = self.findings_of(recipe)
        stopped = any(each.severity == STOP and each.blocks == "all" for each in findings)
        no_figures = stopped or any(each.severity == STOP and each.blocks == "nutrition" for each in findings)
        family = self.family(recipe)
        batches = self.batches(family)
        worked = batches[recipe.name]
        portion = portion_of(recipe, worked)
        middle, ends = (None, ()) if no_figures else self._figures(recipe, family)
        facts = self.facts(recipe)
        weights = [middle.weight_g, *(corner.weight_g for corner in ends)] if middle else [portion]
        return DishRecord(
            name=recipe.name, kind=recipe.kind, weight_g=Span(min(weights), weights[0], max(weights)),
            pieces=worked.pieces if recipe.kind == "recipe" else 1.0, middle=middle, corners=ends, facts=facts,
            ingredients=ingredients_of(worked, portion / worked.weight if worked.weight else 0.0, batches, self.leaf,
                                       recipe.quid),
            components=self._components(recipe),
            equipment=tuple(sorted({name for each in family.values() for name in each.equipment or ()})),
            unknown_amounts=self._unknown_amounts(family), recorded=self._recorded(family),
            findings=tuple(each.touching((recipe.name,)) for each in findings), stopped=stopped, nutrition_stopped=no_figures,
            description=recipe.description, net_weight_g=recipe.net_weight.grams if recipe.net_weight else None,
            sulphites_mg_per_kg=mg_per_kg(worked, batches, self._sulphites), missing=self._missing(recipe, worked, batches),
            holds=_held_by(recipe))  # fmt: skip

    def _figures(self, recipe: Recipe, family: Mapping[str, Recipe]) -> tuple[Corner, tuple[Corner, ...]]:
        from labeller.serving.bounds import bounded

        return bounded(self, recipe, family)

    def _missing(self, recipe: Recipe, worked: Worked, batches: Mapping[str, Worked]) -> tuple[Missing, ...]:
        """Asked for packs, whose tables must be whole."""
        if recipe.kind != "pack":
            return ()
        from labeller.serving.at_stake import missing_of

        return missing_of(worked, batches, self._leaf_contents.get, portion_of(recipe, worked))

    def _sulphites(self, part: Part) -> float | None:
        """mg/kg of SO2 in an ingredient: the product's figure, else what its pack prints; 0 where none is on record."""
        product = self.kitchen.products.get(part.ref.key) if part.ref.kind == "product" else None
        if product is not None and product.sulphites_mg_per_kg is not None:
            return product.sulphites_mg_per_kg
        facts = self._leaf_facts(part.name, part.ref.key if part.ref.kind == "food" else "")
        held = [fact for fact in facts if fact.kind == "sulphites"]
        return 0.0 if not any(fact.state in (CONTAINS, TO_CONFIRM, NOT_CONFIRMED) for fact in held) else None

    def leaf(self, name: str, ref: Ref) -> Leaf:
        """What a statement needs of an ingredient."""
        product = self.kitchen.products.get(ref.key) if ref.kind == "product" else None
        pin = ref.key if ref.kind == "food" else ""
        facts = [fact for fact in self._leaf_facts(name, pin) if fact.state in (CONTAINS, TO_CONFIRM)]
        kinds = tuple(dict.fromkeys(fact.kind for fact in facts))
        exempt = tuple(dict.fromkeys((law, fact.kind) for fact in facts for law, _ in fact.exempt))
        held = {fact.kind for fact in facts if not fact.exempt}
        return Leaf(kinds, tuple(pair for pair in exempt if pair[1] not in held), product, ref.key in TAP_WATER)

    def _leaf_facts(self, name: str, pin: str) -> tuple[AllergenFact, ...]:
        """Facts of a leaf by the line that named it; the same name may be pinned on one line and not on another."""
        for key in ((name, ""), (name, pin)):
            if key in self.names._facts:
                return self.names._facts[key][0]
        return self.names.facts(name, pin, NOWHERE)[0]

    def _components(self, recipe: Recipe) -> tuple[Component, ...]:
        found = []
        for line in recipe.lines:
            facts = self._facts_of_line(recipe, line.name, with_equipment=True)
            kinds = dict.fromkeys(fact.kind for fact in facts if fact.state in (CONTAINS, TO_CONFIRM))
            found.append(Component(line.name, tuple(kinds), line.leave_off, line.instead))
        return tuple(found)

    def _unknown_amounts(self, family: Mapping[str, Recipe]) -> tuple[str, ...]:
        inputs = [item for recipe in family.values() for item in self.inputs(recipe)[1]]
        return tuple(dict.fromkeys(item.line.name for item in inputs if item.grams is None))

    def _recorded(self, family: Mapping[str, Recipe]) -> tuple[tuple[str, str, str], ...]:
        """Facts that guests ask beyond allergens: (what, how, of which product or recipe)."""
        found = []
        for recipe in family.values():
            found += [(key, text, recipe.name) for key, text in recipe.recorded]
            for line in recipe.lines:
                product = self.meaning(line).product
                found += [(key, text, product.name) for key, text in product.recorded] if product else []
        return tuple(dict.fromkeys(found))


def _held_by(recipe: Recipe) -> tuple[tuple[str, float], ...]:
    """(what a pack holds, how much or many of it)."""
    lines = recipe.lines if recipe.kind == "pack" else ()
    return tuple((line.name, line.amount.number.mid) for line in lines if line.amount)


def with_pieces(worked: Worked) -> Worked:
    """A dish asked by the piece is asked by the portion."""
    return worked if worked.pieces or not worked.serves else replace(worked, pieces=worked.serves)


def portion_of(recipe: Recipe, worked: Worked) -> float:
    """Grams of a portion: a dish is divided by what it serves; a recipe is its batch, a pack is itself."""
    return worked.weight / (worked.serves or 1.0) if recipe.kind == "dish" else worked.weight
