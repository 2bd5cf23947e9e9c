"""Orders of work: two loads on one hoist, a machine laid over with parts loose in it, a bead that has set."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from sequencer.critic.case import Case
from sequencer.critic.finding import Code, Finding, Severity, finding
from sequencer.graph.operations import Kind
from sequencer.machine.model import HAND, Part, Subject, Task
from sequencer.machine.trade.kinds import Holds
from sequencer.plan.plan import Plan, Step
from sequencer.plan.practice.hold import HEAVY_KG

SETTING_SECONDS = Fraction(10 * 60)
"""A bead of which nobody says how long it works (common practice)."""


def two_loads(case: Case) -> Iterator[Finding]:
    """A hoist, a jack or a bar that already holds one thing is set up for another."""
    for plan in case.plans:
        again = {step.operation.subject for step in plan.steps if step.operation.kind is Kind.RESTORE}
        begun = {step.operation.subject for step in plan.steps if step.operation.kind is Kind.TASK}
        standing = [task for task in case.tasks if plan.back and task.name in again - begun]
        for step in plan.steps:
            task = case.machine.tasks.get(step.operation.subject)
            if task is None or step.operation.kind not in (Kind.TASK, Kind.RESTORE):
                continue
            if step.operation.kind is Kind.RESTORE:
                standing = [one for one in standing if one is not task]
                continue
            if other := next((one for one in standing if _one_tool(one, task)), None):
                yield finding(Code.TWO_LOADS, Severity.HURTS, task, task=other.name, tool=task.tool)
            if task.undo:
                standing.append(task)


def pose_loose(case: Case) -> Iterator[Finding]:
    """The machine is laid over while parts in it are loose: heavy ones, or such as are only moved aside."""
    for plan, before, step in _laid_over(case):
        own = step.operation.part  # a part of which all joints are here is another matter: `pose-joints`
        loose = [one for one in case.parts if one.name != own and _is_loose(case, plan, before, one)]
        if loose:
            heavy = any((part.weight_kg or 0) >= HEAVY_KG for part in loose)
            severity = Severity.HURTS if heavy else Severity.AWKWARD
            names = tuple(part.name for part in loose)
            at, number = step.operation.position, step.number
            yield finding(Code.POSE_LOOSE, severity, loose[0], parts=names, position=at, step=number)


def pose_support(case: Case) -> Iterator[Finding]:
    """The machine is laid over while it stands propped, levelled or blocked."""
    for plan, _, step in _laid_over(case):
        at, number = step.operation.position, step.number
        for task in case.tasks:
            its = task.position == at or task.name in case.machine.positions[at].needs
            if task.undo and not its and case.is_a("stands-by", task) and _stands(plan, task.name, step):
                yield finding(Code.POSE_SUPPORT, Severity.COSTS, task, position=at, step=number)


def run_propped(case: Case) -> Iterator[Finding]:
    """A run of the machine with a jack, a sling or a lock still in it; rated stands are made for that."""
    there = [
        task
        for task in case.tasks
        if (task.helps or case.is_a("holds-turning", task)) and task.undo and not task.rated
    ]
    plan = case.refit
    for step in plan.steps if plan else ():
        task = case.machine.tasks.get(step.operation.subject)
        if plan and task and step.operation.kind is Kind.TASK and task.only_back and case.is_a("runs", task):
            done = {one.operation.name for one in plan.steps[: step.number - 1]}
            set_up = {one.operation.name for one in plan.steps} - done
            for other in there:
                if _stands(plan, other.name, step) and Kind.TASK.of(other.name) not in set_up:
                    yield finding(Code.RUN_PROPPED, Severity.HURTS, task, task=other.name, step=step.number)


def late_torque(case: Case) -> Iterator[Finding]:
    """A bead that has set before its joint gets its torque."""
    plan = case.refit
    for step in plan.steps if plan else ():
        if step.operation.kind is not Kind.SEAL or plan is None:
            continue
        subject = step.operation.subject
        gates = [one for one in plan.gates if subject in (one.joint, Subject(one.joint).part)]
        last = max((one.step for one in gates), default=step.number)
        took = sum((s.seconds + s.change_seconds for s in plan.steps[step.number : last]), Fraction(0))
        works = _working_seconds(case, subject)
        if took > works:
            thing = case.machine.parts.get(subject) or case.machine.joint_at(subject)
            yield finding(
                Code.LATE_TORQUE,
                Severity.COSTS,
                thing,
                minutes=round(float(took) / 60),
                works=round(float(works) / 60),
            )


def _working_seconds(case: Case, subject: str) -> Fraction:
    sealing = case.machine.sealing(subject)
    return (sealing.assemble_within if sealing else None) or SETTING_SECONDS


def _laid_over(case: Case) -> Iterator[tuple[Plan, tuple[Step, ...], Step]]:
    """Each step of a plan with which a pose is entered, and the steps before it."""
    poses = {pose.name for pose in case.poses}
    for plan in case.plans if poses else ():
        where = [None, *(step.operation.position for step in plan.steps)]
        for number, step in enumerate(plan.steps):
            if step.operation.position in poses and step.operation.position != where[number]:
                yield plan, plan.steps[:number], step


def _is_loose(case: Case, plan: Plan, before: tuple[Step, ...], part: Part) -> bool:
    """Whether a part of the machine is held by nothing after these steps, and would move."""
    own = [step.operation for step in before if step.operation.part == part.name]
    holding = {joint.name for joint in case.held_by(part, Holds.BEARING, Holds.LOCATING, Holds.RETAINING)}
    aside = any(op.kind is Kind.MOVE_ASIDE for op in own)
    if not own or not holding or part.hold is False or part.tie or part.mount:
        return False
    if (part.weight_kg or 0) < HEAVY_KG and not aside:
        return False
    done = {op.joint for op in own if op.kind is (Kind.FASTEN if plan.back else Kind.UNDO)}
    if plan.back:
        return any(op.kind in (Kind.FIT, Kind.MOVE_BACK) for op in own) and not holding & done
    return holding <= done and not any(op.kind is Kind.REMOVE for op in own)


def _one_tool(standing: Task, task: Task) -> bool:
    """Whether two tasks hold different things with one tool; several slings on one load are not told."""
    held = not (standing.rated or task.rated or task.tool == HAND) and standing.helps and task.helps
    return bool(held) and standing.tool == task.tool and not set(standing.load) & set(task.load)


def _stands(plan: Plan, task: str, at: Step) -> bool:
    """Whether a task is done, and not undone, when a step is come to."""
    done = [step.number for step in plan.steps if step.operation.name == Kind.TASK.of(task)]
    undone = [step.number for step in plan.steps if step.operation.name == Kind.RESTORE.of(task)]
    begun = plan.back or any(number < at.number for number in done)
    if plan.back:
        return bool(undone) and undone[-1] > at.number
    return begun and not any(number < at.number for number in undone)
