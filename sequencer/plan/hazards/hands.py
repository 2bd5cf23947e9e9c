"""At which steps one pair of hands is not enough: a second pair, or a hoist."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import pairwise

from sequencer.graph.operations import Kind, Op, Operation
from sequencer.machine.model import Machine, Part
from sequencer.plan.hazards.hazards import is_awkward, is_rolled
from sequencer.plan.hazards.lifting import MOVES, Lift, lifts
from sequencer.plan.hazards.stops import sittings_table
from sequencer.plan.plan import Plan
from sequencer.plan.practice.held import TASKS, HeldBy, Support, is_heavy, supports

_JOINTS = frozenset({Kind.UNDO, Kind.FASTEN})


@dataclass(frozen=True)
class Hands:
    """Steps by number: those for a second pair of hands or a hoist, and those for a hoist alone.

    Attributes:
        held: The parts that somebody else has to hold at a step of ``second``.
        people: How many the file asks for at a step of ``second``, where it does.
    """

    second: tuple[int, ...] = ()
    hoist: tuple[int, ...] = ()
    held: Mapping[int, tuple[str, ...]] = field(default_factory=dict)
    people: Mapping[int, int] = field(default_factory=dict)


def hands(plan: Plan) -> Hands:
    """Where a plan asks for more than one pair of hands; the guide says by what rule (practice.md)."""
    second, hoist, lifted, held, people = [], [], lifts(plan), {}, {}
    gone = (Op(name) for name in plan.earlier if name not in plan.skipped)
    states = supports(plan.machine, plan.operations, back=plan.back, gone=tuple(gone))
    for step, (before, after) in zip(plan.steps, pairwise(states), strict=True):
        operation, lift, number = step.operation, lifted.get(step.number), step.number
        kg = _by_hand(operation, lift, after if plan.back else before)
        if kg >= sittings_table()["hoist_kg"]:
            hoist.append(number)
            continue
        if (asked := _people(plan.machine, operation)) > 1:
            people[number] = asked
        in_hand = _in_hand(plan.machine, before, after)
        if names := tuple(p.name for p in in_hand if _must_be_held(plan.machine, operation, p)):
            held[number] = names
        if names or asked > 1 or kg >= _two_people_kg(plan.machine, operation):
            second.append(number)
    return Hands(tuple(second), tuple(hoist), held, people)


def _by_hand(operation: Operation, lift: Lift | None, on_machine: Support) -> float:
    """The kilograms that somebody lifts at a step: none where a task carries them, or they are rolled."""
    if lift is None or operation.part is None:
        return 0
    part, kg = on_machine.machine.parts[operation.part], lift.kg or 0
    return 0 if _held_by(on_machine, part) is HeldBy.CARRIED or is_rolled(part, kg) else kg


def _two_people_kg(machine: Machine, operation: Operation) -> float:
    """What one person does not lift where the step is done."""
    awkward = is_awkward(machine.positions[operation.position])
    return float(sittings_table()["awkward_kg" if awkward else "two_people_kg"])


def _people(machine: Machine, operation: Operation) -> int:
    """How many the file asks for."""
    if operation.kind in TASKS:
        return machine.tasks[operation.subject].people_for(undo=operation.kind is Kind.RESTORE)
    return machine.parts[operation.part].people if operation.part and operation.kind in MOVES else 1


def _in_hand(machine: Machine, before: Support, after: Support) -> Iterator[Part]:
    """The heavy parts that a hand holds before a step or after it."""
    for part in machine.parts.values():
        if is_heavy(part) and any(_held_by(state, part) is HeldBy.HAND for state in (before, after)):
            yield part


def _held_by(state: Support, part: Part) -> HeldBy | None:
    """What holds a part; nothing where it is off."""
    return None if state.is_off(part.name) else state.of(part).by


def _must_be_held(machine: Machine, operation: Operation, part: Part) -> bool:
    """Whether who does the step can't hold the part at the same time.

    A helper of one of its joints sits on the part: a bar comes off a pulley with the other hand on it.
    """
    task = machine.tasks.get(operation.subject) if operation.kind in TASKS else None
    helper = task is not None and task.steadies({joint.path for joint in part.joints.values()})
    if operation.part != part.name and not helper:
        return True
    kg = part.weight_kg or 0
    heavy = kg > sittings_table()["one_hand_kg"] and not is_rolled(part, kg)  # a foot holds a wheel
    return (helper or operation.kind in _JOINTS) and (operation.position != part.position or heavy)
