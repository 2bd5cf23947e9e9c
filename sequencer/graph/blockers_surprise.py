"""How surprising it is that a thing is in the way: points for what a person does not see from the target.

The points are our own judgement (common practice): what can't be seen from where the work is planned, and
what spoils the afternoon when it turns up late, weighs more than what is merely far along a chain.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sequencer.graph.blocker_tree import Blockers, Obstacle
from sequencer.graph.operations import Because, Op, OperationGraph
from sequencer.machine.model import Machine, State

NOT_JOINED = 2
"""The target's own entry does not name it, nor any joint of the target."""
ELSEWHERE = 2
"""It is worked on from a position where the target is not."""
OTHER_SUBSYSTEM = 2
"""It belongs to another subsystem than every target; counts where the file gives both."""
DRAWS_FLUID = 3
"""A fluid has to be drained for it that the target alone would not call for."""
EACH_LINK_BEYOND = 1
"""For each link of the chain beyond the second."""
ONLY_EASED = 1
"""It need only be loosened or moved aside, or only joints of it are undone: nobody need take it off."""


@dataclass(frozen=True)
class Surprise:
    """The points of a part that is in the way, and what they are for, in facts.

    Attributes:
        not_joined: Not named by a target.
        positions: Positions of its own, where the targets are not.
        subsystem: Its subsystem, if that is another than the targets'.
        fluids: Fluids drained for it, and not for the targets themselves.
        links: Links from the target.
        only_eased: It need not come off.
        near: A neighbour that anybody would expect: the target asks for it, its box touches the target's, or
            it is of the same subsystem and only one link farther.
    """

    not_joined: bool
    positions: tuple[str, ...]
    subsystem: str | None
    fluids: tuple[str, ...]
    links: int
    only_eased: bool
    near: bool

    @property
    def points(self) -> int:
        """The sum, more is more surprising."""
        return (
            NOT_JOINED * self.not_joined
            + ELSEWHERE * bool(self.positions)
            + OTHER_SUBSYSTEM * (self.subsystem is not None)
            + DRAWS_FLUID * bool(self.fluids)
            + EACH_LINK_BEYOND * max(0, self.links - 2)
            + ONLY_EASED * self.only_eased
        )


def surprises(graph: OperationGraph, found: Blockers) -> dict[str, Surprise]:
    """For each part in the way, most surprising first; among equals the nearer to the target.

    Neighbours that anybody would expect come last, whatever their points.
    """
    seen = {name: _surprise(graph, found, found.things[name]) for name in (t.name for t in found.in_the_way)}
    return dict(sorted(seen.items(), key=lambda item: (item[1].near, -item[1].points, item[1].links)))


def _surprise(graph: OperationGraph, found: Blockers, thing: Obstacle) -> Surprise:
    machine, targets = found.machine, found.targets
    homes = {op.position for target in targets for op in target.operations}
    homes |= {machine.parts[target.name].position for target in targets}
    own = machine.parts[thing.name].subsystem
    theirs = {machine.parts[target.name].subsystem for target in targets}
    drained = {fluid for target in targets for fluid in _drains(graph, target)}
    return Surprise(
        not_joined=thing.depth > 1,
        positions=tuple(dict.fromkeys(op.position for op in thing.operations if op.position not in homes)),
        subsystem=own if own and None not in theirs and own not in theirs else None,
        fluids=tuple(fluid for fluid in _drains(graph, thing) if fluid not in drained),
        links=thing.depth,
        only_eased=thing.state is not State.OFF,
        near=_is_near(machine, thing, targets),
    )


def _is_near(machine: Machine, thing: Obstacle, targets: Sequence[Obstacle]) -> bool:
    part, aims = machine.parts[thing.name], [machine.parts[target.name] for target in targets]
    if thing.depth <= 1 or any(a.touches(b) for aim in aims for a in part.boxes for b in aim.boxes):
        return True
    return (
        thing.depth == 2 and part.subsystem is not None and part.subsystem in [aim.subsystem for aim in aims]
    )


def _drains(graph: OperationGraph, thing: Obstacle) -> tuple[str, ...]:
    """The fluids that have to be out before a thing is opened."""
    wet = (
        Op(name).subject
        for operation in thing.operations
        for clause in graph.needs[operation.name]
        if clause.reason.kind is Because.WET
        for name in clause.any_of
    )
    return tuple(dict.fromkeys(wet))
