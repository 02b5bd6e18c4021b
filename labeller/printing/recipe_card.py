"""The kitchen's own card of a recipe or dish, for the station: what it makes, its lines with grams and allergens, the whole."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from labeller.printing import sheet
from labeller.printing.guest_words import ENGLISH, GuestWords, guest_words
from labeller.printing.kitchen_cards import Block, Desk, heading, issue_runs, largest
from labeller.printing.sheet import Ink, Row
from labeller.printing.states import by_state
from labeller.terms.allergens import CONTAINS, NONE_ON_RECORD, RANK, STATES, AllergenFact
from labeller.terms.findings import NOWHERE, STOP, Finding, finding
from labeller.terms.kitchen import Line, Recipe
from labeller.terms.looks import Looks
from labeller.terms.record import Declaration, Ingredient
from labeller.terms.spans import Span
from labeller.terms.words import normalise

_SHARES = (0.26, 0.15, 0.11, 0.29, 0.19)  # columns of the lines: name, as written, grams, allergens, change
_UNCHANGED = (0.26, 0.15, 0.11, 0.48)  # the same where nothing can be changed
_SCALES = (1.6, 1.5, 1.4, 1.3, 1.2, 1.1, 1.0)  # it hangs at a station and is read at arm's length: as large as fits one page
_FACT, _STATE = 0.2, 0.27  # first column of the facts, and of the allergens of the whole


def recipe_card_pdf(declaration: Declaration, recipe: Recipe | None = None, *, date: str, page: str = "A4",
                    kitchen_name: str = "", language: str = "en", looks: Looks, names: Mapping[str, str] | None = None,
                    issue: str = "", code: str = "") -> tuple[bytes, tuple[Finding, ...]]:  # fmt: skip
    """The card: what the recipe makes, each line with amount and grams, allergens of each line, equipment, what can be changed.
    recipe: as the kitchen wrote it; without it the lines are those of the record. issue: who signed this state, at the foot."""
    said, silent = guest_words(looks, language)
    one = declaration
    desk = Desk(looks, sheet.faces(looks), sheet.page_size(looks, page), said=said)
    versions = said.versions(one.law, one.law_date, one.kitchen_version, one.data_version)
    plain = desk.ink("regular", "foot")
    foot = desk.set([(" ".join(one.cautions), plain), ("\n", plain), *issue_runs(desk, issue),
                     (versions, desk.ink("regular", "foot", "quiet"))], 0.85)  # fmt: skip
    pages = largest(desk, lambda each: _blocks(each, one, recipe, date, kitchen_name, names or {}), foot, _SCALES)
    pages = sheet.with_code(pages, desk.size, code)
    data = sheet.paint(pages, desk.size, title=one.dish, author=kitchen_name, subject=f"{said.say('card')} · {versions}",
                       language=language)  # fmt: skip
    return data, sheet.letters_and_fonts(pages, looks) + silent + _reason_stays(one, said)


def _reason_stays(one: Declaration, said: GuestWords) -> tuple[Finding, ...]:
    """Why a recipe is stopped is told as it was found: in English."""
    if not one.stopped or said.language == ENGLISH or not said.known:
        return ()
    text = f"the reason why “{one.dish}” has no answer stands as it was found, in English"
    return (finding("sheet-language", NOWHERE, text, "explain it to whoever reads the card in another language"),)


def _blocks(desk: Desk, one: Declaration, recipe: Recipe | None, date: str, kitchen: str, names: Mapping[str, str]
            ) -> list[Block]:  # fmt: skip
    said = desk.words
    body, bold, small = desk.ink("regular", "body"), desk.ink("bold", "body"), desk.ink("regular", "small")
    blocks = [heading(desk, said.say("card"), one.dish, said.day(date), kitchen)]
    if one.record.description:
        blocks.append(Block(((0.0, desk.set([(one.record.description, desk.ink("italic", "body"))])),), above=desk.gap / 2))
    if one.stopped:
        stops = [item for item in (*one.findings, *one.record.findings) if item.severity == STOP]
        why = f"\n{stops[0].text} ({stops[0].place})" if stops else ""
        runs = [(said.say("no answer"), desk.ink("bold", "heading")), (why, small)]
        blocks.append(Block(((desk.gap, desk.set(runs, 0.95)),), above=2 * desk.gap, frame=True))
    facts = [(name, text) for name, text in _facts(one, recipe, said) if text]
    for place, (name, text) in enumerate(facts):
        columns = ((0.0, desk.set([(name, bold)], _FACT)), (_FACT * desk.width, desk.set([(text, body)], 1 - _FACT)))
        blocks.append(Block(columns, above=0.0 if place else desk.gap))
    blocks += _line_blocks(desk, one, recipe, names)
    if recipe is not None and recipe.instructions:
        blocks.append(Block(((0.0, desk.set([(recipe.instructions, body)])),), desk.rule("thin"), desk.gap))
    return blocks if one.stopped else blocks + _allergen_blocks(desk, one, names)


# What it makes, and how ------------------------------------------------------------------------------------------------


def _facts(one: Declaration, recipe: Recipe | None, said: GuestWords) -> list[tuple[str, str]]:
    """(what, text) of each fact of the whole; one without text is not on record."""
    record = one.record
    grams = _grams(record.weight_g)
    weight = grams if record.kind == "recipe" else said.say("card each", grams)
    found = {"weight": weight if record.weight_g.high > 0 else ""}
    if recipe is None:
        found["equipment"] = ", ".join(record.equipment)
    else:
        found |= {"on the label": one.title if one.title != one.dish else "", **_making(recipe, said)}
        found["equipment"] = _equipment(recipe, said)
        found["also called"] = ", ".join(recipe.also_called)
    return [(said.say(f"card {key}"), text) for key, text in found.items()]


def _making(recipe: Recipe, said: GuestWords) -> dict[str, str]:
    makes = recipe.makes.text if recipe.makes else ""
    lost = ", ".join(_loss(part.kind, said) if part.share >= 1 else f"{part.share:.0%} {_loss(part.kind, said)}"
                     for part in recipe.loss)  # fmt: skip
    share, weight = recipe.reduced_to or (None, None)
    reduced = _grams(weight) if weight else said.say("card of the weight in", _share(share)) if share else ""
    stays, fried, coat = recipe.alcohol_stays, recipe.fried_in, recipe.coating
    poured = "; ".join(f"{', '.join(each.lines)}; {said.say('card stays in', _share(each.stays))}" for each in recipe.poured_off)
    return {
        "makes": said.say("card loss", makes, lost) if makes and lost else makes,
        "portions": f"{recipe.serves.mid:g}" if recipe.serves else "",
        "method": recipe.method,
        "reduced to": reduced,
        "alcohol": said.say("card stays in", _share(stays)) if stays else "",
        "poured off": poured,
        "fried in": f"{fried.oil}, {said.say('card taken up', _share(fried.taken_up))}" if fried else "",
        "coating": f"{', '.join(coat.lines)}; {said.say('card picked up', _share(coat.picked_up))}" if coat else "",
    }


def _loss(kind: str, said: GuestWords) -> str:
    return said.say(f"card {kind}") if f"card {kind}" in said.english else kind


def _equipment(recipe: Recipe, said: GuestWords) -> str:
    """What is shared; nothing written is not confirmed where something was fried."""
    if recipe.equipment is None:
        return said.say("card equipment unknown") if recipe.fried_in else ""
    return ", ".join(recipe.equipment) or said.say("card none shared")


def _grams(span: Span) -> str:
    """Grams as a kitchen weighs them; bounds where the kitchen's own range leaves them open."""
    def one(value: float) -> str:
        return f"{value:.0f}" if value >= 10 or value == round(value) else f"{value:.1f}"

    return f"{one(span.low)}\N{EN DASH}{one(span.high)} g" if one(span.low) != one(span.high) else f"{one(span.mid)} g"


def _share(span: Span) -> str:
    return f"{span.mid:.0%}" if not span.is_range else f"{span.low:.0%}\N{EN DASH}{span.high:.0%}"


# Its lines -------------------------------------------------------------------------------------------------------------


def _line_blocks(desk: Desk, one: Declaration, recipe: Recipe | None, names: Mapping[str, str]) -> list[Block]:
    said = desk.words
    body, bold, small = desk.ink("regular", "body"), desk.ink("bold", "body"), desk.ink("regular", "small")
    heads = [said.say(f"card {key}") for key in ("line", "as written", "grams", "allergens")] + [said.say("can be changed")]
    lines = _lines(one, recipe, said)
    if not any(change for *_, change in lines):
        heads = heads[:-1]
    blocks = [Block(_columns(desk, [[(head, desk.ink("bold", "small"))] for head in heads]), 0.0, desk.gap)]
    told = all(any(_runs_through(fact, name) for name, *_ in lines) for fact in one.record.facts)
    for place, (name, written, grams, change) in enumerate(lines):
        allergens = _line_allergens(desk, one, name, told, names)
        runs = [[(name, bold)], [(written, body)], [(grams, body)], allergens, [(change, small)]][: len(heads)]
        blocks.append(Block(_columns(desk, runs), desk.rule("hair" if place else "thick"), desk.gap * 0.7, held=not place))
    return blocks


def _columns(desk: Desk, columns: Sequence[sheet.Runs]) -> tuple[tuple[float, tuple[Row, ...]], ...]:
    out, x = [], 0.0
    for share, runs in zip(_SHARES if len(columns) == len(_SHARES) else _UNCHANGED, columns, strict=True):
        out.append((x, desk.set(runs, share)))
        x += share * desk.width
    return tuple(out)


def _lines(one: Declaration, recipe: Recipe | None, said: GuestWords) -> list[tuple[str, str, str, str]]:
    """(name, as written, grams, what can be changed) of each line."""
    weights: dict[str, float] = {}
    unknown = {normalise(name) for name in one.record.unknown_amounts}
    for each in one.record.ingredients:
        weights[each.name] = weights.get(each.name, 0.0) + each.weight_g
    aids = {each.name for each in one.record.ingredients if each.aid}

    def grams(name: str) -> str:
        return _weight(weights.get(name), name in aids, normalise(name) in unknown, said)

    if recipe is not None:
        return [(line.name, _written(line, said), grams(line.name), _way(line.leave_off, line.instead, said))
                for line in recipe.lines]  # fmt: skip
    ways = {each.name: _way(each.leave_off, each.instead, said) for each in one.record.components}
    every = dict.fromkeys([each.name for each in one.record.components] + [each.name for each in one.record.ingredients])
    return [(name, "", grams(name), ways.get(name, "")) for name in every]


def _written(line: Line, said: GuestWords) -> str:
    if line.amount is None:
        return said.say("card no amount")
    parts = [line.amount.text]
    parts += [said.say("card about", line.amount.about.text)] if line.amount.about else []
    parts += [said.say("card trimmed", _share(line.trim))] if line.trim.high > 0 else []
    return ", ".join(parts)


def _weight(grams: float | None, aid: bool, unknown: bool, said: GuestWords) -> str:
    """Grams of a line; what only touched the food has none, and its allergens all the same. A line without a known amount is
    never nought: it is not known."""
    if unknown:
        return said.say("card not known") if not grams else said.say("card and more", _grams(Span.of(grams)))
    return "" if grams is None else said.say("card contact only") if aid and grams <= 0 else _grams(Span.of(grams))


def _way(leave_off: bool, instead: str, said: GuestWords) -> str:
    off, other = said.say("card leave off"), said.say("card instead", instead)
    return said.say("card or", off, other) if leave_off and instead else off if leave_off else other if instead else ""


def _line_allergens(desk: Desk, one: Declaration, name: str, told: bool, names: Mapping[str, str]) -> list[tuple[str, Ink]]:
    """What one line brings: facts whose path runs through it, and the kinds of the record's component. told: every fact of the
    record runs through some line, so that a line without any has none."""
    small, bold, said = desk.ink("regular", "small"), desk.ink("bold", "small"), desk.words
    if one.stopped:
        return [(said.say("card see above"), bold)]
    by_kind: dict[str, str] = {}
    for fact in one.record.facts:
        if _runs_through(fact, name) and RANK[fact.state] < RANK[by_kind.get(fact.kind, NONE_ON_RECORD)]:
            by_kind[fact.kind] = fact.state
    held = [kind for each in one.record.components if each.name == name for kind in each.kinds]
    held += [kind for each in one.record.ingredients if each.name == name for kind in _kinds(each)]
    for kind in held:
        by_kind.setdefault(kind, CONTAINS)
    runs: list[tuple[str, Ink]] = []
    for state in STATES:
        kinds = [said.kind(kind, names) for kind, of in by_kind.items() if of == state]
        if kinds and state != NONE_ON_RECORD:
            what = (", ".join(kinds), bold if state == CONTAINS else small)
            runs += [("\n" if runs else "", small), (f"{said.state(state)}{said.say('colon')}", small), what]
    if runs:
        return runs
    none = (said.state(NONE_ON_RECORD), desk.ink("regular", "small", "quiet"))
    return [none if told else (said.say("card see below"), small)]


def _runs_through(fact: AllergenFact, name: str) -> bool:
    return normalise(name) in (normalise(step) for step in fact.path)


def _kinds(one: Ingredient) -> Iterable[str]:
    yield from one.kinds
    for each in one.under:
        yield from _kinds(each)


# The whole -------------------------------------------------------------------------------------------------------------


def _allergen_blocks(desk: Desk, one: Declaration, names: Mapping[str, str]) -> list[Block]:
    body, bold, said = desk.ink("regular", "body"), desk.ink("bold", "body"), desk.words
    title = desk.set([(said.say("card whole"), desk.ink("bold", "heading"))])
    blocks = [Block(((0.0, title),), desk.rule("thick"), 2 * desk.gap)]
    for state, words in by_state(one, names, said.say("other")).items():
        blocks.append(_pair(desk, said.state(state), ", ".join(words), bold, bold if state == CONTAINS else body))
    none = [said.kind(key, names) for key, (state, *_) in one.states.items()
            if state == NONE_ON_RECORD and key != "other"]  # fmt: skip
    if none:
        quiet = desk.ink("regular", "body", "quiet")
        blocks.append(_pair(desk, said.say("card none checked", said.day(one.law_date)), ", ".join(none), quiet, quiet))
    return [block._replace(held=place == 1) for place, block in enumerate(blocks)]  # no title alone at the foot of a page


def _pair(desk: Desk, name: str, text: str, left: Ink, right: Ink) -> Block:
    columns = ((0.0, desk.set([(name, left)], _STATE)), (_STATE * desk.width, desk.set([(text, right)], 1 - _STATE)))
    return Block(columns, 0.0, desk.gap / 4)
