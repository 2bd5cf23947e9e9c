"""Other fasteners than the type has, from a short line: ``4``, ``T30``, ``4 x 10 mm``, ``not there``."""

from __future__ import annotations

import re

from sequencer.machine.model import Joint
from sequencer.machine.survey import AnswerError
from sequencer.machine.survey.joint_line import parse_joints
from sequencer.machine.survey.said import SaidJoint
from sequencer.machine.trade.kinds import kind_of_joint
from sequencer.machine.trade.tables import table
from sequencer.plan.like import differences
from sequencer.plan.like.known import Alike
from sequencer.plan.like.questions import NOT_THERE

GONE = frozenset({NOT_THERE, "no", "n", "none", "not", "gone", "missing", "nothing"})
"""Answers that say that something is not there."""


def other_fasteners(now: Alike, path: str, answer: str) -> str:
    """Other fasteners than in the type, or none; how that was understood.

    Raises:
        AnswerError: It was not understood, or makes a machine that can't be.
    """
    label, joint = now.label(path), now.machine.joint_at(path)
    if answer.casefold() in GONE:
        now.rewritten(differences.without(now.text, path))
        return f"{label}: not there"
    said = _fixing(answer, joint)
    kind = kind_of_joint(joint.kind)
    count = said.count
    if count is None and said.head is None and said.tool is None:
        raise AnswerError(
            f"`{answer}` is neither a number nor a head", "write like: 4; T30; 4 x 10 mm; not there"
        )
    if kind is not None and said.kind is not None and said.kind != joint.kind and _names_kind(answer):
        now.rewritten(
            differences.with_value(now.text, ("parts", joint.part, "joints", joint.name, "kind"), said.kind)
        )
    head = said.head if said.head != joint.head else None
    now.rewritten(differences.with_fasteners(now.text, joint, count, head, None))
    now.settle("fasteners", [path])
    new = now.machine.joint_at(path)
    return f"{label}: {new.count} × {new.head or new.kind}"


def _fixing(answer: str, joint: Joint) -> SaidJoint:
    """What a short line says of fasteners: a number alone is how many, of a single one its head."""
    line, kind, bare = answer, joint.kind, False
    if answer.isdecimal() and joint.count > 1:
        return SaidJoint("", "", None, int(answer))
    if not _names_kind(answer):
        found = re.fullmatch(r"(\d{1,3})\s*(?:[x×]|times|of)?\s+(.+)|(\d{1,3})\s*[x×]\s*(.+)", answer)
        if found and not re.fullmatch(r"(?:\d+(?:[./]\d+)?\s*)(?:mm|in|\")", answer):
            count, head = (found[1] or found[3]), (found[2] or found[4])
            line = f"{count} {kind}s {head}"
        else:
            line, bare = f"1 {kind} {answer}", True
    (said, *more) = parse_joints(line)
    if more:
        raise AnswerError(f"`{answer}` is several fixings", "say the one that was asked for")
    if bare or not re.match(r"\d", answer):
        said.count = None
    return said


def _names_kind(answer: str) -> bool:
    words = {word.rstrip("s") for word in re.findall(r"[a-z]+", answer.casefold())}
    return not words.isdisjoint(table("kinds"))
