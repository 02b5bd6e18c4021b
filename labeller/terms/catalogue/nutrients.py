"""Finding codes raised by the room: nutrients."""

from labeller.terms.catalogue.entry import Entry

ENTRIES: tuple[Entry, ...] = ()
