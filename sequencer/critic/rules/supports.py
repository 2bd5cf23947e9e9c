"""What holds and is put there for the job: what it carries, and that it goes away again."""

from __future__ import annotations

from collections.abc import Iterator

from sequencer.critic.case import Case
from sequencer.critic.finding import Code, Finding, Severity, finding
from sequencer.graph.operations import Kind
from sequencer.machine.model import Task


def nothing_carried(case: Case) -> Iterator[Finding]:
    """A prop, a jack or a sling that only comes before something; so it may stand there for hours."""
    for task in case.tasks:
        if not case.is_a("support", task) or task.helps or task.rated or task.only_back:
            continue
        parts = tuple(dict.fromkeys(atom.part for atom in task.before)) or _asking(case, task)
        if parts and not case.is_a("raises", task) and not _stops_turning(case, task):
            yield finding(Code.NOTHING_CARRIED, Severity.COSTS, task, parts=parts)


def stays(case: Case) -> Iterator[Finding]:
    """A task that puts something into the machine, or shuts something, and is never undone."""
    for task in case.tasks:
        if task.undo is None and not task.only_back and case.is_a("holding-task", task):
            worst = task.helps or case.is_a("holds-turning", task)
            severity = Severity.HURTS if worst else Severity.COSTS
            yield finding(Code.STAYS, severity, task)


def strut_late(case: Case) -> Iterator[Finding]:
    """Hydraulic oil that can be let out while its pressure alone holds something up, the strut not yet in."""
    if not any(case.is_a("ram", part) for part in case.parts):
        return
    for fluid in case.machine.fluids.values():
        for task in case.tasks if case.is_a("hydraulic", fluid) else ():
            early = Kind.DRAIN.of(fluid.name) in case.without(Kind.TASK.of(task.name))
            if task.load and case.is_a("lift-strut", task) and early:
                yield finding(Code.STRUT_LATE, Severity.HURTS, fluid, task=task.name, parts=task.load)


def when_alone(case: Case) -> Iterator[Finding]:
    """A wheel whose torque waits until it is off its stands, and that itself does not ask for them."""
    for part in (one for one in case.parts if case.is_a("road-wheel", one)):
        for joint in part.joints.values():
            for section, name in joint.torque.when if joint.torque else ():
                task = case.machine.tasks.get(name) if section == "tasks" else None
                if task and task.undo and Kind.UNDO.of(joint.path) in case.without(Kind.TASK.of(name)):
                    yield finding(Code.WHEN_ALONE, Severity.HURTS, joint, part=part.name, task=name)


def _stops_turning(case: Case, task: Task) -> bool:
    """Whether it is there for joints of what turns: it holds against a torque, not a weight."""
    return bool(task.before) and all(
        atom.joint is not None and case.is_a("turning", case.machine.parts[atom.part]) for atom in task.before
    )


def _asking(case: Case, task: Task) -> tuple[str, ...]:
    """The parts that ask for a task themselves, or at a joint."""
    return tuple(
        part.name
        for part in case.parts
        if task.name in part.needs or any(task.name in joint.needs for joint in part.joints.values())
    )
