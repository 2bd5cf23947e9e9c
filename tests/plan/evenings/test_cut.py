"""An order cut into sittings: whole, each ending where the machine may be left, by the best cuts."""

from fractions import Fraction
from itertools import combinations, pairwise

import pytest

from sequencer.errors import SequencerError
from sequencer.graph.targets import parse_targets
from sequencer.machine.reading import load
from sequencer.plan.evenings.cut import divided
from sequencer.plan.evenings.evenings import as_ordered, in_one_go, in_sittings
from sequencer.plan.evenings.ground import Ground
from sequencer.plan.evenings.load import Load
from sequencer.plan.evenings.sittings import EndReason
from sequencer.plan.evenings.wish import SittingsWish
from sequencer.plan.evenings.worth import NOTHING
from sequencer.plan.hazards.stops import Verdict
from sequencer.plan.teardown import plan_teardown
from tests.plan.test_stops import COVERED, WET, plans
from tests.support.profile import before_landing, counts
from tests.views.paper_jobs import ROOT, pump, van


def both(job):
    return job.into, job.back


SMALL = [*plans(COVERED), *plans(WET, "fluids: {oil: {volume: 1 L}}", off="a")]
ALL = [*SMALL, *both(pump())]


def wish(*minutes):
    return SittingsWish(tuple(Fraction(60 * one) for one in minutes))


@before_landing
@pytest.mark.parametrize("plan", ALL)
@pytest.mark.parametrize("minutes", [11, 20, 1000])
def test_the_sittings_are_the_plan_in_its_order_and_end_where_it_may_be_left(plan, minutes):
    found = as_ordered(plan, wish(minutes))
    assert tuple(step for one in found for step in one.steps) == plan.steps
    assert [one.number for one in found] == list(range(1, len(found) + 1))
    assert not any(one.stop.verdict is Verdict.UNSAFE for one in found[:-1])


def tried_out(plan, asked):
    """The best worth of all ways of cutting an order, each summed up by itself."""
    ground, size = Ground(plan, Load(plan, asked)), len(plan.steps)
    stops = [k for k in range(1, size) if ground.may_stop((1 << k) - 1)]
    for count in range(len(stops) + 1):
        for cuts in combinations(stops, count):
            worth = NOTHING
            for number, (i, j) in enumerate(pairwise((0, *cuts, size)), 1):
                run = range(i, j)
                worth += ground.worth(run, ground.seconds(run), number, (1 << j) - 1)
            yield worth


@pytest.mark.parametrize("plan", SMALL)
@pytest.mark.parametrize("minutes", [(11,), (12, 14), (20,)])
def test_no_way_of_cutting_is_better(plan, minutes):
    asked = wish(*minutes)
    ground = Ground(plan, Load(plan, asked))
    assert divided(ground, range(ground.size)).worth == min(tried_out(plan, asked))


def test_a_sitting_takes_what_setting_out_clearing_up_and_getting_back_to_it_take():
    plan = pump().into
    first, second, *_ = as_ordered(plan, wish(20))
    around = plan.machine.pace.set_up + plan.machine.pace.clear_up
    assert first.seconds == around + sum(s.seconds + s.change_seconds for s in first.steps)
    assert second.seconds >= around + sum(s.seconds + s.change_seconds for s in second.steps[1:])
    (whole,) = as_ordered(plan, wish(10**6))
    assert whole.seconds == around + plan.totals.seconds
    assert whole.hours.likely == pytest.approx(plan.hours.likely + around, rel=0.02)
    assert whole.chance == 1
    assert whole.over == 0
    assert whole.why is EndReason.DONE


def test_a_sitting_is_as_sure_as_was_wished_or_says_how_much_it_lacks():
    plan = pump().into
    for sure in (0.6, 0.95):
        found = as_ordered(plan, SittingsWish((Fraction(20 * 60),), sure))
        assert all((one.chance >= sure) == (one.over == 0) for one in found)
        assert all(0 < one.hours.low < one.hours.likely < one.hours.high for one in found)


def test_sittings_may_differ_and_the_last_length_holds_for_the_rest():
    plan = pump().into
    found = as_ordered(plan, wish(14, 10**6))
    assert len(found) == 2
    assert wish(14, 20).after(1) == wish(14, 20).after(7) == wish(20)
    assert [wish(14, 20).length(number) for number in (1, 2, 9)] == [840, 1200, 1200]


def test_a_job_without_steps_has_no_sittings():
    machine = load(ROOT / "examples/bench-pump.yaml")
    plan = plan_teardown(machine, parse_targets(machine, [], ["guard"]))
    assert as_ordered(plan, wish(60)) == ()
    told = in_sittings(plan, wish(60))
    assert (told.sittings, told.seconds, told.day) == ((), 0, 0)


@pytest.mark.parametrize(
    ("lengths", "chance"), [((0,), 0.8), ((90, 0.5), 0.8), ((), 0.8), ((90,), 1), ((90,), 0)]
)
def test_a_wish_that_nobody_means_is_refused(lengths, chance):
    with pytest.raises(SequencerError):
        SittingsWish.of([Fraction(one) for one in lengths], chance)


def test_one_go_is_one_sitting():
    plan = pump().into
    assert in_one_go(plan).steps == plan.steps


@before_landing
def test_the_van_is_never_left_with_a_filling_unchecked():
    for plan in both(van()):
        for minutes in counts(quick=(90,), landing=(45, 90), nightly=(45, 90, 180)):
            found = as_ordered(plan, wish(minutes))
            assert not any(one.stop.forbidden for one in found[:-1])
