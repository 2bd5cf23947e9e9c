"""Random small problems that use every word of the interface."""

from __future__ import annotations

from hypothesis import strategies as st

from sequencer.engine import Problem, Saving, Trigger
from sequencer.engine.costs import Costs


@st.composite
def problems(draw, most: int = 6, closed: bool | None = None) -> Problem:
    n = draw(st.integers(1, most))
    m = draw(st.integers(1, 4))
    op = st.integers(0, n - 1)
    cost = st.integers(0, 9)
    durations = tuple(draw(st.lists(cost, min_size=n, max_size=n)))
    rows = [draw(st.lists(cost, min_size=m, max_size=m)) for _ in range(m)]
    for s in range(m):
        rows[s][s] = 0
    costs = Costs(tuple(map(tuple, rows)), tuple(draw(st.lists(cost, min_size=m, max_size=m))))
    if closed is None:
        closed = draw(st.booleans())
    if closed:
        costs = costs.closure
    clause = st.lists(op, min_size=1, max_size=3).map(tuple)
    pairs = draw(st.lists(st.tuples(op, op).filter(lambda p: p[0] != p[1]), max_size=3)) if n > 1 else []
    savings = tuple(
        Saving(a, b, draw(st.integers(0, min(durations[a], durations[b])))) for a, b in dict.fromkeys(pairs)
    )
    return Problem(
        durations=durations,
        setups=tuple(draw(st.lists(st.integers(0, m - 1), min_size=n, max_size=n))),
        changes=costs.changes,
        starts=costs.starts,
        needs=tuple(tuple(draw(st.lists(clause, max_size=2))) for _ in range(n)),
        goals=tuple(draw(st.lists(clause, max_size=3))),
        orders=tuple(draw(st.lists(st.tuples(op, op).filter(lambda p: p[0] != p[1]), max_size=3)) if n > 1 else ()),
        triggers=tuple(draw(st.lists(st.builds(Trigger, clause, clause, op), max_size=2))),
        savings=savings,
        done=frozenset(draw(st.lists(op, max_size=2))),
    )
