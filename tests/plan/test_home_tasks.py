"""Tasks of the way back alone: when they are done, after what, and what is fitted after them."""

import pytest

from sequencer.errors import SequencerError
from sequencer.plan.practice.rules import Practice, RuleName
from sequencer.render.data.plans.plan import refit_json, teardown_json
from tests.job.through import through
from tests.plan.jobs import names, there_and_back
from tests.support.checker import check_plan
from tests.support.home_cooler import COOLER
from tests.support.profile import before_landing
from tests.support.refit_checker import check_refit


def both(text, off="hose", practice=Practice.NONE):
    targets = [("off", off)]
    way_in, back = there_and_back(text, targets, practice=practice)
    told = teardown_json(way_in)
    if practice is Practice.NONE:
        assert check_plan(text, targets, told) == []
    assert check_refit(text, targets, told, refit_json(back)) == []
    return names(way_in), names(back)


def before(order, *steps):
    places = [order.index(step) for step in steps]
    return places == sorted(places)


def test_it_is_done_once_all_is_filled_and_undone_that_it_names():
    way_in, home = both(COOLER)
    assert not any("bleed" in step or "run" in step for step in way_in)
    assert before(home, "fill coolant", "task bleed", "fit cap")
    assert before(home, "task bleed", "restore isolate", "task run")
    assert home[-1] == "task run"


def test_what_it_needs_joins_the_job_and_is_kept_until_it_is_done():
    way_in, home = both(COOLER)
    assert {"task raise", "remove cap"} <= set(way_in)
    assert before(home, "task bleed", "restore raise")


def test_with_practice_what_hides_it_is_fitted_after_it_even_once_the_first_task_is_undone():
    _, home = both(COOLER, practice=Practice.ALL)
    assert before(home, "restore isolate", "task run", "fit cover", "torque cover/bolts")


STAND = """\
machine: On stands, invented for this test
positions: {floor: {}, beside: {}, under: {needs: [raise]}}
tasks:
  isolate: {time: 60 s, undo: {time: 60 s}}
  raise: {time: 9 min, undo: {time: 3 min}}
  look: {only: back, time: 60 s, behind: [isolate], back_before: [tray]}
first: [isolate]
parts:
  tray: {from: under, joints: {screws: {kind: screw, head: 10, time: 60 s}}}
  wheel:
    needs: [raise]
    joints: {bolts: {kind: bolt, head: 19, time: 60 s, torque: {value: 110 N.m, when: [raise], from: beside}}}
"""


def test_a_cover_below_follows_it_too_where_a_wheel_is_torqued_off_the_stands():
    targets = [("off", "tray"), ("off", "wheel")]
    way_in, back = there_and_back(STAND, targets, practice=Practice.ALL)
    assert back.practice is not None
    assert back.practice.dropped == ()
    home = names(back)
    assert before(home, "restore isolate", "task look", "fit tray", "restore raise", "torque wheel/bolts")
    assert check_refit(STAND, targets, teardown_json(way_in), refit_json(back)) == []


def test_a_helper_of_what_is_fitted_after_it_goes_on_after_it_too():
    text = COOLER.replace("  run:", "  bar: {time: 60 s, serves: [cover/bolts], undo: {time: 20 s}}\n  run:")
    _, home = both(text, practice=Practice.ALL)
    assert before(home, "restore isolate", "task run", "fit cover", "task bar", "torque cover/bolts")


def test_it_is_not_done_before_that_is_back_which_it_is_done_at():
    text = """
machine: Valve gear, invented
positions: {left: {}}
tasks: {adjust: {only: back, time: 60 s, behind: [cover]}}
parts:
  cover: {joints: {nuts: {kind: nut, head: 13, time: 30 s}}}
  shaft: {behind: [cover], joints: {nuts: {kind: nut, head: 14, time: 60 s, torque: 30 N.m}}}
"""
    _, home = both(text, "shaft", practice=Practice.ALL)
    assert before(home, "torque shaft/nuts", "task adjust", "fit cover")


def test_a_job_that_touches_nothing_of_it_does_without():
    text = COOLER.replace("[coolant, isolate]", "[coolant]").replace(
        "  hose:", "  lid: {time: 10 s}\n  hose:"
    )
    way_in, home = both(text, "lid")
    assert (way_in, home) == (["task isolate", "remove lid"], ["fit lid", "restore isolate"])


@pytest.mark.parametrize("off", ["cap", "cover"])
def test_a_part_that_it_is_behind_or_before_calls_for_it(off):
    text = COOLER.replace("[coolant, isolate]", "[coolant]").replace(", after: [bleed]", "")
    _, home = both(text, off)
    assert ("task bleed" in home, "task run" in home) == (off == "cap", off == "cover")
    assert home[-1] == "restore isolate"


def test_a_cover_that_can_t_wait_is_named():
    """The pin goes through the cover into the hose, which has to be tight before the run."""
    text = COOLER.replace("behind: [cover], wet", "trapped_by: [cover], wet").replace(
        "bolts: {kind: bolt, head: 10,", "bolts: {kind: bolt, head: 10, wet: [coolant],"
    )
    _, back = there_and_back(text, [("off", "hose")], practice=Practice.ALL)
    assert back.practice is not None
    assert [(one.name, one.subject) for one in back.practice.dropped] == [(RuleName.CLOSING, "cover")]


def test_the_undoing_of_a_task_can_come_before_a_part_is_fitted_too():
    text = COOLER.replace("raise: {", "raise: {back_before: [cap], ")
    _, home = both(text, practice=Practice.ALL)
    assert before(home, "task bleed", "restore raise", "fit cap")


FLAP = """machine: Pump behind a flap, invented
positions: {bench: {}}
first: [isolate]
tasks:
  isolate: {time: 1 min, undo: {time: 1 min}}
  run: {only: back, time: 1 min, behind: [isolate], back_before: [flap]}
parts:
  flap: {aside: {}}
  hose: {behind: [{flap: aside}], joints: {clip: {kind: clip, tool: hand, time: 5 s}}}
"""


def test_nor_is_a_part_moved_back_that_only_stood_aside():
    assert before(both(FLAP, practice=Practice.ALL)[1], "restore isolate", "task run", "move-back flap")


LIDS = """machine: Pump behind two lids, invented
positions: {bench: {}}
tasks:
  sling: {time: 1 min, carries: [lid], undo: {time: 1 min}}
  look: {only: back, time: 1 min, back_before: [lid, cap]}
parts:
  lid: {weight: 30 kg, joints: {bolts: {kind: bolt, tool: hand, time: 5 s}}}
  cap: {behind: [lid], joints: {clip: {kind: clip, tool: hand, time: 5 s}}}
  hose: {behind: [cap], joints: {clip: {kind: clip, tool: hand, time: 5 s}}}
"""


def test_neither_one_cover_below_another_nor_what_bears_a_cover_is_what_they_hide():
    _, home = both(LIDS, practice=Practice.ALL)
    assert before(home, "fasten hose/clip", "task look", "fit cap", "task sling", "fit lid", "restore sling")
    _, back = there_and_back(LIDS, [("off", "hose")], practice=Practice.ALL)
    assert not back.practice.dropped


def test_what_can_t_be_is_refused_with_its_line():
    text = COOLER.replace("cap: {joints", "cap: {wet: [coolant], joints")
    with pytest.raises(SequencerError, match=r"machine.yaml:12:.*coolant is filled before bleed"):
        there_and_back(text, [("off", "hose")])


@before_landing
def test_a_job_does_it_in_its_turn(tmp_path):
    _, home = through(tmp_path, COOLER, ["hose"])
    assert before(home, "task bleed", "task run")
