"""Finding codes raised by the room: printing."""

from labeller.terms.catalogue.entry import Entry

# labels
LABELS: tuple[Entry, ...] = (
    Entry("stock-unknown", "doubt", "none", "The label stock is not known",
          "Labels would be printed beside their paper.", "Write page and label size as in the list, or all measures."),
    Entry("stock-ambiguous", "doubt", "none", "The label stock can be read in two ways",
          "Two sheets hold labels of this size in different places.", "Add the columns and rows in brackets, as in (2 x 4)."),
    Entry("stock-does-not-add-up", "doubt", "none", "Margins, labels and gaps don't add up to the page",
          "Text would be cut or run over the label's edge.", "Measure the sheet again and correct the line."),
    Entry("stock-start-outside", "doubt", "none", "The start position is not on the sheet",
          "Labels would be missing without a word.", "Give a position from 1 to the number of labels on a sheet."),
    Entry("label-sheet-outside", "doubt", "none", "The sheet to print again is not in the run",
          "Nothing was printed for what was spoiled.", "Give a sheet of the run, with the same start and copies as before."),
    Entry("label-looks-broken", "doubt", "none", "A line of the kitchen's label.yaml can't be used",
          "Labels keep the shipped looks instead.", "Correct the line named."),
    Entry("label-does-not-fit", "doubt", "none", "The text does not fit the label in a lawful type size",
          "Text would be cut or too small to read; it is not printed.", "Take the larger stock named, or two labels a pack."),
    Entry("label-glyph-missing", "doubt", "none", "The label font lacks a letter",
          "An empty box would stand in a name or an allergen; the label is not printed.", "Write the word without that letter."),
    Entry("label-no-answer", "doubt", "none", "A pack without an answer gets no label",
          "Its declaration is not true as it stands.", "Mend the findings of the pack first."),
    Entry("label-look-alike", "doubt", "none", "Two labels of one run begin alike and differ in allergens",
          "The wrong label on the right box.", "Print them in two runs, or begin their names differently."),
    Entry("label-nothing-to-print", "doubt", "none", "No label is left to print",
          "An empty file would look like a finished run.", "See the other findings of this run."),
    Entry("label-panel-from-memory", "note", "none",
          "The form of a nutrition table was not checked against the law's own drawing",
          "The figures are right; a type size or a rule of the table may not be.",
          "Have the form checked before the pack is sold."),
    Entry("label-type-rule-from-memory", "note", "none", "A type-size rule used here was not checked against its text",
          "The height of the net quantity may be wrong.", "Check the rule named before printing."),
)  # fmt: skip

# what is looked at before labels are printed (serving/label_checks.py)
CHECKS: tuple[Entry, ...] = (
    Entry("label-offset-outside", "doubt", "none", "The offset pushes labels over the edge of their page",
          "What stands at the edge would be cut off.", "Write an offset within the margins of the sheet, in mm."),
    Entry("copies-outside", "doubt", "none", "A number of labels that no run has",
          "None, or more than anybody means, would be printed.", "Write a number from 1 to 5000, or leave it out."),
    Entry("cross-contact-accepted", "doubt", "none", "A pack's label was printed though nobody has assessed its cross-contact",
          "The label warns of all that the equipment may have met, whether or not that is needed.",
          "Write `may contain:` and `risk assessed:` on the pack, and print again."),
    Entry("label-incomplete-accepted", "doubt", "none", "A pack's label was printed though it lacks what the law asks for",
          "Whoever took it on has to put it on the pack another way, by a stamp for the date, say.",
          "Write what is missing, and print again."),
)  # fmt: skip

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
    Entry("sheet-term-missing", "doubt", "none", "A language has no word for an allergen on this sheet",
          "The name of its group stands instead; who avoids one kind only is told less than the record knows.",
          "Tell the guest in words; the words of a language come with the tool."),
    Entry("box-card-needs-pieces", "doubt", "none", "Only a pack that holds pieces has a box card",
          "There is nothing to tell piece by piece.", "Name a pack with `holds:`."),
    Entry("page-only-for-tickets", "doubt", "none", "Only a ticket can be printed on a ticket roll",
          "A sheet would be cut at the width of the roll.", "Name a paper size."),
    Entry("sheet-too-full", "doubt", "none", "A text does not fit its place on a sheet even at the smallest type",
          "The sheet had to run on to a further page or into smaller parts than planned.",
          "Shorten the name or text, or print on larger paper."),
    Entry("sheet-letter-missing", "doubt", "none", "The font of the sheets lacks a letter",
          "An empty box would stand in a dish or an allergen.", "Write the word without it, or name a font that has it."),
    Entry("dish-without-declaration", "doubt", "none", "A dish of the menu has no declaration on this sheet",
          "A dish that is missing from a sheet is taken for one without allergens.",
          "Run the check and mend what stops the dish; until then its row says NO ANSWER and sends people to the kitchen."),
)  # fmt: skip

ENTRIES: tuple[Entry, ...] = LABELS + CHECKS + SHEETS
