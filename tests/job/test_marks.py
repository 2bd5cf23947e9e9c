"""What is said at a gate stays: readings, overrides, skips, each with who, when, on what, what came after."""

from datetime import UTC, datetime
from io import StringIO

import pytest
from rich.console import Console

from sequencer.document.jobs.log_lines import event_text
from sequencer.document.jobs.record import mark_words, reservation_lines
from sequencer.document.underway.going_on import next_document
from sequencer.errors import SequencerError
from sequencer.job.desk import By, Desk, RefusedError
from sequencer.job.journal.events import EventKind
from sequencer.job.now.acts import Draft
from sequencer.job.now.marks import closed, marks
from sequencer.job.reports.record import reservations, torque_record
from sequencer.job.reports.status import status
from sequencer.render.data.jobs.record_rows import record_csv
from sequencer.render.data.jobs.torque_record import record_json
from sequencer.render.terminal import show
from tests.job.conftest import ANN, BO, begin_job
from tests.support.profile import before_landing

HEAD = """machine: One, invented
parts:
  head:
    joints:
      bolts: {kind: bolt, head: 13, count: 10, thread: M10, class: 10.9,
              torque: [30 N.m, 60 N.m, 90 deg, 90 deg]}
  lid:
    joints:
      nut: {kind: nut, head: 16, thread: M10, class: 8.8, torque: 40 N.m}
"""
BOX = """wrenches:
  long: {range: 40 to 200 N.m, calibrated: 2026-06-01}
  half: {range: 10 to 50 N.m, calibrated: 2020-01-01}
  tiny: {range: 1 to 5 N.m, calibrated: 2026-06-01}
"""


def job(tmp_path, part, box=None, machine=HEAD):
    """A desk at the gate of ``part``, with everything before it done; and the gate's number."""
    file = tmp_path / "one.yaml"
    file.write_text(machine, encoding="utf-8")
    more = {}
    if box:
        (tmp_path / "box.yaml").write_text(box, encoding="utf-8")
        more["toolbox"] = tmp_path / "box.yaml"
    desk = Desk(begin_job(tmp_path / "job", off=(part,), machine=file, **more), ANN)
    desk.done([op for _, op in desk.state().left])
    desk.turn()
    (gate,) = (step for step in desk.plan().steps if step.operation.name.startswith("torque "))
    desk.done([op for _, op in desk.state().left if op != gate.operation.name])
    return desk, gate.number


@pytest.fixture
def lid(tmp_path):
    desk, number = job(tmp_path, "lid")
    yield desk, number
    desk.close()


@pytest.fixture
def head(tmp_path):
    desk, number = job(tmp_path, "head")
    yield desk, number
    desk.close()


def entry(desk):
    (one,) = torque_record(desk.moment())
    return one


def gate_is_closed(desk):
    """By the record, by the marks and by the tick: they are one."""
    one = entry(desk)
    joint = desk.machine.joint(*one.joint.split("/"))
    told = closed(joint, marks(desk.state()).get(one.joint, ()))
    assert told == (one.state != "open") == (f"torque {one.joint}" in desk.state().ticks)
    return told


# ---- Each reading stays ----


def test_too_little_is_made_good_by_more_and_stays_on_the_record_alone(lid):
    desk, gate = lid
    with pytest.raises(RefusedError, match=r"10 N.m is below what is asked") as said:
        desk.done(gate, torque="10 N.m")
    assert "torque lid/bolts" not in said.value.problem, "a step is named in words"
    assert "10 N.m is below" in entry(desk).odd[0]
    desk.done(gate, torque="40 N.m", by=BO)
    assert [mark.torque for mark in entry(desk).marks] == ["10 N.m", "40 N.m"]
    assert entry(desk).odd == ()
    assert reservations(desk.moment()) == ()


def test_a_reading_that_is_refused_stays_on_the_record_and_a_better_one_does_not_erase_it(lid):
    desk, gate = lid
    with pytest.raises(RefusedError, match=r"60 N.m is above what is asked"):
        desk.done(gate, torque="60 N.m")
    assert not gate_is_closed(desk)
    desk.done(gate, torque="40 N.m", by=BO)
    assert gate_is_closed(desk)
    one = entry(desk)
    assert [(m.torque, m.person, bool(m.problem)) for m in one.marks] == [
        ("60 N.m", "Ann", True),
        ("40 N.m", "Bo", False),
    ]
    assert one.marks[0].superseded.how == "read anew"
    assert "60 N.m is above" in one.odd[0]
    assert "60 N.m is above" in " ".join(why for _, why in reservations(desk.moment()))
    assert "60 N.m" in record_csv([one])
    assert [row["holds"] for row in record_json(desk.moment(), [one])["joints"][0]["marks"]] == ["no", "yes"]


def test_a_reading_that_was_refused_is_refused_again_under_its_id_and_kept_once(lid):
    desk, gate = lid
    by = By("Ann", "phone", id="0123456789abcdef0123456789abcdef")
    for _ in range(2):
        with pytest.raises(RefusedError, match="above what is asked"):
            desk.done(gate, torque="60 N.m", by=by)
    assert len(entry(desk).marks) == 1


def test_an_override_keeps_its_own_reason_and_time_and_a_later_figure_does_not_erase_it(lid):
    desk, gate = lid
    early, late = datetime(2026, 11, 1, 8, tzinfo=UTC), datetime(2026, 11, 2, 8, tzinfo=UTC)
    desk.done(gate, anyway="wrench broke", by=By("Ann", "laptop", early))
    desk.done(gate, torque="40 N.m", by=By("Bo", "phone", late))
    one = entry(desk)
    assert one.state == "overridden"
    assert one.why == "wrench broke"
    assert [(m.said.value, m.why, m.time) for m in one.marks] == [
        ("override", "wrench broke", early),
        ("reading", "", late),
    ]
    assert all(m.stands for m in one.marks)
    assert gate_is_closed(desk)


def test_what_is_taken_back_stays_and_says_so(lid):
    desk, gate = lid
    desk.done(gate, torque="40 N.m")
    desk.undo(gate, by=BO)
    assert not gate_is_closed(desk)
    (mark,) = entry(desk).marks
    assert (mark.torque, mark.superseded.how, mark.superseded.person) == ("40 N.m", "taken back", "Bo")
    assert "taken back by Bo" in mark_words(desk.moment(), "lid/nut", mark)


def test_one_tick_of_several_that_is_taken_back_takes_its_reading_with_it(tmp_path):
    desk, gate = job(tmp_path, "lid")
    (fasten,) = (tick.number for op, tick in desk.state().ticks.items() if op == "fasten lid/nut")
    desk.undo(fasten)
    desk.done([str(fasten), str(gate)], torque="40 N.m")
    assert gate_is_closed(desk)
    desk.undo(gate)
    assert not gate_is_closed(desk)
    assert [mark.superseded.how for mark in entry(desk).marks] == ["taken back"]
    desk.close()


def test_a_joint_that_is_undone_again_keeps_its_readings_as_past(lid):
    desk, gate = lid
    desk.done(gate, torque="40 N.m")
    desk.turn(apart=True)
    desk.done(["undo lid/nut"])
    one = entry(desk)
    assert one.state == "open"
    assert [mark.superseded.how for mark in one.marks] == ["undone again"]


def test_a_skipped_gate_is_open_and_the_end_says_so(lid):
    desk, gate = lid
    desk.skip(gate, "no wrench here")
    one = entry(desk)
    assert (one.state, one.wrench) == ("open", "")
    assert "skipped: no wrench here" in one.why
    assert any("no wrench here" in line for line in reservation_lines(desk.moment()))


def test_a_reading_at_a_gate_comes_with_its_tick_or_not_at_all(lid):
    desk, gate = lid
    with pytest.raises(RefusedError, match="is a gate"):
        desk.measured(gate, {"torque": "40 N.m"})
    assert entry(desk).marks == ()


def test_a_reading_beyond_what_the_fastener_bears_is_refused_like_a_figure_in_the_file(tmp_path):
    machine = HEAD.replace("torque: 40 N.m", "torque: 95 N.m, tolerance: 25 %, override: the maker says so")
    desk, gate = job(tmp_path, "lid", machine=machine)
    with pytest.raises(RefusedError, match=r"400 N.m is above what is asked"):
        desk.done(gate, torque="400 N.m")
    desk.close()
    (tmp_path / "two").mkdir()
    desk, gate = job(tmp_path / "two", "lid")
    with pytest.raises(RefusedError, match=r"400 N.m on M10 8.8 is .* its proof load"):
        desk.done(gate, torque="400 N.m")
    desk.done(gate, torque="400 N.m", anyway="what it read; the nut goes")
    assert "its proof load" in entry(desk).odd[-1]
    desk.close()


# ---- What a reading covers ----


def test_one_reading_does_not_sign_off_ten_bolts_and_four_stages(head):
    desk, gate = head
    with pytest.raises(SequencerError, match="has 4 stages"):
        desk.done(gate, torque="60 N.m", angle="yes", fasteners="all")
    with pytest.raises(SequencerError, match="has 10 fasteners"):
        desk.done(gate, torque="30 N.m")
    assert entry(desk).marks == ()
    assert not gate_is_closed(desk)


def test_stages_are_ticked_one_by_one_and_the_gate_says_what_is_still_to_come(head):
    desk, gate = head
    said = desk.done(gate, torque="30 N.m", fasteners="all")
    assert "still to come: stage 2 of 4, 60 N.m; then 2 stages more" in said.words[-1]
    said = desk.done(gate, torque="60 N.m", fasteners="1-6")
    assert "stage 2 of 4, fasteners 1-6" in said.words[0]
    assert "60 N.m, fasteners 7-10; then" in said.words[-1]
    said = desk.done(gate, torque="60 N.m", fasteners="7,8,9")
    assert "stage 2 of 4, 60 N.m, fastener 10" in said.words[-1]
    with pytest.raises(SequencerError, match=r"stage 2 of head/bolts, 60 N.m, comes first"):
        desk.done(gate, angle="yes", fasteners="all", stages="3")
    desk.done(gate, torque="60 N.m", fasteners="10")
    desk.done(gate, angle="90 deg", fasteners="all")
    assert not gate_is_closed(desk)
    desk.done(gate, angle="yes", fasteners="all")
    assert gate_is_closed(desk)
    covers = [(m.stages, len(m.fasteners)) for m in entry(desk).marks]
    assert covers == [((1,), 10), ((2,), 6), ((2,), 3), ((2,), 1), ((3,), 10), ((4,), 10)]


def test_all_stages_together_by_saying_so_and_the_record_says_that_it_was_so(head):
    desk, gate = head
    desk.done(gate, torque="60 N.m", angle="yes", fasteners="all", stages="all")
    assert gate_is_closed(desk)
    (mark,) = entry(desk).marks
    assert "all 4 stages, all 10" in mark_words(desk.moment(), "head/bolts", mark)


def test_a_fastener_that_the_joint_does_not_have_is_said(head):
    desk, gate = head
    with pytest.raises(SequencerError, match="there is no fastener of head/bolts 11; they are 1 to 10"):
        desk.done(gate, torque="30 N.m", fasteners="9-11")


def test_a_tick_of_a_gate_without_a_reading_stays_refused_half_way(head):
    desk, gate = head
    desk.done(gate, torque="30 N.m", fasteners="all")
    with pytest.raises(RefusedError, match="the gate stays open"):
        desk.done(gate)


# ---- The wrench ----


@before_landing
@pytest.mark.parametrize(
    ("said", "name", "suggested"), [(None, "long", True), ("LONG", "long", False), ("half", "half", False)]
)
def test_the_wrench_is_the_one_that_was_said_or_the_one_that_is_suggested(tmp_path, said, name, suggested):
    desk, gate = job(tmp_path, "lid", BOX)
    by = By("Ann", "laptop", datetime(2026, 11, 1, tzinfo=UTC))
    words = desk.done(gate, torque="40 N.m", wrench=said, by=by)
    (mark,) = entry(desk).marks
    assert (mark.wrench, mark.suggested) == (name, suggested)
    assert any(name in text for text in words.words)
    assert ("due for calibration" in mark.caution) == (name == "half")
    desk.close()


@pytest.mark.parametrize(
    ("said", "why"),
    [("tiny", "is above the 1 to 5 N.m that tiny is good for"), ("lonk", "did you mean long")],
)
def test_a_reading_on_a_wrench_that_can_t_have_read_it_does_not_hold(tmp_path, said, why):
    desk, gate = job(tmp_path, "lid", BOX)
    with pytest.raises(RefusedError, match=why):
        desk.done(gate, torque="40 N.m", wrench=said)
    assert not gate_is_closed(desk)
    assert why in entry(desk).marks[0].problem
    desk.close()


def test_a_gate_that_was_closed_anyway_or_skipped_lists_no_wrench(tmp_path):
    desk, gate = job(tmp_path, "lid", BOX)
    desk.done(gate, anyway="no wrench here")
    assert entry(desk).wrench == ""
    desk.undo()
    desk.skip(gate, "no wrench here")
    assert all(mark.wrench == "" for mark in entry(desk).marks)
    desk.close()


# ---- Old journals, changed files ----


def test_a_reading_from_before_coverage_was_asked_for_covers_all(head):
    desk, _ = head

    def as_it_was(_moment, _by):
        draft = Draft()
        draft.add(EventKind.DONE, {"ops": ["torque head/bolts"]})
        draft.add(EventKind.MEASURED, {"op": "torque head/bolts", "torque": "60 N.m", "angle": "yes"})
        return draft

    desk.write(as_it_was)
    assert gate_is_closed(desk)


def test_a_figure_that_is_corrected_later_opens_the_gate_in_the_record(lid):
    desk, gate = lid
    desk.done(gate, torque="40 N.m")
    file = desk.folder.machine
    file.write_text(file.read_text(encoding="utf-8").replace("40 N.m", "50 N.m"), encoding="utf-8")
    one = entry(desk)
    assert one.state == "open"
    (mark,) = one.marks
    assert (mark.torque, mark.superseded.person) == ("40 N.m", "")
    told = mark_words(desk.moment(), "lid/nut", mark)
    assert "40 N.m is below what is asked: 50 N.m" in told
    assert "opened again: the file has since asked for something else" in told
    assert status(desk.moment()).gates == ("lid/nut",)


# ---- The end of a job ----


def at_the_end(desk):
    out = StringIO()
    show(next_document(desk.moment()), Console(file=out, width=200))
    return out.getvalue()


def test_the_end_of_a_job_says_what_was_overridden_and_what_was_skipped(tmp_path):
    desk, gate = job(tmp_path, "lid")
    desk.done(gate, anyway="wrench broke")
    assert "All is back together, except what stands here" in at_the_end(desk)
    assert "torque overridden: wrench broke" in at_the_end(desk)
    desk.undo()
    desk.skip(gate, "no wrench here")
    assert "torque open: skipped: no wrench here" in at_the_end(desk)
    desk.undo()
    desk.done(gate, torque="40 N.m")
    assert "All is back together: " in at_the_end(desk)
    desk.close()


def test_a_reading_that_closes_a_gate_anyway_claims_no_wrench_that_nobody_named(tmp_path):
    desk, gate = job(tmp_path, "lid", BOX)
    desk.done(gate, torque="60 N.m", anyway="it stays so")
    assert [mark.wrench for mark in entry(desk).marks] == ["", ""]
    desk.close()


def test_the_log_says_why_a_reading_did_not_hold(lid):
    desk, gate = lid
    with pytest.raises(RefusedError):
        desk.done(gate, torque="60 N.m")
    assert "60 N.m is above" in event_text(desk.moment(), desk.log()[-1].event, {})


def test_no_wrench_is_suggested_for_a_stage_that_none_serves(tmp_path):
    machine = HEAD.replace("torque: 40 N.m", "torque: [30 N.m, 45 N.m]")
    box = "wrenches:\n  half: {range: 10 to 40 N.m, calibrated: 2026-06-01}\n"
    desk, gate = job(tmp_path, "lid", box, machine)
    desk.done(gate, torque="45 N.m", stages="all")
    assert gate_is_closed(desk)
    assert entry(desk).wrench == ""
    desk.close()


def test_a_torque_that_no_stage_asks_for_is_judged_at_the_next_one_and_stays(head):
    desk, gate = head
    with pytest.raises(SequencerError) as refused:
        desk.done(gate, torque="75 N.m", fasteners="all")
    assert "30 N.m" in str(refused.value)
    assert "angle is wanted" not in str(refused.value)
    (mark,) = entry(desk).marks
    assert (mark.stages, mark.torque) == ((1,), "75 N.m")
