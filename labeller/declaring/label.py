"""The rest of a label: way of sale, net quantity, durability, storage, business, lot, and what is missing of them."""

from __future__ import annotations

from datetime import date as Date
from datetime import timedelta
from decimal import ROUND_FLOOR, ROUND_HALF_UP, Decimal
from typing import NamedTuple

from msgspec.structs import replace

from labeller.declaring.further import full_name, further_lines
from labeller.declaring.origin import printed_origin
from labeller.declaring.rounding import exact
from labeller.declaring.volume import by_volume, is_drink, net_volume
from labeller.terms.findings import NOWHERE, Finding, finding
from labeller.terms.kitchen import Batch, Kitchen, Recipe
from labeller.terms.laws import Law, Way, Words
from labeller.terms.record import DishRecord

ALCOHOL_G_PER_ML = 0.789  # ethanol at 20 °C
CM2_PER_SQUARE_INCH = 6.4516


class Label(NamedTuple):
    """way: of sale, None when it can't be told. Texts are as printed, "" where there is nothing. particulars: (key, text).
    set_by: who set the durability, never a default. missing: keys of particulars that the way asks for and nobody wrote."""

    way: Way | None
    net_quantity: str
    durability: str
    storage: str
    business: str
    lot: str
    particulars: tuple[tuple[str, str], ...]
    nutrition_shown: bool
    set_by: str
    findings: tuple[Finding, ...]
    missing: tuple[str, ...] = ()


def label(record: DishRecord, law: Law, words: Words, recipe: Recipe | None, kitchen: Kitchen, batch: Batch | None,
          date: str) -> Label:  # fmt: skip
    """date: ISO, the day of the declaration; durability counts from the batch's own date."""
    way, problems = way_of_sale(record, law, recipe)
    made, bad = _made(batch, record)
    texts = {
        "name": full_name((recipe.legal_name if recipe else "") or record.name, recipe, law, words),
        "net quantity": words.number(net_quantity(record, law, recipe)),
        "durability": durability(recipe, made, law, words),
        "storage": recipe.store if recipe else "",
        "instructions": recipe.instructions if recipe else "",
        "business": _business(kitchen),
        "lot": words.phrases["lot"].replace("{lot}", batch.lot) if batch and batch.lot else "",
        "alcohol": _strength(recipe, law, words),
        "origin": printed_origin(recipe),
        "frozen on": _frozen(batch, words),
        "further particulars": further_lines(recipe, law, words),
    }
    way = _strong_drink(_small_pack(way, law, recipe), law, recipe)
    absent = _absent(record, law, way, texts, recipe, kitchen, batch)
    missing = _missing_findings(record, law, way, recipe, absent)
    asked = kitchen.nutrition_asked or bool(recipe and recipe.nutrition_asked)
    shown = way is None or way.nutrition == "must" or (way.nutrition == "may" and asked)
    life = recipe.shelf_life if recipe else None
    particulars = tuple((key, text) for key, text in texts.items() if text)
    found = problems + bad + missing + _other(record, law, kitchen, recipe)
    return Label(way, texts["net quantity"], texts["durability"], texts["storage"], texts["business"], texts["lot"], particulars,
                 shown, life.set_by if life else "", found, tuple(absent))  # fmt: skip


def way_of_sale(record: DishRecord, law: Law, recipe: Recipe | None) -> tuple[Way | None, tuple[Finding, ...]]:
    """A plate is sold from the menu unless its recipe says otherwise; a pack must say how it is sold."""
    sold = recipe.sold if recipe else ""
    place = recipe.place if recipe else NOWHERE
    if not sold and record.kind == "pack" and record.stopped:  # what stops it is told: perhaps that `sold:` is misspelt
        return None, ()
    if not sold and record.kind == "pack":
        return None, _once(record, finding("sold-missing", place, f"\"{record.name}\" does not say how it is sold.",
                              "write `sold:` with one of: " + ", ".join(law.ways), record.name))  # fmt: skip
    key = " ".join((sold or "menu").lower().split())
    if key not in law.ways:
        return None, (finding("sold-unknown", place, f"\"{record.name}\": {law.key} has no way of sale \"{sold}\".",
                              "write `sold:` with one of: " + ", ".join(law.ways), record.name),)  # fmt: skip
    return law.ways[key], ()


def _small_pack(way: Way | None, law: Law, recipe: Recipe | None) -> Way | None:
    """What a small pack may leave out: the table, the list (its allergens stay, in a Contains line)."""
    if way is None or recipe is None or (recipe.largest_side_cm2 is None and recipe.bearing_cm2 is None):
        return way
    if way.nutrition == "must" and _under(recipe, law, "nutrition table may be left out below"):
        way = replace(way, nutrition="may")
    if way.list_of_ingredients and _under(recipe, law, "ingredient list may be left out below"):
        stay = tuple(key for key in way.must if key in ("name", "allergens", "net quantity", "durability"))  # Art. 16(2)
        way = replace(way, list_of_ingredients=False, must=stay)
    return way


def _strong_drink(way: Way | None, law: Law, recipe: Recipe | None) -> Way | None:
    """A drink over the law's strength needs no table (Art. 16(4)), and from another no date (Annex X 1(d))."""
    if way is None or recipe is None or recipe.alcohol_vol is None:
        return way
    strength = exact(recipe.alcohol_vol)
    free, undated = law.figure("nutrition table free over"), law.figure("no date needed from")
    if way.nutrition == "must" and free is not None and strength > exact(free):
        way = replace(way, nutrition="may")
    if undated is not None and strength >= exact(undated):
        way = replace(way, must=tuple(key for key in way.must if key != "durability"))
    return way


def _under(recipe: Recipe, law: Law, key: str) -> bool:
    """Whether the pack is below a limit of the law, of its largest side or of all surface that can bear labels; where that is not
    stated, six times the largest side is held against it."""
    limit, side, whole = law.figures.get(key), recipe.largest_side_cm2, recipe.bearing_cm2
    if limit is None:
        return False
    if not limit.unit.startswith("square inch"):
        return side is not None and side < limit.value
    whole = side * 6 if whole is None and side is not None else whole
    return whole is not None and whole / CM2_PER_SQUARE_INCH < limit.value


def _strength(recipe: Recipe | None, law: Law, words: Words) -> str:
    """"5.5 % vol": of a drink over the law's limit, to one decimal."""
    least = law.figure("alcohol declared over")
    if recipe is None or recipe.alcohol_vol is None or least is None or exact(recipe.alcohol_vol) <= exact(least):
        return ""
    number = _plain(exact(recipe.alcohol_vol).quantize(Decimal("0.1"), rounding=ROUND_HALF_UP))
    return f"{words.number(number)} % vol"


def _other(record: DishRecord, law: Law, kitchen: Kitchen, recipe: Recipe | None) -> tuple[Finding, ...]:
    """A drink's strength that nobody wrote; a nation in which another law holds, or that is not stated."""
    return (*_strength_finding(record, law, recipe), *_nation_finding(record, law, kitchen))


def _strength_finding(record: DishRecord, law: Law, recipe: Recipe | None) -> tuple[Finding, ...]:
    least, middle = law.figure("alcohol declared over"), record.middle
    if record.kind != "pack" or least is None or recipe is None or recipe.alcohol_vol is not None:
        return ()
    if middle is None or not middle.weight_g:
        return ()
    percent = middle.totals.get("alcohol_g", 0.0) / middle.weight_g * 100 / ALCOHOL_G_PER_ML * (recipe.density_g_per_ml or 1.0)
    if percent <= least:
        return ()
    return (finding("strength-not-stated", recipe.place, f"\"{record.name}\" holds about {percent:.1f} % alcohol by volume.",
                    "if it is a drink, write `alcohol:` with its strength (5.5 % vol)", record.name),)  # fmt: skip


def _nation_finding(record: DishRecord, law: Law, kitchen: Kitchen) -> tuple[Finding, ...]:
    named = law.statement.get("nations", "")
    if not named or kitchen.nation in named.split(", "):
        return ()
    if kitchen.nation:
        other = law.statement["elsewhere"]
        return (finding("nation-of-another-law", NOWHERE, f"{law.name}: in {kitchen.nation.title()} another law holds ({other}).",
                        f"write `law: {other}` in kitchen.yaml", record.name),)  # fmt: skip
    if record.kind != "pack":
        return ()
    return (finding("nation-not-stated", NOWHERE, f"{law.name}: its nations differ, and kitchen.yaml names none.",
                    f"write `nation:` in kitchen.yaml: {named}", record.name),)  # fmt: skip


def net_quantity(record: DishRecord, law: Law, recipe: Recipe | None) -> str:
    """As weighed or measured, or as the stated minimum; never worked out from the recipe. "" where none is on record. A liquid is
    given by volume (Art. 23(1))."""
    if by_volume(recipe):
        return net_volume(recipe.net_volume.ml, law)
    grams = recipe.net_weight.grams if recipe and recipe.net_weight else record.net_weight_g
    if grams is None:
        return ""
    metric = metric_weight(grams)
    if law.statement.get("net quantity") != "us":
        return metric
    ounces = (exact(grams) / exact(law.figure("ounce"))).quantize(Decimal("0.1"), rounding=ROUND_FLOOR)
    return f"Net Wt {_plain(ounces)} oz ({metric})"


def metric_weight(grams: float) -> str:
    """Grams up to 1 kg, then kilograms; rounded down, so that the pack never holds less than it says."""
    amount = exact(grams)
    if amount < 1000:
        return f"{_plain(amount.quantize(Decimal(1) if amount >= 10 else Decimal('0.1'), rounding=ROUND_FLOOR))} g"
    return f"{_plain((amount / 1000).quantize(Decimal('0.001'), rounding=ROUND_FLOOR))} kg"


def _plain(number: Decimal) -> str:
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def durability(recipe: Recipe | None, made: Date | None, law: Law, words: Words) -> str:
    """The dated line, "" without a shelf life or without a batch: a date is never invented."""
    life = recipe.shelf_life if recipe else None
    if life is None or made is None:
        return ""
    last = made + timedelta(days=life.days)
    day = _day(last, words)
    if life.kind == "use by":
        return words.phrases["use by"].replace("{date}", day)
    by_month = _months(law, "best before as day and month up to")
    by_year = _months(law, "best before as month and year up to")
    if by_month is None or last <= _after(made, by_month):
        return words.phrases["best before"].replace("{date}", day)
    month = f"{words.months[last.month - 1]} {last.year}"
    text = month if by_year is None or last <= _after(made, by_year) else str(last.year)
    return words.phrases["best before end"].replace("{date}", text)


def _day(day: Date, words: Words) -> str:
    text = words.phrases["day"].replace("{day}", str(day.day)).replace("{month}", words.months[day.month - 1])
    return text.replace("{year}", str(day.year))


def _frozen(batch: Batch | None, words: Words) -> str:
    """The day on which raw meat or fish was first frozen, day, month and year (Annex III 6.1, Annex X 3)."""
    if batch is None or not batch.frozen_on:
        return ""
    return words.phrases["frozen on"].replace("{date}", _day(Date.fromisoformat(batch.frozen_on), words))


def _months(law: Law, key: str) -> int | None:
    value = law.figure(key)
    return None if value is None else int(value)


def _after(day: Date, months: int) -> Date:
    """The same day so many months later, or the last day of that month."""
    month = day.month - 1 + months
    year, month = day.year + month // 12, month % 12 + 1
    for last in (day.day, 30, 29, 28):
        try:
            return Date(year, month, last)
        except ValueError:
            continue
    raise ValueError(f"no such month: {year}-{month}")


def _made(batch: Batch | None, record: DishRecord) -> tuple[Date | None, tuple[Finding, ...]]:
    if batch is None or not batch.date:
        return None, ()
    try:
        return Date.fromisoformat(batch.date), ()
    except ValueError:
        return None, _once(record, finding("date-not-read", batch.place, f"\"{batch.date}\" is not a date.",
                                           "write it as 2026-11-25", record.name))  # fmt: skip


def _once(record: DishRecord, found: Finding) -> tuple[Finding, ...]:
    """The finding, unless the reader of the kitchen's files told it already."""
    return () if any(told.code == found.code for told in record.findings) else (found,)


def _business(kitchen: Kitchen) -> str:
    address = " ".join(kitchen.address.split())
    name = "" if address.startswith(kitchen.name) else kitchen.name
    return ", ".join(part for part in (name, address) if part)


def _absent(record: DishRecord, law: Law, way: Way | None, texts: dict[str, str], recipe: Recipe | None, kitchen: Kitchen,
            batch: Batch | None) -> dict[str, str]:  # fmt: skip
    """Particulars that the way of sale asks for and nobody wrote -> how to mend that. Dates and lots are asked for only where
    there is a batch."""
    if way is None or record.kind != "pack":
        return {}
    mends = {
        "net quantity": f"weigh it and write `net weight:` (the recipe's least is {record.weight_g.low:.0f} g); of a liquid, "
                        "measure it and write `net volume:`",
        "net volume": "a drink is sold by volume: measure it and write `net volume:`",
        "storage": "write `store:` in the pack",
        "business": "write the address in kitchen.yaml", "lot": "write `lot:` in the batch",
        "durability": "write `shelf life:` in the pack, with who set it",
        "origin": "write `origin:` in the pack as it is to be printed, or `origin: none claimed` where the law asks for none",
    }  # fmt: skip
    there = texts | {"origin": recipe.origin if recipe else ""}
    gone = [key for key in way.must if key in mends and not there[key]]
    if "net quantity" in way.must and texts["net quantity"] and is_drink(recipe) and not by_volume(recipe):
        gone.append("net volume")  # Art. 23(1): a liquid is not sold by weight
    if "business" in way.must and not kitchen.address and "business" not in gone:
        gone.append("business")
    if batch is None:
        gone = [key for key in gone if key != "lot" and not (key == "durability" and recipe and recipe.shelf_life)]
    elif texts["durability"]:
        gone = [key for key in gone if key != "lot"]  # day and month tell the lot (Directive 2011/91/EU, from memory)
    for language in law.statement.get("languages", "").split():
        if language not in kitchen.languages:
            gone.append(f"text in {language}")
            both = ", ".join(law.statement["languages"].split())
            mends[gone[-1]] = (f"write `languages: [{both}]` in kitchen.yaml: table and Contains line stand in both; let a "
                               "person put the names of foods into the other language, and print the label in each")  # fmt: skip
    return {key: mends[key] for key in gone}


def _missing_findings(record: DishRecord, law: Law, way: Way | None, recipe: Recipe | None,
                      absent: dict[str, str]) -> tuple[Finding, ...]:  # fmt: skip
    place = recipe.place if recipe else NOWHERE
    return tuple(finding("particular-missing", place,
                         f"\"{record.name}\", {way.key} under {law.key}: no {key} on record ({way.rule.section}).",
                         mend, record.name) for key, mend in absent.items())  # fmt: skip
