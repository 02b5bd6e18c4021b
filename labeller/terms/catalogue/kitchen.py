"""Finding codes raised by the room: kitchen."""

from labeller.terms.catalogue.entry import Entry

ENTRIES: tuple[Entry, ...] = ()
