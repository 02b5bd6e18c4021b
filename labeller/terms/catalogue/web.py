"""Finding codes raised by the local page and by what edits the kitchen's files for it."""

from labeller.terms.catalogue.entry import Entry

ENTRIES: tuple[Entry, ...] = (
    Entry("edit-changed-underneath", "stop", "none", "A file that was changed by somebody else in the meantime",
          "The change of the other would be lost without anybody seeing it.", "Open the page again and make the change once more."),
    Entry("edit-no-place", "stop", "none", "A file that can't be written", "Nothing was changed.",
          "Look at the rights of the folder and the room on the disk."),
    Entry("edit-not-clean", "stop", "none", "An entry that can't be changed without touching what stands beside it",
          "Remarks or other entries could be lost.", "Change it in the file with a text editor."),
    Entry("nothing-to-undo", "stop", "none", "No change to take back", "Nothing was changed.", "Look at the file itself."),
    Entry("page-not-known", "stop", "none", "An address that is no page", "Nothing is shown.", "Begin at Today."),
    Entry("page-refused", "stop", "none", "A request that does not come from this page",
          "Another page or program could change the kitchen's files.", "Use the address that `labeller open` printed."),
    Entry("form-not-read", "stop", "none", "A form that could not be read", "Nothing was changed.", "Open the page again."),
    Entry("page-fault", "stop", "none", "A fault of the program itself", "The answer is missing; nothing was changed.",
          "Ask the kitchen; tell whoever looks after this program what you did."),
    Entry("name-in-use", "stop", "none", "A name that other entries call", "They would call something that is not there.",
          "Keep the name, or change it in all the files that call it."),
    Entry("not-sure", "stop", "none", "An entry is taken out only when that was said twice", "A slip of the finger would lose a recipe.",
          "Tick the box beside the button first."),
    Entry("port-taken", "stop", "none", "An address that another program uses", "The page can't be opened there.", "Write --port 0 or another number."),
)  # fmt: skip
