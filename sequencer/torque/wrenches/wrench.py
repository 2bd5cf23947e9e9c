"""Torque wrenches: which one serves a torque, what to set it to, and whether it is due for calibration.

Torques are in N·m and lengths in mm inside; a setting is also given on the scale that is on the wrench.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from sequencer.quantities import TORQUE_UNITS, TorqueQuantity, wrench_round
from sequencer.torque.fastener_error import FastenerError
from sequencer.torque.show import decimal, show_torque

LOWEST_SHARE = Fraction(1, 5)
"""A wrench is used from this share of its full scale up (ISO 6789: the lowest test point is 20 %)."""

CALIBRATION_MONTHS = 12
CALIBRATION_CYCLES = 5000
"""Calibration interval of ISO 6789: 12 months or 5000 cycles, whichever comes first."""


@dataclass(frozen=True)
class Wrench:
    """A torque wrench as its owner wrote it down.

    Attributes:
        name: What the owner calls it.
        low: Lowest mark of its scale.
        high: Full scale; its unit is the unit of the scale.
        drive: Square drive as written (``1/2 in``); empty where nobody said.
        graduation: Step of the scale, in the scale's unit; ``None`` where nobody said.
        accuracy: Largest error as a share of the setting, where the owner wrote one.
        length_mm: From the middle of the grip to the middle of the square drive.
        calibrated: Day of the last calibration.
        cycles: Clicks since then.
    """

    name: str
    low: TorqueQuantity
    high: TorqueQuantity
    drive: str = ""
    graduation: Fraction | None = None
    accuracy: Fraction | None = None
    length_mm: Fraction | None = None
    calibrated: date | None = None
    cycles: int | None = None

    @property
    def unit(self) -> str:
        """The unit on the scale."""
        return self.high.unit

    @property
    def usable_from_nm(self) -> Fraction:
        """Lowest torque it is used for, in N·m: 20 % of full scale, or its lowest mark if that is higher."""
        return max(self.low.newton_metres, LOWEST_SHARE * self.high.newton_metres)

    def error_at(self, newton_metres: Fraction) -> Fraction:
        """Largest error as a share of a setting in N·m.

        Where the owner gave none, ISO 6789 for setting tools (type II, class A): 4 % above 10 N·m,
        6 % up to it.
        """
        if self.accuracy is not None:
            return self.accuracy
        return Fraction(4, 100) if newton_metres > 10 else Fraction(6, 100)


@dataclass(frozen=True)
class Adapter:
    """What lies between wrench and fastener, a crowfoot for one.

    Attributes:
        length_mm: From the middle of the square drive to the middle of the fastener.
        degrees: Angle to the wrench: 0 lies along it and makes it longer, 90 across, 180 back to the grip.

    Raises:
        FastenerError: An angle of more than a full turn, or none at all.
    """

    length_mm: Fraction
    degrees: float = 0.0

    def __post_init__(self) -> None:
        if not -360 <= self.degrees <= 360:  # NaN fails this as well
            raise FastenerError(
                f"{self.degrees:g} is no angle of an adapter", "write 0 along, 90 across, 180 back"
            )


def adapter_setting(torque: Fraction, wrench_mm: Fraction, adapter: Adapter) -> Fraction:
    """What to set a wrench to so that the fastener gets ``torque``; any unit, the answer is in the same.

    Setting = torque · L / (L + E·cos θ), with L the wrench's length, E the adapter's and θ its angle
    (navy and aviation maintenance training texts; engineersedge.com torque_wrench_2). Across (90°) the
    setting stays. Holds for a hand in the middle of the grip. A straight socket extension changes nothing.

    Raises:
        FastenerError: The adapter reaches back as far as the grip.
    """
    reach = wrench_mm + adapter.length_mm * _cosine(adapter.degrees)
    if reach <= 0:
        raise FastenerError(
            "the adapter reaches back past the middle of the grip", "turn it, or take a longer wrench"
        )
    return torque * wrench_mm / reach


def _cosine(degrees: float) -> Fraction:
    """Cosine, exact at the quarter turns and to 1e-9 elsewhere."""
    return Fraction(round(math.cos(math.radians(degrees)), 9)).limit_denominator(10**9)


@dataclass(frozen=True)
class Calibration:
    """Whether a wrench is due; ``overdue`` is ``None`` where nobody wrote down the last time."""

    overdue: bool | None
    message: str


def calibration(wrench: Wrench, today: date) -> Calibration:
    """How the wrench's calibration stands on a day (ISO 6789: 12 months or 5000 cycles)."""
    if wrench.cycles is not None and wrench.cycles >= CALIBRATION_CYCLES:
        return Calibration(
            True, f"{wrench.name} is due for calibration: {wrench.cycles} clicks since the last one, of 5000"
        )
    if wrench.calibrated is None:
        return Calibration(None, f"nobody wrote down when {wrench.name} was last calibrated")
    if wrench.calibrated > today:
        return Calibration(
            None, f"{wrench.name} is said to have been calibrated on {wrench.calibrated}, a day to come"
        )
    months = _months(wrench.calibrated, today)
    if months >= CALIBRATION_MONTHS:
        return Calibration(
            True,
            f"{wrench.name} is due for calibration: last done on {wrench.calibrated}, {months} months ago",
        )
    return Calibration(False, f"{wrench.name} was calibrated on {wrench.calibrated}")


def _months(since: date, today: date) -> int:
    """Whole months from one day to another."""
    return (today.year - since.year) * 12 + today.month - since.month - (today.day < since.day)


@dataclass(frozen=True)
class Setting:
    """A wrench, and what to set it to.

    Attributes:
        wrench: The wrench.
        scale_value: The setting on its scale, a whole number of its graduations.
        scale_text: The same with the unit.
        torque_nm: What the fastener then gets, in N·m, the adapter allowed for.
        off_by: How far that is from what was asked, as a share, through the steps of the scale alone.
        error: Largest error of the wrench itself, as a share.
        adapter: What lies between, if anything.
        cautions: What to know before using it: calibration, graduation, length.
    """

    wrench: Wrench
    scale_value: Fraction
    scale_text: str
    torque_nm: Fraction
    off_by: Fraction
    error: Fraction
    adapter: Adapter | None
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class WrenchChoice:
    """The answer for one torque: a setting, or why no wrench serves, with the nearest one."""

    setting: Setting | None
    message: str

    @property
    def served(self) -> bool:
        """Whether an owned wrench serves."""
        return self.setting is not None


def wrench_setting(
    wrench: Wrench, newton_metres: Fraction, today: date, adapter: Adapter | None = None
) -> Setting | str:
    """What to set ``wrench`` to for a torque in N·m, or why it can't serve."""
    asked = newton_metres
    if adapter is not None and _cosine(adapter.degrees) != 0:
        if wrench.length_mm is None:
            return f"{wrench.name} has no length, which an adapter needs: measure from grip to square drive"
        try:
            asked = adapter_setting(newton_metres, wrench.length_mm, adapter)
        except FastenerError as fault:
            return f"{wrench.name}: {fault.problem}"
    if not wrench.usable_from_nm <= asked <= wrench.high.newton_metres:
        return _out_of_scale(wrench, asked)
    value = _on_scale(wrench, asked)
    got = value * TORQUE_UNITS[wrench.unit] * newton_metres / asked
    state = calibration(wrench, today)
    cautions = [state.message] if state.overdue is not False else []
    off_by = abs(got - newton_metres) / newton_metres
    if off_by > wrench.error_at(asked):
        cautions.append(
            f"the nearest mark of {wrench.name} gives {show_torque(got, wrench.unit)} "
            f"for {show_torque(newton_metres, wrench.unit)}: {float(off_by):.0%} off"
        )
    if wrench.graduation is None:
        cautions.append(f"the toolbox does not say how the scale of {wrench.name} is divided")
    return Setting(
        wrench,
        value,
        f"{decimal(value)} {wrench.unit}",
        got,
        off_by,
        wrench.error_at(asked),
        adapter,
        tuple(cautions),
    )


def _on_scale(wrench: Wrench, newton_metres: Fraction) -> Fraction:
    """The mark nearest a torque in N·m, in the scale's unit; without a graduation, as most wrenches have."""
    value = newton_metres / TORQUE_UNITS[wrench.unit]
    step = wrench.graduation
    nearest = wrench_round(value) if step is None else round(value / step) * step
    return min(max(nearest, wrench.low.newton_metres / TORQUE_UNITS[wrench.unit]), wrench.high.value)


def choose_wrench(
    wrenches: Sequence[Wrench],
    newton_metres: Fraction,
    today: date,
    *,
    adapter: Adapter | None = None,
    drives: Sequence[str] | None = None,
) -> WrenchChoice:
    """The wrench for a torque in N·m: inside 20 to 100 % of its scale.

    Of several, one that is not overdue, then one whose drive is among ``drives`` (those that the socket
    is owned in), then the most accurate at that torque, then the one whose scale is used highest up.
    """
    served: list[Setting] = []
    refused: list[str] = []
    for wrench in wrenches:
        answer = wrench_setting(wrench, newton_metres, today, adapter)
        if isinstance(answer, str):
            refused.append(answer)
        else:
            served.append(answer)
    if not served:
        return WrenchChoice(None, "; ".join(refused) or "there is no torque wrench in the toolbox")

    def rank(setting: Setting) -> tuple[bool, bool, Fraction, Fraction, str]:
        wrench = setting.wrench
        overdue = calibration(wrench, today).overdue is True
        no_socket = drives is not None and wrench.drive not in drives
        return (overdue, no_socket, setting.error + setting.off_by, wrench.high.newton_metres, wrench.name)

    best = min(served, key=rank)
    return WrenchChoice(best, f"{best.wrench.name}, set to {best.scale_text}")


def _out_of_scale(wrench: Wrench, newton_metres: Fraction) -> str:
    low = decimal(wrench_round(wrench.usable_from_nm / TORQUE_UNITS[wrench.unit]))
    side = "above" if newton_metres > wrench.high.newton_metres else "below"
    asked = show_torque(newton_metres, wrench.unit)
    return f"{asked} is {side} the {low} to {wrench.high.shown_in()} that {wrench.name} is good for"
