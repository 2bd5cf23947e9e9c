"""Text on one line, with nothing in it that a terminal would obey."""

from __future__ import annotations

import re

# Control characters, and the marks that turn the direction of the text after them (Unicode 15, UAX #9).
_OBEYED = re.compile("[\x00-\x1f\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069]")


def clean(text: str) -> str:
    """``text`` on one line, without what a terminal would obey instead of showing it."""
    return " ".join(_OBEYED.sub(" ", text).split())
