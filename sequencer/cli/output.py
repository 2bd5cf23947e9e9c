"""Where commands print to."""

from __future__ import annotations

import json
import os
import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from rich.console import Console

WIDEST = 100
"""Columns beyond which lines of a plan get hard to read."""


def console() -> Console:
    """A console for plans: as wide as the terminal, or as ``COLUMNS`` says, but no wider than reads well."""
    from rich.console import Console

    class Plain(Console):
        """Leaves a reader who has gone (``| head``) to the command line, which ends quietly then."""

        def on_broken_pipe(self) -> None:
            raise BrokenPipeError

    made = Plain(highlight=False, markup=False, emoji=False)
    told = os.environ.get("COLUMNS", "").isdecimal()
    made.width = min(made.width, WIDEST) if told or sys.stdout.isatty() else WIDEST
    return made


def print_json(data: dict[str, Any]) -> None:
    """One object on standard output, whatever the terminal; in ASCII where that can't show all of it."""
    plain = (sys.stdout.encoding or "").lower().replace("-", "") != "utf8"
    sys.stdout.write(json.dumps(data, ensure_ascii=plain, indent=2) + "\n")


def complain(text: str) -> None:
    """A message on the error stream, its control characters spelt out."""
    sys.stderr.write(_CONTROL.sub(lambda found: repr(found[0])[1:-1], text) + "\n")


_CONTROL = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")
"""What a terminal would obey; a line end is left, since a message may have several lines."""


def write_atomically(path: Path, content: bytes) -> None:
    """Write a file so that a reader sees the old one or the new one, never half of it.

    Raises:
        SequencerError: The folder is missing or can't be written.
    """
    from sequencer.errors import SequencerError
    from sequencer.machine.edit.atomic import put_in_place, usual_mode

    try:
        put_in_place(path, content, usual_mode())
    except OSError as fault:
        raise SequencerError(
            f"{path} can't be written: {fault.strerror}", "name a file in a folder that you may write to"
        ) from fault
