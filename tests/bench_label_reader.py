"""How fast the label reader is; run by hand: ``python tests/bench_label_reader.py``.

Prints the milliseconds to load the lexicon and the statements read per second on one core: with nothing kept yet, and once
the usual ingredients have been met. The statements are those of ``../shared`` where present, else made-up ones.
"""

from __future__ import annotations

import json
import sys
import time
from pathlib import Path

from labeller.reading.lexicon import load_lexicon
from labeller.terms.lexicon import Lexicon
from labeller.working.label_reader import read_label, tokens, words

STATEMENTS = Path(__file__).resolve().parents[2] / "shared" / "data" / "label_statements.jsonl"
ROUNDS = 7
MADE_UP = "WHEAT FLOUR, SUGAR, VEGETABLE OIL (PALM, SOYBEAN), EGG WHITES, {n} G WHEY POWDER (MILK), SALT, SOY LECITHIN, SPICE."


def statements() -> list[str]:
    if STATEMENTS.exists():
        return [json.loads(line)["text"] for line in STATEMENTS.read_text(encoding="utf-8").splitlines()]
    return [MADE_UP.format(n=n) for n in range(800)]


def seconds_for(texts: list[str], lexicon: Lexicon, forget: bool) -> float:
    if forget:
        for kept in (words.read_words, tokens.compound, tokens.resembled):
            kept.cache_clear()
    started = time.perf_counter()
    for text in texts:
        read_label(text, lexicon)
    return time.perf_counter() - started


def main() -> int:
    started = time.perf_counter()
    lexicon = load_lexicon()
    print(f"lexicon loaded in {(time.perf_counter() - started) * 1000:.1f} ms")
    texts = statements()
    for title, forget in (("nothing kept yet", True), ("usual ingredients met before", False)):
        best = min(seconds_for(texts, lexicon, forget) for _ in range(ROUNDS))
        print(f"{title}: {len(texts) / best:.0f} statements a second (best of {ROUNDS} rounds of {len(texts)})")
    return 0


if __name__ == "__main__":
    sys.exit(main())
