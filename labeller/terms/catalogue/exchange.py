"""Finding codes raised where recipes come in and records go out: reading/imports, reading/sheets, serving/verbs_exchange."""

from labeller.terms.catalogue.entry import Entry

ENTRIES: tuple[Entry, ...] = (
    Entry("import-line-unsure", "doubt", "none", "An imported line that can be read in more than one way",
          "A guess would become a figure or hide an allergen.",
          "Look at the line in the new file, where a remark says what is asked, and write it as the kitchen means it."),
    Entry("import-heading", "note", "none", "A heading among the imported ingredients",
          "What stands under it may be a batch of its own, with its own weight.",
          "Make a recipe of its own of it where it is one; else leave it."),
    Entry("import-left-out", "note", "none", "Something in an imported file that a kitchen's file has no place for",
          "Words that nobody reads again are lost.", "Look at the remark in the new file; keep what matters."),
    Entry("import-columns-not-known", "stop", "all", "A table whose columns are not known", "Amounts could land in the wrong place.",
          "Say once which column is which with --columns; the kitchen remembers it."),
    Entry("import-columns-wrong", "stop", "all", "Columns that can't be what was said", "Amounts would land in the wrong place.",
          "Write --columns recipe=A,name=B,amount=C,unit=D, with letters or headings of the sheet."),
    Entry("import-not-readable", "stop", "all", "A file that can't be read", "Nothing was taken from it.",
          "Save it as XLSX, CSV (UTF-8), JSON, HTML or plain text."),
    Entry("import-nothing-found", "stop", "all", "A file without a recipe that could be found", "Nothing was taken from it.",
          "Look whether it is the right file; plain text needs one ingredient a line."),
    Entry("import-name-taken", "stop", "all", "An imported name that the kitchen has already", "Nothing is overwritten.",
          "Give it another name (--name), or delete the old entry first."),
    Entry("import-name-missing", "stop", "all", "An imported recipe without a name", "It could not be found again.", "Write --name NAME."),
    Entry("import-mapping-not-read", "stop", "all", "The remembered columns can't be read", "Amounts could land in the wrong place.",
          "Delete imports.yaml and say once more with --columns."),
    Entry("export-form-not-made", "stop", "all", "A form in which this is not written", "An empty file would look like an answer.",
          "Use one of the forms offered."),
    Entry("export-not-answered", "doubt", "none", "A dish without an answer in an export", "A blank could be read as nothing in it.",
          "Look at labeller check; the export says in words that there is no answer."),
    Entry("export-entry-broken", "stop", "all", "An entry that can't be read and so can't be written out", "The export would lack a recipe.",
          "Mend the file; labeller check names the line."),
)  # fmt: skip
