"""When each station began, as time codes for somebody who has filmed the job."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from fractions import Fraction

from sequencer.errors import SequencerError
from sequencer.graph.operations import Operation
from sequencer.job.journal.state import Spell
from sequencer.job.now.moment import Moment

_CLOCK = re.compile(r"(?:(\d{4}-\d{2}-\d{2})[T ])?(\d{1,2}):(\d{2})(?::(\d{2}))?")


@dataclass(frozen=True)
class Chapter:
    """A run of ticked steps at one place with one tool: when it began, from the start of the film."""

    start: timedelta
    position: str
    tool: str
    ops: tuple[str, ...]


def film_start(text: str, moment: Moment) -> datetime:
    """When the film began: ``10:02:15`` on the day of the job's first tick, or with its own date before it.

    Times are this computer's local ones.

    Raises:
        SequencerError: It is not a time of day.
    """
    found = _CLOCK.fullmatch(text.strip())
    first = min((s.began or s.ended for s in moment.state.spells), default=datetime.now(UTC)).astimezone()
    try:
        day = (found and found[1]) or f"{first:%Y-%m-%d}"
        time = found and f"{int(found[2]):02d}:{found[3]}:{found[4] or '00'}"
        return datetime.fromisoformat(f"{day} {time}").astimezone()
    except ValueError:
        raise SequencerError(
            f"{text!r} is not a time of day", "write it like 10:02:15, or 2026-11-25 10:02:15"
        ) from None


def chapters(moment: Moment, start: datetime) -> tuple[Chapter, ...]:
    """The stations in the order in which they were worked at; what began before ``start`` is left out."""
    operations = moment.operations
    found: list[tuple[datetime, str, str, list[str]]] = []
    for spell in moment.state.spells:
        for op, began in _begins(spell, operations):
            position, tool = operations[op].position, operations[op].tool
            if found and found[-1][1:3] == (position, tool):
                found[-1][3].append(op)
            else:
                found.append((began, position, tool, [op]))
    return tuple(
        Chapter(began - start, position, tool, tuple(ops))
        for began, position, tool, ops in found
        if began >= start
    )


def _begins(spell: Spell, operations: Mapping[str, Operation]) -> Iterator[tuple[str, datetime]]:
    """When each operation of a stretch began: of several ticked at once each has its planned share."""
    known = [op for op in spell.ops if op in operations]
    whole = sum((operations[op].seconds for op in known), Fraction(0))
    gone = Fraction(0)
    for op in known:
        share = float(gone / whole) if whole else 0.0
        yield op, (spell.began or spell.ended) + timedelta(seconds=share * (spell.seconds or 0.0))
        gone += operations[op].seconds
