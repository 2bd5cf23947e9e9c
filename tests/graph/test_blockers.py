"""The tree of what is in the way: each thing once, under what asks for it; what binds, what surprises."""

import networkx as nx
import pytest

from sequencer.graph import UnreachableError, derive, goals, narrowed
from sequencer.graph.blocker_tree import blockers, forks, subject, without
from sequencer.graph.blockers_surprise import surprises
from sequencer.graph.chain import binding, why
from sequencer.plan import plan_teardown
from tests.plan.jobs import machine_of, own_targets
from tests.support.profile import before_landing, counts
from tests.support.random_machines import random_machine

RANDOM = [(number, size) for size in (3, 5, 7) for number in range(counts(quick=2, landing=4, nightly=12))]


def job(number, size):
    text, targets = random_machine(number, size)
    machine = machine_of(text)
    aims = own_targets(machine, targets)
    try:
        plan = plan_teardown(machine, aims)
    except UnreachableError:
        pytest.skip("this machine holds a circle")
    graph, wanted = narrowed(derive(machine), goals(derive(machine), aims))
    return machine, aims, graph, wanted, tuple(op.name for op in plan.operations)


@before_landing
@pytest.mark.parametrize(("number", "size"), RANDOM)
def test_every_step_of_the_job_belongs_to_one_thing_of_the_tree(number, size):
    _, aims, graph, _, order = job(number, size)
    tree = blockers(graph, aims, order)
    told = [op.name for thing in tree.things.values() for op in thing.operations]
    assert sorted(told) == sorted(order)
    assert {target.name for target in tree.targets} == {aim.part for aim in aims}


def waits_between_things(graph, aims, order):
    """Who waits for whom, thing by thing, as a graph of networkx; "goal" stands above all targets."""
    chosen = graph.restricted(order)
    between = nx.DiGraph()
    for aim in aims:
        between.add_edge("goal", aim.part)
        if aim.state is None:
            for clause in goals(graph, [aim]):
                between.add_edges_from(
                    (aim.part, subject(chosen.operations[n])) for n in clause.any_of if n in chosen.operations
                )
    for name, clauses in chosen.needs.items():
        for clause in clauses:
            for other in clause.any_of:
                between.add_edge(subject(chosen.operations[name]), subject(chosen.operations[other]))
    return between


@pytest.mark.parametrize(("number", "size"), RANDOM)
def test_each_thing_stands_as_near_to_the_target_as_any_chain_leads(number, size):
    _, aims, graph, _, order = job(number, size)
    tree = blockers(graph, aims, order)
    between = waits_between_things(graph, aims, order)
    near = nx.single_source_shortest_path_length(between, "goal")
    for thing in tree.things.values():
        assert thing.depth == near[thing.name] - 1
        if thing.parent is not None:
            assert between.has_edge(thing.parent, thing.name)
            assert tree.things[thing.parent].depth == thing.depth - 1
            assert thing.calls
            for call in thing.calls:
                assert subject(graph.operations[call.earlier]) == thing.name
                assert call.later is None or any(
                    call.earlier in clause.any_of for clause in graph.needs[call.later]
                )


@pytest.mark.parametrize(("number", "size"), RANDOM)
def test_a_relation_binds_just_where_nothing_leads_to_the_part_without_it(number, size):
    machine, _, graph, wanted, order = job(number, size)
    chosen = graph.restricted(order)
    sources = {n for goal in wanted for n in goal.any_of if n in chosen.operations}
    for part in machine.parts:
        own = set(chosen.touching[part])
        chain = why(graph, wanted, order, part)
        bound = binding(graph, wanted, order, part)
        assert set(bound) <= set(chain)
        for link in chain:
            left = nx.DiGraph()
            left.add_nodes_from(chosen.operations)
            left.add_edges_from(
                (name, other)
                for name, clauses in chosen.needs.items()
                for clause in clauses
                if (clause.reason.place, clause.reason.kind) != (link.reason.place, link.reason.kind)
                for other in clause.any_of
            )
            led_to = sources | {n for source in sources for n in nx.descendants(left, source)}
            assert (link in bound) is own.isdisjoint(led_to)


@pytest.mark.parametrize(("number", "size"), RANDOM)
def test_a_fork_has_one_way_taken_and_all_its_ways_are_apart(number, size):
    _, _, graph, wanted, order = job(number, size)
    for fork in forks(graph, wanted, order):
        assert any(way.taken for way in fork.ways)
        assert sorted(n for way in fork.ways for n in way.operations) == sorted(fork.any_of)
        assert len({graph.operations[way.operations[0]].subject for way in fork.ways}) == len(fork.ways)


def test_there_are_forks_and_things_in_the_way_to_check():
    jobs = [job(number, size) for number, size in RANDOM]
    assert sum(bool(forks(graph, wanted, order)) for _, _, graph, wanted, order in jobs) >= 3
    assert all(blockers(graph, aims, order).things for _, aims, graph, _, order in jobs)


def test_nothing_asks_for_a_part_that_need_not_move():
    for number, size in RANDOM:
        text, targets = random_machine(number, size)
        machine = machine_of(text)
        graph = derive(machine)
        wanted = goals(graph, own_targets(machine, targets))
        for part in machine.parts:
            eased, left = without(graph, wanted, part)
            own = set(graph.touching[part])
            asked = [c for name, clauses in eased.needs.items() if name not in own for c in clauses]
            assert all(own.isdisjoint(clause.any_of) for clause in (*asked, *left))
            assert all(own.isdisjoint((*rule.undoing, *rule.touching)) for rule in eased.cracks)


SURPRISING = """
machine: Surprises
positions: {bench: {label: At the bench}, under: {label: Underneath}}
fluids: {oil: {volume: 1 L, drain: {time: 60}, fill: {time: 60}}}
parts:
  head: {subsystem: engine, behind: [lid], joints: {a: {kind: bolt, head: 10, time: 5}}}
  lid: {subsystem: engine, behind: [{rail: loose}], joints: {a: {kind: bolt, head: 10, time: 5}}}
  rail:
    subsystem: fuel
    from: under
    behind: [pipe]
    joints: {a: {kind: bolt, head: 10, time: 6}}
    loose: {joints: [a]}
  pipe: {wet: [oil], joints: {a: {kind: clip, tool: hand, time: 5}}}
"""


def test_each_ground_for_surprise_counts_what_the_guide_says():
    machine = machine_of(SURPRISING)
    aims = own_targets(machine, [("off", "head")])
    plan = plan_teardown(machine, aims)
    tree = blockers(plan.graph, aims, [op.name for op in plan.operations])
    seen = surprises(plan.graph, tree)
    assert {name: one.points for name, one in seen.items()} == {
        "rail": 2 + 2 + 2 + 1,
        "pipe": 3 + 2 + 1,
        "lid": 0,
    }
    assert list(seen) == ["rail", "pipe", "lid"]
    assert (seen["rail"].positions, seen["rail"].subsystem, seen["rail"].only_eased) == (
        ("under",),
        "fuel",
        True,
    )
    assert seen["pipe"].fluids == ("oil",)


NEIGHBOURS = """\
machine: m
positions: {above: {}, under: {}}
fluids: {oil: {drain: {tool: hand, time: 60 s, from: under}}}
parts:
  head:
    subsystem: engine
    box: {at: [0, 0, 0], size: [400, 200, 100]}
    joints: {a: {kind: bolt, head: 10, time: 10}, b: {kind: bolt, head: 10, behind: [cover, stay], time: 10}}
  cover: {wet: [oil], from: under, joints: {a: {kind: bolt, head: 10, time: 5}}}
  stay: {behind: [rocker, loom, pad], joints: {a: {kind: bolt, head: 10, time: 5}}}
  rocker: {subsystem: engine, from: under, joints: {a: {kind: bolt, head: 10, time: 5}}}
  pad:
    from: under
    box: {at: [0, 0, 103], size: [400, 200, 10]}
    joints: {a: {kind: clip, tool: hand, time: 5}}
  loom: {joints: {a: {kind: clip, tool: hand, time: 5}}}
"""


def test_what_anybody_would_expect_beside_the_target_never_leads():
    machine = machine_of(NEIGHBOURS)
    aims = own_targets(machine, [("off", "head")])
    plan = plan_teardown(machine, aims)
    seen = surprises(plan.graph, blockers(plan.graph, aims, [op.name for op in plan.operations]))
    assert next(iter(seen)) == "loom"
    assert {name for name, one in seen.items() if one.near} == {"cover", "stay", "rocker", "pad"}
    assert max(one.points for one in seen.values() if one.near) > seen["loom"].points
