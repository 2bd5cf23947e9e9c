"""How wide words are, before anybody sets them: so that each has its room in whatever font it is set."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

# Widths of the signs from U+0020 to U+007E in thousandths of the size: Adobe's font metrics of Helvetica,
# which Arial and Liberation Sans share. The letters of our paper are narrower.
_WIDTHS = (
    "278 278 355 556 556 889 667 191 333 333 389 584 278 333 278 278 556 556 556 556 556 556 556 556 "
    "556 556 278 278 584 584 584 556 1015 667 667 722 722 667 611 778 722 278 500 667 556 833 722 778 "
    "667 778 722 667 611 722 667 944 667 667 611 278 278 278 469 556 333 556 556 500 556 556 278 556 "
    "556 222 222 500 222 833 556 556 556 556 333 500 278 556 500 722 500 500 500 334 260 334 584 "
)
_LATIN = {chr(32 + place): int(width) / 1000 for place, width in enumerate(_WIDTHS.split())}

_BOLD = 1.08
"""By how much bold letters are wider, at the most on average over a word."""

_BREAK = re.compile(r"\s+(?<!\d\s)|\s+(?![A-Za-z]{1,2}\b)")
"""Where a line may end: not between a figure and its unit."""

_STATE = re.compile(r" \([^()]*\)$")
"""What is asked of a thing, after its name: `` (aside)``."""

_OTHER, _WIDE, _PICTURE = 0.68, 1.0, 1.35
"""Letters of other scripts, full-width ones, and small pictures; generous, for any font may come in."""


@lru_cache(maxsize=4096)
def _of_sign(sign: str) -> float:
    if sign in _LATIN:
        return _LATIN[sign]
    kind = unicodedata.category(sign)
    if kind in ("Mn", "Me", "Cf"):
        return 0.0
    if kind in ("So", "Co", "Cs", "Cn"):
        return _PICTURE
    return _WIDE if unicodedata.east_asian_width(sign) in "WF" else _OTHER


@lru_cache(maxsize=16384)
def width_of(words: str, size: float, *, bold: bool = False) -> float:
    """The width in points of words on one line, rather too much than too little."""
    return sum(map(_of_sign, words)) * size * (_BOLD if bold else 1.0)


def wrapped(words: str, room: float, size: float, *, bold: bool = False) -> list[str]:
    """Words in lines of at most ``room`` points; a word that is longer is broken between two signs."""
    lines: list[str] = []
    line = ""
    for word in _BREAK.split(words.strip()):
        longer = f"{line} {word}".strip()
        if width_of(longer, size, bold=bold) <= room:
            line = longer
            continue
        if line:
            lines.append(line)
        *whole, line = _pieces(word, room, size, bold)
        lines += whole
    return [*lines, line]


def _pieces(word: str, room: float, size: float, bold: bool) -> list[str]:
    """A word in as many pieces as it takes; marks stay with the sign before them."""
    pieces = [""]
    for sign in word:
        loose = _of_sign(sign) > 0
        if pieces[-1] and loose and width_of(pieces[-1] + sign, size, bold=bold) > room:
            pieces.append(sign)
        else:
            pieces[-1] += sign
    return pieces


def cut(words: str, room: float, size: float, *, bold: bool = False) -> str:
    """As much of ``words`` as has room on one line; three dots stand for the rest of the name.

    The state at the end stays: `` (aside)`` asks for less than the name alone does.
    """
    if width_of(words, size, bold=bold) <= room:
        return words
    state = _STATE.search(words)
    end = f"…{state.group()}" if state else "…"
    if state and width_of(end, size, bold=bold) > room / 2:
        end = "…"
    room -= width_of(end, size, bold=bold)
    kept = ""
    for sign in words:
        if width_of(kept + sign, size, bold=bold) > room:
            break
        kept += sign
    return kept.rstrip(" ,;:") + end
