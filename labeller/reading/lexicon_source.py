"""Builds ``lexicon_index.txt`` from ``lexicon.csv`` and ``plain_words.csv``: run ``python -m labeller.reading.lexicon_source``
after a change of either. The index holds every phrase levelled and grouped, so that a start need not work that out.

In a cell of ``words`` phrases are divided by ``|``, and ``[a/b/c]`` stands for each of a, b and c. A later row wins over an
earlier one with the same phrase, but a row of another language never over an English one. ``language`` with a ``?``: the
phrase counts only in a text that has other words of that language (``de/nl?``: of either).
"""

from __future__ import annotations

import re
from itertools import product

from labeller.reading import library
from labeller.terms.words import fold, singular

_ALTERNATIVES = re.compile(r"\[([^\]]*)\]|([^\[\]]+)")
_NO_PLURALS = frozenset(("sans", "dans", "laks", "ruis", "oves", "ovos", "gras", "pas"))
_UMLAUTS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue"})
Row = tuple[str, str, str, str, str]  # contains, unsettled, exempt, role, language


def index_text() -> str:
    """The index as text: a line of five cells and the phrases per entry, then words by the longest phrase they start, then
    words that tell a language. Raises ValueError for a row that can't be read."""
    phrases, variants, plain = _read()
    longest: dict[str, int] = dict.fromkeys(plain, 0)
    for phrase in (*phrases, *variants):
        words = phrase.split()
        longest[words[0]] = max(longest.get(words[0], 0), len(words))
        for word in words[1:]:
            longest.setdefault(word, 0)
    lines = [*_grouped("e", phrases), *_grouped("v", variants)]
    for size in sorted(set(longest.values())):
        lines.append(f"n\t{size}\t" + "|".join(sorted(word for word in longest if longest[word] == size)))
    for language, words in sorted(_languages(phrases, plain).items()):
        lines.append(f"l\t{language}\t" + "|".join(sorted(words)))
    return "\n".join(lines) + "\n"


def _grouped(mark: str, phrases: dict[str, Row]) -> list[str]:
    by_row: dict[Row, list[str]] = {}
    for phrase, row in phrases.items():
        by_row.setdefault(row, []).append(phrase)
    return [f"{mark}\t{';'.join(row)}\t" + "|".join(sorted(found)) for row, found in sorted(by_row.items())]


def _read() -> tuple[dict[str, Row], dict[str, Row], dict[str, str]]:
    """Phrases, their variants in another language, and harmless words with their language."""
    phrases: dict[str, Row] = {}
    variants: dict[str, Row] = {}
    for number, line in enumerate(_lines("lexicon.csv"), start=2):
        cells = line.split(",")
        if len(cells) != 8:
            raise ValueError(f"lexicon.csv, line {number}: 8 cells wanted, {len(cells)} found")
        row = (cells[1], cells[2], cells[3], cells[4], cells[5])
        for phrase in levelled(cells[0]):
            _keep(phrase, row, phrases, variants)
    plain: dict[str, str] = {}
    for line in _lines("plain_words.csv"):
        language, _, words, _ = line.split(",")
        for word in words.split():
            plain.setdefault(_level(word), language)
    return phrases, variants, plain


def _keep(phrase: str, row: Row, phrases: dict[str, Row], variants: dict[str, Row]) -> None:
    old = phrases.get(phrase)
    if old is None or old[4] == row[4] or row[4] in ("", "en"):
        phrases[phrase] = row
    elif row[4].endswith("?"):
        if old[:2] != row[:2]:
            variants[phrase] = row
        elif old[4] != "en":
            phrases[phrase] = row


def _languages(phrases: dict[str, Row], plain: dict[str, str]) -> dict[str, set[str]]:
    """Language -> words that only that language has."""
    by_word: dict[str, set[str]] = {word: {language} for word, language in plain.items()}
    for phrase, row in phrases.items():
        for word in phrase.split():
            by_word.setdefault(word, set()).add("en" if row[4] in ("", "en") else row[4])
    found: dict[str, set[str]] = {}
    for word, languages in by_word.items():
        language = next(iter(languages)) if len(languages) == 1 else ""
        if language and language != "en" and not language.endswith("?") and len(word) > 1:
            found.setdefault(language, set()).add(word)
    return found


def levelled(cell: str) -> list[str]:
    """Every phrase of a cell of ``words``, folded and singular; German umlauts also as two letters."""
    found: list[str] = []
    for part in cell.split("|"):
        if "[" in part:
            choices = [inner.split("/") if inner else [plain] for inner, plain in _ALTERNATIVES.findall(part)]
            spelt = [" ".join(pick) for pick in product(*choices)]
        else:
            spelt = [part]
        for phrase in spelt:
            found.append(_level(phrase))
            if any(letter in phrase for letter in "äöü"):
                found.append(_level(phrase.translate(_UMLAUTS)))
    return [phrase for phrase in dict.fromkeys(found) if phrase]


def _level(phrase: str) -> str:
    words = [word for word in fold(phrase).split() if word not in ("s", "l", "d", "dell", "all")]
    return " ".join([word if word in _NO_PLURALS else singular(word) for word in words])


def _lines(name: str) -> list[str]:
    return library.reference("allergens", name).read_text(encoding="utf-8").splitlines()[1:]


def main() -> None:
    """Writes the index beside its sources."""
    library.reference("allergens", "lexicon_index.txt").write_text(index_text(), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
