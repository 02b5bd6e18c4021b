"""Finding codes raised by the room: allergens."""

from labeller.terms.catalogue.entry import Entry

ENTRIES: tuple[Entry, ...] = (
    Entry("unread-product", "doubt", "none", "Nothing on record says what a bought-in product holds",
          "An unread jar is not confirmed for any allergen; no guest with an allergy can be answered.",
          "Read the pack or the specification; write `ingredients on pack`, `contains` and `evidence` in products/."),
    Entry("label-disagrees", "doubt", "none", "The printed ingredients hold an allergen that `contains` leaves out",
          "The guest would not be told. Until it is settled the allergen counts.",
          "Read the pack again and correct `contains` or `ingredients on pack`."),
    Entry("contains-not-on-label", "note", "none", "`contains` names an allergen that the printed ingredients don't show",
          "It counts all the same; perhaps the text is not complete.", "Copy the whole list of ingredients, or correct `contains`."),
    Entry("usual-not-declared", "doubt", "none", "A product of this class usually holds an allergen that its record leaves out",
          "Perhaps the specification was read too quickly.", "Look at the specification again and note the date."),
    Entry("unknown-kind", "stop", "all", "`contains` or `may contain` names something that is not an allergen kind",
          "A misspelt allergen would be lost.", "Use a word that `labeller read-label` knows, such as wheat, cod or hazelnut."),
    Entry("evidence-old", "doubt", "none", "The evidence for a product is old",
          "Recipes of suppliers change without notice.", "Look at the pack or the specification again and write the new date."),
    Entry("evidence-in-future", "doubt", "none", "The evidence for a product bears a date to come",
          "Nobody can have checked it yet.", "Correct `checked`."),
    Entry("evidence-many-at-once", "note", "none", "Many products were confirmed on one day by one hand",
          "Packs are seldom all read in one go.", "Nothing, if they truly were."),
    Entry("product-recalled", "stop", "all", "A product of this dish is under recall or alert",
          "Its label can't be relied on.", "Take the dish off or replace the product; remove `recall` when the supplier has cleared it."),
    Entry("oil-change-not-recorded", "doubt", "none", "Shared equipment has no date of its last change of oil or water",
          "What it has met is not known, so nothing cooked in it is confirmed.", "Write `oil changed: 2026-11-24` in kitchen.yaml."),
    Entry("equipment-not-recorded", "doubt", "none", "Food that is fried, boiled or held in a water bath names no equipment",
          "Whatever else went through that oil or water is not known.",
          "Write `equipment: [deep fryer]`, or `equipment: none shared`."),
    Entry("trimmed-part-exceeds", "doubt", "none", "More of a trimmed part is used than was trimmed off",
          "Part of it was bought in from somewhere else.", "Correct the amounts, or give the bought-in part a name of its own."),
)  # fmt: skip
