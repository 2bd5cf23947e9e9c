"""Orders of work: what stands between two steps that no rule keeps together."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from sequencer.critic.case import Case
from sequencer.critic.finding import Code, Finding, Severity, finding
from sequencer.graph.operations import Kind
from sequencer.machine.kinds import Holds
from sequencer.machine.model import Joint, Part
from sequencer.plan.plan import Plan, Step

HELD_KG = 3
"""From this weight up somebody has to hold a part that nothing else holds (the format page)."""

SETTING_SECONDS = Fraction(10 * 60)
"""A bead of which nobody says how long it works (common practice)."""


def left_hanging(case: Case) -> Iterator[Finding]:
    """A heavy part between its last fastener and its coming away, with other work in between."""
    plan = case.removal
    if (
        plan is None or plan.practice is not None
    ):  # a rule of good practice keeps them together, or says why not
        return
    for part in case.parts:
        if (
            (part.weight_kg or 0) < HELD_KG
            or part.hold is False
            or part.rides
            or any(case.carriers(part.name))
        ):
            continue
        undone = [step for step in plan.steps if _frees(case, step, part)]
        away = next(
            (s for s in plan.steps if s.operation.part == part.name and s.operation.kind is Kind.REMOVE), None
        )
        if undone and away and (between := away.number - undone[-1].number - 1) > 0:
            worst = any(s.reach_around for s in plan.steps[undone[-1].number : away.number])
            severity = Severity.COSTS if worst else Severity.AWKWARD
            yield finding(Code.LEFT_HANGING, severity, part, step=undone[-1].number, steps=between)


def pose_loose(case: Case) -> Iterator[Finding]:
    """The machine is laid over while parts in it are loose."""
    poses = {pose.name for pose in case.poses}
    for plan in case.plans if poses else ():
        for before, step in _entries(plan, poses):
            loose = tuple(_loose(case, plan, before))
            if loose:
                kg = max(case.machine.parts[name].weight_kg or 0 for name in loose)
                severity = Severity.HURTS if kg >= HELD_KG else Severity.AWKWARD
                yield finding(
                    Code.POSE_LOOSE,
                    severity,
                    case.machine.parts[loose[0]],
                    parts=loose,
                    position=step.operation.position,
                    step=step.number,
                )


def pose_support(case: Case) -> Iterator[Finding]:
    """The machine is laid over while it stands propped, levelled or blocked."""
    poses = {pose.name for pose in case.poses}
    for plan in case.plans if poses else ():
        for _, step in _entries(plan, poses):
            for task in case.tasks:
                if (
                    case.is_a("stands-by", task)
                    and _stands(plan, task.name, step)
                    and not _for(case, task.name, step)
                ):
                    yield finding(
                        Code.POSE_SUPPORT,
                        Severity.COSTS,
                        task,
                        position=step.operation.position,
                        step=step.number,
                    )


def late_torque(case: Case) -> Iterator[Finding]:
    """A bead that has set before its joint gets its torque."""
    plan = case.refit
    for step in plan.steps if plan else ():
        if step.operation.kind is not Kind.SEAL or plan is None:
            continue
        subject = step.operation.subject
        part, _, joint = subject.partition("/")
        gates = [one for one in plan.gates if one.joint == subject or one.joint.partition("/")[0] == subject]
        last = max((one.step for one in gates), default=step.number)
        took = sum((s.seconds + s.change_seconds for s in plan.steps[step.number : last]), Fraction(0))
        works = _working_seconds(case, subject)
        if took > works:
            thing = case.machine.joint(part, joint) if joint else case.machine.parts[part]
            yield finding(
                Code.LATE_TORQUE,
                Severity.COSTS,
                thing,
                minutes=round(float(took) / 60),
                works=round(float(works) / 60),
            )


def _working_seconds(case: Case, subject: str) -> Fraction:
    part, _, joint = subject.partition("/")
    whole = case.machine.parts[part]
    sealing = whole.joints[joint].sealing if joint else whole.sealing
    return (sealing.assemble_within if sealing else None) or SETTING_SECONDS


def _frees(case: Case, step: Step, part: Part) -> bool:
    operation = step.operation
    if operation.kind is not Kind.UNDO or operation.part != part.name or operation.joint is None:
        return False
    return part.joints[operation.joint] in case.bearing(part)


def _entries(plan: Plan, poses: set[str]) -> Iterator[tuple[tuple[Step, ...], Step]]:
    """Each step with which a pose is entered, and the steps before it."""
    for number, step in enumerate(plan.steps):
        before = plan.steps[number - 1].operation.position if number else None
        if step.operation.position in poses and step.operation.position != before:
            yield plan.steps[:number], step


def _loose(case: Case, plan: Plan, before: tuple[Step, ...]) -> Iterator[str]:
    """Parts of the machine that nothing holds after these steps."""
    done = [step.operation for step in before]
    for part in case.parts:
        own = [op for op in done if op.part == part.name]
        if not own or part.hold is False or part.tie:
            continue
        if plan.back:
            fitted = any(op.kind in (Kind.FIT, Kind.MOVE_BACK) for op in own)
            held = any(
                op.kind is Kind.FASTEN and op.joint and part.joints[op.joint] in _holding(case, part)
                for op in own
            )
            if fitted and not held and _holding(case, part):
                yield part.name
        else:
            gone = any(op.kind is Kind.REMOVE for op in own)
            undone = {op.joint for op in own if op.kind is Kind.UNDO}
            holding = {joint.name for joint in _holding(case, part)}
            if not gone and holding and holding <= undone:
                yield part.name


def _holding(case: Case, part: Part) -> tuple[Joint, ...]:
    return case.held_by(part, Holds.BEARING, Holds.LOCATING, Holds.RETAINING)


def _stands(plan: Plan, task: str, at: Step) -> bool:
    """Whether a task is done, and not undone, when a step is come to."""
    done = [step.number for step in plan.steps if step.operation.name == f"{Kind.TASK.value} {task}"]
    undone = [step.number for step in plan.steps if step.operation.name == f"{Kind.RESTORE.value} {task}"]
    begun = plan.back or any(number < at.number for number in done)
    if plan.back:
        return bool(undone) and undone[-1] > at.number
    return begun and not any(number < at.number for number in undone)


def _for(case: Case, task: str, step: Step) -> bool:
    """Whether a task is made for work at the position of a step."""
    where = step.operation.position
    return task in case.machine.positions[where].needs or case.machine.tasks[task].position == where
