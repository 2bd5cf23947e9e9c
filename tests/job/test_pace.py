"""A person's pace by kind of joint, and what a job offers to write back.

The medians are worked out by hand beside each case.
"""

from datetime import UTC, date, datetime, timedelta
from fractions import Fraction

import pytest

from sequencer.errors import SequencerError
from sequencer.job import learning
from sequencer.job.desk import By, Desk
from sequencer.job.finding import Find
from sequencer.job.pace import OTHER, KindPace, Sample, at_pace, learned, pace_text, read_pace, samples_of
from sequencer.machine.reading import load
from tests.job.conftest import PUMP, begin_job


def samples(kind, *seconds, planned=20):
    return [Sample(kind, Fraction(planned), Fraction(one)) for one in seconds]


def test_the_median_counts_so_that_one_stubborn_bolt_makes_nobody_slow():
    # 20 22 24 26 140 over 20: median 24/20
    assert learned(samples("bolt", 20, 22, 24, 26, 140))["bolt"] == KindPace(Fraction(6, 5), 5)


def test_too_few_samples_say_nothing_and_interruptions_are_no_samples():
    assert learned(samples("bolt", 20, 22, 24, 26)) == {}
    assert learned(samples("bolt", 20, 22, 24, 26, 20 * 9)) == {}  # the fifth is a telephone call


def test_what_is_known_already_weighs_as_much_as_it_was_told_from():
    former = {"bolt": KindPace(Fraction(1), 20)}
    # twenty times 1 and five times 2: the median stays 1
    assert learned(samples("bolt", 40, 40, 40, 40, 40), former)["bolt"] == KindPace(Fraction(1), 25)


def test_a_stretch_is_shared_out_as_it_was_planned_but_for_what_goes_at_nobodys_pace():
    spells = [([("bolt", Fraction(20)), ("", Fraction(20)), ("clip", Fraction(10))], Fraction(100))]
    found = samples_of(spells)
    assert [(s.kind, s.taken) for s in found] == [
        ("bolt", Fraction(160, 3)),  # two thirds of the 80 s that the change left
        ("clip", Fraction(80, 3)),
    ]


def test_all_that_has_too_few_samples_of_its_own_is_other_work_and_tells_its_pace():
    few = [*samples("bolt", 40, 40, 40), *samples("nut", 40), *samples(OTHER, 40)]
    assert learned(few) == {OTHER: KindPace(Fraction(2), 5)}


def test_other_work_scales_tasks_parts_and_joints_without_a_pace_but_no_fluid():
    machine = load(PUMP)
    paced = at_pace(machine, {OTHER: KindPace(Fraction(2), 9), "bolt": KindPace(Fraction(3), 9)})
    assert paced.tasks["isolate"].seconds == 2 * machine.tasks["isolate"].seconds
    assert paced.parts["cover"].seconds == 2 * machine.parts["cover"].seconds
    assert paced.joint("motor", "feet").seconds == 2 * machine.joint("motor", "feet").seconds
    assert paced.joint("cover", "bolts").seconds == 3 * machine.joint("cover", "bolts").seconds
    assert paced.fluids == machine.fluids


def test_a_pace_file_is_read_as_it_was_written(tmp_path):
    pace = {"bolt": KindPace(Fraction(6, 5), 12), "hose clip": KindPace(Fraction(3, 4), 5)}
    path = tmp_path / "pace.toml"
    path.write_text(pace_text('Ann "the wrench"', pace), "utf-8")
    assert read_pace(path) == pace


@pytest.mark.parametrize("text", ["kinds = 3", "[kinds.bolt]\nfactor = 'x'", "[kinds.bolt]\nfactor = 0", "{"])
def test_a_pace_file_with_faults_is_refused(tmp_path, text):
    path = tmp_path / "pace.toml"
    path.write_text(text, "utf-8")
    with pytest.raises(SequencerError, match="pace"):
        read_pace(path)


def test_the_next_plan_has_this_persons_times_and_says_where_they_are_from():
    machine = load(PUMP)
    paced = at_pace(machine, {"bolt": KindPace(Fraction(3, 2), 9)})
    old, new = machine.joint("cover", "bolts"), paced.joint("cover", "bolts")
    assert (new.seconds, new.seconds_from) == (old.seconds * Fraction(3, 2), "own pace")
    assert paced.joint("motor", "feet") == machine.joint("motor", "feet")


def test_what_was_found_and_timed_is_offered_relation_by_relation_and_written_back_once(tmp_path):
    origin = tmp_path / "pump.yaml"
    origin.write_bytes(PUMP.read_bytes())
    began = datetime(2026, 11, 25, 10, tzinfo=UTC)
    desk = Desk(begin_job(tmp_path / "j", machine=origin), By("Ann", "phone"))
    desk.found(Find("stay", blocks=("motor",), held=("bolt 10",)), date(2026, 11, 25))
    desk.resume(by=By("Ann", "phone", began))
    desk.done("task isolate", by=By("Ann", "phone", began + timedelta(minutes=3)))
    desk.done("undo guard/screws", by=By("Ann", "phone", began + timedelta(minutes=9)))
    offers = learning.offers(desk.moment(), "Ann", origin)
    words = [offer.words for offer in offers]
    assert words[:2] == ["new part stay, held by bolt head 10", "motor is behind stay"]
    assert words[2].startswith("guard/screws takes ")
    assert learning.offers(desk.moment(), "Bo", origin) == offers[:2]
    learning.write(origin, offers[:2])
    assert "stay" in load(origin).parts
    assert origin.read_text("utf-8").startswith(PUMP.read_text("utf-8")[:200])
    assert learning.offers(desk.moment(), "Ann", origin) == offers[2:]
    desk.close()


def test_a_tick_that_was_caught_up_on_is_no_new_time_for_the_file(tmp_path):
    began = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
    desk = Desk(begin_job(tmp_path / "job"), By("Ann", "phone"))
    desk.done("task isolate", by=By("Ann", "phone", began))
    desk.done("undo guard/screws", by=By("Ann", "phone", began + timedelta(seconds=2)))
    assert learning.offers(desk.moment(), "Ann", PUMP) == ()
    desk.close()
