"""Torques at a gate: value, stages, order, where the figure comes from; never without a unit."""

from __future__ import annotations

import difflib
from collections.abc import Sequence

from sequencer.errors import SequencerError
from sequencer.machine.model import Joint, Torque
from sequencer.quantities import TORQUE_UNITS, TorqueQuantity, parse_stage, parse_torque
from sequencer.torque.show import show_both


def torque_unit_named(text: str) -> str:
    """The unit that a reader asked for, in its canonical spelling.

    Raises:
        SequencerError: No such unit of torque.
    """
    try:
        return parse_torque(f"1 {text}").unit
    except SequencerError:
        near = difflib.get_close_matches(text, TORQUE_UNITS, n=1)
        raise SequencerError(
            f"--torque-unit {text}: there is no such unit of torque",
            f"did you mean {near[0]}?" if near else f"use one of {', '.join(TORQUE_UNITS)}",
        ) from None


def stage_words(stage: str, unit: str | None = None) -> str:
    """One stage as the reader reads it, with the file's own unit beside it."""
    quantity = parse_stage(stage)
    return show_both(quantity, unit) if isinstance(quantity, TorqueQuantity) else f"turn on by {stage}"


def stages_words(torque: Torque, unit: str | None = None) -> str:
    """All stages in a row."""
    return ", then ".join(stage_words(stage, unit) for stage in torque.stages)


def torque_words(joint: Joint, unit: str | None = None) -> list[str]:
    """The lines of a gate: the torque first, then the order of the bolts, source and warnings."""
    torque = joint.torque
    if torque is None:
        return []
    lines = [f"{stages_words(torque, unit)}{_all_of(joint, torque)}"]
    if order := order_words(joint, torque):
        lines.append(order)
    if joint.friction:
        lines.append(f"threads: {joint.friction}")
    if torque.source:
        lines.append(f"figure: {torque.source}")
    if torque.override:
        lines.append(f"beyond the fastener's proof, meant so: {torque.override}")
    if any(not isinstance(parse_stage(stage), TorqueQuantity) for stage in torque.stages):
        lines.append("tightened by angle: new fasteners, unless the maker says otherwise (common practice)")
    return lines


def _all_of(joint: Joint, torque: Torque) -> str:
    if joint.count == 1:
        return ""
    if len(torque.stages) == 1:
        return f"; each of {joint.count}"
    both = "both" if joint.count == 2 else f"all {joint.count}"
    return f"; {both} at one stage before the next"


def order_words(joint: Joint, torque: Torque) -> str:
    """In which order the fasteners of a joint are tightened, and who says so."""
    if torque.order:
        return f"order: {_row(torque.order)}"
    if joint.count < 3 or not (torque.pattern or joint.at):
        return ""
    from sequencer.torque.order import bolt_order

    order = bolt_order(joint.count, at=joint.at, pattern=torque.pattern)
    counted = _COUNTED[order.pattern] if order.assumed_layout else "numbered as the file lists their places"
    return f"{order.pattern}: {_row(order.tighten)} (worked out, {counted}; the maker's order goes first)"


_COUNTED = {
    "cross": "counted clockwise from the top",
    "spiral": "counted along the upper row, then the lower",
    "line": "counted along the row",
}
"""How the bolts are numbered where a file gives neither labels nor places."""


def _row(labels: Sequence[str]) -> str:
    return " ".join(str(label) for label in labels)
