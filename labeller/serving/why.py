"""The trail of a figure or of an allergen, as a tree down to the table row, the label and the line of the kitchen's file."""

from __future__ import annotations

from msgspec.structs import replace

from labeller.declaring.nutrition import amount
from labeller.serving.bounds import evaluator, ranges_in_play
from labeller.serving.pipeline import Opened
from labeller.serving.workshop import portion_of
from labeller.terms.allergens import RANK
from labeller.terms.evidence import Step
from labeller.terms.floor import NO_ANSWER
from labeller.terms.kitchen import Recipe
from labeller.terms.laws import Law, Sum
from labeller.terms.mass import Part, Ref
from labeller.terms.nutrients import BASE, INDEX, MOST
from labeller.terms.record import Corner, Declaration, NutritionRow
from labeller.terms.words import normalise
from labeller.working.trail import figure_trail, unit_of, weight_trail, words_of


class _Walk:
    """What a trail needs of a dish: its family, batches with their words, and contents."""

    def __init__(self, opened: Opened, recipe: Recipe):
        self.opened, self.recipe, workshop = opened, recipe, opened.workshop
        self.family = workshop.family(recipe)
        workshop.ready_oil(self.family)
        self.batches = workshop.batches(self.family, words=True)
        self.contents = workshop.contents(self.family, self.batches, memo=True)

    def content(self, ref: Ref):
        return self.contents.get(ref.key) if ref.kind == "recipe" else self.opened.workshop.leaf_content(ref)

    def weights(self) -> Step:
        return weight_trail(self.recipe, self.family, self.batches)

    def base(self, key: str) -> Step:
        """The tree of one quantity of the food data (a key of BASE)."""
        return figure_trail(key, self.recipe, portion_of(self.recipe, self.batches[self.recipe.name]), self.family, self.batches,
                            self.content, self.opened.workshop.tables_retention,
                            lambda part, word: _source(self.opened, part, word))  # fmt: skip


def cut(step: Step, depth: int) -> Step:
    """The tree down to a depth (0: the top alone); what is left out is said."""
    if depth > 0 or not step.under:
        return replace(step, under=tuple(cut(each, depth - 1) for each in step.under))
    return replace(step, what=f"{step.what}  (more below)", under=())


def _source(opened: Opened, part: Part, key: str) -> str:
    """Where the value of a part comes from: the label of the product, a table row, a column of our own."""
    product = opened.kitchen.products.get(part.ref.key) if part.ref.kind == "product" else None
    if product is not None:
        label = {"sodium_mg": "salt_g", "nitrogen_g": "protein_g", "available_carbohydrate_g": "carbohydrate_g",
                 "fibre_in_energy_g": "energy_kj"}.get(key, key)
        if label in dict(product.nutrition) or key in dict(product.nutrition):
            return f"label of {product.name}, {product.place}"
    meaning = next((each for each in opened.workshop.names.meanings() if each.ref == part.ref and each.food), None)
    if meaning is None:
        return "no row"
    food = meaning.food
    own = dict(food.sources).get(key)
    return f"{own or 'USDA ' + food.release}, {food.code} {food.description}" + (f"; {meaning.how}" if meaning.how else "")


def figure_steps(opened: Opened, recipe: Recipe, declaration: Declaration, word: str) -> Step | None:
    """The tree of a declared figure: the printed row, how its law adds it up, what moves it within the kitchen's ranges, the
    weights, then each quantity of the food data that it is made of. None: not a figure."""
    row = next((row for row in declaration.rows if normalise(word) in (normalise(row.key), normalise(row.name))), None)
    walk = _Walk(opened, recipe)
    if row is None:
        if word not in INDEX:
            return None
        tree = walk.base(word)
        return replace(tree, under=(walk.weights(), *tree.under))
    law = opened.workshop.tables.law(declaration.law, opened.date, tuple(dict.fromkeys(("en", declaration.language))))
    sums, made_of = _sums(row.key, declaration, law)
    printed = " · ".join(part for part in (row.per_100g and f"{row.per_100g} per 100 g",
                                           row.per_100ml and f"{row.per_100ml} per 100 ml",
                                           row.per_portion and f"{row.per_portion} per portion", row.share) if part)  # fmt: skip
    exact = f"; exactly {row.value_portion.mid:.6g} per portion" if row.value_portion else ""
    if row.value_portion and row.known < law.house.known_share - 1e-6:  # what is known of it is no figure of the dish
        exact = (f"; {row.value_portion.mid:.6g} {unit_of(row.key)} per portion in the {row.known:.0%} of the weight for which "
                 "it is known")  # fmt: skip
    ranged = row.value_portion and row.value_portion.is_range
    bounds = f" ({row.value_portion.low:.4g} to {row.value_portion.high:.4g})" if ranged else ""
    most = tuple(walk.base(MOST[key]) for key in dict.fromkeys((*made_of, row.key)) if row.ends and key in MOST)
    exact += _settled(row)
    under = (*sums, *_moves(opened, recipe, row, law), walk.weights(), *(walk.base(key) for key in made_of), *most)
    return Step(f"{row.name or row.key}: {printed}{exact}{bounds}", recipe.place, row.rule, under)


def _settled(row: NutritionRow) -> str:
    """Where a figure lies that some of is missing."""
    if row.ends is None:
        return ""
    same = ": both print the same, so it is printed" if row.settled else ": they print differently, so it is not printed"
    return (f"; with the most that the missing part can be, between {row.ends[0]:.3g} and {row.ends[1]:.3g} {unit_of(row.key)}"
            f"{same}")  # fmt: skip


def _sums(key: str, declaration: Declaration, law: Law) -> tuple[list[Step], tuple[str, ...]]:
    """How the law adds a figure up from the food data, for the portion, and the base keys that it is made of."""
    corner, steps, made_of = declaration.record.middle, [], {}

    def add(quantity: str) -> None:
        choice = _choice(quantity, corner, law)
        if choice is None:
            return
        terms = []
        for term, factor in choice.terms:
            value = _value(term, choice.own, corner, law)
            if value is None:
                continue
            made_of.update({} if choice.own else {term: None})
            if value:
                terms.append((factor, f"{words_of(term)} {value:.4g} {unit_of(term)}"))
        if len(terms) > 1 or any(factor != 1 for factor, _ in terms):
            total = amount(quantity, corner, law).value
            said = " ".join(f"{'-' if factor < 0 else '+'} {words}" + ("" if abs(factor) == 1 else f" x {abs(factor):.4g}")
                            for factor, words in terms)  # fmt: skip
            steps.append(Step(f"{words_of(quantity)} = {said.removeprefix('+ ')} = {total:.4g} {unit_of(quantity)}",
                              source=law.quantities[quantity].rule.section))  # fmt: skip
        for term, _ in choice.terms if choice.own else ():
            if _value(term, True, corner, law):
                add(term)

    if corner is not None and key in law.quantities:
        add(key)
    return list(dict.fromkeys(steps)), tuple(each for each in made_of if each in BASE and corner.totals.get(each))


def _choice(quantity: str, corner: Corner, law: Law) -> Sum | None:
    """The choice of a law's definition that gave its amount."""
    found = amount(quantity, corner, law)
    for choice in law.quantities[quantity].choices if found else ():
        values = [(factor, _value(term, choice.own, corner, law)) for term, factor in choice.terms]
        total = sum(factor * value for factor, value in values if value is not None)
        total = total if choice.least is None else max(total, choice.least)
        if abs(total - found.value) <= 1e-9 * max(1.0, abs(total)):
            return choice
    return None


def _value(term: str, own: bool, corner: Corner, law: Law) -> float | None:
    if not own:
        return corner.totals.get(term)
    found = amount(term, corner, law)
    return found.value if found else None


def _moves(opened: Opened, recipe: Recipe, row: NutritionRow, law: Law) -> tuple[Step, ...]:
    """What each range of the kitchen, taken alone, does to the figure of a portion."""
    if row.value_portion is None or not row.value_portion.is_range or row.key not in law.quantities:
        return ()
    steps, evaluate = [], evaluator(opened.workshop, recipe, opened.workshop.family(recipe))
    for each in ranges_in_play(opened.workshop, recipe):
        ends = [amount(row.key, evaluate({each.key: end}), law) for end in (0.0, 1.0)]
        if all(ends):
            low, high = (end.value for end in ends)
            steps.append(Step(f"{each.words}: {low:.4g} to {high:.4g} {unit_of(row.key)}", each.place))
    return (Step("what each range does alone, the others at their middle", recipe.place, "", tuple(steps)),)


def allergen_steps(opened: Opened, recipe: Recipe, word: str) -> Step | None:
    """Every fact about an allergen (a kind or a group), worst first, with its path, evidence and place. None: not a kind."""
    kinds = opened.workshop.tables.kinds
    key = next((kind.key for kind in kinds.values()
                if normalise(word) in map(normalise, (kind.key.replace("_", " "), kind.key, kind.name, *kind.also))),
               None)  # fmt: skip
    if key is None:
        return None
    group = kinds[key].group
    wanted = {group, *(each.key for each in kinds.values()
                       if key in (each.key, each.parent) or (key == group and each.group == group))}  # fmt: skip
    facts = sorted((fact for fact in opened.workshop.facts(recipe) if fact.kind in wanted),
                   key=lambda fact: (RANK[fact.state], fact.path))  # fmt: skip
    steps = tuple(Step(f"{fact.state.replace('_', ' ')}: {kinds[fact.kind].name} by {' > '.join(fact.path)} ({fact.route})",
                       fact.place, fact.evidence) for fact in facts)  # fmt: skip
    state = facts[0].state.replace("_", " ") if facts else f"none on record, checked {opened.date}"
    if opened.workshop.record(recipe).stopped:  # what is on record is true; what is not says nothing
        state = f"{NO_ANSWER}{f' (so far: {state})' if facts else ''}"
    return Step(f"{kinds[key].name} in \"{recipe.name}\": {state}", recipe.place, "", steps)
