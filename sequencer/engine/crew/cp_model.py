"""The timetable as a CP-SAT model: routes of people as circuits, holds as intervals.

Every role of an operation is an item; a person's route is a path through items from a depot and back, all
people together a multiple circuit, so that the model doesn't grow with their number. Along an
arc time passes: the first operation and the change. A hold runs from ``take`` before the first item of
a run to ``give`` after its last; whether an item begins or ends a run is told by its arcs. Where nothing
is held and no change costs anything, people are one more resource and routes aren't needed.

Some of the arcs only, and fixed starts, make the model of a window: see ``windows``.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from math import ceil
from typing import TYPE_CHECKING, Any

from sequencer.engine.crew.crew_problem import CrewProblem, Timetable, Turn
from sequencer.engine.crew.paths import Paths

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

Item = tuple[int, int]
"""An operation and one of its roles."""

Arc = tuple[int, int]
"""Two items by number, counted from 1; 0 is the depot."""

NEARLY = 1e-6
"""How far a solver's bound, a float, may lie above the whole number that it means."""


@dataclass
class ModelScope:
    """What a model leaves open.

    Attributes:
        arcs: The arcs that routes may take; None: all that the needs allow.
        fixed: Operations that keep their start.
        drift: Operations whose starts count beside the length, so that a window that can't shorten the
            whole makes room.
    """

    arcs: Iterable[Arc] | None = None
    fixed: Mapping[int, int] = field(default_factory=dict)
    drift: tuple[int, ...] = ()


class Model:
    """The model of a problem within a scope, started at a known timetable."""

    def __init__(
        self,
        problem: CrewProblem,
        paths: Paths,
        known: Timetable,
        bound: int,
        scope: ModelScope | None = None,
    ) -> None:
        from ortools.sat.python import cp_model

        self.problem, self.paths, self.known = problem, paths, known
        self.scope = scope or ModelScope()
        self.cp = cp_model.CpModel()
        self.items: list[Item] = items_of(problem)
        self.number = {item: number for number, item in enumerate(self.items, start=1)}
        self.horizon = known.length
        self.length = self.cp.new_int_var(min(bound, self.horizon), self.horizon, "length")
        self.starts = self._starts()
        self.arcs: dict[Arc, Any] = {}
        self._uses: dict[int, list[tuple[Any, int]]] = {}
        self._needs()
        if routed(problem):
            self._routes()
            self._holds()
        self._demands()
        self._aim()
        self._hint()

    def timetable(self, solver: cp_model.CpSolver) -> Timetable:
        """What a solver found."""
        starts = [solver.value(start) for start in self.starts]
        return self._turns(starts, {arc for arc, lit in self.arcs.items() if solver.boolean_value(lit)})

    def bound(self, solver: cp_model.CpSolver) -> int:
        """No timetable within the scope is shorter than this."""
        weight = self.horizon * len(self.scope.drift) + 1
        whole = ceil(solver.best_objective_bound - NEARLY)
        return max(0, -((self.horizon * len(self.scope.drift) - whole) // weight))

    def _turns(self, starts: list[int], arcs: set[Arc]) -> Timetable:
        people = self._people(arcs) if routed(self.problem) else _freely(self.problem, starts)
        turns = [
            Turn(
                op,
                start,
                start + self.problem.durations[op],
                tuple(people[op, role] for role in range(len(self.problem.roles[op]))),
            )
            for op, start in enumerate(starts)
        ]
        return Timetable(self._sequence(turns, arcs))

    def _sequence(self, turns: list[Turn], arcs: set[Arc]) -> tuple[Turn, ...]:
        """By start and end; what lasts no time comes after what it needs and what its people did before."""
        before: dict[int, list[int]] = {}
        for a, b in arcs:
            if a and b:
                before.setdefault(self._at(b)[0], []).append(self._at(a)[0])
        waiting = sorted(turns, key=lambda turn: (turn.start, turn.end, turn.op))
        done: dict[int, Turn] = {}
        while waiting:
            ready = (
                turn
                for turn in waiting
                if all(op in done for op in before.get(turn.op, ()))
                and all(any(op in done for op in clause) for clause in self.problem.needs[turn.op])
            )
            turn = next(ready, waiting[0])
            done[turn.op] = turn
            waiting.remove(turn)
        return tuple(done.values())

    def _people(self, arcs: set[Arc]) -> dict[Item, int]:
        after = {a: b for a, b in arcs if a}
        found = {}
        for person, first in enumerate(sorted(b for a, b in arcs if not a and b)):
            node = first
            while node:
                found[self.items[node - 1]] = person
                node = after[node]
        return found

    def _starts(self) -> list[Any]:
        starts = []
        for op, duration in enumerate(self.problem.durations):
            if op in self.scope.fixed:
                starts.append(self.cp.new_constant(self.scope.fixed[op]))
                continue
            latest = self.horizon - duration - self.paths.tails[op]
            starts.append(self.cp.new_int_var(self.paths.heads[op], latest, f"start {op}"))
        return starts

    def _needs(self) -> None:
        ends = [s + d for s, d in zip(self.starts, self.problem.durations, strict=True)]
        for op, start in enumerate(self.starts):
            self.cp.add(self.length >= ends[op] + self.paths.tails[op])
            for clause in self.problem.needs[op]:
                if len(clause) == 1:
                    self.cp.add(start >= ends[clause[0]])
                    continue
                met = [self.cp.new_bool_var(f"{op} after {other}") for other in clause]
                self.cp.add_bool_or(met)
                for lit, other in zip(met, clause, strict=True):
                    self.cp.add(start >= ends[other]).only_enforce_if(lit)

    def _routes(self) -> None:
        problem, starts = self.problem, self.starts
        self.arcs = {
            arc: self.cp.new_bool_var(f"{arc}")
            for arc in (all_arcs(problem, self.paths) if self.scope.arcs is None else self.scope.arcs)
        }
        self.cp.add_multiple_circuit([(a, b, lit) for (a, b), lit in self.arcs.items()])
        self.cp.add(sum(lit for (a, _), lit in self.arcs.items() if not a) <= problem.people)
        way = []
        for (a, b), lit in self.arcs.items():
            if not b:
                continue
            op, setup = self._at(b)
            if a:
                before, old = self._at(a)
                cost = problem.changes[old][setup]
                self.cp.add(starts[op] >= starts[before] + problem.durations[before] + cost).only_enforce_if(
                    lit
                )
            else:
                cost = problem.starts[setup]
                self.cp.add(starts[op] >= cost).only_enforce_if(lit)
            way.append(cost * lit)
        self.cp.add(problem.people * self.length >= problem.work + sum(way))

    def _at(self, node: int) -> tuple[int, int]:
        op, role = self.items[node - 1]
        return op, self.problem.roles[op][role]

    def _holds(self) -> None:
        into: dict[int, list[int]] = {}
        out: dict[int, list[int]] = {}
        for a, b in self.arcs:
            into.setdefault(b, []).append(a)
            out.setdefault(a, []).append(b)
        for node in range(1, len(self.items) + 1):
            op, setup = self._at(node)
            for r in self.problem.scarce[setup]:
                same = [b for b in out.get(node, ()) if b and self._holds_at(b, r)]
                back = [a for a in into.get(node, ()) if a and self._holds_at(a, r)]
                self._hold(node, op, r, same, back)

    def _holds_at(self, node: int, resource: int) -> bool:
        return resource in self.problem.scarce[self._at(node)[1]]

    def _hold(self, node: int, op: int, r: int, same: list[int], back: list[int]) -> None:
        """One interval for an item: to the next item of its run, or past its end."""
        resource, cp, start = self.problem.resources[r], self.cp, self.starts[op]
        duration = self.problem.durations[op]
        far = self.horizon + resource.give
        low = start - resource.take * (1 - sum(self.arcs[a, node] for a in back))
        end = cp.new_int_var(0, far, f"held {node} {r}")
        size = cp.new_int_var(0, far + resource.take, f"hold {node} {r}")
        cp.add(end >= start + duration + resource.give * (1 - sum(self.arcs[node, b] for b in same)))
        for b in same:
            cp.add(end == self.starts[self._at(b)[0]]).only_enforce_if(self.arcs[node, b])
        first = cp.new_int_var(-resource.take, self.horizon, f"from {node} {r}")
        cp.add(first == low)
        self._uses.setdefault(r, []).append((cp.new_interval_var(first, size, end, f"use {node} {r}"), 1))

    def _demands(self) -> None:
        problem, cp = self.problem, self.cp
        spans = [
            cp.new_fixed_size_interval_var(start, d, f"op {op}")
            for op, (start, d) in enumerate(zip(self.starts, problem.durations, strict=True))
        ]
        for op, span in enumerate(spans):
            for r, amount in problem.using(op):
                if amount:
                    self._uses.setdefault(r, []).append((span, amount))
        cp.add_cumulative(spans, [len(roles) for roles in problem.roles], problem.people)
        for r, uses in self._uses.items():
            capacity = problem.resources[r].capacity
            if capacity == 1:
                cp.add_no_overlap([span for span, _ in uses])
            else:
                cp.add_cumulative([span for span, _ in uses], [amount for _, amount in uses], capacity)

    def _aim(self) -> None:
        drift = [self.starts[op] for op in self.scope.drift]
        weight = self.horizon * len(drift) + 1
        self.cp.minimize(weight * self.length + sum(drift))

    def _hint(self) -> None:
        self.cp.add_hint(self.length, self.known.length)
        for turn in self.known.turns:
            if turn.op not in self.scope.fixed:
                self.cp.add_hint(self.starts[turn.op], turn.start)
        taken = arcs_of(self.problem, self.known, self.number)
        for arc, lit in self.arcs.items():
            self.cp.add_hint(lit, arc in taken)


def routed(problem: CrewProblem) -> bool:
    """Whether it matters who does what: changes cost, or something is held from one operation to the next."""
    return any(any(row) for row in problem.changes) or any(problem.starts) or any(problem.scarce)


def items_of(problem: CrewProblem) -> list[Item]:
    """Every role of every operation."""
    return [(op, role) for op, roles in enumerate(problem.roles) for role in range(len(roles))]


def all_arcs(problem: CrewProblem, paths: Paths) -> list[Arc]:
    """Every pair of items that can follow one another in a route, the depot included both ways."""
    items = items_of(problem)
    arcs = []
    for b, (op, _) in enumerate(items, start=1):
        arcs += [(0, b), (b, 0)]
        for a, (before, _) in enumerate(items, start=1):
            if before != op and not paths.before[before] >> op & 1:
                arcs.append((a, b))
    return arcs


def arcs_of(problem: CrewProblem, known: Timetable, number: Mapping[Item, int]) -> set[Arc]:
    """The arcs of a timetable's routes."""
    arcs = set()
    for person in range(problem.people):
        nodes = [number[turn.op, role] for turn, role in known.route(person)]
        arcs |= set(zip([0, *nodes], [*nodes, 0], strict=True)) if nodes else set()
    return arcs


def _freely(problem: CrewProblem, starts: list[int]) -> dict[Item, int]:
    """Share operations out among people who are all alike; there are enough of them at every moment."""
    free = [0] * problem.people
    found = {}
    for op in sorted(range(len(starts)), key=lambda op: (starts[op], problem.durations[op])):
        for role in range(len(problem.roles[op])):
            person = min(range(problem.people), key=free.__getitem__)
            free[person] = starts[op] + problem.durations[op]
            found[op, role] = person
    return found
