"""Words as cooks type them, brought to one spelling, so that both sides of a look-up are compared alike.

``normalise("Brussels Sprouts")`` and ``normalise("brussels sprout")`` are equal; so are "crème fraîche" and
"creme fraiche", "goat's cheese" and "goats cheese", "half & half" and "half and half", "70 %" and "70%". It only levels
spelling: "cilantro" stays another word than "coriander" (that is the business of the tables of names). Common practice,
no source.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache
from unicodedata import combining
from unicodedata import normalize as unicode_form

_LETTERS = {
    "œ": "oe", "æ": "ae", "ß": "ss", "ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "ı": "i",
    "’": "", "‘": "", "ʼ": "", "´": "", "′": "", "™": " ", "®": " ", "©": " ", "‐": "-", "–": "-", "—": "-",
    "“": " ", "”": " ", "«": " ", "»": " ", "…": " ", "·": " ", "•": " ", "×": " x ", "°": " ",
}  # fmt: skip
_FOREIGN = re.compile("[^\\x00-\\x7f]")
# One character for one, or none: what str.translate does fast on plain ASCII. "&" is spelled out before.
_ASCII = str.maketrans(dict.fromkeys("!\"#$()*+,-./:;<=>?@[\\]^_{|}~", " ") | dict.fromkeys("'`"))
_DECIMAL = re.compile(r"(\d)[.,](?=\d)")
_PERCENT = re.compile(r"(\d) *(?:%|per ?cent\b)")
_POINT = "\x00"  # holds a decimal point while punctuation is taken out

# Words that end in s and are no plural, or whose singular the rules below would get wrong. Common practice, no source.
_AS_IT_IS = frozenset((
    "across", "always", "anis", "as", "brussels", "bus", "calvados", "cassis", "chablis", "chassis", "christmas",
    "cos", "coulis", "gas", "gras", "haggis", "has", "his", "is", "its", "leches", "lens", "less", "madras",
    "molasses", "oasis", "pancreas", "pastis", "perhaps", "physalis", "plus", "pois", "schnapps", "series", "species", "swiss",
    "tennis", "this", "us", "was", "yes"
))  # fmt: skip
_IRREGULAR = {
    "leaves": "leaf", "loaves": "loaf", "halves": "half", "calves": "calf", "knives": "knife", "geese": "goose",
    "brussel": "brussels", "chillies": "chilli", "chilies": "chili", "cookies": "cookie", "brownies": "brownie",
    "smoothies": "smoothie", "veggies": "veggie", "calories": "calorie", "sarnies": "sarnie", "hoagies": "hoagie",
    "sloes": "sloe", "roes": "roe", "aloes": "aloe", "shoes": "shoe", "toes": "toe",
    "quiches": "quiche", "brioches": "brioche", "ceviches": "ceviche", "ganaches": "ganache", "tranches": "tranche",
    "cloches": "cloche", "seiches": "seiche", "octopuses": "octopus", "octopi": "octopus", "cactuses": "cactus",
    "menus": "menu", "emus": "emu", "tofus": "tofu", "gateaux": "gateau", "fungi": "fungus",
}  # fmt: skip


@lru_cache(maxsize=8192)
def singular(word: str) -> str:
    """One folded lower-case word without its plural ending; a word that isn't a plural comes back as it was."""
    if word in _IRREGULAR:
        return _IRREGULAR[word]
    if len(word) < 4 or word[-1] != "s" or word in _AS_IT_IS or word.endswith(("ss", "us")):
        return word
    if word.endswith("ies"):
        return word[:-1] if len(word) == 4 else word[:-3] + "y"
    if word.endswith(("oes", "shes", "ches", "xes", "sses", "zzes")):
        return word[:-2]
    return word[:-1]


def _plain(found: re.Match[str]) -> str:
    return _plain_letter(found[0])


@lru_cache(maxsize=1024)
def _plain_letter(letter: str) -> str:
    if letter in _LETTERS:
        return _LETTERS[letter]
    return "".join(char for char in unicode_form("NFKD", letter) if not combining(char))


def _level(text: str) -> str:
    """Lower case without diacritics, ligatures and punctuation; white space is left as it was."""
    text = text.lower()
    if not text.isascii():
        text = _FOREIGN.sub(_plain, text)
    if "&" in text:
        text = text.replace("&", " and ")
    if "%" in text or "cent" in text:
        text = _PERCENT.sub(r"\1%", text)
    if "." in text or "," in text:
        return _DECIMAL.sub(rf"\1{_POINT}", text).translate(_ASCII).replace(_POINT, ".")
    return text.translate(_ASCII)


@lru_cache(maxsize=8192)
def fold(text: str) -> str:
    """Lower case, no diacritics or ligatures, no punctuation, single spaces; plurals stay. "70 %" becomes "70%"."""
    return " ".join(_level(text).split())


def words(text: str) -> tuple[str, ...]:
    """The words of a text, folded and in the singular."""
    return tuple([singular(word) for word in fold(text).split()])


def normalise(text: str) -> str:
    """The one spelling under which a name is kept and looked up. Idempotent; empty for a text of punctuation only."""
    return " ".join([singular(word) for word in fold(text).split()])


class _Singulars(dict[str, str]):
    """Singulars of the words met so far; one look-up a word where most words come again and again."""

    def __missing__(self, word: str) -> str:
        self[word] = one = singular(word)
        return one


def normalise_all(texts: Sequence[str]) -> list[str]:
    """:func:`normalise` of each text, several times faster for a long list of short texts without line breaks."""
    lines = _level("\n".join(texts)).split("\n")
    if len(lines) != len(texts):
        return [normalise(text) for text in texts]
    seen = _Singulars()
    return [" ".join([seen[word] for word in line.split()]) for line in lines]
