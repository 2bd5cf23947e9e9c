"""The one family of errors that a user may see: what is wrong, and what to do about it."""

from __future__ import annotations

from pathlib import PurePath
from typing import Any


class SequencerError(Exception):
    """A fault that the user can mend.

    One fault meets people at a terminal and at the page. Its kind and its facts are values: a surface whose
    user has other means than commands words the remedy itself, from these (``bench/remedies.py``). Nobody
    reads, compares or rewrites the sentences.

    Attributes:
        problem: What is wrong, in one plain sentence without a full stop.
        remedy: What to do about it, for somebody at a terminal; empty where nothing sensible can be said.
        code: The kind of fault, where a surface words its remedy itself: ``not-yet``, ``gate-open``.
        facts: What such words are made of, by name: a step, a joint.
        at: The file that it is about, where that is worth saying; the page shows no more than its name.
        asked: What it answers, where a surface has a name for that: ``--off hed``.
    """

    asked = ""

    def __init__(
        self,
        problem: str,
        remedy: str = "",
        *,
        code: str = "",
        at: PurePath | None = None,
        **facts: Any,  # noqa: ANN401 - each kind of fault has its own
    ) -> None:
        super().__init__(problem, remedy)
        self.problem = problem
        self.remedy = remedy
        self.code = code
        self.at = at
        self.facts = facts

    def __str__(self) -> str:
        return self.said(str(self.at or ""), self.remedy)

    def said(self, at: str, remedy: str) -> str:
        """The whole message, with a surface's own words for the file and for the remedy."""
        whole = ": ".join(one for one in (self.asked, at, self.problem) if one)
        return f"{whole}; {remedy}" if remedy else whole
