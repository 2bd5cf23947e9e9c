"""Extras: what they add now and take alone is two full plans subtracted, both ways too."""

import pytest

from sequencer.graph import UnreachableError
from sequencer.plan import plan_refit, plan_teardown
from sequencer.plan.extras import extras
from tests.plan.jobs import machine_of, own_targets
from tests.support.profile import counts
from tests.support.random_machines import random_machine


def whole(text, targets, *, both_ways):
    """(seconds, proven) from scratch, both ways if wanted; None where there is no way."""
    machine = machine_of(text)
    try:
        plan = plan_teardown(machine, own_targets(machine, targets))
    except UnreachableError:
        return None
    if not both_ways:
        return plan.totals.seconds, plan.proven
    back = plan_refit(plan)
    return plan.totals.seconds + back.totals.seconds, plan.proven and back.proven


JOBS = counts(
    quick=[(0, 4), (3, 4)],
    landing=[(n, 4) for n in range(0, 12, 3)] + [(8, 6)],
    nightly=[(n, 4) for n in range(12)] + [(n, 6) for n in (3, 8, 11)],
)


@pytest.mark.parametrize("both_ways", [False, True])
@pytest.mark.parametrize(("number", "size"), JOBS)
def test_each_extra_is_two_full_plans_subtracted(number, size, both_ways):
    text, targets = random_machine(number, size, torques=both_ways)
    job = whole(text, targets, both_ways=both_ways)
    if job is None:
        pytest.skip("this machine holds a circle")
    machine = machine_of(text)
    found = extras(machine, own_targets(machine, targets), both_ways=both_ways)
    assert (found.seconds, found.proven) == job
    for extra in found.extras:
        more = whole(text, [*targets, ("off", extra.part)], both_ways=both_ways)
        alone = whole(text, [("off", extra.part)], both_ways=both_ways)
        assert extra.possible is (more is not None and alone is not None)
        if more is None or alone is None:
            continue
        assert extra.proven is (job[1] and more[1] and alone[1])
        if extra.proven or both_ways:
            assert (extra.now, extra.alone) == (more[0] - job[0], alone[0])


OPEN = """
machine: Wide open
positions: {bench: {label: At the bench}, under: {label: Underneath, enter: 60 s, leave: 60 s}}
parts:
  cover: {joints: {a: {kind: bolt, head: 10, time: 5 min}}}
  pump:
    behind: [cover]
    time: 0
    renew: [{item: Gasket, count: 2, price: 1.50, interval: 5 years}, {item: Paste}]
    joints: {a: {kind: bolt, head: 10, time: 30 s}}
  tap:
    from: under
    renew: [{item: Washer, price: 0.20}]
    joints: {a: {kind: bolt, head: 13, time: 10 s}}
  motor: {behind: [cover], time: 0, joints: {a: {kind: bolt, head: 10, time: 60 s}}}
"""


def opened(targets=(("off", "motor"),), **more):
    machine = machine_of(OPEN)
    return extras(machine, own_targets(machine, list(targets)), **more)


def by_name(found):
    return {extra.part: extra for extra in found.extras}


def test_what_comes_off_anyway_adds_nothing_and_stands_first():
    found = opened()
    first = found.extras[0]
    assert (first.part, first.comes_off_anyway, first.now, first.share_saved) == ("cover", True, 0, 1)
    shares = [extra.share_saved for extra in found.extras]
    assert shares == sorted(shares, reverse=True)


def test_a_renewal_behind_what_is_open_is_worth_doing_and_one_elsewhere_is_not():
    extra = by_name(opened())
    assert extra["pump"].now == 30
    assert extra["pump"].worth_doing
    assert extra["pump"].price == 3
    assert extra["pump"].renew[0].interval == "5 years"
    assert not extra["tap"].worth_doing
    assert not extra["cover"].worth_doing
    assert extra["cover"].price is None


def test_an_interruption_leaves_what_is_missing_unknown():
    def told(done, of):
        if done == 1:
            raise KeyboardInterrupt

    found = opened(told=told)
    assert found.interrupted
    assert sum(extra.share_saved is None for extra in found.extras) >= 2
    assert found.extras[-1].share_saved is None


def test_a_target_that_is_only_eased_could_come_off_as_well():
    eased = OPEN.replace("motor: {behind", "motor: {loose: {joints: [a]}, behind")
    machine = machine_of(eased)
    found = extras(machine, own_targets(machine, [("off", "motor=loose")]))
    assert by_name(found)["motor"].now == 40  # the two thirds of its bolt that slackening left
