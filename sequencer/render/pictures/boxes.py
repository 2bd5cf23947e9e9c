"""Names of nodes; and tables in DOT's HTML-like words, with every name made safe for DOT and XML."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from sequencer.document.bidi import kept_apart
from sequencer.document.clean import clean

FAINT = "#8a8a8a"
BLACK = "#000000"
FONT = "Helvetica"
"""A font whose widths every drawing program knows, so that no label is cut."""

PAPER_FONT = "Times-Roman"
"""The same for paper, where the letters are those of ``views/paper``, which are about as wide."""

SIZE = 12
"""Points of the lines, before the drawing is fitted to its sheet."""

WRAP = 16
"""Characters after which a label goes on in a new line."""

LONGEST = 28
"""Characters of a single word after which it is broken all the same."""


def node_key(part: str, position: str) -> str:
    """A node name: one for each part and position, and nothing in it that DOT's port syntax reads."""
    return f"{encoded(part)}@{encoded(position)}"


def encoded(name: str) -> str:
    """``name`` in plain letters, with a code for each other sign; two names never become one."""
    return "".join(
        sign if sign.isascii() and (sign.isalnum() or sign in "-_ ") else f"%{ord(sign):X}." for sign in name
    )


def table(rows: Iterable[str], *, border: int = 0, dashed: bool = False) -> str:
    """Rows in a frame, or without one."""
    style = ' style="dashed"' if dashed else ""
    return (
        f'<<table border="{border}" cellborder="0" cellspacing="0" cellpadding="0" color="{BLACK}"{style}>'
        f"{''.join(rows)}</table>>"
    )


def title(words: str, legend: str, staying: str) -> str:
    """The drawing's label: a line in bold, in small what its signs mean, and faded what is not drawn."""
    end = '<br align="left"/>'
    small = [html_lines(text, 150).removesuffix(end) for text in (legend, staying) if text]
    colours = (BLACK, FAINT)
    head = [f"<b>{line}</b>" for line in html_lines(words, 110).removesuffix(end).split(end)] if words else []
    notes = [f'<font point-size="12" color="{c}">{s}</font>' for s, c in zip(small, colours, strict=False)]
    return f"<{end.join([*head, *notes])}{end}>"


def html_lines(words: str, wrap: int = WRAP, between: str = "") -> str:
    """Words as HTML-like text, left-aligned, with ``between`` around each line."""
    end = '<br align="left"/>'
    found = [f"{between}{escaped(line)}{between}" for line in _lines(clean(words), wrap)]
    return end.join(found) + (end if len(found) > 1 else "")


def escaped(words: str) -> str:
    """Words as HTML-like text on one line."""
    # DOT reads a backslash in a label, an HTML-like one too, as the beginning of a sign of its own.
    return escape(kept_apart(clean(words))).replace("\\", "\\\\")


def _lines(words: str, wrap: int) -> list[str]:
    found = [""]
    for word in words.split():
        pieces = [word[start : start + LONGEST] for start in range(0, len(word), LONGEST)]
        for piece in pieces:
            if found[-1] and len(found[-1]) + 1 + len(piece) > wrap:
                found.append(piece)
            else:
                found[-1] = f"{found[-1]} {piece}".strip()
    return found
