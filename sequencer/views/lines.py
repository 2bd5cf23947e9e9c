"""Lines on a terminal: wrapped with a hanging indent, and nothing in them that a terminal would obey."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from rich.text import Text

if TYPE_CHECKING:
    from rich.console import Console

NARROWEST = 20
"""Columns that text gets at the least, however narrow the terminal."""

# Control characters, and the marks that turn the direction of the text after them (Unicode 15, UAX #9).
_OBEYED = re.compile("[\x00-\x1f\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069]")


def clean(text: str) -> str:
    """``text`` on one line, without what a terminal would obey instead of showing it."""
    return " ".join(_OBEYED.sub(" ", text).split())


def hanging(
    console: Console, words: str | Text, *, lead: str = "", hang: int | None = None, style: str = ""
) -> None:
    """Print ``words`` after ``lead``, wrapped; the lines after the first start ``hang`` columns in.

    Without ``hang`` they start where the words do. No line ends in blanks.
    """
    margin = len(lead) if hang is None else hang
    room = max(NARROWEST, console.width - max(margin, len(lead)))
    text = words if isinstance(words, Text) else Text(clean(words), style=style)
    for number, line in enumerate(text.wrap(console, room, overflow="fold")):
        line.rstrip()
        start = " " * margin if number else lead
        console.print(Text.assemble((start, style), line), soft_wrap=True)
