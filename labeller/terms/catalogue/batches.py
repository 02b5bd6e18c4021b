"""Finding codes raised by the room: batches (mass)."""

from labeller.terms.catalogue.entry import Entry

ENTRIES: tuple[Entry, ...] = (
    Entry("loss-not-named", "stop", "nutrition", "A batch weighs less than went in, and nobody said where the rest went",
          "Water driven off leaves every nutrient behind; food left in the bowl takes them along.",
          "Write `loss: evaporated`, `loss: left behind`, `loss: fat` or shares of them below `makes`."),
    Entry("batch-heavier-than-lines", "stop", "nutrition", "A batch weighs more than all that went in",
          "Something that went in is missing from the list, or a weight is mistyped.",
          "List what was added (water too), or correct `makes`."),
    Entry("more-than-the-water", "stop", "nutrition", "More was said to evaporate than there is water in the batch",
          "The weight or the kind of loss can't be right.",
          "Weigh the batch again, or name what was left behind or ran off as fat."),
    Entry("coating-exceeds-tray", "doubt", "none", "More coating was picked up than the trays held",
          "The figures would count food that isn't there.", "Correct `picked up` or the amounts in the trays."),
    Entry("nothing-weighed", "stop", "nutrition", "No line of the recipe has a weight that is known",
          "Without a weight there is nothing to divide by.", "Give at least one ingredient an amount."),
    Entry("pieces-not-counted", "stop", "nutrition", "Pieces are asked of a recipe that does not say how many it makes",
          "The weight of a piece is not known.", "Write `makes: 60 pieces` or `makes: 60 pieces of 7-8 g` in that recipe."),
    Entry("treatment-counted-twice", "doubt", "none", "A row that is cooked already is cooked again by a table",
          "Water or vitamins would be taken off twice.", "Match the raw row, or drop the yield or the treatment of that line."),
    Entry("drained-counted-twice", "doubt", "none", "A row of drained food has its liquid poured off again",
          "Weight would be taken off twice.", "Match the row with its liquid, or drop `poured off`."),
    Entry("two-yields", "note", "none", "Two sources give the yield of a batch; the first one counts",
          "Only one can be right.", "Drop the one that was not weighed."),
    Entry("fat-exceeds", "stop", "nutrition", "More fat was said to run off than there is in the batch",
          "The weight or the kind of loss can't be right.", "Weigh the batch again, or name another kind of loss."),
    Entry("mass-not-balanced", "stop", "nutrition", "The weights of a recipe do not add up",
          "A figure per portion would be wrong by the missing grams.", "Check the amounts named in the finding."),
)  # fmt: skip
