"""Small random jobs, and blind search over their orders."""

from __future__ import annotations

import random
from functools import cache

from sequencer.engine.base.costs import Costs
from sequencer.engine.base.job import Job, reachable
from sequencer.engine.problem import Limits
from sequencer.engine.stop import Budget

FREE = Budget(Limits())
"""No limit."""


def random_job(rng: random.Random, n: int, setups: int = 4, closed: bool = True, ors: bool = True) -> Job:
    """A feasible job."""
    m = rng.randint(2, setups)
    rows = tuple(tuple(0 if a == b else rng.randint(0, 9) for b in range(m)) for a in range(m))
    costs = Costs(rows, tuple(rng.randint(0, 9) for _ in range(m)))
    while True:
        clauses = tuple(
            tuple(
                sum(1 << o for o in rng.sample(range(op), min(op, rng.choice((1, 1, 2) if ors else (1,)))))
                for _ in range(rng.choice((0, 1, 2)) if op else 0)
            )
            for op in range(n)
        )
        job = Job(tuple(rng.randrange(m) for _ in range(n)), clauses, costs.closure if closed else costs)
        if reachable(job.clauses, job.all) == job.all:
            return job


def cost_to_go(job: Job, done: int, setup: int) -> int:
    """The least changes after ``done`` with ``setup`` present, by trying every order."""

    @cache
    def least(done: int, setup: int) -> int:
        if done == job.all:
            return 0
        costs = job.costs.starts if setup < 0 else job.costs.changes[setup]
        return min(
            costs[job.setups[op]] + least(done | 1 << op, job.setups[op])
            for op in range(job.size)
            if not done >> op & 1 and job.ready(done, op)
        )

    return least(done, setup)
