"""For other programs: what ``labeller export`` writes, as a download."""

from __future__ import annotations

from argparse import Namespace

from labeller.serving.exporting import ENDING, FORMS, content_of
from labeller.serving.web.asking import Reply
from labeller.serving.web.looking import told
from labeller.serving.web.visits import Visit
from labeller.serving.writing import slug
from labeller.terms.findings import Place, finding

WHAT = {
    "recipes": ("Recipes", "every entry as it is typed, to take elsewhere and back"),
    "records": ("Records", "each dish and pack with its allergens, figures and what they rest on"),
    "matrix": ("Allergen matrix", "dishes down, allergens across, for a spreadsheet"),
    "nutrition": ("Nutrition", "the declared figures, for a website or a till"),
    "gs1": ("Product codes", "packs with the trade's codes for allergens and nutrients"),
    "menu": ("Menu", "courses and dishes of the menus"),
}
NAMES = {"xlsx": "XLSX", "csv": "CSV", "json": "JSON", "json-ld": "JSON-LD"}
TYPES = {
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "csv": "text/csv; charset=utf-8",
    "json": "application/json",
    "json-ld": "application/ld+json",
}


def exports(visit: Visit) -> Reply:
    """The list; with ``what`` and ``as`` the file itself."""
    asked = visit.asked
    what, form = asked.one("what"), asked.one("as")
    if what not in FORMS or form not in FORMS[what]:
        menus = list(visit.opened.kitchen.menus)
        menu = asked.one("menu") if asked.one("menu") in menus else ""
        forms = {key: [(one, NAMES[one]) for one in FORMS[key]] for key in WHAT}
        return visit.page("exports.html", "Export", here="/export", what=WHAT, forms=forms, menus=menus, menu=menu, law=visit.law)
    menu = visit.opened.kitchen.menus.get(asked.one("menu"))
    made, findings = content_of(Namespace(what=what, law=visit.law, language="en"), form, visit.opened, menu)
    if made is None:
        wrong = findings or (finding("nothing-to-print", Place("export"), "there is nothing to write out", "write a dish first"),)
        return visit.page("message.html", "Not written", 422, here="/export", findings=told(visit, wrong))
    name = f"{slug(menu.name if menu else visit.opened.kitchen.name or 'kitchen')}-{what}{ENDING[form]}"
    return Reply(200, made, TYPES[form], (("Content-Disposition", f'attachment; filename="{name}"'),))
