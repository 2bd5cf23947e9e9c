"""Names in scripts that run from right to left, inside sentences that run from left to right."""

from __future__ import annotations

import unicodedata
from functools import lru_cache

LEFT_TO_RIGHT = "\u200e"
"""A mark without width that ends a run from right to left (Unicode, UAX #9)."""


def kept_apart(text: str) -> str:
    """``text`` with a mark after each run from right to left.

    Without it, a count or another name that follows would be taken into the run, and be read on the wrong
    side of it.
    """
    if text.isascii():
        return text
    pieces: list[str] = []
    running = False
    for place, sign in enumerate(text):
        pieces.append(sign)
        running = _is_right_to_left(sign) or (running and unicodedata.combining(sign) != 0)
        if running and not _goes_on(text, place + 1):
            pieces.append(LEFT_TO_RIGHT)
            running = False
    return "".join(pieces)


def _goes_on(text: str, place: int) -> bool:
    """Whether the run goes on at ``place``, also over single blanks and marks."""
    while place < len(text) and (text[place] == " " or unicodedata.combining(text[place])):
        place += 1
    return place < len(text) and _is_right_to_left(text[place])


@lru_cache(maxsize=4096)
def _is_right_to_left(sign: str) -> bool:
    return unicodedata.bidirectional(sign) in {"R", "AL"}
