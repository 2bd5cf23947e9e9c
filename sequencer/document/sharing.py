"""What stands at the head of a machine file that is given to others, or was taken over from them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from sequencer.document.clean import clean
from sequencer.document.words import plural
from sequencer.graph.said import part_words
from sequencer.job.learning.track_record import TrackRecord
from sequencer.machine.model import Machine
from sequencer.wording import listing

MOST_LINES, LONGEST = 30, 160
"""What is kept of the head of a file that comes from others."""


def shared_head(
    machine: Machine, who: str, on: date, done: TrackRecord, *, notes: bool, shapes: Iterable[str] = ()
) -> Iterator[str]:
    """The comments over a machine file that is shared: from whom, when, and how far it is to be trusted.

    Args:
        machine: The machine.
        who: Who gives it away; empty where that is not said.
        on: The day.
        done: What jobs have confirmed.
        notes: Its notes are in it.
        shapes: Parts whose shape lay in a file, and is a box here.
    """
    yield f"{clean(machine.name)}: a machine file to be shared."
    yield f"From {clean(who) or 'somebody who is not named'}, {on:%Y-%m-%d}."
    yield from _trust(machine, done)
    yield "Notes are in it." if notes else "Its notes are left out; cautions are not."
    if names := [part_words(machine, part) for part in shapes]:
        yield f"Shapes that lay in files are boxes here, or left out: {listing(names)}."
    yield "Look at your own machine before you go by it."
    yield "The maker's manual, local codes and licensed practice come first."


def _trust(machine: Machine, done: TrackRecord) -> Iterator[str]:
    if done.jobs and done.last:
        often = [
            f"{part_words(machine, part)} ({many})"
            for part, many in done.parts.items()
            if part in machine.parts
        ]
        left = len(machine.parts) - len(often)
        yield f"Confirmed on {plural(done.jobs, 'job')}, last on {done.last:%Y-%m-%d}."
        yield f"Came off: {listing(often)}."
        yield (
            f"Not touched on a job: {left} of {plural(len(machine.parts), 'part')}."
            if left
            else "All parts came off."
        )
    else:
        yield "Not confirmed on any job."
    if source := machine.from_type.machine:
        open_still = len(machine.from_type.unsure)
        yield f"Made from the type {clean(source)}; nobody has confirmed {plural(open_still, 'thing')} of it."


def imported_head(file: str, on: date, head: Iterable[str]) -> Iterator[str]:
    """The comments over a machine file that was taken over: from which file, when, what stood over that."""
    yield f"Taken over from {clean(file)}, {on:%Y-%m-%d}; checked, but not tried on a machine."
    lines = [clean(line)[:LONGEST] for line in head if clean(line)]
    if lines:
        yield "What stood over it:"
        yield from (f"  {line}" for line in lines[:MOST_LINES])
