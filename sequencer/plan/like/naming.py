"""What an answer about a machine that is like a type names: parts and joints, or that all is the same."""

from __future__ import annotations

import re
from collections.abc import Sequence

from sequencer.machine.model import Subject
from sequencer.machine.survey import AnswerError
from sequencer.machine.survey.short_lines import known, pieces
from sequencer.plan.like.known import Alike
from sequencer.plan.like.questions import AS_TYPE
from sequencer.wording import small

_SAME = frozenset(
    {
        AS_TYPE,
        "as type",
        "as the type",
        "same",
        "the same",
        "all there",
        "all is there",
        "it has",
        "all",
        "all of it",
    }
)


def by_their_keys(now: Alike, answer: str) -> str:
    """The answer with names that would fall to pieces, ``Brake disc, right front``, as their keys."""
    labels = {now.label(name): name for name in _names(now)}
    for label in sorted((one for one in labels if len(pieces(one)) > 1), key=len, reverse=True):
        answer = re.sub(rf"(?<!\w){re.escape(label)}(?!\w)", labels[label], answer, flags=re.IGNORECASE)
    return answer


def _names(now: Alike) -> list[str]:
    parts = now.machine.parts
    return [*parts, *(joint.path for part in parts.values() for joint in part.joints.values())]


def is_same(answer: str) -> bool:
    """Whether an answer says that it is as in the type."""
    return answer.casefold().strip(" .") in _SAME


def refuse_yes(answer: str, which: str) -> None:
    """Refuse a bare yes to a question that wants to know which.

    Raises:
        AnswerError: It is one.
    """
    if answer.casefold().strip(" .") in ("yes", "y", "some", "one"):
        raise AnswerError(f"`{answer}` does not say {which}", f"name it, or answer: {AS_TYPE}")


def named(now: Alike, things: Sequence[str], answer: str) -> list[str]:
    """The things that an answer names, each once: ``no airbox, heat shield``."""
    text = re.sub(r"^(?:no|not|without|all but)\s+", "", answer, flags=re.IGNORECASE)
    return list(dict.fromkeys(one_of(now, things, piece) for piece in pieces(text)))


def one_of(now: Alike, things: Sequence[str], words: str) -> str:
    """The one of the things that is meant, or else another part or joint of the machine.

    Raises:
        AnswerError: None is.
    """
    words = re.sub(r"^(?:no|not the|not|without)\s+", "", words.strip(), flags=re.IGNORECASE)
    words = re.sub(r"\s*\([^()]*\)$", "", words)
    alike = [one for one in _names(now) if Subject(one).of_joint == Subject(things[0]).of_joint]
    ways = ({one: now.label(one) for one in names} for names in (things, alike))
    found = words if words in alike else next((one for labels in ways if (one := known(words, labels))), None)
    if found is None:
        raise AnswerError(
            f"`{words}` is none of those that are asked of",
            f"choose among: {', '.join(small(now.label(one)) for one in things)}; or: {AS_TYPE}",
        )
    return found


def led_by(now: Alike, things: Sequence[str], piece: str) -> tuple[str, str]:
    """The thing whose name a piece begins with, and the rest of it: ``cover screws 4 x T30``."""
    for thing in sorted(things, key=lambda one: -len(now.label(one))):
        for name in (thing, now.label(thing)):
            if piece.casefold().startswith(name.casefold()):
                rest = re.sub(r"^\s*\([^()]*\)", "", piece[len(name) :])
                return thing, rest.strip(" :,=")
    words = piece.replace(":", " ").split()
    for length in range(len(words), 0, -1):
        try:
            return one_of(now, things, " ".join(words[:length])), " ".join(words[length:])
        except AnswerError:
            continue
    return one_of(now, things, piece), ""
