"""The reversed graph: what putting back consists of, and what each step of it waits for.

The way back is solved in *reversed time*. Read from its end to its beginning, a reassembly is a removal:
fastening P/J, read backwards, needs the very things clear that undoing P/J needed. So the graph here has
the needs of the teardown under the names of the reassembly, and an order of it, reversed, is the order of
work. That keeps alternatives right as well: with "bracket or motor" in front, the stud has to be tight
before the *last* of the two is back.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from sequencer.graph.carrying import let_go
from sequencer.graph.derive import clause_for
from sequencer.graph.fastening import BACK, TORQUE_DRIVE, together, tools_in, torquing
from sequencer.graph.home_tasks import follow_first, insist, operation_of, orders_of
from sequencer.graph.kept import kept_on_the_way_back, without_kept_order
from sequencer.graph.operations import (
    Because,
    Clause,
    Kind,
    Op,
    Operation,
    OperationGraph,
    OrderRule,
    Reason,
    Slackening,
    asked_at,
)
from sequencer.graph.reach import possible
from sequencer.graph.serving import putting_away, tightening
from sequencer.graph.torque_waits import awaited, freed, holders_first, one_set
from sequencer.graph.torque_waits import orders_of as torque_orders
from sequencer.machine.model import HAND, Joint

LEAK_CHECK_SECONDS = Fraction(120)
"""Seconds to look for leaks after a fluid is filled (common practice)."""


@dataclass(frozen=True)
class WayBack:
    """The reversed graph of one job.

    Attributes:
        graph: Operations of the reassembly, with their needs in reversed time.
        goals: What the reassembly must contain; the rest (an intermediate state) it may.
        gates: The joint that each ``torque`` operation closes.
        waits: For a gate of a joint that was cracked: the parts that must be back before it.
        drives: The torque wrenches used, tool name to drive.
        unreachable_fills: Fluids whose filler is behind something that this job leaves in place, or has to
            put back before it can be filled; and why.
        yielded: Gates that come later than a kept order has them: they are torqued as one set with others.
    """

    graph: OperationGraph
    goals: tuple[Clause, ...]
    gates: Mapping[str, Joint]
    waits: Mapping[str, tuple[str, ...]]
    drives: Mapping[str, str | None]
    unreachable_fills: tuple[tuple[str, Reason], ...] = ()
    yielded: tuple[str, ...] = ()


def way_back(graph: OperationGraph, chosen: Iterable[str], as_done: Sequence[str] = ()) -> WayBack:
    """The way back from a job that did the operations in ``chosen`` of ``graph``.

    ``as_done`` is the order in which that was really done: it may show that a kept one is of no matter.
    """
    return _Reversal(without_kept_order(graph.restricted(chosen))).result(as_done)


class _Reversal:
    """Collects the reassembly while it walks through the operations that were done."""

    def __init__(self, done: OperationGraph) -> None:
        self.done = done
        self.machine = done.machine
        self.operations: dict[str, Operation] = {}
        self.needs: dict[str, list[Clause]] = {}
        self.wishes: dict[str, list[Clause]] = {}
        self.orders: list[OrderRule] = []
        self.gates: dict[str, Joint] = {}
        self.waits: dict[str, tuple[str, ...]] = {}
        self.unreachable_fills: list[tuple[str, Reason]] = []
        self.cracked = {op.subject for op in done.operations.values() if op.kind is Kind.CRACK}

    def result(self, as_done: Sequence[str]) -> WayBack:
        for operation in self.done.operations.values():
            self._answer(operation)
        for operation in self.done.operations.values():
            if operation.kind is Kind.RESTORE and Kind.TASK.of(operation.subject) in self.done.operations:
                self._set_up_again(operation)
        for rule in self.done.orders:
            before, after = self._back(rule.before), self._back(rule.after)
            if before and after and before != after:
                self.orders.append(replace(rule, before=before, after=after))
        self.orders += holders_first(self.waits, self.gates, self.operations)
        self._in_place_before_tight()
        self.needs.update(let_go(self.machine, self.operations, self.needs))
        self._tasks_of_the_way_back()
        self._torques_that_wait()
        self._grant_wishes()
        graph = OperationGraph(
            self.machine,
            self.operations,
            {name: tuple(clauses) for name, clauses in self.needs.items()},
            tuple(dict.fromkeys(self.orders)),
            slackenings=tuple(
                Slackening(tighten, self._named(s.undo), self.operations[tighten].seconds)
                for s in self.done.slackenings
                if (tighten := self._named(s.slacken))
            ),
        )
        answers = {name: back for name in self.done.operations if (back := self._back(name))}
        graph, yielded = kept_on_the_way_back(
            graph, answers, as_done, tuple(one_set(self.gates, self.operations))
        )
        fills = tuple(dict.fromkeys(self.unreachable_fills))
        return WayBack(graph, self._goals(), self.gates, self.waits, self._drives(), fills, yielded)

    def _goals(self) -> tuple[Clause, ...]:
        optional = self._optional()
        return tuple(
            Clause((name,), Reason(Because.STATE, f"{op.subject} has to be as it was", op.place))
            for name, op in self.operations.items()
            if name not in optional
        )

    def _drives(self) -> dict[str, str | None]:
        """The drive of each tool that goes on a torque wrench."""
        return {
            op.tool: TORQUE_DRIVE
            for name, op in self.operations.items()
            if (op.kind is Kind.TORQUE or name in self.gates) and TORQUE_DRIVE in tools_in(op.tool)
        }

    def _back(self, name: str) -> str | None:
        """The reassembly's name for a teardown operation; None for a task without undo, and for waste."""
        operation = self.done.operations[name]
        if operation.kind is Kind.TASK and self.machine.tasks[operation.subject].undo is None:
            return None
        if operation.kind is Kind.DRAIN and self.machine.fluids[operation.subject].fill is None:
            return None
        if operation.kind is Kind.CRACK:
            joint = self._joint(operation)
            kind = Kind.TORQUE if joint.torque else Kind.RETIGHTEN
        else:
            kind = BACK[operation.kind]
        return kind.of(operation.subject)

    def _named(self, name: str) -> str:
        back = self._back(name)
        assert back is not None
        return back

    def _joint(self, operation: Operation) -> Joint:
        assert operation.part is not None
        assert operation.joint is not None
        return self.machine.joint(operation.part, operation.joint)

    def _answer(self, operation: Operation) -> None:
        if operation.again:
            return
        if operation.kind is Kind.DRAIN:
            self._close(operation, self._at_its_answer(operation, operation.position))
        if self._back(operation.name) is None:
            return
        clauses = self._at_its_answer(operation, self._answered_from(operation))
        match operation.kind:
            case Kind.TASK:
                self._add(putting_away(self.machine.tasks[operation.subject], operation), clauses)
            case Kind.RESTORE:
                pass  # once all else is there
            case Kind.DRAIN:
                self._fill(operation, clauses)
            case Kind.CRACK:
                self._after_crack(operation, clauses)
            case Kind.UNDO | Kind.SLACKEN:
                self._add(together(operation, self._joint(operation)), clauses)
                self._gate_before(operation)
            case _:
                self._add(replace(operation, kind=BACK[operation.kind]), clauses)

    def _add(self, operation: Operation, clauses: list[Clause]) -> None:
        self.operations[operation.name] = operation
        self.needs[operation.name] = clauses

    def _at_its_answer(self, operation: Operation, position: str) -> list[Clause]:
        """What an operation waits for, less what its position alone asks, where its answer is elsewhere."""
        asked = asked_at(self.machine, position)
        return self._clauses(
            clause
            for clause in self.done.needs[operation.name]
            if clause.reason.kind is not Because.POSITION or not asked.isdisjoint(clause.any_of)
        )

    def _answered_from(self, operation: Operation) -> str:
        """The position that an operation's answer is done from."""
        if operation.joint is not None:
            return self._joint(operation).together.position
        if operation.kind is Kind.DRAIN and (fill := self.machine.fluids[operation.subject].fill):
            return fill.position
        if operation.kind is Kind.TASK and (undo := self.machine.tasks[operation.subject].undo):
            return undo.position
        return operation.position

    def _clauses(self, clauses: Iterable[Clause]) -> list[Clause]:
        """The same needs in the reassembly's names; for a task that nothing undoes, what it is after."""
        mapped = []
        for clause in clauses:
            names = tuple(self._back(name) for name in clause.any_of)
            if None not in names:
                mapped.append(Clause(tuple(n for n in names if n), clause.reason))
                continue
            after = (c for n in clause.any_of for c in self.done.needs[n] if c.reason.kind is Because.AFTER)
            if clause.reason.kind is Because.FIRST:  # it waits no more than all else does
                after = (replace(c, reason=replace(c.reason, kind=Because.FIRST)) for c in after)
            mapped += self._clauses(after)
        return mapped

    def _set_up_again(self, away: Operation) -> None:
        """A task that was put away on the way in is done again, before what it is there for."""
        setting_up = self.done.operations.get(Kind.TASK.of(away.subject))
        if setting_up is None:  # it was there from the first, and is needed no more
            return
        clauses = self._at_its_answer(setting_up, setting_up.position)
        for clause in self.done.needs[away.name]:
            before = self.done.operations[clause.any_of[0]]
            tight = tightening(before.subject, self.operations) if before.joint else None
            name = tight or self._back(before.name)
            clauses += [Clause((name,), clause.reason)] if name else []
        self._add(setting_up, clauses)

    def _fill(self, operation: Operation, clauses: list[Clause]) -> None:
        """Filling comes after all that the fluid wets; then a look for leaks, before the drain is covered."""
        fluid = self.machine.fluids[operation.subject]
        assert fluid.fill is not None
        hard = (Because.FIRST, Because.POSITION, Because.AFTER)
        first = [clause for clause in clauses if clause.reason.kind in hard]
        check = Operation(
            Kind.LEAK_CHECK, fluid.name, fluid.fill.position, HAND, LEAK_CHECK_SECONDS, fluid.place
        )
        fill = replace(
            operation,
            kind=Kind.FILL,
            position=fluid.fill.position,
            tool=fluid.fill.tool,
            seconds=fluid.fill.seconds,
        )
        self._add(check, list(first))
        self.wishes[check.name] = [c for c in clauses if c.reason.kind not in hard]
        reason = Reason(Because.WET, f"{fluid.name} is looked at for leaks once it is filled", fluid.place)
        self._add(fill, [*first, Clause((check.name,), reason)])
        for need in fluid.fill.waits:
            clause = clause_for(self.done, need, f"the filler of {fluid.name}")
            if clause is None:
                continue
            if present := self._present([clause]):
                self.wishes.setdefault(fill.name, []).extend(present)
            else:
                self.unreachable_fills.append((fluid.name, clause.reason))

    def _close(self, drain: Operation, clauses: list[Clause]) -> None:
        """The drain is closed while it can be reached, and before anything is filled in."""
        fluid = self.machine.fluids[drain.subject]
        plug = fluid.plug
        if plug is None:
            return
        close = replace(drain, kind=Kind.CLOSE, tool=plug.tool, seconds=plug.seconds, place=plug.place)
        if plug.torque:
            tight = torquing(drain, plug)
            close = replace(close, tool=tight.tool, seconds=plug.seconds + tight.seconds)
            self.gates[close.name] = plug
        reason = Reason(Because.WET, f"{fluid.name} is filled once its drain is closed", plug.place)
        fill = [Clause((Kind.FILL.of(fluid.name),), reason)] if fluid.fill else []
        self._add(close, [*clauses, *fill])

    def _after_crack(self, operation: Operation, clauses: list[Clause]) -> None:
        """A cracked joint is tightened for good when the parts that hold it are back."""
        joint = self._joint(operation)
        if joint.torque:
            name = self._gate(operation, joint)
        else:
            retighten = together(operation, joint)
            name = retighten.name
            self._add(retighten, clauses)
        for kind in (Kind.UNDO, Kind.SLACKEN):
            opening = self.done.needs.get(kind.of(joint.path), ())
            self.needs[name] += self._clauses(c for c in opening if c.reason.kind is Because.WET)
        self.waits[name] = joint.crack.while_parts if joint.crack else ()

    def _gate_before(self, operation: Operation) -> None:
        """A joint with a torque has a gate: after its fastening, while it can still be reached."""
        joint = self._joint(operation)
        if not joint.torque:
            return
        gate = Kind.TORQUE.of(joint.path)
        if joint.path not in self.cracked and gate not in self.operations:
            self._gate(operation, joint)
        reason = Reason(Because.HELD, f"{joint.path} gets its torque once it is fastened", joint.torque.place)
        self.orders.append(OrderRule(gate, self._named(operation.name), reason))

    def _gate(self, operation: Operation, joint: Joint) -> str:
        gate = torquing(operation, joint)
        self._add(gate, self._at_its_answer(operation, gate.position))
        self.gates[gate.name] = joint
        return gate.name

    def _tasks_of_the_way_back(self) -> None:
        """What is done on the way back alone, in its place."""
        steps = {one.task.name: operation_of(one.task) for one in self.done.home}
        self.operations |= {step.name: step for step in steps.values()}
        asked: list[OrderRule] = []
        for one in self.done.home:
            self.needs[steps[one.task.name].name] = self._present(one.clauses)
            asked += orders_of(one.task, self.operations)
        self.orders += asked
        self._follow_a_first_one()
        insist(self.needs, self.orders, asked)

    def _follow_a_first_one(self) -> None:
        for one in self.done.home:
            follow_first(self.machine, one.task, self.operations, self.needs, self.orders)

    def _torques_that_wait(self) -> None:
        """What must be back before a joint gets its torque, which is only snug until then."""
        found = {
            gate: steps
            for gate, joint in self.gates.items()
            if (steps := awaited(self.machine, joint, self.operations))
        }
        asked: list[OrderRule] = []
        for gate, steps in found.items():
            asked += torque_orders(gate, self.gates[gate], steps)
        self.orders += asked
        for gate, steps in found.items():
            self.needs[gate] = freed(gate, steps, self.needs, self.orders)
        if asked:
            self._follow_a_first_one()  # such a torque may be what they wait for
            insist(self.needs, self.orders, asked)

    def _present(self, clauses: Iterable[Clause]) -> list[Clause]:
        """Needs of the way in, as far as this job did what they ask for, in the reassembly's names."""
        done = self.done.operations
        met = (Clause(tuple(n for n in c.any_of if n in done), c.reason) for c in clauses)
        return self._clauses(clause for clause in met if clause.any_of)

    def _in_place_before_tight(self) -> None:
        """A slackened joint is tightened once its part is back, also where it is not seated on the way."""
        for operation in self.done.operations.values():
            if operation.kind is not Kind.SLACKEN or operation.part is None:
                continue
            tighten = self._named(operation.name)
            for kind in (Kind.MOVE_BACK, Kind.FIT):
                back = kind.of(operation.part)
                if back in self.operations:
                    text = f"{operation.part} is back in place before {operation.subject} is tightened"
                    self.orders.append(OrderRule(tighten, back, Reason(Because.LOOSE, text, operation.place)))

    def _optional(self) -> set[str]:
        """States on the way to a later one: the reassembly may pass through them, and need not."""
        optional: set[str] = set()
        for part in self.machine.parts:
            seat, move, fit = (kind.of(part) for kind in (Kind.SEAT, Kind.MOVE_BACK, Kind.FIT))
            if fit in self.operations:
                optional.add(move)
            if fit in self.operations or move in self.operations:
                optional.add(seat)
        for name, operation in self.operations.items():
            fastened = Kind.FASTEN.of(operation.subject) in self.operations
            seat = Kind.SEAT.of(Op(name).part)
            seated = seat in self.operations and seat not in optional
            if operation.kind is Kind.TIGHTEN and fastened and not seated:
                optional.add(name)
        return optional

    def _grant_wishes(self) -> None:
        """Add what good practice wishes for wherever the machine leaves room for it.

        Nothing here is needed for a reassembly to be possible: a filling while the filler can be reached, a
        leak check while the drain is still in view. A wish that would close a circle is left out.
        """
        rules: dict[str, list[Clause]] = {}
        for rule in self.orders:
            rules.setdefault(rule.after, []).append(Clause((rule.before,), rule.reason))
        fills_first = sorted(self.wishes, key=lambda name: self.operations[name].kind is not Kind.FILL)
        for name in fills_first:
            for wish in self.wishes[name]:
                self.needs[name].append(wish)
                if len(possible(self.needs, rules)) < len(self.needs):
                    self.needs[name].remove(wish)
                    if self.operations[name].kind is Kind.FILL:
                        self.unreachable_fills.append((self.operations[name].subject, wish.reason))
