"""One visit to a page: what was asked, of which kitchen, for which day; and where each finding is settled."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date as calendar

from labeller.reading.kitchen_edit import Kept, kept
from labeller.serving.pipeline import Opened
from labeller.serving.verbs_guest import CAUTION
from labeller.serving.web.asking import Asked, Reply, to
from labeller.serving.web.house import House
from labeller.serving.web.rendering import page
from labeller.terms.findings import SEVERITIES, Finding
from labeller.terms.kitchen import Menu
from labeller.terms.words import normalise

PAGES = (
    ("/", "Today"),
    ("/settle", "Not settled"),
    ("/guests", "Guest questions"),
    ("/dishes", "Dishes"),
    ("/print", "Print"),
    ("/products", "Products"),
    ("/menus", "Menus"),
    ("/compare", "Compare"),
    ("/label", "Read a label"),
    ("/house", "The kitchen"),
    ("/sign-off", "Sign-off"),
)
FIRST = 5  # pages that stay in sight on a phone
DONE = {
    "saved": "Saved.",
    "out": "Taken out.",
    "undone": "The last change was taken back.",
    "confirmed": "Confirmed.",
    "printed": "Printed to the folder out/.",
    "replaced": "Written for this day only; prints that no longer hold were moved aside.",
    "signed": "Signed off.",
    "same": "Nothing was different; nothing was written.",
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
    """form_key: what each form carries."""

    house: House
    asked: Asked
    form_key: str
    today: str

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
            pages=PAGES,
            first=FIRST,
            done=done,
            last=last_change(self.house),
            caution=CAUTION,
            **values,
        )

    def menus_now(self) -> tuple[Menu, ...]:
        """Menus in force on the day, in the order of the files."""
        return tuple(
            menu for menu in self.opened.kitchen.menus.values() if menu.starts <= self.date <= (menu.ends or "9999")
        )

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
