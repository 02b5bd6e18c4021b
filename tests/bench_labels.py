"""How fast labels are made, against a bare canvas that draws the same words where they stand. Run: python tests/bench_labels.py

Three figures of one run: distinct labels against the bare canvas (wanted: at least 0.8 of its rate), equal labels against
it (at least 20 times its rate), and the memory of 10,000 labels (below 200 MB). Both sides use ReportLab's accelerator
where it is installed and compress their pages.
"""

from __future__ import annotations

import random
import resource
import sys
import time
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parent.parent)]

from label_cases import eu_declaration, looks, random_dish  # noqa: E402

from labeller.printing.fitting import Setter  # noqa: E402
from labeller.printing.fonts import PT_PER_MM, family  # noqa: E402
from labeller.printing.label_layout import Laid  # noqa: E402
from labeller.printing.labels import LabelJob, Maker, labels_pdf  # noqa: E402
from labeller.printing.stock import positions  # noqa: E402
from labeller.reading.stock_tables import find_stock  # noqa: E402
from labeller.terms.stock import Stock  # noqa: E402

STOCK = "A4 99.1 x 67.7"


def timed(work: Callable[[], object], least: float = 1.5) -> float:
    """Seconds a turn, the best of turns that fill ``least`` seconds."""
    best, spent = float("inf"), 0.0
    while spent < least:
        start = time.perf_counter()
        work()
        took = time.perf_counter() - start
        best, spent = min(best, took), spent + took
    return best


Drawn = list[tuple[str, float, float, float, str]]


def stretches_of(laid: Laid, setter: Setter) -> Drawn:
    """Each stretch of words in one font on a line, with its size and place: a harder mark than word by word."""
    out = []
    for line in laid.drawing.lines:
        at = line.x
        for face, words in line.segments:
            out.append((setter.family.faces[face].name, line.size, at, line.y, " ".join(words)))
            at += setter.family.faces[face].width(" ".join(words)) * line.size
    return out


def words_of(laid: Laid, setter: Setter) -> Drawn:
    """Each word of a label with its font, size and place."""
    out = []
    for line in laid.drawing.lines:
        at = line.x
        for face, words in line.segments:
            name = setter.family.faces[face].name
            for number, word in enumerate(words):
                if number:
                    at += setter.width(face, " ") * line.size
                if word:
                    out.append((name, line.size, at, line.y, word))
                at += setter.width(face, word) * line.size
    return out


def bare(pages: list[Drawn], stock: Stock) -> bytes:
    """The same words, drawn one by one on a bare canvas at places that are given."""
    from reportlab.pdfgen.canvas import Canvas

    buffer = BytesIO()
    canvas = Canvas(buffer, pagesize=(stock.page_w * PT_PER_MM, stock.page_h * PT_PER_MM), invariant=1, pageCompression=1)
    spots, last = positions(stock), 0
    for words in pages:
        page, left, top = next(spots)
        if page != last:
            canvas.showPage()
            last = page
        x0, y0 = left * PT_PER_MM, (stock.page_h - top - stock.label_h) * PT_PER_MM
        for font, size, x, y, word in words:
            canvas.setFont(font, size)
            canvas.drawString(x0 + x, y0 + y, word)
    canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def main(count: int = 800) -> None:
    stock, look = find_stock(STOCK), looks()
    chance = random.Random(7)
    jobs = [LabelJob(random_dish(chance, number)) for number in range(count)]
    setter = Setter(family(look.fonts))
    maker = Maker(stock, look, setter, ())
    ready = [(job, made) for job in jobs if (made := maker.ready(job))]
    fitting = [job for job, _ in ready]
    pages = [words_of(made.labels[0], setter) for _, made in ready]
    words = sum(map(len, pages)) / len(pages)
    print(f"{len(fitting)} of {count} distinct dishes fit {stock.name}; {words:.0f} words a label")
    alone = timed(lambda: bare(pages, stock)) / len(pages)
    lines = [stretches_of(made.labels[0], setter) for _, made in ready]
    by_line = timed(lambda: bare(lines, stock)) / len(lines)
    ours = timed(lambda: labels_pdf(fitting, stock, look)) / len(fitting)
    equal = LabelJob(eu_declaration(), 10_000)
    many = timed(lambda: labels_pdf([equal], stock, look)) / 10_000
    plain = timed(lambda: bare([words_of(Maker(stock, look, setter, ()).ready(equal).labels[0], setter)] * 400, stock)) / 400
    print(f"bare canvas      {1 / alone:8.0f} labels/s")
    print(f"distinct labels  {1 / ours:8.0f} labels/s   {alone / ours:.2f} x the bare canvas (wanted: 0.8)")
    print(f"                 {1 / by_line:8.0f} labels/s by a bare canvas line by line: {by_line / ours:.2f} x")
    print(f"equal labels     {1 / many:8.0f} labels/s   {plain / many:.1f} x the bare canvas (wanted: 20)")
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    labels_pdf([LabelJob(job.declaration, 1) for job in fitting * (10_000 // len(fitting) + 1)][:10_000], stock, look)
    after = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    print(f"10,000 distinct labels: most memory of the process {after / 1024:.0f} MB ({before / 1024:.0f} MB before)")


if __name__ == "__main__":
    main()
