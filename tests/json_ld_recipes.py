"""Ten recipes of our own invention in the shapes that schema.org's Recipe takes in files and on pages, with what must come in.

Each: (text of the file, name, fields, {ingredient: amount as typed}, lines that must be asked, words that must stand as remarks).
"""

from __future__ import annotations

import json
from typing import NamedTuple

CONTEXT = {"@context": "https://schema.org"}


class Case(NamedTuple):
    text: str
    name: str
    fields: dict
    lines: dict[str, str]
    asked: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()


def page(value: object, before: str = "", after: str = "") -> str:
    return (
        f"<!doctype html><html><head><title>A page</title><script>var x = '<script>';</script>\n"
        f'<script type="application/ld+json">{before}{json.dumps(value)}{after}</script></head><body>1 cup</body></html>'
    )


CASES = (
    Case(
        json.dumps(
            CONTEXT
            | {
                "@type": "Recipe",
                "name": "Barley and leek broth",
                "recipeYield": "4 servings",
                "recipeIngredient": [
                    "120 g pearl barley, rinsed",
                    "2 leeks, thinly sliced",
                    "1.2 l chicken stock",
                    "30 g unsalted butter",
                    "salt, to taste",
                ],
                "recipeInstructions": "Sweat the leeks.\nAdd the rest and simmer.",
            }
        ),
        "Barley and leek broth",
        {"serves": "4"},
        {"pearl barley": "120 g", "leeks": "2", "chicken stock": "1.2 l", "unsalted butter": "30 g", "salt": "to taste"},
        remarks=("Sweat the leeks.", "Add the rest and simmer."),
    ),
    Case(
        json.dumps(
            {
                "@context": "https://schema.org",
                "@graph": [
                    {"@type": "WebPage", "name": "not this"},
                    {
                        "@type": ["Recipe", "NewsArticle"],
                        "name": "Plum &amp; almond tray bake",
                        "description": "<p>For a long afternoon.</p>",
                        "recipeYield": ["16", "16 squares"],
                        "author": {"@type": "Person", "name": "I. M. Invented"},
                        "image": ["a.jpg"],
                        "prepTime": "PT20M",
                        "recipeIngredient": [
                            "200 g ground almonds",
                            "4 medium eggs, beaten",
                            "&frac12; tsp salt",
                            "500 g plums, stoned",
                        ],
                        "recipeInstructions": [
                            {
                                "@type": "HowToSection",
                                "name": "The batter",
                                "itemListElement": [
                                    {"@type": "HowToStep", "text": "Mix."},
                                    {"@type": "HowToStep", "text": "Spread."},
                                ],
                            }
                        ],
                    },
                ],
            }
        ),
        "Plum & almond tray bake",
        {"description": "For a long afternoon.", "makes": "16 squares"},
        {"ground almonds": "200 g", "eggs": "4 medium", "salt": "1/2 tsp", "plums": "500 g"},
        asked=("500 g plums, stoned",),
        remarks=("by: I. M. Invented", "The batter", "Mix.", "Spread.", "prepTime: PT20M"),
    ),
    Case(
        page(
            CONTEXT
            | {
                "@type": "Recipe",
                "name": "Smoked haddock cream",
                "recipeYield": {"@type": "QuantitativeValue", "value": 600, "unitText": "g"},
                "recipeIngredient": ["350 g smoked haddock", "200 ml whole milk", "100 g crème fraîche or double cream"],
            }
        ),
        "Smoked haddock cream",
        {"makes": "600 g"},
        {"smoked haddock": "350 g", "whole milk": "200 ml", "crème fraîche or double cream": "100 g"},
        asked=("100 g crème fraîche or double cream",),
    ),
    Case(
        page(
            [
                CONTEXT
                | {
                    "@type": "ItemList",
                    "itemListElement": [
                        {
                            "@type": "ListItem",
                            "position": 1,
                            "item": {
                                "@type": "Recipe",
                                "name": "Rye crumbs",
                                "recipeIngredient": ["150 g rye bread, torn", "2 tbsp rapeseed oil", "a handful of parsley"],
                            },
                        }
                    ],
                }
            ],
            before="<!--",
            after="-->",
        ),
        "Rye crumbs",
        {},
        {"rye bread": "150 g", "rapeseed oil": "2 tbsp", "parsley": "1 handful"},
        asked=("a handful of parsley",),
    ),
    Case(
        json.dumps(
            CONTEXT
            | {
                "@type": "http://schema.org/Recipe",
                "name": "Sesame dressing",
                "recipeYield": 6,
                "ingredients": ["60 g tahini", "1 lemon", "1,500 g yoghurt"],
            }
        ),
        "Sesame dressing",
        {"serves": "6"},
        {"tahini": "60 g", "lemon": "1", "yoghurt": "1,500 g"},
        asked=("1,500 g yoghurt",),
    ),
    Case(
        json.dumps(
            CONTEXT
            | {
                "@type": "Recipe",
                "name": "Beet pickle",
                "recipeIngredient": "1 kg beetroot\n500 ml cider vinegar\n\n50 g caster sugar",
            }
        ),
        "Beet pickle",
        {},
        {"beetroot": "1 kg", "cider vinegar": "500 ml", "caster sugar": "50 g"},
    ),
    Case(
        json.dumps(
            CONTEXT
            | {
                "@type": "Recipe",
                "name": "Oat biscuits",
                "recipeYield": "Makes about two trays",
                "recipeIngredient": [
                    {
                        "@type": "HowToSupply",
                        "name": "rolled oats",
                        "requiredQuantity": {"@type": "QuantitativeValue", "value": 120, "unitText": "g"},
                    },
                    {"@type": "PropertyValue", "name": "clear honey", "value": "2", "unitText": "tbsp"},
                    "90 g butter, melted",
                ],
            }
        ),
        "Oat biscuits",
        {},
        {"rolled oats": "120 g", "clear honey": "2 tbsp", "butter": "90 g"},
    ),
    Case(
        json.dumps(
            CONTEXT
            | {
                "@type": "Recipe",
                "name": "Mussel sauce",
                "recipeYield": "500 g",
                "keywords": "sauce, shellfish",
                "recipeIngredient": [
                    "For the stock:",
                    "1 kg mussels",
                    "For the sauce:",
                    "40 g butter",
                    "40 g plain flour",
                    "50 ml dry white wine (optional)",
                ],
            }
        ),
        "Mussel sauce",
        {"makes": "500 g"},
        {"mussels": "1 kg", "butter": "40 g", "plain flour": "40 g", "dry white wine": "50 ml"},
        asked=("For the stock:", "For the sauce:", "50 ml dry white wine (optional)"),
        remarks=("keywords: sauce, shellfish",),
    ),
    Case(
        json.dumps(
            CONTEXT
            | {
                "@type": "WebPage",
                "mainEntity": {
                    "@type": "schema:Recipe",
                    "name": "=Chestnut soup",
                    "recipeYield": "Serves 8",
                    "recipeIngredient": [
                        "1 (400 g) tin chestnut purée",
                        "8 oz (225 g) celery, diced",
                        "1 litre vegetable stock",
                        "2 T olive oil",
                    ],
                    "suitableForDiet": "https://schema.org/VeganDiet",
                },
            }
        ),
        "=Chestnut soup",
        {"serves": "8"},
        {"chestnut purée": "400 g", "celery": "225 g", "vegetable stock": "1 litre", "olive oil": "2 T"},
        asked=("2 T olive oil",),
        remarks=("suitableForDiet: https://schema.org/VeganDiet",),
    ),
    Case(
        "\ufeff"
        + json.dumps(
            CONTEXT
            | {
                "@type": "Recipe",
                "name": "Tarte aux noix: la maison",
                "recipeYield": "8 personnes",
                "recipeIngredient": [
                    "250 g de farine",
                    "125 g de beurre, fondu",
                    "3 œufs, battus",
                    "1 pincée de sel",
                    "200 g de noix, hachées",
                    "15 cl de crème # épaisse",
                ],
            }
        ),
        "Tarte aux noix: la maison",
        {"serves": "8"},
        {"farine": "250 g", "beurre": "125 g", "œufs": "3", "sel": "1 pinch", "noix": "200 g", "crème # épaisse": "15 cl"},
    ),
)
