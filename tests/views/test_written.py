"""What a job has on record at a gate, box by box, as a sheet that is printed later shows it."""

from sequencer.document.jobs.written import readings, said_otherwise
from tests.job.through import begun

LID = """
machine: Lid
parts:
  lid: {joints: {bolts: {kind: bolt, head: 10, thread: M6, count: 2, torque: {stages: [4 N.m, 9 N.m]}}}}
  core: {behind: [lid], joints: {clip: {kind: clip}}}
"""
GATE = "torque lid/bolts"


def test_each_reading_stands_in_its_boxes_with_whose_it_is_until_it_is_taken_back(tmp_path):
    with begun(tmp_path, LID, ["core"]) as desk:
        desk.done([step.operation.name for step in desk.plan().steps])
        desk.turn()
        desk.done(["fit core", "fasten core/clip", "fit lid", "fasten lid/bolts"])
        assert readings(desk.moment()) == {}
        desk.done(GATE, torque="4.1 N.m", stages="1", fasteners="all")
        desk.done(GATE, torque="9 N.m", stages="2", fasteners="1")
        found = readings(desk.moment())["lid/bolts"]
        assert {cell: one.text for cell, one in found.items()} == {
            (1, "1"): "4.1 N.m",
            (1, "2"): "4.1 N.m",
            (2, "1"): "9 N.m",
        }
        assert {one.initials for one in found.values()} == {desk.by.person[0].upper()}
        desk.undo()
        assert set(readings(desk.moment())["lid/bolts"]) == {(1, "1"), (1, "2")}
        desk.done(GATE, anyway="the wrench broke")
        (said,) = said_otherwise(desk.moment())["lid/bolts"]
        assert said.startswith("closed anyway: the wrench broke")
