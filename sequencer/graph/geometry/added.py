"""A file with the relations that the boxes show: which of them to write, and which concern a job."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from sequencer.graph.derive import derive
from sequencer.graph.geometry.compare import Scan, follows, operation_of
from sequencer.graph.geometry.hits import Seen
from sequencer.graph.operations import Op
from sequencer.graph.reach import never_off, relevant
from sequencer.graph.targets import Target, goals
from sequencer.machine.model import Machine, Need


def with_need(machine: Machine, seen: Seen) -> Machine:
    """The machine with one more need, as if the file had it where the holder stands."""
    part = machine.parts[seen.part]
    if seen.joint is not None:
        joint = part.joints[seen.joint]
        joint = replace(joint, behind=(*joint.behind, Need(seen.any_of, joint.place)))
        part = replace(part, joints={**part.joints, joint.name: joint})
    elif seen.key == "behind":
        part = replace(part, behind=(*part.behind, Need(seen.any_of, part.place)))
    else:
        part = replace(part, trapped_by=(*part.trapped_by, Need(seen.any_of, part.place)))
    return replace(machine, parts={**machine.parts, part.name: part})


def to_write(scan: Scan) -> tuple[tuple[Seen, ...], tuple[Seen, ...]]:
    """The hidden relations that a file should get, and those that would shut a part in for good.

    Joints come first, since what bars a joint bars its part; what then follows from those before is left out.
    """
    machine, graph = scan.machine, derive(scan.machine)
    shut = set(never_off(graph))
    wanted, refused = [], []
    for seen in sorted(scan.hidden, key=lambda one: one.joint is None):
        if follows(graph, seen):
            continue
        tried = with_need(machine, seen)
        tried_graph = derive(tried)
        if set(never_off(tried_graph)) - shut:
            refused.append(seen)
        else:
            machine, graph = tried, tried_graph
            wanted.append(seen)
    return tuple(wanted), tuple(refused)


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
        return holder in (joints if "/" in holder else parts)

    return replace(
        scan,
        hidden=tuple(one for one in scan.hidden if operation_of(one) in touched),
        agreed=tuple(one for one in scan.agreed if operation_of(one.seen) in touched),
        doubts=tuple(one for one in scan.doubts if concerns(one.holder)),
        unjudged=tuple(holder for holder in scan.unjudged if concerns(holder)),
        inside=tuple(pair for pair in scan.inside if not parts.isdisjoint(pair)),
        bare=tuple(part for part in scan.bare if part in parts),
        shut=tuple(path for path in scan.shut if path in joints),
    )
