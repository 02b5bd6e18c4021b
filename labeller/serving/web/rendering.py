"""Markup of the page: Jinja2 templates of ``templates/web/``, everything escaped; the few files that go with them."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from labeller.reading.library import template
from labeller.serving.web.asking import Reply, to

LOOKS = {
    "style.css": ("web/style.css", "text/css; charset=utf-8"),
    "icon.svg": ("web/icon.svg", "image/svg+xml"),
    "page.js": ("web/page.js", "text/javascript; charset=utf-8"),
    "FiraSans-Regular.ttf": ("fonts/FiraSans-Regular.ttf", "font/ttf"),
    "FiraSans-Bold.ttf": ("fonts/FiraSans-Bold.ttf", "font/ttf"),
    "FiraSans-Italic.ttf": ("fonts/FiraSans-Italic.ttf", "font/ttf"),
}


@lru_cache(maxsize=1)
def _environment():
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    from labeller.printing.words import COLUMNS, LAWS, STATES, day_words, listed, service_words

    made = Environment(
        loader=FileSystemLoader(template("web")),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.globals |= {"to": to, "states": STATES, "laws": LAWS, "columns": COLUMNS}
    made.filters |= {
        "day": day_words,
        "service": lambda menu: service_words(menu.starts, menu.ends),
        "listed": listed,
        "said": _said,
        "spaced": lambda text: str(text).replace("_", " "),
    }
    return made


def _said(text: str) -> str:
    """Texts of findings name what is typed between back quotes; on a page it stands between quotation marks."""
    parts = text.split("`")
    return parts[0] + "".join(f"“{part}" if number % 2 == 0 else f"”{part}" for number, part in enumerate(parts[1:]))


def page(template_name: str, status: int = 200, /, **values: object) -> Reply:
    """A page of a template. Values are escaped; a name that a template uses and nobody gave is a fault of ours."""
    return Reply(status, _environment().get_template(template_name).render(values).encode("utf-8"))


def look(name: str) -> Reply | None:
    """A file that belongs to the looks, None for any other name."""
    if name not in LOOKS:
        return None
    place, kind = LOOKS[name]
    path: Path = template(*place.split("/"))
    return Reply(200, path.read_bytes(), kind, (("Cache-Control", "private, max-age=3600"),))
