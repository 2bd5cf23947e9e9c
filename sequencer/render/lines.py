"""Lines on a terminal, wrapped with a hanging indent."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text

from sequencer.document.clean import clean

if TYPE_CHECKING:
    from rich.console import Console

NARROWEST = 20
"""Columns that text gets at the least, however narrow the terminal."""


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
