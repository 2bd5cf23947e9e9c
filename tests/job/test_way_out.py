"""The quickest way to leave a machine safe: on, or some put back; what a stop records of it."""

from datetime import UTC, datetime, timedelta
from fractions import Fraction
from itertools import combinations, count

import pytest

from sequencer.document.evenings.sittings import leaving_words
from sequencer.document.evenings.way_out import way_title
from sequencer.document.hours import roughly
from sequencer.job.desk import By
from sequencer.job.evenings import way_out
from sequencer.job.evenings.stopping import MadeSafe
from sequencer.job.evenings.way_out import ways_out
from sequencer.job.journal.events import EventKind
from sequencer.job.now.acts import RefusedError
from sequencer.job.reports.status import leaving, stops_ahead
from sequencer.plan.hazards.stops import Left, Verdict
from tests.job.at_a_job import job_called
from tests.job.through import begun, tick
from tests.job.told.at_a_bare_job import desk_at
from tests.support.profile import before_landing, counts

START = datetime(2026, 10, 7, 16, 0, tzinfo=UTC)


def at(minutes):
    return By("Ann", "laptop", START + timedelta(minutes=minutes))


def ways(desk):
    return {way.onward: way for way in ways_out(desk.moment(), "Ann", START)}


def safe(desk):
    return stops_ahead(desk.moment())[0].verdict is not Verdict.UNSAFE


def to_half_out(desk):
    """Until the first part of the pump hangs by itself alone."""
    desk.resume(by=at(0))
    desk.done("1-2", by=at(5))
    assert not safe(desk)


def test_where_it_may_be_left_there_is_no_way_to_look_for(desk):
    assert ways_out(desk.moment(), "Ann", START) == ()
    with pytest.raises(RefusedError, match="nothing is known here that has to be made safe"):
        desk.stop(way=MadeSafe.BACK)


def test_on_is_the_shortest_beginning_of_what_is_left_and_back_puts_the_fasteners_back(desk):
    to_half_out(desk)
    found = ways_out(desk.moment(), "Ann", START)
    assert [way.planned for way in found] == sorted(way.planned for way in found)
    on, back = ways(desk)[True], ways(desk)[False]
    assert (on.ops, back.ops) == (("remove guard",), ("undo guard/screws",))
    assert [act.name for act in back.acts] == ["fasten guard/screws"]
    assert back.planned >= 6 * 8


def test_gone_on_is_ticked_and_the_clock_stopped_in_one_act(desk):
    to_half_out(desk)
    said = desk.stop("home", MadeSafe.ON, by=at(10))
    assert said.ops == ("remove guard",)
    assert (desk.state().running, safe(desk)) == (None, True)
    assert "remove guard" in desk.state().ticks
    assert desk.state().of(EventKind.STOPPED)[-1].event.body["safe"] == "on to step 3"


def test_put_back_is_to_be_done_again_and_one_undo_takes_all_of_it_back(desk):
    to_half_out(desk)
    said = desk.stop("home", MadeSafe.BACK, by=at(10))
    state = desk.state()
    assert said.ops == ("undo guard/screws",)
    assert (state.running, safe(desk)) == (None, True)
    assert "undo guard/screws" in [op for _, op in state.left]
    assert "put back" in state.of(EventKind.STOPPED)[-1].event.body["safe"]
    desk.undo(by=at(11))
    assert "undo guard/screws" in desk.state().ticks
    assert desk.state().running is not None


def test_to_stop_all_the_same_is_no_refusal_and_says_what_was_left(desk):
    to_half_out(desk)
    assert desk.stop("late", by=at(10)).words == ("stopped",)
    body = desk.state().of(EventKind.STOPPED)[-1].event.body
    assert body == {"why": "late", "left": ["half_out_light guard"]}
    desk.stop(way=MadeSafe.BACK, by=at(20))
    assert safe(desk)
    assert desk.state().worked == 600


def test_a_way_that_is_another_by_now_is_not_taken(desk):
    to_half_out(desk)
    seen = ways(desk)[False].ops
    desk.done("3-7", by=at(8))
    assert not safe(desk)
    with pytest.raises(RefusedError, match="gone on since"):
        desk.stop(way=MadeSafe.BACK, seen=seen, by=at(9))
    assert desk.state().running is not None


def test_what_was_undone_before_counts_no_more(desk):
    to_half_out(desk)
    desk.undo(2, by=at(6))
    assert ways_out(desk.moment(), "Ann", START) == ()


@before_landing
@pytest.mark.parametrize(
    "name", ["pump motor", *counts(quick=(), landing=("pump impeller",), nightly=("pump impeller",))]
)
def test_after_every_step_both_ways_each_way_out_leads_to_where_it_says(tmp_path, name):
    """Hung parts, open systems, held loads: taken on a copy of the job, each way leaves it so."""
    text, targets = job_called(name)
    with begun(tmp_path, text, [part for _, part in targets]) as desk:
        tried = 0
        for minute in count():
            for onward, way in ways(desk).items():
                if not way.single:
                    continue
                tried += 1
                desk.stop(way=MadeSafe.ON if onward else MadeSafe.BACK, by=at(minute))
                assert stops_ahead(desk.moment())[0].verdict is way.verdict
                desk.undo(by=at(minute))
            if not desk.moment().plan.steps:
                if desk.state().turned:
                    break
                desk.turn(by=at(minute))
            else:
                tick(desk)
        assert tried > 8


BEAD = """machine: m
fluids: {oil: {volume: 1 L, fill: {time: 1 min}}}
parts:
  pan:
    weight: 2 kg
    wet: [oil]
    sealant: {kind: rtv, assemble_within: 15 min, cure: 2 h}
    joints: {bolts: {kind: bolt, head: 10, count: 4}}
"""


def test_a_wet_bead_is_run_down_or_wiped_off_and_what_cures_is_waited_for(tmp_path):
    with begun(tmp_path, BEAD, ["pan"]) as desk:
        while desk.moment().plan.steps:
            tick(desk)
        desk.turn(by=at(0))
        while "seal pan" not in desk.state().ticks:
            tick(desk)
        loose = stops_ahead(desk.moment())[0].loose
        assert Left.SEALANT_WET in {one.left for one in loose}
        found = ways(desk)
        assert "fasten pan/bolts" in found[True].ops
        assert found[False].ops[-1] == "seal pan"
        desk.stop(way=MadeSafe.BACK, by=at(1))
        assert "seal pan" not in desk.state().ticks
        assert Left.SEALANT_WET not in {one.left for one in stops_ahead(desk.moment())[0].loose}


def test_a_job_without_a_file_puts_back_what_was_told(tmp_path):
    with desk_at(tmp_path / "job", "blade") as desk:
        desk.resume(by=at(0))
        desk.did("undid the chain guard, 3 screws PH2", by=at(1))
        assert not safe(desk)
        (way,) = ways_out(desk.moment(), "Ann", START)
        assert not way.onward
        text = desk.folder.machine.read_bytes()
        desk.stop(way=MadeSafe.BACK, by=at(2))
        assert (safe(desk), desk.state().running) == (True, None)
        assert desk.folder.machine.read_bytes() == text


def least(desk, most):
    """The least planned seconds of acts that put back enough, over every set of so many ticks at most."""
    moment = desk.moment()
    known, done = moment.operations, moment.state.done
    undoing = {op: way_out._reversed(moment.machine, known[op], back=False) for op in done}
    found = []
    for size in range(1, most + 1):
        for gone in combinations(done, size):
            if way_out._closed(moment, gone) != frozenset(gone) or not all(undoing[op] for op in gone):
                continue
            if Verdict.of(way_out._left_without(moment, gone)) is not Verdict.UNSAFE:
                found.append(sum((act.seconds for act in way_out._acts(undoing, gone)), Fraction(0)))
    return min(found, default=None)


@before_landing
@pytest.mark.parametrize("number", range(counts(quick=1, landing=12, nightly=60)))
def test_nothing_less_put_back_would_do(tmp_path, number):
    """Against every set of ticks, on random machines."""
    text, targets = job_called(f"random {number}")
    with begun(tmp_path, text, [part for _, part in targets]) as desk:
        while desk.moment().plan.steps and len(desk.state().done) < 8:
            tick(desk)
            back = ways(desk).get(False)
            if safe(desk):
                continue
            most = len(desk.state().done)
            reference = least(desk, most)
            if back is None:
                assert reference is None
            else:
                assert sum((act.seconds for act in back.acts), Fraction(0)) == reference


def test_how_far_the_better_place_is_and_how_long_the_way_on_takes_are_one_time(desk):
    """By what this person has taken, not by the file's times."""
    desk.resume(by=at(0))
    desk.done("1", by=at(30))
    desk.done("2", by=at(36))
    told = leaving(desk.moment(), "Ann")
    on = ways(desk)[True]
    assert told.likely == on.likely > 1.5 * told.seconds
    assert f"step 3, about {roughly(on.likely)} from here" in leaving_words(told)
    assert way_title(desk.machine, on, 3).startswith(f"about {roughly(on.likely)}: on to step 3")
