"""One visit to a page: what was asked, of which kitchen, for which day; and where each finding is settled."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date as calendar
from functools import cache
from typing import NamedTuple

from labeller.reading.kitchen_edit import Kept, kept
from labeller.serving.pipeline import Opened
from labeller.serving.verbs_guest import CAUTION
from labeller.serving.web.asking import Asked, Reply, to
from labeller.serving.web.house import House
from labeller.serving.web.rendering import page
from labeller.serving.web.uploads import Tray
from labeller.terms.findings import SEVERITIES, Finding
from labeller.terms.kitchen import Menu
from labeller.terms.words import normalise


class Link(NamedTuple):
    """A page as the list of pages has it. near: it stands in the bar of every page, the first FIRST of them on a phone too.
    writes: it is there to change something."""

    address: str
    name: str
    words: str
    near: bool = False
    writes: bool = False


SECTIONS: tuple[tuple[str, tuple[Link, ...]], ...] = (
    (
        "Service",
        (
            Link("/", "Today", "what is served, made and not settled today", near=True),
            Link("/settle", "Not settled", "everything that is wrong, doubtful or not confirmed, each with its field", near=True),
            Link("/guests", "Guest questions", "what each seat avoids, dish by dish", near=True),
            Link("/menus", "Menus", "menus and batches; this week's menu from last week's", near=True),
            Link("/compare", "Compare", "one product in the place of another, looked at or done for a day", near=True),
        ),
    ),
    (
        "Recipes and products",
        (
            Link("/dishes", "Dishes", "dishes, packs and sub-recipes with their records", near=True),
            Link("/bring-in", "Bring recipes in", "from a pasted list, a spreadsheet or a recipe page", near=True, writes=True),
            Link("/products", "Products", "bought-in goods and what their packs say", near=True),
            Link("/label", "Read a label", "which allergens a printed list holds; looks only"),
            Link("/foods", "Food data", "the table of foods: figures, allergens, household weights"),
        ),
    ),
    (
        "Paper",
        (
            Link("/print", "Print", "matrix, cards, labels, floor page, run sheets", near=True),
            Link("/sign-off", "Sign-off", "freeze what a menu declares, with a name", near=True, writes=True),
            Link("/changes", "Changes since sign-off", "what moved since, and which prints no longer hold"),
            Link("/find-mark", "Find a mark", "the record behind the short mark of a print"),
            Link("/recall", "Recall", "from a jar or a lot to batches, dishes, menus and prints"),
            Link("/export", "Export", "XLSX, CSV, JSON for other programs"),
        ),
    ),
    (
        "The kitchen",
        (
            Link("/house", "The kitchen", "name, address, law, shared equipment, label stock", writes=True),
            Link("/laws", "Laws", "which rules are applied, since when, read or from memory"),
            Link("/releases", "Releases of the food data", "what another release would change, before it is accepted"),
        ),
    ),
)
ORDER = ("/", "/settle", "/guests", "/dishes", "/print")  # of the bar: these first, and alone on a phone
DONE = {
    "saved": "Saved.",
    "out": "Taken out.",
    "undone": "The last change was taken back.",
    "confirmed": "Confirmed.",
    "printed": "Printed to the folder out/.",
    "replaced": "Written for this day only; prints that no longer hold were moved aside.",
    "signed": "Signed off.",
    "same": "Nothing was different; nothing was written.",
    "brought": "Written. Lines that are asked stand under Not settled until they are changed or found right.",
    "copied": "Copied.",
    "aside": "Moved aside, into void/ beside where they were.",
}
UNREAD = (
    "unread-product",
    "label-disagrees",
    "contains-not-on-label",
    "usual-not-declared",
    "evidence-old",
    "evidence-in-future",
    "evidence-incomplete",
    "product-recalled",
    "unknown-kind",
)
UNMATCHED = ("no-food-match", "unknown-food-code", "composition-not-known")


@dataclass(frozen=True, slots=True)
class Visit:
    """form_key: what each form carries. tray: files that were sent. read_only: nothing can be changed from this page."""

    house: House
    asked: Asked
    form_key: str
    today: str
    tray: Tray
    read_only: bool = False

    @property
    def date(self) -> str:
        """The day that answers are given for: today, unless another one was picked."""
        return self.picked or self.today

    @property
    def picked(self) -> str:
        typed = self.asked.cookies.get("labeller_day", "")
        return typed if is_day(typed) and typed != self.today else ""

    @property
    def opened(self) -> Opened:
        return self.house.opened(self.date)

    @property
    def law(self) -> str:
        from labeller.printing.words import LAWS

        asked = self.asked.one("law")
        return asked if asked in LAWS else self.opened.kitchen.law

    def found(self) -> tuple[Finding, ...]:
        return self.house.found(self.date)

    def page(self, template: str, title: str, status: int = 200, /, here: str = "", **values: object) -> Reply:
        """A page with its frame. here: address of the page of PAGES it belongs to."""
        opened = self.opened
        done = DONE.get(self.asked.query.get("done", [""])[0], "")
        return page(
            template,
            status,
            title=title,
            here=here or self.asked.path,
            form_key=self.form_key,
            date=self.date,
            today=self.today,
            picked=bool(self.picked),
            kitchen=opened.workshop.kitchen if opened.workshop else None,
            pages=bar(self.read_only),
            first=len(ORDER),
            read_only=self.read_only,
            done=done,
            last=last_change(self.house),
            caution=CAUTION,
            **values,
        )

    def menus_now(self) -> tuple[Menu, ...]:
        """Menus in force on the day, in the order of the files."""
        return tuple(menu for menu in self.opened.kitchen.menus.values() if menu.starts <= self.date <= (menu.ends or "9999"))

    def menu(self) -> Menu | None:
        """The menu asked for, else the one in force, else the first there is."""
        menus = self.opened.kitchen.menus
        now = self.menus_now()
        return menus.get(self.asked.one("menu")) or (now[0] if now else next(iter(menus.values()), None))

    def names(self) -> list[str]:
        """The kitchen's own words for ingredients: what its recipes, products and lines are called."""
        kitchen = self.opened.kitchen
        found = {normalise(name): name for name in (*kitchen.products, *kitchen.recipes)}
        for recipe in kitchen.recipes.values():
            for line in recipe.lines:
                found.setdefault(normalise(line.name), line.name)
        return sorted(found.values(), key=str.lower)


@cache
def sections(read_only: bool) -> tuple[tuple[str, tuple[Link, ...]], ...]:
    """Every page under its heading; those that are there to change something only where that can be done."""
    return tuple((title, tuple(link for link in links if not (read_only and link.writes))) for title, links in SECTIONS)


@cache
def bar(read_only: bool) -> tuple[Link, ...]:
    """The pages of the bar, in their order."""
    near = {link.address: link for _, links in sections(read_only) for link in links if link.near}
    return (*(near[address] for address in ORDER), *(link for address, link in near.items() if address not in ORDER))


def last_change(house: House) -> Kept | None:
    return next(reversed(kept(house.folder)), None)


def is_day(text: str) -> bool:
    try:
        return calendar.fromisoformat(text).isoformat() == text
    except ValueError:
        return False


def weighed(findings: tuple[Finding, ...]) -> list[tuple[str, list[Finding]]]:
    """Findings by weight, the heaviest first; a weight without findings is left out."""
    groups = [(weight, [each for each in findings if each.severity == weight]) for weight in SEVERITIES]
    return [(weight, each) for weight, each in groups if each]


def settles(opened: Opened, each: Finding) -> tuple[str, str] | None:
    """(words, address) of the field where a finding is settled, None where the page has none."""
    kitchen = opened.kitchen
    if each.code in UNREAD and each.subject:
        product = opened.workshop.names.product(each.subject)
        if each.code == "product-recalled" and product:
            return "open the product", to("/entry", kind="product", name=product.name)
        return "read its pack", to("/jar", name=product.name if product else each.subject)
    if each.code in UNMATCHED:
        named = _name_at(opened, each)
        if named:
            return f"choose a row for {named}", to("/match", name=named)
    entry = entry_at(opened, each.place.file, each.place.line)
    if entry:
        kind, name = entry
        return f"open {kind} {name}", to("/entry", kind=kind, name=name, line=str(each.place.line)) + "#at"
    if each.subject in kitchen.recipes:
        return f"open {each.subject}", to("/dish", name=each.subject)
    dish = next((name for name in each.dishes if name in kitchen.recipes), "")
    return (f"open {dish}", to("/dish", name=dish)) if len(each.dishes) == 1 else None


def _name_at(opened: Opened, each: Finding) -> str:
    """The ingredient that stands on a finding's line."""
    for recipe in opened.kitchen.recipes.values():
        for line in recipe.lines:
            if line.place == each.place:
                return line.name
        if recipe.fried_in and recipe.fried_in.place == each.place:
            return recipe.fried_in.oil
    return ""


def entry_at(opened: Opened, file: str, line: int) -> tuple[str, str] | None:
    """(kind, name) of the entry that a line of a file belongs to."""
    kitchen = opened.kitchen
    if not file or not line:
        return None
    if file == kitchen.place.file or file.startswith("kitchen."):
        return "kitchen", kitchen.name
    entries = [
        (one.place.line, getattr(one, "kind", kind), one.name)
        for kind, group in (
            ("recipe", kitchen.recipes),
            ("product", kitchen.products),
            ("menu", kitchen.menus),
            ("batch", kitchen.batches),
        )
        for one in group.values()
        if one.place.file == file and one.place.line <= line
    ]
    return max(entries)[1:] if entries else None
