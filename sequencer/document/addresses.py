"""Where the bench page shows a step: one place for the page's routes and for the codes that are printed."""

from __future__ import annotations

from urllib.parse import quote


def step_path(operation: str) -> str:
    """The path of a step: ``/step/undo%20guard/screws``."""
    return f"/step/{quote(operation)}"


def step_url(base: str, operation: str) -> str:
    """The whole address of a step, for a page that is served at ``base``."""
    return base.rstrip("/") + step_path(operation)
