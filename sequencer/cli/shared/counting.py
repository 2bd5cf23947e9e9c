"""A bar on the error stream while many questions are answered, and how many processes share them."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sequencer.plan.prices.prices_many import Told

MOST_WORKERS = 2
"""Processes at the most: a workshop's laptop has other things to do as well."""


def workers() -> int:
    """How many processes share many questions here."""
    return min(MOST_WORKERS, os.cpu_count() or 1)


@contextmanager
def counted(done: str) -> Iterator[Told | None]:
    """A bar that says ``12 of 40 priced``, gone when all is done; None where no person watches."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (
        BarColumn(),
        TextColumn("{task.completed} of {task.total} {task.description}; Ctrl-C takes what is known"),
        TimeRemainingColumn(),
    )
    progress = Progress(*columns, console=Console(stderr=True), transient=True)
    bar = progress.add_task(done, total=None)

    def told(answered: int, asked: int) -> None:
        if not progress.live.is_started:
            sys.stderr.write("\r\x1b[2K")  # until now another line was live there
            progress.start()
        progress.update(bar, completed=answered, total=asked)

    try:
        yield told
    finally:
        progress.stop()
