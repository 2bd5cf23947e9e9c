"""Rows under headings, before any medium."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from sequencer.document.blocks import Block, Para, Table, Title


@dataclass(frozen=True)
class Listing:
    """A list.

    Attributes:
        title: What it is a list of.
        heads: The headings.
        rows: As many cells each as there are headings.
        strong: The rows that must not be passed over, by their place.
        right: The columns with numbers, by their place.
        notes: Lines below it.
    """

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    strong: frozenset[int] = frozenset()
    right: frozenset[int] = frozenset()
    notes: tuple[str, ...] = field(default=())


def listing_document(listing: Listing) -> Iterator[Block]:
    """The list as a table, with its notes below."""
    yield Title(listing.title)
    yield Table(listing.heads, listing.rows, listing.right, listing.strong)
    for note in listing.notes:
        yield Para(note)
