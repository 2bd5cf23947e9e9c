"""Prevailing torque: what a self-locking nut takes to turn before it clamps anything.

The term is that of ISO 2320 (prevailing torque steel nuts; from memory). It adds to the seating torque and
makes no preload: a wrench is set to the sum, and a fastener is judged without it (common practice).
"""

from __future__ import annotations

from collections.abc import Sequence

from sequencer.quantities import Stage, TorqueQuantity, wrench_round


def raised(stages: Sequence[Stage], prevailing: TorqueQuantity | None) -> tuple[Stage, ...]:
    """What a wrench is set to: each torque with ``prevailing`` on top; angles stay as they are."""
    if prevailing is None:
        return tuple(stages)
    return tuple(_sum(one, prevailing) if isinstance(one, TorqueQuantity) else one for one in stages)


def without(read: TorqueQuantity, prevailing: TorqueQuantity | None) -> TorqueQuantity | None:
    """What of a reading has clamped: None where the drag alone is as much."""
    if prevailing is None:
        return read
    left = read.value - prevailing.in_unit(read.unit)
    return TorqueQuantity.of(left, read.unit) if left > 0 else None


def _sum(stage: TorqueQuantity, prevailing: TorqueQuantity) -> TorqueQuantity:
    """The sum, in the unit of the stage; where the units differ, as that wrench can be set."""
    value = stage.value + prevailing.in_unit(stage.unit)
    value = value if stage.unit == prevailing.unit else wrench_round(value)
    return TorqueQuantity.of(value, stage.unit)
