"""The file from top to bottom: an order that works, and in the file's own sequence."""

import networkx as nx
import pytest

from sequencer.graph import UnreachableError, derive, goals, narrowed, parse_targets
from sequencer.graph.explain import rules_as_clauses
from sequencer.graph.reach import rounds
from sequencer.plan.order.naive import top_to_bottom
from tests.plan.jobs import machine_of, names, teardown
from tests.support.checker import order_faults
from tests.support.page_example import PAGE
from tests.support.plain_machine import goal, load_machine
from tests.support.plain_rules import steps_of
from tests.support.profile import before_landing, counts
from tests.support.random_machines import random_machine


def own_order(text, targets):
    """The order, and the plan that it is compared with."""
    plan = teardown(text, targets)
    off = [what for verb, what in targets if verb == "off"]
    reach = [what for verb, what in targets if verb == "reach"]
    machine = machine_of(text)
    whole = derive(machine)
    graph, wanted = narrowed(whole, goals(whole, parse_targets(machine, off, reach)))
    return top_to_bottom(graph, wanted, names(plan)), plan


@before_landing
@pytest.mark.parametrize("first", range(0, counts(quick=15, nightly=60), 15))
def test_the_files_own_order_is_a_plan_that_works(first):
    worked = 0
    for number in range(first, first + 15):
        text, targets = random_machine(number, 4)
        try:
            order, plan = own_order(text, targets)
        except UnreachableError:
            continue
        plain = load_machine(text)
        assert order_faults(plain, order, goal(plain, targets)) == [], number
        steps = steps_of(plain, order)
        seconds = sum(step.seconds + step.change_seconds for step in steps)
        assert plan.top_to_bottom.seconds == seconds >= plan.bound_seconds
        assert plan.top_to_bottom.tool_changes == sum(step.tool_change for step in steps)
        assert plan.top_to_bottom.reach_arounds == sum(step.reach_around for step in steps)
        worked += 1
    assert worked >= 8


def test_it_goes_through_the_file_in_the_order_written_each_parts_blockers_first():
    order, _ = own_order(PAGE, [("off", "bracket"), ("off", "pulley")])
    assert order == (
        "task isolate", "undo guard/screws", "remove guard", "drain oil",
        "crack pulley/bolts", "undo belt/tension", "remove belt", "undo pulley/bolts", "remove pulley",
        "slacken motor/feet", "loosen motor", "undo bracket/near", "undo bracket/far", "remove bracket",
    )  # fmt: skip


@pytest.mark.parametrize("number", range(counts(quick=6, landing=20, nightly=20)))
def test_rounds_are_the_topological_generations_of_networkx(number):
    text, targets = random_machine(number, 5)
    try:
        order, plan = own_order(text, targets)
    except UnreachableError:
        pytest.skip("this machine does not come apart")
    chosen = plan.graph.restricted(order)
    rank = {name: at for at, name in enumerate(order)}
    rules = rules_as_clauses(chosen)
    # One way of each alternative: the one that this order takes first.
    taken = {
        name: {
            min(c.any_of, key=lambda n: rank.get(n, len(rank)))
            for c in (*chosen.needs[name], *rules.get(name, ()))
        }
        for name in order
    }
    graph = nx.DiGraph()
    graph.add_nodes_from(order)
    graph.add_edges_from((first, name) for name, firsts in taken.items() for first in firsts)
    generations = {name: at for at, some in enumerate(nx.topological_generations(graph)) for name in some}
    found = rounds(chosen.needs, rules)
    assert found.keys() == generations.keys()
    assert all(found[name] <= generations[name] for name in order)
    if all(len(c.any_of) == 1 for name in order for c in chosen.needs[name]):
        assert found == generations
