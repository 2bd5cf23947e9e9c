"""Stages of a tightening that can't be meant, and those that are odd, whatever the fastener is.

The limits are common practice: bolts that are turned on by angle are turned by 30 to 180 degrees a stage, the
longest by three quarters of a turn.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from sequencer.quantities import AngleQuantity, Stage, TorqueQuantity
from sequencer.torque.show import decimal

MOST_DEGREES = 360
"""Nobody turns a fastener on by more in one stage."""

ODD_DEGREES = 270
"""More than this in one stage is odd."""

MOST_GROWTH = 3
"""After an angle the torque is at its height: a later one of so many times the one before is a slip."""


@dataclass(frozen=True)
class StageFault:
    """What is wrong with the stages.

    Attributes:
        impossible: It can't be meant; otherwise it is odd, and some makers do print it.
    """

    problem: str
    remedy: str
    impossible: bool = False


def stage_faults(stages: Sequence[Stage], *, seals: bool = False) -> tuple[StageFault, ...]:
    """What is wrong with the stages; on a joint that ``seals`` an angle alone is usual: 3/4 turn by hand."""
    found = [fault for stage in stages for fault in _of_angle(stage)]
    if stages and isinstance(stages[0], AngleQuantity) and not (seals and len(stages) == 1):
        found.append(
            StageFault(
                f"{stages[0].text} comes first, with no torque before it",
                "write the snug torque before it, if the maker gives one",
            )
        )
    return (*found, *_of_order(stages))


def _of_angle(stage: Stage) -> Iterator[StageFault]:
    if not isinstance(stage, AngleQuantity) or stage.degrees <= ODD_DEGREES:
        return
    turns = f"{decimal(stage.degrees / 360)} turns"
    if stage.degrees > MOST_DEGREES:
        yield StageFault(
            f"{stage.text} is {turns} in one stage, which no fastener is turned on by",
            "check the figure and its unit: 90 deg is a quarter turn",
            impossible=True,
        )
    else:
        yield StageFault(
            f"{stage.text} is {turns} in one stage, which is much", "check it against the maker's figure"
        )


def _of_order(stages: Sequence[Stage]) -> Iterator[StageFault]:
    """Torques that fall from one stage to the next, or that come after an angle."""
    before: TorqueQuantity | None = None
    highest, turned = Fraction(0), False
    for stage in stages:
        if isinstance(stage, AngleQuantity):
            turned = True
            continue
        after = "check the order of the stages against the maker's figure"
        if turned and before is not None and stage.newton_metres >= MOST_GROWTH * highest:
            times = decimal(round(stage.newton_metres / highest, 1))
            yield StageFault(
                f"{stage.text} after an angle is {times} times the torque before it", after, impossible=True
            )
        elif turned:
            yield StageFault(f"{stage.text} comes after an angle", after)
        elif before is not None and stage.newton_metres < before.newton_metres:
            yield StageFault(f"the stages fall, from {before.text} to {stage.text}", after)
        before, highest = stage, max(highest, stage.newton_metres)
