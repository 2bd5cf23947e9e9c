"""In how many passes a joint is tightened: snug, part, full, a last pass round; or the maker's stages."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from sequencer.quantities import AngleQuantity, Stage, TorqueQuantity
from sequencer.torque.show import decimal, show_torque
from sequencer.torque.tightening.bolt_order import LOOSENED_IN_ORDER, BoltOrder

PARTS = (Fraction(3, 10), Fraction(6, 10))
"""Part torques before the full one: 30 and 60 % (henniggasket.com how-to-bolt-flanges; hswhite.com)."""

SNUG = "snug"
"""The pass before the first torque, by hand."""

LAST_ROUND = "last round"
"""The pass after the last torque: each bolt slackens its neighbours."""

FEWEST = 4
"""Joints of fewer bolts are tightened in one pass. Common practice."""


@dataclass(frozen=True)
class Pass:
    """One time round the bolts of a joint.

    Attributes:
        name: ``snug``, ``part``, ``full``, ``last round``; ``stage 1`` … and ``angle`` for the maker's own.
        setting: What to do, with its unit: ``by hand``, ``15 N.m``, ``90 deg``.
        newton_metres: The torque; ``None`` for a pass by hand or by angle.
        degrees: The angle; ``None`` for a pass by torque.
        order: The bolts in order.
        generated: The pass is ours, not the maker's.
        torque: The maker's figure, where the pass has it; None for a part of it, which is ours.
        unit: Of the torque in ``setting``; empty for a pass by hand or by angle.
    """

    name: str
    setting: str
    newton_metres: Fraction | None
    degrees: Fraction | None
    order: tuple[str, ...]
    generated: bool
    torque: TorqueQuantity | None = None
    unit: str = ""


def tightening_passes(
    stages: Sequence[Stage], order: BoltOrder, prevailing: TorqueQuantity | None = None
) -> tuple[Pass, ...]:
    """The passes for a joint that is tightened in ``stages``.

    Several stages are the maker's and kept as they are. A single torque on four bolts or more is led up
    to: snug by hand, from six bolts on 30 and 60 % too, then full. After torques comes a last pass round at
    the full torque, bolt by bolt, since each bolt slackens its neighbours; never after an angle. What of the
    torques is ``prevailing`` is in every part of them.
    """
    if len(stages) == 1 and isinstance(stages[0], TorqueQuantity):
        passes = _led_up_to(stages[0], order, prevailing.newton_metres if prevailing else Fraction(0))
    else:
        passes = [_stage(number, stage, order.tighten) for number, stage in enumerate(stages, start=1)]
    last = stages[-1] if stages else None
    if isinstance(last, TorqueQuantity) and len(order.labels) >= FEWEST:
        setting = last.shown_in()
        passes.append(
            Pass(LAST_ROUND, setting, last.newton_metres, None, _round(order), True, last, last.unit)
        )
    return tuple(passes)


def _led_up_to(full: TorqueQuantity, order: BoltOrder, drag: Fraction) -> list[Pass]:
    passes = []
    if len(order.labels) >= FEWEST:
        passes.append(Pass(SNUG, "by hand, all seated", None, None, order.tighten, generated=True))
    for share in PARTS if len(order.labels) >= LOOSENED_IN_ORDER else ():
        part = drag + share * (full.newton_metres - drag)
        setting = show_torque(part, full.unit)
        passes.append(Pass("part", setting, part, None, order.tighten, True, unit=full.unit))
    setting = full.shown_in()
    return [*passes, Pass("full", setting, full.newton_metres, None, order.tighten, False, full, full.unit)]


def _stage(number: int, stage: Stage, order: tuple[str, ...]) -> Pass:
    if isinstance(stage, AngleQuantity):
        return Pass("angle", f"{decimal(stage.degrees)} deg", None, stage.degrees, order, generated=False)
    setting = stage.shown_in()
    return Pass(f"stage {number}", setting, stage.newton_metres, None, order, False, stage, stage.unit)


def _round(order: BoltOrder) -> tuple[str, ...]:
    """The last pass: round the circle bolt by bolt, otherwise in tightening order again."""
    return order.labels if order.pattern == "cross" else order.tighten
