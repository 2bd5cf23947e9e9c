"""A question, and what several kinds of question ask about."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from sequencer.machine.survey.said import Said, SaidJoint, SaidPart
from sequencer.machine.survey.short_lines import AnswerError
from sequencer.machine.trade.relations import relations

PARTS = "parts"
"""The first step of a question about a part or a joint of it."""


class QuestionId(str):
    """What a question is known by, in a kept survey too: ``parts/pump/joints/bolts/count``, ``off``."""

    __slots__ = ()

    @classmethod
    def of(cls, *steps: str) -> QuestionId:
        """The name made of these steps; the last may have strokes of its own."""
        return cls("/".join(steps))

    @property
    def steps(self) -> tuple[str, ...]:
        """From what it is about in general to what is asked of that."""
        return tuple(self.split("/"))

    @property
    def first(self) -> str:
        """The first step: what kind of thing it is about."""
        return self.steps[0]

    @property
    def rest(self) -> str:
        """All after the first step: the things themselves."""
        return self.partition("/")[2]


@dataclass(frozen=True)
class SurveyQuestion:
    """One question.

    Attributes:
        id: Names it in ``Survey.answer``; it stays the same from run to run.
        text: The question, in a sentence.
        choices: Answers that one tap gives; anything else may be typed. ``don't know yet`` is always there.
        hint: How an answer can be written.
        kind: ``choice`` where a tap usually answers it, ``list`` where a line has several, or ``text``.
        about: The part that it is about, for a heading; empty for the machine.
        later: It was put off.
        skip: The answer that Enter alone gives; empty where there is none.
        by_number: A choice may be named by its number: ``one`` of them, ``some`` in a line, also beside
            words; ``no`` where a number is itself an answer.
    """

    id: str
    text: str
    choices: tuple[str, ...] = ()
    hint: str = ""
    kind: Literal["text", "choice", "list"] = "text"
    about: str = ""
    later: bool = False
    skip: str = ""
    by_number: Literal["one", "some", "no"] = "one"

    @property
    def sort(self) -> str:
        """What kind of question it is: how one of them is answered need not be said twice."""
        if not self.about:
            return self.id
        steps = QuestionId(self.id).steps
        return steps[-1] if steps[0] == PARTS else steps[0]

    def picked(self, line: str, choices: Sequence[str]) -> str:
        """The answer that a line gives, with the choices that its numbers stand for in their words.

        Args:
            line: ``2, 5 and the bracket``.
            choices: As they are numbered, from 1.

        Raises:
            AnswerError: A number that stands for no choice.
        """
        if self.by_number == "no" or not choices:
            return line
        alone = line.replace(",", " ").split()
        numbers = all(one.isdecimal() for one in alone)
        if self.by_number == "one":
            return (
                choices[int(alone[0]) - 1] if len(alone) == 1 and numbers and _fits(line, choices) else line
            )
        if numbers:
            line = ", ".join(alone)
        return _NUMBER.sub(lambda match: _choice(match, choices), line)


_NUMBER = re.compile(
    r"(?:(?<=^)|(?<=[,;:&+(])|(?<=\bover)|(?<=\band)|(?<=\bor)|(?<=\beither)|(?<=\bplus))(?P<blank>\s*)(?P<number>\d{1,3})"
    r"(?=\s*(?:$|[,;:&+)(]|(?:and|or|plus|loose|loosened|slack|aside|off|moved|to one|only|just"
    + "".join(f"|{one.survey.verb}" for one in relations() if one.survey)
    + r")\b))",
    re.IGNORECASE,
)
"""A number that stands by itself in a line, or before the state of what it names: 2 aside."""


def _choice(match: re.Match[str], choices: Sequence[str]) -> str:
    if not _fits(match["number"], choices):
        raise AnswerError(
            f"there is no choice {match['number']}", f"they are 1 to {len(choices)}; or write its name"
        )
    return f"{match['blank']}{choices[int(match['number']) - 1]}"


def _fits(number: str, choices: Sequence[str]) -> bool:
    return number.strip().isdecimal() and 1 <= int(number) <= len(choices)


def threaded(said: Said) -> Iterator[tuple[SaidPart, SaidJoint]]:
    """Joints that are tightened to a torque."""
    for part in said.parts.values():
        for joint in (part.joints or {}).values():
            if joint.kind in ("bolt", "nut", "stud", "union", "banjo", "plug"):
                yield part, joint
