"""A question, and what several kinds of question ask about."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from sequencer.machine.survey.said import Joint, Part, Said


@dataclass(frozen=True)
class Question:
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
    """

    id: str
    text: str
    choices: tuple[str, ...] = ()
    hint: str = ""
    kind: Literal["text", "choice", "list"] = "text"
    about: str = ""
    later: bool = False
    skip: str = ""


def threaded(said: Said) -> Iterator[tuple[Part, Joint]]:
    """Joints that are tightened to a torque."""
    for part in said.parts.values():
        for joint in (part.joints or {}).values():
            if joint.kind in ("bolt", "nut", "stud", "union", "banjo", "plug"):
                yield part, joint
