"""A job on a machine with parts written once for several: what is found concerns the one that it is about."""

from datetime import UTC, date, datetime, timedelta

import pytest

from sequencer.job.changes.finds import Find
from sequencer.job.desk import By
from sequencer.job.learning import learning
from sequencer.machine.reading import load
from tests.machine.test_edit import unplaced

ON = date(2026, 11, 25)
OFF = ("gearbox",)
ENGINE = """\
machine: Engine, invented
repeat: {side: {left: {stand: left-wing}, right: {stand: right-wing}}}
positions: {front: , left-wing: , right-wing: }
parts:
  cover-<side>:
    label: Cover, <side>
    from: <side.stand>
    joints: {bolts: {kind: bolt, head: 8, count: 8, torque: 9 N.m}}
  gearbox: {behind: [cover-<side>], joints: {bolts: {kind: bolt, head: 17, count: 7}}}
"""
OF_ITS_OWN = "has an entry of its own in"
BEGAN = datetime(2026, 11, 25, 9, tzinfo=UTC)


@pytest.fixture
def origin(tmp_path):
    path = tmp_path / "engine.yaml"
    path.write_text(ENGINE, "utf-8")
    return path


def differing(before, after):
    """The parts of a machine that are not what they were before."""
    was, now = before.parts, after.parts
    return [name for name in now if name not in was or unplaced(now[name]) != unplaced(was[name])]


def test_what_is_found_on_one_side_is_written_there_alone_and_taken_back_whole(at_work, origin):
    desk, file = at_work
    said = desk.found(Find("stay", {"blocks": ("cover-left",)}, held=("bolt 10",)), ON)
    assert any(OF_ITS_OWN in word for word in said.words)
    assert differing(load(origin), load(file)) == ["cover-left", "stay"]
    assert [str(need) for need in desk.machine.parts["gearbox"].under("behind")] == [
        "cover-left",
        "cover-right",
    ]
    assert origin.read_text("utf-8") == ENGINE
    desk.undo()
    assert file.read_text("utf-8") == ENGINE


def test_what_names_all_sides_takes_one_more_and_is_written_for_all(at_work, origin):
    desk, file = at_work
    said = desk.found(Find("stay", {"blocks": ("gearbox",)}, held=("bolt 10",)), ON)
    assert not any(OF_ITS_OWN in word for word in said.words)
    assert "behind: [cover-<side>, stay]" in file.read_text("utf-8")
    assert differing(load(origin), load(file)) == ["gearbox", "stay"]


def test_a_joint_of_one_side_is_corrected_and_gives_trouble_by_itself(at_work, origin):
    desk, file = at_work
    said = desk.correct("cover-right/bolts", {"head": "10", "label": "long bolts"})
    assert any("head 10, was 8" in word for word in said.words)
    assert differing(load(origin), load(file)) == ["cover-right"]
    desk.trouble("cover-left/bolts", "rounded", ON)
    assert "cover-left" in load(file).parts
    assert differing(load(origin), load(file))[-1] == "cover-right"


def test_a_file_that_is_lost_is_told_from_the_journal_with_its_sides(at_work):
    desk, file = at_work
    desk.found(Find("stay", {"blocks": ("cover-left",)}, held=("bolt 10",)), ON)
    told = file.read_bytes()
    file.unlink()
    desk.restore()
    assert file.read_bytes() == told


def test_a_time_is_learned_for_the_side_that_took_it(at_work, origin):
    desk, _ = at_work
    now = BEGAN
    desk.resume(by=By("Ann", "a", now))
    for step in desk.plan().steps:
        op = step.operation
        slow = 1800 if op.name == "undo cover-right/bolts" else float(step.seconds)
        now += timedelta(seconds=float(step.change_seconds) + slow)
        desk.done([op.name], by=By("Ann", "a", now))
    offers = learning.offers(desk.moment(), "Ann", origin)
    assert [offer.words.split(" takes ")[0] for offer in offers] == ["cover-right/bolts"]
    before = origin.with_name("before.yaml")
    before.write_text(ENGINE, "utf-8")
    (word,) = learning.write(origin, offers)
    assert OF_ITS_OWN in word
    assert differing(load(before), load(origin)) == ["cover-right"]
    assert learning.offers(desk.moment(), "Ann", origin) == ()
