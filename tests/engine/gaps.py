"""Random small problems of a fixed set of operations, with rules about neighbouring steps."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import permutations

from sequencer.engine import Problem, Status, Stay, While, solve
from tests.engine.reference import cost_of
from tests.engine.strategies import random_problem


def random_gaps(rng: random.Random, n: int, closed: bool | None = None) -> Problem:
    """A problem of ``n`` operations that are all done, some of them beforehand, with whiles and stays."""
    problem = random_problem(rng, n, closed=closed)
    ops, setups = range(n), range(len(problem.starts))

    def some(most: int) -> tuple[int, ...]:
        return tuple(rng.sample(ops, rng.randint(0 if rng.random() < 0.1 else 1, most)))

    def rest(share: float) -> frozenset[int]:
        return frozenset(op for op in ops if rng.random() < share)

    def stay() -> Stay:
        leaving = frozenset(s for s in setups if rng.random() < 0.5)
        entering = frozenset(setups) - leaving if rng.random() < 0.7 else frozenset(rng.sample(setups, 1))
        return Stay(some(2), some(2), leaving, entering)

    thin = rng.random() < 0.5
    return replace(
        problem,
        needs=tuple(clauses[:1] if thin else clauses for clauses in problem.needs),
        goals=tuple((op,) for op in ops),
        whiles=tuple(
            While(some(2), some(2), rest(rng.choice((0, 0.3, 0.7))), lifts=rng.random() < 0.7)
            for _ in range(rng.randint(0, 4))
        ),
        stays=tuple(stay() for _ in range(rng.randint(0, 3))),
    )


def least(problem: Problem) -> int | None:
    """The least cost over every order of the whole set."""
    open_ops = [op for op in range(len(problem.durations)) if op not in problem.done]
    costs = (cost_of(problem, order) for order in permutations(open_ops))
    return min((cost for cost in costs if cost is not None), default=None)


def turned_round(problem: Problem) -> Problem:
    """The same orders read backwards, at the same costs; for a problem without choices and nothing done.

    One operation more comes first, from which every change is free, and one last: where it began.
    """
    n, m = len(problem.durations), len(problem.starts)
    first, last = n, n + 1
    needs: list[list[tuple[int, ...]]] = [[] for _ in range(n + 2)]
    pairs = [(c[0], op) for op, clauses in enumerate(problem.needs) for c in clauses] + [*problem.orders]
    for before, after in pairs:
        needs[before].append((after,))
    for op in range(n):
        needs[op].append((first,))
        needs[last].append((op,))
    rows = [[*(problem.changes[b][a] for b in range(m)), 99, problem.starts[a]] for a in range(m)]
    rows += [[0] * (m + 2), [*[99] * m, 99, 0]]
    return replace(
        problem,
        durations=(*problem.durations, 0, 0),
        setups=(*problem.setups, m, m + 1),
        changes=tuple(map(tuple, rows)),
        starts=(*[99] * m, 0, 99),
        needs=tuple(map(tuple, needs)),
        goals=(*problem.goals, (first,), (last,)),
        orders=(),
        whiles=tuple(
            replace(w, after=w.until or (first,), until=w.after or (last,), only=w.only | {first, last})
            for w in problem.whiles
        ),
        stays=tuple(
            Stay(s.until or (first,), s.after or (last,), s.entering, s.leaving) for s in problem.stays
        ),
    )


def agrees(problem: Problem) -> bool:
    """Hold the engine's answer against every order; whether there is one."""
    result, best = solve(problem), least(problem)
    if best is None:
        assert result.status is Status.IMPOSSIBLE
        return False
    assert result.status is Status.PROVEN
    assert cost_of(problem, result.order) == result.cost == result.bound == best
    return True
