"""The usual ways out of a fastener that does not come undone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sequencer.document.blocks import Block, Item, Items, Para, Tone, Words
from sequencer.document.words import duration
from sequencer.plan.hazards.trouble import SOURCE, Freeing
from sequencer.wording import listing


def ways_document(ways: Sequence[Freeing]) -> Iterator[Block]:
    """Each way with its time, tools and cautions; those that are barred last, with the reason."""
    yield Items(tuple(_way(way) for way in ways), marks=8)
    yield Para(f"All of these are {SOURCE}; the maker's manual comes first.", Tone.FAINT)


def _way(way: Freeing) -> Item:
    wait = f", then {duration(way.wait_seconds)} to act" if way.wait_seconds else ""
    below: tuple[Words | Item, ...] = (Item(f"not here: {way.barred}", tone=Tone.STRONG),)
    if not way.barred:
        below = (listing(way.tools), *(Item(text, tone=Tone.ALERT) for text in way.cautions))
    return Item(f"{way.label}   {duration(way.seconds)}{wait}", way.name, below=below)
