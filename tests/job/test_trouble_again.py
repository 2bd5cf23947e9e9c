"""Trouble that goes on: the same joint again and again, each way and state, clean entries in the file."""

from datetime import date

import pytest

from sequencer.document.jobs.changed import last_change
from sequencer.job.desk import Desk, RefusedError
from sequencer.job.journal import edits
from sequencer.job.journal.events import EventKind
from sequencer.machine.reading import load
from sequencer.plan.hazards.trouble import states, ways_out
from sequencer.plan.practice.rules import Practice
from sequencer.plan.resume import Difference
from tests.job.conftest import ANN, PUMP, ROOT, begin_job
from tests.support.profile import before_landing, counts

ON = date(2026, 11, 25)
VAN = ROOT / "models" / "delivery-van.yaml"


def ways(desk):
    return [one.event.body["way"] for one in desk.state().of(EventKind.TROUBLE)]


def renewed(desk, part):
    return [(item.item, item.count) for item in desk.machine.parts[part].renew if "spoilt" in item.item]


def every_way(machine, joint):
    """Each usual way that is open at the joint, with a state that it helps with."""
    found = {
        way.name: state
        for state in states()
        for way in ways_out(machine, machine.joint(*joint.split("/")), state)
        if way.barred is None
    }
    return list(found.items())


@before_landing
@pytest.mark.parametrize(
    ("machine", "off", "joint"),
    [
        (PUMP, "impeller", "cover/bolts"),
        *counts(quick=(), nightly=((VAN, "battery", "intake-duct/breather"),)),
    ],
)
def test_every_way_can_be_said_twice_in_any_order(tmp_path, monkeypatch, machine, off, joint):
    monkeypatch.setattr("sequencer.job.changes.troubled.add_new_plan", lambda *_, **__: Difference())
    job = begin_job(tmp_path / "job", off=(off,), machine=machine)
    desk = Desk(job, ANN)
    known = every_way(desk.machine, joint)[: counts(quick=4, landing=None, nightly=None)]
    for way, state in (*known, *reversed(known)):
        desk.trouble(joint, state, ON, way=way)
    assert ways(desk) == [way for way, _ in (*known, *reversed(known))]
    assert len(set(desk.machine.tasks) - set(load(machine).tasks)) == 2 * len(known)
    assert len(renewed(desk, joint.partition("/")[0])) == 1
    desk.close()


@before_landing
@pytest.mark.parametrize(
    ("joint", "state"), [("cover/bolts", "rounded"), ("bracket/bolts", "broken"), ("belt/idler", "stripped")]
)
def test_the_same_trouble_again_takes_the_next_usual_way(desk, joint, state):
    machine = desk.machine
    usual = [way.name for way in ways_out(machine, machine.joint(*joint.split("/")), state) if not way.barred]
    for _ in usual:
        desk.trouble(joint, state, ON)
    assert ways(desk) == usual
    with pytest.raises(RefusedError, match="no usual way left"):
        desk.trouble(joint, state, ON)
    assert len(renewed(desk, joint.partition("/")[0])) == 1


@before_landing
def test_a_spoilt_fastener_is_renewed_once_and_more_of_them_are_counted(desk):
    desk.trouble("cover/bolts", "rounded", ON)
    desk.trouble("cover/bolts", "rounded", ON)
    assert renewed(desk, "cover") == [("Bolt for cover/bolts: the old one is spoilt", 1)]
    desk.trouble("cover/bolts", "broken", ON, way="extract", count=3)
    desk.trouble("cover/bolts", "broken", ON, way="drill-out", count=2)
    assert renewed(desk, "cover") == [("Bolt for cover/bolts: the old one is spoilt", 3)]


@before_landing
def test_trouble_taken_back_leaves_the_machine_as_it_was_whatever_the_order(desk, job):
    before = edits.changed(job.machine_file, []).value(())
    said = [desk.trouble("cover/bolts", "broken", ON, way="extract", count=n).events[0] for n in (1, 2, 2)]
    desk.undo(said[0])
    assert renewed(desk, "cover") == [("Bolt for cover/bolts: the old one is spoilt", 2)]
    desk.undo(said[2])
    assert renewed(desk, "cover") == [("Bolt for cover/bolts: the old one is spoilt", 2)]
    desk.undo(said[1])
    assert edits.changed(job.machine_file, []).value(()) == before


def test_a_way_that_was_tried_can_be_taken_again_as_a_step_of_its_own(desk):
    desk.done("task isolate")
    desk.trouble("guard/screws", "seized", ON, way="penetrant")
    desk.done("task penetrant-guard-screws")
    desk.trouble("guard/screws", "seized", ON, way="penetrant")
    assert "task penetrant-guard-screws-2" in [step.operation.name for step in desk.plan().steps]


def test_an_entry_with_a_number_in_it_is_found_again_in_the_file(tmp_path):
    path = tmp_path / "pump.yaml"
    path.write_bytes(PUMP.read_bytes())
    where = ["parts", "cover", "renew"]
    one = ["entry", where, {"item": "Bolt", "count": 1}, None]
    three = ["instead", where, {"item": "Bolt", "count": 3}, {"item": "Bolt", "count": 1}]
    file = edits.MachineFile(path, path.name)
    assert edits.changed(file, [one, one]).text == edits.changed(file, [one]).text
    editor = edits.changed(file, [one, three, three])
    assert editor.value(tuple(where))[-1] == {"item": "Bolt", "count": "3"}
    edits.take_back(editor, three)
    edits.take_back(editor, one)
    assert editor.text == PUMP.read_text("utf-8")


SLUNG = """
machine: Saw
tasks: {sling: {time: 5 min, carries: [motor], undo: {time: 2 min}}}
fluids: {oil: {volume: 1 L, drain: {time: 6 min}, fill: {time: 4 min}}}
parts:
  motor:
    weight: 22 kg
    joints: {plug: {kind: connector}, bolts: {kind: bolt, head: 13, count: 4, time: 5 min}}
  box: {behind: [motor], wet: [oil], joints: {bolts: {kind: bolt, head: 10, count: 8}}}
"""


def test_while_oil_acts_nothing_is_done_that_good_practice_leaves_for_later(tmp_path):
    """Nor is the way out then left out of what is new, by a second plan that takes that back."""
    file = tmp_path / "saw.yaml"
    file.write_text(SLUNG, encoding="utf-8")
    with Desk(begin_job(tmp_path / "job", off=("box",), machine=file, practice=Practice.ALL), ANN) as desk:
        said = desk.trouble("motor/bolts", "seized", ON)
        oil = next(op for _, op in desk.state().left if "penetrant" in op)
        moment = desk.moment()
        assert moment.as_practised
        changed = last_change(moment)
        assert changed["new"] == [oil]
        assert changed["seconds"] > 0
        steps = {step.operation.name: step for step in moment.plan.steps}
        order = [*steps]
        between = order[order.index(oil) + 1 : order.index("undo motor/bolts")]
        done = sum(float(steps[op].seconds + steps[op].change_seconds) for op in between)
        (wait,) = [
            int(word) for one in said.words if "wait " in one for word in one.split() if word.isdecimal()
        ]
        assert wait == pytest.approx(15 - done / 60, abs=1)
