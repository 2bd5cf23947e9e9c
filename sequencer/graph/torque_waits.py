"""Torques that wait until something is back: a task undone, a part fitted, a joint fastened, a fluid filled.

Until then such a joint is only snug. Needs are in reversed time here: what a torque waits for comes before it
in the order of work, and so after it.
"""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence

from sequencer.graph.home_tasks import later
from sequencer.graph.operations import Because, Clause, Kind, Operation, OrderRule, Reason
from sequencer.machine.model import Joint, Machine

_SOFT = (Because.TASK, Because.WET, Because.FIRST)
"""What a torque usually comes before: the undoing of a task, the filling of a fluid."""

_BACK = {
    "tasks": (Kind.RESTORE, Kind.TASK),
    "parts": (Kind.FIT, Kind.MOVE_BACK, Kind.SEAT),
    "joints": (Kind.FASTEN, Kind.TIGHTEN),
    "fluids": (Kind.FILL,),
}
_WORDS = {"tasks": "is undone", "parts": "is back", "joints": "is fastened", "fluids": "is filled"}


def awaited(machine: Machine, joint: Joint, known: Container[str]) -> dict[str, str]:
    """The steps of a way back that a torque waits for, of those in ``known``, each with why in words."""
    found: dict[str, str] = {}
    for section, name in joint.torque.when if joint.torque else ():
        home = section == "tasks" and machine.tasks[name].only_back
        words = f"{name} is done" if home else f"{name} {_WORDS[section]}"
        steps = [step for kind in _BACK[section] if (step := kind.of(name)) in known]
        if section == "tasks" and len(steps) > 1:
            steps = steps[:1]  # what was set up once more is put away after that
        if section == "parts" and Kind.FIT.of(name) not in known:
            carried = (Kind.FIT.of(other) for other in machine.carriers(name))
            steps += [step for step in carried if step in known][:1]
        found |= dict.fromkeys(steps, words)
    return found


def orders_of(gate: str, joint: Joint, steps: Mapping[str, str]) -> Iterator[OrderRule]:
    """The torque after each of those steps."""
    assert joint.torque is not None
    for step, words in steps.items():
        text = f"{words} before {joint.path} gets its torque"
        yield OrderRule(gate, step, Reason(Because.WHEN, text, joint.torque.when_place or joint.torque.place))


def freed(
    gate: str, steps: Container[str], needs: Mapping[str, Sequence[Clause]], orders: Sequence[OrderRule]
) -> list[Clause]:
    """What the torque still comes before: not what has to be done for that which it waits for."""

    def leads_there(clause: Clause) -> bool:
        return any(name in steps for name in later(needs, orders, clause.any_of))

    return [clause for clause in needs[gate] if clause.reason.kind not in _SOFT or not leads_there(clause)]


def one_set(gates: Mapping[str, Joint], known: Container[str]) -> Iterator[OrderRule]:
    """What clamps one face is torqued when all of it is fastened, what only settles after the others.

    It is good practice, and not needed: of the steps in ``known``, in reversed time.
    """
    for gate, joint in gates.items():
        for other_gate, other in gates.items():
            if gate == other_gate or joint.face is None or joint.face != other.face:
                continue
            reason = Reason(Because.WHEN, f"the face {joint.face} is torqued as one set", joint.place)
            fastened = (kind.of(other.path) for kind in _BACK["joints"])
            yield from (OrderRule(gate, name, reason) for name in fastened if name in known)
            if joint.settle and not other.settle:
                yield OrderRule(gate, other_gate, reason)


def holders_first(
    waits: Mapping[str, Sequence[str]], gates: Mapping[str, Joint], known: Mapping[str, Operation]
) -> Iterator[OrderRule]:
    """What holds a cracked joint against its torque has its own torque first."""
    for name, holders in waits.items():
        for gate, joint in gates.items():
            if joint.part in holders:
                text = f"{joint.path} gets its torque before {known[name].subject} leans on it"
                yield OrderRule(name, gate, Reason(Because.CRACK, text, known[gate].place))
