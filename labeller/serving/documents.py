"""Which documents there are, and how each is made of what was worked out. Drawing is the printing floor's work."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from labeller.serving import guest, label_runs
from labeller.serving.pipeline import Opened, batch_of, declared
from labeller.serving.register import entry_of, sheet_mark
from labeller.serving.service_days import as_printed
from labeller.serving.standing import Standing, standing
from labeller.serving.writing import slug
from labeller.terms.findings import Finding, Place, finding
from labeller.terms.issued import Register
from labeller.terms.kitchen import Batch, Menu, Recipe
from labeller.terms.record import Declaration
from labeller.terms.stock import Stock

if TYPE_CHECKING:
    from labeller.printing.guest_words import GuestWords
    from labeller.serving.seats import Seat
    from labeller.terms.floor import Heading

ROLLS = {"80 mm": "roll 80", "58 mm": "roll 58"}  # ticket rolls by the width that --page names


class Wanted(Struct, frozen=True):
    """How to print. stock: a name of kitchen.yaml or a size; copies: 0 = as many as the batch; face_cm2: largest face of the
    pack, where it is not as the recipe has it. sheet: only this sheet of labels, 0 = all. use_by: ISO date for tubs. also:
    further languages of cards. named: the command named its languages, so that the kitchen's own come after them."""

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
    sheet: int = 0
    use_by: str = ""
    also: tuple[str, ...] = ()
    named: bool = False
    accepted: str = ""  # why, and by whom, labels are printed of packs whose contact nobody has assessed
    incomplete: str = ""  # the same of packs that lack a table or a particular which the law asks for


class Printed(Struct, frozen=True):
    """A document as bytes, or none (b"") with the findings that say why. told: what it was printed from, for the list of
    prints."""

    file: str
    content: bytes
    findings: tuple[Finding, ...] = ()
    told: Mapping | None = None


class Press:
    """Makes the documents of one opened kitchen. signed: what they say of their sign-off, when one is being made; else it is
    looked up."""

    def __init__(self, opened: Opened, wanted: Wanted, signed: Standing | None = None):
        self.opened, self.wanted, self.signed = opened, wanted, signed
        self._declared: dict[tuple[str, str], Declaration | None] = {}
        self._entries: dict[str, dict | None] = {}
        self._standings: dict[str, Standing] = {}

    @cached_property
    def register(self) -> Register:
        from labeller.reading.issued import read_register

        return read_register(self.opened.folder)

    @cached_property
    def _said(self) -> GuestWords:
        return self.words()[0]

    def words(self) -> tuple[GuestWords, tuple[Finding, ...]]:
        """What sheets and cards say in the language asked for, and what it lacks."""
        from labeller.printing.guest_words import guest_words

        return guest_words(self._looks()[0], self.wanted.language)

    def phrase(self, key: str) -> str:
        """A phrase that the law's own words have in the language asked for, else in English."""
        law = self.opened.workshop.tables.law(
            self.wanted.law, self.opened.date, tuple(dict.fromkeys(("en", self.wanted.language)))
        )
        return (law.words.get(self.wanted.language) or law.words["en"]).phrases[key]

    def standing(self, menu: Menu) -> Standing:
        """Under which sign-off the menu's documents stand."""
        if self.signed is not None:
            return self.signed
        if menu.name not in self._standings:
            entries = self.frozen(menu.dishes())
            self._standings[menu.name] = standing(self.opened, self.register, menu, self.wanted.law, entries)
        return self._standings[menu.name]

    def frozen(self, names: Iterable[str]) -> list[dict]:
        """Frozen form, in English, of each recipe named that can be declared."""
        found = [recipe for name in names if (recipe := self.opened.workshop.names.recipe(name))]
        for recipe in found:
            if recipe.name not in self._entries:
                made = self.declaration(recipe, batch_of(self.opened, recipe))
                if made is None or self.wanted.language != "en":
                    made, _ = declared(self.opened, recipe, self.wanted.law, batch=batch_of(self.opened, recipe))
                self._entries[recipe.name] = entry_of(made) if made is not None else None
        return [entry for recipe in found if (entry := self._entries[recipe.name]) is not None]

    def told(self, stem: str, menu: Menu, names: Iterable[str] = ()) -> dict:
        """What a sheet of a menu is printed from. names: the dishes and recipes on it, all of the menu when none is named."""
        entries, stands = self.frozen(tuple(names) or menu.dishes()), self.standing(menu)
        mark = sheet_mark(stem, entries)
        line = f"{stands.line(self._said)} · {self._said.say('mark', mark)}"
        return {
            "menu": menu.name,
            "law": self.wanted.law,
            "language": self.wanted.language,
            "mark": mark,
            "number": stands.number,
            "says": stands.text,
            "line": line,
            "on_menu": list(menu.dishes()),
            **self.versions(),
            "dishes": {entry["dish"]: entry["digest"] for entry in entries},
        }

    def planned(self, menu: Menu) -> list[tuple[str, dict]]:
        """(file, what it is printed from) of each document of a menu, without printing it. Labels are of batches, not of
        menus."""
        stem, used = slug(menu.name), self.used_in(menu)
        cards = [*used, *(recipe.name for name in menu.dishes() if (recipe := self.opened.workshop.names.recipe(name)))]
        files = {
            f"{stem}-matrix.pdf": (),
            f"{stem}-components.pdf": tuple(used),
            f"{stem}-menu-card.pdf": (),
            f"{stem}-guest-card.pdf": (),
            f"{stem}-tent-cards.pdf": (),
            f"{stem}-floor.html": (),
            f"{stem}-records.json": (),
            **{f"recipe-cards/{slug(name)}.pdf": (name,) for name in cards},
        }
        return [(file, self.told(file.rpartition(".")[0], menu, names)) for file, names in files.items()]

    def versions(self) -> dict:
        return {
            "date": self.opened.date,
            "kitchen_version": self.opened.kitchen.version,
            "data_version": self.opened.workshop.tables.foods.version,
        }

    @staticmethod
    def _issue(told: Mapping) -> str:
        return str(told["line"])

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

    def label_looks(self):
        from labeller.reading.label_looks import label_looks

        return label_looks(self.opened.folder / "templates")

    def kind_names(self, language: str = "") -> dict[str, str]:
        """The word for each allergen kind in a language, "" for that of the documents."""
        from labeller.declaring.states import name_of

        kinds, language = self.opened.workshop.tables.kinds, language or self.wanted.language
        if language == "en":
            return {key: kind.name for key, kind in kinds.items()}
        words = self._words(language)
        return {key: name_of(key, words, kinds) for key in kinds} if words else {}

    def _words(self, language: str):
        law = self.opened.workshop.tables.law(self.wanted.law, self.opened.date, tuple(dict.fromkeys(("en", language))))
        return law.words.get(language)

    def terms_missing(self, declarations: Iterable[Declaration], language: str) -> tuple[Finding, ...]:
        """A finding for kinds that a language has no word for: their group's name stands instead, never an English word."""
        words = self._words(language)
        if language == "en" or words is None:
            return ()
        kinds, names = self.opened.workshop.tables.kinds, self.kind_names(language)
        said = dict.fromkeys(fact.kind for one in declarations for fact in one.record.facts if fact.kind not in words.kinds)
        if not said:
            return ()
        told = ", ".join(f"{kinds[kind].name if kind in kinds else kind} (“{names.get(kind, kind)}” stands)" for kind in said)
        return (
            finding(
                "sheet-term-missing",
                Place(f"reference/rules/words/{language}.yaml"),
                f"“{language}” has no word for {told}",
                "tell the guest in words; this edition has no word of its own for it",
            ),
        )

    def _sheet(self, stem: str, make: Callable, *args, told: dict, **more) -> Printed:
        looks, faults = self._looks()
        content, found = make(
            *args,
            date=self.opened.date,
            page=self.wanted.page,
            kitchen_name=self.opened.kitchen.name,
            language=self.wanted.language,
            looks=looks,
            names=self.kind_names(),
            issue=self._issue(told),
            code=self.code(told["mark"]),
            **more,
        )
        return Printed(f"{stem}.pdf", content, (*faults, *found), told)

    def _tongues(self, menu: Menu) -> tuple[tuple, tuple[Finding, ...]]:
        """The menu's dishes in the further languages of cards, and the words that are missing there."""
        from labeller.printing.cards import Tongue

        out, found = [], self.terms_missing(self.of_menu(menu), self.wanted.language)
        for language in self.wanted.also:
            recipes = [recipe for name in menu.dishes() if (recipe := self.opened.workshop.names.recipe(name))]
            made = [
                declared(self.opened, recipe, self.wanted.law, language, batch_of(self.opened, recipe))[0] for recipe in recipes
            ]
            there = [each for each in made if each is not None]
            out.append(Tongue(language, there, self.kind_names(language)))
            found += self.terms_missing(there, language)
        return tuple(out), found

    @staticmethod
    def _and(printed: Printed, found: Iterable[Finding]) -> Printed:
        return Printed(printed.file, printed.content, (*printed.findings, *found), printed.told)

    def matrix(self, menu: Menu) -> Printed:
        from labeller.printing.matrix import matrix_pdf

        stem = f"{slug(menu.name)}-matrix"
        made = self.of_menu(menu)
        return self._and(
            self._sheet(stem, matrix_pdf, menu, made, told=self.told(stem, menu)), self.terms_missing(made, self.wanted.language)
        )

    def components(self, menu: Menu) -> Printed:
        from labeller.printing.matrix import component_matrix_pdf

        used = self.used_in(menu)
        declarations = [one for name in used if (one := self.declaration(self.opened.kitchen.recipes[name])) is not None]
        stem = f"{slug(menu.name)}-components"
        return self._sheet(stem, component_matrix_pdf, menu.name, declarations, used_in=used, told=self.told(stem, menu, used))

    def used_in(self, menu: Menu) -> dict[str, list[str]]:
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
        stem = f"{slug(menu.name)}-menu-card"
        also, silent = self._tongues(menu)
        return self._and(
            self._sheet(
                stem,
                menu_card_pdf,
                menu,
                self.of_menu(menu),
                nutrition=asked,
                choices=self._choices(menu),
                also=also,
                told=self.told(stem, menu),
            ),
            silent,
        )

    def _choices(self, menu: Menu) -> dict[tuple[str, ...], str]:
        """Energy of each course with a choice, where its plates show theirs."""
        from labeller.declaring.menu import choice_energy

        by_name = {one.dish: one for one in self.of_menu(menu)}
        law = self.opened.workshop.tables.law(
            self.wanted.law, self.opened.date, tuple(dict.fromkeys(("en", self.wanted.language)))
        )
        out = {}
        for course in menu.courses:
            plates = [by_name[name] for name in course.dishes if name in by_name]
            if len(plates) == len(course.dishes) > 1 and all(one.menu_energy for one in plates):
                out[course.dishes] = choice_energy(plates, law)
        return out

    def guest_card(self, menu: Menu) -> Printed:
        """The facts of each dish for a guest to read. Of a stopped dish no change is told."""
        from labeller.printing.guest_card import guest_card_pdf
        from labeller.serving.ways import effects

        made, names = self.of_menu(menu), self.opened.workshop.names
        ways = {
            one.dish: effects(self.opened.workshop, recipe)
            for one in made
            if not one.stopped and (recipe := names.recipe(one.dish))
        }
        stem = f"{slug(menu.name)}-guest-card"
        also, silent = self._tongues(menu)
        return self._and(self._sheet(stem, guest_card_pdf, menu, made, ways, also=also, told=self.told(stem, menu)), silent)

    def tent_cards(self, menu: Menu) -> Printed:
        from labeller.printing.cards import tent_card_pdf

        stem = f"{slug(menu.name)}-tent-cards"
        also, silent = self._tongues(menu)
        return self._and(
            self._sheet(stem, tent_card_pdf, self.of_menu(menu), per_page=2, also=also, told=self.told(stem, menu)), silent
        )

    def recipe_cards(self, menu: Menu) -> list[Printed]:
        names = [
            *self.used_in(menu),
            *(recipe.name for name in menu.dishes() if (recipe := self.opened.workshop.names.recipe(name))),
        ]
        made = [self.recipe_card(self.opened.kitchen.recipes[name], menu) for name in names]
        return [each for each in made if each is not None]

    def recipe_card(self, recipe: Recipe, menu: Menu | None = None) -> Printed | None:
        """The card of one recipe. menu: whose sign-off it stands under; else a menu of the date that uses it."""
        from labeller.printing.recipe_card import recipe_card_pdf

        declaration = self.declaration(recipe, batch_of(self.opened, recipe))
        if declaration is None:
            return None
        stem = f"recipe-cards/{slug(recipe.name)}"
        return self._sheet(
            stem, recipe_card_pdf, declaration, recipe, told=self.told(stem, menu or self._menu_with(recipe), (recipe.name,))
        )

    def box_card(self, recipe: Recipe, batch: Batch | None = None) -> Printed:
        """The card for a mixed box: each piece, then the whole."""
        from labeller.printing.box_card import Piece, box_card_pdf

        stem = f"{label_runs.stem_of(recipe, batch)}-box-card"
        made = self.declaration(recipe, batch)
        held = [(line, self.opened.workshop.names.recipe(line.name)) for line in recipe.lines if recipe.kind == "pack"]
        if made is None or not held:
            return Printed(
                f"{stem}.pdf",
                b"",
                (
                    finding(
                        "box-card-needs-pieces",
                        recipe.place,
                        f"“{recipe.name}” is no pack that holds pieces",
                        "name a pack with --pack that has a list `holds:`",
                        recipe.name,
                    ),
                ),
            )
        pieces = [
            Piece(line.amount.number.mid if line.amount else 1.0, line.name, self.declaration(one) if one else None)
            for line, one in held
        ]
        names = (recipe.name, *(one.name for _, one in held if one))
        return self._sheet(stem, box_card_pdf, made, pieces, told=self.told(stem, self._menu_with(recipe), names))

    def _menu_with(self, recipe: Recipe) -> Menu:
        for menu in self.opened.kitchen.menus.values():
            if menu.starts <= self.opened.date <= (menu.ends or "9999") and recipe.name in {*self.used_in(menu), *menu.dishes()}:
                return menu
        return Menu("", recipe.place)

    def _course(self, heading: Heading) -> str:
        """A course's title; the words for a course without one ("Course 4", "Packs") are of the document's language."""
        if heading.title or self.wanted.language == "en":
            return str(heading)
        return self._said.say("floor course", heading.number) if heading.number else self._said.say("packs")

    def ticket(self, menu: Menu, seats: Iterable[Seat], table: str) -> Printed:
        from labeller.printing.kitchen_cards import ticket_pdf
        from labeller.serving.floor_tongues import avoided_words
        from labeller.terms.floor import CAUTION, Ticket, TicketSeat, with_state_names

        looks, faults = self._looks()
        floor = guest.prepared(self.opened.workshop, menu)
        spoken = next((one.cautions for one in self.of_menu(menu) if one.cautions), ())
        cautions = spoken if spoken and self.wanted.language != "en" else (CAUTION,)
        seats, language = tuple(seats), self.wanted.language
        words = self._words(language) if language != "en" else None
        called = {one.name: avoided_words(self.opened.workshop, one.avoided, words, language) for one in seats}
        pairs = [pair for one in seats for pair in zip(one.avoided, called[one.name], strict=True)]
        foods = {guest.keys_of((each,))[0]: word for each, word in pairs if each.ingredient}
        made = tuple(
            TicketSeat(
                one.name,
                called[one.name],
                tuple(
                    (self._course(each.heading), each.shown or each.dish, each.answer)
                    for each in guest.answers(self.opened.workshop, menu, one.avoided, floor)
                ),
            )
            for one in seats
        )
        ticket = Ticket(
            self.opened.kitchen.name,
            menu.name,
            self.opened.date,
            table,
            made,
            self.wanted.law,
            self.opened.kitchen.version,
            self.opened.workshop.tables.foods.version,
            cautions,
            {**with_state_names(self.kind_names(), language == "en"), **foods},
        )
        stem = f"{slug(menu.name)}-ticket{'-' + slug(table) if table else ''}"
        told = self.told(stem, menu)
        roll = None
        if self.wanted.page in ROLLS:
            roll, wrong = label_runs.find(self, ROLLS[self.wanted.page], Place("--page"))
            if wrong:
                return Printed(f"{stem}.pdf", b"", (wrong,))
        content, found = ticket_pdf(
            ticket,
            page=self.wanted.page,
            language=self.wanted.language,
            looks=looks,
            issue=self._issue(told),
            code=self.code(told["mark"]),
            roll=roll,
        )
        return Printed(f"{stem}.pdf", content, (*faults, *found), told)

    def floor_page(self, menu: Menu) -> Printed:
        from labeller.printing.floor_page import floor_page
        from labeller.serving.floor_tongues import Asked, floor_tongues, languages_of

        looks, faults = self._looks()
        workshop, kitchen = self.opened.workshop, self.opened.kitchen
        stem = f"{slug(menu.name)}-floor"
        told = self.told(stem, menu)
        avoids = guest.avoids(workshop.tables.kinds, workshop.tables.guest_words, workshop.tables.guest_ingredients)
        named = (self.wanted.language, *self.wanted.also) if self.wanted.named else ()
        languages = languages_of(named, kitchen.languages)
        asked = Asked(self.wanted.law, self.opened.date, avoids, lambda language: self._line(menu, told["mark"], language))
        tongues, missing = floor_tongues(workshop, languages, asked)
        data = guest.floor_data(
            workshop,
            as_printed(self.opened, menu),
            law=self.wanted.law,
            made=self.wanted.made or self.opened.date,
            avoids=avoids,
            data_version=workshop.tables.foods.version,
        )
        text, found = floor_page(replace(data, language=kitchen.languages[0], tongues=tongues), looks)
        return Printed(f"{stem}.html", text.encode("utf-8"), (*faults, *missing, *found), told)

    def _line(self, menu: Menu, mark: str, language: str) -> str:
        """Sign-off and mark as a sheet says them, in a language."""
        from labeller.printing.guest_words import guest_words

        said = guest_words(self._looks()[0], language)[0]
        return f"{self.standing(menu).line(said)} · {said.say('mark', mark)}"

    def records(self, menu: Menu) -> Printed:
        from labeller.declaring.published import as_json

        text = json.dumps([as_json(each) for each in self.of_menu(menu)], ensure_ascii=False, indent=1)
        stem = f"{slug(menu.name)}-records"
        return Printed(f"{stem}.json", text.encode("utf-8"), told=self.told(stem, menu))

    def record_pages(self, printed: Iterable[Printed]) -> list[Printed]:
        """For each mark on the prints the page behind its QR code; none where the kitchen gives no address."""
        if not self.opened.kitchen.web:
            return []
        out: dict[str, Printed] = {}
        for each in printed:
            told = each.told or {}
            marks = told.get("marks") or {told.get("mark", ""): {}}
            for mark, pack in marks.items() if each.content else ():
                if mark and f"records/{mark}.html" not in out:
                    made = self._record_page(mark, pack, told, Path(each.file).stem.replace("-", " "))
                    out[made.file] = made
        return list(out.values())

    def _record_page(self, mark: str, pack: Mapping, told: Mapping, title: str) -> Printed:
        """pack: dish, batch and lot of a label's mark; {} for a sheet, which shows all its dishes."""
        from labeller.printing.record_page import record_page

        names = self.opened.workshop.names
        recipes = [recipe for name in ([pack["dish"]] if pack else told["dishes"]) if (recipe := names.recipe(name))]
        batch = self.opened.kitchen.batches.get(pack.get("batch", ""))
        made = [self.declaration(recipe, batch or batch_of(self.opened, recipe)) for recipe in recipes]
        signed = told.get("says") or (f"no. {told['number']}" if told["number"] else "nobody has signed it off")
        facts = (
            ("Mark", mark),
            ("Batch", pack.get("batch", "")),
            ("Lot", pack.get("lot", "")),
            ("Menu", told.get("menu", "")),
            ("Law", f"{self.wanted.law.upper()}, as of {self.opened.date}"),
            ("Kitchen version", told["kitchen_version"]),
            ("Data version", told["data_version"]),
            ("Sign-off", signed),
        )
        text, found = record_page(
            mark,
            pack.get("dish", "") or title,
            facts,
            [one for one in made if one is not None],
            kitchen_name=self.opened.kitchen.name,
            looks=self._looks()[0],
            names=self.kind_names(),
            language=self.wanted.language,
        )
        return Printed(f"records/{mark}.html", text.encode("utf-8"), found, {**told, "mark": mark})

    def labels(self, recipe: Recipe, batch: Batch | None) -> Printed:
        """Labels of one pack; those of a day are made by :mod:`labeller.serving.label_runs`."""
        return label_runs.labels(self, [(recipe, batch)])[0]

    def signed_state(self, recipe: Recipe) -> tuple[str, int]:
        """Digest of a recipe as it is, and the number of the sign-off that holds for it (0: none)."""
        entries = self.frozen([recipe.name])
        digest = entries[0]["digest"] if entries else ""
        return digest, self.signed.number if self.signed is not None else self._number_of(recipe.name, digest)

    def _number_of(self, dish: str, digest: str) -> int:
        """The newest sign-off of a menu that still holds and says the same of a dish under this law; 0: none."""
        if self.register.findings:
            return 0
        names = self.opened.kitchen.menus
        newest = [issue for name in names if (issue := self.register.latest(name))]
        held = [
            issue.number
            for issue in newest
            for entry in issue.content["declarations"]
            if (entry["dish"], entry["law"], entry["digest"]) == (dish, self.wanted.law, digest)
        ]
        return max(held, default=0)

    def stock(self) -> tuple[Stock | None, Finding | None]:
        """By a name of kitchen.yaml, else by its size; the kitchen's first when nothing was asked."""
        return label_runs.find(self, self.wanted.stock or next(iter(self.opened.kitchen.stocks), ""), Place("kitchen.yaml"))

    def version_words(self) -> str:
        """Which records, which data, which law: as it stands in the properties of a PDF."""
        return (
            f"law {self.wanted.law} of {self.opened.date} · kitchen {self.opened.kitchen.version} · "
            f"data {self.opened.workshop.tables.foods.version}"
        )

    def code(self, mark: str) -> str:
        """Address of the record behind a mark, for a QR code; "" where the kitchen gives no address."""
        web = self.opened.kitchen.web.strip()
        return f"{web.rstrip('/')}/{mark}.html" if web and mark else ""

    def test_print(self) -> Printed:
        from labeller.printing.stock import test_print_pdf

        stock, wrong = self.stock()
        if wrong:
            return Printed("test-print.pdf", b"", (wrong,))
        looks, faults = self.label_looks()
        content, found = test_print_pdf(
            stock, looks, offset=self.wanted.offset, start=self.wanted.start, language=self.wanted.language
        )
        return Printed("test-print.pdf", content, (*faults, *found))


def out_folder(opened: Opened, out: Path | None) -> Path:
    return out if out is not None else opened.folder / "out"
