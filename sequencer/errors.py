"""The one family of errors that a user may see: what is wrong, and what to do about it."""

from __future__ import annotations


class SequencerError(Exception):
    """A fault that the user can mend.

    Attributes:
        problem: What is wrong, in one plain sentence without a full stop.
        remedy: What to do about it; empty where nothing sensible can be said.
    """

    def __init__(self, problem: str, remedy: str = "") -> None:
        super().__init__(problem, remedy)
        self.problem = problem
        self.remedy = remedy

    def __str__(self) -> str:
        return f"{self.problem}; {self.remedy}" if self.remedy else self.problem
