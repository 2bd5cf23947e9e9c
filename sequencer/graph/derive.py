"""From the machine to its operations: the table of the format page, one function for each row."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from fractions import Fraction

from sequencer.graph.carrying import with_loads_put_down
from sequencer.graph.home_tasks import calls
from sequencer.graph.kept import with_kept_order
from sequencer.graph.operations import (
    Because,
    Clause,
    CrackRule,
    FollowRule,
    HomeTask,
    Kind,
    Operation,
    OperationGraph,
    OrderRule,
    Reason,
    Slackening,
)
from sequencer.machine.model import HAND, Atom, Fluid, Freedom, Joint, Machine, Need, Part, Place, Task
from sequencer.machine.trade.relations import ASIDE, LOOSE, OFF

SLACKENING = Fraction(1, 3)
"""The share of a joint's time that slackening takes; undoing it later takes the rest."""


def derive(machine: Machine) -> OperationGraph:
    """Every operation that ``machine`` allows, with what each waits for."""
    return with_loads_put_down(with_kept_order(_Derivation(machine).graph()))


class _Derivation:
    """Collects operations and needs while it walks through the file in order."""

    def __init__(self, machine: Machine) -> None:
        self.machine = machine
        self.operations: dict[str, Operation] = {}
        self.needs: dict[str, tuple[Clause, ...]] = {}
        self.orders: list[OrderRule] = []
        self.cracks: list[CrackRule] = []
        self.slackenings: list[Slackening] = []
        self.again: list[FollowRule] = []
        self._empty = OperationGraph(machine, {}, {})
        self.undone = {name for task in machine.tasks.values() if task.only_back for name in task.undone}

    def graph(self) -> OperationGraph:
        for task in self.machine.tasks.values():
            if task.only_back:
                continue
            self._add(
                Operation(Kind.TASK, task.name, task.position, task.tool, task.seconds, task.place),
                (
                    *self._clear(task.waits, task.name),
                    *self._after(task),
                    *(self._at(task.undo.position) if task.undo else ()),
                ),
            )
        for fluid in self.machine.fluids.values():
            drain = fluid.drain
            self._add(
                Operation(Kind.DRAIN, fluid.name, drain.position, drain.tool, drain.seconds, fluid.place),
                (
                    *self._clear(drain.waits, f"the drain of {fluid.name}"),
                    *(self._at(fluid.fill.position) if fluid.fill else ()),
                ),
            )
            self._drained_again(fluid)
        for part in self.machine.parts.values():
            self._part(part)
        built = OperationGraph(self.machine, self.operations, self.needs)
        for part in self.machine.parts.values():
            for joint in part.joints.values():
                self._crack_rule(built, joint)
        home = tuple(self._home(built))
        return OperationGraph(
            self.machine,
            self.operations,
            self.needs,
            tuple(self.orders),
            tuple(self.cracks),
            tuple(self.slackenings),
            (*self._renewed(), *self._readied(home), *self.again),
            home,
        )

    def _renewed(self) -> Iterator[FollowRule]:
        """What is renewed whenever a fluid is drained."""
        for fluid in self.machine.fluids.values():
            for part in fluid.with_parts:
                reason = Reason(
                    Because.RENEWED, f"{part} is renewed whenever {fluid.name} is drained", fluid.place
                )
                yield FollowRule(Kind.DRAIN.of(fluid.name), Kind.REMOVE.of(part), reason)

    def _drained_again(self, fluid: Fluid) -> None:
        """What runs out once a part is off: the drain is open until then."""
        if fluid.again_after is None:
            return
        drain = self.operations[Kind.DRAIN.of(fluid.name)]
        again = replace(drain, again=True)
        off = self._empty.clearing(Atom(fluid.again_after))
        reason = Reason(
            Because.AGAIN, f"{fluid.name} is drained once more after {fluid.again_after} is off", fluid.place
        )
        self._add(again, (*self.needs[drain.name], Clause((drain.name,), reason), Clause(off, reason)))
        self.again += [FollowRule(name, again.name, reason, (drain.name,)) for name in off]

    def _home(self, built: OperationGraph) -> Iterator[HomeTask]:
        """The tasks of the way back, with what they need the way in to have done."""
        for name, callers in calls(built).items():
            task = self.machine.tasks[name]
            yield HomeTask(
                task,
                callers,
                (
                    *self._first(n for n in self.machine.first if n not in task.undone),
                    *self._after(task),
                    *self._at(task.position),
                    *self._clear(task.waits, name),
                ),
            )

    @staticmethod
    def _readied(home: Iterable[HomeTask]) -> Iterator[FollowRule]:
        """What one operation alone does for a task of the way back joins every job that calls for it."""
        for one in home:
            for clause in one.clauses:
                if len(clause.any_of) == 1 and clause.reason.kind is not Because.FIRST:
                    reason = replace(clause.reason, kind=Because.BACK)
                    callers = (n for n in one.callers if n not in clause.any_of)
                    yield from (FollowRule(n, *clause.any_of, reason) for n in callers)

    def _add(self, operation: Operation, clauses: Iterable[Clause]) -> None:
        """Enter an operation; what is asked for twice is waited for once.

        What its answer on the way back asks of its position is among ``clauses``, so that it is done by then.
        """
        self.operations[operation.name] = operation
        is_first = operation.kind is Kind.TASK and operation.subject in self.machine.first
        first = () if is_first else self.machine.first
        # A task of the way back may follow the undoing of a first one. What has a reason of its own to wait
        # for that one keeps it.
        early = self._first([name for name in first if name not in self.undone])
        late = self._first([name for name in first if name in self.undone])
        wanted: dict[tuple[str, ...], Clause] = {}
        for clause in (*early, *clauses, *self._at(operation.position), *late):
            wanted.setdefault(clause.any_of, clause)
        self.needs[operation.name] = tuple(wanted.values())

    def _first(self, names: Iterable[str]) -> Iterator[Clause]:
        for name in names:
            yield self._task(name, Because.FIRST, f"{name} comes before everything else")

    def _after(self, task: Task) -> Iterator[Clause]:
        for name in task.after:
            if not self.machine.tasks[name].only_back:
                yield self._task(name, Because.AFTER, f"{task.name} is done after {name}")

    def _at(self, position: str) -> Iterator[Clause]:
        """What is done and drained before anybody works at a position."""
        there = self.machine.positions[position]
        for name in there.needs:
            yield self._task(name, Because.POSITION, f"{name} comes before work at {position}")
        for name in there.drained:
            reason = Reason(
                Because.POSITION,
                f"{name} is drained before work at {position}",
                self.machine.fluids[name].place,
            )
            yield Clause((Kind.DRAIN.of(name),), reason)

    def _part(self, part: Part) -> None:
        for joint in part.joints.values():
            self._joint(part, joint)
        tasks = tuple(self._tasks(part.needs, part.name))
        steps = []
        if part.loose is not None:
            steps.append(self._loosen(part, part.loose, tasks))
        if part.aside is not None:
            steps.append(self._move_aside(part, part.aside, tasks))
        steps.append(self._remove(part, tasks))
        for earlier in range(len(steps)):
            for later in steps[earlier + 1 :]:
                reason = Reason(Because.STATE, f"{part.name} goes up through its states", part.place)
                self.orders.append(OrderRule(steps[earlier], later, reason))

    def _joint(self, part: Part, joint: Joint) -> None:
        path = joint.path
        reach = (
            *self._clear(part.to_reach, path),
            *self._clear(joint.waits, path),
            *self._tasks(part.needs, path),
            *self._tasks(joint.needs, path),
            *self._at(joint.together.position),
            *(self._at(joint.torqued_from) if joint.torque else ()),
        )
        if joint.crack is not None:
            self._add(self._on(joint, Kind.CRACK, joint.crack.seconds), reach)
        dry = (*reach, *self._dry(part.wet, part.place, path), *self._dry(joint.wet, joint.place, path))
        undo = self._on(joint, Kind.UNDO, joint.seconds)
        if part.loose is not None and joint.name in part.loose.joints:
            slacken = self._on(joint, Kind.SLACKEN, joint.seconds * SLACKENING)
            self._add(slacken, dry)
            self.slackenings.append(Slackening(slacken.name, undo.name, slacken.seconds))
            reason = Reason(Because.LOOSE, f"{path} is slackened before it is undone", part.loose.place)
            self.orders.append(OrderRule(slacken.name, undo.name, reason))
        self._add(undo, dry)

    def _loosen(self, part: Part, freedom: Freedom, tasks: tuple[Clause, ...]) -> str:
        operation = self._by_hand(part, Kind.LOOSEN, freedom.seconds)
        slack = (
            Clause(
                (Kind.SLACKEN.of(part.name, name),),
                Reason(
                    Because.LOOSE, f"{part.name} is loose once {part.name}/{name} is slack", freedom.place
                ),
            )
            for name in freedom.joints
        )
        self._add(operation, (*slack, *self._barred(part, LOOSE, tasks)))
        return operation.name

    def _move_aside(self, part: Part, freedom: Freedom, tasks: tuple[Clause, ...]) -> str:
        operation = self._by_hand(part, Kind.MOVE_ASIDE, freedom.seconds)
        held = (
            self._undone(
                part, name, Because.ASIDE, f"{part.name}/{name} keeps {part.name} in place", freedom.place
            )
            for name in freedom.joints
        )
        dry = self._dry(part.wet, part.place, part.name)
        self._add(operation, (*held, *self._barred(part, ASIDE, tasks), *dry))
        return operation.name

    def _remove(self, part: Part, tasks: tuple[Clause, ...]) -> str:
        operation = self._by_hand(part, Kind.REMOVE, part.seconds)
        held = (
            self._undone(part, joint.name, Because.HELD, f"{joint.path} holds {part.name}", joint.place)
            for joint in part.joints.values()
        )
        dry = self._dry(part.wet, part.place, part.name)
        self._add(operation, (*held, *self._riding(part), *self._barred(part, OFF, tasks), *dry))
        return operation.name

    def _barred(self, part: Part, move: str, tasks: tuple[Clause, ...]) -> tuple[Clause, ...]:
        """What a move of a part waits for by relations, and ``tasks`` for all work on it."""
        reach, leave = (
            self._clear((need for need in needs if move in need.relation.waits), part.name)
            for needs in (part.to_reach, part.to_leave)
        )
        return (*reach, *tasks, *leave)

    def _riding(self, part: Part) -> Iterator[Clause]:
        """What rides along hangs by nothing but the joints that it rides with, or is off."""
        for rider in self.machine.riders(part.name):
            for joint in rider.joints.values():
                if joint.name not in rider.stays_with:
                    reason = Reason(
                        Because.HELD,
                        f"{rider.name} rides off on {part.name} once {joint.path} is undone",
                        joint.place,
                    )
                    off = Kind.REMOVE.of(rider.name)
                    yield Clause((Kind.UNDO.of(joint.path), off), reason)

    def _crack_rule(self, built: OperationGraph, joint: Joint) -> None:
        if joint.crack is None:
            return
        crack = Kind.CRACK.of(joint.path)
        undoing = tuple(
            name for kind in (Kind.SLACKEN, Kind.UNDO) if (name := kind.of(joint.path)) in self.operations
        )
        touching = tuple(
            name for part in joint.crack.while_parts for name in built.touching[part] if name != crack
        )
        self.cracks.append(CrackRule(crack, undoing, touching))
        holders = ", ".join(joint.crack.while_parts)
        reason = Reason(
            Because.CRACK, f"{joint.path} is cracked while {holders} still holds it", joint.crack.place
        )
        for later in dict.fromkeys((*undoing, *touching)):
            self.orders.append(OrderRule(crack, later, reason))

    @staticmethod
    def _on(joint: Joint, kind: Kind, seconds: Fraction) -> Operation:
        return Operation(
            kind, joint.path, joint.position, joint.tool, seconds, joint.place, joint.part, joint.name
        )

    @staticmethod
    def _by_hand(part: Part, kind: Kind, seconds: Fraction) -> Operation:
        return Operation(kind, part.name, part.position, HAND, seconds, part.place, part.name)

    def _clear(self, needs: Iterable[Need], subject: str) -> tuple[Clause, ...]:
        return tuple(clause for need in needs if (clause := clause_for(self._empty, need, subject)))

    def _dry(self, fluids: Iterable[str], place: Place, subject: str) -> Iterator[Clause]:
        for fluid in fluids:
            reason = Reason(Because.WET, f"opening {subject} would spill {fluid}", place)
            yield Clause((Kind.DRAIN.of(fluid),), reason)

    def _tasks(self, tasks: Iterable[str], subject: str) -> Iterator[Clause]:
        for name in tasks:
            yield self._task(name, Because.TASK, f"{name} comes before work on {subject}")

    def _task(self, name: str, because: Because, text: str) -> Clause:
        place = self.machine.tasks[name].place
        return Clause((Kind.TASK.of(name),), Reason(because, text, place))

    @staticmethod
    def _undone(part: Part, joint: str, because: Because, text: str, place: Place) -> Clause:
        return Clause((Kind.UNDO.of(part.name, joint),), Reason(because, text, place))


def clause_for(graph: OperationGraph, need: Need, subject: str) -> Clause | None:
    """The clause that ``need`` makes for ``subject``; None when it is met by parts as fitted."""
    operations: list[str] = []
    for atom in need.any_of:
        clearing = graph.clearing(atom)
        if not clearing:
            return None
        operations += clearing
    words = " or ".join(_in_words(atom) for atom in need.any_of)
    text = f"{words} before {subject} can {need.relation.able}"
    return Clause(tuple(dict.fromkeys(operations)), Reason(need.relation, text, need.place))


def _in_words(atom: Atom) -> str:
    """``guard has to be off``, ``motor has to be loose``, ``motor/plug has to be undone``."""
    if atom.joint is not None:
        return f"{atom.part}/{atom.joint} has to be undone"
    return f"{atom.part} has to be {atom.state.word}"
