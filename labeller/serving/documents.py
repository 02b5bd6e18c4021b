"""Which documents there are, and how each is made of what was worked out. Drawing is the printing floor's work."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

from msgspec import Struct

from labeller.serving import guest
from labeller.serving.pipeline import Opened, batch_of, declared
from labeller.serving.writing import slug
from labeller.terms.findings import STOP, Finding, Place, finding
from labeller.terms.kitchen import Batch, Menu, Recipe
from labeller.terms.record import Declaration


class Wanted(Struct, frozen=True):
    """How to print. stock: a name of kitchen.yaml or a size; copies: 0 = as many as the batch; face_cm2: largest face of the pack."""

    law: str
    page: str = "A4"
    language: str = "en"
    stock: str = ""
    copies: int = 0
    start: int = 1
    offset: tuple[float, float] = (0.0, 0.0)
    face_cm2: float | None = None
    split: bool = False
    numbered: bool = False
    made: str = ""


class Printed(Struct, frozen=True):
    """A document as bytes, or none (b"") with the findings that say why."""

    file: str
    content: bytes
    findings: tuple[Finding, ...] = ()


class Press:
    """Makes the documents of one opened kitchen."""

    def __init__(self, opened: Opened, wanted: Wanted):
        self.opened, self.wanted = opened, wanted
        self._declared: dict[tuple[str, str], Declaration | None] = {}

    def declaration(self, recipe: Recipe, batch: Batch | None = None) -> Declaration | None:
        key = recipe.name, batch.name if batch else ""
        if key not in self._declared:
            self._declared[key], _ = declared(self.opened, recipe, self.wanted.law, self.wanted.language, batch)
        return self._declared[key]

    def of_menu(self, menu: Menu) -> list[Declaration]:
        recipes = [self.opened.workshop.names.recipe(name) for name in menu.dishes()]
        found = [self.declaration(recipe, batch_of(self.opened, recipe)) for recipe in recipes if recipe]
        return [each for each in found if each is not None]

    def _looks(self):
        from labeller.reading.looks import looks

        return looks(self.opened.folder / "templates")

    def _label_looks(self):
        from labeller.reading.label_looks import label_looks

        return label_looks(self.opened.folder / "templates")

    def _kind_names(self) -> dict[str, str]:
        return {key: kind.name for key, kind in self.opened.workshop.tables.kinds.items()}

    def _sheet(self, stem: str, make: Callable, *args, **more) -> Printed:
        looks, faults = self._looks()
        content, found = make(*args, date=self.opened.date, page=self.wanted.page, kitchen_name=self.opened.kitchen.name,
                              language=self.wanted.language, looks=looks, names=self._kind_names(), **more)  # fmt: skip
        return Printed(f"{stem}.pdf", content, (*faults, *found))

    def matrix(self, menu: Menu) -> Printed:
        from labeller.printing.matrix import matrix_pdf

        return self._sheet(f"{slug(menu.name)}-matrix", matrix_pdf, menu, self.of_menu(menu))

    def components(self, menu: Menu) -> Printed:
        from labeller.printing.matrix import component_matrix_pdf

        used = self._used_in(menu)
        declarations = [one for name in used if (one := self.declaration(self.opened.kitchen.recipes[name])) is not None]
        return self._sheet(f"{slug(menu.name)}-components", component_matrix_pdf, menu.name, declarations, used_in=used)

    def _used_in(self, menu: Menu) -> dict[str, list[str]]:
        """Sub-recipes of a menu -> the dishes that use them."""
        found: dict[str, list[str]] = {}
        for name in menu.dishes():
            dish = self.opened.workshop.names.recipe(name)
            for each in self.opened.workshop.family(dish).values() if dish else ():
                if each.kind == "recipe":
                    found.setdefault(each.name, []).append(dish.name)
        return found

    def menu_card(self, menu: Menu) -> Printed:
        from labeller.printing.cards import menu_card_pdf

        asked = self.opened.kitchen.nutrition_asked
        return self._sheet(f"{slug(menu.name)}-menu-card", menu_card_pdf, menu, self.of_menu(menu), nutrition=asked)

    def tent_cards(self, menu: Menu) -> Printed:
        from labeller.printing.cards import tent_card_pdf

        return self._sheet(f"{slug(menu.name)}-tent-cards", tent_card_pdf, self.of_menu(menu), per_page=2)

    def recipe_cards(self, menu: Menu) -> list[Printed]:
        from labeller.printing.kitchen_cards import recipe_card_pdf

        names = [*self._used_in(menu), *(recipe.name for name in menu.dishes() if (recipe := self.opened.workshop.names.recipe(name)))]
        made = []
        for name in names:
            recipe = self.opened.kitchen.recipes[name]
            declaration = self.declaration(recipe, batch_of(self.opened, recipe))
            if declaration is not None:
                made.append(self._sheet(f"recipe-cards/{slug(name)}", recipe_card_pdf, declaration, recipe))
        return made

    def ticket(self, menu: Menu, seats: list[tuple[str, tuple[guest.Avoided, ...]]], table: str) -> Printed:
        from labeller.printing.kitchen_cards import ticket_pdf
        from labeller.serving.verbs_guest import CAUTION
        from labeller.terms.floor import Ticket, TicketSeat

        looks, faults = self._looks()
        made = tuple(TicketSeat(str(nr), tuple(each.word for each in avoided), tuple(
            (each.course, each.dish, each.answer) for each in guest.answers(self.opened.workshop, menu, avoided)))
            for nr, (_, avoided) in enumerate(seats, 1))  # fmt: skip
        ticket = Ticket(self.opened.kitchen.name, menu.name, self.opened.date, table, made, self.wanted.law, self.opened.kitchen.version,
                        self.opened.workshop.tables.foods.version, (CAUTION,), self._kind_names())  # fmt: skip
        content, found = ticket_pdf(ticket, page=self.wanted.page, language=self.wanted.language, looks=looks)
        return Printed(f"{slug(menu.name)}-ticket{'-' + slug(table) if table else ''}.pdf", content, (*faults, *found))

    def floor_page(self, menu: Menu) -> Printed:
        from labeller.printing.floor_page import floor_page

        looks, faults = self._looks()
        workshop = self.opened.workshop
        avoids = guest.avoids(workshop.tables.kinds, workshop.tables.guest_words)
        cautions = next((one.cautions for one in self.of_menu(menu) if one.cautions), ())
        data = guest.floor_data(workshop, menu, law=self.wanted.law, made=self.wanted.made or self.opened.date, avoids=avoids,
                                data_version=workshop.tables.foods.version, cautions=cautions)  # fmt: skip
        text, found = floor_page(data, looks)
        return Printed(f"{slug(menu.name)}-floor.html", text.encode("utf-8"), (*faults, *found))

    def records(self, menu: Menu) -> Printed:
        from labeller.declaring.published import as_json

        text = json.dumps([as_json(each) for each in self.of_menu(menu)], ensure_ascii=False, indent=1)
        return Printed(f"{slug(menu.name)}-records.json", text.encode("utf-8"))

    def labels(self, recipe: Recipe, batch: Batch | None) -> Printed:
        from labeller.printing.labels import LabelJob, labels_pdf

        file = f"{slug(batch.name if batch else recipe.name)}-labels.pdf"
        declaration = self.declaration(recipe, batch)
        stock, wrong = self.stock()
        if declaration is None or wrong:
            return Printed(file, b"", (wrong,) if wrong else ())
        if declaration.stopped:
            return Printed(file, b"", tuple(each for each in declaration.findings if each.severity == STOP))
        from labeller.reading.stock_tables import load_stock

        looks, faults = self._label_looks()
        copies = self.wanted.copies or (batch.count if batch else 0) or 1
        job = LabelJob(declaration, copies, batch.lot if batch else "", self.wanted.numbered, self.wanted.face_cm2, self.wanted.split, place=recipe.place)
        content, found = labels_pdf([job], stock, looks, start=self.wanted.start, offset=self.wanted.offset, date=self.opened.date,
                                    title=f"Labels: {recipe.name}", language=self.wanted.language, stocks=load_stock())  # fmt: skip
        return Printed(file, content, (*faults, *found))

    def stock(self):
        """(stock, finding): by a name of kitchen.yaml, else by its size; the kitchen's first when nothing was asked."""
        from labeller.reading.stock_tables import find_stock

        own = self.opened.kitchen.stocks
        asked = self.wanted.stock or next(iter(own), "")
        if not asked:
            return None, finding("stock-not-named", Place("kitchen.yaml"), "no label stock is named",
                                 "write `label sheets:` in kitchen.yaml, or --stock \"A4 99.1 x 67.7\"")  # fmt: skip
        found = find_stock(own.get(asked, asked), Place("kitchen.yaml"))
        return (None, found) if isinstance(found, Finding) else (found, None)

    def test_print(self) -> Printed:
        from labeller.printing.stock import test_print_pdf

        stock, wrong = self.stock()
        if wrong:
            return Printed("test-print.pdf", b"", (wrong,))
        looks, faults = self._label_looks()
        content, found = test_print_pdf(stock, looks, offset=self.wanted.offset, start=self.wanted.start, language=self.wanted.language)
        return Printed("test-print.pdf", content, (*faults, *found))


def out_folder(opened: Opened, out: Path | None) -> Path:
    return out if out is not None else opened.folder / "out"
