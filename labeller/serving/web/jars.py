"""Labels read for allergens, jars put on record, ingredients matched to food rows."""

from __future__ import annotations

import tempfile
from pathlib import Path

from labeller.reading import kitchen_edit
from labeller.reading.match_file import write_match
from labeller.serving.verbs_match import table
from labeller.serving.web.asking import Reply, go
from labeller.serving.web.editing import file_of_new, files_offered, now, words, written
from labeller.serving.web.looking import Told, told
from labeller.serving.web.visits import Visit
from labeller.terms.findings import Finding, Place, finding
from labeller.terms.foods import Food
from labeller.terms.words import normalise
from labeller.working.label_reader import read_label, reading_as_json

LAWS = ("", "eu", "uk", "us", "ca", "anz")
MOST_TEXT = 20_000


def read_text(visit: Visit, text: str, law: str = "") -> dict | None:
    """What a printed list holds, as ``labeller read-label`` has it; None for an empty text."""
    if not text:
        return None
    tables = visit.opened.workshop.tables
    return reading_as_json(
        read_label(text[:MOST_TEXT], tables.lexicon), law or None, tables.lists(visit.date) if law else None
    )


def label(visit: Visit) -> Reply:
    text, law = visit.asked.one("text"), visit.asked.one("law") if visit.asked.one("law") in LAWS else ""
    return visit.page(
        "label.html",
        "Read a label",
        text=text,
        law=law,
        choices=LAWS,
        reading=read_text(visit, text, law),
        kinds=visit.opened.workshop.tables.kinds,
    )


def jar(visit: Visit, *, status: int = 200, findings: tuple[Finding, ...] = (), beside: dict | None = None) -> Reply:
    """A product's pack: paste what is printed, see what it holds, save it with who read it."""
    from labeller.serving.exchange import neighbours

    asked = visit.asked
    name = asked.one("name")
    if not normalise(name):
        return go("/products")
    product = visit.opened.workshop.names.product(name)
    stands = written(visit, "product", product.name) if product else None
    was = stands.fields if stands else {}
    text = asked.one("text") if "text" in asked.form else str(was.get("ingredients on pack", ""))
    reading = read_text(visit, text)
    values = {key: asked.one(key) for key in ("contains", "may contain", "kind", "checked", "by", "pack code")}
    if "text" not in asked.form:
        values |= _shown(was)
    values["contains"] = values["contains"] or ", ".join((reading or {}).get("contains", ()))
    values["may contain"] = values["may contain"] or ", ".join((reading or {}).get("may_contain", ()))
    values["checked"] = values["checked"] or visit.date
    values["kind"] = values["kind"] or "pack"
    return visit.page(
        "jar.html",
        f"Read the pack: {name}",
        status,
        here="/products",
        name=product.name if product else name,
        is_there=bool(stands),
        file=asked.one("file") or (stands.file if stands else ""),
        seen=asked.one("seen") or (stands.checksum if stands else ""),
        files=files_offered(visit, "product"),
        text=text,
        reading=reading,
        values=values,
        kinds=visit.opened.workshop.tables.kinds,
        words=words(visit),
        findings=told(visit, findings),
        beside=beside or {},
        users=_users(visit, name),
        near=[each.name for each in neighbours(visit.opened, name)],
    )


def _shown(was: dict) -> dict[str, str]:
    out = {
        key: ", ".join(value) if isinstance(value := was.get(key, ""), list) else value
        for key in ("contains", "may contain")
    }
    evidence = was.get("evidence")
    return out | (
        {key: evidence.get(key, "") for key in ("kind", "checked", "by", "pack code")}
        if isinstance(evidence, dict)
        else {}
    )


def _users(visit: Visit, name: str) -> list[str]:
    from labeller.serving.exchange import users

    return [each.name for each in users(visit.opened, name)]


def save_jar(visit: Visit) -> Reply:
    asked = visit.asked
    if asked.one("do") != "save":
        return jar(visit)
    name = asked.one("name")
    product = visit.opened.workshop.names.product(name)
    stands = written(visit, "product", product.name) if product else None
    if not asked.one("by"):
        wrong = (finding("name-needed", Place("by"), "who read the pack is not written", "write a name or initials"),)
        return jar(visit, status=422, findings=wrong, beside={"by": wrong})
    fields = dict(stands.fields) if stands else {"product": name}
    fields |= {
        "ingredients on pack": " ".join(asked.one("text").split()),
        "contains": _kinds(asked.one("contains")),
        "may contain": _kinds(asked.one("may contain")),
        "evidence": {key: asked.one(key) for key in ("kind", "checked", "by", "pack code") if asked.one(key)},
    }
    fields = {key: value for key, value in fields.items() if value not in ("", [])}
    file, seen = asked.one("file"), asked.one("seen")
    if not stands:
        file, seen = file_of_new(visit, "product", file, name)
    saved = kitchen_edit.put(
        visit.house.folder, file, seen, "product", stands.name if stands else "", fields, when=now()
    )
    if not saved.written:
        return jar(visit, status=422, findings=saved.findings, beside=saved.beside)
    return go("/product", name=name, done="saved")


def _kinds(text: str):
    found = [each for part in text.replace("\n", ",").split(",") if (each := " ".join(part.split()))]
    return "none" if not found or [each.lower() for each in found] == ["none"] else found


def match(visit: Visit, *, status: int = 200, findings: tuple[Finding, ...] = ()) -> Reply:
    """One ingredient and the rows it may mean, the likeliest first."""
    name, more = visit.asked.one("name"), visit.asked.one("search")
    tables = visit.opened.workshop.tables
    row = next((each for each in table(visit.opened) if normalise(each["ingredient"]) == normalise(name)), None)
    codes = [each["code"] for each in row["candidates"]] if row else []
    if not codes and name and not more:
        codes = [each.code for each in tables.shelf.candidates(name, 8, tables.names)]
    if more:
        codes = [
            each.code for each in (*tables.shelf.candidates(more, 10, tables.names), *tables.shelf.search(more, 10))
        ]
    chosen = visit.asked.one("food")  # from the page of the food data, or of the form that was refused
    foods = [tables.foods.get(code) for code in dict.fromkeys((*([chosen] if chosen else []), *codes))]
    return visit.page(
        "match.html",
        f"Choose a row: {name}",
        status,
        here="/settle",
        name=name,
        row=row,
        foods=[food for food in foods if food],
        chosen=chosen or (row["code"] if row else ""),
        search=more,
        by=visit.asked.one("by"),
        findings=[Told(each, None) for each in findings],
        places=[
            str(line.place)
            for recipe in visit.opened.kitchen.recipes.values()
            for line in recipe.lines
            if normalise(line.name) == normalise(name)
        ],
        seen=kitchen_edit.checksum(visit.house.folder, _match_file(visit.house.folder)),
    )


def _match_file(folder: Path) -> str:
    return (
        "matches.yml"
        if (folder / "matches.yml").exists() and not (folder / "matches.yaml").exists()
        else "matches.yaml"
    )


def confirm(visit: Visit) -> Reply:
    """A person's choice, written to matches.yaml."""
    name, code, by = (visit.asked.one(key) for key in ("name", "food", "by"))
    food = visit.opened.workshop.tables.foods.get(code)
    if food is None or not normalise(name):
        return match(
            visit,
            status=422,
            findings=(
                finding("unknown-food-code", Place("matches.yaml"), "no row was chosen", "choose one of the rows"),
            ),
        )
    if not by:
        return match(
            visit,
            status=422,
            findings=(
                finding("name-needed", Place("by"), "who confirms it is not written", "write a name or initials"),
            ),
        )
    wrong = confirmed(visit, name, food, by, visit.asked.one("seen"))
    if wrong:
        return match(visit, status=409 if wrong[0].code == "edit-changed-underneath" else 422, findings=wrong)
    return go("/settle", done="confirmed")


def confirmed(visit: Visit, name: str, food: Food, by: str, seen: str | None = None) -> tuple[Finding, ...]:
    """Put a match down in matches.yaml; what stands against it. seen: checksum of the file when it was shown, None where the page
    did not show it."""
    folder = visit.house.folder
    file = _match_file(folder)
    try:
        with tempfile.TemporaryDirectory(prefix="labeller-") as aside:  # the same hand as `labeller match`, on a copy
            if (folder / file).exists():
                (Path(aside) / file).write_bytes((folder / file).read_bytes())
            new = write_match(aside, name, food.code, food.release, by, visit.date).read_bytes()
        seen = kitchen_edit.checksum(folder, file) if seen is None else seen
    except OSError as problem:
        text = f"{file} can't be changed: {problem.strerror}"
        return (finding("cannot-write", Place(file), text, "mend the file first"),)
    return kitchen_edit.put_bytes(folder, file, seen, new, f"match {name}", when=now()).findings
