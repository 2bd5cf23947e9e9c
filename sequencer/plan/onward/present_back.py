"""What may be done next on the way back, what it would close off, and taking apart again in the middle."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace

from sequencer.graph.explain import rules_as_clauses
from sequencer.graph.fastening import torque_tool, torqued_with
from sequencer.graph.operations import Because, Kind, Op, OperationGraph, Reason
from sequencer.graph.reach import possible
from sequencer.graph.reverse import WayBack
from sequencer.machine.model import HAND, Fluid, Machine
from sequencer.plan.onward.present import Direction, Present
from sequencer.plan.order.setups import Setup


def setup_of(machine: Machine, name: str) -> Setup | None:
    """Where a step of the way back is done, and with what in hand; None where the machine has none."""
    op = Op(name)
    part, joint = op.part, op.joint
    if op.kind in (Kind.RESTORE, Kind.TASK):
        task = machine.tasks.get(op.subject)
        work = task.undo if task and op.kind is Kind.RESTORE else task
        return Setup(work.position, work.tool) if work else None
    if op.kind in (Kind.FILL, Kind.LEAK_CHECK, Kind.CLOSE):
        return _at_fluid(machine.fluids.get(op.subject), op.kind)
    if part not in machine.parts or (joint and joint not in machine.parts[part].joints):
        return None
    if not joint:
        return Setup(machine.parts[part].position, HAND)
    own = machine.joint(part, joint)
    together = own.together
    if op.kind is Kind.TORQUE:
        return Setup(own.torqued_from, torqued_with(own))
    return Setup(together.position, together.socket if op.kind is Kind.RETIGHTEN else together.tool)


def _at_fluid(fluid: Fluid | None, kind: Kind) -> Setup | None:
    if fluid is None:
        return None
    fill, plug = fluid.fill, fluid.plug
    if kind is not Kind.CLOSE:
        return Setup(fill.position, fill.tool if kind is Kind.FILL else HAND) if fill else None
    if plug is None:
        return None
    return Setup(plug.position, torque_tool(plug.tool) if plug.torque else plug.tool)


def why_not_back(back: WayBack, present: Present, name: str) -> tuple[Reason, ...]:
    """Why the step ``name`` of the way back can't be done now; empty when it can.

    A step waits for what comes before it, and it must not close off what is still to be done: an open gate
    first of all.
    """
    graph = back.graph
    gone = present.settled
    operation = graph.operations.get(name)
    if operation is None:
        return ()
    if name in gone:
        return (Reason(Because.STATE, "it is done already", operation.place),)
    if operation.kind is Kind.SEAL:  # right before what it is put on for: it waits for what that waits for
        (clause,) = graph.needs[name]
        (before,) = clause.any_of
        if before in gone:
            return (clause.reason,)
        return why_not_back(back, replace(present, back=(*present.back, name)), before)
    left = {n for n in graph.operations if n not in gone}
    rest = graph.restricted(left)
    able = still_possible(back, rest)
    if name not in able:
        return (lost(back, rest, name),)
    first = [
        rule.reason
        for rule in graph.orders
        if rule.before == name and rule.after in able and required(back, rule.after)
    ]
    return tuple(dict.fromkeys((*first, *closed_off(back, rest, able, name))))


def still_possible(back: WayBack, rest: OperationGraph) -> set[str]:
    """What of ``rest`` can still be done in one order of work, by its needs and by its order rules.

    Once something was put back too soon, a gate may wait for a part that is then in front of it. Of such a
    circle that step is given up which takes the fewest others with it, a gate first.
    """
    given_up: list[str] = []

    def left(without: Collection[str]) -> set[str]:
        return possible(rest.restricted(rest.operations.keys() - set(without)).needs)

    def worth(name: str) -> tuple[int, int, bool]:
        free = _in_order(rest.restricted(left((*given_up, name))))
        return sum(required(back, n) for n in free), len(free), name in back.gates

    able = left(())
    while stuck := able - _in_order(rest.restricted(able)):
        given_up.append(max((name for name in rest.operations if name in stuck), key=worth))
        able = left(given_up)
    return able


def _in_order(graph: OperationGraph) -> set[str]:
    """What can be done of a graph all of whose order rules are kept."""
    return possible(graph.needs, rules_as_clauses(graph))


def closed_off(back: WayBack, rest: OperationGraph, able: Collection[str], name: str) -> tuple[Reason, ...]:
    """What the step ``name`` would put out of reach, of all that is still to be done and can be now.

    What it closes off for one and the same reason is said in one breath.
    """
    then = rest.restricted(n for n in rest.operations if n != name)
    after = still_possible(back, then)
    found: dict[Reason, list[str]] = {}
    for other in then.operations:
        if other not in after and other in able and required(back, other):
            found.setdefault(lost(back, then, other), []).append(other)
    return tuple(
        replace(reason, text=f"it would close off {_at_stake(back, others)}: {reason.text}")
        for reason, others in found.items()
    )


def _at_stake(back: WayBack, names: Collection[str]) -> str:
    """``the open gates of pan/bolts, lid/bolts and fit cover, still to do``."""
    gates = [back.gates[name].path for name in names if name in back.gates]
    others = [name for name in names if name not in back.gates]
    pieces = [f"the open gate{'s' * (len(gates) > 1)} of {', '.join(gates)}"] if gates else []
    return " and ".join([*pieces, *([f"{', '.join(others)}, still to do"] if others else [])])


def lost(back: WayBack, rest: OperationGraph, name: str) -> Reason:
    """Why an operation of the way back, one of ``rest``, can't be done any more."""
    able = still_possible(back, rest)
    free = _in_order(rest.restricted({*able, name}))
    rules = rules_as_clauses(rest).get(name, ())
    for ahead, clauses in ((able, rest.needs[name]), (free, (*rest.needs[name], *rules))):
        for clause in clauses:
            if ahead.isdisjoint(clause.any_of):
                return clause.reason
    return Reason(Because.STATE, f"{name} has no place in what is left", rest.operations[name].place)


def required(back: WayBack, name: str) -> bool:
    """Whether a way back must contain the step; other steps are states that it may pass through."""
    return any(name in goal.any_of for goal in back.goals)


def apart_again(back: WayBack, present: Present) -> Present:
    """The state for taking apart once more in the middle of the way back.

    What was put back is no longer done; what was fastened without its torque stays owed.
    """
    gone = set(present.back)
    open_gates = (
        joint.path
        for gate, joint in back.gates.items()
        if gate not in gone and any(kind.of(joint.path) in gone for kind in (Kind.FASTEN, Kind.TIGHTEN))
    )
    return replace(
        present,
        done=tuple(name for name in present.done if not _put_back(back, gone, name)),
        back=(),
        owed=tuple(dict.fromkeys((*(j for j in present.owed if Kind.TORQUE.of(j) not in gone), *open_gates))),
        direction=Direction.APART,
    )


_ANSWERS: Mapping[Kind | None, tuple[Kind, ...]] = {
    Kind.REMOVE: (Kind.FIT,),
    Kind.MOVE_ASIDE: (Kind.MOVE_BACK, Kind.FIT),
    Kind.LOOSEN: (Kind.SEAT, Kind.MOVE_BACK, Kind.FIT),
    Kind.UNDO: (Kind.FASTEN,),
    Kind.SLACKEN: (Kind.TIGHTEN, Kind.FASTEN),
    Kind.CRACK: (Kind.TORQUE, Kind.RETIGHTEN),
    Kind.DRAIN: (Kind.FILL,),
    Kind.TASK: (Kind.RESTORE,),
    Kind.RESTORE: (Kind.TASK,),
}
"""What puts each back: its own answer, or a later one where its own is not called for."""


def _put_back(back: WayBack, gone: Collection[str], name: str) -> bool:
    op = Op(name)
    own, *later = (kind.of(op.subject) for kind in _ANSWERS[op.kind])
    if own in gone or (op.kind is Kind.CRACK and later[0] in gone):
        return True
    loose = op.kind is Kind.LOOSEN
    if loose and any(Kind.FASTEN.of(path) not in gone for path in _still_undone(back, op.part)):
        return False  # it is in its place and stays loose until what holds it there is fastened
    return not required(back, own) and any(other in gone for other in later)


def _still_undone(back: WayBack, part: str) -> list[str]:
    """The joints that keep a part from being loose, as far as the teardown has undone them."""
    loose = back.graph.machine.parts[part].loose
    paths = [f"{part}/{name}" for name in loose.joints] if loose else []
    return [path for path in paths if Kind.FASTEN.of(path) in back.graph.operations]
