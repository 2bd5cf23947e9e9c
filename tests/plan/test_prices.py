"""Prices are differences of two whole plans: held against full plans of edited files, and the reference."""

import multiprocessing
import time
from dataclasses import replace

import pytest

from sequencer.engine.problem import Limits
from sequencer.graph import UnreachableError, derive, goals
from sequencer.graph.blocker_tree import forks
from sequencer.graph.operations import Clause
from sequencer.plan import plan_teardown
from sequencer.plan.prices.prices import Alone, Also, Pricer, Stays, Through
from sequencer.plan.prices.prices_floor import extended, least_added
from sequencer.plan.prices.prices_many import price_all
from tests.plan.jobs import NO_LIMITS, machine_of, own_targets
from tests.support.plain_machine import as_data, as_text
from tests.support.profile import before_landing, counts
from tests.support.random_machines import random_machine
from tests.support.reference import best_seconds

SMALL = [(number, 3) for number in range(counts(quick=3, landing=8, nightly=200))]
LARGER = [(number, size) for size in (5, 7) for number in range(12)]


def job(number, size):
    """A random machine with what it is taken apart for, and its desk; skipped where it can't be."""
    text, targets = random_machine(number, size)
    machine = machine_of(text)
    try:
        return text, targets, machine, Pricer(machine, own_targets(machine, targets), NO_LIMITS)
    except UnreachableError:
        pytest.skip("this machine holds a circle")


def full(text, targets):
    """(seconds, proven) of a plan from scratch; None where there is none."""
    machine = machine_of(text)
    try:
        plan = plan_teardown(machine, own_targets(machine, targets))
    except UnreachableError:
        return None
    return plan.totals.seconds, plan.proven


def agree(price, whole):
    """The same answer, wherever both are proven (a needless step may keep a plan from that)."""
    if whole is None or price.seconds is None:
        assert whole is None
        assert price.seconds is None
    elif whole[1] and price.proven:
        assert price.seconds == whole[0]
    else:
        assert price.bound_seconds <= whole[0]


def granted(text, part):
    """The file with everything that is asked of ``part`` struck out: it is granted as it stands."""
    data = as_data(text)

    def names(item):
        if isinstance(item, dict) and "any" in item:
            return {name for one in item["any"] for name in names(one)}
        return {next(iter(item)) if isinstance(item, dict) else item.partition("/")[0]}

    def strike(thing):
        for key in ("behind", "trapped_by"):
            if key in thing:
                thing[key] = [item for item in thing[key] if part not in names(item)]

    for name, about in data["parts"].items():
        if name != part:
            strike(about)
            for joint in about["joints"].values():
                strike(joint)
                crack = joint.get("crack")
                if crack:
                    crack["while"] = [holder for holder in crack["while"] if holder != part]
                    if not crack["while"]:
                        del joint["crack"]
    for about in (*data.get("tasks", {}).values(), *(f["drain"] for f in data.get("fluids", {}).values())):
        strike(about)
    return as_text(data)


@pytest.mark.parametrize(
    ("number", "size"), SMALL + counts(quick=LARGER[::12], landing=LARGER[::4], nightly=LARGER)
)
def test_one_part_more_costs_what_two_full_plans_differ_by(number, size):
    text, targets, machine, desk = job(number, size)
    for part in machine.parts:
        agree(desk.price(Also(part)), full(text, [*targets, ("off", part)]))
        agree(desk.price(Alone(part)), full(text, [("off", part)]))


@before_landing
@pytest.mark.parametrize(
    ("number", "size"), SMALL + counts(quick=LARGER[::12], landing=LARGER[::4], nightly=LARGER)
)
def test_a_part_that_need_not_move_costs_what_the_file_without_its_relations_does(number, size):
    text, targets, machine, desk = job(number, size)
    if any(verb == "reach" for verb, _ in targets):
        pytest.skip("what is asked of a part only to be reached is struck from the target as well")
    for part in set(machine.parts) - {what.partition("=")[0] for _, what in targets}:
        agree(desk.price(Stays(part)), full(granted(text, part), targets))


@before_landing
@pytest.mark.parametrize("number", range(counts(quick=3, landing=10, nightly=200)))
def test_prices_of_small_machines_are_those_of_the_reference(number):
    text, targets, machine, desk = job(number, 3)
    if desk.changes.machine.pace.swap > machine.pace.put_down + machine.pace.pick_up:
        pytest.skip("something needless would pay for itself there")
    for part in machine.parts:
        assert desk.price(Also(part)).seconds == best_seconds(text, [*targets, ("off", part)])
        if all(verb == "off" and what.partition("=")[0] != part for verb, what in targets):
            assert desk.price(Stays(part)).seconds == best_seconds(granted(text, part), targets)


def with_needs(machine, changed):
    """The machine with each need as ``changed`` has it."""

    def needs(old):
        return tuple(changed(need) for need in old)

    parts = {
        name: replace(
            part,
            waits=needs(part.waits),
            joints={key: replace(joint, waits=needs(joint.waits)) for key, joint in part.joints.items()},
        )
        for name, part in machine.parts.items()
    }
    tasks = {name: replace(task, waits=needs(task.waits)) for name, task in machine.tasks.items()}
    fluids = {
        name: replace(fluid, drain=replace(fluid.drain, waits=needs(fluid.drain.waits)))
        for name, fluid in machine.fluids.items()
    }
    return replace(machine, parts=parts, tasks=tasks, fluids=fluids)


@before_landing
def test_the_other_way_costs_what_the_file_with_that_way_alone_does():
    tried = 0
    for number, size in counts(quick=LARGER[::5], landing=LARGER[::2], nightly=LARGER):
        text, targets = random_machine(number, size)
        machine = machine_of(text)
        aims = own_targets(machine, targets)
        try:
            desk = Pricer(machine, aims, NO_LIMITS)
        except UnreachableError:
            continue
        whole = derive(machine)
        for fork in forks(desk.graph, desk.wanted, desk.answer.order):
            for way in fork.ways:

                def only(need, fork=fork, way=way, whole=whole):
                    atoms = tuple(
                        a for a in need.any_of if not set(way.operations).isdisjoint(whole.reaching(a))
                    )
                    return replace(need, any_of=atoms) if need.place == fork.reason.place else need

                edited = with_needs(machine, only)
                if any(
                    c.any_of != d.any_of
                    for c, d in zip(goals(whole, aims), goals(derive(edited), aims), strict=False)
                ):
                    continue
                try:
                    plan = plan_teardown(edited, aims)
                    whole_price = plan.totals.seconds, plan.proven
                except UnreachableError:
                    whole_price = None
                agree(desk.price(Through(fork, way)), whole_price)
                tried += 1
    assert tried >= counts(quick=3, landing=8, nightly=20)


def test_the_bound_on_an_extra_holds_and_often_settles_it():
    settled = asked = 0
    for number, size in counts(quick=LARGER[::5], landing=LARGER[::2], nightly=LARGER):
        text, targets = random_machine(number, size)
        machine = machine_of(text)
        try:
            desk = Pricer(machine, own_targets(machine, targets), NO_LIMITS)
        except UnreachableError:
            continue
        for part in machine.parts:
            graph = desk.whole
            price = Pricer.price(desk, Also(part))
            if not (desk.answer.proven and price.proven) or price.seconds is None:
                continue
            least = least_added(graph, desk.wanted, desk.changes, part)
            assert 0 <= least <= price.seconds - desk.answer.totals.seconds
            asked += 1
            settled += least == price.seconds - desk.answer.totals.seconds
    assert settled >= asked // 4 >= counts(quick=4, landing=10, nightly=10)


def test_an_extended_order_is_one_that_works():
    text, targets = random_machine(8, 6)
    machine = machine_of(text)
    desk = Pricer(machine, own_targets(machine, targets), NO_LIMITS)
    worked = 0
    for part in machine.parts:
        wanted = (*desk.wanted, Clause((f"remove {part}",), desk.whole.needs[f"remove {part}"][0].reason))
        order = extended(desk.whole, wanted, desk.changes, desk.answer.order, part)
        if order is None:
            continue
        done = set()
        for name in order:
            assert all(not done.isdisjoint(clause.any_of) for clause in desk.whole.needs[name]), name
            done.add(name)
        assert f"remove {part}" in done
        worked += 1
    assert worked > len(machine.parts) / 2


PRICED = """
machine: For prices
positions: {bench: {label: At the bench}}
parts:
  lid: {joints: {a: {kind: bolt, head: 10, time: 5}}}
  cover: {behind: [lid], joints: {a: {kind: bolt, head: 13, time: 5}}}
  pump: {behind: [cover], joints: {a: {kind: bolt, head: 13, time: 50}}}
  hose: {joints: {a: {kind: clip, tool: hand, time: 7}}}
  stay: {joints: {a: {kind: clip, tool: hand, time: 9}}}
  strap: {joints: {a: {kind: clip, tool: hand, time: 3}}}
"""


def desk_and_questions():
    machine = machine_of(PRICED)
    desk = Pricer(machine, own_targets(machine, [("off", "pump")]), Limits())
    return desk, [*map(Also, ("hose", "stay", "strap")), *map(Stays, ("lid", "cover"))]


@before_landing
def test_two_processes_give_the_same_prices_as_one():
    desk, questions = desk_and_questions()
    told = []
    shared = price_all(desk, questions, 2, lambda done, of: told.append((done, of)))
    assert shared.known == {question: desk.price(question) for question in questions}
    assert shared.known == price_all(desk, questions).known
    assert told == [(done, 5) for done in range(6)]


@before_landing
@pytest.mark.parametrize("workers", counts(quick=[2], landing=[1, 2], nightly=[1, 2]))
def test_an_interruption_keeps_what_is_known_and_says_what_is_missing(workers):
    before = set(multiprocessing.active_children())
    desk, questions = desk_and_questions()

    def told(done, of):
        if done == 2:
            raise KeyboardInterrupt

    prices = price_all(desk, questions, workers, told)
    assert (len(prices.known), prices.missing, prices.interrupted) == (2, 3, True)
    for child in set(multiprocessing.active_children()) - before:
        # The pool's own thread may be the one that takes leave of a child: that shows a moment later.
        until = time.monotonic() + 60
        while child.is_alive() and time.monotonic() < until:
            time.sleep(0.05)
        assert not child.is_alive()


def test_what_nothing_is_left_to_ask_for_costs_nothing():
    machine = machine_of(PRICED)
    desk = Pricer(machine, own_targets(machine, [("reach", "cover")]), Limits())
    price = desk.price(Stays("lid"))
    assert (price.seconds, price.proven, price.order) == (0, True, ())


RENEWED = """
machine: Filter, invented
positions: {front: {}}
fluids: {oil: {volume: 1 L, with: [filter], drain: {}, fill: {}}}
parts:
  filter: {time: 20 s, joints: {cap: {kind: nut, head: 27, time: 30 s}}, aside: {joints: [cap]}}
  pan: {behind: [{filter: aside}], wet: [oil], joints: {bolts: {kind: bolt, head: 10, time: 40 s}}}
"""


def test_a_part_that_the_job_takes_off_in_any_case_adds_nothing_though_it_could_be_moved_aside():
    machine = machine_of(RENEWED)
    desk = Pricer(machine, own_targets(machine, [("off", "pan")]), NO_LIMITS)
    assert desk.price(Also("filter")).seconds == desk.answer.totals.seconds
