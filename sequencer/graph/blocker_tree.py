"""What has to move for a target: a tree of parts, tasks and drains, each under what asks for it.

A thing that several others wait for stands once, under the one that is nearest to the target; the other
calls for it are kept beside it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from sequencer.graph.operations import REACHES, Clause, CrackRule, Kind, Operation, OperationGraph, Reason
from sequencer.graph.targets import Target, goals
from sequencer.machine.model import Machine, State


@dataclass(frozen=True)
class Call:
    """One relation that asks for a thing: ``later`` waits for ``earlier``, which is done to the thing.

    ``later`` is None where a target that is only reached asks.
    """

    later: str | None
    earlier: str
    reason: Reason


@dataclass(frozen=True)
class Obstacle:
    """What has to move or be done in a job, and why.

    Attributes:
        name: A part, a task or a fluid, as the file names it.
        operations: What is done to it, in the order of the job; empty for a target that is only reached.
        parent: What it stands under; None for a target.
        calls: The relations that ask for it, that of the parent first; the same relation counts once.
        depth: Links from the target; 0 for a target.
    """

    name: str
    operations: tuple[Operation, ...]
    parent: str | None
    calls: tuple[Call, ...]
    depth: int

    @property
    def is_part(self) -> bool:
        """Whether it is a part; else it is work that takes nothing off."""
        return not self.operations or self.operations[0].part is not None

    @property
    def state(self) -> State:
        """How far a part comes away; ``FITTED`` where only joints of it are touched."""
        reached = (REACHES[op.kind] for op in self.operations if op.kind in REACHES)
        return max(reached, default=State.FITTED)

    @property
    def joints(self) -> tuple[str, ...]:
        """The names of its joints that are undone, slackened or cracked."""
        return tuple(dict.fromkeys(op.joint for op in self.operations if op.joint is not None))


@dataclass(frozen=True)
class Blockers:
    """Everything that a job touches, the targets first, then by distance from them."""

    machine: Machine
    things: Mapping[str, Obstacle]

    @property
    def targets(self) -> tuple[Obstacle, ...]:
        """What the job is for."""
        return tuple(thing for thing in self.things.values() if thing.parent is None)

    @property
    def in_the_way(self) -> tuple[Obstacle, ...]:
        """The parts that have to move for the targets."""
        return tuple(t for t in self.things.values() if t.is_part and t.parent is not None)

    def under(self, name: str) -> tuple[Obstacle, ...]:
        """What stands right under a thing."""
        return tuple(thing for thing in self.things.values() if thing.parent == name)


def blockers(graph: OperationGraph, targets: Iterable[Target], order: Sequence[str]) -> Blockers:
    """The tree of a job: ``order`` is what it does, ``graph`` what was possible."""
    chosen = graph.restricted(order)
    done = _by_subject(chosen, order)
    targets = tuple(targets)
    aims = dict.fromkeys(target.part for target in targets)
    things = {name: Obstacle(name, done.get(name, ()), None, (), 0) for name in aims}
    queue = list(things)
    for target in targets:
        if target.state is None:
            queue += _add_below(things, done, target.part, _called(chosen, None, goals(graph, [target])))
    for above in queue:
        calls: dict[str, list[Call]] = {}
        for operation in things[above].operations:
            renewed = (
                Clause((r.then,), r.reason) for r in chosen.follows if operation.name in (r.first, *r.also)
            )
            asked = (*chosen.needs[operation.name], *renewed)
            for name, more in _called(chosen, operation.name, asked).items():
                if name != above:
                    calls.setdefault(name, []).extend(more)
        queue += _add_below(things, done, above, calls)
    return Blockers(graph.machine, {name: _once(thing) for name, thing in things.items()})


def _called(chosen: OperationGraph, later: str | None, clauses: Iterable[Clause]) -> dict[str, list[Call]]:
    """What ``clauses`` ask for of what is chosen, by what it is done to."""
    calls: dict[str, list[Call]] = {}
    for clause in clauses:
        for name in clause.any_of:
            if name in chosen.operations:
                other = subject(chosen.operations[name])
                calls.setdefault(other, []).append(Call(later, name, clause.reason))
    return calls


def subject(operation: Operation) -> str:
    """The part, task or fluid that an operation is about."""
    return operation.part or operation.subject


def _by_subject(graph: OperationGraph, order: Sequence[str]) -> dict[str, tuple[Operation, ...]]:
    found: dict[str, list[Operation]] = {}
    for name in order:
        operation = graph.operations[name]
        found.setdefault(subject(operation), []).append(operation)
    return {name: tuple(operations) for name, operations in found.items()}


def _add_below(
    things: dict[str, Obstacle],
    done: Mapping[str, tuple[Operation, ...]],
    above: str,
    below: Mapping[str, Sequence[Call]],
) -> list[str]:
    """Put what ``above`` asks for under it, or note the call where it stands already; the new names."""
    fresh = []
    for name, calls in below.items():
        known = things.get(name)
        if known is None:
            things[name] = Obstacle(name, done[name], above, tuple(calls), things[above].depth + 1)
            fresh.append(name)
        elif known.parent is not None:
            things[name] = replace(known, calls=(*known.calls, *calls))
    return fresh


def _once(thing: Obstacle) -> Obstacle:
    """With each relation once: what is behind a part is behind each of its joints too."""
    calls: dict[tuple[object, ...], Call] = {}
    for call in thing.calls:
        calls.setdefault((call.reason.place, call.reason.kind, call.earlier), call)
    return replace(thing, calls=tuple(calls.values()))


# ---- The same job with something changed ----


def without(
    graph: OperationGraph, wanted: Iterable[Clause], part: str
) -> tuple[OperationGraph, tuple[Clause, ...]]:
    """The same question if ``part`` need not move: whatever is asked of it is granted as it stands.

    The part's own operations stay in the graph, where nothing asks for them any more; so the question keeps
    its numbers. It is not touched, so nothing is cracked for its sake.
    """
    own = set(graph.touching[part])

    def asked(clauses: Iterable[Clause]) -> tuple[Clause, ...]:
        return tuple(clause for clause in clauses if own.isdisjoint(clause.any_of))

    cracks = (
        CrackRule(
            rule.crack,
            tuple(n for n in rule.undoing if n not in own),
            tuple(n for n in rule.touching if n not in own),
        )
        for rule in graph.cracks
        if rule.crack not in own
    )
    needs = {name: clauses if name in own else asked(clauses) for name, clauses in graph.needs.items()}
    follows = tuple(rule for rule in graph.follows if rule.then not in own)
    return replace(graph, needs=needs, cracks=tuple(cracks), follows=follows), asked(wanted)


@dataclass(frozen=True)
class Way:
    """One way of meeting a need that has several: what is done to one part or joint.

    Attributes:
        operations: Any one of them will do, least first.
        taken: Whether the job goes this way.
    """

    operations: tuple[str, ...]
    taken: bool


@dataclass(frozen=True)
class Fork:
    """A need of the job that can be met in several ways; ``later`` are the operations that have it."""

    later: tuple[str, ...]
    any_of: tuple[str, ...]
    reason: Reason
    ways: tuple[Way, ...]


def forks(graph: OperationGraph, wanted: Iterable[Clause], order: Sequence[str]) -> tuple[Fork, ...]:
    """The needs of a job that another part or joint could have met, in the order of the job."""
    done = set(order)
    found: dict[tuple[object, ...], tuple[Clause, list[str]]] = {}
    for name in order:
        for clause in graph.needs[name]:
            found.setdefault((clause.any_of, clause.reason.place), (clause, []))[1].append(name)
    for clause in wanted:
        found.setdefault((clause.any_of, clause.reason.place), (clause, []))
    result = []
    for clause, later in found.values():
        ways: dict[str, list[str]] = {}
        for name in clause.any_of:
            ways.setdefault(graph.operations[name].subject, []).append(name)
        if len(ways) > 1:
            split = tuple(Way(tuple(names), not done.isdisjoint(names)) for names in ways.values())
            result.append(Fork(tuple(later), clause.any_of, clause.reason, split))
    return tuple(result)


def by_way(
    graph: OperationGraph, wanted: Iterable[Clause], fork: Fork, way: Way
) -> tuple[OperationGraph, tuple[Clause, ...]]:
    """The same question where one need is met by one of its ways only; other needs are as they were."""

    def only(clauses: Iterable[Clause]) -> tuple[Clause, ...]:
        return tuple(
            Clause(way.operations, clause.reason)
            if (clause.any_of, clause.reason.place) == (fork.any_of, fork.reason.place)
            else clause
            for clause in clauses
        )

    needs = {name: only(clauses) for name, clauses in graph.needs.items()}
    return replace(graph, needs=needs), only(wanted)


def comes_off(name: str) -> str:
    """The operation that takes a part off."""
    return Kind.REMOVE.of(name)
