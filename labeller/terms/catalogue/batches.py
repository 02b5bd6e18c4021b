"""Finding codes raised by the room: batches."""

from labeller.terms.catalogue.entry import Entry

ENTRIES: tuple[Entry, ...] = ()
