"""Good practice in a job under way: whatever happens, what is left keeps it as far as it can be kept."""

from datetime import date

import pytest

from sequencer.job.changes.finds import Find
from sequencer.job.desk import Desk
from sequencer.job.now.practised import LastAsked
from sequencer.plan.practice.rules import Practice
from tests.job.conftest import ANN, begin_job
from tests.support.profile import before_landing

DAY = date(2026, 11, 25)

ROTORS = """
machine: Two rotors, invented
positions: {front: {}, rear: {}}
parts:
  rotor:
    weight: 12 kg
    joints:
      bolts: {kind: bolt, head: 13, count: 2, each: 10 s}
      plug: {kind: connector, time: 5 s}
  counterweight:
    weight: 10 kg
    joints:
      bolts: {kind: bolt, head: 13, count: 2, each: 10 s}
  tray:
    from: rear
    joints: {clips: {kind: clip, count: 4}}
"""

DRUM = """
machine: Drum, invented
positions: {front: {}}
parts:
  drum:
    weight: 9 kg
    joints:
      bolts: {kind: bolt, head: 13, count: 2}
      strap: {kind: strap, behind: [guard], time: 10 s}
  guard:
    behind: [drum/bolts]
"""

PULLEY = """
machine: Pulley, invented
positions: {front: {}, rear: {}}
tools: {bar: {label: holding bar}}
tasks:
  hold: {label: Set the holding bar, tool: bar, time: 60 s, serves: [pulley/bolt], undo: {time: 20 s}}
parts:
  guard: {joints: {screws: {kind: screw, head: PH2, count: 2}}}
  pulley:
    behind: [guard]
    joints: {bolt: {kind: bolt, head: 22, torque: 90 N.m}}
  tray: {from: rear, joints: {clips: {kind: clip, count: 4}}}
"""


@pytest.fixture
def desk(tmp_path):
    file = tmp_path / "rotors.yaml"
    file.write_text(ROTORS, encoding="utf-8")
    off = ("rotor", "counterweight", "tray")
    with Desk(begin_job(tmp_path / "job", machine=file, off=off, practice=Practice.ALL), ANN) as opened:
        yield opened


def left(desk):
    return [op for _, op in desk.state().left]


def in_one_go(order, first, *then):
    """Whether ``then`` follow one another right after ``first``."""
    start = order.index(first) + 1
    return order[start : start + len(then)] == list(then)


def test_the_job_is_begun_as_good_practice_has_it(desk):
    order = left(desk)
    assert in_one_go(order, "undo rotor/bolts", "remove rotor")
    assert in_one_go(order, "undo counterweight/bolts", "remove counterweight")
    assert desk.moment().as_practised
    assert desk.folder.card.practice == "all"


def test_a_last_joint_undone_out_of_turn_sends_nobody_away_from_what_hangs(desk):
    desk.done(["undo rotor/bolts"])
    assert left(desk)[:2] == ["undo rotor/plug", "remove rotor"]
    desk.undo(None)
    assert in_one_go(left(desk), "undo rotor/bolts", "remove rotor")


LIDS = """
machine: Two lids, invented
positions: {front: {}, rear: {}}
parts:
  lid: {from: rear, joints: {screws: {kind: screw, head: PH2, count: 4, torque: 2 N.m}}}
  hatch: {joints: {screws: {kind: screw, head: PH2, count: 4, torque: 2 N.m}}}
"""


def test_a_part_fitted_out_of_turn_is_fastened_and_torqued_before_anybody_goes_elsewhere(tmp_path):
    file = tmp_path / "lids.yaml"
    file.write_text(LIDS, encoding="utf-8")
    off = ("lid", "hatch")
    with Desk(begin_job(tmp_path / "job", machine=file, off=off, practice=Practice.ALL), ANN) as desk:
        desk.done(left(desk))
        desk.turn()
        late = left(desk)[3].removeprefix("fit ")
        desk.done([f"fit {late}"])
        assert left(desk)[:2] == [f"fasten {late}/screws", f"torque {late}/screws"]
        assert desk.moment().as_practised


def test_what_is_found_in_the_way_of_a_part_comes_before_its_last_joint(desk):
    desk.found(Find("stay", {"blocks": ("rotor",)}, held=("bolt 10 x2",)), DAY)
    order = left(desk)
    assert order.index("remove stay") < order.index("undo rotor/bolts")
    assert in_one_go(order, "undo rotor/bolts", "remove rotor")


def test_what_is_found_when_a_part_hangs_already_is_done_at_once(desk):
    desk.done(["undo rotor/plug", "undo rotor/bolts"])
    desk.found(Find("stay", {"blocks": ("rotor",)}, held=("bolt 10 x2",)), DAY)
    assert left(desk)[:3] == ["undo stay/bolts", "remove stay", "remove rotor"]


def test_the_way_back_and_what_is_left_of_it_keep_it_too(desk):
    desk.done(left(desk))
    desk.turn()
    assert in_one_go(left(desk), "fit rotor", "fasten rotor/bolts")
    assert in_one_go(left(desk), "fit counterweight", "fasten counterweight/bolts")
    desk.done(["fit counterweight"])
    assert left(desk)[0] == "fasten counterweight/bolts"
    desk.undo(None)
    assert in_one_go(left(desk), "fit counterweight", "fasten counterweight/bolts")
    desk.turn(apart=True)
    assert desk.moment().as_practised


def test_what_is_known_of_the_whole_job_is_not_found_out_anew_at_each_act(desk, monkeypatch):
    jobs = []
    as_known = LastAsked.as_known

    def noted(asked, job):
        jobs.append(as_known(asked, job))
        return jobs[-1]

    monkeypatch.setattr(LastAsked, "as_known", noted)
    for op in ("undo tray/clips", "undo rotor/bolts", "undo counterweight/bolts"):
        desk.done([op])
    assert len(jobs) >= 2
    assert all(job is jobs[0] for job in jobs)


def test_two_parts_that_hang_both_come_away_before_anything_else(desk):
    desk.done(["undo rotor/plug", "undo rotor/bolts", "undo counterweight/bolts"])
    assert set(left(desk)[:2]) == {"remove rotor", "remove counterweight"}


def test_two_parts_that_are_fitted_without_a_joint_are_both_fastened_before_anything_else(desk):
    desk.done(left(desk))
    desk.turn()
    desk.done(["fit rotor", "fit counterweight"])
    assert set(left(desk)[:2]) == {"fasten rotor/bolts", "fasten counterweight/bolts"}


def test_a_rule_that_can_not_be_kept_is_named_at_its_step(tmp_path):
    """The strap bears nothing and has to be the last joint."""
    file = tmp_path / "drum.yaml"
    file.write_text(DRUM, encoding="utf-8")
    folder = begin_job(tmp_path / "job", machine=file, off=("drum",), practice=Practice.ALL)
    with Desk(folder, ANN) as desk:
        named = desk.moment().plan.practice.dropped
        assert [(one.name.value, one.subject, one.at) for one in named] == [("hold", "drum", "remove drum")]
        desk.done(["undo drum/bolts"])
        assert desk.moment().plan.practice.dropped == named
        desk.done(left(desk))
        assert desk.moment().plan.practice.dropped == ()


@before_landing
def test_what_serves_a_joint_is_put_away_in_a_job_too_and_set_up_again_on_the_way_back(tmp_path):
    file = tmp_path / "pulley.yaml"
    file.write_text(PULLEY, encoding="utf-8")
    folder = begin_job(tmp_path / "job", machine=file, off=("pulley", "tray"), practice=Practice.ALL)
    with Desk(folder, ANN) as desk:
        served = ["task hold", "undo pulley/bolt", "restore hold"]
        order = left(desk)
        assert in_one_go(order, served[0], *served[1:])
        desk.done(order[: order.index("undo pulley/bolt")])
        desk.found(Find("stay", {"blocks": ("pulley",)}, held=("bolt 10 x2",)), DAY)
        assert left(desk)[:4] == ["undo stay/bolts", "remove stay", *served[1:]]
        desk.done(left(desk)[:3])
        desk.undo(None)
        desk.done(left(desk))
        assert desk.state().left == ()
        desk.turn()
        order = left(desk)
        assert in_one_go(order, "task hold", "torque pulley/bolt", "restore hold")
        desk.done(order[: order.index("torque pulley/bolt")])
        desk.done(["torque pulley/bolt"], torque="90 N.m")
        assert left(desk)[0] == "restore hold"
        desk.done(left(desk))
        assert desk.state().left == ()


def test_a_job_without_good_practice_stays_as_it_was(tmp_path):
    file = tmp_path / "rotors.yaml"
    file.write_text(ROTORS, encoding="utf-8")
    folder = begin_job(tmp_path / "job", machine=file, off=("rotor", "counterweight", "tray"))
    assert "practice: none" in (folder.path / "job.yaml").read_text(encoding="utf-8")
    with Desk(folder, ANN) as desk:
        before = left(desk)
        desk.done(["undo rotor/bolts"])
        assert left(desk) == [op for op in before if op != "undo rotor/bolts"]
