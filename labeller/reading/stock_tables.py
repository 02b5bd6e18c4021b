"""Label stock: the shipped sheets and rolls, and the stock that a kitchen describes in its own words."""

from __future__ import annotations

import re
from functools import cache

from labeller.reading.library import csv_rows, reference
from labeller.terms.findings import NOWHERE, Finding, Place, finding
from labeller.terms.stock import CONTINUOUS, ROLL, SHEET, Stock

PAGES = {"a4": ("A4", 210.0, 297.0), "letter": ("Letter", 215.9, 279.4)}
INCH = 25.4
NUMBER = r"\d+(?:\.\d+)?"
SIZE = re.compile(rf"({NUMBER})\s*(?:x|×|by)\s*({NUMBER})\s*(mm|cm|in\b|inch(?:es)?\b|\")?", re.IGNORECASE)
ROUND = re.compile(rf"round\s+({NUMBER})\s*(mm|cm|in\b|inch(?:es)?\b|\")?", re.IGNORECASE)
FRACTION = re.compile(r"\b(?:(\d+)[ -])?(\d+)/(\d+)\b")  # 2 5/8, as inches are written
GRID = re.compile(r"(?:\(|grid\s+)\s*(\d+)\s*(?:x|×|by)\s*(\d+)\s*\)?", re.IGNORECASE)
PER_SHEET = re.compile(r"(\d+)\s*(?:per|a|to a|on a)\s*(?:sheet|page)", re.IGNORECASE)
OWN = re.compile(rf"\b(left|top|right|bottom)\s+({NUMBER})", re.IGNORECASE)
GAP = re.compile(rf"\bgaps?\s+({NUMBER})(?:\s*(?:x|×|by)\s*({NUMBER}))?", re.IGNORECASE)
ROLL_WIDTH = re.compile(rf"\broll\s+({NUMBER})\s*(mm|cm|in\b|inch(?:es)?\b|\")?", re.IGNORECASE)


@cache
def load_stock() -> tuple[Stock, ...]:
    """Every shipped stock: sheets in the order of the table, then rolls by width."""
    sheets = [_sheet(row) for row in csv_rows(reference("stock", "sheets.csv"))]
    rolls = [_continuous(row) for row in csv_rows(reference("stock", "rolls.csv"))]
    return tuple(sheets + rolls)


def find_stock(text: str, place: Place = NOWHERE) -> Stock | Finding:
    """The stock that a kitchen's words mean: "A4 99.1 x 67.7", "Letter 4 x 2 in", "A4 round 60", "roll 62",
    "roll 62 x 100", or the sheet's own measures ("A4 label 80 x 40 grid 2 x 6 left 25 top 28.5 gap 0 x 1", mm).

    Words that mean no stock, several, or a sheet that doesn't add up give a finding instead.
    """
    words = FRACTION.sub(_decimal, " ".join(text.split()))
    if re.search(r"\d,\d", words):
        return finding("stock-unknown", place, f"“{words}” has a comma in a number", f"write “{words.replace(',', '.')}”")
    exact = next((stock for stock in load_stock() if stock.name.casefold() == words.casefold()), None)
    if exact is not None:
        return exact
    page = next((PAGES[key] for key in PAGES if re.search(rf"\b{key}\b", words, re.IGNORECASE)), None)
    if re.search(r"\broll\b", words, re.IGNORECASE):
        return _find_roll(words, place)
    if OWN.search(words):
        return _own_sheet(words, page, place)
    size = _size(words)
    if size is None or page is None:
        return _unknown(words, place)
    return _find_sheet(words, page[0], size, place)


def misfit(stock: Stock, place: Place = NOWHERE) -> Finding | None:
    """A finding that names the millimetres where a sheet's margins, labels and gaps miss the page; None when they add up."""
    if stock.adds_up:
        return None
    parts = [_miss(stock.miss_x, "across", stock.columns, stock.label_w, stock.page_w),
             _miss(stock.miss_y, "down", stock.rows, stock.label_h, stock.page_h)]  # fmt: skip
    told = "; ".join(part for part, by in zip(parts, (stock.miss_x, stock.miss_y), strict=True) if abs(by) > stock.tolerance)
    return finding("stock-does-not-add-up", place, f"“{stock.name}” does not add up: {told}",
                   f"measure margins and gaps again; they may miss the page by {stock.tolerance:g} mm at most")  # fmt: skip


def _miss(by: float, way: str, count: int, size: float, page: float) -> str:
    word = "too long" if by < 0 else "too short"
    return f"{way}, {count} labels of {size:g} mm with their margins and gaps are {abs(by):.2f} mm {word} for {page:g} mm"


def _sheet(row: dict[str, str]) -> Stock:
    _, page_w, page_h = PAGES[row["page"].lower()]
    number = {key: float(row[f"{key}_mm"]) for key in
              ("label_w", "label_h", "left", "top", "right", "bottom", "gutter_x", "gutter_y", "tolerance")}  # fmt: skip
    return Stock(name=row["name"], kind=SHEET, page_w=page_w, page_h=page_h, columns=int(row["columns"]),
                 rows=int(row["rows"]), shape=row["shape"], source=row["source"],
                 suggested=row["suggested"] == "yes", **number)  # fmt: skip


def _continuous(row: dict[str, str]) -> Stock:
    width, side = float(row["width_mm"]), (float(row["width_mm"]) - float(row["printable_mm"])) / 2
    longest = float(row["longest_mm"])
    # What the printer can't reach is a margin, so that the label is what it can print on.
    return Stock(name=row["name"], kind=CONTINUOUS, page_w=width, page_h=longest, label_w=width - 2 * side, label_h=longest,
                 left=side, right=side, source=row["source"], suggested=True)  # fmt: skip


def _decimal(found: re.Match[str]) -> str:
    whole, part, of = int(found[1] or 0), int(found[2]), int(found[3])
    return f"{whole + part / of:.4f}" if of else found[0]


def _millimetres(number: str, unit: str | None) -> float:
    unit = (unit or "mm").lower()
    return float(number) * (1.0 if unit == "mm" else 10.0 if unit == "cm" else INCH)


def _size(words: str) -> tuple[float, float, float] | None:
    """Width, height (mm; height 0 for a round label) and how near a sheet's own size must be."""
    if found := ROUND.search(words):
        return _millimetres(found[1], found[2]), 0.0, 0.15 if (found[2] or "mm").lower() == "mm" else 0.6
    plain = GRID.sub(" ", words)
    if found := SIZE.search(plain):
        unit = found[3]
        near = 0.15 if (unit or "mm").lower() == "mm" else 0.6
        return _millimetres(found[1], unit), _millimetres(found[2], unit), near
    return None


def _find_sheet(words: str, page: str, size: tuple[float, float, float], place: Place) -> Stock | Finding:
    width, height, near = size
    fit = _of_size(page, width, height, near)
    if grid := GRID.search(words):
        fit = [stock for stock in fit if (stock.columns, stock.rows) == (int(grid[1]), int(grid[2]))]
    if count := PER_SHEET.search(words):
        fit = [stock for stock in fit if stock.per_page == int(count[1])]
    best = min((abs(stock.label_w - width) + abs(stock.label_h - (height or width)) for stock in fit), default=0.0)
    fit = [s for s in fit if abs(s.label_w - width) + abs(s.label_h - (height or width)) <= best + 1e-6]
    if len(fit) == 1:
        return fit[0]
    turned = [] if fit or not height else _of_size(page, height, width, near)
    if turned:
        names = " or ".join(f"“{stock.name}”" for stock in turned)
        return finding("stock-unknown", place, f"“{words}”: no sheet has labels {width:g} mm wide and {height:g} mm high",
                       f"width comes first: write {names}")  # fmt: skip
    if not fit:
        return _unknown(words, place, page, width, height or width)
    names = " or ".join(f"“{stock.name}”" for stock in fit)
    return finding("stock-ambiguous", place, f"“{words}” can be {names}", f"write one of them: {names}")


def _of_size(page: str, width: float, height: float, near: float) -> list[Stock]:
    """Sheets of a page whose labels are so large, give or take ``near`` mm; height 0: round labels of that width."""
    return [stock for stock in load_stock() if stock.kind == SHEET and stock.name.startswith(page)
            and (stock.shape == "round") == (not height)
            and abs(stock.label_w - width) <= near and (not height or abs(stock.label_h - height) <= near)]  # fmt: skip


def _find_roll(words: str, place: Place) -> Stock | Finding:
    if found := SIZE.search(words):
        width, length = _millimetres(found[1], found[3]), _millimetres(found[2], found[3])
        if 15 <= width <= 220 and 10 <= length <= 400:
            return Stock(name=f"roll {width:g} x {length:g}", kind=ROLL, page_w=width, page_h=length, label_w=width,
                         label_h=length, source=str(place) or "the kitchen's own words")  # fmt: skip
        return _unknown(words, place)
    found = ROLL_WIDTH.search(words)
    width = _millimetres(found[1], found[2]) if found else 0.0
    fit = [stock for stock in load_stock() if stock.kind == CONTINUOUS and abs(stock.page_w - width) <= 0.5]
    return fit[0] if fit else _unknown(words, place)


def _own_sheet(words: str, page: tuple[str, float, float] | None, place: Place) -> Stock | Finding:
    """A sheet by its own measures. Left and top must be given; right and bottom are what is left, unless they are given."""
    grid, sides = GRID.search(words), {key.lower(): float(number) for key, number in OWN.findall(words)}
    size = re.search(rf"label\s+({NUMBER})\s*(?:x|×|by)\s*({NUMBER})", words, re.IGNORECASE)
    paper = re.search(rf"(?:page|own)\s+({NUMBER})\s*(?:x|×|by)\s*({NUMBER})", words, re.IGNORECASE)
    if paper:
        page = ("own page", float(paper[1]), float(paper[2]))
    if not (page and grid and size and "left" in sides and "top" in sides):
        return finding("stock-unknown", place, f"“{words}” lacks a measure of the sheet",
                       "write it all, in mm: A4 label 80 x 40 grid 2 x 6 left 25 top 28.5 gap 0 x 1")  # fmt: skip
    gap = GAP.search(words)
    gap_x, gap_y = (float(gap[1]), float(gap[2] or gap[1])) if gap else (0.0, 0.0)
    columns, rows, width, height = int(grid[1]), int(grid[2]), float(size[1]), float(size[2])
    spare_x = page[1] - sides["left"] - columns * width - (columns - 1) * gap_x
    spare_y = page[2] - sides["top"] - rows * height - (rows - 1) * gap_y
    stock = Stock(name=words, kind=SHEET, page_w=page[1], page_h=page[2], label_w=width, label_h=height, columns=columns,
                  rows=rows, left=sides["left"], top=sides["top"], right=sides.get("right", max(spare_x, 0.0)),
                  bottom=sides.get("bottom", max(spare_y, 0.0)), gutter_x=gap_x, gutter_y=gap_y,
                  source=str(place) or "the kitchen's own words")  # fmt: skip
    return misfit(stock, place) or stock


def _unknown(words: str, place: Place, page: str = "", width: float = 0.0, height: float = 0.0) -> Finding:
    near = sorted((stock for stock in load_stock() if stock.kind == SHEET and stock.name.startswith(page or "A4")),
                  key=lambda stock: (abs(stock.label_w - width) + abs(stock.label_h - height), not stock.suggested))  # fmt: skip
    nearest = ", ".join(f"“{stock.name}”" for stock in near[:3]) if width else "“A4 99.1 x 67.7”, “Letter 4 x 2 in”, “roll 62”"
    return finding("stock-unknown", place, f"“{words}” is no stock that is known",
                   f"write one like {nearest}, or the sheet's own measures in mm: "
                   "A4 label 80 x 40 grid 2 x 6 left 25 top 28.5 gap 0 x 1")  # fmt: skip
