"""The ingredients of a portion by weight at the time of use, nested as the kitchen nests its recipes."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from msgspec import Struct
from msgspec.structs import replace

from labeller.terms.kitchen import Product
from labeller.terms.mass import Part, Ref, Worked
from labeller.terms.record import Ingredient

TAP_WATER = ("14411", "14429")  # USDA SR28: water, tap; water, bottled or municipal


class Leaf(Struct, frozen=True):
    """What a statement needs of an ingredient that is not a recipe: kinds it contains, its exemptions, its product."""

    kinds: tuple[str, ...]
    exempt: tuple[tuple[str, str], ...] = ()
    product: Product | None = None
    water: bool = False


def ingredients_of(worked: Worked, share: float, batches: Mapping[str, Worked], leaf: Callable[[str, Ref], Leaf],
                   quid: tuple[str, ...] = ()) -> tuple[Ingredient, ...]:  # fmt: skip
    """Ingredients of ``share`` of a batch (a portion: its grams over the batch's). The same name twice is added up.

    What only touched the food (all poured off, all left in the tray) stays as an aid: contact without weight. What was strained
    out of a liquid that stays is an ingredient: it gave the liquid its substance (Art. 2(2)(f) of Regulation (EU) No 1169/2011:
    "still present in the finished product, even if in an altered form"; from memory).
    """
    found: dict[str, Ingredient] = {}
    for part in worked.parts:
        made = _ingredient(part, worked, share, batches, leaf, part.name in quid)
        same = found.get(part.name)
        found[part.name] = made if same is None else _joined(same, made)
    return tuple(found.values())


def _ingredient(part: Part, worked: Worked, share: float, batches: Mapping[str, Worked], leaf: Callable[[str, Ref], Leaf],
                quid: bool) -> Ingredient:  # fmt: skip
    grams, gave = part.grams * share, part.gave * share
    if part.ref.kind == "recipe" and part.ref.key in batches:
        child = batches[part.ref.key]
        inside = (part.grams or part.gave) / child.weight * share if child.weight else 0.0
        under = ingredients_of(child, inside, batches, leaf)
        under = _given(under) if gave else under
        return Ingredient(part.name, grams, under=under, aid=grams <= 0 and not gave, quid=quid, gave_g=gave)
    about = leaf(part.name, part.ref)
    product = about.product
    finished = max(0.0, (part.grams + worked.water) * share) if about.water else None
    return Ingredient(
        name=(product.label_name or part.name) if product else part.name, weight_g=grams, kinds=about.kinds, exempt=about.exempt,
        printed=product.label_text if product else "", water=about.water, aid=grams <= 0 and not gave,
        finished_g=finished, quid=quid, gave_g=gave)  # fmt: skip


def _given(under: tuple[Ingredient, ...]) -> tuple[Ingredient, ...]:
    """What is in a sub-recipe that was strained out: extractives of each, and no weight."""
    return tuple(replace(each, weight_g=0.0, gave_g=each.weight_g or each.gave_g, under=_given(each.under)) for each in under)


def _joined(one: Ingredient, two: Ingredient) -> Ingredient:
    def added(a: float | None, b: float | None) -> float | None:
        return None if a is None and b is None else (a or 0.0) + (b or 0.0)

    names = {each.name: each for each in one.under}
    for each in two.under:
        names[each.name] = _joined(names[each.name], each) if each.name in names else each
    return replace(one, weight_g=one.weight_g + two.weight_g, under=tuple(names.values()), aid=one.aid and two.aid,
                   finished_g=added(one.finished_g, two.finished_g), quid=one.quid or two.quid,
                   gave_g=one.gave_g + two.gave_g)  # fmt: skip
