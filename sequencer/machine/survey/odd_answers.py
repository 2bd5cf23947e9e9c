"""Answers that say something else than was asked, and are asked back: a fluid called two bolts."""

from __future__ import annotations

import re
from collections.abc import Iterable

from sequencer.machine.heard.fluids import amount_in, fluid_words
from sequencer.machine.heard.joint import joints_in
from sequencer.machine.heard.lexemes import Is, lexemes
from sequencer.machine.heard.places import tells_place
from sequencer.machine.heard.spelling import mended
from sequencer.machine.heard.tokens import Words, tokens_of
from sequencer.machine.survey.short_lines import AnswerError, is_nothing
from sequencer.machine.trade.kinds import kind_of_joint
from sequencer.machine.trade.tables import table

_LONGEST_NAME = 6
_OBJECTS = frozenset({"it", "the", "a", "an", "them", "that", "this", "all", "in", "with", "care", "careful"})
"""What follows a verb: catch it, use the jack; a catch and a drain plug are things."""


def refuse_no_fluid(text: str) -> None:
    """A piece of an answer that can be no fluid and no danger.

    Raises:
        AnswerError: It says something else.
    """
    remedy = "name what spills or can hurt: coolant, hot; or: nothing"
    _refuse(text, "fluid", remedy, ("fixing", "tool", "place"))


def refuse_no_place(text: str) -> None:
    """An answer that can be no place to work from.

    Raises:
        AnswerError: It says something else.
    """
    remedy = "say where you stand, kneel or lie: at the front, under it"
    if fixing := next((one for one in text.split(",") if _is_kind(one)), None):
        raise AnswerError(f"`{fixing.strip()}` is a fixing, and no place", remedy)
    _refuse(text, "place", remedy, ("fixing", "tool", "fluid"))


def refuse_no_tool(text: str) -> None:
    """An answer that can be no tool.

    Raises:
        AnswerError: It says something else.
    """
    _refuse(text, "tool", "write the name of a tool, or: by hand", ("fixing", "place", "fluid"))


def refuse_no_part(text: str) -> None:
    """An answer that can be no name of a part.

    Raises:
        AnswerError: It says something else.
    """
    remedy = "write its name, like: left bracket; or: nothing"
    _refuse(text, "part", remedy, ("place", "fluid") if _tells_things(text) else ("fixing", "place", "fluid"))


def refuse_no_helper(text: str) -> None:
    """An answer that can be nothing that holds or carries a part.

    Raises:
        AnswerError: It says something else.
    """
    remedy = "write what holds it, like: a holding bar, a jack; or: nothing"
    _refuse(text, "help", remedy, ("fixing", "place", "fluid"))


def refuse_no_fixing(text: str) -> None:
    """A piece of a line that can be nothing that holds a part.

    Raises:
        AnswerError: It says something else.
    """
    if is_nothing(text):
        raise AnswerError(
            f"`{text}` beside other fixings", "leave it out; where nothing holds it, write: nothing"
        )
    if not _tells_joint(text):
        remedy = "write what holds it, like: 5 bolts 10 mm, connector; or: nothing"
        _refuse(text, "fixing", remedy, ("place", "fluid"))


def _refuse(text: str, what: str, remedy: str, others: Iterable[str]) -> None:
    if is_nothing(text):
        raise AnswerError(f"`{text}` is no {what}", remedy)
    if text.isdecimal():
        raise AnswerError(f"`{text}` alone says too little", remedy)
    for other in others:
        if _TELLS[other](text):
            raise AnswerError(f"`{text}` is a {other}, and no {what}", remedy)
    if _tells_doing(text) or (what in ("fluid", "place") and len(_norms(text)) > _LONGEST_NAME):
        raise AnswerError(f"`{text}` is not the name of a {what}", remedy)


def _norms(text: str) -> list[str]:
    return [one.norm for one in tokens_of(text)]


def _tells_doing(text: str) -> bool:
    """What somebody does: catch it in a bucket."""
    words = _norms(text)
    return words[:1] != [] and words[0] in table("survey")["doing"] and not _OBJECTS.isdisjoint(words[1:3])


def _tells_joint(text: str) -> bool:
    """It says a kind with a count or a head: two bolts, 13 mm."""
    found = joints_in(Words(mended(tokens_of(text))))
    return any((one.kind and one.counted) or (one.head and re.search(r"\d", one.head)) for one in found)


def _is_kind(text: str) -> bool:
    """Nothing but the name of what holds or seals a part: the gasket."""
    words = " ".join(text.casefold().split()).removeprefix("the ")
    return bool(words) and kind_of_joint(words) is not None


def _tells_things(text: str) -> bool:
    """Nothing but things that are parts as well, and no size: two hoses."""
    found = joints_in(Words(mended(tokens_of(text))))
    return all(one.kind in table("survey")["things"] and one.head is None for one in found)


def _tells_tool(text: str) -> bool:
    said = lexemes(Words(mended(tokens_of(text))).text)
    return bool(said) and all(one.sort in (Is.TOOL, Is.NUMBER, Is.HEAD, Is.FILLER) for one in said)


def _tells_fluid(text: str) -> bool:
    """A fluid by its own name, or some of it: about a cup of oil."""
    amount, rest = amount_in(text)
    return rest.casefold().removeprefix("the ") in fluid_words() or amount is not None


_TELLS = {"fixing": _tells_joint, "tool": _tells_tool, "place": tells_place, "fluid": _tells_fluid}
