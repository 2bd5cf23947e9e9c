"""A left-hand thread is told wherever it is turned, on every surface."""

import pytest

from sequencer.document.steps.cards import refit_cards, teardown_cards
from sequencer.render.data.plans.plan import refit_json, teardown_json
from tests.plan.jobs import there_and_back

FAN = """
machine: A fan on a left-hand nut
positions: {front: {}}
parts:
  cover: {joints: {lid: {kind: clip, tool: hand, time: 5 s}}}
  fan:
    joints:
      nut: {kind: nut, head: 27, thread: %s, time: 30 s, torque: 40 N.m, sealant: threadlocker,
            crack: {while: [cover]}}
      screw: {kind: screw, head: T25, thread: M5, time: 10 s}
    loose: {joints: [nut]}
"""
CLOCKWISE = "(left-hand thread: turn it clockwise)"
ANTICLOCKWISE = "(left-hand thread: turn it anticlockwise)"


@pytest.mark.parametrize("thread", ["M24x1.5 LH", "M24x1.5 left-hand", "left-hand thread"])
def test_each_step_that_turns_it_says_which_way(thread):
    way_in, back = there_and_back(FAN % thread, [("off", "fan"), ("off", "cover")])
    plans = (teardown_cards(way_in), teardown_json(way_in)), (refit_cards(back), refit_json(back))
    for cards, data in plans:
        drawn = {step.operation: step.words for station in cards for step in station.steps}
        told = {step["op"]: step["says"] for step in data["steps"]}
        for said in (drawn, told):
            for op, words in said.items():
                kind, _, subject = op.partition(" ")
                turned = subject == "fan/nut" and kind != "seal"
                way = CLOCKWISE if kind in ("crack", "slacken", "undo") else ANTICLOCKWISE
                assert words.endswith(way) is turned, (op, words)
    kinds = {op.kind.value for plan in (way_in, back) for op in plan.operations if op.subject == "fan/nut"}
    assert {"crack", "undo", "fasten", "torque"} <= kinds


def test_a_thread_that_is_not_is_not_told():
    way_in, _ = there_and_back(FAN % "M24x1.5", [("off", "fan"), ("off", "cover")])
    assert not [step for step in teardown_json(way_in)["steps"] if "left" in step["says"]]
