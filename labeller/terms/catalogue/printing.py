"""Finding codes raised by the room: printing."""

from labeller.terms.catalogue.entry import Entry

# labels
LABELS: tuple[Entry, ...] = ()

# sheets
SHEETS: tuple[Entry, ...] = (
    Entry("style-broken", "doubt", "none", "A line of the kitchen's style.yaml can't be used",
          "The sheets print in the house style instead of the kitchen's own, which may not be noticed.",
          "Correct the line named, or take it out."),
    Entry("template-broken", "doubt", "none", "A template of the kitchen's own can't be used",
          "The document prints from the shipped template instead of the kitchen's own.",
          "Correct the line named in the kitchen's templates folder, or take the file away."),
    Entry("sheet-language", "doubt", "none", "The sheet's own words do not exist in this language",
          "Headings and states stand in English beside dish names in another language; a waiter may not read them.",
          "Print the sheet in English, or explain the words to the team."),
    Entry("sheet-too-full", "doubt", "none", "A text does not fit its place on a sheet even at the smallest type",
          "The sheet had to run on to a further page or into smaller parts than planned.",
          "Shorten the name or text, or print on larger paper."),
    Entry("dish-without-declaration", "doubt", "none", "A dish of the menu has no declaration on this sheet",
          "A dish that is missing from a sheet is taken for one without allergens.",
          "Run the check and mend what stops the dish; until then its row says NO ANSWER and sends people to the kitchen."),
)  # fmt: skip

ENTRIES: tuple[Entry, ...] = LABELS + SHEETS
