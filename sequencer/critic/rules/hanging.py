"""What hangs: a heavy part by too little, or in its sling, while something else is done; a spring."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product

from sequencer.critic.case import Case
from sequencer.critic.finding import Code, Finding, Severity, finding
from sequencer.graph.operations import Kind
from sequencer.machine.model import Joint, Part
from sequencer.machine.trade.kinds import Holds
from sequencer.plan.plan import Plan, Step
from sequencer.plan.practice.firsts import SPRING
from sequencer.plan.practice.held import bears, is_heavy
from sequencer.plan.practice.hold import HEAVY_KG
from sequencer.plan.practice.ruled_job import holds

ONE_END_KG = 10
"""From this weight up nobody leaves a part hanging on one of its ends (common practice)."""

MANY = 3
"""Steps of other work that nobody would do meanwhile (common practice)."""

_UP = "+z"
"""The one way out of a part that sits on what it is bolted to: a cylinder head on its block."""

_MOVED = (Kind.REMOVE, Kind.FIT)
_OPENED = (Kind.UNDO, Kind.FASTEN)
_LET_GO = (Kind.LOOSEN, Kind.MOVE_ASIDE, Kind.SEAT, Kind.MOVE_BACK)


def left_hanging(case: Case) -> Iterator[Finding]:
    """A heavy part between its last fastener and its coming away, with other work in between."""
    plan = case.removal
    if (
        plan is None or plan.practice is not None
    ):  # a rule of good practice keeps them together, or says why not
        return
    for part in case.parts:
        if (
            (part.weight_kg or 0) < HEAVY_KG
            or part.hold is False
            or part.mount
            or any(case.carriers(part.name))
        ):
            continue
        if (free := _free(case, plan, part)) and (between := free[1] - free[0] - 1) > 0:
            worst = any(s.reach_around for s in plan.steps[free[0] : free[1]])
            severity = Severity.COSTS if worst else Severity.AWKWARD
            yield finding(Code.LEFT_HANGING, severity, part, step=free[0], steps=between)


def hung(case: Case) -> Iterator[Finding]:
    """A part that hangs in what carries it, by nothing of its own, while something else is worked on."""
    for part in case.parts if (plan := case.removal) else ():
        slings = [task for task in case.carriers(part.name) if not task.rated]
        if part.hold is not None or not slings or plan is None:
            continue
        slung = {task.name for task in slings}
        if (free := _free(case, plan, part)) is None:
            continue
        between = plan.steps[free[0] : free[1] - 1]
        if others := [s for s in _others(case, part, between) if s.operation.subject not in slung]:
            yield finding(Code.HUNG, Severity.HURTS, part, step=free[0], steps=len(others))


def on_dowels(case: Case) -> Iterator[Finding]:
    """A heavy part in its sling with every bolt out, on its dowels, while something else is worked on."""
    for part in case.parts if (plan := case.removal) else ():
        bolts = {joint.path for joint in case.held_by(part, Holds.BEARING) if not joint.settle}
        carried = [task for task in case.carriers(part.name) if not task.rated]
        if part.hold is False or not carried or not bolts or plan is None:
            continue
        own = [step for step in plan.steps if step.operation.part == part.name]
        out = [s.number for s in own if s.operation.kind is Kind.UNDO and s.operation.subject in bolts]
        left = [
            s for s in own if s.operation.kind is Kind.UNDO and s.number > max(out, default=len(plan.steps))
        ]
        if left and len(out) == len(bolts):
            others = _others(case, part, plan.steps[out[-1] : left[0].number - 1])
            names = [name for step in others if (name := step.operation.part)]
            if len(others) >= MANY and names:
                joints = tuple(step.operation.subject for step in left)
                yield finding(
                    Code.ON_DOWELS,
                    Severity.HURTS,
                    part,
                    step=out[-1],
                    steps=len(others),
                    joints=joints,
                    other=names[-1],
                )


def forced(case: Case) -> Iterator[Finding]:
    """A heavy part on some of its bolts alone while the spring of another is wound, or that is struck."""
    for part in case.parts:
        bolts = {joint.path for joint in part.joints.values() if _is_end(case, joint)}
        if (part.weight_kg or 0) < ONE_END_KG or part.hold is False or part.mount or len(bolts) < 2:
            continue
        for plan in case.plans:
            at = [
                s.number for s in plan.steps if s.operation.kind in _OPENED and s.operation.subject in bolts
            ]
            others = _others(case, part, plan.steps[min(at) : max(at) - 1]) if len(at) > 1 else []
            if joint := next(filter(None, (_forces(case, step) for step in others)), None):
                yield finding(Code.FORCED, Severity.HURTS, part, joint=joint, step=min(at))
                break


def _forces(case: Case, step: Step) -> str | None:
    """The joint that a step winds up, lets go or drives out or in."""
    operation = step.operation
    if operation.kind not in _OPENED or operation.part is None or operation.joint is None:
        return None
    spring = case.machine.joint(operation.part, operation.joint).kind == SPRING
    return operation.subject if spring or case.tool_is_a("strikes", operation.tool) else None


def half_held(case: Case) -> Iterator[Finding]:
    """A heavy part that hangs on some of its bolts alone while something else is worked on."""
    for part in case.parts:
        bolts = {joint.path for joint in part.joints.values() if _is_end(case, joint)}
        light = (part.weight_kg or 0) < ONE_END_KG
        sits = part.out == (_UP,)
        if light or sits or part.hold is False or part.mount or len(bolts) < 2:
            continue
        for plan in case.plans:
            own = [step for step in plan.steps if step.operation.part == part.name]
            moved = [step.number for step in own if step.operation.kind in _MOVED]
            at = [s.number for s in own if s.operation.kind in _OPENED and s.operation.subject in bolts]
            between = plan.steps[min(*moved, *at) : max(*moved, *at)] if moved and at else ()
            free = [step for step in between if step not in _carrying(case, plan, part)]
            if len(others := _others(case, part, free)) >= MANY:
                yield finding(Code.HALF_HELD, Severity.HURTS, part, step=min(*moved, *at), steps=len(others))
                break


def _carrying(case: Case, plan: Plan, part: Part) -> list[Step]:
    """The steps of a plan while a task takes a part's weight."""
    found: list[Step] = []
    for task in case.carriers(part.name):
        set_up = [s.number for s in plan.steps if s.operation.name == Kind.TASK.of(task.name)]
        away = [s.number for s in plan.steps if s.operation.name == Kind.RESTORE.of(task.name)]
        if set_up or away:
            begin = min(set_up, default=1)
            found += plan.steps[begin - 1 : max(away, default=len(plan.steps))]
    return found


def hangs_by(case: Case) -> Iterator[Finding]:
    """A heavy part that hangs by what does not bear it, a hose or a stay, once its bolts are out."""
    for part in case.parts:
        if not is_heavy(part) or part.mount or (part.hold is None and any(case.carriers(part.name))):
            continue
        firm = {joint.path for joint in part.joints.values() if bears(joint) and not joint.settle}
        for plan in (plan for plan in case.plans if firm and plan.practice):  # without it: `left-hanging`
            first, last = (Kind.FIT, Kind.FASTEN) if plan.back else (Kind.UNDO, Kind.REMOVE)
            out = [s.number for s in plan.steps if s.operation.kind is first and _of(s, part, firm)]
            away = [s.number for s in plan.steps if s.operation.kind is last and _of(s, part, firm)]
            if not out or not away:
                continue
            between = plan.steps[max(out) : min(away) - 1]
            left = [
                one for step in between if (one := _left(step, part)) and holds(one) is not Holds.LOCATING
            ]
            others = _others(case, part, between)
            drags = (part.weight_kg or 0) >= ONE_END_KG and any(holds(one) is Holds.BEARING for one in left)
            if left and (others or drags):
                severity = Severity.HURTS if others else Severity.COSTS
                names = tuple(one.path for one in left)
                yield finding(Code.HANGS_BY, severity, part, step=max(out), joints=names)
                break


def overhead(case: Case) -> Iterator[Finding]:
    """A part of unknown weight, over somebody's face by nothing for more than one step of other work."""
    for part in case.parts:
        if part.weight_kg is not None or part.hold is not None or part.mount:
            continue
        firm = {joint.path for joint in case.bearing(part) if not joint.settle}
        for plan in case.plans if firm and not any(case.carriers(part.name)) else ():
            opened = [s for s in plan.steps if s.operation.kind in _OPENED and s.operation.subject in firm]
            moved = [s for s in plan.steps if s.operation.kind in _MOVED and _of(s, part, firm)]
            if not opened or not moved:
                continue
            loose = opened[0] if plan.back else opened[-1]
            begin, end = sorted((loose.number, moved[0].number))
            place = case.machine.positions[loose.operation.position]
            others = _others(case, part, plan.steps[begin : end - 1])
            if len(others) > 1 and (place.below or case.is_a("below", place)):
                yield finding(Code.OVERHEAD, Severity.COSTS, part, step=begin, steps=len(others))
                break


def spring_last(case: Case) -> Iterator[Finding]:
    """A spring that is still hooked in when what bears its part comes out, or is, before that is in again."""
    for part in case.parts:
        springs = [joint for joint in part.joints.values() if joint.kind == SPRING]
        ends = [joint for joint in part.joints.values() if _is_end(case, joint)]
        for spring, borne in product(springs, ends):
            first, later = Kind.UNDO.of(borne.path), Kind.UNDO.of(spring.path)
            if later not in case.without(first):
                continue  # the file puts them in this order
            for plan in case.plans:
                at = {s.operation.subject: s.number for s in plan.steps if s.operation.kind in _OPENED}
                if spring.path in at and borne.path in at and (at[borne.path] < at[spring.path]) != plan.back:
                    yield finding(Code.SPRING_LAST, Severity.HURTS, spring, joint=borne.path)
                    break


def undone_tight(case: Case) -> Iterator[Finding]:
    """The splice of a belt that is out while what it was cracked against still pulls.

    The rule `crack` waits for what comes off; this only swings or is moved aside.
    """
    for part in (one for one in case.parts if case.is_a("belt", one)):
        for joint in part.joints.values():
            for other in joint.crack.while_parts if joint.crack else ():
                if any(_tight(plan, joint, other) for plan in case.plans):
                    yield finding(Code.UNDONE_TIGHT, Severity.HURTS, joint, part=part.name, other=other)


def _tight(plan: Plan, joint: Joint, other: str) -> bool:
    """Whether a joint is undone before another part lets go, or fastened after that pulls again."""
    own = [step.operation for step in plan.steps if step.operation.subject in (joint.path, other)]
    kinds = [one.kind for one in own if one.subject == other]
    if not set(kinds).intersection(_LET_GO) or set(kinds).intersection(_MOVED):
        return False
    at = {one.kind: place for place, one in enumerate(own) if one.kind in (*_LET_GO, *_OPENED)}
    undone = next((at[kind] for kind in _OPENED if kind in at), None)
    swung = min(at[kind] for kind in _LET_GO if kind in at)
    return undone is not None and (undone < swung) != plan.back


def _is_end(case: Case, joint: Joint) -> bool:
    """Whether a joint is one of several that bear its part: a bolt, a pin, a dowel, a catch; no stay."""
    if holds(joint) is Holds.LOCATING:
        return not bears(joint) or case.is_a("dowel", joint)
    return holds(joint) in (Holds.BEARING, Holds.RETAINING) and bears(joint) and not joint.settle


def _of(step: Step, part: Part, joints: set[str]) -> bool:
    """Whether a step is at one of a part's joints, or moves the part itself."""
    return step.operation.subject in joints or step.operation.subject == part.name


def _left(step: Step, part: Part) -> Joint | None:
    """The joint of a part that is undone, or fastened, in a step."""
    operation = step.operation
    at = operation.kind in _OPENED and operation.part == part.name and operation.joint
    return part.joints[at] if at else None


def _free(case: Case, plan: Plan, part: Part) -> tuple[int, int] | None:
    """The step that undoes the last joint of a part, and that in which it comes away."""
    undone = [step.number for step in plan.steps if _frees(case, step, part)]
    removed = Kind.REMOVE.of(part.name)
    away = next((step.number for step in plan.steps if step.operation.name == removed), None)
    return (undone[-1], away) if undone and away is not None else None


def _frees(case: Case, step: Step, part: Part) -> bool:
    """Whether a step undoes a joint that bears or locates a part; one that only steadies it does neither."""
    operation = step.operation
    if operation.kind is not Kind.UNDO or operation.part != part.name or operation.joint is None:
        return False
    joint = part.joints[operation.joint]
    return joint in case.bearing(part) and not joint.settle


def _others(case: Case, part: Part, steps: Sequence[Step]) -> list[Step]:
    """The steps that are no work on a part, on what rides on it, or at the helpers of its joints."""
    paths = {joint.path for joint in part.joints.values()}
    helpers = (task.name for task in case.tasks if task.steadies(paths))
    own = {part.name, *(one.name for one in case.machine.riders(part.name)), *helpers}
    return [step for step in steps if (step.operation.part or step.operation.subject) not in own]
