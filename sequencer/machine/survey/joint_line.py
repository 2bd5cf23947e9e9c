"""A line that says what holds a part: ``5 bolts 10 mm, connector, hose clamp from under, 3 x T25 screws``."""

from __future__ import annotations

import re
from dataclasses import dataclass

from sequencer.machine.heard.joint import JointSaid, joined, joints_in, plural
from sequencer.machine.heard.lexemes import Is, lexemes
from sequencer.machine.heard.spelling import mended
from sequencer.machine.heard.tokens import Token, Words, said, tokens_of
from sequencer.machine.model import HAND
from sequencer.machine.survey.odd_answers import refuse_no_fixing
from sequencer.machine.survey.said import SaidJoint
from sequencer.machine.survey.short_lines import AnswerError, key_of, pieces, unused
from sequencer.machine.trade.heads import no_tool, tool_for
from sequencer.machine.trade.tables import table
from sequencer.quantities import find_prevailing

_FROM = re.compile(r"\b(?:all )?from (?:the )?(.+)$", re.IGNORECASE)
_BELOW = re.compile(r"\b(?:from )?(?:underneath|below|beneath)$", re.IGNORECASE)


def parse_joints(line: str) -> list[SaidJoint]:
    """Each joint of a line, in its order, with a key of its own.

    Raises:
        AnswerError: A head that no tool fits, or an empty line.
    """
    read: list[_Read] = []
    for piece in pieces(line):
        position = re.fullmatch(
            r"(?:(?:all|everything|both) (?:of (?:it|them) )?)?from (?:the )?(.+)", piece, re.IGNORECASE
        )
        if position and read:
            for one in read:
                one.position = one.position or position[1]
            continue
        refuse_no_fixing(piece)
        for one in _read(piece):
            whole = joined(read[-1].joint, one.joint) if read and not one.besides else None
            if whole is not None:
                read[-1].joint = whole
            else:
                read.append(one)
    joints: list[SaidJoint] = []
    for one in read:
        joint = _joint(one)
        joint.key = unused(joint.key, [other.key for other in joints])
        joints.append(joint)
    if not joints:
        raise AnswerError(
            "nothing that holds it was named", "write like: 5 bolts 10 mm, connector; or: nothing"
        )
    return joints


def read_joint(piece: str) -> tuple[SaidJoint, str]:
    """The joint that a piece of a line tells, and what is said besides: ``long`` of ``2 long bolts 10 mm``.

    Raises:
        AnswerError: A head that no tool fits, or several joints.
    """
    found = _read(piece)
    if len(found) > 1:
        raise AnswerError(f"`{piece}` tells several joints", "say one at a time: bolt 10 x2")
    besides = " ".join(bit for bit in (found[0].besides, found[0].joint.label) if bit)
    return _joint(found[0]), besides


@dataclass
class _Read:
    """A joint of a line, the words of its piece that are no part of it, and the position that was said."""

    joint: JointSaid
    besides: str = ""
    position: str | None = None
    drag: str | None = None


def _read(piece: str) -> list[_Read]:
    """The joints of a piece; one without a kind where it tells none."""
    text, position = piece, None
    if found := _FROM.search(text):
        text, position = text[: found.start()], found[1]
    elif found := _BELOW.search(text):
        text, position = text[: found.start()], "under"
    drag = find_prevailing(text)
    if drag is not None:
        text = text[: drag[1]] + text[drag[2] :]
    words = Words(mended(tokens_of(text)))
    joints = joints_in(words) or [_how(words)]
    besides = said([one for run in words.runs() for one in run if _says_something(one)])
    besides, prevailing = besides if len(joints) == 1 else "", drag[0].text if drag else None
    return [_Read(one, besides, position, prevailing) for one in joints]


def _how(words: Words) -> JointSaid:
    """How something is undone, where only that is said: with circlip pliers, by hand."""
    for one in lexemes(words.text):
        if one.sort in (Is.TOOL, Is.HAND):
            words.cut(one.start, one.end)
            if one.sort is Is.HAND:
                return JointSaid(one.text, count=1, head=HAND)
            return JointSaid(one.text, count=1, tool=one.value)
    return JointSaid()


def _says_something(one: Token) -> bool:
    return one.norm not in table("heard")["fillers"] and any(sign.isalnum() for sign in one.norm)


def _joint(read: _Read) -> SaidJoint:
    """A joint of the survey out of one that was said.

    Raises:
        AnswerError: Its head is none that a tool fits, or none that is made.
    """
    one, besides = read.joint, read.besides
    for doubt in one.doubts:
        if doubt.refused:
            raise AnswerError(*_refusal(doubt.refused))
        if doubt.problem:
            raise AnswerError(doubt.problem, "write it like M8, or leave it out")
    count = one.count if one.said else 1
    if not one.said and (counted := re.match(r"(\d{1,3})\s+(?=\D)", besides)):
        besides, count = besides[counted.end() :], int(counted[1])
    word = one.word or ("" if one.label or besides else f"{one.family} fixing".strip())
    name = word if count == 1 or not word or word.endswith("s") else plural(word)
    words = " ".join(bit for bit in (besides, one.label, name) if bit)
    hand = one.head == HAND
    joint = SaidJoint(key_of(words) or "joint", words, one.kind, count, None, None if hand else one.head)
    joint.counting = next((doubt for doubt in one.doubts if doubt.about == "count"), None)
    joint.hand, joint.family, joint.tool = hand, one.family, None if hand else one.tool_words
    joint.thread, joint.property_class, joint.position = one.thread, one.property_class, read.position
    joint.torque = one.torque.shown_in() if one.torque else None
    joint.prevailing = read.drag
    return joint


def _refusal(head: str) -> tuple[str, str]:
    """Why a head is asked back, and how it can be said."""
    if tool_for(head) is None:
        return no_tool(head)
    return f"a head of {head} mm is unusual", "write the size that it has, like 10 mm, T25 or allen 6"


def shown(joint: SaidJoint, position: str | None = None) -> str:
    """A joint as it was understood: ``5 bolts (10 mm socket), from under``."""
    many = f"{joint.count} {joint.words}" if joint.count and joint.count > 1 else joint.words
    notes = [
        "" if joint.kind else "kind not known yet",
        "" if joint.count else "how many is asked next",
        joint.family if joint.head is None and joint.kind else "",
        joint.tool or (tool.label if joint.head and (tool := tool_for(joint.head)) else ""),
        joint.thread or "",
        joint.torque or "",
        f"{joint.prevailing} prevailing" if joint.prevailing else "",
    ]
    said = ", ".join(note for note in notes if note)
    where = f" from {position or joint.position}" if position or joint.position else ""
    return many + (f" ({said})" if said else "") + where
