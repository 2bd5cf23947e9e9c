"""The way back at the desk: what was really done, gates closed by readings, and the torque record."""

import io
from datetime import date
from fractions import Fraction

import pytest
from rich.console import Console

from sequencer.document.steps.cards import refit_cards
from sequencer.document.underway.standing import status_document
from sequencer.errors import SequencerError
from sequencer.job.changes.finds import Find
from sequencer.job.desk import Desk, RefusedError
from sequencer.job.journal.events import EventKind
from sequencer.job.reports.record import torque_record
from sequencer.job.reports.status import status
from sequencer.plan.evenings.evenings import in_sittings
from sequencer.plan.evenings.wish import SittingsWish
from sequencer.plan.onward.turned import plan_back
from sequencer.plan.order.prefer import Prefer
from sequencer.plan.plan import Refit
from sequencer.plan.refit import plan_refit
from sequencer.render.data.jobs.record_rows import record_csv
from sequencer.render.data.jobs.torque_record import record_json
from sequencer.render.terminal import show
from tests.job.conftest import ANN, begin_job
from tests.support.profile import before_landing


@pytest.fixture
def back(desk):
    """The job turned after all of its teardown."""
    desk.done([step.operation.name for step in desk.plan().steps])
    desk.turn()
    return desk


def codes(plan):
    return {step.operation: card.code for card in refit_cards(plan) for step in card.steps}


def test_a_station_has_the_code_of_a_sheet_printed_before_the_job(desk):
    """Also when some of it is done."""
    printed = codes(plan_refit(desk.plan()))
    desk.done([step.operation.name for step in desk.plan().steps])
    desk.turn()
    assert codes(desk.plan()) == printed
    for step in desk.plan().steps[:4]:
        close(desk, step)
    left = codes(desk.plan())
    assert left == {name: printed[name] for name in left}
    assert len(left) == len(printed) - 4


def gates(desk):
    return [step for step in desk.plan().steps if step.operation.name.startswith("torque ")]


def do_until(desk, name):
    """Do every step before ``name``, each gate with the reading that it asks for."""
    for step in desk.plan().steps:
        if step.operation.name == name:
            return step
        close(desk, step)
    raise AssertionError(name)


def close(desk, step):
    joint = step.operation.joint and desk.machine.joint(step.operation.part, step.operation.joint)
    if step.operation.name.startswith("torque "):
        desk.done(step.number, torque=joint.torque.stages[-1].text, fasteners="all", stages="all")
    else:
        desk.done(step.number)


def test_the_way_back_answers_to_what_was_done_and_goes_on_counting(back):
    plan = back.plan()
    assert isinstance(plan, Refit)
    assert plan.steps[0].number == 18
    assert {"fit impeller", "restore isolate", "fill water"} <= {s.operation.name for s in plan.steps}
    assert [gate.joint for gate in plan.gates] == [s.operation.subject for s in gates(back)]


def test_a_part_that_was_only_moved_aside_is_only_moved_back(tmp_path):
    desk = Desk(begin_job(tmp_path / "j"), ANN)
    desk.done("1-6")
    desk.turn()
    names = [step.operation.name for step in desk.plan().steps]
    done = desk.state().done
    assert not [name for name in names if name.startswith("fit ") and f"remove {name[4:]}" not in done]
    desk.close()


@before_landing
def test_a_gate_takes_no_tick_without_a_reading(back):
    step = do_until(back, gates(back)[0].operation.name)
    with pytest.raises(RefusedError, match="the gate stays open") as said:
        back.done(step.number)
    assert f"done {step.number} --torque READING" in str(said.value)  # no figure that might be taken for one
    assert step.operation.name not in back.state().ticks


@before_landing
def test_a_reading_outside_the_tolerance_is_refused_and_one_inside_closes(back):
    step = do_until(back, gates(back)[0].operation.name)
    asked = back.machine.joint(step.operation.part, step.operation.joint).torque.stages[-1].text
    value = float(asked.split()[0])
    with pytest.raises(RefusedError, match="below what is asked"):
        back.done(step.number, torque=f"{value * 0.94:.2f} N.m")
    with pytest.raises(RefusedError, match="above what is asked"):
        back.done(step.number, torque=f"{value * 1.06:.2f} N.m")
    back.done(step.number, torque=f"{value * 1.04:.2f} N.m")
    entry = next(e for e in torque_record(back.moment()) if e.joint == step.operation.subject)
    assert (entry.state, entry.who, entry.read) == ("closed", "Ann", f"{value * 1.04:.2f} N.m")


@before_landing
def test_an_override_closes_a_gate_and_its_reason_stays_in_the_record(back):
    step = do_until(back, gates(back)[0].operation.name)
    back.done(step.number, anyway="wrench broke; tightened by feel")
    record = torque_record(back.moment())
    entry = next(e for e in record if e.joint == step.operation.subject)
    assert entry.state == "overridden"
    assert "by feel" in entry.why
    assert [e.state for e in record] == sorted(
        (e.state for e in record), key=["open", "overridden", "closed"].index
    )
    assert "by feel" in record_csv(record)


@before_landing
def test_a_step_that_would_close_off_an_open_gate_is_refused(back):
    plan = back.plan()
    gate = next(gate for gate in plan.gates if gate.last_step is not None)
    closer = next(step for step in plan.steps if step.number == gate.last_step)
    do_until(back, f"torque {gate.joint}")
    while True:  # everything but the gate that can be done without it
        free = [
            step
            for step in back.plan().steps
            if not step.operation.name.startswith("torque ")
            and step.number != closer.number
            and not back.moment().why_not(step.operation.name, back.moment().present)
        ]
        if not free:
            break
        back.done(free[0].number)
    with pytest.raises(RefusedError, match="close off the open gate"):
        back.done(closer.number)


def test_one_reading_is_for_one_joint(back):
    two = [step.number for step in gates(back)][:2]
    assert len(two) == 2
    with pytest.raises(SequencerError):
        back.done([str(number) for number in two], torque="10 N.m")


@before_landing
def test_at_the_end_nothing_is_left_open(back):
    for step in back.plan().steps:
        close(back, step)
    record = torque_record(back.moment())
    assert record
    assert {entry.state for entry in record} == {"closed"}
    assert record_json(back.moment(), record)["open"] == 0
    assert back.plan().steps == ()


def test_before_the_turn_every_touched_joint_is_open(desk):
    desk.done([step.operation.name for step in desk.plan().steps])
    assert {entry.state for entry in torque_record(desk.moment())} == {"open"}


@before_landing
def test_taking_apart_again_asks_anew_for_what_was_put_back_and_keeps_what_lacks_its_torque(back):
    step = do_until(back, gates(back)[0].operation.name)
    said = back.turn(apart=True)
    assert back.moment().present.owed == (step.operation.subject,)
    assert any(step.operation.subject in word for word in said.words)
    back.turn()
    names = [s.operation.name for s in back.plan().steps]
    assert step.operation.name in names
    for each in back.plan().steps:
        close(back, each)
    assert {entry.state for entry in torque_record(back.moment())} == {"closed"}


@before_landing
def test_something_found_on_the_way_back_keeps_the_order_of_the_rest(back):
    before = [step.operation.name for step in back.plan().steps]
    back.done(back.plan().steps[0].number)
    back.found(Find("rear stay", {"blocks": ("guard",)}, held=("bolt 10",)), date(2026, 11, 25))
    after = [step.operation.name for step in back.plan().steps]
    assert after == before[1:]


def test_nothing_is_turned_before_anything_was_done(desk):
    with pytest.raises(RefusedError, match="nothing has been taken apart"):
        desk.turn()


def test_turning_is_taken_back_like_anything_else(desk):
    desk.done("1-5")
    left = [step.number for step in desk.plan().steps]
    desk.turn()
    steps = len(desk.plan().steps)
    assert desk.undo().words[0] == f"taken back: turned to the reassembly, {steps} steps"
    assert [step.number for step in desk.plan().steps] == left
    assert desk.state().of(EventKind.TURNED) == ()
    desk.turn()
    desk.turn(apart=True)
    steps = len(desk.plan().steps)
    assert desk.undo().words[0] == f"taken back: turned to taking apart again, {steps} steps"
    desk.measured(desk.plan().steps[0].number, {"wear": "2 mm"})
    assert desk.undo().words[0].startswith("taken back: measured 2 mm at step ")


def test_what_a_step_would_close_off_for_one_reason_is_said_in_one_breath(back):
    last = back.plan().steps[-1]
    with pytest.raises(RefusedError) as refused:
        back.done([last.operation.name])
    said = str(refused.value)
    reasons = [piece.rpartition(": ")[2] for piece in said.partition("; do that first")[0].split("; ")]
    assert len(reasons) == len(set(reasons))
    assert "the open gates of " in said
    assert ", still to do: " in said


@before_landing
def test_a_job_with_steps_out_of_reach_does_not_say_that_nothing_is_left_to_do(back):
    back.done([back.plan().steps[-1].operation.name], anyway="the supply was needed")
    moment, out = back.moment(), io.StringIO()
    assert not moment.plan.steps
    show(status_document(status(moment), moment), Console(file=out, width=100))
    assert "Nothing is left to do" not in out.getvalue()
    assert "Nothing is left that can be done as things are." in out.getvalue()


@before_landing
def test_a_gate_that_a_hand_edit_opens_again_heads_the_plan_until_it_is_closed(tmp_path):
    desk = Desk(begin_job(tmp_path / "j", off=("pulley",)), ANN)
    desk.done([step.operation.name for step in desk.plan().steps])
    desk.turn()
    step = do_until(desk, "torque pulley/bolts")
    close(desk, step)
    following = desk.plan().steps[0].operation.name
    file = desk.folder.machine
    text = file.read_text(encoding="utf-8")
    assert text.count("torque: 9 N.m") == 1
    file.write_text(text.replace("torque: 9 N.m", "torque: 13 N.m"), encoding="utf-8")
    assert desk.plan().steps[0].operation.name == "torque pulley/bolts"
    with pytest.raises(SequencerError, match="pulley/bolts"):
        desk.done(following)
    desk.done(step.number, torque="13 N.m", fasteners="all")
    desk.done(following)


@before_landing
def test_a_step_of_the_way_back_that_was_skipped_is_asked_for_again_after_another_turn(back):
    do_until(back, "leak-check water")
    back.skip("leak-check water", "no time")
    back.turn(apart=True)
    assert "leak-check water" not in back.state().skipped
    back.turn()
    assert back.plan().steps


@before_landing
def test_the_way_back_is_in_the_order_that_the_jobs_sittings_ask_for(tmp_path):
    """As far as they are still to come: the first of them is over."""
    with Desk(begin_job(tmp_path / "job", sittings=[90, 30], chance=0.7), ANN) as desk:
        desk.done([step.operation.name for step in desk.plan().steps])
        desk.stop()
        moment = desk.moment()
        plain = plan_back(moment.machine, moment.targets, moment.present).refit
        desk.turn()
        order = [op for _, op in desk.state().left]
        wished = in_sittings(plain, SittingsWish.of([Fraction(1800)], 0.7)).plan
        assert order == [op.name for op in wished.operations]
        assert order != [op.name for op in plain.operations]
        assert desk.moment().workable


def test_the_way_back_has_least_of_what_its_job_asks_for(tmp_path):
    with Desk(begin_job(tmp_path / "job", off=("guard",), prefer=Prefer.TOOL_CHANGES), ANN) as desk:
        desk.done([op for _, op in desk.state().left])
        desk.turn()
        assert desk.plan().prefer is Prefer.TOOL_CHANGES
