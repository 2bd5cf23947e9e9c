"""The likeliest slip behind an unlikely torque: the right number in the wrong unit, or a decimal point."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from sequencer.quantities import TORQUE_UNITS, TorqueQuantity
from sequencer.torque.preload import REUSABLE_SHARE
from sequencer.torque.show import decimal

COMMON_UNITS = ("N.m", "lbf.in", "lbf.ft", "kgf.cm", "kgf.m")
"""Units that workshop books are written in, and so the ones that get mixed up."""


@dataclass(frozen=True)
class Slip:
    """What was probably meant.

    Attributes:
        meant: The torque in words: ``89 lbf·in``.
        newton_metres: The same in N·m.
        share: Share of proof load that it comes to, at the usual friction.
        unit: The unit was wrong; otherwise the decimal point.
    """

    meant: str
    newton_metres: Fraction
    share: float
    unit: bool


def likeliest_slip(
    written: TorqueQuantity, share_of: Callable[[Fraction], float], usual: tuple[float, float]
) -> Slip | None:
    """The reading of ``written`` that would be usual, if there is one.

    The same number is tried in every other unit, then a tenth and ten times of it in its own. Of several,
    the one nearest three quarters of proof load is the likeliest.

    Args:
        written: The torque as the file has it.
        share_of: Share of proof load for a torque in N·m, at the usual friction.
        usual: Lowest and highest share that counts as usual.
    """
    other_units = [(written.value, unit) for unit in COMMON_UNITS if unit != written.unit]
    moved_point = [(written.value / 10, written.unit), (written.value * 10, written.unit)]
    for readings in (other_units, moved_point):
        slips = []
        for value, unit in readings:
            torque = value * TORQUE_UNITS[unit]
            share = share_of(torque)
            if usual[0] <= share <= usual[1]:
                slips.append(Slip(f"{decimal(value)} {unit}", torque, share, unit != written.unit))
        if slips:
            return min(slips, key=lambda slip: abs(math.log(slip.share / REUSABLE_SHARE)))
    return None
