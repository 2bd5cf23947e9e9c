"""A job among others, in a few lines: what is next, in whose hands which tool is, what waits for what."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sequencer.document.clean import clean
from sequencer.document.jobs.open_ends import open_ends
from sequencer.document.steps.renewing import renew_lines
from sequencer.document.words import plural, tool_words
from sequencer.graph.said import sentence
from sequencer.job.changes.bare import to_tell
from sequencer.job.now.moment import Moment
from sequencer.machine.model import HAND
from sequencer.wording import listing

PARTS_AT_MOST = 4
"""New parts that are named; the sheet has all of them."""


@dataclass(frozen=True)
class Glance:
    """A job in a list of several.

    Attributes:
        progress: How far it is.
        next: The next step; empty where none is left.
        place: Where that is done.
        tool: What it is done with, in words; empty for bare hands.
        running: Somebody works on it now: the tool is in use.
        waits: What it waits for: parts, cures, what was put off.
        fault: Why it can't be worked on as it should; empty where it can.
    """

    title: str
    progress: str
    next: str
    place: str
    tool: str
    running: bool
    waits: tuple[str, ...]
    fault: str = ""


def glance(moment: Moment, now: datetime | None = None) -> Glance:
    """How a job looks from across the workshop."""
    state, machine, station = moment.state, moment.machine, moment.station
    done = len(state.settled)
    way = "way back" if state.turned else "way in"
    of = "" if to_tell(moment) else f" of {len(state.steps)}"
    steps = f"{done}{of} steps" if of else plural(done, "step")
    first = station.steps[0] if station else None
    return Glance(
        title=clean(moment.card.title),
        progress=f"{way}: {steps} done",
        next=clean(f"{first.number} {sentence(machine, first.operation)}") if first else "",
        place=clean(machine.positions[station.position].label) if station else "",
        tool=clean(tool_words(machine, station.tool)) if station and station.tool != HAND else "",
        running=state.running is not None,
        waits=tuple(_waits(moment, now)),
        fault=moment.sight.word,
    )


def _waits(moment: Moment, now: datetime | None) -> list[str]:
    """Cures first, for they end by themselves; then what was put off; then what has to be there by then."""
    skipped = [tick for tick in moment.state.skipped.values() if tick.op in moment.operations]
    put_off = [
        f"{sentence(moment.machine, moment.operations[tick.op])}: {tick.why or 'skipped'}" for tick in skipped
    ]
    left = [moment.operations[op] for _, op in moment.state.left if op in moment.operations]
    taken_off = [*moment.state.done, *(op.name for op in left)]
    new, _ = renew_lines(moment.machine, left, taken_off)
    parts = [f"new parts: {listing(new, PARTS_AT_MOST)}"] if new else []
    return [clean(line) for line in (*open_ends(moment, now), *put_off, *parts)]


def shared(own: Glance, others: Sequence[Glance]) -> tuple[str, ...]:
    """The other jobs that have the tool in use which this one needs next."""
    return tuple(
        one.title for one in others if one is not own and one.running and own.tool and one.tool == own.tool
    )
