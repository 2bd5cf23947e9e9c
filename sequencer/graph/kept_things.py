"""The things of the order in which a machine came apart, and the operations that each is, either way."""

from __future__ import annotations

from dataclasses import dataclass

from sequencer.graph.operations import REACHES, Kind, OperationGraph
from sequencer.machine.facts.basics import State
from sequencer.machine.facts.taken import Told

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


def things(graph: OperationGraph) -> list[Thing]:
    """The things of the order, in order."""
    taken, named = graph.machine.taken_apart, _named(graph)
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


def _named(graph: OperationGraph) -> dict[str, Told]:
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
        if told is not None and operation.kind is not Kind.SEAL and not _later(graph, name):
            found[name] = told
    return found


def _later(graph: OperationGraph, name: str) -> bool:
    """A torque of which the file says what it waits for: it has no place in the order of its part."""
    operation = graph.operations[name]
    if operation.kind is not Kind.TORQUE or operation.part is None or operation.joint is None:
        return False
    torque = graph.machine.joint(operation.part, operation.joint).torque
    return torque is not None and bool(torque.when)


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
