"""Where commands print to."""

from __future__ import annotations

import json
import os
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from rich.console import Console

WIDEST = 100
"""Columns beyond which lines of a plan get hard to read."""


def console() -> Console:
    """A console for plans: as wide as the terminal, but no wider than reads well."""
    from rich.console import Console

    made = Console(highlight=False)
    if not sys.stdout.isatty() or made.width > WIDEST:
        made.width = WIDEST
    return made


def print_json(data: dict[str, Any]) -> None:
    """One object on standard output, whatever the terminal."""
    sys.stdout.write(json.dumps(data, ensure_ascii=False, indent=2) + "\n")


def write_atomically(path: Path, content: bytes) -> None:
    """Write a file so that a reader sees the old one or the new one, never half of it.

    Raises:
        SequencerError: The folder is missing or can't be written.
    """
    from sequencer.errors import SequencerError

    try:
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        try:
            with os.fdopen(handle, "wb") as stream:
                stream.write(content)
            mask = os.umask(0)
            os.umask(mask)
            Path(name).chmod(0o666 & ~mask)
            Path(name).replace(path)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
    except OSError as fault:
        raise SequencerError(
            f"{path} can't be written: {fault.strerror}", "name a file in a folder that you may write to"
        ) from fault
