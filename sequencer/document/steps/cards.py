"""Stations and steps in words, before any medium: terminal, sheet and page lay out the same cards."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from sequencer.document.clean import clean
from sequencer.document.steps.last_look import last_look
from sequencer.document.steps.more_hands import hands_at
from sequencer.document.steps.not_known import unsure_lines
from sequencer.document.steps.notes import notes, tie_of, usual
from sequencer.document.steps.practice import not_kept
from sequencer.document.steps.purpose import closings, purposes
from sequencer.document.steps.toolbox import wrench_words
from sequencer.document.steps.torques import computed_words, drag_words, gate_words, loosening_words
from sequencer.document.words import duration, fastening, tool_words
from sequencer.graph.operations import Kind, Operation, bench_lists
from sequencer.graph.said import part_words, path_words, sentence, subject_words
from sequencer.graph.torque_waits import awaited
from sequencer.machine.model import Joint, Machine, Renewal
from sequencer.plan.closing.beads import late_torques, torques_at_once
from sequencer.plan.closing.sealing import waits_for
from sequencer.plan.closing.supplies import renewed
from sequencer.plan.closing.tightening import computed_ranges, loosening, order_of
from sequencer.plan.hazards.cautions import cautions
from sequencer.plan.hazards.lifting import Lift, lift_words, lifts
from sequencer.plan.plan import Gate, Hold, Plan, Refit, Station, Step, Teardown
from sequencer.torque.tightening.picture_text import order_lines
from sequencer.wording import listing

if TYPE_CHECKING:
    from sequencer.plan.closing.toolbox import Equipment

WAYS = {False: "A", True: "B"}
"""The letter of a way in the codes of its stations: apart, and back."""

NAMED = 2
"""So many of the things that are worked on at a station are named, and one more if that is all."""

USUAL = "~"
"""Stands before a standard time of the trade, where the file has none."""


@dataclass(frozen=True)
class StepCard:
    """One step in words; every text is on one line and holds nothing that a terminal would obey.

    Attributes:
        number: The step's number in its plan.
        operation: The name of its operation, as in the plan's JSON.
        words: What is done, to what.
        details: Count and size of fasteners, weight, what it holds against; empty where there is nothing.
        cautions: What can hurt someone or break something; they go before the step.
        notes: The author's notes; they go before the first touch, as ``look`` does.
        look: The last look before a heavy part is lifted; empty elsewhere.
        lines: What belongs to the step: order of loosening, ties, new parts, sealants, computed ranges,
            what is not as good practice has it, what nobody said.
        purpose: What a part is moved for, and on the way back what it closes off; empty for all else.
        gate: The lines of a torque gate, the torque itself first; empty where the step is none.
        closes: What can no longer be tightened after this step, said before it; empty where nothing is
            closed off.
        opens: That from this step on the machine can't be left for a while; empty elsewhere, and in a plan.
        waits: What other people have to have done before it; ``tells`` what they are told after it.
        prepare: The bench list of the part that it is the first to touch, ticked before it is.
        picture: Its fasteners by their numbers in the tightening order, in lines of signs; empty where
            nothing tells where they sit, or no order matters.
    """

    number: int
    operation: str
    words: str
    details: str
    cautions: tuple[str, ...] = ()
    lines: tuple[str, ...] = ()
    purpose: str = ""
    notes: tuple[str, ...] = ()
    gate: tuple[str, ...] = ()
    closes: str = ""
    look: str = ""
    opens: str = ""
    waits: tuple[str, ...] = ()
    tells: tuple[str, ...] = ()
    prepare: tuple[str, ...] = ()
    picture: tuple[str, ...] = ()


@dataclass(frozen=True)
class StationCard:
    """Where to stand, what to hold, how long it takes with the way there, and what is done.

    Attributes:
        about: What is worked on there, in a few words; see `worked_on`.
        clock: When it begins, where several people work by the clock.
        way: ``A`` on the way in (apart), ``B`` on the way back; empty where its numbers are not the plan's.
    """

    number: int
    where: str
    tool: str
    time: str
    seconds: Fraction
    steps: tuple[StepCard, ...]
    about: str = ""
    clock: str = ""
    way: str = ""
    before: int = 0

    @property
    def code(self) -> str:
        """What terminal, page, sheet and diagram call it; see `station_code`."""
        return f"{self.way}{self.steps[-1].number - self.before}" if self.way else ""


def teardown_cards(plan: Teardown) -> list[StationCard]:
    """The stations of the way in; cautions are said again from its breaks on."""
    return _stations(plan, _on_the_way_in(plan))


def refit_cards(plan: Refit, unit: str | None = None, kit: Equipment | None = None) -> list[StationCard]:
    """The stations of the way back; torques also in ``unit``, and with the wrenches of ``kit``, if given.

    Cautions are said again from its breaks on.
    """
    return _stations(plan, _on_the_way_back(plan, unit, kit))


def _stations(plan: Plan, steps: Mapping[int, StepCard]) -> list[StationCard]:
    return [
        StationCard(
            station.number,
            clean(plan.machine.positions[station.position].label),
            clean(tool_words(plan.machine, station.tool)),
            station_time(plan, station),
            station.seconds,
            tuple(steps[step.number] for step in station.steps),
            worked_on(plan.machine, (step.operation for step in station.steps)),
            way=WAYS[plan.back],
            before=_before(plan),
        )
        for station in plan.stations
    ]


def worked_on(machine: Machine, operations: Iterable[Operation]) -> str:
    """What a station is about: ``Drive belt, Pump pulley and 2 more``."""
    things = dict.fromkeys(
        clean(part_words(machine, op.part) if op.part else subject_words(machine, op, volume=False))
        for op in operations
    )
    return listing(things, NAMED)


def station_code(plan: Plan, station: Station) -> str:
    """What every surface calls a station: ``A19`` is done when step 19 of the way in is.

    The last step keeps its number for as long as a job goes by its order, however much of it
    is ticked. In a job the numbers of the way back go on from those of the way in; they are
    taken off again, so that a sheet printed before the job began has the same codes.
    """
    return f"{WAYS[plan.back]}{station.steps[-1].number - _before(plan)}"


def _before(plan: Plan) -> int:
    return plan.numbered_after if isinstance(plan, Refit) else 0


def station_time(plan: Plan, station: Station) -> str:
    """How long a station takes; marked where that is a standard time; empty where it only asks."""
    if not station.seconds:
        return ""
    return f"{USUAL if usual(plan, station.steps) else ''}{duration(station.seconds)}"


def _on_the_way_in(plan: Teardown) -> dict[int, StepCard]:
    ordered = loosening(plan)
    again = {step.operation.subject: step.number for step in plan.steps if step.operation.again}

    def lines(step: Step) -> Iterator[str]:
        if step.number in ordered:
            yield loosening_words(ordered[step.number])
        if tie := tie_of(plan.machine, step.operation):
            yield f"tie it: {tie}"
        if step.operation.kind is Kind.DRAIN and again.get(step.operation.subject, 0) > step.number:
            yield f"leave it open: it is drained once more at step {again[step.operation.subject]}"

    return {
        step.number: replace(
            card, picture=order_lines(ordered[step.number]) if step.number in ordered else ()
        )
        for step, card in _either_way(plan, purposes(plan), lines)
    }


def _on_the_way_back(plan: Refit, unit: str | None, kit: Equipment | None) -> dict[int, StepCard]:
    computed, listed = computed_ranges(plan), bench_lists(plan.machine, plan.in_all)
    gates = {gate.step: gate for gate in plan.gates}
    torqued = {gate.joint: gate.step for gate in plan.gates}
    new = {one.operation.name: one.items for one in renewed(plan)}

    def lines(step: Step) -> Iterator[str]:
        yield from _beside(step, new.get(step.operation.name, ()), torqued)
        if step.operation.kind is Kind.FASTEN and (drag := drag_words(joint_of(plan, step))):
            yield drag
        yield from _sealing(plan, step)
        if step.number in computed:
            yield computed_words(joint_of(plan, step), computed[step.number], unit)

    return {
        step.number: replace(
            card,
            gate=_cleaned(gate_lines(plan, gates[step.number], unit, kit) if step.number in gates else ()),
            closes=clean(_closed(plan, step)),
            prepare=_cleaned(listed.get(step.operation.name, ())),
            picture=_pictured(plan, gates.get(step.number)),
        )
        for step, card in _either_way(plan, closings(plan), lines)
    }


def _either_way(
    plan: Plan, purpose: Mapping[int, str], lines: Callable[[Step], Iterator[str]]
) -> Iterator[tuple[Step, StepCard]]:
    """What is said of each step on either way; ``lines`` are those of this way alone."""
    warned, noted, lifted = cautions(plan, sittings=plan.breaks), notes(plan), lifts(plan)
    helped, unkept, unsure = hands_at(plan), not_kept(plan), unsure_lines(plan)
    for step in plan.steps:
        number, lift = step.number, lifted.get(step.number)
        said = (one for lines_of in (helped, unkept, unsure) for one in lines_of.get(number, ()))
        yield (
            step,
            StepCard(
                number,
                step.operation.name,
                clean(sentence(plan.machine, step.operation)),
                clean(step_details(plan, step, lift)),
                _cleaned(caution.text for caution in warned.get(number, ())),
                _cleaned((*lines(step), *said)),
                clean(purpose.get(number, "")),
                _cleaned(noted.get(number, ())),
                look=clean(last_look(plan, step, lift)) if isinstance(plan, Teardown) else "",
            ),
        )


def _pictured(plan: Refit, gate: Gate | None) -> tuple[str, ...]:
    order = order_of(plan.machine.joint_at(gate.joint)) if gate else None
    return order_lines(order) if order else ()


def _cleaned(texts: Iterable[str]) -> tuple[str, ...]:
    return tuple(clean(text) for text in texts)


def step_details(plan: Plan, step: Step, lift: Lift | None) -> str:
    """Count and size of the fasteners, the weight of what is carried, what it holds against."""
    operation = step.operation
    if operation.kind is Kind.CLOSE:
        plug = plan.machine.fluids[operation.subject].plug
        return fastening(plug) if plug else ""
    if operation.part is None:
        return ""
    part = plan.machine.parts[operation.part]
    if operation.joint is None:
        return lift_words(plan.machine, lift) if lift else f"{part.weight_kg:g} kg" if part.weight_kg else ""
    joint = part.joints[operation.joint]
    details = [fastening(joint)]
    if operation.kind is Kind.CRACK and joint.crack:
        holding = [part_words(plan.machine, name) for name in joint.crack.while_parts]
        details.append(f"while {listing(holding)} {'hold' if len(holding) > 1 else 'holds'} it")
    return ", ".join(detail for detail in details if detail)


def _beside(step: Step, new: Sequence[Renewal], torqued: Mapping[str, int]) -> Iterator[str]:
    """What belongs to a step besides its words: new parts to fit, and that the torque comes later."""
    operation = step.operation
    if new:
        items = (f"{item.count} × {item.item}" if item.count > 1 else item.item for item in new)
        yield f"new: {listing(items)}"
    if operation.kind in (Kind.FASTEN, Kind.TIGHTEN) and operation.subject in torqued:
        yield f"snug; torque: step {torqued[operation.subject]}"


def _sealing(plan: Refit, step: Step) -> Iterator[str]:
    """How long there is after a sealant went on, and from where on it cures."""
    for hold in plan.holds:
        if step.operation.kind is Kind.SEAL and step.operation.subject == hold.sealed:
            straight_on = max(hold.after_step, *torques_at_once(plan, hold), 0)
            yield f"{hold.label}: go straight on to step {straight_on}"
            for gate, seconds in late_torques(plan, hold) if plan.practice else ():
                late = f"{path_words(plan.machine, gate.joint)} gets its torque {duration(seconds)} later"
                yield f"{late}, at step {gate.step}"
        if step.number == hold.after_step:
            yield f"{hold.label} cures from here: {wait_words(hold)}"


def wait_words(hold: Hold) -> str:
    """How long a sealant cures, and what has to wait for it."""
    mark = USUAL if hold.source == "default" else ""
    end = f"before step {hold.before_step}" if hold.before_step else "before the machine runs"
    return f"{mark}{duration(hold.seconds)} {end}"


def cure_words(plan: Refit) -> tuple[str, ...]:
    """What has to cure, each once, and how much of that is waiting: it is in no total.

    Where beads wait differently, each says what it is on.
    """
    told = {hold: f"{wait_words(hold)}; {_meanwhile(plan, hold)}" for hold in plan.holds}
    one = len({(hold.label, words) for hold, words in told.items()}) == len({hold.label for hold in told})
    on = {hold: "" if one else f" on {path_words(plan.machine, hold.sealed)}" for hold in told}
    return tuple(dict.fromkeys(f"{hold.label}{on[hold]}: {words}" for hold, words in told.items()))


def _meanwhile(plan: Refit, hold: Hold) -> str:
    """What goes on while it cures."""
    if hold.over_night(plan.breaks):
        return "it cures between two sittings"
    wait = waits_for(plan, hold)
    return f"{duration(wait)} of it is waiting, not in the time above" if wait else "the work lasts longer"


def joint_of(plan: Refit, step: Step) -> Joint:
    """The joint that a step is about; it must be about one."""
    assert step.operation.part is not None
    assert step.operation.joint is not None
    return plan.machine.joint(step.operation.part, step.operation.joint)


def gate_lines(
    plan: Refit,
    gate: Gate,
    unit: str | None,
    kit: Equipment | None,
    *,
    source_said: str | None = None,
    closing_said: bool = False,
) -> list[str]:
    """A gate: its torque first, then order, source, wrench, what it waits for and what closes it off.

    A medium that says the source ``source_said``, or the closing step, elsewhere has them left out here.
    """
    lines = gate_words(plan, gate, unit, source_said)
    if kit is not None and (wrench := wrench_words(kit.wrenches[gate.joint], plan.machine)):
        lines.append(wrench)
    if gate.waits_for:
        back = listing(part_words(plan.machine, other) for other in gate.waits_for)
        lines.append(f"only now, with {back} back in place")
    joint = plan.machine.joint_at(gate.joint)
    steps = {step.operation.name: step for step in plan.steps}
    for name in awaited(plan.machine, joint, steps):
        step = steps[name]
        lines.append(f"only now, after step {step.number}: {sentence(plan.machine, step.operation)}")
    if gate.last_step is None:
        lines.append("stays within reach to the end")
    elif not closing_said:
        lines.append(f"step {gate.last_step} closes it off")
    return lines


def _closed(plan: Refit, step: Step) -> str:
    names = listing(path_words(plan.machine, gate.joint) for gate in plan.closing_off(step.number))
    return f"after step {step.number} you can no longer reach: {names}" if names else ""
