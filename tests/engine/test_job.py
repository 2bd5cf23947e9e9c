"""Closures against networkx, numbers of orders against published counts, merging against blind search."""

import random

import networkx as nx
import pytest

from sequencer.engine.base.costs import Costs
from sequencer.engine.base.job import Job, must_ancestors, reachable
from sequencer.engine.base.merge import merge
from tests.engine.jobs import FREE, cost_to_go, random_job
from tests.support.profile import counts

# Precedence graphs of assembly lines (Scholl 1993): arcs, pairs in the closure, feasible orders. The closures
# reproduce the order strengths published with the graphs; the numbers of orders are computed from the arcs.
GRAPHS = {
    "MERTENS": (7, "1-2 1-4 2-3 2-5 4-7 5-6", 11, 45),
    "JAESCHKE": (9, "1-2 1-3 2-4 3-4 4-5 4-6 4-7 5-8 6-9 7-9 8-9", 30, 24),
    "JACKSON": (11, "1-2 1-3 1-4 1-5 2-6 3-7 4-7 5-7 6-8 7-9 8-10 9-11 10-11", 32, 756),
}


@pytest.mark.parametrize("name", GRAPHS)
def test_published_precedence_graphs_have_their_closure_and_number_of_orders(name: str) -> None:
    n, arcs, pairs, orders = GRAPHS[name]
    clauses: list[list[int]] = [[] for _ in range(n)]
    for arc in arcs.split():
        a, b = map(int, arc.split("-"))
        clauses[b - 1].append(1 << (a - 1))
    job = Job((0,) * n, tuple(map(tuple, clauses)), Costs(((0,),), (0,)))
    assert sum(mask.bit_count() for mask in job.ancestors) == pairs
    ways = {0: 1}
    for _ in range(n):
        following: dict[int, int] = {}
        for done, count in ways.items():
            for op in range(n):
                if not done >> op & 1 and job.ready(done, op):
                    following[done | 1 << op] = following.get(done | 1 << op, 0) + count
        ways = following
    assert ways[job.all] == orders


@pytest.mark.parametrize("seed", range(counts(quick=12, landing=20, nightly=40)))
def test_ancestors_are_those_of_networkx_where_there_is_no_choice(seed: int) -> None:
    job = random_job(random.Random(seed), 12, ors=False)
    graph = nx.DiGraph()
    graph.add_nodes_from(range(job.size))
    graph.add_edges_from(
        (clause.bit_length() - 1, op) for op, clauses in enumerate(job.clauses) for clause in clauses
    )
    for op in range(job.size):
        assert {o for o in range(job.size) if job.ancestors[op] >> o & 1} == nx.ancestors(graph, op)


@pytest.mark.parametrize("seed", range(counts(quick=12, landing=20, nightly=40)))
def test_ancestors_are_what_an_operation_can_not_be_done_without(seed: int) -> None:
    rng = random.Random(seed)
    n = 8
    clauses = [
        [sum(1 << o for o in rng.sample(range(n), 2)) for _ in range(rng.randint(0, 2))] for _ in range(n)
    ]
    able = reachable(clauses, (1 << n) - 1)
    before = must_ancestors(clauses, able)
    for op in range(n):
        if able >> op & 1:
            needed = {o for o in range(n) if o != op and not reachable(clauses, able & ~(1 << o)) >> op & 1}
            assert {o for o in range(n) if before[op] >> o & 1} == needed & {
                o for o in range(n) if able >> o & 1
            }


@pytest.mark.parametrize("seed", range(counts(quick=12, landing=75, nightly=150)))
def test_merging_keeps_the_least_cost(seed: int) -> None:
    job = random_job(random.Random(seed), 8)
    merged = merge(job, FREE)
    assert sorted(op for block in merged.blocks for op in block) == list(range(job.size))
    assert cost_to_go(merged.job, 0, -1) == cost_to_go(job, 0, -1)


def test_costs_that_are_not_closed_are_told() -> None:
    costs = Costs(((0, 9, 1), (1, 0, 1), (1, 1, 0)), (0, 0, 0))
    assert not costs.closed
    assert costs.safe == (True, True, False)
    assert costs.closure.changes[0][1] == 2
