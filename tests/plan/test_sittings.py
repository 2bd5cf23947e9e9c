"""A job cut into sittings: whole, in order, at the cheapest stops, and never at a forbidden one."""

from dataclasses import replace
from fractions import Fraction
from itertools import combinations, pairwise

import pytest

from sequencer.errors import SequencerError
from sequencer.machine.reading import load
from sequencer.plan.setups import Changes, Setup
from sequencer.plan.sittings import MOST, sittings_by_number, sittings_of_lengths
from sequencer.plan.stops import over_factor, sitting_seconds, stops
from tests.plan.test_stops import COVERED, WET, plans
from tests.support.profile import counts
from tests.views.paper_jobs import ROOT, pump, van


def both(job):
    return job.into, job.back


ALL = [*plans(COVERED), *plans(WET, "fluids: {oil: {volume: 1 L}}", off="a"), *both(pump())]


@pytest.mark.parametrize("plan", ALL)
@pytest.mark.parametrize("minutes", [1, 4, 9, 1000])
def test_the_sittings_are_the_plan_in_its_order(plan, minutes):
    found = sittings_of_lengths(plan, (Fraction(minutes * 60),))
    assert tuple(step for one in found for step in one.steps) == plan.steps
    assert [one.number for one in found] == list(range(1, len(found) + 1))
    assert not any(one.stop.forbidden for one in found[:-1])


def price(plan, length, cuts):
    """What a way of cutting costs by the words of the module, summed up step by step."""
    at, total = stops(plan), Fraction(0)
    changes = Changes.of(
        plan.machine, {op.tool: "torque-wrench" for op in plan.operations if "torque" in op.name}
    )
    for i, j in pairwise([0, *cuts, len(plan.steps)]):
        here = plan.steps[i].operation
        begin = changes.start_seconds(Setup(here.position, here.tool)) if i else plan.steps[0].change_seconds
        took = (
            begin
            + sum(s.seconds for s in plan.steps[i:j])
            + sum(s.change_seconds for s in plan.steps[i + 1 : j])
        )
        total += sitting_seconds() + over_factor() * max(Fraction(0), took - length)
        total += begin - plan.steps[i].change_seconds
        if j < len(plan.steps):
            if at[j].forbidden:
                return None
            total += at[j].weight
    return total


def cheapest(plan, length, number=None):
    inner = range(1, len(plan.steps))
    counts = [number - 1] if number else range(3)
    ways = (cuts for count in counts for cuts in combinations(inner, count))
    return min(cost for cuts in ways if (cost := price(plan, length, cuts)) is not None)


@pytest.mark.parametrize("plan", counts(quick=ALL[:-1], landing=ALL, nightly=ALL))
@pytest.mark.parametrize("minutes", [8])
def test_no_way_of_cutting_is_cheaper(plan, minutes):
    length = Fraction(minutes * 60)
    found = sittings_of_lengths(plan, (length,))
    mine = price(plan, length, [one.last for one in found[:-1]])
    assert mine <= cheapest(plan, length)


@pytest.mark.parametrize("plan", both(pump()))
@pytest.mark.parametrize("number", counts(quick=[1, 2], landing=[1, 2, 3], nightly=[1, 2, 3]))
def test_so_many_sittings_as_are_asked_for_and_none_cheaper(plan, number):
    found = sittings_by_number(plan, number)
    assert len(found) == number
    length = plan.totals.seconds / number
    assert price(plan, length, [one.last for one in found[:-1]]) == cheapest(plan, length, number)


def test_more_sittings_than_places_to_stop_become_fewer():
    into, _ = plans(COVERED)
    assert 1 <= len(sittings_by_number(into, MOST)) <= len(into.steps)


def test_a_sitting_takes_what_getting_back_to_it_takes():
    plan = pump().into
    found = sittings_of_lengths(plan, (Fraction(480),))
    assert found[0].seconds == sum(s.seconds + s.change_seconds for s in found[0].steps)
    assert len(found) > 1
    here = found[1].steps[0].operation
    begin = Changes.of(plan.machine).start_seconds(Setup(here.position, here.tool))
    rest = sum(s.seconds for s in found[1].steps) + sum(s.change_seconds for s in found[1].steps[1:])
    assert found[1].seconds == begin + rest


def test_what_is_too_long_is_said():
    whole = sittings_of_lengths(pump().into, (Fraction(10**6),))
    assert [one.over for one in whole] == [0]
    short = sittings_by_number(pump().into, 1)
    assert short[0].over == 0
    assert any(one.over for one in sittings_of_lengths(pump().into, (Fraction(100),)))


def test_a_job_without_steps_has_no_sittings():
    machine = load(ROOT / "examples/bench-pump.yaml")
    from sequencer.graph.targets import parse_targets
    from sequencer.plan.teardown import plan_teardown

    plan = plan_teardown(machine, parse_targets(machine, [], ["guard"]))
    assert sittings_of_lengths(plan, (Fraction(60),)) == ()
    assert sittings_by_number(plan, 3) == ()


@pytest.mark.parametrize("number", [0, -1, MOST + 1])
def test_a_number_that_makes_no_sense_is_refused(number):
    with pytest.raises(SequencerError, match="can't be cut into"):
        sittings_by_number(pump().into, number)


def test_no_time_at_all_is_refused():
    with pytest.raises(SequencerError, match="has to take some time"):
        sittings_of_lengths(pump().into, (Fraction(0),))


def test_the_van_is_never_left_with_a_filling_unchecked():
    for plan in both(van()):
        for minutes in counts(quick=(90,), landing=(45, 90, 180), nightly=(45, 90, 180)):
            found = sittings_of_lengths(plan, (Fraction(minutes * 60),))
            assert not any(one.stop.forbidden for one in found[:-1])


def test_sittings_may_differ_and_the_last_length_holds_for_the_rest():
    plan = pump().into
    lengths = [Fraction(240), Fraction(480)]
    found = sittings_of_lengths(plan, lengths)
    assert found[0].over == max(0, found[0].seconds - 240)
    assert all(one.over == max(0, one.seconds - 480) for one in found[1:])
    assert sittings_of_lengths(plan, lengths, before=1) == sittings_of_lengths(plan, (Fraction(480),))
    assert sittings_of_lengths(plan, lengths, before=7) == sittings_of_lengths(plan, (Fraction(480),))


def test_a_sitting_says_how_sure_it_is_to_end_in_time():
    plan = pump().into
    (one, *_), (whole,) = (sittings_of_lengths(plan, [Fraction(m * 60)]) for m in (15, 6000))
    assert whole.hours == replace(plan.hours, doubts=())
    assert whole.chance == 1
    assert 0 < one.chance < 1
    assert one.hours.low < float(one.seconds) < one.hours.high
    assert all(part.chance is None for part in sittings_by_number(plan, 2))
