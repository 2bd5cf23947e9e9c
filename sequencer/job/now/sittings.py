"""The sittings that a job has had: told by its stops, less those after which work soon went on."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from sequencer.job.journal.events import EventKind, Recorded
from sequencer.job.now.moment import Moment

BREAK = timedelta(hours=1)
"""Who goes on within this time is still at the same sitting (common practice)."""

_STARTS = (EventKind.STARTED, EventKind.RESUMED, EventKind.DONE)
"""What starts the clock; a tick does where nobody has."""


def sittings_past(moment: Moment) -> tuple[Recorded, ...]:
    """The stop that ended each sitting; of several without work in between (it was made safe) the last.

    One after which nobody has gone on so far ends its sitting.
    """
    return tuple(stop for stop, _ in _breaks(moment))


def sitting_began(moment: Moment) -> datetime | None:
    """When the clock was started for the present sitting; None: it was not."""
    starts = [one.event.time for one in _told(moment, *_STARTS)]
    return next((began for _, began in reversed([*_breaks(moment)])), min(starts, default=None))


def _breaks(moment: Moment) -> Iterator[tuple[Recorded, datetime | None]]:
    """Each stop that ended a sitting, and when the next one began."""
    last: Recorded | None = None
    for one in _told(moment, EventKind.STOPPED, *_STARTS):
        if one.event.kind is EventKind.STOPPED:
            last = one
        elif last is not None and one.event.time > last.event.time:
            if one.event.time - last.event.time >= BREAK:
                yield last, one.event.time
            last = None
    if last is not None:
        yield last, None


def _told(moment: Moment, *kinds: EventKind) -> list[Recorded]:
    return sorted((one for kind in kinds for one in moment.state.of(kind)), key=lambda one: one.seq)
