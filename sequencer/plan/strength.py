"""Torques held against the strength of their fasteners, while a machine file is read."""

from __future__ import annotations

from collections.abc import Iterator

from sequencer.machine.model import Joint
from sequencer.machine.scope import TighteningWords
from sequencer.torque.judgement import Judgement, Verdict


def examine(words: TighteningWords) -> Iterator[tuple[str, str, bool]]:
    """What is wrong with one tightening: an error beyond its fastener's proof, a warning where it is odd."""
    from sequencer.errors import SequencerError
    from sequencer.torque.guard import judge

    try:
        judgement = judge(
            words.stages,
            words.thread,
            words.property_class,
            friction=words.friction,
            engaged_in=words.engaged_in,
            engagement=words.engagement,
            override=words.override,
        )
    except SequencerError as fault:
        yield f"`{words.joint}`: {fault.problem}", fault.remedy, True
        return
    for problem, remedy in judgement.faults:
        yield f"`{words.joint}`: {problem}", remedy, False
    if judgement.is_error or judgement.verdict not in (Verdict.USUAL, Verdict.NOT_JUDGED):
        yield f"`{words.joint}`: {judgement.message}", judgement.remedy, judgement.is_error


def judgement_of(joint: Joint) -> Judgement:
    """What a joint's fastener makes of its torque; without a torque, what could be usual for it."""
    from sequencer.torque.guard import judge

    return judge(
        joint.torque.stages if joint.torque else (),
        joint.thread,
        joint.property_class,
        friction=joint.friction,
        engaged_in=joint.engaged_in,
        engagement=joint.engagement,
        override=joint.torque.override if joint.torque else None,
    )


def remark_on(joint: Joint) -> str:
    """What is odd of a joint's torque: ``high: 50 N.m on M8 8.8 is 147% of its proof load``; else empty."""
    judgement = judgement_of(joint)
    usual = judgement.verdict in (Verdict.USUAL, Verdict.NOT_JUDGED)
    return "" if usual else f"{judgement.verdict}: {judgement.message}"


def trusted(joint: Joint) -> Judgement:
    """The judgement of a joint whose torque may be shown: every view asks here before it prints one.

    Raises:
        SequencerError: The torque is beyond the fastener's proof, and no override says why it is meant.
    """
    from sequencer.errors import SequencerError

    judgement = judgement_of(joint)
    if joint.torque is not None and judgement.is_error:
        place = joint.torque.place
        raise SequencerError(f"{place}:{place.column}: `{joint.path}`: {judgement.message}", judgement.remedy)
    return judgement
