"""The trail of a figure or of an allergen, as a tree down to the table row, the label and the line of the kitchen's file."""

from __future__ import annotations

from labeller.serving.pipeline import Opened
from labeller.serving.workshop import portion_of
from labeller.terms.allergens import RANK
from labeller.terms.evidence import Step
from labeller.terms.kitchen import Recipe
from labeller.terms.mass import Part, Ref
from labeller.terms.nutrients import BASE, INDEX
from labeller.terms.record import Declaration
from labeller.terms.words import normalise
from labeller.working.trail import figure_trail


def base_trail(opened: Opened, recipe: Recipe, key: str) -> Step:
    """The tree of one quantity of the food data (a key of BASE)."""
    workshop = opened.workshop
    family = workshop.family(recipe)
    workshop.ready_oil(family)
    batches = workshop.batches(family, words=True)
    contents = workshop.contents(family, batches, memo=True)

    def content(ref: Ref):
        return contents.get(ref.key) if ref.kind == "recipe" else workshop.leaf_content(ref)

    def source(part: Part, quantity: str) -> str:
        return _source(opened, part, quantity)

    return figure_trail(key, recipe, portion_of(recipe, batches[recipe.name]), family, batches, content,
                        workshop.tables_retention, source)  # fmt: skip


def _source(opened: Opened, part: Part, key: str) -> str:
    """Where the value of a part comes from: the label of the product, a table row, a column of our own."""
    product = opened.kitchen.products.get(part.ref.key) if part.ref.kind == "product" else None
    if product is not None:
        label = {"sodium_mg": "salt_g", "nitrogen_g": "protein_g"}.get(key, key)
        if label in dict(product.nutrition) or key in dict(product.nutrition):
            return f"label of {product.name}, {product.place}"
    meaning = next((each for each in opened.workshop.names.meanings() if each.ref == part.ref and each.food), None)
    if meaning is None:
        return "no row"
    food = meaning.food
    own = dict(food.sources).get(key)
    return f"{own or 'USDA ' + food.release}, {food.code} {food.description}" + (f"; {meaning.how}" if meaning.how else "")


def figure_steps(opened: Opened, recipe: Recipe, declaration: Declaration, word: str) -> Step | None:
    """The tree of a declared figure: the printed row, its formula's quantities, then each of them. None: not a figure."""
    row = next((row for row in declaration.rows if normalise(row.key) == normalise(word) or normalise(row.name) == normalise(word)), None)
    if row is None:
        return base_trail(opened, recipe, word) if word in INDEX else None
    made_of = _quantities(declaration, row.key)
    under = tuple(base_trail(opened, recipe, key) for key in made_of)
    printed = " · ".join(part for part in (row.per_100g and f"{row.per_100g} per 100 g", row.per_portion and f"{row.per_portion} per portion",
                                           row.share) if part)  # fmt: skip
    exact = f"; exactly {row.value_portion.mid:.6g} per portion" if row.value_portion else ""
    bounds = f" ({row.value_portion.low:.4g} to {row.value_portion.high:.4g})" if row.value_portion and row.value_portion.is_range else ""
    return Step(f"{row.name or row.key}: {printed}{exact}{bounds}", recipe.place, row.rule, under)


def _quantities(declaration: Declaration, key: str) -> tuple[str, ...]:
    """Base keys that a law's figure is made of."""
    derived = {"salt_g": ("sodium_mg",), "energy_kj": _ENERGY, "energy_kcal": _ENERGY, "carbohydrate_g": ("carbohydrate_g", "fibre_g"),
               "protein_g": ("nitrogen_g", "protein_g")}  # fmt: skip
    found = derived.get(key, (key,))
    return tuple(each for each in found if each in BASE and (declaration.record.middle is None or each in declaration.record.middle.totals))


_ENERGY = ("fat_g", "carbohydrate_g", "fibre_g", "protein_g", "alcohol_g")


def allergen_steps(opened: Opened, recipe: Recipe, word: str) -> Step | None:
    """Every fact about an allergen (a kind or a group), worst first, with its path, evidence and place. None: not a kind."""
    kinds = opened.workshop.tables.kinds
    key = next((kind.key for kind in kinds.values()
                if normalise(word) in {normalise(each) for each in (kind.key.replace("_", " "), kind.key, kind.name, *kind.also)}), None)  # fmt: skip
    if key is None:
        return None
    group = kinds[key].group
    wanted = {each.key for each in kinds.values() if each.key == key or each.parent == key or (key == group and each.group == group)} | {group}
    facts = sorted((fact for fact in opened.workshop.facts(recipe) if fact.kind in wanted), key=lambda fact: (RANK[fact.state], fact.path))
    steps = tuple(Step(f"{fact.state.replace('_', ' ')}: {kinds[fact.kind].name} by {' > '.join(fact.path)} ({fact.route})", fact.place,
                       fact.evidence) for fact in facts)  # fmt: skip
    if not steps:
        return Step(f"{kinds[key].name} in \"{recipe.name}\": none on record, checked {opened.date}", recipe.place)
    return Step(f"{kinds[key].name} in \"{recipe.name}\": {facts[0].state.replace('_', ' ')}", recipe.place, "", steps)
