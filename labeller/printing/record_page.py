"""The page behind a QR code: from which records a print was made, dish by dish."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from labeller.printing.guest_words import guest_words
from labeller.printing.markup import broken, render
from labeller.printing.states import guest_lines
from labeller.terms.findings import Finding
from labeller.terms.looks import Looks
from labeller.terms.record import Declaration

TEMPLATE = "record_page.html"


def record_page(mark: str, title: str, facts: Sequence[tuple[str, str]], declarations: Sequence[Declaration], *,
                kitchen_name: str, looks: Looks, names: Mapping[str, str], language: str = "en"
                ) -> tuple[str, tuple[Finding, ...]]:  # fmt: skip
    """The page as HTML text. facts: name and text of what stands at its head, those without text are left out. A template of the
    kitchen's own that leaves an allergen line out is a finding, and the shipped one is used."""
    said, _ = guest_words(looks, language)
    dishes = [{"name": one.title or one.dish, "allergens": list(guest_lines(one, names, said)),
               "statement": () if one.stopped else one.statement} for one in declarations]  # fmt: skip
    cautions = tuple(dict.fromkeys(caution for one in declarations for caution in one.cautions))
    values = {"mark": mark, "title": title, "facts": [pair for pair in facts if pair[1]], "dishes": dishes, "cautions": cautions,
              "kitchen": kitchen_name, "language": language}  # fmt: skip
    text, found = render(looks, TEMPLATE, values, escape=True)
    lost = _lost(text, dishes)
    if lost and len(looks.folders) > 1:
        from msgspec.structs import replace

        text, _ = render(replace(looks, folders=looks.folders[-1:]), TEMPLATE, values, escape=True)
        found = (*found, broken(TEMPLATE, 0, f"it leaves out the allergen line “{lost}”"))
    return text, found


def _lost(text: str, dishes: Sequence[Mapping]) -> str:
    from markupsafe import escape

    return next((line for dish in dishes for line in dish["allergens"] if str(escape(line)) not in text), "")
