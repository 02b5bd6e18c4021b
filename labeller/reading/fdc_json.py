"""Foods of a JSON download, one at a time: the file is never held as a whole."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import TextIO

CHUNK = 1 << 20
LONGEST = 1 << 26  # characters of one food: more than that is no food
LISTS = {"FoundationFoods": "foundation_food", "SRLegacyFoods": "sr_legacy_food", "SurveyFoods": "survey_fndds_food",
         "BrandedFoods": "branded_food"}  # fmt: skip


def foods(stream: TextIO) -> Iterator[tuple[str, dict]]:
    """(data type, food) of every food in the lists of a download. Raises ValueError when the text is no such JSON."""
    text = _Text(stream)
    text.expect("{")
    while not text.skip("}"):
        kind = LISTS.get(str(text.value()))
        text.expect(":")
        if kind is None:
            text.value()
        else:
            text.expect("[")
            while not text.skip("]"):
                food = text.value()
                if not isinstance(food, dict):
                    raise ValueError("a list of foods holds something that is no food")
                yield kind, food
                text.skip(",")
        text.skip(",")


class _Text:
    """A window on the text that moves on as values are taken off its front."""

    def __init__(self, stream: TextIO) -> None:
        self.stream, self.text, self.at, self.ended = stream, "", 0, False
        self.decoder = json.JSONDecoder()

    def _more(self) -> bool:
        """Reads on; False at the end of the file. A value longer than the window makes it grow by doubling."""
        chunk = self.stream.read(max(CHUNK, len(self.text) - self.at))
        self.text, self.at = self.text[self.at :] + chunk, 0
        self.ended = not chunk
        return bool(chunk)

    def _front(self) -> str:
        """The next character that is no white space, "" at the end."""
        while True:
            while self.at < len(self.text) and self.text[self.at] in " \t\r\n\ufeff":
                self.at += 1
            if self.at < len(self.text):
                return self.text[self.at]
            if not self._more():
                return ""

    def skip(self, mark: str) -> bool:
        """Takes the mark off when it comes next."""
        if self._front() != mark:
            return False
        self.at += 1
        return True

    def expect(self, mark: str) -> None:
        if not self.skip(mark):
            raise ValueError(f"{mark} was expected in the JSON text")

    def value(self) -> object:
        """The next value of any kind. A number at the very end of the window may go on behind it, so one more read settles it."""
        if not self._front():
            raise ValueError("the JSON text ends too early")
        while True:
            try:
                value, end = self.decoder.raw_decode(self.text, self.at)
            except (ValueError, RecursionError) as error:
                if isinstance(error, RecursionError) or len(self.text) > LONGEST or not self._more():
                    raise ValueError("the JSON text is broken or ends too early") from error
                continue
            if end < len(self.text) or self.ended:
                self.at = end
                return value
            self._more()
