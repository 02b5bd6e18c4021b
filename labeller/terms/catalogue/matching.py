"""Finding codes raised by the room: matching."""

from labeller.terms.catalogue.entry import Entry

ENTRIES: tuple[Entry, ...] = ()
