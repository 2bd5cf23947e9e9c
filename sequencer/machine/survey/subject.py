"""What a survey is about: questions, what an answer makes of it, and the file that it comes to."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Protocol

from sequencer.machine.survey.answers import hear
from sequencer.machine.survey.changing import Renamed, renamed
from sequencer.machine.survey.machine_text import machine_text
from sequencer.machine.survey.question import SurveyQuestion
from sequencer.machine.survey.questions import open_questions
from sequencer.machine.survey.said import Said


class Surveyed(Protocol):
    """What is known of a machine, and what is still asked. A survey copies it before each answer."""

    @property
    def wanted(self) -> tuple[str, ...]:
        """What is wanted off, as ``--off`` takes it; from then on there is a file."""

    def open_questions(self) -> list[SurveyQuestion]:
        """All that is not answered, what is asked next first and what was put off last."""

    def asked(self, question: str) -> SurveyQuestion | None:
        """The question of that name, if it may be answered now."""

    def hear(self, question: str, text: str) -> str:
        """Take an answer, and return how it was understood.

        Raises:
            AnswerError: It was not understood, or contradicts what was said before.
        """

    def machine_text(self) -> str:
        """The machine file."""

    def labels(self) -> dict[str, str]:
        """What each part is called; those that are wanted off first."""

    def renamed(self, now: Any) -> Renamed:  # noqa: ANN401 - one of its own kind
        """What is called otherwise ``now``, after one answer was said anew."""


@dataclass
class Described:
    """A machine of which nothing was known before."""

    said: Said = field(default_factory=Said)

    @property
    def wanted(self) -> tuple[str, ...]:
        """What is wanted off."""
        return tuple(self.said.targets)

    def open_questions(self) -> list[SurveyQuestion]:
        """Every question that has no answer, those that were put off last."""
        return open_questions(self.said)

    def asked(self, question: str) -> SurveyQuestion | None:
        """The question of that name, if it is open."""
        return next((one for one in self.open_questions() if one.id == question), None)

    def hear(self, question: str, text: str) -> str:
        """Take an answer, and return how it was understood."""
        return hear(self.said, question, text)

    def machine_text(self) -> str:
        """The machine file."""
        return machine_text(self.said)

    def labels(self) -> dict[str, str]:
        """What each part is called."""
        return self.said.labels()

    def renamed(self, now: Described) -> Renamed:
        """What is called otherwise now."""
        return renamed(self.said, now.said)
