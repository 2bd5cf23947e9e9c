"""Good practice in words: what it adds to a plan, and where it can't be kept."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from itertools import takewhile

from sequencer.document.words import duration
from sequencer.graph.operations import Kind, Operation
from sequencer.graph.said import path_words, subject_words
from sequencer.machine.called import name_of
from sequencer.machine.model import Subject
from sequencer.plan.plan import Plan
from sequencer.plan.practice.rules import Dropped, RuleName, Why
from sequencer.wording import listing

_WHY = {
    Why.MEANWHILE: "it can only be reached in the meantime",
    Why.MACHINE: "no order of these steps allows it",
    Why.EARLIER: "rules that matter more leave no room for it",
    Why.SEALANT: "the sealant's working time leaves no room for it",
    Why.UNKNOWN: "no order that keeps it was found",
}


def added_words(plan: Plan) -> str:
    """What good practice adds, behind the time of the whole; empty for a plain plan."""
    added = None if plan.practice is None else plan.practice.added
    if added is None:
        return ""
    least = "" if added.exact else "at least "
    return f" (good practice: {least}{duration(added.seconds) if added.seconds > 0 else 'none'} of it)"


def not_kept(plan: Plan) -> dict[int, tuple[str, ...]]:
    """The rules that the plan can't keep, in words, by the number of the step that each is told at."""
    if plan.practice is None:
        return {}
    number = {step.operation.name: step.number for step in plan.steps}
    found: dict[int, tuple[str, ...]] = {}
    for dropped in plan.practice.dropped:
        if (step := number.get(dropped.at)) is not None:
            found[step] = (*found.get(step, ()), not_kept_words(plan, dropped))
    return found


def not_kept_words(plan: Plan, dropped: Dropped) -> str:
    """What is not as good practice has it, why, and what to do instead."""
    return f"not as good practice would have it: {_broken(plan, dropped)} ({_why(plan, dropped)})"


def _broken(plan: Plan, dropped: Dropped) -> str:
    return _SAYS[dropped.name](plan, dropped, _thing(plan, dropped.subject))


def _carried(_plan: Plan, dropped: Dropped, task: str) -> str:
    if dropped.at == Kind.TASK.of(dropped.subject):
        return "this is not set up directly before what it carries is undone or fitted; check it again then"
    return f"there is work below while this carries a weight: {task}; keep out from under it"


def _hold(plan: Plan, dropped: Dropped, part: str) -> str:
    end = "it is fastened" if plan.back else _away(plan, dropped)
    return f"there is work between the last joint of {part} and this; have it held until {end}"


def _crack(plan: Plan, dropped: Dropped, joint: str) -> str:
    holding = _thing(plan, dropped.other) if dropped.other else "what it was cracked under"
    return f"{joint} is {'fastened after' if plan.back else 'undone before'} {holding}"


def _sealed(plan: Plan, dropped: Dropped, thing: str) -> str:
    if _operation(plan, dropped.at).kind is Kind.FILL:
        return f"this is filled before the bead on {thing} has cured"
    if dropped.why is Why.SEALANT:
        return f"the work from the bead on {thing} to the torque takes more than 40 % of the working time"
    return (
        f"other work comes between the bead on {thing} and its torque; have everything laid out, and be quick"
    )


def _seated(plan: Plan, dropped: Dropped, joint: str) -> str:
    other = _thing(plan, dropped.other) if dropped.other else "what bears its part"
    return f"{joint} {'goes together after' if plan.back else 'comes apart before'} {other}"


def _face(plan: Plan, dropped: Dropped, thing: str) -> str:
    if not Subject(dropped.subject).of_joint:
        return f"the joints of the face {thing} are not torqued one after the other; go over all again"
    other = _thing(plan, dropped.other) if dropped.other else "the others of its face or part"
    return f"{thing} gets its torque before {other}; go over it again"


def _closing(plan: Plan, dropped: Dropped, part: str) -> str:
    if _operation(plan, dropped.at).kind is Kind.TASK:
        return "this is done before everything it is done at is back; see what is missing"
    steps = [operation.name for operation in plan.operations]
    later = plan.operations[steps.index(dropped.at) + 1 :]
    tasks = [op for op in later if op.kind in (Kind.TASK, Kind.RESTORE)]
    waited = [op for op in tasks if dropped.subject in plan.machine.tasks[op.subject].back_before]
    said = listing(subject_words(plan.machine, op) for op in waited)
    return f"{part} goes on before this is done: {said or 'what it should wait for'}"


def _serves(plan: Plan, dropped: Dropped, task: str) -> str:
    kind = _operation(plan, dropped.at).kind
    if kind not in (Kind.TASK, Kind.RESTORE):
        return f"other work comes between the joints that this serves: {task}"
    away = kind is Kind.RESTORE
    what = "come off directly after" if away else "go on directly before"
    return f"this does not {what} the joint that it serves; see that it is in nobody's way"


def _start(_plan: Plan, _dropped: Dropped, joint: str) -> str:
    return f"{joint} is not fastened as soon as it could be; see that its part can't fall"


def _snug(_plan: Plan, _dropped: Dropped, joint: str) -> str:
    return f"{joint} is left snug for a while; mark it"


_SAYS: Mapping[RuleName, Callable[[Plan, Dropped, str], str]] = {
    RuleName.CARRIED: _carried,
    RuleName.HOLD: _hold,
    RuleName.CRACK: _crack,
    RuleName.SEALED: _sealed,
    RuleName.SEATED: _seated,
    RuleName.FACE: _face,
    RuleName.CLOSING: _closing,
    RuleName.SERVES: _serves,
    RuleName.START: _start,
    RuleName.SNUG: _snug,
}


def _operation(plan: Plan, name: str) -> Operation:
    return next(op for op in plan.operations if op.name == name)


def _away(plan: Plan, dropped: Dropped) -> str:
    return "it is tied" if _operation(plan, dropped.at).kind is Kind.MOVE_ASIDE else "it is off"


def _why(plan: Plan, dropped: Dropped) -> str:
    if dropped.name is RuleName.HOLD and dropped.why is Why.SLIGHT:
        return "the joint that has to come last bears nothing"
    if dropped.name is RuleName.SERVES and (last := _taking_weight(plan, dropped)):
        return f"{last} comes last: it takes a weight"
    if dropped.why is Why.WAITS:
        return f"{_thing(plan, dropped.other)} waits for it" if dropped.other else "one waits for the other"
    return _WHY[dropped.why]


def _taking_weight(plan: Plan, dropped: Dropped) -> str:
    """What takes a weight, where nothing but that comes between a helper and its joint; else empty."""
    tasks = plan.machine.tasks
    later = iter(plan.operations)
    _ = any(operation.name == dropped.at for operation in later)
    between = list(takewhile(lambda op: op.subject not in tasks[dropped.subject].steadied, later))
    if any(op.kind is not Kind.TASK or not tasks[op.subject].load for op in between):
        return ""
    return listing(subject_words(plan.machine, op) for op in between)


def _thing(plan: Plan, path: str | None) -> str:
    name, machine = path or "", plan.machine
    if Subject(name).part in machine.parts or Subject(name).joint:
        return path_words(machine, name)
    return name_of(name, machine.tasks[name].label) if name in machine.tasks else name
