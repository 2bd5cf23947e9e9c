"""Orders of work: what stands between two steps that no rule keeps together."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from sequencer.critic.case import Case
from sequencer.critic.finding import Code, Finding, Severity, finding
from sequencer.graph.operations import Kind
from sequencer.machine.model import HAND, Joint, Part, Subject, Task
from sequencer.machine.trade.kinds import Holds
from sequencer.plan.plan import Plan, Step
from sequencer.plan.practice.held import bears, is_heavy
from sequencer.plan.practice.ruled_job import holds

HELD_KG = 3
"""From this weight up somebody has to hold a part that nothing else holds (the format page)."""

ONE_END_KG = 10
"""From this weight up nobody leaves a part hanging on one of its ends (common practice)."""

MANY = 3
"""Steps of other work that nobody would do meanwhile (common practice)."""

_MOVED = (Kind.REMOVE, Kind.FIT)

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
            or part.mount
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


def hung(case: Case) -> Iterator[Finding]:
    """A part that hangs in what carries it, by nothing of its own, while something else is worked on."""
    for part in case.parts if (plan := case.removal) else ():
        slings = [task for task in case.carriers(part.name) if not task.rated]
        if part.hold is not None or not slings or plan is None:
            continue
        own = _own(case, part).union(task.name for task in slings)
        undone = [step for step in plan.steps if _frees(case, step, part)]
        removed = Kind.REMOVE.of(part.name)
        away = next((step for step in plan.steps if step.operation.name == removed), None)
        if not undone or away is None:
            continue
        between = plan.steps[undone[-1].number : away.number - 1]
        if others := [s for s in between if (s.operation.part or s.operation.subject) not in own]:
            yield finding(Code.HUNG, Severity.HURTS, part, step=undone[-1].number, steps=len(others))


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


def half_held(case: Case) -> Iterator[Finding]:
    """A heavy part that hangs on some of its bolts alone while something else is worked on."""
    for part in case.parts:
        held = case.held_by(part, Holds.BEARING, Holds.RETAINING)
        bolts = {joint.path for joint in held if bears(joint)}
        light = (part.weight_kg or 0) < ONE_END_KG
        if light or part.hold is False or part.mount or len(bolts) < 2 or any(case.carriers(part.name)):
            continue
        own = _own(case, part)
        for plan in case.plans:
            at = [step.number for step in plan.steps if step.operation.subject in bolts]
            moved = [
                s.number
                for s in plan.steps
                if s.operation.subject == part.name and s.operation.kind in _MOVED
            ]
            between = plan.steps[min((*at, *moved)) : max(_ends(plan, bolts, moved))] if at and moved else ()
            others = [s for s in between if (s.operation.part or s.operation.subject) not in own]
            if len(others) >= MANY:
                first = min((*at, *moved))
                yield finding(Code.HALF_HELD, Severity.HURTS, part, step=first, steps=len(others))
                break


def hangs_by(case: Case) -> Iterator[Finding]:
    """A heavy part that hangs by what does not bear it, a hose, a latch, a stay, once its bolts are out."""
    for part in case.parts:
        if not is_heavy(part) or part.mount or any(case.carriers(part.name)):
            continue
        firm = {joint.path for joint in part.joints.values() if bears(joint) and not joint.settle}
        for plan in (plan for plan in case.plans if firm and plan.practice):  # without it: `left-hanging`
            first, last = (Kind.FIT, Kind.FASTEN) if plan.back else (Kind.UNDO, Kind.REMOVE)
            out = [s.number for s in plan.steps if s.operation.kind is first and _of(s, part, firm)]
            away = [s.number for s in plan.steps if s.operation.kind is last and _of(s, part, firm)]
            if not out or not away:
                continue
            between = plan.steps[max(out) : min(away) - 1]
            left = [one for step in between if (one := _left(step, part))]
            others = [s for s in between if (s.operation.part or s.operation.subject) not in _own(case, part)]
            drags = (part.weight_kg or 0) >= ONE_END_KG and any(holds(one) is Holds.BEARING for one in left)
            if left and (others or drags):
                severity = Severity.HURTS if others else Severity.COSTS
                names = tuple(one.path for one in left)
                yield finding(Code.HANGS_BY, severity, part, step=max(out), joints=names)
                break


def _of(step: Step, part: Part, joints: set[str]) -> bool:
    """Whether a step is at one of a part's joints, or moves the part itself."""
    return step.operation.subject in joints or step.operation.subject == part.name


def _left(step: Step, part: Part) -> Joint | None:
    """The joint of a part that is undone, or fastened, in a step."""
    operation = step.operation
    at = operation.kind in (Kind.UNDO, Kind.FASTEN) and operation.part == part.name and operation.joint
    return part.joints[at] if at else None


def _ends(plan: Plan, bolts: set[str], moved: list[int]) -> Iterator[int]:
    """The step with which a part is away, or back on the last of its bolts."""
    yield from moved
    yield from (
        s.number for s in plan.steps if s.operation.kind is Kind.FASTEN and s.operation.subject in bolts
    )


def _own(case: Case, part: Part) -> set[str]:
    """The part with what rides on it, and the helpers that serve its joints."""
    paths = {joint.path for joint in part.joints.values()}
    helpers = (task.name for task in case.tasks if task.steadies(paths))
    return {part.name, *(one.name for one in case.machine.riders(part.name)), *helpers}


def pose_loose(case: Case) -> Iterator[Finding]:
    """The machine is laid over while parts in it are loose: heavy ones, or such as are only moved aside."""
    for plan, before, step in _laid_over(case):
        own = step.operation.part  # a part of which all joints are here is another matter: `pose-joints`
        loose = [one for one in case.parts if one.name != own and _is_loose(case, plan, before, one)]
        if loose:
            heavy = any((part.weight_kg or 0) >= HELD_KG for part in loose)
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


def _frees(case: Case, step: Step, part: Part) -> bool:
    operation = step.operation
    if operation.kind is not Kind.UNDO or operation.part != part.name or operation.joint is None:
        return False
    return part.joints[operation.joint] in case.bearing(part)


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
    if (part.weight_kg or 0) < HELD_KG and not aside:
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
