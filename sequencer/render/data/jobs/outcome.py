"""What an act at a job came to, and how a told line was read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Annotated, Any

from sequencer.job.now.acts import Outcome
from sequencer.render.data.plain import FLAT, Record
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
    """How a line was read, and what was written of it."""

    outcome: Annotated[OutcomeData, FLAT]
    read: Annotated[Sequence[str], "What was understood, line by line."]
    question: LeftQuestionData | None


class ReplannedData(Record):
    """What was written, and what the new plan changes."""

    outcome: Annotated[OutcomeData, FLAT]
    change: Annotated[Mapping[str, Any], "Empty: the plan stays as it is."]


class RestoredData(Record):
    """What putting the machine file back came to."""

    words: Sequence[str]


def outcome_json(said: Outcome) -> dict[str, Any]:
    """What an act came to, as plain data."""
    return OutcomeData.of(said).plain()


def told_json(said: Outcome, read: Sequence[str], question: ToldQuestion | None) -> dict[str, Any]:
    """What a told line came to, how it was read, and what it leaves to be asked, as plain data."""
    left = None if question is None else LeftQuestionData.of(question)
    return ReadLineData(outcome=OutcomeData.of(said), read=read, question=left).plain()


def replanned_json(said: Outcome, change: Mapping[str, Any] | None) -> dict[str, Any]:
    """What an act came to that may change the plan, as plain data."""
    kept = {key: value for key, value in (change or {}).items() if key != "steps"}
    return ReplannedData(outcome=OutcomeData.of(said), change=kept).plain()
