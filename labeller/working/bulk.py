"""A whole kitchen at once: every batch and its nutrients at the middle of the ranges, in one pass over the levels of nesting.

The steps and their order are those of ``batches.work`` and ``nutrients.content_of``, on columns instead of one recipe at a
time; a test holds the two together. No words are made here: what a cook wants to read comes from the walk, on demand. A
recipe for which the walk would find something is marked (``look``); one in a ring is left out (``done`` False).
NumPy is imported when a kitchen is worked out, never when this module is.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

from labeller.terms.kitchen import Recipe
from labeller.terms.mass import Content, Input, Ref, Retention
from labeller.terms.nutrients import BASE, INDEX

NEAR = 0.005  # as in batches: a weighed batch within 0.5 % of its lines needs no loss named
WATER, ALCOHOL, FAT, ENERGY = INDEX["water_g"], INDEX["alcohol_g"], INDEX["fat_g"], INDEX["energy_kcal"]
LIPIDS = [INDEX[key] for key in ("fat_g", "saturates_g", "monounsaturates_g", "polyunsaturates_g", "trans_fat_g")]
KCAL_PER_G_FAT, KCAL_PER_G_ALCOHOL = 9.0, 7.0  # as in nutrients
BLOCK = 4096  # recipes of a level whose lines are unfolded together: bounds the memory

Ready = tuple[Recipe, tuple[Input, ...], Ref | None]  # a recipe, its lines ready for weighing, the fat it is fried in
Columns = dict[str, Any]  # name -> NumPy array, one place for each line or recipe


class Kitchenful(NamedTuple):
    """All batches of a kitchen, in the order given.

    place: name -> row. weight: grams when ready. values, known: rows of nutrients per gram and of the share (0-1) of the
    weight they are known for, in the order of BASE. look: the walk would find something here. done: False in or above a ring.
    """

    place: dict[str, int]
    weight: Any
    values: Any
    known: Any
    look: Any
    done: Any

    def content(self, name: str) -> Content:
        """Nutrients per gram of one batch."""
        row = self.place[name]
        return Content(tuple(self.values[row].tolist()), tuple(self.known[row].tolist()))


def work_all(ready: Sequence[Ready], leaf: Callable[[Ref], Content | None], retention: Retention) -> Kitchenful:
    """Every batch of a kitchen. leaf: content of a food or product, None = nothing known."""
    import numpy as np

    place = {recipe.name: nr for nr, (recipe, _, _) in enumerate(ready)}
    lines, first = _lines(np, ready, place)
    recipes = _recipes(np, ready, lines, first)
    leaves = _Leaves(np, leaf, retention)
    leaves.settle(ready, lines)
    levels, done = _levels(np, lines, len(ready))
    found = _Found(np, len(ready))
    for level in levels:
        for start in range(0, len(level), BLOCK):
            rows = level[start : start + BLOCK]
            at, cut = _unfold(np, first, rows)
            _work(np, found, leaves, rows, cut, {key: column[at] for key, column in lines.items()},
                  {key: column[rows] for key, column in recipes.items()})  # fmt: skip
    return Kitchenful(place, found.weight, found.values, found.known, found.look | ~done, done)


class _Found:
    """Rows that fill up level by level."""

    def __init__(self, np, number: int):
        self.weight, self.pieces = np.zeros(number), np.full(number, np.nan)
        self.values, self.known = np.zeros((number, len(BASE))), np.zeros((number, len(BASE)))
        self.look = np.zeros(number, bool)


class _Leaves:
    """Contents of foods and products, each with the treatments it goes through; and the treatments of nested batches."""

    def __init__(self, np, leaf: Callable[[Ref], Content | None], retention: Retention):
        self.np, self.leaf, self.retention = np, leaf, retention

    def settle(self, ready: Sequence[Ready], lines: Columns) -> None:
        """Give each line its row of contents (``row``, -1 for a batch) and its treatments (``treated``, 0 for none)."""
        np, rows, codes = self.np, {}, {(): 0}
        row, treated = [], []
        for recipe, inputs, oil in ready:
            for item in inputs:
                treatments = item.treatments
                treated.append(codes[treatments] if treatments in codes else codes.setdefault(treatments, len(codes)))
                if item.ref[0] == "recipe":
                    row.append(-1)
                else:
                    key = item.ref, treatments
                    row.append(rows[key] if key in rows else rows.setdefault(key, len(rows)))
            if recipe.fried_in is not None or not inputs:
                ref = oil or Ref("unknown", "")
                treated.append(0)
                row.append(-1 if ref[0] == "recipe" else rows.setdefault((ref, ()), len(rows)))
        lines["row"], lines["treated"] = np.array(row, np.int32), np.array(treated, np.int32)
        contents = [self.leaf(ref) for ref, _ in rows]
        zero = (0.0,) * len(BASE)
        values = np.array([content.values if content else zero for content in contents] or [zero])
        known = np.array([content.known if content else zero for content in contents] or [zero])
        self.factors, self.kept = self._of(codes)
        by = np.array([codes[treatments] for _, treatments in rows] or [0])
        self.known = known * self.kept[by]
        self.values = values * self.factors[by] * (self.known > 0)

    def _of(self, codes: dict[tuple[str, ...], int]):
        """Rows of factors and of what stays known (1 or 0) for each list of treatments."""
        np = self.np
        factors, kept = np.ones((len(codes), len(BASE))), np.ones((len(codes), len(BASE)))
        for treatments, nr in codes.items():
            for code in treatments:
                by, blank = self.retention(code)
                for key, factor in by.items():
                    factors[nr, INDEX[key]] *= factor
                for key in blank:
                    kept[nr, INDEX[key]] = 0.0
        return factors, kept


def _lines(np, ready: Sequence[Ready], place: dict[str, int]) -> tuple[Columns, Any]:
    """One place for each line, one for each frying fat (grams unknown until the food is weighed), and one of no weight for a
    recipe without lines; first: where each recipe begins, and the end."""
    none = Input("", EMPTY, Ref("unknown", ""), None)
    items: list[Input] = []
    first, fats, fries, owners = [0], [], [], []
    for nr, (recipe, inputs, oil) in enumerate(ready):
        items += inputs
        if recipe.fried_in is not None or not inputs:
            if recipe.fried_in is not None:
                fats.append(len(items))
                fries.append((len(items), oil))
            items.append(none)
        first.append(len(items))
        owners.append(nr)
    columns = _columns(np, items, place)
    starts = np.array(first, np.int32)
    columns["owner"] = np.repeat(np.array(owners, np.int32), np.diff(starts))
    columns["fat"] = _marked(np, len(items), fats)
    for nr, oil in fries:
        if oil is not None and oil.kind == "recipe":
            columns["child"][nr] = place.get(oil.key, -2)
    _leaving(np, ready, columns, first)
    return columns, starts


class _Plain(NamedTuple):
    """What a place without a line reads as."""

    trim: tuple[float, float, float] = (0.0, 0.0, 0.0)
    kept: tuple[float, float, float] = (1.0, 1.0, 1.0)


EMPTY: Any = _Plain()


def _columns(np, items: list[Input], place: dict[str, int]) -> Columns:
    number = len(items)

    def column(values) -> Any:
        return np.fromiter(values, float, number)

    trims = [item.line.trim for item in items]
    columns = {
        "grams": column(0.0 if item.grams is None else item.grams[1] for item in items),
        "weighed": np.fromiter((item.grams is not None for item in items), bool, number),
        "inside": column(trim[1] for trim in trims),
        "kept": column(item.line.kept[1] for item in items),
        "cooked": column(1.0 if item.cooked is None else item.cooked[1] for item in items),
        "cooks": np.fromiter((item.cooked is not None for item in items), bool, number),
        "alcohol": column(item.alcohol for item in items),
        "counted": np.fromiter((item.per_piece for item in items), bool, number),
        "child": np.fromiter((place.get(item.ref[1], -2) if item.ref[0] == "recipe" else -1 for item in items), np.int32, number),
    }
    refuse = column(item.refuse for item in items)
    columns["inside"] = (1 - refuse) * (1 - columns["inside"])
    columns["tray"] = np.zeros(number, bool)
    return columns


def _marked(np, number: int, places: list[int]):
    marked = np.zeros(number, bool)
    marked[places] = True
    return marked


def _leaving(np, ready: Sequence[Ready], columns: Columns, first: list[int]) -> None:
    """What is poured off leaves with what is kept back; breading trays are marked."""
    for nr, (recipe, inputs, _) in enumerate(ready):
        for off in recipe.poured_off:
            for at, item in enumerate(inputs, first[nr]):
                if item.line.name in off.lines:
                    columns["kept"][at] *= off.stays.mid
        if recipe.coating:
            for at, item in enumerate(inputs, first[nr]):
                columns["tray"][at] = item.line.name in recipe.coating.lines


def _recipes(np, ready: Sequence[Ready], lines: Columns, first) -> Columns:
    """One place for each recipe: shares and weights of its own keys, NaN where it has none."""
    recipes = [recipe for recipe, _, _ in ready]
    number, nan = len(recipes), float("nan")

    def spans(values) -> Any:
        return np.fromiter((nan if span is None else span[1] for span in values), float, number)

    makes = [recipe.makes for recipe in recipes]
    reduced = [recipe.reduced_to or (None, None) for recipe in recipes]
    columns = {
        "picked up": spans(recipe.coating.picked_up if recipe.coating else None for recipe in recipes),
        "taken up": spans(recipe.fried_in.taken_up if recipe.fried_in else None for recipe in recipes),
        "water change": spans(recipe.water_change for recipe in recipes),
        "fat change": spans(recipe.fat_change for recipe in recipes),
        "reduced share": spans(share for share, _ in reduced), "reduced grams": spans(grams for _, grams in reduced),
        "alcohol stays": spans(recipe.alcohol_stays for recipe in recipes),
        "serves": spans(recipe.serves for recipe in recipes),
        "makes": spans(each.grams if each else None for each in makes),
        "pieces": spans(each.pieces if each else None for each in makes),
        "piece": spans(each.piece_grams if each else None for each in makes),
        "has makes": np.fromiter((each is not None for each in makes), bool, number),
        "has loss": np.fromiter((bool(recipe.loss) for recipe in recipes), bool, number),
    }  # fmt: skip
    for kind, at_rest in (("evaporated", 0.0), ("fat", 0.0), ("left behind", 1.0)):
        columns[kind] = np.fromiter((sum(loss.share for loss in recipe.loss if loss.kind == kind) if recipe.loss else at_rest
                                     for recipe in recipes), float, number)  # fmt: skip
    own = np.fromiter((any(item.line.cooking_yield for item in inputs) if each else False
                       for each, (_, inputs, _) in zip(makes, ready, strict=True)), bool, number)  # fmt: skip
    columns["two yields"] = own | ~np.isnan(columns["water change"]) | np.fromiter((bool(recipe.reduced_to) for recipe in recipes), bool, number)
    columns["nothing"] = ~np.logical_or.reduceat(lines["weighed"], first[:-1]) if number else np.zeros(0, bool)
    return columns


def _levels(np, lines: Columns, number: int) -> tuple[list[Any], Any]:
    """Rows of recipes, those first that are made of foods only, then those made of the ones before; done: False in rings."""
    nested = lines["child"] >= 0
    pairs = np.unique(np.stack([lines["child"][nested], lines["owner"][nested]], axis=1), axis=0) if nested.any() else np.zeros((0, 2), np.int32)
    child, parent = pairs[:, 0], pairs[:, 1]
    waits = np.bincount(parent, minlength=number)
    starts = np.searchsorted(child, np.arange(number + 1))
    done = np.zeros(number, bool)
    level, levels = np.flatnonzero(waits == 0), []
    while len(level):
        levels.append(level)
        done[level] = True
        users = parent[_unfold(np, starts, level)[0]]
        touched, times = np.unique(users, return_counts=True)
        waits[touched] -= times
        level = touched[waits[touched] == 0]
    return levels, done


def _unfold(np, first, rows) -> tuple[Any, Any]:
    """Places of all lines of some recipes, one after the other, and where each recipe begins among them."""
    counts = first[rows + 1] - first[rows]
    ends = np.cumsum(counts)
    cut = ends - counts
    return np.arange(ends[-1] if len(ends) else 0) + np.repeat(first[rows] - cut, counts), cut


def _work(np, found: _Found, leaves: _Leaves, rows, cut, line: Columns, own: Columns) -> None:
    """One block of recipes whose sub-recipes are ready: first the mass, then the nutrients."""
    with np.errstate(invalid="ignore", divide="ignore"):
        stays, water, fat, look = _mass(np, found, cut, line, own)
        weight = np.add.reduceat(stays, cut) + water + fat
        found.weight[rows], found.look[rows] = weight, look | own["nothing"]
        found.pieces[rows] = np.where(np.isnan(own["pieces"]), own["serves"], own["pieces"])
        totals, known = _sums(np, found, leaves, cut, line, stays)
        stay = own["alcohol stays"]
        gone = np.where(np.isnan(stay), 0.0, totals[:, ALCOHOL] * (1 - stay))
        totals[:, ALCOHOL] -= gone
        totals[:, ENERGY] -= gone * KCAL_PER_G_ALCOHOL
        totals[:, WATER] += gone + water
        runs = (fat != 0) & (totals[:, FAT] != 0)
        left = np.where(runs, np.maximum(0.0, 1 + fat / totals[:, FAT]), 1.0)
        totals[:, LIPIDS] *= left[:, None]
        totals[:, ENERGY] += np.where(runs, fat * KCAL_PER_G_FAT, 0.0)
        whole = np.add.reduceat(stays, cut)
        real = (weight != 0) & (whole != 0)
        known /= whole[:, None]
        known[~real] = 0.0
        totals /= weight[:, None]
        totals[known == 0] = 0.0  # of nothing known: a nested batch must not pass it on
        found.values[rows], found.known[rows] = totals, known
    found.look[rows] |= _too_dry(found, rows, water, own["weight in"])


def _too_dry(found: _Found, rows, water, weight_in):
    """More driven off than there was water (as nutrients.water_findings)."""
    left = found.values[rows, WATER] * found.weight[rows]
    return (found.known[rows, WATER] > 0.95) & (left < -0.02 * weight_in)


def _mass(np, found: _Found, cut, line: Columns, own: Columns) -> tuple[Any, Any, Any, Any]:
    """(grams of each line that stay, water gained, fat gained, whether to look) of a block."""

    def summed(values):
        return np.add.reduceat(values, cut)

    spread = np.diff(np.append(cut, len(line["grams"])))
    grams, look = line["grams"], np.zeros(len(cut), bool)
    if line["counted"].any():
        each = np.where(line["child"] >= 0, found.weight[line["child"]] / found.pieces[line["child"]], np.nan)
        bad = line["counted"] & ~(np.isfinite(each) & (found.pieces[line["child"]] != 0))
        grams = np.where(line["counted"], np.where(bad, 0.0, grams * each), grams)
        look |= np.logical_or.reduceat(bad, cut)
    stays = grams * line["inside"]
    own["weight in"] = summed(stays)
    stays = stays * line["kept"]
    if line["tray"].any():
        stays, over = _coated(np, stays, line["tray"], own["picked up"], summed, spread)
        look |= over
    base = summed(stays)
    taken = np.nan_to_num(base * own["taken up"])
    raw, cooked = stays, line["cooks"] & (stays != 0)
    stays = np.where(line["fat"], np.repeat(taken, spread), stays)
    weighed = ~np.isnan(own["makes"]) | ~np.isnan(own["piece"])
    water, fat, settled, over = _yielded(np, own, base, taken, weighed, cooked, raw, line["cooked"], cut)
    look |= over
    off = (1 - np.nan_to_num(own["alcohol stays"], nan=1.0)) * summed(line["alcohol"] * raw)
    water = water - np.where(settled | own["has makes"], 0.0, off)
    return _to_the_scales(np, own, stays, base + taken, water, fat, look, spread)


def _coated(np, stays, tray, picked, summed, spread) -> tuple[Any, Any]:
    in_trays = summed(np.where(tray, stays, 0.0))
    wanted = np.nan_to_num((summed(stays) - in_trays) * picked)
    over = wanted > in_trays * (1 + 1e-9)
    share = np.where(in_trays > 0, np.minimum(wanted, in_trays) / in_trays, 0.0)
    return np.where(tray, stays * np.repeat(share, spread), stays), over


def _yielded(np, own: Columns, base, taken, weighed, cooked, raw, factors, cut) -> tuple[Any, Any, Any, Any]:
    """Water and fat change before the scales: by the recipe's change, else its reduction, else the yields of its lines."""
    change, melt = own["water change"], own["fat change"]
    changes = ~weighed & (~np.isnan(change) | ~np.isnan(melt))
    water = np.where(changes, np.nan_to_num(base * change), 0.0)
    fat = np.where(changes, np.nan_to_num(base * melt), 0.0)
    now = base + taken
    target = np.where(np.isnan(own["reduced share"]), own["reduced grams"], now * own["reduced share"])
    reduces = ~weighed & ~changes & ~np.isnan(target)
    over = reduces & (target > now * (1 + NEAR))
    water = np.where(reduces & ~over, target - now, water)
    by_lines = ~weighed & ~changes & ~reduces
    gained = np.add.reduceat(np.where(cooked, raw * (factors - 1), 0.0), cut)
    water = np.where(by_lines, gained, water)
    settled = weighed | (changes & ~np.isnan(change)) | reduces | (by_lines & np.logical_or.reduceat(cooked, cut))
    return water, fat, settled, over


def _to_the_scales(np, own: Columns, stays, solids, water, fat, look, spread) -> tuple[Any, Any, Any, Any]:
    """The weighed batch wins: the difference goes by the shares that the kitchen named."""
    target = np.where(np.isnan(own["makes"]), own["pieces"] * own["piece"], own["makes"])
    weighs = ~np.isnan(target)
    now = solids + water + fat
    missing = now - np.where(weighs, target, now)
    heavier = missing < -NEAR * now
    unnamed = ~own["has loss"] & (np.abs(missing) > NEAR * now)
    look = look | (weighs & (heavier | unnamed | own["two yields"]))
    missing = np.where(weighs & ~heavier & ~unnamed, missing, 0.0)
    off, melted = missing * own["evaporated"], missing * own["fat"]
    of = now - off - melted
    factor = np.where(of != 0, 1 - missing * own["left behind"] / of, 1.0)
    return stays * np.repeat(factor, spread), (water - off) * factor, (fat - melted) * factor, look


def _sums(np, found: _Found, leaves: _Leaves, cut, line: Columns, stays) -> tuple[Any, Any]:
    """(amounts of each nutrient, grams it is known for) of each recipe of a block."""
    nested, missing = np.flatnonzero(line["child"] >= 0), np.flatnonzero(line["child"] == -2)
    child, treated = line["child"][nested], line["treated"][nested]

    def of(table, batches, by):
        unfolded = table[line["row"]]
        if len(nested):
            unfolded[nested] = batches[child] * by[treated] if treated.any() else batches[child]
        unfolded[missing] = 0.0
        unfolded *= stays[:, None]
        return np.add.reduceat(unfolded, cut, axis=0)

    return of(leaves.values, found.values, leaves.factors * leaves.kept), of(leaves.known, found.known, leaves.kept)
