"""Recipes, dishes and packs: one mapping of the cook's to one :class:`~labeller.terms.kitchen.Recipe`."""

from __future__ import annotations

import re

import yaml

from labeller.reading.amounts import MASS_GRAMS, VOLUMES, grams_of, read_amount, tidy
from labeller.reading.entries import Entry
from labeller.reading.products import read_density
from labeller.reading.recipe_lines import read_lines
from labeller.terms.kitchen import Coating, FriedIn, Loss, Makes, NetVolume, NetWeight, PouredOff, Recipe, ShelfLife
from labeller.terms.spans import Span
from labeller.terms.words import normalise

LINES_KEY = {"recipe": "ingredients", "dish": "portion", "pack": "holds"}
LOSS_KINDS = ("evaporated", "left behind", "fat")
SOLD = ("prepacked", "prepacked for direct sale", "loose", "menu", "distance")  # the ways of sale of reference/rules/
STATED = (
    "protective atmosphere", "defrosted", "added water", "formed meat", "formed fish", "sweeteners", "sugars and sweeteners",
    "aspartame", "aspartame by number", "polyols", "liquorice", "much liquorice", "raw milk", "raw egg",
)  # fmt: skip  # keys of "further particulars" in reference/rules/
NOTHING_TAKEN = Span.of(0.0)
_COUNT = r"([0-9]+(?:\.[0-9]+)?(?: ?(?:-|to) ?[0-9]+)?)"
_PIECES_OF = rf"(?i){_COUNT} ?(?:[^\W\d_]+(?: [^\W\d_]+)? of|x|at) ?(.+)"
_WEIGHT_IN = rf"(?i)(.+?)(?: in |, |; | = )\s*{_COUNT} ?[^\W\d_]+"
_PIECES_THEN = rf"(?i){_COUNT} ?[^\W\d_]+(?:, |; | = | weighing )(.+)"


def read_recipe(entry: Entry) -> Recipe:
    """A recipe, dish or pack. What is missing or misread is a finding of its name; the rest stands."""
    kind = entry.kind
    lines_key = LINES_KEY[kind]
    lines = read_lines(entry, lines_key)
    if not lines:
        entry.tell(
            "recipe-without-lines",
            kind,
            f'nothing stands under "{lines_key}"',
            f"write {lines_key}: and one line each below it, - name: amount",
        )
    names = {normalise(line.name): line.name for line in lines}
    also = entry.pairs("also")
    sold = entry.choice("sold", SOLD)
    if kind == "pack" and not sold and "sold" not in entry.fields and "sold" not in entry.meant:
        entry.tell(
            "sold-missing", "pack", "how it is sold is not written", "write sold: prepacked for direct sale, or sold: prepacked"
        )
    precaution, assessed = entry.names("may contain") or (), entry.text("risk assessed")
    if precaution and not assessed:
        entry.tell("warning-not-assessed", "may contain", "a warning of the kitchen's own has no recorded risk assessment",
                   "write risk assessed: who and when, or delete may contain:")  # fmt: skip
    return Recipe(
        name=entry.subject, kind=kind, place=entry.place, lines=lines,
        also_called=entry.names("also called") or (),
        description=entry.text("description"),
        serves=_serves(entry),
        method=" ".join(entry.text("method").lower().split()),
        makes=_makes(entry),
        loss=_loss(entry),
        poured_off=_poured_off(entry, names),
        fried_in=_fried_in(entry),
        coating=_coating(entry, names),
        water_change=entry.percent("water change", -100, 1000),
        fat_change=entry.percent("fat change", -100, 1000),
        reduced_to=_reduced_to(entry),
        alcohol_stays=entry.percent("alcohol stays"),
        equipment=entry.names("equipment"),
        equipment_order=entry.text("equipment order"),
        cleaned_between=entry.yes("cleaned between"),
        water_used_twice=entry.yes("water used twice"),
        same_batch_as=entry.names("same batch as") or (),
        recorded=tuple((name, text) for name, text, _ in also),
        sold=sold,
        legal_name=entry.name("label name"),
        quid=entry.names("show percentage of") or (),
        shelf_life=_shelf_life(entry),
        net_weight=_net_weight(entry),
        store=entry.text("store"),
        instructions=entry.text("instructions"),
        nutrition_asked=entry.yes("show nutrition"),
        precaution=precaution,
        precaution_assessed=assessed,
        racc=entry.text("us reference amount"),
        also_declared=entry.names("declare also") or (),
        serving=entry.text("serving"),
        short_table=entry.yes("short table"),
        alcohol_vol=entry.figure("alcohol", ("% vol", "%", "% abv", "vol")),
        largest_side_cm2=entry.figure("largest side", ("cm2", "cm²")),
        bearing_cm2=entry.figure("label surface", ("cm2", "cm²")),
        stock=entry.name("label stock"),
        density_g_per_ml=read_density(entry),
        net_volume=_net_volume(entry),
        drink=entry.yes("drink"),
        short_list=entry.yes("short list"),
        origin=entry.text("origin"),
        stated=_stated(entry),
    )  # fmt: skip


def husk(kind: str, name: str, place) -> Recipe:
    """A recipe of which only the name is known: it keeps its row on every sheet and stops each dish it is in."""
    return Recipe(name, kind, place, ())


def _serves(entry: Entry) -> Span | None:
    """A dish is one portion unless it says otherwise."""
    typed = entry.text("serves")
    if not typed:
        return Span.of(1.0) if entry.kind == "dish" else None
    amount, _ = read_amount(typed)
    if amount is None or amount.unit != "piece" or amount.vague:
        entry.tell(
            "number-not-read", "serves", f'"{typed}" is not a number of portions', "write serves: and the number of portions"
        )
        return None
    return amount.number


def _makes(entry: Entry) -> Makes | None:
    """ "640 g", "60 pieces of 7-8 g", "60 pieces, 460 g", "460 g in 60 pieces", "60 pieces", "1.2 l"."""
    typed = entry.text("makes")
    if not typed:
        return None
    clean, place = tidy(typed), entry.at("makes")
    whole, _ = read_amount(clean)
    each = re.fullmatch(_PIECES_OF, clean)
    if whole is not None and not each and not whole.vague:
        if grams_of(whole) is not None:
            return Makes(place, typed, grams=grams_of(whole))
        if whole.unit in VOLUMES:
            return Makes(place, typed, volume=whole)
        return Makes(place, typed, pieces=whole.number)
    count, weight = (each[1], each[2]) if each else ("", "")
    if count and (grams := _weight(weight)) is not None:
        return Makes(place, typed, pieces=_count(count), piece_grams=grams)
    for form, weight_first in ((_WEIGHT_IN, True), (_PIECES_THEN, False)):
        both = re.fullmatch(form, clean)
        weight, count = (both[1], both[2]) if both and weight_first else (both[2], both[1]) if both else ("", "")
        if both and _weight(weight) is not None:
            return Makes(place, typed, grams=_weight(weight), pieces=_count(count))
    entry.tell(
        "makes-not-read",
        "makes",
        f'"{typed}" is not a weight or a count',
        "write makes: and the weight, or the count with the weight of one: … g, or … pieces of … g",
    )
    return None


def _weight(typed: str) -> Span | None:
    amount, _ = read_amount(typed)
    return grams_of(amount) if amount is not None else None


def _count(typed: str) -> Span | None:
    amount, _ = read_amount(typed)
    return amount.number if amount is not None and amount.unit == "piece" else None


def _loss(entry: Entry) -> tuple[Loss, ...]:
    """One kind, or kinds with their shares of the difference."""
    node = entry.fields.get("loss")
    if node is None:
        return ()
    place = entry.at("loss")
    if isinstance(node, yaml.ScalarNode):
        kind = entry.choice("loss", LOSS_KINDS)
        return (Loss(kind, 1.0, place),) if kind else ()
    shares = []
    for name, typed in _loss_pairs(entry, node):
        span = entry.share("loss", typed)
        if name not in LOSS_KINDS:
            entry.tell("choice-unknown", "loss", f'"{name}" is not a kind of loss', "type one of: " + ", ".join(LOSS_KINDS))
        elif span is not None:
            shares.append(Loss(name, span.mid, place))
    total = sum(one.share for one in shares)
    if shares and abs(total - 1) > 1e-6:
        entry.tell(
            "loss-shares",
            "loss",
            f"the shares of the loss come to {total * 100:g} %, not 100 %",
            "write the shares, together 100 %: loss: {evaporated: … %, left behind: … %}",
        )
        return ()
    return tuple(shares)


def _loss_pairs(entry: Entry, node: yaml.Node) -> list[tuple[str, str]]:
    nodes = node.value if isinstance(node, yaml.SequenceNode) else [node]
    pairs = []
    for one in nodes:
        for left, right in one.value if isinstance(one, yaml.MappingNode) else ():
            if isinstance(left, yaml.ScalarNode) and isinstance(right, yaml.ScalarNode) and right.value:
                pairs.append((" ".join(left.value.lower().split()), right.value))
            else:
                entry.tell(
                    "loss-shares",
                    "loss",
                    "a kind of loss has no share",
                    "write the shares, together 100 %: loss: {evaporated: … %, left behind: … %}",
                )
        if not isinstance(one, yaml.MappingNode):
            entry.tell(
                "loss-shares",
                "loss",
                "several kinds of loss have no shares",
                "write the shares, together 100 %: loss: {evaporated: … %, left behind: … %}",
            )
            return []
    return pairs


def _own_lines(entry: Entry, inner: Entry, names: dict[str, str], what: str) -> tuple[str, ...]:
    """The lines an inner mapping names, each as its own line spells it; a name that is no line of this recipe is told."""
    typed = inner.names("lines") or ()
    for name in typed:
        if normalise(name) not in names:
            mend = "name it as the line does; lines here: " + _offered(entry)
            inner.tell("line-not-in-recipe", "lines", f'"{name}" is not a line of {entry.subject}', mend)
    if not typed:
        inner.tell("part-missing", "lines", f"which lines are {what} is not written", "write lines: [name, name]")
    return tuple(names.get(normalise(name), name) for name in typed)


def _offered(entry: Entry) -> str:
    node = entry.fields.get(LINES_KEY[entry.kind])
    found = []
    for item in node.value if isinstance(node, yaml.SequenceNode) else ():
        left = item.value[0][0] if isinstance(item, yaml.MappingNode) and item.value else item
        if isinstance(left, yaml.ScalarNode):
            found.append(left.value)
    return ", ".join(found[:12])


def _poured_off(entry: Entry, names: dict[str, str]) -> tuple[PouredOff, ...]:
    out = []
    for inner in entry.inners("poured off", "poured off"):
        lines = _own_lines(entry, inner, names, "poured off")
        stays = inner.percent("stays in")
        if "stays in" not in inner.fields:
            inner.tell(
                "part-missing",
                "stays in",
                "the share that stays in the food is not written",
                "write stays in: and the share in %; 0 % where nothing stays",
            )
        if lines:
            out.append(PouredOff(lines, stays if stays is not None else Span(0.0, 0.5, 1.0), inner.place))
    return tuple(out)


def _fried_in(entry: Entry) -> FriedIn | None:
    node = entry.fields.get("fried in")
    if isinstance(node, yaml.ScalarNode):
        oil = entry.name("fried in")
        entry.tell(
            "part-missing",
            "fried in",
            "how much oil the food takes up is not written",
            f"weigh it before and after, and write fried in: {{oil: {oil}, taken up: … %}}",
        )
        return FriedIn(oil, NOTHING_TAKEN, entry.at("fried in"))
    inner = entry.inner("fried in", "fried in")
    if inner is None:
        return None
    oil, taken = inner.name("oil"), inner.percent("taken up", 0, 200)
    for key, missing in (("oil", not oil), ("taken up", "taken up" not in inner.fields)):
        if missing:
            inner.tell(
                "oil-not-named" if key == "oil" else "part-missing",
                key,
                f'"{key}" is not written',
                "write fried in: {oil: name of the oil, taken up: … %}",
            )
    return FriedIn(oil, taken or NOTHING_TAKEN, entry.at("fried in"), inner.text("food")) if oil else None


def _coating(entry: Entry, names: dict[str, str]) -> Coating | None:
    inner = entry.inner("coated in", "coated in")
    if inner is None:
        return None
    lines, picked = _own_lines(entry, inner, names, "the coating"), inner.percent("picked up", 0, 500)
    if "picked up" not in inner.fields:
        inner.tell(
            "part-missing",
            "picked up",
            "how much the food picks up is not written",
            "write picked up: and the share of the raw weight in %",
        )
    return Coating(lines, picked if picked is not None else NOTHING_TAKEN, entry.at("coated in")) if lines else None


def _reduced_to(entry: Entry) -> tuple[Span | None, Span | None] | None:
    typed = entry.text("reduced to")
    if not typed:
        return None
    if "%" in typed or "cent" in typed.lower():
        share = entry.percent("reduced to")
        return (share, None) if share is not None else None
    amount, asked = read_amount(typed)
    if asked or amount is None or amount.vague or amount.unit not in MASS_GRAMS:
        ml = None if asked or amount is None or amount.vague else _ML.get(amount.unit)
        density = read_density(entry) if ml else None
        if density:
            return None, amount.number.times(ml * density)
        mend = "write reduced to: and the share in %, or the weight in g"
        mend += "; a volume needs its density: beside it (weigh 100 ml of it, reduced)" if ml else ""
        entry.tell("weight-not-read", "reduced to", f'"{typed}" is neither a share nor a weight', mend)
        return None
    return None, grams_of(amount)


def _shelf_life(entry: Entry) -> ShelfLife | None:
    inner = entry.inner("shelf life", "shelf life")
    if inner is None:
        return None
    written = [kind for kind in ("use by", "best before") if kind in inner.fields]
    start, set_by = inner.choice("from", ("packing", "cooking")), inner.text("set by")
    for key, missing in (("use by", len(written) != 1), ("from", not start), ("set by", not set_by)):
        if missing and not (key == "from" and "from" in inner.fields):
            inner.tell(
                "record-incomplete",
                key,
                f'"{key}" is not written, or twice',
                "write shelf life: {use by: … days, from: packing or cooking, set by: who sets it}",
            )
    if len(written) != 1:
        return None
    typed = inner.text(written[0])
    hit = re.fullmatch(r"([0-9]{1,4}) ?(days?|d|weeks?|hours?|h)?", typed.lower())
    days = _days(hit) if hit else None
    if days is None:
        inner.tell(
            "number-not-read",
            written[0],
            f'"{typed}" is not a number of whole days',
            f"write {written[0]}: and the number of whole days",
        )
        return None
    return ShelfLife(written[0], days, start, set_by, inner.place) if start and set_by else None


def _days(hit: re.Match) -> int | None:
    number, unit = int(hit[1]), hit[2] or "days"
    if unit.startswith("h"):
        return number // 24 if number % 24 == 0 else None
    return number * 7 if unit.startswith("w") else number


def _net_weight(entry: Entry) -> NetWeight | None:
    node = entry.fields.get("net weight")
    if isinstance(node, yaml.ScalarNode):
        grams = entry.grams("net weight")
        return NetWeight(grams.low, False, entry.at("net weight")) if grams is not None else None
    inner = entry.inner("net weight", "net weight")
    if inner is None:
        return None
    for key in ("at least", "weighed"):
        grams = inner.grams(key)
        if grams is not None:
            return NetWeight(grams.low, key == "at least", entry.at("net weight"))
    if not inner.fields:
        inner.tell("record-incomplete", "at least", "no weight is written", "write net weight: {at least: … g}, as weighed")
    return None


_ML = {"ml": 1.0, "cl": 10.0, "dl": 100.0, "l": 1000.0}  # what a net quantity is given in (Art. 23(1)); spoons and cups are not


def _net_volume(entry: Entry) -> NetVolume | None:
    node = entry.fields.get("net volume")
    if isinstance(node, yaml.ScalarNode):
        ml = _millilitres(entry, "net volume")
        return NetVolume(ml, False, entry.at("net volume")) if ml is not None else None
    inner = entry.inner("net volume", "net volume")
    if inner is None:
        return None
    for key in ("at least", "measured"):
        ml = _millilitres(inner, key)
        if ml is not None:
            return NetVolume(ml, key == "at least", entry.at("net volume"))
    if not inner.fields:
        inner.tell("record-incomplete", "at least", "no volume is written", "write net volume: {at least: … ml}, as measured")
    return None


def _millilitres(entry: Entry, key: str) -> float | None:
    typed = entry.text(key)
    if not typed:
        return None
    amount, asked = read_amount(typed)
    if asked or amount is None or amount.unit not in _ML or amount.vague:
        entry.tell("volume-not-read", key, f'"{typed}" is not a volume', f"write {key}: and the volume in ml, cl or l")
        return None
    return amount.number.low * _ML[amount.unit]


def _stated(entry: Entry) -> tuple[str, ...]:
    typed = [" ".join(one.lower().replace("_", " ").split()) for one in entry.names("also state") or ()]
    for one in typed:
        if one not in STATED:
            mend = "type some of: " + ", ".join(STATED)
            entry.tell("choice-unknown", "also state", f'"{one}" is not known for also state', mend)
    return tuple(one for one in typed if one in STATED)
