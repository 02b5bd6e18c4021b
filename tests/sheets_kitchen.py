"""A made-up menu as ready declarations, for the tests of sheets. Nothing here is computed: printing draws what it is given."""

from __future__ import annotations

from msgspec.structs import replace

from labeller.reading.looks import looks as read_looks
from labeller.terms.allergens import (
    CONTAINS,
    CROSS_CONTACT,
    GROUPS,
    MAY_CONTAIN,
    NONE_ON_RECORD,
    NOT_CONFIRMED,
    RANK,
    TO_CONFIRM,
    AllergenFact,
)
from labeller.terms.findings import NOWHERE, Finding, Place
from labeller.terms.kitchen import Course, Menu
from labeller.terms.record import Component, Declaration, DishRecord, Ingredient, NutritionRow, Run
from labeller.terms.spans import Span

LOOKS = read_looks()[0]
GROUP = {"wheat": "cereals_gluten", "rye": "cereals_gluten", "barley": "cereals_gluten", "oats": "cereals_gluten",
         "spelt": "cereals_gluten", "trout": "fish", "anchovy": "fish", "turbot": "fish", "langoustine": "crustaceans",
         "hazelnut": "tree_nuts", "almond": "tree_nuts", "pistachio": "tree_nuts", "squid": "molluscs", "oyster": "molluscs",
         "mussel": "molluscs"}  # fmt: skip
WORDS = {"eggs": "egg", "peanuts": "peanut", "soybeans": "soya", "tree_nuts": "nuts", "cereals_gluten": "cereals"}
CAUTIONS = (
    "Calculated from kitchen records. Cross-contact can’t be ruled out. Confirm with the kitchen before the plate leaves.",
    "Local law and a qualified person decide.",
)


def fact(kind: str, state: str, evidence: str = "recipe", *path: str) -> AllergenFact:
    return AllergenFact(kind, state, "recipe", evidence, path or ("plate",), NOWHERE)


def declare(name: str, *facts: AllergenFact, parts: tuple[Component, ...] = (), stopped: str = "", description: str = "",
            title: str = "", law: str = "eu", kind: str = "dish") -> Declaration:  # fmt: skip
    """A declaration whose states are the worst of its facts, as the working rooms hand them over."""
    states, words = {}, {}
    for group in GROUPS:
        mine = tuple(one for one in facts if GROUP.get(one.kind, one.kind) == group)
        worst = min((one.state for one in mine), key=RANK.__getitem__, default=NONE_ON_RECORD)
        kinds = tuple(dict.fromkeys(one.kind for one in mine if one.state == worst))
        states[group] = (worst, kinds, mine)
        if worst != NONE_ON_RECORD:
            words[group] = ", ".join(WORDS.get(one, one.replace("_", " ")) for one in kinds)
    findings = (Finding("x", Place("recipes/x.yaml", 12), "stop", stopped, "mend it", name, "all"),) if stopped else ()
    record = DishRecord(name, kind, Span(23, 24, 25), 1, None, components=parts, description=description, findings=findings,
                        stopped=bool(stopped), facts=facts, equipment=("deep fryer",),
                        ingredients=tuple(Ingredient(part.name, 12.5, part.kinds) for part in parts))  # fmt: skip
    rows = (NutritionRow("energy_kj", "Energy", "1046 kJ", "251 kJ", "3 %"), NutritionRow("fat_g", "Fat", "12 g", "2.9 g", "4 %"))
    return Declaration(name, law, "2026-11-25", record, title=title, rows=rows, portion_words="Per portion (24 g)",
                       statement=(Run("Rye "), Run("rye", True)), states=states, allergen_words=words, findings=findings,
                       cautions=CAUTIONS, kitchen_version="4f1c09ab77d2", data_version="0.1.0/9e31d07c55aa",
                       nutrition_shown=False, menu_sentences=("Adults need around 2000 kcal a day.",))  # fmt: skip


FRYER = "deep fryer also cooks squid rings; oil changed 24 November 2026"


def tasting(count: int = 12) -> tuple[Menu, tuple[Declaration, ...]]:
    """A menu of up to 28 dishes with every state, a stopped dish, long names, Greek and Polish words."""
    leave = lambda name, *kinds: Component(name, kinds, True, "")  # noqa: E731
    swap = lambda name, other, *kinds: Component(name, kinds, False, other)  # noqa: E731
    dishes = (
        ("Bread", declare("Sourdough, cultured butter", fact("wheat", CONTAINS), fact("rye", CONTAINS), fact("milk", CONTAINS),
                          fact("sesame", MAY_CONTAIN, "specification of 2 October 2026: may contain sesame", "rye flour"),
                          parts=(swap("sourdough", "buckwheat cracker", "wheat"), leave("cultured butter", "milk")))),
        ("Snacks", declare("Smoked trout, rye, dill", fact("rye", CONTAINS), fact("trout", CONTAINS), fact("milk", CONTAINS),
                           fact("mustard", CONTAINS), fact("squid", CROSS_CONTACT, FRYER, "rye cracker"),
                           parts=(swap("rye cracker", "buckwheat cracker", "rye"), leave("pickled mustard seed", "mustard")),
                           description="House-smoked chalk stream trout, dill cream, pickled mustard seed")),
        ("Snacks", declare("Hazelnut gougère", fact("wheat", CONTAINS), fact("eggs", CONTAINS), fact("milk", CONTAINS),
                           fact("hazelnut", CONTAINS), fact("almond", MAY_CONTAIN, "pack: may contain other nuts", "hazelnuts"))),
        ("Raw", declare("Oyster, apple, celery", fact("oyster", CONTAINS), fact("celery", CONTAINS),
                        fact("sulphites", TO_CONFIRM, "usual in bottled cider, not settled", "cider"))),
        ("Garden", declare("Celeriac baked in hay with a very long name of sixty letters", fact("celery", CONTAINS),
                           fact("milk", CONTAINS), fact("barley", NOT_CONFIRMED, "no label read", "brown miso"),
                           fact("soybeans", CONTAINS), fact("wheat", CONTAINS), fact("lupin", NOT_CONFIRMED, "no label read",
                                                                                     "brown miso"))),
        ("Sea", declare("Turbot, mussel cream, sea herbs", fact("turbot", CONTAINS), fact("mussel", CONTAINS),
                        fact("milk", CONTAINS), fact("sulphites", CONTAINS), fact("crustaceans", CROSS_CONTACT,
                                                                                "same water bath as langoustine", "turbot"))),
        ("Sea", declare("Λαβράκι με αμύγδαλο", fact("almond", CONTAINS), fact("fish", CONTAINS))),
        ("Main", declare("Lamb with anchovy", fact("anchovy", CONTAINS), fact("celery", CONTAINS), fact("sulphites", CONTAINS),
                         parts=(leave("anchovy dressing", "anchovy"),))),
        ("Main", declare("Żurek z pieczoną śledziową gęsiną", stopped="“smetana” is in no product file")),
        ("Cheese", declare("Aged sheep’s cheese, oatcake", fact("milk", CONTAINS), fact("oats", CONTAINS),
                           fact("wheat", CONTAINS),
                           fact("spelt", CONTAINS), fact("sesame", CONTAINS))),
        ("Sweet", declare("Pistachio, white chocolate", fact("pistachio", CONTAINS), fact("milk", CONTAINS),
                          fact("eggs", CONTAINS),
                          fact("soybeans", CONTAINS), fact("peanuts", MAY_CONTAIN, "pack: may contain peanuts",
                                                             "pistachio paste"))),
        ("Sweet", declare("Blackcurrant leaf granita")),
        ("Petit fours", declare("Salted caramel", fact("milk", CONTAINS))),
        ("Petit fours", declare("Sesame nougatine", fact("sesame", CONTAINS), fact("almond", CONTAINS), fact("eggs", CONTAINS))),
    )
    dishes += tuple((f"{course}, again", replace(one, dish=f"{one.dish}, again")) for course, one in dishes)
    dishes = dishes[:count]
    courses: dict[str, list[str]] = {}
    for course, one in dishes:
        courses.setdefault(course, []).append(one.dish)
    menu = Menu("December tasting", NOWHERE, "2026-12-01", "2026-12-07",
                tuple(Course(tuple(names), NOWHERE, title) for title, names in courses.items()))  # fmt: skip
    return menu, tuple(one for _, one in dishes)
