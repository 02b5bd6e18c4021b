"""A whole kitchen at once: every batch and its nutrients at the middle of the ranges, in one pass over the levels of nesting.

The steps and their order are those of ``batches.work`` and ``nutrients.content_of``, on columns instead of one recipe at a
time; a test holds the two together. No words are made here: what a cook wants to read comes from the walk, on demand. A
recipe for which the walk would find something is marked (``look``); one in a ring is left out (``done`` False).
NumPy is imported when a kitchen is worked out, never when this module is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from operator import attrgetter
from typing import Any, NamedTuple

from labeller.terms.kitchen import Recipe
from labeller.terms.mass import Content, Input, Ref, Retention
from labeller.terms.nutrients import BASE, INDEX, MOST

NEAR = 0.005  # as in batches: a weighed batch within 0.5 % of its lines needs no loss named
WATER, ALCOHOL, FAT, ENERGY = INDEX["water_g"], INDEX["alcohol_g"], INDEX["fat_g"], INDEX["energy_kcal"]
LIPIDS = [INDEX[key] for key in ("fat_g", "saturates_g", "monounsaturates_g", "polyunsaturates_g", "trans_fat_g",
                                 MOST["saturates_g"], MOST["trans_fat_g"])]  # fmt: skip
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

    pages = _Pages()
    for recipe, inputs, oil in ready:
        pages.add(recipe, inputs, oil)
    lines, recipes, first = pages.columns(np)
    table = _Table(np, pages.refs, pages.codes, lines, len(ready), leaf, retention)
    levels, done = _levels(np, lines, len(ready))
    for level in levels:
        for start in range(0, len(level), BLOCK):
            rows = level[start : start + BLOCK]
            rows = rows[np.argsort(first[rows] - first[rows + 1], kind="stable")]  # the longest first: see _Table.sums
            at, cut = _unfold(np, first, rows)
            _work(np, table, rows, cut, {key: column[at] for key, column in lines.items()},
                  {key: column[rows] for key, column in recipes.items()})  # fmt: skip
    return Kitchenful(pages.place, table.weight, table.batches[:, :WIDE], table.batches[:, WIDE:], table.look | ~done, done)


class _Table:
    """Nutrients per gram, and the shares they are known for beside them: a row for each food or product with the treatments it
    goes through, one of nothing, and then a row for each batch, filled level by level."""

    def __init__(self, np, refs: list[Ref], codes: list[tuple[str, ...]], lines: Columns, number: int,
                 leaf: Callable[[Ref], Content | None], retention: Retention):  # fmt: skip
        self.np = np
        rows = self._rows(refs, codes, lines)
        self.factors = self._factors(codes, retention)
        foods = [nr for nr, (ref, _) in enumerate(rows) if ref.kind != "recipe"]
        contents = [leaf(rows[nr][0]) for nr in foods]
        nothing = len(foods)
        self.all = np.zeros((nothing + 1 + number, 2 * WIDE))
        if foods:
            zero = (0.0,) * (2 * WIDE)
            self.all[:nothing] = [content.values + content.known if content else zero for content in contents]
            self.all[:nothing] *= self.factors[[rows[nr][1] for nr in foods]]
            self.all[:nothing, :WIDE] *= self.all[:nothing, WIDE:] > 0
        self.batches = self.all[nothing + 1 :]
        at = np.full(len(rows) + 1, nothing)
        at[foods] = np.arange(nothing)
        child = lines["child"]
        lines["row"] = np.where(child >= 0, child + nothing + 1, np.where(child == -1, at[lines["row"]], nothing))
        self.weight, self.pieces, self.look = np.zeros(number), np.full(number, np.nan), np.zeros(number, bool)

    def _rows(self, refs: list[Ref], codes: list[tuple[str, ...]], lines: Columns) -> list[tuple[Ref, int]]:
        """Each food with the number of its treatments. Treated lines get rows of their own (``row``)."""
        np, wide = self.np, len(codes)
        at = np.flatnonzero(lines["treated"])
        pairs, row = np.unique(lines["row"][at].astype(np.int64) * wide + lines["treated"][at], return_inverse=True)
        lines["row"][at] = row + len(refs)
        return [(ref, 0) for ref in refs] + [(refs[pair // wide], pair % wide) for pair in pairs.tolist()]

    def _factors(self, codes: list[tuple[str, ...]], retention: Retention):
        """For each list of treatments what it leaves of each value, and whether that stays known (1 or 0)."""
        factors = self.np.ones((len(codes), 2 * WIDE))
        for nr, treatments in enumerate(codes):
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


class _Plain(NamedTuple):
    """What a place without a line reads as."""

    trim: tuple[float, float, float] = (0.0, 0.0, 0.0)
    kept: tuple[float, float, float] = (1.0, 1.0, 1.0)


EMPTY: Any = _Plain()


class _Pages:
    """The kitchen's recipes and lines as they are gone through: each once, since those of a large kitchen lie scattered in
    memory; and nothing is kept of them that the garbage collector would have to look through."""

    def __init__(self) -> None:
        self.place: dict[str, int] = {}
        self.first = [0]
        self.grams: list[float] = []
        self.row: list[int] = []
        self.treated: list[int] = []
        self.refs: list[Ref] = []  # what is named; mostly one object for one thing, and twice the same does no harm
        self.codes: list[tuple[str, ...]] = [()]
        self.seen: dict[int, int] = {}
        self.special: dict[int, Input] = {}
        self.fats: list[int] = []
        self.leaving: list[tuple[Recipe, tuple[Input, ...], int]] = []
        self.keys: dict[str, list[tuple[int, float]]] = {key: [] for key in (*SPANS, *MARKS, *REST)}

    def add(self, recipe: Recipe, inputs: tuple[Input, ...], oil: Ref | None) -> None:
        """One recipe: its lines, one more for its frying fat (the grams follow from the food), one of no weight when it has
        none."""
        nr, first, places = len(self.place), self.first[-1], inputs
        self.place[recipe.name] = nr
        if recipe.fried_in is not None or not inputs:
            if recipe.fried_in is not None:
                self.fats.append(first + len(inputs))
            places = (*inputs, Input("", EMPTY, oil or Ref("unknown", ""), None))
        grams, rows, treated, seen = self.grams, self.row, self.treated, self.seen
        for item in places:
            span, ref, codes = item.grams, item.ref, item.treatments
            at = seen.get(id(ref))
            rows.append(self._new(ref, self.refs) if at is None else at)
            at = seen.get(id(codes)) if codes else 0
            treated.append(self._new(codes, self.codes) if at is None else at)
            if not item.plain:
                self.special[len(grams)] = item
            grams.append(NAN if span is None else span[1])
        self.first.append(len(grams))
        self._keys(nr, recipe, inputs, first)

    def _new(self, named, among: list) -> int:
        self.seen[id(named)] = len(among)
        among.append(named)  # and so it lives as long as its number
        return len(among) - 1

    def _keys(self, nr: int, recipe: Recipe, inputs: tuple[Input, ...], first: int) -> None:
        if recipe.makes is not None or recipe.loss:
            for key, value in _batch_keys(recipe, inputs):
                self.keys[key].append((nr, value))
        if STEPS(recipe) != NO_STEPS:
            for key, value in _step_keys(recipe):
                self.keys[key].append((nr, value))
        if recipe.poured_off or recipe.coating is not None:
            self.leaving.append((recipe, inputs, first))

    def columns(self, np) -> tuple[Columns, Columns, Any]:
        """(one place for each line, one for each recipe, where each recipe begins, and the end)."""
        row = np.array(self.row, np.int32)
        child = np.array([self.place.get(ref.key, -2) if ref.kind == "recipe" else -1 for ref in self.refs] or [-1], np.int32)
        weights, first = np.array(self.grams, float), np.array(self.first, np.int32)
        lines = {"grams": np.nan_to_num(weights), "row": row, "child": child[row], "treated": np.array(self.treated, np.int32),
                 "fat": _marked(np, len(weights), self.fats),
                 "owner": np.repeat(np.arange(len(self.place), dtype=np.int32), np.diff(first))}  # fmt: skip
        lines |= _special(np, len(weights), self.special)
        for recipe, inputs, start in self.leaving:
            _leaving(recipe, inputs, start, lines)
        recipes = _recipes(np, self.keys, len(self.place))
        recipes["nothing"] = ~np.logical_or.reduceat(~np.isnan(weights), first[:-1]) if self.place else np.zeros(0, bool)
        return lines, recipes, first


def _special(np, number: int, items: dict[int, Input]) -> Columns:
    """Columns that few lines have something in."""
    cooks = {nr: item for nr, item in items.items() if item.cooked is not None}
    columns = {"cooks": _marked(np, number, list(cooks)), "tray": np.zeros(number, bool),
               "counted": _marked(np, number, [nr for nr, item in items.items() if item.per_piece])}  # fmt: skip
    for key, at_rest, values in (
        ("inside", 1.0, {nr: (1 - item.refuse) * (1 - item.line.trim[1]) for nr, item in items.items()}),
        ("kept", 1.0, {nr: item.line.kept[1] for nr, item in items.items()}),
        ("cooked", 1.0, {nr: item.cooked[1] for nr, item in cooks.items()}),
        ("melts", 0.0, {nr: item.cooked_fat for nr, item in cooks.items()}),
        ("alcohol", 0.0, {nr: item.alcohol for nr, item in items.items()}),
    ):
        columns[key] = np.full(number, at_rest)
        columns[key][list(values)] = list(values.values())
    return columns


def _marked(np, number: int, places: list[int]):
    marked = np.zeros(number, bool)
    marked[places] = True
    return marked


SPANS = ("makes", "pieces", "piece", "water change", "fat change", "reduced share", "reduced grams", "taken up", "picked up",
         "alcohol stays", "serves")  # fmt: skip
STEPS = attrgetter("water_change", "fat_change", "reduced_to", "fried_in", "coating", "alcohol_stays", "serves")
NO_STEPS = (None,) * 7
MARKS = ("has makes", "has loss", "two yields")
REST = {"evaporated": 0.0, "fat": 0.0, "left behind": 1.0}  # where no loss is named, the little that is missing stayed in the pan


def _recipes(np, keys: dict[str, list[tuple[int, float]]], number: int) -> Columns:
    """One place for each recipe: shares and weights of its own keys, NaN where it has none."""
    columns = {key: np.full(number, REST.get(key, 0.0 if key in MARKS else NAN)) for key in keys}
    for key, pairs in keys.items():
        if pairs:
            where, what = zip(*pairs, strict=True)
            columns[key][list(where)] = what
    return columns | {key: columns[key] > 0 for key in MARKS}


def _batch_keys(recipe: Recipe, inputs: tuple[Input, ...]) -> Iterable[tuple[str, float]]:
    """What the weighed batch says: its weight or pieces, and where the difference went."""
    makes, out = recipe.makes, []
    if makes is not None:
        spans = (("makes", makes.grams), ("pieces", makes.pieces), ("piece", makes.piece_grams))
        out += [("has makes", 1.0), *((key, span[1]) for key, span in spans if span is not None)]
        if recipe.water_change is not None or recipe.reduced_to or any(item.line.cooking_yield for item in inputs):
            out.append(("two yields", 1.0))
    if recipe.loss:
        out.append(("has loss", 1.0))
        out += [(kind, sum(loss.share for loss in recipe.loss if loss.kind == kind)) for kind in REST]
    return out


def _step_keys(recipe: Recipe) -> Iterable[tuple[str, float]]:
    """What the other steps say."""
    reduced = recipe.reduced_to or (None, None)
    spans = (("water change", recipe.water_change), ("fat change", recipe.fat_change), ("reduced share", reduced[0]),
             ("reduced grams", reduced[1]), ("alcohol stays", recipe.alcohol_stays), ("serves", recipe.serves),
             ("taken up", recipe.fried_in and recipe.fried_in.taken_up),
             ("picked up", recipe.coating and recipe.coating.picked_up))  # fmt: skip
    return [(key, span[1]) for key, span in spans if span is not None]


def _leaving(recipe: Recipe, inputs: tuple[Input, ...], first: int, lines: Columns) -> None:
    """What is poured off leaves with what is kept back; breading trays are marked."""
    for at, item in enumerate(inputs, first):
        for off in recipe.poured_off:
            if item.line.name in off.lines:
                lines["kept"][at] *= off.stays.mid
        lines["tray"][at] = recipe.coating is not None and item.line.name in recipe.coating.lines


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
