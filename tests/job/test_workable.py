"""After any act the plan can be done from its next station on; what rests on a tick is taken back first."""

from dataclasses import replace
from datetime import date

import pytest

from sequencer.document.jobs.open_ends import out_of_reach
from sequencer.errors import SequencerError
from sequencer.job.changes.finds import Find
from sequencer.job.desk import Desk, RefusedError
from sequencer.job.journal.events import EventKind
from sequencer.job.now.choosing import ChoiceError
from sequencer.job.now.marks import marks
from sequencer.job.reports.record import torque_record
from tests.job.conftest import ANN, begin_job
from tests.job.everything import bare
from tests.job.through import begun
from tests.support.profile import before_landing

DAY = date(2026, 11, 25)
STAY = Find("stay", {"blocks": ("guard",)}, held=("bolt 10 x2",))


@pytest.fixture
def to_seal(tmp_path):
    opened = Desk(begin_job(tmp_path / "seal", off=("seal",)), ANN)
    yield opened
    opened.close()


@pytest.fixture
def back(desk):
    """The impeller on again with its nut at its torque, the lock tab and the cover in front of it."""
    desk.done("1-17")
    desk.turn()
    desk.done("18-19")
    desk.done(20, torque="40 N.m")
    desk.done("21-22")
    return desk


def left(desk):
    return [op for _, op in desk.state().left]


def gate(desk, joint):
    return next(entry.state for entry in torque_record(desk.moment()) if entry.joint == joint)


def test_what_rests_on_a_tick_goes_first_on_the_way_back_too(back):
    with pytest.raises(RefusedError, match=r"steps 20-22 rest on it; .*the last first: undo 22"):
        back.undo(19)
    with pytest.raises(RefusedError, match=r"steps 21-22 rest on it"):
        back.undo(20)
    assert gate(back, "impeller/nut") == "closed"


@before_landing
def test_a_gate_reopens_and_its_reading_is_superseded_when_it_is_taken_back(back):
    for number in (22, 21, 20):
        back.undo(number)
    assert gate(back, "impeller/nut") == "open"
    (before,) = marks(back.state())["impeller/nut"]
    assert (before.torque, before.superseded.how) == ("40 N.m", "taken back")
    back.undo(19)
    assert back.done().ops == ("fasten impeller/nut",)


def test_a_reading_goes_with_its_own_step_of_several_that_were_ticked_at_once(desk):
    desk.done("1-17")
    desk.turn()
    desk.done("18-20", torque="40 N.m")
    desk.undo(20)
    assert gate(desk, "impeller/nut") == "open"
    assert desk.state().of(EventKind.MEASURED) == ()
    assert [mark.stands for mark in marks(desk.state())["impeller/nut"]] == [False]


@before_landing
def test_the_way_in_rests_under_the_turn_and_the_turn_under_the_way_back(back):
    turned = back.state().of(EventKind.TURNED)[-1].event.id[:8]
    with pytest.raises(RefusedError, match=f"the turn to the reassembly rests on it; .*undo {turned}"):
        back.undo(3)
    with pytest.raises(RefusedError, match="work that came after the turn rests on it"):
        back.undo(turned)
    for number in (22, 21, 20, 19, 18):
        back.undo(number)
    back.undo(turned)
    back.undo(17)
    assert left(back) == ["remove impeller"]


@before_landing
def test_a_skip_that_would_put_a_target_out_of_reach_is_refused_with_what_to_say_first(to_seal):
    to_seal.done("1-3")
    before = left(to_seal)
    with pytest.raises(
        SequencerError, match=r'pulley/bolts is cracked .* skip "crack pulley/bolts" with the'
    ):
        to_seal.skip("18", "off already")
    assert left(to_seal) == before
    to_seal.skip("13", "held with a strap wrench")
    to_seal.skip("18", "off already")
    while to_seal.station() is not None:
        to_seal.done()
    assert {"undo pulley/bolts", "remove seal"} <= set(to_seal.state().done)


def test_a_skip_says_what_it_makes_needless(to_seal):
    to_seal.done("1-3")
    said = to_seal.skip(["remove pulley"], "off already")
    assert any("13, Crack Pump pulley: bolts; 14, Undo Pump pulley: bolts" in words for words in said.words)
    assert "undo pulley/bolts" not in left(to_seal)
    while to_seal.station() is not None:
        to_seal.done()


@before_landing
def test_a_tick_taken_back_after_a_find_leaves_an_order_that_can_be_done(desk):
    desk.done("1-2")
    desk.found(replace(STAY, said={"blocks": ("guard", "guard/screws")}), DAY)
    said = desk.undo(2)
    assert "what is left comes in another order now" in said.words
    assert left(desk)[:3] == ["undo stay/bolts", "remove stay", "undo guard/screws"]
    while desk.station() is not None:
        desk.done()
    assert "remove impeller" in desk.state().done


@before_landing
def test_a_find_taken_back_takes_its_steps_out_of_a_later_plan_and_says_so(desk):
    desk.done("1")
    found = desk.found(STAY, DAY).events[0]
    desk.found(Find("clip", {"blocks": ("belt",)}, held=("clip",)), DAY)
    said = desk.undo(found[:8])
    assert any("Undo stay: bolts" in words for words in said.words)
    assert "stay" not in desk.machine.parts
    assert not [op for op in left(desk) if "stay" in op]
    while desk.station() is not None:
        desk.done()


def test_a_range_passes_over_steps_that_a_new_plan_has_dropped_and_says_so(to_seal):
    to_seal.done("1-12")
    to_seal.skip(["remove pulley"], "off already")
    said = to_seal.done("13-17")
    assert said.ops == ("undo cover/bolts", "remove cover", "undo impeller/tab")
    assert "steps 13-14 passed over: no longer in the plan" in said.words
    with pytest.raises(
        ChoiceError, match="step 14, Undo Pump pulley: bolts, is no longer in the plan; see next"
    ):
        to_seal.done("14")
    with pytest.raises(ChoiceError, match="steps 13-14 are no longer in the plan"):
        to_seal.done("13-14")


@before_landing
def test_a_step_left_out_for_good_is_said_and_does_not_head_the_list(back):
    back.undo(22)
    back.undo(21)
    back.undo(20)
    said = back.done("21-22", anyway="in a hurry")
    assert any(words.startswith("left out, and still open: Torque Impeller: nut") for words in said.words)
    assert any("20, Torque Impeller: nut" in words for words in said.words)
    assert left(back)[0] != "torque impeller/nut"
    assert back.moment().left_out == ("torque impeller/nut",)
    assert gate(back, "impeller/nut") == "open"
    back.undo(22)
    back.undo(21)
    assert left(back)[0] == "torque impeller/nut"


def test_what_was_done_without_a_step_makes_it_needless(desk):
    desk.done("1")
    said = desk.done(["remove guard"], anyway="the screws were missing")
    assert any("2, Undo Belt guard: screws" in words for words in said.words)
    assert "undo guard/screws" not in left(desk)


@before_landing
def test_a_file_changed_by_hand_gives_a_plan_that_works(desk, job):
    desk.done("1-2")
    text = job.machine.read_text(encoding="utf-8")
    job.machine.write_text(
        text.replace(
            "  guard:                                        # no", "  guard:\n    behind: [belt]\n    #"
        ).replace("    behind: [guard]                             # cannot", "    #", 1),
        encoding="utf-8",
    )
    assert desk.plan().steps[0].operation.name != "remove guard"
    while desk.station() is not None:
        desk.done()
    assert "remove impeller" in desk.state().done


@before_landing
def test_what_is_left_out_or_out_of_reach_is_in_sight_to_the_end(back):
    for number in (22, 21, 20):
        back.undo(number)
    back.done("21-22", anyway="in a hurry")
    while back.station() is not None:
        ops, words = bare(back.moment())
        back.done(ops, **words)
    assert out_of_reach(back.moment()) == [
        "Left out, and still open: Torque Impeller: nut. What is in front of it has to come off again"
    ]
    back.turn(apart=True)
    assert out_of_reach(back.moment()) == []


def test_a_target_that_was_put_out_of_reach_is_said_and_comes_back(to_seal):
    to_seal.done("1-3")
    said = to_seal.done("18", anyway="it hung in shreds")
    assert any(words.startswith("seal off can't be reached any more: too late") for words in said.words)
    while to_seal.station() is not None:
        to_seal.done()
    assert out_of_reach(to_seal.moment()) == ["Can't be reached as things are: seal off"]
    to_seal.skip(["crack pulley/bolts"], "held with a strap wrench")
    assert out_of_reach(to_seal.moment()) == []
    assert (14, "undo pulley/bolts") in to_seal.state().left  # under the number that it had
    while to_seal.station() is not None:
        to_seal.done()
    assert "remove seal" in to_seal.state().done


@before_landing
def test_what_is_out_of_reach_already_stops_no_other_act(to_seal, tmp_path):
    to_seal.done("1-3")
    to_seal.also(["inlet-hose"])
    to_seal.done("18", anyway="it hung in shreds")
    to_seal.skip([left(to_seal)[0]], "was dry already")
    to_seal.found(Find("clip", {"blocks": ("inlet-hose",)}, held=("clip",)), DAY)
    assert to_seal.moment().stuck == ("seal off",)
    with pytest.raises(SequencerError, match="too late"):
        to_seal.also(["pulley"])
    while to_seal.station() is not None:
        to_seal.done()
    assert "remove inlet-hose" in to_seal.state().done


@before_landing
def test_a_gate_that_was_left_out_stops_no_find(back):
    for number in (22, 21, 20):
        back.undo(number)
    back.done("21-22", anyway="in a hurry")
    back.found(Find("rear stay", {"blocks": ("guard",)}, held=("bolt 10",)), DAY)
    assert back.moment().left_out == ("torque impeller/nut",)


BETWEEN_TWO_COVERS = """
machine: Drive between two covers, invented
parts:
  left: {joints: {screws: {kind: screw, head: T25, time: 20 s}}}
  right: {joints: {screws: {kind: screw, head: T25, time: 20 s}}}
  mount:
    behind: [{any: [left, right]}]
    joints: {stud: {kind: bolt, head: 13, thread: M8, class: 8.8, torque: {value: 20 N.m, when: [left]}}}
"""


def test_the_last_way_to_a_gate_that_waits_for_a_part_is_not_closed_by_another(tmp_path):
    """The torque comes after the left cover; with the right one on before that, nobody gets to it."""
    with begun(tmp_path, BETWEEN_TWO_COVERS, ["left", "right", "mount"]) as desk:
        desk.done([step.operation.name for step in desk.plan().steps])
        desk.turn()
        desk.done(["fit mount", "fasten mount/stud"])
        with pytest.raises(RefusedError, match="would close off the open gate of mount/stud"):
            desk.done(["fit right"])
        said = desk.done(["fit right"], anyway="it is on")
        assert any(words.startswith("left out, and still open: Torque") for words in said.words), said.words
        assert "fit left" in left(desk)
        assert "torque mount/stud" not in left(desk)
