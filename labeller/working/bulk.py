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
WIDE = len(BASE)
NAN = float("nan")
BLOCK = 1024  # recipes of a level that are worked out together: bounds the memory, and stays within a processor's cache

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
    items, first, fats = _unrolled(ready)
    lines = _lines(np, items, place)
    first = np.array(first, np.int32)
    lines["owner"] = np.repeat(np.arange(len(ready), dtype=np.int32), np.diff(first))
    lines["fat"] = _marked(np, len(items), fats)
    _leaving(ready, lines, first)
    recipes = _recipes(np, ready, lines, first)
    table = _Table(np, items, lines, len(ready), leaf, retention)
    del items
    levels, done = _levels(np, lines, len(ready))
    for level in levels:
        for start in range(0, len(level), BLOCK):
            rows = level[start : start + BLOCK]
            rows = rows[np.argsort(first[rows] - first[rows + 1], kind="stable")]  # the longest first: see _Table.sums
            at, cut = _unfold(np, first, rows)
            _work(np, table, rows, cut, {key: column[at] for key, column in lines.items()},
                  {key: column[rows] for key, column in recipes.items()})  # fmt: skip
    return Kitchenful(place, table.weight, table.batches[:, :WIDE], table.batches[:, WIDE:], table.look | ~done, done)


class _Table:
    """Nutrients per gram, and the shares they are known for beside them: a row for each food or product with the treatments it
    goes through, one of nothing, and then a row for each batch, filled level by level."""

    def __init__(self, np, items: list[Input], lines: Columns, number: int, leaf: Callable[[Ref], Content | None],
                 retention: Retention):  # fmt: skip
        self.np = np
        rows, codes = self._rows(items, lines)
        zero = (0.0,) * (2 * WIDE)
        self.factors = self._factors(codes, retention)
        contents = [None if ref.kind == "recipe" else leaf(ref) for ref, _ in rows]
        nothing = len(rows)
        self.all = np.zeros((nothing + 1 + number, 2 * WIDE))
        if rows:
            self.all[:nothing] = [content.values + content.known if content else zero for content in contents]
            self.all[:nothing] *= self.factors[[codes[treatments] for _, treatments in rows]]
            self.all[:nothing, :WIDE] *= self.all[:nothing, WIDE:] > 0
        self.batches = self.all[nothing + 1 :]
        child = lines["child"]
        lines["row"] = np.where(child >= 0, child + nothing + 1, np.where(child == -1, lines["row"], nothing))
        self.weight, self.pieces, self.look = np.zeros(number), np.full(number, np.nan), np.zeros(number, bool)

    def _rows(self, items: list[Input], lines: Columns) -> tuple[list[tuple[Ref, tuple[str, ...]]], dict[tuple[str, ...], int]]:
        """Each line gets its row (``row``) and the number of its treatments (``treated``, 0 for none)."""
        refs = [item.ref for item in items]
        plain = {ref: nr for nr, ref in enumerate(dict.fromkeys(refs))}
        row, treated = [plain[ref] for ref in refs], [0] * len(items)
        rows = {(ref, ()): nr for ref, nr in plain.items()}
        codes: dict[tuple[str, ...], int] = {(): 0}
        for nr, item in enumerate(items):
            if item.treatments:
                treated[nr] = codes.setdefault(item.treatments, len(codes))
                row[nr] = rows.setdefault((item.ref, item.treatments), len(rows))
        lines["row"], lines["treated"] = self.np.array(row, self.np.int32), self.np.array(treated, self.np.int32)
        return list(rows), codes

    def _factors(self, codes: dict[tuple[str, ...], int], retention: Retention):
        """For each list of treatments what it leaves of each value, and whether that stays known (1 or 0)."""
        factors = self.np.ones((len(codes), 2 * WIDE))
        for treatments, nr in codes.items():
            for code in treatments:
                by, blank = retention(code)
                for key, factor in by.items():
                    factors[nr, INDEX[key]] *= factor
                for key in blank:
                    factors[nr, INDEX[key]] = factors[nr, WIDE + INDEX[key]] = 0.0
        return factors

    def sums(self, cut, line: Columns, stays) -> tuple[Any, Any]:
        """(amounts of each nutrient, grams it is known for) of each recipe of a block: the first lines of all, then the second
        lines of those that have one, and so on. Recipes stand longest first, so that each turn is a slice."""
        np, counts = self.np, self.np.diff(self.np.append(cut, len(stays)))
        totals = np.zeros((len(cut), 2 * WIDE))
        again = (line["treated"] > 0) & (line["child"] >= 0)
        for turn in range(int(counts[0])):
            at = cut[: np.searchsorted(-counts, -turn)] + turn
            part = self.all.take(line["row"][at], axis=0)
            twice = np.flatnonzero(again[at])
            if len(twice):
                part[twice] *= self.factors[line["treated"][at[twice]]]
            part *= stays[at][:, None]
            totals[: len(at)] += part
        return totals[:, :WIDE], totals[:, WIDE:]


def _unrolled(ready: Sequence[Ready]) -> tuple[list[Input], list[int], list[int]]:
    """All lines, with one more for each frying fat (its grams follow from the food) and one of no weight for a recipe without
    lines; where each recipe begins, and the end; which places are frying fat."""
    items: list[Input] = []
    first, fats = [0], []
    for recipe, inputs, oil in ready:
        items += inputs
        if recipe.fried_in is not None:
            fats.append(len(items))
        if recipe.fried_in is not None or not inputs:
            items.append(Input("", EMPTY, oil or Ref("unknown", ""), None))
        first.append(len(items))
    return items, first, fats


class _Plain(NamedTuple):
    """What a place without a line reads as."""

    trim: tuple[float, float, float] = (0.0, 0.0, 0.0)
    kept: tuple[float, float, float] = (1.0, 1.0, 1.0)


EMPTY: Any = _Plain()


def _lines(np, items: list[Input], place: dict[str, int]) -> Columns:
    grams, trims, kept, alcohol, refuse, child, special = [], [], [], [], [], [], []
    for nr, item in enumerate(items):  # one pass: the lines of a large kitchen lie scattered in memory
        line, span, ref = item.line, item.grams, item.ref
        grams.append(NAN if span is None else span[1])
        trims.append(line.trim[1])
        kept.append(line.kept[1])
        alcohol.append(item.alcohol)
        refuse.append(item.refuse)
        child.append(place.get(ref[1], -2) if ref[0] == "recipe" else -1)
        if item.cooked is not None or item.per_piece:
            special.append(nr)
    cooked = [nr for nr in special if items[nr].cooked is not None]
    factors, melts, weights, number = np.ones(len(items)), np.zeros(len(items)), np.array(grams), len(items)
    melts[cooked] = [items[nr].cooked_fat for nr in cooked]
    factors[cooked] = [items[nr].cooked[1] for nr in cooked]
    return {
        "grams": np.nan_to_num(weights), "weighed": ~np.isnan(weights), "inside": (1 - np.array(refuse)) * (1 - np.array(trims)),
        "kept": np.array(kept, float), "cooked": factors, "cooks": _marked(np, number, cooked),
        "melts": melts, "alcohol": np.array(alcohol),
        "counted": _marked(np, number, [nr for nr in special if items[nr].per_piece]), "child": np.array(child, np.int32),
        "tray": np.zeros(number, bool),
    }  # fmt: skip


def _marked(np, number: int, places: list[int]):
    marked = np.zeros(number, bool)
    marked[places] = True
    return marked


def _leaving(ready: Sequence[Ready], lines: Columns, first) -> None:
    """What is poured off leaves with what is kept back; breading trays are marked."""
    for nr, (recipe, inputs, _) in enumerate(ready):
        if recipe.poured_off or recipe.coating:
            for at, item in enumerate(inputs, first[nr]):
                for off in recipe.poured_off:
                    lines["kept"][at] *= off.stays.mid if item.line.name in off.lines else 1.0
                lines["tray"][at] = recipe.coating is not None and item.line.name in recipe.coating.lines


def _recipes(np, ready: Sequence[Ready], lines: Columns, first) -> Columns:
    """One place for each recipe: shares and weights of its own keys, NaN where it has none."""
    recipes = [recipe for recipe, _, _ in ready]

    def spans(values: list) -> Any:
        return np.array([NAN if span is None else span[1] for span in values])

    makes = [recipe.makes for recipe in recipes]
    reduced = [recipe.reduced_to or (None, None) for recipe in recipes]
    columns = {
        "picked up": spans([recipe.coating and recipe.coating.picked_up for recipe in recipes]),
        "taken up": spans([recipe.fried_in and recipe.fried_in.taken_up for recipe in recipes]),
        "water change": spans([recipe.water_change for recipe in recipes]),
        "fat change": spans([recipe.fat_change for recipe in recipes]),
        "reduced share": spans([share for share, _ in reduced]), "reduced grams": spans([grams for _, grams in reduced]),
        "alcohol stays": spans([recipe.alcohol_stays for recipe in recipes]),
        "serves": spans([recipe.serves for recipe in recipes]),
        "makes": spans([each and each.grams for each in makes]),
        "pieces": spans([each and each.pieces for each in makes]),
        "piece": spans([each and each.piece_grams for each in makes]),
        "has makes": np.array([each is not None for each in makes], bool),
        "has loss": np.array([bool(recipe.loss) for recipe in recipes], bool),
    }  # fmt: skip
    for kind, at_rest in (("evaporated", 0.0), ("fat", 0.0), ("left behind", 1.0)):
        columns[kind] = np.array([sum([loss.share for loss in recipe.loss if loss.kind == kind]) if recipe.loss else at_rest
                                  for recipe in recipes], float)  # fmt: skip
    columns["two yields"] = np.array([each is not None and (recipe.water_change is not None or bool(recipe.reduced_to)
                                                            or any(item.line.cooking_yield for item in inputs))
                                      for each, (recipe, inputs, _) in zip(makes, ready, strict=True)], bool)  # fmt: skip
    columns["nothing"] = ~np.logical_or.reduceat(lines["weighed"], first[:-1]) if recipes else np.zeros(0, bool)
    return columns


def _levels(np, lines: Columns, number: int) -> tuple[list[Any], Any]:
    """Rows of recipes, those first that are made of foods only, then those made of the ones before; done: False in rings."""
    nested = lines["child"] >= 0
    pairs = np.unique(lines["child"][nested].astype(np.int64) * number + lines["owner"][nested])
    child, parent = pairs // max(number, 1), pairs % max(number, 1)
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


def _work(np, table: _Table, rows, cut, line: Columns, own: Columns) -> None:
    """One block of recipes whose sub-recipes are ready: first the mass, then the nutrients."""
    with np.errstate(invalid="ignore", divide="ignore"):
        stays, water, fat, look = _mass(np, table, cut, line, own)
        whole = np.add.reduceat(stays, cut)
        weight = whole + water + fat
        table.weight[rows], table.pieces[rows] = weight, np.where(np.isnan(own["pieces"]), own["serves"], own["pieces"])
        totals, known = table.sums(cut, line, stays)
        _gone(np, own, totals, water, fat)
        real = (weight != 0) & (whole != 0)
        known *= np.where(real, 1 / whole, 0.0)[:, None]
        totals *= np.where(real, 1 / weight, 0.0)[:, None]
    totals[known == 0] = 0.0  # of nothing known: a nested batch must not pass it on
    table.batches[rows, :WIDE], table.batches[rows, WIDE:] = totals, known
    dry = (known[:, WATER] > 0.95) & (totals[:, WATER] * weight < -0.02 * own["weight in"])  # as nutrients.water_findings
    lean = (fat < 0) & (known[:, FAT] > 0.95) & (totals[:, FAT] <= 0)
    empty = (weight <= 1e-9 * own["gross"]) & (own["gross"] != 0)  # as the balance of batches
    table.look[rows] = look | own["nothing"] | dry | empty | lean


def _gone(np, own: Columns, totals, water, fat) -> None:
    """Alcohol that went off takes its energy along; water driven off is water; fat that ran off is of the batch's fat."""
    stay = own["alcohol stays"]
    gone = np.where(np.isnan(stay), 0.0, totals[:, ALCOHOL] * (1 - stay))
    totals[:, ALCOHOL] -= gone
    totals[:, ENERGY] -= gone * KCAL_PER_G_ALCOHOL
    totals[:, WATER] += gone + water
    runs = np.flatnonzero((fat != 0) & (totals[:, FAT] != 0))
    if len(runs):
        left = np.maximum(0.0, 1 + fat[runs] / totals[runs, FAT])
        totals[np.ix_(runs, LIPIDS)] *= left[:, None]
        totals[runs, ENERGY] += fat[runs] * KCAL_PER_G_FAT


def _mass(np, table: _Table, cut, line: Columns, own: Columns) -> tuple[Any, Any, Any, Any]:
    """(grams of each line that stay, water gained, fat gained, whether to look) of a block."""

    def summed(values):
        return np.add.reduceat(values, cut)

    spread = np.diff(np.append(cut, len(line["grams"])))
    grams, look = line["grams"], np.zeros(len(cut), bool)
    if line["counted"].any():
        each = np.where(line["child"] >= 0, table.weight[line["child"]] / table.pieces[line["child"]], np.nan)
        bad = line["counted"] & ~(np.isfinite(each) & (table.pieces[line["child"]] != 0))
        grams = np.where(line["counted"], np.where(bad, 0.0, grams * each), grams)
        look |= np.logical_or.reduceat(bad, cut)
    stays = grams * line["inside"]
    own["gross"], own["weight in"] = summed(grams), summed(stays)
    stays = stays * line["kept"]
    if line["tray"].any():
        stays, over = _coated(np, stays, line["tray"], own["picked up"], summed, spread)
        look |= over
    base = summed(stays)
    taken = np.nan_to_num(base * own["taken up"])
    raw, cooked = stays, line["cooks"] & (stays != 0)
    stays = np.where(line["fat"], np.repeat(taken, spread), stays)
    weighed = ~np.isnan(own["makes"]) | ~np.isnan(own["piece"])
    water, fat, settled, over = _yielded(np, own, base, taken, weighed, cooked, raw, line["cooked"], line["melts"], cut)
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


def _yielded(np, own: Columns, base, taken, weighed, cooked, raw, factors, melts, cut) -> tuple[Any, Any, Any, Any]:
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
    lost = np.where(cooked, raw * (factors - 1), 0.0)
    melted = np.where(lost < 0, np.maximum(raw * melts, lost), 0.0)
    water = np.where(by_lines, np.add.reduceat(lost - melted, cut), water)
    fat = np.where(by_lines, np.add.reduceat(melted, cut), fat)
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
