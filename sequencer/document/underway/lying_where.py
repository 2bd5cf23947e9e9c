"""Where a thing of the job is: what came of it, its bag, its labels and photos, and the step that is next."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from sequencer.document.blocks import Block, Item, Items, Para, Tone
from sequencer.graph.said import path_words
from sequencer.job.now.choosing import op_words
from sequencer.job.now.moment import Moment
from sequencer.job.reports.whereabouts import Whereabouts
from sequencer.wording import listing

if TYPE_CHECKING:
    from sequencer.job.journal.state import Tick

MOST_SHOWN = 12
"""Things that an answer lists before it asks for more words."""


def where_document(moment: Moment, found: Sequence[Whereabouts]) -> Iterator[Block]:
    """Where each thing is, a line or two each."""
    for one in found[:MOST_SHOWN]:
        yield Para(f"{path_words(moment.machine, one.thing)}: {_state(one)}", Tone.STRONG)
        yield Items(tuple(map(Item, _facts(moment, one))), marks=2)
    if len(found) > MOST_SHOWN:
        yield Para(f"and {len(found) - MOST_SHOWN} more; add a word")


def _state(one: Whereabouts) -> str:
    if one.bag is not None and one.state == "undone":
        return f"undone, in bag {one.bag}"
    return one.state


def _facts(moment: Moment, one: Whereabouts) -> list[str]:
    lines = [_tick(moment, tick) for tick in one.ticks]
    if one.bag is not None and one.state != "undone":
        lines.append(f"bag {one.bag}")
    if one.label is not None:
        lines.append(f"labels {one.label} on both sides")
    if one.photos:
        lines.append(f"photos: {listing(one.photos)}")
    lines += [f"note: {note}" for note in one.notes]
    if one.planned is not None:
        lines.append(f"next: step {one.planned}")
    return lines


def _tick(moment: Moment, tick: Tick) -> str:
    step = f"step {tick.number}, " if tick.number is not None else ""
    who = f", by {tick.person}" if tick.person else ""
    return f"{step}{op_words(moment, tick.op)}{who}, {tick.time.astimezone():%Y-%m-%d %H:%M}"
