"""Published precedence graphs as machines whose parts are the tasks: as many orders as are known for them.

Arcs: the data sets of A. Scholl (1993) for assembly line balancing, as in the public repository
juanseck/GAMmALB (files *.IN2). Order strength, the share of all pairs that the closure orders, is published
with them (it.scribd.com/document/349204116). The numbers of orders were computed from those arcs by exact
recursion apart from this program, and networkx lists as many.
"""

from fractions import Fraction
from functools import cache

import networkx as nx
import pytest

from sequencer.graph import derive, goals, parse_targets
from sequencer.graph.reach import relevant
from sequencer.machine import read_text

JACKSON = "1-2 1-3 1-4 1-5 2-6 3-7 4-7 5-7 6-8 7-9 8-10 9-11 10-11"
JAESCHKE = "1-2 1-3 2-4 3-4 4-5 4-6 4-7 5-8 6-9 7-9 8-9"
MERTENS = "1-2 1-4 2-3 2-5 4-7 5-6"
CASES = [
    # arcs, tasks, order strength as published, orders
    pytest.param(JACKSON, 11, "58.18", 756, id="JACKSON"),
    pytest.param(JAESCHKE, 9, "83.33", 24, id="JAESCHKE"),
    pytest.param(MERTENS, 7, "52.38", 45, id="MERTENS"),
]


def pairs(arcs):
    return [tuple(arc.split("-")) for arc in arcs.split()]


def graph_of(arcs, tasks):
    """Task b after task a becomes part b, without joints, behind part a."""
    before = {str(task): [a for a, b in pairs(arcs) if b == str(task)] for task in range(1, tasks + 1)}
    lines = [
        f"  task-{task}: {{behind: [{', '.join(f'task-{a}' for a in of)}]}}" for task, of in before.items()
    ]
    text = (
        "machine: Precedence\npositions: {bench: {label: At the bench}}\nparts:\n" + "\n".join(lines) + "\n"
    )
    machine = read_text(text, "precedence.yaml").machine
    return derive(machine), parse_targets(machine, machine.parts)


def orders(graph):
    """How many orders of all its operations meet every need, by what is done already."""
    names = tuple(graph.operations)
    bit = {name: 1 << number for number, name in enumerate(names)}
    needs = {
        name: [sum(bit[other] for other in clause.any_of) for clause in graph.needs[name]] for name in names
    }

    @cache
    def left(done):
        if done == (1 << len(names)) - 1:
            return 1
        return sum(
            left(done | bit[name])
            for name in names
            if not done & bit[name] and all(done & clause for clause in needs[name])
        )

    return left(0)


@pytest.mark.parametrize(("arcs", "tasks", "strength", "known"), CASES)
def test_it_has_as_many_orders_as_are_known(arcs, tasks, strength, known):
    graph, targets = graph_of(arcs, tasks)
    assert set(graph.operations) == {f"remove task-{task}" for task in range(1, tasks + 1)}
    assert relevant(graph, goals(graph, targets)) == set(graph.operations)
    assert orders(graph) == known


@pytest.mark.parametrize(("arcs", "tasks", "strength", "known"), CASES)
def test_its_closure_has_the_published_order_strength(arcs, tasks, strength, known):
    graph, _ = graph_of(arcs, tasks)
    closure = nx.transitive_closure_dag(graph.to_networkx())
    share = Fraction(100 * closure.number_of_edges(), tasks * (tasks - 1) // 2)
    assert f"{float(share):.2f}" == strength


@pytest.mark.parametrize(("arcs", "tasks", "strength", "known"), CASES[1:])
def test_networkx_lists_the_same_number_of_topological_orders(arcs, tasks, strength, known):
    graph, _ = graph_of(arcs, tasks)
    assert sum(1 for _ in nx.all_topological_sorts(graph.to_networkx())) == known
