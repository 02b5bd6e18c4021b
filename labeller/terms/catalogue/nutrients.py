"""Finding codes raised by the room: nutrients."""

from labeller.terms.catalogue.entry import Entry

ENTRIES: tuple[Entry, ...] = (
    Entry("composition-not-known", "stop", "nutrition", "An ingredient has neither a food row nor label figures",
          "A figure without it would be too low.", "Settle its row with `labeller match`, or copy the figures of its label."),
    Entry("sugars-exceed-carbohydrate", "note", "none", "A source gives more sugars than carbohydrate",
          "Food tables round and analyse apart; the figures are kept as published.",
          "Nothing, unless the label figures were mistyped."),
    Entry("parts-exceed-100", "doubt", "none", "Label figures add up to more than 100 g per 100 g",
          "A figure was mistyped or taken per portion.", "Copy the column per 100 g of the label again."),
    Entry("fibre-not-on-label", "doubt", "none",
          "Label figures by the EU's rules have carbohydrate, and fibre is nowhere on record",
          "A dish's total carbohydrate (US, Canada) then prints as not known, and its energy where the label has none.",
          "Write `fibre:` from the label or the specification, or a `food:` row for the product."),
)  # fmt: skip
