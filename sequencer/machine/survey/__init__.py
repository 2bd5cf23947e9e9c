"""Describing a machine by looking at it: one question after another until nothing is unanswered.

    survey = Survey.open("pump.yaml")           # goes on where it was left
    while (question := survey.question) is not None:
        print(question.text, question.choices, question.hint)
        try:
            print(survey.answer(question.id, input("> ")))      # how it was understood
        except AnswerError as why:
            print(why)                          # nothing was changed; ask again
    survey.save()

Every answer is one of the ``choices`` or one short line. ``open_questions`` may be answered in any order;
``don't know yet`` keeps one open and puts it last; ``undo()`` takes back the last answer, ``change()`` says
an old one anew and keeps what came after it. The answers are kept beside the machine file
(``pump.survey.jsonl``, replaced in one step after each of them), and nothing
else is: what is known is worked out from them again. ``Survey()`` without a file keeps them in memory. What
is written is an ordinary machine file, without a fault as soon as a target is named, and it says where
something is not known yet.
"""

from sequencer.machine.survey.keeping import KeptAnswer, SurveyError, progress_path
from sequencer.machine.survey.question import SurveyQuestion
from sequencer.machine.survey.short_lines import DONT_KNOW, AnswerError
from sequencer.machine.survey.survey import Survey

__all__ = [
    "DONT_KNOW",
    "AnswerError",
    "KeptAnswer",
    "Survey",
    "SurveyError",
    "SurveyQuestion",
    "progress_path",
]
