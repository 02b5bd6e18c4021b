"""Finding codes raised by the room: measures."""

from labeller.terms.catalogue.entry import Entry

ENTRIES: tuple[Entry, ...] = (
    Entry("no-density", "stop", "nutrition", "A volume of something whose weight per millilitre is not known",
          "Its grams, and every figure of the dish, would be a guess. Allergens go on.",
          "Weigh it and write grams, or write `density: 1.02 g/ml` on the product."),
    Entry("no-piece-weight", "stop", "nutrition", "A count of something whose weight per piece is not known",
          "Its grams, and every figure of the dish, would be a guess. Allergens go on.",
          "Weigh ten, divide, and write `one piece weighs: 25 g` on the product, or write grams in the recipe."),
    Entry("unit-in-two-sizes", "stop", "nutrition", "A pint or a fluid ounce that metric measures don't have",
          "A US pint is 473 ml, an imperial pint 568 ml.",
          "Write ml, or set `measures: us` or `measures: imperial` in kitchen.yaml."),
    Entry("piece-size-not-said", "doubt", "none", "A count without its size",
          "Small and large differ by up to a factor of three; figures carry that range.",
          "Write the size (\"2 large\"), grams, or `one piece weighs: 25 g` on the product."),
    Entry("cut-not-said", "note", "none", "A volume that weighs more or less by its cut",
          "A cup of slices and a cup of chopped weigh differently; figures carry that range.",
          "Write grams, or name the cut in the ingredient (\"chopped onion\")."),
    Entry("density-sources-differ", "note", "none", "Two tables give densities over 10 % apart for this",
          "The grams may be out by that much.", "Weigh 100 ml once and write `density:` on the product."),
    Entry("amount-not-known", "note", "none", "An amount left to the cook's taste",
          "Its share of the figures is not known; they are shown as \"at least\". Its allergens count.",
          "Write `about: 3 g` beside it."),
)  # fmt: skip
