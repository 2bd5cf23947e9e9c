"""Torques in words: always with their unit, rounded to what a wrench can be set to."""

from __future__ import annotations

from fractions import Fraction

from sequencer.quantities import TORQUE_UNITS, TorqueQuantity, wrench_round


def decimal(value: Fraction | float) -> str:
    """A number without needless noughts, to six figures at most."""
    return f"{float(value):.6g}"


def show_torque(newton_metres: Fraction | float, unit: str = "N.m") -> str:
    """A computed torque in ``unit``, rounded to what a wrench can be set to."""
    return f"{decimal(wrench_round(Fraction(newton_metres) / TORQUE_UNITS[unit]))} {unit}"


def torque_range(low: Fraction | float, high: Fraction | float, unit: str = "N.m") -> str:
    """From one computed torque to another, the unit once: ``14 to 17.6 N.m``; one where they show alike."""
    least, most = (decimal(wrench_round(Fraction(one) / TORQUE_UNITS[unit])) for one in (low, high))
    return f"{least} {unit}" if least == most else f"{least} to {most} {unit}"


def show_both(torque: TorqueQuantity, unit: str | None = None) -> str:
    """A torque in the unit that is asked for, and beside it as it was written: ``10.06 N.m (89 lbf.in)``.

    Without a unit it is shown as written, and beside it, as a wrench can be set, in N·m (or a pound unit, for
    one in N·m).
    """
    if unit is not None:
        written = torque.shown_in()
        return written if unit == torque.unit else f"{torque.converted(unit)} ({written})"
    other = "N.m" if torque.unit != "N.m" else ("lbf.in" if torque.newton_metres < 20 else "lbf.ft")
    return f"{torque.shown_in()} ({torque.shown_in(other)})"
