"""Declarations for other programs: schema.org JSON-LD and GS1 codes. A level of containment is only ever what is contained or may
be: that something is *not* in a food is never sent, whatever the code lists offer for it."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from labeller.printing.words import NO_ANSWER, STATES
from labeller.reading.exchange_tables import Codes, Property
from labeller.serving.export_tables import Rows, allergen_sentence
from labeller.terms.allergens import GROUPS, NONE_ON_RECORD, NOT_CONFIRMED, RANK, Kind
from labeller.terms.kitchen import Menu, Recipe
from labeller.terms.record import Declaration

SCHEMA = "https://schema.org"
BASIS = {"eu": "available", "uk": "available", "anz": "available", "us": "total", "ca": "total", "none": "total"}
SILENCE = "An allergen that is not listed is not on record; that is no statement that it is absent."
_PRINTED = r"\s*(<|less than|at least)?\s*([0-9]+(?:[.,][0-9]+)?)\s*(kJ|kcal|calories|g|mg|mcg|µg)?\s*"


# -- schema.org ------------------------------------------------------------------------------------------------------------


def nutrition_information(made: Declaration, properties: Sequence[Property]) -> dict | None:
    """The declared figures of a portion as schema.org NutritionInformation; None where none are declared. Only what the law's own
    list declares is printed, in the words "5.1 g"."""
    if made.stopped or made.record.nutrition_stopped or not made.figures:
        return None
    rows = {row.key: row for row in made.figures}
    grams = (made.portion_g or made.record.weight_g).mid  # what the figures of a portion are of
    found: dict[str, str] = {"@type": "NutritionInformation", "servingSize": f"{grams:.4g} g"}
    for each in properties:
        row = rows.get(each.key)
        text = _text(row.per_portion or "", each.unit) if row else ""
        if text and row.value_portion is not None:
            found[each.property] = text
    return found


def _text(printed: str, unit: str) -> str:
    hit = re.fullmatch(_PRINTED, printed)
    return "" if hit is None else f"{'less than' if hit[1] == '<' else hit[1] or ''} {hit[2]} {unit}".strip()


def json_ld_menu(
    menu: Menu | None, made: Sequence[Declaration], properties: Sequence[Property], names: Mapping[str, str]
) -> dict:
    """A schema.org Menu of MenuItems, with figures and allergens in words."""
    items = {each.dish: _item(each, properties, names) for each in made}
    if menu is None:
        return {"@context": SCHEMA, "@type": "Menu", "hasMenuItem": list(items.values())}
    sections = [(course.title or f"course {nr}", course.dishes) for nr, course in enumerate(menu.courses, 1)] + [
        ("packs", menu.packs)
    ] * bool(menu.packs)
    return {
        "@context": SCHEMA,
        "@type": "Menu",
        "name": menu.name,
        "hasMenuSection": [
            {"@type": "MenuSection", "name": title, "hasMenuItem": [items[dish] for dish in dishes if dish in items]}
            for title, dishes in sections
        ],
    }


def _item(made: Declaration, properties: Sequence[Property], names: Mapping[str, str]) -> dict:
    item: dict = {"@type": "MenuItem", "name": made.dish}
    if made.record.description:
        item["description"] = made.record.description
    item["disambiguatingDescription"] = allergen_sentence(made, dict(names))
    nutrition = nutrition_information(made, properties)
    return item | ({"nutrition": nutrition} if nutrition else {})


def json_ld_recipes(recipes: Sequence[Recipe], made: Mapping[str, Declaration], properties: Sequence[Property]) -> list[dict]:
    """Recipes as schema.org Recipe: the lines as typed, amount before name. What schema.org has no word for (trim, loss, what is
    poured off) is not in it."""
    found = []
    for recipe in recipes:
        node: dict = {"@context": SCHEMA, "@type": "Recipe", "name": recipe.name}
        if recipe.description:
            node["description"] = recipe.description
        if recipe.makes or recipe.serves:
            node["recipeYield"] = recipe.makes.text if recipe.makes else f"{recipe.serves.mid:g} servings"
        node["recipeIngredient"] = [_ingredient(line) for line in recipe.lines]
        nutrition = nutrition_information(made[recipe.name], properties) if recipe.name in made else None
        found.append(node | ({"nutrition": nutrition} if nutrition else {}))
    return found


def _ingredient(line) -> str:
    amount = line.amount.text if line.amount else ""
    if line.amount and line.amount.vague:
        return f"{line.name}, {amount}"
    words = f"{amount} {line.name}".strip()
    return f"{words}, {line.note}" if line.note else words


# -- GS1 -------------------------------------------------------------------------------------------------------------------


def levels_of(made: Declaration, kinds: Mapping[str, Kind]) -> dict[str, str]:
    """Kind or group -> its worst state, of all that is on record; a kind speaks for its group too."""
    found: dict[str, str] = {}
    for group, (state, _, facts) in made.states.items():
        if state == NONE_ON_RECORD:
            continue
        pairs = [(fact.kind, fact.state) for fact in facts] or [(group, state)]
        if group in GROUPS:
            pairs.append((group, state))
        pairs += [(kinds[kind].parent, each) for kind, each in pairs if kind in kinds and kinds[kind].parent]
        for kind, each in pairs:
            if each != NONE_ON_RECORD and (kind not in found or RANK[each] < RANK[found[kind]]):
                found[kind] = each
    return found


def gs1_allergens(made: Declaration, codes: Codes, kinds: Mapping[str, Kind]) -> list[dict]:
    """One object an allergen: code, level, name and state in words. A kind without a code of its own is named under its group's;
    a state without a level (not confirmed) has none, so that nobody takes it for an answer."""
    found = []
    for kind, state in levels_of(made, kinds).items():
        name = kinds[kind].name if kind in kinds else kind.replace("_", " ")
        entry = {
            "allergenTypeCode": codes.allergens.get(kind, ""),
            "levelOfContainmentCode": codes.levels.get(state, ""),
            "name": name,
            "state": STATES[state],
        }
        if not entry["allergenTypeCode"]:
            entry["under"] = codes.allergens.get(kinds[kind].group, "") if kind in kinds else ""
        found.append({key: value for key, value in entry.items() if value})
    return found + _others_open(made, codes, kinds)


def _others_open(made: Declaration, codes: Codes, kinds: Mapping[str, Kind]) -> list[dict]:
    """Groups of which something is contained, while the rest is not confirmed: wheat on record, an unread jar beside."""
    return [
        {
            "under": codes.allergens.get(group, ""),
            "name": f"other {kinds[group].name if group in kinds else group}",
            "state": STATES[NOT_CONFIRMED],
        }
        for group, (state, _, facts) in made.states.items()
        if state != NOT_CONFIRMED and any(fact.state == NOT_CONFIRMED and fact.kind == group for fact in facts)
    ]


def gs1_nutrients(made: Declaration, codes: Codes) -> list[dict]:
    """The declared figures per 100 g and per portion, each with its code, unit and precision."""
    if made.stopped or made.record.nutrition_stopped:
        return []
    out = []
    for basis, unit, size, cells in (
        ("100", "GRM", 100.0, lambda row: row.per_100g),
        ("100", "MLT", 100.0, lambda row: row.per_100ml),
        ("portion", "GRM", (made.portion_g or made.record.weight_g).mid, lambda row: row.per_portion),
    ):
        details = [entry for row in made.figures if (entry := _nutrient(row.key, cells(row), made.law, codes))]
        if details:
            out.append(
                {
                    "nutrientBasis": basis,
                    "nutrientBasisQuantity": {"value": float(f"{size:.4g}"), "measurementUnitCode": unit},
                    "preparationStateCode": "READY_TO_EAT" if made.record.kind == "dish" else "UNPREPARED",
                    "nutrientDetail": details,
                }
            )
    return out


def not_sent(made: Declaration) -> list[tuple[str, str]]:
    """Figures that are not among the codes because they are "at least" or not known: (name, as printed)."""
    if made.stopped or made.record.nutrition_stopped:
        return []
    texts = [(row.name, text) for row in made.figures for text in (row.hundred, row.per_portion) if text]
    return [(name, text) for name, text in texts if not (hit := re.fullmatch(_PRINTED, text)) or hit[1] == "at least"]


def _nutrient(key: str, printed: str, law: str, codes: Codes) -> dict | None:
    hit = re.fullmatch(_PRINTED, printed or "")
    code = codes.nutrient(key, BASIS.get(law, "total"))
    if hit is None or not code or hit[1] == "at least":  # a lower bound is no quantity
        return None
    unit = {
        "mcg": "µg",
        "calories": "kcal",
        None: "kcal" if key == "energy_kcal" else key.rsplit("_", 1)[-1].replace("ug", "µg").replace("kj", "kJ"),
    }
    word = unit.get(hit[3], hit[3])
    return {
        "nutrientTypeCode": code,
        "quantityContained": {"value": float(hit[2].replace(",", ".")), "measurementUnitCode": codes.units[word]},
        "measurementPrecisionCode": "LESS_THAN" if hit[1] else "APPROXIMATELY",
    }


def gs1_json(made: Sequence[Declaration], codes: Codes, kinds: Mapping[str, Kind]) -> dict:
    """{"remarks", "items": [{"name", "law", "allergens", "nutrients"}]}; an item without an answer says so and has neither."""
    items = []
    for each in made:
        item: dict = {"name": each.dish, "law": each.law, "lawDate": each.law_date, "kitchenVersion": each.kitchen_version}
        if each.stopped:
            item["answer"] = NO_ANSWER
        else:
            item |= {"allergens": gs1_allergens(each, codes, kinds), "nutrients": gs1_nutrients(each, codes)}
            unsent = not_sent(each)
            item |= {"notSent": [f"{name}: {text}" for name, text in unsent]} if unsent else {}
        items.append(item)
    return {"remarks": [text for text in (SILENCE, codes.remark) if text], "items": items}


def gs1_rows(made: Sequence[Declaration], codes: Codes, kinds: Mapping[str, Kind]) -> Rows:
    """The same as a table: one row a code of a dish."""
    out: Rows = [["item", "law", "list", "code", "level or basis", "value", "unit", "precision", "in words"]]
    for each in made:
        if each.stopped:
            out.append([each.dish, each.law, "", "", "", None, "", "", NO_ANSWER])
            continue
        for entry in gs1_allergens(each, codes, kinds):
            code = entry.get("allergenTypeCode") or entry.get("under", "")
            words = f"{entry['name']}: {entry['state']}"
            out.append([each.dish, each.law, "allergen", code, entry.get("levelOfContainmentCode", ""), None, "", "", words])
        out += [
            [each.dish, each.law, "nutrient", "", "", None, "", "", f"{name}: {text}; not sent"] for name, text in not_sent(each)
        ]
        for block in gs1_nutrients(each, codes):
            basis = "100 GRM" if block["nutrientBasis"] == "100" else f"portion {block['nutrientBasisQuantity']['value']:g} GRM"
            for entry in block["nutrientDetail"]:
                quantity = entry["quantityContained"]
                out.append(
                    [
                        each.dish,
                        each.law,
                        "nutrient",
                        entry["nutrientTypeCode"],
                        basis,
                        quantity["value"],
                        quantity["measurementUnitCode"],
                        entry["measurementPrecisionCode"],
                        "",
                    ]
                )
    return out
