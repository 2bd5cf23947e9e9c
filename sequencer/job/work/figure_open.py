"""Gates whose figure is open: closed by a reading with where its figure is from, or by hand, which is kept.

A figure is open where nobody has said it and a mechanic would ask: ``machine/figures.py``.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sequencer.graph.operations import Kind, Op
from sequencer.job.now.acts import Draft, RefusedError, steps_text
from sequencer.job.now.closing import TypedReading
from sequencer.job.now.gates import gate_faults, gate_joint, gate_of, is_open
from sequencer.job.now.moment import Moment
from sequencer.job.work.figure_words import HAND_TIGHT, Figure
from sequencer.job.work.figures import write_figure
from sequencer.machine.model import Joint
from sequencer.plan.plan import Refit
from sequencer.quantities import parse_torque

BY_HAND, GATES = "by_hand", "gates"
"""Keys of a tick's body: why these gates were closed without a figure."""


def by_hand(moment: Moment, ops: Sequence[str], told: TypedReading) -> Mapping[str, object]:
    """What the tick says of the open figures among ``ops``: done up by hand, and why.

    Raises:
        RefusedError: No figure is open there, or another gate among them wants a reading.
    """
    gates = [op for op in ops if moment.state.turned and is_open(gate_joint(moment, op))]
    if not gates:
        raise RefusedError(
            "no figure is open there, so nothing is left to the hand",
            "a gate with a figure takes a reading; or close it with --anyway and a reason",
            code="gate-open",
        )
    if faults := gate_faults(moment, [op for op in ops if op not in gates], read=False):
        raise RefusedError(stay_open(moment, faults), "one at a time", code="gate-open")
    return {BY_HAND: " ".join((told.source or HAND_TIGHT).split()), GATES: gates}


def stay_open(moment: Moment, faults: Mapping[str, str]) -> str:
    """That gates stay open, each with why."""
    told = (f"{steps_text(moment, [op])}: {why}" for op, why in faults.items())
    return f"the gate stays open: {'; '.join(told)}"


def refuse_open(moment: Moment, ops: Sequence[str], faults: Mapping[str, str]) -> None:
    """Ask for the figures that are open among gates that can't be ticked as they are.

    Raises:
        RefusedError: There are some, and nothing else is wrong.
    """
    gates = [op for op in ops if is_open(gate_joint(moment, op))]
    if not gates or len(gates) < len(faults):
        return
    number = moment.state.number(gates[0])
    raise RefusedError(
        stay_open(moment, faults),
        f"say what it was pulled to: done {number} --torque READING --source 'manual p. 12'; or that it is "
        f"hand tight: done {number} --torque 'by hand'",
        code="figure-open",
        gates=tuple(gates),
    )


def figure_told(draft: Draft, joint: Joint | None, told: TypedReading) -> Joint:
    """What was read at an open figure is the figure, with where it is from: into the file, by its own rules.

    Raises:
        RefusedError: Nothing says where it is from.
        MachineFileError: The strength guard refuses it.
    """
    assert joint is not None
    assert told.file is not None
    if not told.torque:
        raise RefusedError(
            f"nobody has said the torque of {joint.path}",
            "enter the reading with --torque",
            code="gate-open",
        )
    figure = Figure((parse_torque(told.torque),), " ".join((told.source or "").split()))
    if not figure.source:
        raise RefusedError(
            f"nobody had said the torque of {joint.path}, and nothing says where {told.torque} is from",
            "say that too: --source 'manual p. 12', or --source 'from memory'",
            code="no-source",
        )
    sight = write_figure(draft, told.file, [joint], figure)
    return sight.machine.joint(joint.part, joint.name)


def open_figures(moment: Moment) -> tuple[Joint, ...]:
    """The joints that this job has opened whose figure nobody has said; those closed by hand are out."""
    plan = moment.plan
    if isinstance(plan, Refit):
        joints = (gate_joint(moment, gate_of(moment.machine, gate.joint)) for gate in plan.gates)
        return tuple(joint for joint in joints if joint is not None and is_open(joint))
    found: dict[str, Joint] = {}
    for op in moment.state.done:
        joint = _opened(moment, op)
        if joint is not None and is_open(joint):
            found[joint.path] = joint
    return tuple(found.values())


def _opened(moment: Moment, op: Op) -> Joint | None:
    """The joint, or the plug of a drain, that a step of the way in undid or slackened."""
    if op.kind is Kind.DRAIN:
        return gate_joint(moment, Kind.CLOSE.of(op.subject))
    return moment.machine.own_joint(op.subject) if op.kind in (Kind.UNDO, Kind.SLACKEN) else None
