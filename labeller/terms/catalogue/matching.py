"""Finding codes raised by the room: matching."""

from labeller.terms.catalogue.entry import Entry

ENTRIES: tuple[Entry, ...] = (
    Entry("no-food-match", "stop", "nutrition", "An ingredient has no row of food data",
          "Its nutrients are not known, so no figure of the dish would be true. Allergens don't wait for it.",
          "Choose a row: `labeller match`, or `food: \"01077\"` on the line or in the product."),
    Entry("unknown-food-code", "stop", "nutrition", "A food code that is written down is no row of the food data",
          "The figures of another food, or of none, would be counted.",
          "Write the code as text in quotes, such as `food: \"01077\"`; look codes up with `labeller foods WORDS`."),
)  # fmt: skip
