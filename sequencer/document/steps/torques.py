"""Torques at a gate: value, stages, order, where the figure comes from; never without a unit."""

from __future__ import annotations

from collections.abc import Sequence

from sequencer.graph.operations import Kind
from sequencer.graph.said import joint_words
from sequencer.machine.model import Joint, Torque
from sequencer.plan.closing.tightening import order_of, passes_of
from sequencer.plan.plan import Gate, Refit
from sequencer.quantities import Stage, TorqueQuantity
from sequencer.torque.fasteners.preload import SuggestedRange
from sequencer.torque.guard.judgement import TorqueVerdict
from sequencer.torque.guard.report import suggestion_words
from sequencer.torque.guard.sealing_joint import TAKE_THE_MAKERS
from sequencer.torque.show import show_both, show_torque
from sequencer.torque.tightening.bolt_order import INWARDS, OUTWARDS, BoltOrder
from sequencer.torque.tightening.passes import LAST_ROUND, Pass
from sequencer.wording import listing

GENERATED = "generated"
"""Stands beside every order and pass that is ours and not the maker's."""

PICTURED = ", as numbered in the picture"


def stage_words(stage: Stage, unit: str | None = None) -> str:
    """One stage as the reader reads it, with the file's own unit beside it."""
    return show_both(stage, unit) if isinstance(stage, TorqueQuantity) else f"turn a further {stage.text}"


def stages_words(joint: Joint, unit: str | None = None) -> str:
    """All stages of a joint's torque in a row, an override beside them; empty without a torque."""
    torque = joint.torque
    if torque is None:
        return ""
    if torque.open:
        return "figure open"
    override = override_words(joint)
    stages = ", then ".join(stage_words(stage, unit) for stage in torque.stages)
    stages += _sum_words(torque)
    return f"{stages} ({override})" if override else stages


def _sum_words(torque: Torque) -> str:
    """What a wrench is set to where nuts drag: the maker's figure and theirs, as the file has them."""
    if torque.prevailing is None:
        return ""
    drag = f"{torque.prevailing.shown_in()} prevailing"
    one = torque.seating[0] if len(torque.seating) == 1 else None
    return f": {one.shown_in()} + {drag}" if isinstance(one, TorqueQuantity) else f": {drag} in each torque"


def drag_words(joint: Joint) -> str:
    """What is read as self-locking nuts run down, before they seat; empty where none drags."""
    drag = joint.torque.prevailing if joint.torque else None
    if drag is None:
        return ""
    asked = f"read the drag as it runs down: where it is not {drag.shown_in()}, say so before the torque"
    return f"{asked}; what runs down by hand no longer locks: renew it (common practice)"


def override_words(joint: Joint) -> str:
    """Why a torque is meant all the same, where the file says so; empty otherwise."""
    if joint.torque is None or not joint.torque.override:
        return ""
    beyond = joint.judgement.verdict is TorqueVerdict.BEYOND_PROOF
    about = "beyond the fastener's proof load, intended" if beyond else "meant so"
    return f"{about}: {joint.torque.override}"


def torque_words(joint: Joint, unit: str | None = None, source_said: str | None = None) -> list[str]:
    """The lines of a gate: the torque first, then order and passes, source and warnings.

    A source that is ``source_said`` elsewhere is left out.
    """
    torque = joint.torque
    if torque is None:
        return []
    if torque.open:
        return open_words(joint, unit)
    lines = [f"{stages_words(joint, unit)}{_all_of(joint, torque)}"]
    lines += [words for words in (order_words(joint), passes_words(joint, unit)) if words]
    if torque.again:
        lines.append(f"due again after the job: {torque.again}")
    if joint.friction:
        lines.append(f"threads: {joint.friction}")
    if torque.source and torque.source != source_said:
        lines.append(f"figure: {torque.source}")
    if any(not isinstance(stage, TorqueQuantity) for stage in torque.stages):
        lines.append("tightened by angle: new fasteners, unless the maker says otherwise (common practice)")
    return lines


def open_words(joint: Joint, unit: str | None = None) -> list[str]:
    """The lines of a gate whose torque nobody has said."""
    lines = ["nobody has said its torque: look it up, or do it up by hand and say so"]
    suggested = joint.judgement.suggested
    if suggested is not None or joint.judgement.sealing:
        lines.append(computed_words(joint, suggested, unit))
    return lines


def gate_words(plan: Refit, gate: Gate, unit: str | None = None, source_said: str | None = None) -> list[str]:
    """The lines of a gate's torque, with what the strength guard says of it under the figure."""
    joint = plan.machine.joint_at(gate.joint)
    figure, *rest = torque_words(joint, unit, source_said)
    return [figure, *([gate.remark] if gate.remark else []), *set_words(plan, joint), *rest]


def set_words(plan: Refit, joint: Joint) -> list[str]:
    """What is torqued as one set with a joint, and what it comes after.

    What the part of another closes off was torqued alone, before that other one was in.
    """
    place = {operation.name: number for number, operation in enumerate(plan.operations)}

    def torqued_before_in(one: Joint, other: Joint) -> bool:
        torque, fasten = Kind.TORQUE.of(one.path), Kind.FASTEN.of(other.path)
        return place[torque] < place.get(fasten, -1)

    joints = [plan.machine.joint_at(gate.joint) for gate in plan.gates]
    set_of = [
        j
        for j in joints
        if joint.face is not None
        and (j.face, j.path != joint.path) == (joint.face, True)
        and not (torqued_before_in(joint, j) or torqued_before_in(j, joint))
    ]
    lines = []
    if set_of:
        others = listing(joint_words(plan.machine, j.part, j.name) for j in set_of)
        lines.append(f"one face with {others}: all in by hand first, then one pattern over all")
    if joint.settle:
        lines.append("only steadies its part: after the others")
    return lines


def _all_of(joint: Joint, torque: Torque) -> str:
    if joint.count == 1:
        return ""
    if len(torque.stages) == 1:
        return f"; each of {joint.count}"
    both = "both" if joint.count == 2 else f"all {joint.count}"
    return f"; {both} at one stage before the next"


def order_words(joint: Joint) -> str:
    """In which order the fasteners of a joint are tightened, and who says so."""
    order = order_of(joint)
    if order is None:
        return f"order: {_row(joint.torque.order)}" if joint.torque and joint.torque.order else ""
    if not order.generated:
        return f"order as the file gives it{PICTURED}" if order.pictured else f"order: {_row(order.tighten)}"
    if order.numbered:
        whose = f"{GENERATED}; the maker's order comes first"
        return f"{OUTWARDS[order.pattern]}{PICTURED} ({whose})"
    rounds = len(passes_of(joint))
    often = f", {rounds} rounds" if rounds > 1 else ""
    return f"{OUTWARDS[order.pattern]}{often} (common practice; the maker's order comes first)"


def loosening_words(order: BoltOrder) -> str:
    """In which order the fasteners of a joint are loosened; always generated, whoever gave the other one."""
    if not order.numbered:
        return f"loosen {INWARDS[order.pattern]} (common practice)"
    whose = f"({GENERATED}: the tightening backwards)"
    if order.pictured and order.tighten[0] == "1":
        return f"loosen from {len(order.loosen)} down to 1{PICTURED} {whose}"
    return f"loosen in the order {_row(order.loosen)} {whose}"


def passes_words(joint: Joint, unit: str | None = None) -> str:
    """The passes that the file's own stages do not say, marked as generated; empty where there are none."""
    passes = passes_of(joint)
    lead_up = [one for one in passes if one.generated and one.name != LAST_ROUND]
    words = []
    if lead_up:
        words.append(f"first {', '.join(_setting(one, unit) for one in lead_up)}")
    if passes and passes[-1].name == LAST_ROUND:
        words.append(f"at the end once more round at {_setting(passes[-1], unit)}")
    return f"passes: {'; '.join(words)} ({GENERATED})" if words else ""


def _setting(one: Pass, unit: str | None) -> str:
    if one.newton_metres is None:
        return one.setting
    if unit in (None, one.unit):
        return one.setting
    if one.torque is not None:
        return show_both(one.torque, unit)
    return f"{show_torque(one.newton_metres, unit)} ({one.setting})"


def computed_words(joint: Joint, suggested: SuggestedRange | None, unit: str | None = None) -> str:
    """The range for a joint of which the file gives no torque, with its mark: it is never a gate."""
    if suggested is None:
        return TAKE_THE_MAKERS
    bolt = f"{joint.thread} {joint.property_class}"
    return f"no torque in the file; {suggestion_words(suggested, unit or 'N.m')} for {bolt}"


def _row(labels: Sequence[str]) -> str:
    return " ".join(str(label) for label in labels)
