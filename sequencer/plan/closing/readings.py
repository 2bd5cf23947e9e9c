"""What closes a torque gate: readings inside the joint's tolerance, for each of its stages and fasteners."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from sequencer.errors import SequencerError
from sequencer.machine.model import Joint
from sequencer.machine.trade.kinds import kind_of_joint
from sequencer.plan.closing.tightening import order_of
from sequencer.quantities import (
    AngleQuantity,
    Stage,
    TorqueQuantity,
    parse_angle,
    parse_torque,
)
from sequencer.torque.guard.judging import judge as judge_strength
from sequencer.torque.guard.use import FASTENER
from sequencer.torque.tightening.prevailing import without

USUAL_TOLERANCE = Fraction(1, 20)
"""The share by which a reading may be off where the file says nothing.

Common practice; ISO 6789-1 allows a hand torque tool about as much itself (±4 %, or ±6 %).
"""

CONFIRMED = ("yes", "done", "ok")
"""Words that confirm an angle without a figure."""

ALL = "all"
"""The word for every stage, or every fastener, of a joint."""

_RUN = re.compile(r"([0-9]{1,4}) ?- ?([0-9]{1,4})")


@dataclass(frozen=True)
class RequiredTorque:
    """What a joint asks for.

    Attributes:
        torque: The last torque among its stages, as the wrench is set; None where it is an angle alone.
        prevailing: What of that torque turns the nut and clamps nothing; None: nothing.
        degrees: The angle after that, all stages together; None where there is none.
        tolerance: The share by which a reading may be off.
        tolerance_from: ``file`` or ``default``.
    """

    torque: TorqueQuantity | None
    degrees: Fraction | None
    tolerance: Fraction
    tolerance_from: str
    prevailing: TorqueQuantity | None = None

    @property
    def band(self) -> tuple[Fraction, Fraction] | None:
        """The least and the most that hold, in N·m; None where there is only an angle."""
        if self.torque is None:
            return None
        asked = self.torque.newton_metres
        return asked * (1 - self.tolerance), asked * (1 + self.tolerance)

    @property
    def text(self) -> str:
        """For example ``40 N.m + 90 deg``, ``28 N.m (3 N.m of it prevailing)``."""
        drag = f" ({self.prevailing.text} of it prevailing)" if self.prevailing else ""
        pieces = [f"{self.torque.text}{drag}"] if self.torque else []
        pieces += [f"{float(self.degrees):g} deg"] if self.degrees is not None else []
        return " + ".join(pieces)


@dataclass(frozen=True)
class JudgedReading:
    """A reading and what it is worth.

    Attributes:
        torque: As it was read, with its unit; None where none was given.
        angle: As it was given; None where none was.
        problem: Why it does not close the gate; None when it does.
    """

    asked: RequiredTorque
    torque: TorqueQuantity | None
    angle: str | None
    problem: str | None

    @property
    def too_little(self) -> bool:
        """Less was read than is asked: the fastener has borne nothing that it should not."""
        band = self.asked.band
        return band is not None and self.torque is not None and self.torque.newton_metres < band[0]

    @property
    def closes(self) -> bool:
        """Whether what it covers of the gate is closed by it."""
        return self.problem is None


def stages_of(joint: Joint) -> tuple[Stage, ...]:
    """The stages of a joint's torque, in order; none for a joint without one."""
    return joint.torque.stages if joint.torque else ()


def fasteners_of(joint: Joint) -> tuple[str, ...]:
    """The names of a joint's fasteners, as its picture has them: the maker's labels, else numbers from 1."""
    known = order_of(joint)
    if known is not None and known.pictured:
        return known.tighten
    labels = tuple(dict.fromkeys(joint.torque.order)) if joint.torque else ()
    return labels if len(labels) == joint.count else tuple(str(n + 1) for n in range(joint.count))


def asked_of(joint: Joint, stages: Sequence[int] | None = None) -> RequiredTorque | None:
    """What the joint's torque asks for; None for a joint without one, which is no gate.

    Args:
        joint: The joint.
        stages: What these of its stages ask for, by number from 1; left out, all of them.
    """
    every = stages_of(joint)
    if not every:
        return None
    torque: TorqueQuantity | None = None
    degrees: Fraction | None = None
    for number, stage in enumerate(every, start=1):
        if stages is not None and number not in stages:
            continue
        if isinstance(stage, AngleQuantity):
            degrees = (degrees or Fraction(0)) + stage.degrees
        else:
            torque, degrees = stage, None
    told = joint.tolerance
    return RequiredTorque(
        torque,
        degrees,
        USUAL_TOLERANCE if told is None else told,
        "default" if told is None else "file",
        joint.torque.prevailing if joint.torque and torque else None,
    )


def judge(
    joint: Joint, torque: str | None, angle: str | None = None, stages: Sequence[int] | None = None
) -> JudgedReading:
    """Hold a reading against what the joint asks for, and against the strength of its fastener.

    Args:
        joint: A joint with a torque.
        torque: What the wrench said, with its unit.
        angle: The angle that it was turned on, or ``yes``.
        stages: The stages that it is for, by number from 1; left out, all of them.

    Raises:
        QuantityError: A reading that is no torque or no angle.
        SequencerError: The joint has no torque, so that there is nothing to hold a reading against.
    """
    asked = asked_of(joint, stages)
    if asked is None:
        raise SequencerError(
            f"{joint.path} has no torque in the file ({joint.place})",
            "give it one there, or tick the step without a reading",
        )
    if asked.torque is None and torque and not angle:
        torque, angle = None, torque  # stages that turn by angle alone
    read = parse_torque(torque) if torque else None
    beyond = _beyond_proof(joint, read) if read else None
    problems = filter(None, (_problem(asked, read, angle), beyond))
    return JudgedReading(asked, read, angle, "; ".join(problems) or None)


def _beyond_proof(joint: Joint, read: TorqueQuantity) -> str | None:
    """Why a fastener can't have borne what was read, by the rule that holds its figure in the file."""
    kind = kind_of_joint(joint.kind)
    clamped = without(read, joint.torque.prevailing if joint.torque else None)
    judgement = judge_strength(
        (clamped,) if clamped else (),
        joint.thread,
        joint.property_class,
        friction=joint.friction,
        engaged_in=joint.engaged_in,
        engagement=joint.engagement,
        override=joint.torque.override if joint.torque else None,
        use=kind.use if kind else FASTENER,
    )
    return judgement.message if judgement.is_error else None


def _problem(asked: RequiredTorque, read: TorqueQuantity | None, angle: str | None) -> str | None:
    if asked.torque is not None and asked.band is not None:
        if read is None:
            return f"no torque was read; {asked.text} is asked"
        low, high = asked.band
        if not low <= read.newton_metres <= high:
            word = "below" if read.newton_metres < low else "above"
            share = f"±{float(asked.tolerance * 100):g} %"
            return f"{read.text} is {word} what is asked: {asked.torque.text} {share}"
    if asked.degrees is not None:
        return _angle_problem(asked.degrees, asked.tolerance, angle)
    return None


def _angle_problem(asked: Fraction, tolerance: Fraction, angle: str | None) -> str | None:
    if angle is None:
        return f"the angle is not confirmed; {float(asked):g} deg is asked after the torque"
    if angle.strip().casefold() in CONFIRMED:
        return None
    turned = parse_angle(angle)
    if abs(turned - asked) > asked * tolerance:
        return f"{angle} is not what is asked: {float(asked):g} deg ±{float(tolerance * 100):g} %"
    return None


def picked(text: str, names: Sequence[str], what: str) -> tuple[str, ...]:
    """Those of ``names`` that ``text`` means: ``all``, ``1-4``, ``1,3``, ``top``; in the order of ``names``.

    Raises:
        SequencerError: It means none of them; ``what`` says what they are.
    """
    wanted: set[str] = set()
    for piece in filter(None, re.split(r"[\s,]+", re.sub(r"\s*-\s*", "-", text.strip()))):
        run = _RUN.fullmatch(piece)
        if piece.casefold() == ALL:
            wanted.update(names)
        elif run and piece not in names:
            wanted.update(str(number) for number in range(int(run[1]), int(run[2]) + 1))
        else:
            wanted.add(piece)
    strange = sorted(wanted.difference(names))
    if strange or not wanted:
        there = f"{names[0]} to {names[-1]}" if len(names) > 1 else names[0]
        raise SequencerError(
            f"there is no {what} {strange[0]}" if strange else f"no {what} is named",
            f"they are {there}; say {ALL} for every one of them",
        )
    return tuple(name for name in names if name in wanted)
