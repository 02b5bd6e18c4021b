"""Words of ingredient lists, in English, French, German, Italian and Spanish. Common practice, no source."""

from __future__ import annotations


def _each(words: str) -> list[str]:
    return words.split()


# Units in other languages -> the unit as the kitchen's files write it. Only what has one meaning.
FOREIGN_UNITS: dict[str, str] = {
    "el": "tbsp", "esslöffel": "tbsp", "tl": "tsp", "teelöffel": "tsp", "prise": "pinch", "prisen": "pinch",
    "messerspitze": "pinch", "gramm": "g", "liter": "l", "milliliter": "ml", "cuillère à soupe": "tbsp",
    "cuillères à soupe": "tbsp", "cuillere a soupe": "tbsp", "cuilleres a soupe": "tbsp", "c. à soupe": "tbsp",
    "c à soupe": "tbsp", "c. à s.": "tbsp", "c.à.s.": "tbsp", "càs": "tbsp", "cuillère à café": "tsp",
    "cuillères à café": "tsp", "cuillere a cafe": "tsp", "cuilleres a cafe": "tsp", "c. à café": "tsp", "c à café": "tsp",
    "c. à c.": "tsp", "c.à.c.": "tsp", "càc": "tsp", "pincée": "pinch", "pincées": "pinch", "grammes": "g", "litres": "l",
    "cucchiai": "tbsp", "cucchiaio": "tbsp", "cucchiaini": "tsp", "cucchiaino": "tsp", "pizzico": "pinch", "grammi": "g",
    "litro": "l", "litri": "l", "cucharada": "tbsp", "cucharadas": "tbsp", "cucharadita": "tsp", "cucharaditas": "tsp",
    "pizca": "pinch", "gramos": "g", "litros": "l",
}  # fmt: skip
# Words for a piece -> as the measure tables know it.
PIECE_UNITS: dict[str, str] = {
    **{word: word for word in _each(
        "clove cloves sheet sheets sprig sprigs slice slices stick sticks bunch bunches head heads leaf leaves stalk stalks rib "
        "ribs fillet fillets rasher rashers tin tins can cans jar jars packet packets packages package sachet sachets ball "
        "balls ear ears strip strips cube cubes wedge wedges pod pods bulb bulbs bottle bottles tub tubs carton cartons bag "
        "bags box boxes tube tubes pkg pkgs pack packs punnet punnets block blocks bar bars pot pots tray trays")},
    "stück": "pieces", "stücke": "pieces", "stk": "pieces", "stk.": "pieces", "pce": "pieces", "pces": "pieces", "ea": "pieces",
    "pièce": "pieces", "pièces": "pieces", "pezzo": "pieces", "pezzi": "pieces", "unidad": "pieces", "unidades": "pieces",
    "ud": "pieces", "uds": "pieces", "unit": "pieces", "units": "pieces", "pcs": "pieces", "pc": "pieces", "piece": "piece",
    "pieces": "pieces",
    "each": "pieces", "no.": "pieces",
    "zehe": "cloves", "zehen": "cloves", "bund": "bunch", "blatt": "sheets", "scheibe": "slices", "scheiben": "slices",
    "zweig": "sprigs",
    "zweige": "sprigs", "dose": "tin", "dosen": "tins",
    "gousse": "cloves", "gousses": "cloves", "feuille": "sheets", "feuilles": "sheets", "tranche": "slices", "tranches": "slices",
    "botte": "bunch", "bottes": "bunches", "brin": "sprigs", "brins": "sprigs", "boîte": "tin", "boîtes": "tins",
    "spicchio": "cloves", "spicchi": "cloves", "fetta": "slices", "fette": "slices", "foglio": "sheets", "fogli": "sheets",
    "diente": "cloves", "dientes": "cloves", "loncha": "slices", "lonchas": "slices",
}  # fmt: skip
PACKS = frozenset(_each(
        "tin tins can cans jar jars packet packets package packages sachet sachets tub tubs carton cartons bag bags bottle "
        "bottles box boxes"))
LENGTHS = frozenset(_each("cm mm inch inches in"))
SOME = frozenset(_each("few some several couple little bit etwas"))
MORE = frozenset(_each(
        "plus and extra more some a little bit for to serve garnish decorate dusting rolling greasing brushing frying "
        "sprinkling drizzling finish"))
SIZES = frozenset(_each("large medium small extra-large"))
UNMEASURED = frozenset(_each(
        "handful handfuls knob knobs splash splashes drizzle glug glugs dollop dollops squeeze few some several couple spoonful "
        "thumb thumbs little bit pfund livre libra tasse tassen tazza tazze taza tazas verre verres glas becher "
        "päckchen pck poignée filet schuss handvoll etwas manciata filo puñado chorrito"))
SPOON_WORDS = frozenset(_each("heaped heaping scant generous rounded good big level packed"))
OF = ("of the ", "of ", "de la ", "de l'", "de l’", "de ", "d'", "d’", "du ", "des ", "di ", "von ")
ABOUT = (
    "about ", "approximately ", "approx. ", "approx ", "around ", "roughly ", "circa ", "ca. ", "ca ", "c. ", "~", "≈ ", "≈",
    "environ ", "etwa ", "ungefähr ", "up to ", "at least ", "at most ", "less than ", "more than ", "max. ", "max ",
    "min. ", "min ", "scant ", "generous ", "heaped ",
)  # fmt: skip
# What is done to an ingredient that changes neither what it is nor what it weighs.
HANDLING = frozenset(_each(
        "beaten chopped diced sliced minced grated crushed crumbled cubed torn shredded julienned halved quartered melted "
        "softened chilled cold warm warmed sifted whisked mashed ground cracked bruised snipped leaves seeds scraped washed "
        "rinsed dried patted dry cut divided separated room temperature at in into to for from the a an and very finely roughly "
        "coarsely thinly lightly freshly well thin thick fine small large medium pieces chunks cubes slices strips rounds rings "
        "batons dice wedges half halves quarters lengthways lengthwise crosswise diagonally bite-size bite-sized cm mm inch "
        "inches hand possible piece about each plus-size tied together cleaned scrubbed zested flaked broken up with fork knife "
        "tossed crosswise if needed matchsticks shaved brunoise split loosely gently slightly battus battu haché hachée hachés "
        "hachées émincé émincée émincés fondu ramolli râpé coupé coupés en dés fein gehackt gewürfelt geschnitten gerieben "
        "geschmolzen weich verquirlt gesiebt zerlassen zimmerwarm tritato sbattute fuso picado batidos"))
# What changes how much of it there is: was it weighed before or after?
WEIGHT_WORDS = frozenset(_each(
        "peeled picked deveined bearded pitted stoned cored deseeded seeded unpeeled trimmed boned deboned shelled podded "
        "shucked drained strained cooked boiled roasted toasted fried grilled poached steamed squeezed soaked defrosted thawed "
        "filleted skinned juiced stripped hulled épluché épluchée épluchés épluchées dénoyauté égoutté égouttés geschält "
        "entkernt abgetropft cuit gekocht sbucciato scolato pelado escurrido"))
TO_TASTE = ("to taste", "as required", "as needed", "q.s.", "qs", "to garnish", "for garnish", "to finish", "garnish")
FOREIGN_TASTE = {
    "selon le goût": "to taste", "au goût": "to taste", "nach geschmack": "to taste", "q.b.": "to taste",
    "quanto basta": "to taste", "al gusto": "to taste", "season to taste": "to taste", "according to taste": "to taste",
}  # fmt: skip
PURPOSE = (
    " for greasing", " for dusting", " for frying", " for deep-frying", " for deep frying", " for shallow-frying",
    " for brushing", " for serving", " to serve", " for sprinkling", " for the tin", " for the pan", " for rolling",
    " for glazing", " for drizzling", " to decorate", " for decoration", " pour le moule", " zum braten", " zum bestäuben",
    " per friggere",
)  # fmt: skip
FRYING = ("fry", "frying", "frire", "friture", "braten", "frittieren", "friggere", "freír")
ADVERBS = frozenset(_each("finely roughly coarsely thinly freshly very lightly well"))
INGREDIENT_HEADS = frozenset(_each("ingredients ingredient ingrédients zutaten ingredienti ingredientes"))
METHOD_HEADS = frozenset(_each(
        "method directions instructions preparation steps procedure method: zubereitung préparation preparazione preparación "
        "elaboración"))
HEADING_STARTS = (
    "for the ", "for ", "pour la ", "pour le ", "pour les ", "pour l'", "für die ", "für den ", "für das ", "per la ",
    "per il ", "para la ", "para el ",
)  # fmt: skip
SERVES_WORDS = (
    "serves", "servings", "serving", "portions", "covers", "portionen", "personen", "couverts", "personnes", "porzioni",
    "raciones",
)  # fmt: skip
FOR_WORDS = ("pour", "für", "per", "para", "for")  # before a number of people
MAKES_WORDS = ("makes", "yields", "yield", "batch size", "ergibt", "rendement", "resa")
PORTION_WORDS = frozenset(_each(
        "servings serving portions portion people persons person guests covers personnes personne parts portionen personen "
        "porzioni persone raciones personas pax"))
