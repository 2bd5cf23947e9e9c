"""The things of the order in which a machine came apart, and the operations that each is, either way."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass

from sequencer.graph.operations import REACHES, Kind, OperationGraph
from sequencer.machine.facts.basics import State
from sequencer.machine.facts.taken import Told
from sequencer.machine.model import Joint, Machine, Torque

_HOW = {"fluids": "was drained", "tasks": "was done"}
_STATES = {State.LOOSE: "was loosened", State.ASIDE: "was moved aside", State.OFF: "came off"}


@dataclass(frozen=True)
class Thing:
    """One thing of the order, in the operations of one graph.

    Attributes:
        touching: All work on it, less what other things of the order are.
        clear: What makes it clear, any one of them; empty where the graph has none.
    """

    told: Told
    touching: tuple[str, ...]
    clear: tuple[str, ...]


def things(graph: OperationGraph, back: Sequence[tuple[int, int]] = ()) -> list[Thing]:
    """The things of the order, in order; on the way ``back`` with the pairs ``unexplained`` there."""
    taken, named = graph.machine.taken_apart, _named(graph, back)
    found = []
    for told in taken.order:
        touching = tuple(name for name, owner in named.items() if owner == told)
        found.append(Thing(told, touching, clearing_of(graph, told)))
    return found


def in_words(told: Told) -> str:
    """``guard came off``, ``cooler was moved aside``, ``head/plug was undone``, ``oil was drained``."""
    if told.atom.joint is not None:
        return f"{told.atom} was undone"
    return f"{told.atom.part} {_HOW.get(told.section) or _STATES[told.atom.state]}"


def owner(told: Told) -> tuple[str, str]:
    """The part, fluid or task that it is about, with its section."""
    return told.section, told.atom.part


def unexplained(machine: Machine, *, back: bool = False) -> list[tuple[int, int]]:
    """The places in the order of two things each of which nothing is said but that one came off first.

    Of a task that carries or serves the file says what it is for. What a part was in the way of says nothing
    of the tasks after it: a bar may have been pinned where it had been. What is free of a drain is not so of
    its filler, on the way ``back``: it may be behind something else. What a torque waits for is, for it is of
    the way back that this was said.
    """
    taken = machine.taken_apart
    awaited = {one for joint in _joints(machine) if joint.torque for one in _awaited(joint.torque)}
    for_something = {name for name, task in machine.tasks.items() if task.helps}
    place = {told: number for number, told in enumerate(taken.order)}
    free: set[tuple[int, int]] = set()
    for one in taken.free:
        for told in one.first:
            first = place.get(told)
            if first is None:
                continue
            if one.then is None:
                after = range(first + 1, len(place))
                free.update((first, n) for n in after if taken.order[n].section != "tasks")
            then = [place[other] for other in one.then or () if other in place]
            free.update((min(first, other), max(first, other)) for other in then)
    return [
        (i, j)
        for j in range(len(taken.order))
        for i in range(j)
        if ((i, j) not in free or (back and _only_of_a_drain(taken.order[i], taken.order[j], awaited)))
        and (taken.order[i].section != "tasks" or taken.order[i].atom.part not in for_something)
        and owner(taken.order[i]) != owner(taken.order[j])
    ]


def _only_of_a_drain(first: Told, then: Told, awaited: AbstractSet[tuple[str, str]]) -> bool:
    return "fluids" in (first.section, then.section) and awaited.isdisjoint((owner(first), owner(then)))


def _joints(machine: Machine) -> Iterator[Joint]:
    return (joint for part in machine.parts.values() for joint in part.joints.values())


def _awaited(torque: Torque) -> set[tuple[str, str]]:
    """What a torque waits for: parts, fluids and tasks, each with its section."""
    return {
        ("parts", Kind.FASTEN.of(name).part) if section == "joints" else (section, name)
        for section, name in torque.when
    }


def _named(graph: OperationGraph, back: Sequence[tuple[int, int]]) -> dict[str, Told]:
    """For each operation, also of a way back, the thing of the order that it belongs to."""
    own: dict[tuple[str, str | None], Told] = {}  # part and joint; the part itself without
    whole: dict[tuple[str, str], Told] = {}
    for one in graph.machine.taken_apart.order:
        part, atom = graph.machine.parts.get(one.atom.part), one.atom
        if atom.joint is None:
            whole[owner(one)] = one  # the last of a part has all the rest
        if one.section == "parts" and part is not None:
            freedom = {State.LOOSE: part.loose, State.ASIDE: part.aside}.get(atom.state)
            joints = (atom.joint,) if atom.joint else freedom.joints if freedom else ()
            for joint in joints:
                own.setdefault((part.name, joint), one)
    found: dict[str, Told] = {}
    for name, operation in graph.operations.items():
        section = _section(operation.kind)
        told: Told | None = own.get((operation.part or "", operation.joint)) if operation.joint else None
        told = told or _of_state(graph, operation.kind, operation.part)
        told = told or whole.get((section, operation.part or operation.subject))
        if told is not None and operation.kind is not Kind.SEAL and not _later(graph, name, back):
            found[name] = told
    return found


def _later(graph: OperationGraph, name: str, pairs: Sequence[tuple[int, int]]) -> bool:
    """A torque that waits for what is kept to be back only after things that came off before its part.

    It has no place in the order of its part then: those things are back before it, too.
    """
    operation = graph.operations[name]
    if operation.kind is not Kind.TORQUE or operation.part is None or operation.joint is None:
        return False
    torque = graph.machine.joint(operation.part, operation.joint).torque
    if torque is None or not torque.when:
        return False
    waits = _awaited(torque)
    order = [owner(told) for told in graph.machine.taken_apart.order]
    own = order.index(("parts", operation.part)) if ("parts", operation.part) in order else 0
    return any(order[i] in waits and i < j < own for i, j in pairs)


def _section(kind: Kind) -> str:
    fluid = (Kind.DRAIN, Kind.FILL, Kind.CLOSE, Kind.LEAK_CHECK)
    return "fluids" if kind in fluid else "tasks" if kind in (Kind.TASK, Kind.RESTORE) else "parts"


_BACK = {Kind.SEAT: State.LOOSE, Kind.MOVE_BACK: State.ASIDE}


def _of_state(graph: OperationGraph, kind: Kind, part: str | None) -> Told | None:
    """The thing that is a part's going into a state, or coming back from it."""
    state = REACHES.get(kind) or _BACK.get(kind)
    if part is None or state in (None, State.OFF):
        return None
    order = graph.machine.taken_apart.order
    return next(
        (
            t
            for t in order
            if t.section == "parts" and t.atom.part == part and t.atom.state is state and t.atom.joint is None
        ),
        None,
    )


def clearing_of(graph: OperationGraph, told: Told) -> tuple[str, ...]:
    """The operations of the way in of which any one makes it clear."""
    if told.section == "parts":
        return graph.clearing(told.atom)
    kind = Kind.DRAIN if told.section == "fluids" else Kind.TASK
    return (kind.of(told.atom.part),)
