"""How long to look before settling for the best order found: counts of work that every door goes by.

A count of work, not of seconds, gives the same plan for the same file on any machine.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import replace

from sequencer.engine.problem import Limits

PATIENCE_STATES = 5_000_000
"""Search states for a question that a person waits for: a minute or so."""

BACK_STATES = 600_000
"""Search states for the way back on paper: seconds of work, not a minute, and enough to prove that of the
van, of 129 steps; where they are not enough, what could still be saved is printed."""

SMALL_STATES = 200_000
"""Search states for one of many small questions: a second or so."""


PASSING_STATES = 1_500
"""Search states for an order that is only a beginning: a moment."""


def limits(time_limit: float | None = None, gap: float = 0.0, states: int = PATIENCE_STATES) -> Limits:
    """The engine's limits: ``time_limit`` in seconds takes the place of the count of work.

    Args:
        time_limit: Stop after so many seconds. Answers may then differ from run to run.
        gap: Stop once at most this share of the time could still be saved; 0 asks for the proof.
        states: Search states after which to stop, where no time is given.
    """
    return Limits(states=states if time_limit is None else None, seconds=time_limit, gap=gap)


def in_passing(limits: Limits) -> Limits:
    """The limits of a question whose order is where another begins: small jobs are proven even so."""
    least = PASSING_STATES if limits.states is None else min(limits.states, PASSING_STATES)
    return replace(limits, states=least)


def shared(limits: Limits, *, among: int) -> Iterator[Limits]:
    """The limits of so many questions, one after the other: together they keep to the time.

    What one leaves of its share is the next one's. A count of work is each one's own.
    """
    began = time.monotonic()
    for later in range(among, 0, -1):
        if limits.seconds is None:
            yield limits
        else:
            left = limits.seconds - (time.monotonic() - began)
            yield replace(limits, seconds=max(left, 0.0) / later)
