"""What can be done at all and what a target calls for, against networkx and against trying."""

import random

import networkx as nx
import pytest

from sequencer.graph import derive
from sequencer.graph.operations import Because, Clause, OperationGraph, Reason
from sequencer.graph.reach import possible, relevant
from sequencer.machine import read_text
from sequencer.machine.model import Place
from tests.support.page_example import PAGE
from tests.support.profile import before_landing, counts
from tests.support.random_machines import random_machine

REASON = Reason(Because.HELD, "for the test", Place("test", 1, 1))


def random_needs(seed, alternatives):
    rng = random.Random(seed)
    names = [f"op {number}" for number in range(rng.randint(3, 12))]
    return {
        name: tuple(
            Clause(tuple(rng.sample(names, rng.randint(1, alternatives))), REASON)
            for _ in range(rng.choice((0, 0, 1, 1, 2)))
        )
        for name in names
    }


@pytest.mark.parametrize("seed", range(counts(quick=12, landing=20, nightly=40)))
def test_without_alternatives_the_possible_is_what_no_circle_is_behind(seed):
    # With one operation in every clause, an operation is possible unless it is or leads into a circle:
    # networkx finds the circles as strongly connected components, and the descendants.
    needs = random_needs(seed, 1)
    waits = nx.DiGraph((name, c.any_of[0]) for name, clauses in needs.items() for c in clauses)
    waits.add_nodes_from(needs)
    stuck = {n for part in nx.strongly_connected_components(waits) if len(part) > 1 for n in part}
    stuck |= {n for n in waits if waits.has_edge(n, n)}
    stuck |= {ancestor for n in stuck for ancestor in nx.ancestors(waits, n)}
    assert possible(needs) == set(needs) - stuck


@pytest.mark.parametrize("seed", range(counts(quick=12, landing=20, nightly=40)))
def test_with_alternatives_the_possible_is_what_some_choice_of_them_allows(seed):
    # An AND of ORs is possible where some choice of one operation for each clause leaves no circle behind it.
    needs = random_needs(seed, 3)
    rng = random.Random(seed)
    found = set()
    for _ in range(300):
        one = {name: [Clause((rng.choice(c.any_of),), REASON) for c in needs[name]] for name in needs}
        found |= possible(one)
    reachable = possible(needs)
    assert found <= reachable
    order = []  # and each that is possible can be reached one by one, with nothing taken for granted
    while free := [
        name
        for name in reachable - set(order)
        if all(not set(order).isdisjoint(clause.any_of) for clause in needs[name])
    ]:
        order.append(free[0])
    assert set(order) == reachable
    for name in set(needs) - reachable:
        assert any(reachable.isdisjoint(clause.any_of) for clause in needs[name])


@before_landing
@pytest.mark.parametrize("seed", range(counts(quick=12, landing=15, nightly=30)))
def test_the_relevant_are_the_ancestors_in_the_and_or_graph(seed):
    text, _ = random_machine(seed, 5)
    graph = derive(read_text(text, "random.yaml").machine)
    bare = OperationGraph(graph.machine, graph.operations, graph.needs)
    whole = bare.to_networkx()
    for name in graph.operations:
        ancestors = {n for n in nx.ancestors(whole, name) if isinstance(n, str)}
        assert relevant(bare, [Clause((name,), REASON)]) == ancestors | {name}


def test_a_crack_comes_along_when_both_its_sides_do():
    graph = derive(read_text(PAGE, "page.yaml").machine)
    alone = relevant(graph, [Clause(("undo pulley/bolts",), REASON)])
    assert "crack pulley/bolts" not in alone
    both = relevant(graph, [Clause(("remove pulley",), REASON)])
    assert "crack pulley/bolts" in both
