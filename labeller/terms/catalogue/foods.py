"""Finding codes raised by the room: foods (importing food data)."""

from labeller.terms.catalogue.entry import Entry

ENTRIES: tuple[Entry, ...] = (
    Entry("download-not-readable", "stop", "none", "A download of food data can't be read",
          "Nothing was imported; the store is as it was.",
          "Take the file again from FoodData Central (CSV or JSON, zipped or not), and don't unpack or edit it."),
    Entry("download-incomplete", "stop", "none", "A download of food data lacks one of its tables",
          "Foods without their nutrients would look like foods without nutrients. Nothing was imported.",
          "Take the full download of that release from FoodData Central."),
    Entry("download-empty", "stop", "none", "A download of food data holds no food",
          "Nothing was imported; the store is as it was.", "Look whether it is the right file."),
    Entry("download-rows-left-out", "note", "none", "Some rows of a download could not be understood and were left out",
          "The values they hold are not known.", "Nothing, unless they are many: then take the file again."),
    Entry("foods-per-100-ml", "note", "none", "Some foods of a download are given per 100 ml, not per 100 g",
          "Without a density their figures per 100 g are not known; they are kept, but not used.",
          "Write the figures of the label, and its density, on the product."),
    Entry("store-not-writable", "stop", "none", "The store of food data can't be written",
          "Nothing was imported; the store is as it was.", "Free some space, or choose a folder you may write to."),
    Entry("release-not-there", "doubt", "none", "A match is pinned to a release of the food data that is not at hand",
          "The figures come from another release than the one that was confirmed.",
          "Import that release again, or confirm the match anew with labeller match."),
    Entry("release-not-known", "stop", "none", "A release of the food data that is not at hand", "There is nothing to compare with.",
          "Import it with labeller import, or use a name that labeller releases shows."),
    Entry("row-not-in-release", "stop", "none", "An ingredient that a release has no row for", "There is nothing to accept.",
          "Use a name that labeller releases shows for that release."),
    Entry("row-pinned-elsewhere", "stop", "none", "A row that is pinned where matches.yaml does not reach",
          "A match would be passed over: a line and a product come first.", "Write the new code there."),
    Entry("store-busy", "stop", "none", "Another import is writing to this store", "Two at once would spoil each other's work.",
          "Wait until it has ended, then import again."),
    Entry("store-not-readable", "stop", "nutrition", "The store of food data can't be opened",
          "Rows that are pinned in it are not known.", "Import the downloads again; the file is made anew."),
)  # fmt: skip
