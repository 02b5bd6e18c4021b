"""Pages that only show: today, what is not settled, dishes with record and trail, products, menus and batches."""

from __future__ import annotations

from typing import NamedTuple

from labeller.serving.pipeline import batch_of, declared, dishes
from labeller.serving.web.asking import Reply, to
from labeller.serving.web.visits import Visit, sections, settles, weighed
from labeller.serving.why import allergen_steps, figure_steps
from labeller.terms.allergens import CONTAINS, NONE_ON_RECORD, NOT_CONFIRMED, TO_CONFIRM, AllergenFact
from labeller.terms.findings import STOP, Place, finding
from labeller.terms.kitchen import Recipe
from labeller.terms.record import Declaration


class Told(NamedTuple):
    """A finding with the field it is settled in. field: (words, address) or None."""

    finding: object
    field: tuple[str, str] | None


def told(visit: Visit, findings) -> list[Told]:
    """Findings with their fields; a field on the very page that is shown needs no way to it."""
    here = to(visit.asked.path, name=visit.asked.one("name"))
    fields = [(each, settles(visit.opened, each)) for each in findings]
    return [Told(each, field if field and field[1] != here else None) for each, field in fields]


def by_weight(visit: Visit, findings) -> list[tuple[str, list[Told]]]:
    return [(weight, told(visit, each)) for weight, each in weighed(tuple(findings))]


def today(visit: Visit) -> Reply:
    found = visit.found()
    menus = [
        (menu, [course_dishes(visit, names) for _, names in _courses(menu)], _courses(menu))
        for menu in visit.menus_now()
    ]
    stopped = [each for each in found if each.severity == STOP and each.blocks == "all"]
    batches = [batch for batch in visit.opened.kitchen.batches.values() if batch.date == visit.date]
    counts = {weight: len(each) for weight, each in weighed(found)}
    return visit.page(
        "today.html",
        "Today",
        menus=menus,
        stopped=told(visit, stopped),
        batches=batches,
        counts=counts,
        unread=unread(visit),
        coming=_coming(visit),
    )


def _courses(menu):
    from labeller.serving.guest import menu_courses

    return menu_courses(menu)


def course_dishes(visit: Visit, names: tuple[str, ...]) -> list[tuple[str, bool]]:
    """(name, whether it has no answer) of each dish of a course."""
    out = []
    for name in names:
        recipe = visit.opened.workshop.names.recipe(name)
        out.append((recipe.name if recipe else name, recipe is None or visit.opened.workshop.record(recipe).stopped))
    return out


def _coming(visit: Visit):
    """The next menu, where none is in force."""
    later = [menu for menu in visit.opened.kitchen.menus.values() if menu.starts > visit.date]
    return min(later, key=lambda menu: menu.starts, default=None)


def unread(visit: Visit) -> list[str]:
    return sorted({each.subject for each in visit.found() if each.code == "unread-product"})


def settle(visit: Visit) -> Reply:
    return visit.page("settle.html", "Not settled", groups=by_weight(visit, visit.found()), unread=unread(visit))


def all_dishes(visit: Visit) -> Reply:
    rows = []
    for kind, title in (("dish", "Dishes"), ("pack", "Packs"), ("recipe", "Sub-recipes")):
        found = [_row(visit, recipe) for recipe in visit.opened.kitchen.recipes.values() if recipe.kind == kind]
        rows.append((title, kind, found))
    return visit.page("dishes.html", "Dishes", groups=rows)


def _row(visit: Visit, recipe: Recipe) -> dict:
    """A line of the list: worst states in words."""
    opened = visit.opened
    stopped = opened.workshop.record(recipe).stopped
    worst: dict[str, list[str]] = {}
    kinds = opened.workshop.tables.kinds
    for group, state in _groups(opened.workshop.facts(recipe), kinds).items():
        worst.setdefault(state, []).append(group)
    menus = [menu.name for menu in opened.kitchen.menus.values() if recipe.name in menu.dishes()]
    return {"name": recipe.name, "stopped": stopped, "menus": menus, "worst": worst, "file": str(recipe.place)}


def _groups(facts: tuple[AllergenFact, ...], kinds) -> dict[str, str]:
    from labeller.serving.guest import states_of
    from labeller.terms.allergens import GROUPS

    found = states_of(facts, kinds)
    return {
        key: found[key].state
        for key in found
        if (key in GROUPS or (key in kinds and kinds[key].group == "other")) and found[key].state != NONE_ON_RECORD
    }


def not_known(visit: Visit, what: str, name: str) -> Reply:
    mend = f"look for it under {'dishes' if what == 'dish' else 'products'} in the list of pages"
    return visit.page(
        "message.html",
        "Not there",
        404,
        here="/",
        findings=[
            Told(
                finding(
                    "dish-not-known" if what == "dish" else "product-not-known",
                    Place(str(visit.house.folder.name)),
                    f'no {what} is called "{name}"',
                    mend,
                ),
                None,
            )
        ],
    )


def dish(visit: Visit) -> Reply:
    opened = visit.opened
    recipe = opened.workshop.names.recipe(visit.asked.one("name"))
    if recipe is None:
        return not_known(visit, "dish", visit.asked.one("name"))
    made, faults = declared(opened, recipe, visit.law, batch=batch_of(opened, recipe))
    used = [
        each.name
        for each in opened.kitchen.recipes.values()
        if recipe in [opened.workshop.names.recipe(line.name) for line in each.lines]
    ]
    lines = [(line, opened.workshop.meaning(line)) for line in recipe.lines]
    return visit.page(
        "dish.html",
        recipe.name,
        here="/dishes",
        recipe=recipe,
        made=made,
        law=visit.law,
        used=used,
        lines=lines,
        allergens=_allergens(visit, recipe, made) if made else [],
        figures=_figures(made) if made else (),
        groups=by_weight(visit, (*faults, *(made.findings if made else opened.workshop.findings_of(recipe)))),
        menus=[menu for menu in opened.kitchen.menus.values() if recipe.name in menu.dishes()],
    )


def _allergens(visit: Visit, recipe: Recipe, made: Declaration) -> list[dict]:
    """A line for each allergen, worst first as the record has it: words, state and the trail of each fact."""
    rows = []
    for key, (state, _, _) in made.states.items():
        steps = allergen_steps(visit.opened, recipe, key.replace("_", " ")) or allergen_steps(visit.opened, recipe, key)
        rows.append(
            {
                "key": key,
                "state": state,
                "words": made.allergen_words.get(key, ""),
                "step": steps,
                "strong": state in (CONTAINS, TO_CONFIRM),
                "open": state == NOT_CONFIRMED,
            }
        )
    return [row for row in rows if row["state"] != NONE_ON_RECORD] + [
        row for row in rows if row["state"] == NONE_ON_RECORD
    ]


def _figures(made: Declaration) -> tuple[object, ...]:
    rows = () if made.record.middle is None else made.figures or made.rows
    return tuple(row for row in rows if row.hundred or row.per_portion or row.share)


def why(visit: Visit) -> Reply:
    """The trail of one figure, down to the table row or the label and the line of the file."""
    opened = visit.opened
    recipe = opened.workshop.names.recipe(visit.asked.one("name"))
    if recipe is None:
        return not_known(visit, "dish", visit.asked.one("name"))
    made, _ = declared(opened, recipe, visit.law, batch=batch_of(opened, recipe))
    figure = visit.asked.one("figure")
    steps = figure_steps(opened, recipe, made, figure) if made and made.record.middle else None
    if steps is None:
        wrong = finding(
            "figure-not-known",
            Place(recipe.name),
            f'"{figure}" is no figure of {recipe.name}',
            "choose one on its page",
        )
        return visit.page("message.html", "No such figure", 404, here="/dishes", findings=[Told(wrong, None)])
    return visit.page("why.html", f"Why: {recipe.name}", here="/dishes", recipe=recipe, step=steps, law=visit.law)


def products(visit: Visit) -> Reply:
    opened = visit.opened
    marks = {
        each.subject: each
        for each in reversed(visit.found())
        if each.severity != "note" and each.subject in opened.kitchen.products
    }
    unread_ones = unread(visit)
    bare = [name for name in unread_ones if name not in opened.kitchen.products]
    return visit.page(
        "products.html",
        "Products",
        products=list(opened.kitchen.products.values()),
        marks=marks,
        unread=unread_ones,
        bare=bare,
    )


def product(visit: Visit) -> Reply:
    from labeller.serving.exchange import neighbours, users

    opened = visit.opened
    found = opened.workshop.names.product(visit.asked.one("name"))
    if found is None:
        return not_known(visit, "product", visit.asked.one("name"))
    mine = [each for each in visit.found() if each.subject == found.name]
    facts, _ = opened.workshop.names.facts(found.name, "", found.place)
    return visit.page(
        "product.html",
        found.name,
        here="/products",
        product=found,
        groups=by_weight(visit, mine),
        facts=facts,
        food=opened.workshop.names.meaning(found.name, "", found.place).food,
        kinds=opened.workshop.tables.kinds,
        users=[each.name for each in users(opened, found.name)],
        near=[each.name for each in neighbours(opened, found.name)],
    )


def menus(visit: Visit) -> Reply:
    kitchen = visit.opened.kitchen
    now = {menu.name for menu in visit.menus_now()}
    batches = sorted(kitchen.batches.values(), key=lambda batch: batch.date, reverse=True)
    return visit.page(
        "menus.html",
        "Menus and batches",
        menus=list(kitchen.menus.values()),
        now=now,
        batches=batches,
        courses={menu.name: _courses(menu) for menu in kitchen.menus.values()},
    )


def every_page(visit: Visit) -> Reply:
    return visit.page("pages.html", "All pages", here="/pages", sections=sections(visit.read_only))


__all__ = [
    "Told",
    "all_dishes",
    "by_weight",
    "dish",
    "dishes",
    "every_page",
    "menus",
    "not_known",
    "product",
    "products",
    "settle",
    "today",
    "told",
    "unread",
]
