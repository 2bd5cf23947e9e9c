"""Prices by linear programming: a small dense primal simplex, since nothing here may cost an import.

Maximise r·p over p ≥ 0 with A p ≤ c, where A holds zeros and ones and c ≥ 0: the origin is feasible. Largest
coefficient first; Bland's rule after a while, so that it ends. (Dantzig 1963, chapter 5; Bland 1977.)
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

TINY = 1e-9

MOST = 400
"""Exchanges."""


def maximise(
    value: Sequence[float],
    rows: Sequence[Sequence[int]],
    limits: Sequence[float],
    late: Callable[[], bool] = lambda: False,
) -> list[float]:
    """The best p, or a feasible one when ``MOST`` exchanges don't suffice.

    Args:
        value: r, one number a variable.
        rows: For each constraint the variables with a 1.
        limits: c, one number a constraint, not negative.
        late: Ends it before, with a solution that is allowed and not the greatest.
    """
    width = len(value)
    table = [[0.0] * width for _ in rows]
    for row, ones in zip(table, rows, strict=True):
        for column in ones:
            row[column] = 1.0
    right = [float(limit) for limit in limits]
    cost = [float(v) for v in value]
    basis = [width + number for number in range(len(rows))]
    column_of = list(range(width))
    for exchange in range(MOST):
        if late():
            break
        bland = exchange > MOST // 2
        enter = _entering(cost, column_of, bland)
        if enter is None:
            break
        leave = _leaving(table, right, basis, enter)
        if leave is None:
            break
        _exchange(table, right, cost, leave, enter)
        basis[leave], column_of[enter] = column_of[enter], basis[leave]
    solution = [0.0] * width
    for number, variable in enumerate(basis):
        if variable < width:
            solution[variable] = max(0.0, right[number])
    return solution


def _entering(cost: list[float], column_of: list[int], bland: bool) -> int | None:
    gains = [column for column, c in enumerate(cost) if c > TINY]
    if not gains:
        return None
    return min(gains, key=lambda column: column_of[column] if bland else -cost[column])


def _leaving(table: list[list[float]], right: list[float], basis: list[int], enter: int) -> int | None:
    best: tuple[float, int, int] | None = None
    for number, row in enumerate(table):
        if row[enter] > TINY:
            ratio = (right[number] / row[enter], basis[number], number)
            if best is None or ratio < best:
                best = ratio
    return None if best is None else best[2]


def _exchange(
    table: list[list[float]], right: list[float], cost: list[float], leave: int, enter: int
) -> None:
    """Swap a basic and a free variable, in a table that holds the free ones only."""
    pivot = table[leave]
    scale = 1.0 / pivot[enter]
    pivot[:] = [v * scale for v in pivot]
    pivot[enter] = scale
    right[leave] *= scale
    level = right[leave]
    spots = [(column, v) for column, v in enumerate(pivot) if column != enter and (v > TINY or v < -TINY)]
    for number, row in enumerate(table):
        factor = row[enter]
        if number == leave or -TINY < factor < TINY:
            continue
        for column, v in spots:
            row[column] -= factor * v
        row[enter] = -factor * scale
        right[number] = max(0.0, right[number] - factor * level)
    factor = cost[enter]
    for column, v in spots:
        cost[column] -= factor * v
    cost[enter] = -factor * scale
