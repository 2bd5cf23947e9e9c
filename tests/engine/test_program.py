"""The small linear programs against a general solver."""

import random

import numpy as np
import pytest
from ortools.linear_solver import pywraplp

from sequencer.engine.bounds.program import Program
from sequencer.engine.bounds.simplex import maximise


def reference(values: list[float], rows: list[list[int]], limits: list[float]) -> float:
    solver = pywraplp.Solver.CreateSolver("GLOP")
    x = [solver.NumVar(0, solver.infinity(), "") for _ in values]
    for row, limit in zip(rows, limits, strict=True):
        solver.Add(sum(x[v] for v in row) <= limit)
    solver.Maximize(sum(v * one for v, one in zip(values, x, strict=True)))
    assert solver.Solve() == solver.OPTIMAL
    return solver.Objective().Value()


def example(seed: int) -> tuple[list[float], list[list[int]], list[float]]:
    rng = random.Random(seed)
    n = rng.randint(1, 8)
    rows = [sorted(rng.sample(range(n), rng.randint(1, n))) for _ in range(rng.randint(1, 12))]
    rows += [[v] for v in range(n)]
    return [float(rng.randint(0, 9)) for _ in range(n)], rows, [float(rng.randint(0, 9)) for _ in rows]


@pytest.mark.parametrize("seed", range(60))
def test_both_methods_reach_the_best(seed: int) -> None:
    values, rows, limits = example(seed)
    best = reference(values, rows, limits)
    plain = maximise(values, rows, limits)
    assert sum(v * x for v, x in zip(values, plain, strict=True)) == pytest.approx(best, abs=1e-6)
    columns = np.array([[float(v in row) for v in range(len(values))] for row in rows])
    program = Program(np.array(limits))
    half = len(values) // 2
    program.add(columns[:, :half], np.array(values[:half]))
    program.solve(1_000)
    program.add(columns[:, half:], np.array(values[half:]))
    program.solve(1_000)
    assert program.value() == pytest.approx(best, abs=1e-3)
    assert program.duals() @ np.array(limits) == pytest.approx(best, abs=1e-3)
