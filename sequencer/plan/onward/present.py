"""What is really so in the middle of a job, and what may be done next.

A plan says what should be done; here stands what has been done. Operations bear the names that they have in
plans. What was skipped counts as done, and there is nothing of it to put back.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field, replace
from enum import Enum

from sequencer.graph.operations import Because, Clause, FollowRule, Op, OperationGraph, Reason
from sequencer.graph.reach import possible
from sequencer.machine.model import HAND, Machine
from sequencer.plan.order.setups import Changes


class Direction(Enum):
    """Which way a job goes at present."""

    APART = "teardown"
    TOGETHER = "reassembly"


@dataclass(frozen=True)
class Present:
    """The state of a job under way.

    Attributes:
        done: Operations of the way in, in the order in which they were really done.
        skipped: Operations that were not needed, with the reason: they count as done.
        back: Steps of the way back, in the order in which they were really done.
        owed: Joints that were fastened on a former way back and still lack their torque.
        tool: The tool in hand.
        position: Where the person stands; None: wherever the work begins.
    """

    done: tuple[str, ...] = ()
    skipped: Mapping[str, str] = field(default_factory=dict)
    back: tuple[str, ...] = ()
    owed: tuple[str, ...] = ()
    tool: str = HAND
    position: str | None = None
    direction: Direction = Direction.APART

    @property
    def settled(self) -> frozenset[str]:
        """The steps of the way back that are done or skipped.

        What was skipped on the way in is none of them, though putting a task away bears one name both ways.
        """
        skipped = self.skipped if self.direction is Direction.TOGETHER else ()
        return frozenset((*self.back, *skipped))

    def after(self, graph: OperationGraph, name: str) -> Present:
        """The state once the operation ``name`` of ``graph`` is done as well."""
        operation = graph.operations[name]
        here = replace(self, tool=operation.tool, position=operation.position)
        if self.direction is Direction.APART:
            return replace(here, done=(*self.done, name))
        return replace(here, back=(*self.back, name))

    def changes(self, machine: Machine, drives: Mapping[str, str | None] | None = None) -> Changes:
        """What changes of set-up cost from here on; ``drives`` are those of torque wrenches."""
        base = Changes.of(machine, drives)
        place = self.position if self.position in machine.positions else None
        return replace(base, place=place, in_hand=self.tool if self.tool in base.drives else HAND)


def met(graph: OperationGraph, present: Present) -> set[str]:
    """The operations that count as done: what was undone outright needs no slackening any more."""
    found = {*present.done, *present.skipped}
    return found | {s.slacken for s in graph.slackenings if s.undo in found}


def too_late(graph: OperationGraph, done: Collection[str]) -> dict[str, Reason]:
    """The operations that can't be done any more, with the reason.

    What comes before something that is done comes too late; and so does the undoing of a joint that had to be
    cracked first, once what held it has been touched.
    """
    late: dict[str, Reason] = {}
    for rule in graph.orders:
        if rule.after in done and rule.before not in done:
            text = f"{rule.after} is done already, and {rule.reason.text}"
            late.setdefault(rule.before, replace(rule.reason, text=text))
    for crack in graph.cracks:
        if crack.crack not in late or any(name in done for name in crack.undoing):
            continue
        for name in crack.undoing:
            late.setdefault(name, late[crack.crack])
    return late


def why_not(
    graph: OperationGraph, present: Present, name: str, ahead: Collection[str] = ()
) -> tuple[Reason, ...]:
    """Why the operation ``name`` of the way in can't be done now; empty when it can.

    Args:
        graph: All that the machine allows.
        present: What is really so.
        name: An operation of ``graph``.
        ahead: What the plan still does: a joint that will be undone is cracked while it is still held.
    """
    done = met(graph, present)
    operation = graph.operations[name]
    if name in done:
        how = "was skipped" if name in present.skipped else "is done already"
        return (Reason(Because.STATE, f"it {how}", operation.place),)
    late = too_late(graph, done).get(name)
    if late is not None:
        return (late,)
    waits = [clause.reason for clause in graph.needs[name] if done.isdisjoint(clause.any_of)]
    return tuple(dict.fromkeys((*waits, *cracks_first(graph, done, name, ahead))))


def cracks_first(
    graph: OperationGraph, done: Collection[str], name: str, ahead: Collection[str]
) -> Iterator[Reason]:
    """The joints that have to be cracked before ``name``, because both sides are touched in this job."""
    for rule in graph.cracks:
        if rule.crack in done or name == rule.crack or any(n in done for n in rule.undoing):
            continue
        for mine, other in ((rule.touching, rule.undoing), (rule.undoing, rule.touching)):
            if name in mine and any(n in ahead or n == name for n in other):
                part, joint = Op(rule.crack).part, Op(rule.crack).joint
                crack = graph.machine.joint(part, joint).crack
                assert crack is not None
                holders = ", ".join(crack.while_parts)
                yield Reason(
                    Because.CRACK, f"{part}/{joint} is cracked first, while {holders} holds it", crack.place
                )
                break


def due_as_well(rest: OperationGraph, whole: OperationGraph, present: Present) -> tuple[Clause, ...]:
    """What has to come off as well because of what is done, of what is left and can be done."""
    really, done = set(present.done), met(whole, present)
    called = (rule for rule in whole.follows if rule.first in really and rule.called_by(done))
    due = [rule for rule in called if rule.then in rest.operations]
    able = possible(rest.needs) if due else ()
    return tuple(Clause((rule.then,), rule.reason) for rule in due if rule.then in able)


def remaining(graph: OperationGraph, present: Present) -> OperationGraph:
    """What the machine still allows: without what is done or too late, its needs without what is met.

    What was slackened before takes the rest of its time only.
    """
    done = met(graph, present)
    late = too_late(graph, done)
    keep = {name for name in graph.operations if name not in done and name not in late}
    rest = graph.restricted(keep)
    saved = {s.undo: s.saved for s in graph.slackenings if s.slacken in present.done and s.undo in keep}
    return replace(
        rest,
        operations={
            name: replace(op, seconds=op.seconds - saved[name]) if name in saved else op
            for name, op in rest.operations.items()
        },
        needs={
            name: tuple(
                Clause(tuple(n for n in clause.any_of if n in keep), clause.reason)
                for clause in graph.needs[name]
                if done.isdisjoint(clause.any_of)
            )
            for name in rest.operations
        },
        cracks=tuple(rule for rule in rest.cracks if rule.undoing and rule.touching),
        follows=(*rest.follows, *_half_called(graph, present, keep)),
    )


def _half_called(graph: OperationGraph, present: Present, keep: set[str]) -> Iterator[FollowRule]:
    """What some operations call for together, now that others of them are done."""
    done = met(graph, present)
    for rule in graph.follows:
        left = [name for name in (rule.first, *rule.also) if name not in done]
        if rule.first in present.skipped or not keep.issuperset((*left, rule.then)):
            continue
        if 0 < len(left) <= len(rule.also):
            yield replace(rule, first=left[0], also=tuple(left[1:]))
