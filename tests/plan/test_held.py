"""What holds each part after each step, and so where a machine may be left: held against a second reading."""

import random

from sequencer.errors import SequencerError
from sequencer.graph import derive, goals, narrowed
from sequencer.graph.explain import rules_as_clauses
from sequencer.graph.reach import nearest_choice
from sequencer.graph.reverse import way_back
from sequencer.plan.hazards.stops import Left, Verdict, stops
from sequencer.plan.onward.present import Direction, Present
from sequencer.plan.onward.turned import as_planned
from sequencer.plan.order.replay import teardown_of
from sequencer.plan.order.setups import Changes
from sequencer.plan.practice.held import supports
from tests.plan.jobs import machine_of, names, own_targets
from tests.plan.practice.chance import add_jacks, add_supports, changed
from tests.support.plain_held import after_each
from tests.support.profile import before_landing, counts
from tests.support.random_machines import random_machine

ABOUT_LOADS = {
    Left.HALF_OUT,
    Left.HALF_OUT_LIGHT,
    Left.HELD_UP,
    Left.STOOD_ON,
    Left.LAID_ASIDE,
    Left.PARTLY_OUT,
    Left.UNHELD,
}


def some_order(rng, graph):
    """All of a graph in an order by chance; None where there is none."""
    rules, order = rules_as_clauses(graph), []
    while len(order) < len(graph.operations):
        done = set(order)
        free = [
            name
            for name in graph.operations
            if name not in done
            and all(not done.isdisjoint(c.any_of) for c in (*graph.needs[name], *rules.get(name, ())))
        ]
        if not free:
            return None
        order.append(rng.choice(free))
    return order


def ways_by_chance(rng, text, targets):
    """A way in and its way back, in any order that works; nothing where there is none."""
    machine = machine_of(text)
    aims = own_targets(machine, targets)
    try:
        graph, wanted = narrowed(derive(machine), goals(derive(machine), aims))
    except SequencerError:
        return ()
    graph = graph.restricted(nearest_choice(graph, wanted))
    there = some_order(rng, graph)
    if not there:
        return ()
    way_in = teardown_of(graph, aims, there, Changes.of(machine), opens=False)
    present = Present(done=tuple(there), direction=Direction.TOGETHER)
    try:
        back = way_back(graph, there)
    except SequencerError:  # what a task of the way back waits for can't be
        return (way_in,)
    needed = back.graph.restricted(name for goal in back.goals for name in goal.any_of)
    order = some_order(rng, needed)
    if order is None:
        return (way_in,)
    return way_in, as_planned(machine, aims, present, order[::-1]).refit


def check(plain, plan, way_in):
    """Every moment of a way, part by part and as a whole; how many, and what was said of them."""
    there = names(way_in)
    expected = list(after_each(plain, there, names(plan) if plan.back else None))
    ours = list(supports(plan.machine, plan.operations, back=plan.back))
    assert len(expected) == len(ours)
    said = set()
    for wanted, found, stop in zip(expected, ours, stops(plan), strict=True):
        held = {name: held.by.value for name, held in found.held().items()}
        assert held == {name: how for name, (how, _) in wanted.items() if how}
        about = [one for one in stop.loose if one.left in ABOUT_LOADS]
        answers = {answer for _, answer in wanted.values()}
        worst = next((v for v in (Verdict.UNSAFE, Verdict.LOOK) if v.value in answers), Verdict.SAFE)
        assert Verdict.of(about) is worst, (stop.after, wanted, about)
        named = {one.subject for one in about}
        assert named == {name for name, (_, answer) in wanted.items() if answer != "safe"}
        said |= {how for how, _ in wanted.values()} | answers
    return len(ours), said


@before_landing
def test_what_holds_each_part_is_what_the_page_says_at_every_step_of_both_ways():
    ways, moments, said = 0, 0, set()
    for seed in counts(quick=range(8), landing=range(16), nightly=range(2500)):
        text, targets = random_machine(seed, 2 + seed % 5, torques=True)
        rng, plain = random.Random(f"held {seed}"), {}

        def change(machine, rng=rng, plain=plain):
            add_jacks(rng, machine)
            add_supports(rng, machine)
            plain |= machine

        text = changed(text, change)
        for _ in range(4):
            both = ways_by_chance(rng, text, targets)
            ways += len(both)
            for plan in both:
                more, words = check(plain, plan, both[0])
                moments, said = moments + more, said | words
    assert ways > counts(quick=15, landing=20, nightly=150)
    assert moments > counts(quick=120, landing=200, nightly=1500)
    assert said >= {*(v.value for v in Verdict), "a hand", "a task", "a tie", "itself", "unknown"}
    assert said >= {"some of its fasteners", "fasteners", "nothing, and it is light"}
