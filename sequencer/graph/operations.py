"""The graph of operations: what can be done to a machine, and what each operation waits for.

Needs are an AND of ORs: an operation waits for every one of its clauses, and any one operation of a
clause meets it. What holds only between operations that are both done in a job (a joint is cracked before
the belt that holds it is touched) stands apart, as ``OrderRule`` and ``CrackRule``.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field
from enum import Enum
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING

from sequencer.machine.model import PLUG, Atom, Joint, Machine, Place, State, Subject, Task
from sequencer.machine.trade.relations import Relation

if TYPE_CHECKING:
    import networkx as nx


class Kind(Enum):
    """What is done; the value is the word that a plan uses for it. The way back has its own."""

    TASK = "task"
    DRAIN = "drain"
    CRACK = "crack"
    SLACKEN = "slacken"
    LOOSEN = "loosen"
    UNDO = "undo"
    MOVE_ASIDE = "move-aside"
    REMOVE = "remove"

    SEAL = "seal"
    RESTORE = "restore"
    FILL = "fill"
    CLOSE = "close"
    LEAK_CHECK = "leak-check"
    TORQUE = "torque"
    RETIGHTEN = "retighten"
    TIGHTEN = "tighten"
    SEAT = "seat"
    FASTEN = "fasten"
    MOVE_BACK = "move-back"
    FIT = "fit"

    def of(self, subject: str, joint: str | None = None, *, again: bool = False) -> Op:
        """The operation of this kind on a part, a task, a fluid, ``part/joint``, or on a part's ``joint``."""
        where = subject if joint is None else f"{subject}/{joint}"
        return Op(f"{self.value} {where}{_AGAIN if again else ''}")


_AGAIN = " again"
_KINDS = {kind.value: kind for kind in Kind}


class Op(str):
    """An operation's name as a value: ``undo pulley/bolts`` is a ``Kind.UNDO``, of a joint of the pulley.

    ``Kind.of`` makes one; ``Op(text)`` reads one from a journal or from JSON. It equals its own text.
    """

    __slots__ = ()

    @property
    def kind(self) -> Kind | None:
        """What is done; None for a word that this version does not know."""
        return _KINDS.get(self.partition(" ")[0])

    @property
    def subject(self) -> Subject:
        """What it is done to, as the file names it: a part, ``part/joint``, a task or a fluid."""
        return Subject(self.partition(" ")[2].removesuffix(_AGAIN))

    @property
    def again(self) -> bool:
        """Whether it is a draining once more."""
        return self.endswith(_AGAIN)

    @property
    def part(self) -> str:
        """The subject without its joint."""
        return self.subject.part

    @property
    def joint(self) -> str:
        """The name of the joint within its part; empty for none."""
        return self.subject.joint

    @property
    def gate(self) -> str | None:
        """The joint to which it gives its torque, ``part/joint``; None for none."""
        if self.kind is Kind.CLOSE:
            return f"{self.subject}/{PLUG}"
        return self.subject if self.kind is Kind.TORQUE else None


def subjects(operations: Iterable[str], *kinds: Kind) -> set[str]:
    """What the operations of these kinds are done to."""
    return {op.subject for op in map(Op, operations) if op.kind in kinds}


def bench_lists(machine: Machine, order: Iterable[str]) -> dict[str, tuple[str, ...]]:
    """What is ticked before an operation is, by its name: a part's bench list, before it is first touched.

    ``order`` is all that is done on the way back. The list stands at the part's fitting or moving back, or at
    its bead where that comes first; a part that was only eased loose is not fitted, and needs none.
    """
    names = tuple(map(Op, order))
    fitted = subjects(names, Kind.FIT, Kind.MOVE_BACK) & {*machine.parts}
    found: dict[str, Op] = {}
    for name in names:
        if name.kind in (Kind.SEAL, Kind.FIT, Kind.MOVE_BACK) and name.subject in fitted:
            found.setdefault(name.subject, name)
    return {name: prepare for part, name in found.items() if (prepare := machine.parts[part].prepare)}


def asked_at(machine: Machine, position: str) -> set[str]:
    """The operations that come before any work at a position."""
    there = machine.positions[position]
    tasks = {Kind.TASK.of(name) for name in there.needs}
    return tasks | {Kind.DRAIN.of(name) for name in there.drained}


REACHES = {Kind.LOOSEN: State.LOOSE, Kind.MOVE_ASIDE: State.ASIDE, Kind.REMOVE: State.OFF}
"""The state that a part is in after an operation on the part itself."""


@dataclass(frozen=True)
class Operation:
    """One thing to do, at one position with one tool.

    Attributes:
        subject: What it is done to, as the file names it: a part, ``part/joint``, a task or a fluid.
        seconds: Its own time in full; an undoing after a slackening takes ``seconds`` less the saving.
        part: The part that it touches, if any; ``joint`` is the name within that part.
        place: Where the file speaks of the subject.
        again: It is a draining once more.
    """

    kind: Kind
    subject: str
    position: str
    tool: str
    seconds: Fraction
    place: Place
    part: str | None = None
    joint: str | None = None
    again: bool = False

    @property
    def name(self) -> str:
        """The name in a plan, for example ``undo pulley/bolts``; ``drain oil again``."""
        return self.kind.of(self.subject, again=self.again)


def joint_of(machine: Machine, operation: Operation) -> Joint | None:
    """The joint that an operation works on; of a drain its plug."""
    if operation.kind in (Kind.DRAIN, Kind.CLOSE):
        return machine.fluids[operation.subject].plug
    if operation.part is None or operation.joint is None:
        return None
    return machine.joint(operation.part, operation.joint)


class Because(Enum):
    """The kinds of reason for which one operation waits for another, besides the relations of the file."""

    HELD = "joints"
    LOOSE = "loose"
    ASIDE = "aside"
    WET = "wet"
    TASK = "needs"
    AFTER = "after"
    POSITION = "position"
    FIRST = "first"
    CRACK = "crack"
    STATE = "state"
    RENEWED = "with"
    AGAIN = "again_after"
    BACK = "only: back"
    WHEN = "when"
    KEPT = "taken_apart"


@dataclass(frozen=True)
class Reason:
    """Why an operation waits: a kind, a clause in words, and the place in the file that says so."""

    kind: Because | Relation
    text: str
    place: Place

    def __str__(self) -> str:
        return f"{self.text} ({self.place})"

    @property
    def bars_the_way(self) -> bool:
        """Whether the file says that something is in the way of reaching it."""
        return isinstance(self.kind, Relation) and self.kind.reaches


@dataclass(frozen=True)
class Clause:
    """Operations of which any one will do, and why one of them is waited for."""

    any_of: tuple[str, ...]
    reason: Reason


@dataclass(frozen=True)
class OrderRule:
    """Where both operations are done in a job, ``before`` comes first."""

    before: str
    after: str
    reason: Reason


@dataclass(frozen=True)
class CrackRule:
    """``crack`` is done in every job that does one of ``undoing`` and one of ``touching``."""

    crack: str
    undoing: tuple[str, ...]
    touching: tuple[str, ...]

    def called_by(self, chosen: AbstractSet[str]) -> bool:
        """Whether a choice of operations calls for the crack and lacks it."""
        return (
            self.crack not in chosen
            and not chosen.isdisjoint(self.undoing)
            and not chosen.isdisjoint(self.touching)
        )


@dataclass(frozen=True)
class FollowRule:
    """``then`` is done in every job that does ``first`` and all of ``also``, be it before or after."""

    first: str
    then: str
    reason: Reason
    also: tuple[str, ...] = ()

    def called_by(self, chosen: AbstractSet[str]) -> bool:
        """Whether a choice of operations calls for it."""
        return chosen >= {self.first, *self.also}


@dataclass(frozen=True)
class HomeTask:
    """A task of the way back alone: done in every job that does one of ``callers``.

    ``clauses`` is what has to be done on the way in, and not yet undone, when it is done.
    """

    task: Task
    callers: tuple[str, ...]
    clauses: tuple[Clause, ...]


@dataclass(frozen=True)
class Slackening:
    """What was slackened takes ``saved`` seconds less to undo."""

    slacken: str
    undo: str
    saved: Fraction


@dataclass(frozen=True)
class OperationGraph:
    """Every operation that the machine allows, by name, in the order of the file."""

    machine: Machine
    operations: Mapping[str, Operation]
    needs: Mapping[str, tuple[Clause, ...]]
    orders: tuple[OrderRule, ...] = ()
    cracks: tuple[CrackRule, ...] = ()
    slackenings: tuple[Slackening, ...] = field(default=())
    follows: tuple[FollowRule, ...] = ()
    home: tuple[HomeTask, ...] = ()

    def reaching(self, atom: Atom) -> tuple[str, ...]:
        """The operations of which any one makes ``atom`` clear, least first; empty if it is clear as fitted.

        A state that the part lacks is met by the next later one.
        """
        if atom.joint is not None:
            return (Kind.UNDO.of(atom.part, atom.joint),)
        if atom.state is State.FITTED:
            return ()
        states = [state for state in self.machine.parts[atom.part].states() if state >= atom.state]
        kinds = {state: kind for kind, state in REACHES.items()}
        return tuple(kinds[state].of(atom.part) for state in states)

    def clearing(self, atom: Atom) -> tuple[str, ...]:
        """Those, and the removals that the part may ride along with: it is out of the way then."""
        own = self.reaching(atom)
        if atom.joint is not None or not own:
            return own
        return (*own, *(Kind.REMOVE.of(other) for other in self.machine.carriers(atom.part)))

    def called(self, chosen: AbstractSet[str]) -> tuple[str, ...]:
        """What a choice of operations calls for by itself, and lacks: cracks, and what is renewed as well."""
        cracks = (rule.crack for rule in self.cracks if rule.called_by(chosen))
        return (*cracks, *(r.then for r in self.follows if r.called_by(chosen) and r.then not in chosen))

    @cached_property
    def touching(self) -> Mapping[str, tuple[str, ...]]:
        """For each part, the operations on it and on its joints."""
        found: dict[str, list[str]] = {part: [] for part in self.machine.parts}
        for operation in self.operations.values():
            if operation.part is not None:
                found[operation.part].append(operation.name)
        return {part: tuple(names) for part, names in found.items()}

    def restricted(self, keep: Iterable[str]) -> OperationGraph:
        """The graph of the operations in ``keep`` alone; a clause keeps what is left of its operations."""
        kept = set(keep)
        return OperationGraph(
            machine=self.machine,
            operations={name: op for name, op in self.operations.items() if name in kept},
            needs={
                name: tuple(
                    Clause(tuple(n for n in clause.any_of if n in kept), clause.reason)
                    for clause in self.needs[name]
                )
                for name in self.operations
                if name in kept
            },
            orders=tuple(rule for rule in self.orders if rule.before in kept and rule.after in kept),
            cracks=tuple(
                CrackRule(
                    rule.crack,
                    tuple(n for n in rule.undoing if n in kept),
                    tuple(n for n in rule.touching if n in kept),
                )
                for rule in self.cracks
                if rule.crack in kept
            ),
            slackenings=tuple(s for s in self.slackenings if s.slacken in kept and s.undo in kept),
            follows=tuple(r for r in self.follows if r.called_by(kept) and r.then in kept),
            home=tuple(
                HomeTask(one.task, callers, one.clauses)
                for one in self.home
                if (callers := tuple(n for n in one.callers if n in kept))
            ),
        )

    def to_networkx(self) -> nx.DiGraph:
        """The AND-of-ORs as a graph: an arc runs from what is waited for to what waits.

        A clause with one operation is an arc between operations; one with several is a node of its own,
        ``(operation, number)``, with ``any=True``. Order rules are arcs with ``both=True``.
        """
        import networkx as nx

        graph = nx.DiGraph()
        for operation in self.operations.values():
            graph.add_node(operation.name, operation=operation)
        for name, clauses in self.needs.items():
            for number, clause in enumerate(clauses):
                if len(clause.any_of) == 1:
                    graph.add_edge(clause.any_of[0], name, reason=clause.reason)
                else:
                    node = (name, number)
                    graph.add_node(node, any=True)
                    graph.add_edge(node, name, reason=clause.reason)
                    graph.add_edges_from(((other, node) for other in clause.any_of), reason=clause.reason)
        for rule in self.orders:
            if not graph.has_edge(rule.before, rule.after):
                graph.add_edge(rule.before, rule.after, reason=rule.reason, both=True)
        return graph
