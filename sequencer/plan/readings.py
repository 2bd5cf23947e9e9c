"""What closes a torque gate: a reading inside the joint's tolerance, or a reason that stays visible."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from sequencer.errors import SequencerError
from sequencer.machine.model import Joint, Torque
from sequencer.quantities import (
    AngleQuantity,
    TorqueQuantity,
    parse_angle,
    parse_torque,
)

USUAL_TOLERANCE = Fraction(1, 20)
"""The share by which a reading may be off where the file says nothing.

Common practice; ISO 6789-1 allows a hand torque tool about as much itself (±4 %, or ±6 %).
"""

CONFIRMED = ("yes", "done", "ok")
"""Words that confirm an angle without a figure."""


@dataclass(frozen=True)
class Asked:
    """What a joint asks for.

    Attributes:
        torque: The last torque among its stages; None where it is turned by angle alone.
        degrees: The angle after that, all stages together; None where there is none.
        tolerance: The share by which a reading may be off.
        tolerance_from: ``file`` or ``default``.
    """

    torque: TorqueQuantity | None
    degrees: Fraction | None
    tolerance: Fraction
    tolerance_from: str

    @property
    def text(self) -> str:
        """For example ``40 N.m + 90 deg``."""
        pieces = [self.torque.text] if self.torque else []
        pieces += [f"{float(self.degrees):g} deg"] if self.degrees is not None else []
        return " + ".join(pieces)


@dataclass(frozen=True)
class Reading:
    """A reading and what it is worth.

    Attributes:
        torque: As it was read, with its unit; None where none was given.
        angle: As it was given; None where none was.
        problem: Why it does not close the gate; None when it does.
    """

    asked: Asked
    torque: TorqueQuantity | None
    angle: str | None
    problem: str | None

    @property
    def closes(self) -> bool:
        """Whether the gate is closed by it."""
        return self.problem is None


def asked_of(joint: Joint) -> Asked | None:
    """What the joint's torque asks for; None for a joint without one, which is no gate."""
    if joint.torque is None:
        return None
    torque, degrees = _stages(joint.torque)
    told = joint.tolerance
    return Asked(
        torque,
        degrees,
        USUAL_TOLERANCE if told is None else told,
        "default" if told is None else "file",
    )


def _stages(torque: Torque) -> tuple[TorqueQuantity | None, Fraction | None]:
    last: TorqueQuantity | None = None
    degrees: Fraction | None = None
    for stage in torque.stages:
        if isinstance(stage, AngleQuantity):
            degrees = (degrees or Fraction(0)) + stage.degrees
        else:
            last, degrees = stage, None
    return last, degrees


def judge(joint: Joint, torque: str | None, angle: str | None = None) -> Reading:
    """Hold a reading against what the joint asks for.

    Args:
        joint: A joint with a torque.
        torque: What the wrench said, with its unit.
        angle: The angle that it was turned on, or ``yes``.

    Raises:
        QuantityError: A reading that is no torque or no angle.
        SequencerError: The joint has no torque, so that there is nothing to hold a reading against.
    """
    asked = asked_of(joint)
    if asked is None:
        raise SequencerError(
            f"{joint.path} has no torque in the file ({joint.place})",
            "give it one there, or tick the step without a reading",
        )
    read = parse_torque(torque) if torque else None
    return Reading(asked, read, angle, _problem(asked, read, angle))


def _problem(asked: Asked, read: TorqueQuantity | None, angle: str | None) -> str | None:
    if asked.torque is not None:
        if read is None:
            return f"no torque was read; {asked.text} is asked"
        low, high = (asked.torque.newton_metres * (1 + sign * asked.tolerance) for sign in (-1, 1))
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
