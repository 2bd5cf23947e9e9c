"""The blocks that a document is made of. They say what a thing is, never how wide or in which colour.

Adding a block: a dataclass here, a name in ``Block``, and a method of the same name in each renderer; a
renderer that lacks the method shows the block's words as a paragraph.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sequencer.document.steps.cards import StationCard


class Tone(Enum):
    """How much a reader's eye is to stop at words; the value is the word for it in markup."""

    PLAIN = "plain"
    STRONG = "strong"
    FAINT = "faint"
    ALERT = "alert"
    """Something that can hurt somebody, or must not be passed over."""
    CALL = "call"
    """What one person says to another."""


@dataclass(frozen=True)
class Span:
    """Words in one tone."""

    text: str
    tone: Tone = Tone.PLAIN


Words = str | tuple[str | Span, ...]
"""A run of text, or several in different tones. Plain strings take the tone of their block."""


@dataclass(frozen=True)
class Title:
    """What the document is about; the first lines of it."""

    words: Words


@dataclass(frozen=True)
class Heading:
    """What follows is about something else."""

    words: Words
    tone: Tone = Tone.STRONG


@dataclass(frozen=True)
class Para:
    """A sentence or two. ``apart``: it does not belong to what stands before it."""

    words: Words
    tone: Tone = Tone.PLAIN
    apart: bool = False


@dataclass(frozen=True)
class Item:
    """An entry of a list: its mark (a number, a sign; empty for none), its words, and lines of its own."""

    words: Words
    mark: str = ""
    tone: Tone = Tone.PLAIN
    below: tuple[Words | Item, ...] = ()


@dataclass(frozen=True)
class Items:
    """A list; ``marks`` is how many characters its marks need at the least."""

    items: tuple[Item, ...]
    marks: int = 0


@dataclass(frozen=True)
class Fields:
    """Words under their names, as on a form. ``apart`` as for ``Para``; ``names`` as ``marks`` of a list."""

    rows: tuple[tuple[str, Words], ...]
    apart: bool = False
    names: int = 0


@dataclass(frozen=True)
class Node:
    """A thing in a tree, and what hangs below it."""

    words: Words
    below: tuple[Node, ...] = ()


@dataclass(frozen=True)
class TreeBlock:
    """A tree under a heading of its own."""

    root: Node


@dataclass(frozen=True)
class Table:
    """Rows under headings.

    Attributes:
        heads: The headings; empty strings where a column needs none.
        rows: As many cells each as there are headings.
        right: The columns with figures, by their place.
        strong: The rows that must not be passed over, by their place.
        wide: The columns that may be wrapped, by their place; the others keep to one line.
    """

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: frozenset[int] = frozenset()
    strong: frozenset[int] = frozenset()
    wide: frozenset[int] = frozenset()


@dataclass(frozen=True)
class StationBlock:
    """A run of steps at one place with one tool; ``why``: with what each part is moved for."""

    card: StationCard
    why: bool = False


@dataclass(frozen=True)
class Verbatim:
    """Lines that stand as they are, never wrapped: a bar chart in characters."""

    lines: tuple[str, ...]


Block = Title | Heading | Para | Items | Fields | TreeBlock | Table | StationBlock | Verbatim


Document = Iterable[Block]
"""All that is said at once, in its order. It may be a generator: what takes long to work out is shown when
it is there."""
