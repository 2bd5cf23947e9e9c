"""The engine's one error: a question that says something impossible."""

from __future__ import annotations


class ProblemError(ValueError):
    """A ``Problem`` whose numbers don't fit together; the message names the field and the index."""
