"""The question that is put to the engine: a graph of operations and its changes, as numbers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from sequencer.engine.problem import Problem, Result, Saving, Stay, Trigger, While
from sequencer.graph.operations import Clause, OperationGraph
from sequencer.plan.order.prefer import Prefer, Scale
from sequencer.plan.order.setups import Changes, Setup
from sequencer.plan.practice.rules import PracticeStay, PracticeWhile, Rule


@dataclass(frozen=True)
class Question:
    """A problem for the engine and what its numbers mean.

    Attributes:
        names: The operation of each number.
        scale: The meaning of the costs.
        prefer: What comes first in them.
    """

    problem: Problem
    names: tuple[str, ...]
    scale: Scale
    prefer: Prefer

    def order(self, result: Result) -> tuple[str, ...]:
        """The answer's order by name, without the operation that stands for the start."""
        return tuple(self.names[number] for number in result.order if number < len(self.names))


def ask(
    graph: OperationGraph,
    goals: Sequence[Clause],
    changes: Changes,
    prefer: Prefer = Prefer.TIME,
    *,
    backwards: bool = False,
    rules: Sequence[Rule] = (),
) -> Question:
    """Put the graph's operations, needs and rules into numbers; ``graph`` holds only what is relevant.

    ``backwards`` is for a graph in reversed time: every change is paid in the other direction, the end of
    the order is where the work starts, and one operation more (number n, without a name) stands for that
    start, so that its cost is paid at the end. With ``rules`` of good practice, ``goals`` ask for every
    operation.
    """
    names = tuple(graph.operations)
    index = {name: number for number, name in enumerate(names)}
    setups = _Setups(graph, changes, prefer, rules)
    seconds = [op.seconds for op in graph.operations.values()]
    saved = [s.saved for s in graph.slackenings]
    scale = Scale.fitting([*seconds, *saved, *setups.all_seconds()], prefer, setups.ceiling(seconds))
    problem = Problem(
        durations=tuple(scale.cost(value) for value in seconds),
        setups=tuple(setups.of[name] for name in names),
        changes=setups.changes_matrix(scale),
        starts=setups.starts(scale),
        needs=tuple(tuple(_numbers(clause, index) for clause in graph.needs[name]) for name in names),
        goals=tuple(_numbers(clause, index) for clause in goals),
        orders=tuple(dict.fromkeys((index[a], index[b]) for a, b in _orders(graph, rules))),
        triggers=tuple(_triggers(graph, index)),
        savings=tuple(
            Saving(index[s.slacken], index[s.undo], scale.cost(s.saved)) for s in graph.slackenings
        ),
        whiles=tuple(_while(w, index) for rule in rules for w in rule.whiles),
        stays=tuple(_stay(s, index, setups.of) for rule in rules for s in rule.stays),
    )
    return Question(_backwards(problem) if backwards else problem, names, scale, prefer)


def _orders(graph: OperationGraph, rules: Sequence[Rule]) -> Iterator[tuple[str, str]]:
    """What comes before what, wherever both are done."""
    yield from ((rule.before, rule.after) for rule in graph.orders)
    yield from (pair for rule in rules for pair in rule.orders)


def _triggers(graph: OperationGraph, index: Mapping[str, int]) -> Iterator[Trigger]:
    """What is done as well where something else is: joints cracked in time, a fluid drained once more."""
    for crack in graph.cracks:
        if crack.undoing and crack.touching:
            undoing, touching = (tuple(index[n] for n in of) for of in (crack.undoing, crack.touching))
            yield Trigger(undoing, touching, index[crack.crack])
    for rule in graph.follows:
        second, also = (*rule.also, rule.first)[0], tuple((index[name],) for name in rule.also[1:])
        yield Trigger((index[rule.first],), (index[second],), index[rule.then], also)


def _while(rule: PracticeWhile, index: Mapping[str, int]) -> While:
    only = frozenset(index[n] for n in rule.only)
    return While(_sorted(rule.after, index), _sorted(rule.until, index), only, rule.lifts)


def _stay(rule: PracticeStay, index: Mapping[str, int], setups: Mapping[str, int]) -> Stay:
    leaving, entering = (frozenset(setups[n] for n in of) for of in (rule.leaving, rule.entering))
    return Stay(_sorted(rule.after, index), _sorted(rule.until, index), leaving, entering)


def _backwards(problem: Problem) -> Problem:
    """Turn the changes round, and let the order end with an operation that stands for the start."""
    operations, setups = range(len(problem.durations)), range(len(problem.starts))
    far = sum(map(max, problem.changes), 0) + max(problem.starts, default=0)  # never paid: it comes last
    turned = tuple((*(problem.changes[b][a] for b in setups), problem.starts[a]) for a in setups)
    start = len(problem.durations)
    return replace(
        problem,
        durations=(*problem.durations, 0),
        setups=(*problem.setups, len(problem.starts)),
        changes=(*turned, (*(far for _ in setups), 0)),
        starts=(*(0 for _ in setups), 0),
        needs=(*problem.needs, problem.goals),
        goals=(*problem.goals, (start,)),
        orders=(*problem.orders, *((number, start) for number in operations)),
        whiles=tuple(w if w.until else replace(w, only=w.only | {start}) for w in problem.whiles),
    )


class _Setups:
    """The set-ups that occur, numbered in the order of the graph, and what going between them costs.

    Where a rule of good practice tells operations of one set-up apart, each side has a number of its own.
    """

    def __init__(
        self, graph: OperationGraph, changes: Changes, prefer: Prefer, rules: Sequence[Rule] = ()
    ) -> None:
        self.changes = changes
        self.prefer = prefer
        sides = dict.fromkeys(
            names for rule in rules for s in rule.stays for names in (s.leaving, s.entering)
        )
        told = {
            name: (_setup(graph, name), tuple(name in names for names in sides)) for name in graph.operations
        }
        numbers = {key: number for number, key in enumerate(dict.fromkeys(told.values()))}
        self.setups = tuple(setup for setup, _ in numbers)
        self.of: Mapping[str, int] = {name: numbers[key] for name, key in told.items()}

    def changes_matrix(self, scale: Scale) -> tuple[tuple[int, ...], ...]:
        return tuple(
            tuple(
                scale.cost(self.changes.seconds(old, new), _count(self.prefer, old, new))
                for new in self.setups
            )
            for old in self.setups
        )

    def starts(self, scale: Scale) -> tuple[int, ...]:
        return tuple(
            scale.cost(
                self.changes.start_seconds(first),
                _count(self.prefer, self.changes.start(first.position), first),
            )
            for first in self.setups
        )

    def all_seconds(self) -> list[Fraction]:
        between = [self.changes.seconds(a, b) for a in self.setups for b in self.setups]
        return between + [self.changes.start_seconds(s) for s in self.setups]

    def ceiling(self, durations: Sequence[Fraction]) -> Fraction:
        """More than any order of all the operations can take."""
        dearest = max(self.all_seconds(), default=Fraction(0))
        return sum(durations, Fraction(0)) + dearest * (len(durations) + 1) + 1


def _setup(graph: OperationGraph, name: str) -> Setup:
    operation = graph.operations[name]
    return Setup(operation.position, operation.tool)


def _sorted(names: Iterable[str], index: Mapping[str, int]) -> tuple[int, ...]:
    return tuple(sorted(index[name] for name in names))


def _numbers(clause: Clause, index: Mapping[str, int]) -> tuple[int, ...]:
    return tuple(index[name] for name in clause.any_of)


def _count(prefer: Prefer, old: Setup, new: Setup) -> int:
    match prefer:
        case Prefer.TOOL_CHANGES:
            return int(Changes.is_tool_change(old.tool, new.tool))
        case Prefer.REACH_AROUNDS:
            return int(old.position != new.position)
        case _:
            return 0
