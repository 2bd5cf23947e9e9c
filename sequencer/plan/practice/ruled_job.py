"""One job as the rules of good practice look at it: a fixed set of operations, either way."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from sequencer.engine.base.bits import mask_of, members
from sequencer.engine.base.job import must_ancestors, reachable
from sequencer.graph.explain import rules_as_clauses
from sequencer.graph.operations import Because, Clause, Kind, Operation, OperationGraph, Reason
from sequencer.machine.model import Joint, Machine, Part
from sequencer.machine.trade.kinds import Holds, kind_of_joint


@dataclass(frozen=True)
class PracticeJob:
    """A fixed set of operations and what the rules ask about it, in the order of taking apart.

    Attributes:
        graph: Just the operations that are done; on the way back in reversed time.
        back: Whether it is the way back.
    """

    graph: OperationGraph
    back: bool = False

    @property
    def machine(self) -> Machine:
        """The machine."""
        return self.graph.machine

    @cached_property
    def operations(self) -> Sequence[str]:
        """The names of all that is done."""
        return tuple(self.graph.operations)

    def has(self, name: str | None) -> bool:
        """Whether the operation is done in this job."""
        return name in self.graph.operations

    def undo(self, joint: Joint) -> str:
        """Undoing, or on the way back fastening."""
        return (Kind.FASTEN if self.back else Kind.UNDO).of(joint.path)

    def remove(self, part: str) -> str:
        """Taking away, or on the way back fitting."""
        return (Kind.FIT if self.back else Kind.REMOVE).of(part)

    def move_aside(self, part: str) -> str:
        """Moving aside, or on the way back moving back."""
        return (Kind.MOVE_BACK if self.back else Kind.MOVE_ASIDE).of(part)

    def torque(self, joint: Joint) -> str:
        """The final torque, an operation of the way back alone."""
        return Kind.TORQUE.of(joint.path)

    def parts(self) -> Iterator[Part]:
        """The parts in the order of the file."""
        return iter(self.machine.parts.values())

    def joints(self) -> Iterator[Joint]:
        """The joints in the order of the file."""
        return (joint for part in self.parts() for joint in part.joints.values())

    @cached_property
    def _clauses(self) -> dict[str, list[Clause]]:
        return rules_as_clauses(self.graph)

    @cached_property
    def _waiting(self) -> dict[str, frozenset[str]]:
        number = {name: place for place, name in enumerate(self.operations)}
        clauses = [
            [mask_of(number[n] for n in clause.any_of if n in number) for clause in own]
            for own in ([*self.graph.needs[name], *self._clauses.get(name, ())] for name in number)
        ]
        able = reachable(clauses, (1 << len(number)) - 1)
        before = must_ancestors(clauses, able)
        never = frozenset(name for name, place in number.items() if not able >> place & 1)
        waiting: dict[str, set[str]] = {name: set(never - {name}) for name in number}
        for name, place in number.items():
            for other in members(before[place]):
                waiting[self.operations[other]].add(name)
        return {name: frozenset(others) for name, others in waiting.items()}

    def waiting_for(self, name: str) -> frozenset[str]:
        """All that comes after ``name`` in every order of the job."""
        return self._waiting[name]

    def with_orders(self, orders: Iterable[tuple[str, str]]) -> PracticeJob:
        """The same job where the first of each pair comes before the second, whatever the machine asks."""
        needs = dict(self.graph.needs)
        for before, after in orders:
            reason = Reason(Because.STATE, f"good practice puts {before} first", self.operation(after).place)
            needs[after] = (*needs[after], Clause((before,), reason))
        return PracticeJob(replace(self.graph, needs=needs), self.back)

    def waits(self, name: str, for_: str) -> bool:
        """Whether ``name`` can only come after ``for_``."""
        return name in self.waiting_for(for_)

    def clauses_on(self, name: str) -> Iterator[tuple[str, Clause]]:
        """What waits for ``name`` in so many words: each operation with the clause that names it."""
        for other in self.graph.operations:
            for clause in (*self.graph.needs[other], *self._clauses.get(other, ())):
                if name in clause.any_of:
                    yield other, clause

    def operation(self, name: str) -> Operation:
        """The operation of that name."""
        return self.graph.operations[name]


def holds(joint: Joint) -> Holds:
    """How a joint holds its part, by its kind."""
    kind = kind_of_joint(joint.kind)
    return Holds.SLIGHT if kind is None else kind.holds
