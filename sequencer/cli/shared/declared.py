"""How an option or argument that shows no default is declared: its names, what it takes, its line of help."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import typer

from sequencer.errors import SequencerError


def option(names: str, metavar: str, says: str, **more: Any) -> Any:  # noqa: ANN401 - as typer's own
    """An option of a command; ``names`` are all it has: ``-o --output``."""
    return typer.Option(*names.split(), metavar=metavar, help=says, show_default=False, **more)


def argument(metavar: str, says: str, **more: Any) -> Any:  # noqa: ANN401 - as typer's own
    """An argument of a command."""
    return typer.Argument(metavar=metavar, help=says, show_default=False, **more)


@contextmanager
def given(option: str, text: str) -> Iterator[None]:
    """A fault in what was given to an option names it: ``--off hed: van.yaml has no part 'hed'``."""
    try:
        yield
    except SequencerError as fault:
        fault.asked = f"{option} {text}"
        raise
