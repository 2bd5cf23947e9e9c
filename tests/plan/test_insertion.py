"""New steps between the known ones: at the cheapest places, held against trying every place."""

import random
from itertools import combinations, permutations

from sequencer.graph import UnreachableError, parse_targets
from sequencer.graph.explain import rules_as_clauses
from sequencer.plan import plan_teardown
from sequencer.plan.onward.present import Present
from sequencer.plan.order.insertion import near_former_order
from sequencer.plan.order.replay import replay
from sequencer.plan.plan import Totals
from tests.plan.jobs import machine_of, names
from tests.support.page_example import PAGE
from tests.support.profile import before_landing, counts
from tests.support.random_machines import random_machine


def works(graph, order):
    rules = rules_as_clauses(graph.restricted(order))
    done = set()
    for name in order:
        if any(done.isdisjoint(clause.any_of) for clause in (*graph.needs[name], *rules.get(name, ()))):
            return False
        done.add(name)
    return True


def every_way(chain, others):
    """Every sequence of all these that keeps the chain's."""
    length = len(chain) + len(others)
    for places in combinations(range(length), len(others)):
        for those in permutations(others):
            fresh, known = iter(those), iter(chain)
            yield [next(fresh) if n in places else next(known) for n in range(length)]


@before_landing
def test_what_is_new_goes_where_it_costs_least_and_the_rest_keeps_its_sequence():
    rng = random.Random(3)
    asked = 0
    for seed in range(counts(quick=15, nightly=60)):
        text, told = random_machine(seed, 4)
        machine = machine_of(text)
        targets = parse_targets(
            machine, [w for v, w in told if v == "off"], [w for v, w in told if v != "off"]
        )
        try:
            plan = plan_teardown(machine, targets)
        except UnreachableError:
            continue
        order, changes = names(plan), Present().changes(machine)
        if not 4 <= len(order) <= 12:
            continue
        fresh = rng.sample(order, 2)
        former = [name for name in order if name not in fresh]
        found = near_former_order(plan.graph, order, former, changes)
        assert [name for name in found if name in former] == former
        costs = [
            Totals.of(replay(plan.graph, way, changes)).seconds
            for way in every_way(former, fresh)
            if works(plan.graph, way)
        ]
        assert Totals.of(replay(plan.graph, found, changes)).seconds == min(costs), seed
        asked += 1
    assert asked >= counts(quick=4, nightly=16)


def test_nothing_is_told_where_no_order_works():
    machine = machine_of(PAGE)
    graph = plan_teardown(machine, parse_targets(machine, ["guard"])).graph
    alone = ["remove guard"]  # and nobody has undone its screws
    assert near_former_order(graph, alone, alone, Present().changes(machine)) is None
