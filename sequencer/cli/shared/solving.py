"""A live line while the engine works."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from fractions import Fraction
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sequencer.plan.answer import Watch

QUIET_SECONDS = 1.0
"""A plan that takes less than this shows no progress."""


@contextmanager
def live_line() -> Iterator[Watch | None]:
    """A line on the error stream with best, bound and gap, once a plan has taken a second.

    Only for a person: where the error stream is not a terminal, nothing is watched.
    """
    if not sys.stderr.isatty():
        yield None
        return
    began = time.monotonic()
    written = 0

    def watch(best: Fraction, bound: Fraction) -> None:
        nonlocal written
        if time.monotonic() - began < QUIET_SECONDS:
            return
        from sequencer.document.words import duration

        gap = float(1 - bound / best) if best else 0.0
        line = f"best {duration(best)}, bound {duration(bound)} ({gap:.1%}); Ctrl-C takes it"
        room = os.get_terminal_size(sys.stderr.fileno()).columns - 1
        sys.stderr.write(f"\r{line[:room]:<{room}}")
        sys.stderr.flush()
        written = room

    try:
        yield watch
    finally:
        if written:
            sys.stderr.write(f"\r{'':<{written}}\r")
            sys.stderr.flush()
