"""List scheduling: operations handed out one by one by a rule of thumb, in many variants.

The classic scheme (parallel schedule generation; Kolisch 1996, "Serial and parallel resource-constrained
project scheduling methods revisited", EJOR 90) with set-ups in the priority: next comes what
can start soon, has much after it, and costs its people little time on the way.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from sequencer.engine.crew.crew_problem import CrewProblem, Timetable
from sequencer.engine.crew.floor import Floor
from sequencer.engine.crew.paths import Paths

TRIES = 60
"""Variants with a little chance in their priorities, beside the plain ones."""

SEED = 1


@dataclass(frozen=True)
class DispatchRule:
    """Next is the least ``start − tail · after + lost · away + rank · place + chance``.

    ``after`` is the time that must pass after the operation, ``away`` the time that its people spend on the
    way and waiting, ``place`` the operation's place in the given order as a share of the whole work, and
    ``chance`` at most ``noise``.
    """

    tail: float
    away: float
    rank: float
    noise: float = 0.0


def list_schedules(problem: CrewProblem, paths: Paths, order: Sequence[int]) -> Iterator[Timetable]:
    """Timetables by every rule, the plain ones first; a rule that ends in a dead end is left out.

    A first one has person 0 do all that one person can do, in the given order.
    """
    alone = in_sequence(problem, order)
    if alone is not None:
        yield alone
    for rule in _rules(problem):
        found = dispatch(problem, paths, order, rule)
        if found is not None:
            yield found


def _rules(problem: CrewProblem) -> Iterator[DispatchRule]:
    for rank in (0.0, 0.1, 0.3, 1.0):
        for away in (0.0, 0.5, 1.5):
            for tail in (0.0, 0.05, 0.2):
                yield DispatchRule(tail, away, rank)
    rng = random.Random(SEED)  # noqa: S311 - no secret: the same variants every time
    typical = problem.work / max(1, len(problem.durations))
    for _ in range(TRIES):
        yield DispatchRule(
            rng.choice((0.0, 0.05, 0.1, 0.2, 0.5)),
            rng.choice((0.0, 0.3, 0.6, 1.0, 2.0)),
            rng.choice((0.0, 0.05, 0.1, 0.2, 0.4, 0.8)),
            rng.choice((0.2, 0.5, 1.0)) * typical,
        )


def in_sequence(problem: CrewProblem, order: Sequence[int]) -> Timetable | None:
    """Everything in the given order, by the first people as far as they suffice."""
    floor = Floor(problem)
    for op in order:
        team = tuple(range(len(problem.roles[op])))
        start = floor.earliest(op, team)
        if start is None:
            return None
        floor.put(op, team, start)
    return floor.timetable()


def dispatch(
    problem: CrewProblem, paths: Paths, order: Sequence[int], rule: DispatchRule
) -> Timetable | None:
    """One timetable by one rule; None if nobody can go on."""
    floor = Floor(problem)
    rng = random.Random(SEED)  # noqa: S311
    scale = problem.work / max(1, len(order) - 1)
    bias = {
        op: rule.rank * scale * place - rule.tail * paths.tails[op] + rule.noise * rng.random()
        for place, op in enumerate(order)
    }
    waiting = list(order)
    while waiting:
        best: tuple[float, int, int, tuple[int, ...]] | None = None
        for op in waiting:
            if floor.ready(op) is None:
                continue
            for team in floor.teams(op):
                start = floor.earliest(op, team)
                if start is None:
                    continue
                away = sum(start - floor.free[person] for person in team)
                score = start + rule.away * away + bias[op]
                if best is None or score < best[0]:
                    best = (score, op, start, team)
        if best is None:
            return None
        _, op, start, team = best
        floor.put(op, team, start)
        waiting.remove(op)
    return floor.timetable()
