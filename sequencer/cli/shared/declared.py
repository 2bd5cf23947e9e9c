"""How an option or argument that shows no default is declared: its names, what it takes, its line of help."""

from __future__ import annotations

from typing import Any

import typer


def option(names: str, metavar: str, says: str, **more: Any) -> Any:  # noqa: ANN401 - as typer's own
    """An option of a command; ``names`` are all it has: ``-o --output``."""
    return typer.Option(*names.split(), metavar=metavar, help=says, show_default=False, **more)


def argument(metavar: str, says: str, **more: Any) -> Any:  # noqa: ANN401 - as typer's own
    """An argument of a command."""
    return typer.Argument(metavar=metavar, help=says, show_default=False, **more)
