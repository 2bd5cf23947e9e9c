"""What an act at a job came to, and how a told line was read."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Any

from sequencer.job.now.acts import Outcome
from sequencer.render.data.plain import Record
from sequencer.spoken.values import ToldQuestion


class OutcomeData(Record):
    """What was written, and what is said of it."""

    events: Annotated[Sequence[str], "The journal's entries."]
    words: Sequence[str]
    ops: Annotated[Sequence[str], "The operations that it ticked, or took back."]


class LeftQuestionData(Record):
    """The one question that a told line leaves."""

    about: str
    text: str
    choices: Sequence[str]


class ReadLineData(Record):
    """How a line was read."""

    read: Annotated[Sequence[str], "What was understood, line by line."]
    question: LeftQuestionData | None


def outcome_json(said: Outcome) -> dict[str, Any]:
    """What an act came to, as plain data."""
    return OutcomeData.of(said).plain()


def told_json(read: Sequence[str], question: ToldQuestion | None) -> dict[str, Any]:
    """How a line was read, and what it leaves to be asked, as plain data."""
    left = None if question is None else LeftQuestionData.of(question)
    return ReadLineData(read=read, question=left).plain()
