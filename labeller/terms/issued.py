"""What was signed off, as frozen types. Read by :mod:`labeller.reading.issued`, written by :mod:`labeller.serving.register`."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from labeller.terms.findings import Finding


class Issued(NamedTuple):
    """One sign-off. file: its name in ``issued/``. seal: SHA-256 (hex) over its content without the seal. content: as it stands
    in the file; its keys are described where it is made (:func:`labeller.serving.register.content_of`). digest: SHA-256 (hex) of
    the file's bytes, which the next sign-off names."""

    file: str
    number: int
    menu: str
    seal: str
    content: Mapping[str, object]
    digest: str = ""

    @property
    def date(self) -> str:
        return str(self.content.get("date", ""))

    @property
    def by(self) -> str:
        return str(self.content.get("by", ""))


class Register(NamedTuple):
    """All sign-offs of a kitchen, oldest first. findings: each file of ``issued/`` that is not as it was written; while there is
    one, no sign-off counts. pending: file names whose writing was cut short after they had been entered on the list."""

    issues: tuple[Issued, ...] = ()
    findings: tuple[Finding, ...] = ()
    pending: tuple[str, ...] = ()

    def latest(self, menu: str) -> Issued | None:
        """The sign-off of a menu that holds; earlier ones of it are replaced."""
        return next((each for each in reversed(self.issues) if each.menu == menu), None)

    @property
    def head(self) -> str:
        """Checksum of the newest sign-off's file, "" before the first."""
        return self.issues[-1].digest if self.issues else ""
