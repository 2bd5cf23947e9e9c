"""Plans as JSON: what the format page fixes, and what the other views need beside it."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Annotated, Any, Literal

from sequencer.critic import findings_at
from sequencer.document.plans.critic import oddities
from sequencer.document.steps.not_known import from_type, guessed, unsaid
from sequencer.document.steps.notes import notes, seconds_from, tie_of
from sequencer.document.steps.practice import not_kept_words
from sequencer.document.steps.torques import stages_words
from sequencer.document.words import tool_words
from sequencer.graph.operations import Kind, Operation, bench_lists
from sequencer.graph.said import sentence
from sequencer.machine.called import name_of
from sequencer.machine.model import PLUG, Machine
from sequencer.plan.closing import tightening
from sequencer.plan.closing.sealing import waits_for
from sequencer.plan.closing.supplies import renewals
from sequencer.plan.closing.toolbox import Equipment
from sequencer.plan.evenings.sittings import Evenings
from sequencer.plan.hazards.cautions import Caution, cautions, notice
from sequencer.plan.hazards.hands import hands
from sequencer.plan.order.prefer import Prefer
from sequencer.plan.plan import Plan, Refit, Step, Teardown
from sequencer.plan.practice.rules import RuleName, Why
from sequencer.render.data.about import AboutData, OrderKnownData, PlaceData, TotalsData, about
from sequencer.render.data.plain import FLAT, Record
from sequencer.render.data.plans.critic import OddityData, oddities_data
from sequencer.render.data.plans.either import EitherData, either_data
from sequencer.render.data.plans.gates import ShownGateData, gate_data, joint_of
from sequencer.render.data.plans.replayed import ReplayedData, replayed_data
from sequencer.render.data.plans.sittings import DivisionData, SittingData, division_data, sitting_data
from sequencer.render.data.torques.torque import (
    OrderData,
    ToolboxData,
    TorqueData,
    loosening,
    toolbox_data,
    torque_data,
)
from sequencer.torque.fasteners.preload import SuggestedRange
from sequencer.torque.show import show_torque

if TYPE_CHECKING:
    from sequencer.graph.geometry.replayed import Replayed


class CautionData(Record):
    """A caution at a step."""

    text: str
    source: Annotated[str, "`file`, or who says so: a rule of law, a guide, or `common practice`."]


class FastenerData(Record):
    """The fasteners of a step's joint."""

    fastener: str
    count: int
    head: str | None
    thread: str | None
    torque: TorqueData | None = None


class ComputedData(Record):
    """A torque range for a joint of which the file gives no torque; never shown without its mark."""

    low: str
    high: str
    mark: str


class StepData(Record):
    """One operation in its place in a plan."""

    number: Annotated[int, "Counts from 1 through the whole plan."]
    op: Annotated[str, "The operation, as `undo pulley/bolts`."]
    position: str
    tool: str
    seconds: Annotated[Fraction, "The operation's own time here."]
    seconds_from: Annotated[
        Literal["file", "default", "own pace"],
        "`default`: a usual time of the trade; `own pace`: either, at the pace of the person who plans.",
    ]
    change_seconds: Annotated[Fraction, "The tool change and reach-around before it."]
    says: Annotated[str, "The operation in words."]
    kind: Kind
    part: str | None
    joint: Annotated[str | None, "The name within that part."]
    fasteners: Annotated[FastenerData | None, FLAT] = None
    cautions: Sequence[CautionData]
    notes: Annotated[Sequence[str], "The author's notes, each at the first step that it is about."]
    tie: Annotated[str | None, "Where and how a part that is moved aside is held."] = None
    prepare: Annotated[Sequence[str], "The bench list of a part, at the first step that touches it."]
    unsure: Annotated[Sequence[str], "Keys of it that nobody said anything about: the usual is taken."]
    guessed: Annotated[bool, "Its place in the order in which it came apart was told from memory."]
    from_type: Annotated[bool, "It is as in the type that the file was made from, and nobody confirmed it."]
    place: PlaceData


class WayInStepData(Record):
    """A step of the way in."""

    step: Annotated[StepData, FLAT]
    opens: Annotated[Sequence[str], "Later operations that can be done from here on and could not before."]
    loosening: Annotated[OrderData | None, "Where the order of undoing matters."] = None


class WayBackStepData(Record):
    """A step of the way back."""

    step: Annotated[StepData, FLAT]
    closes_off: Annotated[Sequence[str], "Gates that can't be reached any more after it."]
    computed_range: ComputedData | None = None


class StationData(Record):
    """A run of steps at one position with one tool."""

    number: int
    position: str
    tool: str
    steps: Annotated[Sequence[int], "Their numbers."]
    seconds: Annotated[Fraction, "Getting there and all that is done there."]


class FluidData(Record):
    """A fluid that is drained or filled."""

    label: str
    volume: Annotated[str | None, "As the file has it."]


class RenewData(Record):
    """Something that is not used twice."""

    part: str
    item: str
    count: int
    price: Annotated[Fraction | None, "Of one, in whatever money the author thinks in."]


class HoldData(Record):
    """A wait for a sealant."""

    sealed: Annotated[str, "What was sealed: a part or `part/joint`."]
    label: Annotated[str, "The sealant, in words."]
    after_step: Annotated[int, "The sealant cures from there; 0: it is on already."]
    before_step: Annotated[int | None, "The filling that has to wait; null: the machine must not run before."]
    seconds: Fraction
    seconds_from: str
    waiting_seconds: Annotated[
        Fraction, "How long to wait for it besides, where the work until then takes less; in no total."
    ]


class ShutFillData(Record):
    """A fluid that can't be filled at the end, and why."""

    fluid: str
    reason: str


class NotKeptData(Record):
    """A rule of good practice that the plan can't keep at one part or joint."""

    rule: RuleName
    subject: Annotated[str, "A part or `part/joint`."]
    op: Annotated[str, "The step at which it is told."]
    why: Why
    says: str


class HandsData(Record):
    """The steps at which one pair of hands is not enough, by number."""

    second: Annotated[Sequence[int], "A second pair of hands, or a hoist."]
    hoist: Annotated[Sequence[int], "A hoist, crane or lifting table."]


class BodyData(Record):
    """What a plan comes to, and its words."""

    prefer: Prefer
    notice: Annotated[str, "To be shown at the head of every plan."]
    stations: Sequence[StationData]
    totals: TotalsData
    bound_seconds: Annotated[Fraction, "Proven: no order that honours `prefer` takes less."]
    bound_count: Annotated[int | None, "Proven: no order needs fewer of what `prefer` puts first."]
    proven: Annotated[bool, "The order is the best there is."]
    positions: Annotated[Mapping[str, str], "Their names in words."]
    tools: Annotated[Mapping[str, str], "Those that are used, in words."]
    fluids: Mapping[str, FluidData]
    renew: Sequence[RenewData]
    hands: HandsData
    toolbox: Annotated[ToolboxData | None, "Where one is named."] = None
    not_kept: Annotated[Sequence[NotKeptData] | None, "Of good practice, where it is asked for."] = None
    order_known: Annotated[OrderKnownData | None, "Where some order is kept as it came off; else null."]
    oddities: Annotated[Sequence[OddityData], "What no rule forbids and nobody would do; the worst first."]
    sittings: Annotated[Sequence[SittingData] | None, "Where it is done in sittings."] = None
    division: Annotated[DivisionData | None, "How good these are, and what they cost."] = None


class TeardownData(Record):
    """The way in."""

    about: Annotated[AboutData, FLAT]
    kind: Literal["teardown"]
    steps: Sequence[WayInStepData]
    body: Annotated[BodyData, FLAT]
    either: Annotated[Sequence[EitherData] | None, "Choices that might as well have gone the other way."] = (
        None
    )
    top_to_bottom: Annotated[TotalsData | None, "What the file's own order would cost, where known."] = None
    against_shapes: Annotated[ReplayedData | None, "With --against-shapes."] = None


class RefitData(Record):
    """The way back."""

    about: Annotated[AboutData, FLAT]
    kind: Literal["refit"]
    steps: Sequence[WayBackStepData]
    body: Annotated[BodyData, FLAT]
    gates: Sequence[ShownGateData]
    holds: Sequence[HoldData]
    waiting_seconds: Annotated[Fraction, "The longest of the waits for a cure; in no total."]
    unreachable_fills: Sequence[ShutFillData]
    against_shapes: Annotated[ReplayedData | None, "With --against-shapes."] = None


def teardown_json(
    plan: Teardown,
    kit: Equipment | None = None,
    replayed: Replayed | None = None,
    divided: Evenings[Teardown] | None = None,
) -> dict[str, Any]:
    """A teardown as plain data; where given with what a toolbox lacks, what it runs into, its sittings."""
    data = teardown_data(plan, kit, divided)
    return replace(data, against_shapes=replayed_data(replayed)).plain()


def refit_json(
    plan: Refit,
    unit: str | None = None,
    kit: Equipment | None = None,
    replayed: Replayed | None = None,
    divided: Evenings[Refit] | None = None,
) -> dict[str, Any]:
    """A reassembly as plain data; torques also in ``unit``, with the wrenches of ``kit``, where given."""
    data = refit_data(plan, unit, kit, divided)
    return replace(data, against_shapes=replayed_data(replayed)).plain()


def teardown_data(
    plan: Teardown, kit: Equipment | None = None, divided: Evenings[Teardown] | None = None
) -> TeardownData:
    """A teardown; with ``kit`` also what the toolbox lacks, with ``divided`` also its sittings."""
    orders = {number: loosening(order) for number, order in tightening.loosening(plan).items()}
    steps = [
        WayInStepData(step=data, opens=step.opens, loosening=orders.get(step.number))
        for step, data in _steps(plan, plan.breaks)
    ]
    body, choices = _body(plan, kit, divided), either_data(plan)
    return TeardownData.of(plan, about=about(plan), kind="teardown", steps=steps, body=body, either=choices)


def refit_data(
    plan: Refit,
    unit: str | None = None,
    kit: Equipment | None = None,
    divided: Evenings[Refit] | None = None,
) -> RefitData:
    """A reassembly; torques also in ``unit``, and with the wrenches of ``kit``, where given."""
    ranges = {number: _computed(found) for number, found in tightening.computed_ranges(plan).items() if found}
    holds = [
        HoldData.of(hold, seconds_from=hold.source, waiting_seconds=waits_for(plan, hold))
        for hold in plan.holds
    ]
    steps = [
        WayBackStepData(
            step=data,
            closes_off=[gate.joint for gate in plan.closing_off(step.number)],
            computed_range=ranges.get(step.number),
        )
        for step, data in _steps(plan, plan.breaks)
    ]
    return RefitData(
        about=about(plan),
        kind="refit",
        steps=steps,
        body=_body(plan, kit, divided),
        gates=[
            ShownGateData(gate=gate_data(plan, gate, kit), shown=stages_words(joint_of(plan, gate), unit))
            for gate in plan.gates
        ],
        holds=holds,
        waiting_seconds=max((hold.waiting_seconds for hold in holds), default=Fraction(0)),
        unreachable_fills=[
            ShutFillData(fluid=fluid, reason=str(reason)) for fluid, reason in plan.unreachable_fills
        ],
    )


def _computed(suggested: SuggestedRange) -> ComputedData:
    low, high = show_torque(suggested.low_nm), show_torque(suggested.high_nm)
    return ComputedData(low=low, high=high, mark=suggested.mark)


def _body(plan: Plan, kit: Equipment | None, divided: Evenings[Any] | None) -> BodyData:
    machine = plan.machine
    return BodyData.of(
        plan,
        notice=notice(),
        stations=[
            StationData.of(station, steps=[step.number for step in station.steps])
            for station in plan.stations
        ],
        bound_count=None if plan.prefer is Prefer.TIME else plan.bound_count,
        positions={position.name: position.label for position in machine.positions.values()},
        tools={op.tool: tool_words(machine, op.tool) for op in plan.operations},
        fluids={
            op.subject: FluidData(label=name_of(op.subject, fluid.label), volume=fluid.volume_text)
            for op in plan.operations
            if op.kind in (Kind.DRAIN, Kind.FILL) and (fluid := machine.fluids[op.subject])
        },
        renew=[RenewData.of(renewal, part=part) for part, renewal in renewals(plan)],
        hands=HandsData.of(hands(plan)),
        toolbox=toolbox_data(plan, kit),
        totals=TotalsData.of(
            plan.totals,
            practice_seconds=plan.practice and plan.practice.added and plan.practice.added.seconds,
            range_seconds=(plan.hours.low, plan.hours.high),
            likely_seconds=plan.hours.likely,
            uncertain=plan.hours.doubts,
        ),
        not_kept=_not_kept(plan),
        order_known=plan.order_known and OrderKnownData.of(plan.order_known),
        oddities=oddities_data(oddities(machine, findings_at(plan))),
        sittings=divided and [sitting_data(plan, one.number, one) for one in divided.sittings],
        division=divided and division_data(divided),
    )


def _not_kept(plan: Plan) -> list[NotKeptData] | None:
    if plan.practice is None:
        return None
    return [
        NotKeptData.of(rule, rule=rule.name, op=rule.at, says=not_kept_words(plan, rule))
        for rule in plan.practice.dropped
    ]


def _steps(plan: Plan, sittings: Container[int]) -> Iterable[tuple[Step, StepData]]:
    at, said = cautions(plan, sittings=sittings), notes(plan)
    listed = bench_lists(plan.machine, plan.in_all)
    for step in plan.steps:
        prepare = listed.get(step.operation.name, ())
        yield step, _step(plan, step, at.get(step.number, ()), said.get(step.number, ()), prepare)


def _step(
    plan: Plan, step: Step, warned: Sequence[Caution], said: Sequence[str], prepare: Sequence[str]
) -> StepData:
    machine, operation = plan.machine, step.operation
    return StepData.of(
        operation,
        number=step.number,
        op=operation.name,
        seconds=step.seconds,
        seconds_from=seconds_from(machine, operation),
        change_seconds=step.change_seconds,
        says=sentence(machine, operation),
        fasteners=_fasteners(machine, operation),
        cautions=warned,
        notes=said,
        tie=tie_of(machine, operation),
        prepare=prepare,
        unsure=unsaid(plan, operation),
        guessed=guessed(plan, operation),
        from_type=from_type(plan, operation),
    )


def _fasteners(machine: Machine, operation: Operation) -> FastenerData | None:
    if operation.kind is Kind.CLOSE:
        joint = machine.joint(operation.subject, PLUG)
    elif operation.part is not None and operation.joint is not None:
        joint = machine.joint(operation.part, operation.joint)
    else:
        return None
    torque = torque_data(joint) if operation.kind in (Kind.TORQUE, Kind.CLOSE) else None
    return FastenerData.of(joint, fastener=joint.kind, torque=torque)
