"""How many packs get a Nutrition Facts panel: plain packs of everyday ingredients, and USDA's own recipes as packs.

Plain packs are made here from the names that cooks write (seeded, always the same); USDA's recipes are those of FNDDS 2017-2018
(public domain) whose ingredients all stand in the shipped table. Each is a pack of one serving, declared under a law.

    python tests/measure_us_packs.py                            # the plain packs
    python tests/measure_us_packs.py ../shared/data/fndds       # USDA's recipes too
    python tests/measure_us_packs.py --law ca
"""

from __future__ import annotations

import random
import re
import sys
import tempfile
from collections import Counter
from pathlib import Path

from labeller.serving.pipeline import declared, open_kitchen
from labeller.serving.tables import Tables

DATE = "2026-11-25"
FATS = ("olive oil", "sunflower oil", "unsalted butter", "lard", "duck fat", "rapeseed oil")
FISH = ("salmon", "cod", "haddock", "mackerel", "halibut", "monkfish", "prawns", "squid", "mussels", "trout")
MEAT = (
    "chicken breast",
    "pork shoulder",
    "beef brisket",
    "lamb shoulder",
    "duck breast, skinless",
    "pork belly",
    "beef mince",
    "bacon",
    "turkey breast",
    "venison",
)
VEG = (
    "onion",
    "carrot",
    "celery",
    "leek",
    "potato",
    "tomato",
    "spinach",
    "frozen peas",
    "courgette",
    "aubergine",
    "red pepper",
    "cauliflower",
    "broccoli",
    "button mushrooms",
    "sweet potato",
    "butternut squash",
    "kale",
    "fennel",
    "beetroot",
    "canned chickpeas",
    "green beans",
)
DAIRY = (
    "heavy cream",
    "crème fraîche",
    "Cheddar",
    "Parmesan",
    "feta",
    "mozzarella",
    "goat's cheese",
    "natural yoghurt",
    "whole milk",
    "blue cheese",
    "ricotta",
)
DRY = (
    "plain flour",
    "long-grain rice",
    "spaghetti",
    "couscous",
    "quinoa",
    "rolled oats",
    "red lentils",
    "dried breadcrumbs",
)
NUTS = ("almonds", "hazelnuts", "walnuts", "sesame seeds", "sunflower seeds")
FRUIT = ("apple", "lemon juice", "raisins", "pear", "banana", "orange", "raspberries")
SWEET = ("caster sugar", "honey", "golden syrup")
SPICE = ("sea salt", "black pepper", "ground cumin", "paprika", "thyme", "parsley", "garlic", "ginger", "nutmeg")
KINDS = (  # what goes in: (group, how many, grams each)
    ("soup", (VEG, 3, 60), (FATS, 1, 5), (DAIRY, 1, 15), (SPICE, 3, 2)),
    ("stew", (MEAT, 1, 120), (VEG, 3, 40), (FATS, 1, 6), (SPICE, 4, 2)),
    ("fish", (FISH, 1, 130), (VEG, 2, 60), (FATS, 1, 8), (SPICE, 3, 2)),
    ("salad", (VEG, 4, 40), (FATS, 1, 10), (DAIRY, 1, 20), (NUTS, 1, 8), (SPICE, 3, 1)),
    ("grain", (DRY, 1, 70), (VEG, 2, 40), (FATS, 1, 8), (DAIRY, 1, 20), (SPICE, 3, 1)),
    (
        "bake",
        (("plain flour",), 1, 40),
        (("unsalted butter",), 1, 20),
        (SWEET, 1, 20),
        (("egg",), 1, 20),
        (FRUIT, 1, 25),
        (NUTS, 1, 10),
    ),
)
SOLD = "  sold: prepacked\n  us reference amount: whole pack\n  net weight: 10 g\n"


def plain_packs(number: int, seed: int = 101) -> str:
    chance, out = random.Random(seed), []
    for nr in range(number):
        kind, *groups = KINDS[nr % len(KINDS)]
        lines = [
            (name, grams * chance.uniform(0.5, 1.5))
            for names, count, grams in groups
            for name in chance.sample(names, min(count, len(names)))
        ]
        weights = {name: max(1, round(grams)) for name, grams in lines}
        text = "\n".join(f"    - {name}: {grams} g" for name, grams in weights.items())
        out.append(
            f"- recipe: made {nr}\n  ingredients:\n{text}\n"
            f"- pack: {kind} {nr}\n  holds:\n    - made {nr}: {sum(weights.values())} g\n{SOLD}"
        )
    return "\n".join(out)


def usda_packs(folder: Path, tables: Tables) -> str:
    """Every FNDDS recipe of three lines or more, of shipped rows alone, as a pack of 140 g (21 CFR 101.12(b), mixed dishes)."""
    from measure_usda_recipes import cases, closure, written

    found, table = cases(folder), frozenset(tables.foods.codes())

    def whole(code: str) -> bool:
        return all(line[0] in found if len(line[0]) == 8 else line[0].zfill(5) in table for line in found[code].lines)

    codes = [
        code
        for code in sorted(found)
        if len(found[code].lines) > 2 and all(whole(each) for each in closure([code], found))
    ]
    with tempfile.TemporaryDirectory() as place:
        written(closure(codes, found), {}, table, Path(place))
        recipes = "\n".join(path.read_text("utf-8") for path in sorted(Path(place, "recipes").glob("*.yaml")))
    return (
        recipes + "\n" + "\n".join(f"- pack: pack {code}\n  holds:\n    - food {code}: 140 g\n{SOLD}" for code in codes)
    )


def measured(text: str, tables: Tables, law: str) -> tuple[int, int, Counter, Counter]:
    """(packs, packs with a panel, findings that took one, figures named in them)."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        (folder / "kitchen.yaml").write_text(f"kitchen: Plain\naddress: 1 High Street\nlaw: {law}\n", encoding="utf-8")
        (folder / "recipes").mkdir()
        (folder / "recipes" / "packs.yaml").write_text(text, encoding="utf-8")
        opened = open_kitchen(folder, DATE, tables)
        packs = [each for each in opened.kitchen.recipes.values() if each.kind == "pack"]
        good, why, keys = 0, Counter(), Counter()
        for pack in packs:
            made, _ = declared(opened, pack, law)
            good += bool(made.rows)
            if not made.rows:
                stops = [each for each in made.findings if each.severity == "stop"]
                why.update({each.code for each in stops})
                keys.update({key for each in stops for key in re.findall(r"\b[a-z_]+_(?:g|mg|ug)\b", each.text)})
    return len(packs), good, why, keys


def main(arguments: list[str]) -> None:
    law = arguments.pop(arguments.index("--law") + 1) if "--law" in arguments else "us"
    arguments = [each for each in arguments if each != "--law"]
    tables = Tables()
    texts = [("plain packs", plain_packs(300))] + (
        [("USDA's recipes", usda_packs(Path(arguments[0]), tables))] if arguments else []
    )
    for title, text in texts:
        number, good, why, keys = measured(text, tables, law)
        print(f"{title} under {law}: {good} of {number} have a panel ({good / number:.1%})")
        print("   without one:", dict(why.most_common()), "figures:", dict(keys.most_common()))


if __name__ == "__main__":
    main(sys.argv[1:])
