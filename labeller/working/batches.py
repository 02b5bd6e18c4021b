"""From lines to a batch: what goes in, what stays, what leaves, and what the batch weighs when ready.

Moves mass only. The order of the steps is fixed: trim, grams in, kept share, poured off, coating picked up, fat taken up,
cooking yield of lines, water and fat change, reduction, and last the weighed batch, which wins over every table.
A step of the kitchen that is a range is read at the position that ``setting`` gives it (0 low, 0.5 middle, 1 high).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from labeller.terms.evidence import Step
from labeller.terms.findings import Finding, finding
from labeller.terms.kitchen import Recipe
from labeller.terms.mass import Input, Part, Ref, Worked
from labeller.terms.spans import Span
from labeller.terms.words import words as words_of

MIDDLE: Mapping[str, float] = {}
_VOLUMES = frozenset(("ml", "cl", "dl", "l", "fl_oz", "pint", "quart", "gallon", "cup"))
# Words at the end of a liquid's name, and what goes into a pot and is no food. Common practice, no source.
_LIQUIDS = frozenset(("water", "stock", "broth", "wine", "milk", "cream", "vinegar", "oil", "cider", "beer", "juice",
                      "brandy", "rum"))  # fmt: skip
NO_FOOD = frozenset(("parchment", "paper", "muslin", "cloth", "twine", "string", "skewer", "bag", "charcoal", "plank"))
NEAR = 0.005  # grams per 1 g: a weighed batch within 0.5 % of its lines needs no loss named (kitchen scales; common practice)


def ranges_of(recipe: Recipe, inputs: tuple[Input, ...]) -> dict[str, Span]:
    """The ranges in play in one recipe: id -> range. Lines that have no range add nothing."""
    found = {}
    for item in inputs:
        line = item.line
        for field, span in (("grams", item.grams), ("trim", line.trim), ("kept", line.kept), ("cooked", item.cooked)):
            found[f"{item.key}/{field}"] = span
    found |= {f"{recipe.name}/poured off/{nr}": leaving.stays for nr, leaving in enumerate(recipe.poured_off)}
    found[f"{recipe.name}/taken up"] = recipe.fried_in.taken_up if recipe.fried_in else None
    found[f"{recipe.name}/picked up"] = recipe.coating.picked_up if recipe.coating else None
    found[f"{recipe.name}/water change"] = recipe.water_change
    found[f"{recipe.name}/fat change"] = recipe.fat_change
    found[f"{recipe.name}/alcohol"] = recipe.alcohol_stays
    found[f"{recipe.name}/serves"] = recipe.serves
    if recipe.reduced_to:
        found[f"{recipe.name}/reduced share"], found[f"{recipe.name}/reduced grams"] = recipe.reduced_to
    if recipe.makes:
        found[f"{recipe.name}/makes"] = recipe.makes.grams
        found[f"{recipe.name}/pieces"] = recipe.makes.pieces
        found[f"{recipe.name}/piece"] = recipe.makes.piece_grams
    return {key: span for key, span in found.items() if span is not None and span.is_range}


class _Bench:
    """The batch while it is worked on: a ledger in grams, gone when the batch is ready."""

    def __init__(self, recipe: Recipe, inputs: tuple[Input, ...], children: Mapping[str, Worked],
                 setting: Mapping[str, float], words: bool):  # fmt: skip
        self.recipe, self.inputs, self.children, self.setting, self.words = recipe, inputs, children, setting, words
        self.stays: list[float] = []
        self.entered: tuple[float, ...] = ()  # of each line, trimmed, before anything is strained out
        self.parts: list[Part] = []
        self.gross = self.water = self.fat = 0.0
        self.accounts: dict[str, float] = {}
        self.steps: list[Step] = []
        self.findings: list[Finding] = []

    def at(self, key: str, span: Span) -> float:
        """The value of a range at the setting. The middle is the middle as given, so that a plain number stays exact."""
        return span.at(self.setting[key]) if key in self.setting else span.mid

    def own(self, field: str, span: Span) -> float:
        return self.at(f"{self.recipe.name}/{field}", span)

    def book(self, account: str, grams: float) -> None:
        if grams:
            self.accounts[account] = self.accounts.get(account, 0.0) + grams

    def say(self, what: str, place=None, source: str = "", under: tuple[Step, ...] = ()) -> None:
        """A step of the trail. Called only where somebody asked for ``words``: they cost more than the sums."""
        self.steps.append(Step(what, place or self.recipe.place, source, under))

    def find(self, code: str, text: str, mend: str, place=None) -> None:
        self.findings.append(finding(code, place or self.recipe.place, text, mend, self.recipe.name))

    @property
    def weight(self) -> float:
        return sum(self.stays) + sum(part.grams for part in self.parts) + self.water + self.fat


def work(recipe: Recipe, inputs: tuple[Input, ...], children: Mapping[str, Worked],
         setting: Mapping[str, float] = MIDDLE, oil: Ref | None = None, words: bool = False) -> Worked:  # fmt: skip
    """A batch of ``recipe`` from its ready lines and the batches it uses (by name), at one setting of the ranges.

    oil: what the fat taken up is (a food, product or recipe), where the recipe is fried. words: with the steps of the trail.
    """
    bench = _Bench(recipe, inputs, children, setting, words)
    bench.stays = [_grams_in(bench, item) for item in inputs]
    weight_in = sum(bench.stays)
    bench.entered = tuple(bench.stays)
    _keep(bench)
    _pour_off(bench)
    _coat(bench)
    base = sum(bench.stays)
    _fry(bench, base, oil)
    settled = _settle_yield(bench, base)
    if not settled and not recipe.makes:
        _alcohol_gone(bench)
    _weigh(bench)
    _balance(bench)
    if not any(item.grams for item in inputs):
        bench.find("nothing-weighed", f"no line of \"{recipe.name}\" has a weight that is known", "give the ingredients amounts")
    return _result(bench, weight_in)


def _grams_in(bench: _Bench, item: Input) -> float:
    if item.grams is None:
        return 0.0
    grams = bench.at(f"{item.key}/grams", item.grams)
    if item.per_piece:
        grams = _piece_grams(bench, item, grams)
    as_used = grams * (1 - item.refuse)
    trim = bench.at(f"{item.key}/trim", item.line.trim)
    inside = as_used * (1 - trim)
    bench.book("trimmed", grams - inside)
    bench.gross += grams
    if bench.words and not (item.per_piece and inside == grams):  # pieces say their own
        said = f"{item.line.name}: {_g(grams)}"
        if item.grams.is_range and not item.per_piece:
            said += f" (middle of {item.grams.low:.4g} to {item.grams.high:.4g} g)"
        said += f", less {_pct(item.refuse)} that is not eaten" if item.refuse else ""
        said += f", less {_pct(trim)} trimmed" if trim else ""
        said += f" = {_g(inside)}" if inside != grams else ""
        bench.say(said, item.line.place, under=(item.step,) if " = " in item.step.what else ())
    return inside


def _piece_grams(bench: _Bench, item: Input, count: float) -> float:
    """Pieces of a sub-recipe: the batch divided by the number it makes, so that the pieces share the batch exactly."""
    child = bench.children.get(item.ref.key)
    if child is None or not child.pieces:
        word = item.line.amount.piece_word
        weighed = f"weigh one {word} and write grams: - {item.line.name}: ... g; or, of what is counted, " if word else ""
        bench.find("pieces-not-counted",
                   f"{item.line.amount.text} of \"{item.line.name}\": that recipe doesn't say how many it makes",
                   f"{weighed}write `makes: 60 pieces` in \"{item.line.name}\"", item.line.place)  # fmt: skip
        return 0.0
    grams = count * child.weight / child.pieces
    if bench.words:
        bench.say(f"{item.line.name}: {count:g} of {child.pieces:g} pieces of a batch of {_g(child.weight)} = {_g(grams)}",
                  item.line.place)  # fmt: skip
    return grams


def _keep(bench: _Bench) -> None:
    for nr, item in enumerate(bench.inputs):
        kept = bench.at(f"{item.key}/kept", item.line.kept)
        if kept != 1:
            gone = bench.stays[nr] * (1 - kept)
            bench.stays[nr] -= gone
            bench.book("left behind", gone)
            if bench.words:
                bench.say(f"{item.line.name}: {_pct(kept)} stays in the food = {_g(bench.stays[nr])}", item.line.place)


def _pour_off(bench: _Bench) -> None:
    for order, leaving in enumerate(bench.recipe.poured_off):
        stays = bench.own(f"poured off/{order}", leaving.stays)
        for nr, item in enumerate(bench.inputs):
            if item.line.name in leaving.lines:
                gone = bench.stays[nr] * (1 - stays)
                bench.stays[nr] -= gone
                bench.book("poured off", gone)
                if bench.words:
                    bench.say(f"{item.line.name}: poured off, {_pct(stays)} stays in = {_g(bench.stays[nr])}", leaving.place)


def _coat(bench: _Bench) -> None:
    coating = bench.recipe.coating
    if coating is None:
        return
    tray = [nr for nr, item in enumerate(bench.inputs) if item.line.name in coating.lines]
    in_trays = sum(bench.stays[nr] for nr in tray)
    food = sum(bench.stays) - in_trays
    wanted = food * bench.own("picked up", coating.picked_up)
    if wanted > in_trays * (1 + 1e-9):
        bench.find("coating-exceeds-tray", f"{_g(wanted)} of coating picked up, but the trays hold {_g(in_trays)}",
                   "correct `picked up` or the amounts in the trays", coating.place)  # fmt: skip
        wanted = in_trays
    share = wanted / in_trays if in_trays else 0.0
    for nr in tray:
        bench.book("left behind", bench.stays[nr] * (1 - share))
        bench.stays[nr] *= share
    if bench.words:
        bench.say(f"coating picked up: {_pct(bench.own('picked up', coating.picked_up))} of {_g(food)} of food = {_g(wanted)}; "
                  f"{_g(in_trays - wanted)} stays in the trays", coating.place)  # fmt: skip


def _fry(bench: _Bench, base: float, oil: Ref | None) -> None:
    fried = bench.recipe.fried_in
    if fried is None:
        return
    share = bench.own("taken up", fried.taken_up)
    taken = base * share
    bench.parts.append(Part(oil or Ref("unknown", fried.oil), taken, (), fried.oil, -1))
    bench.book("taken up", taken)
    if bench.words:
        bench.say(f"{fried.oil} taken up: {_pct(share)} of {_g(base)} of food with its coating = {_g(taken)}", fried.place)


def _settle_yield(bench: _Bench, base: float) -> bool:
    """Water and fat driven off before weighing. One source settles the yield; True when one did. ``makes`` comes after."""
    recipe = bench.recipe
    if recipe.makes and recipe.makes.grams or (recipe.makes and recipe.makes.piece_grams):
        return True
    if recipe.water_change is not None or recipe.fat_change is not None:
        _change(bench, base)
        return recipe.water_change is not None
    if recipe.reduced_to:
        _reduce(bench)
        return True
    return _cook_lines(bench)


def _change(bench: _Bench, base: float) -> None:
    for field, span in (("water change", bench.recipe.water_change), ("fat change", bench.recipe.fat_change)):
        if span is None:
            continue
        share = bench.own(field, span)
        grams = base * share
        if field == "water change":
            bench.water += grams
            bench.book("water taken in" if grams > 0 else "driven off", abs(grams))
        else:
            bench.fat += grams
            bench.book("fat run off", -grams)
        if bench.words:
            bench.say(f"{field}: {share * 100:+g} % of {_g(base)} = {grams:+.2f} g")


def _reduce(bench: _Bench) -> None:
    share, grams = bench.recipe.reduced_to
    now = bench.weight
    target = now * bench.own("reduced share", share) if share is not None else bench.own("reduced grams", grams)
    if target > now * (1 + NEAR):
        bench.find("batch-heavier-than-lines", f"\"{bench.recipe.name}\" is reduced to {_g(target)}, but {_g(now)} went in",
                   "correct the weight it is reduced to")  # fmt: skip
        return
    bench.water -= now - target
    bench.book("driven off", now - target)
    if bench.words:
        bench.say(f"reduced from {_g(now)} to {_g(target)}: {_g(now - target)} driven off; salt, sugar and allergens stay")


def _cook_lines(bench: _Bench) -> bool:
    any_line = False
    for nr, item in enumerate(bench.inputs):
        if item.cooked is None or not bench.stays[nr]:
            continue
        factor = bench.at(f"{item.key}/cooked", item.cooked)
        raw = bench.stays[nr]
        fat = max(raw * item.cooked_fat, raw * (factor - 1)) if factor < 1 else 0.0  # never more than what is lost
        change = raw * (factor - 1) - fat
        bench.water += change
        bench.fat += fat
        bench.book("water taken in" if change > 0 else "driven off", abs(change))
        bench.book("fat run off", -fat)
        if bench.words:
            of_it = f"; {_g(-change)} water, {_g(-fat)} fat" if fat else ""
            bench.say(f"{item.line.name}: cooked weight is {_pct(factor)} of raw = {_g(raw * factor)}{of_it}",
                      item.line.place, item.cooked_source)  # fmt: skip
        any_line = True
    return any_line


def _alcohol_share(bench: _Bench) -> float:
    stays = bench.recipe.alcohol_stays
    return 1.0 if stays is None else bench.own("alcohol", stays)


def _alcohol_gone(bench: _Bench) -> None:
    """Alcohol that went off, where no weighing covers it: it leaves the weight of the batch."""
    held = sum(item.alcohol * grams for item, grams in zip(bench.inputs, bench.stays, strict=True))
    gone = (1 - _alcohol_share(bench)) * held
    if gone:
        bench.water -= gone
        bench.book("driven off", gone)
        if bench.words:
            bench.say(f"alcohol: {_pct(_alcohol_share(bench))} of {_g(held)} stays = {_g(gone)} driven off")


def _target(bench: _Bench) -> float | None:
    makes = bench.recipe.makes
    if makes is None:
        return None
    if makes.grams is not None:
        return bench.own("makes", makes.grams)
    if makes.pieces is not None and makes.piece_grams is not None:
        return bench.own("pieces", makes.pieces) * bench.own("piece", makes.piece_grams)
    return None


def _weigh(bench: _Bench) -> None:
    target = _target(bench)
    if target is None:
        return
    recipe, now = bench.recipe, bench.weight
    missing = now - target
    if recipe.water_change is not None or recipe.reduced_to or any(item.line.cooking_yield for item in bench.inputs):
        bench.find("two-yields", f"\"{recipe.name}\" has a weighed batch and another yield; the weighed batch counts",
                   "drop the yield that was not weighed", recipe.makes.place)  # fmt: skip
    if missing < -NEAR * now:
        bench.find("batch-heavier-than-lines", f"\"{recipe.name}\" makes {_g(target)}, but only {_g(now)} went in",
                   "list what was added (water too), or correct `makes`", recipe.makes.place)  # fmt: skip
        return
    if not recipe.loss:
        if abs(missing) > NEAR * now:
            bench.find("loss-not-named",
                       f"\"{recipe.name}\": {_g(now)} went in, it makes {_g(target)}; {_g(missing)} are not accounted for",
                       "write `loss: evaporated`, `loss: left behind` or `loss: fat`", recipe.makes.place)  # fmt: skip
            return
        _leave_behind(bench, missing, now)
        return
    _lose(bench, missing, now)


def _lose(bench: _Bench, missing: float, now: float) -> None:
    """The difference by the shares that the kitchen named. What is left behind has the composition of the ready food."""
    shares: dict[str, float] = {}
    for loss in bench.recipe.loss:
        shares[loss.kind] = shares.get(loss.kind, 0.0) + loss.share
    off, fat = missing * shares.get("evaporated", 0.0), missing * shares.get("fat", 0.0)
    bench.water -= off
    bench.fat -= fat
    bench.book("driven off" if off >= 0 else "water taken in", abs(off))
    bench.book("fat run off", fat)
    if bench.words:
        split = ", ".join(f"{_g(missing * share)} {kind}" for kind, share in shares.items())
        bench.say(f"weighed batch: {_g(now)} went in, {_g(now - missing)} came out; {split}", bench.recipe.makes.place)
    _leave_behind(bench, missing * shares.get("left behind", 0.0), now - off - fat)


def _leave_behind(bench: _Bench, gone: float, of: float) -> None:
    if not gone or not of:
        return
    factor = 1 - gone / of
    bench.stays = [grams * factor for grams in bench.stays]
    bench.parts = [Part(part.ref, part.grams * factor, part.treatments, part.name, part.line, part.gave) for part in bench.parts]
    bench.water *= factor
    bench.fat *= factor
    bench.book("left behind", gone)
    if bench.words:
        bench.say(f"{_g(gone)} of {_g(of)} stay behind, so of each part {_g(of - gone)} / {_g(of)} = {factor:.4g} come along")


LEAVES = ("trimmed", "poured off", "left behind", "driven off", "fat run off")
COMES = ("taken up", "water taken in")


def _balance(bench: _Bench) -> None:
    """Every gram that went in is in the batch or in an account, and something is left; else the figures rest on nothing."""
    come, gone = (sum([bench.accounts.get(key, 0.0) for key in keys]) for keys in (COMES, LEAVES))
    weight = bench.weight
    gap = bench.gross + come - gone - weight
    if abs(gap) <= 1e-6 * max(bench.gross, 1.0) and (weight > 1e-9 * bench.gross or not bench.gross):
        return
    went = f"\"{bench.recipe.name}\": {_g(bench.gross)} went in" + (f", {_g(come)} came to it" if come else "")
    out = ", ".join(f"{_g(bench.accounts[key])} {key}" for key in LEAVES if bench.accounts.get(key))
    if weight <= 1e-9 * bench.gross:
        bench.find("mass-not-balanced", f"{went}, and as written all of it leaves ({out}): {_g(weight)} are left",
                   "check the shares and weights named; what a dish keeps must weigh something")  # fmt: skip
    else:
        bench.find("mass-not-balanced", f"{went}, {out} left and the batch weighs {_g(weight)}: {_g(gap)} are not accounted for",
                   "check the amounts, shares and weights named")  # fmt: skip


def _parts(bench: _Bench) -> Iterator[Part]:
    for nr, item in enumerate(bench.inputs):
        yield Part(item.ref, bench.stays[nr], item.treatments, item.line.name, nr, _gave(bench, nr))
    yield from bench.parts


def _gave(bench: _Bench, nr: int) -> float:
    """Grams of a line that was strained out whole (`kept: 0 %`) of a liquid that stays in the batch (common practice: bones,
    trimmings, herbs of a stock). 0 where nothing liquid stays: a crust that is cracked off, a coating left in its tray."""
    line = bench.inputs[nr].line
    if line.kept.high > 0 or not bench.entered[nr] or NO_FOOD & set(words_of(line.name)):
        return 0.0
    wet = any(stays > 0 and _is_liquid(item) for item, stays in zip(bench.inputs, bench.stays, strict=True))
    return bench.entered[nr] if wet else 0.0


def _is_liquid(item: Input) -> bool:
    """A line measured by volume, or one whose name ends in a word for a liquid."""
    by_volume = item.line.amount is not None and item.line.amount.unit in _VOLUMES
    return by_volume or (words_of(item.line.name) or ("",))[-1] in _LIQUIDS


def _result(bench: _Bench, weight_in: float) -> Worked:
    recipe, makes = bench.recipe, bench.recipe.makes
    if bench.words:
        bench.say(f"\"{recipe.name}\" weighs {_g(bench.weight)} when ready")
    return Worked(
        name=recipe.name, weight_in=weight_in, weight=bench.weight, parts=tuple(_parts(bench)), water=bench.water, fat=bench.fat,
        alcohol_stays=_alcohol_share(bench), pieces=bench.own("pieces", makes.pieces) if makes and makes.pieces else None,
        serves=bench.own("serves", recipe.serves) if recipe.serves else None, accounts=bench.accounts,
        steps=tuple(bench.steps), findings=tuple(bench.findings))  # fmt: skip


def _g(grams: float) -> str:
    """Grams for a trail: enough digits to follow with a pocket calculator."""
    return f"{grams:.4g} g" if abs(grams) < 1000 else f"{grams:.1f} g"


def _pct(share: float) -> str:
    return f"{share * 100:.4g} %"


