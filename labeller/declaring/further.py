"""Further particulars that the kitchen states by a key and the law words (Regulation (EU) No 1169/2011, Annexes III and VI), and
what of a pack's own record calls for one that nobody stated. What no record can show (gas in the tray, formed meat) is the
kitchen's to say."""

from __future__ import annotations

from labeller.declaring.statement import leaves
from labeller.terms.findings import Finding, finding
from labeller.terms.kitchen import Recipe
from labeller.terms.laws import Further, Law, Way, Words
from labeller.terms.record import DishRecord
from labeller.terms.words import fold

_OF_MILK = ("milk", "cheese")  # keys of what is recorded for guests that tell of raw milk
_INSTEAD = {"sweeteners": ("sugars and sweeteners",), "aspartame": ("aspartame by number",), "liquorice": ("much liquorice",),
            "aspartame by number": ("aspartame",)}  # fmt: skip  # key -> keys that say as much


def full_name(name: str, recipe: Recipe | None, law: Law, words: Words) -> str:
    """The name of the food with the particulars that go with it: "cooked ham, with added water"."""
    return ", ".join([name, *_texts(recipe, law, words, "name")])


def further_lines(recipe: Recipe | None, law: Law, words: Words) -> str:
    """Those that stand by themselves, a line each, each begun with a capital as a sentence of the label."""
    return "\n".join(text[:1].upper() + text[1:] for text in _texts(recipe, law, words, "line"))


def _texts(recipe: Recipe | None, law: Law, words: Words, place: str) -> list[str]:
    stated = recipe.stated if recipe else ()
    return [words.of_law(law, f"also {one.key}", one.text) for one in law.further if one.key in stated and one.place == place]


def further_findings(record: DishRecord, recipe: Recipe | None, law: Law, way: Way | None) -> tuple[Finding, ...]:
    """Keys that this law does not word, and particulars that the record calls for on a pack with a list of ingredients."""
    if recipe is None or record.kind != "pack" or law.key in ("none", "codex"):
        return ()
    known = {one.key for one in law.further}
    gone = [key for key in recipe.stated if key not in known]
    found = [finding("particular-not-worded", recipe.place,
                     f"\"{record.name}\": {law.key} has no words here for {', '.join(gone)}; it is not printed.",
                     "write what that law asks for under `instructions`", record.name)] if gone else []  # fmt: skip
    if way is None or not way.list_of_ingredients:
        return tuple(found)
    return (*found, *(_asked(record, recipe, law, way, one, why) for one in law.further
                      if not _is_stated(one, recipe) and (why := _calls_for(one, record))))  # fmt: skip


def _is_stated(one: Further, recipe: Recipe) -> bool:
    return bool({one.key, *_INSTEAD.get(one.key, ())} & set(recipe.stated))


def _asked(record: DishRecord, recipe: Recipe, law: Law, way: Way, one: Further, why: str) -> Finding:
    return finding("particular-perhaps", recipe.place,
                   f"\"{record.name}\", {way.key} under {law.key}, may have to say \"{one.text}\" ({why}; {one.rule}).",
                   f"write `also state: [{', '.join([*recipe.stated, one.key])}]`, or let a qualified person say why not",
                   record.name)  # fmt: skip


def _calls_for(one: Further, record: DishRecord) -> str:
    """What of the record calls for it, in words; "" for nothing."""
    for each in (leaf for top in record.ingredients for leaf in leaves(top)):
        said = fold(f"{each.name} {each.printed}").split()
        hit = next((word for word in one.words if word in said or f"{word}s" in said), "")
        if hit:
            return f"\"{hit}\" in {each.name}"
    for key, text, of in record.recorded:
        if fold(key) in _OF_MILK and set(one.recorded) & set(fold(text).split()):
            return f"{key} of {of}: {text}"
    middle = record.middle
    for key, limit in one.over.items() if middle and middle.weight_g else ():
        amount = middle.totals.get(key, 0.0) / middle.weight_g * 100
        if amount > limit:
            return f"{amount:.3g} g of {key.rpartition('_')[0]} in 100 g"
    return ""
