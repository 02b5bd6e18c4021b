"""Finding codes raised by the room: printing."""

from labeller.terms.catalogue.entry import Entry

ENTRIES: tuple[Entry, ...] = ()
