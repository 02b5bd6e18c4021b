"""What a guest can eat: each dish of a menu against what the guest avoids, with the least change that makes it fit.

Every way to make a dish (what can be left off, what the kitchen exchanges) is recomputed from the recipe; no record is edited.
The verdict itself is :func:`labeller.terms.floor.answer`, one rule for this command and for the floor page.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import product

from msgspec import Struct
from msgspec.structs import replace

from labeller.reading.guest_tables import GuestIngredients
from labeller.serving.asked_back import asked_back, words_of
from labeller.serving.guest_ingredients import ingredient_state, unlisted_states
from labeller.serving.guest_speech import Avoided
from labeller.serving.made import served
from labeller.serving.workshop import Workshop
from labeller.terms.allergens import GROUPS, NOT_CONFIRMED, RANK, AllergenFact, Kind
from labeller.terms.findings import STOP
from labeller.terms.floor import (
    INSTEAD,
    LEAVE_OFF,
    Answer,
    Avoid,
    Change,
    FloorCourse,
    FloorData,
    FloorDish,
    Heading,
    Option,
    OptionState,
    answer,
    both_names,
)
from labeller.terms.kitchen import Line, Menu, Recipe
from labeller.terms.words import normalise

MOST_CHANGES = 3  # a plate with more changes than this is another dish; ask the kitchen
FOOD = "ingredient: "  # before the word of a food in its state key
COELIAC = "coeliac"  # a state key of its own: coeliac disease and wheat allergy are different questions
GLUTEN_FIGURE = 20.0  # mg/kg: "gluten-free" in Regulation (EU) No 828/2014 and 21 CFR 101.91 (below 20), both from memory


def states_of(facts: Iterable[AllergenFact], kinds: Mapping[str, Kind]) -> dict[str, OptionState]:
    """Worst state of each group and of each kind, with its reasons. A fact about a group is a fact about each kind of it."""
    found: dict[str, dict[str, dict[str, None]]] = {}
    for fact in facts:
        for key in _keys(fact.kind, kinds):
            found.setdefault(key, {}).setdefault(fact.state, {})[because(fact)] = None
        if fact.kind in kinds and kinds[fact.kind].group == "cereals_gluten":
            state, why = _for_a_coeliac(fact)
            found.setdefault(COELIAC, {}).setdefault(state, {})[why] = None
    return {key: _worst(states) for key, states in found.items()}


def _for_a_coeliac(fact: AllergenFact) -> tuple[str, str]:
    """A recorded gluten figure of at most 20 mg/kg is for a coeliac to weigh with the kitchen; it never answers a wheat
    allergy."""
    if fact.gluten_mg_per_kg is not None and fact.gluten_mg_per_kg <= GLUTEN_FIGURE and RANK[fact.state] < RANK[NOT_CONFIRMED]:
        return NOT_CONFIRMED, f"{because(fact)} (gluten {fact.gluten_mg_per_kg:g} mg/kg on record)"
    return fact.state, because(fact)


def _keys(kind: str, kinds: Mapping[str, Kind]) -> Iterator[str]:
    """The kind, what it is part of, its group; a group's own key stands for every kind in it (which one is not known)."""
    known = kinds.get(kind)
    if known is None:
        return
    yield kind
    if kind == known.group:
        yield from (each.key for each in kinds.values() if each.group == kind and each.key != kind)
        return
    if known.parent and known.parent != known.group:
        yield known.parent
    if known.group in GROUPS:
        yield known.group


def _worst(states: dict[str, dict[str, None]]) -> OptionState:
    state = min(states, key=RANK.__getitem__)
    return OptionState(state, tuple(states[state]))


def because(fact: AllergenFact) -> str:
    """Why, in words to repeat at the table: the component, and for equipment what it shares."""
    path = " > ".join(fact.path[1:]) or fact.path[0]
    evidence = fact.evidence.replace(f'what "{fact.path[-1]}" holds', "what it holds")
    return path if fact.route == "recipe" else f"{path} ({evidence})"


def options_of(workshop: Workshop, recipe: Recipe) -> tuple[Option, ...]:
    """The dish as written, then every change the kitchen allows, least change first, each recomputed."""
    ways = sorted(_ways(recipe), key=len)
    return tuple(Option(changes, dish_states(workshop, changed(recipe, changes))) for changes in ways)


def dish_states(workshop: Workshop, recipe: Recipe) -> dict[str, OptionState]:
    """What the facts say, and not confirmed for a kind outside the legal lists of which the papers don't speak."""
    kinds = workshop.tables.kinds
    return {**unlisted_states(workshop, recipe, kinds.values()), **states_of(workshop.facts(recipe), kinds)}


def _ways(recipe: Recipe) -> list[tuple[Change, ...]]:
    choices = [_choices(line) for line in recipe.lines if line.leave_off or line.instead] if recipe.kind == "dish" else []
    ways = [tuple(change for change in way if change is not None) for way in product(*choices)]
    return [way for way in ways if len(way) <= MOST_CHANGES]


def _choices(line: Line) -> list[Change | None]:
    choices: list[Change | None] = [None]
    if line.leave_off:
        choices.append(Change(line.name, LEAVE_OFF))
    if line.instead:
        choices.append(Change(line.name, INSTEAD, line.instead))
    return choices


def changed(recipe: Recipe, changes: tuple[Change, ...]) -> Recipe:
    """The dish made fresh with the changes: lines left off or exchanged, nothing picked out of a finished plate."""
    if not changes:
        return recipe
    by_name = {change.component: change for change in changes}
    lines = []
    for line in recipe.lines:
        change = by_name.get(line.name)
        if change is None or not _allows(line, change):
            lines.append(line)
        elif change.action == INSTEAD:
            lines.append(replace(line, name=change.with_, instead="", food=""))
    return replace(recipe, lines=tuple(lines))


def _allows(line: Line, change: Change) -> bool:
    """Two lines may bear one name (a replacement for tonight): what one of them allows is not done to the other."""
    return line.leave_off if change.action == LEAVE_OFF else line.instead == change.with_


def floor_dish(workshop: Workshop, recipe: Recipe, stopped: bool) -> FloorDish:
    return FloorDish(recipe.name, recipe.also_called, stopped, () if stopped else options_of(workshop, recipe))


def with_ingredients(workshop: Workshop, recipe: Recipe, dish: FloorDish, avoided: Iterable[Avoided]) -> FloorDish:
    """The dish's options with the states of ingredient words added, so that one rule answers both."""
    words = {each.ingredient: (each.ingredient, *each.covers) for each in avoided if each.ingredient}
    if not words or dish.stopped:
        return dish
    options = []
    for option in dish.options:
        made = changed(recipe, option.changes)
        extra = {f"{FOOD}{word}": ingredient_state(workshop, made, covers) for word, covers in words.items()}
        options.append(replace(option, states={**option.states, **extra}))
    return replace(dish, options=tuple(options))


def keys_of(avoided: Iterable[Avoided]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(key for each in avoided for key in (each.keys or (f"{FOOD}{each.ingredient}",))))


class DishAnswer(Struct, frozen=True):
    """heading: of the course that the dish stands in. shown: the name that cards and labels have for the dish."""

    heading: Heading
    dish: str
    answer: Answer
    shown: str = ""

    @property
    def course(self) -> str:
        return str(self.heading)


def prepared(workshop: Workshop, menu: Menu) -> tuple[tuple[Heading, FloorDish], ...]:
    """(course, dish with every way to make it) of a menu: worked out once, then asked for each guest."""
    found = []
    for title, names in menu_headings(menu):
        for name in names:
            recipe = workshop.names.recipe(name)
            shop = served(workshop, recipe) if recipe is not None else workshop
            made = shop.kitchen.recipes[recipe.name] if recipe is not None else None
            dish = FloorDish(name, stopped=True) if made is None else floor_dish(shop, made, is_stopped(shop, made))
            found.append((title, dish))
    return tuple(found)


def is_stopped(workshop: Workshop, recipe: Recipe) -> bool:
    """True when a finding blocks everything of the dish."""
    return any(each.severity == STOP and each.blocks == "all" for each in workshop.findings_of(recipe))


def answers(workshop: Workshop, menu: Menu, avoided: tuple[Avoided, ...],
            floor: tuple[tuple[Heading, FloorDish], ...] | None = None) -> tuple[DishAnswer, ...]:  # fmt: skip
    """Each dish of the menu, course by course, then the packs. floor: the menu as :func:`prepared`, where several seats ask."""
    keys = keys_of(avoided)
    found = []
    for title, dish in floor if floor is not None else prepared(workshop, menu):
        recipe = workshop.names.recipe(dish.name)
        shop = served(workshop, recipe) if recipe is not None else workshop
        asked = dish if recipe is None else with_ingredients(shop, shop.kitchen.recipes[recipe.name], dish, avoided)
        found.append(DishAnswer(title, dish.name, answer(asked, keys), _shown(recipe)))
    return tuple(found)


def _shown(recipe: Recipe | None) -> str:
    """How a dish is told where paper with its label's name may lie beside, "" where that is its own name."""
    shown = both_names(recipe.name, recipe.legal_name) if recipe is not None else ""
    return shown if recipe is not None and shown != recipe.name else ""


class Recorded(Struct, frozen=True):
    """What is on record of something guests ask beyond allergens. facts: (what, how, of which product or recipe); none: nobody
    wrote it down, which is neither yes nor no. alcohol_g: calculated per portion, None when not asked or not known."""

    course: str
    dish: str
    facts: tuple[tuple[str, str, str], ...]
    alcohol_g: float | None = None


def recorded(workshop: Workshop, menu: Menu, word: str) -> tuple[Recorded, ...]:
    """Raw or pasteurised milk, raw egg, cold-smoked fish, alcohol that remains …: recorded facts only, no advice."""
    asked = normalise(word)
    found = []
    for title, names in menu_courses(menu):
        for name in names:
            recipe = workshop.names.recipe(name)
            if recipe is None:
                continue
            shop = served(workshop, recipe)
            record = shop.record(shop.kitchen.recipes[recipe.name])
            facts = tuple(fact for fact in record.recorded if set(asked.split()) & set(normalise(f"{fact[0]} {fact[1]}").split()))
            alcohol = record.middle.totals.get("alcohol_g") if asked == "alcohol" and record.middle else None
            found.append(Recorded(title, recipe.name, facts, alcohol))
    return tuple(found)


def menu_courses(menu: Menu) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """(title, dishes) course by course; packs come last."""
    return tuple((str(heading), names) for heading, names in menu_headings(menu))


def menu_headings(menu: Menu) -> tuple[tuple[Heading, tuple[str, ...]], ...]:
    """(heading, dishes) course by course; packs come last."""
    courses = [(Heading(course.title, nr), course.dishes) for nr, course in enumerate(menu.courses, 1)]
    return tuple(courses + ([(Heading(), menu.packs)] if menu.packs else []))


def floor_data(workshop: Workshop, menu: Menu, *, law: str, made: str, avoids: tuple[Avoid, ...], data_version: str,
               cautions: tuple[str, ...] = ()) -> FloorData:  # fmt: skip
    """Everything the floor page shows, computed here."""
    dishes = iter(prepared(workshop, menu))

    foods = _foods_of(workshop, avoids)

    def shown() -> FloorDish:
        dish = next(dishes)[1]
        recipe = workshop.names.recipe(dish.name)
        if recipe is not None:
            shop = served(workshop, recipe)
            dish = with_ingredients(shop, shop.kitchen.recipes[recipe.name], dish, foods)
        name = _shown(recipe)
        return replace(dish, name=name) if name else dish  # the name on cards, with the kitchen's own in it

    courses = tuple(FloorCourse(str(heading), tuple(shown() for _ in names), heading) for heading, names in menu_headings(menu))
    return FloorData(workshop.kitchen.name, menu.name, menu.starts, menu.ends, made, law, workshop.kitchen.version, data_version,
                     avoids, courses, cautions, asked_back=asked_back(workshop.tables.guest_words, avoids))  # fmt: skip


def _foods_of(workshop: Workshop, avoids: Iterable[Avoid]) -> tuple[Avoided, ...]:
    """The ticks for foods that are in no list of allergens, to be searched for in the recipes."""
    said = workshop.tables.guest_ingredients.words
    asked = [(each.name, key.removeprefix(FOOD)) for each in avoids for key in each.keys if key.startswith(FOOD)]
    return tuple(Avoided(name, (), word, said[word][1], said[word][0]) for name, word in asked if word in said)


def food_ticks(foods: GuestIngredients) -> tuple[Avoid, ...]:
    """What can be ticked beyond allergens: meat, pork, garlic … the words that ``labeller guest`` knows too."""
    return tuple(Avoid(f"food_{first.replace(' ', '_')}", first, tuple(more), (f"{FOOD}{normalise(first)}",))
                 for first, *more in foods.asked)  # fmt: skip


def avoids(kinds: Mapping[str, Kind], guest_words: Sequence[Mapping], foods: GuestIngredients | None = None) -> tuple[Avoid, ...]:
    """What can be ticked: the groups, the words guests use that cover several kinds, every kind, and the foods of
    :func:`food_ticks`. A word for one kind alone ("lactose", "pine kernels") leads to that kind's own tick."""
    found = {group: Avoid(group, kinds[group].name, kinds[group].also, (group,)) for group in GROUPS}
    more: dict[str, list[str]] = {}
    for row in guest_words:
        if not row["ask"] and len(row["keys"]) == 1 and row["keys"][0] in kinds:
            more.setdefault(row["keys"][0], []).extend(words_of(row))
        elif not row["ask"]:
            key = f"word_{normalise(row['word']).replace(' ', '_')}"
            found[f"word {row['word']}"] = Avoid(key, row["word"], row["also"], row["keys"])
    for kind in kinds.values():
        if kind.key not in found:
            found[kind.key] = Avoid(kind.key, kind.name, kind.also, (kind.key,))
    ticks = tuple(_asked_back(_with_words(each, more.get(each.key, ())), guest_words) for each in found.values())
    return (*ticks, *(food_ticks(foods) if foods is not None else ()))


def _with_words(tick: Avoid, more: Iterable[str]) -> Avoid:
    return replace(tick, words=tuple(dict.fromkeys(word for word in (*tick.words, *more) if word != tick.name)))


def _asked_back(tick: Avoid, guest_words: Iterable[Mapping]) -> Avoid:
    """A word that must be asked back ("nuts") names no tick alone: it leads to every choice (tree nuts, peanuts), and the guest
    says."""
    rows = tuple(guest_words)
    asks = {normalise(word): row for row in rows if row["ask"] for word in words_of(row)}
    name, words = tick.name, tuple(word for word in tick.words if normalise(word) not in asks)
    if normalise(name) in asks:
        name = next((row["word"] for row in rows if not row["ask"] and tuple(row["keys"]) == tick.keys), name)
    own = {normalise(word) for word in (name, *words)}
    more = [word for row in rows if row["ask"] and own & {normalise(each) for each in row["choices"]} for word in words_of(row)]
    return Avoid(tick.key, name, tuple(dict.fromkeys([*words, *more])), tick.keys)
