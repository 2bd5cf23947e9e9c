"""The likeliest slip behind an unlikely torque: the right number in the wrong unit, or a decimal point."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from sequencer.quantities import TORQUE_UNITS, TorqueQuantity
from sequencer.torque.fasteners.preload import REUSABLE_SHARE
from sequencer.torque.show import decimal

COMMON_UNITS = ("N.m", "lbf.in", "lbf.ft", "kgf.cm", "kgf.m")
"""Units that workshop books are written in."""

MIXED_UP: dict[str, tuple[tuple[str, ...], ...]] = {
    "N.m": (("lbf.ft", "lbf.in"),),
    "lbf.ft": (("lbf.in",), ("N.m",)),
    "lbf.in": (("lbf.ft",), ("N.m",)),
    "kgf.m": (("N.m", "kgf.cm"),),
    "kgf.cm": (("N.m", "kgf.m"),),
    "cN.m": (("N.m",),),
    "daN.m": (("N.m",),),
    "ozf.in": (("lbf.in",),),
}
"""For the unit that was written, those that people take for it, the likeliest first (common practice)."""


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

    The same number is tried in the units that people mix up with its own, then in every other unit, then a
    tenth and ten times of it in its own. Of several alike, the one nearest three quarters of proof load is
    the likeliest.

    Args:
        written: The torque as the file has it.
        share_of: Share of proof load for a torque in N·m, at the usual friction.
        usual: Lowest and highest share that counts as usual.
    """
    tiers = (*MIXED_UP[written.unit], COMMON_UNITS)
    other_units = [[(written.value, unit) for unit in tier if unit != written.unit] for tier in tiers]
    moved_point = [(written.value / 10, written.unit), (written.value * 10, written.unit)]
    for readings in (*other_units, moved_point):
        slips = []
        for value, unit in readings:
            torque = value * TORQUE_UNITS[unit]
            share = share_of(torque)
            if usual[0] <= share <= usual[1]:
                slips.append(Slip(f"{decimal(value)} {unit}", torque, share, unit != written.unit))
        if slips:
            return min(slips, key=lambda slip: abs(math.log(slip.share / REUSABLE_SHARE)))
    return None
