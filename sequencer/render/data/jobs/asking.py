"""Questions about a kept order, as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Annotated, Any

from sequencer.document.jobs.asking import question_words
from sequencer.machine.model import Machine
from sequencer.plan.asking import About, OrderQuestion
from sequencer.render.data.plain import Record


class QuestionData(Record):
    """A question, and what its answer is worth."""

    number: Annotated[int, "By which it is answered; it holds until the next answer."]
    about: About
    says: Annotated[str, "The question in words."]
    first: Annotated[Sequence[str], "The things asked about, as the file names them."]
    then: Annotated[Sequence[str], "Those that may have waited for them, or they for those."]
    saving_seconds: Annotated[Fraction, "What an answer may save, on the way back and the next way in."]
    expected_seconds: Annotated[Fraction, "What can be expected of it."]


class QuestionsData(Record):
    """The questions that are worth asking, best first."""

    questions: Sequence[QuestionData]


def questions_json(machine: Machine, questions: Sequence[OrderQuestion]) -> dict[str, Any]:
    """The questions as plain data."""
    found = [
        QuestionData.of(
            question,
            number=number,
            says=question_words(machine, question),
            first=[str(told) for told in question.first],
            then=[str(told) for told in question.then],
            saving_seconds=question.saving,
            expected_seconds=question.worth,
        )
        for number, question in enumerate(questions, start=1)
    ]
    return QuestionsData(questions=found).plain()
