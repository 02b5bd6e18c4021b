"""Forms over the kitchen's files: an entry shown, changed, added, taken out; the last change taken back."""

from __future__ import annotations

from datetime import datetime

from labeller.reading import kitchen_edit
from labeller.reading.kitchen_edit import Written
from labeller.serving.web.asking import Reply, go, to
from labeller.serving.web.filling import filled, taken
from labeller.serving.web.forms import EXTRA_ROWS, GROUPS, LINE_FIELDS, Field, fields_of
from labeller.serving.web.looking import Told, not_known, told
from labeller.serving.web.visits import Visit
from labeller.terms.findings import Finding, Place, finding
from labeller.terms.kitchen import Kitchen
from labeller.terms.words import normalise

AT = {
    "recipe": "/dish",
    "dish": "/dish",
    "pack": "/dish",
    "product": "/product",
    "menu": "/menus",
    "batch": "/menus",
    "kitchen": "/house",
}
HERE = {
    "recipe": "/dishes",
    "dish": "/dishes",
    "pack": "/dishes",
    "product": "/products",
    "menu": "/menus",
    "batch": "/menus",
    "kitchen": "/house",
}
MOST_ROWS = 400


def now() -> str:
    return datetime.now().strftime("%Y-%m-%d %H:%M")


def written(visit: Visit, kind: str, name: str) -> Written | None:
    """The entry as it stands in its file."""
    kitchen = visit.opened.kitchen
    group = {"product": kitchen.products, "menu": kitchen.menus, "batch": kitchen.batches}.get(kind, kitchen.recipes)
    if kind == "kitchen":
        file = next((each for each in kitchen.files if each.startswith("kitchen.")), "kitchen.yaml")
        return kitchen_edit.entry(visit.house.folder, file, kind, kitchen.name)
    one = group.get(name)
    return kitchen_edit.entry(visit.house.folder, one.place.file, getattr(one, "kind", kind), one.name) if one else None


def entry(visit: Visit) -> Reply:
    """The form of an entry that is there (``name``), or of a new one."""
    kind, name = visit.asked.one("kind"), visit.asked.one("name")
    if kind not in GROUPS:
        return not_known(visit, "dish", name)
    if not name and kind != "kitchen":
        return _new(visit, kind)
    stands = written(visit, kind, name)
    if stands is None:
        return _no_form(visit, kind, name)
    line = visit.asked.one("line")
    at = _key_of_line(visit, stands, int(line)) if line.isdigit() else ""
    return form(visit, kind, stands.name, stands.file, stands.checksum, filled(kind, stands.fields), at=at)


def _no_form(visit: Visit, kind: str, name: str) -> Reply:
    """An entry that is there and can't be read as a form is shown as it is typed."""
    kitchen = visit.opened.kitchen
    group = {"product": kitchen.products, "menu": kitchen.menus, "batch": kitchen.batches}.get(kind, kitchen.recipes)
    if kind == "kitchen":
        return go("/text", file="kitchen.yaml", line=visit.asked.one("line"))
    if name in group:
        return go("/text", file=group[name].place.file, line=visit.asked.one("line") or str(group[name].place.line))
    return not_known(visit, "product" if kind == "product" else "dish", name)


def file_text(visit: Visit, *, status: int = 200, findings: tuple[Finding, ...] = ()) -> Reply:
    """A file of the kitchen as it is typed, for what no form can show."""
    file = visit.asked.one("file")
    found = kitchen_edit.text(visit.house.folder, file)
    if found is None:
        wrong = finding(
            "edit-no-place",
            Place(file[:80]),
            "there is no such file, or it is no text",
            "look into the kitchen's folder",
        )
        return visit.page("message.html", "Not there", 404, here="/", findings=[Told(wrong, None)])
    typed = visit.asked.form["text"][0] if "text" in visit.asked.form else found[0]
    line = visit.asked.one("line")
    number = int(line) if line.isdigit() and len(line) < 7 else 0
    at = found[0].split("\n")[number - 1 : number] if number else []
    mine = [each for each in visit.found() if each.place.file == file]
    return visit.page(
        "text.html",
        file,
        status,
        here="/settle",
        file=file,
        seen=visit.asked.one("seen") or found[1],
        text=typed,
        line=number,
        at=at[0] if at else "",
        findings=[Told(each, None) for each in findings],
        mine=[Told(each, None) for each in mine],
    )


def save_text(visit: Visit) -> Reply:
    file = visit.asked.one("file")
    new = visit.asked.form.get("text", [""])[0]
    saved = kitchen_edit.put_text(visit.house.folder, file, visit.asked.one("seen"), new, when=now())
    if saved.written:
        return go("/settle", done="saved")
    return file_text(visit, status=422, findings=saved.findings)


def house(visit: Visit) -> Reply:
    stands = written(visit, "kitchen", "")
    if stands is None and kitchen_edit.text(visit.house.folder, "kitchen.yaml") is not None:
        return go("/text", file="kitchen.yaml")
    if stands is None:
        missing = finding(
            "edit-not-clean",
            Place("kitchen.yaml"),
            "kitchen.yaml is not there or can't be read as a form",
            "change it with a text editor",
        )
        return visit.page("message.html", "The kitchen", 404, findings=[Told(missing, None)])
    return form(visit, "kitchen", stands.name, stands.file, stands.checksum, filled("kitchen", stands.fields))


def _key_of_line(visit: Visit, stands: Written, line: int) -> str:
    data = (visit.house.folder / stands.file).read_bytes()
    here = finding("form-not-read", Place(stands.file, line), "", "")
    return next(iter(kitchen_edit.beside(data, stands.file, stands.kind, stands.name, (here,))), "")


def _new(visit: Visit, kind: str) -> Reply:
    values = filled(kind, {})
    for key in ("product", "recipe", "dish", "pack", "date", "from"):
        if visit.asked.one(f"with_{key}") and key in values:
            values[key] = visit.asked.one(f"with_{key}")
    if kind == "batch" and not values["date"]:
        values["date"] = visit.date
    return form(visit, kind, "", "", "", values)


def form(
    visit: Visit,
    kind: str,
    name: str,
    file: str,
    seen: str,
    values: dict[str, str],
    *,
    status: int = 200,
    at: str = "",
    findings: tuple[Finding, ...] = (),
    beside: dict[str, tuple[Finding, ...]] | None = None,
    more: int = 0,
) -> Reply:
    """The page of a form. values: name of a form field -> text. at: key (``key`` or ``key:number``) to go to."""
    rows = {
        field.key: _row_numbers(field, values, more)
        for field in fields_of(kind)
        if field.sort in ("lines", "courses", "rows", "named rows", "named values")
    }
    elsewhere = [each for each in findings if not any(each in one for one in (beside or {}).values())]
    return visit.page(
        "entry.html",
        name or f"New {kind}",
        status,
        here=HERE[kind],
        kind=kind,
        name=name,
        file=file,
        seen=seen,
        values=values,
        groups=GROUPS[kind],
        line_fields=LINE_FIELDS,
        rows=rows,
        at=at,
        findings=told(visit, elsewhere),
        beside=beside or {},
        files=files_offered(visit, kind) if not name and kind != "kitchen" else (),
        asked=kitchen_edit.asked_of(visit.house.folder, file, kind, name) if name and file else {},
        words=words(visit),
        back=to(AT[kind], name=name) if name and kind not in ("menu", "batch", "kitchen") else HERE[kind],
        opened_groups={group.title for group in GROUPS[kind] if _holds(group, values, beside or {}, at)},
    )


def files_offered(visit: Visit, kind: str) -> list[tuple[str, str]]:
    """(file, words) a new entry may go to; "" is one of its own, which gets its name from the entry."""
    folder = visit.house.folder
    offered = kitchen_edit.file_for(folder, kind, visit.opened.kitchen.files, "")
    return [(file, file) if (folder / file).exists() else ("", "a file of its own") for file in offered]


def _row_numbers(field: Field, values: dict[str, str], more: int) -> list[int]:
    used = {
        int(word)
        for key in values
        if key.startswith(f"{field.key}/") and (word := key[len(field.key) + 1 :].split("/")[0]).isdigit()
    }
    count = (
        max(used, default=-1) + 1 + EXTRA_ROWS.get(field.sort, 1) + (more if field.sort in ("lines", "courses") else 0)
    )
    return list(range(min(count, MOST_ROWS)))


def _holds(group, values: dict[str, str], beside: dict, at: str) -> bool:
    keys = [field.key for field in group.fields]
    return any(
        values.get(name)
        for name in values
        for key in keys
        if (name == key or name.startswith(f"{key}/")) and not name.endswith("/asked")
    ) or any(each.split(":")[0] in keys for each in (*beside, at))


def words(visit: Visit) -> dict[str, list[str]]:
    """Lists of words that fields offer."""
    kitchen, tables = visit.opened.kitchen, visit.opened.workshop.tables
    return {
        "ingredients": visit.names(),
        "dishes": sorted(recipe.name for recipe in kitchen.recipes.values() if recipe.kind != "recipe"),
        "kinds": sorted(tables.kinds),
        "equipment": list(kitchen.equipment),
        "methods": methods(kitchen),
    }


def methods(kitchen: Kitchen) -> list[str]:
    from labeller.reading.library import csv_rows, reference

    known = [row["method"] for row in csv_rows(reference("cooking", "methods.csv"))]
    return sorted({*known, *(recipe.method for recipe in kitchen.recipes.values() if recipe.method)})


def save(visit: Visit) -> Reply:
    """What the form sent: more rows, a change, a new entry, or taking one out."""
    asked = visit.asked
    kind, name, file, seen = (asked.one(key) for key in ("kind", "name", "file", "seen"))
    if kind not in GROUPS:
        return not_known(visit, "dish", name)
    sent = asked.fields()
    values = {key: sent.get(key, "") for key in {**filled(kind, {}), **sent}}
    if asked.one("do") == "more":
        return form(visit, kind, name, file, seen, values, more=6)
    stands = written(visit, kind, name) if name else None
    if name and stands is None:
        return not_known(visit, "product" if kind == "product" else "dish", name)
    if asked.one("do") == "out":
        return _take_out(visit, kind, name, file, seen, values)
    fields = taken(kind, sent, stands.fields if stands else {})
    wrong = _named_wrong(visit, kind, name, fields)
    if wrong:
        return form(visit, kind, name, file, seen, values, status=422, findings=wrong, beside={kind: wrong})
    if not name:
        file, seen = file_of_new(visit, kind, file, fields[kind])
    settled = frozenset(key.removeprefix("asked/") for key in sent if key.startswith("asked/"))
    saved = kitchen_edit.put(visit.house.folder, file, seen, kind, name, fields, when=now(), settled=settled)
    if not saved.written:
        status = 409 if any(each.code == "edit-changed-underneath" for each in saved.findings) else 422
        return form(
            visit,
            kind,
            name,
            file,
            seen if name else "",
            values,
            status=status,
            findings=saved.findings,
            beside=saved.beside,
        )
    same = bool(stands) and stands.fields == fields and not settled
    return go(
        AT[kind],
        name=fields[kind] if kind not in ("menu", "batch", "kitchen") else "",
        done="same" if same else "saved",
    )


def file_of_new(visit: Visit, kind: str, file: str, name: str) -> tuple[str, str]:
    """The file picked for a new entry. A file of its own is offered before the name is typed: it is named when it is known."""
    offered = kitchen_edit.file_for(visit.house.folder, kind, visit.opened.kitchen.files, name)
    own = next(each for each in offered if not (visit.house.folder / each).exists())
    file = file if file in offered else own
    return file, kitchen_edit.checksum(visit.house.folder, file)


def _named_wrong(visit: Visit, kind: str, name: str, fields: dict) -> tuple[Finding, ...]:
    """A name must be there; it changes only while nothing else calls the entry by it."""
    new = fields.get(kind, "")
    if not new:
        return (finding("entry-without-name", Place(kind), f"this {kind} has no name", "write its name"),)
    if not name or new == name or kind in ("menu", "batch", "kitchen") or normalise(new) == normalise(name):
        return ()
    users = used_by(visit.opened.kitchen, name)
    if not users:
        return ()
    return (
        finding(
            "name-in-use",
            Place(kind),
            f'"{name}" is called by its name in {", ".join(users[:6])}',
            "keep the name, or write the new one under `also called`; to change it everywhere, change it in the files",
            name,
        ),
    )


def used_by(kitchen: Kitchen, name: str) -> list[str]:
    """Names of the recipes, menus, batches and equipment that call an entry by its name."""
    word = normalise(name)

    def calls(names) -> bool:
        return any(normalise(each) == word for each in names if each)

    found = [
        recipe.name
        for recipe in kitchen.recipes.values()
        if calls(
            [each for line in recipe.lines for each in (line.name, line.instead)]
            + ([recipe.fried_in.oil] if recipe.fried_in else [])
            + [*recipe.same_batch_as]
        )
    ]
    found += [menu.name for menu in kitchen.menus.values() if calls(menu.dishes())]
    found += [
        batch.name
        for batch in kitchen.batches.values()
        if calls([batch.makes, *(each for pair in batch.substitutes for each in pair)])
    ]
    return found + [each.name for each in kitchen.equipment.values() if calls(each.also_cooks)]


def _take_out(visit: Visit, kind: str, name: str, file: str, seen: str, values: dict[str, str]) -> Reply:
    users = used_by(visit.opened.kitchen, name) if kind in ("recipe", "dish", "pack", "product") else []
    if visit.asked.one("sure") != "yes" or kind == "kitchen" or not name:
        wrong = (
            finding("not-sure", Place(kind), "nothing was taken out", "tick the box beside the button first", name),
        )
    elif users:
        wrong = (
            finding(
                "name-in-use",
                Place(kind),
                f'"{name}" is called by its name in {", ".join(users[:6])}',
                "take it out there first",
                name,
            ),
        )
    else:
        saved = kitchen_edit.put(visit.house.folder, file, seen, kind, name, None, when=now())
        if saved.written:
            return go(HERE[kind], done="out")
        wrong = saved.findings
    return form(visit, kind, name, file, seen, values, status=422, findings=wrong)


def undo(visit: Visit) -> Reply:
    back, findings = kitchen_edit.undo(visit.house.folder)
    if back is None:
        return visit.page(
            "message.html", "Not taken back", 409, here="/", findings=[Told(each, None) for each in findings]
        )
    return go("/", done="undone")
