"""What the name of a food says of its ingredients: a share that the law asks for, and a food that the name sells and nothing in
it is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from labeller.declaring.leave_out import leaves
from labeller.declaring.states import group_of
from labeller.terms.allergens import Kind
from labeller.terms.findings import NOWHERE, Finding, finding
from labeller.terms.kitchen import Kitchen, Recipe
from labeller.terms.laws import Way
from labeller.terms.record import DishRecord, Ingredient
from labeller.terms.words import normalise, words

# Meat by its animal (common practice, no source). A name that says one of these is understood to hold it.
MEATS = frozenset((
    "beef", "veal", "ox", "oxtail", "pork", "bacon", "ham", "gammon", "lamb", "mutton", "hogget", "goat", "kid", "chicken",
    "turkey", "duck", "goose", "poussin", "guineafowl", "pheasant", "partridge", "grouse", "pigeon", "quail", "venison", "hare",
    "rabbit", "boar", "chorizo", "salami", "pancetta", "guanciale", "prosciutto", "sausage", "brawn", "liver", "kidney"
))  # fmt: skip
_NOT_THE_MEAT = frozenset(("egg", "milk", "curd", "cheese", "yoghurt", "stock", "goats"))  # "duck egg", "goat's curd"
# Words for many foods, or for a shape or a way of cooking, beside the food itself (common practice, no source).
_MANY = frozenset((
    "fish", "meat", "game", "nut", "cheese", "seafood", "shellfish", "vegetable", "fruit", "berry", "herb", "spice", "mushroom",
    "sauce", "soup", "bread", "cake", "pastry", "biscuit", "cracker", "salad", "stock", "cream", "oil", "seed", "flour", "roll",
    "tart", "jelly", "sugar", "salt", "water", "cup", "leaf", "bean", "grain", "root", "dressing", "pickle", "butter"
))  # fmt: skip
_WHOLE = 0.95
_DENIES = frozenset(("without", "no", "free", "less", "vegan", "mock", "style", "flavour", "flavoured"))


def name_findings(record: DishRecord, recipe: Recipe | None, way: Way | None, kitchen: Kitchen,
                  kinds: Mapping[str, Kind]) -> tuple[Finding, ...]:  # fmt: skip
    """What is doubtful in the name of a pack or plate that has to bear a name or a share."""
    if recipe is None or way is None:
        return ()
    title = recipe.legal_name or record.name
    out = []
    if "quid" in way.must:
        out += _shares(title, record, recipe, way)
    if record.kind == "pack" and way.list_of_ingredients:
        out += _not_held(title, record, recipe, kitchen, kinds)
        out += _meat(record, recipe, way)
    return tuple(out)


def _shares(title: str, record: DishRecord, recipe: Recipe, way: Way) -> Iterator[Finding]:
    found = named_without_share(title, record, recipe.quid)
    if found:
        yield finding("share-not-given", recipe.place,
                      f"\"{record.name}\": its name mentions {', '.join(found)}, and no percentage is given ({way.rule}).",
                      "write `show percentage of:` with the ingredients that the name mentions, or let a qualified person "
                      "say why not", record.name)  # fmt: skip


def named_without_share(title: str, record: DishRecord, quid: tuple[str, ...]) -> tuple[str, ...]:
    """Ingredients that the food's name mentions (by a word of four letters or more) and that have no percentage. A dish or
    recipe of the kitchen is named only where nothing in it bears the word; what is the whole food never."""
    marked = {normalise(name) for name in quid}
    every = list(_every(record.ingredients))
    told = {word for one in every if one.quid or normalise(one.name) in marked for word in words(one.name)}
    found: dict[str, str] = {}
    for word in dict.fromkeys(word for word in words(title) if len(word) > 3 and word not in told):
        bearing = [one for one in every if not one.aid and word in words(one.name)]
        for one in [one for one in bearing if not one.under] or bearing:
            if not _is_whole(one, record):
                found.setdefault(normalise(one.name), one.name)
    return tuple(found.values())


def _is_whole(each: Ingredient, record: DishRecord) -> bool:
    """Whether the food is this and next to nothing else, so that its share is no news. Our own figure."""
    used = sum(one.weight_g for one in record.ingredients)
    return used > 0 and each.weight_g >= _WHOLE * used and each.name not in record.unknown_amounts


def _every(ingredients: tuple[Ingredient, ...]) -> Iterator[Ingredient]:
    for each in ingredients:
        yield each
        yield from _every(each.under)


def _not_held(title: str, record: DishRecord, recipe: Recipe, kitchen: Kitchen, kinds: Mapping[str, Kind]) -> Iterator[Finding]:
    said = words(title)
    if _DENIES & set(said):
        return
    held = _held(record, kinds)
    claims = _foods(kitchen, kinds) - _MANY
    missing = [word for word, after in zip(said, (*said[1:], ""), strict=True)
               if word in claims and word not in held and not (word in MEATS and after in _NOT_THE_MEAT)]  # fmt: skip
    if missing:
        told = ", ".join(dict.fromkeys(missing))
        yield finding("name-not-held", recipe.place,
                      f"\"{record.name}\" is called \"{title}\", and none of its ingredients is {told} "
                      "(Regulation (EU) No 1169/2011, Art. 7(1)(a), from memory).",
                      "correct `label name:`, or name the ingredient in its recipe as what it is", record.name)  # fmt: skip


def _held(record: DishRecord, kinds: Mapping[str, Kind]) -> set[str]:
    """Words of everything in the food: names and lists of what no recipe makes, the kinds and groups that these hold."""
    out: set[str] = set()
    for leaf in (leaf for top in record.ingredients for leaf in leaves(top)):
        if leaf.aid and leaf.name not in record.unknown_amounts:
            continue
        out |= {*words(leaf.name), *words(leaf.printed)}
        for kind in leaf.kinds:
            known = kinds.get(kind)
            texts = (kind, group_of(kind, kinds), *((known.name, known.parent, *known.also) if known else ()))
            out |= {word for text in texts for word in words(text.replace("_", " "))}
    return out


def _foods(kitchen: Kitchen, kinds: Mapping[str, Kind]) -> set[str]:
    """Single words that name a food: of the kinds, of meats, of this kitchen's own lines and products."""
    names = [text for kind in kinds.values() for text in (kind.name, *kind.also)]
    names += [line.name for recipe in kitchen.recipes.values() for line in recipe.lines]
    names += list(kitchen.products)
    return MEATS | {each[0] for each in map(words, names) if len(each) == 1 and len(each[0]) > 3}


def _meat(record: DishRecord, recipe: Recipe, way: Way) -> Iterator[Finding]:
    """A direct-sale pack of a law that asks only for the share of its meat."""
    if "meat share" not in way.must:
        return
    marked = {normalise(name) for name in recipe.quid}
    every = list(_every(record.ingredients))
    if any((one.quid or normalise(one.name) in marked) and _is_meat(leaf) for one in every for leaf in leaves(one)):
        return
    meats = tuple(dict.fromkeys(one.name for one in every if not one.under and one.weight_g > 0 and _is_meat(one)))
    if meats:
        yield finding("meat-share-perhaps", recipe.place or NOWHERE,
                      f"\"{record.name}\" holds {', '.join(meats)}: a pack of a meat product for direct sale states its share of "
                      "meat in the UK (Products Containing Meat etc. Regulations 2014, from memory).",
                      f"write `show percentage of: [{', '.join(meats)}]`, or let a qualified person say why not",
                      record.name)  # fmt: skip


def _is_meat(each: Ingredient) -> bool:
    said = set(words(each.name))
    return bool(said & MEATS) and not said & _NOT_THE_MEAT and "fat" not in said
