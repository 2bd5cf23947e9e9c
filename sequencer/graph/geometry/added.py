"""A file with the relations that the boxes show: which of them to write, and which concern a job."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from sequencer.graph.derive import clause_for, derive
from sequencer.graph.geometry.against_file import DOES, Scan, follows, operation_of
from sequencer.graph.geometry.hits import Seen
from sequencer.graph.operations import Kind, Op, OperationGraph
from sequencer.graph.reach import ancestors, possible, relevant
from sequencer.graph.targets import Target, goals
from sequencer.machine.model import Machine, Need, Subject


def with_need(machine: Machine, seen: Seen) -> Machine:
    """The machine with one more need, as if the file had it where the holder stands."""
    part = machine.parts[seen.part]
    if seen.joint is not None:
        joint = part.joints[seen.joint]
        joint = replace(joint, waits=joint.and_for(Need(seen.any_of, joint.place, seen.relation)))
        part = replace(part, joints={**part.joints, joint.name: joint})
    else:
        part = replace(part, waits=part.and_for(Need(seen.any_of, part.place, seen.relation)))
    return replace(machine, parts={**machine.parts, part.name: part})


def to_write(scan: Scan) -> tuple[tuple[Seen, ...], tuple[Seen, ...]]:
    """The hidden relations that a file should get, and those that would shut a part in for good.

    Joints come first, since what bars a joint bars its part; what then follows from those before is left out.
    """
    graph = derive(scan.machine)
    so_far = _Needs(graph)
    wanted: list[Seen] = []
    refused: list[Seen] = []
    for seen in sorted(scan.hidden, key=lambda one: one.joint is None):
        if not follows(graph, so_far.needs, seen):
            (wanted if so_far.take(seen) else refused).append(seen)
    return tuple(wanted), tuple(refused)


class _Needs:
    """The needs of a graph as they grow: deriving the whole machine anew for each relation takes minutes."""

    def __init__(self, graph: OperationGraph) -> None:
        self.graph = graph
        self.needs = dict(graph.needs)
        self._able = possible(self.needs)

    def take(self, seen: Seen) -> bool:
        """One relation more, as ``with_need`` has it, unless a part could then never come off."""
        own = tuple(self._waiting(seen))
        need = Need(seen.any_of, self.graph.machine.parts[seen.part].place, seen.relation)
        clause = clause_for(self.graph, need, seen.holder)
        if clause is None:
            return True
        fresh = {name: (*self.needs[name], clause) for name in own}
        if not any(self._apart(name, own) for name in clause.any_of):
            able = possible(self.needs | fresh)
            if any(self.graph.operations[name].kind is Kind.REMOVE for name in self._able - able):
                return False
            self._able = able
        self.needs |= fresh
        return True

    def _apart(self, name: str, own: tuple[str, ...]) -> bool:
        """Whether something can be done without any of ``own``: then what waits for it is not shut in."""
        return name in self._able and name not in own and ancestors(self.needs, (name,)).isdisjoint(own)

    def _waiting(self, seen: Seen) -> Iterator[str]:
        """The operations that wait by a relation: on the joint, or on the part, or its coming away."""
        waits = {DOES[move] for move in seen.relation.waits}
        waits |= {Kind.SLACKEN, Kind.CRACK} if seen.relation.reaches else set()
        for name in self.graph.touching[seen.part]:
            operation = self.graph.operations[name]
            if operation.kind in waits and seen.joint in (None, operation.joint):
                yield name


def within(scan: Scan, targets: Iterable[Target]) -> Scan:
    """The scan, cut down to what a job for ``targets`` may touch, hidden relations included."""
    machine = scan.machine
    for seen in scan.hidden:
        machine = with_need(machine, seen)
    graph = derive(machine)
    touched = relevant(graph, goals(graph, targets))
    parts = {graph.operations[name].part for name in touched}
    joints = {name.subject for name in map(Op, touched)}

    def concerns(holder: str) -> bool:
        return holder in (joints if Subject(holder).of_joint else parts)

    return replace(
        scan,
        hidden=tuple(one for one in scan.hidden if operation_of(one) in touched),
        agreed=tuple(one for one in scan.agreed if operation_of(one.seen) in touched),
        doubts=tuple(one for one in scan.doubts if concerns(one.holder)),
        unjudged=tuple(holder for holder in scan.unjudged if concerns(holder)),
        inside=tuple(pair for pair in scan.inside if not parts.isdisjoint(pair)),
        bare=tuple(part for part in scan.bare if part in parts),
        shut=tuple(path for path in scan.shut if path in joints),
        arcs={path: arc for path, arc in scan.arcs.items() if path in joints},
        legs={part: how for part, how in scan.legs.items() if part in parts},
    )
