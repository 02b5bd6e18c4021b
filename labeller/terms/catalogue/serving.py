"""Finding codes raised by the floor: serving."""

from labeller.terms.catalogue.entry import Entry

ENTRIES: tuple[Entry, ...] = (
    Entry("dish-not-known", "stop", "all", "A dish, pack or recipe that the kitchen does not have",
          "An answer about another dish would be given.", "Use a name of the recipes, or one of its `also called`."),
    Entry("menu-not-known", "stop", "all", "A menu that the kitchen does not have", "The wrong service would be answered.",
          "Use a name of the menus, or leave `--menu` out when one menu covers the date."),
    Entry("figure-not-known", "stop", "all", "A word that is neither a figure nor an allergen", "A trail of something else would mislead.",
          "Use a line of the declaration (fat_g, salt_g …) or an allergen (milk, wheat …)."),
    Entry("word-not-known", "stop", "all", "A guest's word that is not known",
          "A misspelt allergen would match nothing and the guest would be told there is nothing.",
          "Ask the guest again and use one of the words offered."),
    Entry("word-to-ask", "stop", "all", "A guest's word that can mean different things",
          "Nuts can mean tree nuts, peanuts or both; only the guest knows.", "Ask the guest, then use one of the words offered."),
    Entry("stock-not-named", "stop", "all", "No label stock is named", "Labels would miss their sheet.",
          "Write `label sheets:` in kitchen.yaml, or --stock with a size."),
    Entry("cannot-write", "stop", "all", "A file or folder that can't be written", "Nothing was changed.",
          "Look at the rights of the folder and the room on the disk."),
    Entry("product-not-known", "stop", "all", "A product that the kitchen does not have", "A comparison with nothing would look clean.",
          "Use a name of products/, or write the product first."),
    Entry("name-needed", "stop", "all", "A person's name is needed", "Nobody would answer for what was confirmed.", "Write --by NAME."),
    Entry("cannot-read", "stop", "all", "A file that can't be read", "Nothing was answered.", "Name a text file in UTF-8."),
    Entry("nothing-to-print", "stop", "all", "Nothing that could be printed", "An empty sheet would look like an answer.",
          "Look at the findings of `labeller check`."),
)  # fmt: skip
