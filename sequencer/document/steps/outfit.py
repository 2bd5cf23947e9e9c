"""What to have beside the tools: stands, pans, plugs, ties, bags, what protects, what is spread on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from sequencer.document.steps.notes import tie_of
from sequencer.document.words import plural
from sequencer.graph.operations import Kind, Operation
from sequencer.graph.said import fluid_words
from sequencer.job.now.bags import numbered
from sequencer.machine.called import name_of
from sequencer.machine.trade.kinds import kind_of_joint
from sequencer.plan.closing.supplies import renewals
from sequencer.plan.hazards.cautions import hazards_met
from sequencer.plan.plan import Plan, Refit
from sequencer.quantities import Stage, TorqueQuantity
from sequencer.torque.show import torque_range
from sequencer.wording import listing

GASKET = "gasket"
"""The word of a new part that goes on a face which the old one sticks to."""

_OPENED = frozenset({Kind.UNDO, Kind.SLACKEN})


def outfit(plans: Iterable[Plan]) -> tuple[str, ...]:
    """What the ways of a job ask for beside the tools, in words; what several ask for stands once.

    Known from what is done (drains, lines that are opened, parts that are tied up, sealants, faces that are
    cleaned, angles) and from the hazards met, whoever warns of them. Common practice.
    """
    return tuple(dict.fromkeys(words for plan in plans for words in _of(plan)))


def to_buy(plan: Plan) -> str:
    """What has to be bought before these steps are begun; nothing on the way in, which fits nothing new.

    New parts, sealants and fluids, in words; what several steps ask for stands once.
    """
    if not isinstance(plan, Refit):
        return ""
    new = [f"{one.count} × {one.item}" if one.count > 1 else one.item for _, one in renewals(plan)]
    new += [fluid_words(plan.machine, op.subject) for op in plan.operations if op.kind is Kind.FILL]
    return listing(dict.fromkeys((*new, *_sealants(plan))))


def wrench_range(plan: Plan, unit: str | None = None) -> str:
    """The torques of a plan's gates, the least to the greatest; empty where it has none."""
    torques = [stage.newton_metres for stage in _stages(plan) if isinstance(stage, TorqueQuantity)]
    if not torques:
        return ""
    return torque_range(min(torques), max(torques), unit or "N.m")


def _of(plan: Plan) -> Iterator[str]:
    for hazard in hazards_met(plan):
        yield from hazard.have
    for fluid in dict.fromkeys(op.subject for op in plan.operations if op.kind is Kind.DRAIN):
        known = plan.machine.fluids[fluid]
        name = name_of(fluid, known.label)
        litres = f" ({known.volume_litres:g} L or more)" if known.volume_litres else ""
        yield f"pan for {name}{litres}"
    if ends := sum(_ends(plan, operation) for operation in plan.operations):
        yield f"plugs or caps for {plural(ends, 'open end')}"
    if count := sum(tie_of(plan.machine, operation) is not None for operation in plan.operations):
        yield f"ties for {plural(count, 'part')} moved aside"
    if not plan.back and (bags := numbered(plan.machine, [op.name for op in plan.operations])):
        yield plural(len(bags), "bag")
    if isinstance(plan, Refit):
        yield from _for_the_way_back(plan)


def _ends(plan: Plan, operation: Operation) -> int:
    """How many open ends of lines an operation leaves."""
    if operation.kind not in _OPENED or operation.part is None or operation.joint is None:
        return 0
    joint = plan.machine.joint(operation.part, operation.joint)
    kind = kind_of_joint(joint.kind)
    return joint.count if kind is not None and kind.opens_line else 0


def _for_the_way_back(plan: Refit) -> Iterator[str]:
    if any(not isinstance(stage, TorqueQuantity) for stage in _stages(plan)):
        yield "angle gauge"
    sealants = _sealants(plan)
    yield from sealants
    if sealants or any(GASKET in renewal.item.casefold() for _, renewal in renewals(plan)):
        yield "scraper and solvent for the faces"


def _sealants(plan: Refit) -> tuple[str, ...]:
    """The sealants that are put on in these steps."""
    steps = {step.number for step in plan.steps}
    return tuple(dict.fromkeys(hold.label for hold in plan.holds if hold.seal_step in steps))


def _stages(plan: Plan) -> Iterator[Stage]:
    gates = plan.gates if isinstance(plan, Refit) else ()
    joints = (plan.machine.joint_at(gate.joint) for gate in gates)
    return (stage for joint in joints if joint.torque for stage in joint.torque.stages)
