"""Random small problems that use every word of the interface."""

from __future__ import annotations

import random

from hypothesis import strategies as st

from sequencer.engine import Problem, Saving, Trigger
from sequencer.engine.base.costs import Costs


def random_problem(rng: random.Random, n: int, setups: int = 4, closed: bool | None = None) -> Problem:
    """A problem of ``n`` operations, dense enough that most take several operations to meet the goals."""
    m = rng.randint(1, setups)
    ops = range(n)
    high = rng.choice((3, 9, 30))
    durations = tuple(rng.randint(0, high) if rng.random() < 0.8 else 0 for _ in ops)
    rows = [[0 if a == b else rng.randint(0, 9) for b in range(m)] for a in range(m)]
    costs = Costs(tuple(map(tuple, rows)), tuple(rng.randint(0, 9) for _ in range(m)))
    if closed or (closed is None and rng.random() < 0.6):
        costs = costs.closure

    def clause(op: int) -> tuple[int, ...]:
        pool = ops if rng.random() < 0.15 else range(op) if op else ops
        return tuple(rng.sample(pool, min(len(pool), rng.choice((1, 1, 2, 2, 3)))))

    def pair() -> tuple[int, int]:
        a, b = rng.sample(ops, 2)
        return (a, b) if rng.random() < 0.2 else (min(a, b), max(a, b))

    few = range(rng.randint(0, 2))
    pairs = dict.fromkeys(pair() for _ in few)
    return Problem(
        durations=durations,
        setups=tuple(rng.randrange(m) for _ in ops),
        changes=costs.changes,
        starts=costs.starts,
        needs=tuple(tuple(clause(op) for _ in range(rng.choice((0, 1, 1, 2)))) for op in ops),
        goals=tuple(
            tuple(rng.sample(ops[n // 2 :], rng.choice((1, 1, 2)))) for _ in range(rng.choice((1, 1, 2, 3)))
        ),
        orders=tuple(pair() for _ in range(rng.randint(0, 3))),
        triggers=tuple(
            Trigger(tuple(rng.sample(ops, 2)), tuple(rng.sample(ops, 2)), rng.randrange(n)) for _ in few
        ),
        savings=tuple(Saving(a, b, rng.randint(0, min(durations[a], durations[b]))) for a, b in pairs),
        done=frozenset(rng.sample(ops, 1) if rng.random() < 0.2 else ()),
    )


@st.composite
def problems(draw, least: int = 4, most: int = 6, closed: bool | None = None) -> Problem:
    seed = draw(st.integers(0, 2**40))
    return random_problem(random.Random(seed), draw(st.integers(least, most)), closed=closed)
