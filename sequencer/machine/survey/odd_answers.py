"""Answers that say something else than was asked, and are asked back: a fluid called two bolts."""

from __future__ import annotations

import re

from sequencer.machine.heard.joint import joints_in
from sequencer.machine.heard.spelling import mended
from sequencer.machine.heard.words import Words, tokens_of
from sequencer.machine.survey.words import AnswerError, is_nothing
from sequencer.machine.tables import table

_LONGEST_NAME = 4


def refuse_no_fluid(text: str) -> None:
    """A piece of an answer that can be no fluid and no danger.

    Raises:
        AnswerError: It tells a fixing, nothing, or what to do.
    """
    _refuse(text, "fluid", "name what spills or can hurt: coolant, hot; or: nothing")


def refuse_no_place(text: str) -> None:
    """An answer that can be no place to work from.

    Raises:
        AnswerError: It tells a fixing, nothing, or what to do.
    """
    _refuse(text, "place", "say where you stand, kneel or lie: at the front, under it")


def refuse_no_fixing(text: str) -> None:
    """A piece of a line that can be nothing that holds a part.

    Raises:
        AnswerError: It is no fixing.
    """
    if is_nothing(text):
        raise AnswerError(
            f"`{text}` beside other fixings", "leave it out; where nothing holds it, write: nothing"
        )


def _refuse(text: str, what: str, remedy: str) -> None:
    if _tells_joint(text):
        raise AnswerError(f"`{text}` is a fixing, and no {what}", remedy)
    words = [one.norm for one in tokens_of(text)]
    if is_nothing(text):
        raise AnswerError(f"`{text}` is no {what}", remedy)
    if (words[:1] and words[0] in table("survey")["doing"]) or len(words) > _LONGEST_NAME + 2:
        raise AnswerError(f"`{text}` is not the name of a {what}", remedy)


def _tells_joint(text: str) -> bool:
    """It says a kind with a count or a head: two bolts, 13 mm."""
    found = joints_in(Words(mended(tokens_of(text))))
    return any((one.kind and one.counted) or (one.head and re.search(r"\d", one.head)) for one in found)
