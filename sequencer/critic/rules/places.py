"""Places: tipped with fluid aboard, worked at before it can be reached, on the bench while still fitted."""

from __future__ import annotations

from collections.abc import Iterator

from sequencer.critic.case import Case
from sequencer.critic.finding import Code, Finding, Severity, finding
from sequencer.graph.operations import Kind
from sequencer.machine.model import Position, Task

WAYS = (("raises", "low"), ("pulls-out", "behind"), ("opens", "inside"))
"""Tasks that lead to places."""

HELD_KG = 3
"""From this weight up somebody has to hold a part that nothing else holds (the format page)."""


def pose_fluid(case: Case) -> Iterator[Finding]:
    """A pose in which a fluid that is still aboard runs out."""
    for pose in case.poses:
        aboard = tuple(
            fluid.name
            for fluid in case.machine.fluids.values()
            if fluid.name not in pose.drained and pose.name != fluid.drain.position
        )
        if aboard and any(case.work_at(pose.name)):
            yield finding(Code.POSE_FLUID, Severity.HURTS, pose, fluids=aboard)


def pose_task(case: Case) -> Iterator[Finding]:
    """A task that lays the machine over, and that can be done before the pose's fluids are out.

    `drained` holds for work in a position, and the task stands in another. Done from a position of its own
    with the same `drained`, it comes after the draining, and is undone before the filling.
    """
    for pose in case.poses:
        tasks = [case.machine.tasks[name] for name in pose.needs]
        for task in tasks if len(tasks) == 1 else filter(lambda one: case.is_a("pose", one), tasks):
            dry = case.machine.positions[task.position].drained
            aboard = tuple(
                fluid
                for fluid in pose.drained
                if fluid not in dry and Kind.TASK.of(task.name) in case.without(Kind.DRAIN.of(fluid))
            )
            if aboard:
                yield finding(Code.POSE_TASK, Severity.HURTS, task, fluids=aboard)


def pose_oil(case: Case) -> Iterator[Finding]:
    """An engine that is tipped, in a file that knows of no oil."""
    oil = any(case.is_a("oil", fluid) for fluid in case.machine.fluids.values())
    engine = any(case.is_a("engine", part) for part in case.parts)
    for pose in case.poses if engine and not oil else ():
        if any(case.work_at(pose.name)):
            yield finding(Code.POSE_OIL, Severity.COSTS, pose)


def pose_joints(case: Case) -> Iterator[Finding]:
    """A heavy part whose last fastener is undone in a pose, and which comes off in another."""
    poses = {pose.name for pose in case.poses}
    for part in case.parts:
        joints = case.bearing(part)
        if (part.weight_kg or 0) < HELD_KG or not joints or part.hold is False:
            continue
        there = {joint.position for joint in joints}
        if there <= poses and part.position not in there:
            yield finding(
                Code.POSE_JOINTS, Severity.HURTS, part, position=joints[-1].position, to=part.position
            )


def place_too_early(case: Case) -> Iterator[Finding]:
    """A place that a task opens, and at which work can begin before it."""
    for position in case.machine.positions.values():
        for opens, where in WAYS:
            task = next((t for t in case.tasks if case.is_a(opens, t) and not t.only_back), None)
            if task is None or not case.is_a(where, position) or _comes_first(case, task, position):
                continue
            yield finding(Code.PLACE_TOO_EARLY, Severity.AWKWARD, position, task=task.name)
            break


def bench_fitted(case: Case) -> Iterator[Finding]:
    """Work on the bench at a part that nothing has to be off for: it is still in the machine."""
    positions = list(case.machine.positions.values())
    if not positions or case.is_a("bench", positions[0]):
        return
    for part in case.parts:
        for joint in part.joints.values():
            where = case.machine.positions[joint.position]
            if case.is_a("bench", where) and not _freed_before(case, Kind.UNDO.of(joint.path)):
                yield finding(Code.BENCH_FITTED, Severity.COSTS, part, at=joint.place, position=where.name)
                break


def _comes_first(case: Case, task: Task, position: Position) -> bool:
    """Whether all work at a position waits for a task, or for another that its `needs` names."""
    if task.name in position.needs or task.name in case.machine.first:
        return True
    if any(task.name in case.machine.tasks[other].after for other in position.needs):
        return True
    free = case.without(Kind.TASK.of(task.name))
    return not any(name in free for name in case.work_at(position.name) if name != Kind.TASK.of(task.name))


def _freed_before(case: Case, name: str) -> bool:
    """Whether an operation waits for some part to be off or aside."""
    moves = [
        other
        for other, op in case.graph.operations.items()
        if op.kind in (Kind.REMOVE, Kind.MOVE_ASIDE) and op.part != case.graph.operations[name].part
    ]
    return name not in case.without(*moves)
