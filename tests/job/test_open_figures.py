"""A torque that nobody has said is a gate that asks for it before it is closed off; it is never lost."""

import json
from pathlib import Path

import pytest

from sequencer.document.jobs.record import asked_words
from sequencer.errors import SequencerError
from sequencer.job.desk import Desk
from sequencer.job.now.acts import RefusedError
from sequencer.job.reports.record import torque_record
from sequencer.job.reports.status import status
from sequencer.job.work.figure_words import split_words
from sequencer.job.work.figures import figure
from sequencer.machine.reading import load
from sequencer.render.data.jobs.torque_record import record_json
from tests.job.conftest import ANN, begin_job
from tests.support.profile import before_landing

FILE = Path(__file__).parent / "figured.yaml"
OPEN = ["cover/bolts", "sump/bolts", "sump/plug", "rotor/small"]
LEARNED = "taken_apart:\n  order: [cover, sump, rotor]\n"


@pytest.fixture(params=["none", "all"])
def desk(tmp_path, request):
    file = tmp_path / "figured.yaml"
    file.write_text(FILE.read_text(encoding="utf-8") + LEARNED, encoding="utf-8")
    from sequencer.plan.practice.rules import Practice

    begin_job(tmp_path / "job", off=("rotor",), machine=file, practice=Practice(request.param))
    with Desk.open(tmp_path / "job", ANN) as opened:
        opened.done([op for _, op in opened.state().left])
        yield opened


def left(desk):
    return [op for _, op in desk.moment().state.left]


def to(desk, gate):
    """Do all that comes before a gate, others by hand."""
    for op in left(desk):
        if op == gate:
            return
        tick(desk, op)


def tick(desk, op):
    """Do a step; a gate by its figure, or by hand where nobody has said one."""
    if not op.startswith("torque "):
        desk.done([op])
        return
    torque = desk.machine.joint(*op.removeprefix("torque ").split("/")).torque
    desk.done([op], torque="by hand" if torque.open else torque.stages[0].text, fasteners="all")


def entry(desk, joint):
    return next(one for one in torque_record(desk.moment()) if one.joint == joint)


def test_a_file_that_a_person_wrote_has_no_open_figures(tmp_path):
    joints = [j for p in load(FILE).parts.values() for j in p.joints.values()]
    assert [joint.path for joint in joints if joint.torque] == ["rotor/nut"]


def test_each_is_asked_right_behind_its_fastening_and_before_it_is_closed_off(desk):
    assert sorted(status(desk.moment()).figures) == sorted(OPEN)
    desk.turn()
    order = left(desk)
    for joint in OPEN:
        assert order.index(f"torque {joint}") == order.index(f"fasten {joint}") + 1
        assert desk.moment().operations[f"torque {joint}"].seconds == 0
    assert order.index("torque rotor/small") < order.index("fit cover")
    assert sorted(status(desk.moment()).figures) == sorted(OPEN)
    gate = next(gate for gate in desk.plan().gates if gate.joint == "rotor/small")
    assert gate.last_step is not None


def test_the_next_part_does_not_go_on_before_it_is_answered(desk):
    desk.turn()
    to(desk, "torque rotor/small")
    with pytest.raises(SequencerError, match="open gate"):
        desk.done(["fit cover"])
    with pytest.raises(RefusedError, match="nobody has said its torque") as said:
        desk.done(["torque rotor/small"])
    assert said.value.code == "figure-open"


@before_landing
def test_a_reading_with_its_source_is_the_figure_and_one_undo_takes_all_of_it_back(desk):
    desk.turn()
    to(desk, "torque rotor/small")
    text = desk.folder.machine.read_bytes()
    with pytest.raises(RefusedError, match="nothing says where") as said:
        desk.done(["torque rotor/small"], torque="9 N.m", fasteners="all")
    assert said.value.code == "no-source"
    assert desk.folder.machine.read_bytes() == text
    desk.done(["torque rotor/small"], torque="9 N.m", fasteners="all", source="manual p. 4")
    one = entry(desk, "rotor/small")
    assert (one.state, one.asked, one.figure) == ("closed", "9 N.m", "told")
    assert asked_words(one).endswith("told on this job: manual p. 4")
    assert desk.machine.joint("rotor", "small").torque.source == "manual p. 4"
    desk.undo()
    assert desk.folder.machine.read_bytes() == text
    assert entry(desk, "rotor/small").state == "open"
    assert left(desk)[0] == "torque rotor/small"


@before_landing
def test_the_guard_judges_what_was_read(desk):
    desk.turn()
    to(desk, "torque cover/bolts")
    with pytest.raises(SequencerError, match="times its proof load"):
        desk.done(["torque cover/bolts"], torque="90 N.m", fasteners="all", source="manual")
    assert entry(desk, "cover/bolts").state == "open"


@before_landing
def test_by_hand_is_kept_with_its_reason_and_shown(desk):
    desk.turn()
    to(desk, "torque rotor/small")
    desk.done(["torque rotor/small"], torque="by hand, tight", source="only holds the shim")
    one = entry(desk, "rotor/small")
    assert (one.state, one.why, one.figure) == ("overridden", "no figure: only holds the shim", "open")
    assert record_json(desk.moment(), [one])["joints"][0]["figure"] == "open"
    assert "rotor/small" not in status(desk.moment()).figures
    assert desk.machine.joint("rotor", "small").torque.open
    for op in left(desk):
        tick(desk, op)
    assert {entry(desk, joint).why for joint in OPEN[:3]} == {"no figure: hand tight"}
    json.dumps(record_json(desk.moment(), torque_record(desk.moment())))


@before_landing
def test_a_figure_that_is_told_later_opens_what_was_closed_by_hand(desk):
    desk.turn()
    to(desk, "torque rotor/small")
    desk.done(["torque rotor/small"], torque="hand tight")
    names, told = split_words(["rotor small", "9 N.m", "manual"])
    desk.write(figure(names, told, desk.file))
    assert "torque rotor/small" in left(desk)
    desk.done(["torque rotor/small"], torque="9 N.m", fasteners="all")
    assert entry(desk, "rotor/small").state == "closed"


@before_landing
def test_by_hand_closes_no_gate_that_has_a_figure(desk):
    desk.turn()
    to(desk, "torque rotor/nut")
    with pytest.raises(RefusedError, match="no figure is open there"):
        desk.done(["torque rotor/nut"], torque="by hand")


@before_landing
def test_figures_told_beforehand_are_ordinary_gates(desk):
    names, told = split_words(["all of the sump", "all M6 8.8", "9 N.m", "manual p. 4"])
    desk.write(figure(names, told, desk.file))
    assert sorted(status(desk.moment()).figures) == ["rotor/small"]
    desk.turn()
    to(desk, "torque cover/bolts")
    desk.done(["torque cover/bolts"], torque="9 N.m", fasteners="all")


def test_what_is_tight_by_hand_in_the_file_is_not_asked(desk):
    names, told = split_words(["rotor small", "by hand"])
    desk.write(figure(names, told, desk.file))
    desk.turn()
    assert "torque rotor/small" not in left(desk)
